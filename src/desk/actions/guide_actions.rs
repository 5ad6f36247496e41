//! What the next guide will be, and which guides are shown, by key.

use crate::actions::act::Act;
use crate::actions::{Action, Reach};
use crate::desk::Desk;
use crate::modes::guide_tools::{GuideAct, GuideKind};
use crate::modes::mode::Mode;
use egui::{Key, Modifiers};
use staffage_scene::{Family, Plane};

const NONE: Modifiers = Modifiers::NONE;
const SHIFT: Modifiers = Modifiers::SHIFT;

pub(crate) const GUIDE: &[Action] = &[
    GRID,
    RAYS,
    FANS,
    MEASURING_POINTS,
    STEPS,
    PARTS,
    HALVES,
    STAIRS,
    RAMP,
    CIRCLE,
    CYLINDER,
    UPRIGHT,
    LEFT,
    RIGHT,
    FACING,
    POSTS,
    MORE,
    FEWER,
    MANY_MORE,
    MANY_FEWER,
    NEXT_BLOCK,
    NEXT_LEVEL,
];

pub(crate) const GRID: Action =
    Action::new("Ground grid", "show a grid on the ground, then on each next level", |_| {
        Some(Act::Guide(GuideAct::NextGrid))
    })
    .key(NONE, Key::J)
    .on(|desk| desk.remembered.guides.grid)
    .also("floor squares tiles perspective");

pub(crate) const RAYS: Action = Action::new(
    "Lines through the pointer",
    "show what runs through the pointer along each family, plumb and level",
    |_| Some(Act::Guide(GuideAct::Rays)),
)
.key(SHIFT, Key::C)
.on(|desk| desk.remembered.guides.rays)
.also("perspective vertical horizontal");

pub(crate) const FANS: Action =
    Action::new("Fans", "show a fan of rays from each vanishing point", |_| {
        Some(Act::Guide(GuideAct::Fans))
    })
    .key(SHIFT, Key::F)
    .on(|desk| desk.remembered.guides.fans)
    .also("perspective vanishing radial");

pub(crate) const MEASURING_POINTS: Action = Action::new(
    "Measuring points",
    "show the points on the horizon that carry true lengths into the depth",
    |_| Some(Act::Guide(GuideAct::MeasuringPoints)),
)
.key(SHIFT, Key::J)
.on(|desk| desk.remembered.guides.measuring_points)
.also("depth perspective");

pub(crate) const STEPS: Action =
    kind("Equal steps", "draw one step, which is carried on in true perspective", |_| {
        Some(Act::Guide(GuideAct::Kind(GuideKind::Repeat)))
    })
    .key(NONE, Key::Z)
    .also("repeat posts windows sleepers fence");

pub(crate) const PARTS: Action =
    kind("Equal parts", "draw a whole, which is divided into equal parts", |_| {
        Some(Act::Guide(GuideAct::Kind(GuideKind::Parts)))
    })
    .key(SHIFT, Key::Z)
    .also("divide split");

pub(crate) const HALVES: Action =
    kind("Halves", "draw a whole, which is halved again and again", |_| {
        Some(Act::Guide(GuideAct::Kind(GuideKind::Halve)))
    })
    .key(NONE, Key::H)
    .also("divide split middle");

pub(crate) const STAIRS: Action = kind("Stairs", "draw a flight of stairs", |_| {
    Some(Act::Guide(GuideAct::Kind(GuideKind::Stairs)))
})
.key(NONE, Key::I)
.also("riser tread");

pub(crate) const RAMP: Action =
    kind("Ramp", "draw a ramp", |_| Some(Act::Guide(GuideAct::Kind(GuideKind::Ramp))))
        .key(SHIFT, Key::I)
        .also("slope");

pub(crate) const CIRCLE: Action = kind("Circle", "draw a circle on any plane", |_| {
    Some(Act::Guide(GuideAct::Kind(GuideKind::Circle)))
})
.key(NONE, Key::O)
.also("ellipse round wheel arch");

pub(crate) const CYLINDER: Action = kind("Cylinder", "draw a cylinder on any plane", |_| {
    Some(Act::Guide(GuideAct::Kind(GuideKind::Cylinder)))
})
.key(SHIFT, Key::O)
.also("ellipse round tube tower");

pub(crate) const UPRIGHT: Action =
    kind("Runs upright, or lies level", "steps run up; a circle lies level", |desk| {
        Some(Act::Guide(if is_round(desk) {
            GuideAct::Plane(Plane::Level)
        } else {
            GuideAct::Along(Family::Upright)
        }))
    })
    .key(NONE, Key::U);

pub(crate) const LEFT: Action = kind("Guides to the left", "guides run away to the left", |desk| {
    Some(along(desk, Family::RecedingLeft(desk.tools.block)))
})
.key(NONE, Key::L);

pub(crate) const RIGHT: Action =
    kind("Guides to the right", "guides run away to the right", |desk| {
        Some(along(desk, Family::RecedingRight(desk.tools.block)))
    })
    .key(NONE, Key::R);

pub(crate) const FACING: Action = kind("Faces the viewer", "a circle seen straight on", |desk| {
    is_round(desk).then_some(Act::Guide(GuideAct::Plane(Plane::Facing)))
})
.key(NONE, Key::F);

pub(crate) const POSTS: Action = kind("Posts", "let something stand at each step, or not", |_| {
    Some(Act::Guide(GuideAct::Posts))
})
.key(SHIFT, Key::P)
.on(|desk| desk.tools.guide.posts);

pub(crate) const MORE: Action =
    kind("One step more", "add a step to the guide", |_| Some(Act::Guide(GuideAct::Count(1))))
        .key(NONE, Key::PageUp);

pub(crate) const FEWER: Action =
    kind("One step fewer", "take a step from the guide", |_| Some(Act::Guide(GuideAct::Count(-1))))
        .key(NONE, Key::PageDown);

pub(crate) const MANY_MORE: Action =
    kind("Ten steps more", "add ten steps to the guide", |_| Some(Act::Guide(GuideAct::Count(10))))
        .key(SHIFT, Key::PageUp);

pub(crate) const MANY_FEWER: Action =
    kind("Ten steps fewer", "take ten steps from the guide", |_| {
        Some(Act::Guide(GuideAct::Count(-10)))
    })
    .key(SHIFT, Key::PageDown);

pub(crate) const NEXT_BLOCK: Action =
    kind("Runs along the next block", "draw guides along the next block", |_| Some(Act::NextBlock))
        .key(NONE, Key::B);

pub(crate) const NEXT_LEVEL: Action =
    kind("Stands on the next level", "what the next guide stands on", |desk| {
        crate::actions::mark_actions::next_level(desk).map(Act::StandOn)
    })
    .key(NONE, Key::G);

const fn kind(name: &'static str, what: &'static str, act: fn(&Desk) -> Option<Act>) -> Action {
    Action::new(name, what, act).reach(Reach::In(Mode::Guide))
}

fn is_round(desk: &Desk) -> bool {
    let kind = desk.tools.guide.kind;
    !kind.is_stepped() && !kind.is_flight()
}

fn along(desk: &Desk, family: Family) -> Act {
    Act::Guide(if is_round(desk) {
        GuideAct::Plane(Plane::Upright(family))
    } else {
        GuideAct::Along(family)
    })
}
