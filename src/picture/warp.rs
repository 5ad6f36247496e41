//! A picture seen through a projective map, at full depth, row by row.

use rayon::prelude::*;

use crate::by_rows::{ByRows, ROWS_AT_ONCE};
use crate::pixels::Size;
use crate::raster::{Layout, Raster};
use crate::warp_tile::{Block, Shrinks, Tiler, store};

/// Columns of a tile, which with the rows that one core works out at a time fits into its cache.
pub(crate) const TILE: u32 = 64;
/// As good as endless, pixels.
const MOST_BLEED: f64 = 1e6;

/// A projective map between the pixels of two pictures: (x, y) goes to (X/Z, Y/Z), where (X, Y, Z) is the
/// matrix times (x, y, 1).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Projection([[f64; 3]; 3]);

impl Projection {
    /// The map of this matrix, row by row; None if it is not finite or has no inverse.
    #[must_use]
    pub fn new(rows: [[f64; 3]; 3]) -> Option<Self> {
        let map = Self(rows);
        let finite = |rows: &[[f64; 3]; 3]| rows.iter().flatten().all(|value| value.is_finite());
        (finite(&rows) && map.determinant() != 0.0 && finite(&map.inverse().0)).then_some(map)
    }

    /// Each axis on its own: from pixels of a picture of one size to those of another, corner on corner.
    #[must_use]
    pub fn between(from: Size, to: Size) -> Self {
        let [x, y] = [(to.width, from.width), (to.height, from.height)]
            .map(|(to, from)| f64::from(to) / f64::from(from.max(1)));
        Self([[x, 0.0, 0.0], [0.0, y, 0.0], [0.0, 0.0, 1.0]])
    }

    /// Its matrix, row by row.
    #[must_use]
    pub fn rows(self) -> [[f64; 3]; 3] {
        self.0
    }

    /// This map and then another.
    #[must_use]
    pub fn then(self, next: Self) -> Self {
        let entry = |i: usize, j: usize| (0..3).map(|k| next.0[i][k] * self.0[k][j]).sum();
        Self([0, 1, 2].map(|i| [0, 1, 2].map(|j| entry(i, j))))
    }

    fn determinant(self) -> f64 {
        let [a, b, c] = self.0;
        a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0])
            + a[2] * (b[0] * c[1] - b[1] * c[0])
    }

    /// The map back.
    #[must_use]
    pub fn inverse(self) -> Self {
        let (m, determinant) = (self.0, self.determinant());
        let cofactor = |i: usize, j: usize| {
            let (r, c) = ([(i + 1) % 3, (i + 2) % 3], [(j + 1) % 3, (j + 2) % 3]);
            m[r[0]][c[0]] * m[r[1]][c[1]] - m[r[0]][c[1]] * m[r[1]][c[0]]
        };
        Self([0, 1, 2].map(|i| [0, 1, 2].map(|j| cofactor(j, i) / determinant)))
    }

    /// Where a point goes, homogeneous.
    #[must_use]
    #[inline]
    pub fn image(self, x: f64, y: f64) -> [f64; 3] {
        self.0.map(|[a, b, c]| a * x + b * y + c)
    }

    /// Where a point goes; None if that is infinitely far off or behind.
    #[must_use]
    pub fn place(self, x: f64, y: f64) -> Option<(f64, f64)> {
        let [x, y, z] = self.image(x, y);
        (z > 0.0).then(|| (x / z, y / z))
    }
}

/// A picture that is to be seen through a projective map. Nothing is worked out until rows are asked for.
///
/// Pixels are weighed by an eight-tap Lanczos kernel at their exact places, stretched along each axis of the
/// source where the map shrinks (by more than 1.75, except when the whole is resized), so that nothing fine
/// turns into patterns.
#[derive(Clone, Copy, Debug)]
pub struct Warp<'a> {
    source: &'a Raster,
    map: Projection,
    size: Size,
    bleed: f64,
    layout: Layout,
    shrinks: Shrinks,
}

impl<'a> Warp<'a> {
    /// `map` leads from pixels of the result, which has `size`, to pixels of `source`. Beyond the edge of
    /// the source its outermost pixels are repeated as far as `bleed`, in its pixels; what lies farther off
    /// is transparent, or black where the result is to have no `alpha`.
    #[must_use]
    pub fn new(source: &'a Raster, map: Projection, size: Size, bleed: f64, alpha: bool) -> Self {
        let layout = Layout { alpha, ..source.layout() };
        let bleed = bleed.clamp(0.0, MOST_BLEED);
        Self { source, map, size, bleed, layout, shrinks: Shrinks::SELDOM }
    }

    /// Another size of the same picture, corner on corner.
    #[must_use]
    pub fn resized(source: &'a Raster, size: Size) -> Self {
        let map = Projection::between(size, source.size());
        let warp = Self::new(source, map, size, f64::INFINITY, source.layout().alpha);
        Self { shrinks: Shrinks::EVERYWHERE, ..warp }
    }

    /// Width and height of the result.
    #[must_use]
    pub fn size(&self) -> Size {
        self.size
    }

    /// What the samples of its pixels are.
    #[must_use]
    pub fn layout(&self) -> Layout {
        self.layout
    }

    /// Bytes of a row of the result.
    #[must_use]
    pub fn row_bytes(&self) -> usize {
        self.size.width as usize * self.layout.bytes()
    }

    /// Works out rows from `first` on, as many as `out` has room for, on all cores. Rows below the last
    /// are left as they are.
    pub fn rows(&self, first: u32, out: &mut [u8]) {
        let row = self.row_bytes();
        if row == 0 {
            return;
        }
        out.par_chunks_mut(ROWS_AT_ONCE as usize * row).enumerate().for_each_init(
            || Tiler::new(self.source, self.map, self.bleed, self.shrinks),
            |tiler, (strip, out)| {
                let top = first.saturating_add(strip as u32 * ROWS_AT_ONCE);
                let height = ((out.len() / row) as u32).min(self.size.height.saturating_sub(top));
                for left in (0..self.size.width).step_by(TILE as usize) {
                    let width = TILE.min(self.size.width - left);
                    let block = Block { left, top, width, height };
                    let light = tiler.tile(block);
                    let first = left as usize * self.layout.bytes();
                    for (light, out) in
                        light.chunks_exact(width as usize).zip(out.chunks_exact_mut(row))
                    {
                        let bytes = width as usize * self.layout.bytes();
                        store(
                            light,
                            self.layout,
                            self.source.layout().alpha,
                            &mut out[first..first + bytes],
                        );
                    }
                }
            },
        );
    }

    /// The whole result at once.
    #[must_use]
    pub fn whole(&self) -> Raster {
        let mut samples = vec![0; self.row_bytes() * self.size.height as usize];
        self.rows(0, &mut samples);
        Raster::new(self.size, self.layout, samples).expect("as many samples as the size says")
    }
}

impl ByRows for Warp<'_> {
    fn size(&self) -> Size {
        self.size
    }

    fn layout(&self) -> Layout {
        self.layout
    }

    fn profile(&self) -> Option<&[u8]> {
        self.source.profile()
    }

    fn is_half(&self) -> bool {
        self.source.is_half()
    }

    fn rows(&self, first: u32, out: &mut [u8]) {
        self.rows(first, out);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_map_and_its_inverse_lead_back() {
        let map =
            Projection::new([[1.1, -0.2, 30.0], [0.25, 0.9, -7.0], [1e-4, -2e-4, 1.0]]).unwrap();
        for (x, y) in [(0.0, 0.0), (1200.0, 31.5), (-40.0, 800.0)] {
            let (a, b) = map.place(x, y).unwrap();
            let (c, d) = map.inverse().place(a, b).unwrap();
            assert!((c - x).abs() < 1e-9 && (d - y).abs() < 1e-9, "{c} {d}");
            let (c, d) = map.then(map.inverse()).place(x, y).unwrap();
            assert!((c - x).abs() < 1e-9 && (d - y).abs() < 1e-9, "{c} {d}");
        }
    }

    #[test]
    fn maps_without_an_inverse_are_none() {
        assert_eq!(Projection::new([[1.0, 2.0, 3.0], [2.0, 4.0, 6.0], [0.0, 0.0, 1.0]]), None);
        assert_eq!(Projection::new([[f64::NAN; 3]; 3]), None);
    }
}
