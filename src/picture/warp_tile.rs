//! A tile of a warped picture: the part of the source that it is made of in 32-bit floating point, and
//! from that its pixels.

use std::ops::Range;

use crate::pixels::Size;
use crate::raster::{Depth, Layout, Raster};
use crate::resampling::{LOBES, TAPS, WEIGHTS, stretched, weights};
use crate::warp::Projection;

/// Red, green, blue and alpha in the source's units, alpha from 0 to 1 and multiplied in. Grey has its
/// value in the first.
pub(crate) type Light = [f32; 4];

const BLANK: Light = [0.0; 4];
/// Cover from which on it is all, since sixty-four weights add up to 1 only as far as 32 bits tell.
const OPAQUE: f32 = 1.0 - 4e-6;

/// Largest part of the source that is looked at for one tile, pixels, unless a single pixel needs more.
const MOST_LIGHT: u64 = 1 << 18;
/// Where a map shrinks by less than the first, the kernel stays as it is, and from the second on it is
/// stretched as far as the map shrinks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Shrinks(f64, f64);

impl Shrinks {
    /// Whatever shrinks at all.
    pub(crate) const EVERYWHERE: Self = Self(1.0, 1.0);
    /// What folds then is finer than nearly every stroke, while a stretched kernel would soften a copy that
    /// was only enlarged, here and there, on its way back.
    pub(crate) const SELDOM: Self = Self(1.75, 2.25);

    /// How far the kernel is stretched where a map shrinks so much.
    fn stretch(self, shrinks: f64) -> f64 {
        let Self(none, all) = self;
        if shrinks >= all {
            return shrinks.max(1.0);
        }
        if shrinks <= none {
            return 1.0;
        }
        1.0 + (all - 1.0) * (shrinks - none) / (all - none)
    }
}

/// A rectangle of pixels of the result.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Block {
    pub(crate) left: u32,
    pub(crate) top: u32,
    pub(crate) width: u32,
    pub(crate) height: u32,
}

/// A rectangle of pixels of the source, which may reach beyond its edges.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Part {
    pub(crate) left: i64,
    pub(crate) top: i64,
    pub(crate) width: usize,
    pub(crate) height: usize,
}

impl Part {
    /// The columns and rows of it that a picture has.
    pub(crate) fn within(self, size: Size) -> (Range<u32>, Range<u32>) {
        let cut = |from: i64, length: usize, side: u32| {
            let [from, to] = [from, from + length as i64].map(|at| at.clamp(0, side.into()) as u32);
            from..to
        };
        (cut(self.left, self.width, size.width), cut(self.top, self.height, size.height))
    }
}

/// Works tiles out, one after the other in the same memory.
pub(crate) struct Tiler<'a> {
    source: &'a Raster,
    map: Projection,
    bleed: f64,
    shrinks: Shrinks,
    /// The part of the source.
    light: Vec<Light>,
    /// The tile.
    lit: Vec<Light>,
    across: Vec<f32>,
    down: Vec<f32>,
}

impl<'a> Tiler<'a> {
    pub(crate) fn new(source: &'a Raster, map: Projection, bleed: f64, shrinks: Shrinks) -> Self {
        let (light, lit, across, down) = Default::default();
        Self { source, map, bleed, shrinks, light, lit, across, down }
    }

    /// The pixels of a tile, row by row.
    pub(crate) fn tile(&mut self, block: Block) -> &[Light] {
        self.lit.clear();
        self.lit.resize(block.width as usize * block.height as usize, BLANK);
        if !self.lit.is_empty() {
            self.cover(block, block);
        }
        &self.lit
    }

    /// Works out one part of a tile; what lies beyond the source's surroundings stays blank.
    fn cover(&mut self, tile: Block, block: Block) {
        let is_pixel = block.width == 1 && block.height == 1;
        let Some((part, stretch)) = self.needs(block) else {
            // Something of it is behind; or all of it, when it is a pixel.
            if !is_pixel {
                block.halves().into_iter().for_each(|half| self.cover(tile, half));
            }
            return;
        };
        let Some(part) = part else { return };
        if part.width as u64 * part.height as u64 > MOST_LIGHT && !is_pixel {
            block.halves().into_iter().for_each(|half| self.cover(tile, half));
            return;
        }
        let least = read(self.source, part, &mut self.light);
        for y in block.top..block.top + block.height {
            let row = (y - tile.top) as usize * tile.width as usize;
            let first = row + (block.left - tile.left) as usize;
            if stretch > 1.0 {
                self.shrunk_row(block, y, part, first, least);
            } else {
                self.row(block, y, part, first, least);
            }
        }
    }

    /// The part of the source that a block is made of, if any, and how far the kernel is stretched there at most;
    /// None where a corner lies behind or infinitely far off.
    pub(crate) fn needs(&self, block: Block) -> Option<(Option<Part>, f64)> {
        let right = f64::from(block.left + block.width) - 0.5;
        let bottom = f64::from(block.top + block.height) - 0.5;
        let (left, top) = (f64::from(block.left) + 0.5, f64::from(block.top) + 0.5);
        let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        let mut most = 1.0_f64;
        for (x, y) in [(left, top), (right, top), (left, bottom), (right, bottom)] {
            let (px, py) = self.map.place(x, y)?;
            for (axis, place) in [px, py].into_iter().enumerate() {
                low[axis] = low[axis].min(place);
                high[axis] = high[axis].max(place);
            }
            most = most.max(self.stretch_at(x, y, px, py));
        }
        let size = self.source.size();
        let reach = 1.05 * LOBES as f64 * most + 2.0;
        let mut part = [(0, 0); 2];
        for (axis, side) in [size.width, size.height].map(f64::from).into_iter().enumerate() {
            let (from, to) = (low[axis].max(-self.bleed), high[axis].min(side + self.bleed));
            if from > to {
                return Some((None, most));
            }
            let first = (from - reach).floor() as i64;
            part[axis] = (first, ((to + reach).ceil() as i64 - first) as usize);
        }
        let [(left, width), (top, height)] = part;
        Some((Some(Part { left, top, width, height }), most))
    }

    /// How far the kernel is stretched for the pixel of the result there, along one axis of the source at least.
    pub(crate) fn stretch_at(&self, x: f64, y: f64, px: f64, py: f64) -> f64 {
        let [across, down] = self.stretch(x, y, px, py);
        self.shrinks.stretch(across).max(self.shrinks.stretch(down))
    }

    /// Pixels of the source to a pixel of the result there, along the source's axes.
    fn stretch(&self, x: f64, y: f64, px: f64, py: f64) -> [f64; 2] {
        let rows = self.map.rows();
        let z = self.map.image(x, y)[2];
        [(0, px), (1, py)].map(|(axis, place)| {
            let by = |k: usize| (rows[axis][k] - place * rows[2][k]) / z;
            by(0).hypot(by(1))
        })
    }

    fn is_blank(&self, x: f64, y: f64) -> bool {
        let (size, bleed) = (self.source.size(), self.bleed);
        let beyond = |place: f64, side: u32| place < -bleed || place > f64::from(side) + bleed;
        beyond(x, size.width) || beyond(y, size.height)
    }

    /// A row of a block where the map does not shrink.
    fn row(&mut self, block: Block, y: u32, part: Part, first: usize, least: f32) {
        let table = &WEIGHTS[..];
        let down = f64::from(y) + 0.5;
        let start = self.map.image(f64::from(block.left) + 0.5, down);
        let step = self.map.rows().map(|row| row[0]);
        // Sample places: pixel i of the part lies at i.
        let (left, top) = (part.left as f64 + 0.5, part.top as f64 + 0.5);
        for i in 0..block.width as usize {
            let along = i as f64;
            let per_depth = 1.0 / (start[2] + along * step[2]);
            let x = (start[0] + along * step[0]) * per_depth;
            let y = (start[1] + along * step[1]) * per_depth;
            if self.is_blank(x, y) {
                continue;
            }
            let (x, y) = (x - left, y - top);
            let (column, row) = (x as usize, y as usize);
            let across = weights(table, (x - column as f64) as f32);
            let down = weights(table, (y - row as f64) as f32);
            let from = (row - (LOBES - 1)) * part.width + column - (LOBES - 1);
            self.lit[first + i] =
                floored(gather(&self.light[from..], part.width, &across, &down), least);
        }
    }

    /// A row of a block where the map shrinks: the kernel is stretched pixel by pixel.
    fn shrunk_row(&mut self, block: Block, y: u32, part: Part, first: usize, least: f32) {
        for i in 0..block.width {
            let (x, y) = (f64::from(block.left + i) + 0.5, f64::from(y) + 0.5);
            let Some((px, py)) = self.map.place(x, y) else { continue };
            if self.is_blank(px, py) {
                continue;
            }
            let [across, down] = self.stretch(x, y, px, py).map(|by| self.shrinks.stretch(by));
            let column = stretched(px - 0.5, across, &mut self.across) - part.left;
            let row = stretched(py - 0.5, down, &mut self.down) - part.top;
            let mut sum = BLANK;
            let within = |first: i64, tap: usize, end: usize| {
                (first + tap as i64).clamp(0, end as i64 - 1) as usize
            };
            for (tap, by) in self.down.iter().enumerate() {
                let line = &self.light[within(row, tap, part.height) * part.width..][..part.width];
                let mut along = BLANK;
                for (tap, by) in self.across.iter().enumerate() {
                    add(&mut along, &line[within(column, tap, part.width)], *by);
                }
                add(&mut sum, &along, *by);
            }
            self.lit[first + i as usize] = floored(sum, least);
        }
    }
}

impl Block {
    /// It, parted across its longer side.
    fn halves(self) -> [Self; 2] {
        if self.width >= self.height {
            let width = self.width / 2;
            let rest = Self { left: self.left + width, width: self.width - width, ..self };
            [Self { width, ..self }, rest]
        } else {
            let height = self.height / 2;
            let rest = Self { top: self.top + height, height: self.height - height, ..self };
            [Self { height, ..self }, rest]
        }
    }
}

#[inline]
fn add(sum: &mut Light, light: &Light, by: f32) {
    for (sum, light) in sum.iter_mut().zip(light) {
        *sum += by * light;
    }
}

/// The weighted sum of TAPS × TAPS pixels, the first of `light` being the upper left.
#[inline]
fn gather(light: &[Light], width: usize, across: &[f32; TAPS], down: &[f32; TAPS]) -> Light {
    let mut sum = BLANK;
    for (row, by) in down.iter().enumerate() {
        let line: &[Light; TAPS] = light[row * width..].first_chunk().expect("the part has room");
        let mut along = BLANK;
        for (light, by) in line.iter().zip(across) {
            add(&mut along, light, *by);
        }
        add(&mut sum, &along, *by);
    }
    sum
}

/// Not darker than `least`: beside a bright edge the kernel's undershoot would make light negative.
#[inline]
fn floored(light: Light, least: f32) -> Light {
    light.map(|value| value.max(least))
}

/// Fills `light` with a part of the source, its outermost pixels repeated beyond its edges; returns the
/// least value, or 0.
fn read(source: &Raster, part: Part, light: &mut Vec<Light>) -> f32 {
    light.clear();
    light.reserve(part.width * part.height);
    let Layout { depth, colour, alpha } = source.layout();
    match (depth, colour, alpha) {
        (Depth::Eight, false, false) => {
            spread(source, part, light, |&[g]| [g.into(), 0.0, 0.0, 1.0]);
        }
        (Depth::Eight, false, true) => spread(source, part, light, |&[g, a]| weighed([g, 0, 0, a])),
        (Depth::Eight, true, false) => {
            spread(source, part, light, |&[r, g, b]| [r.into(), g.into(), b.into(), 1.0]);
        }
        (Depth::Eight, true, true) => spread(source, part, light, |&pixel| weighed(pixel)),
        (Depth::Sixteen, false, false) => {
            spread(source, part, light, |pixel: &[u8; 2]| [words(pixel)[0], 0.0, 0.0, 1.0]);
        }
        (Depth::Sixteen, false, true) => spread(source, part, light, |pixel: &[u8; 4]| {
            let [g, a, ..] = words(pixel);
            weighed_words([g, 0.0, 0.0, a])
        }),
        (Depth::Sixteen, true, false) => spread(source, part, light, |pixel: &[u8; 6]| {
            let [r, g, b, _] = words(pixel);
            [r, g, b, 1.0]
        }),
        (Depth::Sixteen, true, true) => {
            spread(source, part, light, |pixel: &[u8; 8]| weighed_words(words(pixel)));
        }
        (Depth::Float, false, false) => {
            spread(source, part, light, |pixel: &[u8; 4]| [floats(pixel)[0], 0.0, 0.0, 1.0]);
        }
        (Depth::Float, false, true) => spread(source, part, light, |pixel: &[u8; 8]| {
            let [g, a, ..] = floats(pixel);
            [g, 0.0, 0.0, a.clamp(0.0, 1.0)]
        }),
        (Depth::Float, true, false) => spread(source, part, light, |pixel: &[u8; 12]| {
            let [r, g, b, _] = floats(pixel);
            [r, g, b, 1.0]
        }),
        (Depth::Float, true, true) => spread(source, part, light, |pixel: &[u8; 16]| {
            let [r, g, b, a] = floats(pixel);
            [r, g, b, a.clamp(0.0, 1.0)]
        }),
    }
    if depth != Depth::Float {
        return 0.0;
    }
    light.iter().flatten().copied().fold(0.0, f32::min)
}

/// A pixel of this layout.
pub(crate) fn light_of(layout: Layout, pixel: &[u8]) -> Light {
    let Layout { depth, colour, alpha } = layout;
    let most = match depth {
        Depth::Eight => 255.0,
        Depth::Sixteen => 65_535.0,
        Depth::Float => 1.0,
    };
    let samples = match depth {
        Depth::Eight => {
            let mut light = BLANK;
            light.iter_mut().zip(pixel).for_each(|(light, value)| *light = (*value).into());
            light
        }
        Depth::Sixteen => words(pixel),
        Depth::Float => floats(pixel),
    };
    let [r, g, b, a] = match (colour, alpha) {
        (true, true) => samples,
        (true, false) => [samples[0], samples[1], samples[2], most],
        (false, true) => [samples[0], 0.0, 0.0, samples[1]],
        (false, false) => [samples[0], 0.0, 0.0, most],
    };
    let alpha = (a / most).clamp(0.0, 1.0);
    let by = if depth == Depth::Float { 1.0 } else { alpha };
    [by * r, by * g, by * b, alpha]
}

fn spread<const N: usize>(
    source: &Raster,
    part: Part,
    light: &mut Vec<Light>,
    pixel: impl Fn(&[u8; N]) -> Light,
) {
    let (width, height) = (i64::from(source.size().width), i64::from(source.size().height));
    let first = part.left.clamp(0, width - 1);
    let end = (part.left + part.width as i64).clamp(first + 1, width);
    let before = (first - part.left).clamp(0, part.width as i64 - 1) as usize;
    for row in part.top..part.top + part.height as i64 {
        let (pixels, _) = source.row(row.clamp(0, height - 1) as u32).as_chunks::<N>();
        let pixels = &pixels[first as usize..end as usize];
        let room = part.width - before;
        light.extend(std::iter::repeat_n(pixel(&pixels[0]), before));
        light.extend(pixels.iter().take(room).map(&pixel));
        let after = room.saturating_sub(pixels.len());
        light.extend(std::iter::repeat_n(pixel(&pixels[pixels.len() - 1]), after));
    }
}

fn weighed([r, g, b, a]: [u8; 4]) -> Light {
    let alpha = f32::from(a) / 255.0;
    [f32::from(r) * alpha, f32::from(g) * alpha, f32::from(b) * alpha, alpha]
}

fn weighed_words([r, g, b, a]: Light) -> Light {
    let alpha = a / 65_535.0;
    [r * alpha, g * alpha, b * alpha, alpha]
}

fn words(pixel: &[u8]) -> Light {
    let mut light = BLANK;
    for (light, word) in light.iter_mut().zip(pixel.as_chunks::<2>().0) {
        *light = u16::from_ne_bytes(*word).into();
    }
    light
}

/// Light that is no number counts as none, and endless light as the most that a half float holds.
fn floats(pixel: &[u8]) -> Light {
    const MOST: f32 = 65_504.0;
    let mut light = BLANK;
    for (light, value) in light.iter_mut().zip(pixel.as_chunks::<4>().0) {
        let value = f32::from_ne_bytes(*value);
        *light = match value {
            value if value.is_nan() => 0.0,
            value if value.is_infinite() => MOST.copysign(value),
            value => value,
        };
    }
    light
}

/// Writes a row of pixels in the layout of the result. `weighed` says that there was alpha in the source,
/// which is taken out of encoded colours again.
pub(crate) fn store(light: &[Light], layout: Layout, weighed: bool, out: &mut [u8]) {
    match layout.depth {
        Depth::Eight => put(light, layout, out, |pixel| {
            encoded(pixel, weighed, 255.0).map(|value| [value as u8])
        }),
        Depth::Sixteen => put(light, layout, out, |pixel| {
            encoded(pixel, weighed, 65_535.0).map(|value| (value as u16).to_ne_bytes())
        }),
        Depth::Float => put(light, layout, out, |[r, g, b, a]| {
            let cover = if a > OPAQUE { 1.0 } else { a.max(0.0) };
            [r, g, b, cover].map(f32::to_ne_bytes)
        }),
    }
}

/// Rounded by the cast to come, which also keeps what overshoots in range.
#[inline]
fn encoded([r, g, b, a]: Light, weighed: bool, most: f32) -> Light {
    let alpha = a.clamp(0.0, 1.0) * most + 0.5;
    if !weighed || a <= 0.0 {
        return [r + 0.5, g + 0.5, b + 0.5, alpha];
    }
    if alpha < 1.0 {
        return BLANK;
    }
    [r / a + 0.5, g / a + 0.5, b / a + 0.5, alpha]
}

#[inline]
fn put<const N: usize>(
    light: &[Light],
    layout: Layout,
    out: &mut [u8],
    sample: impl Fn(Light) -> [[u8; N]; 4],
) {
    for (pixel, out) in light.iter().zip(out.chunks_exact_mut(layout.bytes())) {
        let [r, g, b, a] = sample(*pixel);
        let (out, _) = out.as_chunks_mut::<N>();
        match (layout.colour, layout.alpha, out) {
            (true, false, [x, y, z]) => (*x, *y, *z) = (r, g, b),
            (true, true, [x, y, z, w]) => (*x, *y, *z, *w) = (r, g, b, a),
            (false, true, [x, w]) => (*x, *w) = (r, a),
            (_, _, [x, ..]) => *x = r,
            (_, _, []) => {}
        }
    }
}
