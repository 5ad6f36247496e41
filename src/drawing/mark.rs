use crate::Colour;
use crate::palette::{CLEAR, DARK, WHITE, standing_colour};
use crate::pen::Pen;
use crate::{Ink, View};
use glam::DVec2;
use staffage_scene::Standing;
use std::f64::consts::TAU;

/// Radius that a standing's mark takes up, points.
pub const MARK_RADIUS: f64 = 6.0;

/// The mark of a standing, by shape and colour: a spot holds, a triangle is strained, a crossed box
/// contradicts, a ring is unchecked, a broken ring is open, a barred ring is impossible. Grey when
/// it is kept on purpose. In the view's units, [`MARK_RADIUS`] points large.
#[must_use]
pub fn standing_mark(standing: Standing, intended: bool, at: DVec2, view: &View) -> Vec<Ink> {
    let Some(mut pen) = Pen::of_view(view) else { return Vec::new() };
    mark(&mut pen, standing, intended, at, 1.0);
    pen.take()
}

/// Draws the mark of a standing, `scale` times its usual size; see [`standing_mark`].
pub(crate) fn mark(pen: &mut Pen, standing: Standing, intended: bool, at: DVec2, scale: f64) {
    let colour = standing_colour(standing, intended);
    let edge = Some((1.0, DARK.faded(0.8)));
    match standing {
        Standing::Holds => pen.disc(at, 4.0 * scale, colour, edge),
        Standing::Strained => triangle(pen, at, scale, colour),
        Standing::Contradicts => crossed_box(pen, at, scale, colour),
        Standing::Unchecked => ring(pen, at, scale, colour),
        Standing::Open => broken_ring(pen, at, scale, colour),
        Standing::Impossible => barred_ring(pen, at, scale, colour),
    }
}

fn triangle(pen: &mut Pen, at: DVec2, scale: f64, colour: Colour) {
    let corners = [(0.0, -6.0), (5.5, 4.0), (-5.5, 4.0)]
        .map(|(x, y)| at + scale * DVec2::new(pen.units(x), pen.units(y)));
    pen.fill(corners.to_vec(), colour);
    pen.outline(&corners, 1.2, DARK, None);
}

fn crossed_box(pen: &mut Pen, at: DVec2, scale: f64, colour: Colour) {
    let corner = |x: f64, y: f64, r: f64| at + DVec2::new(x, y) * r;
    let r = scale * pen.units(5.5);
    let corners =
        [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)].map(|(x, y)| corner(x, y, r));
    pen.fill(corners.to_vec(), colour);
    pen.outline(&corners, 1.2, DARK, None);
    let r = scale * pen.units(3.0);
    pen.line(corner(-1.0, -1.0, r), corner(1.0, 1.0, r), 2.0, WHITE);
    pen.line(corner(-1.0, 1.0, r), corner(1.0, -1.0, r), 2.0, WHITE);
}

fn ring(pen: &mut Pen, at: DVec2, scale: f64, colour: Colour) {
    pen.disc(at, 4.0 * scale, CLEAR, Some((3.5, DARK.faded(0.7))));
    pen.disc(at, 4.0 * scale, CLEAR, Some((1.5, colour)));
}

fn broken_ring(pen: &mut Pen, at: DVec2, scale: f64, colour: Colour) {
    let radius = scale * pen.units(4.5);
    pen.disc(at, 4.5 * scale, CLEAR, Some((3.5, DARK.faded(0.7))));
    // Four arcs, so that the ring is broken alike in every renderer.
    for quarter in 0..4 {
        let arc = (0..=5).map(|i| {
            let turn = TAU * (f64::from(quarter) + 0.12 * f64::from(i)) / 4.0;
            at + radius * DVec2::from_angle(turn)
        });
        pen.polyline(arc.collect(), 1.8, colour, None);
    }
}

fn barred_ring(pen: &mut Pen, at: DVec2, scale: f64, colour: Colour) {
    let reach = scale * pen.units(3.5) * DVec2::new(1.0, -1.0);
    pen.disc(at, 5.0 * scale, DARK.faded(0.8), Some((4.0, DARK.faded(0.8))));
    pen.disc(at, 5.0 * scale, CLEAR, Some((2.0, colour)));
    pen.line(at - reach, at + reach, 2.0, colour);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_standing_has_a_mark_of_its_own() {
        let view = View { min: DVec2::splat(-10.0), max: DVec2::splat(10.0), points_per_unit: 1.0 };
        let marks: Vec<_> = [
            Standing::Holds,
            Standing::Strained,
            Standing::Contradicts,
            Standing::Unchecked,
            Standing::Open,
            Standing::Impossible,
        ]
        // In grey, so that they differ by shape alone.
        .map(|standing| standing_mark(standing, true, DVec2::ZERO, &view))
        .into();
        for (i, mark) in marks.iter().enumerate() {
            assert!(!mark.is_empty());
            assert!(marks[..i].iter().all(|other| other != mark));
        }
    }
}
