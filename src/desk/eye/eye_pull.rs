//! Pulling the horizon and the vanishing points about, by drag and by arrow key, and the lens by the
//! wheel.

use crate::actions::act::Act;
use crate::canvas::Pointer;
use crate::canvas::gesture::Gesture;
use crate::desk::Desk;
use crate::eye::eye_hit::{self, Hold};
use crate::selection::Selection;
use crate::thing::Thing;
use egui::{Pos2, Ui};
use glam::DVec2;
use staffage_scene::{
    ANGLE_OF_VIEW, Assessment, Edit, EyeByHand, Family, Pull, Scene, Segment, pulled, with_lens,
};
use staffage_solver::{angle_of_view, focal_of_view};
use std::sync::Arc;

/// A vanishing point of level lines stays on the horizon until it is pulled so far off it, points.
const STICKS: f32 = 14.0;
/// Points of wheel movement that make the lens e times as long.
const WHEEL_PER_E: f32 = 600.0;

/// The horizon or a vanishing point being pulled about.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Pulling {
    /// What is held.
    pub(crate) hold: Hold,
    /// Where the pointer was pressed, picture units.
    from: DVec2,
    /// The scene before.
    pub(crate) before: Arc<Scene>,
    /// What followed from it.
    assessment: Arc<Assessment>,
    /// What the pointer comes to at present.
    pub(crate) pull: Option<Pull>,
    /// Whether no eye can have it there.
    pub(crate) refused: bool,
}

/// Takes hold of what of the eye was pressed. Whether there was anything.
pub(crate) fn take_hold(desk: &mut Desk, origin: Pos2) -> bool {
    let Some(hold) = eye_hit::hold(desk, origin) else { return false };
    let pulling = Pulling {
        hold,
        from: desk.picture_point(origin),
        before: Arc::clone(desk.history.present()),
        assessment: desk.assessed.share(),
        pull: None,
        refused: false,
    };
    desk.selection = Selection::only(hold.thing);
    desk.gesture = Gesture::Pull(Box::new(pulling));
    true
}

/// A drag of the horizon or of a vanishing point.
pub(crate) fn drag(desk: &mut Desk, pointer: &Pointer) -> Vec<Act> {
    let (view, canvas) = (desk.view, desk.canvas);
    let at = pointer.at.filter(|_| pointer.dragged || pointer.released);
    let Gesture::Pull(pulling) = &mut desk.gesture else { return Vec::new() };
    let mut acts = Vec::new();
    if let Some(at) = at {
        let on_screen = |at| view.to_screen(canvas, at);
        let pull = pulling.pull_to(view.to_picture(canvas, at), pointer.shift, &on_screen);
        let edit = pulled(&pulling.before, &pulling.assessment.eye, pull);
        (pulling.pull, pulling.refused) = (Some(pull), edit.is_none());
        acts.extend(edit.map(Act::Preview));
    }
    if pointer.released {
        acts.push(Act::Commit);
        desk.gesture = Gesture::Idle;
    }
    acts
}

impl Pulling {
    fn pull_to(&self, pointer: DVec2, shift: bool, on_screen: &dyn Fn(DVec2) -> Pos2) -> Pull {
        let by = pointer - self.from;
        let to = self.hold.moved(by);
        match self.hold.thing {
            Thing::VanishingPoint(family) if shift => Pull::Stretch(family, to),
            Thing::VanishingPoint(family) => {
                let plumb = self.assessment.eye.eye.horizon().truncate();
                let slid = pointer - by.dot(plumb) * plumb;
                let off = on_screen(pointer).distance(on_screen(slid));
                let takes = off > STICKS && self.hold.far.is_none();
                if takes { Pull::Take(family, to) } else { Pull::Slide(family, to) }
            }
            _ if self.hold.end || shift => Pull::Cant(to),
            _ => Pull::Lift(to),
        }
    }
}

/// The edit that nudges the horizon or a vanishing point by so much, picture units: across it lifts
/// the horizon, along it turns it. One far outside moves in proportion. `None` for a vanishing
/// point at infinity.
pub(crate) fn nudged(desk: &Desk, thing: Thing, by: DVec2) -> Option<Edit> {
    let reading = &desk.assessment().eye;
    let plumb = reading.eye.horizon().truncate();
    let (across, along) = (by.dot(plumb), by.perp_dot(plumb));
    let lifts = across.abs() > along.abs();
    let pull = match thing {
        Thing::EyeLevel if lifts => Pull::Lift(reading.eye.nearest_on_horizon(DVec2::ZERO) + by),
        Thing::EyeLevel => {
            let Segment(_, right) = eye_hit::horizon(desk)?;
            Pull::Cant(right + along.signum() * by.length() * plumb)
        }
        Thing::VanishingPoint(family) => {
            let reading = reading.families.iter().find(|f| f.family == family)?;
            let at = reading.vanishing_point.truncate() / reading.vanishing_point.z;
            let to = at + by * (2.0 * at.length()).max(1.0);
            if !to.is_finite() || to.length() > 1e3 {
                return None;
            }
            if lifts { Pull::Take(family, to) } else { Pull::Slide(family, to) }
        }
        Thing::Of(_) | Thing::Horizon => return None,
    };
    pulled(desk.scene(), reading, pull)
}

/// The wheel with Alt over the canvas makes the lens longer or shorter; a whole turn of it is one
/// step, which ends when Alt is let go. Whether the wheel is taken.
pub(crate) fn scroll_lens(desk: &mut Desk, ui: &Ui, over: bool) -> bool {
    let (alt, scroll) = ui.input(|i| (i.modifiers.alt, i.smooth_scroll_delta().y));
    match desk.gesture {
        Gesture::Idle if alt && over && scroll != 0.0 => {
            let focal = desk.assessment().eye.eye.focal;
            desk.gesture = Gesture::Lens { focal };
        }
        Gesture::Lens { .. } if !alt && scroll == 0.0 => {
            desk.act(ui.ctx(), Act::Commit);
            desk.gesture = Gesture::Idle;
            return false;
        }
        Gesture::Lens { .. } => {}
        _ => return false,
    }
    if let Gesture::Lens { focal } = &mut desk.gesture
        && scroll != 0.0
    {
        *focal = lens_within(*focal * f64::from((scroll / WHEEL_PER_E).exp()));
        let edit = lens(desk.history.present(), desk.assessed.assessment(), *focal);
        desk.act(ui.ctx(), Act::Preview(edit));
        ui.ctx().request_repaint();
    }
    true
}

/// The edit that makes the lens so many times as long.
pub(crate) fn longer_lens(desk: &Desk, times: f64) -> Edit {
    let focal = lens_within(desk.assessment().eye.eye.focal * times);
    lens(desk.scene(), desk.assessment(), focal)
}

fn lens(scene: &Scene, assessment: &Assessment, focal: f64) -> Edit {
    with_lens(scene, &assessment.eye, Some(angle_of_view(focal).to_degrees()))
}

/// A focal length whose angle of view can be set, frame widths.
fn lens_within(focal: f64) -> f64 {
    let focal_at = |degrees: f64| focal_of_view(degrees.to_radians());
    focal.clamp(focal_at(*ANGLE_OF_VIEW.end()), focal_at(*ANGLE_OF_VIEW.start()))
}

/// What pulling it here does, in one sentence.
#[must_use]
pub(crate) fn sentence(desk: &Desk, pulling: &Pulling) -> String {
    if pulling.refused {
        return "No eye has it there: the two points of a block lie on either side, square to each \
                other; Esc puts it back."
            .into();
    }
    let does = match pulling.pull {
        None | Some(Pull::Lift(_)) => "Lifting the horizon",
        Some(Pull::Cant(_)) => "Canting the horizon about the optical axis",
        Some(Pull::Slide(Family::Upright, _) | Pull::Take(Family::Upright, _)) => {
            "Moving the point of plumb lines: pitch and cant"
        }
        Some(Pull::Slide(Family::Incline(_), _) | Pull::Take(Family::Incline(_), _)) => {
            "Moving the vanishing point of an incline: its heading and slope"
        }
        Some(Pull::Slide(..)) if pulling.hold.far.is_some() => {
            "Sliding it along the horizon by its arrow"
        }
        Some(Pull::Slide(..)) => "Sliding it along the horizon",
        Some(Pull::Take(..)) => "Moving it and the horizon with it: heading and pitch",
        Some(Pull::Stretch(Family::Upright, _)) => "Changing the lens; the horizon stays",
        Some(Pull::Stretch(..)) => "Changing the lens; the other point and the horizon stay",
    };
    let or = match pulling.pull {
        None | Some(Pull::Lift(_)) => "Shift or an end cants it",
        Some(Pull::Slide(Family::Incline(_), _) | Pull::Cant(_) | Pull::Stretch(..)) => "",
        Some(Pull::Slide(Family::Upright, _)) => "Shift changes the lens",
        Some(Pull::Slide(..)) if pulling.hold.far.is_none() => {
            "farther off takes it along, Shift changes the lens"
        }
        Some(Pull::Slide(..) | Pull::Take(..)) => "Shift changes the lens",
    };
    let held = held(pulling.before.eye, desk.scene().eye, pulling.pull);
    let said = [does, &held, or, "Esc puts it back"];
    let said: Vec<&str> = said.into_iter().filter(|part| !part.is_empty()).collect();
    format!("{}.", said.join("; "))
}

/// What else is held, so that the lines do not move what was pulled.
fn held(before: EyeByHand, now: EyeByHand, pull: Option<Pull>) -> String {
    let upright = |f: Family| f == Family::Upright;
    let (lens, pitch, cant) = match pull {
        Some(Pull::Lift(_)) => (false, true, false),
        Some(Pull::Cant(_)) => (false, false, true),
        Some(Pull::Slide(f, _)) => (false, upright(f), upright(f)),
        Some(Pull::Take(f, _)) => (false, true, upright(f)),
        Some(Pull::Stretch(..)) => (true, true, false),
        None => (true, true, true),
    };
    let held: Vec<&str> = [
        ("lens", lens, before.angle_of_view.is_none() && now.angle_of_view.is_some()),
        ("pitch", pitch, before.pitch.is_none() && now.pitch.is_some()),
        ("cant", cant, before.cant.is_none() && now.cant.is_some()),
    ]
    .into_iter()
    .filter_map(|(name, meant, new)| (new && !meant).then_some(name))
    .collect();
    match &held[..] {
        [] => String::new(),
        [one] => format!("{one} held"),
        [first @ .., last] => format!("{} and {last} held", first.join(", ")),
    }
}
