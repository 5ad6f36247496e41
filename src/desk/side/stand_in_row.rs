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
    let kind = kind(units, stand_in, placement);
    if kind.is_empty() {
        ledger::elided(ui, line(y), name, &body, ink);
    } else {
        ledger::elided(ui, line(y - NUMBER_UP), name, &body, ink);
        ledger::elided(ui, line(y + SPREAD_DOWN), &kind, &small, weak);
    }
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

/// What it is where its name does not say so, how many, and its sizes where the longest is not all: "12 figures",
/// "box, 10.0 m × 252 m × 30.0 m".
fn kind(units: Units, stand_in: &StandIn, placement: Option<&Placement>) -> String {
    let word = stand_in.shape.word();
    let what = match placement.map_or(stand_in.arranged.count() as usize, |p| p.each.len()) {
        1 if stand_in.name == word => String::new(),
        1 => word.into(),
        many if word == "box" => format!("{many} boxes"),
        many => format!("{many} {word}s"),
    };
    let sizes = stand_in.shape.sizes();
    let told = sizes.iter().map(|(_, metres)| units.metres(*metres)).collect::<Vec<_>>();
    let sizes = if told.len() > 1 { told.join(" × ") } else { String::new() };
    let said: Vec<_> = [what, sizes].into_iter().filter(|part| !part.is_empty()).collect();
    said.join(", ")
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

#[cfg(test)]
mod tests {
    use super::*;
    use glam::DVec2;
    use staffage_scene::{Arranged, LevelId, Shape};

    #[test]
    fn what_a_stand_in_is_says_what_its_name_does_not() {
        let said = |name: &str, shape, arranged| {
            let stand_in = StandIn {
                id: StandInId(1),
                name: name.into(),
                shape,
                level: LevelId(1),
                foot: DVec2::ZERO,
                turn: 0.0,
                along: None,
                lift: 0.0,
                arranged,
            };
            kind(Units::Metric, &stand_in, None)
        };
        let hull = Shape::Box { width: 10.0, depth: 252.0, height: 30.0 };
        let figure = Shape::Figure { height: 1.7 };
        assert_eq!(said("ferry", hull, Arranged::Alone), "box, 10.0 m × 252 m × 30.0 m");
        assert_eq!(said("box", hull, Arranged::Alone), "10.0 m × 252 m × 30.0 m");
        assert_eq!(said("adult", figure, Arranged::Alone), "figure");
        let row = Arranged::Row { to: DVec2::X, count: 12 };
        assert_eq!(said("adult", figure, row), "12 figures");
        assert_eq!(said("figure", figure, Arranged::Alone), "");
    }
}
