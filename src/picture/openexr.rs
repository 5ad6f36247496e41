//! Reading OpenEXR straight into 8-bit samples.
//!
//! A painting of 10,000 × 4,255 pixels is 340 MB in half floats and 680 MB in floats; converting
//! each pixel as it comes out of its block needs neither. It also leaves the file's windows in our
//! hands, which may be of any size, wherever the file claims them to be.

use std::sync::LazyLock;

use exr::block::reader::Reader as Chunks;
use exr::error::Error as ExrError;
use exr::math::Vec2;
use exr::meta::attribute::IntegerBounds;
use exr::prelude::{ReadChannels, ReadLayers, f16, read};

use crate::error::PictureError;
use crate::pixels::{Channels, Pixels, Size};
use crate::progress::Stage;
use crate::samples::{encode_associated, encode_srgb_byte};
use crate::source::{Reader, Source};

/// The size of the display window, which is the picture's.
pub(crate) fn size(source: &Source<'_>, reader: Reader) -> Result<Size, PictureError> {
    size_of(&display_window(source, &open(source, reader)?)?).ok_or_else(|| no_size(source))
}

/// Decodes the first layer with red, green and blue, at full resolution, cut to the display window.
/// Where that layer has no data the picture is black, or transparent if it has alpha.
pub(crate) fn decode(source: &Source<'_>, reader: Reader) -> Result<Pixels, PictureError> {
    let chunks = open(source, reader)?;
    let display = display_window(source, &chunks)?;
    check_sizes(source, &chunks, &display, Channels::RgbaPremultiplied.count())?;
    source.progress.enter(Stage::Decoding);
    let image = read()
        .no_deep_data()
        .largest_resolution_level()
        .rgba_channels(|size, channels| Layer::new(size, channels.3.is_some()), Layer::set)
        .first_valid_layer()
        .all_attributes()
        .from_chunks(chunks)
        .map_err(|error| explain(source, error))?;
    let Layer { size: stored, channels, samples } = image.layer_data.channel_data.pixels;
    let position = image.layer_data.attributes.layer_position;
    let size = size_of(&display).ok_or_else(|| no_size(source))?;
    let samples = placed(samples, channels.count(), stored, position, &display);
    Pixels::new(size, channels, samples).ok_or_else(|| no_size(source))
}

pub(crate) fn open(source: &Source<'_>, reader: Reader) -> Result<Chunks<Reader>, PictureError> {
    const PEDANTIC: bool = false;
    exr::block::read(reader, PEDANTIC).map_err(|error| explain(source, error))
}

pub(crate) fn display_window(
    source: &Source<'_>,
    chunks: &Chunks<Reader>,
) -> Result<IntegerBounds, PictureError> {
    let header = chunks.headers().first().ok_or_else(|| no_size(source))?;
    Ok(header.shared_attributes.display_window)
}

/// Holds every window in the file against the limits: memory is taken for blocks of any of them, and for
/// a picture of so many bytes a pixel.
pub(crate) fn check_sizes(
    source: &Source<'_>,
    chunks: &Chunks<Reader>,
    display: &IntegerBounds,
    bytes_per_pixel: usize,
) -> Result<(), PictureError> {
    let check = |window: &IntegerBounds, bytes_per_pixel: usize| {
        let size = size_of(window).ok_or_else(|| no_size(source))?;
        source.room_for(size, size.pixels().saturating_mul(bytes_per_pixel as u64))
    };
    check(display, bytes_per_pixel)?;
    for header in chunks.headers() {
        check(&header.data_window(), header.channels.bytes_per_pixel)?;
    }
    Ok(())
}

pub(crate) fn size_of(window: &IntegerBounds) -> Option<Size> {
    let Vec2(width, height) = window.size;
    Some(Size { width: width.try_into().ok()?, height: height.try_into().ok()? })
}

pub(crate) fn no_size(source: &Source<'_>) -> PictureError {
    source.damaged("it does not say how large it is")
}

pub(crate) fn explain(source: &Source<'_>, error: ExrError) -> PictureError {
    match error {
        _ if source.progress.is_cancelled() => source.cancelled(),
        ExrError::Io(error) => source.explain_io(error),
        ExrError::NotSupported(reason) => source.unsupported(reason),
        ExrError::Invalid(reason) => source.damaged(reason),
        ExrError::Aborted => source.cancelled(),
    }
}

/// The encoded 8-bit value of every half float, by its bits.
///
/// Layers of full floats are rounded to half floats first: their steps, 1/2048 of the value, are
/// at most a tenth of an 8-bit step once encoded.
static CURVE: LazyLock<Vec<u8>> = LazyLock::new(|| {
    (0..=u16::MAX).map(|bits| encode_srgb_byte(f16::from_bits(bits).to_f32())).collect()
});

fn encode(light: f16) -> u8 {
    CURVE[usize::from(light.to_bits())]
}

/// The layer being read, in the size of its data window.
struct Layer {
    size: Vec2<usize>,
    channels: Channels,
    samples: Vec<u8>,
}

impl Layer {
    fn new(size: Vec2<usize>, has_alpha: bool) -> Self {
        let channels = if has_alpha { Channels::RgbaPremultiplied } else { Channels::Rgb };
        Self { size, channels, samples: vec![0; size.area() * channels.count()] }
    }

    fn set(&mut self, at: Vec2<usize>, light: (f16, f16, f16, f16)) {
        let (red, green, blue, alpha) = light;
        let rgb = [red, green, blue];
        let first = at.flat_index_for_size(self.size) * self.channels.count();
        match self.channels {
            Channels::RgbaPremultiplied if alpha != f16::ONE => {
                let pixel = encode_associated(rgb.map(f16::to_f32), alpha.to_f32());
                self.samples[first..first + 4].copy_from_slice(&pixel);
            }
            Channels::RgbaPremultiplied => {
                let [red, green, blue] = rgb.map(encode);
                self.samples[first..first + 4].copy_from_slice(&[red, green, blue, 255]);
            }
            _ => {
                let pixel = rgb.map(encode);
                self.samples[first..first + 3].copy_from_slice(&pixel);
            }
        }
    }
}

/// The samples of the display window, where a layer of pixels of `bytes` bytes lies with its first at
/// `position`.
pub(crate) fn placed(
    samples: Vec<u8>,
    bytes: usize,
    size: Vec2<usize>,
    position: Vec2<i32>,
    display: &IntegerBounds,
) -> Vec<u8> {
    if position == display.position && size == display.size {
        return samples;
    }
    let mut all = vec![0; display.size.area() * bytes];
    let columns = overlap(position.x(), size.x(), display.position.x(), display.size.x());
    let rows = overlap(position.y(), size.y(), display.position.y(), display.size.y());
    let length = columns.length * bytes;
    for row in 0..rows.length {
        let from = ((rows.from + row) * size.x() + columns.from) * bytes;
        let to = ((rows.to + row) * display.size.x() + columns.to) * bytes;
        all[to..to + length].copy_from_slice(&samples[from..from + length]);
    }
    all
}

/// A stretch that two windows share along one axis, by its start in either.
struct Overlap {
    from: usize,
    to: usize,
    length: usize,
}

fn overlap(from: i32, from_length: usize, to: i32, to_length: usize) -> Overlap {
    let offset = i64::from(to) - i64::from(from);
    let before = |offset: i64| usize::try_from(offset).unwrap_or(0);
    let (from, to) = (before(offset), before(-offset));
    let length = from_length.saturating_sub(from).min(to_length.saturating_sub(to));
    Overlap { from, to, length }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A layer of 3 × 2 pixels, each of its own value, in the display window.
    fn placed(position: Vec2<i32>, display: IntegerBounds) -> Vec<u8> {
        let samples = (1..=6).flat_map(|value| [value; 3]).collect();
        super::placed(samples, 3, Vec2(3, 2), position, &display).into_iter().step_by(3).collect()
    }

    #[test]
    fn a_layer_that_fills_the_display_window_is_kept() {
        let display = IntegerBounds { position: Vec2(-4, 7), size: Vec2(3, 2) };
        assert_eq!(placed(Vec2(-4, 7), display), [1, 2, 3, 4, 5, 6]);
    }

    #[test]
    fn a_smaller_layer_lies_in_black() {
        let display = IntegerBounds { position: Vec2(0, 0), size: Vec2(5, 3) };
        let seen = [0, 0, 0, 0, 0, 0, 1, 2, 3, 0, 0, 4, 5, 6, 0];
        assert_eq!(placed(Vec2(1, 1), display), seen);
    }

    #[test]
    fn a_layer_is_cut_at_the_display_window() {
        let display = IntegerBounds { position: Vec2(0, 0), size: Vec2(2, 2) };
        assert_eq!(placed(Vec2(-1, -1), display), [5, 6, 0, 0]);
        assert_eq!(placed(Vec2(1, 1), display), [0, 0, 0, 1]);
        assert_eq!(placed(Vec2(i32::MAX, i32::MIN), display), [0, 0, 0, 0]);
    }

    #[test]
    fn half_floats_are_encoded_like_floats() {
        for light in [f32::NAN, f32::INFINITY, -1.0, 0.0, 0.001, 0.3, 1.0, 70_000.0] {
            let apart = encode(f16::from_f32(light)).abs_diff(encode_srgb_byte(light));
            assert!(apart <= 1, "{light}");
        }
    }
}
