//! The contents of the window: the canvas with the painting and what is drawn over it, the ledger,
//! the findings, the section and the plan. Turns gestures into edits of a scene.
//!
//! Knows no window system, no dialogs and no arguments: see [`Desk`] for what the program around it
//! has to do.
#![deny(missing_docs)]

mod actions;
mod alternatives;
mod aside;
mod assessed;
mod book_notes;
mod canvas;
mod choice;
mod desk;
mod eye;
mod field;
mod files;
mod handover;
mod modes;
mod painting;
mod panes;
mod properties;
mod questions;
mod remembered;
mod scale;
mod selection;
mod sentences;
mod sheets;
mod side;
mod size_book;
mod status;
mod theme;
mod thing;
mod typed;
mod worker;
mod world;

pub use canvas::view::View;
pub use choice::{Choice, PICTURE_ENDINGS, SCENE_ENDING};
pub use desk::Desk;
pub use handover::level_settings::{LevelSettings, LevelStance};
pub use handover::overlay_settings::{OverlaySettings, OverlaysRemembered};
pub use handover::places::{Placed, PlacesRemembered};
pub use handover::products::ProductsRemembered;
pub use handover::{
    FilmBack, HandoverProgress, Handovers, Ink, InkPart, InkPreview, LayersOrder, LevelAim,
    LevelOrder, Order, Outcome, OverlayOrder, PagePreview, Product, ProductOrder, ProductPreview,
};
pub use modes::guide_tools::ShownGuides;
pub use modes::mode::Mode;
pub use painting::tone_view::{ShownTones, ToneSettings};
pub use remembered::Remembered;
pub use selection::Selection;
pub use sheets::Sheets;
pub use side::Parts;
pub use thing::Thing;
