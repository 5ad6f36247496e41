//! Which pixels of a copy were painted on: those that are not as in the copy made afresh.

use std::ops::ControlFlow;

use rayon::prelude::*;

use crate::by_rows::{ByRows, ROWS_AT_ONCE};
use crate::pixels::Size;
use crate::raster::{Depth, Layout, Raster};
use crate::warp_tile::{Light, Part, light_of};

/// Bytes of the rows that are made afresh at a time.
const BAND: usize = 1 << 24;

/// Some pixels of a picture, a bit for each.
pub struct Changes {
    size: Size,
    /// Bytes of a row.
    row: usize,
    bits: Vec<u8>,
}

/// Why two pictures cannot be compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum NotCompared {
    /// They are not equally large.
    Sizes,
    /// One has encoded values and the other linear light: no common curve leads from one to the other.
    Light,
    /// Whoever waited asked to give up.
    Stopped,
}

impl Changes {
    /// The pixels of `copy` that are not those of `fresh`, which is worked out a band of rows at a time.
    /// `watch` is told which share of them was compared, and can ask to give up.
    ///
    /// A paint program may have saved the copy at another depth, or worked at another one in between, so that
    /// values count as the same
    /// - with 8 bits in both: if they are equal; where there is glass, if their products with alpha lie within
    ///   one level, for some programs keep no others;
    /// - with 16 bits in the copy: within 32 of 65,535 levels, an eighth of a level of 8 bits, as far as
    ///   values go astray in half floats (11 bits) or in 15 bits;
    /// - with 8 bits in the copy of what had 16: less than a level of 8 bits off, rounded, cut off or dithered;
    /// - in floating point: within 2⁻¹⁰ of the value, a step of half floats.
    ///
    /// # Errors
    /// See [`NotCompared`].
    pub fn find(
        fresh: &dyn ByRows,
        copy: &Raster,
        watch: &mut dyn FnMut(f32) -> ControlFlow<()>,
    ) -> Result<Self, NotCompared> {
        let (size, layouts) = (copy.size(), (fresh.layout(), copy.layout()));
        if fresh.size() != size {
            return Err(NotCompared::Sizes);
        }
        if (layouts.0.depth == Depth::Float) != (layouts.1.depth == Depth::Float) {
            return Err(NotCompared::Light);
        }
        let row = size.width.div_ceil(8) as usize;
        let mut bits = vec![0; row * size.height as usize];
        let fresh_row = fresh.row_bytes();
        let at_once =
            ((BAND / fresh_row) as u32).clamp(1, size.height).next_multiple_of(ROWS_AT_ONCE);
        let mut band = vec![0; fresh_row * at_once.min(size.height) as usize];
        for (first, bits) in
            (0..).step_by(at_once as usize).zip(bits.chunks_mut(row * at_once as usize))
        {
            if watch(first as f32 / size.height as f32).is_break() {
                return Err(NotCompared::Stopped);
            }
            let band = &mut band[..bits.len() / row * fresh_row];
            fresh.rows(first, band);
            let rows = bits.par_chunks_mut(row).zip(band.par_chunks(fresh_row));
            rows.enumerate().for_each(|(y, (bits, fresh))| {
                mark(fresh, copy.row(first + y as u32), layouts, bits);
            });
        }
        Ok(Self { size, row, bits })
    }

    /// Width and height of the picture.
    #[must_use]
    pub fn size(&self) -> Size {
        self.size
    }

    /// How many there are, of those that `wanted` takes by column and row.
    pub fn count(&self, wanted: impl Fn(u32, u32) -> bool + Sync) -> u64 {
        let in_row = |(y, bits): (usize, &[u8])| {
            let bytes = (0..).step_by(8).zip(bits).filter(|(_, byte)| **byte != 0);
            let pixels = bytes.flat_map(|(x, byte)| {
                (0..8).filter(move |bit| byte >> bit & 1 == 1).map(move |bit| x + bit)
            });
            pixels.filter(|x| wanted(*x, y as u32)).count() as u64
        };
        self.bits.par_chunks(self.row).enumerate().map(in_row).sum()
    }

    /// Whether there are any in this part of the picture, which may reach beyond its edges.
    pub(crate) fn any_in(&self, part: Part) -> bool {
        let (columns, rows) = part.within(self.size);
        if columns.is_empty() {
            return false;
        }
        // What the outermost bytes have besides only makes a tile be looked at more closely.
        let bytes = columns.start as usize / 8..columns.end.div_ceil(8) as usize;
        rows.into_iter().any(|y| self.row(y)[bytes.clone()].iter().any(|byte| *byte != 0))
    }

    /// Whether this pixel is one; none is beyond the edges.
    pub(crate) fn is(&self, x: i64, y: i64) -> bool {
        let within = |at: i64, side: u32| (0..i64::from(side)).contains(&at);
        within(x, self.size.width)
            && within(y, self.size.height)
            && self.row(y as u32)[x as usize / 8] >> (x % 8) & 1 == 1
    }

    fn row(&self, y: u32) -> &[u8] {
        &self.bits[y as usize * self.row..][..self.row]
    }
}

/// Sets the bits of the pixels of a row that differ.
fn mark(fresh: &[u8], copy: &[u8], layouts: (Layout, Layout), bits: &mut [u8]) {
    let alike = layouts.0 == layouts.1;
    if alike && fresh == copy {
        return;
    }
    let (a, b) = (layouts.0.bytes(), layouts.1.bytes());
    for (x, (fresh, copy)) in fresh.chunks_exact(a).zip(copy.chunks_exact(b)).enumerate() {
        if !(alike && fresh == copy) && differ(fresh, copy, layouts) {
            bits[x / 8] |= 1 << (x % 8);
        }
    }
}

fn differ(fresh: &[u8], copy: &[u8], (fresh_layout, copy_layout): (Layout, Layout)) -> bool {
    let (a, b) = (in_levels(fresh, fresh_layout), in_levels(copy, copy_layout));
    let apart = |a: f32, b: f32, within: f32| {
        // What is no number is not near anything.
        let near = (a - b).abs() <= within;
        !near
    };
    let pairs = || a.into_iter().zip(b);
    match (fresh_layout.depth, copy_layout.depth) {
        (Depth::Float, _) | (_, Depth::Float) => {
            const STEP: f32 = 1.0 / 1024.0;
            // The least that half floats can tell apart, near nothing.
            const LEAST: f32 = 1.0 / 8_388_608.0;
            pairs().any(|(a, b)| apart(a, b, STEP * a.abs() + LEAST))
        }
        (_, Depth::Sixteen) => pairs().any(|(a, b)| apart(a, b, 32.0 / 257.0)),
        (Depth::Sixteen, Depth::Eight) => pairs().any(|(a, b)| apart(a, b, 0.999)),
        (Depth::Eight, Depth::Eight) => {
            let within = if a[3] < 255.0 && b[3] < 255.0 { 1.001 } else { 0.5 };
            pairs().any(|(a, b)| apart(a, b, within))
        }
    }
}

/// A pixel with its alpha multiplied in, in levels of 8 bits, alpha too; linear light as it is.
fn in_levels(pixel: &[u8], layout: Layout) -> Light {
    let [r, g, b, a] = light_of(layout, pixel);
    let [g, b] = if layout.colour { [g, b] } else { [r, r] };
    match layout.depth {
        Depth::Float => [r, g, b, a],
        Depth::Eight => [r, g, b, 255.0 * a],
        Depth::Sixteen => [r / 257.0, g / 257.0, b / 257.0, 255.0 * a],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::warp::Warp;

    const EIGHT: Layout = Layout { depth: Depth::Eight, colour: true, alpha: true };
    const SIXTEEN: Layout = Layout { depth: Depth::Sixteen, ..EIGHT };
    const FLOAT: Layout = Layout { depth: Depth::Float, ..EIGHT };

    fn words(values: [u16; 4]) -> Vec<u8> {
        values.into_iter().flat_map(u16::to_ne_bytes).collect()
    }

    fn floats(values: [f32; 4]) -> Vec<u8> {
        values.into_iter().flat_map(f32::to_ne_bytes).collect()
    }

    #[test]
    fn a_level_of_8_bits_is_paint_and_rounding_at_another_depth_is_not() {
        let eight = |value: u8| vec![value, 80, 90, 255];
        assert!(!differ(&eight(7), &eight(7), (EIGHT, EIGHT)));
        assert!(differ(&eight(7), &eight(8), (EIGHT, EIGHT)));
        let deep = |value: u16| words([value, 80 * 257, 90 * 257, u16::MAX]);
        assert!(!differ(&eight(7), &deep(7 * 257 + 20), (EIGHT, SIXTEEN)), "15 bits in between");
        assert!(differ(&eight(7), &deep(7 * 257 + 60), (EIGHT, SIXTEEN)));
        for cut in [7, 8] {
            assert!(!differ(&deep(7 * 257 + 128), &eight(cut), (SIXTEEN, EIGHT)), "{cut}");
        }
        assert!(differ(&deep(7 * 257 + 128), &eight(9), (SIXTEEN, EIGHT)));
        assert!(differ(&deep(1000), &deep(1040), (SIXTEEN, SIXTEEN)));
    }

    #[test]
    fn light_may_be_rounded_to_half_floats_and_what_is_no_number_is_another_colour() {
        let light = |value: f32| floats([value, 0.0, 3.0, 1.0]);
        for (a, b, differs) in
            [(0.5, 0.5004, false), (900.0, 900.5, false), (0.5, 0.502, true), (0.0, 1e-4, true)]
        {
            assert_eq!(differ(&light(a), &light(b), (FLOAT, FLOAT)), differs, "{a} {b}");
        }
    }

    #[test]
    fn what_lies_under_clear_glass_is_nobodys_paint_and_grey_may_become_colour() {
        assert!(!differ(&[9, 200, 3, 0], &[255, 255, 255, 0], (EIGHT, EIGHT)));
        assert!(
            !differ(&[200, 100, 50, 20], &[198, 96, 45, 20], (EIGHT, EIGHT)),
            "kept multiplied"
        );
        assert!(differ(&[200, 100, 50, 20], &[200, 100, 50, 255], (EIGHT, EIGHT)));
        let grey = Layout { colour: false, alpha: false, ..EIGHT };
        assert!(!differ(&[70], &[70, 70, 70, 255], (grey, EIGHT)));
        assert!(differ(&[70], &[70, 70, 71, 255], (grey, EIGHT)));
    }

    #[test]
    fn pixels_are_found_wherever_they_are_and_only_like_is_compared_with_like() {
        let size = Size { width: 77, height: 51 };
        let layout = Layout { alpha: false, ..EIGHT };
        let raster = |samples| Raster::new(size, layout, samples).unwrap();
        let plain = raster(vec![40; 3 * 77 * 51]);
        let spots = [(0, 0), (76, 0), (8, 32), (76, 50), (33, 17)];
        let mut samples = plain.samples().to_vec();
        for (x, y) in spots {
            samples[3 * (y * 77 + x)] = 41;
        }
        let fresh = Warp::resized(&plain, size);
        let mut told = Vec::new();
        let found = Changes::find(&fresh, &raster(samples), &mut |share| {
            told.push(share);
            ControlFlow::Continue(())
        });
        let found = found.unwrap_or_else(|why| panic!("{why:?}"));
        assert_eq!((found.count(|_, _| true), found.count(|x, _| x > 70)), (5, 2));
        assert!(spots.iter().all(|(x, y)| found.is(*x as i64, *y as i64)));
        assert!(!found.is(1, 0) && !found.is(77, 50) && !found.is(-1, 0));
        assert_eq!(told, [0.0]);
        let stopped = Changes::find(&fresh, &plain, &mut |_| ControlFlow::Break(()));
        assert_eq!(stopped.err(), Some(NotCompared::Stopped));
        let light =
            Raster::new(size, Layout { depth: Depth::Float, ..layout }, vec![0; 12 * 77 * 51]);
        let other = Changes::find(&fresh, &light.unwrap(), &mut |_| ControlFlow::Continue(()));
        assert_eq!(other.err(), Some(NotCompared::Light));
        let small = Warp::resized(&plain, Size { width: 70, height: 51 });
        let other = Changes::find(&small, &plain, &mut |_| ControlFlow::Continue(()));
        assert_eq!(other.err(), Some(NotCompared::Sizes));
    }
}
