//! The row under the menu: the modes, and one sentence that says what the next gesture does.

use crate::act::Act;
use crate::desk::Desk;
use crate::mode::Mode;
use crate::status;
use egui::{Button, RichText, Ui};

pub(crate) fn show(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 3.0;
        for mode in Mode::ALL {
            if mode_button(ui, mode, desk.mode == mode).clicked() {
                acts.push(Act::SetMode(mode));
            }
        }
        ui.add_space(10.0);
        let sentence = status::sentence(desk);
        let label = egui::Label::new(RichText::new(sentence).weak()).truncate();
        ui.add(label);
    });
}

fn mode_button(ui: &mut Ui, mode: Mode, chosen: bool) -> egui::Response {
    let key = mode.key().symbol_or_name();
    let button = Button::selectable(chosen, mode.word()).min_size(egui::vec2(58.0, 24.0));
    ui.add(button)
        .on_hover_text(format!("{} ({key}): {}", mode.word(), mode.purpose()))
        .accessible_name(mode.accessible_name())
}
