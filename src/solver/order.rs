//! What is in front of what: inequalities between the nodes of a network.
//!
//! An overlap says ln D <= ln D'. Three questions follow: whether the overlaps can all be true
//! ([`cycles`]); which values near the adjusted ones keep them ([`within_order`]); and what they say
//! of nodes that nothing fixes ([`ranges`]).

use crate::adjust::{AdjustError, Adjustment, Solution};
use crate::network::{Datum, Network};
use clarabel::algebra::{CscMatrix, MatrixMathMut};
use clarabel::solver::{
    DefaultSettingsBuilder, DefaultSolver, IPSolver, SolverStatus, SupportedConeT,
};
use std::collections::VecDeque;

/// The value of `nearer` is at most that of `farther`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Order {
    /// The node with the smaller value.
    pub nearer: usize,
    /// The node with the larger value.
    pub farther: usize,
}

/// Ends of what a node's value can be; `None` where nothing says.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Range {
    /// At least this.
    pub low: Option<f64>,
    /// At most this.
    pub high: Option<f64>,
}

/// Shortest cycles, each as the places of its inequalities in the order in which they follow one
/// another, shortest first. Every inequality that takes part in any cycle takes part in one of these,
/// and each of these begins with one that no earlier one has. A node in front of itself is passed over.
#[must_use]
pub fn cycles(order: &[Order]) -> Vec<Vec<usize>> {
    let ways = circular(order);
    let mut found: Vec<Vec<usize>> =
        ways.iter().flatten().filter_map(|&first| shortest_cycle(order, &ways, first)).collect();
    found.sort_by_key(|cycle| (cycle.len(), cycle[0]));
    let mut covered = vec![false; order.len()];
    found.retain(|cycle| {
        let is_new = !covered[cycle[0]];
        cycle.iter().for_each(|&k| covered[k] = true);
        is_new
    });
    found
}

/// For each node, the inequalities that lead on from it, without those that no cycle can run through
/// because nothing leads to them or nothing on from them.
fn circular(order: &[Order]) -> Vec<Vec<usize>> {
    let nodes = order.iter().map(|o| 1 + o.nearer.max(o.farther)).max().unwrap_or(0);
    let mut alive: Vec<usize> =
        (0..order.len()).filter(|&k| order[k].nearer != order[k].farther).collect();
    loop {
        let (mut leaves, mut arrives) = (vec![false; nodes], vec![false; nodes]);
        for &k in &alive {
            leaves[order[k].nearer] = true;
            arrives[order[k].farther] = true;
        }
        let before = alive.len();
        alive.retain(|&k| arrives[order[k].nearer] && leaves[order[k].farther]);
        if alive.len() == before {
            break;
        }
    }
    let mut ways = vec![Vec::new(); nodes];
    alive.into_iter().for_each(|k| ways[order[k].nearer].push(k));
    ways
}

/// The shortest cycle through one inequality, which comes first.
fn shortest_cycle(order: &[Order], ways: &[Vec<usize>], first: usize) -> Option<Vec<usize>> {
    let Order { nearer: home, farther: start } = order[first];
    let mut reached_by = vec![None; ways.len()];
    let mut queue = VecDeque::from([start]);
    while let Some(node) = queue.pop_front() {
        if node == home {
            break;
        }
        for &k in &ways[node] {
            let next = order[k].farther;
            if next != start && reached_by[next].is_none() {
                reached_by[next] = Some(k);
                queue.push_back(next);
            }
        }
    }
    let mut back = Vec::new();
    let mut node = home;
    while node != start {
        let k = reached_by[node]?;
        back.push(k);
        node = order[k].nearer;
    }
    Some(std::iter::once(first).chain(back.into_iter().rev()).collect())
}

/// Values that keep the order and lie nearest to the adjusted ones: the least increase of the weighted
/// sum of squares, (x - x0)' N (x - x0), subject to C x <= 0. Only inequalities between nodes of one
/// component count; between components the scale is free.
///
/// The dual problem is solved, min 1/2 l' (C N^-1 C') l - (C x0)' l with l >= 0, which has only as many
/// unknowns as there are broken inequalities, and x = x0 - N^-1 C' l. Inequalities that this breaks are
/// added until there are none.
///
/// # Errors
/// See [`AdjustError`].
pub fn within_order(
    network: &Network,
    adjustment: &Adjustment,
    order: &[Order],
) -> Result<Vec<f64>, AdjustError> {
    /// A difference of logarithms that is nobody's concern.
    const NOTHING: f64 = 1e-7;
    let root = network.components().root;
    let joined: Vec<Order> =
        order.iter().copied().filter(|o| root[o.nearer] == root[o.farther]).collect();
    let broken = |values: &[f64], o: &Order| values[o.nearer] - values[o.farther] > NOTHING;
    let mut values = adjustment.values.clone();
    let mut active: Vec<Order> = Vec::new();
    let mut responses: Vec<Vec<f64>> = Vec::new();
    let mut solution = None;
    loop {
        let new: Vec<Order> =
            joined.iter().copied().filter(|o| broken(&values, o) && !active.contains(o)).collect();
        if new.is_empty() {
            return Ok(values);
        }
        let solution = match &mut solution {
            Some(solution) => solution,
            none => none.insert(Solution::of(network)?),
        };
        for o in new {
            let response = solution.response(&[(o.nearer, 1.0), (o.farther, -1.0)]);
            // Two nodes that nothing can move against each other stay as they are.
            if response[o.nearer] - response[o.farther] > 0.0 {
                responses.push(response);
                active.push(o);
            }
        }
        if active.is_empty() {
            return Ok(values);
        }
        let push = multipliers(&active, &responses, &adjustment.values)?;
        values.clone_from(&adjustment.values);
        for (l, response) in push.iter().zip(&responses) {
            values.iter_mut().zip(response).for_each(|(x, r)| *x -= l * r);
        }
        if active.len() == joined.len() {
            return Ok(values);
        }
    }
}

/// The multipliers l of the dual problem. Each inequality is divided by the standard deviation of its
/// difference, so that the problem is of order one whatever the spreads are.
fn multipliers(
    active: &[Order],
    responses: &[Vec<f64>],
    values: &[f64],
) -> Result<Vec<f64>, AdjustError> {
    let count = active.len();
    let difference = |of: &[f64], o: &Order| of[o.nearer] - of[o.farther];
    let sd: Vec<f64> = active.iter().zip(responses).map(|(o, r)| difference(r, o).sqrt()).collect();
    let (mut rows, mut columns, mut entries) = (vec![], vec![], vec![]);
    for k in 0..count {
        for i in 0..=k {
            rows.push(i);
            columns.push(k);
            entries.push(difference(&responses[k], &active[i]) / (sd[i] * sd[k]));
        }
    }
    let quadratic = CscMatrix::new_from_triplets(count, count, rows, columns, entries);
    let linear: Vec<f64> =
        active.iter().zip(&sd).map(|(o, sd)| -difference(values, o) / sd).collect();
    let mut not_negative = CscMatrix::identity(count);
    not_negative.negate();
    let settings = DefaultSettingsBuilder::default().verbose(false).build();
    let settings = settings.map_err(|_| AdjustError::Unordered)?;
    let cones = [SupportedConeT::NonnegativeConeT(count)];
    let bounds = vec![0.0; count];
    let mut solver =
        DefaultSolver::new(&quadratic, &linear, &not_negative, &bounds, &cones, settings)
            .map_err(|_| AdjustError::Unordered)?;
    solver.solve();
    match solver.solution.status {
        SolverStatus::Solved | SolverStatus::AlmostSolved => {
            Ok(solver.solution.x.iter().zip(&sd).map(|(l, sd)| l.max(0.0) / sd).collect())
        }
        _ => Err(AdjustError::Unordered),
    }
}

/// What the order says of nodes whose component does not rest on `known`: for each node of `wanted`,
/// between which values it lies.
///
/// A component without a benchmark is only free to be scaled as a whole, so that bounds run along
/// inequalities from node to node and, within a component, along the adjusted differences: the best
/// bound is the longest path (Bellman & Ford), and no programme need be solved. Every known value and
/// every difference gives way by `margin` of its standard deviations, so that a bound errs on the safe
/// side. `values` are the nodes' values, adjusted or moved by [`within_order`].
///
/// # Errors
/// See [`AdjustError`].
pub fn ranges(
    network: &Network,
    adjustment: &Adjustment,
    values: &[f64],
    order: &[Order],
    wanted: &[usize],
    known: Datum,
    margin: f64,
) -> Result<Vec<Range>, AdjustError> {
    let is_known = |node: usize| adjustment.datum[node] == known;
    let mut open: Vec<usize> = order
        .iter()
        .flat_map(|o| [o.nearer, o.farther])
        .chain(wanted.iter().copied())
        .filter(|node| !is_known(*node))
        .collect();
    open.sort_unstable();
    open.dedup();
    let links = links(network, adjustment, values, &open, margin)?;
    let reach = |sign: f64| {
        let mut best: Vec<Option<f64>> = (0..values.len())
            .map(|n| {
                let give = margin * adjustment.sd_with_consider[n];
                is_known(n).then_some(sign * values[n] - give)
            })
            .collect();
        longest_paths(&mut best, order, &links, sign, &is_known);
        best
    };
    let (low, high) = (reach(1.0), reach(-1.0));
    Ok(wanted
        .iter()
        .map(|&n| match is_known(n) {
            true => Range::default(),
            false => Range { low: low[n], high: high[n].map(|h| -h) },
        })
        .collect())
}

/// A difference within a component: value of `to` minus value of `from`, and how far it may give way.
struct Link {
    from: usize,
    to: usize,
    difference: f64,
    give: f64,
}

fn links(
    network: &Network,
    adjustment: &Adjustment,
    values: &[f64],
    open: &[usize],
    margin: f64,
) -> Result<Vec<Link>, AdjustError> {
    let root = network.components().root;
    let joined = |a: usize, b: usize| a != b && root[a] == root[b];
    if !open.iter().any(|&a| open.iter().any(|&b| joined(a, b))) {
        return Ok(Vec::new());
    }
    let mut solution = Solution::of(network)?;
    let sensitivity = &adjustment.sensitivity;
    let mut links = Vec::new();
    for (k, &from) in open.iter().enumerate() {
        for &to in open[k + 1..].iter().filter(|&&to| joined(from, to)) {
            let response = solution.response(&[(to, 1.0), (from, -1.0)]);
            let by_eye = sensitivity.row(to) - sensitivity.row(from);
            let extra = (&by_eye * &network.consider * by_eye.transpose())[(0, 0)];
            let variance = (response[to] - response[from]).max(0.0) + extra.max(0.0);
            let (difference, give) = (values[to] - values[from], margin * variance.sqrt());
            links.push(Link { from, to, difference, give });
            links.push(Link { from: to, to: from, difference: -difference, give });
        }
    }
    Ok(links)
}

/// Raises each open node to the longest path that reaches it; with a sign of -1 everything is seen
/// from the far end. Paths that never stop growing would mean that the inequalities exclude each
/// other: then nothing is said.
fn longest_paths(
    best: &mut [Option<f64>],
    order: &[Order],
    links: &[Link],
    sign: f64,
    is_known: &impl Fn(usize) -> bool,
) {
    /// Growth by which rounding may lengthen a path that runs in a circle.
    const ROUNDING: f64 = 1e-9;
    let raise = |best: &mut [Option<f64>], to: usize, by: Option<f64>| {
        let Some(by) = by else { return false };
        let grows = !is_known(to) && best[to].is_none_or(|b| by > b + ROUNDING);
        if grows {
            best[to] = Some(by);
        }
        grows
    };
    for _ in 0..=best.len() {
        let mut grown = false;
        for o in order {
            let (from, to) = if sign > 0.0 { (o.nearer, o.farther) } else { (o.farther, o.nearer) };
            let by = best[from];
            grown |= raise(best, to, by);
        }
        for link in links {
            let by = best[link.from].map(|b| b + sign * link.difference - link.give);
            grown |= raise(best, link.to, by);
        }
        if !grown {
            return;
        }
    }
    best.fill(None);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::adjust::adjust;
    use crate::network::{Group, Row};

    fn order(pairs: &[(usize, usize)]) -> Vec<Order> {
        pairs.iter().map(|&(nearer, farther)| Order { nearer, farther }).collect()
    }

    fn network(nodes: usize, rows: Vec<(Row, f64)>) -> Network {
        let groups = rows.into_iter().map(|(row, sd)| Group::single(row, sd)).collect();
        Network { nodes, groups, ..Network::default() }
    }

    #[test]
    fn a_cycle_is_found_once_and_what_is_outside_it_is_left_alone() {
        assert!(cycles(&order(&[(0, 1), (1, 2), (0, 2)])).is_empty());
        assert_eq!(cycles(&order(&[(4, 0), (0, 1), (1, 2), (2, 0), (2, 3)])), [[1, 2, 3]]);
    }

    #[test]
    fn the_smallest_cycles_come_first_and_cover_every_inequality_of_a_cycle() {
        let found = cycles(&order(&[(0, 1), (1, 2), (2, 3), (3, 0), (2, 0), (5, 5)]));
        assert_eq!(found, [vec![0, 1, 4], vec![2, 3, 0, 1]]);
    }

    #[test]
    fn values_out_of_order_meet_at_their_weighted_mean() {
        // Isotonic regression of two observations: the pooled mean with the inverse variances as
        // weights (Barlow, Bartholomew, Bremner & Brunk 1972, from memory).
        let network = network(2, vec![(Row::absolute(0, 1.0), 0.1), (Row::absolute(1, 0.9), 0.2)]);
        let adjusted = adjust(&network).unwrap();
        let values = within_order(&network, &adjusted, &order(&[(0, 1)])).unwrap();
        let mean = (1.0 / 0.01 + 0.9 / 0.04) / (1.0 / 0.01 + 1.0 / 0.04);
        assert!(values.iter().all(|v| (v - mean).abs() < 1e-6), "{values:?}");
    }

    #[test]
    fn an_inequality_that_the_first_correction_breaks_is_taken_in() {
        let rows = [2.0, 1.0, 1.1].into_iter().enumerate();
        let network = network(3, rows.map(|(n, value)| (Row::absolute(n, value), 0.1)).collect());
        let adjusted = adjust(&network).unwrap();
        let values = within_order(&network, &adjusted, &order(&[(0, 1), (1, 2)])).unwrap();
        let mean = (2.0 + 1.0 + 1.1) / 3.0;
        assert!(values.iter().all(|v| (v - mean).abs() < 1e-6), "{values:?}");
    }

    #[test]
    fn values_in_order_stay_exactly_as_they_are() {
        let network = network(2, vec![(Row::absolute(0, 1.0), 0.1), (Row::absolute(1, 1.2), 0.2)]);
        let adjusted = adjust(&network).unwrap();
        assert_eq!(within_order(&network, &adjusted, &order(&[(0, 1)])).unwrap(), adjusted.values);
    }

    #[test]
    fn a_node_between_two_known_ones_is_bounded_with_all_that_hangs_on_it() {
        // 0 known at 1, 1 known at 3, both to 0.1; 2 lies between them, 3 is 0.5 above 2 to 0.2.
        let network = network(
            4,
            vec![
                (Row::absolute(0, 1.0), 0.1),
                (Row::absolute(1, 3.0), 0.1),
                (Row::difference(3, 2, 0.5), 0.2),
            ],
        );
        let adjusted = adjust(&network).unwrap();
        let between = order(&[(0, 2), (2, 1)]);
        let found = ranges(
            &network,
            &adjusted,
            &adjusted.values,
            &between,
            &[2, 3, 0],
            Datum::Benchmark,
            2.0,
        )
        .unwrap();
        let expected = [[0.8, 3.2], [0.8 + 0.5 - 0.4, 3.2 + 0.5 + 0.4]];
        for (range, [low, high]) in found.iter().zip(expected) {
            assert!((range.low.unwrap() - low).abs() < 1e-9, "{found:?}");
            assert!((range.high.unwrap() - high).abs() < 1e-9, "{found:?}");
        }
        assert_eq!(found[2], Range::default());
    }

    #[test]
    fn a_bound_runs_through_open_nodes_and_one_side_may_stay_open() {
        let network = network(3, vec![(Row::absolute(0, 1.0), 0.1)]);
        let adjusted = adjust(&network).unwrap();
        let chain = order(&[(0, 1), (1, 2)]);
        let known = Datum::Benchmark;
        let found =
            ranges(&network, &adjusted, &adjusted.values, &chain, &[2], known, 0.0).unwrap();
        assert_eq!(found, [Range { low: Some(1.0), high: None }]);
    }
}
