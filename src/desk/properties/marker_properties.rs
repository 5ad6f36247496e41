//! Everything about the selected marker.

use crate::actions::act::Act;
use crate::actions::acts::sentence;
use crate::desk::Desk;
use crate::sentences::{between, hidden, size_and_distance, unseen, within};
use crate::thing::Thing;
use crate::{
    field,
    painting::ladder,
    properties::{statements, support},
    side::{evidence, standing},
};
use egui::{ComboBox, Grid, RichText, Ui};
use glam::{DVec2, DVec3};
use staffage_scene::{
    Edit, Entry, Family, Lean, Marker, Scene, Side, Span, Standing, Stands, Subject, family_name,
};

/// A lean of fewer degrees is not mentioned: nobody sees it.
const VISIBLE_LEAN: f64 = 0.5;

pub(crate) fn show(desk: &mut Desk, ui: &mut Ui, marker: &Marker, acts: &mut Vec<Act>) {
    if let Some(entry) = desk.assessment().entry(marker.id) {
        reading(desk, ui, marker, entry, acts);
    }
    Grid::new("marker").num_columns(2).spacing([10.0, 6.0]).show(ui, |ui| {
        ui.weak("name");
        let name = field::text(ui, ("name", marker.id.0), "Marker name", &marker.name, 180.0);
        if let Some(name) = name {
            acts.push(put(Marker { name, ..marker.clone() }));
        }
        ui.end_row();
        ui.weak("runs");
        span(desk.scene(), ui, marker, acts);
        ui.end_row();
        support::rows(desk, ui, marker, acts);
    });
    ui.add_space(4.0);
    statements::show(desk, ui, marker, acts);
    overlaps(desk, ui, marker, acts);
    if let Some(entry) = desk.assessment().entry(marker.id) {
        details(desk, ui, marker, entry);
    }
    evidence::show(desk, ui, marker, acts);
}

fn put(marker: Marker) -> Act {
    Act::Edit(Edit::PutMarker(marker))
}

/// What the ledger says of it, and what would put it right.
fn reading(desk: &Desk, ui: &mut Ui, marker: &Marker, entry: &Entry, acts: &mut Vec<Act>) {
    let intended = desk.scene().intended_reason(Subject::Marker(marker.id)).is_some();
    ui.horizontal(|ui| {
        let (rect, _) = ui.allocate_exact_size(egui::vec2(100.0, 18.0), egui::Sense::hover());
        standing::paint_shape_and_word(ui, rect, entry.standing, intended);
        if entry.bounds.is_none() {
            ui.label(size_and_distance(desk.units(), entry, marker.span));
        }
    });
    if let Some(words) = entry.bounds.and_then(|bounds| within(desk.units(), bounds, marker.span)) {
        ui.label(sentence(&words));
    }
    if let Some(words) = hidden(desk.units(), entry) {
        ui.label(sentence(&words));
    }
    corrections(desk, ui, marker, entry, acts);
    ui.add_space(4.0);
}

/// How sure that is, and what else follows from it.
fn details(desk: &Desk, ui: &mut Ui, marker: &Marker, entry: &Entry) {
    ui.add_space(4.0);
    for (word, measured) in [("size", entry.size), ("distance", entry.distance)] {
        if let Some(measured) = measured {
            ui.weak(format!("{word} {} (95 %)", between(desk.units(), measured, entry.unit)));
        }
    }
    if let Some(words) = ladder::figure_words(desk.units(), desk.scene(), marker, entry) {
        ui.weak(words).on_hover_text("What a figure beside it measures at each working width");
    }
    if let Some(words) = entry.lean.and_then(lean_words) {
        ui.weak(words);
    }
    if let Some(ratio) = entry.detectable {
        ui.weak(unseen(ratio)).on_hover_text("The minimal detectable error, as a ratio");
    }
}

/// What would put it right as a drawing, at a press.
fn corrections(desk: &Desk, ui: &mut Ui, marker: &Marker, entry: &Entry, acts: &mut Vec<Act>) {
    let horizon = desk.assessment().eye.eye.horizon();
    if entry.standing == Standing::Impossible && is_upside_down(marker, desk.scene(), horizon) {
        let tip = "Makes its head the foot and its foot the head";
        if ui.button("Turn it over").on_hover_text(tip).clicked() {
            acts.push(put(Marker { foot: marker.head, head: marker.foot, ..marker.clone() }));
        }
        return;
    }
    // What contradicts has mends of its own.
    if entry.standing == Standing::Contradicts {
        return;
    }
    let Some(head) = entry.true_head.filter(|head| is_off(marker, *head)) else { return };
    let (word, tip) = match marker.span {
        Span::Upright => ("Stand it plumb", "Moves its head to plumb over its foot"),
        _ => ("Turn it along its lines", "Moves its far end to where its lines lead"),
    };
    if ui.button(word).on_hover_text(tip).clicked() {
        acts.push(put(Marker { head, ..marker.clone() }));
    }
}

/// Whether it was drawn from the head to the foot: an upright whose head is lower than its foot, or
/// anything whose head could stand on its level and whose foot could not.
fn is_upside_down(marker: &Marker, scene: &Scene, horizon: DVec3) -> bool {
    let below_horizon = |at: DVec2| horizon.dot(at.extend(1.0));
    let (foot, head) = (below_horizon(marker.foot), below_horizon(marker.head));
    match (marker.span, marker.stands) {
        (Span::Upright, _) => head > foot,
        (_, Stands::On(level)) => scene.level(level).is_some_and(|level| match level.side {
            Side::Below => foot <= 0.0 && head > 0.0,
            Side::Above => foot >= 0.0 && head < 0.0,
        }),
        _ => false,
    }
}

/// How far an upright leans, where that can be seen.
fn lean_words(lean: Lean) -> Option<String> {
    let degrees = lean.angle.to_degrees();
    let side = if degrees > 0.0 { "right" } else { "left" };
    (degrees.abs() >= VISIBLE_LEAN)
        .then(|| format!("leans {:.1}° to the {side} of plumb", degrees.abs()))
}

/// Whether the head is off its line by more than a hundredth of the marker's length.
fn is_off(marker: &Marker, head: DVec2) -> bool {
    let length = (marker.head - marker.foot).length();
    (head - marker.head).length() > 0.01 * length
}

fn span(scene: &Scene, ui: &mut Ui, marker: &Marker, acts: &mut Vec<Act>) {
    let word = |span: Span| match span {
        Span::Upright => "upright".to_owned(),
        Span::Along(family) => format!("along {}", family_name(scene, family)),
        Span::Facing => "facing the viewer".to_owned(),
        Span::Cylinder => "round: a tower, a tank".to_owned(),
        Span::Ball => "a ball".to_owned(),
    };
    ComboBox::from_id_salt("span")
        .width(180.0)
        .selected_text(word(marker.span))
        .show_ui(ui, |ui| {
            for option in spans(scene) {
                if ui.selectable_label(option == marker.span, word(option)).clicked() {
                    acts.push(put(Marker { span: option, ..marker.clone() }));
                }
            }
        })
        .response
        .accessible_name("How it runs");
}

/// Every way in which a marker can run in this scene; nothing runs along the light.
pub(crate) fn spans(scene: &Scene) -> Vec<Span> {
    let receding = scene.blocks.iter().flat_map(|b| {
        [Span::Along(Family::RecedingLeft(b.id)), Span::Along(Family::RecedingRight(b.id))]
    });
    let inclines = scene
        .inclines
        .iter()
        .filter(|i| !scene.is_light(i.id))
        .flat_map(|i| [Span::Along(Family::Incline(i.id)), Span::Along(Family::Run(i.id))]);
    let others = [Span::Facing, Span::Cylinder, Span::Ball];
    [Span::Upright].into_iter().chain(receding).chain(inclines).chain(others).collect()
}

fn overlaps(desk: &Desk, ui: &mut Ui, marker: &Marker, acts: &mut Vec<Act>) {
    let scene = desk.scene();
    let its = scene.overlaps.iter().filter(|o| o.front == marker.id || o.behind == marker.id);
    for overlap in its {
        let thing = Thing::Of(Subject::Overlap(overlap.id));
        let text = RichText::new(thing.name(scene)).weak();
        if ui.add(egui::Button::new(text).frame(false)).clicked() {
            acts.push(Act::Select(Some(thing)));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_scene::MarkerId;
    use staffage_solver::Eye;

    #[test]
    fn a_thing_drawn_from_head_to_feet_is_upside_down() {
        let scene = Scene::default();
        let horizon = Eye::default().horizon();
        let marker = |foot: f64, head: f64, span| Marker {
            id: MarkerId(1),
            name: "foreman".into(),
            foot: DVec2::new(0.0, foot),
            head: DVec2::new(0.0, head),
            span,
            stands: Stands::On(scene.levels[0].id),
            statements: Vec::new(),
        };
        let is_so = |foot, head, span| is_upside_down(&marker(foot, head, span), &scene, horizon);
        assert!(is_so(-0.1, 0.1, Span::Upright));
        assert!(is_so(0.1, 0.2, Span::Upright));
        assert!(!is_so(0.1, -0.1, Span::Upright));
        assert!(!is_so(-0.1, -0.2, Span::Upright), "beyond the horizon either way");
        assert!(is_so(-0.1, 0.1, Span::Facing));
        assert!(!is_so(0.1, 0.2, Span::Facing));
    }
}
