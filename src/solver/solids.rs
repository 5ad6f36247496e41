//! Upright bodies of known size, as the eye sees them: corners, edges, rims and contours.
//!
//! Points are given relative to the eye in world axes (X right, Y up, -Z straight ahead), in whatever
//! unit the sizes are in. All closed forms here are elementary (own derivation).

use crate::Eye;
use glam::{DVec2, DVec3};
use std::f64::consts::{PI, TAU};

/// Where a body stands and which way it is turned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    /// The middle of its footprint, relative to the eye.
    pub foot: DVec3,
    /// Heading of its depth, clockwise from straight ahead, radians.
    pub heading: f64,
}

impl Pose {
    /// Unit direction of its width.
    #[must_use]
    pub fn right(&self) -> DVec3 {
        let (sin, cos) = self.heading.sin_cos();
        DVec3::new(cos, 0.0, sin)
    }

    /// Unit direction of its depth.
    #[must_use]
    pub fn ahead(&self) -> DVec3 {
        let (sin, cos) = self.heading.sin_cos();
        DVec3::new(sin, 0.0, -cos)
    }

    /// The point so far to the right of its foot, ahead of it and above it.
    #[must_use]
    pub fn at(&self, right: f64, ahead: f64, up: f64) -> DVec3 {
        self.foot + right * self.right() + ahead * self.ahead() + up * DVec3::Y
    }
}

/// An upright body with plane faces; convex, or a single face without thickness.
#[derive(Clone, Debug, PartialEq)]
pub struct Solid {
    corners: Vec<DVec3>,
    /// Corners of each face, anticlockwise as seen from outside.
    faces: Vec<Vec<usize>>,
}

/// An edge of a body.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Edge {
    /// Its ends, relative to the eye.
    pub ends: [DVec3; 2],
    /// Whether the body itself hides it.
    pub hidden: bool,
}

/// Bottom corners of a footprint, anticlockwise as seen from above, beginning at the near left.
fn footprint(pose: &Pose, width: f64, depth: f64, up: f64) -> [DVec3; 4] {
    [(-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5)]
        .map(|(right, ahead)| pose.at(right * width, ahead * depth, up))
}

impl Solid {
    /// A box: its four corners on the ground, then the four above them, each anticlockwise as seen from
    /// above from the near left.
    #[must_use]
    pub fn cuboid(pose: &Pose, width: f64, depth: f64, height: f64) -> Self {
        let [bottom, top] = [0.0, height].map(|up| footprint(pose, width, depth, up));
        let faces =
            [[3, 2, 1, 0], [4, 5, 6, 7], [0, 1, 5, 4], [1, 2, 6, 5], [2, 3, 7, 6], [3, 0, 4, 7]];
        Self {
            corners: bottom.into_iter().chain(top).collect(),
            faces: faces.map(|face| face.to_vec()).into(),
        }
    }

    /// A ramp that rises ahead from nothing to its height: its four corners on the ground, then the upper
    /// ones at the far right and the far left.
    #[must_use]
    pub fn ramp(pose: &Pose, width: f64, depth: f64, height: f64) -> Self {
        let bottom = footprint(pose, width, depth, 0.0);
        let top = footprint(pose, width, depth, height);
        let faces =
            [vec![3, 2, 1, 0], vec![0, 1, 4, 5], vec![2, 3, 5, 4], vec![1, 2, 4], vec![3, 0, 5]];
        Self { corners: bottom.into_iter().chain([top[2], top[3]]).collect(), faces: faces.into() }
    }

    /// A flat upright thing, across its heading: its corners at the bottom left and right, then at the top
    /// right and left.
    #[must_use]
    pub fn panel(pose: &Pose, width: f64, height: f64) -> Self {
        let at = |right: f64, up| pose.at(right * width, 0.0, up);
        let corners = vec![at(-0.5, 0.0), at(0.5, 0.0), at(0.5, height), at(-0.5, height)];
        Self { corners, faces: vec![vec![0, 1, 2, 3]] }
    }

    /// Its corners, in the order that its maker says.
    #[must_use]
    pub fn corners(&self) -> &[DVec3] {
        &self.corners
    }

    /// The faces that are turned to the eye, each with its outward normal (of any length).
    #[must_use]
    pub fn seen_faces(&self) -> Vec<(Vec<DVec3>, DVec3)> {
        let is_flat = self.faces.len() == 1;
        let faces = self.faces.iter().filter(|face| is_flat || self.is_seen(face));
        faces
            .map(|face| (face.iter().map(|&k| self.corners[k]).collect(), self.normal(face)))
            .collect()
    }

    /// Its edges, those first that it hides.
    #[must_use]
    pub fn edges(&self) -> Vec<Edge> {
        let is_flat = self.faces.len() == 1;
        let mut edges: Vec<((usize, usize), bool)> = Vec::new();
        for face in &self.faces {
            let seen = is_flat || self.is_seen(face);
            for (i, &a) in face.iter().enumerate() {
                let b = face[(i + 1) % face.len()];
                let ends = (a.min(b), a.max(b));
                match edges.iter_mut().find(|edge| edge.0 == ends) {
                    Some(edge) => edge.1 |= seen,
                    None => edges.push((ends, seen)),
                }
            }
        }
        edges.sort_by_key(|edge| edge.1);
        let edge = |((a, b), seen): ((usize, usize), bool)| Edge {
            ends: [self.corners[a], self.corners[b]],
            hidden: !seen,
        };
        edges.into_iter().map(edge).collect()
    }

    fn normal(&self, face: &[usize]) -> DVec3 {
        let [a, b, c] = [face[0], face[1], face[2]].map(|k| self.corners[k]);
        (b - a).cross(c - b)
    }

    /// The eye is the origin: it sees a face whose outside is turned to it.
    fn is_seen(&self, face: &[usize]) -> bool {
        self.normal(face).dot(self.corners[face[0]]) < 0.0
    }
}

/// An upright cylinder.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cylinder {
    /// The middle of its lower rim, relative to the eye.
    pub foot: DVec3,
    /// Its radius.
    pub radius: f64,
    /// Its height.
    pub height: f64,
}

impl Cylinder {
    /// The point of the rim at this height over its foot and in this direction from its axis, an angle
    /// in plan from X towards Z, radians.
    #[must_use]
    pub fn rim(&self, up: f64, angle: f64) -> DVec3 {
        let (sin, cos) = angle.sin_cos();
        self.foot + DVec3::new(self.radius * cos, up, self.radius * sin)
    }

    /// The arc of the rim at this height between two angles, `steps` chords long; every point lies on the
    /// rim exactly.
    #[must_use]
    pub fn arc(&self, up: f64, [from, to]: [f64; 2], steps: usize) -> Vec<DVec3> {
        let at = |i: usize| self.rim(up, from + (to - from) * i as f64 / steps.max(1) as f64);
        (0..=steps.max(1)).map(at).collect()
    }

    /// The angles of the two uprights of its side at which sight lines graze it; between them, from
    /// the first up to the second, the side is turned to the eye. `None` where the eye is inside it in
    /// plan.
    ///
    /// A sight line in the tangent plane through the eye grazes it: in plan the radius is square to the
    /// sight line there, so that the angle off the direction to the eye has the cosine radius over
    /// distance.
    #[must_use]
    pub fn contour(&self) -> Option<[f64; 2]> {
        let distance = self.foot.x.hypot(self.foot.z);
        let off = (self.radius / distance).acos();
        let to_eye = (-self.foot.z).atan2(-self.foot.x);
        (distance > self.radius && off.is_finite()).then_some([to_eye - off, to_eye + off])
    }

    /// Whether its upper end is seen from above.
    #[must_use]
    pub fn shows_top(&self) -> bool {
        self.foot.y + self.height < 0.0
    }

    /// Whether its lower end is seen from beneath.
    #[must_use]
    pub fn shows_bottom(&self) -> bool {
        self.foot.y > 0.0
    }

    /// All of it that is in front of anything behind it: a convex outline in the picture.
    #[must_use]
    pub fn outline(&self, steps: usize) -> Vec<DVec3> {
        let Some([from, to]) = self.contour() else {
            let up = if self.shows_top() { self.height } else { 0.0 };
            let seen = self.shows_top() || self.shows_bottom();
            return if seen { self.arc(up, [0.0, TAU], 2 * steps) } else { Vec::new() };
        };
        let (near, far) = ([from, to], [from, to - TAU]);
        let lower = if self.shows_bottom() { far } else { near };
        let upper = if self.shows_top() { far } else { near };
        let mut outline = self.arc(0.0, lower, steps);
        outline.extend(self.arc(self.height, upper, steps).into_iter().rev());
        outline
    }

    /// The angles of a whole rim, from the first upright of its contour round to it again.
    #[must_use]
    pub fn round(&self) -> [f64; 2] {
        let from = self.contour().map_or(-PI, |[from, _]| from);
        [from, from + TAU]
    }
}

/// Nothing nearer than this is drawn, in the unit of the sizes: it has no place in the picture.
const NEAR: f64 = 0.01;

/// Where the part of a segment that is in front of the eye is seen, picture units.
#[must_use]
pub fn seen_segment(eye: &Eye, ends: [DVec3; 2]) -> Option<[DVec2; 2]> {
    let [a, b] = ends.map(|end| eye.image(end));
    let cut = |inside: DVec3, outside: DVec3| {
        if outside.z >= NEAR {
            return outside;
        }
        inside.lerp(outside, (inside.z - NEAR) / (inside.z - outside.z))
    };
    (a.z >= NEAR || b.z >= NEAR).then(|| {
        let (a, b) = if a.z >= NEAR { (a, cut(a, b)) } else { (cut(b, a), b) };
        [a, b].map(|at| at.truncate() / at.z)
    })
}

/// Where the part of a polyline that is in front of the eye is seen, piece by piece, picture units.
#[must_use]
pub fn seen_polyline(eye: &Eye, points: &[DVec3]) -> Vec<Vec<DVec2>> {
    let mut pieces: Vec<Vec<DVec2>> = Vec::new();
    for pair in points.windows(2) {
        let Some([a, b]) = seen_segment(eye, [pair[0], pair[1]]) else { continue };
        match pieces.last_mut() {
            Some(piece) if piece.last() == Some(&a) => piece.push(b),
            _ => pieces.push(vec![a, b]),
        }
    }
    pieces
}

/// Where the part of a convex polygon that is in front of the eye is seen, picture units; empty when
/// none is. (Sutherland & Hodgman 1974, against one plane.)
#[must_use]
pub fn seen_polygon(eye: &Eye, corners: &[DVec3]) -> Vec<DVec2> {
    let corners: Vec<DVec3> = corners.iter().map(|&corner| eye.image(corner)).collect();
    let mut seen = Vec::with_capacity(corners.len() + 1);
    for (i, &b) in corners.iter().enumerate() {
        let a = corners[(i + corners.len() - 1) % corners.len()];
        if (a.z >= NEAR) != (b.z >= NEAR) {
            seen.push(a.lerp(b, (a.z - NEAR) / (a.z - b.z)));
        }
        if b.z >= NEAR {
            seen.push(b);
        }
    }
    seen.into_iter().map(|at| at.truncate() / at.z).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ahead(distance: f64, up: f64) -> Pose {
        Pose { foot: DVec3::new(0.0, up, -distance), heading: 0.0 }
    }

    fn hidden(solid: &Solid) -> usize {
        solid.edges().iter().filter(|edge| edge.hidden).count()
    }

    #[test]
    fn a_box_looked_down_on_shows_two_faces_and_hides_what_is_behind_them() {
        let solid = Solid::cuboid(&ahead(20.0, -5.0), 2.0, 2.0, 1.0);
        assert_eq!(solid.edges().len(), 12);
        assert_eq!(solid.seen_faces().len(), 2);
        assert_eq!(hidden(&solid), 5);
        // From beneath and from the corner: three faces, and the three edges at the far corner.
        let pose = Pose { heading: 0.6, ..ahead(20.0, 5.0) };
        let solid = Solid::cuboid(&pose, 2.0, 2.0, 1.0);
        assert_eq!((solid.seen_faces().len(), hidden(&solid)), (3, 3));
    }

    #[test]
    fn a_ramp_seen_from_its_foot_shows_its_slope() {
        let solid = Solid::ramp(&ahead(20.0, -3.0), 2.0, 6.0, 1.0);
        assert_eq!(solid.edges().len(), 9);
        let faces = solid.seen_faces();
        assert_eq!(faces.len(), 1);
        assert!(faces[0].1.normalize().dot(DVec3::new(0.0, 6.0, 1.0).normalize()) > 0.999);
    }

    #[test]
    fn a_panel_is_seen_from_both_sides() {
        for heading in [0.0, PI] {
            let solid = Solid::panel(&Pose { heading, ..ahead(9.0, -1.6) }, 1.0, 2.0);
            assert_eq!((solid.seen_faces().len(), hidden(&solid)), (1, 0));
        }
    }

    #[test]
    fn sight_lines_graze_a_cylinder_at_its_contour() {
        let cylinder = Cylinder { foot: DVec3::new(7.0, -2.0, -30.0), radius: 5.0, height: 12.0 };
        let [from, to] = cylinder.contour().expect("the eye is outside");
        for angle in [from, to] {
            let at = cylinder.rim(3.0, angle);
            let radius = at - cylinder.rim(3.0, angle + PI);
            assert!(DVec3::new(at.x, 0.0, at.z).dot(radius).abs() < 1e-9);
        }
        let near = cylinder.rim(0.0, 0.5 * (from + to));
        assert!((near.x.hypot(near.z) - (7f64.hypot(30.0) - 5.0)).abs() < 1e-9);
        let around = Cylinder { foot: DVec3::new(1.0, -2.0, -1.0), ..cylinder };
        assert_eq!(around.contour(), None);
    }

    #[test]
    fn what_is_behind_the_eye_is_cut_off() {
        let eye = Eye::default();
        let [front, behind] = [DVec3::new(0.0, -1.0, -4.0), DVec3::new(0.0, -1.0, 4.0)];
        let [a, b] = seen_segment(&eye, [front, behind]).expect("half of it is seen");
        assert_eq!(a, DVec2::new(0.0, 0.25));
        assert!((b - DVec2::new(0.0, 1.0 / NEAR)).length() < 1e-9);
        assert_eq!(seen_segment(&eye, [behind, behind]), None);
        assert!(seen_polygon(&eye, &[behind; 3]).is_empty());
        let corner = DVec3::new(2.0, -1.0, -4.0);
        assert_eq!(seen_polygon(&eye, &[front, behind, corner]).len(), 4);
        let aside = behind + DVec3::X;
        assert_eq!(seen_polyline(&eye, &[front, corner, behind, aside, corner]).len(), 2);
    }
}
