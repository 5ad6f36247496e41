//! Why the selected thing contradicts, and what would mend it at a press.

use crate::act::Act;
use crate::desk::Desk;
use egui::{Button, CollapsingHeader, RichText, Ui};
use staffage_scene::{Finding, Subject};

pub(crate) fn show(desk: &Desk, ui: &mut Ui, about: Subject, acts: &mut Vec<Act>) {
    let findings = desk.assessment().findings.iter();
    for finding in findings.filter(|f| f.about == about && f.intended.is_none()) {
        why(ui, finding);
        // They are tried one by one; in the middle of a drag there is no time for that.
        if !desk.history.in_gesture() {
            offers(desk, ui, finding, acts);
        }
    }
}

/// The chain of statements that disagrees with it, folded until it is asked for.
fn why(ui: &mut Ui, finding: &Finding) {
    if finding.because.is_empty() {
        return;
    }
    CollapsingHeader::new("Why").id_salt(("why", finding.about)).show(ui, |ui| {
        for step in &finding.because {
            ui.label(&step.sentence);
        }
    });
}

fn offers(desk: &Desk, ui: &mut Ui, finding: &Finding, acts: &mut Vec<Act>) {
    let mends = desk.assessed.mends(finding);
    if mends.is_empty() {
        return;
    }
    ui.label(RichText::new("What would mend it, smallest first").weak());
    for mend in mends.iter() {
        let button = Button::new(&mend.sentence).wrap();
        if ui.add(button).on_hover_text("Do this; it can be undone").clicked() {
            acts.push(Act::Edit(mend.edit.clone()));
        }
    }
}
