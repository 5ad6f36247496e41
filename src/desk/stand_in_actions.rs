//! What the next stand-in is, by key and by name.

use crate::act::Act;
use crate::actions::{Action, Reach};
use crate::desk::Desk;
use crate::mark_actions::next_level;
use crate::mode::Mode;
use crate::stand_in_mode::{Many, SetIn};
use egui::{Key, Modifiers};

pub(crate) const STAND_IN: &[Action] = &[ONE, ROW, CROWD, NEXT_LEVEL];

pub(crate) const ONE: Action = kind("One stand-in", "set one stand-in in with a click", |_| {
    Some(Act::SetIn(SetIn::Many(Many::One)))
})
.on(|desk| desk.setting.many == Many::One);

pub(crate) const ROW: Action = kind("Row of stand-ins", "drag a row of stand-ins", |_| {
    Some(Act::SetIn(SetIn::Many(Many::Row)))
})
.on(|desk| desk.setting.many == Many::Row);

pub(crate) const CROWD: Action =
    kind("Crowd of stand-ins", "spread a crowd of stand-ins over a patch", |_| {
        Some(Act::SetIn(SetIn::Many(Many::Crowd)))
    })
    .on(|desk| desk.setting.many == Many::Crowd);

pub(crate) const NEXT_LEVEL: Action =
    kind("Stand-ins on the next level", "what the next stand-in stands on", |desk| {
        next_level(desk).map(Act::StandOn)
    })
    .key(Modifiers::NONE, Key::G);

const fn kind(name: &'static str, what: &'static str, act: fn(&Desk) -> Option<Act>) -> Action {
    Action::new(name, what, act).reach(Reach::In(Mode::StandIn))
}
