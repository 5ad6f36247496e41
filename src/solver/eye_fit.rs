//! The eye from traced lines: weighted least squares with weak priors.

use crate::eye_start::starts;
use crate::family::{Parameter, heading_of};
use crate::{Eye, Family, Headings, Quantity, Source, angle_of_view};
use glam::{DVec2, DVec3};
use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::{DMatrix, DVector, Dyn, Owned};

/// A straight edge traced over the painting, picture units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TracedLine {
    /// The family it belongs to.
    pub family: Family,
    /// One end.
    pub from: DVec2,
    /// The other end.
    pub to: DVec2,
}

impl TracedLine {
    pub(crate) fn length(&self) -> f64 {
        self.from.distance(self.to)
    }

    /// Whether it is longer than the hand that traced it is unsteady, and within any picture.
    pub(crate) fn says_something(&self, pointing: f64) -> bool {
        self.length() > pointing && self.from.length() < FARTHEST && self.to.length() < FARTHEST
    }
}

/// Farthest from the frame's centre that a traced point can lie, frame widths: beyond this rounding
/// spoils the fit.
const FARTHEST: f64 = 1e4;

/// What the eye is to be read from.
#[derive(Clone, Debug, PartialEq)]
pub struct EyeEvidence {
    /// Traced lines. Lines shorter than the pointing precision say nothing and are passed over.
    pub lines: Vec<TracedLine>,
    /// Two points of the horizon, if it was traced, picture units.
    pub horizon: Option<[DVec2; 2]>,
    /// Standard deviation of one coordinate of a traced point, frame widths.
    pub pointing: f64,
    /// Principal point, picture units.
    pub principal: DVec2,
    /// Focal length set by hand, frame widths.
    pub focal: Option<f64>,
    /// Pitch set by hand, radians.
    pub pitch: Option<f64>,
    /// Cant set by hand, radians.
    pub cant: Option<f64>,
    /// For each block, its heading if set by hand, radians.
    pub blocks: Vec<Option<f64>>,
    /// How many inclines there are.
    pub inclines: usize,
}

impl EyeEvidence {
    /// No evidence at all, at this pointing precision: one block, nothing traced, nothing set.
    #[must_use]
    pub fn none(pointing: f64) -> Self {
        Self {
            lines: Vec::new(),
            horizon: None,
            pointing,
            principal: DVec2::ZERO,
            focal: None,
            pitch: None,
            cant: None,
            blocks: vec![None],
            inclines: 0,
        }
    }
}

/// The eye that fits the evidence best.
#[derive(Clone, Debug, PartialEq)]
pub struct EyeFit {
    /// The camera.
    pub eye: Eye,
    /// Where blocks and inclines are turned.
    pub headings: Headings,
    /// Covariance of (ln focal length, pitch, cant, block headings, then heading and slope of each
    /// incline), radians. Widened by the scatter of the lines where they scatter more than the
    /// pointing precision says.
    pub covariance: DMatrix<f64>,
    /// Source of each of these parameters, in the same order.
    pub sources: Vec<Source>,
    /// For each line of the evidence, how it agrees; `None` for a line too short to say anything.
    pub lines: Vec<Option<LineFit>>,
    /// Sum of squared residuals over both ends of every line and of the horizon, frame widths².
    pub sum_of_squares: f64,
}

/// How a traced line agrees with its family.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LineFit {
    /// Perpendicular distance of the line's first end from the line through its mid-point and the
    /// vanishing point, frame widths, positive to the left when looking from the second end.
    pub residual: f64,
    /// Angle by which the line misses its vanishing point, radians.
    pub miss: f64,
    /// Standardized residual (Baarda 1968), standard normal when nothing is wrong.
    pub standardized: f64,
    /// Redundancy number, 0 (nothing tests it) to 1.
    pub redundancy: f64,
}

impl EyeFit {
    /// Angle of view across the frame, radians.
    #[must_use]
    pub fn angle_of_view(&self) -> Quantity {
        let f = self.eye.focal;
        let slope = (1.0 / f) / (1.0 + 0.25 / (f * f));
        self.quantity(Parameter::LN_FOCAL, angle_of_view(f), slope)
    }

    /// Pitch, looking up positive, radians.
    #[must_use]
    pub fn pitch(&self) -> Quantity {
        self.quantity(Parameter::PITCH, self.eye.pitch, 1.0)
    }

    /// Cant, right end of the horizon up positive, radians.
    #[must_use]
    pub fn cant(&self) -> Quantity {
        self.quantity(Parameter::CANT, self.eye.cant, 1.0)
    }

    /// Heading of a block's receding-right family, radians clockwise from straight ahead.
    #[must_use]
    pub fn heading(&self, block: usize) -> Quantity {
        self.quantity(self.headings.block_parameter(block), self.headings.blocks[block], 1.0)
    }

    /// Heading and slope of an incline, radians.
    #[must_use]
    pub fn incline(&self, incline: usize) -> [Quantity; 2] {
        let at = self.headings.incline_parameter(incline);
        let [heading, slope] = self.headings.inclines[incline];
        [self.quantity(at, heading, 1.0), self.quantity(at + 1, slope, 1.0)]
    }

    /// Whether a family's direction rests on lines or on the painter's word, not on assumption.
    #[must_use]
    pub fn is_known(&self, family: Family) -> bool {
        let known = |at: usize| self.sources[at] != Source::Assumed;
        match family {
            Family::Upright => known(Parameter::PITCH) && known(Parameter::CANT),
            Family::RecedingRight(b) | Family::RecedingLeft(b) => {
                known(self.headings.block_parameter(b))
            }
            Family::Incline(i) => {
                let at = self.headings.incline_parameter(i);
                known(at) && known(at + 1)
            }
        }
    }

    /// Vanishing point of a family, homogeneous picture coordinates (u, v, w).
    #[must_use]
    pub fn vanishing_point(&self, family: Family) -> DVec3 {
        self.eye.image(self.headings.direction(family))
    }

    fn quantity(&self, parameter: usize, value: f64, slope: f64) -> Quantity {
        let sd = self.covariance[(parameter, parameter)].max(0.0).sqrt() * slope;
        Quantity { value, sd, source: self.sources[parameter] }
    }
}

/// A weak prior, or the painter's word.
#[derive(Clone, Copy, Debug)]
struct Prior {
    mean: f64,
    sd: f64,
    by_hand: bool,
}

/// Standard deviation of a quantity that the painter set: tight enough to hold it to every digit
/// that is shown, loose enough to keep the normal equations well scaled.
const BY_HAND_SD: f64 = 1e-7;

/// What is known of a parameter before any line is traced. The spreads are wide on purpose
/// (common practice): lenses from 14 to 85 mm on a 36 mm frame, most views within 25 degrees of
/// level, most cants within 10.
fn priors(evidence: &EyeEvidence) -> Vec<Prior> {
    let weak = |mean: f64, sd: f64| Prior { mean, sd, by_hand: false };
    let or = |by_hand: Option<f64>, prior: Prior| match by_hand {
        Some(mean) => Prior { mean, sd: BY_HAND_SD, by_hand: true },
        None => prior,
    };
    let mut priors = vec![
        or(evidence.focal.map(f64::ln), weak(0.0, 0.7)),
        or(evidence.pitch, weak(0.0, 25_f64.to_radians())),
        or(evidence.cant, weak(0.0, 10_f64.to_radians())),
    ];
    for by_hand in &evidence.blocks {
        priors.push(or(*by_hand, weak(45_f64.to_radians(), 30_f64.to_radians())));
    }
    for _ in 0..evidence.inclines {
        priors.push(weak(0.0, 60_f64.to_radians()));
        priors.push(weak(0.0, 30_f64.to_radians()));
    }
    priors
}

/// Reads the eye from what was traced and set by hand.
///
/// A family with scene direction d vanishes at v = K R d. A line's residual is the perpendicular
/// distance of its end from the line through its mid-point and v; a horizon contributes the
/// distances of its two points. They are weighted by the pointing precision and minimised by
/// Levenberg–Marquardt (Moré 1978) from the closed forms of Caprile & Torre (IJCV 4, 1990), or from
/// several starts where those do not exist. Weak priors keep it solvable with one line or none;
/// where the lines fix a quantity its prior is taken away again, so that it pulls at nothing.
#[must_use]
pub fn fit_eye(evidence: &EyeEvidence) -> EyeFit {
    let priors = priors(evidence);
    let full = vec![1.0; priors.len()];
    let with_priors = best_start(evidence, &priors, &full);
    let weights = prior_weights(&with_priors, &priors);
    let parameters = if weights == full {
        with_priors.parameters.clone()
    } else {
        minimize(Problem::new(evidence, &priors, &weights, with_priors.parameters.clone()))
    };
    let solved = Problem::new(evidence, &priors, &weights, upright_form(&parameters, evidence));
    report(&solved)
}

/// Solves from each start and keeps the best; stops early where a start already explains the lines.
fn best_start<'a>(
    evidence: &'a EyeEvidence,
    priors: &'a [Prior],
    weights: &'a [f64],
) -> Problem<'a> {
    let mut best: Option<(f64, Problem<'a>)> = None;
    for start in starts(evidence) {
        let start = starting_parameters(&start.0, &start.1, priors);
        let parameters = minimize(Problem::new(evidence, priors, weights, start));
        let problem = Problem::new(evidence, priors, weights, parameters);
        let cost = problem.cost();
        if cost.is_finite() && best.as_ref().is_none_or(|(least, _)| cost < *least) {
            best = Some((cost, problem));
        }
        let explains = 2.0 * problem_size(evidence) as f64 + priors.len() as f64;
        if best.as_ref().is_some_and(|(least, _)| *least < explains) {
            break;
        }
    }
    best.map_or_else(
        || {
            let means = DVector::from_iterator(priors.len(), priors.iter().map(|p| p.mean));
            Problem::new(evidence, priors, weights, means)
        },
        |(_, problem)| problem,
    )
}

/// Number of independent observations: one for each line, two for a traced horizon.
fn problem_size(evidence: &EyeEvidence) -> usize {
    evidence.lines.len() + 2 * usize::from(evidence.horizon.is_some())
}

/// Parameters of a start, with what the painter set by hand put in its place.
fn starting_parameters(eye: &Eye, headings: &Headings, priors: &[Prior]) -> DVector<f64> {
    let mut p = pack(eye, headings);
    for (value, prior) in p.iter_mut().zip(priors) {
        if prior.by_hand || !value.is_finite() {
            *value = prior.mean;
        }
    }
    p
}

/// How strongly each prior is kept in the final solution: not at all where the lines fix the
/// quantity (its share in the posterior variance is small), fully where they do not, with a smooth
/// passage between, so that the answer does not jump while a line is dragged.
fn prior_weights(problem: &Problem<'_>, priors: &[Prior]) -> Vec<f64> {
    /// Share of the prior below which it is dropped.
    const NEGLIGIBLE: f64 = 0.15;
    prior_shares(problem)
        .into_iter()
        .zip(priors)
        .map(|(share, prior)| {
            if prior.by_hand {
                return 1.0;
            }
            let t = ((share - NEGLIGIBLE) / (ASSUMED_SHARE - NEGLIGIBLE)).clamp(0.0, 1.0);
            t * t * (3.0 - 2.0 * t)
        })
        .collect()
}

/// Share of the posterior variance from which a quantity counts as assumed.
const ASSUMED_SHARE: f64 = 0.5;

/// Share of each parameter's posterior variance that comes from the priors:
/// diag(S L S) / diag(S), with S the posterior covariance and L the priors' weight matrix.
fn prior_shares(problem: &Problem<'_>) -> Vec<f64> {
    let full = vec![1.0; problem.priors.len()];
    let complete =
        Problem::new(problem.evidence, problem.priors, &full, problem.parameters.clone());
    let covariance = complete.covariance();
    (0..problem.priors.len())
        .map(|i| {
            let from_priors: f64 = (0..problem.priors.len())
                .map(|k| (covariance[(i, k)] / problem.priors[k].sd).powi(2))
                .sum();
            (from_priors / covariance[(i, i)]).clamp(0.0, 1.0)
        })
        .collect()
}

fn minimize(problem: Problem<'_>) -> DVector<f64> {
    let start = problem.parameters.clone();
    let (solved, _) = LevenbergMarquardt::new()
        .with_ftol(1e-15)
        .with_xtol(1e-12)
        .with_gtol(1e-15)
        .minimize(problem);
    if solved.parameters.iter().all(|p| p.is_finite()) { solved.parameters } else { start }
}

fn report(problem: &Problem<'_>) -> EyeFit {
    let (eye, headings) = unpack(&problem.parameters, problem.evidence);
    let cofactors = problem.covariance();
    let rows = problem.evidence_rows();
    let residuals = &rows.residuals;
    let degrees = residuals.len() as f64 - problem.parameters.len() as f64;
    let chi_squared = residuals.norm_squared();
    // Careless tracing widens its own intervals; careful tracing does not narrow them.
    let scatter = if degrees >= 1.0 { (chi_squared / degrees).max(1.0) } else { 1.0 };
    let by_hand: Vec<bool> = problem.priors.iter().map(|p| p.by_hand).collect();
    let sources = prior_shares(problem)
        .into_iter()
        .zip(&by_hand)
        .map(|(share, by_hand)| match by_hand {
            true => Source::ByHand,
            false if share > ASSUMED_SHARE => Source::Assumed,
            false => Source::Read,
        })
        .collect();
    let lines = problem.line_fits(&rows, &cofactors);
    let line_squares: f64 = lines.iter().flatten().map(|l| 2.0 * l.residual.powi(2)).sum();
    let horizon_squares: f64 = residuals
        .iter()
        .skip(residuals.len() - 2 * usize::from(problem.evidence.horizon.is_some()))
        .map(|r| (r * problem.evidence.pointing).powi(2))
        .sum();
    EyeFit {
        eye,
        headings,
        covariance: cofactors * scatter,
        sources,
        lines,
        sum_of_squares: line_squares + horizon_squares,
    }
}

/// The same eye written with its pitch and cant within a quarter turn and headings within half a
/// turn: a line has no front and back, so an eye that hangs upside down reads the same lines.
fn upright_form(parameters: &DVector<f64>, evidence: &EyeEvidence) -> DVector<f64> {
    let (eye, headings) = unpack(parameters, evidence);
    let rotation = eye.rotation();
    let mut up = rotation * DVec3::Y;
    if up.y > 0.0 {
        up = -up;
    }
    let upright = Eye { pitch: up.z.clamp(-1.0, 1.0).asin(), cant: (-up.x).atan2(-up.y), ..eye };
    let back = upright.rotation().transpose() * rotation;
    let turned = |family| back * headings.direction(family);
    let upright_headings = Headings {
        blocks: (0..headings.blocks.len())
            .map(|b| heading_of(turned(Family::RecedingRight(b))))
            .collect(),
        inclines: (0..headings.inclines.len())
            .map(|i| {
                let d = turned(Family::Incline(i));
                let ahead = if d.z > 0.0 { -d } else { d };
                [heading_of(ahead), ahead.y.clamp(-1.0, 1.0).asin()]
            })
            .collect(),
    };
    pack(&upright, &upright_headings)
}

fn pack(eye: &Eye, headings: &Headings) -> DVector<f64> {
    let mut p = vec![eye.focal.ln(), eye.pitch, eye.cant];
    p.extend(&headings.blocks);
    p.extend(headings.inclines.iter().flatten());
    DVector::from_vec(p)
}

fn unpack(p: &DVector<f64>, evidence: &EyeEvidence) -> (Eye, Headings) {
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

/// Weighted residuals (unit variance) with their Jacobian; lines first, then the horizon.
struct Rows {
    residuals: DVector<f64>,
    jacobian: DMatrix<f64>,
    /// For each line of the evidence, its row.
    row_of_line: Vec<Option<usize>>,
}

/// The least-squares problem at its present parameters.
#[derive(Clone)]
struct Problem<'a> {
    evidence: &'a EyeEvidence,
    priors: &'a [Prior],
    prior_weights: Vec<f64>,
    parameters: DVector<f64>,
}

impl<'a> Problem<'a> {
    fn new(
        evidence: &'a EyeEvidence,
        priors: &'a [Prior],
        prior_weights: &[f64],
        parameters: DVector<f64>,
    ) -> Self {
        Self { evidence, priors, prior_weights: prior_weights.to_vec(), parameters }
    }

    /// A line's residual: both ends miss by the same amount, so that it is one observation whose
    /// standard deviation is the pointing precision over the square root of two.
    fn line_sd(&self) -> f64 {
        self.evidence.pointing * std::f64::consts::FRAC_1_SQRT_2
    }

    fn evidence_rows(&self) -> Rows {
        let (eye, headings) = unpack(&self.parameters, self.evidence);
        let count = self.parameters.len();
        let mut row_of_line = Vec::with_capacity(self.evidence.lines.len());
        let mut used = 0;
        for line in &self.evidence.lines {
            let says = line.says_something(self.evidence.pointing);
            row_of_line.push(says.then_some(used));
            used += usize::from(says);
        }
        let horizon_rows = 2 * usize::from(self.evidence.horizon.is_some());
        let mut residuals = DVector::zeros(used + horizon_rows);
        let mut jacobian = DMatrix::zeros(used + horizon_rows, count);
        let line_sd = self.line_sd();
        for (line, row) in self.evidence.lines.iter().zip(&row_of_line) {
            let Some(row) = *row else { continue };
            let residual = line_residual(&eye, &headings, line);
            residuals[row] = residual.value / line_sd;
            for (parameter, derivative) in residual.derivatives {
                jacobian[(row, parameter)] = derivative / line_sd;
            }
        }
        for (k, point) in self.evidence.horizon.iter().flatten().enumerate() {
            let (value, derivatives) = horizon_residual(&eye, *point);
            residuals[used + k] = value / self.evidence.pointing;
            for (parameter, derivative) in derivatives.into_iter().enumerate() {
                jacobian[(used + k, parameter)] = derivative / self.evidence.pointing;
            }
        }
        Rows { residuals, jacobian, row_of_line }
    }

    fn cost(&self) -> f64 {
        let priors: f64 = (0..self.priors.len()).map(|i| self.prior_residual(i).0.powi(2)).sum();
        self.evidence_rows().residuals.norm_squared() + priors
    }

    /// Weighted residual of a prior and its derivative.
    fn prior_residual(&self, i: usize) -> (f64, f64) {
        let weight = self.prior_weights[i].sqrt() / self.priors[i].sd;
        ((self.parameters[i] - self.priors[i].mean) * weight, weight)
    }

    /// Posterior covariance at the present parameters, for unit weights.
    fn covariance(&self) -> DMatrix<f64> {
        let jacobian = self.evidence_rows().jacobian;
        let mut normal = jacobian.tr_mul(&jacobian);
        for i in 0..self.priors.len() {
            normal[(i, i)] += self.prior_residual(i).1.powi(2);
        }
        inverse_of_normal(normal)
    }

    fn line_fits(&self, rows: &Rows, cofactors: &DMatrix<f64>) -> Vec<Option<LineFit>> {
        let (eye, headings) = unpack(&self.parameters, self.evidence);
        self.evidence
            .lines
            .iter()
            .zip(&rows.row_of_line)
            .map(|(line, row)| {
                let row = (*row)?;
                let gradient = rows.jacobian.row(row).transpose();
                let adjusted = gradient.dot(&(cofactors * &gradient));
                let redundancy = (1.0 - adjusted).clamp(0.0, 1.0);
                let residual = line_residual(&eye, &headings, line).value;
                Some(LineFit {
                    residual,
                    miss: miss(residual, line),
                    standardized: if redundancy > 1e-6 {
                        rows.residuals[row] / redundancy.sqrt()
                    } else {
                        0.0
                    },
                    redundancy,
                })
            })
            .collect()
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
        let evidence = self.evidence_rows().residuals;
        let rows = evidence.len();
        let priors = (0..self.priors.len()).map(|i| self.prior_residual(i).0);
        Some(DVector::from_iterator(
            rows + self.priors.len(),
            evidence.iter().copied().chain(priors),
        ))
    }

    fn jacobian(&self) -> Option<DMatrix<f64>> {
        let evidence = self.evidence_rows().jacobian;
        let rows = evidence.nrows();
        let mut all = evidence.resize_vertically(rows + self.priors.len(), 0.0);
        for i in 0..self.priors.len() {
            all[(rows + i, i)] = self.prior_residual(i).1;
        }
        Some(all)
    }
}

/// Inverse of a normal matrix, scaled to a unit diagonal first: a quantity set by hand has a weight
/// 1e12 times that of an assumed one.
fn inverse_of_normal(mut normal: DMatrix<f64>) -> DMatrix<f64> {
    let n = normal.nrows();
    let scale: Vec<f64> = (0..n).map(|i| 1.0 / normal[(i, i)].max(1e-300).sqrt()).collect();
    for i in 0..n {
        for k in 0..n {
            normal[(i, k)] *= scale[i] * scale[k];
        }
    }
    // Every parameter has a prior or a line, so that only rounding could make this fail; then the
    // parameters are told as if they were independent.
    let mut inverse =
        normal.cholesky().map_or_else(|| DMatrix::identity(n, n), |cholesky| cholesky.inverse());
    for i in 0..n {
        for k in 0..n {
            inverse[(i, k)] *= scale[i] * scale[k];
        }
    }
    inverse
}

struct LineResidual {
    value: f64,
    derivatives: Vec<(usize, f64)>,
}

/// A line's residual in frame widths, with its derivatives by the parameters of the eye.
fn line_residual(eye: &Eye, headings: &Headings, line: &TracedLine) -> LineResidual {
    let middle = 0.5 * (line.from + line.to) - eye.principal;
    let half = 0.5 * (line.from - line.to);
    let rotation = eye.rotation();
    let seen = rotation * headings.direction(line.family);
    // From the mid-point towards the vanishing point: (vx - vw mx, vy - vw my).
    let towards = |c: DVec3, focal: f64| focal * c.truncate() - c.z * middle;
    let t = towards(seen, eye.focal);
    let length = t.length();
    if length < 1e-12 {
        // The vanishing point sits on the mid-point: every direction fits.
        return LineResidual { value: 0.0, derivatives: Vec::new() };
    }
    let value = half.perp_dot(t) / length;
    let slope = |dt: DVec2| (half.perp_dot(dt) - value * t.dot(dt) / length) / length;
    let (sr, cr) = eye.cant.sin_cos();
    let by_pitch = DVec3::new(sr * seen.z, cr * seen.z, -(sr * seen.x + cr * seen.y));
    let by_cant = DVec3::new(seen.y, -seen.x, 0.0);
    let mut derivatives = vec![
        (Parameter::LN_FOCAL, slope(eye.focal * seen.truncate())),
        (Parameter::PITCH, slope(towards(by_pitch, eye.focal))),
        (Parameter::CANT, slope(towards(by_cant, eye.focal))),
    ];
    for (parameter, direction) in headings.direction_derivatives(line.family) {
        derivatives.push((parameter, slope(towards(rotation * direction, eye.focal))));
    }
    LineResidual { value, derivatives }
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

/// How a line that took no part in a fit agrees with it.
pub(crate) fn line_fit_without(fit: &EyeFit, line: &TracedLine) -> LineFit {
    let residual = line_residual(&fit.eye, &fit.headings, line).value;
    LineFit { residual, miss: miss(residual, line), standardized: 0.0, redundancy: 1.0 }
}

/// Angle by which a line misses its vanishing point, radians.
fn miss(residual: f64, line: &TracedLine) -> f64 {
    (residual / (0.5 * line.length())).clamp(-1.0, 1.0).asin()
}
