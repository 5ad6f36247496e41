//! Findings, why they are, and what would mend them.

use super::{SubjectRecord, intended_by};
use serde::Serialize;
use staffage_scene::{
    Assessment, Finding, Mend, Scene, Segment, Step, Subject, Suggestion, mends, standing_word,
};

#[derive(Serialize)]
pub(super) struct FindingRecord<'a> {
    standing: &'static str,
    sentence: &'a str,
    about: SubjectRecord,
    with: Vec<SubjectRecord>,
    intended: Option<&'a str>,
    intended_by: Option<&'a str>,
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
pub(super) struct SuggestionRecord {
    sentence: String,
    at: SubjectRecord,
    helps: Vec<SubjectRecord>,
}

impl SuggestionRecord {
    pub(super) fn of(scene: &Scene, suggestion: Suggestion) -> Self {
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
    pub(super) fn of(scene: &'a Scene, assessment: &Assessment, finding: &'a Finding) -> Self {
        let mends = mends(scene, assessment, finding);
        Self {
            standing: standing_word(finding.standing),
            sentence: &finding.sentence,
            about: SubjectRecord::of(scene, finding.about),
            with: finding.with.iter().map(|with| SubjectRecord::of(scene, *with)).collect(),
            intended: finding.intended.as_deref(),
            intended_by: intended_by(scene, finding.about),
            because: finding.because.iter().map(|step| StepRecord::of(scene, step)).collect(),
            mends: mends.into_iter().map(Into::into).collect(),
        }
    }
}
