//! What is drawn over the painting: (scene, assessment, view) to ink, and ink to SVG.
//!
//! The canvas, the SVG and the PNG put down the same ink, so that what is exported is what was
//! seen. Nothing here knows a window or a pixel.
#![deny(missing_docs)]

mod draw;
mod ink;
mod palette;
mod section;
mod svg;
mod view;

pub use draw::draw;
pub use ink::{Anchor, Colour, Drawing, Group, Ink, PLATE_PADDING};
pub use palette::{family_colour, standing_colour};
pub use section::section;
pub use svg::to_svg;
pub use view::{Attention, Emphasis, View};
