use crate::bounds::Bounds;
use crate::{Attention, Emphasis, View};
use glam::DVec2;
use staffage_scene::{
    Assessment, Entry, Family, FamilyReading, Finding, LineId, LineReading, Marker, MarkerId,
    Scene, Standing, Subject,
};
use std::collections::{HashMap, HashSet};

/// What every part of the drawing looks at, with its lookups.
#[derive(Debug)]
pub(crate) struct Stage<'a> {
    pub(crate) scene: &'a Scene,
    pub(crate) assessment: &'a Assessment,
    pub(crate) view: &'a View,
    pub(crate) emphasis: &'a Emphasis,
    markers: HashMap<MarkerId, &'a Marker>,
    entries: HashMap<MarkerId, &'a Entry>,
    lines: HashMap<LineId, &'a LineReading>,
    findings: HashMap<Subject, &'a Finding>,
    intended: HashSet<Subject>,
}

impl<'a> Stage<'a> {
    pub(crate) fn new(
        scene: &'a Scene,
        assessment: &'a Assessment,
        view: &'a View,
        emphasis: &'a Emphasis,
    ) -> Self {
        Self {
            scene,
            assessment,
            view,
            emphasis,
            markers: scene.markers.iter().map(|m| (m.id, m)).collect(),
            entries: assessment.ledger.iter().map(|e| (e.id, e)).collect(),
            lines: assessment.lines.iter().map(|l| (l.id, l)).collect(),
            // The worst comes first and is the one that stays.
            findings: assessment.findings.iter().rev().map(|f| (f.about, f)).collect(),
            intended: scene.intended.iter().map(|i| i.about).collect(),
        }
    }

    /// A rectangle that holds all that is seen, picture units.
    pub(crate) fn visible(&self) -> Bounds {
        Bounds { min: self.view.min, max: self.view.max }
    }

    pub(crate) fn marker(&self, id: MarkerId) -> Option<&'a Marker> {
        self.markers.get(&id).copied()
    }

    pub(crate) fn entry(&self, id: MarkerId) -> Option<&'a Entry> {
        self.entries.get(&id).copied()
    }

    pub(crate) fn line_reading(&self, id: LineId) -> Option<&'a LineReading> {
        self.lines.get(&id).copied()
    }

    pub(crate) fn family(&self, family: Family) -> Option<&'a FamilyReading> {
        self.assessment.eye.families.iter().find(|f| f.family == family)
    }

    /// The worst finding about a thing.
    pub(crate) fn finding(&self, about: Subject) -> Option<&'a Finding> {
        self.findings.get(&about).copied()
    }

    pub(crate) fn is_intended(&self, about: Subject) -> bool {
        self.intended.contains(&about)
    }

    /// How a marker stands; open as long as it is not in the ledger.
    pub(crate) fn standing(&self, id: MarkerId) -> Standing {
        self.entry(id).map_or(Standing::Open, |entry| entry.standing)
    }

    /// How much a marker is attended to: a level draws attention to all that stands on it.
    pub(crate) fn attention(&self, marker: &Marker) -> Attention {
        self.with_its_level(marker, self.emphasis.on(Subject::Marker(marker.id)))
    }

    /// The same for its name.
    pub(crate) fn naming(&self, marker: &Marker) -> Attention {
        self.with_its_level(marker, self.emphasis.naming(Subject::Marker(marker.id)))
    }

    fn with_its_level(&self, marker: &Marker, own: Attention) -> Attention {
        let on_level = |level| self.emphasis.on(Subject::Level(level));
        let of_level = marker.stands.level().map_or(Attention::Plain, on_level);
        own.max(of_level.min(Attention::Involved))
    }
}

/// Standings that are never hidden.
pub(crate) fn is_alarming(standing: Standing, intended: bool) -> bool {
    !intended && matches!(standing, Standing::Contradicts | Standing::Impossible)
}

/// Where a homogeneous point lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Whereabouts {
    /// At this point.
    At(DVec2),
    /// Infinitely far in this direction, which has unit length.
    Towards(DVec2),
}

/// A vanishing point more than this many frame widths away cannot be told from one at infinity:
/// across the frame its lines turn by less than a tenth of a degree.
const ENDLESS: f64 = 1e3;

/// Where a vanishing point lies, or nowhere if it is not a point.
pub(crate) fn place(vanishing_point: glam::DVec3) -> Option<Whereabouts> {
    let (across, w) = (vanishing_point.truncate(), vanishing_point.z);
    if across.length() < ENDLESS * w.abs() {
        let at = across / w;
        return at.is_finite().then_some(Whereabouts::At(at));
    }
    let towards = if w < 0.0 { -across } else { across };
    towards.try_normalize().map(Whereabouts::Towards)
}
