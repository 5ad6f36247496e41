//! The painting at every size that a canvas needs.

use std::borrow::Cow;
use std::path::Path;

use rayon::prelude::*;

use crate::decode::{Decoded, decode_begun};
use crate::error::PictureError;
use crate::halve::{halve, halve_two, quarter};
use crate::limits::Limits;
use crate::pixels::{Channels, Pixels, Size};
use crate::progress::{Progress, Stage};
use crate::squint::squint;
use crate::tile::{Grid, Region, Tile, TileKey, TilePixels};

/// A picture and its successive halvings, handed out in tiles.
///
/// Levels are stored whole, in as many channels as the picture has, and tiles are cut out of them
/// when asked for, so that nothing has to be cut before the first sight of it. Of a large picture the
/// first halving is not stored, which alone would take a quarter of its memory: its tiles are halved when
/// they are asked for. The whole takes a twelfth more memory than the picture alone, a small one a third.
#[derive(Clone, Debug)]
pub struct Picture {
    /// Never empty; the first is there, and the last, which fits into one tile.
    levels: Vec<Level>,
    tile_side: u32,
}

/// A halving of a picture.
#[derive(Clone, Debug)]
struct Level {
    size: Size,
    /// None for the first halving of a large picture.
    pixels: Option<Pixels>,
}

impl From<Pixels> for Level {
    fn from(pixels: Pixels) -> Self {
        Self { size: pixels.size(), pixels: Some(pixels) }
    }
}

/// Pixels of the largest picture whose first halving is stored.
const LARGE: u64 = 1 << 22;

/// The first level below the picture itself that is stored.
pub(crate) fn first_stored(size: Size) -> usize {
    if size.pixels() > LARGE { 2 } else { 1 }
}

/// Smallest and largest side of a tile. Larger tiles stall the frame that uploads them, smaller
/// ones cost more draw calls. Every OpenGL ES 2.0 device takes textures of 64.
const TILE_SIDES: std::ops::RangeInclusive<u32> = 64..=1024;

/// Pixels that a squint's blur spans at least, as a standard deviation: at fewer the squares that are
/// reduced to a pixel could be told from the Gaussian (here they add 1/200 to its variance), at more
/// it takes longer.
const LEAST_SIGMA: f64 = 4.0;
/// Largest level that a squint starts from: a few milliseconds to read. Only what is finer than its
/// pixels (4 of a painting of 10,000 × 4,255) was averaged on the encoded values before.
const SQUINT_FROM: u64 = 1 << 22;

impl Picture {
    /// Reads the file at `path`. No tile will exceed `texture_side`, the largest side of a texture
    /// that the caller's graphics take (taken as 64 if it is smaller).
    ///
    /// Meant for a thread of its own; `progress` tells others how far it is and lets them cancel.
    ///
    /// # Errors
    ///
    /// See [`PictureError`].
    pub fn load(
        path: &Path,
        limits: &Limits,
        texture_side: u32,
        progress: &Progress,
    ) -> Result<Self, PictureError> {
        let decoded = decode_begun(path, limits, progress)?;
        progress.enter(Stage::Halving);
        let picture = Self::build(decoded, texture_side, || progress.is_cancelled())
            .ok_or_else(|| PictureError::Cancelled { path: path.to_path_buf() })?;
        progress.enter(Stage::Done);
        Ok(picture)
    }

    /// A picture of pixels already in memory; `texture_side` as in [`Picture::load`].
    pub fn new(pixels: Pixels, texture_side: u32) -> Self {
        Self::build(pixels.into(), texture_side, || false).expect("nobody cancels")
    }

    fn build(decoded: Decoded, texture_side: u32, is_cancelled: impl Fn() -> bool) -> Option<Self> {
        let Decoded { pixels, reduced: mut begun } = decoded;
        let tile_side = texture_side.clamp(*TILE_SIDES.start(), *TILE_SIDES.end());
        let first = first_stored(pixels.size());
        let mut picture = Self { levels: vec![pixels.into()], tile_side };
        while !picture.grid(picture.levels.len() - 1).is_single_tile() {
            if is_cancelled() {
                return None;
            }
            let next = picture.levels.len();
            let level = if next < first {
                Level { size: picture.size().halved(), pixels: None }
            } else {
                let reduced =
                    begun.take().unwrap_or_else(|| match &picture.levels[next - 1].pixels {
                        Some(last) => halve(last),
                        None => quarter(picture.whole()),
                    });
                reduced.into()
            };
            picture.levels.push(level);
        }
        Some(picture)
    }

    /// The picture itself.
    fn whole(&self) -> &Pixels {
        self.levels[0].pixels.as_ref().expect("it is stored")
    }

    /// A level, made if it is not stored.
    fn pixels(&self, level: usize) -> Cow<'_, Pixels> {
        match &self.levels[level].pixels {
            Some(pixels) => Cow::Borrowed(pixels),
            None => Cow::Owned(halve(self.whole())),
        }
    }

    /// Width and height.
    pub fn size(&self) -> Size {
        self.levels[0].size
    }

    /// Number of levels, at least 1.
    pub fn levels(&self) -> usize {
        self.levels.len()
    }

    /// Whether the tiles of a level are only cut out of it. Others are halved when they are asked for, which takes a few
    /// times as long.
    pub fn is_stored(&self, level: usize) -> bool {
        self.levels.get(level).is_some_and(|level| level.pixels.is_some())
    }

    /// The level to draw when one picture pixel is `scale` screen pixels wide.
    ///
    /// One level pixel then covers more than half and at most one screen pixel (at and above
    /// `scale` 1 that is level 0, enlarged), which linear filtering shows without shimmering. The
    /// last level serves for anything smaller, and for a scale that is not a positive number.
    pub fn level_for(&self, scale: f64) -> usize {
        let last = self.levels() - 1;
        // A cast of a negative number gives 0.
        if scale > 0.0 { (-scale.log2()).floor().min(last as f64) as usize } else { last }
    }

    /// The tiles of `level` that `visible`, in picture pixels, touches: row by row from the top
    /// left. None for a level there is not, and for an empty or undefined region.
    pub fn tiles_in(&self, level: usize, visible: Region) -> impl Iterator<Item = Tile> {
        let grid = (level < self.levels()).then(|| self.grid(level));
        grid.into_iter().flat_map(move |grid| grid.tiles_in(visible))
    }

    /// The pixels of a tile, border included; None if this picture has no such tile, as when the
    /// key is from before the painting was reloaded at another size.
    pub fn tile_pixels(&self, key: TileKey) -> Option<TilePixels> {
        let level = self.levels.get(key.level)?;
        let grid = self.grid(key.level);
        grid.contains(key).then(|| match &level.pixels {
            Some(pixels) => cut(pixels, &grid, key),
            None => cut_halved(self.whole(), &grid, key),
        })
    }

    /// The picture as half closed eyes see it, much smaller: its light spread by a Gaussian whose
    /// standard deviation is `radius` times the longer side. Of the same shape as this picture but
    /// for less than one of its own pixels; a radius that is not a positive number blurs nothing.
    #[must_use]
    pub fn squinted(&self, radius: f64) -> Self {
        let longer = f64::from(self.size().width.max(self.size().height));
        let radius = if radius > 0.0 { radius.min(1.0) } else { 0.0 };
        let sigma = radius * longer;
        // A cast of a negative number gives 0.
        let wanted = (sigma / LEAST_SIGMA).log2().floor() as usize;
        let fits = |level: &Level| level.size.pixels() <= SQUINT_FROM;
        let first = self.levels.iter().position(fits).unwrap_or(self.levels() - 1);
        let start = first.min(wanted);
        let reduction = 1 << (wanted - start);
        let sigma = sigma / (wanted as f64).exp2();
        Self::new(squint(&self.pixels(start), reduction, sigma as f32), self.tile_side)
    }

    /// The picture reduced until neither side is longer than this, pixels.
    pub(crate) fn levels_reduced(&self, side: u32) -> Pixels {
        let fits = |size: Size| size.width.max(size.height) <= side;
        if let Some(level) = self.levels.iter().position(|level| fits(level.size)) {
            return self.pixels(level).into_owned();
        }
        let mut last = self.last_level().clone();
        while !fits(last.size()) {
            last = halve(&last);
        }
        last
    }

    /// The smallest level, which fits into one tile.
    pub(crate) fn last_level(&self) -> &Pixels {
        self.levels.last().and_then(|level| level.pixels.as_ref()).expect("it is stored")
    }

    fn grid(&self, level: usize) -> Grid {
        let (picture, size, tile_side) = (self.size(), self.levels[level].size, self.tile_side);
        Grid { level, picture, size, tile_side }
    }
}

fn cut(level: &Pixels, grid: &Grid, key: TileKey) -> TilePixels {
    let (columns, rows) = grid.stored_extent(key);
    let size = Size { width: columns.end - columns.start, height: rows.end - rows.start };
    let mut rgba = vec![0; size.pixels() as usize * 4];
    for (row, out) in rows.zip(rgba.chunks_exact_mut(size.width as usize * 4)) {
        put(level.channels(), level.row(row, columns.start, columns.end), out);
    }
    TilePixels { size, rgba }
}

/// As [`cut`] from the halving of a picture, which is made of no more than the tile shows.
fn cut_halved(picture: &Pixels, grid: &Grid, key: TileKey) -> TilePixels {
    let (columns, rows) = grid.stored_extent(key);
    let size = Size { width: columns.end - columns.start, height: rows.end - rows.start };
    let (whole, channels) = (picture.size(), picture.channels());
    let (left, right) = (2 * columns.start, (2 * columns.end).min(whole.width));
    let mut rgba = vec![0; size.pixels() as usize * 4];
    let lines = rgba.par_chunks_exact_mut(size.width as usize * 4).enumerate();
    lines.for_each_init(
        || vec![0; size.width as usize * channels.count()],
        |half, (row, out)| {
            let upper = 2 * (rows.start + row as u32);
            let lower = (upper + 1).min(whole.height - 1);
            let [upper, lower] = [upper, lower].map(|row| picture.row(row, left, right));
            halve_two(channels, upper, lower, half);
            put(channels, half, out);
        },
    );
    TilePixels { size, rgba }
}

/// Writes samples as red, green, blue and alpha.
fn put(channels: Channels, samples: &[u8], out: &mut [u8]) {
    match channels {
        Channels::Grey => spread(samples, out, |&[grey]| [grey, grey, grey, 255]),
        Channels::Rgb => spread(samples, out, |&[red, green, blue]| [red, green, blue, 255]),
        Channels::RgbaPremultiplied => out.copy_from_slice(samples),
    }
}

fn spread<const N: usize>(samples: &[u8], out: &mut [u8], pixel: impl Fn(&[u8; N]) -> [u8; 4]) {
    for (out, samples) in out.as_chunks_mut().0.iter_mut().zip(samples.as_chunks().0) {
        *out = pixel(samples);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const EVERYTHING: Region = Region {
        left: f64::NEG_INFINITY,
        top: f64::NEG_INFINITY,
        right: f64::INFINITY,
        bottom: f64::INFINITY,
    };

    /// Red tells the column and green the row, both modulo 256.
    fn ramp(width: u32, height: u32) -> Pixels {
        let samples = (0..height)
            .flat_map(|row| (0..width).flat_map(move |column| [column as u8, row as u8, 7]))
            .collect();
        Pixels::new(Size { width, height }, Channels::Rgb, samples).unwrap()
    }

    #[test]
    fn levels_halve_until_one_tile_holds_all() {
        let picture = Picture::new(ramp(1000, 426), 64);
        let sizes: Vec<_> =
            picture.levels.iter().map(|level| (level.size.width, level.size.height)).collect();
        assert_eq!(sizes, [(1000, 426), (500, 213), (250, 107), (125, 54), (63, 27), (32, 14)]);
        assert_eq!(Picture::new(ramp(62, 62), 64).levels(), 1);
        assert_eq!(Picture::new(ramp(63, 1), 64).levels(), 2);
    }

    #[test]
    fn the_level_fits_the_scale() {
        let picture = Picture::new(ramp(1000, 426), 64);
        let levels = [3.0, 1.0, 0.51, 0.5, 0.26, 0.25, 1e-9].map(|scale| picture.level_for(scale));
        assert_eq!(levels, [0, 0, 0, 1, 1, 2, 5]);
        let odd = [0.0, -1.0, f64::NAN, f64::INFINITY].map(|scale| picture.level_for(scale));
        assert_eq!(odd, [5, 5, 5, 0]);
    }

    #[test]
    fn no_tile_exceeds_the_largest_texture() {
        for texture_side in [64, 100, 1024, 16_384] {
            let picture = Picture::new(ramp(1500, 300), texture_side);
            for level in 0..picture.levels() {
                for tile in picture.tiles_in(level, EVERYTHING) {
                    let TilePixels { size, rgba } = picture.tile_pixels(tile.key).unwrap();
                    assert!(size.width <= texture_side && size.height <= texture_side);
                    assert_eq!(rgba.len() as u64, size.pixels() * 4);
                }
            }
        }
    }

    #[test]
    fn tiles_put_together_are_the_picture_again() {
        let pixels = ramp(200, 130);
        let picture = Picture::new(pixels.clone(), 64);
        let mut mended = vec![0; 200 * 130 * 3];
        for tile in picture.tiles_in(0, EVERYTHING) {
            let TilePixels { size, rgba } = picture.tile_pixels(tile.key).unwrap();
            let across = |fraction: f64, side: u32| (fraction * f64::from(side)).round() as usize;
            let (first_column, first_row) =
                (across(tile.uv.left, size.width), across(tile.uv.top, size.height));
            for row in tile.region.top as usize..tile.region.bottom as usize {
                for column in tile.region.left as usize..tile.region.right as usize {
                    let inside = (row - tile.region.top as usize + first_row) * size.width as usize
                        + (column - tile.region.left as usize + first_column);
                    let at = (row * 200 + column) * 3;
                    mended[at..at + 3].copy_from_slice(&rgba[inside * 4..inside * 4 + 3]);
                }
            }
        }
        assert!(mended == pixels.samples());
    }

    #[test]
    fn a_large_picture_has_the_levels_of_a_small_one_although_one_is_made_when_looked_at() {
        for channels in [Channels::Grey, Channels::Rgb, Channels::RgbaPremultiplied] {
            let size = Size { width: 2601, height: 1703 };
            let count = size.pixels() as usize * channels.count();
            let samples = (0..count).map(|i| (i * i / 97 % 251) as u8).collect();
            let picture = Picture::new(Pixels::new(size, channels, samples).unwrap(), 300);
            assert!(!picture.is_stored(1) && picture.is_stored(0) && picture.levels() > 3);
            let mut level = picture.whole().clone();
            for depth in 1..picture.levels() {
                level = halve(&level);
                let grid = picture.grid(depth);
                assert_eq!(grid.size, level.size());
                for tile in picture.tiles_in(depth, EVERYTHING) {
                    let made = picture.tile_pixels(tile.key).unwrap();
                    assert!(made == cut(&level, &grid, tile.key), "{channels:?} {:?}", tile.key);
                }
                assert!(*picture.pixels(depth) == level);
            }
        }
    }

    #[test]
    fn every_kind_of_pixel_becomes_rgba() {
        let one = Size { width: 1, height: 1 };
        for (channels, samples, rgba) in [
            (Channels::Grey, vec![9], [9, 9, 9, 255]),
            (Channels::Rgb, vec![1, 2, 3], [1, 2, 3, 255]),
            (Channels::RgbaPremultiplied, vec![1, 2, 3, 4], [1, 2, 3, 4]),
        ] {
            let picture = Picture::new(Pixels::new(one, channels, samples).unwrap(), 64);
            let tile = picture.tiles_in(0, EVERYTHING).next().unwrap();
            assert_eq!(picture.tile_pixels(tile.key).unwrap().rgba, rgba);
        }
    }

    #[test]
    fn a_key_of_another_picture_finds_nothing() {
        let picture = Picture::new(ramp(100, 100), 64);
        for (level, column, row) in [(9, 0, 0), (0, 2, 0), (0, 0, 2), (0, u32::MAX, u32::MAX)] {
            assert_eq!(picture.tile_pixels(TileKey { level, column, row }), None);
        }
        assert_eq!(picture.tiles_in(9, EVERYTHING).count(), 0);
    }
}
