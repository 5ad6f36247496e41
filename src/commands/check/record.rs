//! An answer as one line of JSON. Angles are in degrees; picture positions in frame widths from the
//! frame's centre, right and down.

use super::answer::{Answer, Book, Painting, Read};
use serde::Serialize;
use staffage_scene::{
    Assessment, BlockId, Bounds, Entry, Evidence, EyeReading, Family, FamilyReading, Finding,
    InclineId, Known, Lean, LevelReading, LineReading, MarkerId, Measure, Mend, Scene, Segment,
    Share, SizeDifference, Step, Subject, Suggestion, Unit, all_evidence, mends, standing_word,
    subject_name, suggestion,
};
use staffage_solver::{Quantity, Source};
use std::collections::BTreeMap;
use std::io::{self, Write};

pub(super) fn write(out: &mut impl Write, answer: &Answer) -> io::Result<()> {
    let scene = answer.path.display().to_string();
    match &answer.read {
        Ok(read) => serde_json::to_writer(&mut *out, &Record::of(scene, read))?,
        Err(error) => serde_json::to_writer(&mut *out, &Unread { scene, error })?,
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
    contradictions: usize,
    painting: Option<PaintingRecord<'a>>,
    size_book: Option<BookRecord<'a>>,
    eye: EyeRecord<'a>,
    families: Vec<FamilyRecord>,
    lines: Vec<LineRecord>,
    levels: Vec<LevelRecord<'a>>,
    ledger: Vec<EntryRecord<'a>>,
    findings: Vec<FindingRecord<'a>>,
    suggestion: Option<SuggestionRecord>,
}

impl<'a> Record<'a> {
    fn of(path: String, read: &'a Read) -> Self {
        let (scene, assessment) = (&read.scene, &read.assessment);
        Self {
            scene: path,
            title: &scene.title,
            contradictions: assessment.contradictions(),
            painting: PaintingRecord::of(read),
            size_book: BookRecord::of(read),
            eye: EyeRecord::of(scene, &assessment.eye),
            families: assessment.eye.families.iter().map(FamilyRecord::of).collect(),
            lines: assessment.lines.iter().map(|line| LineRecord::of(scene, line)).collect(),
            levels: assessment.levels.iter().map(|level| LevelRecord::of(scene, level)).collect(),
            ledger: ledger(scene, assessment),
            findings: assessment
                .findings
                .iter()
                .map(|f| FindingRecord::of(scene, assessment, f))
                .collect(),
            suggestion: suggestion(scene).map(|s| SuggestionRecord::of(scene, s)),
        }
    }
}

fn ledger<'a>(scene: &'a Scene, assessment: &Assessment) -> Vec<EntryRecord<'a>> {
    let evidence: BTreeMap<MarkerId, Evidence> =
        scene.markers.iter().map(|m| m.id).zip(all_evidence(scene)).collect();
    let record = |entry: &Entry| {
        let evidence = EvidenceRecord::of(scene, evidence.get(&entry.id));
        EntryRecord::of(scene, entry, evidence)
    };
    assessment.ledger.iter().map(record).collect()
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

#[derive(Serialize)]
struct BookRecord<'a> {
    path: String,
    readable: bool,
    remark: Option<&'a str>,
    differences: Vec<DifferenceRecord<'a>>,
}

impl<'a> BookRecord<'a> {
    fn of(read: &'a Read) -> Option<Self> {
        let path = read.scene.size_book.as_ref()?.display().to_string();
        let (remark, differences) = match &read.size_book {
            Book::None => return None,
            Book::Read(differences) => (None, differences.as_slice()),
            Book::Unreadable(why) => (Some(why.as_str()), &[][..]),
        };
        let record = |difference| DifferenceRecord::of(&read.scene, difference);
        let differences = differences.iter().map(record).collect();
        Some(Self { path, readable: remark.is_none(), remark, differences })
    }
}

/// A known size of a marker that is not what the size book says.
#[derive(Serialize)]
struct DifferenceRecord<'a> {
    sentence: &'a str,
    about: SubjectRecord,
    /// Which of the marker's statements, from 0.
    statement: usize,
    entry: &'a str,
    scene: KnownRecord,
    book: KnownRecord,
}

impl<'a> DifferenceRecord<'a> {
    fn of(scene: &Scene, difference: &'a SizeDifference) -> Self {
        Self {
            sentence: &difference.sentence,
            about: SubjectRecord::of(scene, Subject::Marker(difference.marker)),
            statement: difference.statement,
            entry: &difference.entry,
            scene: difference.scene.into(),
            book: difference.book.into(),
        }
    }
}

#[derive(Serialize)]
struct KnownRecord {
    metres: f64,
    spread: f64,
}

impl From<Known> for KnownRecord {
    fn from(known: Known) -> Self {
        Self { metres: known.metres, spread: known.spread }
    }
}

#[derive(Serialize)]
struct Angle {
    degrees: f64,
    sd: f64,
    source: &'static str,
}

impl From<Quantity> for Angle {
    fn from(angle: Quantity) -> Self {
        let source = match angle.source {
            Source::Read => "read",
            Source::ByHand => "by hand",
            Source::Assumed => "assumed",
        };
        Self { degrees: angle.value.to_degrees(), sd: angle.sd.to_degrees(), source }
    }
}

#[derive(Serialize)]
struct EyeRecord<'a> {
    angle_of_view: Angle,
    pitch: Angle,
    cant: Angle,
    blocks: Vec<BlockRecord<'a>>,
    inclines: Vec<InclineRecord<'a>>,
}

#[derive(Serialize)]
struct BlockRecord<'a> {
    id: u32,
    name: &'a str,
    heading: Angle,
}

#[derive(Serialize)]
struct InclineRecord<'a> {
    id: u32,
    name: &'a str,
    heading: Angle,
    slope: Angle,
}

impl<'a> EyeRecord<'a> {
    fn of(scene: &'a Scene, eye: &EyeReading) -> Self {
        let block = |&(id, heading): &(BlockId, Quantity)| BlockRecord {
            id: id.0,
            name: scene.block(id).map_or("", |b| &b.name),
            heading: heading.into(),
        };
        let incline = |&(id, heading, slope): &(InclineId, Quantity, Quantity)| InclineRecord {
            id: id.0,
            name: scene.incline(id).map_or("", |i| &i.name),
            heading: heading.into(),
            slope: slope.into(),
        };
        Self {
            angle_of_view: eye.angle_of_view.into(),
            pitch: eye.pitch.into(),
            cant: eye.cant.into(),
            blocks: eye.headings.iter().map(block).collect(),
            inclines: eye.inclines.iter().map(incline).collect(),
        }
    }
}

/// A family by its kind and the id of its block or incline.
#[derive(Serialize)]
struct FamilyName {
    kind: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    id: Option<u32>,
}

impl From<Family> for FamilyName {
    fn from(family: Family) -> Self {
        let (kind, id) = match family {
            Family::Upright => ("upright", None),
            Family::RecedingRight(block) => ("receding right", Some(block.0)),
            Family::RecedingLeft(block) => ("receding left", Some(block.0)),
            Family::Incline(incline) => ("incline", Some(incline.0)),
            Family::Run(incline) => ("run", Some(incline.0)),
        };
        Self { kind, id }
    }
}

#[derive(Serialize)]
struct FamilyRecord {
    family: FamilyName,
    /// In the world: X right, Y up, -Z ahead.
    direction: [f64; 3],
    /// Homogeneous picture position.
    vanishing_point: [f64; 3],
    lines: usize,
    read: bool,
}

impl FamilyRecord {
    fn of(family: &FamilyReading) -> Self {
        Self {
            family: family.family.into(),
            direction: family.direction.to_array(),
            vanishing_point: family.vanishing_point.to_array(),
            lines: family.lines,
            read: family.read,
        }
    }
}

#[derive(Serialize)]
struct LineRecord {
    id: u32,
    family: Option<FamilyName>,
    miss: f64,
    standardized: f64,
    standing: &'static str,
}

impl LineRecord {
    fn of(scene: &Scene, line: &LineReading) -> Self {
        Self {
            id: line.id.0,
            family: scene.line(line.id).map(|l| l.family.into()),
            miss: line.miss.to_degrees(),
            standardized: line.standardized,
            standing: standing_word(line.standing),
        }
    }
}

/// A value with its 95 % interval.
#[derive(Serialize)]
struct Interval {
    value: f64,
    low: f64,
    high: f64,
}

impl From<Measure> for Interval {
    fn from(measure: Measure) -> Self {
        Self { value: measure.value, low: measure.low, high: measure.high }
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
struct LevelRecord<'a> {
    id: u32,
    name: &'a str,
    clearance: Option<Interval>,
    #[serde(flatten)]
    unit: UnitRecord,
}

impl<'a> LevelRecord<'a> {
    fn of(scene: &'a Scene, level: &LevelReading) -> Self {
        Self {
            id: level.id.0,
            name: scene.level(level.id).map_or("", |l| &l.name),
            clearance: level.clearance.map(Into::into),
            unit: level.unit.into(),
        }
    }
}

#[derive(Serialize)]
struct EntryRecord<'a> {
    id: u32,
    name: &'a str,
    distance: Option<Interval>,
    size: Option<Interval>,
    elevation: Option<f64>,
    #[serde(flatten)]
    unit: UnitRecord,
    standing: &'static str,
    intended: Option<&'a str>,
    standardized: f64,
    redundancy: f64,
    expected_size: Option<Interval>,
    lean: Option<LeanRecord>,
    true_head: Option<[f64; 2]>,
    detectable: Option<f64>,
    bounds: Option<BoundsRecord>,
    evidence: EvidenceRecord,
}

impl<'a> EntryRecord<'a> {
    fn of(scene: &'a Scene, entry: &Entry, evidence: EvidenceRecord) -> Self {
        Self {
            id: entry.id.0,
            name: scene.marker(entry.id).map_or("", |m| &m.name),
            distance: entry.distance.map(Into::into),
            size: entry.size.map(Into::into),
            elevation: entry.elevation,
            unit: entry.unit.into(),
            standing: standing_word(entry.standing),
            intended: scene.intended_reason(Subject::Marker(entry.id)),
            standardized: entry.standardized,
            redundancy: entry.redundancy,
            expected_size: entry.expected_size.map(Into::into),
            lean: entry.lean.map(Into::into),
            true_head: entry.true_head.map(|head| head.to_array()),
            detectable: entry.detectable,
            bounds: entry.bounds.map(Into::into),
            evidence,
        }
    }
}

/// What overlaps say of a thing that nothing else fixes.
#[derive(Serialize)]
struct BoundsRecord {
    nearest: Option<f64>,
    farthest: Option<f64>,
    smallest: Option<f64>,
    largest: Option<f64>,
    #[serde(flatten)]
    unit: UnitRecord,
}

impl From<Bounds> for BoundsRecord {
    fn from(bounds: Bounds) -> Self {
        Self {
            nearest: bounds.nearest,
            farthest: bounds.farthest,
            smallest: bounds.smallest,
            largest: bounds.largest,
            unit: bounds.unit.into(),
        }
    }
}

/// What distance and size rest on, the largest shares first.
#[derive(Serialize)]
struct EvidenceRecord {
    distance: Vec<ShareRecord>,
    size: Vec<ShareRecord>,
}

impl EvidenceRecord {
    fn of(scene: &Scene, evidence: Option<&Evidence>) -> Self {
        let shares = |of: fn(&Evidence) -> &[Share]| {
            let shares = evidence.map_or(&[][..], of);
            shares.iter().map(|share| ShareRecord::of(scene, share)).collect()
        };
        Self { distance: shares(|e| &e.distance), size: shares(|e| &e.size) }
    }
}

#[derive(Serialize)]
struct ShareRecord {
    what: String,
    about: Option<SubjectRecord>,
    share: f64,
}

impl ShareRecord {
    fn of(scene: &Scene, share: &Share) -> Self {
        Self {
            what: share.what.clone(),
            about: share.subject.map(|subject| SubjectRecord::of(scene, subject)),
            share: share.share,
        }
    }
}

/// Degrees, clockwise positive.
#[derive(Serialize)]
struct LeanRecord {
    degrees: f64,
    sd: f64,
    plumb: f64,
}

impl From<Lean> for LeanRecord {
    fn from(lean: Lean) -> Self {
        Self {
            degrees: lean.angle.to_degrees(),
            sd: lean.sd.to_degrees(),
            plumb: lean.plumb.to_degrees(),
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
        };
        Self { kind, id, name: subject_name(scene, subject) }
    }
}

#[derive(Serialize)]
struct FindingRecord<'a> {
    standing: &'static str,
    sentence: &'a str,
    about: SubjectRecord,
    with: Vec<SubjectRecord>,
    intended: Option<&'a str>,
    because: Vec<StepRecord<'a>>,
    mends: Vec<MendRecord>,
}

/// A change after which the finding is gone.
#[derive(Serialize)]
struct MendRecord {
    sentence: String,
    /// The farthest that a painted point moves, at the working width.
    pixels: f64,
    /// From where to where painted points move.
    moves: Vec<[[f64; 2]; 2]>,
}

impl From<Mend> for MendRecord {
    fn from(mend: Mend) -> Self {
        let moves = mend.moves.iter().map(|Segment(from, to)| [from.to_array(), to.to_array()]);
        Self { pixels: mend.pixels, moves: moves.collect(), sentence: mend.sentence }
    }
}

/// What would help most if it were added.
#[derive(Serialize)]
struct SuggestionRecord {
    sentence: String,
    at: SubjectRecord,
    helps: Vec<SubjectRecord>,
}

impl SuggestionRecord {
    fn of(scene: &Scene, suggestion: Suggestion) -> Self {
        let helps = suggestion.helps.iter().map(|id| Subject::Marker(*id));
        Self {
            at: SubjectRecord::of(scene, suggestion.at),
            helps: helps.map(|subject| SubjectRecord::of(scene, subject)).collect(),
            sentence: suggestion.sentence,
        }
    }
}

/// One statement of the chain behind a finding.
#[derive(Serialize)]
struct StepRecord<'a> {
    sentence: &'a str,
    about: Vec<SubjectRecord>,
}

impl<'a> StepRecord<'a> {
    fn of(scene: &Scene, step: &'a Step) -> Self {
        let about = step.subjects.iter().map(|about| SubjectRecord::of(scene, *about));
        Self { sentence: &step.sentence, about: about.collect() }
    }
}

impl<'a> FindingRecord<'a> {
    fn of(scene: &Scene, assessment: &Assessment, finding: &'a Finding) -> Self {
        let mends = mends(scene, assessment, finding);
        Self {
            standing: standing_word(finding.standing),
            sentence: &finding.sentence,
            about: SubjectRecord::of(scene, finding.about),
            with: finding.with.iter().map(|with| SubjectRecord::of(scene, *with)).collect(),
            intended: finding.intended.as_deref(),
            because: finding.because.iter().map(|step| StepRecord::of(scene, step)).collect(),
            mends: mends.into_iter().map(Into::into).collect(),
        }
    }
}
