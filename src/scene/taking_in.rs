//! Taking one idea into another: what is new comes along with all it refers to, under ids and names
//! that are free.

use crate::{Idea, Marker, MarkerId, Overlap, OverlapId, Scene, Stands, Statement, Subject};
use std::collections::BTreeMap;

/// Puts into the scene what an idea has and the scene has not. `from` is what the idea is called.
pub(crate) fn take_in(scene: &mut Scene, idea: Idea, from: &str) {
    let Idea { markers, overlaps, stand_ins, intended } = idea;
    let renumbered = take_markers(scene, markers, from);
    let now = |id: MarkerId| renumbered.get(&id).copied().unwrap_or(id);
    let overlaps = take_overlaps(scene, overlaps, now);
    for mut stand_in in stand_ins {
        if scene.stand_ins.contains(&stand_in) {
            continue;
        }
        if scene.stand_in(stand_in.id).is_some() {
            stand_in.id = scene.next_stand_in_id();
        }
        let taken = |name: &str| scene.stand_ins.iter().any(|s| s.name == name);
        stand_in.name = free_name(&stand_in.name, from, taken);
        scene.stand_ins.push(stand_in);
    }
    for mut kept in intended {
        kept.about = match kept.about {
            Subject::Marker(id) => Subject::Marker(now(id)),
            Subject::Overlap(id) => Subject::Overlap(overlaps.get(&id).copied().unwrap_or(id)),
            other => other,
        };
        let there = scene.intended.iter().any(|i| i.about == kept.about);
        if !there && scene.has(kept.about) {
            scene.intended.push(kept);
        }
    }
}

/// Which ids the newcomers have whose own are taken.
fn take_markers(
    scene: &mut Scene,
    mut markers: Vec<Marker>,
    from: &str,
) -> BTreeMap<MarkerId, MarkerId> {
    markers.retain(|marker| scene.marker(marker.id) != Some(marker));
    let mut renumbered = BTreeMap::new();
    let arrived = scene.markers.len();
    for mut marker in markers {
        let own = marker.id;
        if scene.marker(own).is_some() {
            marker.id = scene.next_marker_id();
            renumbered.insert(own, marker.id);
        }
        let taken = |name: &str| scene.markers.iter().any(|m| m.name == name);
        marker.name = free_name(&marker.name, from, taken);
        scene.markers.push(marker);
    }
    for newcomer in &mut scene.markers[arrived..] {
        refer(newcomer, |id| renumbered.get(&id).copied().unwrap_or(id));
    }
    renumbered
}

/// Which overlap each of the idea's has become.
fn take_overlaps(
    scene: &mut Scene,
    overlaps: Vec<Overlap>,
    now: impl Fn(MarkerId) -> MarkerId,
) -> BTreeMap<OverlapId, OverlapId> {
    let mut became = BTreeMap::new();
    for overlap in overlaps {
        let (front, behind) = (now(overlap.front), now(overlap.behind));
        let there = scene.overlaps.iter().find(|o| (o.front, o.behind) == (front, behind));
        let id = there.map_or_else(|| scene.next_overlap_id(), |o| o.id);
        if there.is_none() {
            scene.overlaps.push(Overlap { id, front, behind });
        }
        became.insert(overlap.id, id);
    }
    became
}

/// The name itself where it is free, else one that tells where it is from.
fn free_name(name: &str, from: &str, taken: impl Fn(&str) -> bool) -> String {
    let numbered = (2..).map(|number| format!("{name} ({from} {number})"));
    let names = [name.to_owned(), format!("{name} ({from})")].into_iter().chain(numbered);
    names.into_iter().find(|name| !taken(name)).unwrap_or_default()
}

/// Turns a marker's references to others to their new ids.
fn refer(marker: &mut Marker, now: impl Fn(MarkerId) -> MarkerId) {
    if let Stands::OnTop(base) = &mut marker.stands {
        *base = now(*base);
    }
    for said in &mut marker.statements {
        match said {
            Statement::SameMake { of, .. }
            | Statement::Times { of, .. }
            | Statement::SameDistance { of, .. } => *of = now(*of),
            Statement::KnownSize { .. } | Statement::Distance(_) => {}
        }
    }
}
