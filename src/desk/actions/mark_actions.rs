//! What the next marker will be, by key.

use crate::actions::act::Act;
use crate::actions::{Action, Reach};
use crate::desk::Desk;
use crate::modes::mode::Mode;
use egui::{Key, Modifiers};
use staffage_scene::{Family, LevelId, Span};

const NONE: Modifiers = Modifiers::NONE;

pub(crate) const MARK: &[Action] =
    &[UPRIGHT, LEFT, RIGHT, FACING, ROUND, BALL, SLOPING, NEXT_BLOCK, NEXT_LEVEL];

pub(crate) const UPRIGHT: Action =
    run("Runs upright", "mark things that stand plumb: figures, doors, towers", |_| {
        Some(Act::Run(Span::Upright))
    })
    .key(NONE, Key::U)
    .also("vertical height size person people human");

pub(crate) const LEFT: Action =
    run("Runs along receding left", "mark things that run along this family", |desk| {
        Some(Act::Run(Span::Along(Family::RecedingLeft(desk.tools.block))))
    })
    .key(NONE, Key::L)
    .also("length size perspective");

pub(crate) const RIGHT: Action =
    run("Runs along receding right", "mark things that run along this family", |desk| {
        Some(Act::Run(Span::Along(Family::RecedingRight(desk.tools.block))))
    })
    .key(NONE, Key::R)
    .also("length size perspective");

pub(crate) const FACING: Action =
    run("Faces the viewer", "mark things seen straight on: both ends equally far", |_| {
        Some(Act::Run(Span::Facing))
    })
    .key(NONE, Key::F)
    .also("width size");

pub(crate) const ROUND: Action = run(
    "Round",
    "mark across an upright round thing, from outline to outline: a tower, a tank, a trunk",
    |_| Some(Act::Run(Span::Cylinder)),
)
.key(NONE, Key::O)
.also("diameter width circle size");

pub(crate) const BALL: Action =
    run("Ball", "mark across a ball, from outline to outline", |_| Some(Act::Run(Span::Ball)))
        .key(Modifiers::SHIFT, Key::O)
        .also("sphere diameter size");

pub(crate) const SLOPING: Action =
    run("Runs along an incline", "mark things that rise or fall: a stair, a ramp", |desk| {
        let scene = desk.scene();
        let incline = scene.inclines.iter().find(|i| !scene.is_light(i.id))?;
        Some(Act::Run(Span::Along(Family::Incline(incline.id))))
    })
    .key(NONE, Key::I)
    .also("length slope size");

pub(crate) const NEXT_BLOCK: Action =
    run("Runs along the next block", "mark along the next block", |_| Some(Act::NextBlock))
        .key(NONE, Key::B)
        .also("building house");

pub(crate) const NEXT_LEVEL: Action =
    run("Stands on the next level", "what the next marker stands on", |desk| {
        next_level(desk).map(Act::StandOn)
    })
    .key(NONE, Key::G)
    .also("floor deck ground");

const fn run(name: &'static str, what: &'static str, act: fn(&Desk) -> Option<Act>) -> Action {
    Action::new(name, what, act).reach(Reach::In(Mode::Mark))
}

pub(crate) fn next_level(desk: &Desk) -> Option<LevelId> {
    let levels = &desk.scene().levels;
    let at = levels.iter().position(|l| Some(l.id) == desk.tools.level);
    levels.get(at.map_or(0, |at| (at + 1) % levels.len())).map(|l| l.id)
}
