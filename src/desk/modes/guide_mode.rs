//! Drawing guides: steps, flights, circles.

use crate::actions::act::Act;
use crate::canvas::Pointer;
use crate::canvas::gesture::Gesture;
use crate::canvas::ink::{self, Placing};
use crate::desk::Desk;
use crate::modes::guide_tools::{GuideAct, GuideKind};
use crate::modes::look_mode::{self, take_hold_while_drawing};
use crate::thing::Thing;
use egui::{Event, Painter, Pos2, Ui};
use glam::{DVec2, DVec3};
use staffage_drawing::{measuring_points, rays};
use staffage_scene::{
    Climb, Edit, Family, Flight, Form, Guide, GuideId, GuideShape, Plane, Post, Reach, Round,
    STEPS, Steps, family_name, guide_form,
};
use staffage_solver::carried_to;

/// Shortest drag that draws something, points.
const SHORTEST: f32 = 6.0;
/// A comfortable flight: 2 × 0.17 + 0.29 = 0.63 m (F. Blondel, Cours d'architecture, 1675: two risers
/// and a tread make a pace; figures from common practice).
const RISER: f64 = 0.17;
const TREAD: f64 = 0.29;
const WIDTH: f64 = 1.2;
/// Slope of a ramp, degrees: one in twelve (common practice).
const SLOPE: f64 = 4.76;
/// Run of a ramp that is placed by a click, metres.
const RUN: f64 = 3.0;
/// Radius of a circle that is placed by a click, metres.
const RADIUS: f64 = 1.0;
/// How near the pointer must come to a measuring point to be told what it is for, points.
const NEAR: f32 = 12.0;

pub(crate) fn gestures(desk: &mut Desk, pointer: &Pointer) -> Vec<Act> {
    if let Some(origin) = pointer.drag_started
        && !take_hold_while_drawing(desk, origin)
    {
        let from = desk.picture_point(origin);
        desk.gesture = Gesture::Guide { id: desk.scene().next_guide_id(), from };
    }
    if pointer.clicked {
        return clicked(desk, pointer);
    }
    let Gesture::Guide { id, from } = desk.gesture else { return look_mode::drag(desk, pointer) };
    let mut acts = Vec::new();
    if let Some(at) = pointer.at {
        let moved = desk.view.to_screen(desk.canvas, from).distance(at) >= SHORTEST;
        // Also while the pointer rests: the wheel changes the number of steps.
        let guide = moved.then(|| drawn(desk, id, from, desk.picture_point(at)));
        match guide {
            Some(guide) if desk.scene().guide(id).map(|g| g.shape) != Some(guide.shape) => {
                acts.push(Act::Preview(Edit::PutGuide(guide)));
            }
            Some(_) => {}
            None => desk.history.cancel(),
        }
    }
    if pointer.released {
        let made = desk.history.in_gesture() || !acts.is_empty();
        acts.push(Act::Commit);
        desk.gesture = Gesture::Idle;
        if made {
            acts.push(Act::SelectDrawn(Thing::guide(id)));
        }
    }
    acts
}

/// A click selects what is there; on nothing it places what has a size of its own.
fn clicked(desk: &Desk, pointer: &Pointer) -> Vec<Act> {
    let Some(at) = pointer.at else { return Vec::new() };
    if let Some(grip) = desk.pointing().grip(at) {
        return vec![Act::Select(Some(grip.thing))];
    }
    if desk.tools.guide.kind.is_stepped() {
        return vec![Act::Select(None)];
    }
    let id = desk.scene().next_guide_id();
    let at = desk.picture_point(at);
    let guide = drawn(desk, id, at, at);
    vec![Act::Edit(Edit::PutGuide(guide)), Act::Select(Some(Thing::guide(id)))]
}

/// The guide that a drag from here to there draws.
fn drawn(desk: &Desk, id: GuideId, from: DVec2, to: DVec2) -> Guide {
    let kind = desk.tools.guide.kind;
    let shape = if kind.is_stepped() {
        stepped(desk, from, to)
    } else if kind.is_flight() {
        climbing(desk, id, from, to)
    } else {
        rounded(desk, from, to)
    };
    Guide { id, name: String::new(), shape }
}

fn stepped(desk: &Desk, from: DVec2, to: DVec2) -> GuideShape {
    let tools = desk.tools.guide;
    let family = tools.along;
    // What stands at the steps of an upright runs level.
    let post_family = match family {
        Family::Upright => Family::RecedingRight(desk.tools.block),
        _ => Family::Upright,
    };
    let post = tools.posts.then(|| {
        let length = (0.6 * from.distance(to)).clamp(0.02, 0.2);
        let top = towards(desk, post_family, from, length);
        top.map(|top| Post { top, family: post_family })
    });
    GuideShape::Steps(Steps { family, from, to, division: tools.division(), post: post.flatten() })
}

/// A picture point so far from another towards where a family leads: up, or away.
pub(crate) fn towards(desk: &Desk, family: Family, from: DVec2, length: f64) -> Option<DVec2> {
    let direction = match family {
        Family::Upright => DVec3::Y,
        _ => desk.assessment().eye.families.iter().find(|f| f.family == family)?.direction,
    };
    along(desk, direction, from, length)
}

fn along(desk: &Desk, direction: DVec3, from: DVec2, length: f64) -> Option<DVec2> {
    let seen = desk.assessment().eye.eye.image(direction);
    let along = (seen.truncate() - seen.z * from).try_normalize()?;
    Some(from + length * along)
}

/// A flight climbs the way it is dragged; how far, says its number of steps.
fn climbing(desk: &Desk, id: GuideId, foot: DVec2, to: DVec2) -> GuideShape {
    let tools = desk.tools.guide;
    let climb = match tools.kind {
        GuideKind::Ramp => Climb::Ramp { slope: SLOPE, run: RUN },
        _ => Climb::Stairs { riser: RISER, tread: TREAD, count: tools.flight },
    };
    let along = tools.level_family(desk.tools.block);
    let level = desk.tools.level;
    let flight = Flight { level, foot, along, towards: false, width: WIDTH, climb };
    if foot == to {
        return GuideShape::Flight(flight);
    }
    GuideShape::Flight(reaching(desk, id, flight, to).unwrap_or(flight))
}

/// The flight that runs as far as what is seen at a picture point.
fn reaching(desk: &Desk, id: GuideId, flight: Flight, to: DVec2) -> Option<Flight> {
    let guide = Guide { id, name: String::new(), shape: GuideShape::Flight(flight) };
    let Some(Form::Flight(form)) = guide_form(desk.scene(), desk.assessment(), &guide) else {
        return None;
    };
    let run = carried_to(&desk.assessment().eye.eye, form.foot, form.along, to)?;
    let climb = match flight.climb {
        Climb::Stairs { riser, tread, .. } => {
            let count = (run.abs() / tread).round();
            let count = count.clamp(f64::from(*STEPS.start()), f64::from(*STEPS.end())) as u32;
            Climb::Stairs { riser, tread, count }
        }
        Climb::Ramp { slope, .. } => Climb::Ramp { slope, run: run.abs().clamp(0.1, 1e4) },
    };
    Some(Flight { towards: run < 0.0, climb, ..flight })
}

fn rounded(desk: &Desk, centre: DVec2, rim: DVec2) -> GuideShape {
    let tools = desk.tools.guide;
    let radius = if centre == rim { Reach::Metres(RADIUS) } else { Reach::To(rim) };
    let is_cylinder = tools.kind == GuideKind::Cylinder;
    let plane = match tools.plane {
        Plane::Facing if is_cylinder => Plane::Level,
        plane => plane,
    };
    let carried = is_cylinder.then(|| {
        if centre == rim {
            return Reach::Metres(2.0 * RADIUS);
        }
        let length = 1.5 * centre.distance(rim);
        let end = axis(desk, plane).and_then(|axis| along(desk, axis, centre, length));
        end.map_or(Reach::Metres(2.0 * RADIUS), Reach::To)
    });
    GuideShape::Round(Round { plane, level: desk.tools.level, centre, radius, carried })
}

/// The direction in which a circle of such a plane is carried.
fn axis(desk: &Desk, plane: Plane) -> Option<DVec3> {
    match plane {
        Plane::Level => Some(DVec3::Y),
        Plane::Upright(family) => {
            let families = &desk.assessment().eye.families;
            let along = families.iter().find(|f| f.family == family)?.direction;
            let across = along.cross(DVec3::Y);
            Some(if across.z > 0.0 { -across } else { across })
        }
        Plane::Facing => None,
    }
}

/// While a guide is drawn the wheel changes its number of steps; whether it was turned so.
pub(crate) fn scroll_count(desk: &mut Desk, ui: &Ui) -> bool {
    if !matches!(desk.gesture, Gesture::Guide { .. }) {
        return false;
    }
    let turned = ui.input(|i| {
        let wheel = i.events.iter().filter_map(|event| match event {
            Event::MouseWheel { delta, .. } if delta.y != 0.0 => Some(delta.y.signum() as i64),
            _ => None,
        });
        wheel.sum::<i64>()
    });
    if turned != 0 {
        desk.guide_act(GuideAct::Count(turned));
    }
    true
}

/// The lines through the pointer, which are not part of the drawing: they move with the pointer, and
/// nothing else has to be drawn again.
pub(crate) fn paint_rays(desk: &Desk, painter: &Painter) {
    if !desk.remembered.guides.rays {
        return;
    }
    let pointer = painter.ctx().input(|i| i.pointer.hover_pos());
    let at = desk.crosshair_at().or(pointer);
    let Some(at) = at.filter(|at| desk.canvas.contains(*at)) else { return };
    let view = desk.view.visible(desk.canvas);
    let measuring = desk.remembered.guides.measuring_points;
    let at = desk.picture_point(at);
    let drawing = rays(desk.scene(), desk.assessment(), &view, at, measuring);
    ink::paint(painter, &drawing, Placing::Picture(desk.view, desk.canvas));
}

/// What the measuring point under the pointer is for.
pub(crate) fn measuring_words(desk: &Desk, at: Pos2) -> Vec<String> {
    if !desk.remembered.guides.measuring_points || desk.gesture != Gesture::Idle {
        return Vec::new();
    }
    let points = measuring_points(desk.scene(), desk.assessment());
    let near = points.into_iter().find(|(_, point)| {
        let place = point.truncate() / point.z;
        place.is_finite() && desk.view.to_screen(desk.canvas, place).distance(at) < NEAR
    });
    let Some((family, _)) = near else { return Vec::new() };
    let name = family_name(desk.scene(), family);
    vec![
        format!("Measuring point of {name}."),
        "Mark true lengths on a level line across the picture,".into(),
        "from where an edge begins; lines from the marks to this".into(),
        "point cut those lengths off on the edge.".into(),
    ]
}
