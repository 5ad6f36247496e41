//! The figure of a stand-in, by the ordinary proportions of seven and a half heads (common practice): a
//! flat shape turned to the viewer on a small round of ground.

use super::{BODY, Ghost};
use crate::Colour;
use crate::palette::DARK;
use crate::palette::GHOST;
use glam::{DVec2, DVec3};
use staffage_scene::Placed;
use staffage_solver::{Cylinder, seen_polygon, seen_segment};
use std::f64::consts::TAU;

/// A stretch of the body between two heights: height, nearest to the middle, farthest from it, as
/// fractions of the stature. Both sides are alike.
type Row = (f64, f64, f64);

/// The right half of the head, from the crown down: chin at one head, ears in its middle.
const HEAD: [(f64, f64); 8] = [
    (1.0, 0.0),
    (0.996, 0.02),
    (0.98, 0.039),
    (0.955, 0.05),
    (0.93, 0.05),
    (0.90, 0.042),
    (0.88, 0.03),
    (0.867, 0.012),
];
/// Neck, shoulders two heads wide, waist under the third head, hips.
const TRUNK: [Row; 8] = [
    (0.875, 0.0, 0.026),
    (0.842, 0.0, 0.028),
    (0.825, 0.0, 0.075),
    (0.812, 0.0, 0.104),
    (0.72, 0.0, 0.098),
    (0.62, 0.0, 0.076),
    (0.54, 0.0, 0.09),
    (0.475, 0.0, 0.096),
];
/// Elbow at the waist, wrist at the crotch, finger tips half way to the knee.
const ARM: [Row; 6] = [
    (0.812, 0.104, 0.108),
    (0.785, 0.104, 0.131),
    (0.73, 0.106, 0.136),
    (0.62, 0.112, 0.142),
    (0.48, 0.124, 0.15),
    (0.39, 0.132, 0.147),
];
/// Knee at five and a half heads.
const LEG: [Row; 6] = [
    (0.475, 0.002, 0.096),
    (0.38, 0.008, 0.091),
    (0.285, 0.016, 0.072),
    (0.2, 0.016, 0.072),
    (0.04, 0.022, 0.052),
    (0.0, 0.018, 0.07),
];
/// A figure smaller than this is a stroke, points.
const STROKE: f64 = 5.0;
/// A figure smaller than this has neither arms nor edges, points.
const PLAIN: f64 = 22.0;
/// From the side a body is so much narrower than from the front.
const PROFILE: f64 = 0.62;

impl Ghost<'_> {
    pub(super) fn figure(&mut self, one: &Placed, height: f64) {
        let Some([foot, head]) = seen_segment(self.eye, [one.foot, one.head()]) else { return };
        if self.pen.visible(foot, head).is_none() && !self.is_near_paper(foot, head) {
            return;
        }
        let points = self.pen.points(foot.distance(head));
        if points < STROKE {
            // What is too small to see is fainter, so that a far crowd thins out as it does in air.
            let ink = GHOST.faded((points / STROKE).clamp(0.15, 0.9));
            let width = 1.0_f64.max(0.25 * points);
            self.pen.line(foot, head, width + 1.2, DARK.faded(0.4 * points / STROKE));
            self.pen.line(foot, head, width, ink);
            return;
        }
        let body = Body::of(one, height);
        if points < PLAIN {
            // Light on a dark ground of its own, to be seen on any painting.
            self.pen.line(foot, head, 0.3 * points + 1.5, DARK.faded(0.5));
            self.part(&body.half(&HEAD), GHOST.faded(0.95));
            self.part(&body.quad(&TRUNK[3], &TRUNK[7]), BODY.faded(0.9));
            self.part(&body.quad(&TRUNK[3], &TRUNK[7]), GHOST.faded(0.62));
            self.part(&body.quad(&TRUNK[7], &LEG[5]), GHOST.faded(0.78));
            return;
        }
        self.ground(one, height);
        self.part(&body.half(&HEAD), BODY.faded(0.42));
        for pair in TRUNK.windows(2) {
            self.part(&body.quad(&pair[0], &pair[1]), BODY.faded(0.42));
        }
        for rows in [&ARM, &LEG] {
            for pair in rows.windows(2) {
                for side in [-1.0, 1.0] {
                    self.part(&body.strip(&pair[0], &pair[1], side), BODY.faded(0.42));
                }
            }
        }
        let outline: Vec<DVec3> = body.outline();
        if outline.iter().all(|&at| self.eye.project(at).is_some()) {
            let points: Vec<DVec2> =
                outline.iter().filter_map(|&at| self.eye.project(at)).collect();
            self.edge(&points, false);
        }
    }

    /// A figure whose middle line is off the paper may still reach it by its shoulders.
    fn is_near_paper(&self, foot: DVec2, head: DVec2) -> bool {
        let side = 0.16 * (head - foot).perp();
        [side, -side].into_iter().any(|side| self.pen.visible(foot + side, head + side).is_some())
    }

    fn part(&mut self, corners: &[DVec3], colour: Colour) {
        let corners = seen_polygon(self.eye, corners);
        if corners.len() > 2 {
            self.pen.fill(corners, colour);
        }
    }

    /// The ground that it takes up.
    fn ground(&mut self, one: &Placed, height: f64) {
        let round = Cylinder { foot: one.foot, radius: 0.14 * height, height: 0.0 };
        let rim = round.arc(0.0, [0.0, TAU], 24);
        let seen = seen_polygon(self.eye, &rim);
        if seen.len() > 2 {
            self.pen.fill(seen.clone(), DARK.faded(0.25));
            self.pen.outline(&seen, 1.0, GHOST.faded(0.6), None);
        }
    }
}

/// The parts of a standing figure seen from the front, convex polygons counter-clockwise as seen with the
/// second coordinate up: from the middle of its soles to its right and up, in its own height.
#[must_use]
pub fn figure_parts() -> Vec<Vec<DVec2>> {
    let body = Body { foot: DVec3::ZERO, right: DVec3::X, up: DVec3::Y };
    let mut parts = vec![body.half(&HEAD)];
    parts.extend(TRUNK.windows(2).map(|pair| body.quad(&pair[0], &pair[1])));
    for rows in [&ARM, &LEG] {
        for pair in rows.windows(2) {
            parts.extend([-1.0, 1.0].map(|side| body.strip(&pair[0], &pair[1], side)));
        }
    }
    let flat = |part: Vec<DVec3>| {
        let mut part: Vec<DVec2> = part.into_iter().map(DVec3::truncate).collect();
        let ahead = part.iter().cycle().skip(1);
        let doubled: f64 = part.iter().zip(ahead).map(|(a, b)| a.perp_dot(*b)).sum();
        if doubled < 0.0 {
            part.reverse();
        }
        part
    };
    parts.into_iter().map(flat).collect()
}

/// A flat standing figure in the world.
struct Body {
    foot: DVec3,
    right: DVec3,
    up: DVec3,
}

impl Body {
    fn of(one: &Placed, height: f64) -> Self {
        let away = DVec3::new(one.foot.x, 0.0, one.foot.z).try_normalize().unwrap_or(-DVec3::Z);
        // How far it is turned away from the line of sight, clockwise.
        let turned = one.heading - away.x.atan2(-away.z);
        let width = turned.cos().hypot(PROFILE * turned.sin());
        Self {
            foot: one.foot,
            right: away.cross(DVec3::Y) * (height * width),
            up: DVec3::Y * height,
        }
    }

    fn at(&self, right: f64, up: f64) -> DVec3 {
        self.foot + right * self.right + up * self.up
    }

    /// A part whose right half is this, mirrored.
    fn half(&self, half: &[(f64, f64)]) -> Vec<DVec3> {
        let right = half.iter().map(|&(up, across)| self.at(across, up));
        let left = half.iter().rev().map(|&(up, across)| self.at(-across, up));
        right.chain(left).collect()
    }

    /// From side to side between two rows.
    fn quad(&self, upper: &Row, lower: &Row) -> Vec<DVec3> {
        self.half(&[(upper.0, upper.2), (lower.0, lower.2)])
    }

    /// On one side between two rows.
    fn strip(&self, upper: &Row, lower: &Row, side: f64) -> Vec<DVec3> {
        let corners =
            [(upper.1, upper.0), (upper.2, upper.0), (lower.2, lower.0), (lower.1, lower.0)];
        corners.map(|(across, up)| self.at(side * across, up)).into()
    }

    /// All around, from the crown to it again.
    fn outline(&self) -> Vec<DVec3> {
        let mut half: Vec<(f64, f64)> = HEAD[..7].to_vec();
        half.extend(TRUNK[1..4].iter().map(|row| (row.0, row.2)));
        half.extend(ARM.iter().map(|row| (row.0, row.2)));
        half.extend(ARM[2..].iter().rev().map(|row| (row.0, row.1)));
        half.extend(TRUNK[4..].iter().map(|row| (row.0, row.2)));
        half.extend(LEG[1..].iter().map(|row| (row.0, row.2)));
        half.extend(LEG.iter().rev().map(|row| (row.0, row.1)));
        let mut all = self.half(&half);
        all.push(self.at(0.0, 1.0));
        all
    }
}
