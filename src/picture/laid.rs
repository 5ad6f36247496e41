//! What was painted on a warped copy, laid over the picture that the copy was made of.

use rayon::prelude::*;

use crate::by_rows::{ByRows, ROWS_AT_ONCE};
use crate::changes::Changes;
use crate::pixels::Size;
use crate::raster::{Depth, Layout, Raster};
use crate::resampling::LOBES;
use crate::warp::{Projection, TILE};
use crate::warp_tile::{Block, Light, Part, Shrinks, Tiler, light_of, store};

/// So near to a pixel that was painted on, in pixels of the copy, the copy alone counts: beyond the kernel's main
/// lobe, so that no stroke is thinned.
const WHOLLY: f64 = 1.5;
/// A place between pixels is taken to be nearer than it is by at most this, since the four distances around
/// it are weighed: the mean way to the corners of a square from its centre, a little more.
const SLACK: f64 = 0.75;

/// A picture over which another is laid where that was changed; elsewhere it is itself, bit for bit. Nothing is
/// worked out until rows are asked for.
///
/// What the eight-tap kernel of [`Warp`](crate::Warp) makes of a pixel that was changed comes from the copy, and
/// passes over into the picture within the kernel's reach, so that no seam shows: there both have the same
/// paint, once as it was and once resampled. Farther off than the kernel reaches nothing is touched.
#[derive(Clone, Copy)]
pub struct Laid<'a> {
    under: &'a Raster,
    over: &'a Raster,
    map: Projection,
    changes: &'a Changes,
    layout: Layout,
}

impl<'a> Laid<'a> {
    /// `map` leads from pixels of `under` to those of `over`, of which `changes` tells which count. The result
    /// has the greater depth of the two and their colours, and `alpha` if that is wanted. None if `changes`
    /// are another picture's, or if one has encoded values and the other linear light.
    #[must_use]
    pub fn new(
        under: &'a Raster,
        over: &'a Raster,
        map: Projection,
        changes: &'a Changes,
        alpha: bool,
    ) -> Option<Self> {
        let (a, b) = (under.layout(), over.layout());
        let depth = match (a.depth, b.depth) {
            (a, b) if a == b => a,
            (Depth::Float, _) | (_, Depth::Float) => return None,
            _ => Depth::Sixteen,
        };
        let layout = Layout { depth, colour: a.colour || b.colour, alpha };
        (changes.size() == over.size()).then_some(Self { under, over, map, changes, layout })
    }

    /// The whole result at once.
    #[must_use]
    pub fn whole(&self) -> Raster {
        let mut samples = vec![0; self.row_bytes() * self.size().height as usize];
        self.rows(0, &mut samples);
        Raster::new(self.size(), self.layout, samples).expect("as many samples as the size says")
    }

    /// Puts the copy's pixels into a strip that has the picture's already.
    fn lay_over(&self, layer: &mut Layer<'a>, block: Block, strip: &mut [u8], row: usize) {
        if !layer.weigh(block, self.map, self.changes) {
            return;
        }
        let (bytes, width) = (self.layout.bytes(), block.width as usize);
        let glass = self.under.layout().alpha || self.over.layout().alpha;
        let Layer { tiler, weights, .. } = layer;
        let rows = tiler.tile(block).chunks_exact(width).zip(weights.chunks_exact(width));
        for ((light, weights), out) in rows.zip(strip.chunks_exact_mut(row)) {
            let out = out[block.left as usize * bytes..].chunks_exact_mut(bytes);
            for ((light, weight), out) in light.iter().zip(weights).zip(out) {
                if *weight > 0.0 {
                    let over = self.in_own_levels(*light);
                    let mixed = mixed(light_of(self.layout, out), over, *weight);
                    store(&[mixed], self.layout, glass, out);
                }
            }
        }
    }

    /// Light of the copy in the levels and colours of the result.
    fn in_own_levels(&self, [r, g, b, a]: Light) -> Light {
        let Layout { depth, colour, .. } = self.over.layout();
        let by = if depth == self.layout.depth { 1.0 } else { 257.0 };
        let [g, b] = if colour { [g, b] } else { [r, r] };
        [by * r, by * g, by * b, a]
    }
}

impl ByRows for Laid<'_> {
    fn size(&self) -> Size {
        self.under.size()
    }

    fn layout(&self) -> Layout {
        self.layout
    }

    fn profile(&self) -> Option<&[u8]> {
        self.under.profile()
    }

    fn is_half(&self) -> bool {
        self.under.is_half() && self.over.is_half()
    }

    fn rows(&self, first: u32, out: &mut [u8]) {
        let (row, size) = (self.row_bytes(), self.size());
        out.par_chunks_mut(ROWS_AT_ONCE as usize * row).enumerate().for_each_init(
            || Layer::new(self.over, self.map),
            |layer, (strip, out)| {
                let top = first.saturating_add(strip as u32 * ROWS_AT_ONCE);
                let height = ((out.len() / row) as u32).min(size.height.saturating_sub(top));
                for (y, out) in (top..top + height).zip(out.chunks_exact_mut(row)) {
                    put(self.under.row(y), self.under.layout(), self.layout, out);
                }
                for left in (0..size.width).step_by(TILE as usize) {
                    let width = TILE.min(size.width - left);
                    let block = Block { left, top, width, height };
                    self.lay_over(layer, block, out, row);
                }
            },
        );
    }
}

/// `weight` of the copy and the rest of the picture.
fn mixed(under: Light, over: Light, weight: f32) -> Light {
    if weight >= 1.0 {
        return over;
    }
    std::array::from_fn(|i| under[i] + weight * (over[i] - under[i]))
}

/// Writes a row of pixels in a layout that holds all they have.
fn put(pixels: &[u8], from: Layout, to: Layout, out: &mut [u8]) {
    if from == to {
        out.copy_from_slice(pixels);
        return;
    }
    let (bytes, wide) = (from.depth.bytes(), to.depth.bytes());
    let opaque = match to.depth {
        Depth::Float => 1.0_f32.to_ne_bytes(),
        _ => [0xFF; 4],
    };
    let colours = |layout: Layout| if layout.colour { 3 } else { 1 };
    for (pixel, out) in pixels.chunks_exact(from.bytes()).zip(out.chunks_exact_mut(to.bytes())) {
        let sample = |i: usize| &pixel[i * bytes..][..bytes];
        for (i, out) in out.chunks_exact_mut(wide).enumerate() {
            let value = match i < colours(to) {
                true => sample(i.min(colours(from) - 1)),
                false if from.alpha => sample(colours(from)),
                false => &opaque[..bytes],
            };
            match value {
                // The same share of 65,535 as it is of 255.
                [value] if wide == 2 => out.fill(*value),
                value => out.copy_from_slice(value),
            }
        }
    }
}

/// How near the pixels of a block lie to what was changed, worked out block by block in the same memory.
struct Layer<'a> {
    tiler: Tiler<'a>,
    /// For each pixel of the copy around the block, how far above or below the next changed one lies.
    upright: Vec<f32>,
    /// And how far off in any direction.
    far: Vec<f32>,
    weights: Vec<f32>,
}

impl<'a> Layer<'a> {
    fn new(over: &'a Raster, map: Projection) -> Self {
        let tiler = Tiler::new(over, map, 0.0, Shrinks::SELDOM);
        let (upright, far, weights) = Default::default();
        Self { tiler, upright, far, weights }
    }

    /// Works out how much the copy counts in each pixel of a block, 0 to 1; whether it may in any.
    fn weigh(&mut self, block: Block, map: Projection, changes: &Changes) -> bool {
        if block.width == 0 || block.height == 0 {
            return false;
        }
        let Some((Some(part), stretch)) = self.tiler.needs(block) else { return false };
        if !changes.any_in(part) {
            return false;
        }
        self.measure(part, (LOBES as f64 * stretch).ceil() as usize, changes);
        self.weights.clear();
        for y in block.top..block.top + block.height {
            for x in block.left..block.left + block.width {
                let (x, y) = (f64::from(x) + 0.5, f64::from(y) + 0.5);
                let weight = map.place(x, y).map_or(0.0, |(px, py)| {
                    let stretch = self.tiler.stretch_at(x, y, px, py);
                    let far = self.far_at(part, px, py);
                    let (from, to) = (WHOLLY * stretch, LOBES as f64 * stretch - SLACK);
                    eased(((to - far) / (to - from)).clamp(0.0, 1.0)) as f32
                });
                self.weights.push(weight);
            }
        }
        true
    }

    /// Works out how far from each pixel of a part the next changed one is, as far as `reach`.
    fn measure(&mut self, part: Part, reach: usize, changes: &Changes) {
        let Part { left, top, width, height } = part;
        let beyond = (reach + 1) as f32;
        self.upright.clear();
        self.upright.resize(width * height, beyond);
        for y in 0..height {
            for x in 0..width {
                let above = if y > 0 { self.upright[(y - 1) * width + x] + 1.0 } else { beyond };
                let is = changes.is(left + x as i64, top + y as i64);
                self.upright[y * width + x] = if is { 0.0 } else { above.min(beyond) };
            }
        }
        for at in (0..width * height.saturating_sub(1)).rev() {
            self.upright[at] = self.upright[at].min(self.upright[at + width] + 1.0);
        }
        self.far.clear();
        for row in self.upright.chunks_exact(width) {
            for x in 0..width {
                let (from, to) = (x.saturating_sub(reach), (x + reach + 1).min(width));
                let squares = row[from..to].iter().zip(from..).map(|(upright, at)| {
                    let along = at.abs_diff(x) as f32;
                    upright * upright + along * along
                });
                self.far.push(squares.fold(f32::INFINITY, f32::min).sqrt());
            }
        }
    }

    /// How far a place in the copy is from the next changed pixel's centre.
    fn far_at(&self, part: Part, x: f64, y: f64) -> f64 {
        let (x, y) = (x - 0.5 - part.left as f64, y - 0.5 - part.top as f64);
        let (column, row) = (x.max(0.0) as usize, y.max(0.0) as usize);
        let (column, row) = (column.min(part.width - 2), row.min(part.height - 2));
        let (across, down) = (x - column as f64, y - row as f64);
        let far = |dx: usize, dy: usize| f64::from(self.far[(row + dy) * part.width + column + dx]);
        let along = |dy: usize| far(0, dy) + across * (far(1, dy) - far(0, dy));
        along(0) + down * (along(1) - along(0))
    }
}

/// From 0 to 1 without a corner at either end.
fn eased(t: f64) -> f64 {
    t * t * (3.0 - 2.0 * t)
}
