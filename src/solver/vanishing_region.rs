//! How far a vanishing point can be trusted.

use crate::Family;
use crate::eye_fit::EyeFit;
use crate::seen::Seen;
use glam::{DMat2, DMat3, DVec2, DVec3};
use std::f64::consts::FRAC_PI_2;

/// Where the vanishing point of a family is with a probability of 95 %, for as much as pointing leaves
/// it open.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum VanishingRegion {
    /// Inside an ellipse.
    Ellipse {
        /// Its centre, picture units; farther out than the vanishing point itself, since the far
        /// side is less sure.
        centre: DVec2,
        /// Half its length and half its width, frame widths.
        semi_axes: [f64; 2],
        /// Direction of its length, radians from rightward towards downward, in (-90, 90] degrees.
        angle: f64,
    },
    /// Too far off to tell how far, or even whether this way or the opposite: in a range of directions
    /// as seen from the frame's centre.
    Directions {
        /// The middle direction, radians from rightward towards downward, in (-90, 90] degrees; the
        /// point may lie that way or the opposite.
        angle: f64,
        /// How far the range reaches to either side, radians; a quarter turn where all directions are
        /// open.
        half_width: f64,
    },
}

/// The 95 % points of chi-square with two degrees of freedom and with one.
const CHI_SQUARE_2: f64 = 5.991_464_547;
const CHI_SQUARE_1: f64 = 3.841_458_821;

impl EyeFit {
    /// The 95 % region of a family's vanishing point.
    ///
    /// Its homogeneous coordinates v have the covariance S (delta method from the fit's covariance).
    /// The points whose sight lines meet the ellipsoid of v at the 95 % point c of chi-square with two
    /// degrees of freedom are bounded by the conic that is dual to v v' - c S: Fieller's region (J. R.
    /// Stat. Soc. B 16, 1954) in two dimensions, exact where v is normal. It is an ellipse if w differs
    /// from 0 by more than the square root of c times its standard deviation; otherwise it reaches
    /// to infinity, and what is told is the range of directions (u, v), by the same argument with
    /// one degree of freedom. Own derivation of the conic.
    #[must_use]
    pub fn vanishing_region(&self, family: Family) -> VanishingRegion {
        let (v, covariance) = self.homogeneous(family);
        let dual = outer(v) - covariance * CHI_SQUARE_2;
        if dual.z_axis.z > 0.0 {
            return ellipse(dual * (1.0 / dual.z_axis.z));
        }
        let (far, angle, near) = axes(upper_left(outer(v) - covariance * CHI_SQUARE_1));
        if far > 0.0 && near.is_finite() {
            let half_width = (-near / far).max(0.0).sqrt().atan();
            return VanishingRegion::Directions { angle, half_width };
        }
        VanishingRegion::Directions { angle: 0.0, half_width: FRAC_PI_2 }
    }

    /// Homogeneous coordinates of a family's vanishing point with their covariance.
    fn homogeneous(&self, family: Family) -> (DVec3, DMat3) {
        let parameters = self.headings.parameters();
        let principal = (self.covariance.nrows() > parameters).then_some(parameters);
        let seen = Seen::new(&self.eye, &self.headings, &[family], principal);
        let slopes = seen.vanishing_point_slopes(0);
        let mut covariance = DMat3::ZERO;
        for (i, a) in &slopes {
            let shared: DVec3 = slopes.iter().map(|(k, b)| *b * self.covariance[(*i, *k)]).sum();
            covariance += DMat3::from_cols(*a * shared.x, *a * shared.y, *a * shared.z);
        }
        (self.vanishing_point(family), covariance)
    }
}

fn outer(v: DVec3) -> DMat3 {
    DMat3::from_cols(v * v.x, v * v.y, v * v.z)
}

fn upper_left(m: DMat3) -> DMat2 {
    DMat2::from_cols(m.x_axis.truncate(), m.y_axis.truncate())
}

/// The ellipse of a dual conic [[c c' - A, c], [c', 1]]: centre c, (x - c)' A⁻¹ (x - c) = 1.
fn ellipse(dual: DMat3) -> VanishingRegion {
    let centre = dual.z_axis.truncate();
    let shape = DMat2::from_cols(centre * centre.x, centre * centre.y) - upper_left(dual);
    let (long, angle, short) = axes(shape);
    VanishingRegion::Ellipse { centre, semi_axes: [long, short].map(|a| a.max(0.0).sqrt()), angle }
}

/// Larger eigenvalue of a symmetric matrix, the angle of its eigenvector, the smaller eigenvalue.
fn axes(m: DMat2) -> (f64, f64, f64) {
    let (mean, half) = (0.5 * (m.x_axis.x + m.y_axis.y), 0.5 * (m.x_axis.x - m.y_axis.y));
    let spread = half.hypot(m.x_axis.y);
    (mean + spread, 0.5 * m.x_axis.y.atan2(half), mean - spread)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Eye, EyeEvidence, Headings, TracedLine, fit_eye};
    use rand::SeedableRng;
    use rand::rngs::StdRng;
    use rand_distr::{Distribution, StandardNormal};

    const POINTING: f64 = 1.5 / 2300.0;

    impl VanishingRegion {
        fn holds(self, v: DVec3) -> bool {
            match self {
                Self::Ellipse { centre, semi_axes, angle } => {
                    let off = v.truncate() / v.z - centre;
                    let along = DVec2::from_angle(-angle).rotate(off);
                    (along / DVec2::from(semi_axes)).length() <= 1.0
                }
                Self::Directions { angle, half_width } => {
                    let off = DVec2::from_angle(-angle).rotate(v.truncate());
                    off.y.abs().atan2(off.x.abs()) <= half_width
                }
            }
        }
    }

    fn headings() -> Headings {
        Headings { blocks: vec![0.7], inclines: vec![] }
    }

    /// Lines of three families, pointed at with the errors that `slip` tells.
    fn drawn(eye: &Eye, mut slip: impl FnMut() -> DVec2) -> EyeEvidence {
        let mut evidence = EyeEvidence::none(POINTING);
        let places = [(-0.4, -0.15), (0.35, 0.1), (0.1, -0.2), (-0.2, 0.18), (0.05, 0.2)];
        for family in [Family::Upright, Family::RecedingRight(0), Family::RecedingLeft(0)] {
            let v = eye.image(headings().direction(family));
            for (x, y) in places {
                let middle = DVec2::new(x, y);
                let half = 0.1 * (v.truncate() - v.z * middle).normalize();
                let (from, to) = (middle - half + slip(), middle + half + slip());
                evidence.lines.push(TracedLine { family, from, to });
            }
        }
        evidence
    }

    #[test]
    fn regions_hold_the_true_point_as_often_as_they_say() {
        let mut rng = StdRng::seed_from_u64(11);
        for (eye, family, far) in [
            (Eye { pitch: 0.4, cant: 0.1, ..Eye::default() }, Family::Upright, false),
            (Eye { pitch: 0.2, cant: -0.2, ..Eye::default() }, Family::RecedingRight(0), false),
            (Eye { pitch: 0.1, focal: 2.0, ..Eye::default() }, Family::RecedingLeft(0), false),
            (Eye { pitch: 0.001, cant: 0.1, ..Eye::default() }, Family::Upright, true),
        ] {
            let truth = eye.image(headings().direction(family));
            let (mut held, mut told_far) = (0, 0);
            for _ in 0..500 {
                let mut normal = || -> f64 { StandardNormal.sample(&mut rng) };
                let evidence = drawn(&eye, || POINTING * DVec2::new(normal(), normal()));
                let region = fit_eye(&evidence).vanishing_region(family);
                held += u32::from(region.holds(truth));
                told_far += u32::from(matches!(region, VanishingRegion::Directions { .. }));
            }
            assert!((450..=495).contains(&held), "{family:?} {held}");
            assert!(if far { told_far > 400 } else { told_far < 100 }, "{family:?} {told_far}");
        }
    }

    #[test]
    fn a_region_narrows_to_the_point_as_pointing_does() {
        let eye = Eye { pitch: 0.4, cant: 0.1, ..Eye::default() };
        let mut evidence = drawn(&eye, || DVec2::ZERO);
        evidence.pointing = 1e-6;
        let v = eye.image(DVec3::Y);
        let region = fit_eye(&evidence).vanishing_region(Family::Upright);
        let VanishingRegion::Ellipse { centre, semi_axes, angle } = region else {
            panic!("{region:?}");
        };
        assert!(centre.distance(v.truncate() / v.z) < 1e-5, "{centre}");
        assert!(semi_axes[1] < semi_axes[0] && semi_axes[0] < 1e-4, "{semi_axes:?}");
        // The distance along plumb is less sure than the direction.
        let off = (angle - v.y.atan2(v.x)).sin();
        assert!(off.abs() < 0.1, "{off}");
    }

    #[test]
    fn nothing_is_known_of_a_vanishing_point_without_lines() {
        let region = fit_eye(&EyeEvidence::none(POINTING)).vanishing_region(Family::Upright);
        assert!(
            matches!(region, VanishingRegion::Directions { half_width, .. } if half_width > 0.2)
        );
    }
}
