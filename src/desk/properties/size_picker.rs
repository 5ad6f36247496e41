//! A known size: picked from the production's size book or the size shelf, or typed.

use crate::{field, typed};
use egui::{
    Key, Label, Response, RichText, Role, ScrollArea, Sense, TextEdit, TextStyle, Ui, WidgetInfo,
    vec2,
};
use staffage_scene::shelf::{self, Part, Size};
use staffage_scene::{BookEntry, Known, SizeBook, Span, Units};

/// Spread of a size that was typed without one: most made things are known this well.
const OWN_SPREAD: f64 = 0.05;
const ROW: f32 = 22.0;
/// Most entries of a size book that are offered at a time: nobody reads on, but types another letter.
const MOST: usize = 50;

/// What is being typed, and which offer is lit.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct SizePicker {
    pub(crate) text: String,
    lit: usize,
    /// How the thing runs whose size is picked.
    span: Span,
    /// What lengths are told in.
    units: Units,
}

/// A size and what to call it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Picked {
    pub(crate) size: Known,
    pub(crate) called: String,
}

/// Something to pick.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Offer<'a> {
    /// From the production's size book.
    Book(&'a BookEntry),
    /// From the size shelf.
    Shelf(&'static Size),
}

impl Offer<'_> {
    fn label(self) -> String {
        match self {
            Self::Book(entry) => entry.label(),
            Self::Shelf(size) => size.label(),
        }
    }

    fn picked(self) -> Picked {
        match self {
            Self::Book(entry) => Picked { size: entry.size, called: entry.name.clone() },
            Self::Shelf(size) => Picked { size: size.known(), called: size.label() },
        }
    }

    /// Where the size comes from.
    fn note(self) -> Option<String> {
        match self {
            Self::Book(entry) => entry.note.clone(),
            Self::Shelf(size) => {
                Some(format!("{} · {} · {}", size.source, size.basis.words(), size.status.words()))
            }
        }
    }
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
        Self { text: String::new(), lit: 0, span, units: Units::default() }
    }

    /// What Enter would take now.
    pub(crate) fn offer(&self, book: Option<&SizeBook>) -> Option<Picked> {
        own_size(&self.text, self.units).or_else(|| {
            let found = self.found(book);
            found.get(self.lit.min(found.len().saturating_sub(1))).map(|offer| offer.picked())
        })
    }

    /// Whether something is typed that comes to no size.
    pub(crate) fn is_unreadable(&self, book: Option<&SizeBook>) -> bool {
        !self.text.trim().is_empty() && self.offer(book).is_none()
    }

    /// What the book has, and what the shelf has, sizes that are measured the way the thing runs first.
    fn found<'b>(&self, book: Option<&'b SizeBook>) -> Vec<Offer<'b>> {
        if self.text.trim().is_empty() || typed::is_numeric(&self.text) {
            return Vec::new();
        }
        let mut found = shelf::find(&self.text);
        let upright = self.span == Span::Upright;
        found.sort_by_key(|size| (size.part == Part::Height) != upright);
        let agreed = book.map_or_else(Vec::new, |book| book.find(&self.text));
        let agreed = agreed.into_iter().take(MOST).map(Offer::Book);
        agreed.chain(found.into_iter().map(Offer::Shelf)).collect()
    }

    /// The field, and under it what the book and the shelf offer.
    pub(crate) fn show(
        &mut self,
        ui: &mut Ui,
        width: f32,
        book: Option<&SizeBook>,
        units: Units,
    ) -> Shown {
        self.units = units;
        let (down, up) = self.arrows(ui);
        let typing = ui
            .add(
                TextEdit::singleline(&mut self.text)
                    .hint_text(format!("a thing from the shelf, or {}", example(units)))
                    .desired_width(width),
            )
            .accessible_name("Known size");
        if typing.changed() {
            self.lit = 0;
        }
        let found = self.found(book);
        self.lit = (self.lit + down).saturating_sub(up).min(found.len().saturating_sub(1));
        let mut picked = None;
        if let Some(own) = own_size(&self.text, self.units) {
            let spread = 100.0 * own.size.spread;
            ui.weak(format!("your own size: {} ± {spread:.0} %", units.metres(own.size.metres)));
        } else if self.is_unreadable(book) {
            ui.colored_label(field::bad(ui), self.wanted());
        } else if !self.text.trim().is_empty() {
            let title = book.map_or("", |book| book.title.as_str());
            picked = self.offers(ui, &found, title, width);
        }
        if typing.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter)) {
            picked = picked.or_else(|| self.offer(book));
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

    fn offers(&self, ui: &mut Ui, found: &[Offer<'_>], title: &str, width: f32) -> Option<Picked> {
        let mut picked = None;
        let first = |of: fn(&Offer<'_>) -> bool| found.iter().position(of);
        let from_book = first(|offer| matches!(offer, Offer::Book(_)));
        let from_shelf = first(|offer| matches!(offer, Offer::Shelf(_)));
        ScrollArea::vertical().id_salt("shelf").max_height(6.0 * ROW).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = 0.0;
            for (i, offer) in found.iter().enumerate() {
                if Some(i) == from_book {
                    board(ui, if title.is_empty() { "size book" } else { title }, width);
                } else if Some(i) == from_shelf && from_book.is_some() {
                    board(ui, "size shelf", width);
                }
                if row(ui, (*offer, self.units), i == self.lit, width).clicked() {
                    picked = Some(offer.picked());
                }
            }
        });
        if let Some(words) = found.get(self.lit).and_then(|offer| offer.note()) {
            ui.set_max_width(width);
            ui.label(RichText::new(words).weak().text_style(TextStyle::Small));
        }
        picked
    }
}

/// What the sizes under it come from.
fn board(ui: &mut Ui, title: &str, width: f32) {
    ui.allocate_ui(vec2(width, ROW), |ui| {
        ui.add(Label::new(RichText::new(title).weak().text_style(TextStyle::Small)).truncate());
    });
}

/// One size to pick.
fn row(ui: &mut Ui, (offer, units): (Offer<'_>, Units), lit: bool, width: f32) -> Response {
    let (label, size) = (offer.label(), offer.picked().size);
    let (rect, response) = ui.allocate_exact_size(vec2(width, ROW), Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, lit, &label));
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
    let value = format!("{} ± {:.0} %", units.metres(size.metres), (100.0 * size.spread).max(1.0));
    let right = ui.painter().text(
        rect.right_center() - vec2(6.0, 0.0),
        egui::Align2::RIGHT_CENTER,
        value,
        font.clone(),
        visuals.weak_text_color(),
    );
    let mut job = egui::text::LayoutJob::simple_singleline(label, font, visuals.text_color());
    job.wrap = egui::text::TextWrapping::truncate_at_width(right.left() - rect.left() - 16.0);
    let galley = ui.fonts_mut(|f| f.layout_job(job));
    let at = egui::pos2(rect.left() + 6.0, rect.center().y - galley.size().y / 2.0);
    ui.painter().galley(at, galley, visuals.text_color());
    match offer.note() {
        Some(note) => response.on_hover_text(note),
        None => response,
    }
}

/// How a length is typed.
fn example(units: Units) -> &'static str {
    match units {
        Units::Metric => "1.8 m",
        Units::Imperial => "5'11",
    }
}

/// A size from "1.8 m" or "1.8 m ± 3 %".
fn own_size(text: &str, units: Units) -> Option<Picked> {
    let (length, spread) = match text.split_once('±').or_else(|| text.split_once("+-")) {
        Some((length, spread)) => (length, typed::percent(spread)?),
        None => (text, OWN_SPREAD),
    };
    let size = Known { metres: typed::length(length, units)?, spread };
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
        let own = own_size("2.5 m ± 3 %", Units::Metric).map(|p| p.size);
        assert_eq!(own, Some(Known { metres: 2.5, spread: 0.03 }));
        let own = own_size("180 cm", Units::Metric).map(|p| p.size);
        assert_eq!(own, Some(Known { metres: 1.8, spread: OWN_SPREAD }));
        assert_eq!(own_size("adult", Units::Metric), None);
    }

    #[test]
    fn adults_are_on_the_shelf() {
        let offer = typed("adult", Span::Upright).offer(None).expect("an adult");
        assert!(
            offer.called.contains("adult") && (1.5..2.0).contains(&offer.size.metres),
            "{offer:?}"
        );
    }

    #[test]
    fn nothing_typed_offers_nothing() {
        assert_eq!(typed("", Span::Upright).offer(None), None);
    }

    #[test]
    fn a_number_alone_is_no_thing_on_the_shelf() {
        for text in ["0", "10", "-5", "1e9", "0 m", "-5 m", "abc"] {
            let picker = typed(text, Span::Upright);
            let own = text == "10";
            assert_eq!(picker.is_unreadable(None), !own, "{text}");
            assert!(picker.found(None).is_empty(), "{text}");
        }
    }

    #[test]
    fn sizes_measured_the_way_a_thing_runs_are_offered_first() {
        let called = |span| typed("container", span).offer(None).expect("a container").called;
        assert!(called(Span::Upright).ends_with(", height"), "{}", called(Span::Upright));
        for span in [Span::Facing, Span::Along(Family::RecedingLeft(BlockId(1)))] {
            assert!(!called(span).ends_with(", height"), "{}", called(span));
        }
    }

    #[test]
    fn the_size_book_is_offered_before_the_shelf() {
        let text = r#"(format: 1, title: "Works", entries: [
            (name: "container crane", what: "tall", size: (metres: 61, spread: 0.02)),
        ])"#;
        let book = SizeBook::parse(text).expect("a book");
        let picker = typed("container", Span::Upright);
        let found = picker.found(Some(&book));
        assert_eq!(found[0], Offer::Book(&book.entries[0]));
        assert!(matches!(found[1], Offer::Shelf(_)));
        let picked = picker.offer(Some(&book)).expect("an offer");
        let size = Known { metres: 61.0, spread: 0.02 };
        assert_eq!(picked, Picked { size, called: "container crane".into() });
        assert!(typed("zeppelin", Span::Upright).is_unreadable(Some(&book)));
    }
}
