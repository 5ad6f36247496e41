//! What is painted on the canvas, for screen readers and tests.

use crate::actions::act::Act;
use crate::alternatives::comparing::Comparing;
use crate::canvas::crosshair;
use crate::canvas::hit::segment;
use crate::desk::Desk;
use crate::eye::eye_hit;
use crate::sentences;
use crate::thing::{Thing, in_order};
use egui::accesskit::{Action, Live};
use egui::{Id, Rect, Response, Role, Sense, Ui, UiBuilder, WidgetInfo};
use staffage_scene::{Assessment, Scene, Segment, Subject};
use std::sync::Arc;

/// Smallest side of a node, points.
const LEAST: f32 = 12.0;

/// What is said of the things in a scene.
pub(crate) struct Nodes {
    scene: Arc<Scene>,
    nodes: Vec<Node>,
}

/// What is said of one thing.
struct Node {
    thing: Thing,
    /// The picture positions it stretches between; the eye's things move with the view.
    segment: Option<Segment>,
    name: String,
    description: String,
}

impl Nodes {
    fn of(scene: &Arc<Scene>, assessment: &Assessment) -> Self {
        let node = |thing| {
            let segment = segment(scene, thing);
            (segment.is_some() || thing.is_of_eye()).then(|| Node {
                thing,
                segment,
                name: thing.name(scene),
                description: sentences::description(thing, scene, assessment),
            })
        };
        let nodes = in_order(scene, assessment).into_iter().filter_map(node).collect();
        Self { scene: Arc::clone(scene), nodes }
    }
}

/// Gives every marker and line, the horizon and the vanishing points a node with a stable id; its action is to select the thing.
pub(crate) fn put(desk: &mut Desk, ui: &mut Ui, canvas: &Response) {
    // Nobody listens: nothing is to be said.
    if ui.accesskit_node_builder(canvas.id, |_| ()).is_none() {
        return;
    }
    let scene = desk.history.present();
    let nodes = desk.nodes.take().filter(|nodes| Arc::ptr_eq(&nodes.scene, scene));
    let nodes = nodes.unwrap_or_else(|| Nodes::of(scene, desk.assessment()));
    let ui = child(ui, canvas, desk.canvas, "Things in the painting");
    let mut chosen = None;
    for node in &nodes.nodes {
        let rect = node.on_screen(desk, desk.canvas);
        let rect = rect.or_else(|| eye_hit::extent(desk, node.thing));
        let selected = desk.selection.has(node.thing);
        if put_one(&ui, rect, node_id(node.thing), node, &node.name, selected) {
            chosen = Some(node.thing);
        }
    }
    if chosen.is_some() {
        desk.act(ui.ctx(), Act::Select(chosen));
    }
    desk.nodes = Some(nodes);
    put_crosshair(desk, &ui);
}

/// Where the keys draw, read out as it moves.
fn put_crosshair(desk: &Desk, ui: &Ui) {
    let (Some(at), Some(words)) = (desk.crosshair_at(), crosshair::words(desk)) else { return };
    let id = Id::unique("canvas crosshair");
    let rect = Rect::from_center_size(at, egui::Vec2::splat(2.0 * LEAST));
    let response = ui.interact(rect, id, Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, "Crosshair"));
    ui.accesskit_node_builder(id, |said| {
        said.set_description(words.as_str());
        said.set_live(Live::Polite);
    });
}

/// The same for what is in the other alternative alone or otherwise; the thing that a screen reader
/// asked to select.
pub(crate) fn put_compared(
    desk: &Desk,
    comparing: &mut Comparing,
    ui: &mut Ui,
    canvas: &Response,
    place: Rect,
) -> Option<Thing> {
    ui.accesskit_node_builder(canvas.id, |_| ())?;
    let there = &comparing.scene;
    let nodes = comparing.nodes.take();
    let nodes = nodes.unwrap_or_else(|| Nodes::of(there, comparing.assessed.assessment()));
    let alternative = there.alternative_shown().map_or("", |a| &a.name);
    let ui = child(ui, canvas, place, "Things in the other alternative");
    let mut chosen = None;
    for node in nodes.nodes.iter().filter(|node| is_of_alternative(node.thing)) {
        let name = format!("{} in {alternative}", node.name);
        let id = node_id(node.thing).with("compared");
        let selected = comparing.has_selected(desk, node.thing);
        if put_one(&ui, node.on_screen(desk, place), id, node, &name, selected) {
            chosen = Some(node.thing);
        }
    }
    comparing.nodes = Some(nodes);
    chosen
}

fn is_of_alternative(thing: Thing) -> bool {
    matches!(thing, Thing::Of(Subject::Marker(_) | Subject::StandIn(_) | Subject::Overlap(_)))
}

fn child(ui: &mut Ui, canvas: &Response, place: Rect, label: &str) -> Ui {
    let builder =
        UiBuilder::new().max_rect(place).accessibility_parent(canvas.id).accessibility_label(label);
    ui.new_child(builder)
}

impl Node {
    /// Where it is on a canvas.
    fn on_screen(&self, desk: &Desk, canvas: Rect) -> Option<Rect> {
        let Segment(a, b) = self.segment?;
        let [a, b] = desk.view.segment(canvas, a, b)?;
        Some(Rect::from_two_pos(a, b))
    }
}

/// Whether a screen reader asked to select the thing.
fn put_one(ui: &Ui, rect: Option<Rect>, id: Id, node: &Node, name: &str, selected: bool) -> bool {
    let Some(rect) = rect else { return false };
    let rect = Rect::from_center_size(rect.center(), rect.size().max(egui::Vec2::splat(LEAST)));
    let response = ui.interact(rect, id, Sense::hover());
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, selected, name));
    ui.accesskit_node_builder(id, |said| {
        said.set_description(node.description.as_str());
        said.add_action(Action::Click);
    });
    ui.input(|i| i.has_accesskit_action_request(id, Action::Click))
}

fn node_id(thing: Thing) -> Id {
    match thing {
        Thing::Horizon => Id::unique("canvas horizon"),
        Thing::EyeLevel => Id::unique("canvas eye level"),
        Thing::VanishingPoint(family) => Id::unique(("canvas vanishing point", family)),
        Thing::Of(Subject::Line(id)) => Id::unique(("canvas line", id.0)),
        Thing::Of(Subject::Marker(id)) => Id::unique(("canvas marker", id.0)),
        Thing::Of(Subject::Level(id)) => Id::unique(("canvas level", id.0)),
        Thing::Of(Subject::Overlap(id)) => Id::unique(("canvas overlap", id.0)),
        Thing::Of(Subject::StandIn(id)) => Id::unique(("canvas stand-in", id.0)),
        Thing::Of(Subject::Guide(id)) => Id::unique(("canvas guide", id.0)),
    }
}
