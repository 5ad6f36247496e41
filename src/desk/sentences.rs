//! The numbers in words.

use crate::side::standing;
use crate::thing::Thing;
use staffage_scene::{
    Assessment, Bounds, Entry, EyeReading, Family, LevelReading, Line, LineReading, Measure, Scene,
    Side, Span, Subject, Unit, Units, cant_side, distance_within, guide_words, pitch_side,
    size_within, stand_in_words,
};
use staffage_solver::{Quantity, Source};

/// A 95 % interval wider than this share of the value is told by its ends, not as ± so many percent.
const WIDE: f64 = 0.6;
/// Half of a 95 % interval, standard deviations.
const HALF_INTERVAL: f64 = 1.96;
/// Width of the small camera picture on film that lenses are compared by, millimetres.
const FULL_FRAME_WIDTH: f64 = 36.0;

/// The eye in one line: "eye 41° across · up 14° · cant 7° left end up · 3.2 m high". What is only assumed
/// begins with "≈".
#[must_use]
pub(crate) fn eye(assessment: &Assessment, scene: &Scene) -> String {
    let reading = &assessment.eye;
    let mut parts = vec![
        format!("eye {}", across(reading.angle_of_view, 0)),
        pitch(reading.pitch, 0),
        cant(reading.cant, 0),
    ];
    parts.extend(eye_height(assessment, scene).map(|(height, _)| format!("{height} high")));
    parts.join(" · ")
}

/// The eye to a tenth of a degree with how sure it is, for the live answer while a line is traced.
#[must_use]
pub(crate) fn eye_with_spread(reading: &EyeReading) -> String {
    let one = |words: String, quantity: Quantity| match quantity.source {
        Source::Assumed => words,
        Source::Read | Source::ByHand => {
            format!("{words} ± {:.1}°", half_interval(quantity).to_degrees())
        }
    };
    [
        one(across(reading.angle_of_view, 1), reading.angle_of_view),
        one(pitch(reading.pitch, 1), reading.pitch),
        one(cant(reading.cant, 1), reading.cant),
    ]
    .join("  ·  ")
}

/// The eye in one line with how sure each angle is: "eye 58.2° ± 0.8° across · up 1.2° ± 0.2° · no
/// cant, assumed · 1.64 m high".
#[must_use]
pub(crate) fn eye_with_sureness(assessment: &Assessment, scene: &Scene) -> String {
    let reading = &assessment.eye;
    let angles = [reading.angle_of_view, reading.pitch, reading.cant];
    let all_assumed = angles.iter().all(|angle| angle.source == Source::Assumed);
    let words: [fn(Quantity, usize) -> String; 3] = [across, pitch, cant];
    let mut parts: Vec<String> = angles
        .into_iter()
        .zip(words)
        .map(|(angle, words)| if all_assumed { words(angle, 0) } else { sure(angle, words) })
        .collect();
    parts.extend(eye_height(assessment, scene).map(|(height, _)| format!("{height} high")));
    let said = parts.join(" · ");
    if all_assumed { format!("eye assumed: {said}") } else { format!("eye {said}") }
}

/// Half of the 95 % interval of a quantity, in its own unit.
#[must_use]
pub(crate) fn half_interval(of: Quantity) -> f64 {
    HALF_INTERVAL * of.sd
}

/// An angle and how sure it is, to a tenth of a degree.
fn sure(angle: Quantity, words: impl Fn(Quantity, usize) -> String) -> String {
    let spread = half_interval(angle).to_degrees();
    match angle.source {
        Source::Assumed => format!("{}, assumed", words(angle, 0)),
        Source::ByHand => format!("{}, by hand", words(angle, 1)),
        Source::Read => {
            let said = words(angle, 1);
            match said.split_once("° ") {
                Some((size, side)) => format!("{size}° ± {spread:.1}° {side}"),
                None => format!("{said} ± {spread:.1}°"),
            }
        }
    }
}

fn across(angle: Quantity, decimals: usize) -> String {
    format!("{} across", degrees(angle, decimals))
}

fn pitch(pitch: Quantity, decimals: usize) -> String {
    match pitch_side(pitch.value, decimals) {
        Some(side) => format!("{side} {}", degrees(pitch, decimals)),
        None => "level".into(),
    }
}

fn cant(cant: Quantity, decimals: usize) -> String {
    match cant_side(cant.value, decimals) {
        Some(end) => format!("cant {} {end}", degrees(cant, decimals)),
        None => "no cant".into(),
    }
}

/// The size of an angle.
fn degrees(angle: Quantity, decimals: usize) -> String {
    let unsure = if angle.source == Source::Assumed { "≈" } else { "" };
    format!("{unsure}{:.decimals$}°", angle.value.to_degrees().abs())
}

/// Height of the eye over the first level under it, where that is known in metres, and the level.
#[must_use]
pub(crate) fn eye_height<'s>(
    assessment: &Assessment,
    scene: &'s Scene,
) -> Option<(String, &'s str)> {
    let below = scene.levels.iter().find(|l| l.side == Side::Below)?;
    let reading = assessment.levels.iter().find(|l| l.id == below.id)?;
    match reading {
        LevelReading { clearance: Some(clearance), unit: Unit::Metres, .. } => {
            Some((assessment.units.measure(*clearance, Unit::Metres), &below.name))
        }
        _ => None,
    }
}

/// Focal length on a full-frame camera with the same angle of view across, millimetres.
#[must_use]
pub(crate) fn full_frame_focal(angle_of_view: f64) -> f64 {
    FULL_FRAME_WIDTH * staffage_solver::focal_of_view(angle_of_view)
}

/// Angle of view across of such a lens, radians.
#[must_use]
pub(crate) fn angle_of_full_frame(focal: f64) -> f64 {
    staffage_solver::angle_of_view(focal / FULL_FRAME_WIDTH)
}

/// Where a quantity of the eye came from.
#[must_use]
pub(crate) fn source(source: Source) -> &'static str {
    match source {
        Source::Read => "read from the lines",
        Source::ByHand => "set by hand",
        Source::Assumed => "assumed",
    }
}

/// A length in a unit short enough for a table: "23 m", "0.92 eh".
#[must_use]
pub(crate) fn short(units: Units, measured: Measure, unit: Unit) -> String {
    shortened(&units.measure(measured, unit))
}

/// A length in words short enough for a table.
#[must_use]
pub(crate) fn shortened(words: &str) -> String {
    words.replace(" eye heights", " eh").replace(" eye height", " eh")
}

/// How sure a length is: "±12 %", or "×÷2.1" when the interval is wide.
#[must_use]
pub(crate) fn sureness(measured: Measure) -> String {
    let half = (measured.high - measured.low) / 2.0 / measured.value;
    if !half.is_finite() || measured.low <= 0.0 {
        return "unsure".into();
    }
    if half > WIDE {
        let factor = (measured.high / measured.low).sqrt();
        return if factor < 100.0 { format!("×÷{factor:.1}") } else { "unsure".into() };
    }
    let percent = 100.0 * half;
    if percent < 9.5 { format!("±{percent:.1} %") } else { format!("±{percent:.0} %") }
}

/// A 95 % interval with its unit said once: "8.2 to 9.8 m".
#[must_use]
pub(crate) fn between(units: Units, measured: Measure, unit: Unit) -> String {
    let words = units.interval(measured, unit);
    let Some((low, high)) = words.split_once(" to ") else { return words };
    let name = |end: &str| end.split_once(' ').map(|(_, name)| name.to_owned());
    match (low.split_once(' '), name(high)) {
        (Some((number, low_name)), Some(high_name)) if low_name == high_name => {
            format!("{number} to {high}")
        }
        _ => words,
    }
}

/// Size and distance of a marker, and what the curve of the world hides of it, in a sentence without
/// its name.
#[must_use]
pub(crate) fn answer(units: Units, entry: &Entry, span: Span) -> String {
    let measured = size_and_distance(units, entry, span);
    match hidden(units, entry) {
        Some(hidden) => format!("{measured}, {hidden}"),
        None => measured,
    }
}

/// What the curve of the world hides of a marker.
#[must_use]
pub(crate) fn hidden(units: Units, entry: &Entry) -> Option<String> {
    entry.hidden.map(|lowest| format!("its lowest {} are below the curve", units.metres(lowest)))
}

/// Size and distance of a marker.
#[must_use]
pub(crate) fn size_and_distance(units: Units, entry: &Entry, span: Span) -> String {
    let size = entry.size.map(|s| format!("{} {}", units.measure(s, entry.unit), extent(span)));
    let distance = entry.distance.map(|d| format!("{} off", units.measure(d, entry.unit)));
    match (size, distance) {
        (Some(size), Some(distance)) => format!("{size}, {distance}"),
        (Some(one), None) | (None, Some(one)) => one,
        (None, None) => {
            let bounds = entry.bounds.and_then(|bounds| within(units, bounds, span));
            bounds.unwrap_or_else(|| "nothing fixes its size yet".into())
        }
    }
}

/// What overlaps say of a thing that nothing fixes: "beyond 41 m, so longer than 96 m".
#[must_use]
pub(crate) fn within(units: Units, bounds: Bounds, span: Span) -> Option<String> {
    match (distance_within(units, bounds), size_within(units, bounds, span)) {
        (Some(distance), Some(size)) => Some(format!("{distance}, so {size}")),
        (distance, size) => distance.or(size),
    }
}

/// The smallest lie about a thing that would be noticed, as a ratio.
#[must_use]
pub(crate) fn unseen(ratio: f64) -> String {
    let decimals = match ratio {
        r if r < 1.095 => 2,
        r if r < 9.95 => 1,
        _ => 0,
    };
    format!("A lie smaller than ×{ratio:.decimals$} here would pass unseen.")
}

fn extent(span: Span) -> &'static str {
    match span {
        Span::Upright => "high",
        Span::Along(_) => "long",
        Span::Facing => "across",
        Span::Cylinder | Span::Ball => "in diameter",
    }
}

/// By how much a traced line misses the vanishing point of its family.
#[must_use]
pub(crate) fn line_miss(reading: &LineReading, lines_in_family: usize) -> String {
    if lines_in_family < 2 {
        return "the first of its family".into();
    }
    format!("misses its vanishing point by {:.1}°", reading.miss.abs().to_degrees())
}

/// How a traced line agrees with its family, while and after it is traced.
#[must_use]
pub(crate) fn line_fit(reading: &LineReading, lines_in_family: usize) -> String {
    let miss = line_miss(reading, lines_in_family);
    if lines_in_family < 2 {
        return miss;
    }
    format!("{miss} · {}", standing::word(reading.standing, false))
}

/// What a screen reader says of something painted on the canvas.
#[must_use]
pub(crate) fn description(thing: Thing, scene: &Scene, assessment: &Assessment) -> String {
    match thing {
        Thing::Horizon => "the horizon where it can be seen".into(),
        Thing::EyeLevel => {
            let eye = &assessment.eye;
            let (up, tilt) = (source(eye.pitch.source), source(eye.cant.source));
            let (pitch, cant) = (pitch(eye.pitch, 1), cant(eye.cant, 1));
            if up == tilt {
                format!("{pitch}, {cant}; {up}")
            } else {
                format!("{pitch}, {up}; {cant}, {tilt}")
            }
        }
        Thing::VanishingPoint(family) => vanishing_point(family, assessment),
        Thing::Of(Subject::Marker(id)) => {
            let span = scene.marker(id).map_or(Span::Upright, |m| m.span);
            let said = |entry| {
                format!(
                    "{}, {}",
                    answer(assessment.units, entry, span),
                    standing::word(entry.standing, false)
                )
            };
            assessment.entry(id).map_or_else(String::new, said)
        }
        Thing::Of(Subject::Line(id)) => {
            let reading = assessment.lines.iter().find(|l| l.id == id);
            let count = scene.line(id).map_or(0, |line| family_size(scene, line));
            reading.map_or_else(String::new, |r| line_fit(r, count))
        }
        Thing::Of(Subject::Level(_)) => "level".into(),
        Thing::Of(Subject::Overlap(_)) => "overlap".into(),
        Thing::Of(Subject::StandIn(id)) => {
            let stand_in = scene.stand_in(id);
            stand_in.map_or_else(String::new, |s| stand_in_words(s, scene, assessment))
        }
        Thing::Of(Subject::Guide(id)) => {
            scene.guide(id).map_or_else(String::new, |g| guide_words(g, scene, assessment))
        }
    }
}

/// Where a vanishing point lies and what its lines are like.
fn vanishing_point(family: Family, assessment: &Assessment) -> String {
    let eye = &assessment.eye;
    let Some(reading) = eye.families.iter().find(|f| f.family == family) else {
        return String::new();
    };
    let at = reading.vanishing_point.truncate() / reading.vanishing_point.z;
    let place = if at.is_finite() && at.length() < 1e3 {
        let across = if at.x < 0.0 { "left" } else { "right" };
        let down = if at.y < 0.0 { "over" } else { "below" };
        format!(
            "{:.2} widths {across} of and {:.2} {down} the frame’s middle",
            at.x.abs(),
            at.y.abs()
        )
    } else {
        "infinitely far off".into()
    };
    let heading = reading.direction.x.atan2(-reading.direction.z).to_degrees();
    let slope = reading.direction.y.asin().to_degrees();
    match family {
        Family::Upright => place,
        Family::Incline(_) => format!("heading {heading:.1}°, slope {slope:.1}°; {place}"),
        _ => format!("heading {heading:.1}°; {place}"),
    }
}

/// How many lines the family of this one has.
#[must_use]
pub(crate) fn family_size(scene: &Scene, line: &Line) -> usize {
    scene.lines.iter().filter(|l| l.family == line.family).count()
}

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_scene::assess;

    const METRIC: Units = Units::Metric;

    fn measured(value: f64, low: f64, high: f64) -> Measure {
        Measure { value, low, high }
    }

    #[test]
    fn a_narrow_interval_is_told_in_percent_and_a_wide_one_as_a_factor() {
        assert_eq!(sureness(measured(10.0, 8.8, 11.2)), "±12 %");
        assert_eq!(sureness(measured(10.0, 9.8, 10.2)), "±2.0 %");
        assert_eq!(sureness(measured(10.0, 5.0, 20.0)), "×÷2.0");
        assert_eq!(sureness(measured(10.0, 0.0, f64::INFINITY)), "unsure");
    }

    #[test]
    fn an_interval_names_its_unit_once_where_both_ends_share_it() {
        assert_eq!(between(METRIC, measured(9.0, 8.2, 9.8), Unit::Metres), "8.2 to 9.8 m");
        assert_eq!(
            between(METRIC, measured(900.0, 800.0, 1200.0), Unit::Metres),
            "800 m to 1.2 km"
        );
    }

    #[test]
    fn what_overlaps_allow_is_told_by_its_ends() {
        let open = Bounds {
            nearest: Some(41.0),
            farthest: None,
            smallest: Some(96.0),
            largest: None,
            unit: Unit::Metres,
        };
        let along = Span::Along(staffage_scene::Family::Upright);
        assert_eq!(
            within(METRIC, open, along).as_deref(),
            Some("beyond 41.0 m, so longer than 96.0 m")
        );
        let between = Bounds { farthest: Some(90.0), smallest: None, ..open };
        assert_eq!(
            within(METRIC, between, along).as_deref(),
            Some("between 41.0 m and 90.0 m off")
        );
        let nothing = Bounds { nearest: None, smallest: None, ..open };
        assert_eq!(within(METRIC, nothing, along), None);
    }

    #[test]
    fn a_small_lie_is_told_in_hundredths() {
        assert!(unseen(1.042).contains("×1.04 "));
        assert!(unseen(1.31).contains("×1.3 "));
        assert!(unseen(24.3).contains("×24 "));
    }

    #[test]
    fn a_36_mm_lens_looks_as_wide_as_it_is_long() {
        // 2 atan(1/2) = 53.13 degrees across at a focal length of one frame width.
        assert!((full_frame_focal(53.130_102f64.to_radians()) - 36.0).abs() < 1e-4);
    }

    #[test]
    fn an_angle_is_told_with_the_half_of_its_95_percent_interval() {
        let angle = |value: f64, spread: f64, source| Quantity {
            value: value.to_radians(),
            sd: (spread / 1.96).to_radians(),
            source,
        };
        assert_eq!(sure(angle(58.24, 0.8, Source::Read), across), "58.2° ± 0.8° across");
        assert_eq!(sure(angle(58.24, 3.6, Source::Read), across), "58.2° ± 3.6° across");
        assert_eq!(sure(angle(22.14, 0.2, Source::Read), pitch), "up 22.1° ± 0.2°");
        assert_eq!(sure(angle(53.1, 20.0, Source::Assumed), across), "≈53° across, assumed");
        assert_eq!(sure(angle(-9.0, 0.0, Source::ByHand), cant), "cant 9.0° left end up, by hand");
    }

    #[test]
    fn a_blank_frame_has_a_level_eye() {
        let scene = Scene::default();
        let words = eye(&assess(&scene), &scene);
        assert!(words.starts_with("eye "), "{words}");
        assert!(words.contains("level") && words.contains("no cant"), "{words}");
    }
}
