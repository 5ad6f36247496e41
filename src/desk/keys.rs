//! Every key, in one table that the menus, the list of keys and the dispatch share.

use crate::act::{Act, Traced};
use crate::choice::Choice;
use crate::desk::Desk;
use crate::eye_pull;
use crate::gesture::{Gesture, Tie};
use crate::mode::Mode;
use egui::{Event, Key, KeyboardShortcut, Modifiers, Ui};
use staffage_scene::{Family, LevelId, Span};

const SHIFT_COMMAND: Modifiers = Modifiers::COMMAND.plus(Modifiers::SHIFT);

pub(crate) const NEW: KeyboardShortcut = KeyboardShortcut::new(Modifiers::COMMAND, Key::N);
pub(crate) const OPEN: KeyboardShortcut = KeyboardShortcut::new(Modifiers::COMMAND, Key::O);
pub(crate) const SAVE: KeyboardShortcut = KeyboardShortcut::new(Modifiers::COMMAND, Key::S);
pub(crate) const SAVE_AS: KeyboardShortcut = KeyboardShortcut::new(SHIFT_COMMAND, Key::S);
pub(crate) const QUIT: KeyboardShortcut = KeyboardShortcut::new(Modifiers::COMMAND, Key::Q);
pub(crate) const UNDO: KeyboardShortcut = KeyboardShortcut::new(Modifiers::COMMAND, Key::Z);
pub(crate) const REDO: KeyboardShortcut = KeyboardShortcut::new(SHIFT_COMMAND, Key::Z);
const REDO_TOO: KeyboardShortcut = KeyboardShortcut::new(Modifiers::COMMAND, Key::Y);
pub(crate) const RELOAD: KeyboardShortcut = KeyboardShortcut::new(Modifiers::NONE, Key::F5);
pub(crate) const KEYS: KeyboardShortcut = KeyboardShortcut::new(Modifiers::NONE, Key::F1);
pub(crate) const FIT: KeyboardShortcut = KeyboardShortcut::new(Modifiers::NONE, Key::Home);
pub(crate) const ACTUAL_SIZE: KeyboardShortcut = KeyboardShortcut::new(Modifiers::NONE, Key::End);
pub(crate) const INK: KeyboardShortcut = KeyboardShortcut::new(Modifiers::NONE, Key::K);
pub(crate) const EYE: KeyboardShortcut = KeyboardShortcut::new(Modifiers::NONE, Key::E);
pub(crate) const SECTION: KeyboardShortcut = KeyboardShortcut::new(Modifiers::NONE, Key::T);
pub(crate) const SHEETS: KeyboardShortcut = KeyboardShortcut::new(Modifiers::SHIFT, Key::T);
pub(crate) const LINEAR: KeyboardShortcut = KeyboardShortcut::new(Modifiers::COMMAND, Key::T);

pub(crate) const SELECT_ALL: KeyboardShortcut = KeyboardShortcut::new(Modifiers::COMMAND, Key::A);
pub(crate) const DUPLICATE: KeyboardShortcut = KeyboardShortcut::new(Modifiers::COMMAND, Key::D);
pub(crate) const ALIGN: KeyboardShortcut = KeyboardShortcut::new(Modifiers::NONE, Key::W);
pub(crate) const CENTRE: KeyboardShortcut = KeyboardShortcut::new(Modifiers::NONE, Key::C);
pub(crate) const DELETE: KeyboardShortcut = KeyboardShortcut::new(Modifiers::NONE, Key::Delete);

/// The list of keys, by subject: (key, what it does).
pub(crate) const LIST: [(&str, &[(&str, &str)]); 5] = [
    (
        "Everywhere",
        &[
            ("1  2  3  4", "Look, Line, Mark, Overlap"),
            ("N, Shift+N", "select the next thing, the one before"),
            ("C", "bring the selected thing to the middle"),
            ("E", "open or close the eye"),
            ("Shift+click", "select one more, or one less"),
            ("drag in Look", "select what lies in the band, with Shift in addition"),
            ("Ctrl+A", "select all markers and lines"),
            ("Ctrl+D", "duplicate what is selected"),
            ("W", "align it to its family: plumb, or along its lines"),
            ("Delete", "delete what is selected"),
            ("arrows", "nudge it by a picture pixel, with Shift by ten"),
            ("Esc", "give up the gesture, else select nothing"),
            ("Ctrl+Z, Ctrl+Shift+Z", "undo, redo"),
        ],
    ),
    (
        "View",
        &[
            ("wheel", "enlarge about the pointer"),
            ("+  −", "enlarge, reduce"),
            ("Alt+wheel", "a longer or shorter lens"),
            (".  ,", "the same by keys, with Shift in larger steps"),
            ("middle button, Space+drag", "move the view"),
            ("Home", "the whole frame"),
            ("End", "one picture pixel on one screen pixel"),
            ("V, D, Q, M held", "values, flat tones, squint, mirrored: as long as held"),
            ("2 … 5 while D is held", "so many flat tones"),
            ("Shift+V, D, Q, M", "keep seeing it so, or stop"),
            ("K", "show or hide what is drawn over the painting"),
            ("T", "show or hide the section and the plan"),
            ("Shift+T", "section, plan or both"),
            ("Ctrl+T", "logarithmic or linear distances there"),
        ],
    ),
    (
        "Line",
        &[
            ("U", "upright"),
            ("L, R", "receding left, receding right"),
            ("H", "horizon"),
            ("I, Shift+I", "incline: the next one, its level run"),
            ("Shift+L", "the light: rays to the ends of shadows"),
            ("B, Shift+B", "the next block, a new block"),
        ],
    ),
    (
        "Mark",
        &[
            ("U", "runs upright"),
            ("L, R", "runs along a receding family"),
            ("F", "faces the viewer"),
            ("O, Shift+O", "round (tower, tank), ball"),
            ("B", "runs along the next block"),
            ("G", "stands on the next level"),
            ("P", "floats: click its plumb point"),
            ("S", "its shadow: click where it falls"),
            ("Shift while dragging", "keep exactly to the line"),
        ],
    ),
    (
        "Scene",
        &[
            ("Ctrl+N, Ctrl+O", "new blank frame, open"),
            ("Ctrl+S, Ctrl+Shift+S", "save, save as"),
            ("F5", "read the painting again"),
            ("Ctrl+Q", "quit"),
            ("F1", "this list"),
        ],
    ),
];

/// Turns pressed keys into acts.
pub(crate) fn take(desk: &Desk, ui: &Ui, acts: &mut Vec<Act>) {
    if desk.question.is_some() {
        return;
    }
    take_commands(ui, acts);
    if are_orders(desk, ui) {
        take_plain(desk, ui, acts);
    }
}

/// Whether plain keys are orders: nothing is asked and nothing typed.
pub(crate) fn are_orders(desk: &Desk, ui: &Ui) -> bool {
    desk.question.is_none() && !ui.text_edit_focused() && desk.naming.is_none()
}

fn take_commands(ui: &Ui, acts: &mut Vec<Act>) {
    // Those with Shift come first: an extra Shift is overlooked by the matching.
    let commands = [
        (SAVE_AS, Act::AskSaveAs),
        (REDO, Act::Redo),
        (NEW, Act::AskNewFrame),
        (OPEN, Act::Choose(Choice::Open)),
        (SAVE, Act::Save),
        (UNDO, Act::Undo),
        (REDO_TOO, Act::Redo),
        (QUIT, Act::Quit),
        (SELECT_ALL, Act::SelectAll),
        (DUPLICATE, Act::Duplicate),
        (KEYS, Act::ToggleKeys),
        (RELOAD, Act::Reload),
        (LINEAR, Act::ToggleLinear),
    ];
    let typing = ui.text_edit_focused();
    for (shortcut, act) in commands {
        // A text field being typed in has its own undo, and all of its text to select.
        if typing && [UNDO, REDO, REDO_TOO, SELECT_ALL, DUPLICATE].contains(&shortcut) {
            continue;
        }
        if ui.input_mut(|i| i.consume_shortcut(&shortcut)) {
            acts.push(act);
        }
    }
}

fn take_plain(desk: &Desk, ui: &Ui, acts: &mut Vec<Act>) {
    let pressed = |key| ui.input_mut(|i| i.consume_key(Modifiers::NONE, key));
    let shifted = |key| ui.input_mut(|i| i.consume_key(Modifiers::SHIFT, key));
    for mode in Mode::ALL {
        if pressed(mode.key()) {
            acts.push(Act::SetMode(mode));
        }
    }
    if shifted(Key::N) {
        acts.push(Act::Step { back: true });
    }
    if shifted(Key::T) {
        acts.push(Act::NextSheets);
    }
    take_view(&pressed, acts);
    take_lens(desk, &pressed, &shifted, acts);
    if pressed(Key::N) {
        acts.push(Act::Step { back: false });
    }
    if let Some(thing) = desk.selected() {
        if pressed(Key::C) {
            acts.push(Act::Centre(thing));
        }
        for (key, tie) in [(Key::P, Tie::Plumb), (Key::S, Tie::Shadow)] {
            if pressed(key) {
                acts.push(Act::AskTie(tie));
            }
        }
    }
    if pressed(Key::W) {
        acts.push(Act::Align);
    }
    if pressed(Key::Delete) || pressed(Key::Backspace) {
        acts.push(Act::DeleteSelected);
    }
    // An open menu closes first.
    if !egui::Popup::is_any_open(ui.ctx()) && pressed(Key::Escape) {
        acts.push(if desk.gesture == Gesture::Idle { Act::Select(None) } else { Act::GiveUp });
    }
    if ui.memory(|m| m.focused().is_none()) {
        take_nudges(ui, acts);
    }
    match desk.mode {
        Mode::Line => take_line(desk, &pressed, &shifted, acts),
        Mode::Mark => take_mark(desk, &pressed, &shifted, acts),
        Mode::Look | Mode::Overlap => {}
    }
}

fn take_view(pressed: &dyn Fn(Key) -> bool, acts: &mut Vec<Act>) {
    let keys = [
        (Key::Home, Act::Fit),
        (Key::End, Act::ActualSize),
        (Key::K, Act::ToggleInk),
        (Key::T, Act::ToggleSection),
        (Key::Plus, Act::Zoom(1.25)),
        (Key::Equals, Act::Zoom(1.25)),
        (Key::Minus, Act::Zoom(0.8)),
    ];
    acts.extend(keys.into_iter().filter(|(key, _)| pressed(*key)).map(|(_, act)| act));
}

fn take_lens(
    desk: &Desk,
    pressed: &dyn Fn(Key) -> bool,
    shifted: &dyn Fn(Key) -> bool,
    acts: &mut Vec<Act>,
) {
    for (key, longer) in [(Key::Period, true), (Key::Comma, false)] {
        let step = if shifted(key) {
            1.1
        } else if pressed(key) {
            1.01
        } else {
            continue;
        };
        let times: f64 = if longer { step } else { 1.0 / step };
        acts.push(Act::Edit(eye_pull::longer_lens(desk, times)));
    }
}

fn take_nudges(ui: &Ui, acts: &mut Vec<Act>) {
    for (key, right, down) in [
        (Key::ArrowLeft, -1.0, 0.0),
        (Key::ArrowRight, 1.0, 0.0),
        (Key::ArrowUp, 0.0, -1.0),
        (Key::ArrowDown, 0.0, 1.0),
    ] {
        let again = ui.input(|i| i.events.iter().any(|event| is_held(event, key)));
        let far = ui.input_mut(|i| i.consume_key(Modifiers::SHIFT, key));
        let near = !far && ui.input_mut(|i| i.consume_key(Modifiers::NONE, key));
        if far || near {
            let pixels = if far { 10.0 } else { 1.0 };
            acts.push(Act::Nudge { right: right * pixels, down: down * pixels, again });
        }
    }
}

/// Whether a key that is held down says so once more.
fn is_held(event: &Event, held: Key) -> bool {
    matches!(event, Event::Key { key, pressed: true, repeat: true, .. } if *key == held)
}

fn take_line(
    desk: &Desk,
    pressed: &dyn Fn(Key) -> bool,
    shifted: &dyn Fn(Key) -> bool,
    acts: &mut Vec<Act>,
) {
    let block = desk.tools.block;
    if shifted(Key::B) {
        acts.push(Act::AddBlock);
    } else if pressed(Key::B) {
        acts.push(Act::NextBlock);
    }
    if shifted(Key::L) {
        let light = desk.scene().light();
        acts.push(light.map_or(Act::AddLight, |light| trace(Family::Incline(light))));
    }
    for (key, traced) in [
        (Key::U, Traced::Family(Family::Upright)),
        (Key::L, Traced::Family(Family::RecedingLeft(block))),
        (Key::R, Traced::Family(Family::RecedingRight(block))),
        (Key::H, Traced::Horizon),
    ] {
        if pressed(key) {
            acts.push(Act::Trace(traced));
        }
    }
    if shifted(Key::I) {
        acts.push(level_run(desk));
    } else if pressed(Key::I) {
        acts.push(next_incline(desk));
    }
}

fn trace(family: Family) -> Act {
    Act::Trace(Traced::Family(family))
}

/// The incline after the one that is traced; the first if none is; a new one if there is none.
fn next_incline(desk: &Desk) -> Act {
    let inclines = &desk.scene().inclines;
    let at = desk.tools.incline().and_then(|id| inclines.iter().position(|i| i.id == id));
    let next = at.map_or(0, |at| (at + 1) % inclines.len().max(1));
    inclines.get(next).map_or(Act::AddIncline, |incline| trace(Family::Incline(incline.id)))
}

/// The level run of the incline that is traced, else of the first; a new incline if there is none.
fn level_run(desk: &Desk) -> Act {
    let first = desk.scene().inclines.first().map(|i| i.id);
    let incline = desk.tools.incline().or(first);
    incline.map_or(Act::AddIncline, |id| trace(Family::Run(id)))
}

fn take_mark(
    desk: &Desk,
    pressed: &dyn Fn(Key) -> bool,
    shifted: &dyn Fn(Key) -> bool,
    acts: &mut Vec<Act>,
) {
    let block = desk.tools.block;
    if shifted(Key::O) {
        acts.push(Act::Run(Span::Ball));
    }
    if pressed(Key::B) {
        acts.push(Act::NextBlock);
    }
    for (key, span) in [
        (Key::U, Span::Upright),
        (Key::L, Span::Along(Family::RecedingLeft(block))),
        (Key::R, Span::Along(Family::RecedingRight(block))),
        (Key::F, Span::Facing),
        (Key::O, Span::Cylinder),
    ] {
        if pressed(key) {
            acts.push(Act::Run(span));
        }
    }
    if pressed(Key::I)
        && let scene = desk.scene()
        && let Some(incline) = scene.inclines.iter().find(|i| !scene.is_light(i.id))
    {
        acts.push(Act::Run(Span::Along(Family::Incline(incline.id))));
    }
    if pressed(Key::G)
        && let Some(level) = next_level(desk)
    {
        acts.push(Act::StandOn(level));
    }
}

fn next_level(desk: &Desk) -> Option<LevelId> {
    let levels = &desk.scene().levels;
    let at = levels.iter().position(|l| Some(l.id) == desk.tools.level);
    levels.get(at.map_or(0, |at| (at + 1) % levels.len())).map(|l| l.id)
}
