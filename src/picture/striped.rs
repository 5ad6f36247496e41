//! A PNG in stripes: while one is decoded, those before it are made ready to be seen on the other cores.

use png::{BitDepth, ColorType};

use crate::halve::{halve_rows, quarter_rows};
use crate::picture::first_stored;
use crate::pixels::{Channels, Pixels, Size};
use crate::progress::Stage;
use crate::samples::{narrow_big_endian, premultiply_each};
use crate::source::{Reader, Source};

/// Rows to a stripe, a multiple of four: those of a painting 10,000 pixels wide take 2 MB, which are still in a cache
/// when they are halved.
const ROWS: usize = 64;

/// A picture and the first of its halvings that is stored.
pub(crate) struct Striped {
    pub(crate) pixels: Pixels,
    pub(crate) reduced: Pixels,
}

/// Decodes what paint programs save: grey, RGB or RGBA with 8 or 16 bits, neither interlaced nor turned. `None` for any
/// other PNG, and for one with something amiss: it is for the plain way to decode it, or to say what is wrong.
///
/// Takes memory for the 8-bit samples and a sixteenth more (of a small picture a quarter) for the halving, whatever
/// the depth of the file.
pub(crate) fn decode(source: &Source<'_>, reader: Reader) -> Option<Striped> {
    let limits = png::Limits { bytes: usize::try_from(source.limits.max_bytes).ok()? };
    let mut reader = png::Decoder::new_with_limits(reader, limits).read_info().ok()?;
    let info = reader.info();
    let is_usual = !info.interlaced
        && info.trns.is_none()
        && info.animation_control.is_none()
        && info.exif_metadata.is_none();
    let channels = match info.color_type {
        ColorType::Grayscale => Channels::Grey,
        ColorType::Rgb => Channels::Rgb,
        ColorType::Rgba => Channels::RgbaPremultiplied,
        ColorType::Indexed | ColorType::GrayscaleAlpha => return None,
    };
    let bytes = match info.bit_depth {
        BitDepth::Eight => 1,
        BitDepth::Sixteen => 2,
        BitDepth::One | BitDepth::Two | BitDepth::Four => return None,
    };
    let size = Size { width: info.width, height: info.height };
    let samples = size.pixels().checked_mul(channels.count() as u64)?;
    source.room_for(size, samples.checked_mul(bytes as u64)?).ok().filter(|_| is_usual)?;

    source.progress.enter(Stage::Decoding);
    let twice = first_stored(size) == 2;
    let reduced_size = if twice { size.halved().halved() } else { size.halved() };
    let [row, reduced_row] =
        [size, reduced_size].map(|size| size.width as usize * channels.count());
    let mut samples = vec![0; row * size.height as usize];
    let mut reduced = vec![0; reduced_row * reduced_size.height as usize];
    let reduced_rows = if twice { ROWS / 4 } else { ROWS / 2 };
    let stripes =
        samples.chunks_mut(ROWS * row).zip(reduced.chunks_mut(reduced_rows * reduced_row));
    rayon::in_place_scope(|scope| {
        for (stripe, reduced) in stripes {
            let deep = if bytes == 2 {
                let mut deep = vec![0; 2 * stripe.len()];
                read_rows(&mut reader, &mut deep, 2 * row)?;
                Some(deep)
            } else {
                read_rows(&mut reader, stripe, row)?;
                None
            };
            scope.spawn(move |_| {
                if let Some(deep) = deep {
                    narrow_big_endian(&deep, stripe);
                }
                if channels == Channels::RgbaPremultiplied {
                    premultiply_each(stripe);
                }
                if twice {
                    quarter_rows(channels, row, stripe, reduced);
                } else {
                    halve_rows(channels, row, stripe, reduced);
                }
            });
        }
        reader.finish().ok()
    })?;
    Some(Striped {
        pixels: Pixels::new(size, channels, samples)?,
        reduced: Pixels::new(reduced_size, channels, reduced)?,
    })
}

/// Fills whole rows of so many bytes each.
fn read_rows(reader: &mut png::Reader<Reader>, to: &mut [u8], row: usize) -> Option<()> {
    for row in to.chunks_exact_mut(row) {
        reader.read_row(row).ok()??;
    }
    Some(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::halve::halve;
    use crate::limits::Limits;
    use crate::progress::Progress;
    use crate::samples::to_pixels;
    use crate::source;
    use image::{ColorType as Layout, DynamicImage, ImageFormat, Rgba, Rgba32FImage};
    use std::path::Path;

    fn at(path: &Path) -> Option<Striped> {
        let (limits, progress) = (Limits::default(), Progress::default());
        let (source, reader) = source::open(path, &limits, &progress).expect("a picture");
        decode(&source, reader)
    }

    fn picture(width: u32, height: u32) -> DynamicImage {
        Rgba32FImage::from_fn(width, height, |x, y| {
            let share = |value: u32, by: u32| (value * 37 % by) as f32 / by as f32;
            Rgba([share(x, 101), share(y, 89), share(x * y, 53), share(x + y, 11)])
        })
        .into()
    }

    #[test]
    fn stripes_are_the_picture_that_another_decoder_sees_and_its_halving() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("painting.png");
        for (width, height) in [(1, 1), (7, 64), (33, 65), (50, 201), (2051, 2049)] {
            let picture = picture(width, height);
            for layout in [
                DynamicImage::from(picture.to_luma8()),
                picture.to_rgb8().into(),
                picture.to_rgba8().into(),
                picture.to_luma16().into(),
                picture.to_rgb16().into(),
                picture.to_rgba16().into(),
            ] {
                layout.save(&path).expect("saved");
                let seen = image::open(&path).expect("a picture");
                let (size, color) = (Size { width, height }, seen.color());
                let expected = to_pixels(size, color, seen.into_bytes()).expect("a known layout");
                let striped = at(&path).expect("a usual picture");
                assert!(striped.pixels == expected, "{color:?} {size}");
                let half = halve(&expected);
                let reduced = if size.pixels() > 1 << 22 { halve(&half) } else { half };
                assert!(striped.reduced == reduced, "{color:?} {size}");
            }
        }
    }

    #[test]
    fn what_is_unusual_or_cut_off_is_left_to_the_plain_way() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("painting.png");
        let picture = picture(40, 150);
        picture.to_luma_alpha8().save(&path).expect("saved");
        assert_eq!(image::open(&path).expect("a picture").color(), Layout::La8);
        assert!(at(&path).is_none());
        let mut bytes = std::io::Cursor::new(Vec::new());
        picture.to_rgb8().write_to(&mut bytes, ImageFormat::Png).expect("encoded");
        let bytes = bytes.into_inner();
        std::fs::write(&path, &bytes[..bytes.len() * 2 / 3]).expect("written");
        assert!(at(&path).is_none());
    }
}
