//! Tracing straight edges.

use crate::actions::act::{Act, Traced};
use crate::canvas::Pointer;
use crate::canvas::gesture::Gesture;
use crate::canvas::run_hint;
use crate::canvas::snap::{self, End};
use crate::desk::Desk;
use crate::modes::look_mode::{self, take_hold_while_drawing};
use crate::thing::Thing;
use glam::DVec2;
use staffage_scene::{Edit, Line, Segment};

/// Shortest line, points: a shorter drag was a slip of the hand.
const SHORTEST: f32 = 10.0;

pub(crate) fn gestures(desk: &mut Desk, pointer: &Pointer) -> Vec<Act> {
    if let Some(origin) = pointer.drag_started
        && !take_hold_while_drawing(desk, origin)
    {
        let end = End::Free { own: None, frame: true };
        let from = snap::placed_at(desk, pointer, &end, origin);
        let id = match desk.tools.traced {
            Traced::Family(_) => Some(desk.scene().next_line_id()),
            Traced::Horizon => None,
        };
        let run = run_hint::traced_run(desk, from);
        desk.gesture = Gesture::Trace { id, from, run };
    }
    if pointer.clicked {
        let grip = pointer.at.and_then(|at| desk.pointing().grip(at));
        return vec![look_mode::clicked(grip.map(|g| g.thing), pointer)];
    }
    snap::before_a_press(desk, pointer, true);
    let Gesture::Trace { id, from, .. } = desk.gesture else {
        return look_mode::drag(desk, pointer);
    };
    let mut acts = Vec::new();
    if let Some(at) = pointer.at.filter(|_| pointer.dragged || pointer.released) {
        if desk.view.to_screen(desk.canvas, from).distance(at) >= SHORTEST {
            let end = End::Free { own: Some(id.map_or(Thing::Horizon, Thing::line)), frame: true };
            let to = snap::placed_at(desk, pointer, &end, at);
            acts.push(Act::Preview(put(desk, id, from, to)));
        } else {
            desk.history.cancel();
        }
    }
    if pointer.released {
        let traced = desk.history.in_gesture() || !acts.is_empty();
        desk.snap = None;
        acts.push(Act::Commit);
        desk.gesture = Gesture::Idle;
        if traced {
            acts.push(Act::SelectDrawn(id.map_or(Thing::Horizon, Thing::line)));
        }
    }
    acts
}

fn put(desk: &Desk, id: Option<staffage_scene::LineId>, from: DVec2, to: DVec2) -> Edit {
    let segment = Segment(from, to);
    match (desk.tools.traced, id) {
        (Traced::Family(family), Some(id)) => Edit::PutLine(Line { id, family, segment }),
        _ => Edit::SetHorizon(Some(segment)),
    }
}
