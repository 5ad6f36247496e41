//! Measuring points on the horizon.

use crate::label::{Label, Rank};
use crate::palette::{CLEAR, DARK, family_colour};
use crate::pen::Pen;
use crate::stage::{Stage, Whereabouts, place};
use glam::DVec3;
use staffage_scene::{Assessment, Family, Scene, family_name};
use staffage_solver::measuring_direction;

/// The measuring point of each level family whose direction is said, homogeneous picture coordinates.
#[must_use]
pub fn measuring_points(scene: &Scene, assessment: &Assessment) -> Vec<(Family, DVec3)> {
    let eye = &assessment.eye;
    let said = eye.families.iter().filter(|family| family.is_said(scene));
    let level =
        said.filter(|reading| !matches!(reading.family, Family::Upright | Family::Incline(_)));
    let points = level.filter_map(|reading| {
        let towards = measuring_direction(reading.direction)?;
        Some((reading.family, eye.eye.image(towards)))
    });
    points.collect()
}

/// A small diamond and a name at each measuring point that is in sight.
pub(crate) fn measuring(pen: &mut Pen, stage: &Stage<'_>, labels: &mut Vec<Label>) {
    for (family, point) in measuring_points(stage.scene, stage.assessment) {
        let Some(Whereabouts::At(at)) = place(point) else { continue };
        let colour = family_colour(family);
        let reach = pen.units(5.0);
        let corners = [DVec3::X, DVec3::Y, -DVec3::X, -DVec3::Y].map(|d| at + reach * d.truncate());
        pen.outline(&corners, 3.5, DARK.faded(0.6), None);
        pen.outline(&corners, 1.6, colour, None);
        pen.disc(at, 1.2, colour, Some((0.0, CLEAR)));
        labels.push(Label {
            at,
            clearance: 6.0,
            lines: vec![(format!("measuring point, {}", family_name(stage.scene, family)), colour)],
            rank: Rank::Guide,
            about: None,
            sides: Label::AROUND,
        });
    }
}
