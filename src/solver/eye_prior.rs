//! What is known of the eye before any line is traced.

use crate::figures::SeenFigure;
use crate::{EyeEvidence, PrincipalPoint};

/// A weak prior, or the painter's word.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Prior {
    pub(crate) mean: f64,
    pub(crate) sd: f64,
    pub(crate) by_hand: bool,
}

impl Prior {
    /// Standard deviation of a quantity that the painter set: tight enough to hold it to every digit
    /// that is shown, loose enough to keep the normal equations well scaled.
    pub(crate) const BY_HAND_SD: f64 = 1e-7;

    fn weak(mean: f64, sd: f64) -> Self {
        Self { mean, sd, by_hand: false }
    }

    /// The painter's word where there is one.
    fn unless(self, by_hand: Option<f64>) -> Self {
        match by_hand {
            Some(mean) => Self { mean, sd: Self::BY_HAND_SD, by_hand: true },
            None => self,
        }
    }
}

/// One prior for each parameter of the eye, radians. The spreads are wide on purpose (common
/// practice): lenses from 18 to 72 mm on a 36 mm frame (the one it was cropped out of), most views within 25 degrees of level, most
/// cants within 10, crops that leave the principal point near the middle, and eyes between a seventh
/// and seven times as high over a level as what stands on it.
pub(crate) fn priors(evidence: &EyeEvidence, figures: &[SeenFigure]) -> Vec<Prior> {
    let weak = |mean: f64, sd: f64| Prior::weak(mean.to_radians(), sd.to_radians());
    let assumed = evidence.assumed_focal.ln();
    let assumed = if assumed.is_finite() { assumed } else { 0.0 };
    let mut priors = vec![
        Prior::weak(assumed, 0.7).unless(evidence.focal.map(f64::ln)),
        weak(0.0, 25.0).unless(evidence.pitch),
        weak(0.0, 10.0).unless(evidence.cant),
    ];
    priors.extend(evidence.blocks.iter().map(|by_hand| weak(45.0, 30.0).unless(*by_hand)));
    for [heading, slope] in &evidence.inclines {
        priors.extend([weak(0.0, 60.0).unless(*heading), weak(0.0, 30.0).unless(*slope)]);
    }
    if evidence.principal == PrincipalPoint::Free {
        priors.extend([Prior::weak(0.0, 0.15); 2]);
    }
    if !figures.is_empty() {
        priors.extend((0..evidence.levels.len()).map(|level| {
            Prior::weak(SeenFigure::mean_ln_size(figures, level).unwrap_or(0.0), 2.0)
        }));
    }
    priors
}
