//! Edits of all that is selected, each one undo step.

use crate::canvas::hit::{Grip, Part};
use crate::desk::Desk;
use crate::modes::look_mode::moved;
use crate::properties::support::standing;
use crate::selection::Selection;
use crate::thing::Thing;
use glam::DVec2;
use staffage_scene::{
    Edit, GuideShape, Known, LevelId, Marker, Scene, Stands, Statement, Subject, aligned,
    duplicated, has_sides,
};

/// All markers and lines, and the traced horizon.
pub(crate) fn placed(scene: &Scene) -> impl Iterator<Item = Thing> + '_ {
    let markers = scene.markers.iter().map(|m| Thing::marker(m.id));
    let lines = scene.lines.iter().map(|l| Thing::line(l.id));
    lines.chain(scene.horizon.iter().map(|_| Thing::Horizon)).chain(markers)
}

/// The same with what is only to be painted by: stand-ins and guides.
pub(crate) fn selectable(scene: &Scene) -> impl Iterator<Item = Thing> + '_ {
    let stand_ins = scene.stand_ins.iter().map(|s| Thing::Of(Subject::StandIn(s.id)));
    let guides = scene.guides.iter().map(|g| Thing::guide(g.id));
    guides.chain(stand_ins).chain(placed(scene))
}

/// Everything that a band over the whole picture would select.
pub(crate) fn everything(scene: &Scene) -> Selection {
    Selection::of(selectable(scene))
}

fn subjects(selection: &Selection) -> Vec<Subject> {
    selection.iter().filter_map(Thing::subject).collect()
}

/// The markers among what is selected.
pub(crate) fn markers<'s>(scene: &'s Scene, selection: &Selection) -> Vec<&'s Marker> {
    let marker = |thing| match thing {
        Thing::Of(Subject::Marker(id)) => scene.marker(id),
        _ => None,
    };
    selection.iter().filter_map(marker).collect()
}

/// One edit of many; `None` where there is none. An edit that stands alone keeps its own name.
fn together(edits: Vec<Edit>, label: impl FnOnce(usize) -> String) -> Option<Edit> {
    match edits.len() {
        0 => None,
        1 => edits.into_iter().next(),
        many => Some(Edit::Several { label: label(many), edits }),
    }
}

/// The edit that moves all that is selected by so much, picture units.
pub(crate) fn moved_together(scene: &Scene, selection: &Selection, by: DVec2) -> Option<Edit> {
    let whole = |thing| moved(scene, Grip { thing, part: Part::Whole }, by);
    together(selection.iter().filter_map(whole).collect(), |many| format!("Move {many} things"))
}

/// The edit that deletes all that is selected.
pub(crate) fn deleted(scene: &Scene, selection: &Selection) -> Option<Edit> {
    let delete = |thing| match thing {
        Thing::Horizon => scene.horizon.map(|_| Edit::SetHorizon(None)),
        Thing::Of(Subject::Line(id)) => Some(Edit::RemoveLine(id)),
        Thing::Of(Subject::Marker(id)) => Some(Edit::RemoveMarker(id)),
        Thing::Of(Subject::Level(id)) => Some(Edit::RemoveLevel(id)),
        Thing::Of(Subject::Overlap(id)) => Some(Edit::RemoveOverlap(id)),
        Thing::Of(Subject::StandIn(id)) => Some(Edit::RemoveStandIn(id)),
        Thing::Of(Subject::Guide(id)) => Some(Edit::RemoveGuide(id)),
        Thing::EyeLevel | Thing::VanishingPoint(_) => None,
    };
    let mut edits: Vec<Edit> = selection.iter().filter_map(delete).collect();
    // A marker takes its overlaps along: what is selected of these goes before.
    edits.sort_by_key(|edit| !matches!(edit, Edit::RemoveOverlap(_)));
    together(edits, |many| format!("Delete {many} things"))
}

/// The edit that stands all selected markers on a level.
pub(crate) fn stood_on(scene: &Scene, selection: &Selection, level: LevelId) -> Option<Edit> {
    let stands = Stands::On(level);
    let markers = markers(scene, selection);
    let others = markers.into_iter().filter(|m| m.stands != stands);
    let edits = others.map(|m| Edit::PutMarker(standing(m, stands))).collect();
    let name = scene.level(level).map_or("", |l| l.name.as_str());
    together(edits, |many| format!("Stand {many} things on {name}"))
}

/// The edit that says how large all selected markers are, in place of any size that was said.
pub(crate) fn sized(
    scene: &Scene,
    selection: &Selection,
    size: Known,
    called: &str,
) -> Option<Edit> {
    let known = Statement::KnownSize { size, as_: called.to_owned() };
    let put = |marker: &Marker| {
        let mut after = marker.clone();
        after.statements.retain(|said| !matches!(said, Statement::KnownSize { .. }));
        after.statements.insert(0, known.clone());
        Edit::PutMarker(after)
    };
    let edits = markers(scene, selection).into_iter().map(put).collect();
    together(edits, |many| format!("Set the size of {many} things"))
}

/// Whether anything is selected that can be copied.
pub(crate) fn can_copy(desk: &Desk) -> bool {
    let is_copied = |s: &Subject| !matches!(s, Subject::Level(_) | Subject::Overlap(_));
    subjects(&desk.selection).iter().any(is_copied)
}

/// Copies what is selected, and selects the copies.
pub(crate) fn duplicate(desk: &mut Desk) {
    let about = subjects(&desk.selection);
    let Some((edit, copies)) = duplicated(desk.scene(), desk.assessment(), &about) else { return };
    desk.edit(&edit);
    let there = copies.into_iter().map(Thing::Of).filter(|t| t.exists(desk.scene()));
    let selection = Selection::of(there);
    if !selection.is_empty() {
        desk.select(selection);
    }
}

/// Whether anything is selected that runs along a family.
pub(crate) fn can_align(desk: &Desk) -> bool {
    subjects(&desk.selection).into_iter().any(|subject| match subject {
        Subject::Line(_) => true,
        Subject::Marker(id) => {
            desk.scene().marker(id).is_some_and(|m| staffage_scene::family_of(m.span).is_some())
        }
        Subject::StandIn(id) => desk.scene().stand_in(id).is_some_and(|s| has_sides(s.shape)),
        Subject::Guide(id) => {
            let guide = desk.scene().guide(id);
            guide.is_some_and(|g| matches!(g.shape, GuideShape::Steps(_)))
        }
        Subject::Level(_) | Subject::Overlap(_) => false,
    })
}

/// Turns what is selected along its families.
pub(crate) fn align(desk: &mut Desk) {
    let about = subjects(&desk.selection);
    match aligned(desk.scene(), desk.assessment(), &about) {
        Some(edit) => desk.edit(&edit),
        None if can_align(desk) => {
            desk.told = Some("It runs exactly along its family already.".into());
        }
        None => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_scene::{MarkerId, Overlap, OverlapId, Span, apply};

    fn marker(id: u32) -> Marker {
        Marker {
            id: MarkerId(id),
            name: format!("figure {id}"),
            foot: DVec2::new(0.1 * f64::from(id), 0.1),
            head: DVec2::new(0.1 * f64::from(id), 0.0),
            span: Span::Upright,
            stands: Stands::Unsaid,
            statements: vec![],
        }
    }

    #[test]
    fn markers_go_with_the_overlap_between_them() {
        let overlap = Overlap { id: OverlapId(1), front: MarkerId(1), behind: MarkerId(2) };
        let scene = Scene {
            markers: vec![marker(1), marker(2)],
            overlaps: vec![overlap],
            ..Scene::default()
        };
        let things = [
            Thing::marker(MarkerId(1)),
            Thing::Of(Subject::Overlap(OverlapId(1))),
            Thing::marker(MarkerId(2)),
        ];
        let edit = deleted(&scene, &Selection::of(things)).expect("something to delete");
        assert_eq!(edit.label(&scene), "Delete 3 things");
        let after = apply(&scene, &edit).expect("a sound scene");
        assert!(after.markers.is_empty() && after.overlaps.is_empty());
    }

    #[test]
    fn a_size_takes_the_place_of_the_one_before_and_leaves_the_rest() {
        let mut figure = marker(1);
        let known = |metres| Known { metres, spread: 0.05 };
        let distance = Statement::Distance(known(12.0));
        figure.statements =
            vec![Statement::KnownSize { size: known(1.6), as_: "boy".into() }, distance.clone()];
        let scene = Scene { markers: vec![figure, marker(2)], ..Scene::default() };
        let edit = sized(&scene, &everything(&scene), known(1.8), "guard").expect("two markers");
        assert_eq!(edit.label(&scene), "Set the size of 2 things");
        let after = apply(&scene, &edit).expect("a sound scene");
        let guard = Statement::KnownSize { size: known(1.8), as_: "guard".into() };
        assert_eq!(after.markers[0].statements, [guard.clone(), distance]);
        assert_eq!(after.markers[1].statements, [guard]);
    }
}
