//! The eye taken by hand: which quantities put the horizon or a vanishing point where it was dropped.
//!
//! All of it follows from the projection of [`Eye`] (own derivation). In coordinates turned back by the
//! cant, with their origin at the principal point, the horizon is the level line y = f tan(pitch), the
//! plumb point lies at y = -f cot(pitch) on the axis, and the vanishing points a and b of two level
//! directions square to each other satisfy a·b = -f² (Caprile and Torre 1990).

use crate::Eye;
use crate::family::{heading_and_slope, heading_of};
use glam::DVec2;
use std::f64::consts::{FRAC_PI_2, PI};

/// Points nearer to each other than this are one, frame widths.
const SAME: f64 = 1e-9;

impl Eye {
    /// The same eye looking so far up or down that its horizon passes through a picture point.
    #[must_use]
    pub fn pitched_to(&self, at: DVec2) -> Self {
        Self { pitch: self.levelled(at).y.atan2(self.focal), ..*self }
    }

    /// The same eye turned about its optical axis until its horizon passes through a picture point; of
    /// the two ways the shorter one. `None` for a point that is nearer to the principal point than the
    /// horizon is, or when the cant would leave a quarter turn to either side.
    #[must_use]
    pub fn canted_to(&self, at: DVec2) -> Option<Self> {
        let from = at - self.principal;
        let distance = self.focal * self.pitch.tan();
        if from.length() < SAME || distance.abs() > from.length() {
            return None;
        }
        let (towards, half) = (from.y.atan2(from.x), (distance / from.length()).asin());
        let turn = |cant: f64| (cant - self.cant + PI).rem_euclid(2.0 * PI) - PI;
        let turns = [turn(half - towards), turn(PI - half - towards)];
        let shorter = if turns[0].abs() <= turns[1].abs() { turns[0] } else { turns[1] };
        let cant = self.cant + shorter;
        (cant.abs() <= FRAC_PI_2).then_some(Self { cant, ..*self })
    }

    /// The same eye looking and canted so that plumb lines vanish at a picture point: over the principal
    /// point the zenith, below it the nadir. `None` for the principal point itself.
    #[must_use]
    pub fn with_plumb_point(&self, at: DVec2) -> Option<Self> {
        let from = at - self.principal;
        if from.length() < SAME {
            return None;
        }
        let up = if from.y < 0.0 { -from } else { from };
        let pitch = self.focal.atan2(from.length());
        let pitch = if from.y < 0.0 { pitch } else { -pitch };
        Some(Self { pitch, cant: up.x.atan2(up.y), ..*self })
    }

    /// The eye with another lens whose horizon stays where it is, and whose plumb lines vanish as far
    /// from the principal point as a picture point is along plumb. `None` where the horizon passes
    /// through the principal point, or the point lies on the horizon's side of it.
    #[must_use]
    pub fn with_plumb_point_and_horizon(&self, at: DVec2) -> Option<Self> {
        let horizon = self.focal * self.pitch.tan();
        self.with_square(-horizon * self.levelled(at).y, horizon)
    }

    /// The eye with another lens whose horizon stays where it is and in which two points of it are the
    /// vanishing points of directions square to each other. `None` where there is no such eye: both
    /// points on the same side, or too near to each other.
    #[must_use]
    pub fn with_square_points(&self, one: DVec2, other: DVec2) -> Option<Self> {
        let (one, other) = (self.levelled(one), self.levelled(other));
        let horizon = self.focal * self.pitch.tan();
        self.with_square(-one.x * other.x - horizon * horizon, horizon)
    }

    /// The point of the horizon nearest to a picture point.
    #[must_use]
    pub fn nearest_on_horizon(&self, at: DVec2) -> DVec2 {
        let horizon = self.horizon();
        at - (horizon.truncate().dot(at) + horizon.z) * horizon.truncate()
    }

    /// Heading of the lines that vanish at a picture point, radians, clockwise from straight ahead,
    /// within a quarter turn of it.
    #[must_use]
    pub fn heading_at(&self, at: DVec2) -> f64 {
        heading_of(self.ray(at))
    }

    /// Heading and slope of the lines that vanish at a picture point, radians.
    #[must_use]
    pub fn heading_and_slope_at(&self, at: DVec2) -> [f64; 2] {
        heading_and_slope(self.ray(at))
    }

    /// A picture point in coordinates turned back by the cant, from the principal point.
    fn levelled(&self, at: DVec2) -> DVec2 {
        DVec2::from_angle(self.cant).rotate(at - self.principal)
    }

    /// With this square of the focal length, and the horizon so far below the principal point.
    fn with_square(&self, square: f64, horizon: f64) -> Option<Self> {
        let focal = square.sqrt();
        (focal > SAME).then(|| Self { focal, pitch: horizon.atan2(focal), ..*self })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Family, Headings};
    use glam::DVec3;

    /// Canted, looking up, and a crop.
    fn eye() -> Eye {
        Eye { focal: 0.9, pitch: 0.16, cant: -0.1, principal: DVec2::new(0.05, -0.02) }
    }

    fn seen(eye: &Eye, direction: DVec3) -> DVec2 {
        let at = eye.image(direction);
        at.truncate() / at.z
    }

    fn off_horizon(eye: &Eye, at: DVec2) -> f64 {
        eye.horizon().dot(at.extend(1.0)).abs()
    }

    fn assert_near(a: DVec2, b: DVec2) {
        assert!((a - b).length() < 1e-9, "{a} is not {b}");
    }

    #[test]
    fn the_horizon_passes_through_the_point_it_was_lifted_to() {
        for at in [DVec2::new(0.3, -0.2), DVec2::new(-0.4, 0.6), DVec2::new(0.0, -3.0)] {
            let lifted = eye().pitched_to(at);
            assert!(off_horizon(&lifted, at) < 1e-12, "{at}");
            assert_eq!((lifted.focal, lifted.cant), (eye().focal, eye().cant));
        }
    }

    #[test]
    fn the_horizon_passes_through_the_point_it_was_turned_to_and_the_pitch_stays() {
        for at in [DVec2::new(0.5, 0.1), DVec2::new(-0.45, 0.2), DVec2::new(0.4, 0.3)] {
            let canted = eye().canted_to(at).unwrap();
            assert!(off_horizon(&canted, at) < 1e-12, "{at}");
            assert_eq!((canted.focal, canted.pitch), (eye().focal, eye().pitch));
            assert!((canted.cant - eye().cant).abs() < 0.8, "the shorter way");
        }
        assert_eq!(eye().canted_to(eye().principal + 0.1 * DVec2::Y), None, "inside the circle");
    }

    #[test]
    fn raising_the_right_end_cants_to_the_left() {
        let level = Eye { pitch: 0.0, cant: 0.0, ..eye() };
        let canted = level.canted_to(level.principal + DVec2::new(0.4, -0.1)).unwrap();
        assert!((canted.cant - 0.25_f64.atan()).abs() < 1e-12);
    }

    #[test]
    fn plumb_lines_vanish_where_their_point_was_dropped() {
        for at in [DVec2::new(0.2, -1.4), DVec2::new(-0.3, -0.3), DVec2::new(0.1, 2.0)] {
            let eye = eye().with_plumb_point(at).unwrap();
            assert_near(seen(&eye, DVec3::Y), at);
            assert!(eye.cant.abs() <= FRAC_PI_2 && (eye.pitch > 0.0) == (at.y < -0.02), "{eye:?}");
        }
        assert_eq!(eye().with_plumb_point(eye().principal), None);
    }

    #[test]
    fn the_plumb_point_can_set_the_lens_while_the_horizon_stays() {
        let plumb = seen(&eye(), DVec3::Y);
        let farther = eye().principal + 1.3 * (plumb - eye().principal);
        let eye = eye().with_plumb_point_and_horizon(farther).unwrap();
        assert_near(seen(&eye, DVec3::Y), farther);
        assert!((eye.horizon() - self::eye().horizon()).length() < 1e-12);
        assert!(eye.focal > self::eye().focal);
        let level = Eye { pitch: 0.0, ..eye };
        assert_eq!(level.with_plumb_point_and_horizon(farther), None);
    }

    #[test]
    fn lines_of_a_heading_read_at_a_point_vanish_there() {
        let at = eye().nearest_on_horizon(DVec2::new(1.7, -0.4));
        assert!(off_horizon(&eye(), at) < 1e-12);
        let headings = Headings { blocks: vec![eye().heading_at(at)], inclines: vec![] };
        assert_near(seen(&eye(), headings.direction(Family::RecedingRight(0))), at);
        let up = DVec2::new(0.3, -0.5);
        let headings = Headings { blocks: vec![], inclines: vec![eye().heading_and_slope_at(up)] };
        assert_near(seen(&eye(), headings.direction(Family::Incline(0))), up);
    }

    #[test]
    fn two_points_of_the_horizon_set_the_lens_and_stay_square() {
        let [left, right] = [-0.6, 0.9].map(|x| eye().nearest_on_horizon(DVec2::new(x, 0.0)));
        let eye = eye().with_square_points(left, right).unwrap();
        assert!((eye.horizon() - self::eye().horizon()).length() < 1e-12, "the horizon stays");
        assert!(eye.ray(left).dot(eye.ray(right)).abs() < 1e-12);
        for level in [left, right] {
            assert!(eye.ray(level).dot(DVec3::Y).abs() < 1e-12);
        }
        assert_eq!(eye.with_square_points(right, right + 0.01 * (right - left)), None);
    }
}
