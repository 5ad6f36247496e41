//! Lengths in words: the one place that knows how they are written.

use crate::units::{FOOT, INCH, MILE};
use crate::{Measure, Unit, Units};

/// A 95 % interval whose ends differ by more than this factor is written with "≈".
const UNSURE: f64 = 1.5;
/// From here on feet are written without inches (common practice), metres: a hundred feet.
const WHOLE_FEET: f64 = 100.0 * FOOT;
/// Up to here a length that is told exactly has tenths of an inch, metres: ten feet.
const TENTHS: f64 = 10.0 * FOOT;

impl Units {
    /// A length in metres in the unit that reads best: `"4.20 cm"`, `"1.74 m"`, `"23.4 m"`,
    /// `"1.20 km"`, three significant figures; `"4.20 in"`, `"5′8.5″"`, `"76′9″"`, `"131 ft"`, `"1.20 mi"`.
    /// `"an unknown length"` when it is not finite.
    #[must_use]
    pub fn metres(self, value: f64) -> String {
        self.length(value, Unit::Metres)
    }

    /// A length in metres with all its figures, to the micrometre: `"30.5 m"`, `"100.065617 ft"`.
    #[must_use]
    pub fn exactly(self, value: f64) -> String {
        let (one, name) = match self {
            Self::Metric => (1.0, "m"),
            Self::Imperial => (FOOT, "ft"),
        };
        format!("{} {name}", (1e6 * value / one).round() / 1e6)
    }

    /// A length given in `unit`, in words, to about three significant figures.
    #[must_use]
    pub fn length(self, value: f64, unit: Unit) -> String {
        in_words(value, Places::of(self, unit).exact(value))
    }

    /// A measured length in words, no finer than it is known: the last digit is worth at most one
    /// standard deviation (a quarter of the 95 % interval), and a length that may well be half as large
    /// again begins with "≈".
    #[must_use]
    pub fn measure(self, measure: Measure, unit: Unit) -> String {
        let words = in_words(measure.value, Places::of(self, unit).known(measure));
        let sure = measure.high <= UNSURE * measure.low || !measure.value.is_finite();
        if sure { words } else { format!("≈{words}") }
    }

    /// The 95 % interval in words, each end to two or three figures: `"1.6 m to 1.9 m"`; `"12 m or more"`
    /// where it has no upper end.
    #[must_use]
    pub fn interval(self, measure: Measure, unit: Unit) -> String {
        let places = Places::of(self, unit);
        if measure.high == f64::INFINITY {
            return format!("{} or more", self.length(measure.low, unit));
        }
        let end = |value: f64| in_words(value, places.end(value, measure));
        format!("{} to {}", end(measure.low), end(measure.high))
    }
}

/// [`Units::metres`] in metric units.
#[must_use]
pub fn metres(value: f64) -> String {
    Units::Metric.metres(value)
}

/// [`Units::length`] in metric units.
#[must_use]
pub fn length(value: f64, unit: Unit) -> String {
    Units::Metric.length(value, unit)
}

/// [`Units::measure`] in metric units.
#[must_use]
pub fn measure(measure: Measure, unit: Unit) -> String {
    Units::Metric.measure(measure, unit)
}

/// [`Units::interval`] in metric units.
#[must_use]
pub fn interval(measure: Measure, unit: Unit) -> String {
    Units::Metric.interval(measure, unit)
}

/// How a length is written, and to which place.
#[derive(Clone, Copy)]
enum Written {
    /// With this unit: its length, its name, and what one step of the last digit is worth, in the
    /// length's own unit.
    Decimal { unit: f64, name: &'static str, place: f64 },
    /// In feet and inches: what one step is worth, metres; an inch or a tenth of one.
    FeetAndInches { place: f64 },
}

/// Which places lengths of a kind are written to.
#[derive(Clone, Copy)]
enum Places {
    EyeHeights,
    Metric,
    Imperial,
}

impl Places {
    fn of(units: Units, unit: Unit) -> Self {
        match (unit, units) {
            (Unit::EyeHeights(_), _) => Self::EyeHeights,
            (Unit::Metres, Units::Metric) => Self::Metric,
            (Unit::Metres, Units::Imperial) => Self::Imperial,
        }
    }

    /// Where it is told as it is.
    fn exact(self, value: f64) -> Written {
        self.written(value, self.finest(value, true))
    }

    /// Where it is no finer than it is known: between one and three figures.
    fn known(self, measure: Measure) -> Written {
        let finest = self.finest(measure.value, false);
        let known = self.step_within(deviation(measure), measure.value);
        self.written(measure.value, known.min(self.one_figure(measure.value)).max(finest))
    }

    /// At the end of an interval: two or three figures.
    fn end(self, value: f64, measure: Measure) -> Written {
        let finest = self.finest(value, false);
        let known = self.step_within(deviation(measure), value);
        self.written(value, known.min(self.two_figures(value)).max(finest))
    }

    /// The place of the first significant figure.
    fn one_figure(self, value: f64) -> f64 {
        match self {
            Self::EyeHeights | Self::Metric => power_of_ten(value),
            Self::Imperial if is_below(value, FOOT) => power_of_ten(value / INCH) * INCH,
            Self::Imperial if is_below(value, MILE) => power_of_ten(value / FOOT) * FOOT,
            Self::Imperial => power_of_ten(value / MILE) * MILE,
        }
    }

    /// The place of the second; of less than ten feet the inch.
    fn two_figures(self, value: f64) -> f64 {
        match self {
            Self::Imperial if !is_below(value, FOOT) && is_below(value, 10.0 * FOOT) => INCH,
            _ => self.one_figure(value) / 10.0,
        }
    }

    /// The finest place of a length of this size.
    fn finest(self, value: f64, exact: bool) -> f64 {
        match self {
            Self::EyeHeights | Self::Metric => third_figure(value),
            Self::Imperial if is_below(value, FOOT) => third_figure(value / INCH) * INCH,
            Self::Imperial if exact && is_below(value, TENTHS) => 0.1 * INCH,
            Self::Imperial if is_below(value, WHOLE_FEET) => INCH,
            Self::Imperial if is_below(value, MILE) => {
                (third_figure(value / FOOT) * FOOT).max(FOOT)
            }
            Self::Imperial => third_figure(value / MILE) * MILE,
        }
    }

    /// The largest step of the last digit that is not larger than this, in a length of this size.
    fn step_within(self, most: f64, value: f64) -> f64 {
        match self {
            Self::EyeHeights | Self::Metric => power_of_ten(most),
            Self::Imperial if !is_below(value, MILE) => power_of_ten(most / MILE) * MILE,
            Self::Imperial if most >= FOOT => power_of_ten(most / FOOT) * FOOT,
            Self::Imperial if most >= INCH => INCH,
            Self::Imperial => power_of_ten(most / INCH) * INCH,
        }
    }

    /// In the unit that suits it once it is rounded.
    fn written(self, value: f64, place: f64) -> Written {
        let rounded = rounded(value, place);
        let size = rounded.abs();
        // 999.7 to three figures is 1.00 km, not 1.000 km.
        let place = place.max(self.finest(rounded, true));
        let (unit, name) = match self {
            Self::EyeHeights => (1.0, "eye heights"),
            Self::Metric if size >= 999.999_999 => (1000.0, "km"),
            Self::Metric if size < 0.099_999_999 && size > 0.0 => (0.01, "cm"),
            Self::Metric => (1.0, "m"),
            Self::Imperial if !is_below(size, MILE) => (MILE, "mi"),
            Self::Imperial if size > 0.0 && is_below(size, FOOT) => (INCH, "in"),
            Self::Imperial if place < 0.999 * FOOT && size > 0.0 => {
                return Written::FeetAndInches { place };
            }
            Self::Imperial => (FOOT, "ft"),
        };
        Written::Decimal { unit, name, place }
    }
}

/// Whether a length is below another by more than rounding.
fn is_below(value: f64, limit: f64) -> bool {
    value.abs() < 0.999_999_999 * limit
}

/// One standard deviation; very large where it is not known.
fn deviation(measure: Measure) -> f64 {
    let sd = (measure.high - measure.low) / 4.0;
    if sd.is_finite() { sd } else { f64::MAX }
}

/// The place of the third significant figure.
fn third_figure(value: f64) -> f64 {
    power_of_ten(value) / 100.0
}

/// The largest power of ten that is not larger than the value; a very small one for zero or NaN.
fn power_of_ten(value: f64) -> f64 {
    let size = if value.is_finite() { value.abs() } else { 0.0 };
    // The nudge keeps 10, 100 … from falling one short through rounding.
    10f64.powf((size.clamp(1e-12, 1e15).log10() + 1e-9).floor())
}

fn rounded(value: f64, place: f64) -> f64 {
    (value / place).round() * place
}

fn in_words(value: f64, written: Written) -> String {
    if !value.is_finite() {
        return "an unknown length".into();
    }
    match written {
        Written::FeetAndInches { place } => feet_and_inches(value, place),
        Written::Decimal { unit, name, place } => {
            match number(rounded(value, place) / unit, place / unit).as_str() {
                "1" if name == "eye heights" => "1 eye height".into(),
                number => format!("{number} {name}"),
            }
        }
    }
}

/// `"5′9″"`, `"5′8.5″"`; `"−5′9″"` for what lies below.
fn feet_and_inches(value: f64, place: f64) -> String {
    // In whole steps, so that 11.98 inches are not twelve beside a foot too few.
    let steps = (value.abs() / place).round();
    let in_a_foot = (FOOT / place).round();
    let feet = (steps / in_a_foot + 1e-9).floor();
    let inches = (steps - feet * in_a_foot) * place / INCH;
    let inches = format!("{inches:.1}");
    let sign = if value < 0.0 { "−" } else { "" };
    format!("{sign}{feet:.0}′{}″", inches.trim_end_matches(".0"))
}

/// The number with as many decimals as its place asks for, and a true minus sign.
fn number(value: f64, place: f64) -> String {
    let decimals = (-(place.log10() + 1e-9).floor()).clamp(0.0, 6.0) as usize;
    let digits = format!("{:.decimals$}", value.abs());
    if digits.chars().all(|c| matches!(c, '0' | '.')) {
        "0".into()
    } else if value < 0.0 {
        format!("−{digits}")
    } else {
        digits
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::LevelId;

    const METRIC: Units = Units::Metric;
    const IMPERIAL: Units = Units::Imperial;

    fn m(value: f64, low: f64, high: f64) -> String {
        METRIC.measure(Measure { value, low, high }, Unit::Metres)
    }

    fn ft(value: f64, low: f64, high: f64) -> String {
        let [value, low, high] = [value, low, high].map(|feet| feet * FOOT);
        IMPERIAL.measure(Measure { value, low, high }, Unit::Metres)
    }

    #[test]
    fn lengths_read_in_the_unit_that_suits_them() {
        for (value, words) in [
            (0.0042, "0.420 cm"),
            (0.042, "4.20 cm"),
            (0.42, "0.420 m"),
            (1.0, "1.00 m"),
            (1.744, "1.74 m"),
            (23.44, "23.4 m"),
            (120.4, "120 m"),
            (999.7, "1.00 km"),
            (1234.0, "1.23 km"),
            (30_000.0, "30.0 km"),
            (-3.21, "−3.21 m"),
            (0.0, "0 m"),
        ] {
            assert_eq!(METRIC.metres(value), words, "{value}");
        }
    }

    #[test]
    fn imperial_lengths_are_inches_then_feet_and_inches_then_feet_then_miles() {
        // 1 ft = 0.3048 m and 1 mi = 1609.344 m exactly (international yard and pound agreement of 1959).
        for (value, words) in [
            (0.0127, "0.500 in"),
            (0.254, "10.0 in"),
            (0.3048, "1′0″"),
            (1.8034, "5′11″"),
            (1.7272 + 0.0127, "5′8.5″"),
            (3.0479, "10′0″"),
            (23.44, "76′11″"),
            (30.479, "100 ft"),
            (99.97, "328 ft"),
            (609.6, "2000 ft"),
            (1609.344, "1.00 mi"),
            (1609.0, "1.00 mi"),
            (30_000.0, "18.6 mi"),
            (-1.8034, "−5′11″"),
            (0.0, "0 ft"),
        ] {
            assert_eq!(IMPERIAL.metres(value), words, "{value}");
        }
        assert_eq!(IMPERIAL.metres(f64::NAN), "an unknown length");
    }

    #[test]
    fn an_imperial_measure_is_no_finer_than_it_is_known() {
        assert_eq!(ft(5.75, 5.7, 5.8), "5′9″");
        assert_eq!(ft(5.75, 3.5, 8.0), "≈6 ft");
        assert_eq!(ft(76.9, 69.0, 85.0), "77 ft");
        assert_eq!(ft(423.4, 400.0, 450.0), "420 ft");
        assert_eq!(ft(423.4, 423.3, 423.5), "423 ft");
        assert_eq!(ft(40.0, 1.0, 4000.0), "≈40 ft");
        assert_eq!(ft(5280.0, 4900.0, 5700.0), "1.00 mi");
    }

    #[test]
    fn an_imperial_interval_names_both_ends() {
        let words = |low: f64, high: f64| {
            let [low, high] = [low * FOOT, high * FOOT];
            IMPERIAL.interval(Measure { value: (low + high) / 2.0, low, high }, Unit::Metres)
        };
        assert_eq!(words(5.25, 6.5), "5′3″ to 6′6″");
        assert_eq!(words(27.0, 48.0), "27 ft to 48 ft");
        assert_eq!(words(40.0, f64::INFINITY), "40′0″ or more");
    }

    #[test]
    fn what_is_not_a_number_is_said_to_be_unknown() {
        assert_eq!(METRIC.metres(f64::NAN), "an unknown length");
        assert_eq!(METRIC.metres(f64::INFINITY), "an unknown length");
        assert_eq!(m(f64::NAN, 1.0, f64::NAN), "an unknown length");
        assert_eq!(m(2.0, f64::NAN, f64::INFINITY), "≈2 m");
    }

    #[test]
    fn a_measure_is_no_finer_than_it_is_known() {
        assert_eq!(m(1.744, 1.70, 1.79), "1.74 m");
        assert_eq!(m(1.744, 1.53, 1.95), "1.7 m");
        assert_eq!(m(23.4, 21.0, 26.0), "23 m");
        assert_eq!(m(123.4, 80.0, 190.0), "≈120 m");
        assert_eq!(m(123.4, 123.3999, 123.4001), "123 m");
        assert_eq!(m(1700.0, 900.0, 3000.0), "≈1.7 km");
        assert_eq!(m(40.0, 1.0, 4000.0), "≈40 m");
    }

    #[test]
    fn eye_heights_are_named_as_such() {
        let unit = Unit::EyeHeights(LevelId(1));
        for units in Units::ALL {
            let measure = |value: f64| {
                units.measure(Measure { value, low: value - 0.2, high: value + 0.2 }, unit)
            };
            assert_eq!(measure(0.92), "≈0.9 eye heights");
            assert_eq!(measure(1.04), "1.0 eye heights");
            assert_eq!(measure(120.0), "120 eye heights");
        }
    }

    #[test]
    fn an_interval_names_both_ends() {
        let words = |value, low, high| METRIC.interval(Measure { value, low, high }, Unit::Metres);
        assert_eq!(words(1.744, 1.53, 1.96), "1.5 m to 2.0 m");
        assert_eq!(words(700.0, 400.0, 1200.0), "400 m to 1.2 km");
        assert_eq!(words(40.0, 1.02, 4000.0), "1.0 m to 4.0 km");
    }
}
