//! Levelled copies: what the menu and their panel ask for, and what becomes of it.

use crate::actions::act::Act;
use crate::choice::Choice;
use crate::desk::Desk;
use crate::files::{self, file_name};
use crate::handover::errands::Errand;
use crate::handover::handing::{BesideCanvas, plain};
use crate::handover::level_settings::LevelSettings;
use crate::handover::places::{self, Placed};
use crate::handover::{LevelAim, LevelOrder, Order};
use staffage_solver::{Eye, Homography};
use std::path::PathBuf;
use std::sync::Arc;

const NOWHERE: &str = "This scene has no file yet, so there is no place beside it for a copy: save it \
     first (Ctrl+S), or choose where the copy goes.";

/// What is known of levelled copies.
#[derive(Default)]
pub(crate) struct Levelling {
    /// What was not done because there is such a file, and that file.
    pub(crate) taken: Option<(Order, PathBuf)>,
    /// The copy that was written last.
    pub(crate) last: Option<PathBuf>,
}

/// What can be asked for.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum LevelAct {
    /// Open or close the panel.
    TogglePanel,
    /// Write copies this way from now on.
    Set(LevelSettings),
    /// Write a copy.
    Write,
    /// Bring this copy back.
    BringBack(PathBuf),
    /// Do what was not done although there is such a file.
    Replace,
    /// Leave alone what is there.
    LeaveAlone,
}

pub(crate) fn act(desk: &mut Desk, act: LevelAct) {
    match act {
        LevelAct::TogglePanel => {
            desk.handing.toggle(BesideCanvas::LevelledCopy);
            desk.handing.levelling.taken = None;
        }
        LevelAct::Set(settings) => {
            desk.remembered.levelling = settings;
            desk.handing.levelling.taken = None;
        }
        LevelAct::Write => write(desk),
        LevelAct::BringBack(copy) => {
            send(desk, Order::BringBack { copy: plain(copy), replace: false });
        }
        LevelAct::Replace => replace(desk),
        LevelAct::LeaveAlone => desk.handing.levelling.taken = None,
    }
}

/// What asks which copy is to be brought back.
pub(crate) fn ask_copy() -> Act {
    Act::Choose(Choice::LevelledCopy)
}

fn write(desk: &mut Desk) {
    let placed = Placed::Copy(desk.remembered.levelling.stance);
    if places::target(desk, placed).is_none() {
        desk.handing.trouble = Some(NOWHERE.into());
        return;
    }
    let order = LevelOrder {
        scene: Arc::clone(desk.history.present()),
        scene_path: plain(files::suggested_path(desk)),
        aim: desk.remembered.levelling.aim(),
        to: places::chosen(desk, placed),
        replace: false,
    };
    send(desk, Order::Level(order));
}

fn replace(desk: &mut Desk) {
    let Some((mut order, _)) = desk.handing.levelling.taken.take() else { return };
    match &mut order {
        Order::Level(LevelOrder { replace, .. }) | Order::BringBack { replace, .. } => {
            *replace = true;
        }
        _ => return,
    }
    send(desk, order);
}

fn send(desk: &mut Desk, order: Order) {
    desk.handing.levelling.taken = None;
    desk.handing.trouble = None;
    let words = match &order {
        Order::BringBack { copy, .. } => format!("Bringing {} back", file_name(copy)),
        _ => "Writing the levelled copy".into(),
    };
    desk.handing.errands.send(Errand { order, words, by_itself: false });
}

/// Keeps that a file was there already, to ask about it in the panel.
pub(crate) fn taken(desk: &mut Desk, order: Order, path: PathBuf) {
    desk.handing.panel = Some(BesideCanvas::LevelledCopy);
    desk.handing.levelling.taken = Some((order, path));
}

/// What turns the picture as a copy would have it, if anything can.
pub(crate) fn turn(eye: &Eye, aim: LevelAim) -> Option<Homography> {
    match aim {
        LevelAim::Level => Some(Homography::level(eye)),
        LevelAim::Plumb => Homography::plumb(eye),
        LevelAim::By { pitch, heading, cant } => {
            let [pitch, heading, cant] = [pitch, heading, cant].map(f64::to_radians);
            let to = Eye { pitch: eye.pitch + pitch, cant: eye.cant + cant, ..*eye };
            Homography::aimed(eye, &to, heading)
        }
    }
}
