//! Adjustment of a levelling network by weighted least squares.

use crate::network::{Components, Datum, Group, Network, Row};
use crate::sparse_inverse::{SparseFactor, SparseInverse, Triplets};
use nalgebra::DMatrix;
use smallvec::SmallVec;
use thiserror::Error;

/// Why a network could not be adjusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum AdjustError {
    /// An observation names a node that is not there.
    #[error("an observation names node {0}, which does not exist")]
    NoSuchNode(usize),
    /// A value, a derivative or a covariance is not a finite number, or a matrix has the wrong shape.
    #[error(
        "group {0} of observations has a value that is not finite or a matrix of the wrong shape"
    )]
    BadGroup(usize),
    /// A group's covariance is not positive definite.
    #[error("the covariance of group {0} of observations is not positive definite")]
    BadCovariance(usize),
    /// The normal equations cannot be solved in working precision.
    #[error("the normal equations cannot be solved: the spreads differ too much")]
    Singular,
    /// The values could not be moved so that they keep the order asked for.
    #[error("no values near the adjusted ones keep the order of the overlaps")]
    Unordered,
}

/// An adjusted network.
#[derive(Clone, Debug, PartialEq)]
pub struct Adjustment {
    /// Adjusted value of each node, relative to its component's datum.
    pub values: Vec<f64>,
    /// Standard deviation of each node from the observations alone (a priori variance of unit weight).
    pub sd: Vec<f64>,
    /// Standard deviation of each node with the consider parameters' part.
    pub sd_with_consider: Vec<f64>,
    /// What each node's component rests on.
    pub datum: Vec<Datum>,
    /// Which component each node is in: equal for nodes that observations join.
    pub component: Vec<usize>,
    /// For each pair of nodes that was asked for, their difference; `None` where they do not belong to
    /// one component.
    pub ratios: Vec<Option<Difference>>,
    /// For each group, what became of each of its rows.
    pub rows: Vec<Vec<RowResult>>,
    /// Observations minus unknowns.
    pub degrees_of_freedom: usize,
    /// Weighted sum of squared residuals.
    pub weighted_squares: f64,
    /// dx/dp: derivative of each node (row) by each consider parameter (column).
    pub sensitivity: DMatrix<f64>,
}

/// The difference of two adjusted nodes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Difference {
    /// First minus second.
    pub value: f64,
    /// Its standard deviation, with the consider parameters' part.
    pub sd: f64,
}

/// What became of an observation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RowResult {
    /// Adjusted minus observed.
    pub residual: f64,
    /// Standard deviation of the adjusted observation, from the observations alone.
    pub sd_adjusted: f64,
    /// How much of a gross error in this observation shows in its weighted residual,
    /// (P Qv P)ii / Pii: 0 when nothing tests it, towards 1 when much does. For an uncorrelated
    /// observation this is the redundancy number of geodesy, 1 - (hat value).
    pub redundancy: f64,
    /// Standardized residual w (Baarda 1968): (P v)i / sqrt((P Qv P)ii), standard normal when nothing
    /// is wrong; 0 when nothing tests the observation.
    pub standardized: f64,
    /// Least-squares estimate of a gross error in this observation alone: observed minus what it
    /// should have been; 0 when nothing tests it.
    pub gross_error: f64,
    /// Minimal detectable bias at a level of significance of 0.001 and a power of 0.80; infinite when
    /// nothing tests the observation.
    pub detectable: f64,
    /// Standard deviation of the observation itself, with the consider parameters' part.
    pub sd_observed: f64,
    /// How much of an error in this observation goes into the adjusted value of its first node.
    pub gain: f64,
}

/// A few numbers, on the stack.
type Short = SmallVec<[f64; 16]>;

/// The quadratic form x' M x.
fn quadratic(x: &[f64], matrix: impl Fn(usize, usize) -> f64) -> f64 {
    let row = |i: usize| x.iter().enumerate().map(|(k, value)| value * matrix(i, k)).sum::<f64>();
    x.iter().enumerate().map(|(i, value)| value * row(i)).sum()
}

/// Non-centrality for a level of significance of 0.001 and a power of 0.80 (Baarda 1968).
const NON_CENTRALITY: f64 = 4.1321;

/// Redundancy below which rounding decides, and an observation counts as not tested at all.
const UNTESTED: f64 = 1e-9;

/// Adjusts a network: weighted least squares with the groups' inverse covariances as weights, sparse
/// Cholesky, and all variances by selected inversion.
///
/// # Errors
/// See [`AdjustError`].
pub fn adjust(network: &Network) -> Result<Adjustment, AdjustError> {
    Ok(Solution::of(network)?.report())
}

/// Inverse covariance of a group, after checking that it can be used.
fn weights(network: &Network, index: usize, group: &Group) -> Result<DMatrix<f64>, AdjustError> {
    let count = group.rows.len();
    for (node, _) in group.rows.iter().flat_map(Row::entries) {
        if node >= network.nodes {
            return Err(AdjustError::NoSuchNode(node));
        }
    }
    let drifts = |row: &Row| row.drift.is_empty() || row.drift.len() == network.consider.nrows();
    let finite = |row: &Row| {
        let mut all = row.drift.iter().chain(row.terms.iter().map(|(_, c)| c));
        row.value.is_finite() && all.all(|x| x.is_finite())
    };
    let shaped = group.covariance.shape() == (count, count);
    if !shaped || !group.rows.iter().all(|r| drifts(r) && finite(r)) {
        return Err(AdjustError::BadGroup(index));
    }
    if count == 1 {
        let variance = group.covariance[(0, 0)];
        return if variance > 0.0 && variance.is_finite() {
            Ok(DMatrix::from_element(1, 1, 1.0 / variance))
        } else {
            Err(AdjustError::BadCovariance(index))
        };
    }
    let cholesky = group.covariance.clone().cholesky();
    cholesky.map(|c| c.inverse()).ok_or(AdjustError::BadCovariance(index))
}

/// Which nodes are solved for, and where.
struct Unknowns {
    of_node: Vec<Option<usize>>,
    count: usize,
}

impl Unknowns {
    fn new(components: &Components) -> Self {
        let mut count = 0;
        let of_node = components
            .zero
            .iter()
            .map(|zero| {
                (!zero).then(|| {
                    count += 1;
                    count - 1
                })
            })
            .collect();
        Self { of_node, count }
    }

    /// A row's coefficients by unknown; nodes set to zero drop out.
    fn entries<'a>(&'a self, row: &'a Row) -> impl Iterator<Item = (usize, f64)> + 'a {
        row.entries().filter_map(|(node, sign)| self.of_node[node].map(|u| (u, sign)))
    }
}

/// Adds a group to the normal equations A'PA x = A'P (l, dl/dp).
fn accumulate(
    group: &Group,
    weight: &DMatrix<f64>,
    unknown: &Unknowns,
    normal: &mut Triplets,
    right: &mut DMatrix<f64>,
) {
    for (i, row) in group.rows.iter().enumerate() {
        for (k, other) in group.rows.iter().enumerate() {
            let w = weight[(i, k)];
            for (a, sign_a) in unknown.entries(row) {
                for (b, sign_b) in unknown.entries(other) {
                    if a <= b {
                        normal.add(a, b, w * sign_a * sign_b);
                    }
                }
                right[(a, 0)] += w * sign_a * other.value;
                for (p, drift) in other.drift.iter().enumerate() {
                    right[(a, 1 + p)] += w * sign_a * drift;
                }
            }
        }
    }
}

/// A network's normal equations, factorised and solved.
pub(crate) struct Solution<'a> {
    network: &'a Network,
    /// Inverse covariance of each group.
    weights: Vec<DMatrix<f64>>,
    components: Components,
    unknown: Unknowns,
    factor: SparseFactor,
    /// For each unknown: its value, then its derivative by each consider parameter.
    nodes: DMatrix<f64>,
}

impl<'a> Solution<'a> {
    /// Checks the network, factorises its normal equations and solves them.
    pub(crate) fn of(network: &'a Network) -> Result<Self, AdjustError> {
        let weighted = network.groups.iter().enumerate().map(|(i, g)| weights(network, i, g));
        let weights = weighted.collect::<Result<Vec<_>, _>>()?;
        let components = network.components();
        let unknown = Unknowns::new(&components);
        let parameters = network.consider.nrows();
        let mut normal = Triplets::default();
        let mut right = DMatrix::zeros(unknown.count, 1 + parameters);
        for (group, weight) in network.groups.iter().zip(&weights) {
            accumulate(group, weight, &unknown, &mut normal, &mut right);
        }
        let mut factor = SparseFactor::new(unknown.count, normal).ok_or(AdjustError::Singular)?;
        for mut column in right.column_iter_mut() {
            factor.solve(column.as_mut_slice());
        }
        if right.iter().any(|x| !x.is_finite()) {
            return Err(AdjustError::Singular);
        }
        Ok(Self { network, weights, components, unknown, factor, nodes: right })
    }

    /// Covariance of a sum of nodes, each with its coefficient, with every node of the network, from
    /// the observations alone: one solution of the normal equations.
    pub(crate) fn response(&mut self, sum: &[(usize, f64)]) -> Vec<f64> {
        let mut solved = vec![0.0; self.unknown.count];
        for (node, coefficient) in sum {
            if let Some(u) = self.unknown.of_node[*node] {
                solved[u] += coefficient;
            }
        }
        self.factor.solve(&mut solved);
        self.unknown.of_node.iter().map(|place| place.map_or(0.0, |u| solved[u])).collect()
    }

    /// Inverse covariance of a group.
    pub(crate) fn weight(&self, group: usize) -> &DMatrix<f64> {
        &self.weights[group]
    }

    /// What the nodes are tied down by.
    pub(crate) fn components(&self) -> &Components {
        &self.components
    }

    /// Adjusted value of each node.
    pub(crate) fn values(&self) -> Vec<f64> {
        let value = |unknown: &Option<usize>| unknown.map_or(0.0, |u| self.nodes[(u, 0)]);
        self.unknown.of_node.iter().map(value).collect()
    }

    /// dx/dp, nodes x consider parameters.
    fn sensitivity(&self) -> DMatrix<f64> {
        let of_node = &self.unknown.of_node;
        DMatrix::from_fn(of_node.len(), self.network.consider.nrows(), |node, p| {
            of_node[node].map_or(0.0, |u| self.nodes[(u, 1 + p)])
        })
    }

    /// All variances, and what became of each observation.
    pub(crate) fn report(mut self) -> Adjustment {
        let (values, sensitivity) = (self.values(), self.sensitivity());
        let tested = Tested {
            inverse: self.factor.inverse(),
            solution: &self,
            values: &values,
            sensitivity: &sensitivity,
        };
        let (sd, sd_with_consider) = tested.spreads();
        let (rows, squares): (Vec<_>, Vec<f64>) =
            std::iter::zip(&self.network.groups, &self.weights)
                .map(|(group, weight)| tested.group(group, weight))
                .unzip();
        let network = self.network;
        let ratio = |(a, b): &(usize, usize)| {
            let joined = self.components.root[*a] == self.components.root[*b];
            joined.then(|| self.difference(*a, *b, &values, &sensitivity))
        };
        let ratios = network.ratios.iter().map(ratio).collect();
        let observations: usize = network.groups.iter().map(|g| g.rows.len()).sum();
        Adjustment {
            values,
            sd,
            sd_with_consider,
            ratios,
            rows,
            degrees_of_freedom: observations.saturating_sub(self.unknown.count),
            weighted_squares: squares.iter().sum(),
            sensitivity,
            datum: self.components.datum,
            component: self.components.root,
        }
    }

    /// Difference of two nodes of one component, by one solution of the normal equations.
    fn difference(
        &mut self,
        a: usize,
        b: usize,
        values: &[f64],
        sensitivity: &DMatrix<f64>,
    ) -> Difference {
        let response = self.response(&[(a, 1.0), (b, -1.0)]);
        let variance = response[a] - response[b];
        let by_consider = sensitivity.row(a) - sensitivity.row(b);
        let extra = (&by_consider * &self.network.consider * by_consider.transpose())[(0, 0)];
        Difference { value: values[a] - values[b], sd: (variance.max(0.0) + extra.max(0.0)).sqrt() }
    }
}

/// A solution with its variances.
struct Tested<'a> {
    solution: &'a Solution<'a>,
    inverse: SparseInverse<'a>,
    values: &'a [f64],
    sensitivity: &'a DMatrix<f64>,
}

impl Tested<'_> {
    /// Standard deviation of each node from the observations alone, and with the consider parameters'
    /// part.
    fn spreads(&self) -> (Vec<f64>, Vec<f64>) {
        let consider = &self.solution.network.consider;
        let spread = |(node, unknown): (usize, &Option<usize>)| {
            let Some(u) = *unknown else { return (0.0, 0.0) };
            let drift: Short = self.sensitivity.row(node).iter().copied().collect();
            let variance = self.inverse.entry(u, u).unwrap_or(0.0).max(0.0);
            let extra = quadratic(&drift, |p, q| consider[(p, q)]).max(0.0);
            (variance.sqrt(), (variance + extra).sqrt())
        };
        self.solution.unknown.of_node.iter().enumerate().map(spread).unzip()
    }

    /// Residuals of a group and its part of the weighted sum of squares. Groups are small and many, so
    /// that everything is added up on the stack.
    fn group(&self, group: &Group, weight: &DMatrix<f64>) -> (Vec<RowResult>, f64) {
        let (values, sensitivity) = (self.values, self.sensitivity);
        let rows = &group.rows;
        let count = rows.len();
        let consider = &self.solution.network.consider;
        let parameters = consider.nrows();
        let adjusted = |row: &Row| row.entries().map(|(n, sign)| sign * values[n]).sum::<f64>();
        let residuals: Short = rows.iter().map(|row| adjusted(row) - row.value).collect();
        let weighted = |i: usize| (0..count).map(|k| weight[(i, k)] * residuals[k]).sum::<f64>();
        let cofactors: Short = (0..count * count)
            .map(|at| self.covariance(&rows[at / count], &rows[at % count]))
            .collect();
        let pure = |i, k| group.covariance[(i, k)] - cofactors[i * count + k];
        let drift = |i: usize, p: usize| {
            let row = &rows[i];
            let moved: f64 = row.entries().map(|(n, sign)| sign * sensitivity[(n, p)]).sum();
            moved - row.drift.get(p).copied().unwrap_or(0.0)
        };
        let result = |i: usize| {
            let weights: Short = (0..count).map(|k| weight[(k, i)]).collect();
            let tested = quadratic(&weights, pure);
            let by_consider: Short = (0..parameters)
                .map(|p| (0..count).map(|k| weights[k] * drift(k, p)).sum())
                .collect();
            let in_consider = |p, q| consider[(p, q)];
            let spread = (tested + quadratic(&by_consider, in_consider)).max(0.0);
            let redundancy = (tested / weights[i]).clamp(0.0, 1.0);
            let is_tested = redundancy > UNTESTED;
            let own_drift = quadratic(&rows[i].drift, in_consider).max(0.0);
            RowResult {
                residual: residuals[i],
                sd_adjusted: cofactors[i * count + i].max(0.0).sqrt(),
                redundancy,
                standardized: if is_tested { weighted(i) / spread.sqrt() } else { 0.0 },
                gross_error: if is_tested { -weighted(i) / tested } else { 0.0 },
                detectable: if is_tested {
                    NON_CENTRALITY * spread.sqrt() / tested
                } else {
                    f64::INFINITY
                },
                sd_observed: (group.covariance[(i, i)] + own_drift).sqrt(),
                gain: self.gain(rows, i, &weights),
            }
        };
        let squares = (0..count).map(|i| residuals[i] * weighted(i)).sum();
        ((0..count).map(result).collect(), squares)
    }

    /// How much of an error in a row goes into its first node, given the row's weights against all rows
    /// of its group.
    fn gain(&self, rows: &[Row], of: usize, weights: &[f64]) -> f64 {
        let Some((first, _)) = rows[of].terms.first() else { return 0.0 };
        let unknown = &self.solution.unknown;
        let Some(first) = unknown.of_node[*first] else { return 0.0 };
        let with = |row: &Row| -> f64 {
            let entries = unknown.entries(row);
            entries.map(|(b, sign)| sign * self.inverse.entry(first, b).unwrap_or(0.0)).sum()
        };
        rows.iter().zip(weights).map(|(row, weight)| weight * with(row)).sum()
    }

    /// Covariance of two adjusted observations of one group. All their nodes share the group's
    /// entries of the normal matrix, so that each needed entry lies on the factor's pattern.
    fn covariance(&self, row: &Row, other: &Row) -> f64 {
        let mut sum = 0.0;
        let unknown = &self.solution.unknown;
        for (a, sign_a) in unknown.entries(row) {
            for (b, sign_b) in unknown.entries(other) {
                sum += sign_a * sign_b * self.inverse.entry(a, b).unwrap_or(0.0);
            }
        }
        sum
    }
}
