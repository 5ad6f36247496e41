//! Looking: select, move, read.

use crate::actions::act::Act;
use crate::canvas::Pointer;
use crate::canvas::gesture::Gesture;
use crate::canvas::hit::{Grip, Part, position};
use crate::canvas::snap::{self, End};
use crate::desk::Desk;
use crate::modes::mark_mode::on_line;
use crate::modes::naming::has_name;
use crate::selection::Selection;
use crate::thing::Thing;
use crate::{
    canvas::{band, stand_in_hit},
    eye::{eye_hit, eye_pull},
    properties::several,
};
use egui::Pos2;
use glam::DVec2;
use staffage_scene::{
    Edit, Guide, GuideShape, Line, Marker, Reach, Round, Scene, Segment, StandIn, Steps, Subject,
};
use std::sync::Arc;

pub(crate) fn gestures(desk: &mut Desk, pointer: &Pointer) -> Vec<Act> {
    if let Some(origin) = pointer.drag_started {
        match desk.pointing().grip(origin) {
            _ if stand_in_hit::take_hold(desk, origin) => {}
            None if stand_in_hit::take_footprint(desk, origin) => {}
            Some(grip) if is_movable(desk, grip) => take_hold(desk, grip, origin),
            None if take_body(desk, origin) => {}
            None if eye_pull::take_hold(desk, origin) => {}
            _ => band::start(desk, origin, pointer.shift),
        }
    }
    if pointer.clicked {
        let grip = pointer.at.and_then(|at| desk.pointing().grip(at));
        let stand_in = || pointer.at.and_then(|at| stand_in_hit::under(desk, at));
        let body = || stand_in().map(|id| Thing::Of(Subject::StandIn(id)));
        let of_eye = || pointer.at.and_then(|at| eye_hit::hold(desk, at)).map(|hold| hold.thing);
        let thing = grip.map(|g| g.thing).or_else(body).or_else(of_eye);
        let named = thing.filter(|thing| has_name(*thing));
        return match named.filter(|_| pointer.double_clicked && !pointer.shift) {
            Some(thing) => vec![Act::AskName(thing)],
            None => vec![clicked(thing, pointer)],
        };
    }
    match desk.gesture {
        Gesture::Pull(_) => eye_pull::drag(desk, pointer),
        Gesture::Band { .. } => band::drag(desk, pointer),
        Gesture::Pose { .. } => stand_in_hit::drag(desk, pointer),
        _ => drag(desk, pointer),
    }
}

/// A click on a thing or on nothing: with Shift it adds the thing or takes it away.
pub(crate) fn clicked(thing: Option<Thing>, pointer: &Pointer) -> Act {
    match thing {
        Some(thing) if pointer.shift => Act::SelectToo(thing),
        None if pointer.shift => Act::Involve(Vec::new()),
        thing => Act::Select(thing),
    }
}

/// Where lines and markers are drawn: takes hold of the handle of the selected thing that was
/// pressed. Whether there is one.
pub(crate) fn take_hold_while_drawing(desk: &mut Desk, origin: Pos2) -> bool {
    let grip = desk.pointing().handle_while_drawing(origin);
    grip.into_iter().for_each(|grip| take_hold(desk, grip, origin));
    grip.is_some()
}

/// Takes hold of the selected stand-in by its body.
fn take_body(desk: &mut Desk, origin: Pos2) -> bool {
    let thing = stand_in_hit::under(desk, origin).map(|id| Thing::Of(Subject::StandIn(id)));
    let Some(thing) = thing.filter(|thing| desk.selected() == Some(*thing)) else { return false };
    take_hold(desk, Grip { thing, part: Part::Whole }, origin);
    true
}

fn take_hold(desk: &mut Desk, grip: Grip, origin: Pos2) {
    let from = desk.view.to_picture(desk.canvas, origin);
    let before = Arc::clone(desk.history.present());
    if !(desk.selection.is_several() && desk.selection.has(grip.thing)) {
        desk.selection = Selection::only(grip.thing);
    }
    desk.gesture = Gesture::Move { grip, from, before };
}

/// A handle can always be dragged; the whole of a thing only once it is selected, so that moving the
/// view over a crowded picture moves nothing else.
fn is_movable(desk: &Desk, grip: Grip) -> bool {
    grip.part != Part::Whole || desk.selection.has(grip.thing)
}

/// A drag of something, in whatever mode.
pub(crate) fn drag(desk: &mut Desk, pointer: &Pointer) -> Vec<Act> {
    let Gesture::Move { grip, from, before } = desk.gesture.clone() else { return Vec::new() };
    let mut acts = Vec::new();
    if let Some(at) = pointer.at.filter(|_| pointer.dragged || pointer.released) {
        let by = moved_by(desk, pointer, (grip, from, &before), at);
        let edit = if desk.selection.is_several() {
            several::moved_together(&before, &desk.selection, by)
        } else {
            moved(&before, grip, by)
        };
        let edit = if pointer.shift { edit.map(|e| kept_on_line(desk, grip, e)) } else { edit };
        acts.extend(edit.map(Act::Preview));
    }
    if pointer.released {
        desk.snap = None;
        acts.push(Act::Commit);
        desk.gesture = Gesture::Idle;
    }
    acts
}

/// How far what is held has been moved, to where it is caught, picture units.
fn moved_by(
    desk: &mut Desk,
    pointer: &Pointer,
    (grip, from, before): (Grip, DVec2, &Scene),
    at: Pos2,
) -> DVec2 {
    let by = desk.picture_point(at) - from;
    let marker = match grip.thing {
        Thing::Of(Subject::Marker(id)) => before.marker(id),
        _ => None,
    };
    let end = End::held(grip, marker).filter(|_| !pointer.shift && !desk.selection.is_several());
    match (end, position(before, grip)) {
        (Some(end), Some(was)) => {
            let place = desk.view.to_screen(desk.canvas, was + by);
            let caught = snap::placed_at(desk, pointer, &end, place);
            // A screen point is coarser than a picture point: what is not caught is not rounded.
            if desk.snap.as_ref().is_some_and(|s| s.caught) { caught - was } else { by }
        }
        _ => by,
    }
}

/// With Shift a marker's head stays exactly on the line on which its span runs.
fn kept_on_line(desk: &Desk, grip: Grip, edit: Edit) -> Edit {
    match edit {
        Edit::PutMarker(marker) if grip.part == Part::Head => {
            let head = on_line(desk.assessment(), marker.span, marker.foot, marker.head);
            Edit::PutMarker(Marker { head, ..marker })
        }
        other => other,
    }
}

/// The edit that moves a part of a thing by so much, picture units.
pub(crate) fn moved(scene: &Scene, grip: Grip, by: DVec2) -> Option<Edit> {
    match grip.thing {
        Thing::Horizon => {
            scene.horizon.map(|s| Edit::SetHorizon(Some(moved_segment(s, grip.part, by))))
        }
        Thing::Of(Subject::Line(id)) => scene.line(id).map(|line| {
            Edit::PutLine(Line { segment: moved_segment(line.segment, grip.part, by), ..*line })
        }),
        Thing::Of(Subject::Marker(id)) => {
            scene.marker(id).map(|m| Edit::PutMarker(moved_marker(m, grip.part, by)))
        }
        Thing::Of(Subject::Guide(id)) => {
            scene.guide(id).map(|g| Edit::PutGuide(moved_guide(g, grip.part, by)))
        }
        Thing::Of(Subject::StandIn(id)) => {
            scene.stand_in(id).map(|s| Edit::PutStandIn(moved_stand_in(s, grip.part, by)))
        }
        Thing::Of(Subject::Level(_) | Subject::Overlap(_))
        | Thing::EyeLevel
        | Thing::VanishingPoint(_) => None,
    }
}

fn moved_guide(guide: &Guide, part: Part, by: DVec2) -> Guide {
    let mut shape = guide.shape;
    match (&mut shape, part) {
        (GuideShape::Steps(steps), Part::Foot) => steps.from += by,
        (GuideShape::Steps(steps), Part::Head) => steps.to += by,
        (GuideShape::Steps(Steps { post: Some(post), .. }), Part::Tie) => post.top += by,
        (GuideShape::Round(Round { radius: Reach::To(rim), .. }), Part::Head) => *rim += by,
        (GuideShape::Round(Round { carried: Some(Reach::To(end)), .. }), Part::Tie) => *end += by,
        // A circle goes along with its centre, so that its rim stays as far off.
        _ => shape = shape.moved(by),
    }
    Guide { shape, ..guide.clone() }
}

fn moved_segment(Segment(a, b): Segment, part: Part, by: DVec2) -> Segment {
    match part {
        Part::Foot => Segment(a + by, b),
        Part::Head => Segment(a, b + by),
        Part::Whole | Part::Tie => Segment(a + by, b + by),
    }
}

/// A row or a patch can be stretched by its end; one alone has no other.
fn moved_stand_in(stand_in: &StandIn, part: Part, by: DVec2) -> StandIn {
    match (part, stand_in.arranged.to()) {
        (Part::Foot, Some(_)) => StandIn { foot: stand_in.foot + by, ..stand_in.clone() },
        (Part::Head, Some(to)) => {
            StandIn { arranged: stand_in.arranged.reaching(to + by), ..stand_in.clone() }
        }
        _ => stand_in.moved(by),
    }
}

fn moved_marker(marker: &Marker, part: Part, by: DVec2) -> Marker {
    let mut moved = marker.clone();
    if matches!(part, Part::Foot | Part::Whole) {
        moved.foot += by;
    }
    if matches!(part, Part::Head | Part::Whole) {
        moved.head += by;
    }
    if let (Part::Tie | Part::Whole, Some(tie)) = (part, moved.stands.tie()) {
        moved.stands = moved.stands.tied_at(tie + by);
    }
    moved
}

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_scene::Stands;
    use staffage_scene::{LevelId, MarkerId, Span};

    fn scene() -> Scene {
        let plumb = DVec2::new(0.0, 0.2);
        let marker = Marker {
            id: MarkerId(1),
            name: "kite".into(),
            foot: DVec2::new(0.0, 0.1),
            head: DVec2::new(0.0, 0.0),
            span: Span::Upright,
            stands: Stands::Over { level: LevelId(1), plumb },
            statements: vec![],
        };
        Scene { markers: vec![marker], ..Scene::default() }
    }

    fn marker_after(part: Part) -> Marker {
        let grip = Grip { thing: Thing::marker(MarkerId(1)), part };
        match moved(&scene(), grip, DVec2::new(0.1, 0.0)) {
            Some(Edit::PutMarker(marker)) => marker,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn dragging_the_head_leaves_the_foot() {
        let marker = marker_after(Part::Head);
        assert_eq!((marker.foot.x, marker.head.x), (0.0, 0.1));
    }

    #[test]
    fn dragging_the_whole_takes_the_plumb_point_along() {
        let marker = marker_after(Part::Whole);
        assert_eq!((marker.foot.x, marker.head.x), (0.1, 0.1));
        let plumb = DVec2::new(0.1, 0.2);
        assert_eq!(marker.stands, Stands::Over { level: LevelId(1), plumb });
    }

    #[test]
    fn levels_have_nothing_to_drag() {
        let grip = Grip { thing: Thing::Of(Subject::Level(LevelId(1))), part: Part::Whole };
        assert_eq!(moved(&scene(), grip, DVec2::X), None);
    }
}
