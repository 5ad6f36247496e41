//! Going down to the least sum of squares.

use crate::eye_problem::{Normal, Problem};
use nalgebra::{DMatrix, DVector};

/// A place with what the evidence says there.
#[derive(Clone)]
pub(crate) struct Place {
    pub(crate) at: Vec<f64>,
    pub(crate) normal: Normal,
}

impl Place {
    pub(crate) fn new(problem: &Problem<'_>, at: Vec<f64>) -> Self {
        let normal = problem.normal(&at);
        Self { at, normal }
    }

    /// Sum of squares with the priors kept as told.
    pub(crate) fn cost(&self, problem: &Problem<'_>, kept: &[f64]) -> f64 {
        self.normal.misfit + problem.prior_misfit(&self.at, kept)
    }
}

/// Longest step of any parameter: about a third of a turn, or the focal length times or over seven.
/// From far off an undamped step may be as long as it likes.
const LONGEST: f64 = 2.0;

/// Damping that makes a step no more than a creep along the gradient.
const MOST_DAMPING: f64 = 1e9;

/// More steps than any problem takes; the gain of each is tested, so that this only ends a crawl.
const MOST_STEPS: usize = 200;

/// Levenberg-Marquardt (Marquardt, J. SIAM 11, 1963; damping by the gain ratio as in Madsen, Nielsen
/// & Tingleff, *Methods for Non-Linear Least Squares Problems*, 2004), undamped as long as every step
/// goes down. Ends where a further step is expected to lower the sum of squares by less than the
/// `tolerance`, a fraction of that sum or of one.
pub(crate) fn descend(problem: &Problem<'_>, kept: &[f64], start: Place, tolerance: f64) -> Place {
    let mut here = start;
    let mut cost = here.cost(problem, kept);
    let mut damping = 0.0;
    for _ in 0..MOST_STEPS {
        if damping > MOST_DAMPING {
            break;
        }
        let Some(step) = Step::from(problem, kept, &here, damping) else {
            damping = raised(damping);
            continue;
        };
        if step.expected <= tolerance * cost.max(1.0) {
            break;
        }
        let at = std::iter::zip(&here.at, step.by.iter()).map(|(p, by)| p + by).collect();
        let there = Place::new(problem, at);
        let new_cost = there.cost(problem, kept);
        let gain = (cost - new_cost) / step.expected;
        if new_cost < cost {
            (here, cost) = (there, new_cost);
        }
        match gain {
            g if g > 0.75 => damping = if damping > 1e-6 { 0.1 * damping } else { 0.0 },
            g if g > 0.25 => {}
            // Also where the cost is not a number.
            _ => damping = raised(damping),
        }
    }
    here
}

/// Takes one step more, whose gain rounding of the sum of squares would hide; it is too short to look
/// again what the evidence says there.
pub(crate) fn last_step(problem: &Problem<'_>, kept: &[f64], mut place: Place) -> Place {
    if let Some(step) = Step::from(problem, kept, &place, 0.0).filter(|s| s.by.amax() < 1e-4) {
        place.at.iter_mut().zip(step.by.iter()).for_each(|(p, by)| *p += by);
    }
    place
}

fn raised(damping: f64) -> f64 {
    (8.0 * damping).max(1e-3)
}

/// A step and by how much it is expected to lower the sum of squares.
struct Step {
    by: DVector<f64>,
    expected: f64,
}

impl Step {
    /// Solves (N + damping diag N) step = -gradient, with N scaled to a unit diagonal.
    fn from(problem: &Problem<'_>, kept: &[f64], here: &Place, damping: f64) -> Option<Self> {
        let mut normal: DMatrix<f64> = here.normal.information.clone();
        let mut gradient = here.normal.gradient.clone();
        for (i, (prior, weight)) in std::iter::zip(&problem.priors, kept).enumerate() {
            let weight = weight / (prior.sd * prior.sd);
            normal[(i, i)] += weight;
            gradient[i] += weight * (here.at[i] - prior.mean);
        }
        let scale = normal.diagonal().map(|d| 1.0 / d.max(1e-300).sqrt());
        let n = scale.len();
        for i in 0..n {
            for k in 0..i {
                normal[(i, k)] *= scale[i] * scale[k];
            }
            normal[(i, i)] = 1.0 + damping;
        }
        let mut scaled = -gradient.component_mul(&scale);
        normal.cholesky()?.solve_mut(&mut scaled);
        let squared = damping * scaled.norm_squared();
        let mut by = scaled.component_mul(&scale);
        let slope = gradient.dot(&by);
        let part = (LONGEST / by.amax()).min(1.0);
        by *= part;
        // With N step = -gradient - damping step (scaled), the sum of squares falls by
        // -2 t slope - t² step' N step after the part t of the step.
        let expected = -2.0 * part * slope + part * part * (slope + squared);
        expected.is_finite().then_some(Self { by, expected })
    }
}
