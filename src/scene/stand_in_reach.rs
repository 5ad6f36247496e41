//! How far a stand-in reaches over the ground, and what it looks like from the side.

use crate::{Placed, Placement, Shape, Units};
use glam::{DVec2, DVec3};

/// Into how many pieces the slope of a ramp is cut to be seen from the side.
const PIECES: u32 = 12;

impl Placed {
    /// The corners of its footprint on the ground, in turn, relative to the eye, metres; none for what has
    /// no corners: a figure, a cylinder.
    #[must_use]
    pub fn corners(&self) -> Vec<DVec3> {
        let half = 0.5 * self.shape.footprint();
        let around: &[(f64, f64)] = match self.shape {
            Shape::Figure { .. } | Shape::Cylinder { .. } => &[],
            Shape::Panel { .. } => &[(-1.0, 0.0), (1.0, 0.0)],
            Shape::Box { .. } | Shape::Ramp { .. } => {
                &[(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
            }
        };
        around.iter().map(|(right, ahead)| self.at(right * half.x, ahead * half.y)).collect()
    }

    /// The straight edges of its body, relative to the eye, metres: along the ground, plumb, and along the top;
    /// of a round one the sides of the square around it. None for a figure.
    #[must_use]
    pub fn edges(&self) -> Vec<[DVec3; 2]> {
        let corners = match self.shape {
            Shape::Cylinder { diameter, height } => {
                let square = Shape::Box { width: diameter, depth: diameter, height };
                Self { shape: square, ..*self }.corners()
            }
            _ => self.corners(),
        };
        let up = self.shape.height() * DVec3::Y;
        let next = corners.iter().cycle().skip(1);
        let around = corners.iter().zip(next);
        around.flat_map(|(a, b)| [[*a, *b], [*a, *a + up], [*a + up, *b + up]]).collect()
    }

    /// A place so far to the right of the middle of its footprint and along its heading.
    fn at(&self, right: f64, ahead: f64) -> DVec3 {
        let (sine, cosine) = self.heading.sin_cos();
        let to_right = DVec3::new(cosine, 0.0, sine);
        self.foot + right * to_right + ahead * DVec3::new(sine, 0.0, -cosine)
    }

    /// Horizontal distances from the eye of the nearest and of the farthest point of its footprint, metres.
    /// A figure is taken for a point, as its size is its height; an eye inside a footprint is 0 off.
    #[must_use]
    pub fn reach(&self) -> (f64, f64) {
        let corners = self.corners();
        match self.shape {
            Shape::Figure { .. } => (self.distance(), self.distance()),
            Shape::Cylinder { diameter, .. } => {
                let (middle, radius) = (self.distance(), 0.5 * diameter);
                ((middle - radius).max(0.0), middle + radius)
            }
            _ => {
                let farthest = corners.iter().map(|at| level(*at).length()).fold(0.0, f64::max);
                let next = corners.iter().cycle().skip(1);
                let sides = corners.iter().zip(next).map(|(a, b)| nearest(level(*a), level(*b)));
                let nearest = sides.fold(f64::INFINITY, f64::min);
                (if surrounds(&corners) { 0.0 } else { nearest.min(farthest) }, farthest)
            }
        }
    }

    /// Its outline as seen from the side: horizontal distances from the eye and heights over it, metres,
    /// convex, in turn. A figure is a line from its foot to its head.
    #[must_use]
    pub fn side(&self) -> Vec<DVec2> {
        let (foot, head) = (self.foot.y, self.head().y);
        let (near, far) = self.reach();
        match self.shape {
            Shape::Figure { .. } => vec![DVec2::new(near, foot), DVec2::new(near, head)],
            Shape::Ramp { width, depth, height } => {
                let part = |i| f64::from(i) / f64::from(PIECES);
                let slope =
                    (0..=PIECES).flat_map(|i| [-0.5, 0.0, 0.5].map(|right| (part(i), right)));
                let slope = slope.map(|(up, right)| {
                    let at = self.at(right * width, (up - 0.5) * depth);
                    DVec2::new(level(at).length(), foot + up * height)
                });
                hull(slope.chain([near, far].map(|d| DVec2::new(d, foot))).collect())
            }
            _ => [(near, foot), (far, foot), (far, head), (near, head)].map(DVec2::from).to_vec(),
        }
    }
}

impl Placement {
    /// Horizontal distances from the eye of the nearest and of the farthest point of all of them, metres.
    #[must_use]
    pub fn reach(&self) -> (f64, f64) {
        let reaches = self.each.iter().map(Placed::reach);
        reaches.fold((f64::INFINITY, 0.0), |(near, far), (a, b)| (near.min(a), far.max(b)))
    }
}

/// A reach over the ground in words: "23.0 m off", or "from 120 m to 372 m off" where its ends differ as they are
/// told.
#[must_use]
pub fn reach_words(units: Units, (near, far): (f64, f64)) -> String {
    match [near, far].map(|metres| units.metres(metres)) {
        [near, far] if near != far => format!("from {near} to {far} off"),
        [near, _] => format!("{near} off"),
    }
}

fn level(at: DVec3) -> DVec2 {
    DVec2::new(at.x, at.z)
}

/// How near a side comes to the eye.
fn nearest(a: DVec2, b: DVec2) -> f64 {
    let along = b - a;
    let square = along.length_squared();
    let part = if square > 0.0 { (-a.dot(along) / square).clamp(0.0, 1.0) } else { 0.0 };
    (a + part * along).length()
}

/// Whether the eye is over a footprint.
fn surrounds(corners: &[DVec3]) -> bool {
    let next = corners.iter().cycle().skip(1);
    let turns = corners.iter().zip(next).map(|(a, b)| level(*a).perp_dot(level(*b)));
    let (mut left, mut right) = (0, 0);
    turns.for_each(|turn| if turn > 0.0 { left += 1 } else { right += 1 });
    corners.len() > 2 && (left == 0 || right == 0)
}

/// The convex hull, in turn (Andrew 1979, from memory).
fn hull(mut points: Vec<DVec2>) -> Vec<DVec2> {
    points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    let half = |points: &mut dyn Iterator<Item = DVec2>| {
        let mut chain: Vec<DVec2> = Vec::new();
        for point in points {
            while let [.., a, b] = chain[..]
                && (b - a).perp_dot(point - b) <= 0.0
            {
                chain.pop();
            }
            chain.push(point);
        }
        chain.pop();
        chain
    };
    let mut all = half(&mut points.iter().copied());
    all.extend(half(&mut points.iter().rev().copied()));
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    fn placed(shape: Shape, right: f64, ahead: f64, heading: f64) -> Placed {
        Placed { foot: DVec3::new(right, -3.0, -ahead), heading: heading.to_radians(), shape }
    }

    const HULL: Shape = Shape::Box { width: 10.0, depth: 252.0, height: 30.0 };

    #[test]
    fn a_hull_that_lies_straight_ahead_reaches_from_its_stern_to_its_bow() {
        let (near, far) = placed(HULL, 0.0, 246.0, 0.0).reach();
        assert!((near - 120.0).abs() < 1e-9);
        assert!((far - 372.0f64.hypot(5.0)).abs() < 1e-9);
        assert_eq!(reach_words(Units::Metric, (near, far)), "from 120 m to 372 m off");
    }

    #[test]
    fn a_hull_across_the_view_is_nearest_at_its_middle() {
        let (near, far) = placed(HULL, 0.0, 100.0, 90.0).reach();
        assert!((near - 95.0).abs() < 1e-9);
        assert!((far - 105.0f64.hypot(126.0)).abs() < 1e-9);
    }

    #[test]
    fn a_figure_and_a_far_door_are_as_far_off_as_their_foot_is() {
        let figure = placed(Shape::Figure { height: 1.7 }, 3.0, 4.0, 20.0);
        assert_eq!(figure.reach(), (5.0, 5.0));
        assert_eq!(reach_words(Units::Metric, figure.reach()), "5.00 m off");
        let door = placed(Shape::Panel { width: 0.9, height: 2.1 }, 0.0, 60.0, 0.0);
        assert_eq!(reach_words(Units::Metric, door.reach()), "60.0 m off");
    }

    #[test]
    fn a_tower_reaches_its_radius_to_both_sides_and_an_eye_inside_is_not_off() {
        let tower = Shape::Cylinder { diameter: 20.0, height: 80.0 };
        assert_eq!(placed(tower, 0.0, 100.0, 0.0).reach(), (90.0, 110.0));
        assert_eq!(placed(tower, 0.0, 4.0, 0.0).reach().0, 0.0);
        assert_eq!(placed(HULL, 0.0, 4.0, 30.0).reach().0, 0.0);
    }

    #[test]
    fn from_the_side_a_box_is_as_deep_as_it_is_and_a_ramp_rises_away_from_the_eye() {
        let side = placed(HULL, 0.0, 246.0, 0.0).side();
        assert_eq!(side.len(), 4);
        assert!(side.iter().any(|p| (p.x - 120.0).abs() < 1e-9 && (p.y - 27.0).abs() < 1e-9));
        let ramp = placed(Shape::Ramp { width: 2.0, depth: 40.0, height: 8.0 }, 0.0, 60.0, 0.0);
        let side = ramp.side();
        let top = side.iter().max_by(|a, b| a.y.total_cmp(&b.y)).expect("a top");
        assert!((top.x - 80.0).abs() < 0.1 && (top.y - 5.0).abs() < 1e-9, "{top}");
        let near = side.iter().min_by(|a, b| a.x.total_cmp(&b.x)).expect("an end");
        assert!((near.x - 40.0).abs() < 1e-9 && (near.y + 3.0).abs() < 1e-9, "{near}");
    }

    #[test]
    fn what_is_not_finite_does_no_harm() {
        for bad in [f64::NAN, f64::INFINITY, 0.0] {
            let odd = placed(Shape::Ramp { width: bad, depth: bad, height: bad }, bad, 1.0, bad);
            let _ = (odd.reach(), odd.side(), reach_words(Units::Metric, odd.reach()));
        }
    }
}
