//! The scene itself: title, frame, levels, blocks, inclines.

use crate::actions::act::Act;
use crate::choice::Choice;
use crate::desk::Desk;
use crate::thing::Thing;
use crate::{
    field,
    painting::ladder,
    properties::{self, incline_properties, level_properties},
    world,
};
use egui::{Grid, Label, RichText, Ui};
use staffage_scene::{Edit, Frame, Scene, Side, Subject, WORKING_WIDTH};

/// What to type for a working width.
const WIDTH_WANTED: &str = "a width between 16 and 100,000 pixels";

pub(crate) fn show(desk: &Desk, ui: &mut Ui, scene: &Scene, acts: &mut Vec<Act>) {
    Grid::new("scene").num_columns(2).spacing([10.0, 6.0]).show(ui, |ui| {
        ui.weak("title");
        if let Some(title) = field::text(ui, "title", "Title", &scene.title, 260.0) {
            acts.push(Act::Edit(Edit::SetTitle(title)));
        }
        ui.end_row();
        ui.weak("frame");
        ladder::shape(desk, ui, acts);
        ui.end_row();
        ui.weak("worked at");
        let shown = format!("{} px", scene.frame.working_width);
        let width =
            field::parsed(ui, "width", "Working width", &shown, 90.0, WIDTH_WANTED, working_width);
        if let Some(working_width) = width {
            acts.push(Act::Edit(Edit::SetFrame(Frame { working_width, ..scene.frame })));
        }
        ui.end_row();
        ui.weak("");
        ladder::rungs(ui, scene.frame, acts);
        ui.end_row();
        size_book(desk, ui, acts);
    });
    levels(desk, ui, scene, acts);
    blocks(desk, ui, scene, acts);
    inclines(desk, ui, scene, acts);
    world::show(desk.units(), ui, scene, acts);
}

/// What the size book is called and the way to put it away, or the way to choose one.
fn size_book(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    ui.weak("size book");
    let Some(name) = crate::size_book::name(desk) else {
        let choose = ui.small_button("Choose…").accessible_name("Choose a size book");
        let tip = "A file of sizes of your own, offered beside those of the shelf";
        if choose.on_hover_text(tip).clicked() {
            acts.push(Act::Choose(Choice::SizeBook));
        }
        ui.end_row();
        return;
    };
    ui.horizontal(|ui| {
        let tip = "Put the size book away";
        if ui.small_button("×").on_hover_text(tip).accessible_name(tip).clicked() {
            acts.push(Act::SetSizeBook(None));
        }
        let words = match desk.booked.unreadable() {
            Some(_) => RichText::new(format!("{name} cannot be read")).weak(),
            None => RichText::new(name),
        };
        let label = ui.add(Label::new(words).truncate());
        if let Some(why) = desk.booked.unreadable() {
            label.on_hover_text(why);
        }
    });
    ui.end_row();
}

/// Pixels across, within what can be worked at.
pub(crate) fn working_width(text: &str) -> Option<u32> {
    pixels(text).filter(|width| WORKING_WIDTH.contains(width))
}

/// A number of pixels, with or without their unit and commas between the thousands.
pub(crate) fn pixels(text: &str) -> Option<u32> {
    text.trim().trim_end_matches("px").trim().replace([',', ' '], "").parse().ok()
}

fn levels(desk: &Desk, ui: &mut Ui, scene: &Scene, acts: &mut Vec<Act>) {
    ui.add_space(6.0);
    ui.label(RichText::new("Levels").strong());
    for level in &scene.levels {
        ui.horizontal(|ui| {
            if ui.button(&level.name).on_hover_text("Select this level").clicked() {
                acts.push(Act::Select(Some(Thing::Of(Subject::Level(level.id)))));
            }
            let words = RichText::new(level_properties::clearance_words(desk, level)).weak();
            ui.add(Label::new(words).truncate());
        });
    }
    ui.horizontal(|ui| {
        for (side, word) in [(Side::Below, "Add level below"), (Side::Above, "Add level above")] {
            let tip = match side {
                Side::Below => "A deck, a terrace, water: things stand on it below the eye",
                Side::Above => "A bridge, a balcony, a ceiling: its underside is seen",
            };
            if ui.small_button(word).on_hover_text(tip).clicked() {
                let level = crate::modes::naming::new_level(scene, side);
                let thing = Thing::Of(Subject::Level(level.id));
                acts.push(Act::Edit(Edit::PutLevel(level)));
                acts.push(Act::Select(Some(thing)));
            }
        }
    });
}

fn blocks(desk: &Desk, ui: &mut Ui, scene: &Scene, acts: &mut Vec<Act>) {
    ui.add_space(6.0);
    ui.label(RichText::new("Blocks").strong());
    for block in &scene.blocks {
        ui.horizontal(|ui| {
            properties::block_properties(desk, ui, block, acts);
            if scene.blocks.len() > 1 {
                let name = format!("Delete {}", block.name);
                if ui.small_button("×").on_hover_text(&name).accessible_name(&name).clicked() {
                    acts.push(Act::Edit(Edit::RemoveBlock(block.id)));
                }
            }
        });
    }
}

fn inclines(desk: &Desk, ui: &mut Ui, scene: &Scene, acts: &mut Vec<Act>) {
    if scene.inclines.is_empty() {
        return;
    }
    ui.add_space(6.0);
    ui.label(RichText::new("Inclines").strong());
    for incline in &scene.inclines {
        incline_properties::show(desk, ui, incline, acts);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn working_widths_are_read_with_their_unit_and_within_bounds() {
        assert_eq!(working_width("5000 px"), Some(5000));
        assert_eq!(working_width("10,000"), Some(10_000));
        assert_eq!(working_width("3"), None);
        assert_eq!(working_width("wide"), None);
    }
}
