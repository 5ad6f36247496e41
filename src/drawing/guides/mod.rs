//! Guides that help drawing: those that are kept in the scene, and those that are only shown.

mod aids;
mod fan;
mod flight;
mod grid;
mod grid_lines;
mod measuring;
mod rays;
mod round;
mod steps;
#[cfg(test)]
mod tests;

pub use aids::{Aids, GroundGrid};
pub use measuring::measuring_points;
pub use rays::rays;

pub(crate) use fan::fans;
pub(crate) use grid::ground_grid;
pub(crate) use measuring::measuring;

use crate::label::{Label, Rank};
use crate::palette::WHITE;
use crate::pen::Pen;
use crate::stage::Stage;
use crate::{Attention, Colour, Drawing};
use glam::{DVec2, DVec3};
use staffage_scene::{Form, Guide, Standing, Subject, Units, guide_form};
use staffage_solver::seen_edge;

/// How a guide is drawn.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Hand {
    /// Width of a line, points.
    width: f64,
    /// How strong its ink is, 0 to 1.
    strength: f64,
}

/// Every guide that is kept.
pub(crate) fn guides(
    pen: &mut Pen,
    stage: &Stage<'_>,
    drawing: &mut Drawing,
    labels: &mut Vec<Label>,
) {
    for guide in &stage.scene.guides {
        let about = Subject::Guide(guide.id);
        let attention = stage.emphasis.on(about);
        let hand = match attention {
            Attention::Plain => Hand { width: 1.1, strength: 0.8 },
            _ => Hand { width: 1.8, strength: 1.0 },
        };
        let form = guide_form(stage.scene, stage.assessment, guide);
        match &form {
            Some(Form::Steps(form)) => steps::steps(pen, stage, guide, form, hand),
            Some(Form::Flight(form)) => flight::flight(pen, stage, form, hand),
            Some(Form::Round(form)) => round::round(pen, stage, form, hand),
            None => cannot_be(pen, guide),
        }
        drawing.push("guide", Some(about), pen.take());
        labels.extend(label(stage, guide, form.as_ref(), attention));
    }
}

/// A guide that nothing in the scene can be: only what was placed is shown.
fn cannot_be(pen: &mut Pen, guide: &Guide) {
    let [from, to, _] = guide.shape.handles();
    if let (Some(from), Some(to)) = (from, to) {
        pen.dashes(from, to, 1.2, WHITE.faded(0.8), (3.0, 3.0));
    }
    if let Some(from) = from {
        pen.disc(from, 3.0, crate::palette::CLEAR, Some((1.2, WHITE)));
    }
}

/// Its name where it is attended to, and what is wrong with it or only assumed.
fn label(
    stage: &Stage<'_>,
    guide: &Guide,
    form: Option<&Form>,
    attention: Attention,
) -> Option<Label> {
    let note = match form {
        None => Some("cannot be seen there".to_owned()),
        Some(Form::Flight(form)) if form.assumed => Some(assumed(stage.assessment.units)),
        Some(_) => None,
    };
    if attention == Attention::Plain && form.is_some() {
        return None;
    }
    let name = (crate::words::name(&guide.name), WHITE);
    Some(Label {
        at: guide.shape.handles()[0]?,
        clearance: 6.0,
        lines: [Some(name), note.map(|note| (note, WHITE))].into_iter().flatten().collect(),
        rank: Rank::of(attention, Standing::Holds, false),
        about: Some(Subject::Guide(guide.id)),
        sides: Label::AROUND,
    })
}

/// What is said of sizes while nothing tells how high the eye is.
fn assumed(units: Units) -> String {
    let height = units.metres(staffage_scene::ASSUMED_EYE_HEIGHT);
    format!("as if the eye were {height} high")
}

/// A straight edge between two places (homogeneous picture coordinates) with a dark edge of its own.
fn edge(pen: &mut Pen, a: DVec3, b: DVec3, hand: Hand, colour: Colour) {
    if let Some([a, b]) = seen_edge(a, b) {
        pen.edged_line(a, b, hand.width, colour.faded(hand.strength));
    }
}

/// A closed or open curve through picture points, in pieces where some are not seen.
fn curve(pen: &mut Pen, points: &[Option<DVec2>], hand: Hand, colour: Colour) {
    for run in points.split(Option::is_none) {
        let run: Vec<DVec2> = run.iter().copied().flatten().collect();
        if run.len() > 1 {
            let dark = crate::palette::DARK.faded(0.55 * hand.strength);
            pen.polyline(run.clone(), hand.width + 2.0, dark, None);
            pen.polyline(run, hand.width, colour.faded(hand.strength), None);
        }
    }
}
