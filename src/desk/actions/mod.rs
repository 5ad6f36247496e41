//! What the program can do: one table that the menus, the keys, the tooltips and the list of all
//! actions read, so that they cannot disagree.

pub(crate) mod act;
pub(crate) mod action_list;
pub(crate) mod acts;
pub(crate) mod alternative_actions;
pub(crate) mod canvas_actions;
pub(crate) mod furniture_actions;
pub(crate) mod guide_actions;
pub(crate) mod handover_actions;
pub(crate) mod keys;
pub(crate) mod mark_actions;
pub(crate) mod menu;
pub(crate) mod scene_actions;
pub(crate) mod stand_in_actions;
pub(crate) mod things_menu;
pub(crate) mod turn_actions;
pub(crate) mod view_actions;

use crate::actions::act::Act;
use crate::desk::Desk;
use crate::modes::mode::Mode;
use egui::{Key, KeyboardShortcut, Modifiers};

/// Something that the program can do.
#[derive(Clone, Copy)]
pub(crate) struct Action {
    /// What it is called in menus and lists.
    pub(crate) name: &'static str,
    /// What it does, without a capital and a full stop.
    pub(crate) what: &'static str,
    /// Its keys; the first is the one that is told.
    keys: [Option<KeyboardShortcut>; 2],
    reach: Reach,
    /// What it comes to now; `None` if it is not possible now.
    act: fn(&Desk) -> Option<Act>,
    /// What it is called now, where that says more than its name.
    said: Option<fn(&Desk) -> String>,
    /// Everyday words that it is also found by, which are not shown.
    also: &'static str,
    /// Whether it is on, for what can be switched.
    on: Option<fn(&Desk) -> bool>,
}

/// When an action's keys are orders.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Reach {
    /// Always, even while something is typed.
    Always,
    /// Unless a text field has the focus, which has its own use for them.
    UnlessTyping,
    /// While nothing is typed and nothing asked.
    Plain,
    /// The same, and nothing has the focus that its arrow keys would move.
    WithoutFocus,
    /// The same while it is asked where the old frame lies in a painting of another shape: nothing is
    /// drawn then.
    FrameAsked,
    /// As [`Plain`](Self::Plain), in one mode alone; there it comes before what is plain.
    In(Mode),
}

impl Action {
    pub(crate) const fn new(
        name: &'static str,
        what: &'static str,
        act: fn(&Desk) -> Option<Act>,
    ) -> Self {
        let (keys, reach) = ([None, None], Reach::Plain);
        Self { name, what, keys, reach, act, said: None, also: "", on: None }
    }

    /// With a key; the first one given is the one that is told.
    pub(crate) const fn key(mut self, modifiers: Modifiers, key: Key) -> Self {
        let at = if self.keys[0].is_none() { 0 } else { 1 };
        self.keys[at] = Some(KeyboardShortcut::new(modifiers, key));
        self
    }

    pub(crate) const fn reach(mut self, reach: Reach) -> Self {
        self.reach = reach;
        self
    }

    /// With what it is called now.
    pub(crate) const fn said(mut self, said: fn(&Desk) -> String) -> Self {
        self.said = Some(said);
        self
    }

    /// With everyday words that it is also found by: what others call it, what it is done for.
    pub(crate) const fn also(mut self, also: &'static str) -> Self {
        self.also = also;
        self
    }

    /// As something that is on or off.
    pub(crate) const fn on(mut self, on: fn(&Desk) -> bool) -> Self {
        self.on = Some(on);
        self
    }

    /// What it comes to now; `None` if it is not possible now.
    pub(crate) fn act(&self, desk: &Desk) -> Option<Act> {
        (self.act)(desk)
    }

    /// What to call it now.
    pub(crate) fn name_now(&self, desk: &Desk) -> String {
        self.said.map_or_else(|| self.name.to_owned(), |said| said(desk))
    }

    /// Whether it is on; `None` for what is no switch.
    pub(crate) fn is_on(&self, desk: &Desk) -> Option<bool> {
        self.on.map(|on| on(desk))
    }

    pub(crate) fn when(&self) -> Reach {
        self.reach
    }

    /// All its keys.
    pub(crate) fn shortcuts(&self) -> impl Iterator<Item = KeyboardShortcut> {
        self.keys.into_iter().flatten()
    }

    /// Its key in words: "Ctrl+Shift+S"; `None` if it has none.
    pub(crate) fn key_words(&self) -> Option<String> {
        self.keys[0].map(key_words)
    }

    /// What it does, with its key: "Show the whole frame (Home)".
    pub(crate) fn tooltip(&self) -> String {
        let (first, rest) = self.what.split_at(self.what.chars().next().map_or(0, char::len_utf8));
        let what = first.to_uppercase() + rest;
        match self.key_words() {
            Some(key) => format!("{what} ({key})"),
            None => what,
        }
    }
}

/// A key as it is told everywhere.
fn key_words(shortcut: KeyboardShortcut) -> String {
    let Modifiers { alt, shift, command, .. } = shortcut.modifiers;
    let key = match shortcut.logical_key {
        Key::Plus => "+",
        Key::Minus => "−",
        Key::Escape => "Esc",
        Key::ArrowLeft => "Left",
        Key::ArrowRight => "Right",
        Key::ArrowUp => "Up",
        Key::ArrowDown => "Down",
        Key::OpenBracket => "[",
        Key::CloseBracket => "]",
        Key::Comma => ",",
        Key::Period => ".",
        key => key.name(),
    };
    let held = [(command, "Ctrl+"), (alt, "Alt+"), (shift, "Shift+")];
    held.into_iter().filter_map(|(held, word)| held.then_some(word)).chain([key]).collect()
}

/// All actions under their headings, in the order of the list.
pub(crate) const GROUPS: [(&str, &[Action]); 12] = [
    ("Scene", scene_actions::SCENE),
    ("Edit", scene_actions::EDIT),
    ("Alternatives", alternative_actions::ALTERNATIVES),
    ("Handover", handover_actions::HANDOVER),
    ("Modes", canvas_actions::MODES),
    ("Selected", canvas_actions::SELECTED),
    ("Line", canvas_actions::LINE),
    ("Mark", mark_actions::MARK),
    ("Stand-in", stand_in_actions::STAND_IN),
    ("Guide", guide_actions::GUIDE),
    ("View", view_actions::VIEW),
    ("Window", furniture_actions::WINDOW),
];

/// What is done with the pointer, or with keys that are held: (where, how, what it does).
pub(crate) const GESTURES: [(&str, &str, &str); 20] = [
    ("View", "wheel", "enlarge about the pointer"),
    ("View", "middle button, Space+drag", "move the view"),
    ("View", "Shift+middle button, Shift+Space+drag", "turn the view freely"),
    ("View", "Alt+wheel", "a longer or shorter lens"),
    ("View", "V, D, Q, M held", "values, flat tones, squint, mirrored: as long as held"),
    ("View", "2 … 5 while D is held", "so many flat tones"),
    ("Look", "drag the horizon or a vanishing point", "set the eye by hand"),
    ("Look", "Shift+click", "select one more, or one less"),
    ("Look", "drag", "select what lies in the band, with Shift in addition"),
    ("Look", "drag a handle", "move what is selected"),
    ("Line", "drag along an edge", "trace a line"),
    ("Mark", "drag from foot to head", "mark a thing"),
    ("Everywhere", "Ctrl while dragging", "let an end lie where it is, catching at nothing"),
    (
        "Everywhere",
        "arrow keys, Enter, where things are drawn",
        "walk the crosshair, press and let go",
    ),
    ("Mark", "Shift while dragging", "keep the head exactly to its line"),
    ("Stand-in", "click", "set one in"),
    ("Stand-in", "drag", "a row from its first to its last, a crowd over its patch"),
    ("Guide", "drag", "draw steps, a flight or a circle"),
    ("Guide", "wheel while dragging", "more or fewer steps"),
    ("Overlap", "drag from thing to thing", "say that the first hides part of the second"),
];

/// All actions.
pub(crate) fn all() -> impl Iterator<Item = &'static Action> {
    GROUPS.iter().flat_map(|(_, actions)| actions.iter())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::{BTreeMap, BTreeSet};

    /// In which modes a key of this reach is heard.
    fn heard_in(reach: Reach) -> Vec<Mode> {
        match reach {
            Reach::In(mode) => vec![mode],
            Reach::FrameAsked => Vec::new(),
            _ => Mode::ALL.to_vec(),
        }
    }

    #[test]
    fn no_key_means_two_things_in_one_mode() {
        let mut taken: BTreeMap<(String, &str), &str> = BTreeMap::new();
        for action in all() {
            for shortcut in action.shortcuts() {
                for mode in heard_in(action.when()) {
                    let other = taken.insert((key_words(shortcut), mode.word()), action.name);
                    let key = key_words(shortcut);
                    assert_eq!(other, None, "{key} in {} is also {}", mode.word(), action.name);
                }
            }
        }
    }

    #[test]
    fn no_two_actions_have_one_name_under_one_heading() {
        for (heading, actions) in GROUPS {
            let names: BTreeSet<&str> = actions.iter().map(|a| a.name).collect();
            assert_eq!(names.len(), actions.len(), "{heading}");
        }
    }

    #[test]
    fn plain_letters_are_never_orders_while_something_is_typed() {
        for action in all().filter(|a| a.when() == Reach::Always) {
            for shortcut in action.shortcuts() {
                let key = shortcut.logical_key.name();
                let is_function_key = key.starts_with('F') && key.len() > 1;
                assert!(shortcut.modifiers.command || is_function_key, "{}", action.name);
            }
        }
    }

    #[test]
    fn a_tooltip_begins_with_a_capital_and_ends_with_the_key() {
        assert_eq!(
            scene_actions::SAVE_AS.tooltip(),
            "Save the scene under another name (Ctrl+Shift+S)"
        );
        for action in all() {
            assert!(
                action.what.ends_with(|c: char| c.is_alphanumeric() || ")%".contains(c)),
                "{}",
                action.what
            );
        }
    }
}
