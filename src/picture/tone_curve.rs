//! The grey that a colour is shown as.

use rayon::prelude::*;

use crate::flat_tones::{FlatTones, Histogram};
use crate::luminance::{WHITE, luminance, luminance_of};
use crate::pixels::{Channels, Pixels};
use crate::samples::encode_srgb_byte;
use crate::tile::TilePixels;

/// The encoded grey for every luminance.
#[derive(Clone, Debug)]
pub(crate) struct ToneCurve(Vec<u8>);

impl ToneCurve {
    /// The grey of the same luminance.
    pub(crate) fn values() -> Self {
        Self::from_luminance(|value| f64::from(value) / f64::from(WHITE))
    }

    /// The flat tone of the picture's values that comes nearest.
    pub(crate) fn flat(picture: &Pixels, count: usize) -> Self {
        match FlatTones::of(&histogram(picture), count) {
            Some(tones) => Self::of_tones(&tones),
            None => Self::values(),
        }
    }

    /// The tone of these that a luminance goes with.
    pub(crate) fn of_tones(tones: &FlatTones) -> Self {
        Self::from_luminance(|value| luminance_of(tones.tone(value)))
    }

    fn from_luminance(shown: impl Fn(u16) -> f64) -> Self {
        Self((0..=WHITE).map(|value| encode_srgb_byte(shown(value) as f32)).collect())
    }

    /// What an encoded colour is shown as.
    pub(crate) fn grey(&self, rgb: [u8; 3]) -> u8 {
        self.0[usize::from(luminance(rgb))]
    }

    /// Shows a tile in grey.
    pub(crate) fn apply(&self, pixels: &mut TilePixels) {
        const BYTES_AT_ONCE: usize = 1 << 16;
        pixels.rgba.par_chunks_mut(BYTES_AT_ONCE).for_each(|run| {
            for pixel in run.as_chunks_mut::<4>().0 {
                *pixel = self.shown(*pixel);
            }
        });
    }

    fn shown(&self, [red, green, blue, alpha]: [u8; 4]) -> [u8; 4] {
        let grey = self.grey(freed([red, green, blue], alpha));
        let grey = match alpha {
            0 | 255 => grey,
            _ => ((u16::from(grey) * u16::from(alpha) + 127) / 255) as u8,
        };
        [grey, grey, grey, alpha]
    }
}

/// A colour without the alpha that was multiplied in. Light without any alpha has none to free.
fn freed(rgb: [u8; 3], alpha: u8) -> [u8; 3] {
    match u16::from(alpha) {
        0 | 255 => rgb,
        alpha => rgb.map(|value| ((u16::from(value) * 255 + alpha / 2) / alpha).min(255) as u8),
    }
}

/// How much of a picture has which value; what is half transparent counts half.
fn histogram(picture: &Pixels) -> Histogram {
    let mut histogram = Histogram::new();
    let samples = picture.samples();
    match picture.channels() {
        Channels::Grey => {
            samples.iter().for_each(|grey| histogram.add(luminance([*grey; 3]), 255));
        }
        Channels::Rgb => {
            samples.as_chunks().0.iter().for_each(|rgb| histogram.add(luminance(*rgb), 255));
        }
        Channels::RgbaPremultiplied => {
            for &[red, green, blue, alpha] in samples.as_chunks().0 {
                histogram.add(luminance(freed([red, green, blue], alpha)), u64::from(alpha));
            }
        }
    }
    histogram
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pixels::Size;

    #[test]
    fn values_of_the_primaries_are_the_greys_of_their_luminance() {
        // Y of BT.709-6 (0.2126, 0.7152, 0.0722) on the curve of IEC 61966-2-1, by hand:
        // 1.055 · Y^(1/2.4) − 0.055 = 0.4985, 0.8627, 0.2979, times 255.
        let values = ToneCurve::values();
        assert_eq!(values.shown([255, 0, 0, 255]), [127, 127, 127, 255]);
        assert_eq!(values.shown([0, 255, 0, 255]), [220, 220, 220, 255]);
        assert_eq!(values.shown([0, 0, 255, 255]), [76, 76, 76, 255]);
    }

    #[test]
    fn a_grey_keeps_its_value() {
        let values = ToneCurve::values();
        for grey in 0..=255 {
            assert_eq!(values.shown([grey, grey, grey, 255]), [grey, grey, grey, 255]);
        }
    }

    #[test]
    fn what_shows_through_keeps_its_alpha() {
        let values = ToneCurve::values();
        assert_eq!(values.shown([128, 0, 0, 128]), [64, 64, 64, 128]);
        assert_eq!(values.shown([0, 0, 0, 0]), [0, 0, 0, 0]);
    }

    #[test]
    fn flat_tones_leave_only_so_many_greys() {
        let size = Size { width: 256, height: 1 };
        let ramp = Pixels::new(size, Channels::Grey, (0..=255).collect()).unwrap();
        for count in 2..=5 {
            let flat = ToneCurve::flat(&ramp, count);
            let mut greys: Vec<u8> = (0..=255).map(|grey| flat.grey([grey; 3])).collect();
            assert!(greys.is_sorted());
            greys.dedup();
            assert_eq!(greys.len(), count);
        }
    }

    #[test]
    fn what_cannot_be_seen_makes_no_tone() {
        let size = Size { width: 3, height: 1 };
        let samples = vec![0, 0, 0, 0, 90, 90, 90, 255, 200, 200, 200, 255];
        let picture = Pixels::new(size, Channels::RgbaPremultiplied, samples).unwrap();
        let flat = ToneCurve::flat(&picture, 2);
        for grey in [90u8, 200] {
            assert!(flat.grey([grey; 3]).abs_diff(grey) <= 1);
        }
    }
}
