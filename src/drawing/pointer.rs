use crate::Colour;
use crate::label::{Label, Rank};
use crate::palette::DARK;
use crate::pen::Pen;
use crate::stage::{Place, Stage};
use glam::DVec2;

/// Distance of a pointer's tip from the view's edge, points.
const INSET: f64 = 8.0;

/// Length of a pointer's head, points.
const HEAD: f64 = 12.0;

/// An arrow at the view's edge towards something outside it, with its name and how far it lies
/// beyond the arrow: `"receding left · 2.3 widths"`, or `"… · parallel"` at infinity.
pub(crate) fn pointer(
    pen: &mut Pen,
    stage: &Stage<'_>,
    target: Place,
    colour: Colour,
    name: &str,
    labels: &mut Vec<Label>,
) {
    let visible = stage.visible().grown(-pen.units(INSET));
    let centre = visible.centre();
    let towards = match target {
        Place::At(at) => (at - centre).normalize_or_zero(),
        Place::Towards(direction) => direction,
    };
    if towards == DVec2::ZERO || visible.size().cmple(DVec2::ZERO).any() {
        return;
    }
    let tip = visible.exit(towards);
    let beyond = match target {
        Place::At(at) => widths(at.distance(tip)),
        Place::Towards(_) => "parallel".into(),
    };
    arrow_head(pen, tip, towards, HEAD, colour);
    labels.push(Label {
        at: tip - towards * pen.units(HEAD / 2.0),
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
    let corners = [tip, back + side, back - side];
    pen.fill(corners.to_vec(), colour);
    pen.outline(&corners, 1.0, DARK.faded(0.8), None);
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
