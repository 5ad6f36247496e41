//! What nothing tests, and the one marker that would help most if it were added.

use crate::assess::Groundwork;
use crate::entries::{Snooping, is_tested, owner};
use crate::wording::subject_name;
use crate::{MarkerId, Scene, Subject, Units};
use staffage_solver::{Adjustment, Claim, Datum, Group, Network, Row, adjust};
use std::collections::BTreeSet;

/// Spread of the size of the figure that is thought of: adults of both sexes differ by 6 % (as the
/// size shelf has it).
const SPREAD: f64 = 0.06;

/// How tall the figure that is thought of is drawn, frame widths; pointing at it is less sure the
/// smaller it is.
const DRAWN: f64 = 0.05;

/// The marker or statement that would help most.
#[derive(Clone, Debug, PartialEq)]
pub struct Suggestion {
    /// The level to set a figure of known size on, or the marker to say the size of.
    pub at: Subject,
    /// Things that would then be known in metres, or tested, and are not now.
    pub helps: Vec<MarkerId>,
    /// The suggestion in one plain sentence.
    pub sentence: String,
}

/// What would tie down the most things that are open, measured in eye heights only, or unchecked: a
/// figure of known size on one of the levels, or the size of a thing that stands on none. Each is tried
/// by adding it to the network and adjusting that; `None` if nothing would help.
#[must_use]
pub fn suggestion(scene: &Scene) -> Option<Suggestion> {
    let mut groundwork = Groundwork::of(scene);
    let snooping = groundwork.snooping(scene, Units::default());
    let before =
        state(&snooping, &snooping.snooped.as_ref()?.adjustment, snooping_claims(&snooping));
    let mut best: Option<Suggestion> = None;
    for (at, network, claims) in additions(&snooping) {
        let after = match adjust(&network) {
            Ok(adjustment) => state(&snooping, &adjustment, &claims),
            Err(error) => {
                tracing::warn!(%error, "an addition was not tried");
                continue;
            }
        };
        let helps: Vec<MarkerId> = std::iter::zip(&before, &after)
            .zip(&scene.markers)
            .filter(|((before, after), _)| after.is_better_than(**before))
            .map(|(_, marker)| marker.id)
            .collect();
        if helps.len() > best.as_ref().map_or(0, |b| b.helps.len()) {
            let fixes = std::iter::zip(&before, &after).any(|(b, a)| a.in_metres && !b.in_metres);
            let verb = if fixes { "tie down" } else { "test" };
            best = Some(Suggestion { at, sentence: sentence(scene, at, verb, &helps), helps });
        }
    }
    best
}

/// What is known of a marker.
#[derive(Clone, Copy, PartialEq)]
struct State {
    in_metres: bool,
    is_tested: bool,
}

impl State {
    fn is_better_than(self, before: Self) -> bool {
        (self.in_metres && !before.in_metres) || (self.is_tested && !before.is_tested)
    }
}

fn snooping_claims<'a>(of: &'a Snooping<'_>) -> &'a [Vec<Claim>] {
    of.snooped.as_ref().map_or(&[], |s| &s.claims)
}

/// The state of each marker in an adjusted network whose first groups stand for these statements.
fn state(of: &Snooping<'_>, adjustment: &Adjustment, claims: &[Vec<Claim>]) -> Vec<State> {
    let known = in_metres(of, adjustment);
    let metric = |node: usize| known.contains(&adjustment.component[node]);
    let mut states: Vec<State> = (0..of.scene.markers.len())
        .map(|k| State {
            in_metres: metric(of.ledger.distance_node(k)) && metric(of.ledger.size_node(k)),
            is_tested: false,
        })
        .collect();
    for (claims, rows) in claims.iter().zip(&adjustment.rows) {
        for (claim, row) in claims.iter().zip(rows) {
            if let Some(marker) = owner(*claim) {
                states[marker].is_tested |= is_tested(row);
            }
        }
    }
    states
}

/// The parts of the ledger that are known in metres: those with a benchmark, and those that a step ties
/// to one of them.
fn in_metres(of: &Snooping<'_>, adjustment: &Adjustment) -> BTreeSet<usize> {
    let parts = std::iter::zip(&adjustment.datum, &adjustment.component);
    let mut known: BTreeSet<usize> =
        parts.filter(|(datum, _)| **datum == Datum::Benchmark).map(|(_, part)| *part).collect();
    let steps: Vec<[usize; 2]> = (of.ledger.steps())
        .filter(|(claim, _)| !of.is_refuted(*claim))
        .map(|(_, nodes)| nodes.map(|node| adjustment.component[node]))
        .collect();
    loop {
        let before = known.len();
        for [upper, lower] in &steps {
            if known.contains(upper) || known.contains(lower) {
                known.extend([*upper, *lower]);
            }
        }
        if known.len() == before {
            return known;
        }
    }
}

/// Networks with one thing more.
fn additions<'a>(
    of: &'a Snooping<'_>,
) -> impl Iterator<Item = (Subject, Network, Vec<Vec<Claim>>)> + 'a {
    let kept = of.snooped.iter();
    kept.flat_map(move |snooped| {
        let plain = || Network { ratios: Vec::new(), ..snooped.network.clone() };
        let used = move |level: crate::LevelId| {
            of.scene.markers.iter().any(|m| m.stands.level() == Some(level))
        };
        let levels = of.scene.levels.iter().enumerate().filter(move |(_, l)| used(l.id));
        let figures = levels.map(move |(k, level)| {
            let node = of.ledger.clearance_node(k);
            (Subject::Level(level.id), with_figure(plain(), node, of.scene.pointing))
        });
        let sizes = most_open(of, &snooped.adjustment).into_iter().map(move |place| {
            let mut network = plain();
            let row = Row::absolute(of.ledger.size_node(place), 0.0);
            network.groups.push(Group::single(row, SPREAD));
            (Subject::Marker(of.scene.markers[place].id), network)
        });
        figures.chain(sizes).map(|(at, network)| (at, network, snooped.claims.clone()))
    })
}

/// A network with a figure of known size on a level. How sure its rows are does not depend on what they
/// say, so that all of them may say zero.
fn with_figure(mut network: Network, clearance: usize, pointing: f64) -> Network {
    let (distance, size) = (network.nodes, network.nodes + 1);
    network.nodes += 2;
    let read = (pointing / DRAWN).clamp(1e-5, 1.0);
    network.groups.extend([
        Group::single(Row::difference(distance, clearance, 0.0), read),
        Group::single(Row::difference(size, distance, 0.0), std::f64::consts::SQRT_2 * read),
        Group::single(Row::absolute(size, 0.0), SPREAD),
    ]);
    network
}

/// The first marker of the largest part of the ledger that hangs on neither a benchmark nor a level.
fn most_open(of: &Snooping<'_>, adjustment: &Adjustment) -> Option<usize> {
    let part = |k: usize| {
        let node = of.ledger.size_node(k);
        let is_open = adjustment.datum[node] == Datum::None && !of.is_impossible(k);
        is_open.then_some(adjustment.component[node])
    };
    let parts: Vec<Option<usize>> = (0..of.scene.markers.len()).map(part).collect();
    let mut sizes = std::collections::BTreeMap::new();
    for part in parts.iter().flatten() {
        *sizes.entry(*part).or_insert(0_usize) += 1;
    }
    let open = parts.iter().enumerate().filter_map(|(k, part)| Some((k, sizes[&(*part)?])));
    open.max_by_key(|(k, size)| (*size, std::cmp::Reverse(*k))).map(|(k, _)| k)
}

fn sentence(scene: &Scene, at: Subject, verb: &str, helps: &[MarkerId]) -> String {
    /// So many things are named.
    const NAMED: usize = 3;
    let name = |id: &MarkerId| subject_name(scene, Subject::Marker(*id));
    let names: Vec<String> = helps.iter().take(NAMED).map(name).collect();
    let more = if helps.len() > NAMED { " and others" } else { "" };
    let things = match helps.len() {
        1 => "1 thing".to_owned(),
        many => format!("{many} things"),
    };
    let place = subject_name(scene, at);
    let what = match at {
        Subject::Marker(_) => format!("The size of {place}, if you know it,"),
        _ => format!("One more figure of known size on {place}"),
    };
    format!("{what} would {verb} {things}: {}{more}.", names.join(", "))
}
