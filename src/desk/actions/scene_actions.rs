//! What can be done with the scene as a file, and with its last changes.

use crate::actions::act::Act;
use crate::actions::{Action, Reach};
use crate::choice::Choice;
use crate::painting::reframe::ReframeAct;
use egui::{Key, Modifiers};

const COMMAND: Modifiers = Modifiers::COMMAND;
pub(crate) const SHIFT_COMMAND: Modifiers = Modifiers::COMMAND.plus(Modifiers::SHIFT);

pub(crate) const SCENE: &[Action] = &[
    NEW,
    OPEN,
    SAVE,
    SAVE_AS,
    SET_PAINTING,
    RELOAD,
    FIT_FRAME,
    TAKE_FRAME,
    REMOVE_PAINTING,
    CHOOSE_BOOK,
    REMOVE_BOOK,
    QUIT,
];

pub(crate) const EDIT: &[Action] = &[UNDO, REDO];

pub(crate) const NEW: Action =
    Action::new("New blank frame…", "begin with a blank frame", |_| Some(Act::AskNewFrame))
        .key(COMMAND, Key::N)
        .reach(Reach::Always)
        .also("start document canvas file");

pub(crate) const OPEN: Action =
    Action::new("Open…", "open a scene or a painting", |_| Some(Act::Choose(Choice::Open)))
        .key(COMMAND, Key::O)
        .reach(Reach::Always)
        .also("load import file picture image");

pub(crate) const SAVE: Action = Action::new("Save", "save the scene", |_| Some(Act::Save))
    .key(COMMAND, Key::S)
    .reach(Reach::Always)
    .also("store keep file");

pub(crate) const SAVE_AS: Action =
    Action::new("Save as…", "save the scene under another name", |_| Some(Act::AskSaveAs))
        .key(SHIFT_COMMAND, Key::S)
        .reach(Reach::Always)
        .also("export copy file rename");

pub(crate) const SET_PAINTING: Action =
    Action::new("Set the painting…", "choose the picture that the scene is laid over", |_| {
        Some(Act::Choose(Choice::Painting))
    })
    .also("image picture background load import");

pub(crate) const RELOAD: Action =
    Action::new("Read the painting again", "read the painting's file again", |desk| {
        desk.scene().painting.is_some().then_some(Act::Reload)
    })
    .key(Modifiers::NONE, Key::F5)
    .reach(Reach::Always)
    .also("refresh reload update");

pub(crate) const FIT_FRAME: Action = Action::new(
    "Fit the old frame…",
    "say where the old frame lies in a painting of another shape",
    |desk| {
        let misfit = desk.painting.misfit(desk.scene()).filter(|_| desk.asked_frame().is_none());
        misfit.map(|_| Act::Reframe(ReframeAct::Ask))
    },
)
.also("crop resize aspect ratio");

pub(crate) const TAKE_FRAME: Action = Action::new(
    "Take the new frame",
    "let everything move along with the painting of another shape",
    |desk| desk.asked_frame().map(|_| Act::Reframe(ReframeAct::Take)),
)
.key(Modifiers::NONE, Key::Enter)
.reach(Reach::FrameAsked)
.also("crop resize aspect ratio");

pub(crate) const REMOVE_PAINTING: Action = Action::new(
    "Take the painting away",
    "go on with a blank frame; the picture file stays",
    |desk| desk.scene().painting.is_some().then_some(Act::RemovePainting),
)
.also("remove delete clear background image");

pub(crate) const CHOOSE_BOOK: Action =
    Action::new("Choose size book…", "choose the production's own list of sizes", |_| {
        Some(Act::Choose(Choice::SizeBook))
    })
    .also("sizes library heights");

pub(crate) const REMOVE_BOOK: Action =
    Action::new("Put the size book away", "go on without the production's own sizes", |desk| {
        desk.scene().size_book.is_some().then_some(Act::SetSizeBook(None))
    })
    .also("sizes library");

pub(crate) const QUIT: Action =
    Action::new("Quit", "close the window; unsaved changes are asked about", |_| Some(Act::Quit))
        .key(COMMAND, Key::Q)
        .reach(Reach::Always)
        .also("exit leave end");

pub(crate) const UNDO: Action = Action::new("Undo", "take the last change back", |desk| {
    desk.history.undo_label().map(|_| Act::Undo)
})
.key(COMMAND, Key::Z)
.reach(Reach::UnlessTyping)
.said(|desk| named("Undo", desk.history.undo_label()))
.also("back revert step history");

pub(crate) const REDO: Action = Action::new("Redo", "make the undone change again", |desk| {
    desk.history.redo_label().map(|_| Act::Redo)
})
.key(SHIFT_COMMAND, Key::Z)
.key(COMMAND, Key::Y)
.reach(Reach::UnlessTyping)
.said(|desk| named("Redo", desk.history.redo_label()))
.also("forward repeat history");

fn named(word: &str, label: Option<&str>) -> String {
    match label {
        Some(label) => format!("{word}: {label}"),
        None => word.to_owned(),
    }
}
