//! The overlay's panel beside the canvas: a preview, how it is written, where to, and the buttons that
//! write it.

use crate::actions::act::Act;
use crate::actions::handover_actions;
use crate::canvas::view::View;
use crate::choice::Choice;
use crate::desk::Desk;
use crate::field;
use crate::files::file_name;
use crate::handover::InkPart;
use crate::handover::handing::{self, BesideCanvas, HandAct};
use crate::handover::overlay_preview::Shown;
use crate::handover::overlay_settings::{OverlaySettings, TONES, WEIGHTS, WIDTHS};
use crate::handover::places::{self, Placed};
use crate::painting::Painted;
use crate::panes::{self, Pane};
use crate::properties::scene_properties::pixels;
use egui::{
    Align, Button, Color32, DragValue, Frame, Grid, Label, Layout, Margin, Panel, Rect, RichText,
    Role, ScrollArea, Sense, Ui, WidgetInfo, pos2, vec2,
};
use staffage_scene::{Frame as SceneFrame, WORKING_WIDTHS};
use std::path::PathBuf;

/// Width of the panel's contents, points.
const ROOM: f32 = 276.0;
const MARGIN: Margin = Margin { left: 12, right: 12, top: 8, bottom: 8 };
/// Over the painting in the preview, so that its ink stands out.
const DIM: Color32 = Color32::from_black_alpha(110);
const WIDTH_WANTED: &str = "a width between 16 and 30,000 pixels";

pub(crate) fn show(desk: &mut Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    if desk.handing.open_panel() != Some(BesideCanvas::Overlay) {
        return;
    }
    let frame = Frame::new().fill(ui.visuals().panel_fill).inner_margin(MARGIN);
    Panel::left("overlay").frame(frame).resizable(false).exact_size(ROOM + 24.0).show(ui, |ui| {
        panes::begin(desk, ui, Pane::Handover);
        heading(ui, acts);
        ScrollArea::vertical().id_salt("overlay scroll").show(ui, |ui| {
            preview(desk, ui);
            ui.add_space(4.0);
            if let Some(settings) = settings(desk, ui, acts) {
                acts.push(Act::Hand(HandAct::Set(settings)));
            }
            ui.add_space(6.0);
            let frame = desk.scene().frame;
            ui.add(
                Label::new(RichText::new(expected(&desk.handing.settings, frame)).weak()).wrap(),
            );
            ui.add_space(6.0);
            buttons(desk, ui, acts);
            layers(desk, ui, acts);
        });
    });
}

fn heading(ui: &mut Ui, acts: &mut Vec<Act>) {
    ui.horizontal(|ui| {
        ui.heading("Overlay");
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let name = "Close the overlay panel";
            if ui.small_button("×").on_hover_text(name).accessible_name(name).clicked() {
                acts.push(Act::Hand(HandAct::ClosePanel));
            }
        });
    });
}

/// The ink over the dimmed painting, and how large it will be.
fn preview(desk: &mut Desk, ui: &mut Ui) {
    let ratio = match &desk.handing.previewing.shown {
        Shown::Ink(_, (width, height)) => *width as f32 / (*height as f32).max(1.0),
        Shown::Nothing | Shown::Refused(_) => desk.scene().frame.ratio as f32,
    };
    // A frame that is much higher than wide must not push everything else out of the panel.
    let width = ROOM.min(220.0 * ratio);
    let (rect, response) = ui.allocate_exact_size(vec2(width, width / ratio), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, "Preview of the overlay"));
    let across = (width * ui.pixels_per_point()).round().max(16.0) as u32;
    if desk.handing.previewing.across != across {
        desk.handing.previewing.across = across;
        ui.ctx().request_repaint();
    }
    let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
    painter.rect_filled(rect, 0, Color32::from_gray(70));
    if let Painted::There(tiles) = &mut desk.painting {
        let points_per_unit = f64::from(rect.width());
        let view = View { points_per_unit, ..View::fit(desk.history.present().frame, rect) };
        tiles.paint(&painter, view, rect);
        painter.rect_filled(rect, 0, DIM);
    }
    match &desk.handing.previewing.shown {
        // So that nothing moves when it comes.
        Shown::Nothing => drop(ui.weak("…")),
        Shown::Ink(texture, (width, height)) => {
            let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
            painter.image(texture.id(), rect, whole, Color32::WHITE);
            ui.weak(format!("{width} × {height} px"));
        }
        Shown::Refused(why) => {
            ui.colored_label(field::bad(ui), why);
        }
    }
}

/// Where it goes and how; the new settings if they were changed.
fn settings(desk: &mut Desk, ui: &mut Ui, acts: &mut Vec<Act>) -> Option<OverlaySettings> {
    let now = desk.handing.settings.clone();
    let mut new = now.clone();
    Grid::new("overlay settings").num_columns(2).spacing([10.0, 6.0]).show(ui, |ui| {
        ui.weak("file");
        if let Some(path) = file(desk, ui, acts) {
            new = new.clone().written_to(path);
        }
        ui.end_row();
        ui.weak("as");
        ui.horizontal(|ui| {
            for (svg, word, tip) in [
                (false, "PNG", "Pixels on a transparent ground"),
                (true, "SVG", "Lines and words in named groups: guides, markers, findings, words"),
            ] {
                let button = ui.add(Button::selectable(now.svg == svg, word));
                if button.on_hover_text(tip).clicked() {
                    new = new.clone().written_as(svg);
                }
            }
        });
        ui.end_row();
        ui.weak("width");
        width(desk, ui, &mut new);
        ui.end_row();
        ui.weak("shows");
        parts(ui, &mut new);
        ui.end_row();
        ui.weak("weight");
        let weight = DragValue::new(&mut new.weight)
            .update_while_editing(false)
            .range(WEIGHTS)
            .speed(0.01)
            .max_decimals(2);
        ui.add(weight.prefix("× "))
            .on_hover_text("How heavy lines and type are; 1 is as on a large display")
            .accessible_name("Weight of the ink");
        ui.end_row();
    });
    (new != now).then_some(new)
}

/// How large the file will be, and how long it takes, before it is written. A PNG of ink on a transparent
/// ground has about half a kilobyte for each pixel of its width (measured on the demos, 2,300 to 30,000 px
/// wide).
fn expected(settings: &OverlaySettings, frame: SceneFrame) -> String {
    if settings.svg {
        return "SVG: as sharp at any size; some hundred kilobytes, at once.".into();
    }
    let width = settings.width_at(frame.working_width);
    let height = (f64::from(width) / frame.ratio).round().max(1.0);
    let megapixels = f64::from(width) * height / 1e6;
    let time = match megapixels {
        m if m < 60.0 => "at once",
        m if m < 500.0 => "within some seconds",
        _ => "in less than a minute",
    };
    let size = match 0.5e-3 * f64::from(width) {
        m if m < 1.0 => "less than 1 MB".into(),
        m => format!("roughly {m:.0} MB"),
    };
    format!("{} × {} px, {size}, {time}.", grouped(width), grouped(height as u32))
}

/// A number with commas between its thousands.
fn grouped(number: u32) -> String {
    let digits = number.to_string();
    let groups: Vec<&str> =
        digits.as_bytes().rchunks(3).rev().filter_map(|g| std::str::from_utf8(g).ok()).collect();
    groups.join(",")
}

/// The file's path as it is typed, and the way to have it chosen.
fn file(desk: &mut Desk, ui: &mut Ui, acts: &mut Vec<Act>) -> Option<PathBuf> {
    let target = handing::target(desk);
    let mut typed = None;
    ui.vertical(|ui| {
        ui.horizontal(|ui| {
            let name = "Overlay file";
            let is_laid_out = !ui.is_sizing_pass();
            if target.is_none() && is_laid_out && std::mem::take(&mut desk.handing.wants_focus) {
                field::request_focus(ui, &name);
            }
            typed = places::path_field(desk, ui, name, target.as_deref());
            let name = "Choose where the overlay goes";
            if ui.small_button("…").on_hover_text(name).accessible_name(name).clicked() {
                acts.push(Act::Choose(handing::choice(desk)));
            }
        });
        // A scene without a file has no folder that it could lie in.
        if let (None, Choice::Overlay { suggested }) = (&target, handing::choice(desk)) {
            ui.weak(format!("“{}”: … says in which folder", file_name(&suggested)));
        }
    });
    typed.map(|text| text.trim().to_owned()).filter(|text| !text.is_empty()).map(Into::into)
}

/// A file beside the scene by its name, any other by its whole path.
pub(crate) fn shown(desk: &Desk, path: &std::path::Path) -> String {
    let scene = desk.path.clone().map(handing::plain);
    let folder = scene.as_ref().and_then(|scene| scene.parent());
    if folder.is_some() && folder == path.parent() {
        return file_name(path);
    }
    path.display().to_string()
}

fn width(desk: &Desk, ui: &mut Ui, new: &mut OverlaySettings) {
    let working = desk.scene().frame.working_width;
    ui.vertical(|ui| {
        let shown = format!("{} px", new.width_at(working));
        let tip = format!("The width that the scene is worked at, {working} px now");
        ui.horizontal(|ui| {
            let typed = field::parsed(
                ui,
                "overlay width",
                "Overlay width",
                &shown,
                80.0,
                WIDTH_WANTED,
                |text| pixels(text).filter(|width| WIDTHS.contains(width)),
            );
            if let Some(width) = typed {
                new.width = Some(width);
            }
            let as_worked = Button::selectable(new.width.is_none(), "as worked").small();
            if ui.add(as_worked).on_hover_text(tip).clicked() {
                new.width = None;
            }
        });
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            for rung in WORKING_WIDTHS {
                let on = new.width == Some(rung);
                let button = ui.add(Button::selectable(on, rung.to_string()).small());
                let name = format!("{rung} px wide");
                if button.on_hover_text(&name).accessible_name(name).clicked() {
                    new.width = Some(rung);
                }
            }
        });
    });
}

fn parts(ui: &mut Ui, new: &mut OverlaySettings) {
    ui.vertical(|ui| {
        for part in InkPart::ALL {
            let mut on = new.parts.contains(&part);
            if ui.checkbox(&mut on, part.word()).on_hover_text(part.description()).clicked() {
                new.parts.retain(|p| *p != part);
                new.parts.extend(on.then_some(part));
                new.parts.sort_unstable();
            }
        }
        ui.checkbox(&mut new.words, "words").on_hover_text("Names, sizes and other words");
    });
}

fn buttons(desk: &mut Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    if let Some(path) = &desk.handing.taken {
        ui.label(format!("“{}” is there already and is no overlay.", file_name(path)))
            .on_hover_text(path.display().to_string());
        ui.horizontal(|ui| {
            for (word, act) in [
                ("Replace it", Act::Hand(HandAct::Replace)),
                ("Another file…", Act::Choose(handing::choice(desk))),
                ("Leave it", Act::Hand(HandAct::LeaveAlone)),
            ] {
                if ui.button(word).clicked() {
                    acts.push(act);
                }
            }
        });
        return;
    }
    ui.horizontal(|ui| {
        let empty = desk.handing.settings.parts.is_empty();
        let write = ui.add_enabled(!empty, Button::new(RichText::new("Write").strong()));
        let write = write
            .on_hover_text(handover_actions::WRITE.tooltip())
            .on_disabled_hover_text("Tick what it shows first");
        if handing::target(desk).is_some() {
            desk.handing.give_focus(&write);
        }
        if write.accessible_name("Write the overlay").clicked() {
            acts.push(Act::Hand(HandAct::Write));
        }
        let mut kept = desk.handing.settings.kept;
        let tip = "Write it again after each change, so that a linked layer in your paint program follows";
        if ui.checkbox(&mut kept, "Keep it up to date").on_hover_text(tip).clicked() {
            acts.push(Act::Hand(HandAct::Keep(kept)));
        }
    });
}

/// The same ink with the painting as one file of layers.
fn layers(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    ui.add_space(6.0);
    ui.separator();
    ui.weak("Painting and ink as named layers of one file (OpenRaster), at this width:");
    places::row(desk, ui, Placed::Layers, acts);
    tones(desk, ui, acts);
    // The panel's foot may be out of sight; once there, it is not held.
    let seen = ui.scope_id().with("layers asked");
    let asked = desk.handing.layers_taken.as_ref();
    let is_new = ui.data_mut(|data| {
        let before = data.get_temp::<Option<PathBuf>>(seen).flatten();
        data.insert_temp(seen, asked.cloned());
        before.as_ref() != asked
    });
    if let Some(path) = asked {
        ui.label(format!("“{}” is there already and may hold work of yours.", file_name(path)))
            .on_hover_text(path.display().to_string());
        let question = ui.horizontal(|ui| {
            for (word, act) in [
                ("Replace the layers", Act::Hand(HandAct::WriteLayers { replace: true })),
                ("Another file…", places::ask(desk, Placed::Layers)),
                ("Leave the layers", Act::Hand(HandAct::LeaveLayers)),
            ] {
                if ui.button(word).clicked() {
                    acts.push(act);
                }
            }
        });
        if is_new {
            question.response.scroll_to_me(None);
        }
        return;
    }
    let write = ui.button("Write the layered file");
    if write.on_hover_text(handover_actions::LAYERS.tooltip()).clicked() {
        acts.push(Act::Hand(HandAct::WriteLayers { replace: false }));
    }
}

/// In how many flat tones the painting is a layer as well.
fn tones(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let now = &desk.handing.settings;
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        ui.weak("flat tones");
        for count in [None].into_iter().chain(TONES.map(Some)) {
            let word = count.map_or("none".into(), |count| count.to_string());
            let (name, tip) = match count {
                None => ("No flat tones as a layer".into(), "Without a layer of flat tones"),
                Some(count) => (
                    format!("{count} flat tones as a layer"),
                    "With the painting in so many flat tones, and a strip of them, as hidden layers",
                ),
            };
            let button = ui.add(Button::selectable(now.tones == count, word).small());
            if button.on_hover_text(tip).accessible_name(name).clicked() {
                let settings = OverlaySettings { tones: count, ..now.clone() };
                acts.push(Act::Hand(HandAct::Set(settings)));
            }
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_to_be_written_is_told_beforehand() {
        let frame = SceneFrame { ratio: 2.35, working_width: 2300 };
        let at = |width| {
            expected(&OverlaySettings { width: Some(width), ..OverlaySettings::default() }, frame)
        };
        assert_eq!(at(10_000), "10,000 × 4,255 px, roughly 5 MB, at once.");
        assert_eq!(at(30_000), "30,000 × 12,766 px, roughly 15 MB, within some seconds.");
        assert_eq!(at(640), "640 × 272 px, less than 1 MB, at once.");
        let svg = OverlaySettings { svg: true, ..OverlaySettings::default() };
        assert!(expected(&svg, frame).starts_with("SVG"));
    }
}
