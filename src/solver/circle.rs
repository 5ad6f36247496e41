//! Circles and cylinders, as they are seen.

use crate::Eye;
use glam::{DMat3, DVec2, DVec3};

/// A circle of the scene.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Circle {
    /// Its centre relative to the eye, world axes.
    pub centre: DVec3,
    /// Two radii that are square to each other, world axes.
    pub radii: [DVec3; 2],
}

/// An ellipse in the picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ellipse {
    /// Its centre, which is not where the circle's centre is seen, picture units.
    pub centre: DVec2,
    /// Half of its long axis and of its short one, frame widths.
    pub semi_axes: [f64; 2],
    /// Unit direction of its long axis in the picture.
    pub long_axis: DVec2,
}

impl Circle {
    /// The circle about a centre in the plane square to `normal`; `None` if that has no length or
    /// anything is not a number.
    #[must_use]
    pub fn new(centre: DVec3, normal: DVec3, radius: f64) -> Option<Self> {
        let normal = normal.try_normalize()?;
        let (first, second) = normal.any_orthonormal_pair();
        let circle = Self { centre, radii: [radius * first, radius * second] };
        let sound = centre.is_finite() && radius > 0.0 && radius.is_finite();
        sound.then_some(circle)
    }

    /// The circle about the place seen at `centre`, in the plane through it square to `normal`, whose rim
    /// passes through what is seen at `rim`. Its scale is that of its centre, which is taken one unit
    /// away from the eye. `None` if the plane is seen edge on or not at all at the rim.
    #[must_use]
    pub fn through(eye: &Eye, centre: DVec2, rim: DVec2, normal: DVec3) -> Option<Self> {
        let (middle, sight) = (eye.ray(centre), eye.ray(rim));
        let away = normal.dot(middle) / normal.dot(sight);
        let radius = (away * sight - middle).length();
        (away > 0.0 && away.is_finite()).then(|| Self::new(middle, normal, radius)).flatten()
    }

    /// Its radius.
    #[must_use]
    pub fn radius(&self) -> f64 {
        self.radii[0].length()
    }

    /// The unit normal of its plane.
    #[must_use]
    pub fn normal(&self) -> DVec3 {
        self.radii[0].cross(self.radii[1]).normalize()
    }

    /// The same circle moved.
    #[must_use]
    pub fn moved(&self, by: DVec3) -> Self {
        Self { centre: self.centre + by, ..*self }
    }

    /// A place of its rim relative to the eye, `turn` radians round.
    #[must_use]
    pub fn place(&self, turn: f64) -> DVec3 {
        let (sin, cos) = turn.sin_cos();
        self.centre + cos * self.radii[0] + sin * self.radii[1]
    }

    /// From coordinates (x, y, 1) in its plane, in which it is x² + y² = 1, to the picture.
    fn homography(&self, eye: &Eye) -> DMat3 {
        let [x, y] = self.radii.map(|radius| eye.image(radius));
        DMat3::from_cols(x, y, eye.image(self.centre))
    }

    /// The conic that it is seen as: p' C p = 0 for the picture points p = (u, v, 1) of its rim.
    /// C' = H⁻ᵀ C H⁻¹ (R. Hartley and A. Zisserman, Multiple View Geometry, 2nd ed. 2004, result 2.13).
    /// `None` if it is seen edge on.
    #[must_use]
    pub fn conic(&self, eye: &Eye) -> Option<DMat3> {
        let h = self.homography(eye);
        let size = h.x_axis.length() * h.y_axis.length() * h.z_axis.length();
        if h.determinant().abs() <= 1e-12 * size || !h.is_finite() {
            return None;
        }
        let back = h.inverse();
        let unit = DMat3::from_diagonal(DVec3::new(1.0, 1.0, -1.0));
        Some(back.transpose() * unit * back).filter(DMat3::is_finite)
    }

    /// Whether all of it is in front of the eye.
    #[must_use]
    pub fn is_in_front(&self, eye: &Eye) -> bool {
        let depth = self.homography(eye).transpose().z_axis;
        depth.z > depth.x.hypot(depth.y)
    }

    /// The ellipse that it is seen as; `None` if it is seen edge on or reaches behind the eye.
    #[must_use]
    pub fn ellipse(&self, eye: &Eye) -> Option<Ellipse> {
        let c = self.conic(eye).filter(|_| self.is_in_front(eye))?;
        let (a, b, d) = (c.x_axis.x, c.y_axis.x, c.y_axis.y);
        let (p, q) = (c.z_axis.x, c.z_axis.y);
        let determinant = a * d - b * b;
        let centre = DVec2::new(b * q - d * p, b * p - a * q) / determinant;
        let level = -(p * centre.x + q * centre.y + c.z_axis.z);
        // Its axes are those of the quadratic form; the longer belongs to the smaller eigenvalue.
        let half = 0.5 * (a - d).hypot(2.0 * b);
        let mean = 0.5 * (a + d);
        let turn = 0.5 * (2.0 * b).atan2(a - d);
        let [first, second] = [level / (mean + half), level / (mean - half)];
        let (long, short, along) = if first > second {
            (first, second, DVec2::from_angle(turn))
        } else {
            (second, first, DVec2::from_angle(turn).perp())
        };
        let ellipse = Ellipse { centre, semi_axes: [long.sqrt(), short.sqrt()], long_axis: along };
        let sound =
            centre.is_finite() && ellipse.semi_axes.iter().all(|s| s.is_finite() && *s > 0.0);
        sound.then_some(ellipse)
    }

    /// The turns at which the outline of a cylinder over it touches it: there the sight line touches the
    /// cylinder, m · X = 0 for a place X of the rim with the radius m. `None` if the eye is within the
    /// cylinder's walls, however far it is carried.
    #[must_use]
    pub fn outline_turns(&self) -> Option<[f64; 2]> {
        let [x, y] = self.radii.map(|radius| radius.dot(self.centre));
        let away = x.hypot(y);
        let squared = self.radii[0].length_squared();
        let outside = away > squared && away.is_finite();
        let half = (-squared / away).acos();
        outside.then(|| [y.atan2(x) - half, y.atan2(x) + half])
    }
}

/// How far along `axis` from a place (relative to the eye) its line is nearest to what is seen at a
/// picture point: the sight line is cut with the plane that holds the axis and otherwise faces the eye.
/// `None` if the axis points at the eye or the sight line does not meet that plane ahead.
#[must_use]
pub fn carried_to(eye: &Eye, place: DVec3, axis: DVec3, at: DVec2) -> Option<f64> {
    let sight = eye.ray(at);
    let facing = axis.cross(place.cross(axis));
    if facing.length() <= 1e-9 * place.length() * axis.length_squared() {
        return None;
    }
    let away = facing.dot(place) / facing.dot(sight);
    let by = axis.dot(away * sight - place) / axis.length_squared();
    (away > 0.0 && by.is_finite()).then_some(by)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn eye() -> Eye {
        Eye { focal: 0.9, pitch: -0.25, cant: 0.1, principal: DVec2::new(0.02, 0.01) }
    }

    #[test]
    fn every_point_of_the_rim_lies_on_the_conic_and_on_the_ellipse() {
        let eye = eye();
        let circle = Circle::new(DVec3::new(1.0, -2.0, -7.0), DVec3::Y, 1.3).unwrap();
        let (conic, ellipse) = (circle.conic(&eye).unwrap(), circle.ellipse(&eye).unwrap());
        for step in 0..36 {
            let turn = f64::from(step) * 0.1745;
            let p = eye.project(circle.place(turn)).unwrap();
            let on = p.extend(1.0).dot(conic * p.extend(1.0));
            assert!(on.abs() < 1e-9, "{on}");
            let from = p - ellipse.centre;
            let [long, short] = ellipse.semi_axes;
            let (x, y) = (from.dot(ellipse.long_axis), from.dot(ellipse.long_axis.perp()));
            assert!(((x / long).powi(2) + (y / short).powi(2) - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn a_circle_that_faces_a_level_eye_straight_ahead_is_seen_round() {
        let eye = Eye::default();
        let circle = Circle::new(DVec3::new(0.0, 0.0, -4.0), DVec3::Z, 1.0).unwrap();
        let ellipse = circle.ellipse(&eye).unwrap();
        assert!(ellipse.semi_axes.iter().all(|axis| (axis - 0.25).abs() < 1e-12));
        assert!(ellipse.centre.length() < 1e-12);
    }

    #[test]
    fn a_circle_at_the_eyes_own_height_is_a_line_and_one_round_the_eye_is_no_ellipse() {
        let edge_on = Circle::new(DVec3::new(0.0, 0.0, -4.0), DVec3::Y, 1.0).unwrap();
        assert_eq!(edge_on.ellipse(&Eye::default()), None);
        let round = Circle::new(DVec3::new(0.0, -1.6, -1.0), DVec3::Y, 3.0).unwrap();
        assert_eq!(round.ellipse(&Eye::default()), None);
    }

    #[test]
    fn a_circle_by_its_rim_passes_through_it() {
        let eye = eye();
        let (centre, rim) = (DVec2::new(-0.1, 0.12), DVec2::new(0.1, 0.16));
        let circle = Circle::through(&eye, centre, rim, DVec3::Y).unwrap();
        let p = rim.extend(1.0);
        let conic = circle.conic(&eye).unwrap();
        assert!(p.dot(conic * p).abs() < 1e-9);
        assert!(eye.project(circle.centre).unwrap().distance(centre) < 1e-12);
        let beyond = eye.project(DVec3::new(0.0, 1.0, -2.0)).unwrap();
        assert_eq!(Circle::through(&eye, centre, beyond, DVec3::Y), None, "over the horizon");
    }

    #[test]
    fn the_outline_of_a_cylinder_touches_the_ellipses_of_both_its_ends() {
        let eye = eye();
        let foot = Circle::new(DVec3::new(-1.0, -1.8, -6.0), DVec3::Y, 0.8).unwrap();
        let top = foot.moved(DVec3::new(0.0, 2.5, 0.0));
        for turn in foot.outline_turns().unwrap() {
            let [a, b] = [foot, top].map(|c| eye.image(c.place(turn)));
            let line = a.cross(b);
            for end in [foot, top] {
                // A line l touches a conic C where l' C⁻¹ l = 0.
                let dual = end.conic(&eye).unwrap().inverse();
                let scale = line.length_squared() * dual.x_axis.length();
                assert!((line.dot(dual * line) / scale).abs() < 1e-9);
            }
        }
        let around = Circle::new(DVec3::new(0.0, -1.6, 0.0), DVec3::Y, 2.0).unwrap();
        assert_eq!(around.outline_turns(), None);
    }

    #[test]
    fn a_length_along_an_axis_is_read_back_from_where_it_is_seen() {
        let eye = eye();
        let place = DVec3::new(1.0, -1.6, -9.0);
        for axis in [DVec3::Y, DVec3::new(0.6, 0.0, -0.8)] {
            let at = eye.project(place + 2.5 * axis).unwrap();
            assert!((carried_to(&eye, place, axis, at).unwrap() - 2.5).abs() < 1e-9);
        }
        assert_eq!(carried_to(&eye, place, place, DVec2::ZERO), None);
    }
}
