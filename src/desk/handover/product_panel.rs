//! The panels of the review sheet and of the camera beside the canvas: what will be written, in small and in
//! words; how, where to, and the buttons.

use crate::actions::act::Act;
use crate::canvas::view::View;
use crate::desk::Desk;
use crate::field;
use crate::files::file_name;
use crate::handover::handing::{BesideCanvas, HandAct};
use crate::handover::overlay_panel::shown as shown_path;
use crate::handover::product_preview::Shown;
use crate::handover::products::{self, ProductAct};
use crate::handover::{FilmBack, Order, PagePreview, Product, ProductPreview, handover_strip};
use crate::painting::Painted;
use crate::panes::{self, Pane};
use egui::{
    Align, Button, Color32, ComboBox, DragValue, Frame, Grid, Key, Label, Layout, Margin, Panel,
    ProgressBar, Rect, RichText, Role, ScrollArea, Sense, Stroke, StrokeKind, TextStyle,
    TextureHandle, Ui, WidgetInfo, pos2, vec2,
};

/// Width of the panel's contents, points.
const ROOM: f32 = 276.0;
const MARGIN: Margin = Margin { left: 12, right: 12, top: 8, bottom: 8 };
/// Height of settings and buttons before they were laid out, points, and the least of what is over them.
const FOOT: f32 = 150.0;
const LOWEST: f32 = 60.0;
/// Width of a page over its height while none was drawn: A4, across.
const A4: f32 = 297.0 / 210.0;
/// Height of what goes along with a camera while nothing was drawn, points.
const CAMERA: f32 = 176.0;
/// The film back that is told for while none was chosen, millimetres.
const USUAL_BACK: f64 = 36.0;
/// How wide a film back can be, millimetres.
const BACKS: std::ops::RangeInclusive<f64> = 1.0..=1000.0;
const ANOTHER: &str = "another width";

pub(crate) fn show(desk: &mut Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let Some(BesideCanvas::Product(product)) = desk.handing.open_panel() else {
        return;
    };
    let frame = Frame::new().fill(ui.visuals().panel_fill).inner_margin(MARGIN);
    let panel = Panel::left("product").frame(frame).resizable(false).exact_size(ROOM + 24.0);
    panel.show(ui, |ui| {
        panes::begin(desk, ui, Pane::Handover);
        heading(product, ui, acts);
        ui.add_space(2.0);
        // What is chosen and pressed stays in sight in a low window; what is only read can be scrolled.
        let foot = ui.scope_id().with("foot");
        let known: f32 = ui.data(|d| d.get_temp(foot)).unwrap_or(FOOT);
        let room = (ui.available_height() - known).max(LOWEST);
        let scroll = ScrollArea::vertical().id_salt("product scroll").max_height(room);
        // Apart, so that what is typed and chosen below stays so when more or less is shown here.
        scroll.show(ui, |ui| {
            ui.set_width(ROOM);
            preview(desk, product, ui);
        });
        let top = ui.cursor().top();
        ui.add_space(6.0);
        ui.push_id("settings", |ui| settings(desk, product, ui, acts));
        ui.add_space(8.0);
        ui.push_id("buttons", |ui| buttons(desk, product, ui, acts));
        let height = ui.cursor().top() - top;
        if height != known {
            ui.data_mut(|d| d.insert_temp(foot, height));
            ui.ctx().request_repaint();
        }
    });
}

fn act(act: ProductAct) -> Act {
    Act::Hand(HandAct::Product(act))
}

fn heading(product: Product, ui: &mut Ui, acts: &mut Vec<Act>) {
    ui.horizontal(|ui| {
        ui.heading(match product {
            Product::Sheet => "Review sheet",
            Product::Camera => "Camera and stand-ins",
        });
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let name = format!("Close the {}’s panel", product.word());
            if ui.small_button("×").on_hover_text(&name).accessible_name(name).clicked() {
                acts.push(Act::Hand(HandAct::ClosePanel));
            }
        });
    });
}

/// What will be written.
fn preview(desk: &mut Desk, product: Product, ui: &mut Ui) {
    let across = (ROOM * ui.pixels_per_point()).round().max(16.0) as u32;
    if desk.handing.products.previewing.across != across {
        desk.handing.products.previewing.across = across;
        ui.ctx().request_repaint();
    }
    // What is shown is put back below: the painting's tiles are the desk's, too.
    let shown = std::mem::take(&mut desk.handing.products.previewing.shown);
    match &shown {
        Shown::Nothing => {
            // The panel does not jump when it comes.
            let height = if product == Product::Sheet { ROOM / A4 } else { CAMERA };
            ui.allocate_exact_size(vec2(ROOM, height), Sense::hover());
        }
        Shown::Preview(preview, texture) => {
            if let (Some(preview), Some(texture)) = (&preview.page, texture) {
                page(desk, product, ui, preview, texture);
            }
            words(ui, preview);
        }
        Shown::Refused(why) => {
            ui.colored_label(field::bad(ui), why);
        }
    }
    desk.handing.products.previewing.shown = shown;
}

/// The page as it prints, the painting in its place under the ink; or what goes along from above.
fn page(
    desk: &mut Desk,
    product: Product,
    ui: &mut Ui,
    preview: &PagePreview,
    texture: &TextureHandle,
) {
    let ratio = preview.size.0 as f32 / (preview.size.1 as f32).max(1.0);
    let (rect, response) = ui.allocate_exact_size(vec2(ROOM, ROOM / ratio), Sense::hover());
    let name = format!("Preview of the {}", product.word());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &name));
    let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
    if let Some([left, top, right, bottom]) = preview.painting {
        let at = |x: f32, y: f32| rect.min + vec2(x * rect.width(), y * rect.height());
        let hole = Rect::from_min_max(at(left, top), at(right, bottom));
        painter.rect_filled(hole, 0, Color32::from_rgb(0x4a, 0x4d, 0x52));
        if let Painted::There(tiles) = &mut desk.painting {
            let points_per_unit = f64::from(hole.width());
            let view = View { points_per_unit, ..View::fit(desk.history.present().frame, hole) };
            let within = painter.with_clip_rect(hole.intersect(painter.clip_rect()));
            tiles.paint(&within, view, hole);
        }
    }
    let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
    painter.image(texture.id(), rect, whole, Color32::WHITE);
    let edge = Stroke::new(1.0, Color32::from_gray(150));
    painter.rect_stroke(rect, 0, edge, StrokeKind::Inside);
}

/// What it tells and holds, in words.
fn words(ui: &mut Ui, preview: &ProductPreview) {
    if let Some(text) = &preview.text {
        let frame = Frame::new().fill(ui.visuals().extreme_bg_color).inner_margin(6);
        frame.show(ui, |ui| {
            ui.set_width(ROOM - 12.0);
            let size = 0.78 * TextStyle::Monospace.resolve(ui.style()).size;
            let text = RichText::new(text).monospace().size(size);
            ScrollArea::horizontal().id_salt("beginning").show(ui, |ui| {
                ui.add(Label::new(text).extend());
            });
        });
        ui.add_space(4.0);
    }
    if !preview.facts.is_empty() {
        ui.add_space(4.0);
        Grid::new("facts").num_columns(2).spacing([10.0, 3.0]).show(ui, |ui| {
            for (name, value) in &preview.facts {
                ui.weak(name);
                ui.add(Label::new(value).wrap());
                ui.end_row();
            }
        });
        ui.add_space(4.0);
    }
    for line in &preview.holds {
        ui.horizontal_top(|ui| {
            ui.spacing_mut().item_spacing.x = 6.0;
            ui.weak("·");
            ui.add(Label::new(line).wrap());
        });
    }
    for remark in &preview.remarks {
        ui.add_space(2.0);
        ui.add(Label::new(RichText::new(remark).color(field::bad(ui))).wrap());
    }
}

/// Where it goes, as what, and for which film back.
fn settings(desk: &Desk, product: Product, ui: &mut Ui, acts: &mut Vec<Act>) {
    Grid::new("product settings").num_columns(2).spacing([10.0, 6.0]).show(ui, |ui| {
        ui.weak("file");
        file(desk, product, ui, acts);
        ui.end_row();
        ui.weak("as");
        ui.horizontal(|ui| {
            let path = products::order(desk, product).path;
            let now = path.extension().and_then(|e| e.to_str()).map(str::to_lowercase);
            for &ending in product.endings() {
                let (word, tip) = kind(ending);
                let on = now.as_deref() == Some(ending);
                let button = ui.add(Button::selectable(on, word)).on_hover_text(tip);
                if button.clicked() && !on {
                    acts.push(act(ProductAct::WriteAs(product, ending)));
                }
            }
        });
        ui.end_row();
        if product == Product::Camera {
            ui.weak("film back");
            film_back(desk, ui, acts);
            ui.end_row();
        }
    });
}

/// A kind of file in a word, and what it is.
fn kind(ending: &str) -> (&'static str, &'static str) {
    match ending {
        "html" => {
            ("Page", "HTML: one page with everything in it, to be read and printed (A4 or Letter)")
        }
        "csv" => ("Table", "CSV: the ledger, one row for each marker, in metres"),
        "json" => {
            ("JSON", "All answers for machines, as staffage check --json gives them, in metres")
        }
        "glb" => ("glTF", "glTF 2.0 in one binary file (.glb), metres, Y up"),
        "gltf" => ("glTF text", "glTF 2.0 as text (.gltf), metres, Y up"),
        _ => ("Words", "The camera sheet in plain words (.txt)"),
    }
}

fn file(desk: &Desk, product: Product, ui: &mut Ui, acts: &mut Vec<Act>) {
    ui.horizontal(|ui| {
        let target = products::target(desk, product);
        let shown = target.map(|path| shown_path(desk, &path)).unwrap_or_default();
        let (salt, name) = match product {
            Product::Sheet => ("sheet file", "Sheet file"),
            Product::Camera => ("camera file", "Camera file"),
        };
        let typed = field::text(ui, salt, name, &shown, 172.0);
        let typed = typed.map(|text| text.trim().to_owned()).filter(|text| !text.is_empty());
        acts.extend(typed.map(|text| act(ProductAct::SendTo(product, text.into()))));
        let name = format!("Choose where the {} goes", product.word());
        if ui.small_button("…").on_hover_text(&name).accessible_name(name).clicked() {
            acts.push(Act::Choose(products::choice(desk, product)));
        }
    });
}

fn film_back(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let Some(by) = &desk.handing.by else { return };
    let backs = by.film_backs();
    let chosen = desk.remembered.film_back.as_str();
    let usual = backs.iter().find(|back| back.width == USUAL_BACK);
    let known = backs.iter().find(|back| back.key == chosen);
    let own: Option<f64> = chosen.parse().ok().filter(|width| BACKS.contains(width));
    let now = known.or(usual.filter(|_| own.is_none()));
    let words = |back: &FilmBack| format!("{} · {:.2} mm", back.name, back.width);
    ui.vertical(|ui| {
        ComboBox::from_id_salt("film back")
            .width(186.0)
            .truncate()
            .selected_text(now.map_or(ANOTHER, |back| back.name))
            .show_ui(ui, |ui| {
                for back in &backs {
                    let on = now == Some(back);
                    if ui.selectable_label(on, words(back)).clicked() {
                        acts.push(act(ProductAct::FilmBack(back.key.into())));
                    }
                }
                if ui.selectable_label(now.is_none(), ANOTHER).clicked() {
                    let width = now.map_or(USUAL_BACK, |back| back.width);
                    acts.push(act(ProductAct::FilmBack(width.to_string())));
                }
            })
            .response
            .on_hover_text("What the focal length is told for, used across its whole width")
            .accessible_name("Film back");
        if now.is_none() {
            let mut width = own.unwrap_or(USUAL_BACK);
            let number = DragValue::new(&mut width)
                .update_while_editing(false)
                .range(BACKS)
                .speed(0.05)
                .max_decimals(3)
                .suffix(" mm");
            let tip = "Width of the film back or the sensor";
            let number = ui.add(number).on_hover_text(tip);
            if number.accessible_name("Width of the film back").changed() {
                acts.push(act(ProductAct::FilmBack(width.to_string())));
            }
        }
    });
}

/// Whether the space bar is pressed to move the picture under the pointer rather than to press a button that
/// took the focus by itself.
fn is_for_the_canvas(desk: &Desk, ui: &Ui) -> bool {
    let canvas = desk.canvas();
    ui.input(|i| {
        let over = i.pointer.hover_pos().is_some_and(|at| canvas.contains(at));
        i.key_pressed(Key::Space) && over
    })
}

fn buttons(desk: &mut Desk, product: Product, ui: &mut Ui, acts: &mut Vec<Act>) {
    if let Some(order) = &desk.handing.products.taken {
        let (name, word) = (file_name(&order.path), product.word());
        ui.label(format!("“{name}” is there already and is no {word}."))
            .on_hover_text(order.path.display().to_string());
        ui.horizontal(|ui| {
            for (word, act) in [
                ("Replace it", act(ProductAct::Replace)),
                ("Another file…", Act::Choose(products::choice(desk, product))),
                ("Leave it", act(ProductAct::LeaveAlone)),
            ] {
                if ui.button(word).clicked() {
                    acts.push(act);
                }
            }
        });
        return;
    }
    let running = handover_strip::lasting(desk);
    let its =
        running.filter(|r| matches!(&r.errand.order, Order::Product(o) if o.product == product));
    if let Some(running) = its {
        ui.horizontal(|ui| {
            let share = running.progress.fraction();
            let bar = ProgressBar::new(share).desired_width(150.0).desired_height(10.0);
            ui.add(bar).accessible_name(format!("How far the {} is", product.word()));
            let cancel = ui.button("Cancel").on_hover_text("Nothing half-written is left");
            if cancel.accessible_name(format!("Give up the {}", product.word())).clicked() {
                acts.push(Act::Hand(HandAct::Cancel));
            }
        });
        return;
    }
    let refused = matches!(desk.handing.products.previewing.shown, Shown::Refused(_));
    ui.horizontal(|ui| {
        let write = ui.add_enabled(!refused, Button::new(RichText::new("Write").strong()));
        let write = write
            .on_hover_text(format!("Write the {}; Enter while this is chosen", product.word()))
            .on_disabled_hover_text("It cannot be made: the reason stands above")
            .accessible_name(format!("Write the {}", product.word()));
        desk.handing.give_focus(&write);
        if write.clicked() && !is_for_the_canvas(desk, ui) {
            acts.push(act(ProductAct::Write(product)));
        }
        let close = ui.button("Cancel").on_hover_text("Close the panel and write nothing");
        if close.accessible_name(format!("Write no {}", product.word())).clicked() {
            acts.push(Act::Hand(HandAct::ClosePanel));
        }
    });
}
