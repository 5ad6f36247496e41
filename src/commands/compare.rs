//! `staffage compare`: what changed between two versions of a scene.

use super::alternative::Which;
use super::complaint::{sentence, unreadable};
use crate::arguments;
use serde::Serialize;
use staffage_scene::{
    Assessment, Became, Comparison, EyeChange, Finding, LedgerChange, Measure, Measured, Scene,
    ThingChange, Unit, Units, assess_in, compare, load, standing_word,
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
    let which = Which { name: asked.alternative.as_deref(), every: asked.alternatives };
    let read = |path: &Path| read(path, which, asked.units);
    let (before, after) = (read(&asked.before)?, read(&asked.after)?);
    let (Some(before), Some(after)) = (before, after) else {
        return Ok(ExitCode::from(UNREADABLE));
    };
    let mut worst = NO_WORSE;
    let mut out = io::BufWriter::new(io::stdout().lock());
    let mut printed = Ok(());
    for (was, is) in pairs(&before, &after) {
        let found = compare((&was.scene, &was.assessment), (&is.scene, &is.assessment));
        worst = worst.max(if found.new.is_empty() { NO_WORSE } else { WORSE });
        let pair = Pair { asked, alternative: is.name().or(was.name()), ideas: Ideas::of(was, is) };
        printed = printed.and_then(|()| pair.print(&mut out, &found));
    }
    match printed.and_then(|()| out.flush()) {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => {}
        printed => printed?,
    }
    Ok(ExitCode::from(worst))
}

/// A version of a scene with one of its alternatives on show, and what follows from it.
struct Version {
    scene: Scene,
    assessment: Assessment,
}

impl Version {
    /// The name of the alternative on show, where there are any.
    fn name(&self) -> Option<&str> {
        self.scene.alternative_shown().map(|shown| shown.name.as_str())
    }
}

/// The scene as it is asked for; none if it cannot be read, which is then told.
fn read(path: &Path, which: Which<'_>, units: Units) -> io::Result<Option<Vec<Version>>> {
    let scenes = match load(path) {
        Ok(scene) => which.of(path, scene).map_err(|why| sentence(&why)),
        Err(why) => Err(unreadable(path, &why.to_string())),
    };
    match scenes {
        Ok(scenes) => {
            let version = |scene| Version { assessment: assess_in(&scene, units), scene };
            Ok(Some(scenes.into_iter().map(version).collect()))
        }
        Err(why) => {
            writeln!(io::stderr(), "{why}")?;
            Ok(None)
        }
    }
}

/// Which are compared: those of one name, and what has no alternatives with every one of the other's.
fn pairs<'a>(before: &'a [Version], after: &'a [Version]) -> Vec<(&'a Version, &'a Version)> {
    let same = |was: &Version, is: &Version| match (was.name(), is.name()) {
        (Some(was), Some(is)) => was.to_lowercase() == is.to_lowercase(),
        _ => true,
    };
    if let ([was], [is]) = (before, after) {
        return vec![(was, is)];
    }
    let with = |is| before.iter().filter(move |was| same(was, is)).map(move |was| (was, is));
    after.iter().flat_map(with).collect()
}

/// Alternatives that one version of a scene has and the other has not.
#[derive(Debug, Default)]
struct Ideas<'a> {
    new: Vec<&'a str>,
    gone: Vec<&'a str>,
}

impl<'a> Ideas<'a> {
    fn of(was: &'a Version, is: &'a Version) -> Self {
        let only = |of: &'a Version, other: &Version| {
            let names = of.scene.alternatives.iter().map(|a| a.name.as_str());
            names.filter(|name| other.scene.alternative_named(name).is_none()).collect()
        };
        Self { new: only(is, was), gone: only(was, is) }
    }

    fn is_empty(&self) -> bool {
        self.new.is_empty() && self.gone.is_empty()
    }
}

/// What is compared.
struct Pair<'a> {
    asked: &'a arguments::Compare,
    alternative: Option<&'a str>,
    ideas: Ideas<'a>,
}

impl Pair<'_> {
    fn print(&self, out: &mut impl Write, found: &Comparison) -> io::Result<()> {
        if self.asked.json {
            serde_json::to_writer(&mut *out, &Record::of(self, found))?;
            return writeln!(out);
        }
        words(out, self, found)
    }
}

fn words(out: &mut impl Write, pair: &Pair<'_>, found: &Comparison) -> io::Result<()> {
    let Pair { asked, alternative, ideas } = pair;
    let named = alternative.map_or(String::new(), |name| format!(", alternative {name}"));
    writeln!(out, "{} → {}{named}", asked.before.display(), asked.after.display())?;
    if found.is_empty() && ideas.is_empty() {
        writeln!(out, "  nothing changed")?;
    }
    for (what, names) in [("new", &ideas.new), ("gone", &ideas.gone)] {
        if !names.is_empty() {
            writeln!(out, "  alternatives that are {what}: {}", names.join(", "))?;
        }
    }
    list(out, "mended", found.mended.iter().map(|finding| finding.sentence.clone()))?;
    list(out, "new", found.new.iter().map(|finding| finding.sentence.clone()))?;
    list(out, "kept on purpose now", found.kept.iter().map(kept))?;
    list(out, "eye", found.eye.iter().map(eye))?;
    list(out, "drawn or said otherwise", found.things.iter().map(|t| t.sentence.clone()))?;
    list(out, "measured otherwise", found.ledger.iter().map(|l| l.sentence(asked.units)))?;
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
    /// That which is on show, where there are any.
    alternative: Option<&'a str>,
    alternatives_new: &'a [&'a str],
    alternatives_gone: &'a [&'a str],
    mended: Vec<FindingRecord<'a>>,
    new: Vec<FindingRecord<'a>>,
    kept: Vec<FindingRecord<'a>>,
    still: Vec<FindingRecord<'a>>,
    eye: Vec<EyeRecord>,
    things: Vec<ThingRecord<'a>>,
    ledger: Vec<LedgerRecord<'a>>,
}

impl<'a> Record<'a> {
    fn of(pair: &'a Pair<'_>, found: &'a Comparison) -> Self {
        let findings = |list: &'a [Finding]| list.iter().map(FindingRecord::of).collect();
        Self {
            before: pair.asked.before.display().to_string(),
            after: pair.asked.after.display().to_string(),
            alternative: pair.alternative,
            alternatives_new: &pair.ideas.new,
            alternatives_gone: &pair.ideas.gone,
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
