//! The least-squares problem of the eye: residuals of lines, horizon and priors.

use crate::eye_prior::Prior;
use crate::family::Parameter;
use crate::{Eye, EyeEvidence, Family, Headings, TracedLine};
use glam::{DVec2, DVec3};
use levenberg_marquardt::LeastSquaresProblem;
use nalgebra::{DMatrix, DVector, Dyn, Owned};

/// What is to be minimised, in the form in which it is evaluated over and over.
#[derive(Clone)]
pub(crate) struct Problem<'a> {
    pub(crate) evidence: &'a EyeEvidence,
    pub(crate) priors: &'a [Prior],
    /// How strongly each prior is kept, 0 to 1.
    pub(crate) prior_weights: &'a [f64],
    /// ln focal length, pitch, cant, block headings, inclines.
    pub(crate) parameters: DVector<f64>,
    lines: Vec<Aimed>,
    /// The families of these lines, each once.
    families: Vec<Family>,
}

/// A line that says something.
#[derive(Clone, Copy)]
pub(crate) struct Aimed {
    /// Its place in the evidence.
    pub(crate) place: usize,
    /// Place of its family in the problem's list.
    pub(crate) family: usize,
    /// Its mid-point, relative to the principal point.
    middle: DVec2,
    /// From the mid-point to its first end.
    half: DVec2,
}

impl Aimed {
    fn new(place: usize, family: usize, line: &TracedLine, principal: DVec2) -> Self {
        let middle = 0.5 * (line.from + line.to) - principal;
        Self { place, family, middle, half: 0.5 * (line.from - line.to) }
    }
}

impl<'a> Problem<'a> {
    pub(crate) fn new(
        evidence: &'a EyeEvidence,
        priors: &'a [Prior],
        prior_weights: &'a [f64],
        parameters: DVector<f64>,
    ) -> Self {
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
                Aimed::new(place, family, line, evidence.principal)
            })
            .collect();
        Self { evidence, priors, prior_weights, parameters, lines, families }
    }

    /// The same problem elsewhere.
    pub(crate) fn at(&self, parameters: DVector<f64>) -> Self {
        Self { parameters, ..self.clone() }
    }

    /// The same problem with the priors kept differently.
    pub(crate) fn with_prior_weights(&self, prior_weights: &'a [f64]) -> Self {
        Self { prior_weights, ..self.clone() }
    }

    /// Lines that say something, in the order of their rows.
    pub(crate) fn lines(&self) -> &[Aimed] {
        &self.lines
    }

    /// A line's residual: both ends miss by the same amount, so that it is one observation whose
    /// standard deviation is the pointing precision over the square root of two.
    fn line_sd(&self) -> f64 {
        self.evidence.pointing * std::f64::consts::FRAC_1_SQRT_2
    }

    /// Number of independent observations: one for each line, two for a traced horizon.
    pub(crate) fn observations(&self) -> usize {
        self.lines.len() + 2 * usize::from(self.evidence.horizon.is_some())
    }

    /// The eye at the present parameters.
    pub(crate) fn eye(&self) -> (Eye, Headings) {
        unpack(&self.parameters, self.evidence)
    }

    /// The eye at the present parameters, with the families in its sight.
    pub(crate) fn seen(&self) -> Seen {
        let (eye, headings) = self.eye();
        Seen::new(&eye, &headings, &self.families)
    }

    /// Weighted residuals (unit variance): the lines that say something, the horizon, the priors.
    pub(crate) fn weighted_residuals(&self) -> DVector<f64> {
        let seen = self.seen();
        let line_sd = self.line_sd();
        let lines = self.lines.iter().map(|line| seen.aim(line).residual() / line_sd);
        let horizon = self.evidence.horizon.iter().flatten();
        let horizon = horizon.map(|p| horizon_residual(&seen.eye, *p).0 / self.evidence.pointing);
        let priors = (0..self.priors.len()).map(|i| self.prior_residual(i).0);
        let rows = self.observations() + self.priors.len();
        DVector::from_iterator(rows, lines.chain(horizon).chain(priors))
    }

    /// Derivatives of the weighted residuals.
    pub(crate) fn weighted_jacobian(&self) -> DMatrix<f64> {
        let seen = self.seen();
        let (count, line_sd) = (self.lines.len(), self.line_sd());
        let observations = self.observations();
        let mut jacobian = DMatrix::zeros(observations + self.priors.len(), self.parameters.len());
        for (row, line) in self.lines.iter().enumerate() {
            seen.slopes(&seen.aim(line), |parameter, slope| {
                jacobian[(row, parameter)] = slope / line_sd;
            });
        }
        for (k, point) in self.evidence.horizon.iter().flatten().enumerate() {
            for (parameter, slope) in horizon_residual(&seen.eye, *point).1.into_iter().enumerate()
            {
                jacobian[(count + k, parameter)] = slope / self.evidence.pointing;
            }
        }
        for i in 0..self.priors.len() {
            jacobian[(observations + i, i)] = self.prior_residual(i).1;
        }
        jacobian
    }

    /// Sum of squares, in all and of the lines and the horizon alone.
    pub(crate) fn cost(&self) -> (f64, f64) {
        let residuals = self.weighted_residuals();
        (residuals.norm_squared(), residuals.rows(0, self.observations()).norm_squared())
    }

    /// Weighted residual of a prior and its derivative.
    fn prior_residual(&self, i: usize) -> (f64, f64) {
        let weight = self.prior_weights[i].sqrt() / self.priors[i].sd;
        ((self.parameters[i] - self.priors[i].mean) * weight, weight)
    }

    /// Information that lines and horizon alone give about the parameters, J'J.
    pub(crate) fn information(&self, jacobian: &DMatrix<f64>) -> DMatrix<f64> {
        let evidence = jacobian.rows(0, self.observations());
        evidence.tr_mul(&evidence)
    }

    /// Posterior covariance for unit weights: that information with the priors' own, each kept as
    /// strongly as told.
    pub(crate) fn covariance(&self, information: &DMatrix<f64>, kept: &[f64]) -> DMatrix<f64> {
        let mut normal = information.clone();
        for (i, (prior, weight)) in std::iter::zip(self.priors, kept).enumerate() {
            normal[(i, i)] += weight / (prior.sd * prior.sd);
        }
        inverse_of_normal(normal)
    }

    /// Share of each parameter's posterior variance that comes from the priors:
    /// diag(S L S) / diag(S), with S the posterior covariance and L the priors' weight matrix.
    pub(crate) fn prior_shares(&self, information: &DMatrix<f64>) -> Vec<f64> {
        let covariance = self.covariance(information, &vec![1.0; self.priors.len()]);
        let share = |i: usize| {
            let from_priors: f64 = std::iter::zip(covariance.row(i).iter(), self.priors)
                .map(|(c, prior)| (c / prior.sd).powi(2))
                .sum();
            (from_priors / covariance[(i, i)]).clamp(0.0, 1.0)
        };
        (0..self.priors.len()).map(share).collect()
    }
}

impl LeastSquaresProblem<f64, Dyn, Dyn> for Problem<'_> {
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, Dyn>;
    type ParameterStorage = Owned<f64, Dyn>;

    fn set_params(&mut self, x: &DVector<f64>) {
        self.parameters.copy_from(x);
    }

    fn params(&self) -> DVector<f64> {
        self.parameters.clone()
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        Some(self.weighted_residuals())
    }

    fn jacobian(&self) -> Option<DMatrix<f64>> {
        Some(self.weighted_jacobian())
    }
}

/// The parameters of an eye as a vector.
pub(crate) fn pack(eye: &Eye, headings: &Headings) -> DVector<f64> {
    let mut p = vec![eye.focal.ln(), eye.pitch, eye.cant];
    p.extend(&headings.blocks);
    p.extend(headings.inclines.iter().flatten());
    DVector::from_vec(p)
}

/// The eye of a parameter vector.
pub(crate) fn unpack(p: &DVector<f64>, evidence: &EyeEvidence) -> (Eye, Headings) {
    let eye = Eye {
        focal: p[Parameter::LN_FOCAL].clamp(-12.0, 12.0).exp(),
        pitch: p[Parameter::PITCH],
        cant: p[Parameter::CANT],
        principal: evidence.principal,
    };
    let blocks = evidence.blocks.len();
    let inclines = &p.as_slice()[Parameter::EYE + blocks..];
    let headings = Headings {
        blocks: p.as_slice()[Parameter::EYE..Parameter::EYE + blocks].to_vec(),
        inclines: inclines.chunks_exact(2).map(|c| [c[0], c[1]]).collect(),
    };
    (eye, headings)
}

/// An eye at one evaluation of the problem, with the families of the lines in its sight.
pub(crate) struct Seen {
    eye: Eye,
    families: Vec<SeenFamily>,
}

/// A family's direction in camera axes, with its derivatives by pitch, cant and its headings.
struct SeenFamily {
    direction: DVec3,
    by_pitch: DVec3,
    by_cant: DVec3,
    by_headings: [Option<(usize, DVec3)>; 2],
}

/// A line against its vanishing point.
pub(crate) struct Aim<'a> {
    line: &'a Aimed,
    family: &'a SeenFamily,
    focal: f64,
    /// From the mid-point m towards the vanishing point v, (vx - vw mx, vy - vw my).
    towards: DVec2,
    length: f64,
}

impl Aim<'_> {
    /// Perpendicular distance of the first end from the line through the mid-point and the vanishing
    /// point; 0 where that point sits on the mid-point and every direction fits.
    pub(crate) fn residual(&self) -> f64 {
        if self.is_centred() { 0.0 } else { self.line.half.perp_dot(self.towards) / self.length }
    }

    fn is_centred(&self) -> bool {
        self.length < 1e-12
    }
}

/// From a mid-point towards the vanishing point of a direction in camera axes.
fn towards(direction: DVec3, focal: f64, middle: DVec2) -> DVec2 {
    focal * direction.truncate() - direction.z * middle
}

impl Seen {
    fn new(eye: &Eye, headings: &Headings, families: &[Family]) -> Self {
        let rotation = eye.rotation();
        let (sr, cr) = eye.cant.sin_cos();
        let seen = |family: &Family| {
            let direction = rotation * headings.direction(*family);
            let DVec3 { x, y, z } = direction;
            let turned = headings.direction_derivatives(*family);
            SeenFamily {
                direction,
                by_pitch: DVec3::new(sr * z, cr * z, -(sr * x + cr * y)),
                by_cant: DVec3::new(y, -x, 0.0),
                by_headings: turned.map(|t| t.map(|(at, d)| (at, rotation * d))),
            }
        };
        Self { eye: *eye, families: families.iter().map(seen).collect() }
    }

    pub(crate) fn aim<'a>(&'a self, line: &'a Aimed) -> Aim<'a> {
        let (family, focal) = (&self.families[line.family], self.eye.focal);
        let towards = towards(family.direction, focal, line.middle);
        Aim { line, family, focal, towards, length: towards.length() }
    }

    /// Tells the derivatives of a line's residual by the parameters of the eye.
    fn slopes(&self, aim: &Aim<'_>, mut tell: impl FnMut(usize, f64)) {
        if aim.is_centred() {
            return;
        }
        let Aim { line, family, focal, .. } = *aim;
        let across = aim.residual() / aim.length;
        let slope = |moved: DVec2| {
            (line.half.perp_dot(moved) - across * aim.towards.dot(moved)) / aim.length
        };
        tell(Parameter::LN_FOCAL, slope(focal * family.direction.truncate()));
        tell(Parameter::PITCH, slope(towards(family.by_pitch, focal, line.middle)));
        tell(Parameter::CANT, slope(towards(family.by_cant, focal, line.middle)));
        for (parameter, turned) in family.by_headings.into_iter().flatten() {
            tell(parameter, slope(towards(turned, focal, line.middle)));
        }
    }
}

/// The residual of a line that took no part in the fit of an eye.
pub(crate) fn residual_of(eye: &Eye, headings: &Headings, line: &TracedLine) -> f64 {
    let aimed = Aimed::new(0, 0, line, eye.principal);
    Seen::new(eye, headings, &[line.family]).aim(&aimed).residual()
}

/// Distance of a picture point from the horizon, frame widths, below positive, with its derivatives
/// by ln focal length, pitch and cant.
fn horizon_residual(eye: &Eye, at: DVec2) -> (f64, [f64; 3]) {
    let p = at - eye.principal;
    let (sr, cr) = eye.cant.sin_cos();
    let (tan, cos) = (eye.pitch.tan(), eye.pitch.cos());
    let value = p.x * sr + p.y * cr - eye.focal * tan;
    (value, [-eye.focal * tan, -eye.focal / (cos * cos), p.x * cr - p.y * sr])
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
    use crate::eye_prior::priors;

    #[test]
    fn derivatives_of_all_residuals_match_numerical_ones() {
        let mut evidence = EyeEvidence::none(1.0 / 2300.0);
        evidence.inclines = 1;
        evidence.horizon = Some([DVec2::new(-0.4, 0.1), DVec2::new(0.5, 0.12)]);
        evidence.principal = DVec2::new(0.03, -0.02);
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
        let priors = priors(&evidence);
        let weights = vec![0.5; priors.len()];
        let at = DVector::from_vec(vec![-0.2, 0.3, -0.1, 0.6, 0.2, 0.4]);
        let problem = Problem::new(&evidence, &priors, &weights, at.clone());
        let jacobian = problem.weighted_jacobian();
        for parameter in 0..at.len() {
            let step = 1e-6;
            let moved = |by: f64| {
                let mut p = at.clone();
                p[parameter] += by;
                problem.at(p).weighted_residuals()
            };
            let numerical = (moved(step) - moved(-step)) / (2.0 * step);
            let difference = (numerical - jacobian.column(parameter)).amax();
            assert!(difference < 1e-4 * jacobian.column(parameter).amax(), "{parameter}");
        }
    }
}
