//! The eye from traced lines: weighted least squares with weak priors.

use crate::eye_descent::{Place, descend, last_step};
use crate::eye_parameters::{Layout, Parameter};
use crate::eye_problem::{Normal, Problem};
use crate::eye_start::starts;
use crate::family::{heading_and_slope, heading_of};
use crate::seen::{Aimed, Seen, SparseRow};
use crate::{Eye, EyeEvidence, Family, Headings, Quantity, Source, TracedLine, angle_of_view};
use glam::DVec3;
use nalgebra::DMatrix;
use std::f64::consts::FRAC_PI_2;

/// The eye that fits the evidence best.
#[derive(Clone, Debug, PartialEq)]
pub struct EyeFit {
    /// The camera.
    pub eye: Eye,
    /// Where blocks and inclines are turned.
    pub headings: Headings,
    /// Covariance of (ln focal length, pitch, cant, block headings, then heading and slope of each
    /// incline, then u and v of the principal point where it is free), radians and frame widths. Widened
    /// by the scatter of the lines where they scatter more than the pointing precision says.
    pub covariance: DMatrix<f64>,
    /// Source of each of these parameters, in the same order.
    pub sources: Vec<Source>,
    /// For each line of the evidence, how it agrees; `None` for a line too short to say anything.
    pub lines: Vec<Option<LineFit>>,
    /// For each figure of the evidence, how it agrees; `None` for one that says nothing.
    pub figures: Vec<Option<FigureFit>>,
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

/// How a figure of known height agrees with the horizon.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FigureFit {
    /// Least-squares estimate of how much too long it is drawn, if it alone is wrong, in its own length;
    /// 0 when nothing tests it.
    pub gross_error: f64,
    /// Standardized residual (Baarda 1968), standard normal when nothing is wrong.
    pub standardized: f64,
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

    /// Principal point, u and v in frame widths; one that is fixed is taken on the painter's word.
    #[must_use]
    pub fn principal_point(&self) -> [Quantity; 2] {
        let at = self.headings.parameters();
        let principal = self.eye.principal.to_array();
        std::array::from_fn(|k| match self.sources.get(at + k) {
            Some(_) => self.quantity(at + k, principal[k], 1.0),
            None => Quantity { value: principal[k], sd: 0.0, source: Source::ByHand },
        })
    }

    /// Variance that the eye leaves in a quantity with these derivatives by its parameters
    /// ([`LogRatio::by_eye`](crate::LogRatio::by_eye)); those by a principal point that is fixed add
    /// nothing.
    #[must_use]
    pub fn variance(&self, by_eye: &[f64]) -> f64 {
        let known = by_eye.len().min(self.covariance.nrows());
        let slopes = nalgebra::DVectorView::from_slice(&by_eye[..known], known);
        let covariance = self.covariance.view((0, 0), (known, known));
        slopes.dot(&(covariance * slopes)).max(0.0)
    }

    /// Angle by which a line that took no part in the fit misses its family's vanishing point, radians,
    /// with the standard deviation that pointing at its ends (`pointing`, frame widths) and what the
    /// eye is unsure of give it. `None` for a line shorter than the pointing precision.
    #[must_use]
    pub fn miss(&self, line: &TracedLine, pointing: f64) -> Option<(f64, f64)> {
        if !line.says_something(pointing) {
            return None;
        }
        let parameters = self.headings.parameters();
        let principal = (self.covariance.nrows() > parameters).then_some(parameters);
        let seen = Seen::new(&self.eye, &self.headings, &[line.family], principal);
        let row = seen.row(&Aimed::new(0, 0, line), 1.0);
        let by_eye: f64 = row
            .slopes()
            .iter()
            .flat_map(|(i, a)| row.slopes().iter().map(move |(k, b)| (*i, *k, a * b)))
            .map(|(i, k, product)| product * self.covariance[(i, k)])
            .sum();
        let sd = (0.5 * pointing * pointing + by_eye.max(0.0)).sqrt();
        Some((miss(row.residual, line), sd / (0.5 * line.length())))
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
/// distances of its two points; a figure of known height how far its head is off where the clearance
/// of its level puts it. They are weighted by the pointing precision and the spread of the heights and
/// minimised by Levenberg–Marquardt from the closed forms of Caprile & Torre (IJCV 4, 1990), or from
/// several starts where those do not exist. Weak priors keep it solvable with one line or none; where
/// the lines fix a quantity its prior is taken away again, so that it pulls at nothing.
#[must_use]
pub fn fit_eye(evidence: &EyeEvidence) -> EyeFit {
    let mut problem = Problem::new(evidence);
    let full = vec![1.0; problem.layout.len()];
    let mut place = best_start(&mut problem, &full);
    let mut kept = prior_weights(&problem, &place);
    if kept.iter().any(|weight| 0.0 < *weight && *weight < 1.0) {
        // In the passage between the weight depends on where exactly the place is.
        place = descend(&problem, &full, place, FINE);
        kept = prior_weights(&problem, &place);
    }
    place = descend(&problem, &kept, place, FINE);
    for _ in 0..MOST_WEIGHINGS {
        if !problem.weigh_figures(&place.at) {
            break;
        }
        place = descend(&problem, &kept, Place::new(&problem, place.at), FINE);
    }
    place = last_step(&problem, &kept, place);
    if let Some(upright) = upright_form(&place.at, &problem.layout) {
        place = Place::new(&problem, upright);
    }
    report(&problem, &place, &kept)
}

/// How often the figures are weighed anew: each time their weights change by a smaller part, which is
/// about the square of how far the answer is off.
const MOST_WEIGHINGS: usize = 10;

/// Solves from each start and keeps the best; stops early where a start already explains the lines.
fn best_start(problem: &mut Problem<'_>, kept: &[f64]) -> Place {
    // Twice the expectation of the sum of squares: a chance good fit of a wrong eye is rarer.
    let explains = 2.0 * problem.observations() as f64;
    let mut best: Option<(f64, Place)> = None;
    for (eye, headings) in starts(problem) {
        let start = problem.starting_parameters(&eye, &headings);
        let mut solved = coarse(problem, kept, start);
        // From a start that was far off the figures were weighed badly.
        if problem.weigh_figures(&solved.at) {
            solved = coarse(problem, kept, solved.at);
        }
        let cost = solved.cost(problem, kept);
        let misfit = solved.normal.misfit;
        if best.as_ref().is_none_or(|(least, _)| cost < *least) {
            best = Some((cost, solved));
        }
        if misfit < explains {
            break;
        }
    }
    let best = best.map(|(_, place)| place);
    let place = best.unwrap_or_else(|| Place::new(problem, problem.prior_means()));
    if problem.weigh_figures(&place.at) { Place::new(problem, place.at) } else { place }
}

fn coarse(problem: &mut Problem<'_>, kept: &[f64], start: Vec<f64>) -> Place {
    problem.weigh_figures(&start);
    descend(problem, kept, Place::new(problem, start), COARSE)
}

/// How strongly each prior is kept in the final solution: not at all where the lines fix the
/// quantity (its share in the posterior variance is small), fully where they do not, with a smooth
/// passage between, so that the answer does not jump while a line is dragged. Figures know their own
/// heights too badly to tell the lens: beside them its prior is kept.
fn prior_weights(problem: &Problem<'_>, place: &Place) -> Vec<f64> {
    /// Share of the prior below which it is dropped.
    const NEGLIGIBLE: f64 = 0.15;
    std::iter::zip(problem.prior_shares(&place.normal.information), &problem.priors)
        .enumerate()
        .map(|(parameter, (share, prior))| {
            let lens_by_figures = parameter == Parameter::LN_FOCAL && !problem.figures.is_empty();
            if prior.by_hand || lens_by_figures {
                return 1.0;
            }
            let t = ((share - NEGLIGIBLE) / (ASSUMED_SHARE - NEGLIGIBLE)).clamp(0.0, 1.0);
            t * t * (3.0 - 2.0 * t)
        })
        .collect()
}

/// Share of the posterior variance from which a quantity counts as assumed.
const ASSUMED_SHARE: f64 = 0.5;

/// Part of the sum of squares, or of one, whose gain would not tell one start from another.
const COARSE: f64 = 1e-2;

/// Gain in the sum of squares at which a solution is final: that of a step of less than a millionth
/// of a standard deviation.
const FINE: f64 = 1e-13;

fn report(problem: &Problem<'_>, place: &Place, kept: &[f64]) -> EyeFit {
    let Normal { information, misfit, .. } = &place.normal;
    let cofactors = problem.covariance(information, kept);
    let degrees = problem.observations() as f64 - problem.layout.len() as f64;
    // Careless tracing widens its own intervals; careful tracing does not narrow them.
    let scatter = if degrees >= 1.0 { (misfit / degrees).max(1.0) } else { 1.0 };
    let told = problem.layout.told();
    let sources = std::iter::zip(problem.prior_shares(information), &problem.priors)
        .take(told)
        .map(|(share, prior)| match prior.by_hand {
            true => Source::ByHand,
            false if share > ASSUMED_SHARE => Source::Assumed,
            false => Source::Read,
        })
        .collect();
    let (eye, headings) = problem.layout.unpack(&place.at);
    let (lines, sum_of_squares) = line_fits(problem, place, &cofactors);
    let figures = figure_fits(problem, place, &cofactors);
    let covariance = cofactors.view((0, 0), (told, told)) * scatter;
    EyeFit { eye, headings, covariance, sources, lines, figures, sum_of_squares }
}

/// How the lines agree, and the sum of squares of lines and horizon, frame widths².
fn line_fits(
    problem: &Problem<'_>,
    place: &Place,
    cofactors: &DMatrix<f64>,
) -> (Vec<Option<LineFit>>, f64) {
    let mut fits = vec![None; problem.evidence.lines.len()];
    let mut lines = problem.lines.iter();
    let (mut sum, mut left) = (0.0, problem.traced());
    problem.for_each_row(&place.at, |row| {
        if left > 0 {
            left -= 1;
            sum += row.residual * row.residual;
        }
        let Some(aimed) = lines.next() else { return };
        let redundancy = redundancy(row, cofactors);
        let residual = row.residual * problem.line_sd();
        let is_tested = redundancy > 1e-6;
        fits[aimed.place] = Some(LineFit {
            residual,
            miss: miss(residual, &problem.evidence.lines[aimed.place]),
            standardized: if is_tested { row.residual / redundancy.sqrt() } else { 0.0 },
            redundancy,
        });
    });
    // A line's two ends miss by the same amount, and its weight counts them both.
    (fits, sum * problem.evidence.pointing.powi(2))
}

/// How the figures agree.
fn figure_fits(
    problem: &Problem<'_>,
    place: &Place,
    cofactors: &DMatrix<f64>,
) -> Vec<Option<FigureFit>> {
    let mut fits = vec![None; problem.evidence.figures.len()];
    let mut before = problem.traced();
    let mut figures = problem.figures.iter();
    problem.for_each_row(&place.at, |row| {
        if before > 0 {
            before -= 1;
            return;
        }
        let Some(figure) = figures.next() else { return };
        let redundancy = redundancy(row, cofactors);
        let is_tested = redundancy > 1e-6;
        fits[figure.place] = Some(FigureFit {
            gross_error: if is_tested {
                row.residual * figure.sd / (redundancy * figure.length())
            } else {
                0.0
            },
            standardized: if is_tested { row.residual / redundancy.sqrt() } else { 0.0 },
        });
    });
    fits
}

/// Redundancy number of a row of unit variance, 1 - (hat value).
fn redundancy(row: &SparseRow, cofactors: &DMatrix<f64>) -> f64 {
    let slopes = || row.slopes().iter();
    let adjusted: f64 = slopes()
        .map(|(i, a)| a * slopes().map(|(k, b)| b * cofactors[(*i, *k)]).sum::<f64>())
        .sum();
    (1.0 - adjusted).clamp(0.0, 1.0)
}

/// The same eye written with its pitch and cant within a quarter turn and headings within half a
/// turn: a line has no front and back, so an eye that hangs upside down reads the same lines. `None`
/// where it is written so already.
fn upright_form(parameters: &[f64], layout: &Layout) -> Option<Vec<f64>> {
    let (eye, headings) = layout.unpack(parameters);
    if eye.pitch.abs() <= FRAC_PI_2 && eye.cant.abs() <= FRAC_PI_2 && headings.are_folded() {
        return None;
    }
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
            .map(|i| heading_and_slope(turned(Family::Incline(i))))
            .collect(),
    };
    let clearances = parameters[layout.told()..].iter().copied();
    Some(layout.pack(&upright, &upright_headings, clearances))
}

/// How a line that took no part in a fit agrees with it.
pub(crate) fn line_fit_without(fit: &EyeFit, line: &TracedLine) -> LineFit {
    let seen = Seen::new(&fit.eye, &fit.headings, &[line.family], None);
    let residual = seen.row(&Aimed::new(0, 0, line), 1.0).residual;
    LineFit { residual, miss: miss(residual, line), standardized: 0.0, redundancy: 1.0 }
}

/// Angle by which a line misses its vanishing point, radians.
fn miss(residual: f64, line: &TracedLine) -> f64 {
    (residual / (0.5 * line.length())).clamp(-1.0, 1.0).asin()
}
