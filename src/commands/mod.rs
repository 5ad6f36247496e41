//! The program without a window.

pub(crate) mod alternative;
pub(crate) mod camera;
pub(crate) mod check;
pub(crate) mod compare;
mod complaint;
pub(crate) mod continuity;
mod gathered;
mod interrupt;
pub(crate) mod layers;
pub(crate) mod level;
pub(crate) mod overlay;
pub(crate) mod product;
mod say;
pub(crate) mod sheet;
pub(crate) mod watching;
mod writing;
