//! Standing, shown by shape and word as well as by colour.

use crate::ink::colour;
use egui::{Color32, Painter, Pos2, Rect, Shape, Stroke, Vec2, pos2, vec2};
use staffage_drawing::standing_colour;
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

/// Draws the shape of a standing, about 9 points wide.
pub(crate) fn paint_shape(painter: &Painter, at: Pos2, standing: Standing, ink: Color32) {
    let r = 4.2;
    let line = Stroke::new(1.6, ink);
    match standing {
        Standing::Holds => {
            painter.circle_filled(at, r, ink);
        }
        Standing::Unchecked => {
            painter.circle_stroke(at, r - 0.6, line);
        }
        Standing::Open => {
            let ring: Vec<Pos2> =
                (0..=24).map(|i| at + Vec2::angled(i as f32 * 0.2618) * (r - 0.6)).collect();
            painter.extend(Shape::dashed_line(&ring, line, 3.0, 2.4));
        }
        Standing::Strained => {
            let up = |dx: f32, dy: f32| at + vec2(dx, dy);
            let corners = vec![up(0.0, -r), up(r, r * 0.75), up(-r, r * 0.75)];
            painter.add(Shape::closed_line(corners, line));
        }
        Standing::Contradicts => {
            let corners = [(0.0, -1.2), (1.2, 0.0), (0.0, 1.2), (-1.2, 0.0)];
            let points = corners.iter().map(|(x, y)| at + vec2(*x, *y) * r).collect();
            painter.add(Shape::convex_polygon(points, ink, Stroke::NONE));
        }
        Standing::Impossible => {
            let d = r * 0.9;
            painter.line_segment([at + vec2(-d, -d), at + vec2(d, d)], Stroke::new(2.2, ink));
            painter.line_segment([at + vec2(-d, d), at + vec2(d, -d)], Stroke::new(2.2, ink));
        }
    }
}

/// Draws shape and word from the left end of `rect`, centred on its height.
pub(crate) fn paint_shape_and_word(ui: &egui::Ui, rect: Rect, standing: Standing, intended: bool) {
    let ink = colour_on_furniture(standing, intended, ui);
    let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
    paint_shape(&painter, pos2(rect.left() + 6.0, rect.center().y), standing, ink);
    let font = egui::TextStyle::Body.resolve(ui.style());
    let at = pos2(rect.left() + 16.0, rect.center().y);
    painter.text(at, egui::Align2::LEFT_CENTER, word(standing, intended), font, ink);
}
