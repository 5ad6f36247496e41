//! A band drawn over the canvas, which selects what lies in it.

use crate::actions::act::Act;
use crate::canvas::Pointer;
use crate::canvas::gesture::Gesture;
use crate::canvas::hit::segment;
use crate::desk::Desk;
use crate::properties::several::selectable;
use crate::selection::Selection;
use crate::thing::Thing;
use egui::{Color32, Painter, Pos2, Rect, Stroke, StrokeKind};
use staffage_scene::Segment;

/// Begins a band; one that adds keeps what is selected.
pub(crate) fn start(desk: &mut Desk, origin: Pos2, adds: bool) {
    let (from, before) = (desk.picture_point(origin), desk.selection.clone());
    desk.gesture = Gesture::Band { from, before, adds };
}

/// What lies in the band is selected while it is drawn.
pub(crate) fn drag(desk: &mut Desk, pointer: &Pointer) -> Vec<Act> {
    let Gesture::Band { from, before, adds } = &desk.gesture else { return Vec::new() };
    if let Some(at) = pointer.at {
        let band = Rect::from_two_pos(desk.view.to_screen(desk.canvas, *from), at);
        let mut selection = if *adds { before.clone() } else { Selection::default() };
        selection.extend(within(desk, band));
        if selection != desk.selection {
            desk.select(selection);
        }
    }
    if pointer.released {
        desk.gesture = Gesture::Idle;
    }
    Vec::new()
}

/// The things that lie in a part of the screen with both their ends.
fn within(desk: &Desk, band: Rect) -> Vec<Thing> {
    let inside = |at| band.contains(desk.view.to_screen(desk.canvas, at));
    let is_within = |thing: &Thing| {
        segment(desk.scene(), *thing).is_some_and(|Segment(a, b)| inside(a) && inside(b))
    };
    selectable(desk.scene()).filter(is_within).collect()
}

pub(crate) fn sentence(desk: &Desk) -> String {
    let said = match desk.selection.len() {
        0 => "What lies in the band with both ends is selected".to_owned(),
        1 => "1 thing selected".to_owned(),
        many => format!("{many} things selected"),
    };
    format!("{said}; Shift adds to what was, Esc gives it up.")
}

pub(crate) fn paint(desk: &Desk, painter: &Painter) {
    let Gesture::Band { from, .. } = &desk.gesture else { return };
    let Some(at) = painter.ctx().input(|i| i.pointer.latest_pos()) else { return };
    let band = Rect::from_two_pos(desk.view.to_screen(desk.canvas, *from), at);
    painter.rect_filled(band, 0, Color32::from_white_alpha(14));
    painter.rect_stroke(
        band,
        0,
        Stroke::new(3.0, Color32::from_black_alpha(110)),
        StrokeKind::Middle,
    );
    painter.rect_stroke(band, 0, Stroke::new(1.0, Color32::WHITE), StrokeKind::Middle);
}
