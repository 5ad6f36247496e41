//! Circles and cylinders, as the true curves that they are seen as.

use super::{Hand, curve, edge};
use crate::palette::WHITE;
use crate::pen::Pen;
use crate::stage::Stage;
use glam::DVec2;
use staffage_scene::RoundForm;
use staffage_solver::{Circle, Eye, seen};
use std::f64::consts::TAU;

/// How far a chord may be off the curve, points.
const FINE: f64 = 0.15;
/// Pieces that a rim has at least.
const PIECES: u32 = 24;
/// How often a piece is halved at most.
const DEEPEST: u32 = 6;

pub(super) fn round(pen: &mut Pen, stage: &Stage<'_>, form: &RoundForm, hand: Hand) {
    let eye = &stage.assessment.eye.eye;
    rim(pen, eye, &form.circle, hand);
    cross(pen, eye, &form.circle, hand);
    let Some(far) = form.far else { return };
    rim(pen, eye, &far, hand);
    cross(pen, eye, &far, hand);
    if let Some(turns) = form.circle.outline_turns() {
        for turn in turns {
            let [a, b] = [form.circle, far].map(|end| eye.image(end.place(turn)));
            edge(pen, a, b, hand, WHITE);
        }
    }
}

fn rim(pen: &mut Pen, eye: &Eye, circle: &Circle, hand: Hand) {
    let at = |turn: f64| seen(eye.image(circle.place(turn)));
    let mut points = vec![at(0.0)];
    for piece in 0..PIECES {
        let [from, to] = [piece, piece + 1].map(|n| TAU * f64::from(n) / f64::from(PIECES));
        refine(&at, from, to, pen, DEEPEST, &mut points);
    }
    curve(pen, &points, hand, WHITE);
}

/// The points of a piece of the rim after its first, so near together that no chord is seen.
fn refine(
    at: &impl Fn(f64) -> Option<DVec2>,
    from: f64,
    to: f64,
    pen: &Pen,
    deeper: u32,
    points: &mut Vec<Option<DVec2>>,
) {
    let (a, b, middle) = (at(from), at(to), at(0.5 * (from + to)));
    let coarse = match (a, b, middle) {
        (Some(a), Some(b), Some(middle)) => {
            let near = [a, b, middle].iter().any(|p| pen.reaches(*p));
            let off = pen.points(middle.distance(a.midpoint(b)));
            off > if near { FINE } else { 50.0 * FINE }
        }
        (None, None, None) => false,
        // It passes the eye's plane here.
        _ => true,
    };
    if coarse && deeper > 0 {
        let half = 0.5 * (from + to);
        refine(at, from, half, pen, deeper - 1, points);
        refine(at, half, to, pen, deeper - 1, points);
    } else {
        points.push(b);
    }
}

/// A small cross at the true centre, which is not the middle of the ellipse.
fn cross(pen: &mut Pen, eye: &Eye, circle: &Circle, hand: Hand) {
    let Some(centre) = seen(eye.image(circle.centre)) else { return };
    let arm = pen.units(4.0);
    for reach in [DVec2::new(arm, 0.0), DVec2::new(0.0, arm)] {
        pen.edged_line(centre - reach, centre + reach, 1.0, WHITE.faded(hand.strength));
    }
}
