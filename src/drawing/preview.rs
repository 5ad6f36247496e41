//! What an edit would change, before it is made.

use crate::caption::caption;
use crate::crowd::Crowd;
use crate::foot::tie_line;
use crate::label::{Label, Rank, place_labels};
use crate::mark::MARK_RADIUS;
use crate::markers::occupy;
use crate::overlaps::link_ends;
use crate::palette::{CLEAR, DARK, family_colour};
use crate::pen::Pen;
use crate::pointer::arrow_head;
use crate::ruler::Ruler;
use crate::staff::{Rod, ghost_staff};
use crate::stage::Stage;
use crate::{Attention, Colour, Drawing, Emphasis, View};
use glam::DVec2;
use staffage_scene::{Assessment, Line, Marker, Scene, Segment, Subject, Unit};

/// Ink of what is not so yet.
const THEN: Colour = Colour([150, 230, 205, 255]);

/// Shortest move that gets an arrow, points; a shorter one gets a ring where it ends.
const SHORTEST_ARROW: f64 = 9.0;

/// What an edit would change, in picture units and cut to the view: each marker as it would be, with
/// what would then be read of it; each line as it would run; what would be gone, crossed out; and an
/// arrow along each of the `moves`. `assessment` follows from `after`. Empty when the view is empty or
/// not finite.
#[must_use]
pub fn preview(
    before: &Scene,
    after: &Scene,
    assessment: &Assessment,
    moves: &[Segment],
    view: &View,
) -> Drawing {
    let mut drawing = Drawing::default();
    let Some(mut pen) = Pen::of_view(view) else { return drawing };
    let emphasis = Emphasis::default();
    let stage = Stage::new(after, assessment, view, &emphasis);
    let mut crowd = Crowd::new(view.size());
    let mut labels = Vec::new();
    markers(&mut pen, &stage, before, &mut crowd, &mut labels);
    lines(&mut pen, before, after);
    overlaps(&mut pen, &stage, before);
    for Segment(from, to) in moves {
        move_arrow(&mut pen, *from, *to);
    }
    drawing.push("preview", None, pen.take());
    place_labels(labels, view, &mut crowd, &mut pen, &mut drawing);
    drawing
}

/// The markers that would be other than they are, and what would be read of those on a level that
/// would be.
fn markers(
    pen: &mut Pen,
    stage: &Stage<'_>,
    before: &Scene,
    crowd: &mut Crowd,
    labels: &mut Vec<Label>,
) {
    let level_changes = |marker: &Marker| {
        let on = marker.stands.level();
        on.is_some_and(|id| before.level(id) != stage.scene.level(id))
    };
    for marker in &stage.scene.markers {
        let Some(was) = before.marker(marker.id) else { continue };
        let rod = Rod::new(marker.foot, marker.head, pen);
        let rank = if was != marker {
            ghost_marker(pen, stage, marker, &rod);
            occupy(crowd, stage, &rod, pen);
            Rank::Selected
        } else if level_changes(marker) {
            Rank::Ordinary
        } else {
            continue;
        };
        labels.push(Label {
            at: rod.head,
            clearance: 2.0 * MARK_RADIUS,
            lines: then(caption(stage, marker, Attention::Plain)),
            rank,
            about: Some(Subject::Marker(marker.id)),
            sides: Label::AROUND,
        });
    }
}

fn ghost_marker(pen: &mut Pen, stage: &Stage<'_>, marker: &Marker, rod: &Rod) {
    tie_line(pen, marker);
    let entry = stage.entry(marker.id);
    let size = entry.and_then(|entry| entry.size).map(|size| size.value);
    let unit = entry.map_or(Unit::Metres, |entry| entry.unit);
    ghost_staff(pen, rod, &Ruler::of(marker, stage.assessment, unit), size, THEN);
}

/// A caption that says what would be: "then Porter, 1.70 m at 12 m".
fn then(mut lines: Vec<(String, Colour)>) -> Vec<(String, Colour)> {
    if let Some((words, colour)) = lines.first_mut() {
        *words = format!("then {words}");
        *colour = THEN;
    }
    lines
}

fn lines(pen: &mut Pen, before: &Scene, after: &Scene) {
    for was in &before.lines {
        match after.line(was.id) {
            None => cross(pen, was.segment.0.midpoint(was.segment.1)),
            Some(line) if line != was => ghost_line(pen, line),
            Some(_) => {}
        }
    }
}

fn ghost_line(pen: &mut Pen, line: &Line) {
    let Segment(a, b) = line.segment;
    pen.line(a, b, 4.0, DARK.faded(0.6));
    pen.dashes(a, b, 2.0, family_colour(line.family), (6.0, 4.0));
}

fn overlaps(pen: &mut Pen, stage: &Stage<'_>, before: &Scene) {
    for was in &before.overlaps {
        let ends = (before.marker(was.front), before.marker(was.behind));
        let (Some(front), Some(behind)) = ends else { continue };
        let (from, to) = link_ends(front, behind, pen);
        match stage.scene.overlaps.iter().find(|overlap| overlap.id == was.id) {
            None => cross(pen, from.midpoint(to)),
            Some(overlap) if overlap != was => move_arrow(pen, to, from),
            Some(_) => {}
        }
    }
}

/// An arrow from where something is to where it would be.
fn move_arrow(pen: &mut Pen, from: DVec2, to: DVec2) {
    let length = pen.points(from.distance(to));
    if length < SHORTEST_ARROW {
        pen.disc(to, 5.0, CLEAR, Some((3.5, DARK.faded(0.6))));
        pen.disc(to, 5.0, CLEAR, Some((1.75, THEN)));
        return;
    }
    let head = (0.4 * length).min(10.0);
    let towards = (to - from).normalize_or_zero();
    pen.edged_line(from, to - towards * pen.units(0.5 * head), 2.0, THEN);
    pen.disc(from, 3.0, THEN, Some((1.0, DARK.faded(0.8))));
    arrow_head(pen, to, towards, head, THEN);
}

/// A cross over what would be gone.
fn cross(pen: &mut Pen, at: DVec2) {
    let reach = pen.units(9.0);
    for arm in [DVec2::new(reach, reach), DVec2::new(reach, -reach)] {
        pen.edged_line(at - arm, at + arm, 2.5, THEN);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Ink, samples};
    use staffage_scene::{Edit, LineId, MarkerId, OverlapId, apply, assess};

    fn of(edit: &Edit, moves: &[Segment]) -> Drawing {
        let (before, _) = samples::quay();
        let after = apply(&before, edit).unwrap();
        let view = View::of_frame(before.frame, 1400.0);
        preview(&before, &after, &assess(&after), moves, &view)
    }

    fn says(drawing: &Drawing, begin: &str) -> bool {
        drawing.ink().any(|ink| matches!(ink, Ink::Words { text, .. } if text.starts_with(begin)))
    }

    #[test]
    fn a_marker_is_drawn_where_it_would_be_with_what_would_be_read_of_it() {
        let (scene, _) = samples::quay();
        let porter = scene.marker(MarkerId(4)).unwrap();
        let head = porter.foot.lerp(porter.head, 0.5);
        let edit = Edit::PutMarker(Marker { head, ..porter.clone() });
        let drawing = of(&edit, &[Segment(porter.head, head)]);
        assert!(says(&drawing, "then Porter, "));
        assert!(!says(&drawing, "then Foreman"));
        let reaches = |at: DVec2| {
            drawing.ink().any(|ink| match ink {
                Ink::Fill { points, .. } => points.iter().any(|p| p.distance(at) < 1e-9),
                _ => false,
            })
        };
        assert!(reaches(head), "an arrow's tip");
    }

    #[test]
    fn what_would_be_gone_is_crossed_out() {
        for edit in [Edit::RemoveLine(LineId(1)), Edit::RemoveOverlap(OverlapId(1))] {
            assert!(of(&edit, &[]).ink().count() > 0, "{edit:?}");
        }
    }

    #[test]
    fn an_edit_that_changes_nothing_leaves_no_ink() {
        let (scene, _) = samples::quay();
        let edit = Edit::SetPointing(scene.pointing);
        assert_eq!(of(&edit, &[]), Drawing::default());
    }
}
