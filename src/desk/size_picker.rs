//! A known size: picked from the size shelf, or typed.

use crate::{field, typed};
use egui::{
    Key, Response, RichText, Role, ScrollArea, Sense, TextEdit, TextStyle, Ui, WidgetInfo, vec2,
};
use staffage_scene::shelf::{self, Part, Size};
use staffage_scene::{Known, Span, metres};

/// Spread of a size that was typed without one: most made things are known this well.
const OWN_SPREAD: f64 = 0.05;
const ROW: f32 = 22.0;

/// What is being typed, and which offer is lit.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct SizePicker {
    pub(crate) text: String,
    lit: usize,
    /// How the thing runs whose size is picked.
    span: Span,
}

/// A size and what to call it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Picked {
    pub(crate) size: Known,
    pub(crate) called: String,
}

/// What the picker shows came to in this frame.
pub(crate) struct Shown {
    /// The text field.
    pub(crate) field: Response,
    /// What was picked by a click or by Enter.
    pub(crate) picked: Option<Picked>,
}

impl SizePicker {
    pub(crate) fn of(span: Span) -> Self {
        Self { text: String::new(), lit: 0, span }
    }

    /// What Enter would take now.
    pub(crate) fn offer(&self) -> Option<Picked> {
        own_size(&self.text).or_else(|| {
            let found = self.found();
            found.get(self.lit.min(found.len().saturating_sub(1))).map(|size| from_shelf(size))
        })
    }

    /// Whether something is typed that comes to no size.
    pub(crate) fn is_unreadable(&self) -> bool {
        !self.text.trim().is_empty() && self.offer().is_none()
    }

    /// What the shelf has, sizes that are measured the way the thing runs first.
    fn found(&self) -> Vec<&'static Size> {
        if self.text.trim().is_empty() || typed::is_numeric(&self.text) {
            return Vec::new();
        }
        let mut found = shelf::find(&self.text);
        let upright = self.span == Span::Upright;
        found.sort_by_key(|size| (size.part == Part::Height) != upright);
        found
    }

    /// The field, and under it what the shelf offers.
    pub(crate) fn show(&mut self, ui: &mut Ui, width: f32) -> Shown {
        let (down, up) = self.arrows(ui);
        let typing = ui
            .add(
                TextEdit::singleline(&mut self.text)
                    .hint_text("a thing from the shelf, or 1.8 m")
                    .desired_width(width),
            )
            .accessible_name("Known size");
        if typing.changed() {
            self.lit = 0;
        }
        let found = self.found();
        self.lit = (self.lit + down).saturating_sub(up).min(found.len().saturating_sub(1));
        let mut picked = None;
        if let Some(own) = own_size(&self.text) {
            let spread = 100.0 * own.size.spread;
            ui.weak(format!("your own size: {} ± {spread:.0} %", metres(own.size.metres)));
        } else if self.is_unreadable() {
            ui.colored_label(field::bad(ui), self.wanted());
        } else if !self.text.trim().is_empty() {
            picked = self.offers(ui, &found, width);
        }
        if typing.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter)) {
            picked = picked.or_else(|| self.offer());
        }
        Shown { field: typing, picked }
    }

    fn wanted(&self) -> String {
        let wanted = typed::LENGTH_WANTED;
        if typed::is_numeric(&self.text) {
            return format!("Not a size: type {wanted}.");
        }
        format!("The shelf has nothing like that: type another thing, or {wanted}.")
    }

    /// Arrow keys move the light, not the caret.
    fn arrows(&self, ui: &Ui) -> (usize, usize) {
        if self.text.is_empty() {
            return (0, 0);
        }
        let presses = |key| ui.input_mut(|i| i.count_and_consume_key(egui::Modifiers::NONE, key));
        (presses(Key::ArrowDown), presses(Key::ArrowUp))
    }

    fn offers(&self, ui: &mut Ui, found: &[&'static Size], width: f32) -> Option<Picked> {
        let mut picked = None;
        ScrollArea::vertical().id_salt("shelf").max_height(6.0 * ROW).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = 0.0;
            for (i, size) in found.iter().enumerate() {
                if offer(ui, size, i == self.lit, width).clicked() {
                    picked = Some(from_shelf(size));
                }
            }
        });
        if let Some(size) = found.get(self.lit) {
            ui.set_max_width(width);
            let words =
                format!("{} · {} · {}", size.source, size.basis.words(), size.status.words());
            ui.label(RichText::new(words).weak().text_style(TextStyle::Small));
        }
        picked
    }
}

/// One size on the shelf.
fn offer(ui: &mut Ui, size: &Size, lit: bool, width: f32) -> Response {
    let (rect, response) = ui.allocate_exact_size(vec2(width, ROW), Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, lit, size.label()));
    if lit {
        response.scroll_to_me(None);
    }
    let visuals = ui.visuals();
    let ground = if lit {
        Some(visuals.widgets.hovered.bg_fill)
    } else {
        response.hovered().then_some(visuals.faint_bg_color)
    };
    if let Some(fill) = ground {
        ui.painter().rect_filled(rect, 3, fill);
    }
    let font = TextStyle::Body.resolve(ui.style());
    let value = format!("{} ± {:.0} %", metres(size.metres), size.percent.max(1.0));
    let right = ui.painter().text(
        rect.right_center() - vec2(6.0, 0.0),
        egui::Align2::RIGHT_CENTER,
        value,
        font.clone(),
        visuals.weak_text_color(),
    );
    let mut job =
        egui::text::LayoutJob::simple_singleline(size.label(), font, visuals.text_color());
    job.wrap = egui::text::TextWrapping::truncate_at_width(right.left() - rect.left() - 16.0);
    let galley = ui.fonts_mut(|f| f.layout_job(job));
    let at = egui::pos2(rect.left() + 6.0, rect.center().y - galley.size().y / 2.0);
    ui.painter().galley(at, galley, visuals.text_color());
    response.on_hover_text(&size.source)
}

fn from_shelf(size: &Size) -> Picked {
    Picked { size: size.known(), called: size.label() }
}

/// A size from "1.8 m" or "1.8 m ± 3 %".
fn own_size(text: &str) -> Option<Picked> {
    let (length, spread) = match text.split_once('±').or_else(|| text.split_once("+-")) {
        Some((length, spread)) => (length, typed::percent(spread)?),
        None => (text, OWN_SPREAD),
    };
    let size = Known { metres: typed::length(length)?, spread };
    Some(Picked { size, called: "own size".into() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_scene::{BlockId, Family};

    fn typed(text: &str, span: Span) -> SizePicker {
        SizePicker { text: text.into(), ..SizePicker::of(span) }
    }

    #[test]
    fn a_length_is_an_own_size_with_or_without_a_spread() {
        let own = own_size("2.5 m ± 3 %").map(|p| p.size);
        assert_eq!(own, Some(Known { metres: 2.5, spread: 0.03 }));
        let own = own_size("180 cm").map(|p| p.size);
        assert_eq!(own, Some(Known { metres: 1.8, spread: OWN_SPREAD }));
        assert_eq!(own_size("adult"), None);
    }

    #[test]
    fn adults_are_on_the_shelf() {
        let offer = typed("adult", Span::Upright).offer().expect("an adult");
        assert!(
            offer.called.contains("adult") && (1.5..2.0).contains(&offer.size.metres),
            "{offer:?}"
        );
    }

    #[test]
    fn nothing_typed_offers_nothing() {
        assert_eq!(typed("", Span::Upright).offer(), None);
    }

    #[test]
    fn a_number_alone_is_no_thing_on_the_shelf() {
        for text in ["0", "10", "-5", "1e9", "0 m", "-5 m", "abc"] {
            let picker = typed(text, Span::Upright);
            let own = text == "10";
            assert_eq!(picker.is_unreadable(), !own, "{text}");
            assert!(picker.found().is_empty(), "{text}");
        }
    }

    #[test]
    fn sizes_measured_the_way_a_thing_runs_are_offered_first() {
        let called = |span| typed("container", span).offer().expect("a container").called;
        assert!(called(Span::Upright).ends_with(", height"), "{}", called(Span::Upright));
        for span in [Span::Facing, Span::Along(Family::RecedingLeft(BlockId(1)))] {
            assert!(!called(span).ends_with(", height"), "{}", called(span));
        }
    }
}
