//! The flat tones of a picture at full depth, to be written rather than shown.

use rayon::prelude::*;

use crate::flat_tones::{FlatTones, Histogram};
use crate::luminance::{luminance, luminance_of};
use crate::raster::{Depth, Layout, Raster};
use crate::samples::encode_srgb_byte;
use crate::tone_curve::ToneCurve;

/// One of the tones that a picture's values group into.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mass {
    /// Its mean L* (CIE 1976), 0 to 100.
    pub lightness: f64,
    /// The share of the picture that is shown in it, 0 to 1.
    pub share: f64,
    /// Its grey, sRGB-encoded.
    pub grey: u8,
}

/// The few flat tones of a picture, as [`Tones::Flat`](crate::Tones::Flat) shows them.
#[derive(Clone, Debug)]
pub struct Masses {
    tones: Vec<Mass>,
    curve: ToneCurve,
}

impl Masses {
    /// The `count` tones (1 to 5) that lose least of a picture in encoded samples, or as many as it has different
    /// values. None for a picture of which nothing can be seen, or one in linear light.
    #[must_use]
    pub fn of(picture: &Raster, count: u8) -> Option<Self> {
        let layout = picture.layout();
        if layout.depth == Depth::Float {
            return None;
        }
        let rows = picture.samples().par_chunks(picture.size().width as usize * layout.bytes());
        let histogram = rows
            .fold(Histogram::new, |mut histogram, row| {
                for pixel in row.chunks_exact(layout.bytes()) {
                    let [r, g, b, a] = in_bytes(pixel, layout);
                    histogram.add(luminance([r, g, b]), a.into());
                }
                histogram
            })
            .reduce(Histogram::new, |a, b| a.merged(&b));
        let flat = FlatTones::of(&histogram, usize::from(count.clamp(1, 5)))?;
        let tones = flat.shares(&histogram).into_iter().map(|(lightness, share)| Mass {
            lightness,
            share,
            grey: encode_srgb_byte(luminance_of(lightness) as f32),
        });
        Some(Self { tones: tones.collect(), curve: ToneCurve::of_tones(&flat) })
    }

    /// The tones, from dark to light.
    #[must_use]
    pub fn tones(&self) -> &[Mass] {
        &self.tones
    }

    /// The grey that a pixel of this layout, in encoded samples, is shown as, and its alpha.
    #[must_use]
    pub fn shown(&self, pixel: &[u8], layout: Layout) -> [u8; 2] {
        let [r, g, b, a] = in_bytes(pixel, layout);
        [self.curve.grey([r, g, b]), a]
    }
}

/// An encoded pixel's colours and straight alpha, 8 bits each.
fn in_bytes(pixel: &[u8], Layout { depth, colour, alpha }: Layout) -> [u8; 4] {
    let sample = |i: usize| match depth {
        Depth::Sixteen => {
            let value = u16::from_ne_bytes([pixel[2 * i], pixel[2 * i + 1]]);
            ((u32::from(value) + 128) / 257) as u8
        }
        _ => pixel[i],
    };
    match (colour, alpha) {
        (true, true) => [0, 1, 2, 3].map(sample),
        (true, false) => [sample(0), sample(1), sample(2), 255],
        (false, true) => [sample(0), sample(0), sample(0), sample(1)],
        (false, false) => [sample(0), sample(0), sample(0), 255],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pixels::Size;

    /// Three quarters dark, one quarter light, a little noise in both.
    fn two(layout: Layout) -> Raster {
        let size = Size { width: 80, height: 50 };
        let mut samples = Vec::new();
        for i in 0..size.pixels() as usize {
            let noise = (i * 7 % 5) as u8;
            let value = if i % 80 < 60 { 50 + noise } else { 200 + noise };
            for _ in 0..layout.channels() - usize::from(layout.alpha) {
                match layout.depth {
                    Depth::Eight => samples.push(value),
                    _ => samples.extend((u16::from(value) * 257).to_ne_bytes()),
                }
            }
            if layout.alpha {
                samples.extend(vec![255; layout.depth.bytes()]);
            }
        }
        Raster::new(size, layout, samples).unwrap()
    }

    #[test]
    fn tones_are_the_masses_with_their_shares_at_every_depth() {
        for depth in [Depth::Eight, Depth::Sixteen] {
            for (colour, alpha) in [(true, false), (true, true), (false, false), (false, true)] {
                let layout = Layout { depth, colour, alpha };
                let picture = two(layout);
                let masses = Masses::of(&picture, 2).unwrap();
                let [dark, light] = masses.tones() else { panic!("{:?}", masses.tones()) };
                assert_eq!((dark.share, light.share), (0.75, 0.25));
                assert!(dark.grey.abs_diff(52) <= 1 && light.grey.abs_diff(202) <= 1, "{masses:?}");
                assert!(dark.lightness < 25.0 && light.lightness > 75.0);
                let last = &picture.samples()[79 * layout.bytes()..80 * layout.bytes()];
                assert_eq!(masses.shown(last, layout), [light.grey, 255]);
            }
        }
    }

    #[test]
    fn glass_counts_for_nothing_and_linear_light_has_to_be_encoded_first() {
        let size = Size { width: 2, height: 1 };
        let layout = Layout { depth: Depth::Eight, colour: true, alpha: true };
        let half = Raster::new(size, layout, vec![9, 9, 9, 255, 250, 250, 250, 0]).unwrap();
        assert_eq!(Masses::of(&half, 5).unwrap().tones().len(), 1);
        let clear = Raster::new(size, layout, vec![0; 8]).unwrap();
        assert!(Masses::of(&clear, 2).is_none());
        let light =
            Raster::new(size, Layout { depth: Depth::Float, ..layout }, vec![0; 32]).unwrap();
        assert!(Masses::of(&light, 2).is_none());
    }
}
