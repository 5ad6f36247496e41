//! The furniture along the right wall.

use crate::act::Act;
use crate::desk::Desk;
use crate::{findings, ledger, properties};
use egui::{Frame, Margin, Panel, ScrollArea, Ui};

/// Room for two findings, points.
const FINDINGS: f32 = 200.0;

pub(crate) fn show(desk: &mut Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let frame = Frame::new().inner_margin(Margin { left: 12, right: 6, top: 8, bottom: 6 });
    // Always there, so that nothing jumps when the first finding comes up in the middle of a drag.
    Panel::top("findings")
        .frame(frame)
        .resizable(true)
        .default_size(FINDINGS.min(ui.available_height() * 0.28))
        .size_range(70.0..=ui.available_height() * 0.4)
        .show(ui, |ui| scroll("findings scroll", ui, |ui| findings::show(desk, ui, acts)));
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

fn scroll(salt: &str, ui: &mut Ui, contents: impl FnOnce(&mut Ui)) {
    ScrollArea::vertical().id_salt(salt).auto_shrink([false, false]).show(ui, contents);
}
