//! Random networks of 300 and 3,000 nodes against NumPy, SciPy and statsmodels, recorded in
//! `reference/networks.json` by `reference/networks.py`.

use nalgebra::DMatrix;
use serde::Deserialize;
use staffage_solver::{Adjustment, Group, Network, Row, RowResult, adjust};

#[derive(Deserialize)]
struct Recorded {
    networks: Vec<RecordedNetwork>,
}

#[derive(Deserialize)]
struct RecordedNetwork {
    nodes: usize,
    /// Standard deviation, value, then node and coefficient of each term.
    singles: Vec<Vec<f64>>,
    /// Covariance (11, 12, 22), then value and terms of both rows.
    pairs: Vec<([f64; 3], Vec<f64>, Vec<f64>)>,
    degrees_of_freedom: usize,
    weighted_squares: f64,
    values: Vec<f64>,
    sd: Vec<f64>,
    redundancy: Vec<f64>,
    standardized: Vec<Option<f64>>,
    studentized_internal: Vec<Option<f64>>,
    studentized_external: Vec<Option<f64>>,
}

fn row(flat: &[f64]) -> Row {
    let (terms, _) = flat[1..].as_chunks();
    Row::sum(terms.iter().map(|[node, coefficient]| (*node as usize, *coefficient)), flat[0])
}

impl RecordedNetwork {
    fn network(&self) -> Network {
        let singles = self.singles.iter().map(|s| Group::single(row(&s[1..]), s[0]));
        let pairs = self.pairs.iter().map(|([a, shared, b], first, second)| Group {
            rows: vec![row(first), row(second)],
            covariance: DMatrix::from_row_slice(2, 2, &[*a, *shared, *shared, *b]),
        });
        let groups = singles.chain(pairs).collect();
        Network { nodes: self.nodes, groups, ..Network::default() }
    }
}

fn recorded() -> Vec<(RecordedNetwork, Adjustment)> {
    let all: Recorded = serde_json::from_str(include_str!("reference/networks.json")).unwrap();
    let adjusted = |n: RecordedNetwork| {
        let adjustment = adjust(&n.network()).unwrap();
        (n, adjustment)
    };
    all.networks.into_iter().map(adjusted).collect()
}

/// Holds to a millionth of the larger of the figure and 1.
fn near(value: f64, expected: f64, what: &str) {
    let tolerance = 1e-6 * expected.abs().max(1.0);
    assert!((value - expected).abs() <= tolerance, "{what}: {value} is not {expected}");
}

/// Holds to a millionth of the figure itself.
fn very_near(value: f64, expected: f64, what: &str) {
    assert!((value / expected - 1.0).abs() <= 1e-6, "{what}: {value} is not {expected}");
}

fn rows(of: &Adjustment) -> impl Iterator<Item = &RowResult> {
    of.rows.iter().flatten()
}

#[test]
fn values_and_standard_deviations_are_those_of_the_full_inverse() {
    for (network, adjusted) in recorded() {
        assert_eq!(adjusted.values.len(), network.nodes);
        for node in 0..network.nodes {
            near(adjusted.values[node], network.values[node], "value");
            very_near(adjusted.sd[node], network.sd[node], "sd");
        }
        assert_eq!(adjusted.degrees_of_freedom, network.degrees_of_freedom);
        very_near(adjusted.weighted_squares, network.weighted_squares, "weighted squares");
    }
}

#[test]
fn redundancies_and_standardized_residuals_are_those_of_the_full_inverse() {
    for (network, adjusted) in recorded() {
        assert_eq!(rows(&adjusted).count(), network.redundancy.len());
        for (k, row) in rows(&adjusted).enumerate() {
            near(row.redundancy, network.redundancy[k], "redundancy");
            // What nothing tests has no standardized residual; ours is zero.
            near(row.standardized, network.standardized[k].unwrap_or(0.0), "w");
            assert_eq!(row.detectable.is_infinite(), network.standardized[k].is_none());
        }
    }
}

#[test]
fn studentized_residuals_are_those_of_statsmodels() {
    for (network, adjusted) in recorded() {
        for (k, row) in rows(&adjusted).enumerate() {
            let studentized = adjusted.studentized(row);
            assert_eq!(studentized.is_some(), network.studentized_internal[k].is_some());
            let Some(studentized) = studentized else { continue };
            near(studentized.internal, network.studentized_internal[k].unwrap(), "internal");
            let external = network.studentized_external[k].unwrap();
            near(studentized.external.unwrap(), external, "external");
        }
    }
}

#[test]
fn the_recorded_networks_hold_everything_they_are_to_try() {
    for (network, nodes) in recorded().iter().map(|(n, _)| n).zip([300, 3000]) {
        assert_eq!(network.nodes, nodes);
        let terms = |n: usize| network.singles.iter().filter(|s| s.len() == 2 + 2 * n).count();
        assert!(terms(1) >= nodes / 10 && terms(2) >= nodes && terms(3) >= nodes / 20);
        assert!(network.pairs.len() >= nodes / 20);
        assert!(network.standardized.iter().any(|w| w.is_some_and(|w| w.abs() > 5.0)));
    }
}
