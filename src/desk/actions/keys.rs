//! Turns pressed keys into what the table of actions says.

use crate::actions::act::Act;
use crate::actions::{self, Action, Reach};
use crate::desk::Desk;
use crate::side::find;
use egui::{Event, Key, KeyboardShortcut, Ui};

/// Turns pressed keys into acts.
pub(crate) fn take(desk: &Desk, ui: &Ui, acts: &mut Vec<Act>) {
    let any = ui.input(|i| i.events.iter().any(|e| matches!(e, Event::Key { pressed: true, .. })));
    if desk.question.is_some() || !any {
        return;
    }
    let heard = Heard::of(desk, ui);
    let mut keys: Vec<(&Action, KeyboardShortcut)> = actions::all()
        .filter(|action| heard.hears(desk, action.when()))
        .flat_map(|action| action.shortcuts().map(move |shortcut| (action, shortcut)))
        .collect();
    // Those with Shift come first: an extra Shift is overlooked by the matching.
    keys.sort_by_key(|(action, shortcut)| {
        let modifiers = shortcut.modifiers;
        let held = u8::from(modifiers.shift) + u8::from(modifiers.alt);
        (std::cmp::Reverse(held), !matches!(action.when(), Reach::In(_)))
    });
    for &(action, shortcut) in &keys {
        // An open menu closes first.
        if shortcut.logical_key == Key::Escape && egui::Popup::is_any_open(ui.ctx()) {
            continue;
        }
        let Some(act) = action.act(desk) else {
            // What cannot be done now is not something else without its Shift.
            if shortcut.modifiers.shift && !can_be_done(desk, &keys, shortcut) {
                ui.input_mut(|i| i.consume_shortcut(&shortcut));
            }
            continue;
        };
        let again = ui.input(|i| i.events.iter().any(|e| is_held(e, shortcut.logical_key)));
        if ui.input_mut(|i| i.consume_shortcut(&shortcut)) {
            acts.push(match act {
                Act::Nudge { right, down, .. } => Act::Nudge { right, down, again },
                act => act,
            });
        }
    }
}

/// Whether any action of this shortcut can be done now.
fn can_be_done(
    desk: &Desk,
    keys: &[(&Action, KeyboardShortcut)],
    shortcut: KeyboardShortcut,
) -> bool {
    keys.iter().any(|(action, other)| *other == shortcut && action.act(desk).is_some())
}

/// Whether a key that is held down says so once more.
fn is_held(event: &Event, held: Key) -> bool {
    matches!(event, Event::Key { key, repeat: true, .. } if *key == held)
}

/// Whether plain keys are orders: nothing is asked and nothing typed.
fn are_orders(desk: &Desk, ui: &Ui) -> bool {
    let asked = desk.question.is_some() || desk.action_list.is_some() || find::is_typed(ui);
    !asked && !ui.text_edit_focused() && desk.naming.is_none() && desk.renaming.is_none()
}

/// Which keys are orders in this frame.
struct Heard {
    typing: bool,
    plain: bool,
    focused: bool,
}

impl Heard {
    fn of(desk: &Desk, ui: &Ui) -> Self {
        Self {
            typing: ui.text_edit_focused(),
            plain: are_orders(desk, ui),
            focused: ui.memory(|m| m.focused().is_some()),
        }
    }

    fn hears(&self, desk: &Desk, reach: Reach) -> bool {
        match reach {
            Reach::Always => true,
            Reach::UnlessTyping => !self.typing,
            Reach::Plain => self.plain,
            Reach::WithoutFocus => self.plain && !self.focused,
            Reach::FrameAsked => self.plain && !self.focused && desk.asked_frame().is_some(),
            Reach::In(mode) => self.plain && desk.mode == mode,
        }
    }
}
