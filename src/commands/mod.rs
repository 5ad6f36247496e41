//! The program without a window.

mod alternative;
pub(crate) mod check;
mod complaint;
pub(crate) mod overlay;
