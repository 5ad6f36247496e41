//! Pixels that came from outside, as a picture file to be painted on.

use crate::png::Outlet;
use crate::{HandoverError, Rows};
use png::{BitDepth, ColorType, Compression, Encoder, SrgbRenderingIntent};
use std::io::{self, Write};
use std::ops::ControlFlow;

/// Rows between two times that `watch` is asked.
const BAND: usize = 64;

/// Writes pixels (red, green, blue and straight alpha, sRGB, row by row from the top left) as a PNG with
/// 8 bits: without alpha where nothing is transparent, as a painting is.
///
/// # Errors
/// [`HandoverError::Unwritable`] when `out` cannot be written to or the pixels are not as many as `size`
/// says, [`HandoverError::Cancelled`] when `watch` breaks. What was written by then is no picture.
pub fn write_painting(
    rgba: &[u8],
    size: (u32, u32),
    out: &mut dyn Write,
    watch: &mut dyn FnMut(Rows) -> ControlFlow<()>,
) -> Result<(), HandoverError> {
    let mut outlet = Outlet::new(out);
    let encoded = encode(rgba, size, &mut outlet, watch);
    outlet.result(encoded)
}

fn encode(
    rgba: &[u8],
    (width, height): (u32, u32),
    out: &mut Outlet<'_>,
    watch: &mut dyn FnMut(Rows) -> ControlFlow<()>,
) -> Result<(), HandoverError> {
    let expected = 4 * u64::from(width) * u64::from(height);
    if rgba.len() as u64 != expected {
        let why = format!("{width} × {height} px take {expected} bytes, not {}", rgba.len());
        return Err(io::Error::new(io::ErrorKind::InvalidInput, why).into());
    }
    let opaque = rgba.chunks_exact(4).all(|pixel| pixel[3] == 255);
    let mut encoder = Encoder::new(out, width, height);
    encoder.set_color(if opaque { ColorType::Rgb } else { ColorType::Rgba });
    encoder.set_depth(BitDepth::Eight);
    encoder.set_compression(Compression::Fast);
    encoder.set_source_srgb(SrgbRenderingIntent::Perceptual);
    let mut writer = encoder.write_header()?;
    let mut stream = writer.stream_writer()?;
    let mut done = 0;
    for band in rgba.chunks(BAND * 4 * width as usize) {
        if opaque {
            let rgb: Vec<u8> = band.chunks_exact(4).flat_map(|p| [p[0], p[1], p[2]]).collect();
            stream.write_all(&rgb)?;
        } else {
            stream.write_all(band)?;
        }
        done += (band.len() / (4 * width as usize)) as u32;
        if watch(Rows { done, of: height }).is_break() {
            return Err(HandoverError::Cancelled);
        }
    }
    stream.finish()?;
    Ok(writer.finish()?)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(rgba: &[u8], size: (u32, u32)) -> image::DynamicImage {
        let mut png = Vec::new();
        write_painting(rgba, size, &mut png, &mut |_| ControlFlow::Continue(())).unwrap();
        image::load_from_memory(&png).unwrap()
    }

    #[test]
    fn pixels_come_back_as_they_were_and_opaque_ones_without_alpha() {
        let opaque: Vec<u8> = (0..=255).flat_map(|i: u8| [i, 255 - i, i / 2, 255]).collect();
        let picture = written(&opaque, (2, 128));
        assert!(!picture.color().has_alpha());
        assert_eq!(picture.into_rgba8().into_raw(), opaque);
        let glass = [10, 20, 30, 40, 50, 60, 70, 255];
        let picture = written(&glass, (2, 1));
        assert!(picture.color().has_alpha());
        assert_eq!(picture.into_rgba8().into_raw(), glass);
    }

    #[test]
    fn pixels_that_are_too_few_too_many_or_none_are_refused() {
        for (rgba, size) in [(vec![0; 12], (2, 2)), (Vec::new(), (0, 0)), (vec![0; 8], (1, 1))] {
            let written =
                write_painting(&rgba, size, &mut Vec::new(), &mut |_| ControlFlow::Continue(()));
            assert!(written.is_err(), "{size:?}");
        }
    }

    #[test]
    fn it_can_be_given_up() {
        let written =
            write_painting(&[9; 4000], (10, 100), &mut Vec::new(), &mut |_| ControlFlow::Break(()));
        assert!(matches!(written, Err(HandoverError::Cancelled)));
    }
}
