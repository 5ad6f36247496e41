//! How much each statement has to do with how sure a result is.

use crate::adjust::{AdjustError, Solution};
use crate::network::{Group, Row};
use crate::{Claim, Snooped};
use nalgebra::DVector;

/// Where the variance of one adjusted node comes from; the parts add up to 1.
#[derive(Clone, Debug, PartialEq)]
pub struct VarianceShares {
    /// The statements of each group of the network with the group's part.
    pub groups: Vec<(Vec<Claim>, f64)>,
    /// The part of the eye.
    pub eye: f64,
}

/// A snooped network, ready to be asked where the variance of its nodes comes from.
pub struct Shares<'a> {
    snooped: &'a Snooped,
    solution: Solution<'a>,
}

impl<'a> Shares<'a> {
    /// Factorises what was kept of the network, once for all nodes.
    ///
    /// # Errors
    /// See [`AdjustError`].
    pub fn of(snooped: &'a Snooped) -> Result<Self, AdjustError> {
        Ok(Self { snooped, solution: Solution::of(&snooped.network)? })
    }

    /// Splits the variance of a node. With the row g = e' N^-1 A' P of the gain matrix, errors of
    /// covariance S move the node by g S g', and as groups are independent of each other the variance
    /// is the sum of g S g' over the groups (statements that are read from the same picture points
    /// count together) and what the consider parameters add. `None` where nothing fixes the node, or
    /// where it is itself the unit.
    pub fn variance_of(&mut self, node: usize) -> Option<VarianceShares> {
        let Snooped { network, claims, adjustment, .. } = self.snooped;
        let total = adjustment.sd_with_consider[node].powi(2);
        if total <= 0.0 || !total.is_finite() {
            return None;
        }
        let response = self.solution.response(&[(node, 1.0)]);
        let part = |(k, group): (usize, &Group)| {
            let through =
                |row: &Row| row.entries().map(|(n, sign)| sign * response[n]).sum::<f64>();
            let through = DVector::from_iterator(group.rows.len(), group.rows.iter().map(through));
            // (P a)' S (P a) with S = P^-1.
            through.dot(&(self.solution.weight(k) * &through)) / total
        };
        let parts = network.groups.iter().enumerate().map(part);
        let groups = claims.iter().cloned().zip(parts).collect();
        let by_eye = adjustment.sensitivity.row(node);
        let eye = (by_eye * &network.consider * by_eye.transpose())[(0, 0)] / total;
        Some(VarianceShares { groups, eye })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::adjust::adjust;
    use crate::network::Network;
    use nalgebra::DMatrix;

    #[test]
    fn the_shares_of_a_mean_are_those_of_its_weights_and_add_up_to_one() {
        // The weighted mean of two observations of variances 1 and 1/3 has weights 1/4 and 3/4, so
        // that their variances come in as 1/16 and 3/16: shares of 1/4 and 3/4.
        let single = |value, variance: f64| Group::single(Row::absolute(0, value), variance.sqrt());
        let mut drifting = Row::difference(1, 0, 0.0);
        drifting.drift = vec![0.5];
        let network = Network {
            nodes: 2,
            groups: vec![single(1.0, 1.0), single(2.0, 1.0 / 3.0), Group::single(drifting, 0.5)],
            consider: DMatrix::from_element(1, 1, 1.0),
            ..Network::default()
        };
        let claims = (0..3).map(|k| vec![Claim::Stands(k)]).collect();
        let adjustment = adjust(&network).unwrap();
        let snooped = Snooped {
            adjustment,
            rejected: vec![],
            kept: vec![],
            network,
            claims,
            impossible: vec![],
            at_horizon: vec![],
        };
        let mut shares = Shares::of(&snooped).unwrap();
        let mean = shares.variance_of(0).unwrap();
        let parts: Vec<f64> = mean.groups.iter().map(|(_, part)| *part).collect();
        for (part, expected) in parts.iter().zip([0.25, 0.75, 0.0]) {
            assert!((part - expected).abs() < 1e-12, "{parts:?}");
        }
        // Variance 1/4 of the mean, 1/4 of the difference, 1/4 of the eye.
        let far = shares.variance_of(1).unwrap();
        assert!((far.eye - 1.0 / 3.0).abs() < 1e-12);
        let sum: f64 = far.groups.iter().map(|(_, part)| part).sum();
        assert!((sum + far.eye - 1.0).abs() < 1e-12);
    }
}
