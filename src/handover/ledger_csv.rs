//! The ledger as CSV (RFC 4180), for a table of one's own.

use crate::HandoverError;
use staffage_scene::{
    Assessment, Entry, Marker, Measure, Scene, Span, Subject, Unit, dimension, standing_word,
    subject_name,
};
use std::borrow::Cow;
use std::io::{self, Write};

/// Names of the columns. Lengths are in the unit of their row.
const COLUMNS: [&str; 19] = [
    "scene",
    "id",
    "name",
    "measured",
    "stands on",
    "unit",
    "distance",
    "distance low",
    "distance high",
    "size",
    "size low",
    "size high",
    "expected size",
    "standing",
    "intended because",
    "intended by",
    "smallest lie noticed",
    "finding",
    "alternative",
];

/// By this a ledger that was written before is known among other files.
pub(crate) const CSV_SIGNATURE: &str = "scene,id,name,measured,stands on,unit,distance";

/// Writes the ledger near to far, one row for each marker; ends of intervals are those of 95 %, and an
/// end that is not there (as far off as the horizon) is an empty cell. Spreadsheets take a text that
/// begins with =, +, - or @ for a formula: such a name or reason gets an apostrophe before it, which they
/// hide. Numbers are metres or eye heights whatever the assessment's words tell lengths in; the
/// alternative is that which is on show, where there are any.
///
/// # Errors
/// [`HandoverError::Unwritable`] when `out` cannot be written to.
pub fn write_ledger_csv(
    scene: &Scene,
    assessment: &Assessment,
    file: &str,
    out: &mut dyn Write,
) -> Result<(), HandoverError> {
    write_record(out, &COLUMNS)?;
    for entry in &assessment.ledger {
        let Some(marker) = scene.marker(entry.id) else { continue };
        write_record(out, &row(scene, assessment, file, entry, marker))?;
    }
    Ok(())
}

/// One record: its fields in quotes where a comma, a quote or a line break is in them, quotes in them
/// doubled (RFC 4180, section 2).
fn write_record(out: &mut dyn Write, fields: &[impl AsRef<str>]) -> io::Result<()> {
    for (place, field) in fields.iter().map(AsRef::as_ref).enumerate() {
        let comma = if place == 0 { "" } else { "," };
        if field.contains([',', '"', '\r', '\n']) {
            write!(out, "{comma}\"{}\"", field.replace('"', "\"\""))?;
        } else {
            write!(out, "{comma}{field}")?;
        }
    }
    write!(out, "\r\n")
}

fn row(
    scene: &Scene,
    assessment: &Assessment,
    file: &str,
    entry: &Entry,
    marker: &Marker,
) -> [String; COLUMNS.len()] {
    let about = Subject::Marker(entry.id);
    let kept = scene.kept_on_purpose(about);
    let finding = assessment.findings.iter().find(|finding| finding.about == about);
    let level = marker.stands.level();
    let [distance, far, nearly] = cells(entry.distance);
    let [size, least, most] = cells(entry.size);
    [
        text(file).into_owned(),
        entry.id.to_string(),
        text(&marker.name).into_owned(),
        measured(marker.span).to_owned(),
        level.map_or(String::new(), |id| {
            text(&subject_name(scene, Subject::Level(id))).into_owned()
        }),
        unit(scene, entry.unit),
        distance,
        far,
        nearly,
        size,
        least,
        most,
        number(entry.expected_size.map(|size| size.value)),
        standing_word(entry.standing).to_owned(),
        kept.map_or(String::new(), |kept| text(&kept.reason).into_owned()),
        kept.map_or(String::new(), |kept| text(&kept.by).into_owned()),
        number(entry.detectable),
        finding.map_or(String::new(), |finding| text(&finding.sentence).into_owned()),
        scene.alternative_shown().map_or(String::new(), |shown| text(&shown.name).into_owned()),
    ]
}

/// What of a thing its size is.
fn measured(span: Span) -> &'static str {
    match dimension(span) {
        "tall" => "height",
        "long" => "length",
        "in diameter" => "diameter",
        _ => "width",
    }
}

fn unit(scene: &Scene, unit: Unit) -> String {
    match unit {
        Unit::Metres => "m".into(),
        Unit::EyeHeights(level) => {
            format!("eye heights over {}", subject_name(scene, Subject::Level(level)))
        }
    }
}

fn cells(measure: Option<Measure>) -> [String; 3] {
    let of = |part: fn(Measure) -> f64| number(measure.map(part));
    [of(|m| m.value), of(|m| m.low), of(|m| m.high)]
}

/// A number to a ten-thousandth of itself, with a decimal point wherever it is read.
fn number(value: Option<f64>) -> String {
    let Some(value) = value.filter(|value| value.is_finite()) else { return String::new() };
    let digits = 4 - value.abs().max(1e-6).log10().floor() as i32;
    format!("{value:.*}", digits.clamp(0, 9) as usize)
}

/// Text that no spreadsheet takes for a formula.
fn text(words: &str) -> Cow<'_, str> {
    if words.starts_with(['=', '+', '-', '@', '\t', '\r', '＝', '＋', '－', '＠']) {
        Cow::Owned(format!("'{words}"))
    } else {
        Cow::Borrowed(words)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_scene::{MarkerId, assess, load};
    use std::path::Path;

    /// The records after the first, read by RFC 4180 alone.
    fn table(scene: &Scene) -> Vec<Vec<String>> {
        let mut out = Vec::new();
        write_ledger_csv(scene, &assess(scene), "quay.ron", &mut out).unwrap();
        assert!(out.starts_with(CSV_SIGNATURE.as_bytes()));
        let text = String::from_utf8(out).unwrap();
        let (mut records, mut record, mut field) = (Vec::new(), Vec::new(), String::new());
        let (mut quoted, mut letters) = (false, text.chars().peekable());
        while let Some(c) = letters.next() {
            match c {
                '"' if quoted && letters.next_if_eq(&'"').is_some() => field.push('"'),
                '"' => quoted ^= true,
                ',' if !quoted => record.push(std::mem::take(&mut field)),
                '\r' if !quoted => {}
                '\n' if !quoted => {
                    record.push(std::mem::take(&mut field));
                    records.push(std::mem::take(&mut record));
                }
                c => field.push(c),
            }
        }
        assert!(!quoted && field.is_empty());
        assert!(records.iter().all(|record: &Vec<String>| record.len() == COLUMNS.len()));
        records.split_off(1)
    }

    fn demo() -> Scene {
        let demos = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo_scenes");
        load(&demos.join("dam_overlook.ron")).unwrap()
    }

    #[test]
    fn every_marker_has_a_row_near_to_far_with_its_interval() {
        let rows = table(&demo());
        assert_eq!(rows.len(), demo().markers.len());
        let distance = |row: &[String], column: usize| row[column].parse::<f64>().unwrap();
        for pair in rows.windows(2) {
            assert!(distance(&pair[0], 6) <= distance(&pair[1], 6));
        }
        for row in &rows {
            assert!(distance(row, 7) < distance(row, 6) && distance(row, 6) < distance(row, 8));
        }
        let hand = rows.iter().find(|row| row[2] == "gallery hand 3").unwrap();
        assert_eq!(hand[13], "contradicts");
        assert_eq!(hand[12], "1.7000");
        assert!(hand[17].contains("gallery hand 3"));
    }

    #[test]
    fn names_that_a_spreadsheet_would_run_are_text() {
        let mut scene = demo();
        let hostile =
            ["=HYPERLINK(\"http://x\",\"y\")", "+1", "-2", "@SUM(A1)", "a,\"b\"\nc", "＝1"];
        for (marker, name) in scene.markers.iter_mut().zip(hostile) {
            marker.name = name.into();
        }
        let rows = table(&scene);
        for (id, name) in (1..).zip(hostile) {
            let row = rows.iter().find(|row| row[1] == MarkerId(id).to_string()).unwrap();
            let expected = if name.starts_with('a') { name.into() } else { format!("'{name}") };
            assert_eq!(row[2], expected);
        }
    }

    #[test]
    fn numbers_keep_five_figures() {
        assert_eq!(number(Some(12.345_678)), "12.346");
        assert_eq!(number(Some(0.012_345_67)), "0.012346");
        assert_eq!(number(Some(123_456.7)), "123457");
        assert_eq!(number(Some(f64::INFINITY)), "");
    }
}
