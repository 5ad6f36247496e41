use crate::bounds::Bounds;
use crate::label::{Label, Rank};
use crate::palette::{DARK, WHITE};
use crate::pen::Pen;
use crate::pointer::pointer;
use crate::stage::{Place, Stage};
use glam::DVec2;
use staffage_solver::Source;

/// The horizon across everything that is seen, or a pointer to where it lies, and its label. Dashed
/// while nothing says how the eye looks up or is canted.
pub(crate) fn horizon(pen: &mut Pen, stage: &Stage<'_>, labels: &mut Vec<Label>) {
    let line = stage.assessment.eye.eye.horizon();
    let (normal, offset) = (line.truncate(), line.z);
    match pen.visible_line(normal, offset) {
        Some((left, right)) if seen(stage.visible(), left, right) => {
            if is_assumed(stage) {
                pen.line(left, right, 2.5, DARK.faded(0.3));
                pen.dashes(left, right, 1.0, WHITE.faded(0.85), (7.0, 6.0));
            } else {
                pen.edged_line(left, right, 1.5, WHITE);
            }
            labels.push(name(stage, left, right));
        }
        _ => {
            let nearest = -offset * normal;
            if nearest.is_finite() && nearest.length() < 1e3 {
                pointer(pen, stage, Place::At(nearest), WHITE, words(stage), labels);
            }
        }
    }
}

/// The stretch of horizon that was traced in the painting.
pub(crate) fn traced_horizon(pen: &mut Pen, stage: &Stage<'_>) {
    let Some(segment) = stage.scene.horizon else { return };
    pen.edged_line(segment.0, segment.1, 2.5, WHITE);
    for end in [segment.0, segment.1] {
        pen.disc(end, 3.0, WHITE, Some((1.0, DARK)));
    }
}

/// Whether its height or its tilt rests on nothing that was traced or said.
fn is_assumed(stage: &Stage<'_>) -> bool {
    let eye = &stage.assessment.eye;
    [eye.pitch, eye.cant].iter().any(|q| q.source == Source::Assumed)
}

fn words(stage: &Stage<'_>) -> &'static str {
    if is_assumed(stage) { "horizon, assumed" } else { "horizon" }
}

fn seen(visible: Bounds, left: DVec2, right: DVec2) -> bool {
    visible.clip_segment(left, right).is_some()
}

/// The name sits at the right end, just over the line.
fn name(stage: &Stage<'_>, left: DVec2, right: DVec2) -> Label {
    let visible = stage.visible().grown(-stage.view.units(6.0));
    let end = visible.clip_segment(left, right).map_or(right, |(_, right)| right);
    Label {
        at: end,
        clearance: 2.0,
        lines: vec![(words(stage).into(), WHITE)],
        rank: Rank::Guide,
        about: None,
        sides: Label::AT_RIGHT_EDGE,
    }
}
