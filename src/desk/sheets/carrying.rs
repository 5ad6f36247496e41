//! Things carried about in the section and the plan: each drag is an edit of the picture.

use crate::actions::act::Act;
use crate::canvas::canvas_notes::plate;
use crate::canvas::gesture::Gesture;
use crate::desk::Desk;
use crate::selection::Selection;
use crate::sheets::sheet::Kind;
use crate::thing::{Thing, marker_name};
use egui::{Align2, Painter, PointerButton, Response, vec2};
use glam::DVec2;
use staffage_drawing::{Ground, Paper, SectionView};
use staffage_scene::{
    Assessment, Edit, LevelId, MarkerId, Rooted, Scene, StandInId, Subject, Whereabouts, bearing,
    carried, level_at, movable, movable_stand_in, raised, stand_in_carried, stand_in_raised,
};
use std::sync::Arc;

/// What is held on a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Hold {
    /// All of a marker: its distance, and in a plan its bearing.
    Foot(MarkerId),
    /// The head of an upright one: its height.
    Head(MarkerId),
    /// All of a stand-in.
    Ghost(StandInId),
    /// The top of one: its height.
    Top(StandInId),
    /// A level, by its line.
    Level(LevelId),
}

impl Hold {
    pub(crate) fn thing(self) -> Thing {
        match self {
            Self::Foot(id) | Self::Head(id) => Thing::marker(id),
            Self::Ghost(id) | Self::Top(id) => Thing::Of(Subject::StandIn(id)),
            Self::Level(id) => Thing::Of(Subject::Level(id)),
        }
    }
}

/// Where the ground was when a thing was taken hold of; it stays there meanwhile.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Frozen {
    pub(crate) section: Option<SectionView>,
    pub(crate) ground: Option<Ground>,
}

/// A thing being carried.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Carrying {
    pub(crate) hold: Hold,
    kind: Kind,
    /// From where it was taken hold of to where it is, points of the sheet.
    off: DVec2,
    paper: Option<Paper>,
    pub(crate) frozen: Frozen,
    before: Arc<Scene>,
    assessment: Arc<Assessment>,
    /// Why it cannot be where it was dragged to.
    refused: Option<Rooted>,
}

/// Whether something can be carried about, or why not.
pub(crate) fn can_hold(desk: &Desk, hold: Hold) -> Result<(), String> {
    let (scene, assessment) = (desk.scene(), desk.assessment());
    let why = |rooted: Rooted| rooted.to_string();
    match hold {
        Hold::Foot(id) => movable(scene, assessment, id).map(|_| ()).map_err(why),
        Hold::Head(id) => raised(scene, assessment, id, 1.0).map(|_| ()).map_err(why),
        Hold::Ghost(id) | Hold::Top(id) => {
            movable_stand_in(scene, assessment, id).map(|_| ()).map_err(why)
        }
        Hold::Level(id) => match scene.level(id).map(|level| level.clearance) {
            Some(Some(_)) => Ok(()),
            _ => Err("its height is read from what stands on it; state it to drag it".into()),
        },
    }
}

/// Takes hold of something, or says why it stays where it is. Whether it is held.
pub(crate) fn take_hold(desk: &mut Desk, kind: Kind, hold: Hold, at: DVec2, from: DVec2) -> bool {
    if !desk.selection.has(hold.thing()) {
        desk.selection = Selection::only(hold.thing());
    }
    desk.involved.clear();
    if let Err(why) = can_hold(desk, hold) {
        let name = hold.thing().name(desk.scene());
        desk.told = Some(format!("{} stays: {why}.", capital(&name)));
        return false;
    }
    let sheets = &desk.on_sheets;
    let paper = sheets.section.as_ref().and_then(|sheet| sheet.paper);
    let section = paper.map(|paper| SectionView {
        axis: axis(desk),
        distances: Some(paper.distances()),
        heights: Some(paper.heights()),
        eye_height: Some(paper.eye_height()),
    });
    let ground = sheets.plan.as_ref().and_then(|sheet| sheet.ground);
    desk.gesture = Gesture::Carry(Box::new(Carrying {
        hold,
        kind,
        off: at - from,
        paper,
        frozen: Frozen { section, ground },
        before: Arc::clone(desk.history.present()),
        assessment: Arc::new(desk.assessment().clone()),
        refused: None,
    }));
    true
}

fn axis(desk: &Desk) -> staffage_drawing::Axis {
    match desk.remembered.linear {
        true => staffage_drawing::Axis::Linear,
        false => staffage_drawing::Axis::Logarithmic,
    }
}

/// A drag of what is held on this sheet, `at` a point of it.
pub(crate) fn drag(
    desk: &mut Desk,
    kind: Kind,
    response: &Response,
    at: Option<DVec2>,
    acts: &mut Vec<Act>,
) {
    let Gesture::Carry(carrying) = &mut desk.gesture else { return };
    if carrying.kind != kind {
        return;
    }
    let primary = PointerButton::Primary;
    let has_moved = response.ctx.input(|i| i.pointer.delta() != egui::Vec2::ZERO);
    let moved = response.dragged_by(primary) && (has_moved || response.drag_started_by(primary));
    let released = response.drag_stopped_by(primary);
    if let Some(at) = at.filter(|_| moved || released) {
        match carrying.edit(at) {
            Ok(edit) => {
                carrying.refused = None;
                acts.push(Act::Preview(edit));
            }
            Err(why) => carrying.refused = Some(why),
        }
    }
    if released {
        acts.push(Act::Commit);
        desk.gesture = Gesture::Idle;
    }
}

impl Carrying {
    /// The edit that puts what is held where the pointer is.
    fn edit(&self, pointer: DVec2) -> Result<Edit, Rooted> {
        let at = pointer + self.off;
        let (scene, assessment) = (&*self.before, &*self.assessment);
        let paper = self.paper.filter(|_| self.kind == Kind::Section);
        match (self.hold, paper, self.frozen.ground) {
            (Hold::Foot(id), Some(paper), _) => {
                let marker = scene.marker(id).ok_or(Rooted::Open)?;
                let bearing = bearing(assessment, marker).ok_or(Rooted::Impossible)?;
                let to = Whereabouts { distance: paper.distance_at(at.x), bearing };
                carried(scene, assessment, id, to).map(Edit::PutMarker)
            }
            (Hold::Foot(id), None, Some(ground)) => {
                let (distance, bearing) = ground.place(at);
                carried(scene, assessment, id, Whereabouts { distance, bearing })
                    .map(Edit::PutMarker)
            }
            (Hold::Ghost(id), Some(paper), _) => {
                let (_, placement) = movable_stand_in(scene, assessment, id)?;
                let first = placement.each.first().ok_or(Rooted::Open)?.foot;
                let bearing = first.x.atan2(-first.z);
                let to = Whereabouts { distance: paper.distance_at(at.x), bearing };
                stand_in_carried(scene, assessment, id, to).map(Edit::PutStandIn)
            }
            (Hold::Ghost(id), None, Some(ground)) => {
                let (distance, bearing) = ground.place(at);
                stand_in_carried(scene, assessment, id, Whereabouts { distance, bearing })
                    .map(Edit::PutStandIn)
            }
            (Hold::Top(id), Some(paper), _) => {
                let (_, placement) = movable_stand_in(scene, assessment, id)?;
                let foot = placement.each.first().ok_or(Rooted::Open)?.foot.y;
                let height = paper.height_at(at.y) - paper.eye_height() - foot;
                stand_in_raised(scene, assessment, id, height.max(0.01)).map(Edit::PutStandIn)
            }
            (Hold::Head(id), Some(paper), _) => {
                let foot = assessment.entry(id).and_then(|e| e.elevation).ok_or(Rooted::Open)?;
                let height = paper.height_at(at.y) - paper.eye_height() - foot;
                let least = 1e-3 * paper.distances().0;
                raised(scene, assessment, id, height.max(least)).map(Edit::PutMarker)
            }
            (Hold::Level(id), Some(paper), _) => {
                let level = scene.level(id).ok_or(Rooted::Open)?;
                let elevation = paper.height_at(at.y) - paper.eye_height();
                level_at(level, elevation).map(Edit::PutLevel).ok_or(Rooted::Open)
            }
            _ => Err(Rooted::OutOfPicture),
        }
    }
}

/// What the strip says while something is carried.
pub(crate) fn sentence(desk: &Desk, carrying: &Carrying) -> String {
    let scene = desk.scene();
    let what = match carrying.hold {
        Hold::Head(id) => format!("the head of {}", marker_name(id, scene)),
        Hold::Top(_) => format!("the top of {}", carrying.hold.thing().name(scene)),
        hold => hold.thing().name(scene),
    };
    match carrying.refused {
        Some(why) => format!("Not there: {why}. Esc puts {what} back."),
        None => {
            let answer = answer(desk, carrying.hold).map(|a| format!(": {a}")).unwrap_or_default();
            format!("Moving {what}{answer}; Esc puts it back.")
        }
    }
}

/// The ledger's answer about what is held.
fn answer(desk: &Desk, hold: Hold) -> Option<String> {
    let (scene, assessment) = (desk.scene(), desk.assessment());
    match hold {
        Hold::Foot(id) => {
            let (entry, marker) = (assessment.entry(id)?, scene.marker(id)?);
            let off = assessment.units.measure(entry.distance?, entry.unit);
            let bearing = bearing(assessment, marker).map(in_words).unwrap_or_default();
            Some(format!("{off} off{bearing}"))
        }
        Hold::Head(id) => {
            let entry = assessment.entry(id)?;
            Some(format!("{} high", assessment.units.measure(entry.size?, entry.unit)))
        }
        Hold::Ghost(id) => {
            let (_, placement) = movable_stand_in(scene, assessment, id).ok()?;
            let first = placement.each.first()?;
            let bearing = in_words(first.foot.x.atan2(-first.foot.z));
            Some(format!("{} off{bearing}", assessment.units.metres(first.distance())))
        }
        Hold::Top(id) => {
            let height = scene.stand_in(id)?.shape.height();
            Some(format!("{} high", assessment.units.metres(height)))
        }
        Hold::Level(id) => {
            let clearance = scene.level(id)?.clearance?;
            Some(format!("{} from the eye", assessment.units.metres(clearance.metres)))
        }
    }
}

/// A bearing after a comma: `", 4° right"`.
fn in_words(bearing: f64) -> String {
    let degrees = bearing.to_degrees();
    match degrees.abs() {
        small if small < 0.05 => ", straight ahead".into(),
        size => format!(", {size:.1}° {}", if degrees < 0.0 { "left" } else { "right" }),
    }
}

/// The answer beside the pointer.
pub(crate) fn say_at_pointer(desk: &Desk, painter: &Painter, kind: Kind, response: &Response) {
    let Gesture::Carry(carrying) = &desk.gesture else { return };
    let Some(at) = response.interact_pointer_pos().filter(|_| carrying.kind == kind) else {
        return;
    };
    let Some(text) = answer(desk, carrying.hold) else { return };
    let left = at.x > painter.clip_rect().right() - 180.0;
    let (offset, align) = if left {
        (vec2(-14.0, -18.0), Align2::RIGHT_CENTER)
    } else {
        (vec2(14.0, -18.0), Align2::LEFT_CENTER)
    };
    plate(painter, at + offset, align, &[text], 12.0);
}

fn capital(name: &str) -> String {
    let mut letters = name.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
    format!("{first}{}", letters.as_str())
}
