//! Painting and ink as the layers of one OpenRaster file.

use crate::HandoverError;
use crate::bands::{merge, paint_rows};
use crate::deep::write_png;
use crate::ora::{Container, Entry};
use crate::overlay::{Overlay, OverlayOptions};
use crate::png::{Outlet, Rows};
use crate::stains::Stain;
use crate::tone_layers;
use png::{BitDepth, ColorType, Compression, Encoder, Filter, Info, SrgbRenderingIntent};
use staffage_drawing::{Drawing, Group};
use staffage_picture::{Depth, Layout, Masses, Raster, Size, Warp};
use staffage_scene::{Assessment, Output, Scene, Subject, subject_name};
use std::borrow::Cow;
use std::io::Write;
use std::ops::{ControlFlow, Range};
use vello_cpu::kurbo::Shape;

/// Longer side of the small picture in the file, pixels, as the format has it.
const THUMBNAIL: u32 = 256;

type Watch<'a> = &'a mut dyn FnMut(Rows) -> ControlFlow<()>;

/// A scene laid out to be written as layers: the painting, and over it the guides, each group of stand-ins,
/// the markers, the findings and the words, as far as they are wanted and there.
pub struct Layered {
    size: (u16, u32),
    overlay: Overlay,
    words: bool,
    tones: Option<u8>,
    layers: Vec<Layer>,
    thumbnail: Thumbnail,
}

/// A layer of ink.
struct Layer {
    name: String,
    stains: Vec<Stain>,
    columns: Range<u32>,
    rows: Range<u32>,
}

/// Everything once more, small.
struct Thumbnail {
    size: (u16, u32),
    layers: Vec<Vec<Stain>>,
}

impl Layered {
    /// Lays the ink out as an overlay with these options has it.
    ///
    /// # Errors
    /// [`HandoverError::Width`] and [`HandoverError::Weight`] when they are out of range.
    pub fn new(
        scene: &Scene,
        assessment: &Assessment,
        options: &OverlayOptions,
    ) -> Result<Self, HandoverError> {
        let overlay = Overlay::new(scene, assessment, options)?;
        let size = (overlay.width, overlay.height);
        let named = named(scene, &overlay.layers);
        let layers = named.iter().filter_map(|(name, drawing)| {
            let stains = overlay.stains_of(drawing.ink());
            let (columns, rows) = extent(&stains, size)?;
            Some(Layer { name: name.clone(), stains, columns, rows })
        });
        let layers = layers.collect();
        let thumbnail = Thumbnail::new(scene, assessment, options, size)?;
        Ok(Self { size, overlay, words: options.words, tones: None, layers, thumbnail })
    }

    /// With two layers more over the painting, both hidden: the painting in so many flat tones (2 to 5), and a strip
    /// along its lower edge with a swatch of each.
    #[must_use]
    pub fn with_tones(self, count: Option<u8>) -> Self {
        Self { tones: count, ..self }
    }

    /// Width and height, pixels.
    #[must_use]
    pub fn size(&self) -> (u32, u32) {
        (self.size.0.into(), self.size.1)
    }

    /// What its layers of ink are called, from the undermost to the topmost, without those of tones.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.layers.iter().map(|layer| layer.name.as_str())
    }

    /// Writes it over a painting in encoded samples (see [`Raster::encoded`]), which is resized to its size.
    /// Takes a few hundred megabytes beside the painting, at any width. `watch` is told now and then how far it
    /// is, and can ask to give up.
    ///
    /// # Errors
    /// [`HandoverError::Unwritable`] when `out` cannot be written to, [`HandoverError::Cancelled`] when
    /// `watch` breaks. What was written by then is no file that can be opened.
    pub fn write(
        &self,
        painting: Option<&Raster>,
        out: &mut dyn Output,
        watch: Watch<'_>,
    ) -> Result<(), HandoverError> {
        let masses = painting.and_then(|painting| Masses::of(painting, self.tones?));
        let strip = masses.as_ref().and_then(|masses| self.strip(masses));
        let inked = |layer: &Layer| layer.rows.end - layer.rows.start;
        let ink: u32 = self.layers.iter().chain(&strip).map(inked).sum();
        let whole = [true, painting.is_some(), masses.is_some()].map(u32::from).iter().sum::<u32>();
        let of = self.size.1 * whole + ink;
        let mut done = 0;
        // Counts the rows of all layers on.
        let mut step = |rows: u32| {
            done += rows;
            match watch(Rows { done: done.min(of), of }) {
                ControlFlow::Continue(()) => Ok(()),
                ControlFlow::Break(()) => Err(HandoverError::Cancelled),
            }
        };
        let mut container = Container::new(out)?;
        let mut entries = Vec::new();
        if let Some(painting) = painting {
            let entry = self.entry("painting", &entries, true);
            self.put_painting(painting, &entry, &mut container, &mut step)?;
            entries.push(entry);
            if let Some(masses) = &masses {
                let entry = self.entry("flat tones", &entries, false);
                self.put_tones(painting, masses, &entry, &mut container, &mut step)?;
                entries.push(entry);
            }
        }
        let layers = self.layers.iter().map(|layer| (layer, true));
        for (layer, visible) in strip.iter().map(|strip| (strip, false)).chain(layers) {
            let (x, y) = (layer.columns.start, layer.rows.start);
            let entry = Entry { x, y, ..self.entry(&layer.name, &entries, visible) };
            self.put_ink(layer, &entry, &mut container, &mut step)?;
            entries.push(entry);
        }
        let layers: Vec<&[Stain]> = self.layers.iter().map(|layer| &layer.stains[..]).collect();
        put_merged("mergedimage.png", painting, self.size, &layers, &mut container, &mut step)?;
        let Thumbnail { size, layers } = &self.thumbnail;
        let layers: Vec<&[Stain]> = layers.iter().map(|stains| &stains[..]).collect();
        let small = "Thumbnails/thumbnail.png";
        put_merged(small, painting, *size, &layers, &mut container, &mut |_| Ok(()))?;
        container.finish(self.size(), &entries)
    }

    fn put_painting(
        &self,
        painting: &Raster,
        entry: &Entry,
        container: &mut Container<'_>,
        step: Step<'_>,
    ) -> Result<(), HandoverError> {
        let warp = Warp::resized(painting, size(self.size));
        let most = warp.row_bytes() as u64 * u64::from(self.size.1);
        container.part(&entry.source, most, &mut |out| {
            let mut before = 0;
            write_png(&warp, out, &mut |rows| {
                let more = rows.done - before;
                before = rows.done;
                if step(more).is_ok() { ControlFlow::Continue(()) } else { ControlFlow::Break(()) }
            })
        })
    }

    /// What the stack has of the next layer, which covers the picture.
    fn entry(&self, name: &str, before: &[Entry], visible: bool) -> Entry {
        Entry { name: name.into(), source: source(before.len()), x: 0, y: 0, visible }
    }

    /// The swatches of some tones.
    fn strip(&self, masses: &Masses) -> Option<Layer> {
        let (width, height) = self.size();
        let ratio = f64::from(width) / f64::from(height);
        let drawing =
            tone_layers::strip(masses.tones(), ratio, self.overlay.points_per_unit(), self.words);
        let stains = self.overlay.stains_of(drawing.ink());
        let (columns, rows) = extent(&stains, self.size)?;
        Some(Layer { name: "tone strip".into(), stains, columns, rows })
    }

    fn put_tones(
        &self,
        painting: &Raster,
        masses: &Masses,
        entry: &Entry,
        container: &mut Container<'_>,
        step: Step<'_>,
    ) -> Result<(), HandoverError> {
        let (width, height) = self.size();
        let warp = Warp::resized(painting, size(self.size));
        container.part(&entry.source, 4 * u64::from(width) * u64::from(height), &mut |out| {
            png(out, (width, height), None, &mut |stream| {
                tone_layers::flat(&warp, masses, &mut |rows| {
                    stream.write_all(rows)?;
                    step((rows.len() / (4 * width as usize)) as u32)
                })
            })
        })
    }

    /// A layer of ink, cut to where there is any.
    fn put_ink(
        &self,
        layer: &Layer,
        entry: &Entry,
        container: &mut Container<'_>,
        step: Step<'_>,
    ) -> Result<(), HandoverError> {
        let Layer { stains, columns, rows, .. } = layer;
        let (width, height) = (columns.end - columns.start, rows.end - rows.start);
        let most = 4 * u64::from(width) * u64::from(height);
        container.part(&entry.source, most, &mut |out| {
            png(out, (width, height), None, &mut |stream| {
                paint_rows(stains, self.size, rows.clone(), &mut |band| {
                    let row = 4 * usize::from(self.size.0);
                    for row in band.chunks_exact(row) {
                        stream.write_all(
                            &row[4 * columns.start as usize..4 * columns.end as usize],
                        )?;
                    }
                    step((band.len() / row) as u32)
                })
            })
        })
    }
}

/// Is told how many more rows are there, and whether to go on.
type Step<'a> = &'a mut dyn FnMut(u32) -> Result<(), HandoverError>;

/// Writes everything laid over each other, as 8 bits.
fn put_merged(
    name: &str,
    painting: Option<&Raster>,
    size: (u16, u32),
    layers: &[&[Stain]],
    container: &mut Container<'_>,
    step: Step<'_>,
) -> Result<(), HandoverError> {
    let (width, height) = (u32::from(size.0), size.1);
    let warp = painting.map(|painting| Warp::resized(painting, self::size(size)));
    let ground = |first: u32, light: &mut [[f32; 4]]| match &warp {
        Some(warp) => fill(warp, first, light),
        None => light.fill([0.0; 4]),
    };
    let profile = painting.and_then(Raster::profile);
    container.part(name, 4 * u64::from(width) * u64::from(height), &mut |out| {
        png(out, (width, height), profile, &mut |stream| {
            merge(layers, size, &ground, &mut |band| {
                stream.write_all(band)?;
                step((band.len() / (4 * width as usize)) as u32)
            })
        })
    })
}

/// The painting's rows, 0 to 255, alpha multiplied in.
fn fill(warp: &Warp<'_>, first: u32, light: &mut [[f32; 4]]) {
    let Layout { depth, colour, alpha } = warp.layout();
    let mut bytes = vec![0; light.len() * warp.layout().bytes()];
    warp.rows(first, &mut bytes);
    for (light, pixel) in light.iter_mut().zip(bytes.chunks_exact(warp.layout().bytes())) {
        let sample = |i: usize| match depth {
            Depth::Eight => f32::from(pixel[i]),
            Depth::Sixteen => {
                f32::from(u16::from_ne_bytes([pixel[2 * i], pixel[2 * i + 1]])) / 257.0
            }
            Depth::Float => 0.0,
        };
        let [r, g, b] = if colour { [0, 1, 2] } else { [0; 3] };
        let cover = if alpha { sample(if colour { 3 } else { 1 }) } else { 255.0 };
        let [r, g, b] = [r, g, b].map(|i| sample(i) * cover / 255.0);
        *light = [r, g, b, cover];
    }
}

/// Writes a PNG of 8 bits with alpha.
fn png(
    out: &mut Outlet<'_>,
    (width, height): (u32, u32),
    profile: Option<&[u8]>,
    fill: &mut dyn FnMut(&mut dyn Write) -> Result<(), HandoverError>,
) -> Result<(), HandoverError> {
    let mut info = Info::with_size(width, height);
    info.icc_profile = profile.map(|profile| Cow::Owned(profile.to_vec()));
    let mut encoder = Encoder::with_info(out, info)?;
    encoder.set_color(ColorType::Rgba);
    encoder.set_depth(BitDepth::Eight);
    encoder.set_compression(Compression::Fast);
    encoder.set_filter(Filter::Up);
    if profile.is_none() {
        encoder.set_source_srgb(SrgbRenderingIntent::Perceptual);
    }
    let mut writer = encoder.write_header()?;
    let mut stream = writer.stream_writer()?;
    fill(&mut stream)?;
    stream.finish()?;
    Ok(writer.finish()?)
}

impl Thumbnail {
    fn new(
        scene: &Scene,
        assessment: &Assessment,
        options: &OverlayOptions,
        (width, height): (u16, u32),
    ) -> Result<Self, HandoverError> {
        let longer = height.max(width.into());
        let small = THUMBNAIL.min(longer) * u32::from(width) / longer;
        let narrowest = *crate::WIDTH.start();
        let width = small.max(narrowest);
        // Names are too small to be read.
        let options = OverlayOptions { width, words: false, ..options.clone() };
        let overlay = Overlay::new(scene, assessment, &options)?;
        let stains = |(_, drawing): &(&str, Drawing)| overlay.stains_of(drawing.ink());
        let layers = overlay.layers.iter().map(stains).collect();
        Ok(Self { size: (overlay.width, overlay.height.min(THUMBNAIL)), layers })
    }
}

fn size((width, height): (u16, u32)) -> Size {
    Size { width: width.into(), height }
}

fn source(layer: usize) -> String {
    format!("data/layer{layer}.png")
}

/// The layers by name; each group of stand-ins (one, a row, a crowd) has its own.
fn named(scene: &Scene, layers: &[(&'static str, Drawing)]) -> Vec<(String, Drawing)> {
    let mut named: Vec<(String, Drawing)> = Vec::new();
    for (layer, drawing) in layers {
        let mut last: Option<Subject> = None;
        for group in &drawing.groups {
            let own = own(group, layer);
            if own.is_some()
                && own == last
                && let Some((_, drawing)) = named.last_mut()
            {
                drawing.groups.push(group.clone());
                continue;
            }
            match (own, named.iter_mut().find(|(name, _)| own.is_none() && name == layer)) {
                (Some(subject), _) => {
                    let name = format!("{layer}: {}", subject_name(scene, subject));
                    named.push((name, Drawing { groups: vec![group.clone()] }));
                }
                (None, Some((_, drawing))) => drawing.groups.push(group.clone()),
                (None, None) => {
                    named.push(((*layer).into(), Drawing { groups: vec![group.clone()] }));
                }
            }
            last = own;
        }
    }
    named
}

/// What a group has a layer of its own for.
fn own(group: &Group, layer: &str) -> Option<Subject> {
    group.about.filter(|about| layer == "stand-ins" && matches!(about, Subject::StandIn(_)))
}

/// The columns and rows that some stains touch in the picture, if any.
fn extent(stains: &[Stain], (width, height): (u16, u32)) -> Option<(Range<u32>, Range<u32>)> {
    let boxes = stains.iter().map(|stain| stain.outline.bounding_box());
    let all = boxes.reduce(|a, b| a.union(b))?;
    let within = |low: f64, high: f64, side: u32| {
        let side = f64::from(side);
        let range = (low.floor() - 1.0).clamp(0.0, side) as u32
            ..(high.ceil() + 1.0).clamp(0.0, side) as u32;
        (!range.is_empty()).then_some(range)
    };
    Some((within(all.x0, all.x1, width.into())?, within(all.y0, all.y1, height)?))
}
