//! What can be done with several selected things at once.

use crate::actions::act::Act;
use crate::desk::Desk;
use crate::properties::several;
use crate::thing::Thing;
use crate::typed;
use egui::{Align, ComboBox, Grid, Label, Layout, RichText, Ui};
use staffage_scene::{Known, Scene, Subject};

/// Spread of a size that is typed for several things: most made things are known this well.
const SPREAD: f64 = 0.05;

pub(crate) fn heading(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    ui.with_layout(Layout::right_to_left(Align::Min), |ui| {
        let delete =
            ui.small_button("Delete all").on_hover_text("Delete all that is selected (Delete)");
        if delete.clicked() {
            acts.push(Act::DeleteSelected);
        }
        ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
            let words = format!("{} things", desk.selection.len());
            ui.add(Label::new(RichText::new(words).heading()).truncate());
        });
    });
}

pub(crate) fn show(desk: &mut Desk, ui: &mut Ui, scene: &Scene, acts: &mut Vec<Act>) {
    ui.label(counted(desk));
    let name = |thing: Thing| thing.name(scene);
    let names: Vec<String> = desk.selection.iter().map(name).collect();
    ui.add(Label::new(RichText::new(names.join(", ")).weak()).wrap());
    ui.add_space(4.0);
    ui.horizontal_wrapped(|ui| {
        let copy = ui.add_enabled(several::can_copy(desk), egui::Button::new("Duplicate"));
        if copy.on_hover_text("Copy them a little aside (Ctrl+D)").clicked() {
            acts.push(Act::Duplicate);
        }
        align_button(desk, ui, acts);
    });
    if !several::markers(scene, &desk.selection).is_empty() {
        ui.add_space(4.0);
        Grid::new("several").num_columns(2).spacing([10.0, 6.0]).show(ui, |ui| {
            ui.weak("all stand on");
            level(desk, ui, scene, acts);
            ui.end_row();
            ui.weak("all measure");
            size(desk, ui, scene, acts);
            ui.end_row();
        });
    }
}

/// Turns lines and markers along their families.
pub(crate) fn align_button(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let align = ui.add_enabled(several::can_align(desk), egui::Button::new("Align to family"));
    let tip = "Turn it so that it points exactly at its vanishing point: a line about its middle, a marker \
               about its foot (W)";
    if align.on_hover_text(tip).clicked() {
        acts.push(Act::Align);
    }
}

/// "2 markers, 3 lines".
fn counted(desk: &Desk) -> String {
    let kinds = ["marker", "stand-in", "line", "guide", "overlap", "thing"];
    let kind = |thing: Thing| match thing {
        Thing::Of(Subject::Marker(_)) => "marker",
        Thing::Of(Subject::StandIn(_)) => "stand-in",
        Thing::Of(Subject::Line(_)) | Thing::Horizon => "line",
        Thing::Of(Subject::Guide(_)) => "guide",
        Thing::Of(Subject::Overlap(_)) => "overlap",
        Thing::Of(Subject::Level(_)) | Thing::EyeLevel | Thing::VanishingPoint(_) => "thing",
    };
    let count = |word: &str| desk.selection.iter().filter(|thing| kind(*thing) == word).count();
    let words = kinds.map(|word| (count(word), word)).into_iter().filter(|(n, _)| *n > 0);
    let words = words.map(|(n, word)| format!("{n} {word}{}", if n == 1 { "" } else { "s" }));
    words.collect::<Vec<_>>().join(", ")
}

fn level(desk: &Desk, ui: &mut Ui, scene: &Scene, acts: &mut Vec<Act>) {
    let markers = several::markers(scene, &desk.selection);
    let mut levels = markers.iter().map(|m| m.stands);
    let first = levels.next();
    let shared = first.filter(|stands| levels.all(|other| other == *stands));
    let now = shared.map_or("different things".to_owned(), |stands| {
        crate::properties::support::words(scene, stands)
    });
    ComboBox::from_id_salt("level of all")
        .width(180.0)
        .selected_text(now)
        .show_ui(ui, |ui| {
            for level in &scene.levels {
                let is_so = shared == Some(staffage_scene::Stands::On(level.id));
                if ui.selectable_label(is_so, &level.name).clicked() {
                    let edit = several::stood_on(scene, &desk.selection, level.id);
                    acts.extend(edit.map(Act::Edit));
                }
            }
        })
        .response
        .on_hover_text("Stand all selected markers on one level")
        .accessible_name("Level of all");
}

fn size(desk: &Desk, ui: &mut Ui, scene: &Scene, acts: &mut Vec<Act>) {
    let typed = crate::field::parsed(
        ui,
        "size of all",
        "Size of all",
        "",
        100.0,
        typed::LENGTH_WANTED,
        |text| typed::length(text, desk.units()),
    );
    if let Some(metres) = typed {
        let size = Known { metres, spread: SPREAD };
        let edit = several::sized(scene, &desk.selection, size, "typed");
        acts.extend(edit.map(Act::Edit));
    }
}
