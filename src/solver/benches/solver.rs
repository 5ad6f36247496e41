//! Times the eye from 15 traced lines and the adjustment of scale chains.

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use glam::DVec2;
use serde_json::Value;
use staffage_solver::{EyeEvidence, Family, Group, Network, Row, TracedLine, adjust, fit_eye};
use std::hint::black_box;

/// The noisy edges of the recorded cameras.
fn recorded() -> Vec<(String, EyeEvidence)> {
    let all: Value = serde_json::from_str(include_str!("../tests/reference/cameras.json")).unwrap();
    let pair = |v: &Value| DVec2::new(v[0].as_f64().unwrap(), v[1].as_f64().unwrap());
    let families =
        [("X", Family::RecedingRight(0)), ("Y", Family::RecedingLeft(0)), ("Z", Family::Upright)];
    let case = |c: &Value| {
        let size = pair(&c["picture"]);
        let picture = |v: &Value| (pair(v) - 0.5 * (size - DVec2::ONE)) / size.x;
        let mut evidence = EyeEvidence::none(1.0 / size.x);
        for (axis, family) in families {
            evidence.lines.extend(c["edges"][axis].as_array().unwrap().iter().map(|e| {
                let (from, to) = (picture(&e["p_noisy_px"]), picture(&e["q_noisy_px"]));
                TracedLine { family, from, to }
            }));
        }
        (c["name"].as_str().unwrap().to_owned(), evidence)
    };
    all["cases"].as_array().unwrap().iter().map(case).collect()
}

/// A scale chain of `nodes` sizes and distances: each is compared with the one before, every third
/// with one a few places back, every tenth is a benchmark.
fn chain(nodes: usize) -> Network {
    let mut groups = vec![Group::single(Row::absolute(0, 0.0), 0.06)];
    for node in 1..nodes {
        let wobble = (node as f64 * 0.7).sin() * 0.03;
        groups.push(Group::single(Row::difference(node, node - 1, wobble), 0.03));
        if node % 3 == 0 {
            groups.push(Group::single(Row::difference(node, node - 3, 2.0 * wobble), 0.05));
        }
        if node % 10 == 0 {
            groups.push(Group::single(Row::absolute(node, wobble), 0.06));
        }
    }
    Network { nodes, groups, ..Network::default() }
}

fn eye(c: &mut Criterion) {
    let mut group = c.benchmark_group("eye from 15 lines");
    for (name, evidence) in recorded() {
        group.bench_function(name, |b| b.iter(|| fit_eye(black_box(&evidence))));
    }
}

fn ledger(c: &mut Criterion) {
    let mut group = c.benchmark_group("adjusted scale chain with all variances");
    for nodes in [30, 300, 1000, 3000, 10_000, 30_000] {
        let network = chain(nodes);
        group.bench_with_input(BenchmarkId::from_parameter(nodes), &network, |b, network| {
            b.iter(|| adjust(black_box(network)));
        });
    }
}

criterion_group!(benches, eye, ledger);
criterion_main!(benches);
