//! Setting stand-ins into the scene: what comes next walks under the pointer at its true size.

use crate::actions::act::Act;
use crate::canvas::Pointer;
use crate::canvas::gesture::Gesture;
use crate::canvas::ink::{self, Placing};
use crate::canvas::stand_in_hit;
use crate::desk::Desk;
use crate::modes::look_mode::{self, take_hold_while_drawing};
use crate::selection::Selection;
use crate::thing::Thing;
use egui::Painter;
use glam::DVec2;
use staffage_drawing::ghost;
use staffage_scene::{
    Arranged, BlockId, COUNT, Edit, LevelId, Shape, StandIn, StandInId, Subject, Unplaced,
    free_name, has_sides, place_stand_in,
};
use staffage_solver::Source;

/// Shortest row or patch, points: a shorter drag was a slip of the hand.
const SHORTEST: f32 = 8.0;

/// What the next stand-in is.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Setting {
    pub(crate) name: String,
    pub(crate) shape: Shape,
    pub(crate) many: Many,
    /// How many a row or a crowd has.
    pub(crate) count: u32,
    /// Where it would stand, picture units, while the pointer is over the canvas.
    pub(crate) under: Option<DVec2>,
}

/// How many are set in with one gesture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Many {
    One,
    Row,
    Crowd,
}

impl Many {
    pub(crate) const ALL: [Self; 3] = [Self::One, Self::Row, Self::Crowd];

    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::One => "one",
            Self::Row => "row",
            Self::Crowd => "crowd",
        }
    }

    /// So many of them from the foot to this point.
    pub(crate) fn arranged(self, to: DVec2, count: u32, seed: u64) -> Arranged {
        match self {
            Self::One => Arranged::Alone,
            Self::Row => Arranged::Row { to, count },
            Self::Crowd => Arranged::Crowd { to, count, seed },
        }
    }
}

impl Default for Setting {
    fn default() -> Self {
        let (name, shape) = READY[0];
        Self { name: name.into(), shape, many: Many::One, count: 12, under: None }
    }
}

/// What is at hand without the shelf; metres (common practice).
pub(crate) const READY: [(&str, Shape); 6] = [
    ("adult", Shape::Figure { height: 1.7 }),
    ("child", Shape::Figure { height: 1.2 }),
    ("door", Shape::Panel { width: 0.9, height: 2.0 }),
    ("box", Shape::Box { width: 2.0, depth: 4.0, height: 2.0 }),
    ("cylinder", Shape::Cylinder { diameter: 3.0, height: 6.0 }),
    ("ramp", Shape::Ramp { width: 2.0, depth: 6.0, height: 1.0 }),
];

/// A change of what comes next.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum SetIn {
    /// This thing.
    What(String, Shape),
    /// The same with other sizes.
    Size(Shape),
    /// So many with one gesture.
    Many(Many),
    /// So many in a row or a crowd.
    Count(u32),
    /// So many more or fewer in the selected row or crowd, else in the next one.
    More(i64),
}

/// The block whose walls a thing with sides is set in along, if anything says how they run.
fn turned_block(desk: &Desk) -> Option<BlockId> {
    let block = desk.tools.block;
    let heading = desk.assessment().eye.headings.iter().find(|(id, _)| *id == block)?.1;
    (heading.source != Source::Assumed).then_some(block)
}

/// So many more or fewer, within what there can be.
fn counted(count: u32, by: i64) -> u32 {
    (i64::from(count) + by).clamp(i64::from(*COUNT.start()), i64::from(*COUNT.end())) as u32
}

impl Desk {
    pub(crate) fn set_in(&mut self, to: SetIn) {
        let selected = match self.selection.single() {
            Some(Thing::Of(Subject::StandIn(id))) if !self.history.in_gesture() => {
                self.scene().stand_in(id).cloned()
            }
            _ => None,
        };
        match (to, selected) {
            (SetIn::More(by), Some(row)) if row.arranged != Arranged::Alone => {
                let count = counted(row.arranged.count(), by);
                let arranged = row.arranged.counting(count);
                self.edit(&Edit::PutStandIn(StandIn { arranged, ..row }));
            }
            (to, selected) => {
                // What is chosen now is meant for the next one, and so is the number after it.
                if selected.is_some() && matches!(to, SetIn::What(..) | SetIn::Many(_)) {
                    self.select(Selection::default());
                }
                self.setting.change(to);
            }
        }
    }
}

impl Setting {
    fn change(&mut self, to: SetIn) {
        match to {
            SetIn::What(name, shape) => (self.name, self.shape) = (name, shape),
            SetIn::Size(shape) => self.shape = shape,
            SetIn::Many(many) => self.many = many,
            SetIn::Count(count) => self.count = count,
            SetIn::More(by) => self.count = counted(self.count, by),
        }
    }

    fn stand_in(&self, desk: &Desk, level: LevelId, foot: DVec2, to: Option<DVec2>) -> StandIn {
        let scene = desk.scene();
        let along = has_sides(self.shape).then(|| turned_block(desk)).flatten();
        let id = scene.next_stand_in_id();
        let seed = u64::from(id.0);
        StandIn {
            id,
            name: free_name(scene, &self.name),
            shape: self.shape,
            level,
            foot,
            turn: 0.0,
            along,
            lift: 0.0,
            arranged: to.map_or(Arranged::Alone, |to| self.many.arranged(to, self.count, seed)),
        }
    }
}

pub(crate) fn gestures(desk: &mut Desk, pointer: &Pointer) -> Vec<Act> {
    desk.setting.under = pointer.at.map(|at| desk.picture_point(at));
    if let Some(origin) = pointer.drag_started
        && !stand_in_hit::take_hold(desk, origin)
        && !take_hold_while_drawing(desk, origin)
    {
        let id = desk.scene().next_stand_in_id();
        desk.gesture = Gesture::SetIn { id, from: desk.picture_point(origin) };
    }
    let Some(level) = desk.tools.level else { return Vec::new() };
    if pointer.clicked {
        let Some(at) = desk.setting.under else { return Vec::new() };
        let stand_in = desk.setting.stand_in(desk, level, at, None);
        if refused(desk, &stand_in) {
            return Vec::new();
        }
        let thing = Thing::Of(Subject::StandIn(stand_in.id));
        return vec![Act::Edit(Edit::PutStandIn(stand_in)), Act::Select(Some(thing))];
    }
    match desk.gesture {
        Gesture::SetIn { id, from } => set_in(desk, pointer, level, id, from),
        Gesture::Pose { .. } => stand_in_hit::drag(desk, pointer),
        _ => look_mode::drag(desk, pointer),
    }
}

/// Whether a stand-in cannot stand where it would be set in; then it is said why.
fn refused(desk: &mut Desk, stand_in: &StandIn) -> bool {
    let placed = place_stand_in(desk.scene(), desk.assessment(), stand_in);
    let Err(why) = placed else { return false };
    // Once the eye's height is said, it stands there.
    if why == Unplaced::NoScale {
        return false;
    }
    let more = desk.scene().levels.len() > 1;
    let next = if more { " G goes to the next level." } else { "" };
    desk.told = Some(format!("Not there: {why}.{next}"));
    true
}

/// A single one goes with the pointer to where it is let go; a row or a patch stretches from where it
/// was pressed.
fn set_in(
    desk: &mut Desk,
    pointer: &Pointer,
    level: LevelId,
    id: StandInId,
    from: DVec2,
) -> Vec<Act> {
    let mut acts = Vec::new();
    if let Some(at) = pointer.at.filter(|_| pointer.dragged || pointer.released) {
        let to = desk.picture_point(at);
        let is_long = desk.view.to_screen(desk.canvas, from).distance(at) >= SHORTEST;
        let stretch = (desk.setting.many != Many::One && is_long).then_some(to);
        let foot = if desk.setting.many == Many::One { to } else { from };
        let stand_in = desk.setting.stand_in(desk, level, foot, stretch);
        acts.push(Act::Preview(Edit::PutStandIn(StandIn { id, ..stand_in })));
    }
    if pointer.released {
        desk.gesture = Gesture::Idle;
        let last = acts.iter().find_map(|act| match act {
            Act::Preview(Edit::PutStandIn(stand_in)) => Some(stand_in.clone()),
            _ => None,
        });
        if last.is_some_and(|stand_in| refused(desk, &stand_in)) {
            desk.history.cancel();
            return Vec::new();
        }
        acts.push(Act::Commit);
        acts.push(Act::Select(Some(Thing::Of(Subject::StandIn(id)))));
    }
    acts
}

/// What would be set in, under the pointer.
pub(crate) fn paint(desk: &Desk, painter: &Painter) {
    let (Some(at), Some(level)) = (desk.setting.under, desk.tools.level) else { return };
    // What was just set in stands there already.
    let is_there = desk.hovered.is_some() && desk.hovered == desk.selected();
    if desk.gesture != Gesture::Idle || is_there {
        return;
    }
    let stand_in = desk.setting.stand_in(desk, level, at, None);
    let view = desk.view.visible(desk.canvas);
    let drawing = ghost(desk.scene(), desk.assessment(), &stand_in, &view);
    ink::paint(painter, &drawing, Placing::Picture(desk.view, desk.canvas));
}
