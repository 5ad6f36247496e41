//! People: a few rounded limbs in space, seen from wherever the eye is, in paint with a lit and
//! a shadowed side.

use crate::chance::Chance;
use crate::colour::paint;
use glam::{DVec3, Vec3};

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
pub(crate) struct Limb {
    pub(crate) ends: [DVec3; 2],
    pub(crate) radii: [f64; 2],
    pub(crate) colour: Vec3,
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

    /// All limbs, from the feet up.
    pub(crate) fn limbs(&self) -> Vec<Limb> {
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

    /// Where a point of a limb is in the world.
    pub(crate) fn to_world(&self, at: DVec3) -> DVec3 {
        let (s, c) = self.pose.facing.sin_cos();
        let side = DVec3::new(c, 0.0, -s);
        let forward = DVec3::new(s, 0.0, c);
        self.foot + (side * at.x + DVec3::Y * at.y + forward * at.z) * self.height
    }
}

fn limb(limbs: &mut Vec<Limb>, from: DVec3, to: DVec3, radii: [f64; 2], colour: Vec3) {
    limbs.push(Limb { ends: [from, to], radii, colour });
}
