//! Words on the canvas: live answers, what is being loaded, what went wrong.

use crate::actions::act::Act;
use crate::book_notes;
use crate::canvas::first_steps;
use crate::canvas::gesture::Gesture;
use crate::desk::Desk;
use crate::eye::eye_hit;
use crate::files::file_name;
use crate::handover::handing::HandAct;
use crate::modes::guide_mode;
use crate::modes::mode::Mode;
use crate::painting::Painted;
use crate::painting::frame_question;
use crate::painting::in_step::Stale;
use crate::painting::lost;
use crate::painting::reframe::seen;
use crate::properties::tying;
use crate::sentences;
use crate::thing::Thing;
use crate::worker::Job;
use egui::{
    Align2, Area, Color32, CornerRadius, FontId, Id, Order, Painter, Pos2, Response, Ui, vec2,
};
use staffage_picture::Stage;
use staffage_scene::{Edit, EyeByHand, Frame, Pull, Scene, Subject};
use std::path::Path;
use std::time::Duration;

/// Behind words that are painted straight on the canvas.
const PLATE: Color32 = Color32::from_rgba_premultiplied(14, 15, 16, 215);
/// The first step on a painting: without lines nothing is known of the eye.
const BEGIN: &str = "Begin with Line (2): trace a few plumb and level edges.";
/// Work shorter than this is not mentioned.
const BRIEF: Duration = Duration::from_millis(250);
/// Widest note, points.
const WIDEST: f32 = 520.0;

pub(crate) fn show(desk: &mut Desk, ui: &mut Ui, canvas: &Response) {
    let painter = ui.painter().with_clip_rect(desk.canvas);
    welcome(desk, &painter);
    about_to_drop(desk, &painter);
    let pointer = canvas.hover_pos().or_else(|| canvas.interact_pointer_pos());
    if let Some(at) = desk.crosshair_at().or(pointer) {
        live_answer(desk, &painter, at);
    }
    let mut acts = Vec::new();
    if desk.hint_shown && canvas.clicked() {
        acts.push(Act::ToggleHint);
    }
    first_steps::show(desk, ui, &mut acts);
    notes(desk, ui, &mut acts);
    for act in acts {
        desk.act(ui.ctx(), act);
        ui.ctx().request_repaint();
    }
}

/// What to do on an empty frame, and what to begin with on a painting.
fn welcome(desk: &Desk, painter: &Painter) {
    let scene = desk.scene();
    let traced = !scene.lines.is_empty() || scene.horizon.is_some();
    let drawn = !scene.stand_ins.is_empty() || !scene.guides.is_empty();
    let empty = !traced && !drawn && scene.markers.is_empty() && desk.crosshair.is_none();
    let eye_taken_up = scene.eye != EyeByHand::default() || eye_hit::in_hand(desk);
    let elsewhere = first_steps::is_shown(desk);
    if !empty || eye_taken_up || elsewhere || desk.gesture != Gesture::Idle {
        return;
    }
    if matches!(desk.painting, Painted::There(_)) && desk.mode == Mode::Look {
        let at = desk.canvas.center_top() + vec2(0.0, 12.0);
        let words = [BEGIN.to_owned()];
        plate(painter, at, Align2::CENTER_TOP, &words, 14.0);
    }
    if matches!(desk.painting, Painted::Blank) {
        let lines = [
            "A blank frame.".to_owned(),
            "Drop a painting here or open one (Ctrl+O),".to_owned(),
            "or drag the horizon and stand figures in (5).".to_owned(),
        ];
        // Clear of the horizon, which is there to be dragged.
        let at = desk.canvas.center_top() + vec2(0.0, 12.0);
        plate(painter, at, Align2::CENTER_TOP, &lines, 14.0);
    }
}

/// Over the canvas while a file is held over the window.
fn about_to_drop(desk: &Desk, painter: &Painter) {
    if painter.ctx().input(|i| !i.raw.hovered_files.is_empty()) {
        painter.rect_filled(desk.canvas, 0, Color32::from_black_alpha(110));
        let words = ["Drop the painting or the scene to open it.".to_owned()];
        plate(painter, desk.canvas.center(), Align2::CENTER_CENTER, &words, 15.0);
    }
}

/// What the gesture under way comes to, beside the pointer.
fn live_answer(desk: &Desk, painter: &Painter, at: Pos2) {
    let lines = answer_lines(desk, at);
    if !lines.is_empty() {
        let left = at.x > desk.canvas.right() - 280.0;
        // Under the pointer: over it is what is being drawn, with its label.
        let (offset, align) = if left {
            (vec2(-20.0, 20.0), Align2::RIGHT_TOP)
        } else {
            (vec2(20.0, 20.0), Align2::LEFT_TOP)
        };
        plate(painter, at + offset, align, &lines, 13.0);
    }
}

fn answer_lines(desk: &Desk, at: Pos2) -> Vec<String> {
    let scene = desk.scene();
    match &desk.gesture {
        Gesture::Trace { id: Some(id), .. } => about(Thing::line(*id), desk),
        Gesture::Trace { id: None, .. } if desk.history.in_gesture() => eye_lines(desk),
        Gesture::Raise { id, .. } => about(Thing::marker(*id), desk),
        Gesture::Move { grip, .. } => match grip.thing {
            Thing::Horizon => eye_lines(desk),
            thing => about(thing, desk),
        },
        Gesture::Pull(pulling) if desk.history.in_gesture() => {
            let said = sentences::description(pulling.hold.thing, desk.scene(), desk.assessment());
            let lens = matches!(pulling.pull, Some(Pull::Stretch(..)));
            [said].into_iter().chain(lens.then(|| eye_by_hand(desk))).collect()
        }
        Gesture::Lens { .. } => vec![eye_by_hand(desk)],
        Gesture::Link { front, .. } => {
            vec![format!("{} is in front of …", crate::thing::marker_name(*front, scene))]
        }
        Gesture::Tie { id, by } => tying::answer(desk, *id, *by, at).into_iter().collect(),
        Gesture::Guide { id, .. } => about(Thing::guide(*id), desk),
        Gesture::Idle => guide_mode::measuring_words(desk, at),
        _ => Vec::new(),
    }
}

fn about(thing: Thing, desk: &Desk) -> Vec<String> {
    if !thing.exists(desk.scene()) {
        return Vec::new();
    }
    let said = sentences::description(thing, desk.scene(), desk.assessment());
    let mut lines = vec![said];
    if matches!(thing, Thing::Of(Subject::Line(_))) {
        lines.extend(eye_lines(desk));
    }
    lines
}

/// The eye, each quantity with where it comes from.
fn eye_by_hand(desk: &Desk) -> String {
    sentences::eye_with_sureness(desk.assessment(), desk.scene())
}

fn eye_lines(desk: &Desk) -> Vec<String> {
    vec![sentences::eye_with_spread(&desk.assessment().eye)]
}

/// Light words on a dark plate, read on any painting.
pub(crate) fn plate(painter: &Painter, at: Pos2, align: Align2, lines: &[String], size: f32) {
    let galley =
        painter.layout_no_wrap(lines.join("\n"), FontId::proportional(size), Color32::WHITE);
    let rect = align.anchor_size(at, galley.size() + vec2(14.0, 8.0));
    painter.rect_filled(rect, CornerRadius::same(4), PLATE);
    painter.galley(rect.min + vec2(7.0, 4.0), galley, Color32::WHITE);
}

/// Notes with something to press, stacked in the lower left corner.
fn notes(desk: &Desk, ui: &Ui, acts: &mut Vec<Act>) {
    Area::new(Id::unique("notes"))
        .order(Order::Middle)
        .pivot(Align2::LEFT_BOTTOM)
        .fixed_pos(desk.canvas.left_bottom() + vec2(10.0, -10.0))
        .accessible_name("Notes")
        .show(ui.ctx(), |ui| {
            ui.set_max_width(WIDEST.min(desk.canvas.width() - 20.0));
            frame_question::show(desk, ui, acts);
            match &desk.in_step.stale {
                Some(Stale::Unreadable(why)) => quiet(ui, why),
                Some(Stale::Gone(why)) => lost::note(desk, why, ui, acts),
                None => {}
            }
            if let Some(size) = desk.painting.resized(desk.scene()) {
                resized_note(desk.scene(), size, ui, acts);
            }
            if let Painted::Missing(why) = &desk.painting {
                let why = format!("{why} The scene can be used without its painting.");
                lost::note(desk, &why, ui, acts);
            }
            book_notes::show(desk, ui, acts);
            if let Some(scene) = &desk.beside {
                beside_note(scene, ui, acts);
            }
            if let Some(left) = &desk.left_behind {
                let (sentence, answers) = left.note();
                note(ui, &sentence, answers, acts);
            }
            if let Some(notice) = &desk.notice {
                note(ui, notice, [("Dismiss", Act::DismissNotice)], acts);
            }
            if let Some(trouble) = &desk.handing.trouble {
                let dismiss = Act::Hand(HandAct::Dismiss);
                note(ui, trouble, [("Dismiss", dismiss)], acts);
            }
            for (sentence, fraction) in jobs(desk, ui) {
                let percent = fraction.map(|f| format!(" – {:.0} %", 100.0 * f));
                let sentence = format!("{sentence}{}", percent.unwrap_or_default());
                note(ui, &sentence, [("Stop", Act::Stop)], acts);
            }
        });
}

/// A line of text that nothing has to be done about.
fn quiet(ui: &mut Ui, words: &str) {
    let plate = egui::Frame::popup(ui.style()).inner_margin(egui::Margin::symmetric(8, 3));
    plate.show(ui, |ui| ui.weak(words));
}

/// The picture that was opened is the painting of a scene that is there already.
fn beside_note(scene: &Path, ui: &mut Ui, acts: &mut Vec<Act>) {
    let sentence = format!("{} lies beside it.", file_name(scene));
    let open = ("Open the scene", Act::Open(scene.to_path_buf()));
    note(ui, &sentence, [open, ("Start anew", Act::DismissBeside)], acts);
}

/// The painting was enlarged: nothing moves, but pixels are counted anew.
fn resized_note(scene: &Scene, size: (u32, u32), ui: &mut Ui, acts: &mut Vec<Act>) {
    let (width, was) = (size.0, scene.frame.working_width);
    let sentence =
        format!("The painting is now {width} px wide; the scene was worked at {was} px.");
    let frame = Frame { working_width: width, ..scene.frame };
    let label = format!("Work at {width} px");
    let edits = vec![Edit::SetFrame(frame), Edit::SetPainting(seen(scene, size))];
    let act = Act::Edit(Edit::Several { label: label.clone(), edits });
    note(ui, &sentence, [(label.as_str(), act)], acts);
}

/// What is under way, and how far it is where that is known. What ends at once is not mentioned: it
/// would only flicker.
fn jobs(desk: &Desk, ui: &Ui) -> Vec<(String, Option<f32>)> {
    let (lasting, fresh): (Vec<&Job>, Vec<&Job>) =
        desk.worker.jobs().iter().filter(|j| j.can_stop).partition(|j| j.started.elapsed() > BRIEF);
    if !fresh.is_empty() {
        ui.ctx().request_repaint_after(BRIEF);
    }
    lasting
        .into_iter()
        .map(|job| {
            let reading = job.progress.stage() == Stage::Decoding;
            (job.sentence.clone(), reading.then(|| job.progress.fraction_read()))
        })
        .collect()
}

/// A sentence and its answers.
pub(crate) fn note<'a>(
    ui: &mut Ui,
    sentence: &str,
    answers: impl IntoIterator<Item = (&'a str, Act)>,
    acts: &mut Vec<Act>,
) {
    let frame = egui::Frame::popup(ui.style()).inner_margin(egui::Margin::symmetric(12, 8));
    frame.show(ui, |ui| {
        ui.label(sentence);
        ui.horizontal_wrapped(|ui| {
            for (word, act) in answers {
                if ui.button(word).clicked() {
                    acts.push(act);
                }
            }
        });
    });
}
