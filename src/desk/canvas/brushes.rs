//! What ink is stamped with: strokes of every width and round spots, drawn once into one texture. A
//! stroke is then four corners rather than the ten triangles that soft edges take otherwise, which
//! counts where there are thousands.

use egui::{Color32, ColorImage, Context, Rect, TextureHandle, TextureId, TextureOptions, pos2};
use std::collections::HashMap;

/// Sides of the texture, texels.
const SIDE: usize = 512;
/// Texels across a stroke, however wide it is.
const ACROSS: usize = 64;
/// Widths and radii are kept to this part of a pixel.
const STEPS: f32 = 4.0;
/// Widest stroke, pixels.
const WIDEST: f32 = 16.0;
/// The first row is white, for what is filled; after one that stays empty the strokes begin.
const STROKES: usize = 2;
/// Where the spots begin, and how much room each has, texels.
const SPOTS: usize = 80;
const CELL: usize = 40;
/// A spot fades out over this much around it, pixels.
const FADE: f32 = 1.0;

/// A texture with strokes of every width, and the spots that were needed so far.
pub(crate) struct Brushes {
    texture: TextureHandle,
    /// Which cell holds the ring between two radii, both in steps.
    spots: HashMap<(u16, u16), usize>,
}

/// How a stroke is stamped.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Stripe {
    /// Its row of the texture; across it runs from 0 to [`Stripe::END`].
    pub(crate) row: f32,
    /// Half of its width with its soft edge, pixels.
    pub(crate) reach: f32,
}

impl Stripe {
    pub(crate) const END: f32 = ACROSS as f32 / SIDE as f32;
}

/// How a spot is stamped.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Spot {
    pub(crate) uv: Rect,
    /// Half of its sides with its soft edge, pixels.
    pub(crate) reach: f32,
}

impl Brushes {
    pub(crate) fn new(ctx: &Context) -> Self {
        let texture = ctx.load_texture("ink brushes", strokes(), TextureOptions::LINEAR);
        Self { texture, spots: HashMap::new() }
    }

    pub(crate) fn texture(&self) -> TextureId {
        self.texture.id()
    }

    /// A stroke so many pixels wide; none if it is too wide.
    pub(crate) fn stroke(&self, width: f32) -> Option<Stripe> {
        let step = (width * STEPS).round().max(1.0);
        let row = (STROKES as f32 + step - 0.5) / SIDE as f32;
        (step <= WIDEST * STEPS).then_some(Stripe { row, reach: half_of(step) + FADE })
    }

    /// A ring between two radii, pixels; a spot if the inner one is 0. None if it is too large or the
    /// texture is full.
    pub(crate) fn ring(&mut self, inner: f32, outer: f32) -> Option<Spot> {
        let steps = [inner, outer].map(|radius| (radius * STEPS).round());
        let [inner, outer] = steps.map(|step| step / STEPS);
        let reach = outer + FADE;
        let fits = 2.0 * reach <= CELL as f32 - 2.0;
        if !fits {
            return None;
        }
        let (key, next) = ((steps[0] as u16, steps[1] as u16), self.spots.len());
        let at = match self.spots.get(&key) {
            Some(&at) => at,
            None => {
                let place = cell(next)?;
                self.texture.set_partial(place, spot(inner, outer), TextureOptions::LINEAR);
                self.spots.insert(key, next);
                next
            }
        };
        let [x, y] = cell(at)?.map(|texel| (texel + 1) as f32);
        let [min, max] = [0.0, CELL as f32 - 2.0].map(|by| pos2(x + by, y + by) / SIDE as f32);
        Some(Spot { uv: Rect::from_min_max(min, max), reach })
    }
}

/// Half of a width in steps, pixels.
fn half_of(step: f32) -> f32 {
    0.5 * step / STEPS
}

/// Where a cell lies in the texture.
fn cell(at: usize) -> Option<[usize; 2]> {
    const ROW: usize = SIDE / CELL;
    let y = SPOTS + at / ROW * CELL;
    (y + CELL <= SIDE).then_some([at % ROW * CELL, y])
}

/// Strokes of every width, one to a row.
fn strokes() -> ColorImage {
    let mut image = ColorImage::filled([SIDE, SIDE], Color32::TRANSPARENT);
    image.pixels[..SIDE].fill(Color32::WHITE);
    for step in 1..=(WIDEST * STEPS) as usize {
        let half = half_of(step as f32);
        for texel in 0..ACROSS {
            let across = (texel as f32 + 0.5) / ACROSS as f32 * 2.0 - 1.0;
            let inside = half + 0.5 - (across * (half + FADE)).abs();
            // What is narrower than a pixel is never wholly covered.
            let covered = inside.clamp(0.0, 1.0).min(2.0 * half);
            image.pixels[(STROKES + step - 1) * SIDE + texel] = white(covered);
        }
    }
    image
}

/// A ring between two radii, pixels, in the middle of a cell with an empty edge.
fn spot(inner: f32, outer: f32) -> ColorImage {
    let mut image = ColorImage::filled([CELL, CELL], Color32::TRANSPARENT);
    let per_texel = 2.0 * (outer + FADE) / (CELL - 2) as f32;
    for y in 1..CELL - 1 {
        for x in 1..CELL - 1 {
            let [x_off, y_off] = [x, y].map(|at| (at as f32 + 0.5 - 0.5 * CELL as f32) * per_texel);
            let from_middle = x_off.hypot(y_off);
            let within = (outer + 0.5 - from_middle).clamp(0.0, 1.0);
            let beyond =
                if inner > 0.0 { (from_middle - inner + 0.5).clamp(0.0, 1.0) } else { 1.0 };
            image.pixels[y * CELL + x] = white(within * beyond);
        }
    }
    image
}

fn white(covered: f32) -> Color32 {
    Color32::from_white_alpha((255.0 * covered).round() as u8)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// How much of a row of texels is covered, in pixels, when it is stretched over `reach` either side.
    fn covered(row: &[Color32], reach: f32) -> f32 {
        let sum: f32 = row.iter().map(|texel| f32::from(texel.a()) / 255.0).sum();
        sum * 2.0 * reach / row.len() as f32
    }

    #[test]
    fn a_stroke_covers_as_much_as_it_is_wide() {
        let (brushes, image) = (Brushes::new(&Context::default()), strokes());
        for width in [0.25, 0.75, 1.0, 1.5, 3.5, 8.0, 16.0] {
            let Stripe { row, reach } = brushes.stroke(width).expect("a row");
            let row = (row * SIDE as f32).floor() as usize;
            let texels = &image.pixels[row * SIDE..row * SIDE + ACROSS];
            let covered = covered(texels, reach);
            assert!((covered - width).abs() < 0.04 * width + 0.02, "{width}: {covered}");
        }
        assert_eq!(brushes.stroke(17.0), None);
    }

    #[test]
    fn a_spot_covers_its_area_and_a_ring_what_lies_between_its_radii() {
        for (inner, outer) in [(0.0, 2.0), (0.0, 6.0), (4.0, 5.5), (4.0, 7.5)] {
            let texel = (2.0 * (outer + FADE) / (CELL - 2) as f32).powi(2);
            let sum: f32 =
                spot(inner, outer).pixels.iter().map(|texel| f32::from(texel.a()) / 255.0).sum();
            let area = std::f32::consts::PI * (outer * outer - inner * inner);
            assert!((sum * texel / area - 1.0).abs() < 0.04, "{inner} {outer}: {}", sum * texel);
        }
    }

    #[test]
    fn what_was_drawn_once_is_stamped_again_and_a_full_texture_says_so() {
        let mut brushes = Brushes::new(&Context::default());
        let first = brushes.ring(0.0, 4.0).expect("room");
        let other = brushes.ring(4.0, 5.5).expect("room");
        assert!(!first.uv.intersects(other.uv));
        assert_eq!(brushes.ring(0.0, 4.02), Some(first));
        assert_eq!(brushes.ring(0.0, 40.0), None);
        assert_eq!(brushes.ring(0.0, f32::NAN), None);
        let many = (1..400).filter(|i| brushes.ring(0.0, 0.04 * *i as f32).is_some()).count();
        assert!(many > 60 && brushes.spots.len() <= 120);
    }
}
