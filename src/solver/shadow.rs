//! Where a thing off the ground is, by the shadow it casts.

use crate::ray::{Ray, by_eye, by_level_run, level_run};
use crate::sight::PlaneCut;
use crate::{Eye, Family, Fault, Headings, LogRatio, Side};
use glam::{DVec2, DVec3};

/// ln (horizontal distance of a point / clearance of a level) for a point seen at `point` whose
/// shadow falls on the level at `tip`, where the light runs along the family `light`, either way.
///
/// The point's sight line is cut with the plane through the tip that holds the light's direction and
/// otherwise faces the eye, so that a point drawn a little off its ray of light is taken beside it.
/// In the ratio `by_foot` is the derivative by the tip and `by_head` that by the point. Own
/// derivation.
///
/// # Errors
/// [`Fault::BeyondHorizon`] where the tip is not on the level, [`Fault::BehindShadow`] where the
/// point would lie beyond the level (lower than a ground, higher than a ceiling), and as in
/// [`span_per_run`](crate::span_per_run).
pub fn run_by_shadow(
    eye: &Eye,
    headings: &Headings,
    point: DVec2,
    tip: DVec2,
    light: Family,
    side: Side,
) -> Result<LogRatio, Fault> {
    let (to_tip, to_point) = (Ray::through(eye, tip), Ray::through(eye, point));
    let cast = Cast::new(headings, to_tip.finite()?, to_point.finite()?, light, side)?;
    let (of_tip, of_point) = (to_tip.chain(cast.by_tip), to_point.chain(cast.by_point));
    let by_eye = cast.turned(by_eye([&of_tip, &of_point], headings), headings, light);
    let (by_foot, by_head) = (of_tip.by_point, of_point.by_point);
    Ok(LogRatio { value: cast.value, by_foot, by_head, by_eye })
}

/// A point and its shadow, by the sight lines to both.
pub(crate) struct Cast {
    /// ln (horizontal distance of the point / clearance of the level).
    pub(crate) value: f64,
    /// Gradients by the sight lines to the shadow and to the point.
    pub(crate) by_tip: DVec3,
    pub(crate) by_point: DVec3,
    /// Gradient by the direction of the light.
    by_light: DVec3,
}

impl Cast {
    pub(crate) fn new(
        headings: &Headings,
        tip: DVec3,
        point: DVec3,
        light: Family,
        side: Side,
    ) -> Result<Self, Fault> {
        let run = level_run(point)?;
        let down = match side {
            Side::Below => 1.0,
            Side::Above => -1.0,
        };
        let drop = -down * tip.y;
        if drop <= 0.0 {
            return Err(Fault::BeyondHorizon);
        }
        let direction = headings.direction(light);
        let cut = PlaneCut::new(tip, point, direction)?;
        if down * cut.length * direction.y <= 0.0 {
            return Err(Fault::BehindShadow);
        }
        let (by_tip, by_point, by_light) = cut.ln_reach_gradients();
        Ok(Self {
            value: (cut.foot_depth / cut.head_depth * run / drop).ln(),
            by_tip: by_tip - DVec3::Y / tip.y,
            by_point: by_point + by_level_run(point),
            by_light,
        })
    }

    /// Derivatives by the eye with those by the direction of the light added.
    pub(crate) fn turned(
        &self,
        mut by_eye: Vec<f64>,
        headings: &Headings,
        light: Family,
    ) -> Vec<f64> {
        for (parameter, turned) in headings.direction_derivatives(light).into_iter().flatten() {
            by_eye[parameter] += self.by_light.dot(turned);
        }
        by_eye
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::derivative_check::{check, eye, headings};

    const LIGHT: Family = Family::Incline(0);

    /// A point some way up the light's ray from a tip on the level, and that tip, as they are seen.
    fn seen(side: Side, up: f64) -> (DVec3, DVec2, DVec2) {
        let (tip, sign) = match side {
            Side::Below => (DVec3::new(2.0, -3.0, -9.0), 1.0),
            Side::Above => (DVec3::new(-1.0, 5.0, -9.0), -1.0),
        };
        let point = tip + headings().direction(LIGHT) * (up * sign);
        (point, eye().project(point).unwrap(), eye().project(tip).unwrap())
    }

    #[test]
    fn a_floating_point_is_as_far_off_as_its_shadow_says() {
        for (side, clearance) in [(Side::Below, 3.0), (Side::Above, 5.0)] {
            for up in [0.5, 2.0, 4.0] {
                let (truth, point, tip) = seen(side, up);
                let ratio = run_by_shadow(&eye(), &headings(), point, tip, LIGHT, side).unwrap();
                let run = ratio.value.exp() * clearance;
                assert!((run - truth.x.hypot(truth.z)).abs() < 1e-9, "{side:?} {up} {run}");
            }
        }
    }

    #[test]
    fn derivatives_of_a_shadow_match_numerical_ones() {
        for side in [Side::Below, Side::Above] {
            let (_, point, tip) = seen(side, 2.0);
            let beside = point + DVec2::new(0.01, 0.0);
            check("shadow", tip, beside, |e, h, t, p| run_by_shadow(e, h, p, t, LIGHT, side));
        }
    }

    #[test]
    fn impossible_shadows_say_why() {
        let (_, point, tip) = seen(Side::Below, 2.0);
        let read = |point, tip, side| {
            run_by_shadow(&eye(), &headings(), point, tip, LIGHT, side).unwrap_err()
        };
        assert_eq!(read(point, tip, Side::Above), Fault::BeyondHorizon);
        let (_, under, _) = seen(Side::Below, -1.0);
        assert_eq!(read(under, tip, Side::Below), Fault::BehindShadow);
        assert_eq!(read(DVec2::new(f64::NAN, 0.0), tip, Side::Below), Fault::NotFinite);
    }
}
