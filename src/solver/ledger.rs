//! The ledger: what a painter says about scale, as a levelling network of logarithms.
//!
//! Nodes are ln of each level's clearance c, each marker's horizontal distance D and each marker's
//! size S. Seen through a given eye, every statement is a difference or an absolute observation of
//! them; see [`Claim`].

use crate::network::{Group, Network, Row};
use crate::sight::{elevation, run_per_clearance, span_per_run};
use crate::{EyeFit, Fault, Side, Span};
use glam::DVec2;
use nalgebra::DMatrix;

/// A stated length or ratio with its spread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stated {
    /// The length (in the unit of all benchmarks) or the ratio.
    pub value: f64,
    /// One standard deviation as a fraction of the value.
    pub spread: f64,
}

/// A level.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LedgerLevel {
    /// Whether it lies below or above the eye.
    pub side: Side,
    /// Height between it and the eye, if stated ("eye height").
    pub clearance: Option<Stated>,
}

/// What is known of a marker beyond its picture points. Other markers are named by their place in
/// [`LedgerInput::markers`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Known {
    /// Its size: ln S = ln s.
    Size(Stated),
    /// Its size over another's: ln S - ln S' = ln k. *Same make* has k = 1.
    SizeRatio {
        /// The other marker.
        of: usize,
        /// This one's size over the other's.
        ratio: Stated,
    },
    /// As far off as another: ln D - ln D' = 0.
    SameDistance {
        /// The other marker.
        of: usize,
        /// Spread of the ratio of the distances.
        spread: f64,
    },
    /// Its distance: ln D = ln d.
    Distance(Stated),
}

/// A marker.
#[derive(Clone, Debug, PartialEq)]
pub struct LedgerMarker {
    /// Where its span starts, picture units.
    pub foot: DVec2,
    /// Where its span ends, picture units.
    pub head: DVec2,
    /// How the span runs.
    pub span: Span,
    /// The level it is on or over, and the plumb point on it where it floats; by the level's place in
    /// [`LedgerInput::levels`].
    pub stands: Option<(usize, Option<DVec2>)>,
    /// What else is known.
    pub known: Vec<Known>,
}

/// All that the painter says about scale.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LedgerInput {
    /// The levels.
    pub levels: Vec<LedgerLevel>,
    /// The markers.
    pub markers: Vec<LedgerMarker>,
    /// Standard deviation of one coordinate of a picture point, frame widths.
    pub pointing: f64,
}

/// One statement, as an observation of the network.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Claim {
    /// The marker's foot (or plumb point) is on its level: ln D - ln c = ln k, k the run per drop of
    /// the sight line.
    Stands(usize),
    /// The marker spans from foot to head: ln S - ln D = ln g, g from the two sight lines.
    Spans(usize),
    /// Entry `known` of the marker's list.
    Known {
        /// The marker.
        marker: usize,
        /// Place in its list.
        known: usize,
    },
    /// The level's clearance is as stated: ln c = ln h.
    Clearance(usize),
}

/// Standard deviation of ln k below which two statements would have to agree better than any picture
/// can be read; keeps every covariance positive definite.
const LEAST_SPREAD: f64 = 1e-5;

/// Standard deviation of ln k or ln g above which pointing decides everything: the span is seen end
/// on, or the foot straight below the eye.
const MOST_SPREAD: f64 = 2.0;

/// A foot whose sight line rises over its level by fewer standard deviations of pointing than this
/// may be anywhere between there and the horizon.
const NEAREST_TO_HORIZON: f64 = 2.0;

/// A foot this many standard deviations on the wrong side of the horizon is there by no slip of the
/// hand.
const BEYOND_HORIZON: f64 = -3.0;

/// The network of a ledger, with what each of its observations says.
#[derive(Clone, Debug, PartialEq)]
pub struct Ledger {
    /// The levelling network.
    pub network: Network,
    /// For each group of the network, the statements its rows stand for.
    pub claims: Vec<Vec<Claim>>,
    /// For each marker, what is impossible about it.
    pub faults: Vec<Vec<Fault>>,
    levels: usize,
}

impl Ledger {
    /// Writes what was said as observations, seen through a fitted eye whose covariance becomes that
    /// of the consider parameters. What is impossible is left out and told as a fault.
    #[must_use]
    pub fn new(input: &LedgerInput, fit: &EyeFit) -> Self {
        let mut ledger = Self {
            network: Network {
                nodes: input.levels.len() + 2 * input.markers.len(),
                groups: Vec::new(),
                ratios: Vec::new(),
                datum: (0..input.levels.len()).collect(),
                consider: fit.covariance.clone(),
            },
            claims: Vec::new(),
            faults: vec![Vec::new(); input.markers.len()],
            levels: input.levels.len(),
        };
        for (index, level) in input.levels.iter().enumerate() {
            if let Some(stated) = level.clearance {
                let row = Row::absolute(ledger.clearance_node(index), stated.value.ln());
                ledger.say(Claim::Clearance(index), row, stated.spread);
            }
        }
        for (index, marker) in input.markers.iter().enumerate() {
            ledger.read_picture(input, fit, index, marker);
            for (known, statement) in marker.known.iter().enumerate() {
                let (row, spread) = ledger.known_row(index, statement);
                ledger.say(Claim::Known { marker: index, known }, row, spread);
            }
        }
        ledger
    }

    /// Node of a level's ln clearance.
    #[must_use]
    pub fn clearance_node(&self, level: usize) -> usize {
        level
    }

    /// Node of a marker's ln horizontal distance.
    #[must_use]
    pub fn distance_node(&self, marker: usize) -> usize {
        self.levels + 2 * marker
    }

    /// Node of a marker's ln size.
    #[must_use]
    pub fn size_node(&self, marker: usize) -> usize {
        self.levels + 2 * marker + 1
    }

    fn say(&mut self, claim: Claim, row: Row, spread: f64) {
        self.network.groups.push(Group::single(row, spread.max(LEAST_SPREAD)));
        self.claims.push(vec![claim]);
    }

    fn known_row(&self, marker: usize, statement: &Known) -> (Row, f64) {
        let (distance, size) = (self.distance_node(marker), self.size_node(marker));
        match *statement {
            Known::Size(stated) => (Row::absolute(size, stated.value.ln()), stated.spread),
            Known::SizeRatio { of, ratio } => {
                (Row::difference(size, self.size_node(of), ratio.value.ln()), ratio.spread)
            }
            Known::SameDistance { of, spread } => {
                (Row::difference(distance, self.distance_node(of), 0.0), spread)
            }
            Known::Distance(stated) => (Row::absolute(distance, stated.value.ln()), stated.spread),
        }
    }

    /// What the picture points say: one group, because both rows share the foot.
    fn read_picture(
        &mut self,
        input: &LedgerInput,
        fit: &EyeFit,
        index: usize,
        marker: &LedgerMarker,
    ) {
        let points = [marker.foot, marker.head];
        let floats = marker.stands.and_then(|(_, plumb)| plumb);
        let mut rows = Vec::new();
        let mut claims = Vec::new();
        // Derivatives of each row by foot, head and plumb point.
        let mut slopes: Vec<[DVec2; 3]> = Vec::new();
        if let Some((level, _)) = marker.stands {
            let at = floats.unwrap_or(marker.foot);
            match stand(input, fit, level, at) {
                Ok(ratio) => {
                    let mut row = Row::difference(
                        self.distance_node(index),
                        self.clearance_node(level),
                        ratio.value,
                    );
                    row.drift = ratio.by_eye;
                    rows.push(row);
                    claims.push(Claim::Stands(index));
                    slopes.push(match floats {
                        None => [ratio.by_foot, DVec2::ZERO, DVec2::ZERO],
                        Some(_) => [DVec2::ZERO, DVec2::ZERO, ratio.by_foot],
                    });
                }
                Err(fault) => self.faults[index].push(fault),
            }
        }
        let short = points[0].distance(points[1]) < input.pointing;
        let span = if short {
            Err(Fault::NoLength)
        } else {
            span_per_run(&fit.eye, &fit.headings, marker.foot, marker.head, marker.span)
        };
        match span {
            Ok(ratio) => {
                let mut row =
                    Row::difference(self.size_node(index), self.distance_node(index), ratio.value);
                row.drift = ratio.by_eye;
                rows.push(row);
                claims.push(Claim::Spans(index));
                slopes.push([ratio.by_foot, ratio.by_head, DVec2::ZERO]);
            }
            Err(fault) => {
                if !self.faults[index].contains(&fault) {
                    self.faults[index].push(fault);
                }
            }
        }
        // Derivatives by the principal point come last and say nothing where it is fixed.
        rows.iter_mut().for_each(|row| row.drift.truncate(fit.covariance.nrows()));
        let covariance = pointing_covariance(&slopes, input.pointing);
        let mut group = Group { rows, covariance };
        for row in (0..claims.len()).rev() {
            if group.covariance[(row, row)] > MOST_SPREAD * MOST_SPREAD {
                let spans = matches!(claims[row], Claim::Spans(_));
                self.faults[index].push(if spans { Fault::EndOn } else { Fault::Plumb });
                group = group.without(row);
                claims.remove(row);
            }
        }
        if claims.is_empty() {
            return;
        }
        self.network.groups.push(group);
        self.claims.push(claims);
    }
}

/// Reads a foot on a level, refusing what is beyond the horizon or too near to it to be read.
fn stand(
    input: &LedgerInput,
    fit: &EyeFit,
    level: usize,
    at: DVec2,
) -> Result<crate::LogRatio, Fault> {
    let side = input.levels[level].side;
    let ratio = run_per_clearance(&fit.eye, &fit.headings, at, side);
    if matches!(ratio, Err(Fault::NotFinite | Fault::Plumb)) {
        return ratio;
    }
    let (angle, sd) = elevation(&fit.eye, at, input.pointing);
    let towards = match side {
        Side::Below => -angle / sd,
        Side::Above => angle / sd,
    };
    if towards < BEYOND_HORIZON {
        Err(Fault::BeyondHorizon)
    } else if towards < NEAREST_TO_HORIZON {
        Err(Fault::OnHorizon)
    } else {
        ratio
    }
}

/// Covariance of rows that depend on the same picture points, each coordinate of which has the same
/// independent pointing error.
fn pointing_covariance(slopes: &[[DVec2; 3]], pointing: f64) -> DMatrix<f64> {
    let variance = pointing * pointing;
    DMatrix::from_fn(slopes.len(), slopes.len(), |i, k| {
        let shared: f64 = slopes[i].iter().zip(&slopes[k]).map(|(a, b)| a.dot(*b)).sum();
        let floor = if i == k { LEAST_SPREAD * LEAST_SPREAD } else { 0.0 };
        shared * variance + floor
    })
}

/// The 95 % interval of a length known by its logarithm: (low, value, high).
#[must_use]
pub fn interval(ln: f64, sd: f64) -> [f64; 3] {
    /// Half-width of the central 95 % of the normal distribution.
    const NORMAL_95: f64 = 1.959_963_985;
    let reach = NORMAL_95 * sd;
    [ln - reach, ln, ln + reach].map(|x| x.clamp(-60.0, 60.0).exp())
}
