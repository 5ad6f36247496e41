//! From a file to pixels.

use std::path::Path;

use image::metadata::Orientation;
use image::{DynamicImage, ImageBuffer, ImageDecoder};

use crate::error::{Excess, PictureError};
use crate::kind::Kind;
use crate::limits::Limits;
use crate::pixels::{Channels, Pixels, Size};
use crate::progress::{Progress, Stage};
use crate::samples;
use crate::source::{self, Source};

/// What a picture file says of itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Probe {
    /// Its kind, by content.
    pub kind: Kind,
    /// Its width and height as seen, orientation applied. Held against no limit.
    pub size: Size,
}

/// Reads kind and size of the file at `path` without decoding it.
///
/// # Errors
///
/// See [`PictureError`]; damage beyond the header goes unnoticed.
pub fn probe(path: &Path) -> Result<Probe, PictureError> {
    let (limits, progress) = (Limits::default(), Progress::default());
    let (source, reader) = source::open(path, &limits, &progress)?;
    let mut decoder = source.decoder(reader)?;
    let size = stored_size(&decoder);
    let size = if turns_on_its_side(orientation(&mut decoder)) {
        Size { width: size.height, height: size.width }
    } else {
        size
    };
    Ok(Probe { kind: source.kind, size })
}

/// Decodes the file at `path` into 8-bit pixels.
///
/// Takes memory for the samples as the file stores them and once more for their 8-bit form where
/// that differs or the picture is turned, beside what the decoder of that kind needs to work.
/// Together that stays under 2.5 times the stored samples, except for progressive JPEG, whose
/// coefficients alone take twice the samples.
///
/// # Errors
///
/// See [`PictureError`].
pub fn decode(path: &Path, limits: &Limits, progress: &Progress) -> Result<Pixels, PictureError> {
    progress.enter(Stage::Opening);
    let (source, mut reader) = source::open(path, limits, progress)?;
    if source.kind == Kind::Jpeg {
        source.refuse_cut_off_jpeg(&mut reader)?;
    }
    let mut decoder = source.decoder(reader)?;
    let (size, layout) = (stored_size(&decoder), decoder.color_type());
    let orientation = orientation(&mut decoder);
    let mut raw = room_for(&source, size, decoder.total_bytes())?;

    progress.enter(Stage::Decoding);
    decoder.read_image(&mut raw).map_err(|error| source.explain(error))?;
    source.stop_if_cancelled()?;
    let pixels = samples::to_pixels(size, layout, raw)
        .ok_or_else(|| source.unsupported(format!("{layout:?} samples")))?;
    source.stop_if_cancelled()?;
    tracing::debug!(path = %path.display(), kind = %source.kind, %size, ?orientation, "decoded");
    Ok(turned(pixels, orientation))
}

fn stored_size(decoder: &impl ImageDecoder) -> Size {
    let (width, height) = decoder.dimensions();
    Size { width, height }
}

/// A buffer for `bytes` of samples, if the limits and the machine allow it.
fn room_for(source: &Source<'_>, size: Size, bytes: u64) -> Result<Vec<u8>, PictureError> {
    source.limits.check(size, bytes).map_err(|excess| source.too_large(excess))?;
    let no_room = || source.too_large(Excess::Machine { size });
    let bytes = usize::try_from(bytes).map_err(|_| no_room())?;
    // `vec!` gets pages that are zero already but ends the program when there are none; so the
    // question is put first in a way that can be answered with no.
    Vec::<u8>::new().try_reserve_exact(bytes).map_err(|_| no_room())?;
    Ok(vec![0; bytes])
}

/// The turn the file asks for; none if what it says about it is damaged, since that alone need not
/// keep anyone from seeing the picture.
fn orientation(decoder: &mut impl ImageDecoder) -> Orientation {
    decoder.orientation().unwrap_or_else(|error| {
        tracing::debug!(%error, "orientation not readable");
        Orientation::NoTransforms
    })
}

fn turns_on_its_side(orientation: Orientation) -> bool {
    use Orientation::{Rotate90, Rotate90FlipH, Rotate270, Rotate270FlipH};
    matches!(orientation, Rotate90 | Rotate270 | Rotate90FlipH | Rotate270FlipH)
}

/// The picture turned and flipped as `orientation` says; half turns and flips are done in place.
fn turned(pixels: Pixels, orientation: Orientation) -> Pixels {
    let (Size { width, height }, channels) = (pixels.size(), pixels.channels());
    let samples = pixels.into_samples();
    let fits = "the buffer held a picture of this size";
    let mut image = match channels {
        Channels::Grey => {
            DynamicImage::ImageLuma8(ImageBuffer::from_raw(width, height, samples).expect(fits))
        }
        Channels::Rgb => {
            DynamicImage::ImageRgb8(ImageBuffer::from_raw(width, height, samples).expect(fits))
        }
        Channels::RgbaPremultiplied => {
            DynamicImage::ImageRgba8(ImageBuffer::from_raw(width, height, samples).expect(fits))
        }
    };
    image.apply_orientation(orientation);
    let size = Size { width: image.width(), height: image.height() };
    Pixels::new(size, channels, image.into_bytes()).expect("turning keeps the number of pixels")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rows "ab", "cd", "ef".
    fn letters() -> Pixels {
        let size = Size { width: 2, height: 3 };
        Pixels::new(size, Channels::Grey, b"abcdef".to_vec()).unwrap()
    }

    #[test]
    fn turning_moves_corners_where_exif_says() {
        // Exif 2.32, tag 0x0112: where row 0 and column 0 of the stored picture are seen.
        for (exif, width, seen) in [
            (1, 2, b"abcdef"), // top, left
            (2, 2, b"badcfe"), // top, right
            (3, 2, b"fedcba"), // bottom, right
            (4, 2, b"efcdab"), // bottom, left
            (5, 3, b"acebdf"), // left, top
            (6, 3, b"ecafdb"), // right, top
            (7, 3, b"fdbeca"), // right, bottom
            (8, 3, b"bdface"), // left, bottom
        ] {
            let orientation = Orientation::from_exif(exif).unwrap();
            let picture = turned(letters(), orientation);
            assert_eq!(picture.samples(), seen, "orientation {exif}");
            assert_eq!(picture.size().width, width, "orientation {exif}");
            assert_eq!(turns_on_its_side(orientation), width == 3, "orientation {exif}");
        }
    }
}
