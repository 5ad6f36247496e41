use crate::side::near_to_far::{self, Row};
use staffage_scene::{
    Assessment, Family, GuideId, LineId, MarkerId, Scene, StandIn, Subject, family_name,
    place_stand_in, subject_name,
};

/// What can be selected.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Thing {
    /// Something with an id.
    Of(Subject),
    /// The traced horizon.
    Horizon,
    /// The horizon as the eye has it.
    EyeLevel,
    /// The vanishing point of a family.
    VanishingPoint(Family),
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

    /// A guide that is kept.
    #[must_use]
    pub fn guide(id: GuideId) -> Self {
        Self::Of(Subject::Guide(id))
    }

    /// Whether it is part of the eye's picture: the horizon or a vanishing point.
    #[must_use]
    pub fn is_of_eye(self) -> bool {
        matches!(self, Self::EyeLevel | Self::VanishingPoint(_))
    }

    /// The subject that it is, if it has an id.
    #[must_use]
    pub fn subject(self) -> Option<Subject> {
        match self {
            Self::Of(subject) => Some(subject),
            Self::Horizon | Self::EyeLevel | Self::VanishingPoint(_) => None,
        }
    }

    /// Whether the scene (still) has it.
    #[must_use]
    pub fn exists(self, scene: &Scene) -> bool {
        match self {
            Self::Horizon => scene.horizon.is_some(),
            Self::EyeLevel | Self::VanishingPoint(Family::Upright) => true,
            Self::VanishingPoint(Family::RecedingLeft(id) | Family::RecedingRight(id)) => {
                scene.block(id).is_some()
            }
            Self::VanishingPoint(Family::Incline(id) | Family::Run(id)) => {
                scene.incline(id).is_some()
            }
            Self::Of(Subject::Line(id)) => scene.line(id).is_some(),
            Self::Of(Subject::Marker(id)) => scene.marker(id).is_some(),
            Self::Of(Subject::Level(id)) => scene.level(id).is_some(),
            Self::Of(Subject::Overlap(id)) => scene.overlap(id).is_some(),
            Self::Of(Subject::StandIn(id)) => scene.stand_in(id).is_some(),
            Self::Of(Subject::Guide(id)) => scene.guide(id).is_some(),
        }
    }

    /// What to call it in a sentence or in the accessibility tree.
    #[must_use]
    pub fn name(self, scene: &Scene) -> String {
        match self {
            Self::Horizon => "traced horizon".into(),
            Self::EyeLevel => "horizon".into(),
            Self::VanishingPoint(family) => {
                format!("vanishing point of {}", family_name(scene, family))
            }
            Self::Of(subject) => subject_name(scene, subject),
        }
    }
}

/// What to call a marker.
#[must_use]
pub(crate) fn marker_name(id: MarkerId, scene: &Scene) -> String {
    subject_name(scene, Subject::Marker(id))
}

/// Every selectable thing: the markers and the stand-ins near to far, then the lines, the overlaps, the
/// guides, the levels, and the eye's horizon and vanishing points.
#[must_use]
pub(crate) fn in_order(scene: &Scene, assessment: &Assessment) -> Vec<Thing> {
    let reach = |s: &StandIn| place_stand_in(scene, assessment, s).ok().map(|p| p.reach().0);
    let rows = near_to_far::rows(scene, assessment, reach);
    let mut things: Vec<Thing> = rows
        .into_iter()
        .map(|row| match row {
            Row::Marker(place) => Thing::marker(assessment.ledger[place].id),
            Row::StandIn(id) => Thing::Of(Subject::StandIn(id)),
        })
        .collect();
    things.extend(scene.lines.iter().map(|l| Thing::line(l.id)));
    things.extend(scene.horizon.iter().map(|_| Thing::Horizon));
    things.extend(scene.overlaps.iter().map(|o| Thing::Of(Subject::Overlap(o.id))));
    things.extend(scene.guides.iter().map(|g| Thing::guide(g.id)));
    things.extend(scene.levels.iter().map(|l| Thing::Of(Subject::Level(l.id))));
    things.push(Thing::EyeLevel);
    things.extend(assessment.eye.families.iter().map(|f| Thing::VanishingPoint(f.family)));
    things
}
