//! The program without a window.

mod alternative;
pub(crate) mod check;
mod complaint;
mod interrupt;
pub(crate) mod level;
pub(crate) mod overlay;
mod say;
