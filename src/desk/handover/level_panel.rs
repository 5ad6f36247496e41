//! The levelled copy's panel beside the canvas: how the painting is turned, a preview with its margin, how
//! large it will be, and the buttons that write it and bring it back.

use crate::actions::act::Act;
use crate::actions::handover_actions;
use crate::canvas::view::{View, frame_corners};
use crate::desk::Desk;
use crate::field;
use crate::files::file_name;
use crate::handover::Order;
use crate::handover::handing::{BesideCanvas, HandAct};
use crate::handover::level_settings::{LevelSettings, LevelStance, TURNS};
use crate::handover::levelling::{self, LevelAct};
use crate::handover::places::{self, Placed};
use crate::painting::Painted;
use crate::panes::{self, Pane};
use egui::{
    Align, Button, Color32, DragValue, Frame, Grid, Layout, Margin, Panel, Rect, RichText, Role,
    ScrollArea, Sense, Stroke, StrokeKind, Ui, WidgetInfo, vec2,
};
use glam::DVec2;

/// Width of the panel's contents, points.
const ROOM: f32 = 276.0;
/// Height of the preview, points.
const HIGH: f32 = 170.0;
const MARGIN: Margin = Margin { left: 12, right: 12, top: 8, bottom: 8 };
const NO_PAINTING: &str = "This frame is blank: there is no painting to turn.";

pub(crate) fn show(desk: &mut Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    if desk.handing.open_panel() != Some(BesideCanvas::LevelledCopy) {
        return;
    }
    let frame = Frame::new().fill(ui.visuals().panel_fill).inner_margin(MARGIN);
    Panel::left("levelled").frame(frame).resizable(false).exact_size(ROOM + 24.0).show(ui, |ui| {
        panes::begin(desk, ui, Pane::Handover);
        heading(ui, acts);
        ScrollArea::vertical().id_salt("levelled scroll").show(ui, |ui| {
            ui.set_width(ROOM);
            if let Some(settings) = settings(desk.remembered.levelling, ui) {
                acts.push(level(LevelAct::Set(settings)));
            }
            ui.add_space(6.0);
            preview(desk, ui);
            let fits = measure(desk, ui);
            ui.add_space(4.0);
            places::row(desk, ui, placed(desk), acts);
            ui.add_space(8.0);
            buttons(desk, ui, fits, acts);
        });
    });
}

fn level(act: LevelAct) -> Act {
    Act::Hand(HandAct::Level(act))
}

fn heading(ui: &mut Ui, acts: &mut Vec<Act>) {
    ui.horizontal(|ui| {
        ui.heading("Levelled copy");
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let name = "Close the levelled copy’s panel";
            if ui.small_button("×").on_hover_text(name).accessible_name(name).clicked() {
                acts.push(Act::Hand(HandAct::ClosePanel));
            }
        });
    });
}

/// How the painting is turned; the new settings if they were changed.
fn settings(now: LevelSettings, ui: &mut Ui) -> Option<LevelSettings> {
    let mut new = now;
    ui.horizontal(|ui| {
        for (stance, word, tip) in [
            (LevelStance::Level, "Level", "Without its cant: the horizon runs level"),
            (LevelStance::Plumb, "Plumb", "Without pitch and cant: uprights stand upright"),
            (LevelStance::Aimed, "Aimed", "As if the eye looked a few degrees elsewhere"),
        ] {
            let button = ui.add(Button::selectable(now.stance == stance, word));
            if button.on_hover_text(tip).accessible_name(format!("{word} copy")).clicked() {
                new.stance = stance;
            }
        }
    });
    if new.stance == LevelStance::Aimed {
        Grid::new("aimed").num_columns(2).spacing([10.0, 6.0]).show(ui, |ui| {
            for (word, name, value, tip) in [
                ("up", "Aimed up by", &mut new.pitch, "How much farther up; less than 0 is down"),
                (
                    "right",
                    "Aimed right by",
                    &mut new.heading,
                    "How much farther to the right; less than 0 is left",
                ),
                (
                    "cant",
                    "Canted by",
                    &mut new.cant,
                    "How much farther up the right end of the horizon; less than 0 is down",
                ),
            ] {
                ui.weak(word);
                let drag = DragValue::new(value)
                    .update_while_editing(false)
                    .range(TURNS)
                    .speed(0.1)
                    .max_decimals(2);
                ui.add(drag.suffix("°")).on_hover_text(tip).accessible_name(name);
                ui.end_row();
            }
        });
    }
    (new != now).then_some(new)
}

/// The painting as it will lie in the copy, with the margin around it.
fn preview(desk: &mut Desk, ui: &mut Ui) {
    let (rect, response) = ui.allocate_exact_size(vec2(ROOM, HIGH), Sense::hover());
    let name = "Preview of the levelled copy";
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, name));
    let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
    painter.rect_filled(rect, 0, ui.visuals().extreme_bg_color);
    let eye = desk.assessment().eye.eye;
    let Some(turn) = levelling::turn(&eye, desk.remembered.levelling.aim()) else { return };
    let frame = desk.scene().frame;
    let inner = rect.shrink(6.0);
    let view = View::plain(DVec2::ZERO, f64::from(inner.width()))
        .turned(inner, inner.center(), Some(turn))
        .fitted(frame, inner);
    let corners = view.polygon(inner, &frame_corners(frame));
    let canvas = Rect::from_points(&corners);
    if !canvas.is_finite() || corners.len() != 4 {
        return;
    }
    painter.rect_filled(canvas, 0, Color32::from_gray(70));
    if let Painted::There(tiles) = &mut desk.painting {
        tiles.paint(&painter, view, inner);
    }
    let line = Stroke::new(1.0, Color32::from_gray(160));
    painter.rect_stroke(canvas, 0, line, StrokeKind::Outside);
    painter.add(egui::Shape::closed_line(corners, line));
}

/// Says how large the copy will be, or why there is none; whether there is one.
fn measure(desk: &Desk, ui: &mut Ui) -> bool {
    let Some(painting) = desk.scene().painting.as_ref() else {
        ui.weak(NO_PAINTING);
        return false;
    };
    let Some(by) = &desk.handing.by else { return false };
    let eye = desk.assessment().eye.eye;
    match by.measure(&eye, painting.size, desk.remembered.levelling.aim()) {
        Ok(said) => {
            ui.label(said);
            ui.weak("Full depth. The margin around the painting is transparent.");
            true
        }
        Err(why) => {
            ui.colored_label(field::bad(ui), why);
            false
        }
    }
}

/// The copy that would be written now.
fn placed(desk: &Desk) -> Placed {
    Placed::Copy(desk.remembered.levelling.stance)
}

fn buttons(desk: &mut Desk, ui: &mut Ui, fits: bool, acts: &mut Vec<Act>) {
    if let Some((order, path)) = &desk.handing.levelling.taken {
        ui.label(format!("“{}” is there already and may hold work of yours.", file_name(path)))
            .on_hover_text(path.display().to_string());
        ui.horizontal(|ui| {
            let elsewhere = matches!(order, Order::Level(_))
                .then(|| ("Another file…", places::ask(desk, placed(desk))));
            let replace = ("Replace it", level(LevelAct::Replace));
            let leave = ("Leave it", level(LevelAct::LeaveAlone));
            for (word, act) in [replace].into_iter().chain(elsewhere).chain([leave]) {
                if ui.button(word).clicked() {
                    acts.push(act);
                }
            }
        });
        return;
    }
    let write = ui.add_enabled(fits, Button::new(RichText::new("Write the copy").strong()));
    let tip = "Write the painting so, to be painted on, with its way back beside it";
    desk.handing.give_focus(&write);
    if write.on_hover_text(tip).clicked() {
        acts.push(level(LevelAct::Write));
    }
    ui.add_space(8.0);
    ui.separator();
    ui.weak(
        "Painted on it? Bring it back: every stroke lies where it belongs, and the rest of the painting stays as it was.",
    );
    if let Some(copy) = &desk.handing.levelling.last {
        let name = format!("Bring {} back", file_name(copy));
        if ui.button(name).on_hover_text(copy.display().to_string()).clicked() {
            acts.push(level(LevelAct::BringBack(copy.clone())));
        }
    }
    let other = ui.button("Bring a copy back…");
    if other.on_hover_text(handover_actions::BRING_BACK.tooltip()).clicked() {
        acts.push(levelling::ask_copy());
    }
}
