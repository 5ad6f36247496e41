//! Turns things so that they run exactly as their families do.

use crate::{
    Assessment, Edit, Family, Guide, GuideShape, Line, Marker, Scene, Segment, Shape, Span,
    StandIn, Steps, Subject, apply, assess, stand_in_heading,
};
use glam::DVec2;

/// How often everything is turned at most. A line that is turned pulls the eye less, so that its
/// vanishing point moves a little; each round leaves a fraction of the last one's miss.
const ROUNDS: usize = 48;
/// A turn that moves no end further, picture units, is none: a hundredth of a pixel at 10,000 px.
const STILL: f64 = 1e-6;

/// The edit that turns these lines about their middles, and these markers about their feet, until they
/// point exactly at the vanishing points of their families: uprights plumb, others along their lines.
/// Lengths in the picture are kept. A stand-in that has sides is turned on its level, by an eighth of a
/// turn at most, until they run along the nearest walls of a block; the ends of a guide's steps and posts
/// are set on the lines that they stand for. `None` where nothing among them runs along a family or everything
/// does already.
#[must_use]
pub fn aligned(scene: &Scene, assessment: &Assessment, about: &[Subject]) -> Option<Edit> {
    let mut turned = scene.clone();
    let mut edits = turns(&turned, assessment, about);
    for _ in 0..ROUNDS {
        if edits.is_empty() {
            break;
        }
        turned = apply(&turned, &several(edits)).ok()?;
        edits = turns(&turned, &assess(&turned), about);
    }
    let edits = changes(scene, &turned, about);
    match edits.len() {
        0 => None,
        1 => Some(Edit::Several { label: one_label(scene, &edits[0]), edits }),
        many => Some(Edit::Several { label: format!("Align {many} things"), edits }),
    }
}

/// Unit direction in the picture in which a family runs at a place, towards or away from its vanishing
/// point; `None` at the vanishing point itself and for a family that the assessment does not know.
#[must_use]
pub fn run_at(assessment: &Assessment, family: Family, at: DVec2) -> Option<DVec2> {
    let vanishing = assessment.eye.families.iter().find(|f| f.family == family)?.vanishing_point;
    (vanishing.truncate() - vanishing.z * at).try_normalize()
}

/// The family that a span runs along, if it runs along one.
#[must_use]
pub fn family_of(span: Span) -> Option<Family> {
    match span {
        Span::Upright => Some(Family::Upright),
        Span::Along(family) => Some(family),
        Span::Facing | Span::Cylinder | Span::Ball => None,
    }
}

fn several(edits: Vec<Edit>) -> Edit {
    Edit::Several { label: String::new(), edits }
}

fn one_label(scene: &Scene, edit: &Edit) -> String {
    let moved = edit.label(scene);
    let name = moved.strip_prefix("Move ").or_else(|| moved.strip_prefix("Turn "));
    name.map_or(moved.clone(), |name| format!("Align {name}"))
}

/// What one round turns, given where everything vanishes now.
fn turns(scene: &Scene, assessment: &Assessment, about: &[Subject]) -> Vec<Edit> {
    let turn = |subject: &Subject| match *subject {
        Subject::Line(id) => scene.line(id).and_then(|line| turned_line(line, assessment)),
        Subject::Marker(id) => scene.marker(id).and_then(|m| turned_marker(m, assessment)),
        Subject::StandIn(id) => scene.stand_in(id).and_then(|s| turned_stand_in(s, assessment)),
        Subject::Guide(id) => scene.guide(id).and_then(|g| turned_guide(g, assessment)),
        Subject::Level(_) | Subject::Overlap(_) => None,
    };
    about.iter().filter_map(turn).collect()
}

fn turned_line(line: &Line, assessment: &Assessment) -> Option<Edit> {
    let Segment(a, b) = line.segment;
    let middle = a.midpoint(b);
    let half = turned(b - middle, run_at(assessment, line.family, middle)?)?;
    let segment = Segment(middle - half, middle + half);
    Some(Edit::PutLine(Line { segment, ..*line }))
}

fn turned_marker(marker: &Marker, assessment: &Assessment) -> Option<Edit> {
    let along = run_at(assessment, family_of(marker.span)?, marker.foot)?;
    let head = marker.foot + turned(marker.head - marker.foot, along)?;
    Some(Edit::PutMarker(Marker { head, ..marker.clone() }))
}

/// Whether a stand-in has sides, which can run along walls; people and round things have none.
#[must_use]
pub fn has_sides(shape: Shape) -> bool {
    match shape {
        Shape::Figure { .. } | Shape::Cylinder { .. } => false,
        Shape::Panel { .. } | Shape::Box { .. } | Shape::Ramp { .. } => true,
    }
}

/// Turned with the block whose walls are nearest to its sides.
fn turned_stand_in(stand_in: &StandIn, assessment: &Assessment) -> Option<Edit> {
    if !has_sides(stand_in.shape) {
        return None;
    }
    let now = stand_in_heading(assessment, stand_in).to_degrees();
    // How far it is turned from a block, the next quarter of a turn from there, and what is between.
    let from = assessment.eye.headings.iter().map(|(block, heading)| {
        let turn = now - heading.value.to_degrees();
        let square = 90.0 * (turn / 90.0).round();
        (*block, square, (turn - square).abs())
    });
    // The one it is turned with, where others are as near.
    let rank = |block| f64::from(u8::from(Some(block) != stand_in.along));
    let nearest = from.min_by(|a, b| a.2.total_cmp(&b.2).then(rank(a.0).total_cmp(&rank(b.0))));
    let (block, square, _) = nearest.filter(|(.., off)| off.is_finite())?;
    let turn = (square + 180.0).rem_euclid(360.0) - 180.0;
    let (along, same) = (Some(block), (stand_in.turn - turn).rem_euclid(360.0) < 1e-9);
    (along != stand_in.along || !same)
        .then(|| Edit::PutStandIn(StandIn { turn, along, ..stand_in.clone() }))
}

/// With the ends of its steps and posts on the lines that they stand for.
fn turned_guide(guide: &Guide, assessment: &Assessment) -> Option<Edit> {
    let GuideShape::Steps(steps) = guide.shape else { return None };
    let on = |family, at: DVec2| {
        let along = run_at(assessment, family, steps.from)?;
        Some(steps.from + along * along.dot(at - steps.from))
    };
    let to = on(steps.family, steps.to)?;
    let post =
        steps.post.and_then(|post| Some(crate::Post { top: on(post.family, post.top)?, ..post }));
    let post = post.or(steps.post);
    let moved = |a: DVec2, b: DVec2| a.is_finite() && a.distance(b) > STILL;
    let tops = post.zip(steps.post).is_some_and(|(a, b)| moved(a.top, b.top));
    (moved(to, steps.to) || tops).then(|| {
        let shape = GuideShape::Steps(Steps { to, post, ..steps });
        Edit::PutGuide(Guide { shape, ..guide.clone() })
    })
}

/// As long as before and along this direction, the way round that is nearer; `None` where that moves
/// nothing.
fn turned(span: DVec2, along: DVec2) -> Option<DVec2> {
    let way = if span.dot(along) < 0.0 { -1.0 } else { 1.0 };
    let after = way * span.length() * along;
    (after.is_finite() && after.distance(span) > STILL).then_some(after)
}

fn changes(before: &Scene, after: &Scene, about: &[Subject]) -> Vec<Edit> {
    let change = |subject: &Subject| match *subject {
        Subject::Line(id) => {
            let line = after.line(id).filter(|line| before.line(id) != Some(*line))?;
            Some(Edit::PutLine(*line))
        }
        Subject::Marker(id) => {
            let marker = after.marker(id).filter(|m| before.marker(id) != Some(*m))?;
            Some(Edit::PutMarker(marker.clone()))
        }
        Subject::StandIn(id) => {
            let stand_in = after.stand_in(id).filter(|s| before.stand_in(id) != Some(*s))?;
            Some(Edit::PutStandIn(stand_in.clone()))
        }
        Subject::Guide(id) => {
            let guide = after.guide(id).filter(|g| before.guide(id) != Some(*g))?;
            Some(Edit::PutGuide(guide.clone()))
        }
        Subject::Level(_) | Subject::Overlap(_) => None,
    };
    about.iter().filter_map(change).collect()
}
