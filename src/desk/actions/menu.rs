use crate::actions::Action;
use crate::actions::act::Act;
use crate::desk::Desk;
use crate::modes::guide_tools::GuideAct;
use crate::{
    actions::{canvas_actions, furniture_actions, scene_actions},
    alternatives,
    eye::eye_panel,
    painting::tone_view,
};
use egui::{
    Align, Atom, Button, Checkbox, Frame, Layout, Margin, MenuBar, Response, RichText, ScrollArea,
    Ui,
};
use staffage_drawing::SafeLines;
use std::path::Path;

/// Width that the menus take, points.
const MENUS: f32 = 420.0;
/// Height of the menu bar with the margins of a menu, points.
const ABOVE_MENUS: f32 = 56.0;

/// The menus at the left, the eye's summary at the right.
pub(crate) fn show(desk: &mut Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let room = ui.available_width() - MENUS;
    ui.horizontal(|ui| {
        MenuBar::new().ui(ui, |ui| {
            ui.menu_button("Scene", |ui| scene_menu(desk, ui, acts));
            ui.menu_button("Edit", |ui| edit_menu(desk, ui, acts));
            ui.menu_button("View", |ui| {
                // With large text it is longer than a small window.
                let room = ui.ctx().content_rect().height() - ABOVE_MENUS;
                ScrollArea::vertical().max_height(room).min_scrolled_height(room).show(ui, |ui| {
                    // The keys end before the scroll bar.
                    let room = Frame::new().inner_margin(Margin { right: 10, ..Margin::ZERO });
                    room.show(ui, |ui| view_menu(desk, ui, acts));
                });
            });
            ui.menu_button("Alternatives", |ui| alternatives::menu(desk, ui, acts));
            ui.menu_button("Guides", |ui| guides_menu(desk, ui, acts));
            ui.menu_button("Handover", |ui| handover_menu(desk, ui, acts));
            ui.menu_button("Help", |ui| help_menu(desk, ui, acts));
        });
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            eye_panel::summary(desk, ui, room, acts);
        });
    });
}

fn scene_menu(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    use crate::actions::scene_actions as scene;
    item(desk, ui, &scene::NEW, acts);
    item(desk, ui, &scene::OPEN, acts);
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
    item(desk, ui, &scene::SAVE, acts);
    item(desk, ui, &scene::SAVE_AS, acts);
    ui.separator();
    item(desk, ui, &scene::SET_PAINTING, acts);
    item(desk, ui, &scene::RELOAD, acts);
    item(desk, ui, &scene::REMOVE_PAINTING, acts);
    ui.separator();
    item(desk, ui, &scene::CHOOSE_BOOK, acts);
    item(desk, ui, &scene::REMOVE_BOOK, acts);
    ui.separator();
    item(desk, ui, &scene::QUIT, acts);
}

fn edit_menu(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    item(desk, ui, &scene_actions::UNDO, acts);
    item(desk, ui, &scene_actions::REDO, acts);
    ui.separator();
    item(desk, ui, &canvas_actions::SELECT_ALL, acts);
    item(desk, ui, &canvas_actions::DUPLICATE, acts);
    item(desk, ui, &canvas_actions::ALIGN, acts);
    item(desk, ui, &canvas_actions::DELETE, acts);
    ui.separator();
    item(desk, ui, &furniture_actions::FIND, acts);
}

fn view_menu(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    use crate::actions::furniture_actions as furniture;
    use crate::actions::view_actions as view;
    item(desk, ui, &view::FIT, acts);
    item(desk, ui, &view::ACTUAL_SIZE, acts);
    ui.menu_button("Turn the view", |ui| {
        for action in &crate::actions::turn_actions::TURNS {
            item(desk, ui, action, acts);
        }
    });
    ui.separator();
    tone_view::menu(desk, ui, acts);
    ui.separator();
    for action in [&view::INK, &view::SECTION, &view::SHEETS, &view::LINEAR] {
        item(desk, ui, action, acts);
    }
    safe_menu(desk, ui, acts);
    for action in [&view::SPREAD, &view::SNAP, &view::LOUPE, &view::SMOOTH] {
        item(desk, ui, action, acts);
    }
    ui.separator();
    for action in [&furniture::FINDINGS, &furniture::LEDGER, &furniture::PROPERTIES] {
        item(desk, ui, action, acts);
    }
    ui.separator();
    for action in [&furniture::LARGER, &furniture::SMALLER, &furniture::AS_DESIGNED] {
        item(desk, ui, action, acts);
    }
    ui.separator();
    one_of(desk, ui, "Units", &[&view::METRES, &view::FEET], acts);
    one_of(desk, ui, "Window", &[&furniture::DARK, &furniture::LIGHT, &furniture::AS_SYSTEM], acts);
}

/// Choices in one row, so that the menu is no longer than a small window.
fn one_of(desk: &Desk, ui: &mut Ui, word: &str, choices: &[&Action], acts: &mut Vec<Act>) {
    ui.horizontal(|ui| {
        ui.weak(word);
        for action in choices {
            let on = action.is_on(desk).unwrap_or(false);
            if ui.radio(on, action.name).on_hover_text(action.tooltip()).clicked() {
                acts.extend(action.act(desk));
            }
        }
    });
}

/// The guides that are only shown.
fn guides_menu(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    use crate::actions::guide_actions as guides;
    grid_menu(desk, ui, acts);
    for action in [&guides::RAYS, &guides::FANS, &guides::MEASURING_POINTS] {
        item(desk, ui, action, acts);
    }
}

/// On which level the grid lies.
fn grid_menu(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let action = &crate::actions::guide_actions::GRID;
    let menu = ui.menu_button(action.name, |ui| {
        let now = desk.tools.guide.grid.filter(|_| desk.remembered.guides.grid);
        let levels = desk.scene().levels.iter().map(|l| (Some(l.id), l.name.as_str()));
        for (level, word) in [(None, "none")].into_iter().chain(levels) {
            if ui.radio(now == level, word).clicked() {
                acts.push(Act::Guide(GuideAct::GridOn(level)));
            }
        }
    });
    menu.response.on_hover_text(action.tooltip());
}

/// Action and title areas, and other deliveries inside this frame.
fn safe_menu(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let action = &crate::actions::view_actions::SAFE;
    let shown = desk.safe_lines();
    let menu = ui.menu_button(action.name, |ui| {
        if ui.radio(shown.is_none(), "none").clicked() {
            acts.push(Act::SetSafeLines(String::new()));
        }
        for lines in SafeLines::within(desk.scene().frame) {
            if ui.radio(shown == Some(lines), lines.name()).clicked() {
                acts.push(Act::SetSafeLines(lines.name().to_owned()));
            }
        }
    });
    menu.response.on_hover_text(action.tooltip());
}

fn handover_menu(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    use crate::actions::handover_actions as handover;
    item(desk, ui, &handover::OVERLAY, acts);
    item(desk, ui, &handover::WRITE, acts);
    item(desk, ui, &handover::KEEP, acts);
    ui.separator();
    item(desk, ui, &handover::COPY, acts);
    item(desk, ui, &handover::PASTE, acts);
    ui.separator();
    item(desk, ui, &handover::LAYERS, acts);
    ui.separator();
    item(desk, ui, &handover::LEVELLED, acts);
    item(desk, ui, &handover::BRING_BACK, acts);
    ui.separator();
    item(desk, ui, &handover::SHEET, acts);
    item(desk, ui, &handover::CAMERA, acts);
}

fn help_menu(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    item(desk, ui, &furniture_actions::ALL_ACTIONS, acts);
    item(desk, ui, &furniture_actions::FIRST_STEPS, acts);
    item(desk, ui, &furniture_actions::DEMO, acts);
    item(desk, ui, &furniture_actions::CAUTION, acts);
}

/// An action with its key; with a box to tick if it can be switched.
pub(crate) fn item(desk: &Desk, ui: &mut Ui, action: &Action, acts: &mut Vec<Act>) -> Response {
    let act = action.act(desk);
    let name = action.name_now(desk);
    let response = match action.is_on(desk) {
        Some(mut on) => {
            let key = RichText::new(action.key_words().unwrap_or_default()).weak();
            let ticked = Checkbox::new(&mut on, (name.clone(), Atom::grow(), key));
            ui.add_enabled(act.is_some(), ticked).accessible_name(name)
        }
        None => {
            let mut button = Button::new(&name);
            if let Some(key) = action.key_words() {
                button = button.shortcut_text(key);
            }
            ui.add_enabled(act.is_some(), button).accessible_name(name)
        }
    };
    let response = response.on_hover_text(action.tooltip());
    if response.clicked() {
        acts.extend(act);
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
