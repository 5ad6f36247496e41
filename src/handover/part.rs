use staffage_drawing::{Drawing, Group};
use staffage_scene::{Assessment, Subject};
use std::collections::HashSet;

/// What of the ink is wanted. A thing can be in two parts: a staff that contradicts is a marker as
/// well as a finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Part {
    /// The horizon, the vanishing points and the traced lines.
    Guides,
    /// The markers, how they stand, and what is in front of what.
    Markers,
    /// Everything that a finding is about, and nothing else.
    Findings,
}

impl Part {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Guides, Self::Markers, Self::Findings];

    /// What it is called.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Guides => "guides",
            Self::Markers => "markers",
            Self::Findings => "findings",
        }
    }

    /// The part of this name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|part| part.name() == name)
    }

    /// Whether it has this group of ink.
    fn has(self, group: &Group, found: &HashSet<Subject>) -> bool {
        match (self, group.about) {
            (Self::Guides, about) => {
                matches!(about, None | Some(Subject::Line(_) | Subject::Level(_)))
            }
            (Self::Markers, about) => {
                matches!(about, Some(Subject::Marker(_) | Subject::Overlap(_)))
            }
            (Self::Findings, about) => about.is_some_and(|about| found.contains(&about)),
        }
    }
}

/// The layers from the undermost to the topmost: their names and the groups of ink that lie in them.
/// Drawings put their groups down in this order.
const LAYERS: [(&str, &[&str]); 4] = [
    ("guides", &["vanishing-spreads", "horizon", "traced-horizon", "line", "vanishing-points"]),
    ("markers", &["overlap", "staff"]),
    ("findings", &["mark"]),
    ("words", &["label"]),
];

/// The wanted ink of a drawing in its layers, empty ones left out. The frame's edge is left out too:
/// it is the edge of the picture.
pub(crate) fn layers(
    drawing: Drawing,
    assessment: &Assessment,
    parts: &[Part],
    words: bool,
) -> Vec<(&'static str, Drawing)> {
    let found: HashSet<Subject> = assessment.findings.iter().map(|f| f.about).collect();
    let mut layers = LAYERS.map(|(name, _)| (name, Drawing::default()));
    for group in drawing.groups {
        let layer = LAYERS.iter().position(|(_, groups)| groups.contains(&group.name));
        let Some(layer) = layer else { continue };
        let wanted = parts.iter().any(|part| part.has(&group, &found));
        if wanted && (words || group.name != "label") {
            layers[layer].1.groups.push(group);
        }
    }
    layers.into_iter().filter(|(_, drawing)| !drawing.groups.is_empty()).collect()
}
