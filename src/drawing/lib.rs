//! What is drawn over the painting: (scene, assessment, view) to ink, and ink to SVG.
//!
//! The canvas, the SVG and the PNG put down the same ink, so that what is exported is what was
//! seen. Nothing here knows a window or a pixel.
#![deny(missing_docs)]

mod bounds;
mod caption;
mod crowd;
mod draw;
mod foot;
mod ghosts;
mod graduation;
mod guides;
mod horizon;
mod ink;
mod label;
mod lines;
mod mark;
mod markers;
mod on_paper;
mod overlaps;
mod page;
mod palette;
mod pen;
mod plan;
mod pointer;
mod preview;
mod round;
mod ruler;
mod safe;
#[cfg(test)]
mod samples;
mod section;
mod shown;
mod spread;
mod staff;
mod stage;
mod stand_ins;
mod svg;
mod vanishing;
mod view;
mod words;

pub use draw::draw;
pub use graduation::Axis;
pub use guides::{Aids, GroundGrid, measuring_points, rays};
pub use ink::{Anchor, Colour, Corners, Drawing, Group, Ink, PLATE_PADDING};
pub use mark::{MARK_RADIUS, standing_mark};
pub use on_paper::on_paper;
pub use page::Page;
pub use palette::{family_colour, standing_colour};
pub use plan::{Ground, Plan, plan};
pub use preview::preview;
pub use safe::{SafeLines, safe_lines};
pub use section::{Paper, Place, Section, SectionView, section};
pub use stage::Whereabouts;
pub use stand_ins::{figure_parts, ghost};
pub use svg::{to_inline_svg, to_layered_svg, to_svg};
pub use view::{Attention, Emphasis, View};
