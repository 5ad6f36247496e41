//! Seeded randomness: the same picture and the same pointing errors on every run.

/// A small generator (`SplitMix64`: Steele, Lea and Flood 2014).
pub(crate) struct Chance(u64);

impl Chance {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        scramble(self.0)
    }

    /// Uniform in [0, 1).
    pub(crate) fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Uniform between two bounds.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Standard normal (Box and Muller 1958).
    pub(crate) fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.unit()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.unit()).cos()
    }

    /// Whole number below `bound`.
    pub(crate) fn below(&mut self, bound: usize) -> usize {
        (self.unit() * bound as f64) as usize
    }

    /// Puts a list in random order.
    pub(crate) fn shuffle<T>(&mut self, list: &mut [T]) {
        for i in (1..list.len()).rev() {
            list.swap(i, self.below(i + 1));
        }
    }
}

fn scramble(mut z: u64) -> u64 {
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}

/// A fixed random value in [0, 1) for each cell of an integer lattice.
pub(crate) fn cell(x: i64, y: i64, seed: u64) -> f32 {
    let mixed = (x as u64)
        .wrapping_mul(0x8DA6_B343)
        .wrapping_add((y as u64).wrapping_mul(0xD816_3841_0000_0001));
    (scramble(mixed ^ seed.wrapping_mul(0xA24B_AED4_963E_E407)) >> 40) as f32 / (1u64 << 24) as f32
}

/// Smooth value noise in [0, 1], one feature per unit.
pub(crate) fn noise(x: f64, y: f64, seed: u64) -> f32 {
    let (fx, fy) = (x.floor(), y.floor());
    let (ix, iy) = (fx as i64, fy as i64);
    let ease = |t: f64| (t * t * (3.0 - 2.0 * t)) as f32;
    let (tx, ty) = (ease(x - fx), ease(y - fy));
    let near = cell(ix, iy, seed) * (1.0 - tx) + cell(ix + 1, iy, seed) * tx;
    let far = cell(ix, iy + 1, seed) * (1.0 - tx) + cell(ix + 1, iy + 1, seed) * tx;
    near * (1.0 - ty) + far * ty
}

/// Several octaves of [`noise`], in [0, 1] with mean 0.5.
pub(crate) fn clouded(x: f64, y: f64, octaves: u32, seed: u64) -> f32 {
    let (mut sum, mut weight, mut scale, mut total) = (0.0, 1.0, 1.0, 0.0);
    for octave in 0..octaves {
        sum += weight * noise(x * scale, y * scale, seed.wrapping_add(u64::from(octave)));
        total += weight;
        weight *= 0.5;
        scale *= 2.03;
    }
    sum / total
}
