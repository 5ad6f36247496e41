//! What would help most, worked out beside the window's own work: the ledger is adjusted again for
//! every level.

use crate::actions::act::Act;
use crate::desk::Desk;
use crate::modes::mode::Mode;
use crate::thing::Thing;
use crate::worker::Worker;
use egui::{Button, Context, Ui};
use staffage_scene::{Scene, Span, Subject, Suggestion, suggestion};
use std::sync::Arc;

/// The suggestion for the scene on the desk.
pub(crate) struct Suggesting {
    worker: Worker<Latest>,
    latest: Option<Latest>,
}

/// The last suggestion that was worked out.
struct Latest {
    scene: Arc<Scene>,
    /// How many scenes had been put on the desk.
    laid_out: u64,
    suggestion: Option<Suggestion>,
}

impl Suggesting {
    pub(crate) fn new() -> Self {
        Self { worker: Worker::new(), latest: None }
    }

    pub(crate) fn is_busy(&self) -> bool {
        !self.worker.jobs().is_empty()
    }

    /// The latest suggestion for the scene on the desk; until a changed scene has been thought about,
    /// it is the one from before the change.
    fn latest(&self, desk: &Desk) -> Option<&Suggestion> {
        let latest = self.latest.as_ref().filter(|l| l.laid_out == desk.laid_out)?;
        latest.suggestion.as_ref().filter(|s| Thing::Of(s.at).exists(desk.scene()))
    }
}

/// Thinks about the scene on the desk once it has changed, one scene at a time and never in the middle
/// of a gesture.
pub(crate) fn follow(desk: &mut Desk, ctx: &Context) {
    let suggesting = &mut desk.suggesting;
    if let Some(latest) = suggesting.worker.results().pop() {
        suggesting.latest = Some(latest);
    }
    let scene = desk.history.present();
    let known = suggesting.latest.as_ref().is_some_and(|l| Arc::ptr_eq(&l.scene, scene));
    if known || suggesting.is_busy() || desk.history.in_gesture() {
        return;
    }
    let (scene, laid_out) = (Arc::clone(scene), desk.laid_out);
    suggesting.worker.start(ctx, "Thinking of what would help".into(), false, move |_| {
        let suggestion = suggestion(&scene);
        Latest { scene, laid_out, suggestion }
    });
}

/// The suggestion; pressing it makes the obvious first step. Whether there is one.
pub(crate) fn show(desk: &mut Desk, ui: &mut Ui, acts: &mut Vec<Act>) -> bool {
    let Some(suggestion) = desk.suggesting.latest(desk).cloned() else { return false };
    ui.weak("What would help most:");
    let step = match suggestion.at {
        Subject::Level(_) => "Go to Mark mode with this level chosen",
        _ => "Select it",
    };
    let response = ui
        .add(Button::new(&suggestion.sentence).frame_when_inactive(false).wrap())
        .on_hover_text(step)
        .accessible_name(format!("What would help most: {}", suggestion.sentence));
    let helped = || suggestion.helps.iter().map(|id| Subject::Marker(*id));
    if response.hovered() || response.has_focus() {
        desk.lit.extend(helped());
    }
    if response.clicked() {
        acts.extend(first_step(suggestion.at));
        acts.push(Act::Involve(helped().collect()));
    }
    true
}

/// The obvious first step towards a suggestion.
fn first_step(at: Subject) -> Vec<Act> {
    match at {
        Subject::Level(level) => {
            vec![Act::SetMode(Mode::Mark), Act::Run(Span::Upright), Act::StandOn(level)]
        }
        Subject::Marker(_)
        | Subject::Line(_)
        | Subject::Overlap(_)
        | Subject::StandIn(_)
        | Subject::Guide(_) => {
            vec![Act::Centre(Thing::Of(at))]
        }
    }
}
