//! The program without a window.

pub(crate) mod check;
mod complaint;
pub(crate) mod overlay;
