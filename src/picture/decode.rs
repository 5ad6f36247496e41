//! From a file to pixels.

use std::path::Path;

use image::metadata::Orientation;
use image::{DynamicImage, ImageBuffer, ImageDecoder};

use crate::error::PictureError;
use crate::kind::Kind;
use crate::limits::Limits;
use crate::openexr;
use crate::pixels::{Channels, Pixels, Size};
use crate::progress::{Progress, Stage};
use crate::samples;
use crate::source::{self, Reader, Source};
use crate::striped::{self, Striped};

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
    let size = match source.kind {
        Kind::OpenExr => openexr::size(&source, reader)?,
        _ => {
            let mut decoder = source.decoder(reader)?;
            seen_size(stored_size(&decoder), orientation(&mut decoder))
        }
    };
    Ok(Probe { kind: source.kind, size })
}

/// Decodes the file at `path` into 8-bit pixels.
///
/// Takes memory for the samples as the file stores them and once more for their 8-bit form where
/// that differs or the picture is turned, beside what the decoder of that kind needs to work. A
/// plain PNG takes a sixteenth more than its 8-bit form.
/// Together that stays under 2.5 times the stored samples; a progressive JPEG whose coefficients alone
/// would take twice the samples is decoded one component at a time.
///
/// # Errors
///
/// See [`PictureError`].
pub fn decode(path: &Path, limits: &Limits, progress: &Progress) -> Result<Pixels, PictureError> {
    decode_begun(path, limits, progress).map(|decoded| decoded.pixels)
}

/// Decoded pixels, and what was made of them on the way.
pub(crate) struct Decoded {
    pub(crate) pixels: Pixels,
    /// The first of their halvings that is stored, if it came with the decoding.
    pub(crate) reduced: Option<Pixels>,
}

impl From<Pixels> for Decoded {
    fn from(pixels: Pixels) -> Self {
        Self { pixels, reduced: None }
    }
}

/// As [`decode`], and with the first halving where it can be had on the way.
pub(crate) fn decode_begun(
    path: &Path,
    limits: &Limits,
    progress: &Progress,
) -> Result<Decoded, PictureError> {
    progress.enter(Stage::Opening);
    let (source, mut reader) = source::open(path, limits, progress)?;
    let decoded = match source.kind {
        Kind::OpenExr => openexr::decode(&source, reader)?.into(),
        Kind::Jpeg => {
            source.refuse_cut_off_jpeg(&mut reader)?;
            decode_plain(&source, reader)?.into()
        }
        Kind::Png => match striped::decode(&source, reader) {
            Some(Striped { pixels, reduced }) => Decoded { pixels, reduced: Some(reduced) },
            None => {
                let (source, reader) = source::open(path, limits, progress)?;
                decode_plain(&source, reader)?.into()
            }
        },
        _ => decode_plain(&source, reader)?.into(),
    };
    source.stop_if_cancelled()?;
    let size = decoded.pixels.size();
    tracing::debug!(path = %path.display(), kind = %source.kind, %size, "decoded");
    Ok(decoded)
}

/// Decodes what the `image` crate decodes well.
fn decode_plain(source: &Source<'_>, reader: Reader) -> Result<Pixels, PictureError> {
    let mut decoder = source.decoder(reader)?;
    let (size, layout) = (stored_size(&decoder), decoder.color_type());
    let bytes = source.room_for(size, decoder.total_bytes())?;
    let orientation = orientation(&mut decoder);
    let raw = source.samples(decoder, size, bytes)?;
    let pixels = samples::to_pixels(size, layout, raw)
        .ok_or_else(|| source.unsupported(format!("{layout:?} samples")))?;
    source.stop_if_cancelled()?;
    Ok(turned(pixels, orientation))
}

pub(crate) fn stored_size(decoder: &impl ImageDecoder) -> Size {
    let (width, height) = decoder.dimensions();
    Size { width, height }
}

/// The turn the file asks for; none if what it says about it is damaged, since that alone need not
/// keep anyone from seeing the picture.
pub(crate) fn orientation(decoder: &mut impl ImageDecoder) -> Orientation {
    decoder.orientation().unwrap_or_else(|error| {
        tracing::debug!(%error, "orientation not readable");
        Orientation::NoTransforms
    })
}

/// The size of a picture stored at `stored` once it is turned.
pub(crate) fn seen_size(stored: Size, orientation: Orientation) -> Size {
    use Orientation::{Rotate90, Rotate90FlipH, Rotate270, Rotate270FlipH};
    match orientation {
        Rotate90 | Rotate270 | Rotate90FlipH | Rotate270FlipH => {
            Size { width: stored.height, height: stored.width }
        }
        _ => stored,
    }
}

/// The picture turned and flipped as `orientation` says; half turns and flips are done in place.
fn turned(pixels: Pixels, orientation: Orientation) -> Pixels {
    let (Size { width, height }, channels) = (pixels.size(), pixels.channels());
    let size = seen_size(pixels.size(), orientation);
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
            assert_eq!(picture.size(), seen_size(letters().size(), orientation));
        }
    }
}
