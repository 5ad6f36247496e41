//! Reads what painters type: lengths, spreads, factors.

use staffage_scene::{
    FACTOR, FOOT, INCH, LENGTH, MILE, REFRACTION, SPREAD, Units, WORLD_RADIUS, YARD,
};

/// A length in metres from `"1.8 m"`, `"180 cm"`, `"1,8m"`, `"1.2 km"`, `"1 m 80 cm"`, `"6 ft 2 in"`,
/// `"6'2"`, `"40 yd"`, `"0.3 mi"`, whatever lengths are told in; a number alone counts metres, or feet
/// where those are told. `None` for anything else and for what no scene can hold.
#[must_use]
pub(crate) fn length(text: &str, told: Units) -> Option<f64> {
    metres(text, told).filter(|metres| LENGTH.contains(metres))
}

/// A length that may lie below, "-0.5 m", metres.
#[must_use]
pub(crate) fn height(text: &str, told: Units) -> Option<f64> {
    let text = text.trim();
    match text.strip_prefix(['-', '−']) {
        Some(below) => metres(below, told).map(|metres| -metres),
        None => metres(text, told),
    }
}

/// The radius of a world in metres, from a length.
#[must_use]
pub(crate) fn radius(text: &str, told: Units) -> Option<f64> {
    metres(text, told).filter(|metres| WORLD_RADIUS.contains(metres))
}

/// A coefficient of refraction.
#[must_use]
pub(crate) fn refraction(text: &str) -> Option<f64> {
    number(text).filter(|coefficient| REFRACTION.contains(coefficient))
}

fn metres(text: &str, told: Units) -> Option<f64> {
    let parts: Vec<(f64, Unit)> = quantities(text)?
        .into_iter()
        .map(|(number, name)| Some((number, Unit::named(name)?)))
        .collect::<Option<_>>()?;
    match parts[..] {
        [(number, unit)] => Some(number * unit.metres(told)),
        // Twelve inches and more are another foot.
        [(feet, Unit::Foot), (inches, Unit::Unsaid | Unit::Inch)] if inches < 12.0 => {
            Some(feet * FOOT + inches * INCH)
        }
        [(metres, Unit::Metre), (rest, Unit::Centimetre)] if rest < 100.0 => {
            Some(metres + rest * Unit::Centimetre.metres(told))
        }
        _ => None,
    }
}

/// What to type for a length.
pub(crate) const LENGTH_WANTED: &str = "a size between 1 mm and 10,000 km, such as 1.8 m or 5'11\"";
/// What to type for a spread.
pub(crate) const PERCENT_WANTED: &str = "a spread between 0.1 % and 100 %, such as 5 %";
/// What to type for the radius of a world.
pub(crate) const RADIUS_WANTED: &str = "a radius from 1 km on, such as 6371 km";
/// What to type for a refraction.
pub(crate) const REFRACTION_WANTED: &str = "a number between -1 and 0.9, such as 0.13";
/// What to type for a factor.
pub(crate) const FACTOR_WANTED: &str = "a factor above 0, such as 2.5";

/// Whether the text is numbers and units and nothing else, readable or not: no words to look for.
#[must_use]
pub(crate) fn is_numeric(text: &str) -> bool {
    let mut words = text.split(|c: char| !c.is_alphabetic()).filter(|word| !word.is_empty());
    let plain = words.all(|word| Unit::named(word).is_some());
    plain && (text.contains(|c: char| c.is_ascii_digit()) || !text.contains(char::is_alphabetic))
}

/// A fraction from a percentage: `"6"`, `"6 %"`, `"± 6%"` are 0.06.
#[must_use]
pub(crate) fn percent(text: &str) -> Option<f64> {
    let bare = text.trim().trim_start_matches(['±', ' ']).trim_end_matches(['%', ' ']);
    let percent = number(bare)?;
    Some(percent / 100.0).filter(|spread| SPREAD.contains(spread))
}

/// A positive factor: `"3"`, `"× 3"`, `"2.5x"`.
#[must_use]
pub(crate) fn factor(text: &str) -> Option<f64> {
    number(text.trim().trim_matches(['×', 'x', ' '])).filter(|f| FACTOR.contains(f))
}

fn number(text: &str) -> Option<f64> {
    let plain = text.trim().replace(',', ".").replace('−', "-");
    plain.parse::<f64>().ok().filter(|n| n.is_finite())
}

/// The numbers in the text, each with the unit written after it.
fn quantities(text: &str) -> Option<Vec<(f64, &str)>> {
    let mut rest = text.trim();
    let mut found = Vec::new();
    while !rest.is_empty() {
        let digits = rest.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == ','));
        let (digits, after) = rest.split_at(digits.unwrap_or(rest.len()));
        let after = after.trim_start();
        let next = after.find(|c: char| c.is_ascii_digit() || c == '.');
        let (unit, after) = after.split_at(next.unwrap_or(after.len()));
        found.push((number(digits)?, unit.trim()));
        rest = after;
    }
    (!found.is_empty()).then_some(found)
}

/// A unit of length.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Unit {
    Unsaid,
    Millimetre,
    Centimetre,
    Metre,
    Kilometre,
    Inch,
    Foot,
    Yard,
    Mile,
}

impl Unit {
    fn named(name: &str) -> Option<Self> {
        Some(match name.to_lowercase().as_str() {
            "" => Self::Unsaid,
            "mm" => Self::Millimetre,
            "cm" => Self::Centimetre,
            "m" | "metre" | "metres" | "meter" | "meters" => Self::Metre,
            "km" => Self::Kilometre,
            "ft" | "foot" | "feet" | "'" | "’" | "′" => Self::Foot,
            "in" | "inch" | "inches" | "\"" | "”" | "″" | "''" | "’’" | "′′" => {
                Self::Inch
            }
            "yd" | "yard" | "yards" => Self::Yard,
            "mi" | "mile" | "miles" => Self::Mile,
            _ => return None,
        })
    }

    /// How many metres it is; a number without a unit is in metres or in feet, as lengths are told.
    fn metres(self, told: Units) -> f64 {
        match self {
            Self::Millimetre => 0.001,
            Self::Centimetre => 0.01,
            Self::Unsaid if told == Units::Imperial => FOOT,
            Self::Unsaid | Self::Metre => 1.0,
            Self::Kilometre => 1000.0,
            Self::Inch => INCH,
            Self::Foot => FOOT,
            Self::Yard => YARD,
            Self::Mile => MILE,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn assert_length(text: &str, metres: f64) {
        let read = length(text, Units::Metric).unwrap_or_else(|| panic!("{text:?} was not read"));
        assert!((read - metres).abs() < 1e-9, "{text:?}: {read}, not {metres}");
    }

    #[test]
    fn lengths_are_read_in_the_units_painters_type() {
        assert_length("1.8", 1.8);
        assert_length(" 1.8 m ", 1.8);
        assert_length("1,8m", 1.8);
        assert_length("180 cm", 1.8);
        assert_length("1.2km", 1200.0);
        assert_length("850mm", 0.85);
        assert_length("1 m 80 cm", 1.8);
    }

    #[test]
    fn feet_and_inches_are_read_however_they_are_written() {
        // 1 ft = 0.3048 m and 1 in = 0.0254 m exactly, by the international yard and pound
        // agreement of 1959; 5 ft 11 in = 1.8034 m.
        for text in
            ["5'11", "5' 11\"", "5’11”", "5′ 11″", "5 ft 11", "5ft 11in", "5 feet 11 inches"]
        {
            assert_length(text, 1.8034);
        }
        assert_length("6 ft 2 in", 1.8796);
        assert_length("6ft", 1.8288);
        assert_length("5'", 1.524);
        assert_length("5' 10.5\"", 1.7907);
        assert_length("11 in", 0.2794);
        assert_length("11\"", 0.2794);
    }

    #[test]
    fn yards_and_miles_are_read_and_a_number_alone_counts_what_is_told() {
        // 1 yd = 0.9144 m and 1 mi = 1609.344 m exactly (the same agreement).
        assert_length("40 yd", 36.576);
        assert_length("0.3 miles", 482.8032);
        assert_length("0.3 km", 300.0);
        let told = |text| length(text, Units::Imperial);
        assert_eq!(told("6"), Some(6.0 * FOOT));
        assert_eq!(told("1.8 m"), Some(1.8));
        assert_eq!(height("-2", Units::Imperial), Some(-2.0 * FOOT));
        assert_eq!(height("−0.5 m", Units::Imperial), Some(-0.5));
        assert_eq!(height("low", Units::Metric), None);
    }

    #[test]
    fn what_is_told_is_read_back_as_it_was_told() {
        for units in Units::ALL {
            for step in 0..400 {
                // From 4 mm to 39 km.
                let metres = 0.004 * 1.041_f64.powi(step);
                let words = units.metres(metres);
                let read = length(&words, units).unwrap_or_else(|| panic!("{words} was not read"));
                assert_eq!(units.metres(read), words, "{metres} m");
                assert!((read / metres - 1.0).abs() < 0.015, "{words} for {metres} m");
            }
        }
    }

    #[test]
    fn what_is_no_length_is_refused() {
        for text in [
            "",
            "tall",
            "-2",
            "0",
            "1.8 parsecs",
            "1 m tall",
            "1e999",
            "1.2.3",
            "5'12",
            "1 m 80",
            "2 in 6 ft",
            "5 5",
            "0.1 mm",
            "20000 km",
            "1e9",
            "5'-2\"",
        ] {
            assert_eq!(length(text, Units::Metric), None, "{text:?}");
        }
    }

    #[test]
    fn numbers_are_told_from_words() {
        for text in ["0", "-5", "-5 m", "20", "6 ft", "±", "1.5 m ± 3 %"] {
            assert!(is_numeric(text), "{text:?}");
        }
        for text in ["foot", "adult", "20 foot container", "child of 10 years", "m"] {
            assert!(!is_numeric(text), "{text:?}");
        }
    }

    #[test]
    fn spreads_and_factors_are_read() {
        assert_eq!(percent("± 6 %"), Some(0.06));
        assert_eq!(percent("120"), None);
        assert_eq!(percent("0"), None);
        assert_eq!(factor("× 2.5"), Some(2.5));
        assert_eq!(factor("0"), None);
    }
}
