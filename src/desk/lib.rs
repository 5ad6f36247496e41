//! The contents of the window: the canvas with the painting and what is drawn over it, the ledger,
//! the findings, the section and the plan. Turns gestures into edits of a scene.
//!
//! Knows no window system, no dialogs and no arguments: see [`Desk`] for what the program around it
//! has to do.
#![deny(missing_docs)]

mod act;
mod acts;
mod aside;
mod assessed;
mod book_notes;
mod canvas;
mod canvas_nodes;
mod canvas_notes;
mod carrying;
mod chips;
mod choice;
mod desk;
mod evidence;
mod eye_handles;
mod eye_hit;
mod eye_panel;
mod eye_pull;
mod eye_quantity;
mod field;
mod files;
mod findings;
mod gesture;
mod hit;
mod incline_properties;
mod ink;
mod keys;
mod ledger;
mod level_properties;
mod line_mode;
mod look_mode;
mod loupe;
mod mark_mode;
mod marker_properties;
mod mending;
mod menu;
mod mode;
mod modes_row;
mod naming;
mod optical_axis;
mod overlap_mode;
mod painting;
mod preview;
mod properties;
mod questions;
mod remembered;
mod reshape;
mod scene_properties;
mod sentences;
mod sheet;
mod sheet_nodes;
mod sheet_pointer;
mod sheets;
mod side;
mod size_book;
mod size_picker;
mod standing;
mod statements;
mod status;
mod suggesting;
mod support;
mod textures;
mod theme;
mod thing;
mod tiles;
mod tone_view;
mod toned_tiles;
mod tying;
mod typed;
mod view;
mod watch;
mod worker;
mod world;

pub use choice::{Choice, PICTURE_ENDINGS, SCENE_ENDING};
pub use desk::Desk;
pub use mode::Mode;
pub use remembered::Remembered;
pub use sheets::Sheets;
pub use thing::Thing;
pub use tone_view::{ShownTones, ToneSettings};
pub use view::View;
