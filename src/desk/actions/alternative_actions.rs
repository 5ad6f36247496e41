//! What can be done with the alternatives of a scene.

use crate::actions::act::Act;
use crate::actions::scene_actions::SHIFT_COMMAND;
use crate::actions::{Action, Reach};
use crate::alternatives::AlternativeAct;
use crate::desk::Desk;
use egui::{Key, Modifiers};
use staffage_scene::Beginning;

pub(crate) const ALTERNATIVES: &[Action] =
    &[START, START_EMPTY, NEXT, BEFORE, COMPARE, RENAME, TAKE_IN, THROW_AWAY];

pub(crate) const START: Action = Action::new(
    "Start alternative",
    "start another idea for this place with a copy of all markers and stand-ins",
    |_| Some(act(AlternativeAct::Start(Beginning::Copy))),
)
.key(Modifiers::ALT, Key::A)
.also("variant version idea branch new");

pub(crate) const START_EMPTY: Action = Action::new(
    "Start empty alternative",
    "start another idea for this place without markers and stand-ins",
    |_| Some(act(AlternativeAct::Start(Beginning::Empty))),
)
.key(Modifiers::ALT.plus(Modifiers::SHIFT), Key::A)
.also("variant version idea branch new");

pub(crate) const NEXT: Action =
    Action::new("Next alternative", "show the next alternative", |desk| {
        has_several(desk).then(|| act(AlternativeAct::Step { back: false }))
    })
    .key(Modifiers::NONE, Key::A)
    .also("variant version switch");

pub(crate) const BEFORE: Action =
    Action::new("Alternative before", "show the alternative before", |desk| {
        has_several(desk).then(|| act(AlternativeAct::Step { back: true }))
    })
    .key(Modifiers::SHIFT, Key::A)
    .also("variant version switch previous");

pub(crate) const COMPARE: Action = Action::new(
    "Compare alternatives",
    "compare two alternatives side by side, pictures and ledgers",
    |desk| has_several(desk).then(|| act(AlternativeAct::Compare)),
)
.key(SHIFT_COMMAND, Key::A)
.on(|desk| desk.comparing.is_some())
.also("variants versions difference");

pub(crate) const RENAME: Action =
    Action::new("Rename alternative", "give the alternative on show another name", |desk| {
        let shown = desk.scene().alternative_shown()?;
        Some(act(AlternativeAct::AskName(shown.id)))
    })
    .key(Modifiers::SHIFT, Key::F2)
    .also("variant version");

pub(crate) const TAKE_IN: Action = Action::new(
    "Take the other alternative in",
    "add what the other alternative has and this one has not, and throw the other away",
    |desk| desk.other_alternative().map(|other| act(AlternativeAct::TakeIn(other.id))),
)
.said(|desk| match desk.other_alternative() {
    Some(other) => format!("Take {} in", other.name),
    None => "Take the other alternative in".into(),
})
.also("merge variant version");

pub(crate) const THROW_AWAY: Action = Action::new(
    "Throw the alternative away",
    "throw the alternative on show away and show the next",
    |desk| desk.scene().alternative_shown().map(|shown| act(AlternativeAct::ThrowAway(shown.id))),
)
.reach(Reach::Plain)
.said(|desk| match desk.scene().alternative_shown() {
    Some(shown) => format!("Throw {} away", shown.name),
    None => "Throw the alternative away".into(),
})
.also("delete remove variant version");

fn act(act: AlternativeAct) -> Act {
    Act::Alternative(act)
}

fn has_several(desk: &Desk) -> bool {
    desk.scene().alternatives.len() > 1
}
