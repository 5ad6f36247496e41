//! The crosshair: what is drawn with the pointer is drawn by keys, too. Arrow keys walk it over the
//! canvas, Enter presses and lets go there.

use crate::canvas::Pointer;
use crate::canvas::gesture::Gesture;
use crate::desk::Desk;
use crate::modes::mode::Mode;
use crate::modes::stand_in_mode::Many;
use egui::{Color32, Painter, PointerButton, Pos2, Response, Stroke, Ui, Vec2, vec2};
use glam::DVec2;
use std::collections::VecDeque;

/// How far one touch of an arrow key walks, points; ten times as far with Shift.
const STRIDE: f64 = 4.0;
/// How far it keeps from the canvas's edge, points: there the view moves along.
const INSET: f32 = 12.0;
/// From its middle to the ends of its arms, and to where they begin, points.
const ARM: f32 = 16.0;
const GAP: f32 = 4.0;
/// Nearer than this it was let go where it was pressed, points: a click.
const STILL: f32 = 1.0;

/// Where the keys draw.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Crosshair {
    /// Picture units.
    at: DVec2,
    /// Where it was pressed, picture units, as long as it is.
    down: Option<DVec2>,
    /// What the keys did that the canvas has not seen yet.
    steps: VecDeque<Step>,
}

/// What a key did to it.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Step {
    Moved,
    Pressed,
}

/// Something that is done by keys on the canvas.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum CrossAct {
    /// So many strides to the right and down on the screen.
    Walk(f64, f64),
    /// Press or let go; the first time, show it.
    Press,
    /// Put it away.
    Away,
}

/// Whether there is something to be drawn, so that Enter brings the crosshair.
pub(crate) fn is_of_use(desk: &Desk) -> bool {
    let draws = desk.mode != Mode::Look || matches!(desk.gesture, Gesture::Tie { .. });
    draws && desk.asked_frame().is_none()
}

/// Whether arrow keys walk it, rather than nudge what is selected.
pub(crate) fn walks(desk: &Desk) -> bool {
    is_of_use(desk) && (desk.crosshair.is_some() || desk.selection.is_empty())
}

impl Desk {
    pub(crate) fn cross(&mut self, act: CrossAct) {
        let fresh =
            || Crosshair { at: self.view.centre, down: None, steps: VecDeque::from([Step::Moved]) };
        match act {
            CrossAct::Away => self.crosshair = None,
            CrossAct::Press => match &mut self.crosshair {
                Some(cross) => cross.steps.push_back(Step::Pressed),
                None => self.crosshair = Some(fresh()),
            },
            CrossAct::Walk(right, down) => {
                let mut cross = self.crosshair.take().unwrap_or_else(fresh);
                let by = vec2(right as f32, down as f32) * STRIDE as f32;
                cross.at = walked(self, cross.at, by);
                if cross.steps.back() != Some(&Step::Moved) {
                    cross.steps.push_back(Step::Moved);
                }
                self.crosshair = Some(cross);
            }
        }
    }

    /// Where on the screen the crosshair is, while it is shown.
    pub(crate) fn crosshair_at(&self) -> Option<Pos2> {
        let cross = self.crosshair.as_ref()?;
        Some(self.view.to_screen(self.canvas, cross.at))
    }
}

/// Where a walk leads. At the canvas's edge the view moves along, as far as it can.
fn walked(desk: &mut Desk, from: DVec2, by: Vec2) -> DVec2 {
    let (canvas, frame) = (desk.canvas, desk.history.present().frame);
    let room = canvas.shrink(INSET);
    let wanted = desk.view.to_screen(canvas, from) + by;
    let over = wanted - room.clamp(wanted);
    if over == Vec2::ZERO {
        return desk.view.to_picture(canvas, wanted);
    }
    let to = desk.view.to_picture(canvas, wanted);
    desk.view = desk.view.panned(-over).kept_near(frame, canvas);
    let seen = desk.view.to_screen(canvas, to);
    desk.view.to_picture(canvas, room.clamp(seen))
}

/// The crosshair as a pointer in this frame; `None` while it is not used. The pointer takes over when
/// it is moved or pressed.
pub(crate) fn pointer(desk: &mut Desk, ui: &Ui, response: &Response) -> Option<Pointer> {
    desk.crosshair.as_ref()?;
    let (moved, pressed) = ui.input(|i| {
        (i.pointer.delta() != Vec2::ZERO, i.pointer.button_pressed(PointerButton::Primary))
    });
    let over = response.contains_pointer();
    let is_down = desk.crosshair.as_ref().is_some_and(|cross| cross.down.is_some());
    if !is_of_use(desk) || (over && (pressed || (moved && !is_down))) {
        if is_down {
            give_up(desk);
        }
        desk.crosshair = None;
        return None;
    }
    let at = desk.crosshair_at()?;
    let cross = desk.crosshair.as_mut()?;
    let step = cross.steps.pop_front();
    if !cross.steps.is_empty() {
        ui.request_repaint();
    }
    let (shift, free) = (false, ui.input(|i| i.modifiers.command));
    let still = Pointer { at: Some(at), shift, free, ..Pointer::default() };
    let held = desk.gesture != Gesture::Idle;
    let was_down = cross.down.filter(|_| held);
    cross.down = was_down;
    Some(match (step, was_down) {
        (None, _) | (Some(Step::Moved), None) => still,
        (Some(Step::Moved), Some(_)) => Pointer { dragged: true, ..still },
        (Some(Step::Pressed), None) if takes_clicks(desk) => Pointer { clicked: true, ..still },
        (Some(Step::Pressed), None) => {
            desk.crosshair.as_mut()?.down = Some(desk.picture_point(at));
            Pointer { drag_started: Some(at), dragged: true, ..still }
        }
        (Some(Step::Pressed), Some(from)) => {
            let from = desk.view.to_screen(desk.canvas, from);
            desk.crosshair.as_mut()?.down = None;
            if from.distance(at) < STILL {
                give_up(desk);
                Pointer { clicked: true, ..still }
            } else {
                Pointer { released: true, ..still }
            }
        }
    })
}

fn give_up(desk: &mut Desk) {
    desk.history.cancel();
    desk.gesture = Gesture::Idle;
}

/// Whether the next thing is done with a click rather than a drag.
fn takes_clicks(desk: &Desk) -> bool {
    match desk.mode {
        _ if matches!(desk.gesture, Gesture::Tie { .. }) => true,
        Mode::Overlap | Mode::Look => true,
        Mode::StandIn => desk.setting.many == Many::One,
        Mode::Line | Mode::Mark | Mode::Guide => false,
    }
}

/// What the strip says while the crosshair is shown and nothing is drawn.
pub(crate) fn sentence(desk: &Desk) -> Option<String> {
    let cross = desk.crosshair.as_ref()?;
    Some(match (cross.down, takes_clicks(desk)) {
        (Some(_), _) => "Arrow keys walk to the other end, Enter lets go there; Esc gives it up.".into(),
        (None, true) => {
            "Arrow keys walk the crosshair, farther with Shift; Enter clicks there, Esc puts it away."
                .into()
        }
        (None, false) => {
            "Arrow keys walk the crosshair, farther with Shift; Enter begins there, Esc puts it away."
                .into()
        }
    })
}

/// What a screen reader says of where it is.
pub(crate) fn words(desk: &Desk) -> Option<String> {
    let at = desk.crosshair.as_ref()?.at;
    let half = DVec2::new(0.5, desk.scene().frame.half_height());
    let share = 100.0 * (at + half) / (2.0 * half);
    let hovered = desk.hovered.map(|thing| format!("; on {}", thing.name(desk.scene())));
    Some(format!("{:.0} % across, {:.0} % down{}", share.x, share.y, hovered.unwrap_or_default()))
}

pub(crate) fn paint(desk: &Desk, painter: &Painter) {
    let (Some(at), Some(cross)) = (desk.crosshair_at(), &desk.crosshair) else { return };
    let dark = Stroke::new(3.5, Color32::from_black_alpha(170));
    for stroke in [dark, Stroke::new(1.5, Color32::WHITE)] {
        for way in [Vec2::RIGHT, Vec2::DOWN, Vec2::LEFT, Vec2::UP] {
            painter.line_segment([at + GAP * way, at + ARM * way], stroke);
        }
        if cross.down.is_some() {
            painter.circle_stroke(at, 0.5 * ARM, stroke);
        }
    }
}
