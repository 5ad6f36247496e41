//! Unsaved work is put aside from time to time, so that a crash or a power cut costs little.

use crate::desk::Desk;
use crate::files::{Done, as_kept};
use crate::questions::Question;
use egui::Context;
use staffage_scene::{autosave, autosave_path};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, SystemTime};

/// Seconds between two times of putting aside: what a crash may cost.
const EVERY: f64 = 15.0;
/// A scene without a file is put aside as if this were its name.
const UNTITLED: &str = "untitled.ron";

impl Desk {
    /// Says where unsaved scenes without a file are put aside, and offers what was left there.
    pub fn keep_unsaved_in(&mut self, folder: PathBuf) {
        let untitled = folder.join(UNTITLED);
        self.aside_folder = Some(folder);
        if autosave_path(&untitled).exists() {
            self.question = Some(Question::Recover { path: untitled });
        }
    }
}

/// Where the scene is put aside beside, if anywhere.
fn place(desk: &Desk) -> Option<PathBuf> {
    desk.path.clone().or_else(|| desk.aside_folder.as_ref().map(|f| f.join(UNTITLED)))
}

/// Whether this is where scenes without a file are put aside.
pub(crate) fn is_untitled(desk: &Desk, path: &Path) -> bool {
    desk.aside_folder.as_ref().is_some_and(|f| f.join(UNTITLED) == path)
}

/// Puts the scene aside when it has changed and some time has passed.
pub(crate) fn keep(desk: &mut Desk, ctx: &Context) {
    let present = Arc::clone(desk.history.present());
    let known = desk.autosaved.as_ref().is_some_and(|a| Arc::ptr_eq(a, &present));
    let idle = !desk.history.in_gesture() && !desk.is_busy() && desk.question.is_none();
    if known || !idle || !desk.is_changed() {
        return;
    }
    let Some(path) = place(desk) else { return };
    let now = ctx.input(|i| i.time);
    let left = desk.autosaved_at + EVERY - now;
    if left > 0.0 {
        ctx.request_repaint_after(Duration::from_secs_f64(left));
        return;
    }
    desk.autosaved_at = now;
    desk.autosaved = Some(Arc::clone(&present));
    desk.worker.start(ctx, "Keeping unsaved work".into(), false, move |_| {
        if let Some(folder) = path.parent() {
            // If this fails, so does what follows, and that is reported.
            fs::create_dir_all(folder).ok();
        }
        Done::Autosaved { result: autosave(&path, &as_kept(&present, &path)) }
    });
}

/// Removes what was put aside: it was saved, or given up on purpose.
pub(crate) fn forget(desk: &mut Desk) {
    // What is on the desk now is not to be put aside again.
    desk.autosaved = Some(Arc::clone(desk.history.present()));
    if let Some(path) = place(desk) {
        // Usually there is none.
        fs::remove_file(autosave_path(&path)).ok();
    }
}

/// Whether later work than the scene's file was put aside beside it.
pub(crate) fn is_newer_than(path: &Path) -> bool {
    let written = |p: &Path| -> Option<SystemTime> { p.metadata().ok()?.modified().ok() };
    match (written(&autosave_path(path)), written(path)) {
        (Some(aside), Some(saved)) => aside > saved,
        _ => false,
    }
}
