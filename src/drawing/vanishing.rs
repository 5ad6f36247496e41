use crate::bounds::Bounds;
use crate::label::{Label, Rank};
use crate::palette::{CLEAR, DARK, family_colour};
use crate::pen::Pen;
use crate::pointer::pointer;
use crate::stage::{Stage, Whereabouts};
use crate::{Colour, words};
use glam::{DVec2, DVec3};
use staffage_scene::{BlockId, Family, FamilyReading};

/// Every family's vanishing point, or an arrow at the view's edge towards it. Families that rest
/// on assumption alone are left out.
pub(crate) fn vanishing_points(pen: &mut Pen, stage: &Stage<'_>, labels: &mut Vec<Label>) {
    for reading in &stage.assessment.eye.families {
        if !reading.is_said(stage.scene) {
            continue;
        }
        let colour = family_colour(reading.family);
        let name = name(reading, stage);
        let page = Bounds { min: DVec2::ZERO, max: stage.view.size() };
        match stage.view.place(reading.vanishing_point) {
            Some(Whereabouts::At(at)) if page.contains(at) => {
                let at = stage.view.in_picture(at);
                target(pen, at, colour);
                labels.push(Label {
                    at,
                    clearance: 9.0,
                    lines: vec![(name, colour)],
                    rank: Rank::Guide,
                    about: None,
                    sides: Label::AROUND,
                });
            }
            Some(outside) => pointer(pen, stage, outside, colour, &name, labels),
            None => {}
        }
    }
}

/// A ring with a cross through it, open in the middle so that the painting shows.
fn target(pen: &mut Pen, at: DVec2, colour: Colour) {
    for arm in [DVec2::X, DVec2::Y, -DVec2::X, -DVec2::Y] {
        pen.edged_line(pen.beside(at, 2.0 * arm), pen.beside(at, 9.0 * arm), 1.5, colour);
    }
    pen.disc(at, 5.0, CLEAR, Some((3.5, DARK.faded(0.55))));
    pen.disc(at, 5.0, CLEAR, Some((1.5, colour)));
}

/// What a family's vanishing point is called; the block is named when there are several.
fn name(reading: &FamilyReading, stage: &Stage<'_>) -> String {
    let of_block = |side: &str, id: BlockId| match stage.scene.block(id) {
        Some(block) if stage.scene.blocks.len() > 1 => {
            format!("{side}, {}", words::name(&block.name))
        }
        _ => side.to_owned(),
    };
    match reading.family {
        Family::Upright if stage.assessment.eye.eye.image(DVec3::Y).z > 0.0 => {
            "zenith point".into()
        }
        Family::Upright => "nadir point".into(),
        Family::RecedingLeft(block) => of_block("receding left", block),
        Family::RecedingRight(block) => of_block("receding right", block),
        Family::Incline(id) => {
            stage.scene.incline(id).map_or_else(|| "incline".into(), |i| words::name(&i.name))
        }
        Family::Run(_) => words::name(&staffage_scene::family_name(stage.scene, reading.family)),
    }
}
