//! Where an older state of a painting lies in the newer one, after it was cropped or its canvas extended.

use rayon::prelude::*;

use crate::luminance::{lightness, luminance};
use crate::picture::Picture;
use crate::pixels::{Channels, Pixels, Size};

/// Longest side of a sketch, pixels: four pixels of a painting 5,000 wide are one of its sketch, and a match
/// to a twentieth of that is closer than anyone points.
const SKETCH: u32 = 1280;
/// Geometric mean of the widths of both pictures where the search begins, pixels: smaller and paintings look
/// alike, larger and the search takes longer than a moment.
const COARSE: f64 = 40.0;
/// Samples along the new picture's width at most when a place is looked at closely: more tell no more.
const SAMPLES: f64 = 320.0;
/// Ratio from one width that is tried to the next: at half of it a picture 40 pixels wide is off by
/// less than a pixel at its edges.
const NEXT: f64 = 1.035;
/// Largest and smallest width of the old picture that is looked for, in widths of the new one.
const WIDTHS: (f64, f64) = (0.3, 3.0);
/// Least share of the smaller picture that both must have in common.
const LEAST_SHARED: f64 = 0.3;
/// How many of the best places are looked at closely.
const CANDIDATES: usize = 12;
/// Correlation from which a place is believed: other parts of one painting stay below it, repainted
/// parts of the same place above.
const BELIEVED: f64 = 0.8;

/// A picture's values, small: enough to find it again in another.
#[derive(Clone, Debug)]
pub struct Sketch {
    /// Size of the picture itself, pixels.
    size: Size,
    /// From the largest to the smallest, each half of the one before.
    levels: Vec<Values>,
}

/// Values (CIE L*) row by row.
#[derive(Clone, Debug)]
struct Values {
    width: usize,
    height: usize,
    values: Vec<f32>,
}

/// Where the old picture's frame lies in the new picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Match {
    /// Its upper left corner, pixels of the new picture: right and down, negative outside.
    pub corner: [f64; 2],
    /// One pixel of the old picture in pixels of the new one; 1 where nothing was scaled.
    pub scale: f64,
    /// Correlation of what both have in common, from −1 to 1: 1 is the same picture.
    pub alike: f64,
}

impl Match {
    /// Whether the place can be believed.
    #[must_use]
    pub fn is_sure(&self) -> bool {
        self.alike >= BELIEVED
    }
}

impl Picture {
    /// The picture's values, small.
    #[must_use]
    pub fn sketch(&self) -> Sketch {
        let size = self.size();
        let first = self.levels_reduced(SKETCH);
        let mut levels = vec![Values::of(&first)];
        while let Some(last) = levels.last()
            && last.width.min(last.height) > 16
        {
            let half = last.halved();
            levels.push(half);
        }
        Sketch { size, levels }
    }
}

impl Sketch {
    /// Size of the picture itself, pixels.
    #[must_use]
    pub fn size(&self) -> Size {
        self.size
    }

    /// Finds this older picture in a newer one: cropped, extended, scaled, or all of it. `None` for
    /// pictures without anything in them. Normalised cross-correlation over all shifts and widths on a
    /// small copy, then closer and closer (Lewis 1995, from memory, for the correlation).
    #[must_use]
    pub fn find_in(&self, new: &Self) -> Option<Match> {
        // Places are the old frame's corner and width, in widths of the new picture.
        let mut places: Vec<Place> = self
            .widths(new)
            .into_par_iter()
            .flat_map_iter(|width| self.best_shifts(new, width))
            .collect();
        places.sort_by(|a, b| b.alike.total_cmp(&a.alike));
        places.truncate(CANDIDATES);
        let finest = new.levels[0].width as f64;
        let first = places.first()?.across();
        let mut across = first.min(finest);
        while across < finest {
            across = (2.0 * across).min(finest);
            places = places.into_par_iter().map(|place| self.closer(new, place, across)).collect();
            places.sort_by(|a, b| b.alike.total_cmp(&a.alike));
            places.truncate((places.len() / 3).max(1));
        }
        let best = *places.first()?;
        Some(self.snapped(new, best).in_pixels(self, new))
    }

    /// Widths of the old picture that are tried, in widths of the new one.
    fn widths(&self, new: &Self) -> Vec<f64> {
        let across = f64::from(self.size.width) / f64::from(new.size.width);
        let down = f64::from(self.size.height) / f64::from(new.size.height);
        let steps = ((WIDTHS.1 / WIDTHS.0).ln() / NEXT.ln()).ceil() as i32;
        let ladder = (0..=steps).map(|step| WIDTHS.0 * NEXT.powi(step));
        // As many pixels as before, as wide as before, as high as before.
        let likely = [across, 1.0, across / down];
        likely.into_iter().chain(ladder).filter(|w| (0.05..=20.0).contains(w)).collect()
    }

    /// The best two shifts of the old picture at this width.
    fn best_shifts(&self, new: &Self, width: f64) -> Vec<Place> {
        let across = Place { corner: [0.0; 2], width, alike: 0.0 }.across();
        let unit = 1.0 / across;
        let (old, new) = (self.at(width / unit), new.at(across));
        let least = LEAST_SHARED * (old.values.len().min(new.values.len())) as f64;
        let (ow, oh) = (old.width as i32, old.height as i32);
        let (nw, nh) = (new.width as i32, new.height as i32);
        let mut best: Vec<Place> = Vec::new();
        for y in -oh + 1..nh {
            for x in -ow + 1..nw {
                let shared = (ow.min(nw - x) - 0.max(-x)) * (oh.min(nh - y) - 0.max(-y));
                if f64::from(shared) < least {
                    continue;
                }
                let Some(alike) = overlap(&old, &new, x, y) else { continue };
                let corner = [f64::from(x) * unit, f64::from(y) * unit];
                best.push(Place { corner, width, alike });
                if best.len() > 64 {
                    keep_best(&mut best);
                }
            }
        }
        keep_best(&mut best);
        best
    }

    /// The best place near this one, to a part of a pixel of a new picture so many pixels wide.
    fn closer(&self, new: &Self, mut place: Place, across: f64) -> Place {
        place.alike = self.alike(new, place, across).unwrap_or(-1.0);
        let is_finest = across >= new.levels[0].width as f64;
        let mut step = 0.75 / across;
        let least = if is_finest { 0.03 } else { 0.3 } / across;
        while step > least {
            match self.better(new, place, step, across) {
                Some(better) => place = better,
                None => step *= 0.5,
            }
        }
        place
    }

    /// A neighbour that is more alike, if there is one.
    fn better(&self, new: &Self, place: Place, step: f64, across: f64) -> Option<Place> {
        let Place { corner: [x, y], width, .. } = place;
        let height = width * self.shape();
        // A change of width leaves the middle where it was.
        let wider = |by: f64| {
            let corner = [x - 0.5 * by, y - 0.5 * by * height / width];
            Place { corner, width: width + by, alike: 0.0 }
        };
        let tried = [
            Place { corner: [x + step, y], ..place },
            Place { corner: [x - step, y], ..place },
            Place { corner: [x, y + step], ..place },
            Place { corner: [x, y - step], ..place },
            wider(2.0 * step),
            wider(-2.0 * step),
        ];
        let measured = tried
            .into_iter()
            .filter(|p| p.width > 0.01)
            .filter_map(|p| self.alike(new, p, across).map(|alike| Place { alike, ..p }));
        measured
            .max_by(|a, b| a.alike.total_cmp(&b.alike))
            .filter(|found| found.alike > place.alike + 1e-9)
    }

    /// The same on whole pixels and unscaled, where that is as good.
    fn snapped(&self, new: &Self, place: Place) -> Place {
        let pixels = f64::from(new.size.width);
        let unscaled = f64::from(self.size.width) / pixels;
        let finest = new.levels[0].width as f64;
        // As many pixels of the sketch as the match can be off by.
        if (place.width - unscaled).abs() > 2.0 / finest {
            return place;
        }
        let off = 0.5 * (place.width - unscaled);
        let middle = [place.corner[0] + off, place.corner[1] + off * self.shape()];
        let corner = middle.map(|c| (c * pixels).round() / pixels);
        let exact = Place { corner, width: unscaled, alike: 0.0 };
        match self.alike(new, exact, finest) {
            Some(alike) if alike > place.alike - 0.01 => Place { alike, ..exact },
            _ => place,
        }
    }

    /// Height over width.
    fn shape(&self) -> f64 {
        f64::from(self.size.height) / f64::from(self.size.width)
    }

    /// Correlation with the old picture at a place, both seen as on a new picture `across` pixels wide.
    fn alike(&self, new: &Self, place: Place, across: f64) -> Option<f64> {
        let Place { corner: [left, top], width, .. } = place;
        let (old, fine) = (self.level_for(width * across), new.level_for(across));
        let across = across.min(SAMPLES);
        let unit = 1.0 / across;
        let from = [left.max(0.0), top.max(0.0)];
        let to = [(left + width).min(1.0), (top + width * self.shape()).min(new.shape())];
        let count = |axis: usize| ((to[axis] - from[axis]) * across).floor();
        let (columns, rows) = (count(0), count(1));
        let least = LEAST_SHARED * (width * width * self.shape()).min(new.shape());
        if columns < 4.0 || rows < 4.0 || columns * rows * unit * unit < 0.5 * least {
            return None;
        }
        let mut sums = Sums::default();
        for row in 0..rows as usize {
            let v = from[1] + (row as f64 + 0.5) * unit;
            for column in 0..columns as usize {
                let u = from[0] + (column as f64 + 0.5) * unit;
                let a = old.sample((u - left) / width, (v - top) / width);
                sums.add(a, fine.sample(u, v));
            }
        }
        sums.correlation()
    }

    /// The level that is at least so many pixels wide, or the largest.
    fn level_for(&self, across: f64) -> &Values {
        let fits = |level: &&Values| level.width as f64 >= across;
        self.levels.iter().rev().find(fits).unwrap_or(&self.levels[0])
    }

    /// The whole picture so many pixels wide.
    fn at(&self, across: f64) -> Values {
        let level = self.level_for(across);
        let (width, height) = (across.round().max(1.0), (across * self.shape()).round().max(1.0));
        let values = (0..(width * height) as usize).map(|i| {
            let (x, y) = (i % width as usize, i / width as usize);
            level.sample((x as f64 + 0.5) / across, (y as f64 + 0.5) / across)
        });
        Values { values: values.collect(), width: width as usize, height: height as usize }
    }
}

/// The old frame in the new picture: corner and width in widths of the new one.
#[derive(Clone, Copy, Debug)]
struct Place {
    corner: [f64; 2],
    width: f64,
    alike: f64,
}

impl Place {
    /// How many pixels wide the new picture was when it was found first.
    fn across(&self) -> f64 {
        COARSE / self.width.sqrt()
    }

    fn in_pixels(self, old: &Sketch, new: &Sketch) -> Match {
        let pixels = f64::from(new.size.width);
        Match {
            corner: self.corner.map(|c| c * pixels),
            scale: self.width * pixels / f64::from(old.size.width),
            alike: self.alike,
        }
    }
}

/// Leaves the two best places.
fn keep_best(places: &mut Vec<Place>) {
    places.sort_by(|a, b| b.alike.total_cmp(&a.alike));
    places.truncate(2);
}

/// Correlation of two pictures, the first shifted by whole pixels over the second.
fn overlap(old: &Values, new: &Values, x: i32, y: i32) -> Option<f64> {
    let (first_row, first) = ((-y).max(0), (-x).max(0));
    let last_row = (old.height as i32).min(new.height as i32 - y);
    let last = (old.width as i32).min(new.width as i32 - x);
    let mut sums = Sums::default();
    for row in first_row..last_row {
        let a = &old.row(row)[first as usize..last as usize];
        let b = &new.row(row + y)[(first + x) as usize..(last + x) as usize];
        let mut of_row = [0.0_f32; 5];
        for (&a, &b) in a.iter().zip(b) {
            of_row = [
                of_row[0] + a,
                of_row[1] + b,
                of_row[2] + a * a,
                of_row[3] + b * b,
                of_row[4] + a * b,
            ];
        }
        (0..5).for_each(|i| sums.sums[i] += f64::from(of_row[i]));
        sums.count += a.len() as f64;
    }
    sums.correlation()
}

#[derive(Default)]
struct Sums {
    count: f64,
    /// Of a, b, a², b², ab.
    sums: [f64; 5],
}

impl Sums {
    fn add(&mut self, a: f32, b: f32) {
        let (a, b) = (f64::from(a), f64::from(b));
        self.count += 1.0;
        for (sum, value) in self.sums.iter_mut().zip([a, b, a * a, b * b, a * b]) {
            *sum += value;
        }
    }

    /// None where either has no contrast worth the name.
    fn correlation(&self) -> Option<f64> {
        /// Variance of L* below which nothing is seen.
        const PLAIN: f64 = 0.05;
        let [a, b, aa, bb, ab] = self.sums.map(|sum| sum / self.count);
        let (of_a, of_b) = (aa - a * a, bb - b * b);
        let found = (ab - a * b) / (of_a * of_b).sqrt();
        (of_a > PLAIN && of_b > PLAIN && found.is_finite()).then_some(found)
    }
}

impl Values {
    fn of(pixels: &Pixels) -> Self {
        let Size { width, height } = pixels.size();
        let rgb = |pixel: &[u8]| match pixels.channels() {
            Channels::Grey => [pixel[0]; 3],
            Channels::Rgb | Channels::RgbaPremultiplied => [pixel[0], pixel[1], pixel[2]],
        };
        let light = |rgb| lightness(f64::from(luminance(rgb)) / f64::from(u16::MAX)) as f32;
        let samples = pixels.samples().par_chunks(pixels.channels().count());
        let values = samples.map(|pixel| light(rgb(pixel))).collect();
        Self { width: width as usize, height: height as usize, values }
    }

    fn row(&self, row: i32) -> &[f32] {
        &self.values[row as usize * self.width..(row as usize + 1) * self.width]
    }

    fn halved(&self) -> Self {
        let (width, height) = (self.width.div_ceil(2), self.height.div_ceil(2));
        let at = |x: usize, y: usize| {
            self.values[y.min(self.height - 1) * self.width + x.min(self.width - 1)]
        };
        let mean = |i: usize| {
            let (x, y) = (2 * (i % width), 2 * (i / width));
            0.25 * (at(x, y) + at(x + 1, y) + at(x, y + 1) + at(x + 1, y + 1))
        };
        Self { width, height, values: (0..width * height).map(mean).collect() }
    }

    /// Between the four pixels around a point, in widths of the picture.
    fn sample(&self, u: f64, v: f64) -> f32 {
        let (x, y) = (u * self.width as f64 - 0.5, v * self.width as f64 - 0.5);
        let (x, y) =
            (x.clamp(0.0, (self.width - 1) as f64), y.clamp(0.0, (self.height - 1) as f64));
        let (left, top) = (x as usize, y as usize);
        let (right, below) = ((left + 1).min(self.width - 1), (top + 1).min(self.height - 1));
        let (across, down) = ((x - left as f64) as f32, (y - top as f64) as f32);
        let at = |x: usize, y: usize| self.values[y * self.width + x];
        let upper = at(left, top) + across * (at(right, top) - at(left, top));
        let lower = at(left, below) + across * (at(right, below) - at(left, below));
        upper + down * (lower - upper)
    }
}
