//! The painting's pixels: reading picture files, a tile pyramid for a canvas that zooms, and warping
//! at full depth.
//!
//! # Conventions
//!
//! - *Picture pixels*: origin at the top left corner of the picture, x to the right, y down. Pixel
//!   (column 0, row 0) covers the square from (0, 0) to (1, 1), so its centre is at (0.5, 0.5).
//! - The turn or flip that a file asks for (EXIF orientation) is applied: widths, heights and
//!   coordinates are those of the picture as seen.
//! - *Levels*: level 0 is full size; a pixel of level n covers 2ⁿ × 2ⁿ pixels of level 0, fewer at
//!   the right and lower edges.
//! - Samples are 8 bits, sRGB-encoded. Colour profiles in the file are not applied. Alpha is
//!   premultiplied on the encoded values, as egui's textures expect.
//! - 16-bit samples are rounded to 8. Floating-point samples (OpenEXR, some TIFF) are linear light:
//!   clamped to 0–1 and encoded with the sRGB curve of IEC 61966-2-1, without exposure or
//!   highlight compression. Their alpha is taken as already multiplied in, as OpenEXR prescribes.
//! - *Tone views*: values are greys of the same luminance, Y of CIE 1931 with the shares of ITU-R
//!   BT.709-6, summed in linear light; flat tones part the picture's own L* (CIE 1976) into the masses
//!   that lose least; a squint spreads light, so it is a Gaussian in linear light. See [`Toned`].
//!
//! - *Warping* keeps the depth of the file. Encoded samples are resampled as they are, since light that
//!   overshoots beside a bright edge would ring across the shadows; linear light stays linear. Alpha
//!   weighs the colours.
//!
//! # Reading a picture
//!
//! ```no_run
//! use staffage_picture::{Limits, Picture, Progress, Region};
//!
//! # fn main() -> Result<(), staffage_picture::PictureError> {
//! let progress = Progress::default(); // clone it to watch or cancel from another thread
//! let picture = Picture::load("dam.png".as_ref(), &Limits::default(), 2048, &progress)?;
//! let level = picture.level_for(0.25); // four picture pixels to one screen pixel
//! let visible = Region { left: 0.0, top: 0.0, right: 4000.0, bottom: 2500.0 };
//! for tile in picture.tiles_in(level, visible) {
//!     let pixels = picture.tile_pixels(tile.key); // once per key: upload and keep
//!     // every frame: draw the texture's part `tile.uv` over `tile.region`
//! }
//! # Ok(()) }
//! ```

#![deny(missing_docs)]

mod by_rows;
mod changes;
mod decode;
mod error;
mod flat_tones;
mod halve;
mod jpeg;
mod kind;
mod laid;
mod limits;
mod luminance;
mod masses;
mod matching;
mod one_component;
mod openexr;
mod openexr_deep;
mod picture;
mod pixels;
mod progress;
mod raster;
mod resampling;
mod samples;
mod source;
mod squint;
mod striped;
mod tile;
mod tone_curve;
mod toned;
mod warp;
mod warp_tile;

pub use by_rows::{ByRows, ROWS_AT_ONCE};
pub use changes::{Changes, NotCompared};
pub use decode::{Probe, decode, probe};
pub use error::{Excess, PictureError};
pub use kind::Kind;
pub use laid::Laid;
pub use limits::Limits;
pub use masses::{Mass, Masses};
pub use matching::{Match, Sketch};
pub use picture::Picture;
pub use pixels::{Channels, Pixels, Size};
pub use progress::{Progress, Stage};
pub use raster::{Depth, Layout, Raster, depth};
pub use tile::{Region, Tile, TileKey, TilePixels};
pub use toned::{ToneView, Toned, Tones};
pub use warp::{Projection, Warp};
