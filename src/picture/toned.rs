//! The painting in a tone view.

use std::sync::Arc;

use crate::picture::Picture;
use crate::tile::{TileKey, TilePixels};
use crate::tone_curve::ToneCurve;

/// How colours are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tones {
    /// As they are.
    Colour,
    /// As the greys of the same luminance (Y of CIE 1931 with the shares of ITU-R BT.709-6, in
    /// linear light).
    Values,
    /// As so many flat greys, 1 to 5: the masses that the picture's own values group into with least
    /// loss, each in its mean L*. Even steps of L* would leave a picture in a low key in one tone, and
    /// quantiles would give every mass the same area.
    Flat(u8),
}

/// What is seen of the painting.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToneView {
    /// How colours are shown.
    pub tones: Tones,
    /// How far half closed eyes spread the light: the standard deviation of a Gaussian, as a share
    /// of the picture's longer side. None leaves it sharp.
    pub squint: Option<f64>,
}

impl ToneView {
    /// The painting as it is.
    pub const PLAIN: Self = Self { tones: Tones::Colour, squint: None };
}

/// A picture in a tone view, handed out in tiles like the picture itself.
#[derive(Clone, Debug)]
pub struct Toned {
    ground: Arc<Picture>,
    curve: Option<ToneCurve>,
}

impl Toned {
    /// What takes long enough to be felt is done here, once: meant for a thread of its own.
    pub fn new(picture: &Arc<Picture>, view: ToneView) -> Self {
        let ground = match view.squint {
            Some(radius) => Arc::new(picture.squinted(radius)),
            None => Arc::clone(picture),
        };
        let curve = match view.tones {
            Tones::Colour => None,
            Tones::Values => Some(ToneCurve::values()),
            Tones::Flat(count) => {
                Some(ToneCurve::flat(ground.last_level(), usize::from(count.clamp(1, 5))))
            }
        };
        Self { ground, curve }
    }

    /// The picture whose levels and tiles these are. After a squint it is much smaller than the
    /// painting, of the same shape but for less than one of its own pixels, and to be shown smoothed.
    pub fn ground(&self) -> &Picture {
        &self.ground
    }

    /// The pixels of a tile of [`Toned::ground`]; None if it has no such tile.
    pub fn tile_pixels(&self, key: TileKey) -> Option<TilePixels> {
        let mut pixels = self.ground.tile_pixels(key)?;
        if let Some(curve) = &self.curve {
            curve.apply(&mut pixels);
        }
        Some(pixels)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pixels::{Channels, Pixels, Size};

    /// The left half red, the right half blue.
    fn halves(width: u32, height: u32) -> Arc<Picture> {
        let pixel = |x| if x < width / 2 { [255, 0, 0] } else { [0, 0, 255] };
        let samples = (0..height).flat_map(|_| (0..width).flat_map(pixel)).collect();
        let pixels = Pixels::new(Size { width, height }, Channels::Rgb, samples).unwrap();
        Arc::new(Picture::new(pixels, 1024))
    }

    fn pixel(toned: &Toned, x: u32, y: u32) -> [u8; 4] {
        let tile = toned.tile_pixels(TileKey { level: 0, column: 0, row: 0 }).unwrap();
        tile.rgba.as_chunks().0[(y * tile.size.width + x) as usize]
    }

    #[test]
    fn the_view_decides_what_a_pixel_is_shown_as() {
        let picture = halves(80, 40);
        let shown = |tones, squint| {
            let toned = Toned::new(&picture, ToneView { tones, squint });
            [pixel(&toned, 0, 0), pixel(&toned, 79, 39)]
        };
        assert_eq!(shown(Tones::Colour, None), [[255, 0, 0, 255], [0, 0, 255, 255]]);
        assert_eq!(shown(Tones::Values, None), [[127, 127, 127, 255], [76, 76, 76, 255]]);
        assert_eq!(shown(Tones::Values, Some(0.01)), shown(Tones::Values, None));
        // Two masses, L* 53.2 and 32.3: each is its own tone, to the nearest half step.
        assert_eq!(shown(Tones::Flat(2), None), [[127, 127, 127, 255], [76, 76, 76, 255]]);
        let [one, other] = shown(Tones::Flat(1), None);
        assert_eq!(one, other);
    }

    #[test]
    fn a_squint_is_small_and_keeps_the_shape() {
        let squinted = halves(4000, 1702).squinted(0.01);
        assert_eq!(squinted.size(), Size { width: 500, height: 213 });
        assert_eq!(squinted.levels(), 1);
    }

    #[test]
    fn a_squint_mixes_light_where_colours_meet() {
        let toned =
            Toned::new(&halves(800, 40), ToneView { tones: Tones::Colour, squint: Some(0.01) });
        let width = toned.ground().size().width;
        let [red, _, blue, _] = pixel(&toned, width / 2, 10);
        assert!(red.abs_diff(188) < 20 && blue.abs_diff(188) < 20, "{red} {blue}");
    }

    #[test]
    fn a_radius_that_makes_no_sense_blurs_nothing() {
        let picture = halves(80, 40);
        for radius in [f64::NAN, -1.0, 0.0] {
            assert_eq!(picture.squinted(radius).size(), picture.size(), "{radius}");
        }
        assert!(picture.squinted(f64::INFINITY).size().width >= 1);
    }
}
