use super::paper::Paper;
use crate::Anchor;
use crate::palette::WHITE;
use crate::pen::{Pen, Type};
use crate::words;
use glam::DVec2;
use staffage_scene::Unit;

/// Height of the axes' numbers, points.
const TYPE: f64 = 10.0;

/// Least room between two numbers, points: across and down.
const ROOM: DVec2 = DVec2::new(46.0, 13.0);

/// The distance axis along the bottom and the height axis at the left, with their numbers.
pub(super) fn axes(pen: &mut Pen, paper: &Paper, unit: Unit) {
    let corner = DVec2::new(paper.left(), paper.bottom());
    pen.line(corner, DVec2::new(paper.right(), corner.y), 1.0, WHITE.faded(0.5));
    let ticks = round_values(paper.distances().0, paper.distances().1);
    let named = unit_name(pen, unit, corner);
    for (x, value) in spaced(ticks, ROOM.x, |value| paper.x(value)) {
        if x > named + 0.5 * ROOM.x {
            let foot = DVec2::new(x, corner.y);
            pen.line(DVec2::new(x, paper.top()), foot, 1.0, WHITE.faded(0.1));
            pen.line(foot, foot + DVec2::new(0.0, 4.0), 1.0, WHITE.faded(0.6));
            number(pen, foot + DVec2::new(0.0, 13.0), Anchor::Centre, &round(value, unit));
        }
    }
    for (y, value) in spaced(heights(paper.heights()), ROOM.y, |value| paper.y(value)) {
        let at = DVec2::new(paper.left(), y);
        pen.line(at, DVec2::new(paper.right(), y), 1.0, WHITE.faded(0.06));
        pen.line(at - DVec2::new(4.0, 0.0), at, 1.0, WHITE.faded(0.6));
        number(pen, at - DVec2::new(7.0, 0.0), Anchor::Right, &round(value, unit));
    }
}

/// Says once what the numbers count that bear no unit, under the corner of the axes; how far that
/// reaches to the right.
fn unit_name(pen: &mut Pen, unit: Unit, corner: DVec2) -> f64 {
    const NAME: &str = "eye heights";
    match unit {
        Unit::Metres => corner.x,
        Unit::EyeHeights(_) => {
            let left = DVec2::new(4.0, corner.y + 13.0);
            number(pen, left, Anchor::Left, NAME);
            corner.x.max(left.x + words::width(NAME, TYPE) - 0.25 * ROOM.x)
        }
    }
}

fn number(pen: &mut Pen, at: DVec2, anchor: Anchor, text: &str) {
    let style = Type { text, size: TYPE, colour: WHITE.faded(0.75), plate: None };
    pen.words(at, DVec2::ZERO, anchor, style);
}

/// A round value: `"20 m"`, `"2 km"`; eye heights bear no unit, there is room for none.
fn round(value: f64, unit: Unit) -> String {
    let sign = if value < 0.0 { "−" } else { "" };
    match (unit, value.abs()) {
        (Unit::EyeHeights(_), size) => format!("{sign}{size}"),
        (Unit::Metres, size) if size >= 1000.0 => format!("{sign}{} km", size / 1000.0),
        (Unit::Metres, size) => format!("{sign}{size} m"),
    }
}

/// 1, 2 and 5 times the powers of ten between two positive values, the powers of ten first.
fn round_values(low: f64, high: f64) -> Vec<f64> {
    let decades = low.max(1e-9).log10().floor() as i32..=high.max(1e-9).log10().ceil() as i32;
    let series = |first: u32| {
        decades.clone().map(move |decade| {
            // Dividing keeps 0.1 and 0.2 free of rounding that would show in print.
            let power = 10f64.powi(decade.abs());
            if decade < 0 { f64::from(first) / power } else { f64::from(first) * power }
        })
    };
    let all = series(1).chain(series(5)).chain(series(2));
    all.filter(|value| (low..=high).contains(value)).collect()
}

/// Zero and round values on both sides of it, from a tenth up.
fn heights((low, high): (f64, f64)) -> Vec<f64> {
    let up = round_values(0.1, high.max(0.1));
    let down = round_values(0.1, (-low).max(0.1));
    let signed = up.into_iter().chain(down.into_iter().map(|value| -value));
    std::iter::once(0.0).chain(signed).filter(|value| (low..=high).contains(value)).collect()
}

/// The values that have room where they lie, earlier ones before later ones.
fn spaced(values: Vec<f64>, room: f64, place: impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
    let mut kept: Vec<(f64, f64)> = Vec::new();
    for value in values {
        let at = place(value);
        if kept.iter().all(|(other, _)| (other - at).abs() >= room) {
            kept.push((at, value));
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_scene::LevelId;

    #[test]
    fn round_values_are_the_powers_of_ten_with_their_fives_and_twos() {
        assert_eq!(round_values(0.15, 25.0), [1.0, 10.0, 0.5, 5.0, 0.2, 2.0, 20.0]);
    }

    #[test]
    fn heights_run_both_ways_from_zero() {
        assert_eq!(heights((-2.5, 1.5)), [0.0, 0.1, 1.0, 0.5, 0.2, -0.1, -1.0, -0.5, -0.2, -2.0]);
    }

    #[test]
    fn crowded_values_give_way_to_rounder_ones() {
        let kept = spaced(round_values(1.0, 10.0), 4.5, |value| value);
        assert_eq!(kept, [(1.0, 1.0), (10.0, 10.0)]);
    }

    #[test]
    fn numbers_are_short() {
        assert_eq!(round(0.2, Unit::Metres), "0.2 m");
        assert_eq!(round(-20.0, Unit::Metres), "−20 m");
        assert_eq!(round(2000.0, Unit::Metres), "2 km");
        assert_eq!(round(5.0, Unit::EyeHeights(LevelId(1))), "5");
    }
}
