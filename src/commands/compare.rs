//! `staffage compare`: what changed between two versions of a scene.

use super::complaint::unreadable;
use crate::arguments;
use serde::Serialize;
use staffage_scene::{
    Assessment, Became, Comparison, EyeChange, Finding, LedgerChange, Measure, Measured, Scene,
    ThingChange, Unit, assess, compare, load, standing_word,
};
use std::io::{self, Write};
use std::path::Path;
use std::process::ExitCode;

/// Nothing contradicts that did not before.
const NO_WORSE: u8 = 0;
/// Something does.
const WORSE: u8 = 1;
/// A scene could not be read.
const UNREADABLE: u8 = 2;

/// Compares the scenes and prints what differs.
///
/// # Errors
/// When standard output or standard error cannot be written to.
pub(crate) fn run(asked: &arguments::Compare) -> io::Result<ExitCode> {
    let (before, after) = (read(&asked.before)?, read(&asked.after)?);
    let (Some(before), Some(after)) = (before, after) else {
        return Ok(ExitCode::from(UNREADABLE));
    };
    let found = compare((&before.0, &before.1), (&after.0, &after.1));
    let mut out = io::BufWriter::new(io::stdout().lock());
    let printed = if asked.json {
        serde_json::to_writer(&mut out, &Record::of(asked, &found))
            .map_err(io::Error::from)
            .and_then(|()| writeln!(out))
    } else {
        words(&mut out, asked, &found)
    };
    match printed.and_then(|()| out.flush()) {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => {}
        printed => printed?,
    }
    Ok(ExitCode::from(if found.new.is_empty() { NO_WORSE } else { WORSE }))
}

/// The scene and what follows from it; none if it cannot be read, which is then told.
fn read(path: &Path) -> io::Result<Option<(Scene, Assessment)>> {
    match load(path) {
        Ok(scene) => {
            let assessment = assess(&scene);
            Ok(Some((scene, assessment)))
        }
        Err(why) => {
            writeln!(io::stderr(), "{}", unreadable(path, &why.to_string()))?;
            Ok(None)
        }
    }
}

fn words(out: &mut impl Write, asked: &arguments::Compare, found: &Comparison) -> io::Result<()> {
    writeln!(out, "{} → {}", asked.before.display(), asked.after.display())?;
    if found.is_empty() {
        writeln!(out, "  nothing changed")?;
    }
    list(out, "mended", found.mended.iter().map(|finding| finding.sentence.clone()))?;
    list(out, "new", found.new.iter().map(|finding| finding.sentence.clone()))?;
    list(out, "kept on purpose now", found.kept.iter().map(kept))?;
    list(out, "eye", found.eye.iter().map(eye))?;
    list(out, "drawn or said otherwise", found.things.iter().map(|t| t.sentence.clone()))?;
    list(out, "measured otherwise", found.ledger.iter().map(LedgerChange::sentence))?;
    list(out, "contradicts still", found.still.iter().map(|finding| finding.sentence.clone()))
}

fn list(
    out: &mut impl Write,
    heading: &str,
    sentences: impl ExactSizeIterator<Item = String>,
) -> io::Result<()> {
    if sentences.len() == 0 {
        return Ok(());
    }
    writeln!(out, "  {heading}: {}", sentences.len())?;
    let mut sentences = sentences;
    sentences.try_for_each(|sentence| writeln!(out, "    {sentence}"))
}

fn kept(finding: &Finding) -> String {
    format!("{} ({})", finding.sentence, finding.intended.as_deref().unwrap_or_default())
}

fn eye(change: &EyeChange) -> String {
    let [was, is] = [change.before, change.after].map(|q| q.value.to_degrees());
    format!("{}: {was:.1}° → {is:.1}°", change.name)
}

#[derive(Serialize)]
struct Record<'a> {
    before: String,
    after: String,
    mended: Vec<FindingRecord<'a>>,
    new: Vec<FindingRecord<'a>>,
    kept: Vec<FindingRecord<'a>>,
    still: Vec<FindingRecord<'a>>,
    eye: Vec<EyeRecord>,
    things: Vec<ThingRecord<'a>>,
    ledger: Vec<LedgerRecord<'a>>,
}

impl<'a> Record<'a> {
    fn of(asked: &arguments::Compare, found: &'a Comparison) -> Self {
        let findings = |list: &'a [Finding]| list.iter().map(FindingRecord::of).collect();
        Self {
            before: asked.before.display().to_string(),
            after: asked.after.display().to_string(),
            mended: findings(&found.mended),
            new: findings(&found.new),
            kept: findings(&found.kept),
            still: findings(&found.still),
            eye: found.eye.iter().map(EyeRecord::of).collect(),
            things: found.things.iter().map(ThingRecord::of).collect(),
            ledger: found.ledger.iter().map(LedgerRecord::of).collect(),
        }
    }
}

#[derive(Serialize)]
struct FindingRecord<'a> {
    standing: &'static str,
    sentence: &'a str,
    intended: Option<&'a str>,
}

impl<'a> FindingRecord<'a> {
    fn of(finding: &'a Finding) -> Self {
        Self {
            standing: standing_word(finding.standing),
            sentence: &finding.sentence,
            intended: finding.intended.as_deref(),
        }
    }
}

/// Degrees.
#[derive(Serialize)]
struct EyeRecord {
    quantity: &'static str,
    before: f64,
    after: f64,
}

impl EyeRecord {
    fn of(change: &EyeChange) -> Self {
        let [before, after] = [change.before, change.after].map(|q| q.value.to_degrees());
        Self { quantity: change.name, before, after }
    }
}

#[derive(Serialize)]
struct ThingRecord<'a> {
    became: &'static str,
    sentence: &'a str,
    /// At the working width.
    pixels: Option<f64>,
}

impl<'a> ThingRecord<'a> {
    fn of(change: &'a ThingChange) -> Self {
        let became = match change.became {
            Became::New => "new",
            Became::Gone => "gone",
            Became::Moved => "moved",
            Became::Changed => "changed",
        };
        Self { became, sentence: &change.sentence, pixels: change.pixels }
    }
}

#[derive(Serialize)]
struct LedgerRecord<'a> {
    id: u32,
    name: &'a str,
    before: MeasuredRecord,
    after: MeasuredRecord,
}

#[derive(Serialize)]
struct MeasuredRecord {
    distance: Option<f64>,
    size: Option<f64>,
    unit: &'static str,
    standing: &'static str,
}

impl<'a> LedgerRecord<'a> {
    fn of(change: &'a LedgerChange) -> Self {
        let side = |of: &Measured| MeasuredRecord {
            distance: of.distance.map(|m: Measure| m.value),
            size: of.size.map(|m| m.value),
            unit: if of.unit == Unit::Metres { "metres" } else { "eye heights" },
            standing: standing_word(of.standing),
        };
        Self {
            id: change.marker.0,
            name: &change.name,
            before: side(&change.before),
            after: side(&change.after),
        }
    }
}
