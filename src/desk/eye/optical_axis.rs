//! Where the optical axis meets the picture: of use for a painting that was cropped out of a larger
//! frame.

use crate::actions::act::Act;
use crate::desk::Desk;
use crate::{field, sentences};
use egui::{CollapsingHeader, DragValue, Ui};
use glam::DVec2;
use staffage_scene::{Edit, EyeByHand, PICTURE_COORDINATE, PrincipalPoint};
use staffage_solver::{Quantity, Source};

/// Frame widths in a percent of the frame's width.
const PERCENT: f64 = 0.01;

/// Folded as long as the painting is a whole frame.
pub(crate) fn show(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let principal = desk.scene().eye.principal;
    CollapsingHeader::new("Optical axis")
        .default_open(principal != PrincipalPoint::Centre)
        .show(ui, |ui| {
            ways(desk, ui, principal, acts);
            if let PrincipalPoint::At(at) = principal {
                place(desk, ui, at, acts);
            }
            ui.weak(reading(principal, desk.assessment().eye.principal));
        })
        .header_response
        .on_hover_text("Where it meets the picture: off the middle if the painting was cropped");
}

fn set(desk: &Desk, principal: PrincipalPoint) -> Edit {
    Edit::SetEye(EyeByHand { principal, ..desk.scene().eye })
}

fn ways(desk: &Desk, ui: &mut Ui, now: PrincipalPoint, acts: &mut Vec<Act>) {
    let read = desk.assessment().eye.principal.map(|q| (1e3 * q.value).round() / 1e3);
    let by_hand = match now {
        PrincipalPoint::At(_) => now,
        PrincipalPoint::Centre | PrincipalPoint::Free => {
            PrincipalPoint::At(DVec2::from_array(read))
        }
    };
    ui.horizontal(|ui| {
        for (way, word, tip) in [
            (PrincipalPoint::Centre, "in the middle", "The painting is a whole frame"),
            (by_hand, "set by hand", "The painting is a known crop of a larger frame"),
            (
                PrincipalPoint::Free,
                "read from the lines",
                "The painting is a crop of a larger frame, nobody knows which: takes three vanishing points",
            ),
        ] {
            let chosen = way == now;
            if ui.selectable_label(chosen, word).on_hover_text(tip).clicked() && !chosen {
                acts.push(Act::Edit(set(desk, way)));
            }
        }
    });
}

/// The two fields of a place set by hand, in percent of the frame's width.
fn place(desk: &Desk, ui: &mut Ui, at: DVec2, acts: &mut Vec<Act>) {
    let (least, most) = PICTURE_COORDINATE.into_inner();
    ui.horizontal(|ui| {
        for (axis, word) in [(0, "right"), (1, "down")] {
            let shown = at[axis] / PERCENT;
            let mut percent = shown;
            let label = ui.label(word);
            let value = DragValue::new(&mut percent)
                .update_while_editing(false)
                .range(least / PERCENT..=most / PERCENT)
                .speed(0.1)
                .fixed_decimals(1)
                .suffix(" %");
            let response = ui
                .add(value)
                .labelled_by(label.id)
                .on_hover_text("Of the frame’s width, from the middle of the frame");
            let mut moved = at;
            moved[axis] = percent * PERCENT;
            let edit = field::differs(&response, shown, percent, 1)
                .then(|| set(desk, PrincipalPoint::At(moved)));
            field::put(&response, edit, acts);
        }
    });
}

/// Where it is, how sure that is, and where it comes from.
fn reading(principal: PrincipalPoint, read: [Quantity; 2]) -> String {
    let assumed = read.iter().any(|q| q.source == Source::Assumed);
    match principal {
        PrincipalPoint::Centre => "The painting is taken for a whole frame.".into(),
        PrincipalPoint::Free if assumed => {
            "Assumed near the middle: it takes three vanishing points, none of them far off.".into()
        }
        PrincipalPoint::At(_) => sentences::source(Source::ByHand).into(),
        PrincipalPoint::Free => {
            let words = |q: Quantity, [more, less]: [&str; 2]| {
                let (value, spread) = (q.value / PERCENT, sentences::half_interval(q) / PERCENT);
                let side = if value < 0.0 { less } else { more };
                format!("{:.1} ± {spread:.1} % {side}", value.abs())
            };
            let [across, down] = read;
            format!(
                "{}, {} of the middle, {}",
                words(across, ["right", "left"]),
                words(down, ["down", "up"]),
                sentences::source(across.source)
            )
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_axis_is_told_with_its_spread_and_source() {
        let quantity = |value, source| Quantity { value, sd: 0.004, source };
        let read = |source| [quantity(0.031, source), quantity(-0.012, source)];
        assert_eq!(
            reading(PrincipalPoint::Free, read(Source::Read)),
            "3.1 ± 0.8 % right, 1.2 ± 0.8 % up of the middle, read from the lines"
        );
        let by_hand = PrincipalPoint::At(DVec2::new(0.031, -0.012));
        assert_eq!(reading(by_hand, read(Source::ByHand)), "set by hand");
        assert!(reading(PrincipalPoint::Free, read(Source::Assumed)).contains("three vanishing"));
    }
}
