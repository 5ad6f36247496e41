//! Measuring things from foot to head.

use crate::actions::act::Act;
use crate::canvas::Pointer;
use crate::canvas::gesture::Gesture;
use crate::canvas::snap::{self, End};
use crate::desk::Desk;
use crate::modes::look_mode::{self, take_hold_while_drawing};
use crate::modes::naming::Naming;
use crate::properties::support;
use crate::thing::Thing;
use glam::{DVec2, DVec3};
use staffage_scene::{Assessment, Edit, Marker, MarkerId, Side, Span, Stands, family_of, run_at};

/// Shortest marker, points: a shorter drag was a slip of the hand.
const SHORTEST: f32 = 5.0;
/// A foot this near the head of an upright, points, is meant to be on it.
const TOUCH: f32 = 6.0;

pub(crate) fn gestures(desk: &mut Desk, pointer: &Pointer) -> Vec<Act> {
    // A card that stays open over a press elsewhere holds a size that cannot be read yet.
    if let Some(origin) = pointer.drag_started.filter(|_| desk.naming.is_none())
        && !take_hold_while_drawing(desk, origin)
    {
        let id = desk.scene().next_marker_id();
        let end = End::Free { own: None, frame: false };
        let foot = snap::placed_at(desk, pointer, &end, origin);
        desk.gesture = Gesture::Raise { id, foot };
    }
    if pointer.clicked {
        let grip = pointer.at.and_then(|at| desk.pointing().grip(at));
        return vec![look_mode::clicked(grip.map(|g| g.thing), pointer)];
    }
    snap::before_a_press(desk, pointer, false);
    let Gesture::Raise { id, foot } = desk.gesture else { return look_mode::drag(desk, pointer) };
    let mut acts = Vec::new();
    if let Some(at) = pointer.at.filter(|_| pointer.dragged || pointer.released) {
        let head = if pointer.shift {
            on_line(desk.assessment(), desk.tools.span, foot, desk.picture_point(at))
        } else {
            let marker = snap::drawn(desk, id, foot);
            snap::placed_at(desk, pointer, &End::Head(&marker), at)
        };
        if desk.view.to_screen(desk.canvas, foot).distance(at) >= SHORTEST {
            acts.push(Act::Preview(Edit::PutMarker(new_marker(desk, id, foot, head))));
        } else {
            desk.history.cancel();
        }
    }
    if pointer.released {
        let drawn = desk.history.in_gesture() || !acts.is_empty();
        desk.snap = None;
        acts.push(Act::Commit);
        desk.gesture = Gesture::Idle;
        if drawn {
            acts.push(Act::SelectDrawn(Thing::marker(id)));
            desk.naming = Some(Naming::of_new(id, desk.tools.span));
        }
    }
    acts
}

fn new_marker(desk: &Desk, id: MarkerId, foot: DVec2, head: DVec2) -> Marker {
    let marker = Marker {
        id,
        name: String::new(),
        foot,
        head,
        span: desk.tools.span,
        stands: Stands::Unsaid,
        statements: Vec::new(),
    };
    let level = desk.tools.level.and_then(|id| desk.scene().level(id));
    let horizon = desk.assessment().eye.eye.horizon();
    let stands = touched(desk, &marker).map(Stands::OnTop).or_else(|| {
        level.filter(|level| may_carry(level.side, horizon, &marker)).map(|l| Stands::On(l.id))
    });
    support::standing(&marker, stands.unwrap_or(Stands::Unsaid))
}

/// The upright on whose head the foot of a new marker lies.
fn touched(desk: &Desk, marker: &Marker) -> Option<MarkerId> {
    if matches!(marker.span, Span::Cylinder | Span::Ball) {
        return None;
    }
    let on_screen = |at| desk.view.to_screen(desk.canvas, at);
    let apart = |base: &Marker| on_screen(base.head).distance(on_screen(marker.foot));
    let bases = support::bases(desk.scene(), marker.id).map(|base| (base.id, apart(base)));
    let near = bases.filter(|(_, apart)| *apart <= TOUCH);
    near.min_by(|(_, a), (_, b)| a.total_cmp(b)).map(|(id, _)| id)
}

/// Whether a marker can stand on a level of this side of the eye. It need not be its foot that can: a
/// marker drawn from the head down is to be turned over.
fn may_carry(side: Side, horizon: DVec3, marker: &Marker) -> bool {
    let (foot, head) = (marker.foot, marker.head);
    let ends = match marker.span {
        Span::Ball => {
            let middle = foot.midpoint(head);
            let radius = horizon.truncate().normalize_or_zero() * foot.distance(head) / 2.0;
            [middle + radius, middle - radius]
        }
        Span::Upright | Span::Along(_) | Span::Facing | Span::Cylinder => [foot, head],
    };
    ends.into_iter().any(|at| {
        let below = horizon.dot(at.extend(1.0));
        match side {
            Side::Below => below > 0.0,
            Side::Above => below < 0.0,
        }
    })
}

/// The point nearest to `at` on the line on which a span from this foot runs; `at` itself for a span
/// that has no such line.
pub(crate) fn on_line(assessment: &Assessment, span: Span, foot: DVec2, at: DVec2) -> DVec2 {
    match run(assessment, span, foot) {
        Some(along) => foot + along * along.dot(at - foot),
        None => at,
    }
}

/// Unit direction in the picture in which a span from this foot runs.
fn run(assessment: &Assessment, span: Span, foot: DVec2) -> Option<DVec2> {
    run_at(assessment, family_of(span)?, foot)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_level_carries_what_reaches_its_side_of_the_horizon() {
        let horizon = staffage_solver::Eye::default().horizon();
        let carries = |side, span, foot: (f64, f64), head: (f64, f64)| {
            let (foot, head) = (DVec2::from(foot), DVec2::from(head));
            let (name, stands, statements) = (String::new(), Stands::Unsaid, Vec::new());
            let marker = Marker { id: MarkerId(1), name, foot, head, span, stands, statements };
            may_carry(side, horizon, &marker)
        };
        let (foot, head) = ((0.0, -0.1), (0.0, -0.2));
        assert!(!carries(Side::Below, Span::Upright, foot, head), "it floats");
        assert!(carries(Side::Above, Span::Upright, foot, head));
        assert!(carries(Side::Below, Span::Upright, foot, (0.0, 0.1)), "it is upside down");
        assert!(!carries(Side::Above, Span::Upright, (0.0, 0.1), (0.0, 0.05)));
        assert!(
            carries(Side::Below, Span::Ball, (-0.2, -0.1), (0.2, -0.1)),
            "it is higher than the eye"
        );
        assert!(!carries(Side::Below, Span::Ball, (-0.05, -0.1), (0.05, -0.1)));
    }
}
