//! What the desk must ask, and the pages of help: small windows over everything else.

use crate::actions::act::Act;
use crate::aside;
use crate::choice::Choice;
use crate::desk::Desk;
use crate::files::{file_name, free_place};
use crate::painting::ladder;
use crate::properties::scene_properties::working_width;
use crate::typed;
use egui::{Context, Id, Key, Modal, RichText, TextEdit, Ui};
use staffage_scene::{FRAME_RATIOS, Frame, RATIO, WORKING_WIDTHS};
use std::path::{Path, PathBuf};

/// A question that is open.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Question {
    /// Unsaved changes would be lost.
    Unsaved {
        /// What was wanted.
        then: Box<Act>,
    },
    /// The path of a file, where no dialog can be shown.
    Path {
        /// What the file is for.
        choice: Choice,
        /// What is typed so far.
        text: String,
    },
    /// There is a file where the scene is to be saved.
    Replace {
        /// The file.
        path: PathBuf,
    },
    /// Shape and width of a new blank frame.
    NewFrame {
        /// Width over height, as typed.
        ratio: String,
        /// Working width, as typed.
        width: String,
    },
    /// There is unsaved work from before beside the scene that was opened.
    Recover {
        /// The scene.
        path: PathBuf,
    },
}

impl Question {
    pub(crate) fn path(choice: Choice) -> Self {
        let text = match &choice {
            Choice::SaveScene { suggested }
            | Choice::Overlay { suggested }
            | Choice::Place { suggested, .. }
            | Choice::Product { suggested, .. } => suggested.display().to_string(),
            Choice::Open | Choice::Painting | Choice::SizeBook | Choice::LevelledCopy => {
                String::new()
            }
        };
        Self::Path { choice, text }
    }

    pub(crate) fn new_frame(frame: Frame) -> Self {
        let ratio = format!("{:.2}", frame.ratio);
        Self::NewFrame { ratio, width: frame.working_width.to_string() }
    }
}

/// Stops the window from closing over unsaved changes, and asks.
pub(crate) fn on_close_request(desk: &mut Desk, ctx: &Context) {
    if !ctx.input(|i| i.viewport().close_requested()) {
        return;
    }
    aside::forget_if_saved(desk);
    if !desk.may_close && desk.is_changed() {
        ctx.send_viewport_cmd(egui::ViewportCommand::CancelClose);
        desk.act(ctx, Act::Quit);
        ctx.request_repaint();
    }
}

pub(crate) fn show(desk: &mut Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    help(desk, ui, acts);
    let Some(mut question) = desk.question.take() else { return };
    let mut open = true;
    let modal = sheet(ui, "question").show(ui, |ui| {
        ui.set_max_width(460.0);
        open = match &mut question {
            Question::Unsaved { then } => unsaved(desk, ui, then, acts),
            Question::Path { choice, text } => path(desk, ui, choice, text, acts),
            Question::Replace { path } => replace(ui, path, acts),
            Question::NewFrame { ratio, width } => new_frame(ui, ratio, width, acts),
            Question::Recover { path } => recover(ui, path, acts),
        };
    });
    if modal.should_close() {
        acts.push(Act::Stay);
    } else if open {
        desk.question = Some(question);
    }
}

/// A small window in the middle, over everything else.
fn sheet(ui: &Ui, name: &str) -> Modal {
    Modal::new(Id::unique(name)).frame(egui::Frame::popup(ui.style()).inner_margin(20))
}

/// Whether the question is still open.
fn unsaved(desk: &Desk, ui: &mut Ui, then: &Act, acts: &mut Vec<Act>) -> bool {
    ui.heading(format!("{} has changes that are not saved.", desk.name()));
    ui.add_space(8.0);
    let mut open = true;
    ui.horizontal(|ui| {
        let then = || Box::new(then.clone());
        for (word, act) in [
            ("Save", Act::SaveThen(then())),
            ("Don’t save", Act::WithoutSaving(then())),
            ("Stay", Act::Stay),
        ] {
            let button = ui.button(word);
            if word == "Save" && ui.memory(|m| m.focused().is_none()) {
                button.request_focus();
            }
            if button.clicked() {
                acts.push(act);
                open = false;
            }
        }
    });
    open
}

fn path(desk: &Desk, ui: &mut Ui, choice: &Choice, text: &mut String, acts: &mut Vec<Act>) -> bool {
    ui.heading(choice.title());
    ui.weak(match choice {
        Choice::Open | Choice::Painting => {
            "No file dialog could be shown here: type the path, or drop the file on the window."
        }
        Choice::SizeBook
        | Choice::LevelledCopy
        | Choice::SaveScene { .. }
        | Choice::Product { .. }
        | Choice::Place { .. }
        | Choice::Overlay { .. } => "No file dialog could be shown here: type the path.",
    });
    let field = TextEdit::singleline(text).hint_text("/folder/file").desired_width(430.0);
    let field = ui.add(field).accessible_name("Path");
    let mut taken = field.lost_focus() && ui.input(|i| i.key_pressed(Key::Enter));
    if ui.memory(|m| m.focused().is_none()) {
        field.request_focus();
    }
    if *choice == Choice::Open {
        for recent in desk.remembered.recent.iter().take(5) {
            let shown = RichText::new(recent.display().to_string()).weak();
            if ui.add(egui::Button::new(shown).frame(false).truncate()).clicked() {
                *text = recent.display().to_string();
                taken = true;
            }
        }
    }
    let mut stay = false;
    ui.horizontal(|ui| {
        taken |= ui.button(choice.verb()).clicked();
        stay = ui.button("Cancel").clicked();
    });
    if stay {
        acts.push(Act::Stay);
    } else if taken && !text.trim().is_empty() {
        acts.push(Act::Chosen(choice.clone(), PathBuf::from(text.trim())));
        return false;
    }
    !stay
}

fn replace(ui: &mut Ui, path: &Path, acts: &mut Vec<Act>) -> bool {
    ui.heading(format!("{} exists.", file_name(path)));
    if let Some(folder) = path.parent().filter(|folder| !folder.as_os_str().is_empty()) {
        ui.weak(format!("It lies in {}.", folder.display()));
    }
    ui.add_space(8.0);
    let mut open = true;
    ui.horizontal(|ui| {
        let other = Choice::SaveScene { suggested: free_place(path) };
        for (word, act) in
            [("Replace it", Act::SaveAs(path.to_path_buf())), ("Another name", Act::Choose(other))]
        {
            if ui.button(word).clicked() {
                acts.push(act);
                open = false;
            }
        }
    });
    open
}

fn new_frame(ui: &mut Ui, ratio: &mut String, width: &mut String, acts: &mut Vec<Act>) -> bool {
    ui.heading("A new blank frame");
    ui.add_space(4.0);
    ui.horizontal(|ui| {
        ui.label("shape");
        let field = TextEdit::singleline(ratio).desired_width(60.0);
        ui.add(field).accessible_name("Ratio");
        ui.label(": 1");
    });
    ui.horizontal_wrapped(|ui| {
        for shape in FRAME_RATIOS {
            if ui.small_button(shape.name).on_hover_text(shape.source).clicked() {
                *ratio = format!("{:.3}", shape.ratio).trim_end_matches('0').to_owned();
            }
        }
    });
    ui.horizontal(|ui| {
        ui.label("worked at");
        let field = TextEdit::singleline(width).desired_width(70.0);
        ui.add(field).accessible_name("Width in pixels");
        ui.label("px wide");
        for rung in WORKING_WIDTHS {
            let tip = format!("Worked at {rung} px wide");
            if ui.small_button(rung.to_string()).on_hover_text(tip).clicked() {
                *width = rung.to_string();
            }
        }
    });
    let read = typed::factor(ratio).filter(|r| RATIO.contains(r)).zip(working_width(width));
    ui.weak(match read {
        Some((ratio, working_width)) => ladder::pixels(Frame { ratio, working_width }),
        None => "Type a shape and a width.".into(),
    });
    ui.add_space(8.0);
    let mut open = true;
    ui.horizontal(|ui| {
        let start = ui.add_enabled(read.is_some(), egui::Button::new("Start"));
        let entered = ui.input(|i| i.key_pressed(Key::Enter));
        if let (true, Some((ratio, width))) = (start.clicked() || entered, read) {
            acts.push(Act::New { ratio, width });
            open = false;
        }
        if ui.button("Cancel").clicked() {
            acts.push(Act::Stay);
            open = false;
        }
    });
    open
}

fn recover(ui: &mut Ui, path: &Path, acts: &mut Vec<Act>) -> bool {
    ui.heading("There is later work on this scene that was not saved.");
    ui.weak("The program or the machine stopped before it could be saved.");
    ui.add_space(8.0);
    let mut open = true;
    ui.horizontal(|ui| {
        if ui.button("Take the later work").clicked() {
            acts.push(Act::Recover(path.to_path_buf()));
            open = false;
        }
        if ui.button("Stay with what was saved").clicked() {
            acts.push(Act::StayWithSaved);
            open = false;
        }
    });
    open
}

fn help(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    if desk.caution_shown {
        let shown = sheet(ui, "caution").show(ui, caution_page);
        if shown.should_close() || shown.inner {
            acts.push(Act::ToggleCaution);
        }
    }
}

fn caution_page(ui: &mut Ui) -> bool {
    ui.set_max_width(440.0);
    ui.heading("What the numbers are for");
    for words in [
        "They guide pictures: they say how far off and how large the painted things read to a viewer, and how sure that is.",
        "They follow from what you traced and said. A wrong line or a wrong size makes them wrong, and the ledger can only notice what something else tests.",
        "Nothing here is a survey, a structural check or a measure of a real place. Do not build, buy or judge safety by it.",
    ] {
        ui.add_space(4.0);
        ui.label(words);
    }
    ui.add_space(8.0);
    ui.button("Close").clicked()
}
