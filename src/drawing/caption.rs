use crate::palette::{GREY, WHITE, standing_colour};
use crate::pen::SMALL;
use crate::stage::Stage;
use crate::{Attention, Colour, words};
use staffage_scene::{
    Entry, Marker, Standing, Subject, Unit, Units, distance_within, standing_word,
};

/// How many lines [`caption`] has.
pub(crate) fn lines(standing: Standing, attention: Attention) -> usize {
    let news = !matches!(standing, Standing::Holds | Standing::Unchecked);
    if news || attention > Attention::Involved { 2 } else { 1 }
}

/// A width that a caption surely has, points: what is measured is told as `"1 m at 1 m"` at the shortest,
/// or as `"1′ at 1′"`.
pub(crate) fn least_width(units: Units, entry: Option<&Entry>) -> f64 {
    if entry.is_none_or(|entry| entry.size.and(entry.distance).is_none()) {
        return 0.0;
    }
    let shortest = match units {
        Units::Metric => "1 m at 1 m",
        Units::Imperial => "1′ at 1′",
    };
    words::width(shortest, SMALL)
}

/// What is written beside a marker: its name with size and distance, and under it how it stands
/// where that is news.
pub(crate) fn caption(
    stage: &Stage<'_>,
    marker: &Marker,
    attention: Attention,
) -> Vec<(String, Colour)> {
    let intended = stage.is_intended(Subject::Marker(marker.id));
    let ink = if intended { GREY } else { WHITE };
    let entry = stage.entry(marker.id);
    let units = stage.assessment.units;
    let mut written = vec![(measured(units, &words::name(&marker.name), entry), ink)];
    let standing = stage.standing(marker.id);
    if lines(standing, attention) > 1 {
        let words = standing_words(units, standing, entry, intended);
        written.push((words, standing_colour(standing, intended)));
    }
    written
}

/// `"Foreman, 1.74 m at 23 m"`, `"Foreman, 0.9 at 14 eye heights"`, or as much of it as is known:
/// `"whale, beyond 41 m"`.
fn measured(units: Units, name: &str, entry: Option<&Entry>) -> String {
    let Some(entry) = entry else { return name.to_owned() };
    let words = |value: Option<_>| value.map(|value| units.measure(value, entry.unit));
    let (size, distance) = (words(entry.size), words(entry.distance));
    let size = match (entry.unit, &distance, size) {
        // The unit is said once, at the end.
        (Unit::EyeHeights(_), Some(_), Some(size)) => {
            Some(size.trim_end_matches(" eye heights").to_owned())
        }
        (.., size) => size,
    };
    let distance = distance.map(|distance| format!("at {distance}"));
    let distance = distance.or_else(|| entry.bounds.and_then(|b| distance_within(units, b)));
    let numbers = [size, distance].into_iter().flatten().collect::<Vec<_>>().join(" ");
    let parts = [name, &numbers].into_iter().filter(|part| !part.is_empty());
    parts.collect::<Vec<_>>().join(", ")
}

fn standing_words(
    units: Units,
    standing: Standing,
    entry: Option<&Entry>,
    intended: bool,
) -> String {
    let word = standing_word(standing);
    if intended {
        return format!("{word}, kept on purpose");
    }
    match entry.and_then(|entry| entry.expected_size.map(|size| units.measure(size, entry.unit))) {
        Some(expected) if standing == Standing::Contradicts => {
            format!("{word}: {expected} expected")
        }
        _ => word.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_scene::{Bounds, LevelId, MarkerId, Measure};

    const METRIC: Units = Units::Metric;

    fn entry(unit: Unit) -> Entry {
        let measure = |value: f64| Some(Measure { value, low: 0.97 * value, high: 1.03 * value });
        Entry {
            id: MarkerId(1),
            distance: measure(23.2),
            size: measure(1.74),
            elevation: None,
            unit,
            standing: Standing::Holds,
            standardized: 0.0,
            redundancy: 0.5,
            expected_size: measure(1.2),
            lean: None,
            true_head: None,
            detectable: None,
            bounds: None,
            hidden: None,
            astray: None,
        }
    }

    #[test]
    fn a_caption_is_never_narrower_than_its_least_width() {
        for (size, distance) in [(0.001, 0.002), (1.0, 1.0), (9.9, 9.9), (1e3, 1e5), (0.5, 2e6)] {
            let measure = |value: f64| Some(Measure { value, low: 0.9 * value, high: 1.1 * value });
            let entry =
                Entry { size: measure(size), distance: measure(distance), ..entry(Unit::Metres) };
            for units in [Units::Metric, Units::Imperial] {
                let width = words::width(&measured(units, "", Some(&entry)), SMALL);
                let least = least_width(units, Some(&entry));
                assert!(width >= least, "{size} {distance} {units:?}: {width}");
            }
        }
        assert_eq!(least_width(Units::Metric, None), 0.0);
    }

    #[test]
    fn a_caption_names_size_and_distance() {
        assert_eq!(
            measured(METRIC, "Foreman", Some(&entry(Unit::Metres))),
            "Foreman, 1.74 m at 23.2 m"
        );
    }

    #[test]
    fn a_caption_is_told_in_feet_and_inches_where_those_are_asked_for() {
        let foreman = entry(Unit::Metres);
        // 1.74 m are 5 ft 8.5 in, 23.2 m are 76 ft 1 in.
        assert_eq!(measured(Units::Imperial, "Foreman", Some(&foreman)), "Foreman, 5′9″ at 76 ft");
    }

    #[test]
    fn eye_heights_are_said_once() {
        let entry = entry(Unit::EyeHeights(LevelId(1)));
        assert_eq!(measured(METRIC, "Foreman", Some(&entry)), "Foreman, 1.74 at 23.2 eye heights");
    }

    #[test]
    fn what_is_not_known_is_left_out() {
        let open = Entry { size: None, distance: None, ..entry(Unit::Metres) };
        assert_eq!(measured(METRIC, "Hull", Some(&open)), "Hull");
        assert_eq!(measured(METRIC, "Hull", None), "Hull");
        let bounds = Bounds {
            nearest: Some(41.0),
            farthest: None,
            smallest: Some(96.0),
            largest: None,
            unit: Unit::Metres,
        };
        let behind = Entry { bounds: Some(bounds), ..open };
        assert_eq!(measured(METRIC, "Hull", Some(&behind)), "Hull, beyond 41.0 m");
        assert_eq!(measured(METRIC, "", Some(&entry(Unit::Metres))), "1.74 m at 23.2 m");
    }

    #[test]
    fn a_contradiction_says_what_is_expected() {
        let entry = entry(Unit::Metres);
        let words =
            |intended| standing_words(METRIC, Standing::Contradicts, Some(&entry), intended);
        assert_eq!(words(false), "contradicts: 1.20 m expected");
        assert_eq!(words(true), "contradicts, kept on purpose");
    }
}
