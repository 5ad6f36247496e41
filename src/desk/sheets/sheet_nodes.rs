//! What is on the section and the plan, for screen readers and tests.

use crate::actions::act::Act;
use crate::desk::Desk;
use crate::sentences;
use crate::sheets::sheet::{Kind, Sheet};
use crate::thing::Thing;
use egui::accesskit::Action;
use egui::{Id, Rect, Response, Role, Sense, Ui, UiBuilder, Vec2, WidgetInfo, vec2};
use staffage_drawing::Place;
use staffage_scene::{Assessment, Scene, Subject};

/// Smallest side of a node, points.
const LEAST: f32 = 10.0;

/// Gives every level and marker on a sheet a node with a stable id; its action is to select the thing.
pub(crate) fn put(
    desk: &mut Desk,
    ui: &mut Ui,
    kind: Kind,
    canvas: &Response,
    rect: Rect,
    acts: &mut Vec<Act>,
) {
    // Nobody listens: nothing is to be said.
    if ui.accesskit_node_builder(canvas.id, |_| ()).is_none() {
        return;
    }
    let said = desk
        .on_sheets
        .of(kind)
        .filter(|s| s.said.is_none())
        .map(|sheet| said(sheet, kind, desk.scene(), desk.assessment()));
    let sheets = &mut desk.on_sheets;
    let slot = match kind {
        Kind::Section => &mut sheets.section,
        Kind::Plan => &mut sheets.plan,
    };
    let Some(sheet) = slot else { return };
    if said.is_some() {
        sheet.said = said;
    }
    let builder = UiBuilder::new()
        .max_rect(rect)
        .accessibility_parent(canvas.id)
        .accessibility_label(format!("Things in the {}", kind.word().to_lowercase()));
    let ui = ui.new_child(builder);
    for (place, (name, description)) in sheet.places.iter().zip(sheet.said.iter().flatten()) {
        let thing = Thing::Of(place.about);
        let id = node_id(kind, place.about);
        let response = ui.interact(extent(place, rect), id, Sense::hover());
        let is_selected = desk.selection.has(thing);
        response.widget_info(|| WidgetInfo::selected(Role::Button, true, is_selected, name));
        ui.accesskit_node_builder(id, |node| {
            node.set_description(description.as_str());
            node.add_action(Action::Click);
        });
        if ui.input(|i| i.has_accesskit_action_request(id, Action::Click)) {
            acts.push(Act::Select(Some(thing)));
        }
    }
}

fn said(
    sheet: &Sheet,
    kind: Kind,
    scene: &Scene,
    assessment: &Assessment,
) -> Vec<(String, String)> {
    let said = sheet.places.iter().map(|place| {
        let thing = Thing::Of(place.about);
        let name = format!("{} in the {}", thing.name(scene), kind.word().to_lowercase());
        (name, sentences::description(thing, scene, assessment))
    });
    said.collect()
}

/// All that a thing covers; a level's left end.
fn extent(place: &Place, rect: Rect) -> Rect {
    let on_screen = |at: glam::DVec2| rect.min + vec2(at.x as f32, at.y as f32);
    let [least, most] = match place.about {
        Subject::Level(_) => [place.foot, place.foot + glam::DVec2::new(30.0, 0.0)],
        _ => place.extent,
    };
    let extent = Rect::from_two_pos(on_screen(least), on_screen(most));
    Rect::from_center_size(extent.center(), extent.size().max(Vec2::splat(LEAST)))
}

fn node_id(kind: Kind, about: Subject) -> Id {
    match about {
        Subject::Line(id) => Id::unique((kind.word(), "line", id.0)),
        Subject::Marker(id) => Id::unique((kind.word(), "marker", id.0)),
        Subject::Level(id) => Id::unique((kind.word(), "level", id.0)),
        Subject::Overlap(id) => Id::unique((kind.word(), "overlap", id.0)),
        Subject::StandIn(id) => Id::unique((kind.word(), "stand-in", id.0)),
        Subject::Guide(id) => Id::unique((kind.word(), "guide", id.0)),
    }
}
