//! The pictures of two alternatives that are compared: the shared painting, and on each what is its own.

use crate::actions::act::Act;
use crate::alternatives::AlternativeAct;
use crate::alternatives::comparing::Comparing;
use crate::canvas::canvas_nodes;
use crate::canvas::hit::Pointing;
use crate::canvas::ink::Placing;
use crate::canvas::stand_in_hit::{self, Ghosts};
use crate::canvas::{self, Drawn};
use crate::desk::Desk;
use crate::thing::Thing;
use egui::{Id, Pos2, Rect, Response, Role, Sense, Ui, WidgetInfo};
use staffage_drawing::Emphasis;
use staffage_scene::{Scene, Subject};
use std::sync::Arc;

/// Points of wheel movement that enlarge e times.
const WHEEL_PER_E: f32 = 400.0;

/// Both pictures, each in its place.
pub(crate) fn show_pair(
    desk: &mut Desk,
    comparing: &mut Comparing,
    ui: &mut Ui,
    places: [Rect; 2],
    acts: &mut Vec<Act>,
) {
    canvas::place(desk, ui, places[0]);
    let scene = Arc::clone(desk.history.present());
    let responses = [0, 1].map(|side| {
        let of = if side == 0 { &scene } else { &comparing.scene };
        let response = ui.interact(
            places[side],
            Id::unique(("compared picture", side)),
            Sense::CLICK | Sense::DRAG,
        );
        response.widget_info(|| {
            WidgetInfo::labeled(Role::Canvas, true, format!("Painting with {}", shown_name(of)))
        });
        response
    });
    let before = (desk.view, desk.hovered, comparing.hovered);
    for (response, place) in responses.iter().zip(places) {
        navigate(desk, ui, response, place);
    }
    point(desk, comparing, places, &responses, acts);
    if before != (desk.view, desk.hovered, comparing.hovered) {
        // The rows light it up too.
        ui.request_repaint();
    }
    paint(desk, comparing, ui, places);
    canvas_nodes::put(desk, ui, &responses[0]);
    if let Some(there) = canvas_nodes::put_compared(desk, comparing, ui, &responses[1], places[1]) {
        let here = comparing.counterpart(there);
        acts.push(selected(here, Some(there)));
    }
}

fn shown_name(scene: &Scene) -> &str {
    scene.alternative_shown().map_or("", |a| &a.name)
}

fn selected(here: Option<Thing>, there: Option<Thing>) -> Act {
    Act::Alternative(AlternativeAct::SelectCompared { here, there })
}

fn navigate(desk: &mut Desk, ui: &Ui, response: &Response, place: Rect) {
    if let Some(at) = response.hover_pos() {
        let at = at - (place.min - desk.canvas.min);
        let (zoom, scroll) = ui.input(|i| (i.zoom_delta(), i.smooth_scroll_delta()));
        let factor = zoom * (scroll.y / WHEEL_PER_E).exp();
        if factor != 1.0 {
            desk.view = desk.view.zoomed(desk.canvas, at, f64::from(factor));
        }
    }
    if response.dragged() {
        desk.view = desk.view.panned(response.drag_delta());
    }
}

/// What the pointer is on, and what a click there selects.
fn point(
    desk: &mut Desk,
    comparing: &mut Comparing,
    places: [Rect; 2],
    responses: &[Response; 2],
    acts: &mut Vec<Act>,
) {
    let here = responses[0].hover_pos().and_then(|at| thing_here(desk, at));
    let there = responses[1].hover_pos().and_then(|at| thing_there(desk, comparing, places[1], at));
    if responses[0].clicked() {
        acts.push(selected(here, here));
    }
    if responses[1].clicked() {
        acts.push(selected(there.and_then(|thing| comparing.counterpart(thing)), there));
    }
    desk.hovered = here.or_else(|| there.and_then(|thing| comparing.counterpart(thing)));
    comparing.hovered = there.or(here);
}

fn thing_here(desk: &Desk, at: Pos2) -> Option<Thing> {
    let grip = desk.pointing().grip(at).map(|grip| grip.thing);
    grip.or_else(|| stand_in_hit::under(desk, at).map(|id| Thing::Of(Subject::StandIn(id))))
}

fn thing_there(desk: &Desk, comparing: &Comparing, canvas: Rect, at: Pos2) -> Option<Thing> {
    let ink = comparing.drawn.as_ref().map(Drawn::drawing);
    let (scene, view) = (&*comparing.scene, desk.view);
    let pointing = Pointing { scene, view, canvas, selected: None, in_hand: None, ink };
    let ghosts = Ghosts { scene, assessed: &comparing.assessed, view, canvas };
    let stand_in = || ghosts.under(at).map(|id| Thing::Of(Subject::StandIn(id)));
    pointing.grip(at).map(|grip| grip.thing).or_else(stand_in)
}

fn paint(desk: &mut Desk, comparing: &mut Comparing, ui: &Ui, places: [Rect; 2]) {
    let dark = ui.visuals().dark_mode;
    for place in places {
        canvas::paint_ground(desk, &ui.painter().with_clip_rect(place), place, dark);
    }
    if !desk.remembered.ink {
        return;
    }
    desk.redraw_with(Emphasis { quiet: true, ..desk.emphasis() });
    let emphasis = emphasis(desk, comparing);
    let view = desk.view.visible(places[1]);
    let scene = &comparing.scene;
    comparing.drawn = Some(match comparing.drawn.take() {
        Some(drawn) if drawn.is_of(scene, &view, &emphasis) => drawn,
        _ => {
            desk.inkings += 1;
            Drawn::of(scene, comparing.assessed.assessment(), view, emphasis)
        }
    });
    for (drawn, place) in [&mut desk.drawn, &mut comparing.drawn].into_iter().zip(places) {
        if let Some(drawn) = drawn {
            let painter = ui.painter().with_clip_rect(place);
            drawn.paint(Placing::Picture(desk.view, place), &painter, &mut desk.brushes);
        }
    }
}

/// What the picture of the other one brings out.
fn emphasis(desk: &Desk, comparing: &Comparing) -> Emphasis {
    let selected = desk.selection.iter().chain(comparing.selected_there(desk));
    Emphasis {
        selected: selected.filter_map(Thing::subject).collect(),
        hovered: comparing.hovered.and_then(Thing::subject),
        quiet: true,
        ..desk.emphasis()
    }
}
