//! Why the selected thing contradicts, and what would mend it at a press.

use crate::actions::act::Act;
use crate::desk::Desk;
use egui::{Button, CollapsingHeader, Label, Response, RichText, Sense, Shape, Ui, vec2};
use staffage_scene::{Finding, Step, Subject};
use std::collections::BTreeSet;

pub(crate) fn show(desk: &mut Desk, ui: &mut Ui, about: Subject, acts: &mut Vec<Act>) {
    let assessment = desk.assessed.share();
    let findings = assessment.findings.iter();
    for finding in findings.filter(|f| f.about == about && f.intended.is_none()) {
        why(desk, ui, finding);
        // They are tried one by one; in the middle of a drag there is no time for that.
        if !desk.history.in_gesture() {
            offers(desk, ui, finding, acts);
        }
    }
}

/// Everything that a finding and the chain behind it speak of.
pub(crate) fn spoken_of(finding: &Finding) -> BTreeSet<Subject> {
    let named = finding.with.iter().copied().chain([finding.about]);
    named.chain(finding.because.iter().flat_map(subjects)).collect()
}

/// What a step speaks of. A level stands for all that is on it: where the step is about one thing on
/// it, only that is meant.
fn subjects(step: &Step) -> impl Iterator<Item = Subject> {
    let is_level = |subject: &Subject| matches!(subject, Subject::Level(_));
    let levels_only = step.subjects.iter().all(is_level);
    step.subjects.iter().copied().filter(move |s| levels_only || !is_level(s))
}

/// The chain works with what was said, not with the adjusted figures.
const WHY: &str = "Why, by these statements alone";

/// The chain of statements that disagrees with it, folded until it is asked for.
fn why(desk: &mut Desk, ui: &mut Ui, finding: &Finding) {
    if finding.because.is_empty() {
        return;
    }
    CollapsingHeader::new(WHY).id_salt(("why", finding.about)).show(ui, |ui| {
        for step in &finding.because {
            if is_looked_at(&one(ui, step)) {
                desk.lit.extend(subjects(step));
            }
        }
    });
}

/// One statement of the chain, which Tab reaches, too.
fn one(ui: &mut Ui, step: &Step) -> Response {
    let ground = ui.painter().add(Shape::Noop);
    let label = Label::new(&step.sentence).sense(Sense::focusable_noninteractive()).wrap();
    let response = ui.add(label);
    if is_looked_at(&response) {
        let rect = response.rect.expand2(vec2(4.0, 1.0));
        ui.painter().set(ground, Shape::rect_filled(rect, 3, ui.visuals().faint_bg_color));
    }
    response
}

fn is_looked_at(response: &Response) -> bool {
    response.hovered() || response.has_focus()
}

fn offers(desk: &mut Desk, ui: &mut Ui, finding: &Finding, acts: &mut Vec<Act>) {
    let mends = desk.assessed.mends(finding);
    if mends.is_empty() {
        return;
    }
    ui.label(RichText::new("What would mend it, smallest first").weak());
    for mend in mends.iter() {
        let response = ui.add(Button::new(&mend.sentence).wrap());
        if is_looked_at(&response) {
            desk.pointed_at = Some(mend.clone());
        }
        if response.clicked() {
            acts.push(Act::Edit(mend.edit.clone()));
        }
    }
}
