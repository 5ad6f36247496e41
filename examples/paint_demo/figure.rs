//! People: a few rounded limbs in space, seen from wherever the eye is, in paint with a lit and
//! a shadowed side.

use crate::chance::{Chance, noise};
use crate::colour::{display, paint};
use crate::details::Easel;
use crate::view::View;
use glam::{DVec3, Vec2, Vec3};

/// One person standing on a level.
pub struct Figure {
    /// Between the feet.
    pub foot: DVec3,
    /// Crown over foot, metres, as painted.
    pub height: f64,
    pub pose: Pose,
    pub dress: Dress,
    /// How strongly the ground mirrors the figure.
    pub mirrored: f32,
    /// Painted over everything, even over nearer things: a slip of the brush.
    pub careless: bool,
}

#[derive(Clone, Copy)]
pub struct Pose {
    /// Which way it faces, radians about the plumb line.
    pub facing: f64,
    /// Length of step, 0 standing to 1 striding.
    pub stride: f64,
    /// Arms: left and right, 0 hanging to 1 raised.
    pub arms: [f64; 2],
    /// Forward lean at the shoulders, as a share of height.
    pub lean: f64,
}

#[derive(Clone, Copy)]
pub struct Dress {
    pub coat: Vec3,
    pub legs: Vec3,
    pub head: Vec3,
    /// A long skirt or coat.
    pub long: bool,
    /// Something carried on the back or shoulder.
    pub bundle: Option<Vec3>,
}

/// A limb: two round ends, centres in metres from the foot along (side, up, forward).
struct Limb {
    ends: [DVec3; 2],
    radii: [f64; 2],
    colour: Vec3,
}

impl Pose {
    /// A pose that differs from figure to figure.
    pub fn any(chance: &mut Chance) -> Self {
        let raised =
            if chance.unit() < 0.25 { chance.between(0.3, 0.9) } else { chance.between(0.0, 0.15) };
        Self {
            facing: chance.between(0.0, std::f64::consts::TAU),
            stride: if chance.unit() < 0.6 {
                chance.between(0.3, 1.0)
            } else {
                chance.between(0.0, 0.2)
            },
            arms: [raised, chance.between(0.0, 0.2)],
            lean: chance.between(-0.01, 0.04),
        }
    }
}

impl Dress {
    /// Clothes drawn from a few coat colours.
    pub fn any(chance: &mut Chance, coats: &[Vec3], long: f64) -> Self {
        let coat = coats[chance.below(coats.len())] * chance.between(0.8, 1.2) as f32;
        Self {
            coat,
            legs: coats[chance.below(coats.len())] * 0.45,
            head: if chance.unit() < 0.5 {
                paint(70, 48, 38)
            } else {
                coats[chance.below(coats.len())]
            },
            long: chance.unit() < long,
            bundle: (chance.unit() < 0.25).then(|| coats[chance.below(coats.len())] * 0.7),
        }
    }
}

impl Figure {
    /// Someone standing about in no particular way.
    pub fn any(foot: DVec3, height: f64, chance: &mut Chance, coats: &[Vec3], long: f64) -> Self {
        Self {
            foot,
            height,
            pose: Pose::any(chance),
            dress: Dress::any(chance, coats, long),
            mirrored: 0.0,
            careless: false,
        }
    }

    fn limbs(&self) -> Vec<Limb> {
        let d = &self.dress;
        let mut limbs = self.legs();
        let chest = DVec3::new(0.0, 0.745, self.pose.lean);
        limb(&mut limbs, DVec3::new(0.0, 0.53, 0.0), chest, [0.078, 0.088], d.coat);
        if d.long {
            limb(
                &mut limbs,
                DVec3::new(0.0, 0.55, 0.0),
                DVec3::new(0.0, 0.20, 0.0),
                [0.085, 0.125],
                d.coat,
            );
        }
        let shoulder = |side: f64| DVec3::new(side * 0.105, 0.785, self.pose.lean);
        limb(&mut limbs, shoulder(-1.0), shoulder(1.0), [0.042; 2], d.coat);
        for (side, raised) in [(-1.0, self.pose.arms[0]), (1.0, self.pose.arms[1])] {
            let swing = side * 0.10 * self.pose.stride;
            let elbow = DVec3::new(
                side * (0.135 + 0.07 * raised),
                0.63 + 0.17 * raised,
                self.pose.lean + swing * 0.4 + 0.03 * raised,
            );
            let hand = DVec3::new(
                side * (0.135 + 0.05 * raised),
                0.48 + 0.44 * raised,
                self.pose.lean + swing + 0.12 * raised,
            );
            limb(&mut limbs, shoulder(side) * 1.03, elbow, [0.037, 0.030], d.coat);
            limb(&mut limbs, elbow, hand, [0.029, 0.022], d.coat * 0.9);
        }
        if let Some(bundle) = d.bundle {
            limb(
                &mut limbs,
                DVec3::new(-0.09, 0.72, -0.11),
                DVec3::new(0.09, 0.76, -0.10),
                [0.085; 2],
                bundle,
            );
        }
        let neck = DVec3::new(0.0, 0.85, self.pose.lean);
        limb(&mut limbs, chest, neck, [0.05, 0.034], d.coat);
        limb(
            &mut limbs,
            DVec3::new(0.0, 0.912, self.pose.lean),
            DVec3::new(0.0, 0.942, self.pose.lean),
            [0.052, 0.056],
            d.head,
        );
        limbs
    }

    fn legs(&self) -> Vec<Limb> {
        let mut limbs = vec![];
        for side in [-1.0, 1.0] {
            let forward = side * self.pose.stride;
            let hip = DVec3::new(side * 0.045, 0.51, 0.0);
            let knee = DVec3::new(side * 0.055, 0.275, forward * 0.085 + 0.015);
            let ankle = DVec3::new(side * 0.06, 0.045, forward * 0.17);
            limb(&mut limbs, hip, knee, [0.060, 0.042], self.dress.legs);
            limb(&mut limbs, knee, ankle, [0.041, 0.028], self.dress.legs);
            let toe = ankle + DVec3::new(side * 0.008, -0.022, 0.075);
            limb(&mut limbs, ankle - DVec3::Y * 0.018, toe, [0.028, 0.022], self.dress.legs * 0.5);
        }
        limbs
    }

    fn to_world(&self, at: DVec3) -> DVec3 {
        let (s, c) = self.pose.facing.sin_cos();
        let side = DVec3::new(c, 0.0, -s);
        let forward = DVec3::new(s, 0.0, c);
        self.foot + (side * at.x + DVec3::Y * at.y + forward * at.z) * self.height
    }
}

fn limb(limbs: &mut Vec<Limb>, from: DVec3, to: DVec3, radii: [f64; 2], colour: Vec3) {
    limbs.push(Limb { ends: [from, to], radii, colour });
}

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

/// Outlines of a figure whose points are first moved by `place` (mirrored, thrown as a shadow).
fn outlines(figure: &Figure, view: &View, place: impl Fn(DVec3) -> DVec3) -> Vec<Outline> {
    figure
        .limbs()
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
fn bounds(
    outlines: &[Outline],
    width: usize,
    height: usize,
) -> (std::ops::Range<usize>, std::ops::Range<usize>) {
    let (mut low, mut high) = (Vec2::INFINITY, Vec2::NEG_INFINITY);
    for o in outlines {
        for i in 0..2 {
            low = low.min(o.ends[i] - o.radii[i] - 2.0);
            high = high.max(o.ends[i] + o.radii[i] + 2.0);
        }
    }
    let clip = |a: f32, b: f32, most: usize| {
        (a.max(0.0) as usize).min(most)..(b.max(0.0) as usize + 1).min(most)
    };
    (clip(low.x, high.x, width), clip(low.y, high.y, height))
}

/// How much of a pixel the outlines cover, and the nearest limb with the offset on it.
fn cover(outlines: &[Outline], at: Vec2, ragged: f32) -> Option<(f32, &Outline, Vec2)> {
    let mut best: Option<(f32, &Outline, Vec2)> = None;
    // Later limbs lie over earlier ones where both cover.
    for outline in outlines {
        let (distance, off) = outline.distance(at);
        if distance < 0.0 || best.is_none_or(|(d, ..)| distance < d) {
            best = Some((distance, outline, off));
        }
    }
    best.map(|(d, o, off)| ((0.5 - d + ragged).clamp(0.0, 1.0), o, off)).filter(|b| b.0 > 0.0)
}

impl Easel<'_> {
    /// The figure itself, and its mirror image in a wet floor.
    pub fn person(&mut self, figure: &Figure) {
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
        let weather = self.looker.weather;
        let chest = figure.foot + DVec3::Y * 0.7 * figure.height;
        let sun = if self.sunlit(chest) { weather.sun } else { weather.sun * 0.06 };
        let turn = view.eye.rotation().transpose();
        let own = (figure.foot - view.place()).length() as f32;
        let (columns, rows) = bounds(outlines, self.canvas.width, self.canvas.height);
        for y in rows {
            for x in columns.clone() {
                let at = Vec2::new(x as f32 + 0.5, y as f32 + 0.5);
                let ragged = 0.5 * (noise(x as f64 / 2.5, y as f64 / 2.5, 21) - 0.5);
                let Some((share, limb, off)) = cover(outlines, at, ragged) else { continue };
                let index = y * self.canvas.width + x;
                let depth = self.sight.spots[index].depth;
                let open = if needed.is_infinite() {
                    depth < own * 1.02 && depth > own * 0.5
                } else {
                    depth > needed
                };
                if !open {
                    continue;
                }
                let out = off.length().min(1.0);
                let normal = turn
                    * DVec3::new(
                        f64::from(off.x),
                        f64::from(off.y),
                        -f64::from(1.0 - out * out).sqrt(),
                    );
                let lit = normal.dot(weather.to_sun).max(0.0) as f32;
                let up = 0.5 + 0.5 * normal.y as f32;
                let light = limb.colour
                    * (sun * lit + weather.sky * up * 0.8 + weather.bounce * (1.0 - up));
                let bristle = 0.9 + 0.2 * noise(x as f64 / 1.7, y as f64 / 7.0, 22);
                let colour = self.seen(light * bristle, figure.foot);
                self.canvas.dab(index, colour, share * opacity);
            }
        }
    }

    /// Cast shadow on the level, and the dark under the feet.
    pub fn shadow(&mut self, figure: &Figure) {
        let ground = figure.foot.y;
        if ground >= self.looker.view.eye_height {
            return;
        }
        let weather = self.looker.weather;
        let (view, to_sun) = (self.looker.view, weather.to_sun);
        if to_sun.y > 0.05 && self.sunlit(figure.foot + DVec3::Y * 0.1) {
            let thrown = |p: DVec3| p - to_sun * ((p.y - ground) / to_sun.y);
            self.darken(&outlines(figure, view, thrown), ground, 0.62);
        }
        let reach = 0.16 * figure.height;
        let dark = |scale: f64| {
            let ends = [-1.0, 1.0].map(|s| figure.foot + DVec3::new(s * reach * scale, 0.0, 0.0));
            let pixels = [view.pixel(ends[0])?.as_vec2(), view.pixel(ends[1])?.as_vec2()];
            let radius = (0.055 * figure.height * scale * view.scale_at(figure.foot)) as f32;
            Some(vec![Outline { ends: pixels, radii: [radius; 2], colour: Vec3::ZERO }])
        };
        for scale in [1.0, 0.6] {
            if let Some(spot) = dark(scale) {
                self.darken(&spot, ground, 0.25);
            }
        }
    }

    fn darken(&mut self, outlines: &[Outline], ground: f64, strength: f32) {
        let view = self.looker.view;
        let tint = display(self.looker.weather.sky) * 0.25;
        let (columns, rows) = bounds(outlines, self.canvas.width, self.canvas.height);
        for y in rows {
            for x in columns.clone() {
                let at = Vec2::new(x as f32 + 0.5, y as f32 + 0.5);
                let Some((share, ..)) = cover(outlines, at, 0.3) else { continue };
                let ray = view.ray(at.as_dvec2());
                let down = (ground - view.eye_height) / ray.y;
                let index = y * self.canvas.width + x;
                let depth = f64::from(self.sight.spots[index].depth);
                if down > 0.0 && (depth / down - 1.0).abs() < 0.03 {
                    let through = (-self.looker.weather.beta * down).exp() as f32;
                    let dark = self.canvas.paint[index] * (1.0 - strength)
                        + tint * self.canvas.paint[index] * strength;
                    self.canvas.dab(index, dark, share * through);
                }
            }
        }
    }
}
