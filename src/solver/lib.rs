//! The maths of Staffage: the eye, the geometry of a marker, the ledger.
#![deny(missing_docs)]

mod eye;
mod quantity;

pub use eye::{Eye, angle_of_view, focal_of_view};
pub use quantity::{Quantity, Source};
