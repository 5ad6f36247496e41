//! Where a scale has its marks, and what is written beside them.

use staffage_scene::{FOOT, MILE, Unit, Units};
use std::cmp::Ordering;

/// How distances run in a section and in a plan.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Axis {
    /// Equal ratios are equal steps: a figure ten metres off and a dam a kilometre off have room.
    #[default]
    Logarithmic,
    /// Equal lengths are equal steps, as on a map.
    Linear,
}

/// Miles are counted from here on: below half a mile feet are (common practice).
const LEAST_MILES: f64 = 0.5;
/// Most feet that a scale counts.
const MOST_FEET: f64 = 1000.0;
/// Lengths of a staff's bands, metres or eye heights. Each is 2 or 5 times, then 10 times, the one
/// before, so that a band still says its length when the staff has shrunk.
const BANDS: [f64; 11] = [0.5, 1.0, 5.0, 10.0, 50.0, 1e2, 5e2, 1e3, 5e3, 1e4, 5e4];
/// The same in feet.
const FEET_BANDS: [f64; 11] = [1.0, 5.0, 10.0, 50.0, 1e2, 5e2, 1e3, 5e3, 1e4, 5e4, 1e5];

/// What the values along a scale are, and what they are counted in: round values are round in that.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Scale {
    /// What the values are.
    pub(crate) unit: Unit,
    /// What metres are told in.
    pub(crate) units: Units,
}

impl Scale {
    /// Whether metres are counted in feet and miles.
    pub(crate) fn is_in_feet(self) -> bool {
        self.unit == Unit::Metres && self.units == Units::Imperial
    }

    /// A round value: `"20 m"`, `"2 km"`, `"50 ft"`, `"2 mi"`; eye heights bear no unit, there is room for
    /// none.
    pub(crate) fn round(self, value: f64) -> String {
        let sign = if value < 0.0 { "−" } else { "" };
        // Sums of a step carry rounding that would show in print.
        let plain = |value: f64| (value * 1e6).round() / 1e6;
        match (self.unit, value.abs()) {
            (Unit::EyeHeights(_), size) => format!("{sign}{}", plain(size)),
            (Unit::Metres, size) if self.is_in_feet() => {
                let (feet, miles) = (plain(size / FOOT), plain(size / MILE));
                // A round number of one is none of the other: 3000 ft, 0.2 mi.
                let in_miles = match figures(miles).cmp(&figures(feet)) {
                    Ordering::Equal => miles >= LEAST_MILES,
                    fewer => fewer == Ordering::Less,
                };
                if in_miles { format!("{sign}{miles} mi") } else { format!("{sign}{feet} ft") }
            }
            (Unit::Metres, size) if size >= 1000.0 => format!("{sign}{} km", plain(size / 1000.0)),
            (Unit::Metres, size) => format!("{sign}{} m", plain(size)),
        }
    }

    /// Round values between two positive ones, the roundest first.
    pub(crate) fn round_values(self, low: f64, high: f64) -> Vec<f64> {
        if !self.is_in_feet() {
            return round_values(low, high);
        }
        let feet = round_values(low / FOOT, (high / FOOT).min(MOST_FEET)).into_iter();
        let miles = round_values((low / MILE).max(LEAST_MILES), high / MILE).into_iter();
        feet.map(|feet| feet * FOOT).chain(miles.map(|miles| miles * MILE)).collect()
    }

    /// Multiples of a round step between two values, at most about so many.
    pub(crate) fn even_values(self, low: f64, high: f64, most: f64) -> Vec<f64> {
        let one = match high.abs().max(low.abs()) {
            _ if !self.is_in_feet() => 1.0,
            far if far >= MILE => MILE,
            _ => FOOT,
        };
        even_values(low / one, high / one, most).into_iter().map(|value| value * one).collect()
    }

    /// Zero and round values on both sides of it.
    pub(crate) fn heights(self, (low, high): (f64, f64)) -> Vec<f64> {
        if !self.is_in_feet() {
            return heights((low, high));
        }
        let up = self.round_values(FOOT, high.max(FOOT));
        let down = self.round_values(FOOT, (-low).max(FOOT));
        both_ways(up, down, (low, high))
    }

    /// The largest round value that is not larger than a positive one.
    pub(crate) fn round_down(self, value: f64) -> f64 {
        match value {
            _ if !self.is_in_feet() => round_down(value),
            far if far >= LEAST_MILES * MILE => round_down(far / MILE) * MILE,
            near => round_down((near / FOOT).min(MOST_FEET)) * FOOT,
        }
    }

    /// Lengths of a staff's bands, the finest first.
    pub(crate) fn bands(self) -> impl Iterator<Item = f64> {
        let (bands, one) = if self.is_in_feet() { (FEET_BANDS, FOOT) } else { (BANDS, 1.0) };
        bands.into_iter().map(move |band| band * one)
    }
}

/// How many figures it takes to write a number that is not negative, without the zeros at its ends.
fn figures(value: f64) -> usize {
    format!("{value}").replace('.', "").trim_matches('0').len()
}

/// 1, 2 and 5 times the powers of ten between two positive values, the powers of ten first.
fn round_values(low: f64, high: f64) -> Vec<f64> {
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
fn even_values(low: f64, high: f64, most: f64) -> Vec<f64> {
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
fn heights((low, high): (f64, f64)) -> Vec<f64> {
    let up = round_values(0.1, high.max(0.1));
    let down = round_values(0.1, (-low).max(0.1));
    both_ways(up, down, (low, high))
}

/// Zero, and what lies above and below it in between.
fn both_ways(up: Vec<f64>, down: Vec<f64>, (low, high): (f64, f64)) -> Vec<f64> {
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
        let metric = Scale { unit: Unit::Metres, units: Units::Metric };
        assert_eq!(metric.round(0.2), "0.2 m");
        assert_eq!(metric.round(-20.0), "−20 m");
        assert_eq!(metric.round(2000.0), "2 km");
        assert_eq!(metric.round(0.1 + 0.2), "0.3 m");
        for units in Units::ALL {
            assert_eq!(Scale { unit: Unit::EyeHeights(LevelId(1)), units }.round(5.0), "5");
        }
    }

    #[test]
    fn in_feet_the_marks_are_round_feet_and_then_round_miles() {
        let scale = Scale { unit: Unit::Metres, units: Units::Imperial };
        let said = |values: Vec<f64>| -> Vec<String> {
            values.into_iter().map(|value| scale.round(value)).collect()
        };
        assert_eq!(
            said(scale.round_values(4.0, 40.0)),
            ["100 ft", "50 ft", "20 ft"],
            "between 13 and 131 feet"
        );
        assert_eq!(
            said(scale.round_values(250.0, 4000.0)),
            ["1000 ft", "1 mi", "0.5 mi", "2 mi"],
            "between 820 feet and 2.5 miles"
        );
        assert_eq!(
            said(scale.even_values(0.0, 30.0, 5.0)),
            ["0 ft", "20 ft", "40 ft", "60 ft", "80 ft"]
        );
        assert_eq!(said(scale.even_values(0.0, 8000.0, 3.0)), ["0 ft", "2 mi", "4 mi"]);
        assert_eq!(said(scale.heights((-0.5, 2.0))), ["0 ft", "1 ft", "5 ft", "2 ft", "−1 ft"]);
        assert_eq!(
            said(scale.even_values(0.0, 1.9 * MILE, 5.0)),
            ["0 ft", "0.5 mi", "1 mi", "1.5 mi"]
        );
        assert_eq!(
            said(scale.even_values(0.0, 1.1 * MILE, 6.0)),
            ["0 ft", "0.2 mi", "0.4 mi", "0.6 mi", "0.8 mi", "1 mi"]
        );
        assert_eq!(
            said(scale.even_values(0.0, 0.9 * MILE, 5.0)),
            ["0 ft", "1000 ft", "2000 ft", "3000 ft", "4000 ft"]
        );
        assert_eq!(scale.round(scale.round_down(100.0)), "200 ft");
        assert_eq!(scale.round(scale.round_down(5000.0)), "2 mi");
    }
}
