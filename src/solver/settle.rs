//! A ledger adjusted, its bent statements straightened where the answer is.

use crate::adjust::{AdjustError, Adjustment, Solution, adjust};
use crate::bent::{Bend, Height, Straightened};
use crate::network::{Components, Datum, Group, Network, Row};
use crate::{Claim, Ledger, Stated, World};
use nalgebra::{DMatrix, DVector};
use std::collections::{BTreeMap, HashSet};

/// A ledger's network near the answer, adjusted.
pub(crate) struct Settled {
    pub(crate) network: Network,
    /// For each group of the network, the statements its rows stand for.
    pub(crate) claims: Vec<Vec<Claim>>,
    pub(crate) adjustment: Adjustment,
    /// Bent statements that no lengths could make true.
    pub(crate) impossible: Vec<Claim>,
    /// Feet on curved levels that may well be as far as the visible horizon.
    pub(crate) at_horizon: Vec<Claim>,
}

/// What no lengths make true as it was read.
#[derive(Default)]
struct Untrue {
    impossible: Vec<Claim>,
    at_horizon: Vec<Claim>,
}

/// So many times the bent statements are straightened anew before one of them is given up.
const MOST_PASSES: usize = 40;

/// From this pass on only half of each change is made: two statements that pull apart can otherwise
/// send the lengths to and fro.
const HALVED_FROM: usize = 15;

/// So many passes a foot that is out of sight beyond the curve of the world has to come back.
const PATIENCE: usize = 10;

/// A foot this many standard deviations above the visible horizon is there by no slip of the hand.
const BEYOND_HORIZON: f64 = 3.0;

/// A change of a logarithm that is no change.
const SETTLED: f64 = 1e-9;

/// The most that a logarithm changes from one pass to the next, so that a far start comes home.
const LONGEST_STEP: f64 = 1.5;

/// Bent statements that are to be straightened, and how they are bent.
type Active = BTreeMap<Claim, Bend>;

/// Adjusts a ledger without some of its statements: Gauss–Newton, each bent statement straightened
/// where the last pass has put its nodes. Statements that would only help to fix the scale of a part
/// of the ledger, but are too few to do so, are passed over.
///
/// # Errors
/// See [`AdjustError`].
pub(crate) fn settle(ledger: &Ledger, without: &HashSet<Claim>) -> Result<Settled, AdjustError> {
    let draft = Draft::of(ledger, without, &[], &Active::new());
    let solved = Solution::of(&draft.network)?;
    let flat = Flat { values: solved.values(), components: solved.components() };
    let mut start = flat.values.clone();
    let (mut active, impossible) = begin(ledger, without, &flat, &mut start);
    let mut untrue = Untrue { impossible, ..Untrue::default() };
    if active.is_empty() {
        let adjusted = solved.report();
        return Ok(draft.settled(adjusted, untrue));
    }
    let mut without = without.clone();
    while !active.is_empty() {
        let mut values = start.clone();
        if let Some(settled) = passes(ledger, &mut without, &mut values, &mut active, &mut untrue)?
        {
            return Ok(settled);
        }
        // No lengths make them all true: the one that is farthest from it is given up.
        let Some(farthest) = farthest_step(&active, &values) else { break };
        active.remove(&farthest);
        untrue.impossible.push(farthest);
    }
    // Without the feet that are beyond their horizon, but with no step.
    let draft = Draft::of(ledger, &without, &[], &Active::new());
    let flat = adjust(&draft.network)?;
    Ok(draft.settled(flat, untrue))
}

/// Straightens and adjusts until the values stay; `None` if they do not. Curved levels that the sight
/// line to a thing never meets are left out from then on.
fn passes(
    ledger: &Ledger,
    without: &mut HashSet<Claim>,
    values: &mut [f64],
    active: &mut Active,
    untrue: &mut Untrue,
) -> Result<Option<Settled>, AdjustError> {
    for pass in 0..MOST_PASSES {
        let draft = Draft::of(ledger, without, values, active);
        let solved = match Solution::of(&draft.network) {
            Ok(solved) => solved,
            Err(
                AdjustError::Singular | AdjustError::BadGroup(_) | AdjustError::BadCovariance(_),
            ) => {
                return Ok(None);
            }
            Err(error) => return Err(error),
        };
        let part = if pass < HALVED_FROM { 1.0 } else { 0.5 };
        let mut farthest = 0_f64;
        for (value, new) in std::iter::zip(values.iter_mut(), solved.values()) {
            let step = new - *value;
            farthest = farthest.max(step.abs());
            *value += part * step.clamp(-LONGEST_STEP, LONGEST_STEP);
        }
        let is_settled = farthest < SETTLED;
        if is_settled && draft.refused.is_empty() {
            let adjusted = solved.report();
            return Ok(Some(draft.settled(adjusted, std::mem::take(untrue))));
        }
        if is_settled || pass >= PATIENCE {
            for (claim, is_chance) in draft.refused {
                active.remove(&claim);
                without.insert(claim);
                let list = if is_chance { &mut untrue.at_horizon } else { &mut untrue.impossible };
                list.push(claim);
            }
        }
    }
    Ok(None)
}

/// The active step that these values are farthest from, in standard deviations of what it says.
fn farthest_step(active: &Active, values: &[f64]) -> Option<Claim> {
    let misfit = |bend: &Bend| match bend {
        Bend::Step { by, .. } => {
            let there = bend.straightened(&Row::sum([], 0.0), values);
            let off = there.map_or(f64::INFINITY, |s| {
                s.row.entries().map(|(node, c)| c * values[node]).sum::<f64>() - s.row.value
            });
            Some(off.abs() / by.spread)
        }
        Bend::Curve { .. } => None,
    };
    let misfits = active.iter().filter_map(|(claim, bend)| Some((*claim, misfit(bend)?)));
    misfits.max_by(|a, b| a.1.total_cmp(&b.1)).map(|(claim, _)| claim)
}

/// A ledger adjusted as if nothing in it were bent.
struct Flat<'a> {
    values: Vec<f64>,
    components: &'a Components,
}

/// A network made for some values of its nodes.
struct Draft {
    network: Network,
    claims: Vec<Vec<Claim>>,
    /// Bent statements that cannot be true there, and whether that may be by chance.
    refused: Vec<(Claim, bool)>,
}

impl Draft {
    /// The ledger's network near these values, bent statements straightened if they are `active`.
    /// Otherwise curved levels are planes, and steps are left out.
    fn of(ledger: &Ledger, without: &HashSet<Claim>, values: &[f64], active: &Active) -> Self {
        let mut draft = Self {
            network: ledger.network.without_groups(),
            claims: Vec::new(),
            refused: Vec::new(),
        };
        for (group, claims) in ledger.network.groups.iter().zip(&ledger.claims) {
            let is_plain = |claim: &Claim| {
                let curve = matches!(ledger.bends.get(claim), None | Some(Bend::Curve { .. }));
                curve && !active.contains_key(claim) && !without.contains(claim)
            };
            if claims.iter().all(is_plain) {
                draft.network.groups.push(group.clone());
                draft.claims.push(claims.clone());
            } else {
                draft.put(ledger, group, claims, without, values, active);
            }
        }
        draft
    }

    /// Adds a group of which something is left out or straightened.
    fn put(
        &mut self,
        ledger: &Ledger,
        group: &Group,
        claims: &[Claim],
        without: &HashSet<Claim>,
        values: &[f64],
        active: &Active,
    ) {
        // Places of the rows that stay, with what they become.
        let mut kept: Vec<(usize, Straightened)> = Vec::new();
        for (place, (row, claim)) in group.rows.iter().zip(claims).enumerate() {
            if without.contains(claim) {
                continue;
            }
            let plain = || Straightened { row: row.clone(), by_reading: 1.0, variance: 0.0 };
            match (active.get(claim), ledger.bends.get(claim)) {
                (Some(bend), _) => match bend.straightened(row, values) {
                    Some(straightened) => kept.push((place, straightened)),
                    None => {
                        let variance = group.covariance[(place, place)];
                        let is_chance = is_chance(ledger, bend, row, variance, values);
                        self.refused.push((*claim, is_chance));
                        let back = bend.seen_from_below(row, values);
                        kept.extend(back.map(|straightened| (place, straightened)));
                    }
                },
                (None, Some(Bend::Step { .. })) => {}
                (None, Some(Bend::Curve { .. }) | None) => kept.push((place, plain())),
            }
        }
        if kept.is_empty() {
            return;
        }
        let covariance = DMatrix::from_fn(kept.len(), kept.len(), |i, k| {
            let ((row, a), (column, b)) = (&kept[i], &kept[k]);
            let read = a.by_reading * b.by_reading * group.covariance[(*row, *column)];
            read + if i == k { a.variance } else { 0.0 }
        });
        self.claims.push(kept.iter().map(|(place, _)| claims[*place]).collect());
        let rows = kept.into_iter().map(|(_, straightened)| straightened.row).collect();
        self.network.groups.push(Group { rows, covariance });
    }

    fn settled(self, adjustment: Adjustment, untrue: Untrue) -> Settled {
        let Untrue { mut impossible, mut at_horizon } = untrue;
        for claims in [&mut impossible, &mut at_horizon] {
            claims.sort_unstable();
            claims.dedup();
        }
        Settled { network: self.network, claims: self.claims, adjustment, impossible, at_horizon }
    }
}

/// Whether what is read of a foot beyond the visible horizon is so near to it that pointing, or what is
/// unsure of the eye, may have put it there.
fn is_chance(ledger: &Ledger, bend: &Bend, row: &Row, variance: f64, values: &[f64]) -> bool {
    let Some(above) = bend.above_horizon(row, values) else { return false };
    let consider = &ledger.network.consider;
    let drift = DVector::from_column_slice(&row.drift);
    let by_eye =
        if drift.len() == consider.nrows() { drift.dot(&(consider * &drift)) } else { 0.0 };
    // In tangents, whose error is normal, over the tangent that was read.
    above.exp_m1() < BEYOND_HORIZON * (variance + by_eye).sqrt()
}

/// The bent statements to be straightened, with those that no lengths could make true. The values of
/// parts of the ledger to which steps give a scale are moved to that scale.
fn begin(
    ledger: &Ledger,
    without: &HashSet<Claim>,
    flat: &Flat<'_>,
    values: &mut [f64],
) -> (Active, Vec<Claim>) {
    let mut steps = Vec::new();
    let mut curves = Vec::new();
    for (claim, bend) in ledger.bends.iter().filter(|(claim, _)| !without.contains(claim)) {
        match *bend {
            Bend::Step { upper, lower, by } => steps.push(Step { claim: *claim, upper, lower, by }),
            Bend::Curve { .. } => curves.push((*claim, *bend)),
        }
    }
    // The order of a hash map is nobody's.
    steps.sort_unstable_by_key(|step| step.claim);
    let scales = Scales::of(steps, flat);
    for (node, value) in values.iter_mut().enumerate() {
        if let Some(scale) = scales.of_component.get(&flat.components.root[node]) {
            *value += scale.ln();
        }
    }
    let in_metres = |node: usize| {
        flat.components.datum[node] == Datum::Benchmark
            || scales.of_component.contains_key(&flat.components.root[node])
    };
    let is_felt = |distance: usize, clearance: usize, world: World| {
        let (far, high) = (values[distance].exp(), values[clearance].exp());
        ledger.curves_everywhere || world.is_felt(far, high)
    };
    let mut active = Active::new();
    for claim in scales.used {
        let mut bend = ledger.bends[&claim];
        if let Bend::Step { upper, lower, .. } = &mut bend
            && !is_felt(upper.node, lower.node, upper.falls)
        {
            upper.falls = World::FLAT;
        }
        active.insert(claim, bend);
    }
    for (claim, mut bend) in curves {
        let Bend::Curve { distance, clearance, world, near, .. } = &mut bend else { continue };
        let (distance, clearance) = (*distance, *clearance);
        let curves = in_metres(distance) && in_metres(clearance);
        if curves && !world.is_flat() && is_felt(distance, clearance, *world) {
            active.insert(claim, bend);
        } else if *near {
            *world = World::FLAT;
            active.insert(claim, bend);
        }
    }
    (active, scales.impossible)
}

/// One height over another.
struct Step {
    claim: Claim,
    upper: Height,
    lower: Height,
    by: Stated,
}

/// What steps say of the scales of parts of the ledger that have none. With each part's lengths known
/// but for a factor, the steps are linear in the factors.
struct Scales {
    /// The factor of each part that the steps fix, by the part's component.
    of_component: BTreeMap<usize, f64>,
    /// Steps between parts whose scales are known.
    used: Vec<Claim>,
    /// Steps that would need a length to be negative.
    impossible: Vec<Claim>,
}

impl Scales {
    fn of(mut steps: Vec<Step>, flat: &Flat<'_>) -> Self {
        let mut impossible = Vec::new();
        loop {
            let fixed = fixed_scales(&steps, flat);
            let negative = |node: usize| {
                open_component(node, flat).is_some_and(|c| fixed.get(&c).is_some_and(|s| *s <= 0.0))
            };
            let refused: Vec<Claim> = steps
                .iter()
                .filter(|s| negative(s.upper.node) || negative(s.lower.node))
                .map(|s| s.claim)
                .collect();
            if refused.is_empty() {
                let known =
                    |node: usize| open_component(node, flat).is_none_or(|c| fixed.contains_key(&c));
                let used = steps.iter().filter(|s| known(s.upper.node) && known(s.lower.node));
                let used = used.map(|s| s.claim).collect();
                return Self { of_component: fixed, used, impossible };
            }
            steps.retain(|s| !refused.contains(&s.claim));
            impossible.extend(refused);
        }
    }
}

/// The component of a node whose scale nothing fixes.
fn open_component(node: usize, flat: &Flat<'_>) -> Option<usize> {
    (flat.components.datum[node] != Datum::Benchmark).then_some(flat.components.root[node])
}

/// Least squares for the factors of the open components that the steps speak of; those that they do not
/// fix are left out.
fn fixed_scales(steps: &[Step], flat: &Flat<'_>) -> BTreeMap<usize, f64> {
    let nodes = steps.iter().flat_map(|s| [s.upper.node, s.lower.node]);
    let mut open: Vec<usize> = nodes.filter_map(|node| open_component(node, flat)).collect();
    open.sort_unstable();
    open.dedup();
    if open.is_empty() {
        return BTreeMap::new();
    }
    let mut left = DMatrix::zeros(steps.len(), open.len());
    let mut right = DVector::zeros(steps.len());
    for (row, step) in steps.iter().enumerate() {
        let weight = 1.0 / (step.by.value * step.by.spread.max(1e-3));
        right[row] = weight * step.by.value;
        for (height, sign) in [(step.upper, 1.0), (step.lower, -1.0)] {
            let length = weight * sign * height.per * flat.values[height.node].exp();
            match open_component(height.node, flat) {
                None => right[row] -= length,
                Some(component) => {
                    let column = open.partition_point(|c| *c < component);
                    left[(row, column)] += length;
                }
            }
        }
    }
    if !left.iter().chain(&right).all(|x| x.is_finite()) {
        return BTreeMap::new();
    }
    solve_where_fixed(left, &right, &open)
}

/// The unknowns of a least-squares problem that it determines: those without a part in its null space.
fn solve_where_fixed(
    left: DMatrix<f64>,
    right: &DVector<f64>,
    open: &[usize],
) -> BTreeMap<usize, f64> {
    let svd = left.svd(true, true);
    let least = 1e-9 * svd.singular_values.max();
    let (Ok(solved), Some(rows)) = (svd.solve(right, least), &svd.v_t) else {
        return BTreeMap::new();
    };
    let in_row_space = |unknown: usize| {
        let parts = svd.singular_values.iter().zip(rows.column(unknown));
        parts.filter(|(value, _)| **value > least).map(|(_, part)| part * part).sum::<f64>()
    };
    let fixed = open.iter().enumerate().filter(|(k, _)| in_row_space(*k) > 1.0 - 1e-6);
    fixed.map(|(k, component)| (*component, solved[k])).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{EyeEvidence, LedgerInput, LedgerLevel, Side, fit_eye};

    /// The clearance that is stated of a level, and the level that it is said to lie above and how far.
    type Said = (Option<f64>, Option<(usize, f64)>);

    /// Levels below the eye.
    fn ledger(levels: &[Said]) -> Ledger {
        let stated = |value: f64| Stated { value, spread: 0.01 };
        let level = |(clearance, above): &Said| LedgerLevel {
            side: Side::Below,
            clearance: clearance.map(stated),
            above: above.map(|(lower, by)| (lower, stated(by))),
        };
        let levels = levels.iter().map(level).collect();
        let input = LedgerInput { levels, ..LedgerInput::default() };
        Ledger::new(&input, &fit_eye(&EyeEvidence::none(1e-3)))
    }

    fn clearances(of: &Settled) -> Vec<f64> {
        of.adjustment.values.iter().map(|ln| ln.exp()).collect()
    }

    #[track_caller]
    fn assert_near(found: &[f64], expected: &[f64]) {
        let near = |(a, b): (&f64, &f64)| (a - b).abs() < 1e-9 * b;
        assert!(std::iter::zip(found, expected).all(near), "{found:?} is not {expected:?}");
    }

    #[test]
    fn steps_lead_from_a_level_that_is_known_to_all_others() {
        let ledger = ledger(&[(Some(9.0), None), (None, Some((0, 3.0))), (None, Some((1, 2.0)))]);
        let settled = settle(&ledger, &HashSet::new()).unwrap();
        assert_near(&clearances(&settled), &[9.0, 6.0, 4.0]);
        assert_eq!(settled.adjustment.datum, [Datum::Benchmark; 3]);
    }

    #[test]
    fn a_level_that_would_have_to_lie_over_the_eye_is_impossible_and_the_others_stand() {
        let ledger = ledger(&[(Some(9.0), None), (None, Some((0, 11.0))), (None, Some((0, 2.0)))]);
        let settled = settle(&ledger, &HashSet::new()).unwrap();
        assert_eq!(settled.impossible, [Claim::Above(1)]);
        assert_near(&[clearances(&settled)[2]], &[7.0]);
    }

    #[test]
    fn of_steps_that_contradict_each_other_none_is_lost_that_can_be_weighed() {
        // Said to be 3 above and 2 below at once, both with benchmarks of their own.
        let ledger = ledger(&[(Some(9.0), Some((1, 2.0))), (Some(6.0), Some((0, 3.0)))]);
        let settled = settle(&ledger, &HashSet::new()).unwrap();
        assert!(settled.impossible.len() <= 1, "{:?}", settled.impossible);
        assert!(settled.adjustment.values.iter().all(|value| value.is_finite()));
    }

    #[test]
    fn a_step_that_alone_cannot_fix_a_scale_is_passed_over() {
        let ledger = ledger(&[(None, None), (None, Some((0, 3.0)))]);
        let settled = settle(&ledger, &HashSet::new()).unwrap();
        assert!(settled.impossible.is_empty() && settled.claims.is_empty());
        assert_eq!(settled.adjustment.datum, [Datum::Node(0), Datum::Node(1)]);
    }
}
