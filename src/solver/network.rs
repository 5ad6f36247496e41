//! A levelling network: observations of nodes and of differences between them.

use nalgebra::DMatrix;
use smallvec::SmallVec;

/// One observation: the sum of its terms, coefficient times node, is `value`.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Nodes with their coefficients. Where the coefficients add up to zero the observation says
    /// nothing of the scale; any other ties its nodes to the benchmark.
    pub terms: SmallVec<[(usize, f64); 2]>,
    /// What was observed.
    pub value: f64,
    /// Derivative of the value by each consider parameter; empty where none plays a part.
    pub drift: Vec<f64>,
}

impl Row {
    /// An observation of a sum of nodes, each with its coefficient, that no consider parameter moves.
    #[must_use]
    pub fn sum(terms: impl IntoIterator<Item = (usize, f64)>, value: f64) -> Self {
        Self { terms: terms.into_iter().collect(), value, drift: Vec::new() }
    }

    /// A difference observation, `plus` - `minus` = `value`.
    #[must_use]
    pub fn difference(plus: usize, minus: usize, value: f64) -> Self {
        Self::sum([(plus, 1.0), (minus, -1.0)], value)
    }

    /// An absolute observation of one node.
    #[must_use]
    pub fn absolute(node: usize, value: f64) -> Self {
        Self::sum([(node, 1.0)], value)
    }

    /// The nodes it touches with their coefficients.
    pub(crate) fn entries(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        self.terms.iter().copied()
    }

    /// Whether scaling a component leaves what it says as it is: adding one and the same logarithm to
    /// all of its nodes changes nothing.
    fn is_free_of_scale(&self) -> bool {
        self.terms.iter().map(|(_, coefficient)| coefficient).sum::<f64>() == 0.0
    }
}

/// Observations whose errors are correlated with each other, and with no other group's.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// The observations.
    pub rows: Vec<Row>,
    /// Covariance of their errors, positive definite, rows x rows.
    pub covariance: DMatrix<f64>,
}

impl Group {
    /// One observation by itself, with its standard deviation.
    #[must_use]
    pub fn single(row: Row, sd: f64) -> Self {
        Self { rows: vec![row], covariance: DMatrix::from_element(1, 1, sd * sd) }
    }

    /// Observations with the covariance of their errors, by row and column.
    #[must_use]
    pub fn correlated(rows: Vec<Row>, covariance: impl Fn(usize, usize) -> f64) -> Self {
        let covariance = DMatrix::from_fn(rows.len(), rows.len(), covariance);
        Self { rows, covariance }
    }

    /// The group without one of its observations.
    pub(crate) fn without(&self, row: usize) -> Self {
        let mut rows = self.rows.clone();
        rows.remove(row);
        Self { rows, covariance: self.covariance.clone().remove_row(row).remove_column(row) }
    }
}

/// The whole network.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Network {
    /// How many nodes there are.
    pub nodes: usize,
    /// The observations.
    pub groups: Vec<Group>,
    /// Pairs of nodes whose difference (first - second) is asked for.
    pub ratios: Vec<(usize, usize)>,
    /// Nodes that may stand as datum of a component without a benchmark, the preferred first.
    pub datum: Vec<usize>,
    /// Covariance of the consider parameters: uncertain constants that widen every interval and move
    /// no value (Tapley, Schutz & Born, *Statistical Orbit Determination*, 2004, ch. 6; from memory).
    pub consider: DMatrix<f64>,
}

/// How a node's component is tied down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Datum {
    /// By a benchmark.
    Benchmark,
    /// By nothing; this preferred node was set to zero.
    Node(usize),
    /// By nothing, and no preferred node is in it; an arbitrary node was set to zero.
    None,
}

/// For each node, its component's datum and the node that was set to zero, if one was.
pub(crate) struct Components {
    pub(crate) datum: Vec<Datum>,
    /// Equal for nodes of one component.
    pub(crate) root: Vec<usize>,
    pub(crate) zero: Vec<bool>,
}

impl Network {
    /// The nodes and what is asked of them, without observations.
    pub(crate) fn without_groups(&self) -> Self {
        Self {
            nodes: self.nodes,
            groups: Vec::new(),
            ratios: self.ratios.clone(),
            datum: self.datum.clone(),
            consider: self.consider.clone(),
        }
    }

    /// Finds what is fixed, taking it that a component's only defect is its scale, and that it is cured
    /// by any one observation whose coefficients do not cancel. That is so of a network of logarithms
    /// in which every other observation is a difference of two nodes.
    pub(crate) fn components(&self) -> Components {
        let mut sets = DisjointSets::new(self.nodes + 1);
        let benchmark = self.nodes;
        for row in self.groups.iter().flat_map(|g| &g.rows) {
            let Some(&(first, _)) = row.terms.first() else { continue };
            row.terms.iter().for_each(|(node, _)| sets.join(first, *node));
            if !row.is_free_of_scale() {
                sets.join(first, benchmark);
            }
        }
        let tied = sets.root(benchmark);
        let mut datum_of_root = vec![None; self.nodes + 1];
        let preferred = self.datum.iter().map(|&n| (n, Datum::Node(n)));
        let anyone = (0..self.nodes).map(|n| (n, Datum::None));
        let mut zero = vec![false; self.nodes];
        for (node, datum) in preferred.chain(anyone) {
            let root = sets.root(node);
            if root != tied && datum_of_root[root].is_none() {
                datum_of_root[root] = Some(datum);
                zero[node] = true;
            }
        }
        let root: Vec<usize> = (0..self.nodes).map(|n| sets.root(n)).collect();
        let datum = root.iter().map(|&r| datum_of_root[r].unwrap_or(Datum::Benchmark)).collect();
        Components { datum, root, zero }
    }
}

/// Union–find with path halving.
struct DisjointSets(Vec<usize>);

impl DisjointSets {
    fn new(count: usize) -> Self {
        Self((0..count).collect())
    }

    fn root(&mut self, mut of: usize) -> usize {
        while self.0[of] != of {
            self.0[of] = self.0[self.0[of]];
            of = self.0[of];
        }
        of
    }

    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.root(a), self.root(b));
        self.0[a.max(b)] = a.min(b);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_component_without_a_benchmark_rests_on_its_preferred_node() {
        let network = Network {
            nodes: 6,
            groups: vec![
                Group::single(Row::absolute(0, 1.0), 0.1),
                Group::single(Row::difference(1, 0, 1.0), 0.1),
                Group::single(Row::difference(2, 3, 1.0), 0.1),
            ],
            ratios: vec![],
            datum: vec![3],
            consider: DMatrix::zeros(0, 0),
        };
        let components = network.components();
        use Datum::{Benchmark, Node, None};
        assert_eq!(components.datum, [Benchmark, Benchmark, Node(3), Node(3), None, None]);
        assert_eq!(components.zero, [false, false, false, true, true, true]);
    }
}
