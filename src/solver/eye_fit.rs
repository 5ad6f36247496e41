//! The eye from traced lines: weighted least squares with weak priors.

use crate::eye_prior::{Prior, priors};
use crate::eye_problem::{Problem, pack, residual_of, unpack};
use crate::eye_start::starts;
use crate::family::{Parameter, heading_of};
use crate::{Eye, Family, Headings, Quantity, Source, angle_of_view};
use glam::{DVec2, DVec3};
use levenberg_marquardt::LevenbergMarquardt;
use nalgebra::{DMatrix, DVector};

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
            Family::Run(i) => known(self.headings.incline_parameter(i)),
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
    let weights = prior_weights(&with_priors);
    let problem = with_priors.with_prior_weights(&weights);
    let parameters = minimize(problem.clone(), FINE);
    report(&problem.at(upright_form(&parameters, evidence)))
}

/// Solves from each start and keeps the best; stops early where a start already explains the lines.
fn best_start<'a>(
    evidence: &'a EyeEvidence,
    priors: &'a [Prior],
    weights: &'a [f64],
) -> Problem<'a> {
    let means = DVector::from_iterator(priors.len(), priors.iter().map(|p| p.mean));
    let mut best = Problem::new(evidence, priors, weights, means);
    let mut least = f64::INFINITY;
    // Twice the expectation of the sum of squares: a chance good fit of a wrong eye is rarer.
    let explains = 2.0 * best.observations() as f64;
    for (eye, headings) in starts(evidence) {
        let start = best.at(starting_parameters(&eye, &headings, priors));
        let solved = start.at(minimize(start.clone(), COARSE));
        let (cost, misfit) = solved.cost();
        if cost < least {
            (best, least) = (solved, cost);
        }
        if misfit < explains {
            break;
        }
    }
    best
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
fn prior_weights(problem: &Problem<'_>) -> Vec<f64> {
    /// Share of the prior below which it is dropped.
    const NEGLIGIBLE: f64 = 0.15;
    let information = problem.information(&problem.weighted_jacobian());
    std::iter::zip(problem.prior_shares(&information), problem.priors)
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

/// Relative tolerance that tells one start from another.
const COARSE: f64 = 1e-4;

/// Relative tolerance at which a solution is final.
const FINE: f64 = 1e-10;

fn minimize(problem: Problem<'_>, tolerance: f64) -> DVector<f64> {
    let start = problem.parameters.clone();
    let (solved, _) = LevenbergMarquardt::new().with_tol(tolerance).minimize(problem);
    if solved.parameters.iter().all(|p| p.is_finite()) { solved.parameters } else { start }
}

fn report(problem: &Problem<'_>) -> EyeFit {
    let jacobian = problem.weighted_jacobian();
    let information = problem.information(&jacobian);
    let cofactors = problem.covariance(&information, problem.prior_weights);
    let observations = problem.observations();
    let residuals = problem.weighted_residuals().rows(0, observations).into_owned();
    let degrees = observations as f64 - problem.parameters.len() as f64;
    // Careless tracing widens its own intervals; careful tracing does not narrow them.
    let scatter = if degrees >= 1.0 { (residuals.norm_squared() / degrees).max(1.0) } else { 1.0 };
    let sources = std::iter::zip(problem.prior_shares(&information), problem.priors)
        .map(|(share, prior)| match prior.by_hand {
            true => Source::ByHand,
            false if share > ASSUMED_SHARE => Source::Assumed,
            false => Source::Read,
        })
        .collect();
    let (eye, headings) = problem.eye();
    EyeFit {
        eye,
        headings,
        covariance: &cofactors * scatter,
        sources,
        lines: line_fits(problem, &residuals, &jacobian, &cofactors),
        // A line's two ends miss by the same amount, and its weight counts them both.
        sum_of_squares: residuals.norm_squared() * problem.evidence.pointing.powi(2),
    }
}

fn line_fits(
    problem: &Problem<'_>,
    residuals: &DVector<f64>,
    jacobian: &DMatrix<f64>,
    cofactors: &DMatrix<f64>,
) -> Vec<Option<LineFit>> {
    let seen = problem.seen();
    let mut fits = vec![None; problem.evidence.lines.len()];
    for (row, aimed) in problem.lines().iter().enumerate() {
        let gradient = jacobian.row(row);
        let adjusted = (gradient * cofactors * gradient.transpose())[(0, 0)];
        let redundancy = (1.0 - adjusted).clamp(0.0, 1.0);
        let residual = seen.aim(aimed).residual();
        let is_tested = redundancy > 1e-6;
        fits[aimed.place] = Some(LineFit {
            residual,
            miss: miss(residual, &problem.evidence.lines[aimed.place]),
            standardized: if is_tested { residuals[row] / redundancy.sqrt() } else { 0.0 },
            redundancy,
        });
    }
    fits
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

/// How a line that took no part in a fit agrees with it.
pub(crate) fn line_fit_without(fit: &EyeFit, line: &TracedLine) -> LineFit {
    let residual = residual_of(&fit.eye, &fit.headings, line);
    LineFit { residual, miss: miss(residual, line), standardized: 0.0, redundancy: 1.0 }
}

/// Angle by which a line misses its vanishing point, radians.
fn miss(residual: f64, line: &TracedLine) -> f64 {
    (residual / (0.5 * line.length())).clamp(-1.0, 1.0).asin()
}
