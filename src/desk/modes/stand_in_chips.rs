//! What the next stand-in is and how many: the chips of the mode.

use crate::actions::act::Act;
use crate::actions::stand_in_actions::{KINDS, MANY};
use crate::desk::Desk;
use crate::modes::chips::{chip, levels};
use crate::modes::stand_in_mode::{Many, READY, SetIn};
use crate::properties::size_picker::SizePicker;
use crate::{eye::eye_height, field, typed};
use egui::{DragValue, Id, Ui};
use staffage_scene::shelf::{self, Group, Part};
use staffage_scene::{COUNT, Shape, Span, Units};

/// Room for a length, points.
const LENGTH_FIELD: f32 = 62.0;
/// Width of the list of sizes, points.
const PICKER: f32 = 300.0;

pub(crate) fn show(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let setting = &desk.setting;
    if let Some(level) = eye_height::level_without_scale(desk) {
        ui.label("eye height");
        eye_height::field(desk, ui, level, acts);
        ui.separator();
    }
    for ((name, shape), action) in READY.into_iter().zip(&KINDS) {
        let chosen = setting.name == name;
        let what = format!("set in a {name}, {} high", desk.units().metres(shape.height()));
        if chip(ui, name, Some(action), &what, chosen, None).clicked() {
            acts.push(Act::SetIn(SetIn::What(name.into(), shape)));
        }
    }
    from_shelf(desk, ui, acts);
    ui.separator();
    for (part, metres) in setting.shape.sizes() {
        ui.weak(part);
        if let Some(metres) = size(desk.units(), ui, "next", "stand-in", part, metres) {
            acts.push(Act::SetIn(SetIn::Size(setting.shape.with(part, metres))));
        }
    }
    ui.separator();
    for (many, action) in Many::ALL.into_iter().zip(&MANY) {
        let what = match many {
            Many::One => "a click sets one in",
            Many::Row => "drag from the first to the last of a row",
            Many::Crowd => "drag a patch of ground from corner to corner",
        };
        if chip(ui, many.word(), Some(action), what, setting.many == many, None).clicked() {
            acts.push(Act::SetIn(SetIn::Many(many)));
        }
    }
    if setting.many != Many::One {
        let mut count = setting.count;
        let field = ui
            .add(DragValue::new(&mut count).update_while_editing(false).range(COUNT))
            .accessible_name("How many");
        if field.on_hover_text("How many a row or a crowd has (PageUp, PageDown)").changed() {
            acts.push(Act::SetIn(SetIn::Count(count)));
        }
    }
    ui.separator();
    levels(desk, ui, acts);
}

/// Any size of the shelf or the size book.
fn from_shelf(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let id = Id::unique("stand-in from the shelf");
    let is_ready = READY.iter().any(|(name, _)| *name == desk.setting.name);
    let word = if is_ready { "from the shelf" } else { desk.setting.name.as_str() };
    let menu = egui::containers::menu::MenuButton::new(word).config(
        egui::containers::menu::MenuConfig::new()
            .close_behavior(egui::PopupCloseBehavior::CloseOnClickOutside),
    );
    let (response, _) = menu.ui(ui, |ui| {
        ui.set_width(PICKER);
        let kept: Option<SizePicker> = ui.data(|d| d.get_temp(id));
        let mut picker = kept.unwrap_or_else(|| SizePicker::of(Span::Upright));
        let shown = picker.show(ui, PICKER - 12.0, desk.booked.book(), desk.units());
        if let Some(picked) = shown.picked {
            let shape = shape_of(&picked.called, picked.size.metres);
            let name = picked.called.split(',').next().unwrap_or_default().to_owned();
            let name = if name.is_empty() { "stand-in".into() } else { name };
            acts.push(Act::SetIn(SetIn::What(name, shape)));
            picker = SizePicker::of(Span::Upright);
            ui.close();
        }
        ui.data_mut(|d| d.insert_temp(id, picker));
    });
    response
        .on_hover_text("Anything of the size shelf or the size book")
        .accessible_name("Stand-in from the shelf");
}

/// The body of a thing of which one size was picked. What else the shelf knows of it is taken, too; what
/// it does not know is guessed, and stands in the fields to be put right.
fn shape_of(called: &str, size: f64) -> Shape {
    let of_it = |s: &&shelf::Size| called == s.label() || called.starts_with(&s.name);
    let known: Vec<&shelf::Size> = shelf::sizes().iter().filter(of_it).collect();
    let part = |part| known.iter().find(|s| s.part == part).map(|s| s.metres);
    let picked = known.iter().find(|s| s.label() == called).map_or(Part::Height, |s| s.part);
    let is_figure = known.iter().any(|s| s.group == Group::People);
    match (part(Part::Height), part(Part::Width), part(Part::Length)) {
        _ if is_figure && picked == Part::Height => Shape::Figure { height: size },
        (height, width, Some(depth)) => {
            let across = width.unwrap_or(depth / 4.0);
            Shape::Box { width: across, depth, height: height.unwrap_or(across) }
        }
        (height, Some(width), None) => Shape::Panel { width, height: height.unwrap_or(width) },
        _ => Shape::Panel { width: size / 2.0, height: size },
    }
}

/// A field for one of the sizes of a shape, named by its `part`; the new size, metres.
pub(crate) fn size(
    units: Units,
    ui: &mut Ui,
    salt: &str,
    whose: &str,
    part: &str,
    size: f64,
) -> Option<f64> {
    let name = format!("{} of the {whose}", capital(part));
    let (text, wanted) = (units.metres(size), typed::LENGTH_WANTED);
    let read = |text: &str| typed::length(text, units);
    field::parsed(ui, (salt, part), &name, &text, LENGTH_FIELD, wanted, read)
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters
        .next()
        .map(|c| c.to_uppercase().collect::<String>() + letters.as_str())
        .unwrap_or_default()
}
