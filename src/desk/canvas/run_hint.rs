//! How a family runs through a place: the line on which a span must lie while it is drawn, and a faint
//! hint where a line is traced. Nothing catches at the hint: the line is to tell where it vanishes.

use crate::actions::act::Traced;
use crate::canvas::gesture::Gesture;
use crate::canvas::ink::colour;
use crate::desk::Desk;
use crate::modes::mode::Mode;
use egui::{Color32, Painter, Pos2, Rect, Shape, Stroke};
use glam::DVec2;
use staffage_drawing::family_colour;
use staffage_scene::{Assessment, Family, Span, run_at};
use staffage_solver::Source;

/// How far the line from a foot or a traced end reaches, points.
const FAR: f64 = 4000.0;
/// How far it reaches before anything is drawn, points.
const NEAR: f64 = 46.0;
/// How strong the hint is where a line is traced.
const FAINT: f32 = 0.5;

/// Unit direction in the picture in which lines of the family that is traced run at a place, as far as
/// anything but the line that is about to be traced tells.
pub(crate) fn traced_run(desk: &Desk, at: DVec2) -> Option<DVec2> {
    let Traced::Family(family) = desk.tools.traced else { return None };
    let assessment = desk.assessment();
    if is_told(assessment, family) { run_at(assessment, family, at) } else { None }
}

/// Whether lines or the painter say where a family vanishes, so that it is not only assumed.
fn is_told(assessment: &Assessment, family: Family) -> bool {
    let eye = &assessment.eye;
    let has_lines = eye.families.iter().any(|f| f.family == family && f.lines > 0);
    let told = |source| source != Source::Assumed;
    has_lines
        || match family {
            Family::Upright => told(eye.pitch.source) && told(eye.cant.source),
            Family::RecedingLeft(block) | Family::RecedingRight(block) => {
                eye.headings.iter().any(|(id, heading)| *id == block && told(heading.source))
            }
            Family::Incline(_) | Family::Run(_) => false,
        }
}

pub(crate) fn paint(desk: &Desk, painter: &Painter) {
    match (desk.mode, &desk.gesture, desk.tools.traced) {
        (Mode::Mark, Gesture::Raise { foot, .. }, _) => of_marker(desk, painter, *foot),
        (Mode::Line, Gesture::Trace { from, run: Some(run), .. }, Traced::Family(family)) => {
            line(desk, painter, *from, (*run, family), (FAR, FAINT));
        }
        (Mode::Line, Gesture::Idle, Traced::Family(family)) if desk.remembered.snap => {
            let at = desk.hand_at.map(|at| desk.picture_point(at));
            let run = at.and_then(|at| Some((at, traced_run(desk, at)?)));
            if let Some((at, run)) = run {
                line(desk, painter, at, (run, family), (NEAR, FAINT));
            }
        }
        _ => {}
    }
}

/// The line on which the span must run, while it is drawn.
fn of_marker(desk: &Desk, painter: &Painter, foot: DVec2) {
    let family = match desk.tools.span {
        Span::Upright => Family::Upright,
        Span::Along(family) => family,
        Span::Facing | Span::Cylinder | Span::Ball => return,
    };
    if let Some(run) = run_at(desk.assessment(), family, foot) {
        line(desk, painter, foot, (run, family), (FAR, 1.0));
    }
}

/// Dashes through a place to either side, so many points long and so strong.
fn line(
    desk: &Desk,
    painter: &Painter,
    at: DVec2,
    (run, family): (DVec2, Family),
    (reach, strength): (f64, f32),
) {
    let along = run * reach / desk.view.points_per_unit_at(at);
    let ends = desk.view.segment(desk.canvas, at - along, at + along);
    let clip = desk.canvas.expand(8.0);
    let dark = Color32::from_black_alpha(90).gamma_multiply(strength);
    let ink = colour(family_colour(family)).gamma_multiply(strength);
    let Some(ends) = ends.and_then(|ends| clipped(ends, clip)) else { return };
    painter.line_segment(ends, Stroke::new(3.0, dark));
    painter.extend(Shape::dashed_line(&ends, Stroke::new(1.2, ink), 6.0, 5.0));
}

/// The part of a segment within a rectangle (Liang and Barsky 1984).
fn clipped([a, b]: [Pos2; 2], within: Rect) -> Option<[Pos2; 2]> {
    let d = b - a;
    let (mut start, mut end) = (0.0f32, 1.0f32);
    for (step, room) in [
        (-d.x, a.x - within.min.x),
        (d.x, within.max.x - a.x),
        (-d.y, a.y - within.min.y),
        (d.y, within.max.y - a.y),
    ] {
        if step == 0.0 {
            if room < 0.0 {
                return None;
            }
        } else if step < 0.0 {
            start = start.max(room / step);
        } else {
            end = end.min(room / step);
        }
    }
    (start < end).then(|| [a + d * start, a + d * end])
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::pos2;

    #[test]
    fn a_segment_is_clipped_to_a_rectangle() {
        let within = Rect::from_min_max(pos2(0.0, 0.0), pos2(10.0, 10.0));
        let cut = clipped([pos2(-10.0, 5.0), pos2(20.0, 5.0)], within);
        assert_eq!(cut, Some([pos2(0.0, 5.0), pos2(10.0, 5.0)]));
        assert_eq!(clipped([pos2(-10.0, 50.0), pos2(20.0, 50.0)], within), None);
    }
}
