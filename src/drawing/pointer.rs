use crate::Colour;
use crate::bounds::Bounds;
use crate::label::{Label, Rank};
use crate::palette::{DARK, WHITE};
use crate::pen::Pen;
use crate::stage::{Stage, Whereabouts};
use glam::DVec2;

/// Distance of a pointer's tip from the view's edge, points.
const INSET: f64 = 8.0;

/// Length of a pointer's head, points.
const HEAD: f64 = 14.0;

/// An arrow at the page's edge towards something outside it, with its name and how far it lies
/// beyond the arrow: `"receding left · 2.3 widths"`, or `"… · parallel"` at infinity.
pub(crate) fn pointer(
    pen: &mut Pen,
    stage: &Stage<'_>,
    target: Whereabouts,
    colour: Colour,
    name: &str,
    labels: &mut Vec<Label>,
) {
    let view = stage.view;
    let page = Bounds { min: DVec2::ZERO, max: view.size() }.grown(-INSET);
    let towards = match target {
        Whereabouts::At(at) => (at - page.centre()).normalize_or_zero(),
        Whereabouts::Towards(direction) => direction,
    };
    if towards == DVec2::ZERO || page.size().cmple(DVec2::ZERO).any() {
        return;
    }
    let tip = page.exit(towards);
    let beyond = match target {
        Whereabouts::At(at) => widths(at.distance(tip) / view.points_per_unit),
        Whereabouts::Towards(_) => "parallel".into(),
    };
    let (back, side) = (tip - HEAD * towards, 0.45 * HEAD * towards.perp());
    head(pen, [tip, back + side, back - side].map(|at| view.in_picture(at)), colour);
    labels.push(Label {
        at: view.in_picture(tip - towards * HEAD / 2.0),
        clearance: HEAD / 2.0,
        lines: vec![(format!("{name} · {beyond}"), colour)],
        rank: Rank::Guide,
        about: None,
        sides: Label::AROUND,
    });
}

/// A filled triangle, `length` points long, whose tip is at `tip`.
pub(crate) fn arrow_head(pen: &mut Pen, tip: DVec2, towards: DVec2, length: f64, colour: Colour) {
    let back = tip - towards * pen.units(length);
    let side = towards.perp() * pen.units(0.45 * length);
    head(pen, [tip, back + side, back - side], colour);
}

fn head(pen: &mut Pen, corners: [DVec2; 3], colour: Colour) {
    // A light edge within a dark one: a green tip over a dark wall would hardly be seen.
    pen.outline(&corners, 3.5, DARK.faded(0.8), None);
    pen.fill(corners, colour);
    pen.outline(&corners, 1.0, WHITE.faded(0.85), None);
}

/// A distance in frame widths, in words.
fn widths(distance: f64) -> String {
    if distance < 0.1 {
        format!("{distance:.2} widths")
    } else if distance < 10.0 {
        format!("{distance:.1} widths")
    } else {
        format!("{distance:.0} widths")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_farther_a_point_the_fewer_decimals() {
        assert_eq!(widths(0.034), "0.03 widths");
        assert_eq!(widths(2.34), "2.3 widths");
        assert_eq!(widths(23.4), "23 widths");
    }
}
