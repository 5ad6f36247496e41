//! What changed between two versions of a scene: what moved, what is new, what was mended.

use crate::{
    Assessment, EyeReading, Finding, Marker, MarkerId, Measure, Scene, Segment, Standing, Subject,
    Unit, Units, subject_name,
};
use glam::DVec2;
use staffage_solver::Quantity;

/// The difference between two versions of a scene.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Comparison {
    /// The angles of the eye that changed.
    pub eye: Vec<EyeChange>,
    /// Things that are new, gone, moved or said otherwise, in the order of the scene.
    pub things: Vec<ThingChange>,
    /// Markers whose size, distance or standing is another.
    pub ledger: Vec<LedgerChange>,
    /// What contradicted or was impossible before and does no more.
    pub mended: Vec<Finding>,
    /// What contradicts or is impossible now and did not before.
    pub new: Vec<Finding>,
    /// What contradicts or is impossible as it did before.
    pub still: Vec<Finding>,
    /// What is kept on purpose now and was not before.
    pub kept: Vec<Finding>,
}

impl Comparison {
    /// Whether nothing differs.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.eye.is_empty()
            && self.things.is_empty()
            && self.ledger.is_empty()
            && self.mended.is_empty()
            && self.new.is_empty()
            && self.kept.is_empty()
    }
}

/// An angle of the eye before and after, radians.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EyeChange {
    /// Which: "angle of view", "pitch", "cant".
    pub name: &'static str,
    /// Before.
    pub before: Quantity,
    /// After.
    pub after: Quantity,
}

/// What became of a thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Became {
    /// It was not there before.
    New,
    /// It is there no more.
    Gone,
    /// It lies elsewhere in the picture.
    Moved,
    /// Something else is said of it.
    Changed,
}

/// A thing that is not as it was.
#[derive(Clone, Debug, PartialEq)]
pub struct ThingChange {
    /// The thing; none where it is the painting or the frame.
    pub about: Option<Subject>,
    /// What became of it.
    pub became: Became,
    /// How far it moved at the working width, pixels.
    pub pixels: Option<f64>,
    /// The change in a plain sentence.
    pub sentence: String,
}

/// A marker that measures otherwise.
#[derive(Clone, Debug, PartialEq)]
pub struct LedgerChange {
    /// The marker.
    pub marker: MarkerId,
    /// What it is called now.
    pub name: String,
    /// Before.
    pub before: Measured,
    /// After.
    pub after: Measured,
}

/// What the ledger says of a marker.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// How far off it is.
    pub distance: Option<Measure>,
    /// How large it is.
    pub size: Option<Measure>,
    /// Unit of both.
    pub unit: Unit,
    /// How it stands.
    pub standing: Standing,
}

/// A change of an angle that is written, radians: a twentieth of a degree.
const WRITTEN: f64 = 0.05 / 57.295_779_513_082_32;

/// A change of a length that is told, as a ratio: what an eye would hardly see.
const TOLD: f64 = 1.01;

/// A move that is told, pixels at the working width: less is rounding.
const STIRRED: f64 = 0.05;

/// Compares two versions of a scene, things by their ids, which outlive renaming and moving.
#[must_use]
pub fn compare(before: (&Scene, &Assessment), after: (&Scene, &Assessment)) -> Comparison {
    let (mended, new, still, kept) = findings(before.1, after.1);
    Comparison {
        eye: eye(&before.1.eye, &after.1.eye),
        things: things(before.0, after.0),
        ledger: ledger(before, after),
        mended,
        new,
        still,
        kept,
    }
}

fn eye(before: &EyeReading, after: &EyeReading) -> Vec<EyeChange> {
    let angles = [
        ("angle of view", before.angle_of_view, after.angle_of_view),
        ("pitch", before.pitch, after.pitch),
        ("cant", before.cant, after.cant),
    ];
    angles
        .into_iter()
        .filter(|(_, before, after)| {
            (after.value - before.value).abs() > WRITTEN || before.source != after.source
        })
        .map(|(name, before, after)| EyeChange { name, before, after })
        .collect()
}

type Sorted = (Vec<Finding>, Vec<Finding>, Vec<Finding>, Vec<Finding>);

fn findings(before: &Assessment, after: &Assessment) -> Sorted {
    let wrong = |finding: &&Finding| finding.standing <= Standing::Contradicts;
    let open = |finding: &&Finding| finding.intended.is_none();
    let in_list = |list: &Assessment, finding: &Finding| {
        list.findings.iter().filter(wrong).filter(open).any(|f| f.about == finding.about)
    };
    let now = || after.findings.iter().filter(wrong);
    let was = before.findings.iter().filter(wrong).filter(open);
    let is_kept =
        |finding: &Finding| now().any(|f| f.about == finding.about && f.intended.is_some());
    let mended = was.filter(|f| !in_list(after, f) && !is_kept(f)).cloned().collect();
    let (still, new) = now().filter(open).cloned().partition(|f| in_list(before, f));
    let kept_before = |finding: &&Finding| {
        before.findings.iter().any(|f| f.about == finding.about && f.intended.is_some())
    };
    let kept = now().filter(|f| f.intended.is_some() && !kept_before(f)).cloned().collect();
    (mended, new, still, kept)
}

fn ledger(before: (&Scene, &Assessment), after: (&Scene, &Assessment)) -> Vec<LedgerChange> {
    let measured = |assessment: &Assessment, id| {
        let entry = assessment.entry(id)?;
        let crate::Entry { distance, size, unit, standing, .. } = *entry;
        Some(Measured { distance, size, unit, standing })
    };
    let change = |marker: &Marker| {
        let (was, is) = (measured(before.1, marker.id)?, measured(after.1, marker.id)?);
        let other = |a: Option<Measure>, b: Option<Measure>| match (a, b) {
            (Some(a), Some(b)) => (a.value / b.value).ln().abs() > TOLD.ln(),
            (a, b) => a.is_some() != b.is_some(),
        };
        let differs = was.standing != is.standing
            || was.unit != is.unit
            || other(was.distance, is.distance)
            || other(was.size, is.size);
        let name = marker.name.clone();
        differs.then_some(LedgerChange { marker: marker.id, name, before: was, after: is })
    };
    after.0.markers.iter().filter_map(change).collect()
}

impl LedgerChange {
    /// The change in a plain sentence: "gate: size 12 m → 14 m".
    #[must_use]
    pub fn sentence(&self, units: Units) -> String {
        let words =
            |m: Option<Measure>, unit| m.map_or("not fixed".into(), |m| units.measure(m, unit));
        let pair = |what: &str, of: fn(&Measured) -> Option<Measure>| {
            let [a, b] = [&self.before, &self.after].map(|side| words(of(side), side.unit));
            (a != b).then(|| format!("{what} {a} → {b}"))
        };
        let standings = [self.before.standing, self.after.standing].map(crate::standing_word);
        let standing =
            (standings[0] != standings[1]).then(|| format!("{} → {}", standings[0], standings[1]));
        let parts = [pair("size", |m| m.size), pair("distance", |m| m.distance), standing];
        let parts: Vec<String> = parts.into_iter().flatten().collect();
        if parts.is_empty() {
            return format!("{}: by less than it is known to", self.name);
        }
        format!("{}: {}", self.name, parts.join(", "))
    }
}

fn things(before: &Scene, after: &Scene) -> Vec<ThingChange> {
    let mut changes = Vec::new();
    whole(before, after, &mut changes);
    let mut gather = |became, about: Subject, pixels: Option<f64>, more: &str| {
        let scene = if became == Became::Gone { before } else { after };
        let name = subject_name(scene, about);
        let kind = kind(about);
        let sentence = match became {
            Became::New => format!("{kind} {name} is new."),
            Became::Gone => format!("{kind} {name} is gone."),
            Became::Moved => {
                format!("{kind} {name} moved by {:.1} px{more}.", pixels.unwrap_or(0.0))
            }
            Became::Changed => format!("{kind} {name}: {more}."),
        };
        changes.push(ThingChange { about: Some(about), became, pixels, sentence });
    };
    let width = f64::from(after.frame.working_width);
    each(
        &before.lines,
        &after.lines,
        |l| Subject::Line(l.id),
        |was, is| {
            let moved = segment_moved(was.segment, is.segment) * width;
            let said = if was.family == is.family { "" } else { "it belongs to another family" };
            (moved, said.to_owned())
        },
        &mut gather,
    );
    each(
        &before.levels,
        &after.levels,
        |l| Subject::Level(l.id),
        |was, is| (0.0, if was == is { "" } else { "something else is said of it" }.to_owned()),
        &mut gather,
    );
    each(
        &before.markers,
        &after.markers,
        |m| Subject::Marker(m.id),
        |was, is| {
            let moved = [(was.foot, is.foot), (was.head, is.head)];
            let moved = moved.map(|(a, b)| a.distance(b)).into_iter().fold(0.0, f64::max);
            (moved.max(tie_moved(was, is)) * width, marker_said(was, is))
        },
        &mut gather,
    );
    each(
        &before.overlaps,
        &after.overlaps,
        |o| Subject::Overlap(o.id),
        |was, is| (0.0, if was == is { "" } else { "it was turned round" }.to_owned()),
        &mut gather,
    );
    each(
        &before.guides,
        &after.guides,
        |g| Subject::Guide(g.id),
        |was, is| (0.0, if was == is { "" } else { "it was changed" }.to_owned()),
        &mut gather,
    );
    each(
        &before.stand_ins,
        &after.stand_ins,
        |s| Subject::StandIn(s.id),
        |was, is| {
            let same = was.moved(is.foot - was.foot) == *is;
            let said = if same { "" } else { "it was changed" };
            (was.foot.distance(is.foot) * width, said.to_owned())
        },
        &mut gather,
    );
    changes
}

/// Compares two lists by what their things are; `differs` tells by how many pixels one moved and what else
/// of it is another.
fn each<T>(
    before: &[T],
    after: &[T],
    subject: impl Fn(&T) -> Subject,
    differs: impl Fn(&T, &T) -> (f64, String),
    gather: &mut impl FnMut(Became, Subject, Option<f64>, &str),
) {
    for is in after {
        let about = subject(is);
        let Some(was) = before.iter().find(|was| subject(was) == about) else {
            gather(Became::New, about, None, "");
            continue;
        };
        let (pixels, said) = differs(was, is);
        if pixels > STIRRED {
            let more = if said.is_empty() { String::new() } else { format!("; {said}") };
            gather(Became::Moved, about, Some(pixels), &more);
        } else if !said.is_empty() {
            gather(Became::Changed, about, None, &said);
        }
    }
    for was in before {
        let about = subject(was);
        if !after.iter().any(|is| subject(is) == about) {
            gather(Became::Gone, about, None, "");
        }
    }
}

/// What of the painting and the frame is another.
fn whole(before: &Scene, after: &Scene, changes: &mut Vec<ThingChange>) {
    let mut say = |sentence: String| {
        let (about, became, pixels) = (None, Became::Changed, None);
        changes.push(ThingChange { about, became, pixels, sentence });
    };
    let [was, is] = [before, after].map(|scene| scene.painting.as_ref());
    match (was, is) {
        (Some(was), Some(is)) if was.path != is.path => say(format!(
            "The painting is another file: {} instead of {}.",
            is.path.display(),
            was.path.display()
        )),
        (Some(was), Some(is)) if was.size != is.size => say(format!(
            "The painting is {} × {} px instead of {} × {}.",
            is.size.0, is.size.1, was.size.0, was.size.1
        )),
        (None, Some(_)) => say("There is a painting now.".into()),
        (Some(_), None) => say("There is no painting any more.".into()),
        _ => {}
    }
    if before.frame.ratio != after.frame.ratio {
        let (was, is) = (before.frame.ratio, after.frame.ratio);
        say(format!("The frame is {is:.3} : 1 instead of {was:.3} : 1."));
    }
    if before.eye != after.eye {
        say("What is set by hand of the eye is another.".into());
    }
    if before.horizon != after.horizon {
        say("The traced horizon is another.".into());
    }
    if before.world != after.world {
        say("The world is another.".into());
    }
}

fn segment_moved(was: Segment, is: Segment) -> f64 {
    was.0.distance(is.0).max(was.1.distance(is.1))
}

fn tie_moved(was: &Marker, is: &Marker) -> f64 {
    let tie = |marker: &Marker| marker.stands.tie();
    match (tie(was), tie(is)) {
        (Some(a), Some(b)) => DVec2::distance(a, b),
        _ => 0.0,
    }
}

/// What else is said of a marker.
fn marker_said(was: &Marker, is: &Marker) -> String {
    let mut said = Vec::new();
    if was.name != is.name {
        said.push(format!("it was called {}", was.name));
    }
    if was.span != is.span {
        said.push("its span runs otherwise".to_owned());
    }
    let untied = |marker: &Marker| marker.stands.tied_at(DVec2::ZERO);
    if untied(was) != untied(is) {
        said.push("it stands on something else".into());
    }
    if was.statements != is.statements {
        said.push("something else is known of it".into());
    }
    said.join(", ")
}

/// What a thing is, to begin a sentence.
fn kind(about: Subject) -> &'static str {
    match about {
        Subject::Line(_) => "Line",
        Subject::Marker(_) => "Marker",
        Subject::Level(_) => "Level",
        Subject::Overlap(_) => "Overlap",
        Subject::StandIn(_) => "Stand-in",
        Subject::Guide(_) => "Guide",
    }
}
