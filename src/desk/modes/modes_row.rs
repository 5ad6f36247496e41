//! The row under the menu: the modes, and what the next line or marker will be.

use crate::actions::act::Act;
use crate::desk::Desk;
use crate::modes::chips;
use crate::modes::mode::Mode;
use egui::{Button, Ui};

pub(crate) fn show(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 3.0;
        for mode in Mode::ALL {
            if mode_button(ui, mode, desk.mode == mode).clicked() {
                acts.push(Act::SetMode(mode));
            }
        }
        ui.add_space(14.0);
        // In a narrow window, or with many blocks and levels, they take a second row.
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing.x = 3.0;
            chips::show(desk, ui, acts);
        });
    });
}

fn mode_button(ui: &mut Ui, mode: Mode, chosen: bool) -> egui::Response {
    let key = mode.key().symbol_or_name();
    let button = Button::selectable(chosen, mode.word()).min_size(egui::vec2(58.0, 24.0));
    ui.add(button)
        .on_hover_text(format!("{} ({key}): {}", mode.word(), mode.purpose()))
        .accessible_name(mode.accessible_name())
}
