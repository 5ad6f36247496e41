//! What the picture says of where a marker stands.

use crate::ledger::{LedgerInput, LedgerMarker, Stand};
use crate::sight::{LogRatio, elevation, run_per_clearance};
use crate::{
    EyeFit, Family, Fault, Side, Span, axis_per_outline, ball_run_by_shadow,
    ball_run_per_clearance, rise_per_run, run_by_shadow,
};
use glam::DVec2;

/// A foot whose sight line runs below the horizon by fewer standard deviations of pointing than this says
/// nothing of use, not even how far off it is at least.
const NEAREST_TO_HORIZON: f64 = 0.75;

/// A foot this many standard deviations of pointing and of the eye on the wrong side of the horizon is
/// there by no slip of the hand.
const BEYOND_HORIZON: f64 = -3.0;

/// What was read, with its derivatives.
pub(crate) struct Reading {
    /// ln of the distance per clearance, or per the distance of what it stands on; for a hidden foot the
    /// rise of the sight line to the head.
    pub(crate) value: f64,
    /// Derivatives by the foot, the head, the plumb point or shadow, and the head of what it stands on.
    pub(crate) by_points: [DVec2; 4],
    /// Derivatives by the parameters of the eye.
    pub(crate) by_eye: Vec<f64>,
}

impl Reading {
    /// A ratio whose foot and head are these of the four points.
    fn of(ratio: LogRatio, foot: usize, head: usize) -> Self {
        let mut by_points = [DVec2::ZERO; 4];
        by_points[foot] += ratio.by_foot;
        by_points[head] += ratio.by_head;
        Self { value: ratio.value, by_points, by_eye: ratio.by_eye }
    }

    fn plus(mut self, other: &Self) -> Self {
        self.value += other.value;
        std::iter::zip(&mut self.by_points, other.by_points).for_each(|(a, b)| *a += b);
        std::iter::zip(&mut self.by_eye, &other.by_eye).for_each(|(a, b)| *a += b);
        self
    }
}

const FOOT: usize = 0;
const HEAD: usize = 1;
const TIE: usize = 2;
const BASE_HEAD: usize = 3;

/// Reads where a marker stands, refusing what is beyond the horizon or too near to it to be read.
pub(crate) fn stand(
    input: &LedgerInput,
    fit: &EyeFit,
    marker: &LedgerMarker,
    stands: Stand,
) -> Result<Reading, Fault> {
    let (eye, headings) = (&fit.eye, &fit.headings);
    let (foot, head) = (marker.foot, marker.head);
    let side = |level: usize| input.levels[level].side;
    let on_level = |level: usize, at: DVec2| {
        let ratio = run_per_clearance(eye, headings, at, side(level));
        if matches!(ratio, Err(Fault::NotFinite | Fault::Plumb)) {
            return ratio;
        }
        is_off_horizon(fit, at, side(level), input.pointing).and(ratio)
    };
    match stands {
        Stand::On { level } => match marker.span {
            Span::Cylinder => {
                let axis = axis_per_outline(eye, headings, foot, head)?;
                let outline = Reading::of(on_level(level, foot)?, FOOT, HEAD);
                Ok(outline.plus(&Reading::of(axis, FOOT, HEAD)))
            }
            Span::Ball => {
                let ratio = ball_run_per_clearance(eye, headings, foot, head, side(level))?;
                Ok(Reading::of(ratio, FOOT, HEAD))
            }
            Span::Upright | Span::Along(_) | Span::Facing => {
                Ok(Reading::of(on_level(level, foot)?, FOOT, HEAD))
            }
        },
        Stand::Over { level, plumb } => Ok(Reading::of(on_level(level, plumb)?, TIE, HEAD)),
        Stand::Shadow { level, tip, light } => {
            on_level(level, tip)?;
            by_shadow(fit, marker, tip, light, side(level))
        }
        Stand::Hidden { .. } => {
            let rise = rise_per_run(eye, headings, head)?;
            let mut by_points = [DVec2::ZERO; 4];
            by_points[HEAD] = rise.by_point;
            Ok(Reading { value: rise.value, by_points, by_eye: rise.by_eye })
        }
        Stand::OnTop { base } => on_top(input, fit, foot, &input.markers[base]),
    }
}

/// A thing off the ground by its shadow: of its foot, or of the middle of a ball.
fn by_shadow(
    fit: &EyeFit,
    marker: &LedgerMarker,
    tip: DVec2,
    light: Family,
    side: Side,
) -> Result<Reading, Fault> {
    let (eye, headings) = (&fit.eye, &fit.headings);
    let (foot, head) = (marker.foot, marker.head);
    if marker.span == Span::Ball {
        let (ratio, by_tip) = ball_run_by_shadow(eye, headings, [foot, head], tip, light, side)?;
        let mut reading = Reading::of(ratio, FOOT, HEAD);
        reading.by_points[TIE] = by_tip;
        return Ok(reading);
    }
    let of_foot = Reading::of(run_by_shadow(eye, headings, foot, tip, light, side)?, TIE, FOOT);
    if marker.span != Span::Cylinder {
        return Ok(of_foot);
    }
    let axis = axis_per_outline(eye, headings, foot, head)?;
    Ok(of_foot.plus(&Reading::of(axis, FOOT, HEAD)))
}

/// A foot as high as the head of another marker: ln D - ln D' = ln (r' / r), r the rises of the sight
/// lines to both.
fn on_top(
    input: &LedgerInput,
    fit: &EyeFit,
    foot: DVec2,
    base: &LedgerMarker,
) -> Result<Reading, Fault> {
    if base.span != Span::Upright {
        return Err(Fault::NoTop);
    }
    let top = rise_per_run(&fit.eye, &fit.headings, base.head)?;
    let own = rise_per_run(&fit.eye, &fit.headings, foot)?;
    let side = if top.value < 0.0 { Side::Below } else { Side::Above };
    is_off_horizon(fit, base.head, side, input.pointing)?;
    is_off_horizon(fit, foot, side, input.pointing)?;
    let mut by_points = [DVec2::ZERO; 4];
    by_points[FOOT] = -own.by_point / own.value;
    by_points[BASE_HEAD] = top.by_point / top.value;
    let by_eye = std::iter::zip(&top.by_eye, &own.by_eye);
    let by_eye = by_eye.map(|(t, o)| t / top.value - o / own.value).collect();
    Ok(Reading { value: (top.value / own.value).ln(), by_points, by_eye })
}

/// Whether a sight line clearly goes to its side of the horizon. What the eye leaves unsure of the horizon
/// excuses a foot that seems to be beyond it, but does not make one that is clear of it unreadable: it
/// widens that one's interval.
fn is_off_horizon(fit: &EyeFit, at: DVec2, side: Side, pointing: f64) -> Result<(), Fault> {
    let (angle, by_pointing) = elevation(&fit.eye, at, pointing);
    let towards = match side {
        Side::Below => -angle,
        Side::Above => angle,
    };
    if towards >= NEAREST_TO_HORIZON * by_pointing {
        Ok(())
    } else if towards < BEYOND_HORIZON * by_pointing.hypot(horizon_sd(fit, at)?) {
        Err(Fault::BeyondHorizon)
    } else {
        Err(Fault::OnHorizon)
    }
}

/// Standard deviation of a sight line's elevation by what the eye leaves unsure, radians.
fn horizon_sd(fit: &EyeFit, at: DVec2) -> Result<f64, Fault> {
    let mut rise = rise_per_run(&fit.eye, &fit.headings, at)?;
    // A principal point that is not read from the lines is sure.
    rise.by_eye.truncate(fit.covariance.nrows());
    Ok(fit.variance(&rise.by_eye).sqrt() / (1.0 + rise.value * rise.value))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{EyeEvidence, fit_eye};

    #[test]
    fn a_foot_is_beyond_the_horizon_only_where_it_is_known_how_the_horizon_lies() {
        let pointing = 1.5 / 2300.0;
        let foot = DVec2::new(0.1, -0.02);
        let assumed = EyeEvidence::none(pointing);
        let by_hand = EyeEvidence {
            focal: Some(1.0),
            pitch: Some(0.0),
            cant: Some(0.0),
            ..EyeEvidence::none(pointing)
        };
        let read = |evidence| is_off_horizon(&fit_eye(&evidence), foot, Side::Below, pointing);
        assert_eq!(read(by_hand), Err(Fault::BeyondHorizon));
        assert_eq!(read(assumed), Err(Fault::OnHorizon));
    }
}
