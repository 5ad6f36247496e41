//! What can be done on the canvas by key: modes, the selected thing, the next line.

use crate::actions::act::{Act, Traced};
use crate::actions::{Action, Reach};
use crate::alternatives::AlternativeAct;
use crate::canvas::crosshair::{self, CrossAct};
use crate::canvas::gesture::{Gesture, Tie};
use crate::desk::Desk;
use crate::eye::eye_pull;
use crate::handover::handing::HandAct;
use crate::modes::mode::Mode;
use crate::modes::naming;
use crate::painting::reframe::ReframeAct;
use crate::properties::several;
use egui::{Key, Modifiers};
use glam::DVec2;
use staffage_scene::{Family, Subject};

const NONE: Modifiers = Modifiers::NONE;
const SHIFT: Modifiers = Modifiers::SHIFT;

/// The modes, in the order of [`Mode::ALL`].
pub(crate) const MODES: &[Action] =
    &[mode::<0>(), mode::<1>(), mode::<2>(), mode::<3>(), mode::<4>(), mode::<5>()];

const fn mode<const N: usize>() -> Action {
    let mode = Mode::ALL[N];
    Action::new(mode.word(), mode.purpose(), |_| Some(Act::SetMode(Mode::ALL[N])))
        .key(NONE, mode.key())
        .also(mode.other_words())
        .on(|desk| desk.mode == Mode::ALL[N])
}

pub(crate) const SELECTED: &[Action] = &[
    NEXT,
    BEFORE,
    SELECT_ALL,
    DUPLICATE,
    ALIGN,
    CENTRE,
    PLUMB,
    SHADOW,
    DELETE,
    GIVE_UP,
    PRESS,
    NAME,
    LONGER,
    SHORTER,
    MUCH_LONGER,
    MUCH_SHORTER,
    NUDGES[0],
    NUDGES[1],
    NUDGES[2],
    NUDGES[3],
    NUDGES[4],
    NUDGES[5],
    NUDGES[6],
    NUDGES[7],
];

pub(crate) const NEXT: Action =
    Action::new("Next thing", "select the next thing, near to far", |_| {
        Some(Act::Step { back: false })
    })
    .key(NONE, Key::N)
    .also("cycle walk");

pub(crate) const BEFORE: Action =
    Action::new("Thing before", "select the thing before", |_| Some(Act::Step { back: true }))
        .key(SHIFT, Key::N)
        .also("cycle walk previous");

pub(crate) const CENTRE: Action =
    Action::new("Centre", "bring the selected thing to the middle", |desk| {
        desk.selected().map(Act::Centre)
    })
    .key(NONE, Key::C)
    .also("center focus find zoom show");

pub(crate) const PLUMB: Action = Action::new(
    "It floats",
    "click the point on its level that is plumb below the selected thing",
    |desk| is_marker(desk).then_some(Act::AskTie(Tie::Plumb)),
)
.key(NONE, Key::P)
.also("fly hover hang air lifted");

pub(crate) const SHADOW: Action = Action::new(
    "Its shadow",
    "click where the shadow of the selected thing falls on its level",
    |desk| is_marker(desk).then_some(Act::AskTie(Tie::Shadow)),
)
.key(NONE, Key::S)
.also("sun light ground");

pub(crate) const SELECT_ALL: Action =
    Action::new("Select everything", "select all lines, markers, stand-ins and guides", |_| {
        Some(Act::SelectAll)
    })
    .key(Modifiers::COMMAND, Key::A)
    .reach(Reach::UnlessTyping)
    .also("mark");

pub(crate) const DUPLICATE: Action =
    Action::new("Duplicate", "duplicate what is selected", |desk| {
        several::can_copy(desk).then_some(Act::Duplicate)
    })
    .key(Modifiers::COMMAND, Key::D)
    .reach(Reach::UnlessTyping)
    .also("copy clone repeat");

pub(crate) const ALIGN: Action = Action::new(
    "Align to family",
    "align what is selected to its family: plumb, or along its lines",
    |desk| several::can_align(desk).then_some(Act::Align),
)
.key(NONE, Key::W)
.also("straighten straight square");

pub(crate) const DELETE: Action = Action::new("Delete", "delete the selected thing", |desk| {
    desk.selected().map(|_| Act::DeleteSelected)
})
.key(NONE, Key::Delete)
.key(NONE, Key::Backspace)
.said(|desk| match desk.selected() {
    Some(_) if desk.selection.is_several() => format!("Delete {} things", desk.selection.len()),
    Some(thing) if thing.is_of_eye() => format!("Let go of the {}", thing.name(desk.scene())),
    Some(thing) => format!("Delete {}", thing.name(desk.scene())),
    None => "Delete".into(),
})
.also("remove erase clear");

pub(crate) const GIVE_UP: Action =
    Action::new("Give up", "give up the gesture or the question, else select nothing, else close the panel beside the canvas", |desk| {
        Some(match desk.gesture {
            Gesture::Idle if desk.asked_frame().is_some() => Act::Reframe(ReframeAct::Leave),
            Gesture::Idle if desk.comparing.is_some() => {
                Act::Alternative(AlternativeAct::StopComparing)
            }
            Gesture::Idle if desk.crosshair.is_some() => Act::Cross(CrossAct::Away),
            Gesture::Idle if closes_panel(desk) => Act::Hand(HandAct::ClosePanel),
            Gesture::Idle => Act::Select(None),
            _ => Act::GiveUp,
        })
    })
    .key(NONE, Key::Escape)
    .also("cancel deselect none stop close");

/// A panel beside the canvas stays while something is selected, for that is given up first.
fn closes_panel(desk: &Desk) -> bool {
    desk.handing.open_panel().is_some() && desk.selection.is_empty()
}

pub(crate) const PRESS: Action = Action::new(
    "Draw by keys",
    "press and let go at the crosshair, which the arrow keys walk",
    |desk| crosshair::is_of_use(desk).then_some(Act::Cross(CrossAct::Press)),
)
.key(NONE, Key::Enter)
.reach(Reach::WithoutFocus)
.also("crosshair keyboard");

pub(crate) const NAME: Action = Action::new("Name", "name the selected thing", |desk| {
    desk.selected().filter(|thing| naming::has_name(*thing)).map(Act::AskName)
})
.key(NONE, Key::F2)
.also("rename label");

pub(crate) const LONGER: Action =
    Action::new("Longer lens", "see a little less", |desk| Some(lens(desk, 1.01)))
        .key(NONE, Key::Period)
        .also(LENS_WORDS);
pub(crate) const SHORTER: Action =
    Action::new("Shorter lens", "see a little more", |desk| Some(lens(desk, 1.0 / 1.01)))
        .key(NONE, Key::Comma)
        .also(LENS_WORDS);
pub(crate) const MUCH_LONGER: Action =
    Action::new("Much longer lens", "see a tenth less", |desk| Some(lens(desk, 1.1)))
        .key(SHIFT, Key::Period)
        .also(LENS_WORDS);
pub(crate) const MUCH_SHORTER: Action =
    Action::new("Much shorter lens", "see a tenth more", |desk| Some(lens(desk, 1.0 / 1.1)))
        .key(SHIFT, Key::Comma)
        .also(LENS_WORDS);

const LENS_WORDS: &str = "zoom focal length telephoto wide angle field of view";

fn lens(desk: &Desk, times: f64) -> Act {
    Act::Edit(eye_pull::longer_lens(desk, times))
}

/// By one picture pixel, and by ten with Shift; where something is drawn they walk the crosshair.
const NUDGES: [Action; 8] = [
    nudge("Nudge left", |desk| by(desk, -1.0, 0.0)).key(NONE, Key::ArrowLeft),
    nudge("Nudge right", |desk| by(desk, 1.0, 0.0)).key(NONE, Key::ArrowRight),
    nudge("Nudge up", |desk| by(desk, 0.0, -1.0)).key(NONE, Key::ArrowUp),
    nudge("Nudge down", |desk| by(desk, 0.0, 1.0)).key(NONE, Key::ArrowDown),
    far_nudge("Nudge far left", |desk| by(desk, -10.0, 0.0)).key(SHIFT, Key::ArrowLeft),
    far_nudge("Nudge far right", |desk| by(desk, 10.0, 0.0)).key(SHIFT, Key::ArrowRight),
    far_nudge("Nudge far up", |desk| by(desk, 0.0, -10.0)).key(SHIFT, Key::ArrowUp),
    far_nudge("Nudge far down", |desk| by(desk, 0.0, 10.0)).key(SHIFT, Key::ArrowDown),
];

const fn nudge(name: &'static str, act: fn(&Desk) -> Option<Act>) -> Action {
    Action::new(
        name,
        "move the selected thing, or the old frame that is asked about, by a picture pixel",
        act,
    )
    .reach(Reach::WithoutFocus)
}

const fn far_nudge(name: &'static str, act: fn(&Desk) -> Option<Act>) -> Action {
    Action::new(
        name,
        "move the selected thing, or the old frame that is asked about, by ten picture pixels",
        act,
    )
    .reach(Reach::WithoutFocus)
}

fn by(desk: &Desk, right: f64, down: f64) -> Option<Act> {
    if desk.asked_frame().is_some() {
        return Some(Act::Reframe(ReframeAct::Nudge(DVec2::new(right, down))));
    }
    if crosshair::walks(desk) {
        return Some(Act::Cross(CrossAct::Walk(right, down)));
    }
    desk.selected().map(|_| Act::Nudge { right, down, again: false })
}

fn is_marker(desk: &Desk) -> bool {
    matches!(desk.selected().and_then(crate::thing::Thing::subject), Some(Subject::Marker(_)))
}

pub(crate) const LINE: &[Action] =
    &[UPRIGHT, LEFT, RIGHT, HORIZON, INCLINE, LEVEL_RUN, LIGHT, NEXT_BLOCK, ADD_BLOCK];

pub(crate) const UPRIGHT: Action =
    line("Upright", "trace edges that are plumb", |_| Some(trace(Family::Upright)))
        .key(NONE, Key::U)
        .also("vertical perspective");

pub(crate) const LEFT: Action =
    line("Receding left", "trace level edges that run away to the left", |desk| {
        Some(trace(Family::RecedingLeft(desk.tools.block)))
    })
    .key(NONE, Key::L)
    .also("perspective vanishing");

pub(crate) const RIGHT: Action =
    line("Receding right", "trace level edges that run away to the right", |desk| {
        Some(trace(Family::RecedingRight(desk.tools.block)))
    })
    .key(NONE, Key::R)
    .also("perspective vanishing");

pub(crate) const HORIZON: Action =
    line("Horizon", "trace the horizon where it can be seen: the sea, a plain", |_| {
        Some(Act::Trace(Traced::Horizon))
    })
    .key(NONE, Key::H)
    .also("height");

pub(crate) const INCLINE: Action = line(
    "Incline",
    "trace edges that rise or fall: the next incline, or a new one if there is none",
    |desk| Some(next_incline(desk)),
)
.key(NONE, Key::I)
.also("slope stairs ramp roof");

pub(crate) const LEVEL_RUN: Action = line(
    "Level run of the incline",
    "trace level edges straight below those of the incline",
    |desk| Some(level_run(desk)),
)
.key(SHIFT, Key::I)
.also("slope stairs ramp roof");

pub(crate) const LIGHT: Action =
    line("Light", "trace rays from things to the ends of their shadows", |desk| {
        let light = desk.scene().light();
        Some(light.map_or(Act::AddLight, |light| trace(Family::Incline(light))))
    })
    .key(SHIFT, Key::L)
    .also("sun lamp");

pub(crate) const NEXT_BLOCK: Action =
    line("Next block of lines", "trace lines of the next block", |_| Some(Act::NextBlock))
        .key(NONE, Key::B)
        .also("building house");

pub(crate) const ADD_BLOCK: Action =
    line("New block", "add a block that is turned another way", |_| Some(Act::AddBlock))
        .key(SHIFT, Key::B)
        .also("building house");

const fn line(name: &'static str, what: &'static str, act: fn(&Desk) -> Option<Act>) -> Action {
    Action::new(name, what, act).reach(Reach::In(Mode::Line))
}

fn trace(family: Family) -> Act {
    Act::Trace(Traced::Family(family))
}

/// The incline after the one that is traced; the first if none is; a new one if there is none.
fn next_incline(desk: &Desk) -> Act {
    let inclines = &desk.scene().inclines;
    let at = desk.tools.incline().and_then(|id| inclines.iter().position(|i| i.id == id));
    let next = at.map_or(0, |at| (at + 1) % inclines.len().max(1));
    inclines.get(next).map_or(Act::AddIncline, |incline| trace(Family::Incline(incline.id)))
}

/// The level run of the incline that is traced, else of the first; a new incline if there is none.
fn level_run(desk: &Desk) -> Act {
    let first = desk.scene().inclines.first().map(|i| i.id);
    let incline = desk.tools.incline().or(first);
    incline.map_or(Act::AddIncline, |id| trace(Family::Run(id)))
}
