use crate::part::{Part, layers, safe_groups};
use crate::png::{self, Rows};
use crate::stains::{Stain, Stainer};
use crate::{HandoverError, bands};
use glam::DVec2;
use staffage_drawing::{Aids, Drawing, Emphasis, GroundGrid, Ink, View, draw, to_layered_svg};
use staffage_scene::{Assessment, Scene};
use std::fs::File;
use std::io::{self, Read, Write};
use std::ops::{ControlFlow, RangeInclusive};
use std::path::Path;

/// How wide an overlay can be, pixels.
pub const WIDTH: RangeInclusive<u32> = 16..=65_535;

/// How heavy its ink can be, times the usual weight.
pub const WEIGHT: RangeInclusive<f64> = 0.1..=10.0;

/// Width of the frame in points where the ink has its usual weight: that of a canvas on a large
/// display. More make lines finer and type smaller.
const POINTS: f64 = 1600.0;

/// By this an overlay is known among other pictures.
const SIGNATURE: &str = "Staffage overlay";

/// What an overlay shows, and how large.
#[derive(Clone, Debug, PartialEq)]
pub struct OverlayOptions {
    /// Its width, pixels; within [`WIDTH`].
    pub width: u32,
    /// What of the ink is wanted.
    pub parts: Vec<Part>,
    /// Whether names, sizes and other words are wanted.
    pub words: bool,
    /// How heavy lines and type are: 1 is as in a window 1,600 points wide, 0.5 half as heavy; within
    /// [`WEIGHT`].
    pub weight: f64,
    /// Where the grid lies, if it is wanted; on the first level along the first block while nothing is
    /// said.
    pub grid: Option<GroundGrid>,
}

impl OverlayOptions {
    /// The usual parts, at the width that the scene is worked at.
    #[must_use]
    pub fn of(scene: &Scene) -> Self {
        Self {
            width: scene.frame.working_width,
            parts: Part::USUAL.to_vec(),
            words: true,
            weight: 1.0,
            grid: None,
        }
    }
}

/// The ink of a scene, laid out to be written over its painting.
#[derive(Clone, Debug, PartialEq)]
pub struct Overlay {
    pub(crate) layers: Vec<(&'static str, Drawing)>,
    view: View,
    pub(crate) width: u16,
    pub(crate) height: u32,
    title: String,
}

impl Overlay {
    /// Draws what the canvas shows when nothing is selected.
    ///
    /// # Errors
    /// [`HandoverError::Width`] and [`HandoverError::Weight`] when they are out of range.
    pub fn new(
        scene: &Scene,
        assessment: &Assessment,
        options: &OverlayOptions,
    ) -> Result<Self, HandoverError> {
        let OverlayOptions { width, weight, words, ref parts, grid } = *options;
        let narrow = u16::try_from(width).ok().filter(|_| WIDTH.contains(&width));
        let narrow = narrow.ok_or(HandoverError::Width { width })?;
        if !WEIGHT.contains(&weight) {
            return Err(HandoverError::Weight { weight });
        }
        let height = height(scene, width);
        let corner = 0.5 * DVec2::new(1.0, f64::from(height) / f64::from(width));
        let view = View::of_part(-corner, corner, POINTS / weight);
        let grid = grid.or_else(|| first_grid(scene)).filter(|_| parts.contains(&Part::Grid));
        let aids = Aids { grid, ..Aids::default() };
        let emphasis = Emphasis { aids, ..Emphasis::default() };
        let mut drawing = draw(scene, assessment, &view, &emphasis);
        if parts.contains(&Part::Safe) {
            drawing.groups.extend(safe_groups(scene.frame, &view));
        }
        Ok(Self {
            layers: layers(drawing, assessment, parts, words),
            view,
            width: narrow,
            height,
            title: scene.title.clone(),
        })
    }

    /// Points of the drawing to the width of the frame.
    pub(crate) fn points_per_unit(&self) -> f64 {
        self.view.points_per_unit
    }

    /// Its width and height, pixels.
    #[must_use]
    pub fn size(&self) -> (u32, u32) {
        (self.width.into(), self.height)
    }

    /// Writes it as a PNG: 8 bits, sRGB, straight alpha, transparent where there is no ink. Takes a
    /// few tens of megabytes of memory at any width. `watch` is told now and then how far it is, and
    /// can ask to give up.
    ///
    /// # Errors
    /// [`HandoverError::Unwritable`] when `out` cannot be written to, [`HandoverError::Cancelled`]
    /// when `watch` breaks. What was written by then is no picture.
    pub fn write_png(
        &self,
        out: &mut dyn Write,
        watch: &mut dyn FnMut(Rows) -> ControlFlow<()>,
    ) -> Result<(), HandoverError> {
        png::write(&self.stains(), (self.width, self.height), SIGNATURE, out, watch)
    }

    /// Its pixels as [`write_png`](Self::write_png) writes them, from the top left, row by row: red,
    /// green, blue and straight alpha. Takes 4 bytes a pixel.
    ///
    /// # Errors
    /// [`HandoverError::Cancelled`] when `watch` breaks.
    pub fn to_rgba(
        &self,
        watch: &mut dyn FnMut(Rows) -> ControlFlow<()>,
    ) -> Result<Vec<u8>, HandoverError> {
        let row = 4 * usize::from(self.width);
        let mut pixels = Vec::with_capacity(row * self.height as usize);
        bands::paint(&self.stains(), (self.width, self.height), &mut |band| {
            pixels.extend_from_slice(band);
            let done = (pixels.len() / row) as u32;
            match watch(Rows { done, of: self.height }) {
                ControlFlow::Continue(()) => Ok(()),
                ControlFlow::Break(()) => Err(HandoverError::Cancelled),
            }
        })?;
        Ok(pixels)
    }

    /// Its ink as outlines in pixels.
    fn stains(&self) -> Vec<Stain> {
        self.stains_of(self.layers.iter().flat_map(|(_, drawing)| drawing.ink()))
    }

    /// Some ink as outlines in pixels.
    pub(crate) fn stains_of<'a>(&self, ink: impl Iterator<Item = &'a Ink>) -> Vec<Stain> {
        let scale = f64::from(self.width) / self.view.points_per_unit;
        let mut stainer = Stainer::new(self.view, scale);
        ink.for_each(|ink| stainer.ink(ink));
        stainer.finish()
    }

    /// The overlay as an SVG 1.1 document of the same size. Its outermost groups are the layers
    /// `guides`, `markers`, `findings`, `words` and `safe`, those with ink; in them each thing has its own.
    #[must_use]
    pub fn to_svg(&self) -> String {
        to_layered_svg(&self.layers, &self.view, self.size(), &self.title, SIGNATURE)
    }
}

fn first_grid(scene: &Scene) -> Option<GroundGrid> {
    let (level, block) = (scene.levels.first()?.id, scene.blocks.first()?.id);
    Some(GroundGrid { level, block })
}

/// Height of an overlay of this width: the painting's own where it has the frame's shape, so that both
/// have the same pixels.
fn height(scene: &Scene, width: u32) -> u32 {
    let painting = scene.painting.as_ref().map(|painting| painting.size);
    let ratio = match painting {
        Some(size) if size.0 > 0 && size.1 > 0 && scene.frame.has_shape(size) => {
            f64::from(size.0) / f64::from(size.1)
        }
        _ => scene.frame.ratio,
    };
    (f64::from(width) / ratio).round().max(1.0) as u32
}

/// Whether a file is an overlay that was written before, so that nothing is lost when it is replaced.
///
/// # Errors
/// When it cannot be read.
pub fn is_overlay(path: &Path) -> io::Result<bool> {
    begins_with_any(path, &[SIGNATURE])
}

/// Whether one of these stands near the beginning of a file.
///
/// # Errors
/// When it cannot be read.
pub(crate) fn begins_with_any(path: &Path, signatures: &[&str]) -> io::Result<bool> {
    /// All formats have their signature near their beginning, after a title at most.
    const BEGINNING: u64 = 64 * 1024;
    let mut beginning = Vec::new();
    File::open(path)?.take(BEGINNING).read_to_end(&mut beginning)?;
    let has = |signature: &&str| {
        beginning.windows(signature.len()).any(|window| window == signature.as_bytes())
    };
    Ok(signatures.iter().any(has))
}
