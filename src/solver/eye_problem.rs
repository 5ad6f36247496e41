//! The least-squares problem of the eye: lines, horizon, figures and priors.

use crate::eye_parameters::Layout;
use crate::eye_prior::{Prior, priors};
use crate::figures::{SeenFigure, ln_clearance_of};
use crate::seen::{Aimed, Seen, SparseRow, horizon_row};
use crate::{Eye, EyeEvidence, Family, FigureLevel, Headings};
use nalgebra::{DMatrix, DVector};

/// What is to be minimised, in the form in which it is evaluated over and over.
pub(crate) struct Problem<'a> {
    pub(crate) evidence: &'a EyeEvidence,
    pub(crate) layout: Layout,
    pub(crate) priors: Vec<Prior>,
    /// Lines that say something, in the order of their rows.
    pub(crate) lines: Vec<Aimed>,
    /// Figures that say something, with their present standard deviations.
    pub(crate) figures: Vec<SeenFigure>,
    /// The families of the lines, each once.
    families: Vec<Family>,
}

/// What the evidence says at one place: with weighted residuals r (unit variance) and their
/// derivatives J, the information J'J, half the gradient J'r and the sum of squares r'r.
#[derive(Clone)]
pub(crate) struct Normal {
    /// Its lower triangle.
    pub(crate) information: DMatrix<f64>,
    pub(crate) gradient: DVector<f64>,
    pub(crate) misfit: f64,
}

impl<'a> Problem<'a> {
    pub(crate) fn new(evidence: &'a EyeEvidence) -> Self {
        let mut families: Vec<Family> = Vec::new();
        let all = evidence.lines.iter().enumerate();
        let lines = all
            .filter(|(_, line)| line.says_something(evidence.pointing))
            .map(|(place, line)| {
                let known = families.iter().position(|f| *f == line.family);
                let family = known.unwrap_or_else(|| {
                    families.push(line.family);
                    families.len() - 1
                });
                Aimed::new(place, family, line)
            })
            .collect();
        let figures = SeenFigure::all(evidence);
        let layout = Layout::of(evidence, &figures);
        let priors = priors(evidence, &figures);
        Self { evidence, layout, priors, lines, figures, families }
    }

    /// A line's residual: both ends miss by the same amount, so that it is one observation whose
    /// standard deviation is the pointing precision over the square root of two.
    pub(crate) fn line_sd(&self) -> f64 {
        self.evidence.pointing * std::f64::consts::FRAC_1_SQRT_2
    }

    /// Number of rows of the lines and the horizon, which come first: one for each line, two for a
    /// traced horizon.
    pub(crate) fn traced(&self) -> usize {
        self.lines.len() + 2 * usize::from(self.evidence.traced_horizon().is_some())
    }

    /// Number of independent observations.
    pub(crate) fn observations(&self) -> usize {
        let stated = self.evidence.levels.iter().filter_map(FigureLevel::ln_clearance).count();
        let with_figures = if self.figures.is_empty() { 0 } else { stated + self.figures.len() };
        self.traced() + with_figures
    }

    /// Tells the weighted rows (unit variance): lines, horizon, figures, stated clearances.
    pub(crate) fn for_each_row(&self, at: &[f64], mut tell: impl FnMut(&SparseRow)) {
        let (eye, headings) = self.layout.unpack(at);
        let principal = self.layout.principal();
        let seen = Seen::new(&eye, &headings, &self.families, principal);
        let line_weight = 1.0 / self.line_sd();
        for line in &self.lines {
            tell(&seen.row(line, line_weight));
        }
        for point in self.evidence.traced_horizon().iter().flatten() {
            let weight = 1.0 / self.evidence.pointing;
            let row = horizon_row(&eye, *point, self.evidence.dip, principal);
            tell(&row.weighted(weight));
        }
        if self.figures.is_empty() {
            return;
        }
        for figure in &self.figures {
            let clearance = self.layout.clearance(figure.level);
            tell(&figure.row(&eye, at[clearance], &self.layout).weighted(1.0 / figure.sd));
        }
        for (level, said) in self.evidence.levels.iter().enumerate() {
            if let Some((ln_clearance, sd)) = said.ln_clearance() {
                let place = self.layout.clearance(level);
                let mut row = SparseRow::new(at[place] - ln_clearance);
                row.push(place, 1.0);
                tell(&row.weighted(1.0 / sd));
            }
        }
    }

    /// What the evidence says at a place.
    pub(crate) fn normal(&self, at: &[f64]) -> Normal {
        let n = self.layout.len();
        let mut normal =
            Normal { information: DMatrix::zeros(n, n), gradient: DVector::zeros(n), misfit: 0.0 };
        self.for_each_row(at, |row| {
            normal.misfit += row.residual * row.residual;
            for (k, (i, slope)) in row.slopes().iter().enumerate() {
                normal.gradient[*i] += slope * row.residual;
                for (j, other) in &row.slopes()[..=k] {
                    normal.information[(*i, *j)] += slope * other;
                }
            }
        });
        normal
    }

    /// Sum of squares of the priors, each kept as strongly as told.
    pub(crate) fn prior_misfit(&self, at: &[f64], kept: &[f64]) -> f64 {
        let off = |i: usize| (at[i] - self.priors[i].mean) / self.priors[i].sd;
        kept.iter().enumerate().map(|(i, weight)| weight * off(i).powi(2)).sum()
    }

    /// Parameters of a start, with what the painter set by hand put in its place.
    pub(crate) fn starting_parameters(&self, eye: &Eye, headings: &Headings) -> Vec<f64> {
        let levels = self.layout.told()..self.layout.len();
        let clearances = levels.clone().map(|place| {
            let level = place - levels.start;
            let stated = self.evidence.levels[level].ln_clearance().map(|(ln, _)| ln);
            let agreed = || ln_clearance_of(&self.figures, level, eye);
            stated.or_else(agreed).unwrap_or(self.priors[place].mean)
        });
        let mut p = self.layout.pack(eye, headings, clearances);
        for (value, prior) in p.iter_mut().zip(&self.priors) {
            if prior.by_hand || !value.is_finite() {
                *value = prior.mean;
            }
        }
        p
    }

    /// The parameters where nothing is known but the priors.
    pub(crate) fn prior_means(&self) -> Vec<f64> {
        self.priors.iter().map(|prior| prior.mean).collect()
    }

    /// Re-reads how surely the figures tell anything, seen from a place. Whether that changed any
    /// standard deviation by more than a thousandth.
    pub(crate) fn weigh_figures(&mut self, at: &[f64]) -> bool {
        let (eye, _) = self.layout.unpack(at);
        let mut changed = false;
        for figure in &mut self.figures {
            let ln_clearance = at[self.layout.clearance(figure.level)];
            let sd = figure.spread(&eye, ln_clearance, self.evidence.pointing);
            changed |= (sd / figure.sd - 1.0).abs() > 1e-3;
            figure.sd = sd;
        }
        changed
    }

    /// Posterior covariance for unit weights: the evidence's information with the priors' own, each
    /// kept as strongly as told.
    pub(crate) fn covariance(&self, information: &DMatrix<f64>, kept: &[f64]) -> DMatrix<f64> {
        let mut normal = information.clone();
        normal.fill_upper_triangle_with_lower_triangle();
        for (i, (prior, weight)) in std::iter::zip(&self.priors, kept).enumerate() {
            normal[(i, i)] += weight / (prior.sd * prior.sd);
        }
        inverse_of_normal(normal)
    }

    /// Share of each parameter's posterior variance that comes from the priors:
    /// diag(S L S) / diag(S), with S the posterior covariance and L the priors' weight matrix.
    pub(crate) fn prior_shares(&self, information: &DMatrix<f64>) -> Vec<f64> {
        let covariance = self.covariance(information, &vec![1.0; self.priors.len()]);
        let share = |i: usize| {
            let from_priors: f64 = std::iter::zip(covariance.column(i).iter(), &self.priors)
                .map(|(c, prior)| (c / prior.sd).powi(2))
                .sum();
            (from_priors / covariance[(i, i)]).clamp(0.0, 1.0)
        };
        (0..self.priors.len()).map(share).collect()
    }
}

/// Inverse of a normal matrix, scaled to a unit diagonal first: a quantity set by hand has a weight
/// 1e12 times that of an assumed one.
fn inverse_of_normal(mut normal: DMatrix<f64>) -> DMatrix<f64> {
    let n = normal.nrows();
    let scale: Vec<f64> = (0..n).map(|i| 1.0 / normal[(i, i)].max(1e-300).sqrt()).collect();
    let rescale = |m: &mut DMatrix<f64>| {
        for (i, a) in scale.iter().enumerate() {
            for (k, b) in scale.iter().enumerate() {
                m[(i, k)] *= a * b;
            }
        }
    };
    rescale(&mut normal);
    // Every parameter has a prior or a line, so that only rounding could make this fail; then the
    // parameters are told as if they were independent.
    let mut inverse =
        normal.cholesky().map_or_else(|| DMatrix::identity(n, n), |cholesky| cholesky.inverse());
    rescale(&mut inverse);
    inverse
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{PrincipalPoint, Side, StandingFigure, Stated, TracedLine};
    use glam::DVec2;

    fn evidence() -> EyeEvidence {
        let mut evidence = EyeEvidence::none(1.0 / 2300.0);
        evidence.inclines = vec![[None; 2]];
        evidence.horizon = Some([DVec2::new(-0.4, 0.1), DVec2::new(0.5, 0.12)]);
        evidence.dip = 0.02;
        let families = [
            Family::Upright,
            Family::RecedingRight(0),
            Family::RecedingLeft(0),
            Family::Incline(0),
            Family::Run(0),
        ];
        for (k, family) in families.into_iter().enumerate() {
            let from = DVec2::new(0.1 * k as f64 - 0.2, 0.15);
            evidence.lines.push(TracedLine { family, from, to: from + DVec2::new(0.1, 0.07) });
        }
        let clearance = Some(Stated { value: 3.0, spread: 0.1 });
        evidence.levels = vec![
            FigureLevel { side: Side::Below, clearance },
            FigureLevel { side: Side::Above, clearance: None },
        ];
        for (level, up) in [(0, 0.0), (1, 0.8), (1, 0.2)] {
            let foot = DVec2::new(0.1, 0.5 - up);
            let size = Stated { value: 1.7, spread: 0.06 };
            let head = foot - DVec2::new(0.02, 0.1);
            evidence.figures.push(StandingFigure { foot, head, size, level });
        }
        evidence
    }

    #[test]
    fn derivatives_of_all_residuals_match_numerical_ones() {
        let fixed = PrincipalPoint::Fixed(DVec2::new(0.03, -0.02));
        for principal in [fixed, PrincipalPoint::Free] {
            let evidence = EyeEvidence { principal, ..evidence() };
            let problem = Problem::new(&evidence);
            let mut at = vec![-0.2, 0.3, -0.1, 0.6, 0.2, 0.4];
            if principal == PrincipalPoint::Free {
                at.extend([0.03, -0.02]);
            }
            at.extend([0.8, 1.3]);
            let residuals = |at: &[f64]| {
                let mut all = Vec::new();
                problem.for_each_row(at, |row| all.push(row.residual));
                DVector::from_vec(all)
            };
            let mut jacobian = DMatrix::zeros(problem.observations(), at.len());
            let mut count = 0;
            problem.for_each_row(&at, |row| {
                for (parameter, slope) in row.slopes() {
                    jacobian[(count, *parameter)] = *slope;
                }
                count += 1;
            });
            assert_eq!(count, problem.observations());
            for parameter in 0..at.len() {
                let step = 1e-6;
                let moved = |by: f64| {
                    let mut p = at.clone();
                    p[parameter] += by;
                    residuals(&p)
                };
                let numerical = (moved(step) - moved(-step)) / (2.0 * step);
                let difference = (numerical - jacobian.column(parameter)).amax();
                assert!(difference < 1e-4 * jacobian.column(parameter).amax(), "{parameter}");
            }
        }
    }
}
