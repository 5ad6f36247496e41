//! Levelling networks adjusted by GNU Gama 2.33 (`gama-local`), SciPy and statsmodels, recorded in
//! `reference/levelling.json`; the published networks of Štroner (GNU Gama's test data) and of
//! Strang & Borre, *Linear Algebra, Geodesy, and GPS* (1997).

use serde_json::Value;
use staffage_solver::{Adjustment, Group, Network, Row, adjust};
use std::collections::HashMap;

/// A network with fixed heights, built from named points.
#[derive(Default)]
struct Levels {
    fixed: HashMap<String, f64>,
    points: Vec<String>,
    groups: Vec<Group>,
}

impl Levels {
    fn node(&mut self, name: &str) -> usize {
        if let Some(at) = self.points.iter().position(|p| p == name) {
            return at;
        }
        self.points.push(name.to_owned());
        self.points.len() - 1
    }

    fn observe(&mut self, from: &str, to: &str, value: f64, sd: f64) {
        let row = match (self.fixed.get(from).copied(), self.fixed.get(to).copied()) {
            (None, None) => {
                let (a, b) = (self.node(from), self.node(to));
                Row::difference(b, a, value)
            }
            (Some(height), None) => Row::absolute(self.node(to), value + height),
            (None, Some(height)) => Row::absolute(self.node(from), height - value),
            // A levelled pair of benchmarks ties down nothing.
            (Some(_), Some(_)) => return,
        };
        self.groups.push(Group::single(row, sd));
    }

    fn adjust(&self) -> Adjustment {
        let network =
            Network { nodes: self.points.len(), groups: self.groups.clone(), ..Network::default() };
        adjust(&network).unwrap()
    }
}

fn near(value: f64, expected: f64, relative: f64, what: &str) {
    let tolerance = relative * expected.abs().max(1e-6);
    assert!((value - expected).abs() <= tolerance, "{what}: {value} is not {expected}");
}

fn numbers(v: &Value) -> Vec<Option<f64>> {
    v.as_array().unwrap().iter().map(Value::as_f64).collect()
}

fn strings(v: &Value) -> Vec<String> {
    v.as_array().unwrap().iter().map(|s| s.as_str().unwrap().to_owned()).collect()
}

fn recorded(network: &Value) -> Levels {
    let mut levels = Levels::default();
    let fixed = &network["fixed"];
    for (id, value) in strings(&fixed["id"]).into_iter().zip(numbers(&fixed["value"])) {
        levels.fixed.insert(id, value.unwrap());
    }
    let seen = &network["observations"];
    let (from, to) = (strings(&seen["from"]), strings(&seen["to"]));
    let (value, sd) = (numbers(&seen["value"]), numbers(&seen["sd"]));
    for k in 0..from.len() {
        levels.observe(&from[k], &to[k], value[k].unwrap(), sd[k].unwrap());
    }
    levels
}

#[test]
fn recorded_networks_adjust_as_gnu_gama_does() {
    let all: Value = serde_json::from_str(include_str!("reference/levelling.json")).unwrap();
    let networks = all["networks"].as_array().unwrap();
    assert_eq!(networks.len(), 3);
    for network in networks {
        let mut levels = recorded(network);
        let adjusted = levels.adjust();
        let result = &network["result"];
        let name = network["name"].as_str().unwrap();
        let of = |key: &str| numbers(&result[key]);
        for (k, id) in strings(&network["unknowns"]["id"]).iter().enumerate() {
            let node = levels.node(id);
            near(adjusted.values[node], of("adjusted")[k].unwrap(), 1e-6, name);
            near(adjusted.sd[node], of("sd_apriori")[k].unwrap(), 1e-6, name);
        }
        let seen = &network["observations"];
        let ends = strings(&seen["from"]).into_iter().zip(strings(&seen["to"])).enumerate();
        let is_fixed = |id: &String| levels.fixed.contains_key(id);
        let ties: Vec<usize> =
            ends.filter(|(_, (a, b))| !(is_fixed(a) && is_fixed(b))).map(|(k, _)| k).collect();
        assert_eq!(ties.len(), adjusted.rows.len());
        for (k, rows) in ties.iter().copied().zip(&adjusted.rows) {
            let row = rows[0];
            // A difference to a fixed point from the other side is observed with its sign turned.
            let turned = levels.fixed.contains_key(&strings(&network["observations"]["to"])[k]);
            let sign = if turned { -1.0 } else { 1.0 };
            near(sign * row.residual, of("residual")[k].unwrap(), 1e-6, name);
            near(row.sd_adjusted, of("sd_adjusted_observation")[k].unwrap(), 1e-6, name);
            near(row.redundancy, of("redundancy")[k].unwrap(), 1e-6, name);
            match of("standardized_residual")[k] {
                Some(w) => {
                    near(sign * row.standardized, w, 1e-6, name);
                    let error = -of("correction_if_outlier")[k].unwrap();
                    near(sign * row.gross_error, error, 1e-6, name);
                }
                None => assert!(row.redundancy < 2e-3, "{name} {k}"),
            }
        }
        // Each levelled pair of benchmarks counts as a degree of freedom and keeps its misclosure.
        let pairs: Vec<usize> = (0..of("residual").len()).filter(|k| !ties.contains(k)).collect();
        let freedom = network["degrees_of_freedom"].as_u64().unwrap() as usize - pairs.len();
        assert_eq!(adjusted.degrees_of_freedom, freedom);
        let sd = numbers(&seen["sd"]);
        let misclosures: f64 =
            pairs.iter().map(|&k| (of("residual")[k].unwrap() / sd[k].unwrap()).powi(2)).sum();
        let squares = result["weighted_sum_of_squares"].as_f64().unwrap() - misclosures;
        near(adjusted.weighted_squares, squares, 1e-6, name);
        let total: f64 = adjusted.rows.iter().flatten().map(|r| r.redundancy).sum();
        near(total, freedom as f64, 1e-6, name);
    }
}

/// Štroner, "Levelling – demo A", tests/gama-local/input/stroner-levelling-a of GNU Gama: from, to,
/// height difference in metres, kilometres; then published residuals in millimetres and standard
/// deviations of the adjusted observations.
const STRONER: [(&str, &str, f64, f64, f64, f64); 15] = [
    ("51", "11", 15.4974, 1.045, -1.270, 2.0954),
    ("51", "38", 33.9788, 0.929, -0.671, 2.0489),
    ("51", "1", 16.3779, 1.162, 3.838, 2.1025),
    ("51", "17", 10.4647, 1.169, -2.219, 1.7337),
    ("51", "34", 33.6054, 1.064, 0.029, 2.0385),
    ("51", "32", 19.3166, 0.904, 0.655, 1.9683),
    ("51", "43", 2.0043, 0.969, -0.212, 1.9331),
    ("11", "38", 18.4828, 1.322, -0.801, 2.3676),
    ("38", "1", -17.5951, 0.972, -1.291, 2.2256),
    ("1", "17", -5.9218, 1.288, 2.543, 2.2611),
    ("17", "34", 23.1419, 1.094, 1.048, 2.1511),
    ("34", "32", -14.2892, 1.042, 1.027, 2.1985),
    ("32", "43", -17.3147, 0.896, 1.532, 2.0968),
    ("11", "17", -5.0329, 1.230, -0.749, 2.2417),
    ("17", "43", -8.4571, 0.867, -1.293, 2.0166),
];

/// Published absolute standardized residuals, from the a priori sigma of 3 mm for 1 km.
const STRONER_W: [f64; 15] = [
    0.567, 0.329, 1.562, 0.810, 0.012, 0.317, 0.095, 0.319, 0.663, 0.999, 0.459, 0.482, 0.800,
    0.305, 0.669,
];

fn stroner(blunder_mm: f64) -> Levels {
    let mut levels = Levels::default();
    levels.fixed.insert("51".into(), 234.3145);
    for (from, to, dh, km, _, _) in STRONER {
        let blunder = if (from, to) == ("1", "17") { blunder_mm / 1000.0 } else { 0.0 };
        levels.observe(from, to, dh + blunder, 0.003 * f64::sqrt(km));
    }
    levels
}

#[test]
fn the_published_levelling_network_of_stroner_comes_out_as_printed() {
    let mut levels = stroner(0.0);
    let adjusted = levels.adjust();
    for (point, height, sd_mm) in [
        ("1", 250.6962378, 2.1025),
        ("11", 249.8106301, 2.0954),
        ("17", 244.7769808, 1.7337),
        ("32", 253.6317554, 1.9683),
        ("34", 267.9199289, 2.0385),
        ("38", 268.2926289, 2.0489),
        ("43", 236.3185878, 1.9331),
    ] {
        let node = levels.node(point);
        assert!((adjusted.values[node] - height).abs() < 0.5e-7, "{point}");
        assert!((adjusted.sd[node] * 1000.0 - sd_mm).abs() < 0.5e-4, "{point}");
    }
    let scale = (adjusted.weighted_squares / 8.0).sqrt();
    assert!((scale - 0.684).abs() < 0.0005, "{scale}");
    for (k, (.., residual_mm, sd_mm)) in STRONER.into_iter().enumerate() {
        let row = adjusted.rows[k][0];
        assert!((row.residual * 1000.0 - residual_mm).abs() < 0.5e-3, "{k} {}", row.residual);
        assert!((row.sd_adjusted * 1000.0 - sd_mm).abs() < 0.5e-4, "{k}");
        assert!((row.standardized.abs() - STRONER_W[k]).abs() < 0.6e-3, "{k} {}", row.standardized);
    }
}

#[test]
fn a_blunder_of_30_mm_in_the_published_network_is_the_one_named() {
    let adjusted = stroner(30.0).adjust();
    let mut by_size: Vec<(f64, usize)> =
        adjusted.rows.iter().enumerate().map(|(k, r)| (r[0].standardized.abs(), k)).collect();
    by_size.sort_by(|a, b| b.0.total_cmp(&a.0));
    let named = |k: usize| (STRONER[k].0, STRONER[k].1);
    assert_eq!(named(by_size[0].1), ("1", "17"));
    assert!((by_size[0].0 - 5.589).abs() < 0.5e-3, "{by_size:?}");
    assert_eq!(named(by_size[1].1), ("38", "1"));
    assert!((by_size[1].0 - 3.533).abs() < 0.5e-3, "{by_size:?}");
}

#[test]
fn the_levels_of_strang_and_borre_come_out_as_printed() {
    let mut levels = Levels::default();
    for (point, height) in [("A", 10.021), ("B", 10.321), ("C", 11.002)] {
        levels.fixed.insert(point.into(), height);
    }
    for (from, to, dh, m) in [
        ("A", "E", 0.732, 970.0),
        ("A", "F", 1.978, 1002.0),
        ("B", "E", 0.420, 1070.0),
        ("C", "F", 0.988, 1110.0),
        ("E", "F", 1.258, 890.0),
    ] {
        levels.observe(from, to, dh, 0.006 * f64::sqrt(m / 1000.0));
    }
    let adjusted = levels.adjust();
    let (e, f) = (levels.node("E"), levels.node("F"));
    assert!((adjusted.values[e] - 10.744503).abs() < 0.5e-6);
    assert!((adjusted.values[f] - 11.997620).abs() < 0.5e-6);
    assert!((adjusted.sd[e] * 1000.0 - 3.671).abs() < 0.5e-3);
    assert!((adjusted.sd[f] * 1000.0 - 3.711).abs() < 0.5e-3);
    assert!((adjusted.weighted_squares - 4.636).abs() < 0.5e-3);
    for (row, redundancy) in adjusted.rows.iter().zip([0.614, 0.618, 0.650, 0.655, 0.462]) {
        assert!((row[0].redundancy - redundancy).abs() < 0.5e-3);
    }
}

#[test]
fn the_minimal_detectable_bias_is_that_of_baardas_nomograms() {
    // Computed from the published network: 4.1321 sigma / sqrt(r) for 51 to 17 (alpha 0.001, power
    // 0.80); the non-centrality 4.13 is printed in Baarda 1968 (from memory).
    let adjusted = stroner(0.0).adjust();
    assert!((adjusted.rows[3][0].detectable * 1000.0 - 15.86).abs() < 0.5e-2);
}
