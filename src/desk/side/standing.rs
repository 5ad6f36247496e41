//! Standing, shown by shape and word as well as by colour.

use crate::canvas::ink::{self, Placing, colour};
use egui::{Color32, Rect, pos2};
use glam::DVec2;
use staffage_drawing::{View, standing_colour, standing_mark};
use staffage_scene::{Standing, standing_word};

/// The word for a standing.
#[must_use]
pub(crate) fn word(standing: Standing, intended: bool) -> &'static str {
    if intended { "intended" } else { standing_word(standing) }
}

/// What the word means, for a tooltip.
#[must_use]
pub(crate) fn meaning(standing: Standing, intended: bool) -> &'static str {
    match standing {
        _ if intended => "A contradiction that is kept on purpose.",
        Standing::Impossible => "It cannot be as drawn.",
        Standing::Contradicts => {
            "Something else that was said disagrees, beyond chance and beyond what an eye overlooks."
        }
        Standing::Strained => "It is at the edge of what chance allows.",
        Standing::Open => "Nothing fixes it yet.",
        Standing::Unchecked => "Nothing else tests it.",
        Standing::Holds => "Everything that tests it agrees.",
    }
}

/// The colour of a standing where it must be read on the furniture.
#[must_use]
pub(crate) fn colour_on_furniture(standing: Standing, intended: bool, ui: &egui::Ui) -> Color32 {
    match standing {
        _ if intended => ui.visuals().weak_text_color(),
        Standing::Unchecked => ui.visuals().text_color(),
        _ => letters(standing, ui.visuals().dark_mode),
    }
}

/// The colours of the marks, so much lighter on dark furniture and darker on light furniture that thin letters can
/// be read there, also in a row that is selected.
fn letters(standing: Standing, dark: bool) -> Color32 {
    match standing {
        Standing::Strained if !dark => Color32::from_rgb(0x6b, 0x5e, 0x00),
        Standing::Holds if !dark => Color32::from_rgb(0x00, 0x66, 0x4b),
        Standing::Holds => Color32::from_rgb(0x2b, 0xc4, 0x99),
        Standing::Contradicts | Standing::Impossible if !dark => {
            Color32::from_rgb(0x9c, 0x43, 0x00)
        }
        Standing::Contradicts | Standing::Impossible => Color32::from_rgb(0xf4, 0x86, 0x30),
        Standing::Open if !dark => Color32::from_rgb(0x14, 0x5d, 0x8e),
        _ => colour(standing_colour(standing, false)),
    }
}

/// Draws shape and word from the left end of `rect`, centred on its height.
pub(crate) fn paint_shape_and_word(ui: &egui::Ui, rect: Rect, standing: Standing, intended: bool) {
    let letters = colour_on_furniture(standing, intended, ui);
    let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
    // The mark's own units are points, from the rectangle's left end.
    let view = View::of_part(DVec2::splat(-20.0), DVec2::splat(20.0), 1.0);
    let mark = standing_mark(standing, intended, DVec2::ZERO, &view);
    let at = pos2(rect.left() + 7.0, rect.center().y);
    ink::put(&painter, &mark, Placing::Points(at));
    let font = egui::TextStyle::Body.resolve(ui.style());
    let at = pos2(rect.left() + 18.0, rect.center().y);
    painter.text(at, egui::Align2::LEFT_CENTER, word(standing, intended), font, letters);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theme;

    #[test]
    fn a_standing_can_be_read_on_every_row_in_both_themes() {
        use Standing::{Contradicts, Holds, Impossible, Open, Strained};
        for dark in [true, false] {
            for ground in theme::grounds(dark) {
                for standing in [Holds, Strained, Contradicts, Impossible, Open] {
                    let contrast = theme::contrast(letters(standing, dark), ground);
                    // WCAG 2.1, success criterion 1.4.3.
                    assert!(contrast >= 4.5, "{standing:?} on {ground:?}: {contrast:.2}");
                }
            }
        }
    }
}
