//! What the next stand-in is and how many, by key and by name.

use crate::actions::act::Act;
use crate::actions::mark_actions::next_level;
use crate::actions::{Action, Reach};
use crate::desk::Desk;
use crate::modes::mode::Mode;
use crate::modes::stand_in_mode::{Many, READY, SetIn};
use egui::{Key, Modifiers};

const NONE: Modifiers = Modifiers::NONE;
const SHIFT: Modifiers = Modifiers::SHIFT;

pub(crate) const STAND_IN: &[Action] = &[
    KINDS[0], KINDS[1], KINDS[2], KINDS[3], KINDS[4], KINDS[5], MANY[0], MANY[1], MANY[2], MORE,
    FEWER, MANY_MORE, MANY_FEWER, NEXT_LEVEL,
];

/// What is at hand, in the order of [`READY`].
pub(crate) const KINDS: [Action; READY.len()] = [
    kind::<0>("Adult", "set in a grown figure")
        .key(NONE, Key::F)
        .also("person people human man woman figure height scale"),
    kind::<1>("Child", "set in a child, a little one")
        .key(NONE, Key::L)
        .also("person people human boy girl figure height scale"),
    kind::<2>("Door", "set in a door or another flat upright thing")
        .key(NONE, Key::U)
        .also("gate window sign sail height"),
    kind::<3>("Box", "set in a box: a container, a house, a hull")
        .key(NONE, Key::B)
        .also("hull ship house container building block cube"),
    kind::<4>("Upright cylinder", "set in a cylinder: a tower, a tank")
        .key(NONE, Key::O)
        .also("tower column tank tree pipe"),
    kind::<5>("Rising ramp", "set in a ramp").key(NONE, Key::I).also("slope stairs"),
];

/// How many at once, in the order of [`Many::ALL`].
pub(crate) const MANY: [Action; 3] = [
    many::<0>("One stand-in", "set one stand-in in with a click")
        .key(NONE, Key::Z)
        .also("single alone"),
    many::<1>("Row of stand-ins", "drag a row of stand-ins")
        .key(NONE, Key::R)
        .also("line many people repeat"),
    many::<2>("Crowd of stand-ins", "spread a crowd of stand-ins over a patch")
        .key(NONE, Key::H)
        .also("people many group scatter"),
];

const MORE: Action = counted("One stand-in more", "one more in the row or the crowd", |_| by(1))
    .key(NONE, Key::PageUp);
const FEWER: Action =
    counted("One stand-in fewer", "one fewer in the row or the crowd", |_| by(-1))
        .key(NONE, Key::PageDown);
const MANY_MORE: Action =
    counted("Ten stand-ins more", "ten more in the row or the crowd", |_| by(10))
        .key(SHIFT, Key::PageUp);
const MANY_FEWER: Action =
    counted("Ten stand-ins fewer", "ten fewer in the row or the crowd", |_| by(-10))
        .key(SHIFT, Key::PageDown);

pub(crate) const NEXT_LEVEL: Action =
    counted("Stand-ins on the next level", "what the next stand-in stands on", |desk| {
        next_level(desk).map(Act::StandOn)
    })
    .key(NONE, Key::G)
    .also("floor deck ground");

const fn kind<const N: usize>(name: &'static str, what: &'static str) -> Action {
    counted(name, what, |_| {
        let (name, shape) = READY[N];
        Some(Act::SetIn(SetIn::What(name.into(), shape)))
    })
    .on(|desk| desk.setting.name == READY[N].0)
}

const fn many<const N: usize>(name: &'static str, what: &'static str) -> Action {
    counted(name, what, |_| Some(Act::SetIn(SetIn::Many(Many::ALL[N]))))
        .on(|desk| desk.setting.many == Many::ALL[N])
}

const fn counted(name: &'static str, what: &'static str, act: fn(&Desk) -> Option<Act>) -> Action {
    Action::new(name, what, act).reach(Reach::In(Mode::StandIn))
}

fn by(more: i64) -> Option<Act> {
    Some(Act::SetIn(SetIn::More(more)))
}
