//! The weights with which pixels make up a value between them: the sinc windowed by its own central lobe
//! (Lanczos; C. E. Duchon, "Lanczos Filtering in One and Two Dimensions", Journal of Applied Meteorology
//! 18, 1979), four lobes to either side.

use std::f64::consts::PI;
use std::sync::LazyLock;

/// Lobes to either side, so pixels that count there.
pub(crate) const LOBES: usize = 4;
/// Pixels that count along an axis.
pub(crate) const TAPS: usize = 2 * LOBES;
/// Places between two pixels whose weights are kept; between them weights run straight, at most 2e-5 off.
const PHASES: usize = 256;
/// Places to a lobe in the curve that is stretched, which runs straight between them.
const STEPS: usize = 1024;

/// The weights of the pixels from three before a place up to four after it, one row for each place.
pub(crate) type Table = [[f32; TAPS]];

/// The [`Table`] of places 0, 1/256 … 1 behind a pixel; each row adds up to 1.
pub(crate) static WEIGHTS: LazyLock<Vec<[f32; TAPS]>> =
    LazyLock::new(|| (0..=PHASES).map(|phase| row(phase as f64 / PHASES as f64)).collect());

/// The curve from its peak to its end, for kernels that are stretched.
static CURVE: LazyLock<Vec<f32>> = LazyLock::new(|| {
    (0..=LOBES * STEPS + 1).map(|i| lanczos(i as f64 / STEPS as f64) as f32).collect()
});

fn lanczos(x: f64) -> f64 {
    let sinc = |x: f64| if x == 0.0 { 1.0 } else { (PI * x).sin() / (PI * x) };
    if x.abs() < LOBES as f64 { sinc(x) * sinc(x / LOBES as f64) } else { 0.0 }
}

fn row(fraction: f64) -> [f32; TAPS] {
    let weights: [f64; TAPS] =
        std::array::from_fn(|tap| lanczos(tap as f64 - (LOBES - 1) as f64 - fraction));
    let sum: f64 = weights.iter().sum();
    weights.map(|weight| (weight / sum) as f32)
}

/// The weights for a place so far behind a pixel, 0 to 1.
#[inline]
pub(crate) fn weights(table: &Table, fraction: f32) -> [f32; TAPS] {
    let place = fraction * PHASES as f32;
    let phase = (place as usize).min(PHASES - 1);
    let share = place - phase as f32;
    let (a, b) = (&table[phase], &table[phase + 1]);
    std::array::from_fn(|tap| a[tap] + share * (b[tap] - a[tap]))
}

/// Fills `weights` with those of a kernel that is `stretch` times as wide, centred at `at` (pixel i lies
/// at i), and returns the first pixel that counts. They add up to 1.
pub(crate) fn stretched(at: f64, stretch: f64, weights: &mut Vec<f32>) -> i64 {
    let reach = LOBES as f64 * stretch;
    let (first, last) = ((at - reach).ceil() as i64, (at + reach).floor() as i64);
    let curve = &*CURVE;
    weights.clear();
    weights.extend((first..=last).map(|pixel| {
        let place = (pixel as f64 - at).abs() / stretch * STEPS as f64;
        let step = (place as usize).min(LOBES * STEPS);
        let share = (place - step as f64) as f32;
        curve[step] + share * (curve[step + 1] - curve[step])
    }));
    let sum: f32 = weights.iter().sum();
    weights.iter_mut().for_each(|weight| *weight /= sum);
    first
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn on_a_pixel_it_alone_counts() {
        let at = weights(&WEIGHTS, 0.0);
        for (tap, weight) in at.into_iter().enumerate() {
            let expected = if tap == LOBES - 1 { 1.0 } else { 0.0 };
            assert!((weight - expected).abs() < 1e-6, "{at:?}");
        }
    }

    #[test]
    fn weights_add_up_to_one_and_follow_the_curve_between_the_kept_places() {
        for fraction in [0.1, 0.123_456, 0.5, 0.998] {
            let (kept, exact) = (weights(&WEIGHTS, fraction as f32), row(fraction));
            assert!((kept.iter().sum::<f32>() - 1.0).abs() < 1e-6);
            for (kept, exact) in kept.into_iter().zip(exact) {
                assert!((kept - exact).abs() < 2e-5, "{fraction}: {kept} {exact}");
            }
        }
    }

    #[test]
    fn a_kernel_that_is_not_stretched_is_the_same() {
        let mut wide = Vec::new();
        let first = stretched(7.3, 1.0, &mut wide);
        assert_eq!((first, wide.len()), (4, TAPS));
        for (a, b) in wide.iter().zip(weights(&WEIGHTS, 0.3)) {
            assert!((a - b).abs() < 2e-5, "{a} {b}");
        }
        stretched(7.3, 2.5, &mut wide);
        assert_eq!(wide.len(), 20);
        assert!((wide.iter().sum::<f32>() - 1.0).abs() < 1e-5);
    }
}
