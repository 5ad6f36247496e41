//! Rays through the pointer: what runs where the brush is.

use super::measuring_points;
use crate::bounds::Bounds;
use crate::crowd::Crowd;
use crate::label::{Label, Rank, place_labels};
use crate::palette::{WHITE, family_colour};
use crate::pen::Pen;
use crate::stage::{Whereabouts, place};
use crate::{Colour, Drawing, View};
use glam::{DVec2, DVec3};
use staffage_scene::{Assessment, Family, Scene, family_name};

/// From the pointer on nothing is drawn for so far, so that the place itself stays in sight, points.
const GAP: f64 = 9.0;

/// The lines through a picture point that run along each family whose direction is said, plumb, and
/// level across the picture, each with its word, cut to the view; with `measuring`, those to the
/// measuring points too. Empty when the view or the point is not finite.
#[must_use]
pub fn rays(
    scene: &Scene,
    assessment: &Assessment,
    view: &View,
    at: DVec2,
    measuring: bool,
) -> Drawing {
    let mut drawing = Drawing::default();
    let Some(mut pen) = Pen::of_view(view).filter(|_| at.is_finite()) else { return drawing };
    let mut labels = Vec::new();
    let eye = &assessment.eye;
    let said = eye.families.iter().filter(|f| f.is_said(scene) && f.family != Family::Upright);
    let mut lines: Vec<(String, DVec3, Colour)> = vec![
        ("plumb".into(), eye.eye.image(DVec3::Y), family_colour(Family::Upright)),
        ("level".into(), eye.eye.image(DVec3::X), WHITE),
    ];
    lines.extend(
        said.map(|f| (family_name(scene, f.family), f.vanishing_point, family_colour(f.family))),
    );
    if measuring {
        let points = measuring_points(scene, assessment).into_iter();
        lines.extend(points.map(|(family, point)| {
            let name = format!("measures {}", family_name(scene, family));
            (name, point, family_colour(family).faded(0.7))
        }));
    }
    for (name, towards, colour) in lines {
        ray(&mut pen, view, at, &name, towards, colour, &mut labels);
    }
    drawing.push("rays", None, pen.take());
    let mut crowd = Crowd::new(view.size());
    place_labels(labels, view, &mut crowd, &mut pen, &mut drawing);
    drawing
}

fn ray(
    pen: &mut Pen,
    view: &View,
    at: DVec2,
    name: &str,
    towards: DVec3,
    colour: Colour,
    labels: &mut Vec<Label>,
) {
    let along = (towards.truncate() - towards.z * at).normalize_or_zero();
    if along == DVec2::ZERO {
        return;
    }
    let reach = 2.0 * (view.max - view.min).length();
    let gap = pen.units(GAP);
    for way in [along, -along] {
        pen.edged_line(at + gap * way, at + reach * way, 1.2, colour.faded(0.9));
    }
    // Its word stands at the end that is farther off.
    let visible = Bounds { min: view.min, max: view.max }.grown(-view.units(10.0));
    let ends = visible.clip_segment(at - reach * along, at + reach * along);
    let Some((a, b)) = ends else { return };
    let end = if matches!(place(towards), Some(Whereabouts::At(p)) if visible.contains(p))
        || a.distance(at) > b.distance(at)
    {
        a
    } else {
        b
    };
    labels.push(Label {
        at: end,
        clearance: 2.0,
        lines: vec![(name.to_owned(), colour)],
        rank: Rank::Guide,
        about: None,
        sides: Label::AROUND,
    });
}
