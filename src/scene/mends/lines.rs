//! Mends of lines that miss their vanishing point.

use super::{Candidate, in_words};
use crate::{Assessment, Edit, Family, Line, LineId, Scene, Segment, family_name, line_name};
use glam::{DVec2, DVec3};

pub(super) fn candidates(scene: &Scene, assessment: &Assessment, id: LineId) -> Vec<Candidate> {
    let Some(line) = scene.line(id) else { return Vec::new() };
    let name = line_name(scene, id);
    let families = &assessment.eye.families;
    let own = families.iter().find(|f| f.family == line.family);
    let turned = own.and_then(|f| turned_to(line.segment, f.vanishing_point));
    let mut candidates: Vec<Candidate> =
        turned.map(|segment| turn(scene, line, segment)).into_iter().collect();
    let others = families.iter().filter(|f| f.read && f.family != line.family);
    candidates.extend(others.map(|f| give_to(scene, line, f.family)));
    candidates.push(Candidate::said(Edit::RemoveLine(id), format!("Remove {name}.")));
    candidates
}

/// A line turned about its middle until it runs to a vanishing point (homogeneous).
fn turned_to(Segment(from, to): Segment, vanishing_point: DVec3) -> Option<Segment> {
    let middle = 0.5 * (from + to);
    let towards = vanishing_point.truncate() - vanishing_point.z * middle;
    let along = towards.try_normalize()?;
    let half = 0.5 * from.distance(to) * along;
    let half = if half.dot(to - from) < 0.0 { -half } else { half };
    Some(Segment(middle - half, middle + half))
}

fn turn(scene: &Scene, line: &Line, segment: Segment) -> Candidate {
    let Segment(from, to) = segment;
    let moves = vec![Segment(line.segment.0, from), Segment(line.segment.1, to)];
    let by: DVec2 = to - line.segment.1;
    Candidate {
        edit: Edit::PutLine(Line { segment, ..*line }),
        sentence: format!(
            "Turn it about its middle, its far end {}, until it runs to its vanishing point.",
            in_words(scene, by)
        ),
        moves,
    }
}

fn give_to(scene: &Scene, line: &Line, family: Family) -> Candidate {
    Candidate::said(
        Edit::PutLine(Line { family, ..*line }),
        format!("Give it to the family {}.", family_name(scene, family)),
    )
}
