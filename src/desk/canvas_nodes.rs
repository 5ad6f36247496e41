//! What is painted on the canvas, for screen readers and tests.

use crate::act::Act;
use crate::desk::Desk;
use crate::hit::segment;
use crate::sentences;
use crate::thing::{Thing, in_order};
use egui::accesskit::Action;
use egui::{Id, Rect, Response, Role, Sense, Ui, UiBuilder, WidgetInfo};
use staffage_scene::{Segment, Subject};

/// Smallest side of a node, points.
const LEAST: f32 = 12.0;

/// Gives every marker and line a node with a stable id; its action is to select the thing.
pub(crate) fn put(desk: &mut Desk, ui: &mut Ui, canvas: &Response) {
    // Nobody listens: nothing is to be said.
    if ui.accesskit_node_builder(canvas.id, |_| ()).is_none() {
        return;
    }
    let builder = UiBuilder::new()
        .max_rect(desk.canvas)
        .accessibility_parent(canvas.id)
        .accessibility_label("Things in the painting");
    let ui = ui.new_child(builder);
    let mut chosen = None;
    for thing in in_order(desk.scene(), desk.assessment()) {
        let Some(Segment(a, b)) = segment(desk.scene(), thing) else { continue };
        let place = |at| desk.view.to_screen(desk.canvas, at);
        let rect = Rect::from_two_pos(place(a), place(b));
        let rect = Rect::from_center_size(rect.center(), rect.size().max(egui::Vec2::splat(LEAST)));
        let id = node_id(thing);
        let response = ui.interact(rect, id, Sense::hover());
        let (selected, name) = (desk.selected == Some(thing), thing.name(desk.scene()));
        response.widget_info(|| WidgetInfo::selected(Role::Button, true, selected, &name));
        ui.accesskit_node_builder(id, |node| {
            node.set_description(sentences::description(thing, desk.scene(), desk.assessment()));
            node.add_action(Action::Click);
        });
        if ui.input(|i| i.has_accesskit_action_request(id, Action::Click)) {
            chosen = Some(thing);
        }
    }
    if let Some(thing) = chosen {
        desk.act(ui.ctx(), Act::Select(Some(thing)));
    }
}

fn node_id(thing: Thing) -> Id {
    match thing {
        Thing::Horizon => Id::unique("canvas horizon"),
        Thing::Of(Subject::Line(id)) => Id::unique(("canvas line", id.0)),
        Thing::Of(Subject::Marker(id)) => Id::unique(("canvas marker", id.0)),
        Thing::Of(Subject::Level(id)) => Id::unique(("canvas level", id.0)),
        Thing::Of(Subject::Overlap(id)) => Id::unique(("canvas overlap", id.0)),
    }
}
