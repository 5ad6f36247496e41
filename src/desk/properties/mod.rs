//! What is selected, and everything that can be changed about it.

pub(crate) mod guide_properties;
pub(crate) mod incline_properties;
pub(crate) mod level_properties;
pub(crate) mod marker_properties;
pub(crate) mod scene_properties;
pub(crate) mod several;
pub(crate) mod several_properties;
pub(crate) mod size_picker;
pub(crate) mod stand_in_properties;
pub(crate) mod statements;
pub(crate) mod support;
pub(crate) mod tying;

use crate::actions::act::Act;
use crate::actions::canvas_actions::{CENTRE, DELETE};
use crate::desk::Desk;
use crate::eye::eye_quantity::EyeQuantity;
use crate::side::{self, Part};
use crate::thing::Thing;
use crate::{
    eye::eye_panel,
    field, sentences,
    side::{mending, standing},
};
use egui::{Align, ComboBox, DragValue, Grid, Label, Layout, RichText, ScrollArea, Ui, vec2};
use staffage_scene::{
    Block, Edit, Family, HEADING, Line, Overlap, Scene, Segment, Subject, family_name,
};
use staffage_solver::Source;
use std::sync::Arc;

/// The heading stays; what is under it scrolls, and begins at the top when something else is
/// selected.
pub(crate) fn show(desk: &mut Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let scene = Arc::clone(desk.history.present());
    side::heading(desk, ui, Part::Selected, acts, |ui, acts| {
        if desk.selection.is_several() {
            several_properties::heading(desk, ui, acts);
        } else {
            heading(ui, desk.selected(), &scene, acts);
        }
    });
    if !desk.remembered.parts.selected {
        return;
    }
    let mut area = ScrollArea::vertical().id_salt("selected scroll").auto_shrink([false, false]);
    if desk.described != desk.selection {
        desk.described = desk.selection.clone();
        area = area.vertical_scroll_offset(0.0);
    }
    area.show(ui, |ui| match desk.selected() {
        Some(_) if desk.selection.is_several() => several_properties::show(desk, ui, &scene, acts),
        None => scene_properties::show(desk, ui, &scene, acts),
        Some(thing) if thing.is_of_eye() => eye_properties(desk, ui, &scene, thing, acts),
        Some(thing) => thing_properties(desk, ui, &scene, thing, acts),
    });
}

/// A line, a marker, a level or an overlap, and first what would mend it.
fn thing_properties(
    desk: &mut Desk,
    ui: &mut Ui,
    scene: &Scene,
    thing: Thing,
    acts: &mut Vec<Act>,
) {
    if let Thing::Of(subject) = thing {
        mending::show(desk, ui, subject, acts);
    }
    match thing {
        Thing::EyeLevel | Thing::VanishingPoint(_) => {}
        Thing::Horizon => {
            ui.weak("The horizon where it can be seen. Drag its ends to move it.");
        }
        Thing::Of(Subject::Marker(id)) => {
            if let Some(marker) = scene.marker(id) {
                marker_properties::show(desk, ui, marker, acts);
            }
        }
        Thing::Of(Subject::Line(id)) => {
            if let Some(line) = scene.line(id) {
                line_properties(desk, ui, scene, line, acts);
            }
        }
        Thing::Of(Subject::Guide(id)) => {
            if let Some(guide) = scene.guide(id) {
                guide_properties::show(desk, ui, guide, acts);
            }
        }
        Thing::Of(Subject::Level(id)) => {
            if let Some(level) = scene.level(id) {
                level_properties::show(desk, ui, level, acts);
            }
        }
        Thing::Of(Subject::StandIn(id)) => {
            if let Some(stand_in) = scene.stand_in(id) {
                stand_in_properties::show(desk, ui, stand_in, acts);
            }
        }
        Thing::Of(Subject::Overlap(id)) => {
            if let Some(overlap) = scene.overlap(id) {
                overlap_properties(ui, *overlap, acts);
            }
        }
    }
}

/// The horizon or a vanishing point: all that says where it lies.
fn eye_properties(desk: &Desk, ui: &mut Ui, scene: &Scene, thing: Thing, acts: &mut Vec<Act>) {
    ui.weak(sentences::description(thing, scene, desk.assessment()));
    match thing {
        Thing::VanishingPoint(Family::RecedingLeft(id) | Family::RecedingRight(id)) => {
            if let Some(block) = scene.block(id) {
                block_properties(desk, ui, block, acts);
            }
        }
        Thing::VanishingPoint(Family::Incline(id) | Family::Run(id)) => {
            if let Some(incline) = scene.incline(id) {
                incline_properties::show(desk, ui, incline, acts);
            }
        }
        _ => {}
    }
    eye_panel::angles(desk, ui, eye_panel::Room::Wall, acts);
}

fn heading(ui: &mut Ui, selected: Option<Thing>, scene: &Scene, acts: &mut Vec<Act>) {
    let Some(thing) = selected else {
        ui.heading("Scene");
        return;
    };
    if thing.is_of_eye() {
        ui.add(Label::new(RichText::new(thing.name(scene)).heading()).truncate());
        return;
    }
    // The buttons first: a long name has the room that they leave.
    let row = vec2(ui.available_width(), ui.spacing().interact_size.y);
    ui.allocate_ui_with_layout(row, Layout::right_to_left(Align::Center), |ui| {
        ui.add_space(8.0);
        if ui.small_button("Delete").on_hover_text(DELETE.tooltip()).clicked() {
            acts.push(Act::DeleteSelected);
        }
        let centre = crate::canvas::hit::segment(scene, thing).map(|_| ui.small_button("Centre"));
        if centre.is_some_and(|r| r.on_hover_text(CENTRE.tooltip()).clicked()) {
            acts.push(Act::Centre(thing));
        }
        ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
            ui.add(Label::new(RichText::new(thing.name(scene)).heading()).truncate());
        });
    });
}

fn line_properties(desk: &Desk, ui: &mut Ui, scene: &Scene, line: &Line, acts: &mut Vec<Act>) {
    if let Some(reading) = desk.assessment().lines.iter().find(|l| l.id == line.id) {
        ui.horizontal(|ui| {
            let (rect, _) = ui.allocate_exact_size(egui::vec2(100.0, 18.0), egui::Sense::hover());
            let intended = scene.intended_reason(Subject::Line(line.id)).is_some();
            standing::paint_shape_and_word(ui, rect, reading.standing, intended);
            ui.label(sentences::line_miss(reading, sentences::family_size(scene, line)));
        });
    }
    let Segment(a, b) = line.segment;
    let pixels = (b - a).length() * f64::from(scene.frame.working_width);
    ui.weak(format!("{pixels:.0} px long"));
    Grid::new("line").num_columns(2).spacing([10.0, 6.0]).show(ui, |ui| {
        ui.weak("family");
        family(ui, scene, line, acts);
        ui.end_row();
    });
    if let Family::RecedingLeft(id) | Family::RecedingRight(id) = line.family
        && let Some(block) = scene.block(id)
    {
        block_properties(desk, ui, block, acts);
    }
    if let Family::Incline(id) | Family::Run(id) = line.family
        && let Some(incline) = scene.incline(id)
    {
        incline_properties::show(desk, ui, incline, acts);
    }
}

fn family(ui: &mut Ui, scene: &Scene, line: &Line, acts: &mut Vec<Act>) {
    ComboBox::from_id_salt("family")
        .width(180.0)
        .selected_text(family_name(scene, line.family))
        .show_ui(ui, |ui| {
            for family in families(scene) {
                let chosen = line.family == family;
                if ui.selectable_label(chosen, family_name(scene, family)).clicked() {
                    acts.push(Act::Edit(Edit::PutLine(Line { family, ..*line })));
                }
            }
        })
        .response
        .accessible_name("Family of the line");
}

/// Every family of the scene.
pub(crate) fn families(scene: &Scene) -> Vec<Family> {
    let receding =
        scene.blocks.iter().flat_map(|b| [Family::RecedingLeft(b.id), Family::RecedingRight(b.id)]);
    let inclines = scene.inclines.iter().flat_map(|i| [Family::Incline(i.id), Family::Run(i.id)]);
    [Family::Upright].into_iter().chain(receding).chain(inclines).collect()
}

/// A block's name and heading.
pub(crate) fn block_properties(desk: &Desk, ui: &mut Ui, block: &Block, acts: &mut Vec<Act>) {
    let put = |block: Block| Edit::PutBlock(block);
    ui.push_id(("block", block.id.0), |ui| {
        ui.horizontal(|ui| {
            let name = field::text(ui, "block name", "Block name", &block.name, 110.0);
            if let Some(name) = name {
                acts.push(Act::Edit(put(Block { name, ..block.clone() })));
            }
            let read = desk.assessment().eye.headings.iter().find(|(id, _)| *id == block.id);
            let shown = block.heading.unwrap_or_else(|| {
                read.map_or(0.0, |(_, q)| (10.0 * q.value.to_degrees()).round() / 10.0)
            });
            let mut degrees = shown;
            let value = DragValue::new(&mut degrees)
                .update_while_editing(false)
                .range(HEADING)
                .speed(0.2)
                .fixed_decimals(1)
                .suffix("°");
            let response = ui
                .add(value)
                .on_hover_text("Heading of its receding-right lines, clockwise from straight ahead")
                .accessible_name(format!("Heading of {}", block.name));
            let changed = field::differs(&response, shown, degrees, 1);
            let edit = changed.then(|| put(Block { heading: Some(degrees), ..block.clone() }));
            field::put(&response, edit, acts);
            let source = read.map_or(Source::Assumed, |(_, quantity)| quantity.source);
            ui.weak(sentences::source(source));
            EyeQuantity::Heading(block.id).button(desk, ui, acts);
        });
    });
}

fn overlap_properties(ui: &mut Ui, overlap: Overlap, acts: &mut Vec<Act>) {
    ui.weak("The first hides part of the second, so it is nearer.");
    if ui.button("Swap them").clicked() {
        let swapped = Overlap { front: overlap.behind, behind: overlap.front, ..overlap };
        acts.push(Act::Edit(Edit::PutOverlap(swapped)));
    }
}
