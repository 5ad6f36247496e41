//! A stand-in in the ledger: what it is, how far off and how large, told apart from what is measured by its mark
//! and its word.

use crate::actions::act::Act;
use crate::actions::acts::sentence;
use crate::desk::Desk;
use crate::side::ledger::{self, Columns, NUMBER_UP, SPREAD_DOWN};
use crate::thing::Thing;
use egui::{
    Color32, Id, Pos2, Rect, Role, Sense, Stroke, StrokeKind, TextStyle, Ui, WidgetInfo, pos2, vec2,
};
use staffage_scene::{Placement, StandIn, StandInId, Subject, Units, reach_words, stand_in_words};
use std::sync::Arc;

/// What it is called where a marker's standing is.
const WORD: &str = "stand-in";

pub(crate) fn show(
    desk: &mut Desk,
    ui: &mut Ui,
    id: StandInId,
    columns: &Columns,
    acts: &mut Vec<Act>,
) {
    let scene = Arc::clone(desk.history.present());
    let Some(stand_in) = scene.stand_in(id) else { return };
    let thing = Thing::Of(Subject::StandIn(id));
    let (_, rect) = ui.allocate_space(vec2(ui.available_width(), ledger::ROW));
    let response = ui.interact(rect, Id::unique(("stand-in row", id.0)), Sense::click());
    let (name, selected) = (thing.name(&scene), desk.selection.has(thing));
    response.widget_info(|| {
        WidgetInfo::selected(Role::Button, true, selected, format!("Ledger row {name}"))
    });
    let said = stand_in_words(stand_in, &scene, desk.assessment());
    ui.accesskit_node_builder(response.id, |node| {
        node.set_description(format!("{said}, {WORD}"));
    });
    ledger::paint_ground(desk, ui, rect, &response, thing);
    cells(desk, ui, rect, stand_in, columns);
    ledger::respond(desk, ui, &response, thing, acts);
    response.on_hover_text(format!(
        "{name}\n{}\nA stand-in to paint over: it measures nothing. Once it is painted, mark it.",
        sentence(&said)
    ));
}

fn cells(desk: &Desk, ui: &Ui, rect: Rect, stand_in: &StandIn, columns: &Columns) {
    let (ink, weak) = (ui.visuals().text_color(), ui.visuals().weak_text_color());
    let units = desk.units();
    let placed = desk.placed(stand_in);
    let placement = placed.as_ref().as_ref().ok();
    let y = rect.center().y;
    let line = |middle: f32| {
        Rect::from_center_size(
            pos2(rect.left() + 0.5 * (columns.what.0 + columns.what.1), middle),
            vec2(columns.what.1 - columns.what.0, 0.5 * rect.height()),
        )
    };
    let [body, small] = [TextStyle::Body, TextStyle::Small].map(|style| style.resolve(ui.style()));
    let name = desk.scene().stand_in(stand_in.id).map_or("", |s| &s.name);
    ledger::elided(ui, line(y - NUMBER_UP), name, &body, ink);
    ledger::elided(ui, line(y + SPREAD_DOWN), &kind(stand_in, placement), &small, weak);
    let far = pos2(rect.left() + columns.far, y);
    let (over, under) = match placement {
        Some(placement) => reach(units, placement),
        None => ("–".into(), String::new()),
    };
    two_lines(ui, far, &over, &under, ink);
    let (side, metres) = stand_in.shape.longest();
    let big = pos2(rect.left() + columns.big, y);
    two_lines(ui, big, &units.metres(metres), side, ink);
    mark(ui, pos2(rect.left() + columns.standing + 7.0, y), ink);
    if columns.standing_width > 40.0 {
        let at = pos2(rect.left() + columns.standing + 18.0, y);
        ui.painter().text(at, egui::Align2::LEFT_CENTER, WORD, body, weak);
    }
}

/// "box", "12 figures".
fn kind(stand_in: &StandIn, placement: Option<&Placement>) -> String {
    let word = stand_in.shape.word();
    match placement.map_or(stand_in.arranged.count() as usize, |p| p.each.len()) {
        1 => word.into(),
        many if word == "box" => format!("{many} boxes"),
        many => format!("{many} {word}s"),
    }
}

/// The nearest point, and under it the farthest where that is farther as it is told.
fn reach(units: Units, placement: &Placement) -> (String, String) {
    let words = reach_words(units, placement.reach());
    let words = words.trim_start_matches("from ").trim_end_matches(" off");
    match words.split_once(" to ") {
        Some((near, far)) => (near.into(), format!("to {far}")),
        None => (words.into(), String::new()),
    }
}

fn two_lines(ui: &Ui, at: Pos2, over: &str, under: &str, ink: Color32) {
    if under.is_empty() {
        ledger::put(ui, at, over, &TextStyle::Body, ink);
        return;
    }
    ledger::put(ui, at - vec2(0.0, NUMBER_UP), over, &TextStyle::Body, ink);
    let weak = ui.visuals().weak_text_color();
    ledger::put(ui, at + vec2(0.0, SPREAD_DOWN), under, &TextStyle::Small, weak);
}

/// A ghost: a faint body with a blue edge.
fn mark(ui: &Ui, at: Pos2, ink: Color32) {
    let edge = if ui.visuals().dark_mode {
        Color32::from_rgb(0x8c, 0xc4, 0xec)
    } else {
        Color32::from_rgb(0x1c, 0x6e, 0xa4)
    };
    let body = Rect::from_center_size(at, vec2(7.0, 12.0));
    ui.painter().rect(
        body,
        2,
        ink.gamma_multiply(0.12),
        Stroke::new(1.25, edge),
        StrokeKind::Middle,
    );
}
