//! What can be done with the window itself, and help.

use crate::actions::act::Act;
use crate::actions::{Action, Reach};
use crate::side::Part;
use egui::{Key, Modifiers, ThemePreference};

pub(crate) const WINDOW: &[Action] = &[
    FIND,
    EYE,
    FINDINGS,
    LEDGER,
    PROPERTIES,
    LARGER,
    SMALLER,
    AS_DESIGNED,
    DARK,
    LIGHT,
    AS_SYSTEM,
    ALL_ACTIONS,
    FIRST_STEPS,
    CAUTION,
    DEMO,
    NEXT_PANE,
    PANE_BEFORE,
];

pub(crate) const EYE: Action =
    Action::new("The eye", "open or close the panel of the eye", |_| Some(Act::ToggleEye))
        .key(Modifiers::NONE, Key::E)
        .also("height size lens camera focal length angle view field pitch tilt cant roll horizon");

pub(crate) const DARK: Action = Action::new("Dark", "the dark theme of the window", |_| {
    Some(Act::SetTheme(ThemePreference::Dark))
})
.on(|desk| desk.remembered.theme == ThemePreference::Dark)
.also("appearance colour night");

pub(crate) const LIGHT: Action = Action::new("Light", "the light theme of the window", |_| {
    Some(Act::SetTheme(ThemePreference::Light))
})
.on(|desk| desk.remembered.theme == ThemePreference::Light)
.also("appearance colour day");

pub(crate) const AS_SYSTEM: Action =
    Action::new("As the system", "the theme as dark or light as the system", |_| {
        Some(Act::SetTheme(ThemePreference::System))
    })
    .on(|desk| desk.remembered.theme == ThemePreference::System)
    .also("appearance colour");

pub(crate) const ALL_ACTIONS: Action =
    Action::new("All actions", "search everything that the program can do, with its keys", |_| {
        Some(Act::ToggleActions)
    })
    .key(Modifiers::NONE, Key::F1)
    .reach(Reach::Always)
    .also("help shortcuts commands");

pub(crate) const CAUTION: Action = Action::new(
    "What the numbers are for",
    "what the numbers can be used for, and what not",
    |_| Some(Act::ToggleCaution),
)
.also("help accuracy about");

pub(crate) const FIND: Action =
    Action::new("Find…", "find a thing by name, kind, level or standing", |_| Some(Act::Find))
        .key(Modifiers::COMMAND, Key::F)
        .reach(Reach::Always)
        .also("search look");

pub(crate) const FINDINGS: Action =
    Action::new("Findings", "unfold or fold the findings", |_| Some(Act::Fold(Part::Findings)))
        .on(|desk| desk.remembered.parts.findings)
        .also("errors problems contradictions warnings");

pub(crate) const LEDGER: Action =
    Action::new("Ledger", "unfold or fold the ledger", |_| Some(Act::Fold(Part::Ledger)))
        .on(|desk| desk.remembered.parts.ledger)
        .also("list table size height distance");

pub(crate) const PROPERTIES: Action =
    Action::new("Properties", "unfold or fold what is selected", |_| {
        Some(Act::Fold(Part::Selected))
    })
    .on(|desk| desk.remembered.parts.selected)
    .also("size height inspector details");

pub(crate) const LARGER: Action =
    Action::new("Larger window text", "draw the window's contents larger, up to 250 %", |desk| {
        desk.remembered.can_scale(1).then_some(Act::Scale(Some(1)))
    })
    .key(Modifiers::COMMAND, Key::Plus)
    .key(Modifiers::COMMAND, Key::Equals)
    .reach(Reach::Always)
    .also("zoom scale font bigger");

pub(crate) const SMALLER: Action = Action::new(
    "Smaller window text",
    "draw the window's contents smaller, down to 60 %",
    |desk| desk.remembered.can_scale(-1).then_some(Act::Scale(Some(-1))),
)
.key(Modifiers::COMMAND, Key::Minus)
.reach(Reach::Always)
.also("zoom scale font");

pub(crate) const AS_DESIGNED: Action =
    Action::new("Window text at 100 %", "draw the window's contents as designed", |_| {
        Some(Act::Scale(None))
    })
    .key(Modifiers::COMMAND, Key::Num0)
    .reach(Reach::Always)
    .said(|desk| format!("Window text at 100 % (now {})", desk.remembered.scale_words()))
    .also("zoom scale font reset");

pub(crate) const FIRST_STEPS: Action =
    Action::new("What to do first", "the three things to begin with", |_| Some(Act::ToggleHint))
        .also("help tutorial start begin");

pub(crate) const DEMO: Action =
    Action::new("Open the demo scene", "open the demo scene as a copy to look around in", |desk| {
        desk.demo.is_some().then_some(Act::OpenDemo)
    })
    .also("example sample tutorial");

pub(crate) const NEXT_PANE: Action = Action::new(
    "Next part of the window",
    "give the keys to the next part: menus, modes, canvas, wall, section, strip",
    |_| Some(Act::NextPane { back: false }),
)
.key(Modifiers::NONE, Key::F6)
.reach(Reach::Always)
.also("focus tab pane panel keyboard");

pub(crate) const PANE_BEFORE: Action = Action::new(
    "Part of the window before",
    "give the keys to the part of the window before",
    |_| Some(Act::NextPane { back: true }),
)
.key(Modifiers::SHIFT, Key::F6)
.reach(Reach::Always)
.also("focus tab pane panel keyboard previous");
