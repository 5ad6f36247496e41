use crate::{Measure, Unit};

/// A 95 % interval whose ends differ by more than this factor is written with "≈".
const UNSURE: f64 = 1.5;

/// A length in the unit that reads best: `"4.2 cm"`, `"0.42 m"`, `"1.74 m"`, `"23.4 m"`,
/// `"1.2 km"`; three significant figures, `"an unknown length"` when it is not finite.
#[must_use]
pub fn metres(value: f64) -> String {
    length(value, Unit::Metres)
}

/// A length given in `unit`, in words, to three significant figures.
#[must_use]
pub fn length(value: f64, unit: Unit) -> String {
    in_words(value, finest(value), unit)
}

/// A measured length in words, no finer than it is known: the last digit is worth at most one
/// standard deviation (a quarter of the 95 % interval), and a length that may well be half as large
/// again begins with "≈".
#[must_use]
pub fn measure(measure: Measure, unit: Unit) -> String {
    let words = in_words(measure.value, place(measure), unit);
    let sure = measure.high <= UNSURE * measure.low || !measure.value.is_finite();
    if sure { words } else { format!("≈{words}") }
}

/// The 95 % interval in words, each end to two or three figures: `"1.6 m to 1.9 m"`; `"12 m or more"`
/// where it has no upper end.
#[must_use]
pub fn interval(measure: Measure, unit: Unit) -> String {
    let known = known_place(measure);
    let end = |value: f64| in_words(value, known.clamp(finest(value), 10.0 * finest(value)), unit);
    if measure.high == f64::INFINITY {
        return format!("{} or more", in_words(measure.low, finest(measure.low), unit));
    }
    format!("{} to {}", end(measure.low), end(measure.high))
}

/// What one step of the last digit is worth: between one and three figures are written.
fn place(measure: Measure) -> f64 {
    let finest = finest(measure.value);
    known_place(measure).clamp(finest, 100.0 * finest)
}

/// The largest power of ten that is not larger than one standard deviation.
fn known_place(measure: Measure) -> f64 {
    let sd = (measure.high - measure.low) / 4.0;
    power_of_ten(if sd.is_finite() { sd } else { f64::MAX })
}

/// The place of the third significant figure.
fn finest(value: f64) -> f64 {
    power_of_ten(value) / 100.0
}

/// The largest power of ten that is not larger than the value; a very small one for zero or NaN.
fn power_of_ten(value: f64) -> f64 {
    let size = if value.is_finite() { value.abs() } else { 0.0 };
    // The nudge keeps 10, 100 … from falling one short through rounding.
    10f64.powf((size.clamp(1e-12, 1e15).log10() + 1e-9).floor())
}

fn in_words(value: f64, place: f64, unit: Unit) -> String {
    if !value.is_finite() {
        return "an unknown length".into();
    }
    let rounded = (value / place).round() * place;
    // 999.7 to three figures is 1.00 km, not 1.000 km.
    let place = place.max(finest(rounded));
    let (scale, name) = match (unit, rounded.abs()) {
        (Unit::EyeHeights(_), _) => (1.0, "eye heights"),
        (Unit::Metres, size) if size >= 999.999_999 => (1e-3, "km"),
        (Unit::Metres, size) if size < 0.099_999_999 && size > 0.0 => (1e2, "cm"),
        (Unit::Metres, _) => (1.0, "m"),
    };
    match number(rounded * scale, place * scale).as_str() {
        "1" if name == "eye heights" => "1 eye height".into(),
        number => format!("{number} {name}"),
    }
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

    fn m(value: f64, low: f64, high: f64) -> String {
        measure(Measure { value, low, high }, Unit::Metres)
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
            assert_eq!(metres(value), words, "{value}");
        }
    }

    #[test]
    fn what_is_not_a_number_is_said_to_be_unknown() {
        assert_eq!(metres(f64::NAN), "an unknown length");
        assert_eq!(metres(f64::INFINITY), "an unknown length");
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
        let measure =
            |value: f64| measure(Measure { value, low: value - 0.2, high: value + 0.2 }, unit);
        assert_eq!(measure(0.92), "≈0.9 eye heights");
        assert_eq!(measure(1.04), "1.0 eye heights");
        assert_eq!(measure(120.0), "120 eye heights");
    }

    #[test]
    fn an_interval_names_both_ends() {
        let words = |value, low, high| interval(Measure { value, low, high }, Unit::Metres);
        assert_eq!(words(1.744, 1.53, 1.96), "1.5 m to 2.0 m");
        assert_eq!(words(700.0, 400.0, 1200.0), "400 m to 1.2 km");
        assert_eq!(words(40.0, 1.02, 4000.0), "1.0 m to 4.0 km");
    }
}
