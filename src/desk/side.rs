//! The furniture along the right wall.

use crate::act::Act;
use crate::desk::Desk;
use crate::{findings, ledger, properties};
use egui::{Frame, Margin, Panel, ScrollArea, Ui};

pub(crate) fn show(desk: &mut Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let frame = Frame::new().inner_margin(Margin { left: 12, right: 6, top: 8, bottom: 6 });
    if !desk.assessment().findings.is_empty() {
        Panel::top("findings")
            .frame(frame)
            .resizable(true)
            .default_size(findings_height(desk, ui.available_height()))
            .size_range(70.0..=ui.available_height() * 0.4)
            .show(ui, |ui| {
                scroll("findings scroll", ui, |ui| findings::show(desk, ui, acts));
            });
    }
    Panel::bottom("selected")
        .frame(frame)
        .resizable(true)
        .default_size(ui.available_height() * 0.5)
        .size_range(80.0..=ui.available_height() * 0.6)
        .show(ui, |ui| {
            scroll("selected scroll", ui, |ui| properties::show(desk, ui, acts));
        });
    egui::CentralPanel::default().frame(frame).show(ui, |ui| ledger::show(desk, ui, acts));
}

/// Room for the first few findings, but never more than a quarter of the wall.
fn findings_height(desk: &Desk, wall: f32) -> f32 {
    let few = desk.assessment().findings.len().min(3) as f32;
    (40.0 + 60.0 * few).min(wall * 0.28)
}

fn scroll(salt: &str, ui: &mut Ui, contents: impl FnOnce(&mut Ui)) {
    ScrollArea::vertical().id_salt(salt).auto_shrink([false, false]).show(ui, contents);
}
