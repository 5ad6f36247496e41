//! Loops of statements: the shortest way round a network from one end of an observation to the other.

use crate::Claim;
use crate::network::{Network, Row};

/// One statement of a loop, as it is walked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Leg {
    /// The statement.
    pub claim: Claim,
    /// The node it is walked from; `None` is the benchmark that absolute observations hang on.
    pub from: Option<usize>,
    /// The node it is walked to.
    pub to: Option<usize>,
    /// Value of `to` minus value of `from` as the statement alone has it; the benchmark is 0.
    pub difference: f64,
}

impl Leg {
    /// A statement as a way from the second of its nodes, or the benchmark, to the first. A row whose
    /// coefficients are not plus and minus one is read as the difference that it makes where its
    /// second node is as adjusted. `None` for a row of no nodes.
    #[must_use]
    pub fn of(claim: Claim, row: &Row, values: &[f64]) -> Option<Self> {
        let (to, coefficient) = *row.terms.first()?;
        let from = row.terms.get(1).map(|(node, _)| *node);
        let rest: f64 = row.terms[1..].iter().map(|(node, c)| c * values[*node]).sum();
        let difference = match row.terms[..] {
            [(_, 1.0), (_, -1.0)] | [(_, 1.0)] => row.value,
            _ => (row.value - rest) / coefficient - from.map_or(0.0, |node| values[node]),
        };
        Some(Self { claim, from, to: Some(to), difference })
    }

    /// The same statement walked the other way.
    #[must_use]
    pub fn reversed(self) -> Self {
        Self { from: self.to, to: self.from, difference: -self.difference, ..self }
    }
}

/// A network as ways from node to node.
pub struct Paths {
    /// For each node and, last, the benchmark: the legs that lead away, each with its variance.
    ways: Vec<Vec<(Leg, f64)>>,
}

impl Paths {
    /// Lays out a network whose rows stand for these statements, group by group; `values` are its
    /// adjusted nodes.
    #[must_use]
    pub fn new(network: &Network, claims: &[Vec<Claim>], values: &[f64]) -> Self {
        let mut ways = vec![Vec::new(); network.nodes + 1];
        for (group, claims) in network.groups.iter().zip(claims) {
            for (k, (row, claim)) in group.rows.iter().zip(claims).enumerate() {
                let Some(leg) = Leg::of(*claim, row, values) else { continue };
                let variance = group.covariance[(k, k)];
                let place = |node: Option<usize>| node.unwrap_or(network.nodes);
                ways[place(leg.from)].push((leg, variance));
                ways[place(leg.to)].push((leg.reversed(), variance));
            }
        }
        Self { ways }
    }

    /// The way with the fewest statements between two nodes (`None`: the benchmark) that does without
    /// one of them; among equally short ones the surest. `None` if there is no way.
    #[must_use]
    pub fn between(
        &self,
        from: Option<usize>,
        to: Option<usize>,
        without: Option<Claim>,
    ) -> Option<Vec<Leg>> {
        let place = |node: Option<usize>| node.unwrap_or(self.ways.len() - 1);
        let (start, goal) = (place(from), place(to));
        // How each place was first reached: in how many steps, with which variance, by which leg.
        let mut reached: Vec<Option<(usize, f64, Option<Leg>)>> = vec![None; self.ways.len()];
        reached[start] = Some((0, 0.0, None));
        let mut front = vec![start];
        let mut steps = 0;
        while reached[goal].is_none() && !front.is_empty() {
            steps += 1;
            let mut next = Vec::new();
            for at in front {
                let so_far = reached[at].map_or(0.0, |(_, variance, _)| variance);
                for (leg, variance) in &self.ways[at] {
                    let (there, variance) = (place(leg.to), so_far + variance);
                    let shorter = reached[there].is_none_or(|(s, v, _)| s == steps && variance < v);
                    if shorter && without != Some(leg.claim) {
                        if reached[there].is_none() {
                            next.push(there);
                        }
                        reached[there] = Some((steps, variance, Some(*leg)));
                    }
                }
            }
            front = next;
        }
        let mut legs = Vec::new();
        let mut at = goal;
        while at != start {
            let leg = reached[at]?.2?;
            legs.push(leg);
            at = place(leg.from);
        }
        legs.reverse();
        Some(legs)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::network::Group;

    /// Two benchmarks on nodes 0 and 2; 0 - 1 - 2 in a row, and a second, better way from 0 to 1.
    fn paths() -> Paths {
        let rows = [
            (Row::absolute(0, 1.0), 0.1),
            (Row::difference(1, 0, 0.5), 0.2),
            (Row::difference(1, 0, 0.4), 0.1),
            (Row::difference(2, 1, 0.5), 0.1),
            (Row::absolute(2, 3.0), 0.05),
        ];
        let claims: Vec<_> = (0..rows.len()).map(|k| vec![Claim::Clearance(k)]).collect();
        let groups = rows.into_iter().map(|(row, sd)| Group::single(row, sd)).collect();
        let network = Network { nodes: 4, groups, ..Network::default() };
        Paths::new(&network, &claims, &[1.0, 1.4, 1.9, 0.0])
    }

    fn names(legs: &[Leg]) -> Vec<Claim> {
        legs.iter().map(|l| l.claim).collect()
    }

    #[test]
    fn the_loop_of_an_observation_is_closed_by_the_fewest_and_surest_others() {
        let culprit = Claim::Clearance(4);
        let legs = paths().between(None, Some(2), Some(culprit)).unwrap();
        assert_eq!(names(&legs), [0, 2, 3].map(Claim::Clearance));
        assert!((legs.iter().map(|l| l.difference).sum::<f64>() - 1.9).abs() < 1e-12);
    }

    #[test]
    fn a_shorter_way_is_taken_even_over_the_benchmark() {
        let legs = paths().between(Some(0), Some(2), None).unwrap();
        assert_eq!(legs.len(), 2);
        let back = paths().between(Some(2), Some(0), None).unwrap();
        let sum = |legs: &[Leg]| legs.iter().map(|l| l.difference).sum::<f64>();
        assert!((sum(&legs) + sum(&back)).abs() < 1e-12);
    }

    #[test]
    fn there_is_no_way_to_a_node_that_nothing_ties() {
        assert_eq!(paths().between(None, Some(3), None), None);
        assert_eq!(paths().between(Some(1), Some(1), None), Some(vec![]));
    }
}
