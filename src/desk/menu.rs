use crate::act::Act;
use crate::choice::Choice;
use crate::desk::Desk;
use crate::{eye_panel, keys, several, tone_view};
use egui::{Align, Button, KeyboardShortcut, Layout, MenuBar, Response, ThemePreference, Ui};
use std::path::Path;

/// Width that the menus take, points.
const MENUS: f32 = 190.0;

/// The menus at the left, the eye's summary at the right.
pub(crate) fn show(desk: &mut Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let room = ui.available_width() - MENUS;
    ui.horizontal(|ui| {
        MenuBar::new().ui(ui, |ui| {
            ui.menu_button("Scene", |ui| scene_menu(desk, ui, acts));
            ui.menu_button("Edit", |ui| edit_menu(desk, ui, acts));
            ui.menu_button("View", |ui| view_menu(desk, ui, acts));
            ui.menu_button("Help", |ui| help_menu(ui, acts));
        });
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            eye_panel::summary(desk, ui, room, acts);
        });
    });
}

fn scene_menu(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    item(ui, "New blank frame…", Some(keys::NEW), true, Act::AskNewFrame, acts);
    item(ui, "Open…", Some(keys::OPEN), true, Act::Choose(Choice::Open), acts);
    if !desk.remembered.recent.is_empty() {
        ui.menu_button("Recent", |ui| {
            for path in &desk.remembered.recent {
                let response = ui.button(short(path)).on_hover_text(path.display().to_string());
                if response.clicked() {
                    acts.push(Act::Open(path.clone()));
                }
            }
        });
    }
    ui.separator();
    item(ui, "Save", Some(keys::SAVE), true, Act::Save, acts);
    item(ui, "Save as…", Some(keys::SAVE_AS), true, Act::AskSaveAs, acts);
    ui.separator();
    item(ui, "Set the painting…", None, true, Act::Choose(Choice::Painting), acts);
    let painted = desk.scene().painting.is_some();
    item(ui, "Read the painting again", Some(keys::RELOAD), painted, Act::Reload, acts);
    item(ui, "Take the painting away", None, painted, Act::RemovePainting, acts);
    ui.separator();
    item(ui, "Choose size book…", None, true, Act::Choose(Choice::SizeBook), acts);
    let booked = desk.scene().size_book.is_some();
    item(ui, "Put the size book away", None, booked, Act::SetSizeBook(None), acts);
    ui.separator();
    item(ui, "Quit", Some(keys::QUIT), true, Act::Quit, acts);
}

fn edit_menu(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let named = |word: &str, label: Option<&str>| match label {
        Some(label) => format!("{word}: {label}"),
        None => word.to_owned(),
    };
    let (undo, redo) = (desk.history.undo_label(), desk.history.redo_label());
    item(ui, &named("Undo", undo), Some(keys::UNDO), undo.is_some(), Act::Undo, acts);
    item(ui, &named("Redo", redo), Some(keys::REDO), redo.is_some(), Act::Redo, acts);
    ui.separator();
    let delete = match desk.selected() {
        Some(_) if desk.selection.is_several() => format!("Delete {} things", desk.selection.len()),
        Some(thing) if thing.is_of_eye() => {
            format!("Let go of the {}", thing.name(desk.scene()))
        }
        Some(thing) => format!("Delete {}", thing.name(desk.scene())),
        None => "Delete".into(),
    };
    let any = !desk.selection.is_empty();
    item(ui, "Select everything", Some(keys::SELECT_ALL), true, Act::SelectAll, acts);
    item(ui, "Duplicate", Some(keys::DUPLICATE), several::can_copy(desk), Act::Duplicate, acts);
    item(ui, "Align to family", Some(keys::ALIGN), several::can_align(desk), Act::Align, acts);
    item(ui, &delete, None, any, Act::DeleteSelected, acts);
}

fn view_menu(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    item(ui, "Whole frame", Some(keys::FIT), true, Act::Fit, acts);
    item(ui, "Actual size", Some(keys::ACTUAL_SIZE), true, Act::ActualSize, acts);
    ui.separator();
    tone_view::menu(desk, ui, acts);
    ui.separator();
    let kept = &desk.remembered;
    check(ui, kept.ink, "Drawing over the painting", Some(keys::INK), Act::ToggleInk, acts);
    check(ui, kept.section, "Section and plan", Some(keys::SECTION), Act::ToggleSection, acts);
    item(ui, "Section, plan or both", Some(keys::SHEETS), true, Act::NextSheets, acts);
    check(ui, kept.linear, "Linear distances", Some(keys::LINEAR), Act::ToggleLinear, acts);
    check(ui, kept.spread, "Vanishing point spread", None, Act::ToggleSpread, acts);
    check(ui, kept.loupe, "Loupe while placing", None, Act::ToggleLoupe, acts);
    check(ui, kept.smooth, "Smooth when enlarged", None, Act::ToggleSmooth, acts);
    ui.separator();
    for (theme, word) in [
        (ThemePreference::Dark, "Dark"),
        (ThemePreference::Light, "Light"),
        (ThemePreference::System, "As the system"),
    ] {
        if ui.radio(kept.theme == theme, word).clicked() {
            acts.push(Act::SetTheme(theme));
        }
    }
}

fn help_menu(ui: &mut Ui, acts: &mut Vec<Act>) {
    item(ui, "Keys", Some(keys::KEYS), true, Act::ToggleKeys, acts);
    item(ui, "What the numbers are for", None, true, Act::ToggleCaution, acts);
}

fn item(
    ui: &mut Ui,
    text: &str,
    shortcut: Option<KeyboardShortcut>,
    enabled: bool,
    act: Act,
    acts: &mut Vec<Act>,
) {
    let mut button = Button::new(text);
    if let Some(shortcut) = shortcut {
        button = button.shortcut_text(ui.format_shortcut(&shortcut));
    }
    if ui.add_enabled(enabled, button).clicked() {
        acts.push(act);
    }
}

pub(crate) fn check(
    ui: &mut Ui,
    mut on: bool,
    text: &str,
    shortcut: Option<KeyboardShortcut>,
    act: Act,
    acts: &mut Vec<Act>,
) -> Response {
    let text = match shortcut {
        Some(shortcut) => format!("{text}  ({})", ui.format_shortcut(&shortcut)),
        None => text.to_owned(),
    };
    let response = ui.checkbox(&mut on, text);
    if response.clicked() {
        acts.push(act);
    }
    response
}

/// A path's last two parts.
fn short(path: &Path) -> String {
    let parts: Vec<_> = path.components().rev().take(2).collect();
    let parts: Vec<_> =
        parts.iter().rev().map(|p| p.as_os_str().to_string_lossy().into_owned()).collect();
    parts.join("/")
}
