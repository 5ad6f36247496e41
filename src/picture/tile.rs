//! The geometry of tiles: how a level is cut up, and where each piece lies.

use std::ops::Range;

use crate::pixels::Size;

/// A rectangle; which unit, the place that uses it says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Region {
    /// Left edge.
    pub left: f64,
    /// Upper edge.
    pub top: f64,
    /// Right edge.
    pub right: f64,
    /// Lower edge.
    pub bottom: f64,
}

/// Names a tile within one picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct TileKey {
    /// Level, 0 at full size.
    pub level: usize,
    /// Column of tiles, 0 at the left.
    pub column: u32,
    /// Row of tiles, 0 at the top.
    pub row: u32,
}

/// A tile and where it goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tile {
    /// Its name, to keep its texture by.
    pub key: TileKey,
    /// What it shows, in picture pixels. The regions of a level's tiles meet edge to edge and
    /// together cover the picture exactly.
    pub region: Region,
    /// The part of its texture to draw over [`Tile::region`], in fractions of the texture's width
    /// and height. Not quite all of it: the texture also carries a border of its neighbours'
    /// pixels, so that linear filtering shows no seam.
    pub uv: Region,
}

/// The pixels of one tile, ready to upload as a texture.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TilePixels {
    /// Width and height.
    pub size: Size,
    /// Red, green, blue, alpha, premultiplied on the encoded values; rows from the top, no padding.
    pub rgba: Vec<u8>,
}

/// Pixels of its neighbours that a tile carries on each inner side.
const BORDER: u32 = 1;

/// A level cut into tiles.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Grid {
    pub(crate) level: usize,
    /// Size of the picture, in picture pixels.
    pub(crate) picture: Size,
    /// Size of the level, in its own pixels.
    pub(crate) size: Size,
    /// Largest side of a tile, border included.
    pub(crate) tile_side: u32,
}

impl Grid {
    /// Level pixels from one tile to the next.
    fn step(&self) -> u32 {
        self.tile_side - 2 * BORDER
    }

    fn columns(&self) -> u32 {
        self.size.width.div_ceil(self.step())
    }

    fn rows(&self) -> u32 {
        self.size.height.div_ceil(self.step())
    }

    pub(crate) fn is_single_tile(&self) -> bool {
        self.columns() == 1 && self.rows() == 1
    }

    pub(crate) fn contains(&self, key: TileKey) -> bool {
        key.level == self.level && key.column < self.columns() && key.row < self.rows()
    }

    /// The tiles that `visible`, in picture pixels, touches: row by row from the top left.
    pub(crate) fn tiles_in(self, visible: Region) -> impl Iterator<Item = Tile> {
        let columns = self.touched(visible.left, visible.right, self.columns());
        let rows = self.touched(visible.top, visible.bottom, self.rows());
        let level = self.level;
        rows.flat_map(move |row| {
            columns.clone().map(move |column| self.tile(TileKey { level, column, row }))
        })
    }

    /// The tiles, of `count` along an axis, that the stretch from `start` to `end` touches. Casts
    /// saturate, so that infinite and NaN stretches are harmless.
    fn touched(&self, start: f64, end: f64, count: u32) -> Range<u32> {
        if start < end {
            let step = f64::from(self.step()) * self.scale();
            let last = (end / step).ceil() as u32;
            (start / step).floor() as u32..last.min(count)
        } else {
            0..0
        }
    }

    /// Picture pixels across one level pixel.
    fn scale(&self) -> f64 {
        (self.level as f64).exp2()
    }

    fn tile(&self, key: TileKey) -> Tile {
        let (left, right, u) = self.place(key.column, self.size.width, self.picture.width);
        let (top, bottom, v) = self.place(key.row, self.size.height, self.picture.height);
        Tile {
            key,
            region: Region { left, top, right, bottom },
            uv: Region { left: u.start, top: v.start, right: u.end, bottom: v.end },
        }
    }

    /// Along one axis: where tile `index` starts and ends in picture pixels, and the fractions of
    /// its texture that these are.
    fn place(&self, index: u32, level_side: u32, picture_side: u32) -> (f64, f64, Range<f64>) {
        let step = f64::from(self.step()) * self.scale();
        let start = f64::from(index) * step;
        let end = (start + step).min(f64::from(picture_side));
        let stored = self.stored(index, level_side);
        let length = f64::from(stored.end - stored.start);
        let fraction = |position: f64| (position / self.scale() - f64::from(stored.start)) / length;
        (start, end, fraction(start)..fraction(end))
    }

    /// Columns and rows of the level that tile `key` stores, border included.
    pub(crate) fn stored_extent(&self, key: TileKey) -> (Range<u32>, Range<u32>) {
        (self.stored(key.column, self.size.width), self.stored(key.row, self.size.height))
    }

    fn stored(&self, index: u32, level_side: u32) -> Range<u32> {
        let start = index * self.step();
        let end = (start + self.step()).saturating_add(BORDER).min(level_side);
        start.saturating_sub(BORDER)..end
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A picture of 1001 × 300 at half size, in tiles of 62 + 2.
    const GRID: Grid = Grid {
        level: 1,
        picture: Size { width: 1001, height: 300 },
        size: Size { width: 501, height: 150 },
        tile_side: 64,
    };

    const EVERYTHING: Region = Region {
        left: f64::NEG_INFINITY,
        top: f64::NEG_INFINITY,
        right: f64::INFINITY,
        bottom: f64::INFINITY,
    };

    #[test]
    fn tiles_cover_the_picture_edge_to_edge() {
        let tiles: Vec<Tile> = GRID.tiles_in(EVERYTHING).collect();
        assert_eq!(tiles.len(), 9 * 3);
        let area: f64 = tiles
            .iter()
            .map(|Tile { region: r, .. }| (r.right - r.left) * (r.bottom - r.top))
            .sum();
        assert_eq!(area, 1001.0 * 300.0);
        assert!(tiles.windows(2).all(
            |two| two[0].key.row != two[1].key.row || two[0].region.right == two[1].region.left
        ));
        assert_eq!(tiles.last().unwrap().region.right, 1001.0);
        assert_eq!(tiles.last().unwrap().region.bottom, 300.0);
    }

    #[test]
    fn only_what_is_visible_is_listed() {
        let visible = Region { left: 130.0, top: 10.0, right: 240.0, bottom: 124.0 };
        let keys: Vec<TileKey> = GRID.tiles_in(visible).map(|tile| tile.key).collect();
        assert_eq!(keys, [TileKey { level: 1, column: 1, row: 0 }]);
        let outside = Region { left: 2000.0, right: 3000.0, ..EVERYTHING };
        assert_eq!(GRID.tiles_in(outside).count(), 0);
        let before = Region { left: -9.0, right: -1.0, ..EVERYTHING };
        assert_eq!(GRID.tiles_in(before).count(), 0);
    }

    #[test]
    fn regions_that_make_no_sense_show_nothing() {
        let nan = Region { left: f64::NAN, ..EVERYTHING };
        assert_eq!(GRID.tiles_in(nan).count(), 0);
        let reversed = Region { left: 100.0, right: 50.0, ..EVERYTHING };
        assert_eq!(GRID.tiles_in(reversed).count(), 0);
    }

    #[test]
    fn inner_sides_carry_a_border_and_outer_sides_none() {
        let corner = GRID.stored_extent(TileKey { level: 1, column: 0, row: 0 });
        assert_eq!(corner, (0..63, 0..63));
        let inner = GRID.stored_extent(TileKey { level: 1, column: 1, row: 1 });
        assert_eq!(inner, (61..125, 61..125));
        let last = GRID.stored_extent(TileKey { level: 1, column: 8, row: 2 });
        assert_eq!(last, (495..501, 123..150));
    }

    #[test]
    fn the_drawn_part_of_a_texture_leaves_out_the_border() {
        let inner = GRID.tile(TileKey { level: 1, column: 1, row: 1 });
        assert_eq!(inner.region, Region { left: 124.0, top: 124.0, right: 248.0, bottom: 248.0 });
        let one = 1.0 / 64.0;
        let inside = Region { left: one, top: one, right: 1.0 - one, bottom: 1.0 - one };
        assert_eq!(inner.uv, inside);
        // The last column of level 1 shows one column of the picture instead of two.
        let last = GRID.tile(TileKey { level: 1, column: 8, row: 0 });
        assert_eq!(last.region.right, 1001.0);
        assert_eq!(last.uv.right, (500.5 - 495.0) / 6.0);
    }
}
