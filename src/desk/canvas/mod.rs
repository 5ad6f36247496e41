//! The room: the painting, what is drawn over it, and the gestures made on it.

pub(crate) mod band;
pub(crate) mod brushes;
pub(crate) mod canvas_nodes;
pub(crate) mod canvas_notes;
pub(crate) mod crosshair;
pub(crate) mod first_steps;
pub(crate) mod gesture;
pub(crate) mod hit;
pub(crate) mod ink;
pub(crate) mod laid_ink;
pub(crate) mod loupe;
pub(crate) mod preview;
pub(crate) mod run_hint;
pub(crate) mod snap;
pub(crate) mod stand_in_hit;
pub(crate) mod turning;
pub(crate) mod view;

use crate::actions::act::{Act, Traced};
use crate::canvas::brushes::Brushes;
use crate::canvas::gesture::Gesture;
use crate::canvas::hit::{HANDLE, Part, Pointing, position, segment};
use crate::canvas::ink::Placing;
use crate::canvas::laid_ink::LaidInk;
use crate::canvas::view::frame_corners;
use crate::desk::Desk;
use crate::modes::mode::Mode;
use crate::painting::Painted;
use crate::thing::Thing;
use crate::{
    actions::things_menu,
    eye::{eye_handles, eye_hit, eye_pull},
    modes::{guide_mode, line_mode, look_mode, mark_mode, overlap_mode, stand_in_mode},
    painting::reframe,
    properties::tying,
    theme,
};
use egui::{
    CursorIcon, Key, Painter, PointerButton, Pos2, Rect, Response, Role, Sense, Shape, Stroke, Ui,
    WidgetInfo,
};
use glam::DVec2;
use staffage_drawing::{Drawing, Emphasis, draw, safe_lines};
use staffage_scene::{Assessment, Family, Placement, Scene, StandIn, Subject, Unplaced};
use std::sync::Arc;

/// Points of wheel movement that enlarge e times.
const WHEEL_PER_E: f32 = 400.0;

/// What the pointer does on the canvas in this frame.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Pointer {
    /// Where it is, if it is over the canvas or was pressed there.
    pub(crate) at: Option<Pos2>,
    /// Where it was pressed, in the frame in which that turns out to be a drag.
    pub(crate) drag_started: Option<Pos2>,
    /// It is being dragged, and has moved since the last frame.
    pub(crate) dragged: bool,
    /// A drag has ended.
    pub(crate) released: bool,
    /// It was clicked without being dragged.
    pub(crate) clicked: bool,
    /// It was clicked twice.
    pub(crate) double_clicked: bool,
    /// Shift is down.
    pub(crate) shift: bool,
    /// Ctrl is down: ends catch at nothing.
    pub(crate) free: bool,
}

impl Pointer {
    fn of(ui: &Ui, response: &Response) -> Self {
        let primary = PointerButton::Primary;
        let started = response.drag_started_by(primary);
        let moved = ui.input(|i| i.pointer.delta() != egui::Vec2::ZERO);
        Self {
            at: response.interact_pointer_pos().or_else(|| response.hover_pos()),
            drag_started: ui.input(|i| i.pointer.press_origin()).filter(|_| started),
            dragged: response.dragged_by(primary) && (moved || started),
            released: response.drag_stopped_by(primary),
            clicked: response.clicked_by(primary),
            double_clicked: response.double_clicked_by(primary),
            shift: ui.input(|i| i.modifiers.shift),
            free: ui.input(|i| i.modifiers.command),
        }
    }
}

/// A drawing and what it was made from.
pub(crate) struct Drawn {
    scene: Arc<Scene>,
    view: staffage_drawing::View,
    emphasis: Emphasis,
    drawing: Drawing,
    /// As it lies on the screen.
    laid: Option<LaidInk>,
}

impl Drawn {
    pub(crate) fn of(
        scene: &Arc<Scene>,
        assessment: &Assessment,
        view: staffage_drawing::View,
        emphasis: Emphasis,
    ) -> Self {
        let drawing = draw(scene, assessment, &view, &emphasis);
        Self { scene: Arc::clone(scene), view, emphasis, drawing, laid: None }
    }

    /// Whether it was made from these.
    pub(crate) fn is_of(
        &self,
        scene: &Arc<Scene>,
        view: &staffage_drawing::View,
        emphasis: &Emphasis,
    ) -> bool {
        Arc::ptr_eq(&self.scene, scene) && self.view == *view && self.emphasis == *emphasis
    }

    pub(crate) fn drawing(&self) -> &Drawing {
        &self.drawing
    }

    /// Puts it on the screen.
    pub(crate) fn paint(&mut self, placing: Placing, painter: &Painter, brushes: &mut Brushes) {
        LaidInk::keep(&mut self.laid, &self.drawing, placing, painter, brushes);
    }
}

impl Desk {
    /// The picture as the pointer sees it.
    pub(crate) fn pointing(&self) -> Pointing<'_> {
        let (view, canvas) = (self.view, self.canvas);
        let (scene, selected) = (self.history.present(), self.selection.single());
        let ink = self.drawn.as_ref().map(Drawn::drawing);
        Pointing { scene, view, canvas, selected, in_hand: self.selection.in_hand(), ink }
    }

    /// Where a stand-in of the scene stands.
    pub(crate) fn placed(&self, stand_in: &StandIn) -> Arc<Result<Placement, Unplaced>> {
        self.assessed.placed(stand_in)
    }

    /// Where a screen point lies in the picture.
    pub(crate) fn picture_point(&self, at: Pos2) -> DVec2 {
        self.view.to_picture(self.canvas, at)
    }

    /// Makes the drawing again if anything that it shows has changed.
    pub(crate) fn redraw(&mut self) {
        self.redraw_with(self.emphasis());
    }

    /// The same with this brought out.
    pub(crate) fn redraw_with(&mut self, emphasis: Emphasis) {
        let (scene, view) = (self.history.present(), self.view.visible(self.canvas));
        if !self.drawn.as_ref().is_some_and(|drawn| drawn.is_of(scene, &view, &emphasis)) {
            self.inkings += 1;
            self.drawn = Some(Drawn::of(scene, self.assessed.assessment(), view, emphasis));
        }
    }

    pub(crate) fn emphasis(&self) -> Emphasis {
        Emphasis {
            quiet: false,
            selected: self.selection.iter().filter_map(Thing::subject).collect(),
            hovered: self.hovered.and_then(Thing::subject),
            involved: self.highlighted().collect(),
            aids: self.aids(),
            spreads: self.spreads(),
        }
    }

    /// The families whose vanishing points are looked at: all with the eye, else those of the lines
    /// that are pointed at, selected or about to be traced.
    fn spreads(&self) -> Vec<Family> {
        if self.remembered.spread || self.eye_looked_at {
            return self.assessment().eye.families.iter().map(|f| f.family).collect();
        }
        let things = self.selection.iter().chain(self.hovered);
        let lines = things.filter_map(|thing| match thing {
            Thing::Of(Subject::Line(id)) => self.scene().line(id).map(|line| line.family),
            _ => None,
        });
        let traced = match self.tools.traced {
            Traced::Family(family) if self.mode == Mode::Line => Some(family),
            _ => None,
        };
        lines.chain(traced).collect()
    }
}

/// The canvas, in all the room that is left.
pub(crate) fn show(desk: &mut Desk, ui: &mut Ui) {
    let rect = ui.available_rect_before_wrap();
    let sense = Sense::CLICK | Sense::DRAG;
    // The wall's edge and the section's are taken hold of from this side, too.
    let grip = ui.style().interaction.resize_grab_radius_side;
    let free = rect.with_max_x(rect.right() - grip);
    let response = ui.interact(free, egui::Id::unique("canvas"), sense);
    ui.advance_cursor_after_rect(rect);
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "Painting"));
    let before = desk.view;
    place(desk, ui, rect);
    navigate(desk, ui, &response);
    let mut acts = gestures(desk, ui, &response);
    acts.extend(things_menu::context_menu(desk, &response));
    let acted = !acts.is_empty();
    for act in acts {
        desk.act(ui.ctx(), act);
    }
    if acted || desk.view != before {
        // The furniture was laid out before the gesture was understood or the view had moved.
        ui.ctx().request_repaint();
    }
    let painter = ui.painter().with_clip_rect(rect);
    paint(desk, &painter, ui.visuals().dark_mode);
    canvas_nodes::put(desk, ui, &response);
    canvas_notes::show(desk, ui, &response);
}

/// Follows the canvas's size and what turns the view, and fits the frame when that was asked for.
pub(crate) fn place(desk: &mut Desk, ui: &Ui, rect: Rect) {
    let frame = desk.scene().frame;
    let resized = desk.canvas.size() != rect.size();
    let was_fitted = desk.view == desk.view.fitted(frame, desk.canvas);
    desk.canvas = rect;
    turning::follow(desk, ui);
    let fits = desk.fit_wanted || (resized && was_fitted);
    if fits {
        desk.view = reframe::fitted(desk, rect).unwrap_or_else(|| desk.view.fitted(frame, rect));
        desk.fit_wanted = false;
    }
    desk.view = desk.view.kept_near(frame, rect);
    if let Painted::There(tiles) = &desk.painting {
        desk.view = desk.view.aligned(rect, tiles.size(), ui.pixels_per_point());
    }
    if fits {
        reframe::was_fitted(desk);
    }
}

fn navigate(desk: &mut Desk, ui: &Ui, response: &Response) {
    let lens =
        eye_pull::scroll_lens(desk, ui, response.hovered()) || guide_mode::scroll_count(desk, ui);
    if let Some(at) = response.hover_pos().filter(|_| !lens) {
        let (zoom, scroll) = ui.input(|i| (i.zoom_delta(), i.smooth_scroll_delta()));
        let factor = zoom * (scroll.y / WHEEL_PER_E).exp();
        if factor != 1.0 {
            desk.view = desk.view.zoomed(desk.canvas, at, f64::from(factor));
        }
        if scroll.x != 0.0 {
            desk.view = desk.view.panned(egui::vec2(scroll.x, 0.0));
        }
    }
    let space = ui.input(|i| i.key_down(Key::Space)) && !ui.text_edit_focused();
    if space && response.drag_started_by(PointerButton::Primary) {
        let turn = ui.input(|i| i.modifiers.shift);
        desk.gesture = if turn { Gesture::Turn } else { Gesture::Pan };
    }
    if turning::drag(desk, ui, response) {
        return;
    }
    let panning = desk.gesture == Gesture::Pan && response.dragged_by(PointerButton::Primary);
    if panning || response.dragged_by(PointerButton::Middle) {
        desk.view = desk.view.panned(response.drag_delta());
    }
}

fn gestures(desk: &mut Desk, ui: &Ui, response: &Response) -> Vec<Act> {
    let crossing = crosshair::pointer(desk, ui, response);
    let pointer = crossing.unwrap_or_else(|| Pointer::of(ui, response));
    if desk.gesture == Gesture::Idle || pointer.dragged {
        desk.snap = None;
    }
    if pointer.drag_started.is_some() || pointer.clicked {
        // A click on the canvas ends typing elsewhere.
        ui.memory_mut(|m| m.focused().into_iter().for_each(|id| m.surrender_focus(id)));
    }
    let over = response.hover_pos().filter(|_| !response.dragged());
    let over = crossing.map_or(over, |crossing| crossing.at);
    let hovered = over.and_then(|at| thing_at(desk, at));
    desk.hand_at = over;
    if hovered != desk.hovered {
        // The section lights it up too, and was drawn before.
        ui.request_repaint();
    }
    desk.hovered = hovered;
    if matches!(desk.gesture, Gesture::Pan | Gesture::Turn) {
        if pointer.released {
            desk.gesture = Gesture::Idle;
        }
        set_cursor(ui, response, CursorIcon::Grabbing);
        return Vec::new();
    }
    set_cursor(ui, response, cursor(desk, over));
    if desk.asked_frame().is_some() {
        return reframe::gestures(desk, &pointer);
    }
    if let Gesture::Tie { id, by } = desk.gesture {
        return tying::gestures(desk, &pointer, id, by);
    }
    match desk.mode {
        Mode::Look => look_mode::gestures(desk, &pointer),
        Mode::Line => line_mode::gestures(desk, &pointer),
        Mode::Mark => mark_mode::gestures(desk, &pointer),
        Mode::Overlap => overlap_mode::gestures(desk, &pointer),
        Mode::Guide => guide_mode::gestures(desk, &pointer),
        Mode::StandIn => stand_in_mode::gestures(desk, &pointer),
    }
}

/// What lies under the pointer; where things are looked at, the horizon and the vanishing points too.
fn thing_at(desk: &Desk, at: Pos2) -> Option<Thing> {
    let grip = desk.pointing().grip(at).map(|grip| grip.thing);
    let grip =
        grip.or_else(|| stand_in_hit::under(desk, at).map(|id| Thing::Of(Subject::StandIn(id))));
    let of_eye = || eye_hit::hold(desk, at).map(|hold| hold.thing);
    if desk.mode == Mode::Look { grip.or_else(of_eye) } else { grip }
}

fn set_cursor(ui: &Ui, response: &Response, icon: CursorIcon) {
    if response.hovered() || response.dragged() {
        ui.set_cursor_icon(icon);
    }
}

fn cursor(desk: &Desk, over: Option<Pos2>) -> CursorIcon {
    if desk.asked_frame().is_some() {
        return CursorIcon::Move;
    }
    let grip = over.and_then(|at| desk.pointing().grip(at));
    match (desk.mode, &desk.gesture, grip) {
        (_, Gesture::Tie { .. }, _) => CursorIcon::Crosshair,
        (_, Gesture::Move { .. } | Gesture::Pull(_) | Gesture::Pose { .. }, _) => {
            CursorIcon::Grabbing
        }
        (Mode::Look, _, Some(g)) if g.part != Part::Whole => CursorIcon::Grab,
        (Mode::Look, _, Some(_)) => CursorIcon::PointingHand,
        (Mode::Look, _, None) if desk.hovered.is_some_and(Thing::is_of_eye) => CursorIcon::Grab,
        (Mode::Look, ..) => CursorIcon::Default,
        (Mode::Line | Mode::Mark | Mode::Guide | Mode::StandIn, ..) => {
            let handle = over.and_then(|at| desk.pointing().handle_while_drawing(at));
            if handle.is_some() { CursorIcon::Grab } else { CursorIcon::Crosshair }
        }
        (Mode::Overlap, ..) => {
            let on_marker = over.is_some_and(|at| desk.pointing().marker(at).is_some());
            if on_marker { CursorIcon::PointingHand } else { CursorIcon::Default }
        }
    }
}

fn paint(desk: &mut Desk, painter: &Painter, dark: bool) {
    paint_ground(desk, painter, desk.canvas, dark);
    if reframe::paint(desk, painter) {
        return;
    }
    if desk.remembered.ink {
        desk.redraw();
        if let Some(drawn) = &mut desk.drawn {
            let placing = Placing::Picture(desk.view, desk.canvas);
            drawn.paint(placing, painter, &mut desk.brushes);
        }
        if let Some(lines) = desk.safe_lines() {
            let view = desk.view.visible(desk.canvas);
            let drawing = safe_lines(desk.scene().frame, &lines, &view);
            ink::paint(painter, &drawing, Placing::Picture(desk.view, desk.canvas));
        }
    }
    guide_mode::paint_rays(desk, painter);
    preview::paint(desk, painter);
    paint_handles(desk, painter);
    stand_in_hit::paint(desk, painter);
    eye_handles::paint(desk, painter);
    match desk.mode {
        Mode::Overlap => overlap_mode::paint_guide(desk, painter),
        Mode::StandIn => stand_in_mode::paint(desk, painter),
        Mode::Look | Mode::Line | Mode::Mark | Mode::Guide => {}
    }
    run_hint::paint(desk, painter);
    snap::paint(desk, painter);
    band::paint(desk, painter);
    loupe::paint(desk, painter);
    crosshair::paint(desk, painter);
}

/// What the ink lies on: the painting as it is looked at, on a canvas there.
pub(crate) fn paint_ground(desk: &mut Desk, painter: &Painter, canvas: Rect, dark: bool) {
    painter.rect_filled(canvas, 0, theme::surround(dark));
    paint_paper(desk, painter, canvas, dark);
    let wanted = desk.tone_view();
    if let Painted::There(tiles) = &mut desk.painting {
        tiles.paint_toned(painter, desk.view, canvas, wanted);
    }
}

fn paint_paper(desk: &Desk, painter: &Painter, canvas: Rect, dark: bool) {
    let paper = desk.view.polygon(canvas, &frame_corners(desk.scene().frame));
    painter.add(Shape::convex_polygon(paper, theme::paper(dark), Stroke::NONE));
}

/// The handles of what is selected, and of what could be taken hold of.
fn paint_handles(desk: &Desk, painter: &Painter) {
    let hovered = desk.hovered.filter(|_| desk.mode == Mode::Look);
    let own =
        if desk.mode == Mode::Look { desk.selection.single() } else { desk.selection.in_hand() };
    for thing in own.into_iter().chain(hovered.filter(|h| !desk.selection.has(*h))) {
        if segment(desk.scene(), thing).is_none() || is_overlap(thing) || is_one(desk, thing) {
            continue;
        }
        for part in [Part::Foot, Part::Head, Part::Tie] {
            let at = position(desk.scene(), crate::canvas::hit::Grip { thing, part });
            if let Some(at) = at.filter(|at| desk.view.faces(desk.canvas, *at)) {
                let at = desk.view.to_screen(desk.canvas, at);
                painter.circle_stroke(
                    at,
                    HANDLE,
                    egui::Stroke::new(3.5, egui::Color32::from_black_alpha(150)),
                );
                painter.circle_stroke(at, HANDLE, egui::Stroke::new(1.5, egui::Color32::WHITE));
            }
        }
    }
}

/// One stand-in alone is taken by its body.
fn is_one(desk: &Desk, thing: Thing) -> bool {
    let Thing::Of(Subject::StandIn(id)) = thing else { return false };
    desk.scene().stand_in(id).is_some_and(|s| s.arranged == staffage_scene::Arranged::Alone)
}

fn is_overlap(thing: Thing) -> bool {
    matches!(thing, Thing::Of(staffage_scene::Subject::Overlap(_)))
}
