//! Where a scale has its marks, and what is written beside them.

use staffage_scene::Unit;

/// How distances run in a section and in a plan.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Axis {
    /// Equal ratios are equal steps: a figure ten metres off and a dam a kilometre off have room.
    #[default]
    Logarithmic,
    /// Equal lengths are equal steps, as on a map.
    Linear,
}

/// A round value: `"20 m"`, `"2 km"`; eye heights bear no unit, there is room for none.
pub(crate) fn round(value: f64, unit: Unit) -> String {
    let sign = if value < 0.0 { "−" } else { "" };
    // Sums of a step carry rounding that would show in print.
    let plain = |value: f64| (value * 1e6).round() / 1e6;
    match (unit, value.abs()) {
        (Unit::EyeHeights(_), size) => format!("{sign}{}", plain(size)),
        (Unit::Metres, size) if size >= 1000.0 => format!("{sign}{} km", plain(size / 1000.0)),
        (Unit::Metres, size) => format!("{sign}{} m", plain(size)),
    }
}

/// 1, 2 and 5 times the powers of ten between two positive values, the powers of ten first.
pub(crate) fn round_values(low: f64, high: f64) -> Vec<f64> {
    let decades = low.max(1e-9).log10().floor() as i32..=high.max(1e-9).log10().ceil() as i32;
    let series = |first: u32| {
        decades.clone().map(move |decade| {
            // Dividing keeps 0.1 and 0.2 free of rounding that would show in print.
            let power = 10f64.powi(decade.abs());
            if decade < 0 { f64::from(first) / power } else { f64::from(first) * power }
        })
    };
    let all = series(1).chain(series(5)).chain(series(2));
    all.filter(|value| (low..=high).contains(value)).collect()
}

/// The largest of 1, 2 and 5 times a power of ten that is not larger than a positive value.
pub(crate) fn round_down(value: f64) -> f64 {
    let power = 10f64.powi(value.max(1e-9).log10().floor() as i32);
    [5.0, 2.0].into_iter().find(|first| first * power <= value).map_or(power, |first| first * power)
}

/// Multiples of a round step between two values, at most about so many.
pub(crate) fn even_values(low: f64, high: f64, most: f64) -> Vec<f64> {
    let least = (high - low) / most.max(1.0);
    if !(least > 0.0 && least.is_finite()) {
        return Vec::new();
    }
    let below = round_down(least);
    let step = [1.0, 2.0, 2.5, 5.0].map(|times| times * below);
    let is_round = |step: &f64| *step >= least && (round_down(*step) / step - 1.0).abs() < 1e-9;
    let step = step.into_iter().find(is_round).unwrap_or(10.0 * below);
    let (first, last) = ((low / step).ceil(), (high / step).floor());
    let count = (last - first).clamp(-1.0, 1000.0) as i64;
    (0..=count).map(|i| (first + i as f64) * step).collect()
}

/// Zero and round values on both sides of it, from a tenth up.
pub(crate) fn heights((low, high): (f64, f64)) -> Vec<f64> {
    let up = round_values(0.1, high.max(0.1));
    let down = round_values(0.1, (-low).max(0.1));
    let signed = up.into_iter().chain(down.into_iter().map(|value| -value));
    std::iter::once(0.0).chain(signed).filter(|value| (low..=high).contains(value)).collect()
}

/// The values that have room where they lie, earlier ones before later ones.
pub(crate) fn spaced(values: Vec<f64>, room: f64, place: impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
    let mut kept: Vec<(f64, f64)> = Vec::new();
    for value in values {
        let at = place(value);
        if kept.iter().all(|(other, _)| (other - at).abs() >= room) {
            kept.push((at, value));
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_scene::LevelId;

    #[test]
    fn round_values_are_the_powers_of_ten_with_their_fives_and_twos() {
        assert_eq!(round_values(0.15, 25.0), [1.0, 10.0, 0.5, 5.0, 0.2, 2.0, 20.0]);
    }

    #[test]
    fn heights_run_both_ways_from_zero() {
        assert_eq!(heights((-2.5, 1.5)), [0.0, 0.1, 1.0, 0.5, 0.2, -0.1, -1.0, -0.5, -0.2, -2.0]);
    }

    #[test]
    fn even_values_step_by_ones_twos_and_fives() {
        assert_eq!(even_values(0.0, 100.0, 6.0), [0.0, 20.0, 40.0, 60.0, 80.0, 100.0]);
        assert_eq!(even_values(-3.0, 4.0, 4.0), [-2.0, 0.0, 2.0, 4.0]);
        assert_eq!(even_values(0.0, 1000.0, 2.0), [0.0, 500.0, 1000.0]);
        assert!(even_values(1.0, 1.0, 5.0).is_empty());
        assert!(even_values(f64::NAN, 1.0, 5.0).is_empty());
    }

    #[test]
    fn crowded_values_give_way_to_rounder_ones() {
        let kept = spaced(round_values(1.0, 10.0), 4.5, |value| value);
        assert_eq!(kept, [(1.0, 1.0), (10.0, 10.0)]);
    }

    #[test]
    fn numbers_are_short() {
        assert_eq!(round(0.2, Unit::Metres), "0.2 m");
        assert_eq!(round(-20.0, Unit::Metres), "−20 m");
        assert_eq!(round(2000.0, Unit::Metres), "2 km");
        assert_eq!(round(5.0, Unit::EyeHeights(LevelId(1))), "5");
        assert_eq!(round(0.1 + 0.2, Unit::Metres), "0.3 m");
    }
}
