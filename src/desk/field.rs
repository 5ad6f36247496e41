//! Fields whose text is taken when typing ends: Enter, Tab or a click elsewhere. Esc takes it back.
//! Numbers that can be dragged, too.

use crate::actions::act::Act;
use egui::text::{CCursor, CCursorRange};
use egui::text_edit::TextEditState;
use egui::{Color32, Context, Id, Key, Response, TextEdit, Ui};
use staffage_scene::Edit;

/// Room at the right of a field, its own margins and the scroll bar's, points.
const EDGE: f32 = 18.0;
/// Room for a short number, points.
const NARROWEST: f32 = 34.0;

/// A one-line text field named `name`; the new text once typing ends and it differs.
pub(crate) fn text(
    ui: &mut Ui,
    salt: impl std::hash::Hash + std::fmt::Debug,
    name: &str,
    value: &str,
    width: f32,
) -> Option<String> {
    draft(ui, salt, name, value, width, "", |_| true)
}

/// As [`text`], for the name of the selected thing, which can be asked for by key.
pub(crate) fn own_name(
    ui: &mut Ui,
    salt: impl std::hash::Hash + std::fmt::Debug,
    name: &str,
    value: &str,
    width: f32,
) -> Option<String> {
    if ui.data_mut(|d| d.remove_temp::<bool>(asked()).is_some()) {
        request_focus(ui, &salt);
    }
    text(ui, salt, name, value, width)
}

/// Gives the keys to the field of this salt, which comes next in the same place.
pub(crate) fn request_focus(ui: &Ui, salt: &(impl std::hash::Hash + std::fmt::Debug)) {
    let id = ui.scope_id().with(("field", salt)).with("text");
    ui.memory_mut(|m| m.request_focus(id));
}

/// Lets the name of the selected thing be typed.
pub(crate) fn ask_name(ctx: &Context) {
    ctx.data_mut(|d| d.insert_temp(asked(), true));
}

fn asked() -> Id {
    Id::unique("name asked for")
}

/// A field for something that is typed as text and read by `read`. While it cannot be read it is red
/// and says what is `wanted`, and Enter does not leave it.
pub(crate) fn parsed<T>(
    ui: &mut Ui,
    salt: impl std::hash::Hash + std::fmt::Debug,
    name: &str,
    value: &str,
    width: f32,
    wanted: &str,
    read: impl Fn(&str) -> Option<T>,
) -> Option<T> {
    let typed = draft(ui, salt, name, value, width, wanted, |text| read(text).is_some())?;
    read(&typed)
}

fn draft(
    ui: &mut Ui,
    salt: impl std::hash::Hash + std::fmt::Debug,
    name: &str,
    value: &str,
    width: f32,
    wanted: &str,
    is_valid: impl Fn(&str) -> bool,
) -> Option<String> {
    let id = ui.scope_id().with(("field", &salt));
    let kept: Option<String> = ui.data(|d| d.get_temp(id));
    let mut text = kept.clone().unwrap_or_else(|| value.to_owned());
    // In a narrow wall it ends before the scroll bar.
    let width = width.min(ui.available_width() - EDGE).max(NARROWEST);
    let mut edit = TextEdit::singleline(&mut text).id(id.with("text")).desired_width(width);
    if !is_valid(kept.as_deref().unwrap_or(value)) {
        edit = edit.text_color(bad(ui));
    }
    let was_focused = ui.memory(|m| m.has_focus(id.with("text")));
    let response = ui.add(edit).accessible_name(name);
    follow_focus(ui, &response, &text, was_focused, !wanted.is_empty());
    let is_bad = !is_valid(&text);
    if response.lost_focus() && is_bad && ui.input(|i| i.key_pressed(Key::Enter)) {
        response.request_focus();
        ui.data_mut(|d| d.insert_temp(id, text));
        return None;
    }
    if response.has_focus() {
        if is_bad {
            response.show_tooltip_text(format!("Type {wanted}."));
        }
        ui.data_mut(|d| d.insert_temp(id, text.clone()));
    }
    if !response.lost_focus() {
        return None;
    }
    ui.data_mut(|d| d.remove_temp::<String>(id));
    let given_up = ui.input(|i| i.key_pressed(Key::Escape));
    (!given_up && text != value && is_valid(&text)).then_some(text)
}

/// What is typed into a field that was reached by a key takes the place of what stood there, and so it
/// does in a measure that was clicked; in other text a click begins at the letter.
fn follow_focus(ui: &Ui, field: &Response, text: &str, was_focused: bool, is_measure: bool) {
    let clicked_into = field.id.with("clicked into");
    if field.gained_focus() {
        let by_pointer = ui.input(|i| i.pointer.any_down() || i.pointer.any_released());
        if by_pointer {
            ui.data_mut(|d| d.insert_temp(clicked_into, true));
        } else {
            select_all(ui, field, text);
        }
    }
    if field.clicked() && is_measure {
        let first = ui.data_mut(|d| d.remove_temp::<bool>(clicked_into)).unwrap_or(false);
        if first || !was_focused {
            select_all(ui, field, text);
        }
    }
}

/// Gives a number the keys, so that what is typed takes the place of what it shows.
pub(crate) fn take_focus(ui: &Ui, number: &Response, text: &str) {
    number.request_focus();
    select_all(ui, number, text);
}

fn select_all(ui: &Ui, field: &Response, text: &str) {
    let mut state = TextEditState::load(ui.ctx(), field.id).unwrap_or_default();
    let whole = CCursorRange::two(CCursor::new(0), CCursor::new(text.chars().count()));
    state.cursor.set_char_range(Some(whole));
    state.store(ui.ctx(), field.id);
}

/// Whether a number that was shown with so many decimals is another one now. A number that the keys merely pass
/// through is read back as it is told, rounded: that says nothing.
pub(crate) fn differs(number: &Response, shown: f64, now: f64, decimals: i32) -> bool {
    let told = 0.5 * 10f64.powi(-decimals);
    now.is_finite() && now != shown && (number.dragged() || (now - shown).abs() > 1.0001 * told)
}

/// Makes the edit of a number that is typed, or shows that of one that is dragged; a whole drag is
/// one step.
pub(crate) fn put(number: &Response, edit: Option<Edit>, acts: &mut Vec<Act>) {
    if number.changed() {
        let act = if number.dragged() { Act::Preview } else { Act::Edit };
        acts.extend(edit.map(act));
    }
    if number.drag_stopped() {
        acts.push(Act::Commit);
    }
}

/// The colour of what cannot be read.
pub(crate) fn bad(ui: &Ui) -> Color32 {
    if ui.visuals().dark_mode {
        Color32::from_rgb(0xf0, 0x7a, 0x1e)
    } else {
        Color32::from_rgb(0xb3, 0x4f, 0x00)
    }
}
