//! What to do first: a few words over the canvas at the very first start. They go with the first line or
//! marker, with a change of mode or with a click, and come again only when they are asked for.

use crate::actions::act::Act;
use crate::desk::Desk;
use crate::modes::mode::Mode;
use egui::{Align2, Area, Frame, Grid, Id, Order, RichText, Ui, vec2};

/// The three things to begin with, over a painting: (key, what).
const PAINTED: [(&str, &str); 3] = [
    ("2", "Line: trace a few plumb and level edges. They tell where the eye is."),
    ("3", "Mark: drag from the foot of a figure to its head, and say how tall it is."),
    ("3", "Mark the other things: the ledger says how far and how big each one is."),
];

/// The same over a blank frame, where there is nothing to trace.
const BLANK: [(&str, &str); 3] = [
    ("1", "Look: drag the horizon and the vanishing points to where you want them."),
    (
        "5",
        "Stand-in: say how high the eye is, then set in figures and boxes, each at its true size.",
    ),
    ("6", "Guide: set out equal steps, stairs, arches and wheels in perspective."),
];

/// Shows the words, or takes them away for good.
pub(crate) fn toggle(desk: &mut Desk) {
    desk.hint_shown ^= true;
    desk.remembered.hint_seen |= !desk.hint_shown;
    desk.hint_at = Some(Doing::of(desk));
}

/// What the painter was at when the words were looked at last.
#[derive(Clone, Copy, PartialEq)]
pub(crate) struct Doing {
    laid_out: u64,
    mode: Mode,
    drawn: usize,
}

impl Doing {
    fn of(desk: &Desk) -> Self {
        let drawn = desk.scene().lines.len() + desk.scene().markers.len();
        Self { laid_out: desk.laid_out, mode: desk.mode, drawn }
    }
}

/// Takes the words away once the painter has begun.
pub(crate) fn follow(desk: &mut Desk) {
    if !desk.hint_shown {
        return;
    }
    let now = Doing::of(desk);
    let was = *desk.hint_at.get_or_insert(now);
    if was.laid_out == now.laid_out && (was.mode != now.mode || now.drawn > was.drawn) {
        toggle(desk);
    } else {
        desk.hint_at = Some(now);
    }
}

/// Whether the words are over the canvas.
pub(crate) fn is_shown(desk: &Desk) -> bool {
    desk.hint_shown && desk.question.is_none() && desk.naming.is_none()
}

pub(crate) fn show(desk: &Desk, ui: &Ui, acts: &mut Vec<Act>) {
    if !is_shown(desk) {
        return;
    }
    let place = desk.canvas.center_top() + vec2(0.0, 16.0);
    let area = Area::new(Id::unique("first steps"))
        .order(Order::Middle)
        .pivot(Align2::CENTER_TOP)
        .fixed_pos(place)
        .accessible_name("What to do first");
    area.show(ui.ctx(), |ui| {
        Frame::popup(ui.style()).inner_margin(16).show(ui, |ui| {
            ui.set_max_width(470.0_f32.min(desk.canvas.width() - 40.0));
            ui.label(RichText::new("Three things to do first").heading());
            ui.add_space(4.0);
            Grid::new("first steps").num_columns(2).spacing([12.0, 6.0]).show(ui, |ui| {
                for (key, what) in if desk.scene().painting.is_some() { PAINTED } else { BLANK } {
                    ui.label(RichText::new(key).strong());
                    ui.label(what);
                    ui.end_row();
                }
            });
            ui.add_space(6.0);
            ui.horizontal(|ui| {
                let done = ui.button("Begin").on_hover_text("Close this; Help shows it again");
                if done.clicked() {
                    acts.push(Act::ToggleHint);
                }
                ui.weak("Open your own painting: Ctrl+O. All actions: F1.");
            });
        });
    });
}
