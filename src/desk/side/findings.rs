//! What is worth saying about the scene, worst first.

use crate::actions::act::Act;
use crate::desk::Desk;
use crate::side::mending::spoken_of;
use crate::side::{self, Part};
use crate::side::{standing, suggesting};
use crate::thing::Thing;
use egui::{
    Align, Button, Id, Key, Label, Layout, Response, RichText, Role, Sense, TextEdit, Ui,
    UiBuilder, WidgetInfo, vec2,
};
use staffage_scene::{Edit, Finding, Intended, Standing, Subject};
use std::sync::Arc;

/// Its name and how many there are.
pub(crate) fn heading(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    side::heading(desk, ui, Part::Findings, acts, |ui, _| {
        ui.heading("Findings");
        ui.add(Label::new(RichText::new(summary(&desk.assessment().findings)).weak()).truncate());
    });
}

/// Shows them all; where each of them ends, points from the top.
pub(crate) fn show(desk: &mut Desk, ui: &mut Ui, acts: &mut Vec<Act>) -> Vec<f32> {
    let top = ui.cursor().top();
    let mut ends = Vec::with_capacity(desk.assessment().findings.len());
    let assessment = desk.assessed.share();
    if assessment.findings.is_empty() {
        ui.add_space(4.0);
        ui.weak(if assessment.ledger.is_empty() && assessment.lines.is_empty() {
            "Contradictions are named here, once lines are traced and things marked."
        } else {
            "Nothing contradicts anything."
        });
        ends.push(ui.min_rect().bottom() - top);
    }
    ui.add_space(2.0);
    for finding in &Arc::clone(&assessment).findings {
        let response = one(desk, ui, finding, acts);
        if response.hovered() || response.has_focus() {
            desk.lit.extend(spoken_of(finding));
        }
        if response.clicked() {
            acts.push(Act::Centre(Thing::Of(finding.about)));
            acts.push(Act::Involve(spoken_of(finding).into_iter().collect()));
        }
        ends.push(ui.min_rect().bottom() - top);
        ui.add_space(3.0);
    }
    if suggesting::show(desk, ui, acts) {
        ends.push(ui.min_rect().bottom() - top);
    }
    ends
}

/// "2 contradict, 1 open".
fn summary(findings: &[Finding]) -> String {
    let count = |standing| {
        findings.iter().filter(|f| f.standing == standing && f.intended.is_none()).count()
    };
    let kept = findings.iter().filter(|f| f.intended.is_some()).count();
    let parts = [
        (count(Standing::Impossible), "impossible"),
        (count(Standing::Contradicts), "contradict"),
        (count(Standing::Strained), "strained"),
        (count(Standing::Open), "open"),
        (kept, "intended"),
    ];
    let said: Vec<String> = parts
        .into_iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, word)| match (count, word) {
            (1, "contradict") => "1 contradicts".into(),
            _ => format!("{count} {word}"),
        })
        .collect();
    said.join(", ")
}

/// A finding: a shape and a word, a sentence, and what can be done about it.
fn one(desk: &mut Desk, ui: &mut Ui, finding: &Finding, acts: &mut Vec<Act>) -> Response {
    let id = Id::unique(("finding", finding.about, finding.standing));
    let intended = finding.intended.is_some();
    let selected = desk.selection.has(Thing::Of(finding.about));
    let ground = ui.painter().add(egui::Shape::Noop);
    let builder = UiBuilder::new().id_salt(id).sense(Sense::click());
    let mut inner = ui.scope_builder(builder, |ui| {
        ui.set_width(ui.available_width() - 4.0);
        ui.add_space(3.0);
        head(desk, ui, finding, acts);
        body(desk, ui, finding, acts);
        ui.add_space(3.0);
    });
    let response = &mut inner.response;
    let name = format!("{}: {}", standing::word(finding.standing, intended), finding.sentence);
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, selected, &name));
    if selected || response.hovered() {
        let fill = ui.visuals().faint_bg_color;
        let rect = response.rect.expand2(vec2(6.0, 0.0));
        ui.painter().set(ground, egui::Shape::rect_filled(rect, 4, fill));
    }
    inner.response
}

/// The standing, and at the right what can be done about it.
fn head(desk: &mut Desk, ui: &mut Ui, finding: &Finding, acts: &mut Vec<Act>) {
    let intended = finding.intended.is_some();
    ui.horizontal(|ui| {
        let (rect, response) = ui.allocate_exact_size(vec2(110.0, 18.0), Sense::hover());
        standing::paint_shape_and_word(ui, rect, finding.standing, intended);
        response.on_hover_text(standing::meaning(finding.standing, intended));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let asked = desk.keeping.as_ref().is_some_and(|(of, _)| *of == finding.about);
            let quiet = |ui: &mut Ui, word: &str| {
                ui.add(Button::new(RichText::new(word).weak().small()).frame_when_inactive(false))
            };
            if intended {
                let tip = "No longer kept on purpose: it counts again";
                if quiet(ui, "Release").on_hover_text(tip).clicked() {
                    acts.push(Act::Edit(Edit::RemoveIntended(finding.about)));
                }
            } else if can_be_kept(finding.standing)
                && !asked
                && quiet(ui, "Keep on purpose…")
                    .on_hover_text("It is meant so: give the reason, and it no longer counts")
                    .clicked()
            {
                desk.keeping = Some((finding.about, String::new()));
            }
        });
    });
}

fn body(desk: &mut Desk, ui: &mut Ui, finding: &Finding, acts: &mut Vec<Act>) {
    ui.horizontal_top(|ui| {
        ui.add_space(10.0);
        ui.vertical(|ui| {
            let words = RichText::new(&finding.sentence);
            match &finding.intended {
                Some(reason) => {
                    ui.label(words.weak());
                    let by = desk.scene().kept_on_purpose(finding.about).map(|kept| &kept.by);
                    let by = by.filter(|by| !by.is_empty());
                    let by = by.map_or(String::new(), |by| format!(" ({by})"));
                    ui.weak(format!("Kept on purpose: {reason}{by}"));
                }
                None => {
                    ui.label(words);
                    reason(desk, ui, finding.about, acts);
                }
            }
        });
    });
}

fn can_be_kept(standing: Standing) -> bool {
    matches!(standing, Standing::Contradicts | Standing::Strained | Standing::Impossible)
}

/// The fields for the reason to keep it and for who decides so, once that is wanted.
fn reason(desk: &mut Desk, ui: &mut Ui, about: Subject, acts: &mut Vec<Act>) {
    let Some((_, reason)) = desk.keeping.as_mut().filter(|(of, _)| *of == about) else { return };
    let by = &mut desk.remembered.decides;
    let mut done = false;
    let mut stop = false;
    ui.horizontal(|ui| {
        let field = TextEdit::singleline(reason).hint_text("why?").desired_width(200.0);
        let response = ui.add(field).accessible_name("Reason to keep it");
        if !response.has_focus() && !response.lost_focus() && reason.is_empty() {
            response.request_focus();
        }
        done = response.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
        stop = ui.input(|i| i.key_pressed(Key::Escape));
    });
    ui.horizontal(|ui| {
        let field = TextEdit::singleline(by).hint_text("who decides?").desired_width(100.0);
        let response = ui.add(field).on_hover_text("Stands on the sheet beside the reason");
        let response = response.accessible_name("Who decides to keep it");
        done |= response.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
        done |= ui.small_button("Keep").clicked();
        stop |= ui.small_button("Leave").clicked();
    });
    if done {
        let reason = if reason.trim().is_empty() { "on purpose".into() } else { reason.clone() };
        let by = by.trim().to_owned();
        acts.push(Act::Edit(Edit::PutIntended(Intended { about, reason, by })));
    }
    if done || stop {
        desk.keeping = None;
    }
}
