//! Alternatives: the same place with other things marked and set into it. All else (the painting,
//! the eye, lines, levels, light, world) is shared.

use crate::{
    AlternativeId, EditError, Intended, Marker, Overlap, Scene, StandIn, Subject, taking_in,
};
use serde::{Deserialize, Serialize};

/// An idea with a name, on show or put aside.
///
/// A scene has none, or exactly one of them is on show: what it holds are the scene's own markers,
/// overlaps and stand-ins.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Alternative {
    /// Its stable id.
    pub id: AlternativeId,
    /// What the painter calls it.
    pub name: String,
    /// What it holds while it is put aside; `None` while it is on show.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub aside: Option<Idea>,
}

impl Alternative {
    /// Its name as part of a file's: small letters and digits, all else a hyphen, and no longer than a name
    /// can well be.
    #[must_use]
    pub fn name_for_a_file(&self) -> String {
        let name = self.name.trim().to_lowercase();
        name.chars().take(60).map(|c| if c.is_alphanumeric() { c } else { '-' }).collect()
    }
}

/// What one alternative has and another has not.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Idea {
    /// Measured things.
    pub markers: Vec<Marker>,
    /// What hides part of what.
    pub overlaps: Vec<Overlap>,
    /// Correct-size ghosts.
    pub stand_ins: Vec<StandIn>,
    /// Contradictions of these markers and overlaps that are kept on purpose.
    pub intended: Vec<Intended>,
}

/// What a new alternative begins with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Beginning {
    /// All that is on show.
    Copy,
    /// Nothing.
    Empty,
}

/// What the present contents are called once there is an alternative to them.
const FIRST: &str = "first idea";

impl Scene {
    /// The alternative with this id.
    #[must_use]
    pub fn alternative(&self, id: AlternativeId) -> Option<&Alternative> {
        self.alternatives.iter().find(|a| a.id == id)
    }

    /// The alternative of this name, however it is capitalised.
    #[must_use]
    pub fn alternative_named(&self, name: &str) -> Option<&Alternative> {
        let alternatives = || self.alternatives.iter();
        let same = |a: &&Alternative| a.name.to_lowercase() == name.trim().to_lowercase();
        alternatives().find(|a| a.name == name).or_else(|| alternatives().find(same))
    }

    /// The alternative on show; `None` where there are no alternatives.
    #[must_use]
    pub fn alternative_shown(&self) -> Option<&Alternative> {
        self.alternatives.iter().find(|a| a.aside.is_none())
    }

    /// The scene with another alternative on show; `None` where there is none of this id.
    #[must_use]
    pub fn showing(&self, id: AlternativeId) -> Option<Self> {
        let mut scene = self.clone();
        scene.show_alternative(id).ok()?;
        Some(scene)
    }

    /// What every alternative holds that is put aside.
    pub(crate) fn ideas_aside(&self) -> impl Iterator<Item = &Idea> {
        self.alternatives.iter().filter_map(|a| a.aside.as_ref())
    }

    /// Does the same to the scene with each of its alternatives on show.
    pub(crate) fn in_each_alternative(&mut self, mut what: impl FnMut(&mut Self)) {
        what(self);
        for at in 0..self.alternatives.len() {
            let Some(idea) = self.alternatives[at].aside.take() else { continue };
            let shown = self.exchange(idea);
            what(self);
            self.alternatives[at].aside = Some(self.exchange(shown));
        }
    }

    /// Puts an idea on show and returns what was.
    fn exchange(&mut self, mut idea: Idea) -> Idea {
        std::mem::swap(&mut self.markers, &mut idea.markers);
        std::mem::swap(&mut self.overlaps, &mut idea.overlaps);
        std::mem::swap(&mut self.stand_ins, &mut idea.stand_ins);
        let kept = std::mem::take(&mut self.intended);
        let (own, shared) = kept.into_iter().partition(|kept| is_of_idea(kept.about));
        self.intended = shared;
        self.intended.extend(std::mem::replace(&mut idea.intended, own));
        idea
    }

    /// Begins another alternative and puts it on show.
    pub(crate) fn start_alternative(&mut self, name: &str, beginning: Beginning) {
        if self.alternatives.is_empty() {
            let id = self.next_alternative_id();
            self.alternatives.push(Alternative { id, name: FIRST.into(), aside: None });
        }
        let before = self.exchange(Idea::default());
        if beginning == Beginning::Copy {
            self.exchange(before.clone());
        }
        self.put_shown_aside(before);
        let id = self.next_alternative_id();
        self.alternatives.push(Alternative { id, name: name.to_owned(), aside: None });
    }

    fn put_shown_aside(&mut self, idea: Idea) {
        if let Some(shown) = self.alternatives.iter_mut().find(|a| a.aside.is_none()) {
            shown.aside = Some(idea);
        }
    }

    /// Puts an alternative on show, and what was aside.
    pub(crate) fn show_alternative(&mut self, id: AlternativeId) -> Result<(), EditError> {
        let at = self.position(id)?;
        if let Some(idea) = self.alternatives[at].aside.clone() {
            let before = self.exchange(idea);
            self.put_shown_aside(before);
            self.alternatives[at].aside = None;
        }
        Ok(())
    }

    pub(crate) fn rename_alternative(
        &mut self,
        id: AlternativeId,
        name: &str,
    ) -> Result<(), EditError> {
        let at = self.position(id)?;
        self.alternatives[at].name = name.to_owned();
        Ok(())
    }

    /// Throws an alternative away. If it was on show, the next one is.
    pub(crate) fn remove_alternative(&mut self, id: AlternativeId) -> Result<(), EditError> {
        let at = self.position(id)?;
        if self.alternatives.len() > 1 && self.alternatives[at].aside.is_none() {
            let next = self.alternatives[(at + 1) % self.alternatives.len()].id;
            self.show_alternative(next)?;
        }
        self.alternatives.remove(at);
        if self.alternatives.len() == 1 {
            // One idea alone is no alternative to anything.
            self.alternatives.clear();
        }
        Ok(())
    }

    /// Takes what another alternative has and the one on show has not, and throws the other away.
    /// Where they differ in what they once had in common, both stay, the newcomer under a name that
    /// tells where it is from.
    pub(crate) fn merge_alternative(&mut self, id: AlternativeId) -> Result<(), EditError> {
        let at = self.position(id)?;
        let from = self.alternatives[at].name.clone();
        let Some(idea) = self.alternatives[at].aside.clone() else {
            return Err(EditError::OnShow(from));
        };
        taking_in::take_in(self, idea, &from);
        self.remove_alternative(id)
    }

    fn position(&self, id: AlternativeId) -> Result<usize, EditError> {
        let at = self.alternatives.iter().position(|a| a.id == id);
        at.ok_or_else(|| EditError::NotThere(format!("alternative {id}")))
    }
}

fn is_of_idea(about: Subject) -> bool {
    match about {
        Subject::Marker(_) | Subject::Overlap(_) | Subject::StandIn(_) => true,
        Subject::Line(_) | Subject::Level(_) | Subject::Guide(_) => false,
    }
}
