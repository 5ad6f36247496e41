//! What can be handed over.

use crate::actions::act::Act;
use crate::actions::scene_actions::SHIFT_COMMAND;
use crate::actions::{Action, Reach};
use crate::desk::Desk;
use crate::handover::Product;
use crate::handover::handing::HandAct;
use crate::handover::levelling::{self, LevelAct};
use crate::handover::products::ProductAct;
use egui::{Key, Modifiers};

pub(crate) const HANDOVER: &[Action] =
    &[OVERLAY, WRITE, KEEP, COPY, PASTE, LAYERS, LEVELLED, BRING_BACK, SHEET, CAMERA];

pub(crate) const OVERLAY: Action = Action::new(
    "Overlay…",
    "open or close the panel that says how the overlay is written",
    |desk| able(desk, HandAct::TogglePanel),
)
.also("export guides png svg image transparent");

pub(crate) const WRITE: Action =
    Action::new("Write the overlay", "write the overlay as it was written last", |desk| {
        able(desk, HandAct::Write)
    })
    .key(Modifiers::COMMAND, Key::E)
    .reach(Reach::Always)
    .also("export save guides png svg");

pub(crate) const KEEP: Action = Action::new(
    "Keep the overlay up to date",
    "write the overlay again after each change, or no longer",
    |desk| able(desk, HandAct::Keep(!desk.handing.settings.kept)),
)
.on(|desk| desk.handing.settings.kept)
.also("export live link sync follow");

pub(crate) const COPY: Action =
    Action::new("Copy the ink", "copy the ink on a transparent ground to the clipboard", |desk| {
        able(desk, HandAct::Copy)
    })
    .key(SHIFT_COMMAND, Key::C)
    .reach(Reach::Always)
    .also("export clipboard");

/// The window system takes its key and brings what is on the clipboard instead.
pub(crate) const PASTE: Action = Action::new(
    "Paste as the painting",
    "take the picture on the clipboard as the painting",
    |desk| able(desk, HandAct::Paste),
)
.key(Modifiers::COMMAND, Key::V)
.reach(Reach::UnlessTyping)
.also("import clipboard image");

pub(crate) const LAYERS: Action = Action::new(
    "Write a layered file",
    "write the painting and the ink as named layers of one OpenRaster file, as wide as the overlay",
    |desk| able(desk, HandAct::WriteLayers { replace: false }),
)
.key(SHIFT_COMMAND, Key::E)
.reach(Reach::Always)
.also("export save ora layers");

pub(crate) const LEVELLED: Action = Action::new(
    "Levelled copy…",
    "open or close the panel that writes the painting turned level, to be painted on",
    |desk| able(desk, HandAct::Level(LevelAct::TogglePanel)),
)
.key(SHIFT_COMMAND, Key::L)
.reach(Reach::Always)
.also("export straighten rotate tilt canted");

pub(crate) const BRING_BACK: Action = Action::new(
    "Bring a levelled copy back…",
    "choose a levelled copy that was painted on, and turn it back onto the painting",
    |desk| desk.handing.by.is_some().then(levelling::ask_copy),
)
.key(SHIFT_COMMAND, Key::B)
.reach(Reach::Always)
.also("import return straighten rotate");

pub(crate) const SHEET: Action = Action::new(
    "Review sheet…",
    "open or close the panel that writes a page for the art lead: findings, ledger, eye and views, to print",
    |desk| able(desk, HandAct::Product(ProductAct::Toggle(Product::Sheet))),
)
.key(SHIFT_COMMAND, Key::R)
.reach(Reach::Always)
.also("export report print html csv json table share");

pub(crate) const CAMERA: Action = Action::new(
    "Camera and stand-ins…",
    "open or close the panel that writes the eye as a camera at true scale, with stand-ins, as glTF",
    |desk| able(desk, HandAct::Product(ProductAct::Toggle(Product::Camera))),
)
.key(SHIFT_COMMAND, Key::G)
.reach(Reach::Always)
.also("export 3-D 3d gltf glb compositing");

fn able(desk: &Desk, act: HandAct) -> Option<Act> {
    desk.handing.by.is_some().then_some(Act::Hand(act))
}
