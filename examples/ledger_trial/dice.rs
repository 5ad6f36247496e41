//! Chance, the same at every run.

use glam::DVec2;
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, StandardNormal};

/// A seeded generator with the distributions the trial needs.
pub(crate) struct Dice(StdRng);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        Self(StdRng::seed_from_u64(seed))
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0.random_range(low..high)
    }

    /// Uniform in its logarithm.
    pub(crate) fn log_between(&mut self, low: f64, high: f64) -> f64 {
        self.between(low.ln(), high.ln()).exp()
    }

    /// Standard normal.
    pub(crate) fn normal(&mut self) -> f64 {
        StandardNormal.sample(&mut self.0)
    }

    pub(crate) fn below(&mut self, count: usize) -> usize {
        self.0.random_range(0..count)
    }

    pub(crate) fn one_in(&mut self, count: usize) -> bool {
        self.below(count) == 0
    }

    /// A length that was stated with this spread, as it really is.
    pub(crate) fn spread(&mut self, stated: f64, spread: f64) -> f64 {
        stated * (spread * self.normal()).exp()
    }

    /// A point anywhere in a frame of this half height, a little inside of its edges.
    pub(crate) fn picture_point(&mut self, half_height: f64) -> DVec2 {
        DVec2::new(self.between(-0.48, 0.48), self.between(-0.96, 0.96) * half_height)
    }

    /// A point as a hand of this pointing precision would point at it.
    pub(crate) fn pointed_at(&mut self, at: DVec2, pointing: f64) -> DVec2 {
        at + pointing * DVec2::new(self.normal(), self.normal())
    }
}
