//! Saying what is in front of what.

use crate::actions::act::Act;
use crate::canvas::Pointer;
use crate::canvas::gesture::Gesture;
use crate::desk::Desk;
use crate::thing::Thing;
use egui::{Color32, Painter, Stroke};
use staffage_scene::{Edit, MarkerId, Overlap, Subject};

pub(crate) fn gestures(desk: &mut Desk, pointer: &Pointer) -> Vec<Act> {
    let marker = |desk: &Desk, at| desk.pointing().marker(at);
    if let Some(front) = pointer.drag_started.and_then(|at| marker(desk, at)) {
        desk.gesture = Gesture::Link { front, dragging: true };
    }
    let ends = pointer.clicked || pointer.released;
    if !ends {
        return Vec::new();
    }
    let there = pointer.at.and_then(|at| marker(desk, at));
    match (desk.gesture.clone(), there) {
        (Gesture::Link { front, .. }, Some(behind)) if behind != front => {
            desk.gesture = Gesture::Idle;
            link(desk, front, behind)
        }
        (Gesture::Link { dragging: true, front }, Some(_)) if pointer.released => {
            // Let go where it began: taken as a click.
            desk.gesture = Gesture::Link { front, dragging: false };
            Vec::new()
        }
        (Gesture::Link { .. }, _) => {
            desk.gesture = Gesture::Idle;
            Vec::new()
        }
        (_, Some(front)) => {
            desk.gesture = Gesture::Link { front, dragging: false };
            vec![Act::Select(Some(Thing::marker(front)))]
        }
        (_, None) => {
            let grip = pointer.at.and_then(|at| desk.pointing().grip(at));
            vec![Act::Select(grip.map(|g| g.thing))]
        }
    }
}

/// Says that one is in front of the other; the same said before, either way round, gives way.
fn link(desk: &Desk, front: MarkerId, behind: MarkerId) -> Vec<Act> {
    let scene = desk.scene();
    let pair = |o: &&Overlap| {
        (o.front, o.behind) == (front, behind) || (o.front, o.behind) == (behind, front)
    };
    let id = scene.overlaps.iter().find(pair).map_or_else(|| scene.next_overlap_id(), |o| o.id);
    vec![
        Act::Edit(Edit::PutOverlap(Overlap { id, front, behind })),
        Act::Select(Some(Thing::Of(Subject::Overlap(id)))),
    ]
}

/// An arrow from the nearer thing to the pointer.
pub(crate) fn paint_guide(desk: &Desk, painter: &Painter) {
    let Gesture::Link { front, .. } = desk.gesture else { return };
    let pointer = painter.ctx().input(|i| i.pointer.latest_pos());
    let to = desk.crosshair_at().or(pointer);
    let (Some(marker), Some(to)) = (desk.scene().marker(front), to) else { return };
    let from = desk.view.to_screen(desk.canvas, (marker.foot + marker.head) / 2.0);
    for (width, ink) in [(4.0, Color32::from_black_alpha(140)), (1.8, Color32::WHITE)] {
        painter.arrow(from, to - from, Stroke::new(width, ink));
    }
}
