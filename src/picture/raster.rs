//! A whole picture at the depth that its file has.

use std::fmt;
use std::path::Path;

use image::metadata::Orientation;
use image::{ColorType, ImageDecoder};
use rayon::prelude::*;

use crate::decode::{orientation, seen_size, stored_size};
use crate::error::PictureError;
use crate::kind::Kind;
use crate::limits::Limits;
use crate::openexr_deep;
use crate::pixels::Size;
use crate::progress::{Progress, Stage};
use crate::samples::encode_srgb;
use crate::source::{self, Reader, Source};

/// What a sample is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Depth {
    /// 0 to 255, encoded.
    Eight,
    /// 0 to 65,535, encoded.
    Sixteen,
    /// 32-bit floating point, linear light.
    Float,
}

impl Depth {
    /// Bytes of a sample.
    pub fn bytes(self) -> usize {
        match self {
            Self::Eight => 1,
            Self::Sixteen => 2,
            Self::Float => 4,
        }
    }
}

/// What the samples of a pixel are: grey or red, green and blue; then alpha, where there is one. Alpha
/// is straight with encoded samples and multiplied in with linear light, as PNG and OpenEXR have it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Layout {
    /// What a sample is.
    pub depth: Depth,
    /// Whether there are red, green and blue instead of grey.
    pub colour: bool,
    /// Whether there is alpha.
    pub alpha: bool,
}

impl Layout {
    /// Samples of a pixel.
    pub fn channels(self) -> usize {
        usize::from(self.alpha) + if self.colour { 3 } else { 1 }
    }

    /// Bytes of a pixel.
    pub fn bytes(self) -> usize {
        self.channels() * self.depth.bytes()
    }
}

/// A whole picture as its file has it, the turn that the file asks for applied: rows from the top, pixels
/// from the left, samples interleaved in the machine's byte order, without padding. Never empty.
#[derive(Clone, PartialEq, Eq)]
pub struct Raster {
    size: Size,
    layout: Layout,
    samples: Vec<u8>,
    profile: Option<Vec<u8>>,
    half: bool,
}

impl Raster {
    /// A picture of these samples; None if it would be empty or their number does not fit the size.
    pub fn new(size: Size, layout: Layout, samples: Vec<u8>) -> Option<Self> {
        let expected = size.pixels().checked_mul(layout.bytes() as u64)?;
        let fits = expected > 0 && samples.len() as u64 == expected;
        fits.then_some(Self { size, layout, samples, profile: None, half: false })
    }

    /// Reads the file at `path`.
    ///
    /// Takes memory for the samples as the file stores them, and once more while the picture is turned,
    /// beside what the decoder of that kind needs to work. `progress` tells others how far it is and lets
    /// them cancel.
    ///
    /// # Errors
    ///
    /// See [`PictureError`].
    pub fn read(path: &Path, limits: &Limits, progress: &Progress) -> Result<Self, PictureError> {
        progress.enter(Stage::Opening);
        let (source, mut reader) = source::open(path, limits, progress)?;
        let raster = match source.kind {
            Kind::OpenExr => openexr_deep::read(&source, reader)?,
            Kind::Jpeg => {
                source.refuse_cut_off_jpeg(&mut reader)?;
                read_plain(&source, reader)?
            }
            _ => read_plain(&source, reader)?,
        };
        source.stop_if_cancelled()?;
        progress.enter(Stage::Done);
        Ok(raster)
    }

    /// Width and height.
    pub fn size(&self) -> Size {
        self.size
    }

    /// What the samples of a pixel are.
    pub fn layout(&self) -> Layout {
        self.layout
    }

    /// All samples.
    pub fn samples(&self) -> &[u8] {
        &self.samples
    }

    /// The colour profile in the file (ICC), which is handed on and not applied.
    pub fn profile(&self) -> Option<&[u8]> {
        self.profile.as_deref()
    }

    /// Whether the file has floating-point samples of 16 bits, so that nothing is gained by writing more.
    pub fn is_half(&self) -> bool {
        self.half
    }

    /// The same picture in encoded samples: what is linear light gets 16 bits and the curve of IEC 61966-2-1,
    /// clamped to 0–1, its alpha taken out of the colours. Encoded samples stay as they are.
    #[must_use]
    pub fn encoded(self) -> Self {
        let Layout { depth, alpha, .. } = self.layout;
        if depth != Depth::Float {
            return self;
        }
        let channels = self.layout.channels();
        let mut samples = vec![0; self.samples.len() / 2];
        let pixels = self.samples.par_chunks_exact(4 * channels);
        samples.par_chunks_exact_mut(2 * channels).zip(pixels).for_each(|(to, from)| {
            let values = from.as_chunks::<4>().0;
            let value = |i: usize| f32::from_ne_bytes(values[i]);
            let cover = if alpha { value(channels - 1).clamp(0.0, 1.0) } else { 1.0 };
            for (i, to) in to.as_chunks_mut::<2>().0.iter_mut().enumerate() {
                let encoded = match i {
                    i if alpha && i == channels - 1 => cover,
                    i if cover > 0.0 => encode_srgb(value(i) / cover),
                    _ => 0.0,
                };
                *to = ((65_535.0 * encoded).round() as u16).to_ne_bytes();
            }
        });
        let layout = Layout { depth: Depth::Sixteen, ..self.layout };
        Self { layout, samples, half: false, ..self }
    }

    /// How many pixels are transparent, wholly or in part, of those that `wanted` takes by column and row. What lacks
    /// no more than a level of 8 bits counts as opaque, as blending may leave it so by rounding.
    pub fn count_transparent(&self, wanted: impl Fn(u32, u32) -> bool + Sync) -> u64 {
        if !self.layout.alpha {
            return 0;
        }
        let is_clear = |alpha: &[u8]| match *alpha {
            [alpha] => alpha < 254,
            [a, b] => u16::from_ne_bytes([a, b]) < 254 * 257,
            [a, b, c, d] => {
                let alpha = f32::from_ne_bytes([a, b, c, d]);
                alpha.is_nan() || alpha < 254.0 / 255.0
            }
            _ => false,
        };
        let bytes = self.layout.bytes();
        let alpha = bytes - self.layout.depth.bytes();
        let in_row = |row: u32| {
            let pixels = (0..).zip(self.row(row).chunks_exact(bytes));
            pixels.filter(|(x, pixel)| is_clear(&pixel[alpha..]) && wanted(*x, row)).count() as u64
        };
        (0..self.size.height).into_par_iter().map(in_row).sum()
    }

    /// The same picture, known to have been stored in 16-bit floating point.
    pub(crate) fn halved_depth(self, half: bool) -> Self {
        Self { half, ..self }
    }

    /// The bytes of row `row`.
    pub(crate) fn row(&self, row: u32) -> &[u8] {
        let length = self.size.width as usize * self.layout.bytes();
        &self.samples[row as usize * length..][..length]
    }
}

impl fmt::Debug for Raster {
    /// Leaves out the samples, of which there are millions.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { size, layout, .. } = self;
        f.debug_struct("Raster").field("size", size).field("layout", layout).finish_non_exhaustive()
    }
}

/// Reads what the `image` crate decodes well.
fn read_plain(source: &Source<'_>, reader: Reader) -> Result<Raster, PictureError> {
    let mut decoder = source.decoder(reader)?;
    let (stored, colours) = (stored_size(&decoder), decoder.color_type());
    let layout =
        layout(colours).ok_or_else(|| source.unsupported(format!("{colours:?} samples")))?;
    let bytes = source.room_for(stored, decoder.total_bytes())?;
    let orientation = orientation(&mut decoder);
    let profile = decoder.icc_profile().unwrap_or_else(|error| {
        tracing::debug!(%error, "colour profile not readable");
        None
    });
    let raw = source.samples(decoder, stored, bytes)?;
    let samples = turned(raw, stored, layout.bytes(), orientation);
    let raster = Raster::new(seen_size(stored, orientation), layout, samples);
    let raster = raster.ok_or_else(|| source.damaged("it has not as many pixels as it says"))?;
    Ok(Raster { profile, ..raster })
}

/// What a sample of the file at `path` is, without decoding it.
///
/// # Errors
///
/// See [`PictureError`]; damage beyond the header goes unnoticed.
pub fn depth(path: &Path) -> Result<Depth, PictureError> {
    let (limits, progress) = (Limits::default(), Progress::default());
    let (source, reader) = source::open(path, &limits, &progress)?;
    if source.kind == Kind::OpenExr {
        return Ok(Depth::Float);
    }
    let colours = source.decoder(reader)?.color_type();
    let layout =
        layout(colours).ok_or_else(|| source.unsupported(format!("{colours:?} samples")))?;
    Ok(layout.depth)
}

fn layout(colours: ColorType) -> Option<Layout> {
    use ColorType::{L8, L16, La8, La16, Rgb8, Rgb16, Rgb32F, Rgba8, Rgba16, Rgba32F};
    let depth = match colours {
        L8 | La8 | Rgb8 | Rgba8 => Depth::Eight,
        L16 | La16 | Rgb16 | Rgba16 => Depth::Sixteen,
        Rgb32F | Rgba32F => Depth::Float,
        _ => return None,
    };
    Some(Layout { depth, colour: colours.has_color(), alpha: colours.has_alpha() })
}

/// The pixels, of `bytes` bytes each, turned and flipped as `orientation` says.
fn turned(raw: Vec<u8>, stored: Size, bytes: usize, orientation: Orientation) -> Vec<u8> {
    use Orientation::*;
    if orientation == NoTransforms {
        return raw;
    }
    let (width, height) = (stored.width as usize, stored.height as usize);
    let seen = seen_size(stored, orientation);
    let mut samples = Vec::with_capacity(raw.len());
    for y in 0..seen.height as usize {
        for x in 0..seen.width as usize {
            let (column, row) = match orientation {
                NoTransforms => (x, y),
                FlipHorizontal => (width - 1 - x, y),
                Rotate180 => (width - 1 - x, height - 1 - y),
                FlipVertical => (x, height - 1 - y),
                Rotate90FlipH => (y, x),
                Rotate90 => (y, height - 1 - x),
                Rotate270FlipH => (width - 1 - y, height - 1 - x),
                Rotate270 => (width - 1 - y, x),
            };
            samples.extend_from_slice(&raw[(row * width + column) * bytes..][..bytes]);
        }
    }
    samples
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turning_moves_corners_where_exif_says() {
        // Exif 2.32, tag 0x0112; rows "ab", "cd", "ef" as stored.
        let stored = Size { width: 2, height: 3 };
        for (exif, seen) in [
            (1, "abcdef"),
            (2, "badcfe"),
            (3, "fedcba"),
            (4, "efcdab"),
            (5, "acebdf"),
            (6, "ecafdb"),
            (7, "fdbeca"),
            (8, "bdface"),
        ] {
            let orientation = Orientation::from_exif(exif).unwrap();
            let wide: Vec<u8> = b"abcdef".iter().flat_map(|&letter| [letter, b'.']).collect();
            let turned = turned(wide, stored, 2, orientation);
            let letters: Vec<u8> = turned.into_iter().step_by(2).collect();
            assert_eq!(letters, seen.as_bytes(), "orientation {exif}");
        }
    }

    #[test]
    fn linear_light_is_encoded_with_the_curve_and_freed_of_its_alpha() {
        let layout = Layout { depth: Depth::Float, colour: true, alpha: true };
        // Linear 0.3185 is encoded 0.6; at half cover it is stored as half of that.
        let light = [0.318_547_f32, 4.0, -1.0, 1.0, 0.159_273_5, 0.0, f32::NAN, 0.5];
        let samples = light.into_iter().flat_map(f32::to_ne_bytes).collect();
        let size = Size { width: 2, height: 1 };
        let encoded = Raster::new(size, layout, samples).unwrap().encoded();
        assert_eq!(encoded.layout(), Layout { depth: Depth::Sixteen, ..layout });
        let words = encoded.samples().as_chunks::<2>().0.iter().map(|w| u16::from_ne_bytes(*w));
        let words: Vec<u16> = words.collect();
        assert_eq!(words, [39_321, 65_535, 0, 65_535, 39_321, 0, 0, 32_768]);
    }

    #[test]
    fn what_rounding_leaves_of_alpha_is_opaque_and_glass_is_not() {
        let size = Size { width: 4, height: 1 };
        let count = |depth, samples: Vec<u8>| {
            let layout = Layout { depth, colour: false, alpha: true };
            Raster::new(size, layout, samples).unwrap().count_transparent(|_, _| true)
        };
        assert_eq!(count(Depth::Eight, vec![9, 255, 9, 254, 9, 253, 9, 0]), 2);
        let words = [0_u16, 65_535, 0, 65_300, 0, 65_000, 0, 1];
        assert_eq!(
            count(Depth::Sixteen, words.into_iter().flat_map(u16::to_ne_bytes).collect()),
            2
        );
        let light = [0.5_f32, 1.0, 0.5, 0.997, 0.5, 0.99, 0.5, f32::NAN];
        assert_eq!(count(Depth::Float, light.into_iter().flat_map(f32::to_ne_bytes).collect()), 2);
    }

    #[test]
    fn samples_must_fit_the_size() {
        let layout = Layout { depth: Depth::Sixteen, colour: true, alpha: true };
        assert_eq!((layout.channels(), layout.bytes()), (4, 8));
        let size = Size { width: 2, height: 3 };
        assert!(Raster::new(size, layout, vec![0; 48]).is_some());
        assert!(Raster::new(size, layout, vec![0; 47]).is_none());
        assert!(Raster::new(Size { width: 0, height: 3 }, layout, vec![]).is_none());
    }
}
