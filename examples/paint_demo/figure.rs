//! People: a few rounded limbs in space, seen from wherever the eye is, in paint with a lit and
//! a shadowed side.

use crate::chance::{Chance, noise};
use crate::colour::{display, paint, step};
use crate::details::Easel;
use crate::view::View;
use glam::{DVec2, DVec3, Vec2, Vec3};

/// One person standing on a level.
pub(crate) struct Figure {
    /// Between the feet.
    pub(crate) foot: DVec3,
    /// Crown over foot, metres, as painted.
    pub(crate) height: f64,
    pub(crate) pose: Pose,
    pub(crate) dress: Dress,
    /// How strongly the ground mirrors the figure.
    pub(crate) mirrored: f32,
    /// Painted over everything, even over nearer things: a slip of the brush.
    pub(crate) careless: bool,
}

#[derive(Clone, Copy)]
pub(crate) struct Pose {
    /// Which way it faces, radians about the plumb line.
    pub(crate) facing: f64,
    /// Length of step, 0 standing to 1 striding.
    pub(crate) stride: f64,
    /// Arms: left and right, 0 hanging to 1 raised.
    pub(crate) arms: [f64; 2],
    /// Forward lean at the shoulders, as a share of height.
    pub(crate) lean: f64,
}

#[derive(Clone, Copy)]
pub(crate) struct Dress {
    pub(crate) coat: Vec3,
    pub(crate) legs: Vec3,
    pub(crate) head: Vec3,
    /// A long skirt or coat.
    pub(crate) long: bool,
    /// Worn over the front.
    pub(crate) apron: Option<Vec3>,
    /// A hat with a brim rather than bare hair.
    pub(crate) brim: bool,
    /// Something carried on the back or shoulder.
    pub(crate) bundle: Option<Vec3>,
}

/// Face and hands.
const SKIN: Vec3 = Vec3::new(0.34, 0.19, 0.12);

/// A limb: two round ends, centres in metres from the foot along (side, up, forward).
struct Limb {
    ends: [DVec3; 2],
    radii: [f64; 2],
    colour: Vec3,
}

impl Pose {
    /// A pose that differs from figure to figure.
    pub(crate) fn any(chance: &mut Chance) -> Self {
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
    pub(crate) fn any(chance: &mut Chance, coats: &[Vec3], long: f64) -> Self {
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
            apron: (chance.unit() < 0.35).then(|| coats[chance.below(coats.len())] * 1.2),
            brim: chance.unit() < 0.4,
            bundle: (chance.unit() < 0.25).then(|| coats[chance.below(coats.len())] * 0.7),
        }
    }
}

impl Figure {
    /// Someone standing about in no particular way.
    pub(crate) fn any(
        foot: DVec3,
        height: f64,
        chance: &mut Chance,
        coats: &[Vec3],
        long: f64,
    ) -> Self {
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
        let lean = self.pose.lean;
        let mut limbs = self.legs();
        for side in [-1.0, 1.0] {
            let hip = DVec3::new(side * 0.042, 0.53, 0.0);
            limb(&mut limbs, hip, DVec3::new(side * 0.052, 0.74, lean), [0.058, 0.062], d.coat);
        }
        if d.long {
            let sway = 0.05 * self.pose.stride;
            for (side, ahead) in [(-1.0, -sway), (0.0, sway), (1.0, sway)] {
                let hem = DVec3::new(side * 0.072, 0.16, ahead);
                limb(&mut limbs, DVec3::new(side * 0.035, 0.54, 0.0), hem, [0.066, 0.052], d.coat);
            }
        }
        if let Some(apron) = d.apron.map(|a| d.coat.lerp(a, 0.6)) {
            limb(
                &mut limbs,
                DVec3::new(0.0, 0.70, 0.055 + lean),
                DVec3::new(0.0, 0.56, 0.06),
                [0.040, 0.052],
                apron,
            );
            for side in [-1.0, 1.0] {
                limb(
                    &mut limbs,
                    DVec3::new(side * 0.02, 0.56, 0.065),
                    DVec3::new(side * 0.045, 0.33, 0.085),
                    [0.042, 0.034],
                    apron,
                );
            }
        }
        self.arms(&mut limbs);
        if let Some(bundle) = d.bundle {
            limb(
                &mut limbs,
                DVec3::new(-0.07, 0.66, -0.10),
                DVec3::new(0.06, 0.77, -0.11),
                [0.062, 0.072],
                bundle,
            );
        }
        limb(
            &mut limbs,
            DVec3::new(0.0, 0.78, lean),
            DVec3::new(0.0, 0.88, lean * 1.2),
            [0.052, 0.030],
            d.coat,
        );
        self.head(&mut limbs);
        limbs
    }

    fn arms(&self, limbs: &mut Vec<Limb>) {
        let (d, lean) = (&self.dress, self.pose.lean);
        let shoulder = |side: f64| DVec3::new(side * 0.098, 0.79, lean);
        limb(limbs, shoulder(-1.0), shoulder(1.0), [0.040; 2], d.coat);
        for (side, raised) in [(-1.0, self.pose.arms[0]), (1.0, self.pose.arms[1])] {
            let swing = side * 0.11 * self.pose.stride;
            let elbow = DVec3::new(
                side * (0.122 + 0.08 * raised),
                0.635 + 0.16 * raised,
                lean - 0.02 + swing * 0.4 + 0.05 * raised,
            );
            let hand = DVec3::new(
                side * (0.112 + 0.02 * raised),
                0.50 + 0.40 * raised,
                lean + 0.04 + swing + 0.13 * raised,
            );
            limb(limbs, shoulder(side), elbow, [0.036, 0.029], d.coat);
            limb(limbs, elbow, hand, [0.029, 0.020], d.coat);
            let palm = hand + (hand - elbow).normalize_or(DVec3::NEG_Y) * 0.025;
            limb(limbs, hand, palm, [0.019, 0.016], SKIN);
        }
    }

    /// A face, and over it hair, a cap or a hat.
    fn head(&self, limbs: &mut Vec<Limb>) {
        let lean = self.pose.lean * 1.4;
        limb(
            limbs,
            DVec3::new(0.0, 0.897, lean + 0.016),
            DVec3::new(0.0, 0.935, lean + 0.010),
            [0.036, 0.043],
            SKIN,
        );
        limb(
            limbs,
            DVec3::new(0.0, 0.930, lean - 0.012),
            DVec3::new(0.0, 0.951, lean),
            [0.044, 0.047],
            self.dress.head,
        );
        if self.dress.brim {
            for side in [-1.0, 1.0] {
                limb(
                    limbs,
                    DVec3::new(0.0, 0.958, lean),
                    DVec3::new(side * 0.062, 0.952, lean + 0.02),
                    [0.020, 0.009],
                    self.dress.head,
                );
            }
        }
    }

    fn legs(&self) -> Vec<Limb> {
        let mut limbs = vec![];
        for side in [-1.0, 1.0] {
            let forward = side * self.pose.stride;
            let hip = DVec3::new(side * 0.045, 0.51, 0.0);
            let knee = DVec3::new(side * 0.050, 0.275, forward * 0.085 + 0.015);
            let ankle = DVec3::new(side * 0.052, 0.045, forward * 0.17);
            limb(&mut limbs, hip, knee, [0.058, 0.040], self.dress.legs);
            limb(&mut limbs, knee, ankle, [0.040, 0.027], self.dress.legs);
            let toe = ankle + DVec3::new(side * 0.010, -0.024, 0.072);
            limb(&mut limbs, ankle - DVec3::Y * 0.018, toe, [0.027, 0.020], self.dress.legs * 0.5);
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
fn bounds(
    outlines: &[Outline],
    width: usize,
    height: usize,
) -> (std::ops::Range<usize>, std::ops::Range<usize>) {
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
