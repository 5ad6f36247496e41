//! What the strip under the canvas says of handovers: how far the one under way is, with the way to
//! cancel it, and that an overlay is kept up to date.

use crate::actions::act::Act;
use crate::desk::Desk;
use crate::files::file_name;
use crate::handover::Order;
use crate::handover::errands::Running;
use crate::handover::handing::{self, HandAct};
use egui::{Button, Color32, ProgressBar, TextStyle, Ui};
use std::time::Duration;

/// What ends sooner is not mentioned: it would only flicker.
const BRIEF: Duration = Duration::from_millis(250);
/// How often the bar moves.
const TICK: Duration = Duration::from_millis(60);
const BAR: f32 = 110.0;
const CANCEL: &str = "Cancel";
const FOLLOWS: &str = "Overlay follows";
const BEHIND: &str = "Overlay is behind";

/// The handover that is under way, once it has lasted.
pub(crate) fn lasting(desk: &Desk) -> Option<&Running> {
    desk.handing.errands.running().filter(|running| running.started.elapsed() >= BRIEF)
}

/// What is being done, in place of the mode's sentence.
pub(crate) fn sentence(desk: &Desk) -> Option<String> {
    let running = lasting(desk)?;
    Some(format!("{} – {:.0} %", running.errand.words, 100.0 * running.progress.fraction()))
}

/// The word that stands while an overlay is kept up to date.
fn kept_word(desk: &Desk) -> Option<&'static str> {
    let word = if desk.handing.is_behind() { BEHIND } else { FOLLOWS };
    desk.handing.settings.kept.then_some(word)
}

/// The room that [`show`] takes, points.
pub(crate) fn width(desk: &Desk, ui: &Ui) -> f32 {
    let button = |word: &str| {
        let font = TextStyle::Button.resolve(ui.style());
        let text = ui.painter().layout_no_wrap(word.into(), font, Color32::PLACEHOLDER).size().x;
        text + 2.0 * ui.spacing().button_padding.x + ui.spacing().item_spacing.x
    };
    let bar = lasting(desk).map(|_| BAR + ui.spacing().item_spacing.x + button(CANCEL));
    bar.unwrap_or(0.0) + kept_word(desk).map_or(0.0, button)
}

/// The bar, its button and the word, from the right.
pub(crate) fn show(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    if let Some(word) = kept_word(desk) {
        let place = handing::target(desk).map(|p| p.display().to_string()).unwrap_or_default();
        let tip = match desk.handing.is_behind() {
            true => format!(
                "“{place}” could not be written; it is tried again at the next change. Click to stop."
            ),
            false => format!("“{place}” is written again after each change. Click to stop."),
        };
        let button = ui.add(Button::selectable(true, word).small()).on_hover_text(tip);
        if button.clicked() {
            acts.push(Act::Hand(HandAct::Keep(false)));
        }
    }
    if desk.handing.errands.is_busy() {
        ui.ctx().request_repaint_after(TICK);
    }
    let Some(running) = lasting(desk) else { return };
    let tip = match &running.errand.order {
        Order::Overlay(order) => {
            format!("Nothing half-written is left of {}", file_name(&order.path))
        }
        Order::Product(order) => {
            format!("Nothing half-written is left of {}", file_name(&order.path))
        }
        Order::Level(_) | Order::BringBack { .. } | Order::Layers(_) => {
            "Nothing half-written is left".into()
        }
        _ => "Nothing half-done is left".into(),
    };
    let cancel = ui.add(Button::new(CANCEL).small()).on_hover_text(tip);
    if cancel.accessible_name("Cancel the handover").clicked() {
        acts.push(Act::Hand(HandAct::Cancel));
    }
    let bar = ProgressBar::new(running.progress.fraction()).desired_width(BAR).desired_height(8.0);
    ui.add(bar).accessible_name("How far the handover is");
}
