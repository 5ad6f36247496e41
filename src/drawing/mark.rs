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
        .map(|(x, y)| pen.beside(at, scale * DVec2::new(x, y)));
    pen.fill(corners, colour);
    pen.outline(&corners, 1.2, DARK, None);
}

fn crossed_box(pen: &mut Pen, at: DVec2, scale: f64, colour: Colour) {
    let square = |r: f64| {
        [(-r, -r), (r, -r), (r, r), (-r, r)].map(|(x, y)| pen.beside(at, scale * DVec2::new(x, y)))
    };
    let (corners, [a, b, c, d]) = (square(5.5), square(3.0));
    pen.fill(corners, colour);
    pen.outline(&corners, 1.2, DARK, None);
    pen.line(a, c, 2.0, WHITE);
    pen.line(d, b, 2.0, WHITE);
}

fn ring(pen: &mut Pen, at: DVec2, scale: f64, colour: Colour) {
    pen.disc(at, 4.0 * scale, CLEAR, Some((3.5, DARK.faded(0.7))));
    pen.disc(at, 4.0 * scale, CLEAR, Some((1.5, colour)));
}

fn broken_ring(pen: &mut Pen, at: DVec2, scale: f64, colour: Colour) {
    pen.disc(at, 4.5 * scale, CLEAR, Some((3.5, DARK.faded(0.7))));
    // Four arcs, so that the ring is broken alike in every renderer.
    for quarter in 0..4 {
        let arc: [DVec2; 6] = std::array::from_fn(|i| {
            let turn = TAU * (f64::from(quarter) + 0.12 * i as f64) / 4.0;
            pen.beside(at, 4.5 * scale * DVec2::from_angle(turn))
        });
        pen.polyline(arc, 1.8, colour, None);
    }
}

fn barred_ring(pen: &mut Pen, at: DVec2, scale: f64, colour: Colour) {
    let reach = 3.5 * scale * DVec2::new(1.0, -1.0);
    let (from, to) = (pen.beside(at, -reach), pen.beside(at, reach));
    pen.disc(at, 5.0 * scale, DARK.faded(0.8), Some((4.0, DARK.faded(0.8))));
    pen.disc(at, 5.0 * scale, CLEAR, Some((2.0, colour)));
    pen.line(from, to, 2.0, colour);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Page;
    use glam::DMat3;
    use staffage_solver::{Eye, Homography};

    #[test]
    fn a_mark_stands_upright_and_as_large_in_a_turned_view() {
        let eye = Eye { pitch: 0.4, cant: 0.3, ..Eye::default() };
        let scale = Homography::new(DMat3::from_scale(DVec2::splat(900.0))).unwrap();
        let map = Homography::plumb(&eye).unwrap().then(scale);
        let view = View::of_page(Page { map, size: DVec2::splat(400.0) }, 900.0);
        let at = view.in_picture(DVec2::splat(150.0));
        let box_of = |ink: &Ink| match ink {
            Ink::Fill { points, .. } => Some(points.iter().map(|p| view.on_page(*p)).collect()),
            _ => None,
        };
        let ink = standing_mark(Standing::Contradicts, false, at, &view);
        let corners: Vec<DVec2> = ink.iter().find_map(box_of).unwrap();
        for (corner, (x, y)) in
            corners.iter().zip([(-5.5, -5.5), (5.5, -5.5), (5.5, 5.5), (-5.5, 5.5)])
        {
            assert!((*corner - DVec2::new(150.0 + x, 150.0 + y)).length() < 1e-9, "{corner}");
        }
    }

    #[test]
    fn every_standing_has_a_mark_of_its_own() {
        let view = View::of_part(DVec2::splat(-10.0), DVec2::splat(10.0), 1.0);
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
