//! Panels, boxes, ramps and cylinders.

use super::{BODY, Ghost};
use crate::palette::{DARK, GHOST};
use glam::{DVec2, DVec3};
use staffage_scene::{Placed, Shape};
use staffage_solver::{Cylinder, Pose, Solid, seen_polygon, seen_polyline, seen_segment};
use std::f64::consts::TAU;

/// Chords of half a rim.
const CHORDS: usize = 48;
/// A thing smaller than this is drawn without what it hides, points.
const TOO_SMALL_FOR_HIDDEN: f64 = 16.0;

impl Ghost<'_> {
    pub(super) fn solid(&mut self, one: &Placed) {
        let pose = Pose { foot: one.foot, heading: one.heading };
        let solid = match one.shape {
            Shape::Panel { width, height } => Solid::panel(&pose, width, height),
            Shape::Ramp { width, depth, height } => Solid::ramp(&pose, width, depth, height),
            Shape::Box { width, depth, height } => Solid::cuboid(&pose, width, depth, height),
            Shape::Figure { .. } | Shape::Cylinder { .. } => return,
        };
        for (corners, normal) in solid.seen_faces() {
            self.face(&corners, shade(&pose, normal));
        }
        let shows_hidden = self.is_large(one);
        for edge in solid.edges() {
            if edge.hidden && !shows_hidden {
                continue;
            }
            if let Some([a, b]) = seen_segment(self.eye, edge.ends) {
                self.edge(&[a, b], edge.hidden);
            }
        }
    }

    pub(super) fn cylinder(&mut self, one: &Placed, radius: f64, height: f64) {
        let body = Cylinder { foot: one.foot, radius, height };
        self.face(&body.outline(CHORDS), 0.26);
        if body.shows_top() || body.shows_bottom() {
            let up = if body.shows_top() { height } else { 0.0 };
            self.face(&body.arc(up, [0.0, TAU], 2 * CHORDS), 0.14);
        }
        let shows_hidden = self.is_large(one);
        let Some([from, to]) = body.contour() else {
            for up in [0.0, height] {
                self.rim(&body.arc(up, body.round(), 2 * CHORDS), false);
            }
            return;
        };
        for (up, is_whole) in [(0.0, body.shows_bottom()), (height, body.shows_top())] {
            if is_whole || shows_hidden {
                self.rim(&body.arc(up, [to, from + TAU], CHORDS), !is_whole);
            }
            self.rim(&body.arc(up, [from, to], CHORDS), false);
        }
        for angle in [from, to] {
            let ends = [body.rim(0.0, angle), body.rim(height, angle)];
            if let Some(ends) = seen_segment(self.eye, ends) {
                self.edge(&ends, false);
            }
        }
    }

    fn rim(&mut self, points: &[DVec3], hidden: bool) {
        for piece in seen_polyline(self.eye, points) {
            self.edge(&piece, hidden);
        }
    }

    /// A face of a body, or all of it.
    pub(super) fn face(&mut self, corners: &[DVec3], opacity: f64) {
        let corners = seen_polygon(self.eye, corners);
        if corners.len() > 2 {
            self.pen.fill(corners, BODY.faded(opacity));
        }
    }

    /// An edge; what the body hides is thin.
    pub(super) fn edge(&mut self, points: &[DVec2], hidden: bool) {
        if hidden {
            self.pen.polyline(points.to_vec(), 0.75, GHOST.faded(0.55), None);
            return;
        }
        let width = if self.bold { 2.0 } else { 1.25 };
        self.pen.polyline(points.to_vec(), width + 1.75, DARK.faded(0.45), None);
        self.pen.polyline(points.to_vec(), width, GHOST, None);
    }

    /// Whether a thing is large enough for what is within it to be seen.
    fn is_large(&self, one: &Placed) -> bool {
        let ends = seen_segment(self.eye, [one.foot, one.head()]);
        ends.is_none_or(|[foot, head]| self.pen.points(foot.distance(head)) > TOO_SMALL_FOR_HIDDEN)
    }
}

/// How dense a face is: ends, sides, tops and bottoms can be told apart.
fn shade(pose: &Pose, normal: DVec3) -> f64 {
    let normal = normal.normalize_or_zero();
    if normal.y.abs() > 0.5 { 0.16 } else { 0.22 + 0.14 * normal.dot(pose.right()).abs() }
}
