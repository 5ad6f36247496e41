//! Turning the view by keys and from the menu.

use crate::actions::Action;
use crate::actions::act::Act;
use crate::canvas::turning::{self, TurnAct};
use egui::{Key, Modifiers};

/// All of them, in the order of the menu.
pub(crate) const TURNS: [Action; 7] =
    [LEVEL, PLUMB, LEFT, RIGHT, SLIGHTLY_LEFT, SLIGHTLY_RIGHT, AS_PAINTED];

pub(crate) const LEVEL: Action = Action::new(
    "Level view",
    "turn the view until the horizon runs level, or back; the painting stays as it is",
    |_| Some(Act::Turn(TurnAct::Level)),
)
.key(Modifiers::NONE, Key::Y)
.on(turning::is_level)
.also("rotate straighten tilt cant roll");

pub(crate) const PLUMB: Action = Action::new(
    "Plumb view",
    "see the painting as if the eye looked straight ahead, uprights upright, or back",
    |_| Some(Act::Turn(TurnAct::Plumb)),
)
.key(Modifiers::SHIFT, Key::Y)
.on(turning::is_plumb)
.also("rotate straighten tilt vertical keystone");

pub(crate) const LEFT: Action =
    Action::new("Turn to the left", "turn the view anticlockwise by five degrees", |_| {
        Some(Act::Turn(TurnAct::step(false, false)))
    })
    .key(Modifiers::NONE, Key::OpenBracket)
    .also("rotate tilt");

pub(crate) const RIGHT: Action =
    Action::new("Turn to the right", "turn the view clockwise by five degrees", |_| {
        Some(Act::Turn(TurnAct::step(true, false)))
    })
    .key(Modifiers::NONE, Key::CloseBracket)
    .also("rotate tilt");

// With Shift, the key may be told by the sign that it types then.
pub(crate) const SLIGHTLY_LEFT: Action =
    Action::new("Turn slightly to the left", "turn the view anticlockwise by one degree", |_| {
        Some(Act::Turn(TurnAct::step(false, true)))
    })
    .key(Modifiers::SHIFT, Key::OpenBracket)
    .key(Modifiers::SHIFT, Key::OpenCurlyBracket)
    .also("rotate tilt");

pub(crate) const SLIGHTLY_RIGHT: Action =
    Action::new("Turn slightly to the right", "turn the view clockwise by one degree", |_| {
        Some(Act::Turn(TurnAct::step(true, true)))
    })
    .key(Modifiers::SHIFT, Key::CloseBracket)
    .key(Modifiers::SHIFT, Key::CloseCurlyBracket)
    .also("rotate tilt");

pub(crate) const AS_PAINTED: Action =
    Action::new("As it is painted", "take every turn of the view back", |desk| {
        turning::is_turned(desk).then_some(Act::Turn(TurnAct::Back))
    })
    .also("rotate reset upright");
