//! What leaves the program, in open formats: the ink as a picture to lay over the painting; the
//! painting turned level and brought back; painting and ink as the layers of one
//! file; and a painting that came without a file, as one.
//!
//! # Conventions
//!
//! - The picture unit is the width of the frame. Pixel (column 0, row 0) covers the square from
//!   (0, 0) to (1, 1), so its centre is at (0.5, 0.5); the frame's centre is the picture's centre.
//!   A picture position (u, v) therefore lies at x = w·(u + ½), y = w·v + ½h in a picture of w × h
//!   pixels, in every format and at every width.
//! - Line weights and type are in points of the drawing, a fixed share of the frame's width, so that
//!   they look alike at every width.
//!
//! # Writing an overlay
//!
//! ```
//! use staffage_handover::{Overlay, OverlayOptions};
//! use staffage_scene::{Scene, assess};
//! use std::ops::ControlFlow;
//!
//! # fn main() -> Result<(), staffage_handover::HandoverError> {
//! let scene = Scene::default();
//! let overlay = Overlay::new(&scene, &assess(&scene), &OverlayOptions::of(&scene))?;
//! let mut png = Vec::new(); // or a file
//! overlay.write_png(&mut png, &mut |_rows| ControlFlow::Continue(()))?;
//! let svg = overlay.to_svg();
//! # assert!(png.starts_with(b"\x89PNG") && svg.contains("<g id=\"guides\">"));
//! # Ok(()) }
//! ```
#![deny(missing_docs)]

mod bands;
mod camera;
mod card;
mod deep;
mod error;
mod film_backs;
mod layered;
mod ledger_csv;
mod levelling;
mod ora;
mod overlay;
mod painting;
mod part;
mod png;
mod returning;
mod sheet;
mod stains;
mod strokes;
mod tone_layers;
mod typeface;

pub use camera::{Camera, CameraScene, is_camera, picture_from_above};
pub use card::Card;
pub use deep::{ending, write_warped};
pub use error::HandoverError;
pub use film_backs::{FILM_BACKS, FilmBack};
pub use layered::Layered;
pub use ledger_csv::write_ledger_csv;
pub use levelling::{Aim, LevelError, Levelling};
pub use overlay::{Overlay, OverlayOptions, WEIGHT, WIDTH, is_overlay};
pub use painting::write_painting;
pub use part::Part;
pub use png::Rows;
pub use returning::{Painted, ReturnError, Returning, WayBack, sha256};
pub use sheet::{FirstPage, Sheet, is_sheet};
pub use strokes::Strokes;
