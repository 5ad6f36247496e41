//! The ledger: what a painter says about scale, as a levelling network of logarithms.
//!
//! Nodes are ln of each level's clearance c, each marker's horizontal distance D and each marker's
//! size S. Seen through a given eye, every statement is a difference or an absolute observation of
//! them, but for those that add heights up or speak of a curved world; see [`Claim`].

use crate::bent::{Bend, Height};
use crate::network::{Group, Network, Row};
use crate::stand::{Reading, stand};
use crate::{EyeFit, Family, Fault, Side, Span, World, span_per_run};
use glam::DVec2;
use nalgebra::DMatrix;
use std::collections::HashMap;

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
    /// A lower level, by its place in [`LedgerInput::levels`], and how far this one lies above it.
    pub above: Option<(usize, Stated)>,
}

/// What ties a marker's foot to a level or to another marker. Levels and markers are named by their
/// places in [`LedgerInput`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Stand {
    /// Its foot is on a level.
    On {
        /// The level.
        level: usize,
    },
    /// It floats: a picture point on the level is plumb below or above its foot, or the middle of a
    /// round thing.
    Over {
        /// The level.
        level: usize,
        /// The plumb point, picture units.
        plumb: DVec2,
    },
    /// It floats: the shadow of its foot, or of the middle of a ball, falls on the level at a picture
    /// point.
    Shadow {
        /// The level.
        level: usize,
        /// Where the shadow falls, picture units.
        tip: DVec2,
        /// The family that the light runs along.
        light: Family,
    },
    /// Its foot cannot be seen: its head is so high over the level.
    Hidden {
        /// The level.
        level: usize,
        /// Height of its head over the level.
        height: Stated,
    },
    /// Its foot is as high as the head of an upright marker.
    OnTop {
        /// That marker.
        base: usize,
    },
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
    /// What it stands on, if that was said.
    pub stands: Option<Stand>,
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
    /// Whether the world curves.
    pub curvature: Curvature,
}

/// Whether levels are planes or curve with the world.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Curvature {
    /// They are planes.
    #[default]
    Flat,
    /// They curve with this world, its radius in the unit of all benchmarks.
    Everywhere(World),
    /// The same from where it is felt ([`World::is_felt`]).
    WhereFelt(World),
}

impl Curvature {
    /// The world that things at some distances may be on.
    fn world(self) -> Option<World> {
        match self {
            Self::Flat => None,
            Self::Everywhere(world) | Self::WhereFelt(world) => Some(world),
        }
    }
}

/// One statement, as an observation of the network.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Claim {
    /// The marker's foot (or plumb point, or shadow) is on its level: ln D - ln c = ln k, k the run per
    /// drop of the sight line. Where the level curves: ln D = ln d(c, k). Where the foot is hidden:
    /// D r + c = s, r the rise of the sight line to its head and s its height. On top of another:
    /// ln D - ln D' = ln (r' / r).
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
    /// The level lies so far above another: c' - c = s.
    Above(usize),
}

/// Standard deviation of ln k below which two statements would have to agree better than any picture
/// can be read; keeps every covariance positive definite.
const LEAST_SPREAD: f64 = 1e-5;

/// Standard deviation of ln k or ln g above which pointing decides everything: the span is seen end
/// on, or the foot straight below the eye.
const MOST_SPREAD: f64 = 2.0;

/// Standard deviation of ln k above which it matters that the error of k's inverse is normal and not that
/// of its logarithm.
const NEAR_HORIZON: f64 = 0.1;

/// The network of a ledger, with what each of its observations says.
#[derive(Clone, Debug, PartialEq)]
pub struct Ledger {
    /// The levelling network. Rows of bent statements hold what was read from the picture.
    pub network: Network,
    /// For each group of the network, the statements its rows stand for.
    pub claims: Vec<Vec<Claim>>,
    /// The statements that are not linear in logarithms.
    pub(crate) bends: HashMap<Claim, Bend>,
    /// Whether a curved level counts as such at any distance.
    pub(crate) curves_everywhere: bool,
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
            bends: HashMap::new(),
            curves_everywhere: matches!(input.curvature, Curvature::Everywhere(_)),
            faults: vec![Vec::new(); input.markers.len()],
            levels: input.levels.len(),
        };
        for (index, level) in input.levels.iter().enumerate() {
            if let Some(stated) = level.clearance {
                let row = Row::absolute(ledger.clearance_node(index), stated.value.ln());
                ledger.say(Claim::Clearance(index), row, stated.spread);
            }
            if let Some((lower, by)) = level.above {
                ledger.say_above(input, index, lower, by);
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

    fn say_above(&mut self, input: &LedgerInput, upper: usize, lower: usize, by: Stated) {
        let claim = Claim::Above(upper);
        let by = Stated { spread: by.spread.max(LEAST_SPREAD), ..by };
        let height =
            |level: usize| Height::of_level(self.clearance_node(level), input.levels[level].side);
        let bend = Bend::Step { upper: height(upper), lower: height(lower), by };
        self.bends.insert(claim, bend);
        self.network
            .groups
            .push(Group { rows: vec![Row::sum([], 0.0)], covariance: DMatrix::zeros(1, 1) });
        self.claims.push(vec![claim]);
    }

    /// Statements that add heights up, each with the nodes of the upper and the lower one: where one of
    /// them is known in the unit of all benchmarks, so is the other.
    pub fn steps(&self) -> impl Iterator<Item = (Claim, [usize; 2])> + '_ {
        let claims = self.claims.iter().flatten();
        claims.filter_map(|claim| match self.bends.get(claim)? {
            Bend::Step { upper, lower, .. } => Some((*claim, [upper.node, lower.node])),
            Bend::Curve { .. } => None,
        })
    }

    /// A statement as a linear row near these values of the nodes; `None` if it is not in the ledger, or
    /// cannot be true there.
    #[must_use]
    pub fn row(&self, claim: Claim, values: &[f64]) -> Option<Row> {
        let groups = std::iter::zip(&self.claims, &self.network.groups);
        let mut rows = groups.flat_map(|(claims, group)| std::iter::zip(claims, &group.rows));
        let (_, row) = rows.find(|(c, _)| **c == claim)?;
        match self.bends.get(&claim) {
            Some(bend @ Bend::Step { .. }) => Some(bend.straightened(row, values)?.row),
            Some(bend @ Bend::Curve { distance, clearance, world, .. })
                if world.is_felt(values[*distance].exp(), values[*clearance].exp()) =>
            {
                Some(bend.straightened(row, values).map_or_else(|| row.clone(), |s| s.row))
            }
            Some(Bend::Curve { .. }) | None => Some(row.clone()),
        }
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
        let mut rows = Vec::new();
        let mut claims = Vec::new();
        let mut slopes: Vec<[DVec2; 4]> = Vec::new();
        if let Some(stands) = marker.stands {
            match stand(input, fit, marker, stands) {
                Ok(reading) => {
                    slopes.push(reading.by_points);
                    rows.push(self.stands_row(input, index, stands, reading));
                    claims.push(Claim::Stands(index));
                }
                Err(fault) => self.faults[index].push(fault),
            }
        }
        let short = marker.foot.distance(marker.head) < input.pointing;
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
                slopes.push([ratio.by_foot, ratio.by_head, DVec2::ZERO, DVec2::ZERO]);
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
            // What is read of a hidden foot is a rise, which is good at any distance.
            if matches!(self.bends.get(&claims[row]), Some(Bend::Step { .. })) {
                continue;
            }
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

    /// What ties a marker to its level, or to what it stands on, as a row; if it is bent, how.
    fn stands_row(
        &mut self,
        input: &LedgerInput,
        index: usize,
        stands: Stand,
        reading: Reading,
    ) -> Row {
        let distance = self.distance_node(index);
        let other = match stands {
            Stand::OnTop { base } => self.distance_node(base),
            Stand::On { level }
            | Stand::Over { level, .. }
            | Stand::Shadow { level, .. }
            | Stand::Hidden { level, .. } => self.clearance_node(level),
        };
        let world = input.curvature.world();
        let squares: f64 = reading.by_points.iter().map(|slope| slope.length_squared()).sum();
        let near = input.pointing * squares.sqrt() > NEAR_HORIZON;
        let side = |level: usize| input.levels[level].side;
        let bend = match stands {
            Stand::Hidden { level, height } => {
                let falls = world.unwrap_or(World::FLAT);
                let upper = Height { node: distance, per: reading.value, falls };
                let by = Stated { spread: height.spread.max(LEAST_SPREAD), ..height };
                Some(Bend::Step { upper, lower: Height::of_level(other, side(level)), by })
            }
            Stand::On { level } | Stand::Over { level, .. } if near || world.is_some() => {
                let (side, world) = (side(level), world.unwrap_or(World::FLAT));
                Some(Bend::Curve { distance, clearance: other, side, world, near })
            }
            Stand::On { .. } | Stand::Over { .. } => None,
            // A shadow that falls far enough off for the world to curve is read on a plane.
            Stand::Shadow { .. } | Stand::OnTop { .. } => None,
        };
        if let Some(bend) = bend {
            self.bends.insert(Claim::Stands(index), bend);
        }
        Row { drift: reading.by_eye, ..Row::difference(distance, other, reading.value) }
    }
}

/// Covariance of rows that depend on the same picture points, each coordinate of which has the same
/// independent pointing error.
fn pointing_covariance(slopes: &[[DVec2; 4]], pointing: f64) -> DMatrix<f64> {
    let variance = pointing * pointing;
    DMatrix::from_fn(slopes.len(), slopes.len(), |i, k| {
        let shared: f64 = slopes[i].iter().zip(&slopes[k]).map(|(a, b)| a.dot(*b)).sum();
        let floor = if i == k { LEAST_SPREAD * LEAST_SPREAD } else { 0.0 };
        shared * variance + floor
    })
}

/// Half-width of the central 95 % of the normal distribution.
const NORMAL_95: f64 = 1.959_963_985;

/// The 95 % interval of a length known by its logarithm: (low, value, high).
#[must_use]
pub fn interval(ln: f64, sd: f64) -> [f64; 3] {
    interval_to_horizon(ln, sd, 0.0)
}

/// The same where part of the standard deviation, `reaching`, comes from how steeply a sight line runs
/// down. That angle is known with a normal error, and with it the length's *inverse*: 1 / (1 - z r)
/// takes the place of exp(z r), and where z r reaches one, the sight line may run to the horizon and
/// the length has no upper end. The parts are independent, so that the logarithms of their ends add
/// up as squares.
#[must_use]
pub fn interval_to_horizon(ln: f64, sd: f64, reaching: f64) -> [f64; 3] {
    let inverse = NORMAL_95 * reaching.clamp(0.0, sd);
    let rest = NORMAL_95 * (sd * sd - reaching * reaching).max(0.0).sqrt();
    let [down, up] = match inverse {
        i if i >= 1.0 => [i.ln_1p(), f64::INFINITY],
        i => [i.ln_1p(), -(-i).ln_1p()],
    };
    let ends = [ln - rest.hypot(down), ln].map(|x| x.clamp(-60.0, 60.0).exp());
    let high = if up.is_finite() { (ln + rest.hypot(up)).clamp(-60.0, 60.0).exp() } else { up };
    [ends[0], ends[1], high]
}
