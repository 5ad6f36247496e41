//! What the frame sees of a level, from above.

use super::{Ground, chosen_level};
use crate::bounds::Bounds;
use crate::label::{Label, Rank};
use crate::palette::WHITE;
use crate::pen::Pen;
use crate::shown::Shown;
use crate::{Emphasis, words};
use glam::DVec2;
use staffage_scene::{Assessment, Scene};
use staffage_solver::Eye;

/// Places along an edge of the frame: so many halvings of the way to the horizon, times two.
const PLACES: i32 = 48;

/// Outlines on the chosen level what the frame sees, with the optical axis; the labels of that.
pub(super) fn frame(
    pen: &mut Pen,
    ground: &Ground,
    scene: &Scene,
    assessment: &Assessment,
    shown: &Shown<'_>,
    emphasis: &Emphasis,
    size: DVec2,
) -> Vec<Label> {
    let eye = assessment.eye.eye;
    let far = ground
        .place(
            ground.eye + DVec2::new(2.0 * (size.length() + ground.eye.distance(0.5 * size)), 0.0),
        )
        .0;
    axis(pen, ground, eye, far);
    let level = chosen_level(scene, shown, emphasis);
    let half = DVec2::new(0.5, scene.frame.half_height());
    let corners = [
        DVec2::new(-half.x, -half.y),
        DVec2::new(half.x, -half.y),
        half,
        DVec2::new(-half.x, half.y),
    ];
    let mut outline = Vec::new();
    if let Some((_, elevation)) = level {
        for side in 0..4 {
            let ends = (corners[side], corners[(side + 1) % 4]);
            outline.extend(edge(pen, ground, eye, elevation, ends));
        }
    }
    if outline.is_empty() {
        bare_wedge(pen, ground, eye, far, half.x);
        return Vec::new();
    }
    let name = level.and_then(|(id, _)| scene.level(id)).map(|level| words::name(&level.name));
    // Far from the eye, where there is room.
    let page = Bounds { min: DVec2::splat(12.0), max: size - 12.0 };
    let on_page = outline.into_iter().filter(|at| page.contains(*at));
    let at = on_page.max_by(|a, b| a.distance(ground.eye).total_cmp(&b.distance(ground.eye)));
    let label = name.zip(at).map(|(name, at)| Label {
        at,
        clearance: 1.0,
        lines: vec![(format!("frame on {name}"), WHITE)],
        rank: Rank::Ordinary,
        about: None,
        sides: Label::AT_RIGHT_EDGE,
    });
    label.into_iter().collect()
}

fn axis(pen: &mut Pen, ground: &Ground, eye: Eye, far: f64) {
    let ray = eye.ray(eye.principal);
    if ray.x.hypot(ray.z) > 1e-3 {
        let bearing = ray.x.atan2(-ray.z);
        let end = ground.point(far, bearing);
        pen.dashes(ground.eye, end, 1.0, WHITE.faded(0.35), (9.0, 5.0));
    }
}

/// Bearing of the right edge of the frame on the horizon, else in the middle.
fn right_edge(eye: Eye, u: f64) -> f64 {
    let ray = eye.ray(horizon_at(eye, u).unwrap_or(DVec2::new(u, 0.0)));
    ray.x.atan2(-ray.z)
}

fn horizon_at(eye: Eye, u: f64) -> Option<DVec2> {
    let horizon = eye.horizon();
    let v = -(horizon.x * u + horizon.z) / horizon.y;
    let at = DVec2::new(u, v);
    (v.is_finite() && v.abs() < 1e3).then_some(at)
}

/// Lines from the eye along both edges of the frame, where no level is known.
fn bare_wedge(pen: &mut Pen, ground: &Ground, eye: Eye, far: f64, half: f64) {
    for u in [-half, half] {
        let bearing = right_edge(eye, u);
        if bearing.is_finite() {
            pen.line(ground.eye, ground.point(far, bearing), 1.0, WHITE.faded(0.45));
        }
    }
}

/// An edge of the frame on a level; its points, none where it does not see the level.
fn edge(
    pen: &mut Pen,
    ground: &Ground,
    eye: Eye,
    elevation: f64,
    (a, b): (DVec2, DVec2),
) -> Vec<DVec2> {
    let horizon = eye.horizon();
    let height = |p: DVec2| (horizon.x * p.x + horizon.y * p.y + horizon.z) * -elevation.signum();
    let (ha, hb) = (height(a), height(b));
    let points: Vec<DVec2> = if ha > 0.0 && hb > 0.0 {
        (0..=PLACES).map(|i| a.lerp(b, f64::from(i) / f64::from(PLACES))).collect()
    } else if ha > 0.0 || hb > 0.0 {
        // From the end that sees the level to the horizon, twice as far off with every other place.
        let (from, to) = if ha > 0.0 { (a, b) } else { (b, a) };
        let at_horizon = from.lerp(to, height(from) / (height(from) - height(to)));
        (0..=PLACES).map(|i| at_horizon.lerp(from, 0.5_f64.powf(0.5 * f64::from(i)))).collect()
    } else {
        return Vec::new();
    };
    let place = |at: DVec2| {
        let ray = eye.ray(at);
        let distance = ray.x.hypot(ray.z) * elevation / ray.y;
        let sound = distance.is_finite() && distance >= 0.0;
        sound.then(|| ground.point(distance, ray.x.atan2(-ray.z))).filter(|at| at.is_finite())
    };
    let points: Vec<_> = points.into_iter().filter_map(place).collect();
    if points.len() > 1 {
        pen.polyline(points.clone(), 1.5, WHITE.faded(0.45), None);
    }
    points
}
