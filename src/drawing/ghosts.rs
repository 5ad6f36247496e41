//! Stand-ins on the section and the plan: light shapes at their true place and size.

use crate::palette::WHITE;
use crate::pen::Pen;
use crate::{Attention, Drawing, Emphasis, Ground, Paper, Place};
use glam::{DVec2, DVec3};
use staffage_scene::{Assessment, Placed, Scene, Shape, Subject, Unit, place_stand_in};
use std::f64::consts::{SQRT_2, TAU};

/// Corners of a footprint that is a circle.
const ROUND: u32 = 24;

/// The stand-ins from the side; where (the first of) each is.
pub(crate) fn from_the_side(
    (scene, assessment): (&Scene, &Assessment),
    emphasis: &Emphasis,
    (paper, unit): (&Paper, Unit),
    pen: &mut Pen,
    drawing: &mut Drawing,
) -> Vec<Place> {
    let mut places = Vec::new();
    each(scene, assessment, unit, emphasis, |about, placed, opacity| {
        for one in placed.iter().filter(|one| paper.reaches(one.distance())) {
            let x = paper.x(one.distance());
            let ends = [one.foot, one.head()].map(|p| paper.y(p.y + paper.eye_height()));
            let [foot, head] = ends.map(|y| DVec2::new(x, y));
            pen.line(foot, head, 3.0, WHITE.faded(opacity));
            pen.line(foot - 2.5 * DVec2::X, foot + 2.5 * DVec2::X, 1.0, WHITE.faded(opacity));
        }
        drawing.push("stand-in", Some(about), pen.take());
        if let Some(first) = placed.first().filter(|one| paper.reaches(one.distance())) {
            let x = paper.x(first.distance());
            let at = |p: DVec3| DVec2::new(x, paper.y(p.y + paper.eye_height()));
            places.push(Place { about, foot: at(first.foot), head: at(first.head()) });
        }
    });
    places
}

/// The stand-ins from above; where (the first of) each is.
pub(crate) fn from_above(
    (scene, assessment): (&Scene, &Assessment),
    emphasis: &Emphasis,
    (ground, unit): (&Ground, Unit),
    pen: &mut Pen,
    drawing: &mut Drawing,
) -> Vec<Place> {
    let mut places = Vec::new();
    each(scene, assessment, unit, emphasis, |about, placed, opacity| {
        for one in placed {
            let corners: Vec<_> =
                footprint(one).map(|p| ground.point(distance(p), bearing(p))).collect();
            if corners.iter().all(|corner| corner.is_finite()) {
                pen.outline(&corners, 1.5, WHITE.faded(opacity), None);
            }
        }
        drawing.push("stand-in", Some(about), pen.take());
        let first = placed.first().map(|one| ground.point(one.distance(), bearing(one.foot)));
        places.extend(first.map(|at| Place { about, foot: at, head: at }));
    });
    places
}

/// Clockwise from straight ahead, radians.
fn bearing(at: DVec3) -> f64 {
    at.x.atan2(-at.z)
}

/// Every stand-in that stands somewhere; they are in metres, and so must be what they are drawn among.
fn each(
    scene: &Scene,
    assessment: &Assessment,
    unit: Unit,
    emphasis: &Emphasis,
    mut put: impl FnMut(Subject, &[Placed], f64),
) {
    if unit != Unit::Metres {
        return;
    }
    for stand_in in &scene.stand_ins {
        let about = Subject::StandIn(stand_in.id);
        let opacity = if emphasis.on(about) > Attention::Plain { 0.95 } else { 0.5 };
        if let Ok(placement) = place_stand_in(scene, assessment, stand_in) {
            put(about, &placement.each, opacity);
        }
    }
}

/// As far as the stand-ins reach over the ground: distances, in metres, and bearings of the outlines of
/// their footprints. None where the plan is not in metres.
pub(crate) fn reach(scene: &Scene, assessment: &Assessment, unit: Unit) -> Vec<(f64, f64)> {
    let mut reached = Vec::new();
    each(scene, assessment, unit, &Emphasis::default(), |_, placed, _| {
        let outlines = placed.iter().flat_map(footprint);
        let places = outlines.map(|p| (distance(p), bearing(p)));
        reached.extend(places.filter(|(far, at)| far.is_finite() && at.is_finite()));
    });
    reached
}

/// The outline of a footprint on the ground: four corners, or as many as make a circle look round.
fn footprint(one: &Placed) -> impl Iterator<Item = DVec3> + use<> {
    let half = 0.5 * one.shape.footprint();
    let (sine, cosine) = one.heading.sin_cos();
    let (ahead, right) = (DVec3::new(sine, 0.0, -cosine), DVec3::new(cosine, 0.0, sine));
    let (corners, out) = match one.shape {
        Shape::Cylinder { .. } => (ROUND, 1.0),
        _ => (4, SQRT_2),
    };
    let foot = one.foot;
    (0..corners).map(move |corner| {
        let angle = TAU * (f64::from(corner) + 0.5) / f64::from(corners);
        let at = out * half * DVec2::from_angle(angle);
        foot + at.x * right + at.y * ahead
    })
}

/// Along the ground from the eye, metres.
fn distance(at: DVec3) -> f64 {
    at.x.hypot(at.z)
}
