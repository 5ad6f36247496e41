//! What is left of a picture when one half closes one's eyes: its masses.
//!
//! Light that the eye spreads adds up as light, so the blur is taken in linear light: a fine pattern
//! of black and white becomes the grey of half the light (encoded 188), as it does at a distance, and
//! not the darker one of half the encoded value.

use std::cmp::Ordering;

use rayon::prelude::*;

use crate::luminance::DECODED;
use crate::pixels::{Channels, Pixels, Size};
use crate::samples::{encode_associated, encode_srgb_byte};

/// The picture reduced `reduction` times along both sides, and blurred with a Gaussian of standard
/// deviation `sigma`, in reduced pixels. What lies outside the picture counts for nothing, so that a
/// plain picture stays as it is up to its edges.
pub(crate) fn squint(picture: &Pixels, reduction: u32, sigma: f32) -> Pixels {
    match picture.channels() {
        Channels::Grey => encoded(
            &blurred(reduced(picture, reduction, |&[grey]| [light(grey)]), sigma),
            Channels::Grey,
            |&[grey]| [encode_srgb_byte(grey)],
        ),
        Channels::Rgb => encoded(
            &blurred(reduced(picture, reduction, |rgb: &[u8; 3]| rgb.map(light)), sigma),
            Channels::Rgb,
            |rgb| rgb.map(encode_srgb_byte),
        ),
        Channels::RgbaPremultiplied => encoded(
            &blurred(reduced(picture, reduction, associated), sigma),
            Channels::RgbaPremultiplied,
            |&[red, green, blue, alpha]| encode_associated([red, green, blue], alpha),
        ),
    }
}

fn light(value: u8) -> f32 {
    DECODED[usize::from(value)]
}

/// Encoded values with alpha multiplied in → linear light with alpha multiplied in.
fn associated(&[red, green, blue, alpha]: &[u8; 4]) -> [f32; 4] {
    let cover = f32::from(alpha) / 255.0;
    let [red, green, blue] = [red, green, blue].map(|value| match alpha {
        0 | 255 => light(value),
        _ => cover * light((f32::from(value) / cover).round().min(255.0) as u8),
    });
    [red, green, blue, cover]
}

/// Linear light, `N` values to a pixel.
struct Light<const N: usize> {
    size: Size,
    values: Vec<[f32; N]>,
}

/// Means over squares of `reduction` pixels a side, over what there is of them at the right and
/// lower edges.
fn reduced<const N: usize>(
    picture: &Pixels,
    reduction: u32,
    light: impl Fn(&[u8; N]) -> [f32; N] + Sync,
) -> Light<N> {
    let Size { width, height } = picture.size();
    let size = Size { width: width.div_ceil(reduction), height: height.div_ceil(reduction) };
    let mut values = vec![[0.0; N]; size.pixels() as usize];
    let rows = values.par_chunks_mut(size.width as usize).enumerate();
    rows.for_each(|(row, out)| {
        let first = row as u32 * reduction;
        let last = (first + reduction).min(height);
        for row in first..last {
            let (pixels, _) = picture.row(row, 0, width).as_chunks::<N>();
            for (out, pixels) in out.iter_mut().zip(pixels.chunks(reduction as usize)) {
                let share = 1.0 / (pixels.len() as f32 * (last - first) as f32);
                for pixel in pixels {
                    let light = light(pixel);
                    (0..N).for_each(|n| out[n] += share * light[n]);
                }
            }
        }
    });
    Light { size, values }
}

/// The right half of a Gaussian that is cut off at three standard deviations, where 0.3 % of it is
/// left; the sum is not 1.
fn half_kernel(sigma: f32, longest: u32) -> Vec<f32> {
    let reach = if sigma > 0.0 { (3.0 * sigma).ceil().min(longest as f32) as usize } else { 0 };
    (0..=reach)
        .map(|at| if at == 0 { 1.0 } else { (-0.5 * (at as f32 / sigma).powi(2)).exp() })
        .collect()
}

/// One after the other along the rows and down the columns.
fn blurred<const N: usize>(light: Light<N>, sigma: f32) -> Light<N> {
    let Light { size, values } = light;
    let (width, height) = (size.width as usize, size.height as usize);
    let kernel = half_kernel(sigma, size.width.max(size.height));
    let taps = taps(&kernel);
    let along = weights(&kernel, width);
    let mut across = vec![[0.0; N]; values.len()];
    across.par_chunks_mut(width).zip(values.par_chunks(width)).for_each(|(out, row)| {
        for (offset, weight) in &taps {
            let (from, to) = overlap(*offset, width);
            add(&mut out[to..], &row[from..], *weight);
        }
        for (out, weight) in out.iter_mut().zip(&along) {
            *out = out.map(|value| value / weight);
        }
    });
    let down = weights(&kernel, height);
    let mut values = values;
    values.par_chunks_mut(width).enumerate().for_each(|(row, out)| {
        out.fill([0.0; N]);
        for (offset, weight) in &taps {
            let from = row as isize + offset;
            if (0..height as isize).contains(&from) {
                add(out, &across[from as usize * width..], *weight / down[row]);
            }
        }
    });
    Light { size, values }
}

/// The whole kernel: (offset, weight).
fn taps(half: &[f32]) -> Vec<(isize, f32)> {
    let reach = half.len() as isize - 1;
    (-reach..=reach).map(|offset| (offset, half[offset.unsigned_abs()])).collect()
}

/// How much of the kernel lies inside, about every pixel of a side.
fn weights(half: &[f32], side: usize) -> Vec<f32> {
    let inside =
        |at: usize, offset: isize| at.checked_add_signed(offset).is_some_and(|at| at < side);
    let taps = taps(half);
    (0..side)
        .map(|at| taps.iter().filter(|(offset, _)| inside(at, *offset)).map(|(_, w)| w).sum())
        .collect()
}

/// Where a row moved by `offset` is read from and written to first.
fn overlap(offset: isize, width: usize) -> (usize, usize) {
    let by = offset.unsigned_abs().min(width);
    match offset.cmp(&0) {
        Ordering::Less => (0, by),
        Ordering::Equal => (0, 0),
        Ordering::Greater => (by, 0),
    }
}

fn add<const N: usize>(out: &mut [[f32; N]], from: &[[f32; N]], weight: f32) {
    for (out, from) in out.as_flattened_mut().iter_mut().zip(from.as_flattened()) {
        *out += weight * from;
    }
}

fn encoded<const N: usize>(
    light: &Light<N>,
    channels: Channels,
    encode: impl Fn(&[f32; N]) -> [u8; N] + Sync,
) -> Pixels {
    let mut samples = vec![[0; N]; light.values.len()];
    samples.par_iter_mut().zip(&light.values).for_each(|(out, light)| *out = encode(light));
    let samples = samples.into_flattened();
    Pixels::new(light.size, channels, samples).expect("a sample was written for each that was read")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grey(width: u32, height: u32, samples: Vec<u8>) -> Pixels {
        Pixels::new(Size { width, height }, Channels::Grey, samples).unwrap()
    }

    #[test]
    fn a_fine_pattern_becomes_the_grey_of_half_its_light() {
        // IEC 61966-2-1: half the light of white is encoded 187.5.
        let chequered = (0..64 * 64).map(|i| if (i % 64 + i / 64) % 2 == 0 { 255 } else { 0 });
        let squinted = squint(&grey(64, 64, chequered.collect()), 2, 2.0);
        assert_eq!(squinted.size(), Size { width: 32, height: 32 });
        assert!(squinted.samples().iter().all(|v| *v == 188), "{:?}", &squinted.samples()[..8]);
    }

    #[test]
    fn a_plain_picture_stays_as_it_is_up_to_its_edges() {
        let size = Size { width: 37, height: 11 };
        for (channels, pixel) in [
            (Channels::Grey, vec![93]),
            (Channels::Rgb, vec![200, 90, 3]),
            (Channels::RgbaPremultiplied, vec![100, 45, 2, 128]),
        ] {
            let samples = pixel.repeat(size.pixels() as usize);
            let plain = Pixels::new(size, channels, samples).unwrap();
            let squinted = squint(&plain, 3, 4.0);
            for (value, expected) in squinted.samples().iter().zip(pixel.iter().cycle()) {
                assert!(value.abs_diff(*expected) <= 1, "{channels:?} {value} {expected}");
            }
        }
    }

    #[test]
    fn a_spot_of_light_spreads_as_a_gaussian() {
        let mut samples = vec![0; 61 * 61];
        samples[30 * 61 + 30] = 255;
        let spot = reduced(&grey(61, 61, samples), 1, |&[grey]: &[u8; 1]| [light(grey)]);
        let spread = blurred(spot, 3.0);
        let at = |x: usize, y: usize| spread.values[y * 61 + x][0];
        // exp(-r² / 2σ²) of the middle, whichever way one goes.
        for (x, y, expected) in [(33, 30, 0.606_53), (30, 27, 0.606_53), (33, 33, 0.367_88)] {
            let ratio = at(x, y) / at(30, 30);
            assert!((ratio - expected).abs() < 1e-4, "{ratio} {expected}");
        }
        let sum: f32 = spread.values.as_flattened().iter().sum();
        assert!((sum - 1.0).abs() < 1e-4, "{sum}");
    }

    #[test]
    fn no_blur_and_no_reduction_change_nothing() {
        let picture = grey(3, 2, vec![0, 10, 60, 128, 200, 255]);
        assert_eq!(squint(&picture, 1, 0.0), picture);
        let one = grey(1, 1, vec![77]);
        assert_eq!(squint(&one, 1, 50.0), one);
    }
}
