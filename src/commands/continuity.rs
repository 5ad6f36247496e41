//! `staffage continuity`: the same invented things in all paintings of a production.

use super::alternative::names;
use super::complaint::{sentence, unreadable};
use super::gathered::gathered;
use crate::arguments;
use rayon::prelude::*;
use serde::Serialize;
use staffage_scene::{
    Continuity, Discrepancy, DrawnSizes, DrawnThing, FileError, Identity, Measure, Member,
    ParseError, Scene, SharedThing, SizeBook, Standing, Unit, Units, continuity, drawn_sizes,
    identities, load, percent, plain_absolute, size_book_path, standing_word,
};
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Nothing contradicts.
const SOUND: u8 = 0;
/// Something contradicts.
const CONTRADICTS: u8 = 1;
/// Something could not be read.
const UNREADABLE: u8 = 2;

/// A scene of the production.
struct Piece {
    name: String,
    scene: Scene,
    book: Option<PathBuf>,
}

/// Compares the scenes and prints what they say of what they share.
///
/// # Errors
/// When standard output or standard error cannot be written to.
pub(crate) fn run(asked: &arguments::Continuity) -> io::Result<ExitCode> {
    let mut complaints = Vec::new();
    let pieces = read(&gathered(&asked.scenes), &mut complaints);
    let book = book(asked.book.as_deref(), &pieces, &mut complaints);
    let alternatives = alternatives(asked, &pieces, &mut complaints);
    let mut errors = io::stderr().lock();
    complaints.iter().try_for_each(|why| writeln!(errors, "{why}"))?;
    let mut out = io::BufWriter::new(io::stdout().lock());
    let production = Production { pieces, book, units: asked.units, complaints: &complaints };
    let (mut wrong, mut printed) = (false, Ok(()));
    for alternative in alternatives {
        let (is_wrong, said) = production.held(alternative.as_deref(), asked.json, &mut out);
        wrong |= is_wrong;
        printed = printed.and(said);
    }
    match printed.and_then(|()| out.flush()) {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => {}
        printed => printed?,
    }
    Ok(ExitCode::from(match () {
        () if !complaints.is_empty() => UNREADABLE,
        () if wrong => CONTRADICTS,
        () => SOUND,
    }))
}

/// The names of the alternatives that are to be on show, one after the other; none for the scenes as they
/// were saved.
fn alternatives(
    asked: &arguments::Continuity,
    pieces: &[Piece],
    complaints: &mut Vec<String>,
) -> Vec<Option<String>> {
    if let Some(name) = &asked.alternative {
        if !pieces.iter().any(|piece| piece.scene.alternative_named(name).is_some()) {
            complaints.push(format!(
                "No scene has an alternative called “{name}”: all were taken as they were saved."
            ));
        }
        return vec![Some(name.clone())];
    }
    let mut found: Vec<&str> = Vec::new();
    for name in pieces.iter().flat_map(|piece| names(&piece.scene)) {
        if !found.iter().any(|known| known.to_lowercase() == name.to_lowercase()) {
            found.push(name);
        }
    }
    if !asked.alternatives || found.is_empty() {
        return vec![None];
    }
    found.into_iter().map(|name| Some(name.to_owned())).collect()
}

/// What is held against each other.
struct Production<'a> {
    pieces: Vec<Piece>,
    book: Option<SizeBook>,
    units: Units,
    complaints: &'a [String],
}

impl Production<'_> {
    /// Adjusts all scenes with the alternative of this name on show, where they have it, and prints what
    /// came of it. Whether something contradicts that is not intended.
    fn held(
        &self,
        alternative: Option<&str>,
        json: bool,
        out: &mut impl Write,
    ) -> (bool, io::Result<()>) {
        let shown = |piece: &Piece| {
            let id = piece.scene.alternative_named(alternative?)?.id;
            piece.scene.showing(id)
        };
        let scenes: Vec<Cow<'_, Scene>> = self
            .pieces
            .iter()
            .map(|piece| shown(piece).map_or(Cow::Borrowed(&piece.scene), Cow::Owned))
            .collect();
        let book = self.book.as_ref();
        let named: Vec<Vec<Identity>> =
            scenes.par_iter().map(|scene| identities(scene, book)).collect();
        let named = shared(named);
        let drawn: Vec<DrawnSizes> =
            scenes.par_iter().zip(&named).map(|(scene, of)| drawn_sizes(scene, of)).collect();
        let members: Vec<Member<'_>> = self
            .pieces
            .iter()
            .zip(&scenes)
            .zip(named.iter().zip(&drawn))
            .map(|((piece, scene), (identities, drawn))| Member {
                name: &piece.name,
                scene,
                identities,
                drawn,
            })
            .collect();
        let found = continuity(&members, book, self.units);
        let wrong = found.findings.iter().any(|finding| finding.intended.is_none());
        let held = Held { members: &members, alternative, production: self, found: &found };
        let printed = if json {
            serde_json::to_writer(&mut *out, &Record::of(&held))
                .map_err(io::Error::from)
                .and_then(|()| writeln!(out))
        } else {
            words(out, &held)
        };
        (wrong, printed)
    }
}

/// The scenes as they were held against each other, and what was found.
struct Held<'a> {
    members: &'a [Member<'a>],
    alternative: Option<&'a str>,
    production: &'a Production<'a>,
    found: &'a Continuity,
}

/// The scenes that can be read, in the order asked for; size books among them are passed over.
fn read(paths: &[PathBuf], complaints: &mut Vec<String>) -> Vec<Piece> {
    let loaded: Vec<_> = paths.par_iter().map(|path| (path, load(path))).collect();
    let mut pieces = Vec::new();
    for (path, scene) in loaded {
        match scene {
            Ok(scene) => {
                let book = size_book_path(path, &scene);
                let name = path.display().to_string();
                pieces.push(Piece { name, scene, book });
            }
            Err(FileError::Parse { source: ParseError::SizeBook, .. }) => {}
            Err(why) => complaints.push(unreadable(path, &why.to_string())),
        }
    }
    pieces
}

/// The size book that was asked for, or the one that all scenes name that name any.
fn book(asked: Option<&Path>, pieces: &[Piece], complaints: &mut Vec<String>) -> Option<SizeBook> {
    let named: BTreeSet<PathBuf> = pieces
        .iter()
        .filter_map(|piece| piece.book.as_deref())
        .map(|path| plain_absolute(path).unwrap_or(path.to_owned()))
        .collect();
    let path = match (asked, named.len()) {
        (Some(asked), _) => asked,
        (None, 0) => return None,
        (None, 1) => named.first()?,
        (None, several) => {
            complaints.push(format!(
                "The scenes name {several} different size books, so none was used: choose one with --book."
            ));
            return None;
        }
    };
    SizeBook::read(path).map_err(|why| complaints.push(sentence(&why.to_string()))).ok()
}

/// Only those things that are in the book or in more than one scene.
fn shared(mut named: Vec<Vec<Identity>>) -> Vec<Vec<Identity>> {
    let mut scenes: BTreeMap<String, BTreeSet<usize>> = BTreeMap::new();
    for (place, identities) in named.iter().enumerate() {
        for identity in identities {
            scenes.entry(identity.key.clone()).or_default().insert(place);
        }
    }
    for identities in &mut named {
        identities.retain(|identity| identity.in_book || scenes[&identity.key].len() > 1);
    }
    named
}

fn words(out: &mut impl Write, held: &Held<'_>) -> io::Result<()> {
    let Held { members, alternative, production, found } = held;
    let book = production.book.as_ref();
    let scenes = if members.len() == 1 { "scene" } else { "scenes" };
    let things = if found.things.len() == 1 { "thing" } else { "things" };
    let book = book.map_or(String::new(), |book| format!(", size book “{}”", book.title));
    let alternative = alternative.map_or(String::new(), |name| format!(", alternative {name}"));
    let (count, shared) = (members.len(), found.things.len());
    writeln!(out, "{count} {scenes}, {shared} shared {things}{book}{alternative}")?;
    for thing in &found.things {
        shared_thing(out, members, thing, production.units)?;
    }
    let open: Vec<_> = found.findings.iter().filter(|f| f.intended.is_none()).collect();
    match open.len() {
        0 => writeln!(out, "  findings: nothing contradicts")?,
        1 => writeln!(out, "  findings: 1 contradicts")?,
        many => writeln!(out, "  findings: {many} contradict")?,
    }
    for finding in &found.findings {
        match &finding.intended {
            None => writeln!(out, "    contradicts  {}", finding.sentence)?,
            Some(why) => writeln!(out, "    intended     {} ({why})", finding.sentence)?,
        }
    }
    Ok(())
}

fn shared_thing(
    out: &mut impl Write,
    members: &[Member<'_>],
    thing: &SharedThing,
    units: Units,
) -> io::Result<()> {
    let book = thing.book.map_or(String::new(), |known| {
        format!("  {} ± {} in the size book", units.metres(known.metres), percent(known.spread))
    });
    let size = thing.size.map_or(String::new(), |size| {
        format!("  {} by all that agrees", units.measure(size, Unit::Metres))
    });
    writeln!(out, "  {}{book}{size}", thing.name)?;
    for drawn in &thing.drawn {
        let Member { name, scene, .. } = members[drawn.member];
        let marker = scene.marker(drawn.marker).map_or("", |marker| &marker.name);
        let size = drawn.size.map_or("no metres here".into(), |size| {
            let (size, ends) =
                (units.measure(size, Unit::Metres), units.interval(size, Unit::Metres));
            format!("{size} ({ends})")
        });
        let (ratio, standing) = (drawn.ratio, standing_word(drawn.standing));
        writeln!(out, "    {name}  {marker}  {size}  × {ratio:.2}  {standing}")?;
    }
    Ok(())
}

#[derive(Serialize)]
struct Record<'a> {
    scenes: Vec<&'a str>,
    /// That which is on show in those scenes that have it.
    alternative: Option<&'a str>,
    /// Of all numbers that are lengths.
    unit: &'static str,
    size_book: Option<&'a str>,
    errors: &'a [String],
    contradictions: usize,
    things: Vec<ThingRecord<'a>>,
    findings: Vec<FindingRecord<'a>>,
}

impl<'a> Record<'a> {
    fn of(held: &Held<'a>) -> Self {
        let Held { members, alternative, production, found } = *held;
        let findings = &found.findings;
        Self {
            scenes: members.iter().map(|member| member.name).collect(),
            alternative,
            unit: "metres",
            size_book: production.book.as_ref().map(|book| book.title.as_str()),
            errors: production.complaints,
            contradictions: findings.iter().filter(|f| f.intended.is_none()).count(),
            things: found.things.iter().map(|thing| ThingRecord::of(members, thing)).collect(),
            findings: findings.iter().map(|f| FindingRecord::of(members, f)).collect(),
        }
    }
}

#[derive(Serialize)]
struct Interval {
    value: f64,
    low: f64,
    high: f64,
}

impl From<Measure> for Interval {
    fn from(Measure { value, low, high }: Measure) -> Self {
        Self { value, low, high }
    }
}

/// Metres.
#[derive(Serialize)]
struct ThingRecord<'a> {
    name: &'a str,
    book: Option<f64>,
    size: Option<Interval>,
    drawn: Vec<DrawnRecord<'a>>,
}

#[derive(Serialize)]
struct DrawnRecord<'a> {
    scene: &'a str,
    id: u32,
    marker: &'a str,
    size: Option<Interval>,
    ratio: f64,
    standing: &'static str,
}

impl<'a> ThingRecord<'a> {
    fn of(members: &[Member<'a>], thing: &'a SharedThing) -> Self {
        let drawn = |drawn: &DrawnThing| {
            let Member { name, scene, .. } = members[drawn.member];
            DrawnRecord {
                scene: name,
                id: drawn.marker.0,
                marker: scene.marker(drawn.marker).map_or("", |marker| &marker.name),
                size: drawn.size.map(Into::into),
                ratio: drawn.ratio,
                standing: standing_word(drawn.standing),
            }
        };
        Self {
            name: &thing.name,
            book: thing.book.map(|known| known.metres),
            size: thing.size.map(Into::into),
            drawn: thing.drawn.iter().map(drawn).collect(),
        }
    }
}

#[derive(Serialize)]
struct FindingRecord<'a> {
    standing: &'static str,
    sentence: &'a str,
    thing: &'a str,
    /// None where it is the size book.
    scene: Option<&'a str>,
    id: Option<u32>,
    ratio: f64,
    standardized: f64,
    rivals: Vec<RivalRecord<'a>>,
    intended: Option<&'a str>,
}

#[derive(Serialize)]
struct RivalRecord<'a> {
    scene: &'a str,
    id: u32,
}

impl<'a> FindingRecord<'a> {
    fn of(members: &[Member<'a>], finding: &'a Discrepancy) -> Self {
        let rival = |&(member, marker): &(usize, staffage_scene::MarkerId)| RivalRecord {
            scene: members[member].name,
            id: marker.0,
        };
        Self {
            standing: standing_word(Standing::Contradicts),
            sentence: &finding.sentence,
            thing: &finding.name,
            scene: finding.culprit.map(|(member, _)| members[member].name),
            id: finding.culprit.map(|(_, marker)| marker.0),
            ratio: finding.ratio,
            standardized: finding.standardized,
            rivals: finding.rivals.iter().map(rival).collect(),
            intended: finding.intended.as_deref(),
        }
    }
}
