use crate::thing::Thing;

/// What is selected: any number of things, one of which comes first. The properties show that one; all
/// are moved, deleted and copied together.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Selection {
    /// The first thing is the last of these.
    things: Vec<Thing>,
    /// Whether the thing was drawn a moment ago and not taken in hand since: a drag that starts at its
    /// end draws the next one.
    just_drawn: bool,
}

impl Selection {
    /// This thing alone.
    #[must_use]
    pub fn only(thing: Thing) -> Self {
        Self { things: vec![thing], just_drawn: false }
    }

    /// These things, the last of them first; what cannot be selected together with others is left out.
    #[must_use]
    pub fn of(things: impl IntoIterator<Item = Thing>) -> Self {
        let mut selection = Self::default();
        selection.extend(things);
        selection
    }

    /// This thing alone, which was drawn a moment ago.
    #[must_use]
    pub(crate) fn just_drawn(thing: Thing) -> Self {
        Self { things: vec![thing], just_drawn: true }
    }

    /// The thing whose properties are shown.
    #[must_use]
    pub fn first(&self) -> Option<Thing> {
        self.things.last().copied()
    }

    /// The only thing that is selected.
    #[must_use]
    pub fn single(&self) -> Option<Thing> {
        if let [thing] = self.things[..] { Some(thing) } else { None }
    }

    /// Everything that is selected.
    pub fn iter(&self) -> impl Iterator<Item = Thing> {
        self.things.iter().copied()
    }

    /// How many things are selected.
    #[must_use]
    pub fn len(&self) -> usize {
        self.things.len()
    }

    /// Whether nothing is selected.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.things.is_empty()
    }

    /// Whether more than one thing is selected.
    #[must_use]
    pub fn is_several(&self) -> bool {
        self.things.len() > 1
    }

    /// Whether this is selected.
    #[must_use]
    pub fn has(&self, thing: Thing) -> bool {
        self.things.contains(&thing)
    }

    /// The thing whose ends can be dragged where lines and markers are drawn.
    pub(crate) fn in_hand(&self) -> Option<Thing> {
        self.single().filter(|_| !self.just_drawn)
    }

    /// Adds a thing, or takes it away if it is there. What cannot be selected together with others is
    /// selected alone.
    pub fn toggle(&mut self, thing: Thing) {
        self.just_drawn = false;
        if let Some(at) = self.things.iter().position(|t| *t == thing) {
            self.things.remove(at);
        } else if goes_together(thing) && self.iter().all(goes_together) {
            self.things.push(thing);
        } else {
            *self = Self::only(thing);
        }
    }

    /// Adds things; what cannot be selected together with others is left out.
    pub fn extend(&mut self, things: impl IntoIterator<Item = Thing>) {
        self.just_drawn = false;
        self.things.retain(|thing| goes_together(*thing));
        for thing in things {
            if goes_together(thing) && !self.has(thing) {
                self.things.push(thing);
            }
        }
    }

    /// Keeps what fulfils a condition.
    pub(crate) fn retain(&mut self, keep: impl Fn(Thing) -> bool) {
        self.things.retain(|thing| keep(*thing));
    }
}

impl From<Option<Thing>> for Selection {
    fn from(thing: Option<Thing>) -> Self {
        thing.map_or_else(Self::default, Self::only)
    }
}

/// Whether a thing can be moved and deleted with others: it is on the picture, and no part of the eye.
fn goes_together(thing: Thing) -> bool {
    match thing {
        Thing::Of(subject) => !matches!(subject, staffage_scene::Subject::Level(_)),
        Thing::Horizon => true,
        Thing::EyeLevel | Thing::VanishingPoint(_) => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_scene::{LevelId, LineId, MarkerId, Subject};

    const FOREMAN: MarkerId = MarkerId(1);
    const EDGE: LineId = LineId(1);

    #[test]
    fn a_thing_is_added_once_and_taken_away_again() {
        let mut selection = Selection::only(Thing::marker(FOREMAN));
        selection.toggle(Thing::line(EDGE));
        assert_eq!((selection.len(), selection.first()), (2, Some(Thing::line(EDGE))));
        assert_eq!(selection.single(), None);
        selection.extend([Thing::marker(FOREMAN)]);
        assert_eq!(selection.len(), 2);
        selection.toggle(Thing::line(EDGE));
        assert_eq!(selection.single(), Some(Thing::marker(FOREMAN)));
    }

    #[test]
    fn the_horizon_of_the_eye_and_levels_are_selected_alone() {
        let level = Thing::Of(Subject::Level(LevelId(1)));
        for alone in [Thing::EyeLevel, level] {
            let mut selection = Selection::only(Thing::marker(FOREMAN));
            selection.toggle(alone);
            assert_eq!(selection, Selection::only(alone));
            selection.toggle(Thing::marker(FOREMAN));
            assert_eq!(selection, Selection::only(Thing::marker(FOREMAN)));
        }
    }

    #[test]
    fn what_was_just_drawn_is_taken_in_hand_by_selecting_it() {
        let thing = Thing::line(EDGE);
        assert_eq!(Selection::just_drawn(thing).in_hand(), None);
        assert_eq!(Selection::only(thing).in_hand(), Some(thing));
        assert_eq!(Selection::of([thing, Thing::marker(FOREMAN)]).in_hand(), None);
    }
}
