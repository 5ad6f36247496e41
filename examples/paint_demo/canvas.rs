//! The canvas and one stroke of a bristle brush on it. Colours are display values, as in any
//! paint program.

use crate::chance::{Chance, noise};
use crate::colour::step;
use glam::{Vec2, Vec3};

pub(crate) struct Canvas {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) paint: Vec<Vec3>,
    /// Thickness of the paint, for the light that rakes over it at the end.
    pub(crate) relief: Vec<f32>,
}

/// One stroke: a gently bent bar of bristles.
pub(crate) struct Stroke {
    pub(crate) centre: Vec2,
    /// Unit direction of travel.
    pub(crate) along: Vec2,
    /// How far it runs before and after the centre, pixels.
    pub(crate) back: f32,
    pub(crate) ahead: f32,
    /// Half of its width, pixels.
    pub(crate) radius: f32,
    /// Sideways departure at one length from the centre, as a share of the length.
    pub(crate) bend: f32,
    pub(crate) colour: Vec3,
    pub(crate) opacity: f32,
    /// 0 loaded with paint, 1 dry: bristles skip.
    pub(crate) dry: f32,
    pub(crate) seed: u64,
}

impl Canvas {
    pub(crate) fn toned(width: usize, height: usize, tone: Vec3) -> Self {
        let paint = (0..width * height)
            .map(|i| {
                let (x, y) = ((i % width) as f64, (i / width) as f64);
                tone * (0.94 + 0.12 * noise(x / 40.0, y / 9.0, 70))
                    * (0.97 + 0.06 * noise(x / 3.0, y / 3.0, 71))
            })
            .collect();
        Self { width, height, paint, relief: vec![0.0; width * height] }
    }

    pub(crate) fn index(&self, x: f32, y: f32) -> Option<usize> {
        (x >= 0.0 && y >= 0.0 && (x as usize) < self.width && (y as usize) < self.height)
            .then(|| y as usize * self.width + x as usize)
    }

    /// Lays paint on one pixel.
    pub(crate) fn dab(&mut self, index: usize, colour: Vec3, cover: f32) {
        self.paint[index] = self.paint[index].lerp(colour, cover.clamp(0.0, 1.0));
    }

    /// Lays a stroke; `allowed` weighs each pixel (0 leaves it untouched).
    pub(crate) fn stroke(&mut self, stroke: &Stroke, mut allowed: impl FnMut(usize) -> f32) {
        let across = stroke.along.perp();
        let bristles = Bristles::new(stroke.radius, stroke.seed);
        let length = stroke.back.max(stroke.ahead).max(1.0);
        let reach = length + stroke.radius * (1.0 + stroke.bend.abs()) + 1.0;
        let span = (stroke.along.abs() * reach
            + across.abs() * (stroke.radius + length * stroke.bend.abs()))
        .ceil();
        let (low, high) = (stroke.centre - span, stroke.centre + span);
        for y in low.y.max(0.0) as usize..(high.y.max(0.0) as usize + 1).min(self.height) {
            for x in low.x.max(0.0) as usize..(high.x.max(0.0) as usize + 1).min(self.width) {
                let off = Vec2::new(x as f32 + 0.5, y as f32 + 0.5) - stroke.centre;
                let s = off.dot(stroke.along);
                let t = off.dot(across) - stroke.bend * s * s / length;
                let (cover, body) = bristles.cover(stroke, s, t);
                if cover <= 0.003 {
                    continue;
                }
                let index = y * self.width + x;
                let weight = cover * stroke.opacity * allowed(index);
                if weight > 0.0 {
                    self.dab(index, stroke.colour * (1.0 + 0.09 * (body - 0.5)), weight);
                    self.relief[index] += (body - self.relief[index]) * weight;
                }
            }
        }
    }
}

/// The bristles of one brush: each its own load of paint and its own length.
struct Bristles {
    loads: [f32; Self::MOST],
    lengths: [f32; Self::MOST],
    count: f32,
}

impl Bristles {
    const MOST: usize = 48;

    fn new(radius: f32, seed: u64) -> Self {
        let mut chance = Chance::new(seed);
        let loads = std::array::from_fn(|_| chance.unit() as f32);
        let lengths = std::array::from_fn(|_| chance.unit() as f32);
        Self { loads, lengths, count: (radius * 0.8).clamp(3.0, Self::MOST as f32 - 2.0) }
    }

    fn sample(table: &[f32], position: f32) -> f32 {
        let i = (position as usize).min(Self::MOST - 2);
        let t = position - i as f32;
        table[i] * (1.0 - t) + table[i + 1] * t
    }

    /// Cover and body of the paint at `s` along and `t` across.
    fn cover(&self, stroke: &Stroke, s: f32, t: f32) -> (f32, f32) {
        let side = t / stroke.radius;
        if side.abs() >= 1.0 {
            return (0.0, 0.0);
        }
        let position = (side * 0.5 + 0.5) * self.count;
        let (load, length) =
            (Self::sample(&self.loads, position), Self::sample(&self.lengths, position));
        let rag = stroke.radius * 0.9 * length;
        let soft = (stroke.radius * 0.35).max(0.7);
        let start = step(
            -stroke.back - stroke.radius * 0.4 + rag * 0.5,
            -stroke.back - stroke.radius * 0.4 + rag * 0.5 + soft,
            s,
        );
        let end = 1.0 - step(stroke.ahead - rag, stroke.ahead + soft - rag * 0.2, s);
        let edge = 1.0 - step(1.0 - (1.4 / stroke.radius).clamp(0.12, 1.0), 1.0, side.abs());
        let travelled = ((s + stroke.back) / (stroke.back + stroke.ahead).max(1.0)).clamp(0.0, 1.0);
        let skip = stroke.dry * (0.35 + 0.65 * travelled);
        let paint = step(skip - 0.25, skip + 0.12, load + 0.08);
        (start * end * edge * paint, load)
    }
}
