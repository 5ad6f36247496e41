//! Turning the view: level, so that the horizon runs level; plumb, so that uprights stand upright; or
//! freely. The painting is left as it is, and work goes on in the turned view.

use crate::actions::act::Act;
use crate::canvas::gesture::Gesture;
use crate::desk::Desk;
use crate::painting::tone_view;
use egui::{Button, PointerButton, Pos2, Response, Ui};
use staffage_solver::Homography;

/// By how much the bracket keys turn, degrees.
const STEP: f64 = 5.0;
/// The same with Shift.
const FINE_STEP: f64 = 1.0;
/// So near the middle of the canvas the pointer turns nothing, points: its direction is uncertain.
const PIVOT: f32 = 8.0;
/// Beyond this pitch there is no plumb view, as [`Homography::plumb`] says.
const STEEPEST: f64 = 70.0;

/// How the view is to be turned.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Turning {
    stance: Stance,
    /// Clockwise on the screen from there, degrees.
    by: f64,
}

/// As which eye's picture the painting is seen.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Stance {
    /// That of the eye that painted it.
    #[default]
    AsPainted,
    /// That of the same eye without its cant.
    Level,
    /// That of the same eye looking straight ahead, without pitch and cant.
    Plumb,
}

/// A change of how the view is turned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum TurnAct {
    /// Turn the horizon level, or back.
    Level,
    /// Stand uprights upright, or back.
    Plumb,
    /// Turn clockwise by so many degrees.
    By(f64),
    /// See it as it is painted.
    Back,
}

impl TurnAct {
    /// A turn by one touch of a key.
    pub(crate) fn step(clockwise: bool, fine: bool) -> Self {
        let step = if fine { FINE_STEP } else { STEP };
        Self::By(if clockwise { step } else { -step })
    }
}

impl Desk {
    pub(crate) fn turn(&mut self, act: TurnAct) {
        let Turning { stance, by } = self.turning;
        let unless = |wanted| if stance == wanted { Stance::AsPainted } else { wanted };
        self.turning = match act {
            TurnAct::Level => Turning { stance: unless(Stance::Level), by: 0.0 },
            TurnAct::Plumb => {
                let stance = unless(Stance::Plumb);
                if stance == Stance::Plumb && !self.can_stand_plumb() {
                    self.told = Some(too_steep(self));
                    return;
                }
                Turning { stance, by: 0.0 }
            }
            TurnAct::By(degrees) => Turning { stance, by: within_half_turn(by + degrees) },
            TurnAct::Back => Turning::default(),
        };
    }

    fn can_stand_plumb(&self) -> bool {
        Homography::plumb(&self.assessment().eye.eye).is_some()
    }

    /// What turns the picture so, for the eye as it is read now.
    fn wanted_turn(&self) -> Option<Homography> {
        let eye = &self.assessment().eye.eye;
        let stance = match self.turning.stance {
            Stance::AsPainted => Homography::IDENTITY,
            Stance::Level => Homography::level(eye),
            Stance::Plumb => Homography::plumb(eye).unwrap_or_else(|| Homography::level(eye)),
        };
        let handed = if self.view.mirrored { -1.0 } else { 1.0 };
        let by = handed * self.turning.by.to_radians();
        let turn = stance.then(Homography::turned(glam::DVec2::ZERO, by));
        (turn != Homography::IDENTITY).then_some(turn)
    }
}

/// Turns the view as it is wanted. While something is dragged it stays, so that nothing swims under
/// the pointer, and follows afterwards.
pub(crate) fn follow(desk: &mut Desk, ui: &Ui) {
    let wanted = desk.wanted_turn();
    if desk.view.turn == wanted {
        desk.turned = desk.turning;
        return;
    }
    let (down, released) = ui.input(|i| (i.pointer.any_down(), i.pointer.any_released()));
    if down || released || desk.gesture != Gesture::Idle {
        if released {
            ui.ctx().request_repaint();
        }
        return;
    }
    let frame = desk.scene().frame;
    let fitted = desk.view == desk.view.fitted(frame, desk.canvas);
    let chosen = desk.turned.stance != desk.turning.stance;
    // When the eye was changed by a drag, what was dragged stays under the pointer.
    let pointer = ui.input(|i| i.pointer.latest_pos()).filter(|at| desk.canvas.contains(*at));
    let about = pointer.filter(|_| desk.turned == desk.turning);
    let turned = desk.view.turned(desk.canvas, about.unwrap_or(desk.canvas.center()), wanted);
    desk.view = if fitted && chosen { turned.fitted(frame, desk.canvas) } else { turned };
    desk.turned = desk.turning;
    ui.ctx().request_repaint();
}

/// Turns the view about the middle of the canvas as the pointer goes round it: the middle button with
/// Shift, or the Space bar with Shift. Whether it does.
pub(crate) fn drag(desk: &mut Desk, ui: &Ui, response: &Response) -> bool {
    let shift = ui.input(|i| i.modifiers.shift);
    let by_middle = shift && response.dragged_by(PointerButton::Middle);
    let by_space = desk.gesture == Gesture::Turn && response.dragged_by(PointerButton::Primary);
    let idle = matches!(desk.gesture, Gesture::Idle | Gesture::Turn);
    if !(by_middle || by_space) || !idle {
        return by_middle;
    }
    if let Some(to) = response.interact_pointer_pos() {
        let degrees = angle(desk.canvas.center(), to - response.drag_delta(), to);
        desk.turning.by = within_half_turn(desk.turning.by + degrees);
        desk.view = desk.view.turned(desk.canvas, desk.canvas.center(), desk.wanted_turn());
        desk.turned = desk.turning;
    }
    true
}

/// Angle from one point to another as seen from a pivot, degrees, clockwise on the screen.
fn angle(pivot: Pos2, from: Pos2, to: Pos2) -> f64 {
    let (a, b) = (from - pivot, to - pivot);
    if a.length() < PIVOT || b.length() < PIVOT {
        return 0.0;
    }
    let (sine, cosine) = (a.x * b.y - a.y * b.x, a.dot(b));
    f64::from(sine).atan2(f64::from(cosine)).to_degrees()
}

fn within_half_turn(degrees: f64) -> f64 {
    let turned = (degrees + 180.0).rem_euclid(360.0) - 180.0;
    // What whole steps come back to is exactly nothing.
    if turned.abs() < 1e-9 { 0.0 } else { turned }
}

pub(crate) fn is_level(desk: &Desk) -> bool {
    desk.turning.stance == Stance::Level
}

pub(crate) fn is_plumb(desk: &Desk) -> bool {
    desk.turning.stance == Stance::Plumb
}

pub(crate) fn is_turned(desk: &Desk) -> bool {
    desk.turning != Turning::default()
}

/// How the view is turned, in a few words; `None` if it is not.
fn words(desk: &Desk) -> Option<String> {
    let eye = &desk.assessment().eye.eye;
    let (pitch, cant) = (eye.pitch.to_degrees(), eye.cant.to_degrees());
    let handed = if desk.view.mirrored { -1.0 } else { 1.0 };
    let by = desk.turning.by;
    let further = if by == 0.0 { String::new() } else { format!(", then {}", clockwise(by)) };
    match desk.turning.stance {
        Stance::AsPainted if by == 0.0 => None,
        Stance::AsPainted => Some(format!("Turned {}", clockwise(by))),
        Stance::Level => {
            Some(format!("Level view: turned {}", clockwise(within_half_turn(handed * cant + by))))
        }
        Stance::Plumb if desk.can_stand_plumb() => Some(format!(
            "Plumb view: {:.1}° of pitch and {:.1}° of cant taken out{further}",
            pitch.abs(),
            cant.abs()
        )),
        Stance::Plumb => {
            let way = if pitch < 0.0 { "down" } else { "up" };
            Some(format!("No plumb view {:.0}° {way}: level view{further}", pitch.abs()))
        }
    }
}

fn clockwise(degrees: f64) -> String {
    let way = match (10.0 * degrees).round() {
        0.0 => "",
        way if way > 0.0 => " clockwise",
        _ => " anticlockwise",
    };
    format!("{:.1}°{way}", degrees.abs())
}

/// Why there is no plumb view, in one sentence.
fn too_steep(desk: &Desk) -> String {
    let pitch = desk.assessment().eye.eye.pitch.to_degrees();
    let way = if pitch < 0.0 { "down" } else { "up" };
    format!(
        "There is no plumb view of this: the eye looks {:.0}° {way}, and beyond {STEEPEST:.0}° \
         uprights stood upright would tear the painting apart. Y levels its horizon.",
        pitch.abs()
    )
}

/// The room that [`strip`] takes, points.
pub(crate) fn strip_width(desk: &Desk, ui: &Ui) -> f32 {
    words(desk).map_or(0.0, |words| tone_view::button_width(words, ui))
}

/// The words in the strip that say how the view is turned.
pub(crate) fn strip(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let Some(words) = words(desk) else { return };
    let response = ui
        .add(Button::selectable(true, words.as_str()).small())
        .on_hover_text(
            "The view is turned, the painting is not. Click to see it as it is painted (Y: level \
             view, Shift+Y: plumb view, [ and ]: turn, Home: the whole frame as it is painted).",
        )
        .accessible_name(words);
    if response.clicked() {
        acts.push(Act::Turn(TurnAct::Back));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::pos2;

    #[test]
    fn a_quarter_round_the_middle_is_ninety_degrees_clockwise() {
        let pivot = pos2(100.0, 100.0);
        let turned = angle(pivot, pos2(100.0, 50.0), pos2(150.0, 100.0));
        assert!((turned - 90.0).abs() < 1e-4, "{turned}");
        assert_eq!(angle(pivot, pos2(101.0, 100.0), pos2(150.0, 100.0)), 0.0);
    }

    #[test]
    fn a_whole_turn_by_steps_comes_back_to_nothing() {
        let mut by = 0.0;
        for _ in 0..72 {
            by = within_half_turn(by + STEP);
        }
        assert_eq!(by, 0.0);
        assert_eq!(within_half_turn(190.0), -170.0);
    }

    #[test]
    fn turns_are_told_by_their_way() {
        assert_eq!(clockwise(7.02), "7.0° clockwise");
        assert_eq!(clockwise(-3.0), "3.0° anticlockwise");
        assert_eq!(clockwise(-0.01), "0.0°");
    }
}
