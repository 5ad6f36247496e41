//! Fans: evenly spaced rays of every vanishing point.

use crate::Colour;
use crate::palette::family_colour;
use crate::pen::Pen;
use crate::stage::{Stage, Whereabouts, place};
use glam::DVec2;
use std::f64::consts::TAU;

/// Rays to either side of the frame's middle.
const HALF: i32 = 9;
/// Rays all round a point in the frame.
const AROUND: u32 = 36;

/// The rays of every family whose direction is said, across the frame.
pub(crate) fn fans(pen: &mut Pen, stage: &Stage<'_>) {
    let families = &stage.assessment.eye.families;
    for reading in families.iter().filter(|family| family.is_said(stage.scene)) {
        if let Some(to) = place(reading.vanishing_point) {
            fan(pen, stage, to, family_colour(reading.family).faded(0.42));
        }
    }
}

fn fan(pen: &mut Pen, stage: &Stage<'_>, to: Whereabouts, colour: Colour) {
    let corner = DVec2::new(0.5, stage.scene.frame.half_height());
    let reach = corner.length();
    if let Whereabouts::At(at) = to
        && at.abs().cmplt(0.8 * corner).all()
    {
        for ray in 0..AROUND {
            let along = DVec2::from_angle(TAU * f64::from(ray) / f64::from(AROUND));
            line(pen, at + pen.units(14.0) * along, at + 4.0 * along, colour);
        }
        return;
    }
    // Evenly along a line through the frame's middle, so that they are parallel for a point that is
    // infinitely far.
    let towards = match to {
        Whereabouts::At(at) => at.normalize_or_zero(),
        Whereabouts::Towards(direction) => direction,
    };
    for step in -HALF..=HALF {
        let through = towards.perp() * (reach * f64::from(step) / f64::from(HALF));
        let (near, along) = match to {
            Whereabouts::At(at) => (at, (through - at).normalize_or_zero()),
            Whereabouts::Towards(direction) => (through - 4.0 * direction, direction),
        };
        let far = match to {
            Whereabouts::At(at) => at.distance(through) + 2.0 * reach,
            Whereabouts::Towards(_) => 8.0,
        };
        line(pen, near, near + far * along, colour);
    }
}

/// Only within the frame, where it is painted.
fn line(pen: &mut Pen, from: DVec2, to: DVec2, colour: Colour) {
    pen.line(from, to, 0.9, colour);
}
