//! Stairs and ramps.

use super::{Hand, edge};
use crate::palette::family_colour;
use crate::pen::Pen;
use crate::stage::Stage;
use glam::DVec3;
use staffage_scene::{Climb, Family, FlightForm, InclineId};

pub(super) fn flight(pen: &mut Pen, stage: &Stage<'_>, form: &FlightForm, hand: Hand) {
    // All inclines have one colour.
    let colour = family_colour(Family::Incline(InclineId(0)));
    let eye = &stage.assessment.eye.eye;
    let half = 0.5 * form.width;
    let at = |along: f64, up: f64, side: f64| -> DVec3 { eye.image(form.place(along, up, side)) };
    let sides = [-half, half];
    let thin = Hand { width: 0.7 * hand.width, strength: 0.7 * hand.strength };
    let (run, rise) = form.extent();
    let mut across = |along: f64, up: f64, hand: Hand| {
        edge(pen, at(along, up, -half), at(along, up, half), hand, colour);
    };
    across(0.0, 0.0, hand);
    across(run, rise, hand);
    match form.climb {
        Climb::Stairs { riser, tread, count } => {
            for step in 0..count {
                let (foot, step) = (f64::from(step), f64::from(step) * tread);
                across(step, (foot + 1.0) * riser, hand);
                if foot > 0.0 {
                    across(step, foot * riser, thin);
                }
            }
            for side in sides {
                for step in 0..count {
                    let (up, along) = (f64::from(step) * riser, f64::from(step) * tread);
                    let nose = at(along, up + riser, side);
                    edge(pen, at(along, up, side), nose, hand, colour);
                    edge(pen, nose, at(along + tread, up + riser, side), hand, colour);
                }
            }
        }
        Climb::Ramp { .. } => {
            for side in sides {
                edge(pen, at(0.0, 0.0, side), at(run, rise, side), hand, colour);
            }
        }
    }
    // What it stands over: its plan, and the plumb edges at its top.
    for side in sides {
        edge(pen, at(0.0, 0.0, side), at(run, 0.0, side), thin, colour);
        edge(pen, at(run, 0.0, side), at(run, rise, side), thin, colour);
    }
    edge(pen, at(run, 0.0, -half), at(run, 0.0, half), thin, colour);
}
