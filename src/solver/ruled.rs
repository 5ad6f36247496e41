//! Equal steps along a straight line, as they are seen.

use glam::{DVec2, DVec3};

/// Nearer to the eye's plane than this nothing is seen, in the depth of what is looked at.
const NEAREST: f64 = 1e-4;

/// A straight line of the scene ruled in equal steps, in homogeneous picture coordinates (u, v, w). A
/// place of the scene is seen at a point that is linear in the place, so that the place `s` steps along
/// is seen at `start + s step`, wherever the line vanishes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ruled {
    /// Where the line begins: its picture point with w = 1.
    pub start: DVec3,
    /// One step along it, a multiple of its vanishing point.
    pub step: DVec3,
}

impl Ruled {
    /// The line from a picture point towards a vanishing point (homogeneous, of either sign, also at
    /// infinity) whose first step ends at the point of it nearest to `to`. `None` if that is where it
    /// begins, or if no place of the line in front of the eye is seen there: it lies at or beyond the
    /// vanishing point.
    ///
    /// The step is k v with (a + k v) × t = 0: of a line's four points a, t, s steps along and v it makes
    /// the cross-ratio s, as the theorem of Pappus wants it.
    #[must_use]
    pub fn new(from: DVec2, to: DVec2, vanishing_point: DVec3) -> Option<Self> {
        let to = nearest_on_line(from, to, vanishing_point)?;
        let (start, end) = (from.extend(1.0), to.extend(1.0));
        let across = vanishing_point.cross(end);
        let k = -start.cross(end).dot(across) / across.length_squared();
        let ruled = Self { start, step: k * vanishing_point };
        // The line of sight to the end has to meet the line in front of the eye.
        let ahead = ruled.at(1.0).z > NEAREST;
        (k != 0.0 && ruled.step.is_finite() && ahead).then_some(ruled)
    }

    /// Where the place `steps` along it is seen, homogeneous; w ≤ 0 is behind the eye.
    #[must_use]
    pub fn at(&self, steps: f64) -> DVec3 {
        self.start + steps * self.step
    }
}

/// The picture point nearest to `at` on the line through `from` and a vanishing point; `None` if the two
/// are the same.
#[must_use]
pub fn nearest_on_line(from: DVec2, at: DVec2, vanishing_point: DVec3) -> Option<DVec2> {
    let towards = vanishing_point.truncate() - vanishing_point.z * from;
    let along = towards.try_normalize()?;
    Some(from + along * along.dot(at - from)).filter(|p| p.is_finite())
}

/// The picture point of homogeneous coordinates, if it is in front of the eye.
#[must_use]
pub fn seen(at: DVec3) -> Option<DVec2> {
    let point = at.truncate() / at.z;
    (at.z > NEAREST * at.truncate().abs().max_element().min(1.0) && point.is_finite())
        .then_some(point)
}

/// The part in front of the eye of a straight edge between two places, both in homogeneous picture
/// coordinates of one scale.
#[must_use]
pub fn seen_edge(a: DVec3, b: DVec3) -> Option<[DVec2; 2]> {
    let least = NEAREST * a.z.abs().max(b.z.abs());
    if !(a.is_finite() && b.is_finite()) || a.z.max(b.z) <= least || least == 0.0 {
        return None;
    }
    let cut = |from: DVec3, to: DVec3| match from.z >= least {
        true => from,
        false => from.lerp(to, (least - from.z) / (to.z - from.z)),
    };
    let point = |at: DVec3| at.truncate() / at.z;
    let edge = [point(cut(a, b)), point(cut(b, a))];
    edge.iter().all(|p| p.is_finite()).then_some(edge)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Eye;

    fn canted() -> Eye {
        Eye { focal: 0.8, pitch: 0.2, cant: -0.15, principal: DVec2::new(0.05, -0.02) }
    }

    fn steps_of(eye: &Eye, first: DVec3, along: DVec3) -> Ruled {
        let seen = |steps: f64| eye.project(first + steps * along).unwrap();
        Ruled::new(seen(0.0), seen(1.0), eye.image(along)).unwrap()
    }

    #[test]
    fn posts_at_equal_distances_are_seen_where_projecting_them_puts_them() {
        let eye = canted();
        let first = DVec3::new(-2.0, -1.6, -6.0);
        for along in
            [DVec3::new(1.0, 0.0, -3.0), DVec3::new(2.5, 0.4, 0.3), DVec3::new(0.0, 1.0, 0.0)]
        {
            let ruled = steps_of(&eye, first, along);
            for step in 0..40 {
                let step = f64::from(step);
                let Some(expected) = eye.project(first + step * along) else { continue };
                let off = seen(ruled.at(step)).unwrap().distance(expected);
                assert!(off < 1e-10 * (1.0 + expected.length()), "{off}");
            }
        }
    }

    #[test]
    fn lines_that_stay_parallel_in_the_picture_are_stepped_evenly() {
        // A vanishing point at infinity: w = 0.
        let ruled = Ruled::new(DVec2::ZERO, DVec2::new(0.1, 0.0), DVec3::X).unwrap();
        assert!(seen(ruled.at(7.0)).unwrap().distance(DVec2::new(0.7, 0.0)) < 1e-15);
    }

    /// The cross-ratio of four points of a line is the same in the picture as in the scene: Pappus of
    /// Alexandria, Collection VII, 129; Hartley and Zisserman, Multiple View Geometry (2nd ed. 2004),
    /// section 2.5. Of the places 0, 1, n and infinity of a scale it is n.
    #[test]
    fn the_cross_ratio_of_beginning_first_step_nth_step_and_vanishing_point_is_n() {
        let eye = canted();
        let along = DVec3::new(1.0, 0.0, -2.0);
        let ruled = steps_of(&eye, DVec3::new(-2.0, -1.6, -5.0), along);
        let vanishing = eye.image(along);
        let vanishing = vanishing.truncate() / vanishing.z;
        let at = |steps: f64| seen(ruled.at(steps)).unwrap();
        let [a, b] = [at(0.0), at(1.0)];
        let line = (vanishing - a).normalize();
        for n in [2.0, 3.0, 7.0, 24.0] {
            let place = |p: DVec2| line.dot(p - a);
            let [b, c, v] = [place(b), place(at(n)), place(vanishing)];
            // (0, 1; n, infinity): the ratio of the ways from n over that from infinity.
            let ratio = (c / b) * ((v - b) / (v - c));
            assert!((ratio - n).abs() < 1e-9, "{ratio} is not {n}");
        }
    }

    /// The handbooks' construction: the diagonals of a wall seen in perspective cross over its middle
    /// (Alberti, De pictura, 1435, uses the diagonal so).
    #[test]
    fn half_way_is_where_the_diagonals_of_a_wall_cross() {
        let eye = canted();
        let (foot, along) = (DVec3::new(-3.0, -1.6, -5.0), DVec3::new(2.0, 0.0, -7.0));
        let up = DVec3::new(0.0, 2.8, 0.0);
        let corner = |a: f64, b: f64| eye.project(foot + a * along + b * up).unwrap().extend(1.0);
        let crossing = corner(0.0, 0.0)
            .cross(corner(1.0, 1.0))
            .cross(corner(1.0, 0.0).cross(corner(0.0, 1.0)));
        let plumb = crossing.cross(eye.image(DVec3::Y));
        let wall_foot = corner(0.0, 0.0).cross(corner(1.0, 0.0));
        let under = plumb.cross(wall_foot);
        let halved = seen(steps_of(&eye, foot, along).at(0.5)).unwrap();
        assert!(halved.distance(under.truncate() / under.z) < 1e-12);
    }

    #[test]
    fn nothing_is_ruled_to_or_beyond_the_vanishing_point() {
        let vanishing = DVec3::new(1.0, 0.0, 1.0);
        let ruled = |to: f64| Ruled::new(DVec2::ZERO, DVec2::new(to, 0.0), vanishing);
        assert!(ruled(0.9).is_some() && ruled(-3.0).is_some());
        assert!(ruled(1.0).is_none() && ruled(1.2).is_none() && ruled(0.0).is_none());
        let opposite = Ruled::new(DVec2::ZERO, DVec2::new(0.5, 0.0), -vanishing).unwrap();
        assert!(seen(opposite.at(1.0)).unwrap().distance(DVec2::new(0.5, 0.0)) < 1e-15);
        assert!(Ruled::new(DVec2::ZERO, DVec2::ONE, DVec3::Z).is_none(), "it begins where it ends");
    }

    #[test]
    fn an_edge_that_passes_the_eye_is_seen_up_to_its_plane() {
        let [near, far] = seen_edge(DVec3::new(1.0, 0.0, -1.0), DVec3::new(1.0, 0.0, 1.0)).unwrap();
        assert!(near.x > 1e3 && far.x == 1.0);
        assert!(seen_edge(DVec3::new(1.0, 0.0, -1.0), DVec3::new(1.0, 0.0, -2.0)).is_none());
        assert!(seen_edge(DVec3::NAN, DVec3::Z).is_none());
        assert!(seen_edge(DVec3::ZERO, DVec3::ZERO).is_none());
    }
}
