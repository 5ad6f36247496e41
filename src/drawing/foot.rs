//! What a marker stands on, at its drawn foot: a tick on a level, an open bracket where the feet are
//! hidden, and what ties a floating thing to its level.

use crate::Colour;
use crate::palette::{CLEAR, DARK, WHITE, family_colour};
use crate::pen::Pen;
use crate::staff::Rod;
use crate::stage::Stage;
use glam::DVec2;
use staffage_scene::{Family, Marker, Span, Stands};

/// The mark at the foot. What is stacked has none, for it is on no level; nor has a round thing, whose
/// span runs from outline to outline.
pub(crate) fn foot_mark(
    pen: &mut Pen,
    stage: &Stage<'_>,
    marker: &Marker,
    rod: &Rod,
    colour: Colour,
) {
    let (sine, cosine) = stage.assessment.eye.eye.cant.sin_cos();
    let reach = (0.5 * rod.width() + 4.0).min(0.3 * rod.length + 2.0);
    let side = pen.units(reach) * DVec2::new(cosine, -sine);
    match marker.stands {
        Stands::OnTop(_) => {}
        _ if matches!(marker.span, Span::Cylinder | Span::Ball) => {}
        Stands::Hidden { .. } => open_bracket(pen, rod, 1.4 * side, colour),
        Stands::Unsaid | Stands::On(_) | Stands::Over { .. } | Stands::Shadow { .. } => {
            pen.edged_line(rod.foot - side, rod.foot + side, 2.0, colour);
        }
    }
}

/// A bracket whose ends point on to what cannot be seen.
fn open_bracket(pen: &mut Pen, rod: &Rod, side: DVec2, colour: Colour) {
    let on = -rod.along * pen.units((0.2 * rod.length).clamp(4.0, 9.0));
    let (left, right) = (rod.foot - side, rod.foot + side);
    for (width, ink) in [(4.0, DARK.faded(0.55)), (2.0, colour)] {
        pen.polyline(vec![left + on, left, right, right + on], width, ink, None);
    }
}

/// From a floating foot to the point of the level that it is tied by, and a ring there: dots to the
/// point plumb below it, dashes in the colour of the light to its shadow, which is dark.
pub(crate) fn tie_line(pen: &mut Pen, marker: &Marker) {
    let (colour, dash, inside, tie) = match marker.stands {
        Stands::Over { plumb, .. } => (WHITE, (1.5, 4.0), CLEAR, plumb),
        Stands::Shadow { tip, light, .. } => {
            (family_colour(Family::Incline(light)), (6.0, 4.0), DARK.faded(0.7), tip)
        }
        Stands::Unsaid | Stands::On(_) | Stands::Hidden { .. } | Stands::OnTop(_) => return,
    };
    let from = marker.hangs_from();
    pen.line(from, tie, 3.0, DARK.faded(0.45));
    pen.dashes(from, tie, 1.5, colour, dash);
    pen.disc(tie, 3.5, inside, Some((3.0, DARK.faded(0.6))));
    pen.disc(tie, 3.5, CLEAR, Some((1.5, colour)));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Drawing, Emphasis, Ink, View, draw, samples};
    use staffage_scene::{InclineId, Known, LevelId, MarkerId, Scene, Subject};

    /// The ink of the porter's staff, given what the porter stands on.
    fn staff(stands: Stands) -> Vec<Ink> {
        let (scene, assessment) = samples::quay();
        let markers = scene.markers.iter().cloned();
        let markers = markers.map(|m| if m.id == PORTER { Marker { stands, ..m } } else { m });
        let scene = Scene { markers: markers.collect(), ..scene.clone() };
        let view = View::of_frame(scene.frame, 1400.0);
        let Drawing { groups } = draw(&scene, &assessment, &view, &Emphasis::default());
        let about = Some(Subject::Marker(PORTER));
        let group = groups.into_iter().find(|g| g.name == "staff" && g.about == about);
        group.expect("a staff").ink
    }

    const PORTER: MarkerId = MarkerId(4);

    #[test]
    fn a_hidden_foot_is_open_and_a_stacked_one_unmarked() {
        let level = LevelId(1);
        let on = staff(Stands::On(level));
        let hidden = staff(Stands::Hidden { level, height: Known { metres: 1.7, spread: 0.06 } });
        let stacked = staff(Stands::OnTop(MarkerId(1)));
        let brackets = |ink: &[Ink]| {
            let is_bracket =
                |ink: &&Ink| matches!(ink, Ink::Stroke { points, .. } if points.len() == 4);
            ink.iter().filter(is_bracket).count()
        };
        assert_eq!((brackets(&on), brackets(&hidden), brackets(&stacked)), (0, 2, 0));
        assert_eq!(on.len(), stacked.len() + 2, "a tick with its edge");
    }

    #[test]
    fn a_shadow_is_tied_in_the_colour_of_the_light() {
        let (level, tip) = (LevelId(1), DVec2::new(0.05, 0.1));
        let light = InclineId(1);
        let colour = family_colour(Family::Incline(light));
        let dashed = |ink: &[Ink]| {
            ink.iter().any(
                |ink| matches!(ink, Ink::Stroke { colour: c, dash: Some(_), .. } if *c == colour),
            )
        };
        assert!(dashed(&staff(Stands::Shadow { level, tip, light })));
        assert!(!dashed(&staff(Stands::Over { level, plumb: tip })));
    }
}
