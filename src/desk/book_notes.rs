//! Notes about the size book: that it cannot be read, or that it says otherwise than the scene.

use crate::actions::act::Act;
use crate::canvas::canvas_notes::note;
use crate::choice::Choice;
use crate::desk::Desk;
use crate::size_book::BookAct;
use crate::thing::Thing;
use egui::{Button, Frame, Margin, RichText, ScrollArea, Ui};
use staffage_scene::{SizeDifference, Units};
use std::collections::BTreeSet;

/// Tallest list of differences, points.
const TALLEST: f32 = 150.0;

pub(crate) fn show(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    if let Some(why) = desk.booked.remark() {
        let sentence = format!("{why} The scene can be used without it.");
        let answers = [
            ("Try again", Act::Book(BookAct::ReadAgain)),
            ("Choose size book…", Act::Choose(Choice::SizeBook)),
            ("Not now", Act::Book(BookAct::PutOff)),
        ];
        note(ui, &sentence, answers, acts);
    }
    if !desk.booked.differences().is_empty() {
        differences(desk, ui, acts);
    }
}

fn differences(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let differences = desk.booked.differences();
    Frame::popup(ui.style()).inner_margin(Margin::symmetric(12, 8)).show(ui, |ui| {
        ui.label(summary(differences));
        if desk.booked.listed {
            ScrollArea::vertical()
                .max_height(TALLEST)
                .show(ui, |ui| list(desk.units(), ui, differences, acts));
        }
        ui.horizontal(|ui| {
            let which = if desk.booked.listed { "Fold" } else { "Which?" };
            if ui.button(which).on_hover_text("List them one by one").clicked() {
                acts.push(Act::Book(BookAct::ToggleList));
            }
            let take = ui.button("Take the book’s sizes");
            if take.on_hover_text("For all that differ, as one step").clicked() {
                let adopted = desk.booked.book().and_then(|book| book.adopt(desk.scene()));
                acts.extend(adopted.map(Act::Edit));
            }
            let tip = "Say no more of it until the book or a size changes";
            if ui.button("Not now").on_hover_text(tip).clicked() {
                acts.push(Act::Book(BookAct::PutOff));
            }
        });
    });
}

/// "The size book says otherwise of 2 things."
fn summary(differences: &[SizeDifference]) -> String {
    let markers: BTreeSet<_> = differences.iter().map(|d| d.marker).collect();
    let things = if markers.len() == 1 { "thing" } else { "things" };
    format!("The size book says otherwise of {} {things}.", markers.len())
}

/// Each difference; a press selects its marker.
fn list(units: Units, ui: &mut Ui, differences: &[SizeDifference], acts: &mut Vec<Act>) {
    for difference in differences {
        let sentence = RichText::new(difference.sentence(units)).weak();
        let row = ui.add(Button::new(sentence).frame_when_inactive(false).wrap());
        if row.on_hover_text("Select it").clicked() {
            acts.push(Act::Select(Some(Thing::marker(difference.marker))));
        }
    }
}
