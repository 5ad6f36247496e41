//! Mends: the smallest changes after which a contradiction is gone.

mod drawn;
mod lines;
mod markers;
mod sayings;
mod slide;

use crate::{Assessment, Edit, Finding, Scene, Segment, Standing, Subject, apply, assess};
use glam::DVec2;
use std::collections::BTreeSet;

/// A change that makes a contradiction go away.
#[derive(Clone, Debug, PartialEq)]
pub struct Mend {
    /// The change.
    pub edit: Edit,
    /// What to do, in one plain sentence.
    pub sentence: String,
    /// Where painted points go, picture units; empty where nothing is repainted.
    pub moves: Vec<Segment>,
    /// The farthest of these moves, pixels at the working width.
    pub pixels: f64,
}

/// A change that may mend a finding, not yet tried.
struct Candidate {
    edit: Edit,
    sentence: String,
    moves: Vec<Segment>,
}

impl Candidate {
    /// A change of what is said, with nothing to repaint.
    fn said(edit: Edit, sentence: String) -> Self {
        Self { edit, sentence, moves: Vec::new() }
    }
}

/// The mends of a finding that contradicts or is impossible: repaints, the smallest first, then changes
/// of what is said. Each has been tried: the scene with the edit was assessed, the finding was gone, and
/// nothing contradicted that had not before. No mend moves a point out of the frame.
#[must_use]
pub fn mends(scene: &Scene, assessment: &Assessment, finding: &Finding) -> Vec<Mend> {
    if finding.standing > Standing::Contradicts {
        return Vec::new();
    }
    let candidates = match finding.about {
        Subject::Marker(id) => markers::candidates(scene, assessment, id),
        Subject::Line(id) => lines::candidates(scene, assessment, id),
        Subject::Level(id) => sayings::of_level(scene, assessment, id),
        Subject::Overlap(_) => sayings::of_overlaps(scene, finding),
        Subject::StandIn(_) => Vec::new(),
        // Guides are drawn from the scene and contradict nothing.
        Subject::Guide(_) => Vec::new(),
    };
    let before = wrong(assessment);
    let mut mends: Vec<Mend> = Vec::new();
    for candidate in candidates {
        // What reads the same is the same to the pixel.
        let is_new = |m: &Mend| m.edit != candidate.edit && m.sentence != candidate.sentence;
        let is_new = mends.iter().all(is_new);
        let is_seen = candidate.moves.iter().all(|m| stays_in_frame(scene, *m));
        if is_new && is_seen && clears(scene, &candidate.edit, finding.about, &before) {
            mends.push(measured(scene, candidate));
        }
    }
    mends.sort_by(|a, b| {
        let key = |m: &Mend| (m.moves.is_empty(), m.pixels);
        let (a, b) = (key(a), key(b));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    mends
}

/// What contradicts or is impossible.
fn wrong(assessment: &Assessment) -> BTreeSet<Subject> {
    let wrong = assessment.findings.iter().filter(|f| f.standing <= Standing::Contradicts);
    wrong.map(|f| f.about).collect()
}

/// Whether an edit can be made, takes a finding away and brings no new contradiction.
fn clears(scene: &Scene, edit: &Edit, about: Subject, before: &BTreeSet<Subject>) -> bool {
    let Ok(after) = apply(scene, edit) else { return false };
    let assessment = assess(&after);
    let standing = match about {
        Subject::Marker(id) => assessment.entry(id).map(|entry| entry.standing),
        Subject::Line(id) => assessment.lines.iter().find(|l| l.id == id).map(|l| l.standing),
        Subject::Level(_) | Subject::Overlap(_) | Subject::StandIn(_) | Subject::Guide(_) => None,
    };
    let wrong = wrong(&assessment);
    standing.is_none_or(|s| s > Standing::Strained)
        && !wrong.contains(&about)
        && wrong.is_subset(before)
}

/// Whether a point that is in the frame is still there after a move.
fn stays_in_frame(scene: &Scene, Segment(from, to): Segment) -> bool {
    let half_height = scene.frame.half_height();
    let inside = |p: DVec2| p.x.abs() <= 0.5 && p.y.abs() <= half_height;
    inside(to) || !inside(from)
}

fn measured(scene: &Scene, candidate: Candidate) -> Mend {
    let Candidate { edit, sentence, moves } = candidate;
    let pixels =
        moves.iter().map(|Segment(from, to)| pixels(scene, *to - *from)).fold(0.0, f64::max);
    Mend { edit, sentence, moves, pixels }
}

/// Length of a displacement in pixels at the working width.
fn pixels(scene: &Scene, by: DVec2) -> f64 {
    by.length() * f64::from(scene.frame.working_width)
}

/// A displacement in words: "14 px down".
fn in_words(scene: &Scene, by: DVec2) -> String {
    let pixels = pixels(scene, by);
    let decimals = usize::from(pixels < 9.95);
    let towards = match (by.x.abs() > by.y.abs(), by.x > 0.0, by.y > 0.0) {
        (true, true, _) => "to the right",
        (true, false, _) => "to the left",
        (false, _, true) => "down",
        (false, _, false) => "up",
    };
    format!("{pixels:.decimals$} px {towards}")
}
