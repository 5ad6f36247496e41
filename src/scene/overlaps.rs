//! What overlaps say: which of them cannot be, and what the others tell of things that nothing else
//! fixes.

use crate::entries::Snooping;
use crate::findings::finding;
use crate::why::{because_of_distances, kept_paths};
use crate::wording::{distance_within, factor, size_within, subject_name};
use crate::{Bounds, Finding, MarkerId, Overlap, Scene, Span, Standing, Subject, Unit, Units};
use staffage_solver::{
    AdjustError, Datum, Difference, Ledger, NOTICEABLE, Order, Range, SIGNIFICANT, Snooped, cycles,
    ranges, within_order,
};

/// Standard deviations by which a bound gives way: the half-width of a 95 % interval.
const MARGIN: f64 = 1.96;

/// The distance nodes of each overlap whose things are both there, front first.
pub(crate) fn overlapping_nodes(scene: &Scene, ledger: &Ledger) -> Vec<(usize, usize)> {
    both_there(scene)
        .map(|(_, front, behind)| (ledger.distance_node(front), ledger.distance_node(behind)))
        .collect()
}

/// Overlaps whose things are both there, with the places of the thing in front and the one behind.
fn both_there(scene: &Scene) -> impl Iterator<Item = (Overlap, usize, usize)> + '_ {
    let place = |id: MarkerId| scene.markers.iter().position(|m| m.id == id);
    scene.overlaps.iter().filter_map(move |o| Some((*o, place(o.front)?, place(o.behind)?)))
}

/// Finds the overlaps that cannot be; lets the others move the adjusted distances, within chance, into
/// an order that keeps them; and bounds what nothing else fixes.
pub(crate) fn read_overlaps(of: &mut Snooping<'_>) -> Vec<Finding> {
    let Some(snooped) = &of.snooped else { return Vec::new() };
    let all = std::iter::zip(both_there(of.scene), &snooped.adjustment.ratios);
    let (turned, rest): (Vec<_>, Vec<_>) = all
        .map(|((overlap, front, behind), ratio)| (overlap, front, behind, *ratio))
        .partition(|(.., ratio)| ratio.is_some_and(is_turned_round));
    let mut findings = Vec::new();
    if !turned.is_empty()
        && let Some(paths) = kept_paths(of)
    {
        findings.extend(turned.iter().map(|&(overlap, front, behind, ratio)| {
            let because = because_of_distances(of, &paths, front, behind);
            Finding { because, ..turned_round(of, overlap, front, behind, ratio) }
        }));
    }
    let mut kept: Vec<(Overlap, Order)> = rest
        .into_iter()
        .filter(|(_, front, behind, _)| front != behind)
        .map(|(overlap, front, behind, _)| {
            let node = |marker| of.ledger.distance_node(marker);
            (overlap, Order { nearer: node(front), farther: node(behind) })
        })
        .collect();
    findings.extend(take_cycles(of.scene, &mut kept));
    if let Err(error) = keep_order(of, &kept, &mut findings) {
        tracing::warn!(%error, "what overlaps say of distances was not worked out");
    }
    findings
}

/// Whether the adjusted distances turn an overlap round, beyond chance and beyond what an eye
/// overlooks.
fn is_turned_round(ratio: Difference) -> bool {
    ratio.value > SIGNIFICANT * ratio.sd && ratio.value > NOTICEABLE.ln()
}

fn turned_round(
    of: &Snooping<'_>,
    overlap: Overlap,
    front: usize,
    behind: usize,
    ratio: Option<Difference>,
) -> Finding {
    let far = |place| {
        of.measure(of.ledger.distance_node(place)).map(|(d, unit)| of.units.measure(d, unit))
    };
    let distances = far(front)
        .zip(far(behind))
        .map_or(String::new(), |(front, behind)| format!(": {front} off against {behind}"));
    let sentence = format!(
        "{} hides part of {}, but it lies {} times as far off{distances}.",
        name(of.scene, overlap.front),
        name(of.scene, overlap.behind),
        factor(ratio.map_or(0.0, |r| r.value).exp()),
    );
    let with = vec![Subject::Marker(overlap.front), Subject::Marker(overlap.behind)];
    finding(Subject::Overlap(overlap.id), with, Standing::Contradicts, sentence)
}

fn name(scene: &Scene, id: MarkerId) -> String {
    subject_name(scene, Subject::Marker(id))
}

/// Takes the overlaps that run in a circle out of the list, and tells of each circle once.
fn take_cycles(scene: &Scene, kept: &mut Vec<(Overlap, Order)>) -> Vec<Finding> {
    let order: Vec<Order> = kept.iter().map(|(_, order)| *order).collect();
    let cycles = cycles(&order);
    let findings = cycles
        .iter()
        .map(|cycle| {
            let overlaps: Vec<Overlap> = cycle.iter().map(|&k| kept[k].0).collect();
            cycle_finding(scene, &overlaps)
        })
        .collect();
    let circular: Vec<usize> = cycles.into_iter().flatten().collect();
    let mut place = 0;
    kept.retain(|_| {
        place += 1;
        !circular.contains(&(place - 1))
    });
    findings
}

fn cycle_finding(scene: &Scene, overlaps: &[Overlap]) -> Finding {
    let hides =
        |o: &Overlap| format!("{} hides part of {}", name(scene, o.front), name(scene, o.behind));
    let said: Vec<String> = overlaps.iter().map(hides).collect();
    let sentence = format!(
        "{}: things cannot hide each other in a circle. Turn one of these overlaps round, or remove it.",
        listed(&said)
    );
    let about = Subject::Overlap(overlaps[0].id);
    let mut with: Vec<Subject> = overlaps[1..].iter().map(|o| Subject::Overlap(o.id)).collect();
    with.extend(overlaps.iter().map(|o| Subject::Marker(o.front)));
    finding(about, with, Standing::Contradicts, sentence)
}

/// "a, b and c".
fn listed(said: &[String]) -> String {
    match said {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// Moves the adjusted distances into order and bounds what is open.
fn keep_order(
    of: &mut Snooping<'_>,
    kept: &[(Overlap, Order)],
    findings: &mut Vec<Finding>,
) -> Result<(), AdjustError> {
    let Some(snooped) = &mut of.snooped else { return Ok(()) };
    let order: Vec<Order> = kept.iter().map(|(_, order)| *order).collect();
    let values = within_order(&snooped.network, &snooped.adjustment, &order)?;
    snooped.adjustment.values = values;
    let open: Vec<usize> = (0..of.scene.markers.len())
        .filter(|&k| {
            [of.ledger.distance_node(k), of.ledger.size_node(k)]
                .iter()
                .any(|&n| is_open(snooped, n))
        })
        .collect();
    of.bounds = vec![None; of.scene.markers.len()];
    if order.is_empty() || open.is_empty() {
        return Ok(());
    }
    let nodes: Vec<usize> =
        open.iter().flat_map(|&k| [of.ledger.distance_node(k), of.ledger.size_node(k)]).collect();
    for (datum, unit) in references(of.scene) {
        let found = said_of(snooped, &order, &nodes, datum, MARGIN)?;
        for (&marker, range) in open.iter().zip(found.chunks(2)) {
            let bounds = bounds(range[0], range[1], unit);
            of.bounds[marker] = of.bounds[marker].or(bounds);
        }
    }
    let beyond_chance = said_of(snooped, &order, &nodes, Datum::Benchmark, SIGNIFICANT)?;
    for (&marker, range) in open.iter().zip(beyond_chance.chunks(2)) {
        if let (Some(low), Some(high)) = (range[0].low, range[0].high)
            && low - high > NOTICEABLE.ln()
        {
            findings.extend(no_room(
                (of.scene, of.units),
                kept,
                marker,
                [low, high].map(f64::exp),
                findings,
            ));
        }
    }
    Ok(())
}

/// Whether nothing, not even an eye height, gives a node a scale.
fn is_open(snooped: &Snooped, node: usize) -> bool {
    snooped.adjustment.datum[node] == Datum::None
}

/// What bounds can be given in: metres, or else the eye's height over a level.
fn references(scene: &Scene) -> impl Iterator<Item = (Datum, Unit)> + '_ {
    let levels = scene.levels.iter().enumerate();
    let eye_heights = levels.map(|(k, level)| (Datum::Node(k), Unit::EyeHeights(level.id)));
    std::iter::once((Datum::Benchmark, Unit::Metres)).chain(eye_heights)
}

fn said_of(
    snooped: &Snooped,
    order: &[Order],
    nodes: &[usize],
    known: Datum,
    margin: f64,
) -> Result<Vec<Range>, AdjustError> {
    if !snooped.adjustment.datum.contains(&known) {
        return Ok(vec![Range::default(); nodes.len()]);
    }
    let Snooped { network, adjustment, .. } = snooped;
    ranges(network, adjustment, &adjustment.values, order, nodes, known, margin)
}

/// The bounds of a thing, if there are any and they leave it room.
fn bounds(distance: Range, size: Range, unit: Unit) -> Option<Bounds> {
    let says = |r: Range| r.low.is_some() || r.high.is_some();
    let has_room = |r: Range| r.low.zip(r.high).is_none_or(|(low, high)| low <= high);
    let plain = |ln: Option<f64>| ln.map(|ln| ln.clamp(-60.0, 60.0).exp());
    ((says(distance) || says(size)) && has_room(distance) && has_room(size)).then(|| Bounds {
        nearest: plain(distance.low),
        farthest: plain(distance.high),
        smallest: plain(size.low),
        largest: plain(size.high),
        unit,
    })
}

/// A thing that its overlaps leave no room for; once for each overlap.
fn no_room(
    (scene, units): (&Scene, Units),
    kept: &[(Overlap, Order)],
    place: usize,
    [low, high]: [f64; 2],
    told: &[Finding],
) -> Option<Finding> {
    let id = scene.markers[place].id;
    let touching: Vec<Subject> = kept
        .iter()
        .filter(|(o, _)| o.front == id || o.behind == id)
        .map(|(o, _)| Subject::Overlap(o.id))
        .collect();
    let about = *touching.first()?;
    if told.iter().any(|f| f.about == about || f.with.contains(&about)) {
        return None;
    }
    let sentence = format!(
        "The overlaps leave no room for {}: it would have to lie beyond {} and nearer than {}. Turn one of them round, or remove it.",
        name(scene, id),
        units.metres(low),
        units.metres(high),
    );
    let mut with = touching[1..].to_vec();
    with.push(Subject::Marker(id));
    Some(finding(about, with, Standing::Contradicts, sentence))
}

/// Bounds in words, to follow a thing's name: "by its overlaps it lies beyond 41 m, so it is longer
/// than 96 m".
pub(crate) fn within(units: Units, bounds: Bounds, span: Span) -> String {
    match (distance_within(units, bounds), size_within(units, bounds, span)) {
        (Some(distance), Some(size)) => {
            format!("by its overlaps it lies {distance}, so it is {size}")
        }
        (Some(distance), None) => format!("by its overlaps it lies {distance}"),
        (None, Some(size)) => format!("by its overlaps it is {size}"),
        (None, None) => "its overlaps say nothing".to_owned(),
    }
}
