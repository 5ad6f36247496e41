//! Contradictions by iterative data snooping.

use crate::adjust::{AdjustError, Adjustment, RowResult, adjust};
use crate::network::Network;
use crate::settle::{Settled, settle};
use crate::{Claim, Ledger};
use std::collections::HashSet;

/// Standardized residual beyond which an observation contradicts the others: level of significance
/// 0.001, two-sided (Baarda 1968).
pub const SIGNIFICANT: f64 = 3.290_526_731;

/// Standardized residual beyond which a statement is strained: level of significance 0.01, two-sided.
pub const STRAINED: f64 = 2.575_829_304;

/// Ratio of lengths that an eye notices without measuring: 8 % (common practice; the just noticeable
/// difference for line length is about 3 % in the laboratory, Teghtsoonian 1971, from memory).
pub const NOTICEABLE: f64 = 1.08;

/// A statement found to contradict the rest.
#[derive(Clone, Debug, PartialEq)]
pub struct Rejection<C = Claim> {
    /// The statement named as culprit.
    pub claim: C,
    /// Its row as it stood when it was rejected.
    pub row: RowResult,
    /// Statements that would explain the contradiction equally well: nothing tells them apart.
    pub tied: Vec<C>,
}

/// A network after snooping, whatever its observations stand for.
#[derive(Clone, Debug, PartialEq)]
pub struct SnoopedNetwork<C> {
    /// The adjustment of what was left.
    pub adjustment: Adjustment,
    /// What was rejected, in the order of rejection.
    pub rejected: Vec<Rejection<C>>,
    /// Each statement that was left, with its row of the final adjustment.
    pub kept: Vec<(C, RowResult)>,
}

/// The same as [`snoop`] for a network that is linear as it stands. For each of its groups, `claims` holds
/// what its rows stand for, each once; among those that nothing tells apart the one with the least `blame`
/// is named.
///
/// # Errors
/// See [`AdjustError`].
pub fn snoop_network<C: Copy + Eq>(
    network: &Network,
    claims: &[Vec<C>],
    tolerance: f64,
    blame: impl Fn(C) -> u8,
) -> Result<SnoopedNetwork<C>, AdjustError> {
    let (mut network, mut claims) = (network.clone(), claims.to_vec());
    let mut rejected = Vec::new();
    loop {
        let adjustment = adjust(&network)?;
        let Some(rejection) = worst(&adjustment, &claims, tolerance.ln(), &blame) else {
            let kept = std::iter::zip(claims.iter().flatten(), adjustment.rows.iter().flatten());
            let kept = kept.map(|(claim, row)| (*claim, *row)).collect();
            return Ok(SnoopedNetwork { adjustment, rejected, kept });
        };
        // Each pass takes one row away, so that there are no more passes than rows.
        for (group, claims) in network.groups.iter_mut().zip(&mut claims) {
            if let Some(row) = claims.iter().position(|claim| *claim == rejection.claim) {
                *group = group.without(row);
                claims.remove(row);
            }
        }
        network.groups.retain(|group| !group.rows.is_empty());
        claims.retain(|claims| !claims.is_empty());
        rejected.push(rejection);
    }
}

/// A ledger after snooping.
#[derive(Clone, Debug, PartialEq)]
pub struct Snooped {
    /// The adjustment of what was left.
    pub adjustment: Adjustment,
    /// What was rejected, in the order of rejection.
    pub rejected: Vec<Rejection>,
    /// Each statement that was left, with its row of the final adjustment.
    pub kept: Vec<(Claim, RowResult)>,
    /// The network of what was left.
    pub network: Network,
    /// For each group of that network, the statements its rows stand for.
    pub claims: Vec<Vec<Claim>>,
    /// Statements that no lengths could make true: a level said to lie over one that it lies under, a
    /// foot beyond the curve of the world.
    pub impossible: Vec<Claim>,
    /// Feet on curved levels that may well be as far as the visible horizon: nothing was made of them.
    pub at_horizon: Vec<Claim>,
}

/// Adjusts, rejects the statement with the largest standardized residual if it is beyond
/// [`SIGNIFICANT`] and its misfit beyond what an eye notices (`tolerance`, a ratio), and begins
/// again, one culprit at a time. Among statements that nothing tells apart, the one a painter would
/// call wrong first is named: a size before a position, a position before the drawing itself.
///
/// # Errors
/// See [`AdjustError`].
pub fn snoop(ledger: &Ledger, tolerance: f64) -> Result<Snooped, AdjustError> {
    let mut without = HashSet::new();
    let mut rejected = Vec::new();
    loop {
        let Settled { network, claims, adjustment, impossible, at_horizon } =
            settle(ledger, &without)?;
        let Some(rejection) = worst(&adjustment, &claims, tolerance.ln(), blame) else {
            let kept = std::iter::zip(claims.iter().flatten(), adjustment.rows.iter().flatten())
                .map(|(claim, row)| (*claim, *row))
                .collect();
            return Ok(Snooped {
                adjustment,
                rejected,
                kept,
                network,
                claims,
                impossible,
                at_horizon,
            });
        };
        // Each pass takes one row away, so that there are no more passes than rows.
        without.insert(rejection.claim);
        rejected.push(rejection);
    }
}

/// The statement to be rejected, if there is one.
fn worst<C: Copy>(
    adjustment: &Adjustment,
    claims: &[Vec<C>],
    tolerance: f64,
    blame: impl Fn(C) -> u8,
) -> Option<Rejection<C>> {
    let all = || std::iter::zip(claims.iter().flatten(), adjustment.rows.iter().flatten());
    let largest = all()
        .filter(|(_, row)| {
            row.standardized.abs() > SIGNIFICANT && row.gross_error.abs() > tolerance
        })
        .map(|(_, row)| row.standardized.abs())
        .max_by(f64::total_cmp)?;
    /// Relative difference of standardized residuals that rounding can make.
    const ROUNDING: f64 = 1e-6;
    let mut suspects: Vec<_> = all()
        .filter(|(_, row)| row.standardized.abs() >= largest * (1.0 - ROUNDING))
        .map(|(claim, row)| (*claim, *row))
        .collect();
    // A stable sort: among equals the painter's order decides.
    suspects.sort_by_key(|(claim, _)| blame(*claim));
    let (claim, row) = suspects[0];
    let tied = suspects[1..].iter().map(|(claim, _)| *claim).collect();
    Some(Rejection { claim, row, tied })
}

/// How late a statement is blamed when nothing else tells it from others.
fn blame(claim: Claim) -> u8 {
    match claim {
        Claim::Known { .. } => 0,
        Claim::Stands(_) => 1,
        Claim::Spans(_) => 2,
        Claim::Clearance(_) | Claim::Above(_) => 3,
    }
}
