//! The eye: its panel, its quantities one by one, and the handles by which it is taken in hand on the
//! canvas.

pub(crate) mod eye_handles;
pub(crate) mod eye_height;
pub(crate) mod eye_hit;
pub(crate) mod eye_panel;
pub(crate) mod eye_pull;
pub(crate) mod eye_quantity;
pub(crate) mod optical_axis;
