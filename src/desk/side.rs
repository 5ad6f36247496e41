//! The furniture along the right wall.

use crate::act::Act;
use crate::desk::Desk;
use crate::{findings, ledger, properties};
use egui::{CursorIcon, Frame, Id, Margin, Panel, Rect, ScrollArea, Sense, Ui, vec2};

/// Findings take no more of the wall than this unless they are given more.
const FINDINGS_SHARE: f32 = 0.45;
/// Least room for them, points.
const LEAST: f32 = 70.0;
/// Most of the wall that they can be given.
const MOST_SHARE: f32 = 0.6;
/// How much of the wall stays for the ledger.
const LEDGER_SHARE: f32 = 0.29;
const MARGIN: Margin = Margin { left: 12, right: 6, top: 8, bottom: 6 };
/// Room after the last finding, points.
const AFTER: f32 = 9.0;
/// Half the height of the strip that the divider is taken hold of by, points.
const GRIP: f32 = 4.0;

pub(crate) fn show(desk: &mut Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let frame = Frame::new().inner_margin(MARGIN);
    let wall = ui.available_rect_before_wrap();
    let mut divider = Divider::load(ui);
    let height = divider.height(ui, wall.height());
    Panel::top("findings").frame(frame).resizable(false).exact_size(height).show(ui, |ui| {
        let mut area =
            ScrollArea::vertical().id_salt("findings scroll").auto_shrink([false, false]);
        if divider.scene != Some(desk.laid_out) {
            area = area.vertical_scroll_offset(0.0);
        }
        let ends = area.show(ui, |ui| findings::show(desk, ui, acts)).inner;
        divider.take(ui, desk.laid_out, ends);
    });
    Panel::bottom("selected")
        .frame(frame)
        .resizable(true)
        .default_size(wall.height() * 0.38)
        .size_range(80.0..=((1.0 - LEDGER_SHARE) * wall.height() - height).max(LEAST + 40.0))
        .show(ui, |ui| properties::show(desk, ui, acts));
    egui::CentralPanel::default().frame(frame).show(ui, |ui| ledger::show(desk, ui, acts));
    divider.drag(ui, wall, height);
    divider.keep(ui);
}

/// Where the findings end: after a whole finding, or where it was dragged to.
#[derive(Clone, Default)]
struct Divider {
    /// Height it was given by hand, points.
    by_hand: Option<f32>,
    /// Height as of the last frame, points.
    height: Option<f32>,
    /// Where each finding ends, points from the top of the first.
    ends: Vec<f32>,
    /// Which scene they are of.
    scene: Option<u64>,
}

impl Divider {
    fn id() -> Id {
        Id::unique("findings divider")
    }

    fn load(ui: &Ui) -> Self {
        ui.data(|d| d.get_temp(Self::id())).unwrap_or_default()
    }

    fn keep(self, ui: &Ui) {
        ui.data_mut(|d| d.insert_temp(Self::id(), self));
    }

    /// Height of the findings in a wall of this height. It stays while a button is held down, so that
    /// nothing jumps when a finding comes up in the middle of a drag.
    fn height(&mut self, ui: &Ui, wall: f32) -> f32 {
        let height = match (self.by_hand, self.height) {
            (Some(by_hand), _) => by_hand,
            (None, Some(before)) if ui.input(|i| i.pointer.any_down()) => before,
            (None, _) => whole(&self.ends, FINDINGS_SHARE * wall),
        };
        let height = height.min(MOST_SHARE * wall).max(LEAST);
        self.height = Some(height);
        height
    }

    fn take(&mut self, ui: &Ui, scene: u64, ends: Vec<f32>) {
        if self.ends != ends {
            ui.ctx().request_repaint();
        }
        self.ends = ends;
        self.scene = Some(scene);
    }

    /// Lets the divider be dragged; two clicks give it back to the findings.
    fn drag(&mut self, ui: &Ui, wall: Rect, height: f32) {
        let line = wall.with_max_y(wall.top() + height);
        let strip = Rect::from_x_y_ranges(line.x_range(), line.bottom() - GRIP..=line.bottom());
        let response =
            ui.interact(strip.expand2(vec2(0.0, 1.0)), Self::id(), Sense::CLICK | Sense::DRAG);
        if response.double_clicked() {
            self.by_hand = None;
        } else if let Some(at) = response.interact_pointer_pos().filter(|_| response.dragged()) {
            self.by_hand = Some(at.y - wall.top());
        }
        if response.hovered() || response.dragged() {
            ui.set_cursor_icon(CursorIcon::ResizeVertical);
            let stroke = ui.visuals().widgets.hovered.fg_stroke;
            ui.painter().hline(line.x_range(), line.bottom(), stroke);
        }
    }
}

/// Height of as many whole findings as fit into `most` with the margins, or of what fits of the first.
fn whole(ends: &[f32], most: f32) -> f32 {
    let margins = f32::from(MARGIN.top) + f32::from(MARGIN.bottom) + AFTER;
    let fitting = ends.iter().map(|end| end + margins).take_while(|end| *end <= most);
    fitting.last().unwrap_or(if ends.is_empty() { LEAST } else { most })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_findings_end_after_a_whole_one() {
        let margins = 23.0;
        assert_eq!(whole(&[80.0, 150.0, 220.0], 200.0), 150.0 + margins);
        assert_eq!(whole(&[80.0, 150.0], 500.0), 150.0 + margins);
        assert_eq!(whole(&[300.0], 200.0), 200.0);
        assert_eq!(whole(&[], 200.0), LEAST);
    }
}
