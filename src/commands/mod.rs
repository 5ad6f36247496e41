//! The program without a window.

pub(crate) mod check;
