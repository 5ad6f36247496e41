use staffage_scene::{Assessment, LineId, MarkerId, Scene, Subject, subject_name};

/// What can be selected.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Thing {
    /// Something with an id.
    Of(Subject),
    /// The traced horizon.
    Horizon,
}

impl Thing {
    /// A marker.
    #[must_use]
    pub fn marker(id: MarkerId) -> Self {
        Self::Of(Subject::Marker(id))
    }

    /// A traced line.
    #[must_use]
    pub fn line(id: LineId) -> Self {
        Self::Of(Subject::Line(id))
    }

    /// The subject that it is, unless it is the horizon.
    #[must_use]
    pub fn subject(self) -> Option<Subject> {
        match self {
            Self::Of(subject) => Some(subject),
            Self::Horizon => None,
        }
    }

    /// Whether the scene (still) has it.
    #[must_use]
    pub fn exists(self, scene: &Scene) -> bool {
        match self {
            Self::Horizon => scene.horizon.is_some(),
            Self::Of(Subject::Line(id)) => scene.line(id).is_some(),
            Self::Of(Subject::Marker(id)) => scene.marker(id).is_some(),
            Self::Of(Subject::Level(id)) => scene.level(id).is_some(),
            Self::Of(Subject::Overlap(id)) => scene.overlap(id).is_some(),
        }
    }

    /// What to call it in a sentence or in the accessibility tree.
    #[must_use]
    pub fn name(self, scene: &Scene) -> String {
        match self {
            Self::Horizon => "traced horizon".into(),
            Self::Of(subject) => subject_name(scene, subject),
        }
    }
}

/// What to call a marker.
#[must_use]
pub(crate) fn marker_name(id: MarkerId, scene: &Scene) -> String {
    subject_name(scene, Subject::Marker(id))
}

/// Every selectable thing: the markers near to far, then the lines, then the overlaps.
#[must_use]
pub(crate) fn in_order(scene: &Scene, assessment: &Assessment) -> Vec<Thing> {
    let mut things: Vec<Thing> = assessment.ledger.iter().map(|e| Thing::marker(e.id)).collect();
    things.extend(scene.lines.iter().map(|l| Thing::line(l.id)));
    things.extend(scene.horizon.iter().map(|_| Thing::Horizon));
    things.extend(scene.overlaps.iter().map(|o| Thing::Of(Subject::Overlap(o.id))));
    things
}
