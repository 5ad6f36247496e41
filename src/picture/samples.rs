//! From the samples a file holds to the 8-bit samples that are kept.

use image::ColorType;
use rayon::prelude::*;

use crate::pixels::{Channels, Pixels, Size};

/// Reduces decoded samples to 8 bits; None for a layout not known here.
///
/// `raw` holds rows without padding in native byte order, as `image` decoders write them.
pub(crate) fn to_pixels(size: Size, layout: ColorType, raw: Vec<u8>) -> Option<Pixels> {
    use Channels::{Grey, Rgb, RgbaPremultiplied};
    let (channels, samples) = match layout {
        ColorType::L8 => (Grey, raw),
        ColorType::Rgb8 => (Rgb, raw),
        ColorType::Rgba8 => (RgbaPremultiplied, premultiplied_in_place(raw)),
        ColorType::La8 => (
            RgbaPremultiplied,
            convert(size, &raw, |&[grey, alpha]: &[u8; 2]| premultiply([grey, grey, grey, alpha])),
        ),
        ColorType::L16 => (Grey, convert(size, &raw, narrow::<2, 1>)),
        ColorType::Rgb16 => (Rgb, convert(size, &raw, narrow::<6, 3>)),
        ColorType::Rgba16 => (
            RgbaPremultiplied,
            convert(size, &raw, |pixel: &[u8; 8]| premultiply(narrow::<8, 4>(pixel))),
        ),
        ColorType::La16 => (
            RgbaPremultiplied,
            convert(size, &raw, |pixel: &[u8; 4]| {
                let [grey, alpha] = narrow::<4, 2>(pixel);
                premultiply([grey, grey, grey, alpha])
            }),
        ),
        ColorType::Rgb32F => (Rgb, convert(size, &raw, encode_opaque)),
        ColorType::Rgba32F => (RgbaPremultiplied, convert(size, &raw, encode_transparent)),
        _ => return None,
    };
    Pixels::new(size, channels, samples)
}

/// Converts pixel by pixel, from `IN` bytes each to `OUT` bytes each, rows in parallel.
fn convert<const IN: usize, const OUT: usize>(
    size: Size,
    raw: &[u8],
    pixel: impl Fn(&[u8; IN]) -> [u8; OUT] + Sync,
) -> Vec<u8> {
    let width = size.width as usize;
    let mut samples = vec![0; width * size.height as usize * OUT];
    samples.par_chunks_mut(width * OUT).zip(raw.par_chunks(width * IN)).for_each(|(to, from)| {
        for (to, from) in to.as_chunks_mut().0.iter_mut().zip(from.as_chunks().0) {
            *to = pixel(from);
        }
    });
    samples
}

fn premultiplied_in_place(mut samples: Vec<u8>) -> Vec<u8> {
    const BYTES_AT_ONCE: usize = 1 << 16;
    samples.par_chunks_mut(BYTES_AT_ONCE).for_each(premultiply_each);
    samples
}

/// Multiplies each RGBA pixel by its alpha.
pub(crate) fn premultiply_each(samples: &mut [u8]) {
    for pixel in samples.as_chunks_mut().0 {
        *pixel = premultiply(*pixel);
    }
}

/// Big-endian samples of 16 bits to samples of 8.
pub(crate) fn narrow_big_endian(wide: &[u8], narrow: &mut [u8]) {
    for (narrow, wide) in narrow.iter_mut().zip(wide.as_chunks().0) {
        *narrow = rounded(u16::from_be_bytes(*wide));
    }
}

fn premultiply([red, green, blue, alpha]: [u8; 4]) -> [u8; 4] {
    let times_alpha = |value: u8| ((u16::from(value) * u16::from(alpha) + 127) / 255) as u8;
    [times_alpha(red), times_alpha(green), times_alpha(blue), alpha]
}

fn narrow<const IN: usize, const OUT: usize>(pixel: &[u8; IN]) -> [u8; OUT] {
    std::array::from_fn(|channel| {
        rounded(u16::from_ne_bytes([pixel[2 * channel], pixel[2 * channel + 1]]))
    })
}

/// A 16-bit sample rounded to 8: 65535 = 255 · 257.
fn rounded(value: u16) -> u8 {
    ((u32::from(value) + 128) / 257) as u8
}

fn floats<const IN: usize, const COUNT: usize>(pixel: &[u8; IN]) -> [f32; COUNT] {
    let (values, _) = pixel.as_chunks::<4>();
    std::array::from_fn(|channel| f32::from_ne_bytes(values[channel]))
}

fn encode_opaque(pixel: &[u8; 12]) -> [u8; 3] {
    floats::<12, 3>(pixel).map(encode_srgb_byte)
}

fn encode_transparent(pixel: &[u8; 16]) -> [u8; 4] {
    let [red, green, blue, alpha] = floats::<16, 4>(pixel);
    encode_associated([red, green, blue], alpha)
}

/// Linear light with alpha multiplied in → encoded values with alpha multiplied in.
///
/// The colour is freed of its alpha for the encoding, since the curve is not linear. Light without
/// any alpha (a glow) has no colour to free: it is encoded as it is and adds to what lies below.
pub(crate) fn encode_associated(light: [f32; 3], alpha: f32) -> [u8; 4] {
    let alpha = unit(alpha);
    let encoded = if alpha > 0.0 {
        light.map(|light| encode_srgb(light / alpha) * alpha)
    } else {
        light.map(encode_srgb)
    };
    let [red, green, blue] = encoded.map(to_byte);
    [red, green, blue, to_byte(alpha)]
}

/// Linear light to an encoded 8-bit value.
pub(crate) fn encode_srgb_byte(light: f32) -> u8 {
    to_byte(encode_srgb(light))
}

/// The sRGB curve, IEC 61966-2-1: linear light to encoded value, clamped to 0–1; NaN gives 0.
pub(crate) fn encode_srgb(light: f32) -> f32 {
    let light = unit(light);
    if light <= 0.003_130_8 { 12.92 * light } else { 1.055 * light.powf(1.0 / 2.4) - 0.055 }
}

fn unit(value: f32) -> f32 {
    if value.is_nan() { 0.0 } else { value.clamp(0.0, 1.0) }
}

fn to_byte(value: f32) -> u8 {
    (value * 255.0).round() as u8
}

#[cfg(test)]
mod tests {
    use super::*;

    const ONE: Size = Size { width: 1, height: 1 };

    fn one_pixel(layout: ColorType, raw: Vec<u8>) -> Vec<u8> {
        to_pixels(ONE, layout, raw).unwrap().into_samples()
    }

    fn of_floats(values: &[f32]) -> Vec<u8> {
        values.iter().flat_map(|value| value.to_ne_bytes()).collect()
    }

    fn of_words(values: &[u16]) -> Vec<u8> {
        values.iter().flat_map(|value| value.to_ne_bytes()).collect()
    }

    #[test]
    fn sixteen_bits_round_to_eight() {
        for (wide, narrow) in [(0, 0), (128, 0), (129, 1), (257, 1), (65_406, 254), (65_535, 255)] {
            assert_eq!(one_pixel(ColorType::L16, of_words(&[wide])), [narrow], "{wide}");
        }
    }

    #[test]
    fn linear_light_follows_the_srgb_curve() {
        // IEC 61966-2-1: the straight part below 0.0031308; linear 0.3185 is encoded 0.6.
        let encoded = one_pixel(ColorType::Rgb32F, of_floats(&[0.001, 0.318_547, 1.0]));
        assert_eq!(encoded, [3, 153, 255]);
    }

    #[test]
    fn light_outside_the_range_is_clamped() {
        let wild = of_floats(&[-3.0, f32::NAN, f32::INFINITY]);
        assert_eq!(one_pixel(ColorType::Rgb32F, wild), [0, 0, 255]);
    }

    #[test]
    fn alpha_is_premultiplied_on_encoded_values() {
        assert_eq!(one_pixel(ColorType::Rgba8, vec![255, 100, 0, 128]), [128, 50, 0, 128]);
        assert_eq!(one_pixel(ColorType::La8, vec![200, 0]), [0, 0, 0, 0]);
        let half = of_words(&[65_535, 0, 0, 32_896]);
        assert_eq!(one_pixel(ColorType::Rgba16, half), [128, 0, 0, 128]);
    }

    #[test]
    fn alpha_in_linear_light_is_already_multiplied_in() {
        // White at 0.6 cover: freed of alpha it is 1.0, encoded 1.0, times alpha again.
        let thin_white = of_floats(&[0.6, 0.6, 0.6, 0.6]);
        assert_eq!(one_pixel(ColorType::Rgba32F, thin_white), [153, 153, 153, 153]);
        let glow = of_floats(&[0.318_547, 0.0, 0.0, 0.0]);
        assert_eq!(one_pixel(ColorType::Rgba32F, glow), [153, 0, 0, 0]);
    }
}
