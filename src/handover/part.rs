use staffage_drawing::{Drawing, Group, SafeLines, View, safe_lines};
use staffage_scene::{Assessment, Frame, Subject};
use std::collections::HashSet;

/// What of the ink is wanted. A thing can be in two parts: a staff that contradicts is a marker as
/// well as a finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Part {
    /// The horizon, the vanishing points, the traced lines and the guides that are kept.
    Guides,
    /// The markers, how they stand, and what is in front of what.
    Markers,
    /// Everything that a finding is about, and nothing else.
    Findings,
    /// The stand-ins, to be painted over.
    StandIns,
    /// The action-safe and title-safe areas of the frame, and a 1.78 delivery out of its middle.
    Safe,
    /// The grid on a level, with its numbers.
    Grid,
}

impl Part {
    /// All of them.
    pub const ALL: [Self; 6] =
        [Self::Guides, Self::Grid, Self::StandIns, Self::Markers, Self::Findings, Self::Safe];
    /// Those that an overlay has when nothing else is asked for.
    pub const USUAL: [Self; 4] = [Self::Guides, Self::StandIns, Self::Markers, Self::Findings];

    /// What it is called.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Guides => "guides",
            Self::Markers => "markers",
            Self::Findings => "findings",
            Self::StandIns => "stand-ins",
            Self::Safe => "safe",
            Self::Grid => "grid",
        }
    }

    /// The part of this name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|part| part.name() == name)
    }

    /// Whether it has this group of ink.
    fn has(self, group: &Group, found: &HashSet<Subject>) -> bool {
        if is_safe(group) || self == Self::Safe {
            return is_safe(group) && self == Self::Safe;
        }
        if is_grid(group) || self == Self::Grid {
            return is_grid(group) && self == Self::Grid;
        }
        match (self, group.about) {
            (Self::Safe | Self::Grid, _) => false,
            (Self::Guides, about) => {
                matches!(
                    about,
                    None | Some(Subject::Line(_) | Subject::Level(_) | Subject::Guide(_))
                )
            }
            (Self::Markers, about) => {
                matches!(about, Some(Subject::Marker(_) | Subject::Overlap(_)))
            }
            (Self::StandIns, about) => matches!(about, Some(Subject::StandIn(_))),
            (Self::Findings, about) => about.is_some_and(|about| found.contains(&about)),
        }
    }
}

/// The layers from the undermost to the topmost. Drawings put their groups down in this order.
/// Its numbers lie with the grid.
const LAYERS: [&str; 7] = ["grid", "guides", "stand-ins", "markers", "findings", "words", "safe"];

fn is_safe(group: &Group) -> bool {
    matches!(group.name, "safe" | "safe-words")
}

fn is_grid(group: &Group) -> bool {
    matches!(group.name, "ground-grid" | "grid-words")
}

/// The safe lines that an overlay carries, in one drawing.
pub(crate) fn safe_groups(frame: Frame, view: &View) -> Vec<Group> {
    let wanted = |lines: &SafeLines| match lines {
        SafeLines::Areas => true,
        SafeLines::Delivery(shape) => shape.name == "1.78",
    };
    let lines = SafeLines::within(frame).into_iter().filter(wanted);
    lines.flat_map(|lines| safe_lines(frame, &lines, view).groups).collect()
}

/// Which layer a group of ink lies in. The frame's edge has none: it is the edge of the picture.
fn layer(group: &Group) -> Option<usize> {
    match (group.name, group.about) {
        ("frame", _) => None,
        ("safe" | "safe-words", _) => Some(6),
        ("ground-grid" | "grid-words", _) => Some(0),
        ("label", _) => Some(5),
        ("mark", _) => Some(4),
        (_, Some(Subject::Marker(_) | Subject::Overlap(_))) => Some(3),
        (_, Some(Subject::StandIn(_))) => Some(2),
        (_, None | Some(Subject::Line(_) | Subject::Level(_) | Subject::Guide(_))) => Some(1),
    }
}

/// The wanted ink of a drawing in its layers, empty ones left out.
pub(crate) fn layers(
    drawing: Drawing,
    assessment: &Assessment,
    parts: &[Part],
    words: bool,
) -> Vec<(&'static str, Drawing)> {
    let found: HashSet<Subject> = assessment.findings.iter().map(|f| f.about).collect();
    let mut layers = LAYERS.map(|name| (name, Drawing::default()));
    for group in drawing.groups {
        let Some(layer) = layer(&group) else { continue };
        let wanted = parts.iter().any(|part| part.has(&group, &found));
        if wanted && (words || !matches!(group.name, "label" | "safe-words" | "grid-words")) {
            layers[layer].1.groups.push(group);
        }
    }
    layers.into_iter().filter(|(_, drawing)| !drawing.groups.is_empty()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_drawing::{Emphasis, draw};
    use staffage_scene::{assess, load};
    use std::path::Path;

    #[test]
    fn safe_lines_are_a_part_and_a_layer_of_their_own() {
        let scene = staffage_scene::Scene::default();
        let view = View::of_frame(scene.frame, 1600.0);
        let assessment = assess(&scene);
        let mut drawing = draw(&scene, &assessment, &view, &Emphasis::default());
        drawing.groups.extend(safe_groups(scene.frame, &view));
        let named = |parts: &[Part]| -> Vec<&str> {
            layers(drawing.clone(), &assessment, parts, true)
                .iter()
                .map(|(name, _)| *name)
                .collect()
        };
        assert_eq!(named(&[Part::Safe]), ["safe"]);
        assert!(!named(&Part::USUAL).contains(&"safe"));
        assert!(named(&Part::ALL).contains(&"safe"));
    }

    #[test]
    fn layers_keep_the_order_of_the_drawing() {
        let demos = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo_scenes");
        for demo in ["dam_overlook", "market_street", "reservoir_from_above"] {
            let scene = load(&demos.join(demo).with_extension("ron")).unwrap();
            let assessment = assess(&scene);
            let view = View::of_frame(scene.frame, 1600.0);
            let drawing = draw(&scene, &assessment, &view, &Emphasis::default());
            let mut drawn = drawing.groups.clone();
            drawn.retain(|group| group.name != "frame");
            let layers = layers(drawing, &assessment, &Part::ALL, true);
            let layered: Vec<Group> = layers.into_iter().flat_map(|(_, d)| d.groups).collect();
            assert!(layered == drawn, "{demo}");
        }
    }
}
