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

/// The colour of a standing where it must be read on the furniture. White and yellow would vanish
/// on light furniture: there the plain text colour and a darker yellow stand for them.
#[must_use]
pub(crate) fn colour_on_furniture(standing: Standing, intended: bool, ui: &egui::Ui) -> Color32 {
    let dark = ui.visuals().dark_mode;
    match standing {
        _ if intended => ui.visuals().weak_text_color(),
        Standing::Unchecked => ui.visuals().text_color(),
        Standing::Strained if !dark => Color32::from_rgb(0x8a, 0x7a, 0x00),
        Standing::Holds if !dark => Color32::from_rgb(0x00, 0x7a, 0x59),
        Standing::Holds => Color32::from_rgb(0x1f, 0xb8, 0x8d),
        Standing::Contradicts | Standing::Impossible if !dark => {
            Color32::from_rgb(0xb3, 0x4f, 0x00)
        }
        Standing::Contradicts | Standing::Impossible => Color32::from_rgb(0xf0, 0x7a, 0x1e),
        Standing::Open if !dark => Color32::from_rgb(0x1c, 0x6e, 0xa4),
        _ => colour(standing_colour(standing, intended)),
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
