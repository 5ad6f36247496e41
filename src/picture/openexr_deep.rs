//! Reading OpenEXR as floating-point samples.

use exr::math::Vec2;
use exr::meta::attribute::SampleType;
use exr::prelude::{ReadChannels, ReadLayers, read as exr_read};

use crate::error::PictureError;
use crate::openexr::{check_sizes, display_window, explain, no_size, open, placed, size_of};
use crate::progress::Stage;
use crate::raster::{Depth, Layout, Raster};
use crate::source::{Reader, Source};

/// Decodes the first layer with red, green and blue, at full resolution, cut to the display window.
/// Where that layer has no data the picture is black, or transparent if it has alpha.
pub(crate) fn read(source: &Source<'_>, reader: Reader) -> Result<Raster, PictureError> {
    let chunks = open(source, reader)?;
    let display = display_window(source, &chunks)?;
    check_sizes(source, &chunks, &display, 4 * Depth::Float.bytes())?;
    let mut channels = chunks.headers().iter().flat_map(|header| &header.channels.list);
    let half = channels.all(|channel| channel.sample_type == SampleType::F16);
    source.progress.enter(Stage::Decoding);
    let image = exr_read()
        .no_deep_data()
        .largest_resolution_level()
        .rgba_channels(|size, channels| Layer::new(size, channels.3.is_some()), Layer::set)
        .first_valid_layer()
        .all_attributes()
        .from_chunks(chunks)
        .map_err(|error| explain(source, error))?;
    let layer = image.layer_data.channel_data.pixels;
    let position = image.layer_data.attributes.layer_position;
    let layout = Layout { depth: Depth::Float, colour: true, alpha: layer.alpha };
    let samples = placed(layer.samples, layout.bytes(), layer.size, position, &display);
    let size = size_of(&display).ok_or_else(|| no_size(source))?;
    let raster = Raster::new(size, layout, samples).ok_or_else(|| no_size(source))?;
    Ok(raster.halved_depth(half))
}

/// The layer being read, in the size of its data window.
struct Layer {
    size: Vec2<usize>,
    alpha: bool,
    samples: Vec<u8>,
}

impl Layer {
    fn new(size: Vec2<usize>, alpha: bool) -> Self {
        let bytes = Depth::Float.bytes() * if alpha { 4 } else { 3 };
        Self { size, alpha, samples: vec![0; size.area() * bytes] }
    }

    fn set(&mut self, at: Vec2<usize>, (red, green, blue, alpha): (f32, f32, f32, f32)) {
        let lanes = [red, green, blue, alpha];
        let lanes = &lanes[..if self.alpha { 4 } else { 3 }];
        let bytes = Depth::Float.bytes();
        let first = at.flat_index_for_size(self.size) * lanes.len() * bytes;
        let pixel = self.samples[first..].chunks_exact_mut(bytes);
        for (to, from) in pixel.zip(lanes) {
            to.copy_from_slice(&from.to_ne_bytes());
        }
    }
}
