//! What of a stand-in lies under the pointer: its body, and the handles that lift and turn it.

use crate::actions::act::Act;
use crate::assessed::Assessed;
use crate::canvas::Pointer;
use crate::canvas::gesture::Gesture;
use crate::canvas::view::View;
use crate::desk::Desk;
use crate::thing::Thing;
use egui::{Color32, Painter, Pos2, Rect, Shape, Stroke};
use glam::{DVec2, DVec3};
use staffage_scene::{
    Arranged, Edit, HEADING, Placed, SHOULDERS, Scene, Shape as Form, StandIn, StandInId, Subject,
    point_on_level, stand_in_heading,
};
use staffage_solver::{Cylinder, Eye, Pose, Solid, seen_polygon, seen_segment};
use std::sync::Arc;

/// Radius of a handle as it is painted, points.
const HANDLE: f32 = 5.0;
/// How near the pointer must come to a handle, points.
const REACH: f32 = 10.0;
/// How near it must come to the middle line of a thin body, points.
const BODY_REACH: f32 = 7.0;
/// Chords of half a round outline.
const CHORDS: usize = 24;
/// A body smaller than this has its handles so far off, points.
const SMALL: f32 = 44.0;
const CLEAR: f32 = 16.0;
/// How far the handle that turns is from the body, as a share of its depth.
const ARM: f64 = 0.35;

/// What a handle does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Handle {
    /// Lifts it plumb.
    Lift,
    /// Turns it.
    Turn,
    /// Slides it over its level, taken by its footprint.
    Slide,
}

/// The stand-in whose body is under the pointer, the nearest to the eye first.
pub(crate) fn under(desk: &Desk, pointer: Pos2) -> Option<StandInId> {
    Ghosts::of(desk).under(pointer)
}

/// The stand-ins of a scene as the pointer sees them.
pub(crate) struct Ghosts<'a> {
    pub(crate) scene: &'a Scene,
    /// What follows from that scene.
    pub(crate) assessed: &'a Assessed,
    pub(crate) view: View,
    pub(crate) canvas: Rect,
}

impl<'a> Ghosts<'a> {
    fn of(desk: &'a Desk) -> Self {
        Self { scene: desk.scene(), assessed: &desk.assessed, view: desk.view, canvas: desk.canvas }
    }

    /// The one whose body is under the pointer, the nearest to the eye first.
    pub(crate) fn under(&self, pointer: Pos2) -> Option<StandInId> {
        let mut found: Option<(f64, StandInId)> = None;
        for stand_in in &self.scene.stand_ins {
            let placed = self.assessed.placed(stand_in);
            let Ok(placement) = placed.as_ref() else {
                let at = self.view.to_screen(self.canvas, stand_in.foot);
                if at.distance(pointer) <= REACH {
                    return Some(stand_in.id);
                }
                continue;
            };
            for one in placement.each.iter().filter(|one| self.is_on(one, pointer)) {
                if found.is_none_or(|(distance, _)| one.distance() < distance) {
                    found = Some((one.distance(), stand_in.id));
                }
            }
        }
        found.map(|(_, id)| id)
    }

    /// Whether the pointer is on a body: on a face of it, or near its middle line.
    fn is_on(&self, one: &Placed, pointer: Pos2) -> bool {
        let eye = &self.assessed.assessment().eye.eye;
        let on_screen =
            |face: &Vec<DVec3>| self.view.polygon(self.canvas, &seen_polygon(eye, face));
        let on_face = faces(one).iter().any(|face| holds(&on_screen(face), pointer));
        on_face || self.is_near_middle(one, pointer)
    }

    fn is_near_middle(&self, one: &Placed, pointer: Pos2) -> bool {
        let ends = seen_segment(&self.assessed.assessment().eye.eye, [one.foot, one.head()]);
        let Some([foot, head]) = ends.and_then(|[a, b]| self.view.segment(self.canvas, a, b))
        else {
            return false;
        };
        let along = head - foot;
        let reach = match one.shape {
            // As near to it as a person is wide.
            Form::Figure { .. } => (0.5 * SHOULDERS as f32 * along.length()).max(BODY_REACH),
            _ => BODY_REACH,
        };
        let t = ((pointer - foot).dot(along) / along.length_sq().max(1e-6)).clamp(0.0, 1.0);
        (foot + along * t).distance(pointer) <= reach
    }
}

/// The faces of a body that are turned to the eye; a figure has none.
fn faces(one: &Placed) -> Vec<Vec<DVec3>> {
    let pose = Pose { foot: one.foot, heading: one.heading };
    let solid = match one.shape {
        Form::Panel { width, height } => Solid::panel(&pose, width, height),
        Form::Ramp { width, depth, height } => Solid::ramp(&pose, width, depth, height),
        Form::Box { width, depth, height } => Solid::cuboid(&pose, width, depth, height),
        Form::Cylinder { diameter, height } => {
            let body = Cylinder { foot: one.foot, radius: 0.5 * diameter, height };
            return vec![body.outline(CHORDS)];
        }
        Form::Figure { .. } => return Vec::new(),
    };
    solid.seen_faces().into_iter().map(|(corners, _)| corners).collect()
}

/// Whether a convex polygon holds a point.
fn holds(corners: &[Pos2], at: Pos2) -> bool {
    let side = |i: usize| {
        let (a, b) = (corners[i], corners[(i + 1) % corners.len()]);
        let (edge, to) = (b - a, at - a);
        edge.x * to.y - edge.y * to.x
    };
    let sides = || (0..corners.len()).map(side);
    corners.len() > 2 && (sides().all(|s| s >= 0.0) || sides().all(|s| s <= 0.0))
}

/// Whether the pointer is on the ground that a body stands on.
fn is_on_footprint(desk: &Desk, one: &Placed, pointer: Pos2) -> bool {
    let half = 0.5 * one.shape.footprint();
    let (sin, cos) = one.heading.sin_cos();
    let (right, ahead) = (DVec3::new(cos, 0.0, sin), DVec3::new(sin, 0.0, -cos));
    let corner =
        |(across, along): (f64, f64)| one.foot + across * half.x * right + along * half.y * ahead;
    let corners = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)].map(corner);
    let seen = seen_polygon(&desk.assessment().eye.eye, &corners);
    holds(&desk.view.polygon(desk.canvas, &seen), pointer)
}

/// Takes hold of the selected stand-in by the ground that it stands on, so that what was pressed stays
/// under the pointer however large it is. Whether it was pressed there.
pub(crate) fn take_footprint(desk: &mut Desk, origin: Pos2) -> bool {
    let Some(Thing::Of(Subject::StandIn(id))) = desk.selection.single() else { return false };
    let Some(stand_in) = desk.scene().stand_in(id) else { return false };
    let placed = desk.placed(stand_in);
    let is_on = |placement: &staffage_scene::Placement| {
        placement.each.iter().any(|one| is_on_footprint(desk, one, origin))
    };
    if !placed.as_ref().as_ref().is_ok_and(is_on) {
        return false;
    }
    let (from, before) = (desk.picture_point(origin), Arc::clone(desk.history.present()));
    desk.gesture = Gesture::Pose { id, handle: Handle::Slide, from, before };
    true
}

/// The handles of a selected stand-in, on the screen.
fn handles(desk: &Desk, stand_in: &StandIn) -> Vec<(Handle, Pos2)> {
    let placed = desk.placed(stand_in);
    let Some(first) = placed.as_ref().as_ref().ok().and_then(|p| p.each.first().copied()) else {
        return Vec::new();
    };
    let mut handles = Vec::new();
    let eye = &desk.assessment().eye.eye;
    let mut put = |handle, at: DVec3| {
        if let Some(at) = eye.project(at).filter(|at| desk.view.faces(desk.canvas, *at)) {
            handles.push((handle, desk.view.to_screen(desk.canvas, at)));
        }
    };
    if !matches!(stand_in.arranged, Arranged::Crowd { .. }) {
        put(Handle::Lift, first.head());
    }
    if can_turn(stand_in) {
        put(Handle::Turn, arm(desk, stand_in, &first));
    }
    clear_of_the_body(desk, &first, &mut handles);
    handles
}

/// Keeps the handles off a body that is hardly larger than they are.
fn clear_of_the_body(desk: &Desk, one: &Placed, handles: &mut [(Handle, Pos2)]) {
    let ends = seen_segment(&desk.assessment().eye.eye, [one.foot, one.head()]);
    let Some([foot, head]) = ends.and_then(|[a, b]| desk.view.segment(desk.canvas, a, b)) else {
        return;
    };
    if foot.distance(head) >= SMALL {
        return;
    }
    for (handle, at) in handles {
        let (from, way) = match handle {
            Handle::Lift => (head, (head - foot).normalized()),
            Handle::Turn | Handle::Slide => (foot, (*at - foot).normalized()),
        };
        if at.distance(from) < CLEAR {
            *at = from + CLEAR * way;
        }
    }
}

/// Round things and people look alike from all sides; a crowd's patch does not.
fn can_turn(stand_in: &StandIn) -> bool {
    match stand_in.shape {
        Form::Figure { .. } | Form::Cylinder { .. } => {
            matches!(stand_in.arranged, Arranged::Crowd { .. })
        }
        Form::Panel { .. } | Form::Box { .. } | Form::Ramp { .. } => true,
    }
}

/// Where the handle is that turns: ahead of the body on the ground it stands on.
fn arm(desk: &Desk, stand_in: &StandIn, first: &Placed) -> DVec3 {
    let heading = stand_in_heading(desk.assessment(), stand_in);
    let footprint = stand_in.shape.footprint();
    let reach = 0.5 * footprint.y + ARM * footprint.max_element();
    let (sin, cos) = heading.sin_cos();
    first.foot + reach * DVec3::new(sin, 0.0, -cos)
}

/// Takes hold of the handle of the selected stand-in that was pressed. Whether there is one.
pub(crate) fn take_hold(desk: &mut Desk, origin: Pos2) -> bool {
    let Some(Thing::Of(Subject::StandIn(id))) = desk.selected() else { return false };
    let Some(stand_in) = desk.scene().stand_in(id) else { return false };
    let near =
        handles(desk, stand_in).into_iter().map(|(handle, at)| (handle, at.distance(origin)));
    let near = near.filter(|(_, apart)| *apart <= REACH).min_by(|a, b| a.1.total_cmp(&b.1));
    let Some((handle, _)) = near else { return false };
    let (from, before) = (desk.picture_point(origin), Arc::clone(desk.history.present()));
    desk.gesture = Gesture::Pose { id, handle, from, before };
    true
}

/// A drag of a handle.
pub(crate) fn drag(desk: &mut Desk, pointer: &Pointer) -> Vec<Act> {
    let Gesture::Pose { id, handle, from, before } = desk.gesture.clone() else {
        return Vec::new();
    };
    let mut acts = Vec::new();
    if let Some(at) = pointer.at.filter(|_| pointer.dragged || pointer.released) {
        let to = desk.picture_point(at);
        let posed = posed(desk, &before, id, handle, [from, to]);
        acts.extend(posed.map(|stand_in| Act::Preview(Edit::PutStandIn(stand_in))));
    }
    if pointer.released {
        acts.push(Act::Commit);
        desk.gesture = Gesture::Idle;
    }
    acts
}

fn posed(
    desk: &Desk,
    before: &Scene,
    id: StandInId,
    handle: Handle,
    [from, to]: [DVec2; 2],
) -> Option<StandIn> {
    let stand_in = before.stand_in(id)?;
    let assessment = desk.assessment();
    let foot = point_on_level(before, assessment, stand_in.level, stand_in.foot).ok()?;
    match handle {
        Handle::Lift => {
            let up = |at| plumb_height(foot, assessment.eye.eye.ray(at));
            let lift = stand_in.lift + up(to)? - up(from)?;
            // To the centimetre, so that what is read is what it is.
            let lift = (100.0 * lift).round() / 100.0;
            Some(StandIn { lift, ..stand_in.clone() })
        }
        Handle::Slide => {
            let level = |at| on_plane(&assessment.eye.eye, at, foot.y + stand_in.lift);
            let by = level(to)? - level(from)?;
            let moved = |at: DVec2| {
                let on = point_on_level(before, assessment, stand_in.level, at).ok()?;
                assessment.eye.eye.project(on + by).filter(|at| at.is_finite())
            };
            let arranged = match stand_in.arranged.to() {
                Some(to) => stand_in.arranged.reaching(moved(to)?),
                None => stand_in.arranged,
            };
            Some(StandIn { foot: moved(stand_in.foot)?, arranged, ..stand_in.clone() })
        }
        Handle::Turn => {
            let ray = assessment.eye.eye.ray(to);
            let level = foot.y + stand_in.lift;
            let along = level / ray.y;
            let out = ray * along - foot;
            let is_seen = along > 0.0 && out.is_finite();
            let of_block = stand_in_heading(assessment, stand_in) - stand_in.turn.to_radians();
            let turn = (out.x.atan2(-out.z) - of_block).to_degrees();
            is_seen.then(|| StandIn { turn: wrapped(turn), ..stand_in.clone() })
        }
    }
}

/// Height over `foot` of the point plumb over it that is nearest to a sight line of unit length.
pub(crate) fn plumb_height(foot: DVec3, ray: DVec3) -> Option<f64> {
    let (across, along) = (ray.y, ray.dot(foot));
    let height = (across * along - foot.y) / (1.0 - across * across);
    height.is_finite().then_some(height)
}

/// The point of a level plane that is seen at a picture point; the height counted from the eye.
fn on_plane(eye: &Eye, at: DVec2, height: f64) -> Option<DVec3> {
    let ray = eye.ray(at);
    let along = height / ray.y;
    (along > 0.0 && along.is_finite()).then_some(ray * along)
}

/// An angle in degrees between -180 and 180, to a tenth.
fn wrapped(degrees: f64) -> f64 {
    let turn = (degrees + 180.0).rem_euclid(360.0) - 180.0;
    ((10.0 * turn).round() / 10.0).clamp(*HEADING.start(), *HEADING.end())
}

/// The handles that lift and turn what is selected.
pub(crate) fn paint(desk: &Desk, painter: &Painter) {
    let Some(Thing::Of(Subject::StandIn(id))) = desk.selected() else { return };
    let Some(stand_in) = desk.scene().stand_in(id) else { return };
    for (handle, at) in handles(desk, stand_in) {
        let dark = Stroke::new(3.5, Color32::from_black_alpha(150));
        let light = Stroke::new(1.5, Color32::WHITE);
        match handle {
            Handle::Slide => {}
            Handle::Lift => {
                let corner = |x: f32, y: f32| at + egui::vec2(x, y) * (HANDLE + 1.0);
                let corners =
                    vec![corner(0.0, -1.0), corner(1.0, 0.0), corner(0.0, 1.0), corner(-1.0, 0.0)];
                painter.add(Shape::closed_line(corners.clone(), dark));
                painter.add(Shape::closed_line(corners, light));
            }
            Handle::Turn => {
                for stroke in [dark, light] {
                    painter.circle_stroke(at, HANDLE, stroke);
                    painter.circle_stroke(at, 1.5, stroke);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sight_line_through_the_plumb_line_tells_the_height() {
        let foot = DVec3::new(3.0, -2.0, -11.0);
        for height in [-1.0, 0.0, 4.5, 30.0] {
            let ray = (foot + height * DVec3::Y).normalize();
            let found = plumb_height(foot, ray).expect("not plumb");
            assert!((found - height).abs() < 1e-9, "{found}");
        }
        assert_eq!(plumb_height(foot, DVec3::Y), None);
    }

    #[test]
    fn turns_are_told_from_minus_to_plus_half_a_turn() {
        assert_eq!(wrapped(190.0), -170.0);
        assert_eq!(wrapped(-539.9), -179.9);
        assert_eq!(wrapped(12.34), 12.3);
    }
}
