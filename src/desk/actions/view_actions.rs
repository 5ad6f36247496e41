//! How the painting and what is drawn over it are looked at.

use crate::actions::act::Act;
use crate::actions::turn_actions;
use crate::actions::{Action, Reach};
use crate::painting::tone_view::{Look, LookAct};
use egui::{Key, Modifiers};
use staffage_scene::Units;

pub(crate) const VIEW: &[Action] = &[
    FIT,
    ACTUAL_SIZE,
    ENLARGE,
    REDUCE,
    turn_actions::LEVEL,
    turn_actions::PLUMB,
    turn_actions::LEFT,
    turn_actions::RIGHT,
    turn_actions::SLIGHTLY_LEFT,
    turn_actions::SLIGHTLY_RIGHT,
    turn_actions::AS_PAINTED,
    LOOKS[0],
    LOOKS[1],
    LOOKS[2],
    LOOKS[3],
    AS_IT_IS,
    INK,
    SECTION,
    SHEETS,
    LINEAR,
    SAFE,
    SPREAD,
    SNAP,
    LOUPE,
    SMOOTH,
    METRES,
    FEET,
    OTHER_UNITS,
];

pub(crate) const METRES: Action =
    Action::new("Metres", "tell lengths in metres", |_| Some(Act::TellIn(Units::Metric)))
        .on(|desk| desk.units() == Units::Metric)
        .also("metric meters centimetres");

pub(crate) const FEET: Action = Action::new(
    "Feet and inches",
    "tell lengths in feet and inches, and far ones in miles",
    |_| Some(Act::TellIn(Units::Imperial)),
)
.on(|desk| desk.units() == Units::Imperial)
.also("imperial");

pub(crate) const OTHER_UNITS: Action = Action::new(
    "Other units",
    "tell lengths in feet and inches, or in metres again; scenes hold metres",
    |desk| {
        Some(Act::TellIn(match desk.units() {
            Units::Metric => Units::Imperial,
            Units::Imperial => Units::Metric,
        }))
    },
)
.key(Modifiers::COMMAND, Key::U)
.reach(Reach::UnlessTyping)
.also("metric imperial");

pub(crate) const FIT: Action =
    Action::new("Whole frame", "show the whole frame", |_| Some(Act::Fit))
        .key(Modifiers::NONE, Key::Home)
        .also("zoom all out reset");

pub(crate) const ACTUAL_SIZE: Action =
    Action::new("Actual size", "show one picture pixel on one screen pixel", |_| {
        Some(Act::ActualSize)
    })
    .key(Modifiers::NONE, Key::End)
    .also("zoom 100% 1:1 pixels");

pub(crate) const ENLARGE: Action =
    Action::new("Enlarge", "come nearer to the middle of the canvas", |_| Some(Act::Zoom(1.25)))
        .key(Modifiers::NONE, Key::Plus)
        .key(Modifiers::NONE, Key::Equals)
        .also("zoom in larger magnify");

pub(crate) const REDUCE: Action =
    Action::new("Reduce", "step back from the canvas", |_| Some(Act::Zoom(0.8)))
        .key(Modifiers::NONE, Key::Minus)
        .also("zoom out smaller");

/// The ways of looking, in the order of [`Look::ALL`]: with Shift a look's key keeps it.
pub(crate) const LOOKS: [Action; 4] = [look::<0>(), look::<1>(), look::<2>(), look::<3>()];

const fn look<const N: usize>() -> Action {
    let look = Look::ALL[N];
    Action::new(look.word(), look.purpose(), |_| Some(Act::Look(LookAct::Toggle(Look::ALL[N]))))
        .key(Modifiers::SHIFT, look.key())
        .also(look.other_words())
        .on(|desk| desk.is_kept(Look::ALL[N]))
}

pub(crate) const AS_IT_IS: Action =
    Action::new("The painting as it is", "in its colours, sharp, the right way round", |desk| {
        crate::painting::tone_view::words(desk).map(|_| Act::Look(LookAct::Plain))
    })
    .also("colour reset");

pub(crate) const INK: Action = Action::new(
    "Drawing over the painting",
    "show or hide all that is drawn over the painting",
    |_| Some(Act::ToggleInk),
)
.key(Modifiers::NONE, Key::K)
.on(|desk| desk.remembered.ink)
.also("overlay guides lines markers visible");

pub(crate) const SECTION: Action =
    Action::new("Section and plan", "show or hide the scene from the side and from above", |_| {
        Some(Act::ToggleSection)
    })
    .key(Modifiers::NONE, Key::T)
    .on(|desk| desk.remembered.section)
    .also("side top map elevation profile");

pub(crate) const SHEETS: Action =
    Action::new("Section, plan or both", "show the next of these", |_| Some(Act::NextSheets))
        .key(Modifiers::SHIFT, Key::T)
        .also("side top map elevation profile");

pub(crate) const LINEAR: Action = Action::new(
    "Linear distances",
    "let the distances of section and plan run evenly instead of logarithmically",
    |_| Some(Act::ToggleLinear),
)
.key(Modifiers::COMMAND, Key::T)
.reach(Reach::Always)
.on(|desk| desk.remembered.linear)
.also("log scale axis map");

pub(crate) const SAFE: Action = Action::new(
    "Safe lines",
    "show the next safe lines: action and title areas, other deliveries, none",
    |_| Some(Act::NextSafeLines),
)
.key(Modifiers::NONE, Key::X)
.said(|desk| match desk.safe_lines() {
    Some(lines) => format!("Safe lines: {}", lines.name()),
    None => "Safe lines".into(),
})
.also("crop title broadcast margins");

pub(crate) const SPREAD: Action = Action::new(
    "Vanishing point spread",
    "show how far every vanishing point can be trusted",
    |_| Some(Act::ToggleSpread),
)
.on(|desk| desk.remembered.spread)
.also("error uncertainty accuracy");

pub(crate) const SNAP: Action = Action::new(
    "Ends catch at plumb, families and other ends",
    "let ends that are placed catch; Ctrl held lets one lie where it is put",
    |_| Some(Act::ToggleSnap),
)
.on(|desk| desk.remembered.snap)
.also("magnet");

pub(crate) const LOUPE: Action = Action::new(
    "Loupe while placing",
    "enlarge what is under the pointer while something is placed",
    |_| Some(Act::ToggleLoupe),
)
.on(|desk| desk.remembered.loupe)
.also("magnifier zoom");

pub(crate) const SMOOTH: Action = Action::new(
    "Smooth when enlarged",
    "show enlarged pixels smoothed instead of as squares",
    |_| Some(Act::ToggleSmooth),
)
.on(|desk| desk.remembered.smooth)
.also("pixels squares");
