//! Tying a floating thing to its level: the next click says which point of the level is plumb below
//! it, or where the shadow of its foot falls.

use crate::actions::act::Act;
use crate::canvas::Pointer;
use crate::canvas::gesture::{Gesture, Tie};
use crate::desk::Desk;
use crate::sentences::description;
use crate::thing::Thing;
use egui::Pos2;
use glam::DVec2;
use staffage_scene::{
    Edit, Incline, InclineId, LevelId, Marker, MarkerId, SUNLIGHT, Scene, Stands, apply, assess_in,
};

/// Takes the next click as the point that ties a marker to its level.
pub(crate) fn gestures(desk: &mut Desk, pointer: &Pointer, id: MarkerId, by: Tie) -> Vec<Act> {
    let pressed = pointer.clicked || pointer.released;
    let (Some(at), true) = (pointer.at, pressed) else { return Vec::new() };
    desk.gesture = Gesture::Idle;
    edit(desk, id, by, at).map(Act::Edit).into_iter().collect()
}

/// What would be read of the marker if the click were here.
pub(crate) fn answer(desk: &Desk, id: MarkerId, by: Tie, at: Pos2) -> Option<String> {
    let after = apply(desk.scene(), &edit(desk, id, by, at)?).ok()?;
    Some(description(Thing::marker(id), &after, &assess_in(&after, desk.units())))
}

/// The edit that ties a marker to a point on the screen.
fn edit(desk: &Desk, id: MarkerId, by: Tie, at: Pos2) -> Option<Edit> {
    let scene = desk.scene();
    let marker = scene.marker(id)?;
    let level = marker.stands.level().or(desk.tools.level)?;
    Some(tied(scene, marker, by, level, desk.picture_point(at)))
}

/// The edit that ties a marker to a point of a level.
fn tied(scene: &Scene, marker: &Marker, by: Tie, level: LevelId, at: DVec2) -> Edit {
    let put = |stands| Edit::PutMarker(Marker { stands, ..marker.clone() });
    match (by, marker.stands) {
        (Tie::Plumb, _) => put(Stands::Over { level, plumb: at }),
        (Tie::Shadow, Stands::Shadow { light, .. }) => {
            put(Stands::Shadow { level, tip: at, light })
        }
        (Tie::Shadow, _) => {
            let (light, made) = light(scene);
            let stands = Stands::Shadow { level, tip: at, light };
            match made {
                None => put(stands),
                Some(made) => Edit::Several {
                    label: put(stands).label(scene),
                    edits: vec![Edit::PutIncline(made), put(stands)],
                },
            }
        }
    }
}

/// The light of the scene, and the incline that has to be made for it if there is none.
fn light(scene: &Scene) -> (InclineId, Option<Incline>) {
    match scene.light() {
        Some(light) => (light, None),
        None => {
            let made = sunlight(scene);
            (made.id, Some(made))
        }
    }
}

/// An incline for the light.
pub(crate) fn sunlight(scene: &Scene) -> Incline {
    Incline::new(scene.next_incline_id(), SUNLIGHT)
}

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_scene::Span;

    #[test]
    fn a_shadow_is_cast_by_the_light_there_is_or_by_one_that_is_made_in_the_same_step() {
        let marker = Marker {
            id: MarkerId(1),
            name: "kite".into(),
            foot: DVec2::ZERO,
            head: DVec2::new(0.0, -0.1),
            span: Span::Upright,
            stands: Stands::Unsaid,
            statements: vec![],
        };
        let ramp = Incline::new(InclineId(1), "ramp");
        let scene =
            Scene { markers: vec![marker.clone()], inclines: vec![ramp], ..Scene::default() };
        let tip = DVec2::new(0.1, 0.2);
        let edit = tied(&scene, &marker, Tie::Shadow, LevelId(1), tip);
        assert_eq!(edit.label(&scene), "Cast the shadow of kite on ground");
        let after = apply(&scene, &edit).expect("a sound scene");
        assert_eq!(after.inclines[1].name, SUNLIGHT);
        let light = after.inclines[1].id;
        assert_eq!(after.markers[0].stands, Stands::Shadow { level: LevelId(1), tip, light });
        let again = tied(&after, &after.markers[0], Tie::Shadow, LevelId(1), DVec2::ZERO);
        assert_eq!(apply(&after, &again).expect("a sound scene").inclines.len(), 2);
    }
}
