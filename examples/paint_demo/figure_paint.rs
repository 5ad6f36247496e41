//! Paints people: their limbs as one soft outline, in a few planes of light, with their shadow.

use crate::chance::noise;
use crate::colour::{display, step};
use crate::details::Easel;
use crate::figure::{Figure, Limb};
use crate::view::View;
use glam::{DVec2, DVec3, Vec2, Vec3};
use std::ops::Range;

/// A limb in the picture, pixels.
struct Outline {
    ends: [Vec2; 2],
    radii: [f32; 2],
    colour: Vec3,
}

impl Outline {
    /// Signed distance outside the limb, and the offset from its axis in radii.
    fn distance(&self, at: Vec2) -> (f32, Vec2) {
        let along = self.ends[1] - self.ends[0];
        let t = ((at - self.ends[0]).dot(along) / along.length_squared().max(1e-6)).clamp(0.0, 1.0);
        let radius = self.radii[0] + (self.radii[1] - self.radii[0]) * t;
        let off = at - (self.ends[0] + along * t);
        (off.length() - radius, off / radius.max(0.3))
    }
}

/// Outlines of a figure whose points are first moved by `place` (mirrored, thrown as a shadow),
/// far to near.
fn outlines(figure: &Figure, view: &View, place: impl Fn(DVec3) -> DVec3) -> Vec<Outline> {
    let mut limbs = figure.limbs();
    let away = |l: &Limb| (figure.to_world(l.ends[0].midpoint(l.ends[1])) - view.place()).length();
    limbs.sort_by(|a, b| away(b).total_cmp(&away(a)));
    limbs
        .iter()
        .filter_map(|l| {
            let world = l.ends.map(|e| place(figure.to_world(e)));
            let ends = [view.pixel(world[0])?.as_vec2(), view.pixel(world[1])?.as_vec2()];
            let radius = |i: usize| (l.radii[i] * figure.height * view.scale_at(world[i])) as f32;
            Some(Outline { ends, radii: [radius(0), radius(1)], colour: l.colour })
        })
        .collect()
}

/// Pixel bounds of outlines, clipped to the canvas.
fn bounds(outlines: &[Outline], width: usize, height: usize) -> (Range<usize>, Range<usize>) {
    let (mut low, mut high) = (Vec2::INFINITY, Vec2::NEG_INFINITY);
    for o in outlines {
        for i in 0..2 {
            low = low.min(o.ends[i] - o.radii[i] * 1.6 - 3.0);
            high = high.max(o.ends[i] + o.radii[i] * 1.6 + 3.0);
        }
    }
    let clip = |a: f32, b: f32, most: usize| {
        (a.max(0.0) as usize).min(most)..(b.max(0.0) as usize + 1).min(most)
    };
    (clip(low.x, high.x, width), clip(low.y, high.y, height))
}

/// Where a pixel lies on a figure: how much of it is covered, in which colour, and the offset
/// from the limbs' axes in radii.
struct Touch {
    cover: f32,
    colour: Vec3,
    off: Vec2,
}

/// Limbs melt into each other over `blend` pixels, as cloth does; `soft` is the width of the
/// outer edge, pixels.
fn touch(outlines: &[Outline], at: Vec2, blend: f32, soft: f32) -> Option<Touch> {
    let (mut total, mut off, mut colour, mut top) = (0.0, Vec2::ZERO, Vec3::ZERO, f32::MAX);
    for outline in outlines {
        let (distance, from_axis) = outline.distance(at);
        let weight = (-distance / blend).exp().min(1e6);
        total += weight;
        off += from_axis * weight;
        // Later limbs lie over earlier ones where both cover.
        if distance < blend * 0.3 || distance < top {
            colour = outline.colour;
            top = distance.min(0.0);
        }
    }
    let distance = -blend * total.max(1e-30).ln();
    let cover = (0.5 - distance / soft).clamp(0.0, 1.0);
    (cover > 0.0).then(|| Touch { cover, colour, off: off / total })
}

impl Easel<'_> {
    /// The figure itself, and its mirror image in a wet floor.
    pub(crate) fn person(&mut self, figure: &Figure) {
        let view = self.looker.view;
        if figure.mirrored > 0.0 {
            let flipped = |p: DVec3| DVec3::new(p.x, 2.0 * figure.foot.y - p.y, p.z);
            self.limbs(figure, &outlines(figure, view, flipped), figure.mirrored, f32::INFINITY);
        }
        let depth = (figure.foot - view.place()).length();
        let needed = if figure.careless { 0.0 } else { (depth * 0.985 - 0.4) as f32 };
        self.limbs(figure, &outlines(figure, view, |p| p), 1.0, needed);
    }

    /// Paints outlines where what was seen is farther than `needed` metres (for a mirror image:
    /// where the ground in front of the figure is seen).
    fn limbs(&mut self, figure: &Figure, outlines: &[Outline], opacity: f32, needed: f32) {
        let view = self.looker.view;
        let chest = figure.foot + DVec3::Y * 0.7 * figure.height;
        let lit = needed.is_finite() && self.sunlit(chest);
        let own = (figure.foot - view.place()).length() as f32;
        let tall = (figure.height * view.scale_at(figure.foot)) as f32;
        let (columns, rows) = bounds(outlines, self.canvas.width, self.canvas.height);
        for y in rows {
            for x in columns.clone() {
                // A hand's tremble on the outline.
                let wander = |seed| {
                    tall * 0.008
                        * (noise(
                            x as f64 * 15.0 / f64::from(tall),
                            y as f64 * 15.0 / f64::from(tall),
                            seed,
                        ) - 0.5)
                };
                let at = Vec2::new(x as f32 + 0.5 + wander(21), y as f32 + 0.5 + wander(25));
                let Some(touch) = touch(outlines, at, (tall * 0.011).max(0.35), 1.3) else {
                    continue;
                };
                let index = y * self.canvas.width + x;
                let depth = self.sight.spots[index].depth;
                let open = if needed.is_infinite() {
                    depth < own * 1.02 && depth > own * 0.5
                } else {
                    depth > needed
                };
                if open {
                    let light = self.cloth(
                        &touch,
                        lit,
                        x as f64 / f64::from(tall),
                        y as f64 / f64::from(tall),
                    );
                    let colour = self.seen(light, figure.foot);
                    self.canvas.dab(index, colour, touch.cover * opacity);
                }
            }
        }
    }

    /// Light from a touched limb, in the few planes that a brush would give it; (u, v) runs over
    /// the figure in figure heights.
    fn cloth(&self, touch: &Touch, sunlit: bool, u: f64, v: f64) -> Vec3 {
        let weather = self.looker.weather;
        let turn = self.looker.view.eye.rotation().transpose();
        let drag =
            Vec2::new(noise(u * 40.0, v * 14.0, 22) - 0.5, noise(u * 16.0, v * 30.0, 23) - 0.5);
        let off = touch.off + drag * 0.45;
        let out = off.length().min(1.0);
        let normal = turn
            * DVec3::new(f64::from(off.x), f64::from(off.y), -f64::from(1.0 - out * out).sqrt());
        let facing = normal.dot(weather.to_sun) as f32;
        let plane = 0.55 * step(0.05, 0.22, facing) + 0.45 * step(0.50, 0.68, facing);
        let sun = if sunlit { weather.sun * plane } else { weather.sun * 0.05 * plane };
        let up = 0.5 + 0.5 * normal.y as f32;
        let fold = 0.84 + 0.32 * noise(u * 55.0, v * 9.0, 24);
        touch.colour * fold * (sun + weather.sky * up * 0.85 + weather.bounce * (1.0 - up))
    }

    /// Cast shadow on the level, and the dark under the feet.
    pub(crate) fn shadow(&mut self, figure: &Figure) {
        let ground = figure.foot.y;
        if ground >= self.looker.view.eye_height {
            return;
        }
        let (view, to_sun) = (self.looker.view, self.looker.weather.to_sun);
        let tall = (figure.height * view.scale_at(figure.foot)) as f32;
        if to_sun.y > 0.05 && self.sunlit(figure.foot + DVec3::Y * 0.1) {
            let thrown = |p: DVec3| p - to_sun * ((p.y - ground) / to_sun.y);
            self.darken(&outlines(figure, view, thrown), ground, 0.62, (tall * 0.012).max(1.5));
        }
        let feet: Vec<_> = [-1.0, 1.0]
            .iter()
            .filter_map(|side| {
                view.pixel(figure.foot + DVec3::new(side * 0.07 * figure.height, 0.0, 0.0))
            })
            .map(DVec2::as_vec2)
            .collect();
        if let &[left, right] = feet.as_slice() {
            let pool =
                Outline { ends: [left, right], radii: [tall * 0.035; 2], colour: Vec3::ZERO };
            self.darken(&[pool], ground, 0.5, tall * 0.09);
        }
    }

    /// Darkens the ground under outlines whose edge is `soft` pixels wide.
    fn darken(&mut self, outlines: &[Outline], ground: f64, strength: f32, soft: f32) {
        let view = self.looker.view;
        let tint = display(self.looker.weather.sky) * 0.45;
        let (columns, rows) = bounds(outlines, self.canvas.width, self.canvas.height);
        for y in rows {
            for x in columns.clone() {
                let at = Vec2::new(x as f32 + 0.5, y as f32 + 0.5);
                let Some(touch) = touch(outlines, at, 0.8, soft) else { continue };
                let ray = view.ray(at.as_dvec2());
                let down = (ground - view.eye_height) / ray.y;
                let index = y * self.canvas.width + x;
                let depth = f64::from(self.sight.spots[index].depth);
                if down > 0.0 && (depth / down - 1.0).abs() < 0.03 {
                    let through = (-self.looker.weather.beta * down).exp() as f32;
                    let veiled = Vec3::splat(1.0 - strength) + tint * strength;
                    // Shadows that cross do not add up.
                    let darkest = self.sight.spots[index].colour * veiled * 0.92;
                    let dark = (self.canvas.paint[index] * veiled)
                        .max(darkest.min(self.canvas.paint[index]));
                    self.canvas.dab(index, dark, touch.cover * through);
                }
            }
        }
    }
}
