//! How steeply a sight line rises.

use crate::ray::{Ray, by_eye, level_run};
use crate::{Eye, Fault, Headings};
use glam::{DVec2, DVec3};

/// The rise of a sight line over its horizontal run, with its derivatives.
#[derive(Clone, Debug, PartialEq)]
pub struct Rise {
    /// Rise over run, up positive, 0 on the horizon.
    pub value: f64,
    /// Derivative by the picture point, per frame width.
    pub by_point: DVec2,
    /// Derivatives by the parameters of the eye, as in [`LogRatio`](crate::LogRatio::by_eye).
    pub by_eye: Vec<f64>,
}

/// Signed rise of the sight line through a picture point over its horizontal run: smooth across the
/// horizon, where the logarithm of a distance is not.
///
/// # Errors
/// [`Fault::Plumb`] or [`Fault::NotFinite`].
pub fn rise_per_run(eye: &Eye, headings: &Headings, point: DVec2) -> Result<Rise, Fault> {
    let ray = Ray::through(eye, point);
    let a = ray.finite()?;
    let run = level_run(a)?;
    let value = a.y / run;
    let gradient = DVec3::new(-value * a.x / run, 1.0, -value * a.z / run) / run;
    let slopes = ray.chain(gradient);
    Ok(Rise { value, by_point: slopes.by_point, by_eye: by_eye([&slopes], headings) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::LogRatio;
    use crate::derivative_check::{check, eye, headings};
    use crate::run_per_clearance;

    #[test]
    fn derivatives_of_the_rise_match_numerical_ones_on_both_sides_of_the_horizon() {
        for point in [DVec2::new(0.2, 0.45), DVec2::new(0.2, -0.4), DVec2::new(-0.3, 0.2)] {
            check("rise", point, DVec2::ZERO, |e, h, p, _| {
                let rise = rise_per_run(e, h, p)?;
                let Rise { value, by_point, by_eye } = rise;
                Ok(LogRatio { value, by_foot: by_point, by_head: DVec2::ZERO, by_eye })
            });
        }
    }

    #[test]
    fn a_rise_is_the_drop_per_run_turned_round() {
        let point = DVec2::new(0.1, 0.4);
        let rise = rise_per_run(&eye(), &headings(), point).unwrap().value;
        let run = run_per_clearance(&eye(), &headings(), point, crate::Side::Below).unwrap();
        assert!((rise * run.value.exp() + 1.0).abs() < 1e-12);
        let level = rise_per_run(&Eye::default(), &headings(), DVec2::new(0.3, 0.0)).unwrap();
        assert_eq!(level.value, 0.0);
        let down = Eye { pitch: -std::f64::consts::FRAC_PI_2, ..Eye::default() };
        assert_eq!(rise_per_run(&down, &headings(), DVec2::ZERO).unwrap_err(), Fault::Plumb);
    }
}
