use super::paper::Paper;
use crate::graduation::{Scale, spaced};
use crate::palette::WHITE;
use crate::pen::{Pen, Type};
use crate::words;
use crate::{Anchor, Axis};
use glam::DVec2;
use staffage_scene::Unit;

/// Height of the axes' numbers, points.
const TYPE: f64 = 10.0;

/// Least room between two numbers, points: across and down.
const ROOM: DVec2 = DVec2::new(46.0, 13.0);

/// The distance axis along the bottom and the height axis at the left, with their numbers.
pub(super) fn axes(pen: &mut Pen, paper: &Paper, scale: Scale) {
    let corner = DVec2::new(paper.left(), paper.bottom());
    pen.line(corner, DVec2::new(paper.right(), corner.y), 1.0, WHITE.faded(0.5));
    let named = unit_name(pen, scale.unit, corner);
    for (x, value) in spaced(distances(paper, scale), ROOM.x, |value| paper.x(value)) {
        if x > named + 0.5 * ROOM.x {
            let foot = DVec2::new(x, corner.y);
            pen.line(DVec2::new(x, paper.top()), foot, 1.0, WHITE.faded(0.1));
            pen.line(foot, foot + DVec2::new(0.0, 4.0), 1.0, WHITE.faded(0.6));
            number(pen, foot + DVec2::new(0.0, 13.0), Anchor::Centre, &scale.round(value));
        }
    }
    for (y, value) in spaced(all_heights(paper, scale), ROOM.y, |value| paper.y(value)) {
        let at = DVec2::new(paper.left(), y);
        pen.line(at, DVec2::new(paper.right(), y), 1.0, WHITE.faded(0.06));
        pen.line(at - DVec2::new(4.0, 0.0), at, 1.0, WHITE.faded(0.6));
        number(pen, at - DVec2::new(7.0, 0.0), Anchor::Right, &scale.round(value));
    }
}

fn distances(paper: &Paper, scale: Scale) -> Vec<f64> {
    let (near, far) = paper.distances();
    let most = (paper.right() - paper.left()) / (1.5 * ROOM.x);
    match paper.axis() {
        // Less than a decade holds too few round values.
        Axis::Logarithmic if far > 8.0 * near => scale.round_values(near, far),
        Axis::Logarithmic => scale.even_values(near, far, 0.7 * most),
        Axis::Linear => scale.even_values(near, far, most),
    }
}

fn all_heights(paper: &Paper, scale: Scale) -> Vec<f64> {
    let (low, high) = paper.heights();
    match paper.axis() {
        Axis::Logarithmic => scale.heights((low, high)),
        Axis::Linear => {
            scale.even_values(low, high, (paper.bottom() - paper.top()) / (1.3 * ROOM.y))
        }
    }
}

/// Says once what the numbers count that bear no unit, under the corner of the axes; how far that
/// reaches to the right.
fn unit_name(pen: &mut Pen, unit: Unit, corner: DVec2) -> f64 {
    const NAME: &str = "eye heights";
    match unit {
        Unit::Metres => corner.x - ROOM.x,
        Unit::EyeHeights(_) => {
            let left = DVec2::new(4.0, corner.y + 13.0);
            number(pen, left, Anchor::Left, NAME);
            corner.x.max(left.x + words::width(NAME, TYPE) - 0.25 * ROOM.x)
        }
    }
}

pub(crate) fn number(pen: &mut Pen, at: DVec2, anchor: Anchor, text: &str) {
    let style = Type { text, size: TYPE, colour: WHITE.faded(0.75), plate: None };
    pen.words(at, DVec2::ZERO, anchor, style);
}
