//! The scene from the side, as an architect would draw it.

mod axes;
mod paper;
mod shown;

use crate::bounds::Bounds;
use crate::crowd::Crowd;
use crate::label::{Label, Rank, place_labels};
use crate::mark::{MARK_RADIUS, mark};
use crate::palette::{DARK, WHITE, standing_colour};
use crate::pen::{Pen, SMALL, Type};
use crate::{Anchor, Attention, Colour, Drawing, View, words};
use glam::DVec2;
use paper::Paper;
use shown::{Item, Shown};
use staffage_scene::{Assessment, Scene, Span, Subject, length};

/// Smallest paper that a section is drawn on, points.
const SMALLEST: DVec2 = DVec2::new(120.0, 60.0);

/// The scene from the side, in points: origin at the upper left corner, x right, y down, `size`
/// wide and high.
///
/// Distance from the eye runs to the right on a logarithmic axis; the eye stands at the left edge,
/// which is not zero. Height runs up from the level that carries most markers: evenly up to about
/// one metre (half an eye height), logarithmically beyond, so that a figure and a dam three hundred
/// times as high can both be read. Only what is measured in one unit is drawn, metres before eye
/// heights; what is left out is said in words. Empty when there is no room.
#[must_use]
pub fn section(scene: &Scene, assessment: &Assessment, size: DVec2) -> Drawing {
    let mut drawing = Drawing::default();
    let view = View { min: DVec2::ZERO, max: size, points_per_unit: 1.0 };
    let Some(mut pen) = Pen::of_view(&view).filter(|_| size.cmpge(SMALLEST).all()) else {
        return drawing;
    };
    let shown = Shown::of(scene, assessment);
    left_out(&mut pen, &shown, size);
    drawing.push("left-out", None, pen.take());
    let Some(paper) = Paper::for_shown(&shown, size) else { return drawing };

    let mut labels = Vec::new();
    axes::axes(&mut pen, &paper, shown.unit);
    drawing.push("axes", None, pen.take());
    for level in &shown.levels {
        level_line(&mut pen, &paper, level, &mut labels);
        drawing.push("level", Some(Subject::Level(level.id)), pen.take());
    }
    eye(&mut pen, &paper, &shown, &mut labels);
    drawing.push("eye", None, pen.take());
    let mut crowd = Crowd::new(size);
    for item in shown.items.iter().rev() {
        let head = upright(&mut pen, &paper, item, &mut crowd);
        drawing.push("marker", Some(Subject::Marker(item.id)), pen.take());
        standing(&mut pen, item, head, &mut labels);
        drawing.push("mark", Some(Subject::Marker(item.id)), pen.take());
    }
    // The near ones find a place for their name first.
    labels.reverse();
    place_labels(labels, &view, &mut crowd, &mut pen, &mut drawing);
    drawing
}

/// What cannot be drawn, in words along the top; in the middle if nothing can.
fn left_out(pen: &mut Pen, shown: &Shown<'_>, size: DVec2) {
    let text = shown.left_out.join("; ");
    if text.is_empty() {
        return;
    }
    let style = Type { text: &text, size: SMALL, colour: WHITE.faded(0.75), plate: None };
    if shown.items.is_empty() {
        pen.words(0.5 * size, DVec2::ZERO, Anchor::Centre, style);
    } else {
        pen.words(DVec2::splat(10.0), DVec2::ZERO, Anchor::Left, style);
    }
}

/// Over a line, at its right end or some way back along it.
const OVER_FROM_THE_RIGHT: &[(f64, f64)] =
    &[(-1.0, -1.2), (-3.1, -1.2), (-5.2, -1.2), (-7.3, -1.2)];

/// Over or under a line, at its right end or some way back along it.
const ALONG_FROM_THE_RIGHT: &[(f64, f64)] =
    &[(-1.0, -1.2), (-1.0, 1.2), (-3.1, -1.2), (-3.1, 1.2), (-5.2, -1.2), (-5.2, 1.2)];

/// Height of the distances written under the axis, points.
const NUMBERS: f64 = 20.0;

fn level_line(pen: &mut Pen, paper: &Paper, level: &shown::Level<'_>, labels: &mut Vec<Label>) {
    let y = paper.y(level.height);
    let (width, colour) = if level.height == 0.0 { (1.5, 0.8) } else { (1.0, 0.5) };
    let right = DVec2::new(paper.right(), y);
    pen.line(DVec2::new(paper.left(), y), right, width, WHITE.faded(colour));
    labels.push(Label {
        at: right,
        clearance: 1.0,
        lines: vec![(words::name(level.name), WHITE)],
        rank: Rank::Ordinary,
        about: Some(Subject::Level(level.id)),
        sides: if paper.bottom() - y < NUMBERS {
            OVER_FROM_THE_RIGHT
        } else {
            ALONG_FROM_THE_RIGHT
        },
    });
}

/// The eye at the left edge and the horizon's level from there to the right.
fn eye(pen: &mut Pen, paper: &Paper, shown: &Shown<'_>, labels: &mut Vec<Label>) {
    let at = DVec2::new(paper.left(), paper.y(shown.eye_height));
    pen.edged_line(at, DVec2::new(paper.right(), at.y), 1.5, WHITE);
    let lid = DVec2::new(14.0, 6.0);
    for corner in [at + lid, at + DVec2::new(lid.x, -lid.y)] {
        pen.edged_line(at, corner, 1.5, WHITE);
    }
    pen.disc(at + DVec2::new(9.0, 0.0), 3.0, WHITE, Some((1.0, DARK)));
    let words = match shown.levels.iter().find(|level| level.height == 0.0) {
        Some(level) if shown.eye_height != 0.0 => {
            let (height, side) = (length(shown.eye_height.abs(), shown.unit), side(shown));
            format!("eye, {height} {side} {}", words::name(level.name))
        }
        _ => "eye".into(),
    };
    labels.push(Label {
        at: at + DVec2::new(8.0, 0.0),
        clearance: 8.0,
        lines: vec![(words, WHITE)],
        rank: Rank::Involved,
        about: None,
        sides: &[(1.0, -1.2), (1.0, 1.2), (1.0, 0.0), (1.0, -2.4), (1.0, 2.4)],
    });
}

fn side(shown: &Shown<'_>) -> &'static str {
    if shown.eye_height > 0.0 { "over" } else { "under" }
}

/// A marker at its distance and height, with a whisker along the 95 % interval of its distance; where
/// its head is.
fn upright(pen: &mut Pen, paper: &Paper, item: &Item<'_>, crowd: &mut Crowd) -> DVec2 {
    let colour = standing_colour(item.standing, item.intended);
    let x = paper.x(item.distance.value);
    let foot = DVec2::new(x, paper.y(item.foot));
    whisker(pen, paper, item, foot.y, colour);
    let head = match (item.span, item.size) {
        (Span::Upright, Some(size)) => DVec2::new(x, paper.y(item.foot + size)),
        _ => foot,
    };
    if head == foot {
        let reach = DVec2::new(5.0, 0.0);
        pen.edged_line(foot - reach, foot + reach, 3.0, colour);
    } else {
        pen.line(foot, head, 6.0, DARK.faded(0.7));
        pen.line(foot, head, 3.5, colour);
    }
    crowd.take(Bounds { min: head - 3.0, max: foot + 3.0 });
    head
}

/// The standing's mark over a head, and the name beside it.
fn standing(pen: &mut Pen, item: &Item<'_>, head: DVec2, labels: &mut Vec<Label>) {
    let at = head - DVec2::new(0.0, MARK_RADIUS + 3.0);
    mark(pen, item.standing, item.intended, at, 0.8);
    labels.push(Label {
        at,
        clearance: 0.8 * MARK_RADIUS,
        lines: vec![(words::name(item.name), WHITE)],
        rank: Rank::of(Attention::Plain, item.standing, item.intended),
        about: Some(Subject::Marker(item.id)),
        sides: Label::AROUND,
    });
}

fn whisker(pen: &mut Pen, paper: &Paper, item: &Item<'_>, y: f64, colour: Colour) {
    let ends =
        [item.distance.low, item.distance.high].map(|d| DVec2::new(paper.x(d.min(f64::MAX)), y));
    pen.edged_line(ends[0], ends[1], 1.0, colour.faded(0.9));
    for end in ends {
        pen.edged_line(end - DVec2::new(0.0, 3.0), end + DVec2::new(0.0, 3.0), 1.0, colour);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Ink, samples};
    use staffage_scene::{LevelId, Unit};

    fn texts(drawing: &Drawing) -> Vec<&str> {
        let texts = drawing.ink().filter_map(|ink| match ink {
            Ink::Words { text, .. } => Some(text.as_str()),
            _ => None,
        });
        texts.collect()
    }

    #[test]
    fn what_is_measured_in_eye_heights_says_so_under_its_axes() {
        let (scene, mut assessment) = samples::quay();
        let size = DVec2::new(800.0, 200.0);
        assert!(!texts(&section(&scene, &assessment, size)).contains(&"eye heights"));
        for entry in &mut assessment.ledger {
            entry.unit = Unit::EyeHeights(LevelId(1));
        }
        let drawing = section(&scene, &assessment, size);
        assert!(texts(&drawing).contains(&"eye heights"), "{:?}", texts(&drawing));
    }

    #[test]
    fn marks_can_be_told_from_what_they_stand_over() {
        let (scene, assessment) = samples::quay();
        let drawing = section(&scene, &assessment, DVec2::new(800.0, 200.0));
        let count = |name| drawing.groups.iter().filter(|group| group.name == name).count();
        assert!(count("mark") > 5);
        assert_eq!(count("mark"), count("marker"));
    }
}
