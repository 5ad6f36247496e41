//! An answer as one line of JSON. Angles are in degrees; picture positions in frame widths from the
//! frame's centre, right and down.

mod eye;
mod findings;
mod ghosts;
mod ledger;
mod size_book;

use super::answer::{Answer, Found, Painting, Read};
use crate::commands::alternative;
use eye::{EyeRecord, FamilyRecord, LineRecord};
use findings::{FindingRecord, SuggestionRecord};
use ghosts::{GuideRecord, StandInRecord};
use ledger::{EntryRecord, LevelRecord, ledger};
use serde::Serialize;
use size_book::BookRecord;
use staffage_scene::{Measure, Scene, Subject, Unit, subject_name, suggestion};
use std::io::{self, Write};

pub(crate) fn write(out: &mut impl Write, answer: &Answer) -> io::Result<()> {
    let scene = answer.path.display().to_string();
    match &answer.found {
        Found::Scene(read) => serde_json::to_writer(&mut *out, &Record::of(scene, read))?,
        Found::Nothing(error) => serde_json::to_writer(&mut *out, &Unread { scene, error })?,
        // Every object is a scene's.
        Found::SizeBook(_) => return Ok(()),
    }
    writeln!(out)
}

#[derive(Serialize)]
struct Unread<'a> {
    scene: String,
    error: &'a str,
}

#[derive(Serialize)]
struct Record<'a> {
    scene: String,
    title: &'a str,
    /// The alternative that this is of, where there are any.
    alternative: Option<&'a str>,
    /// All that the scene has.
    alternatives: Vec<&'a str>,
    contradictions: usize,
    painting: Option<PaintingRecord<'a>>,
    size_book: Option<BookRecord<'a>>,
    eye: EyeRecord<'a>,
    families: Vec<FamilyRecord>,
    lines: Vec<LineRecord>,
    levels: Vec<LevelRecord<'a>>,
    ledger: Vec<EntryRecord<'a>>,
    stand_ins: Vec<StandInRecord<'a>>,
    guides: Vec<GuideRecord>,
    findings: Vec<FindingRecord<'a>>,
    suggestion: Option<SuggestionRecord>,
}

impl<'a> Record<'a> {
    fn of(path: String, read: &'a Read) -> Self {
        let (scene, assessment) = (&read.scene, &read.assessment);
        Self {
            scene: path,
            title: &scene.title,
            alternative: scene.alternative_shown().map(|a| a.name.as_str()),
            alternatives: alternative::names(scene),
            contradictions: assessment.contradictions(),
            painting: PaintingRecord::of(read),
            size_book: BookRecord::of(read),
            eye: EyeRecord::of(scene, &assessment.eye),
            families: assessment.eye.families.iter().map(FamilyRecord::of).collect(),
            lines: assessment.lines.iter().map(|line| LineRecord::of(scene, line)).collect(),
            levels: assessment.levels.iter().map(|level| LevelRecord::of(scene, level)).collect(),
            ledger: ledger(scene, assessment),
            stand_ins: scene
                .stand_ins
                .iter()
                .map(|s| StandInRecord::of(scene, assessment, s))
                .collect(),
            guides: scene.guides.iter().map(|g| GuideRecord::of(scene, assessment, g)).collect(),
            findings: assessment
                .findings
                .iter()
                .map(|f| FindingRecord::of(scene, assessment, f))
                .collect(),
            suggestion: suggestion(scene).map(|s| SuggestionRecord::of(scene, s)),
        }
    }
}

#[derive(Serialize)]
struct PaintingRecord<'a> {
    path: String,
    readable: bool,
    remark: Option<&'a str>,
}

impl<'a> PaintingRecord<'a> {
    fn of(read: &'a Read) -> Option<Self> {
        let path = read.scene.painting.as_ref()?.path.display().to_string();
        let (readable, remark) = match &read.painting {
            Painting::None | Painting::AsRecorded => (true, None),
            Painting::Reshaped(why) => (true, Some(why.as_str())),
            Painting::Unreadable(why) => (false, Some(why.as_str())),
        };
        Some(Self { path, readable, remark })
    }
}

/// Who decided that a contradiction about this is kept, if anyone said.
fn intended_by(scene: &Scene, about: Subject) -> Option<&str> {
    scene.kept_on_purpose(about).map(|kept| kept.by.as_str()).filter(|by| !by.is_empty())
}

/// A value with its 95 % interval; no upper end where it may lie as far off as the horizon.
#[derive(Serialize)]
struct Interval {
    value: f64,
    low: f64,
    high: Option<f64>,
}

impl From<Measure> for Interval {
    fn from(measure: Measure) -> Self {
        let high = Some(measure.high).filter(|high| high.is_finite());
        Self { value: measure.value, low: measure.low, high }
    }
}

/// Metres, or eye heights over a level.
#[derive(Serialize)]
struct UnitRecord {
    unit: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    over_level: Option<u32>,
}

impl From<Unit> for UnitRecord {
    fn from(unit: Unit) -> Self {
        match unit {
            Unit::Metres => Self { unit: "metres", over_level: None },
            Unit::EyeHeights(level) => Self { unit: "eye heights", over_level: Some(level.0) },
        }
    }
}

#[derive(Serialize)]
struct SubjectRecord {
    kind: &'static str,
    id: u32,
    name: String,
}

impl SubjectRecord {
    fn of(scene: &Scene, subject: Subject) -> Self {
        let (kind, id) = match subject {
            Subject::Line(id) => ("line", id.0),
            Subject::Marker(id) => ("marker", id.0),
            Subject::Level(id) => ("level", id.0),
            Subject::Overlap(id) => ("overlap", id.0),
            Subject::StandIn(id) => ("stand-in", id.0),
            Subject::Guide(id) => ("guide", id.0),
        };
        Self { kind, id, name: subject_name(scene, subject) }
    }
}
