//! Reads what painters type: lengths, spreads, factors.

const FOOT: f64 = 0.3048;
const INCH: f64 = 0.0254;

/// A length in metres from `"1.8"`, `"1.8 m"`, `"180 cm"`, `"1,8m"`, `"1.2 km"`, `"6 ft 2 in"`,
/// `"6'2\""`; `None` for anything else and for what is not a positive length.
#[must_use]
pub(crate) fn length(text: &str) -> Option<f64> {
    let metres: f64 = quantities(text)?
        .into_iter()
        .map(|(number, unit)| Some(number * metres_per(unit)?))
        .sum::<Option<f64>>()?;
    (metres.is_finite() && metres > 0.0).then_some(metres)
}

/// A fraction from a percentage: `"6"`, `"6 %"`, `"± 6%"` are 0.06.
#[must_use]
pub(crate) fn percent(text: &str) -> Option<f64> {
    let bare = text.trim().trim_start_matches(['±', ' ']).trim_end_matches(['%', ' ']);
    let percent = number(bare)?;
    (0.0..=100.0).contains(&percent).then_some(percent / 100.0)
}

/// A positive factor: `"3"`, `"× 3"`, `"2.5x"`.
#[must_use]
pub(crate) fn factor(text: &str) -> Option<f64> {
    number(text.trim().trim_matches(['×', 'x', ' '])).filter(|f| *f > 0.0)
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

fn metres_per(unit: &str) -> Option<f64> {
    Some(match unit.to_lowercase().as_str() {
        "" | "m" | "metre" | "metres" | "meter" | "meters" => 1.0,
        "mm" => 0.001,
        "cm" => 0.01,
        "km" => 1000.0,
        "ft" | "foot" | "feet" | "'" | "′" => FOOT,
        "in" | "inch" | "inches" | "\"" | "″" => INCH,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn assert_length(text: &str, metres: f64) {
        let read = length(text).unwrap_or_else(|| panic!("{text:?} was not read"));
        assert!((read - metres).abs() < 1e-9, "{text:?}: {read}, not {metres}");
    }

    #[test]
    fn lengths_are_read_in_the_units_painters_type() {
        assert_length("1.8", 1.8);
        assert_length(" 1.8 m ", 1.8);
        assert_length("1,8m", 1.8);
        assert_length("180 cm", 1.8);
        assert_length("1.2km", 1200.0);
        // The foot is 0.3048 m by the international yard and pound agreement of 1959.
        assert_length("6 ft 2 in", 1.8796);
        assert_length("6'2\"", 1.8796);
    }

    #[test]
    fn what_is_no_length_is_refused() {
        for text in ["", "tall", "-2", "0", "1.8 parsecs", "1 m tall", "1e999", "1.2.3"] {
            assert_eq!(length(text), None, "{text:?}");
        }
    }

    #[test]
    fn spreads_and_factors_are_read() {
        assert_eq!(percent("± 6 %"), Some(0.06));
        assert_eq!(percent("120"), None);
        assert_eq!(factor("× 2.5"), Some(2.5));
        assert_eq!(factor("0"), None);
    }
}
