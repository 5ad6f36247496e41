//! What can be handed over.

use crate::act::Act;
use crate::actions::{Action, Reach};
use crate::desk::Desk;
use crate::handing::HandAct;
use crate::scene_actions::SHIFT_COMMAND;
use egui::{Key, Modifiers};

pub(crate) const HANDOVER: &[Action] = &[OVERLAY, WRITE, KEEP, COPY, PASTE];

pub(crate) const OVERLAY: Action = Action::new(
    "Overlay…",
    "open or close the panel that says how the overlay is written",
    |desk| able(desk, HandAct::TogglePanel),
);

pub(crate) const WRITE: Action =
    Action::new("Write the overlay", "write the overlay as it was written last", |desk| {
        able(desk, HandAct::Write)
    })
    .key(Modifiers::COMMAND, Key::E)
    .reach(Reach::Always);

pub(crate) const KEEP: Action = Action::new(
    "Keep the overlay up to date",
    "write the overlay again after each change, or no longer",
    |desk| able(desk, HandAct::Keep(!desk.handing.settings.kept)),
)
.on(|desk| desk.handing.settings.kept);

pub(crate) const COPY: Action =
    Action::new("Copy the ink", "copy the ink on a transparent ground to the clipboard", |desk| {
        able(desk, HandAct::Copy)
    })
    .key(SHIFT_COMMAND, Key::C)
    .reach(Reach::Always);

/// The window system takes its key and brings what is on the clipboard instead.
pub(crate) const PASTE: Action = Action::new(
    "Paste as the painting",
    "take the picture on the clipboard as the painting",
    |desk| able(desk, HandAct::Paste),
)
.key(Modifiers::COMMAND, Key::V)
.reach(Reach::UnlessTyping);

fn able(desk: &Desk, act: HandAct) -> Option<Act> {
    desk.handing.by.is_some().then_some(Act::Hand(act))
}
