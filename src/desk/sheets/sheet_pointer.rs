//! What the pointer does on the section and the plan.

use crate::actions::act::Act;
use crate::canvas::gesture::Gesture;
use crate::desk::Desk;
use crate::sheets::carrying::{self, Hold};
use crate::sheets::sheet::{Kind, Sheet};
use crate::thing::Thing;
use egui::{CursorIcon, PointerButton, Pos2, Response, Ui};
use glam::DVec2;
use staffage_drawing::{Drawing, Ink, Place};
use staffage_scene::Subject;

/// How near the pointer must come to what stands for a thing, points.
const REACH: f64 = 12.0;

/// How near it must come to take hold of it: a drag on empty ground moves the ground.
const HOLD: f64 = 9.0;

/// Points of wheel movement that enlarge e times.
const WHEEL_PER_E: f32 = 400.0;

/// What lies under the pointer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Hit {
    pub(crate) thing: Thing,
    /// What a drag would take hold of.
    pub(crate) hold: Option<Hold>,
    /// Where that is on the sheet, points.
    pub(crate) at: DVec2,
}

/// What lies under the pointer on a sheet as it was last drawn.
pub(crate) fn under(desk: &Desk, kind: Kind, response: &Response, corner: Pos2) -> Option<Hit> {
    if matches!(desk.gesture, Gesture::Carry(_)) {
        return None;
    }
    let pressed = response.interact_pointer_pos().filter(|_| response.is_pointer_button_down_on());
    let at = on_sheet(pressed.or_else(|| response.hover_pos())?, corner);
    hit(desk.on_sheets.of(kind)?, kind, desk.selected(), at)
}

fn hit(sheet: &Sheet, kind: Kind, selected: Option<Thing>, at: DVec2) -> Option<Hit> {
    held(&sheet.places, kind, selected, at).or_else(|| {
        let thing = thing_under(&sheet.drawing, at)?;
        Some(Hit { thing, hold: None, at })
    })
}

/// The nearest part of anything that can be taken hold of; what is selected comes first, levels last.
fn held(places: &[Place], kind: Kind, selected: Option<Thing>, at: DVec2) -> Option<Hit> {
    let parts = places.iter().flat_map(|place| parts(place, kind, at));
    let own = |hit: &Hit| f64::from(u8::from(Some(hit.thing) != selected));
    let level = |hit: &Hit| f64::from(u8::from(matches!(hit.hold, Some(Hold::Level(_)))));
    let near = parts.filter(|(_, distance)| *distance <= HOLD);
    let rank = |(hit, distance): &(Hit, f64)| 100.0 * level(hit) + 10.0 * own(hit) + distance;
    near.min_by(|a, b| rank(a).total_cmp(&rank(b))).map(|(hit, _)| hit)
}

fn parts(place: &Place, kind: Kind, at: DVec2) -> Vec<(Hit, f64)> {
    let thing = Thing::Of(place.about);
    let part =
        |hold, point: DVec2, distance| (Hit { thing, hold: Some(hold), at: point }, distance);
    let along = distance_to_segment(at, place.foot, place.head);
    match (place.about, kind) {
        (Subject::Level(id), _) => {
            vec![part(Hold::Level(id), DVec2::new(at.x, place.foot.y), along)]
        }
        (Subject::Marker(id), Kind::Section) if place.head != place.foot => {
            let to_head = at.distance(place.head);
            // The head is taken before the body that it ends.
            let at_head = to_head <= HOLD && to_head < 0.6 * at.distance(place.foot);
            vec![match at_head {
                true => part(Hold::Head(id), place.head, along),
                false => part(Hold::Foot(id), place.foot, along),
            }]
        }
        (Subject::Marker(id), _) => vec![part(Hold::Foot(id), place.foot, along)],
        (Subject::StandIn(id), kind) => {
            // All of a body can be taken hold of; what stands in it comes first.
            let inside = within(place, at, 0.0);
            let along = if inside { along.min(0.9 * HOLD) } else { along };
            let to_top = (at.y - place.head.y).abs();
            let near = at.distance(place.head) <= HOLD || within(place, at, 0.5 * HOLD);
            let at_top = kind == Kind::Section
                && near
                && to_top <= HOLD
                && to_top < 0.6 * (at.y - place.foot.y).abs();
            vec![match at_top {
                true => part(Hold::Top(id), place.head, along.min(to_top)),
                false => part(Hold::Ghost(id), place.foot, along),
            }]
        }
        (Subject::Line(_) | Subject::Overlap(_) | Subject::Guide(_), _) => Vec::new(),
    }
}

/// Whether a point is in what a thing covers, or so near to it.
fn within(place: &Place, at: DVec2, near: f64) -> bool {
    let [least, most] = place.extent;
    at.cmpge(least - near).all() && at.cmple(most + near).all()
}

/// The wheel zooms at the pointer; a drag that began on empty ground moves it.
pub(crate) fn navigate(desk: &mut Desk, ui: &Ui, kind: Kind, response: &Response, corner: Pos2) {
    if matches!(desk.gesture, Gesture::Carry(_)) {
        return;
    }
    if let Some(at) = response.hover_pos() {
        let (zoom, scroll) = ui.input(|i| (i.zoom_delta(), i.smooth_scroll_delta()));
        let factor = zoom * (scroll.y / WHEEL_PER_E).exp();
        if factor != 1.0 {
            zoom_sheet(desk, kind, on_sheet(at, corner), f64::from(factor));
        }
        if scroll.x != 0.0 {
            pan_sheet(desk, kind, DVec2::new(f64::from(scroll.x), 0.0));
        }
    }
    let by = response.drag_delta();
    let panning = desk.on_sheets.panning == Some(kind) && response.dragged();
    if panning || response.dragged_by(PointerButton::Middle) {
        pan_sheet(desk, kind, DVec2::new(f64::from(by.x), f64::from(by.y)));
    }
}

fn zoom_sheet(desk: &mut Desk, kind: Kind, at: DVec2, factor: f64) {
    let sheets = &mut desk.on_sheets;
    if let (Kind::Section, Some(paper)) = (kind, sheets.of(kind).and_then(|s| s.paper)) {
        sheets.distances = Some(paper.zoomed(at.x, factor));
    }
    if let (Kind::Plan, Some(ground)) = (kind, sheets.of(kind).and_then(|s| s.ground)) {
        sheets.ground = Some(ground.zoomed(at, factor));
    }
}

fn pan_sheet(desk: &mut Desk, kind: Kind, by: DVec2) {
    let sheets = &mut desk.on_sheets;
    if let (Kind::Section, Some(paper)) = (kind, sheets.of(kind).and_then(|s| s.paper)) {
        sheets.distances = Some(paper.panned(by.x));
    }
    if let (Kind::Plan, Some(ground)) = (kind, sheets.of(kind).and_then(|s| s.ground)) {
        sheets.ground = Some(ground.panned(by));
    }
}

/// Clicks select, drags carry.
pub(crate) fn gestures(
    desk: &mut Desk,
    ui: &Ui,
    kind: Kind,
    response: &Response,
    corner: Pos2,
    under: Option<Hit>,
    acts: &mut Vec<Act>,
) {
    let primary = PointerButton::Primary;
    if response.drag_started_by(primary)
        && let Some(origin) = ui.input(|i| i.pointer.press_origin())
    {
        ui.memory_mut(|m| m.focused().into_iter().for_each(|id| m.surrender_focus(id)));
        let origin = on_sheet(origin, corner);
        let hit = desk.on_sheets.of(kind).and_then(|s| hit(s, kind, desk.selected(), origin));
        match hit.and_then(|hit| hit.hold.map(|hold| (hit, hold))) {
            Some((hit, hold)) if carrying::take_hold(desk, kind, hold, hit.at, origin) => {}
            // A level that is not stated by hand stays, and so does the ground.
            Some((Hit { thing: Thing::Of(Subject::Marker(_)), .. }, _)) => {}
            _ => desk.on_sheets.panning = Some(kind),
        }
    }
    let at = response.interact_pointer_pos().map(|at| on_sheet(at, corner));
    carrying::drag(desk, kind, response, at, acts);
    if response.drag_stopped() {
        desk.on_sheets.panning = None;
    }
    if response.clicked() {
        acts.push(Act::Select(under.map(|hit| hit.thing)));
    }
    if response.double_clicked() {
        match under {
            Some(hit) => acts.push(Act::Centre(hit.thing)),
            None => desk.on_sheets.fit(),
        }
    }
    if response.hovered() || response.dragged() {
        ui.set_cursor_icon(cursor(desk, kind, under));
    }
}

fn cursor(desk: &Desk, kind: Kind, under: Option<Hit>) -> CursorIcon {
    if matches!(desk.gesture, Gesture::Carry(_)) || desk.on_sheets.panning.is_some() {
        return CursorIcon::Grabbing;
    }
    match under.map(|hit| (hit.hold, hit.hold.is_some_and(|h| carrying::can_hold(desk, h).is_ok())))
    {
        None => CursorIcon::Default,
        Some((Some(Hold::Level(_) | Hold::Head(_) | Hold::Top(_)), true)) => {
            CursorIcon::ResizeVertical
        }
        Some((Some(Hold::Foot(_) | Hold::Ghost(_)), true)) if kind == Kind::Section => {
            CursorIcon::ResizeHorizontal
        }
        Some((Some(Hold::Foot(_) | Hold::Ghost(_)), true)) => CursorIcon::Grab,
        Some(_) => CursorIcon::PointingHand,
    }
}

pub(crate) fn on_sheet(at: Pos2, corner: Pos2) -> DVec2 {
    DVec2::new(f64::from(at.x - corner.x), f64::from(at.y - corner.y))
}

/// The thing whose ink is nearest to a point of the sheet, if any is near.
fn thing_under(drawing: &Drawing, at: DVec2) -> Option<Thing> {
    let near = |subject: Subject, ink: &Ink| (Thing::Of(subject), distance(ink, at));
    drawing
        .groups
        .iter()
        .filter(|group| group.name != "sight-lines")
        .filter_map(|group| Some((group.about?, &group.ink)))
        .flat_map(|(subject, ink)| ink.iter().map(move |i| near(subject, i)))
        .filter(|(_, distance)| *distance <= REACH)
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(thing, _)| thing)
}

fn distance(ink: &Ink, at: DVec2) -> f64 {
    match ink {
        Ink::Stroke { points, .. } => points
            .windows(2)
            .map(|ends| distance_to_segment(at, ends[0], ends[1]))
            .fold(f64::INFINITY, f64::min),
        Ink::Disc { centre, .. } => centre.distance(at),
        Ink::Words { at: place, offset, .. } => (*place + *offset).distance(at),
        Ink::Fill { points, .. } => {
            let sum: DVec2 = points.iter().copied().sum();
            (sum / points.len().max(1) as f64).distance(at)
        }
    }
}

fn distance_to_segment(p: DVec2, a: DVec2, b: DVec2) -> f64 {
    let along = b - a;
    let length_sq = along.length_squared();
    let t = if length_sq > 0.0 { ((p - a).dot(along) / length_sq).clamp(0.0, 1.0) } else { 0.0 };
    p.distance(a + along * t)
}

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_drawing::{Colour, Group};
    use staffage_scene::{LevelId, MarkerId, StandInId};

    #[test]
    fn the_nearest_ink_tells_which_thing_is_meant() {
        let stroke = |x: f64| Ink::Stroke {
            points: [DVec2::new(x, 0.0), DVec2::new(x, 50.0)].into_iter().collect(),
            width: 1.0,
            colour: Colour([0, 0, 0, 255]),
            dash: None,
        };
        let group = |id, x| {
            let about = Some(Subject::Marker(MarkerId(id)));
            Group { name: "staff", about, ink: vec![stroke(x)] }
        };
        let drawing = Drawing { groups: vec![group(1, 20.0), group(2, 35.0)] };
        let under = |x| thing_under(&drawing, DVec2::new(x, 25.0));
        assert_eq!(under(24.0), Some(Thing::marker(MarkerId(1))));
        assert_eq!(under(33.0), Some(Thing::marker(MarkerId(2))));
        assert_eq!(under(80.0), None);
    }

    #[test]
    fn a_head_is_taken_at_its_end_a_foot_along_the_body_and_a_level_only_away_from_both() {
        let (figure, ground) = (Subject::Marker(MarkerId(1)), Subject::Level(LevelId(1)));
        let (foot, head) = (DVec2::new(100.0, 80.0), DVec2::new(100.0, 40.0));
        let line = [DVec2::new(40.0, 80.0), DVec2::new(300.0, 80.0)];
        let places = [
            Place { about: ground, foot: line[0], head: line[1], extent: line },
            Place { about: figure, foot, head, extent: [head, foot] },
        ];
        let hold = |x, y| held(&places, Kind::Section, None, DVec2::new(x, y)).and_then(|h| h.hold);
        assert_eq!(hold(101.0, 42.0), Some(Hold::Head(MarkerId(1))));
        assert_eq!(hold(103.0, 60.0), Some(Hold::Foot(MarkerId(1))));
        assert_eq!(hold(101.0, 81.0), Some(Hold::Foot(MarkerId(1))));
        assert_eq!(hold(200.0, 78.0), Some(Hold::Level(LevelId(1))));
        assert_eq!(hold(200.0, 20.0), None);
    }

    #[test]
    fn a_hull_is_taken_anywhere_between_bow_and_stern_and_by_all_of_its_top() {
        let hull = Subject::StandIn(StandInId(1));
        let (foot, head) = (DVec2::new(200.0, 90.0), DVec2::new(200.0, 40.0));
        let extent = [DVec2::new(120.0, 40.0), DVec2::new(260.0, 90.0)];
        let figure = Subject::Marker(MarkerId(1));
        let (sole, crown) = (DVec2::new(150.0, 90.0), DVec2::new(150.0, 75.0));
        let places = [
            Place { about: hull, foot, head, extent },
            Place { about: figure, foot: sole, head: crown, extent: [crown, sole] },
        ];
        let hold = |x, y| held(&places, Kind::Section, None, DVec2::new(x, y)).and_then(|h| h.hold);
        assert_eq!(hold(130.0, 70.0), Some(Hold::Ghost(StandInId(1))));
        assert_eq!(hold(250.0, 70.0), Some(Hold::Ghost(StandInId(1))));
        assert_eq!(hold(250.0, 43.0), Some(Hold::Top(StandInId(1))));
        assert_eq!(hold(152.0, 84.0), Some(Hold::Foot(MarkerId(1))));
        assert_eq!(hold(275.0, 70.0), None);
        let from_above = held(&places, Kind::Plan, None, DVec2::new(250.0, 43.0));
        assert_eq!(from_above.and_then(|h| h.hold), Some(Hold::Ghost(StandInId(1))));
    }
}
