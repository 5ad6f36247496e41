//! Unsaved work is put aside from time to time, so that a crash or a power cut costs little.

use crate::actions::act::Act;
use crate::actions::acts::sentence;
use crate::choice::SCENE_ENDING;
use crate::desk::Desk;
use crate::files::{Done, as_kept};
use egui::Context;
use staffage_scene::{FileError, Scene, autosave, autosave_path, load};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, SystemTime};

/// Seconds between two times of putting aside: what a crash may cost.
const EVERY: f64 = 5.0;
/// A scene without a file is put aside as if this were its name, with a number where others are.
const UNTITLED: &str = "untitled";

/// Unsaved work from before that has no file. Going on with other work does it no harm, so that it is
/// offered in a line.
pub(crate) struct LeftBehind {
    /// Where it was put aside beside.
    place: PathBuf,
    /// What it is called.
    name: String,
    /// When it was put aside.
    age: String,
}

impl LeftBehind {
    /// What it is, and what can become of it.
    pub(crate) fn note(&self) -> (String, [(&'static str, Act); 3]) {
        let Self { place, name, age } = self;
        let sentence = format!(
            "There is unsaved work on “{name}”, put aside {age}: the program or the machine stopped before \
             it was saved."
        );
        let answers = [
            ("Take it", Act::TakeLeftBehind(place.clone())),
            ("Throw it away", Act::ThrowAway(place.clone())),
            ("Later", Act::LeaveBehind),
        ];
        (sentence, answers)
    }
}

impl Desk {
    /// Says where unsaved scenes without a file are put aside, and offers what was left there.
    pub fn keep_unsaved_in(&mut self, folder: PathBuf) {
        let places = |n: usize| folder.join(file_name(n));
        // What was left behind stays until somebody has said what is to become of it.
        self.untitled = (1..).map(places).find(|place| !autosave_path(place).exists());
        self.left_behind = left_behind(&folder).and_then(|place| self.offer(place));
        self.aside_folder = Some(folder);
    }

    /// Work that was left behind, if it can be read.
    fn offer(&mut self, place: PathBuf) -> Option<LeftBehind> {
        let file = autosave_path(&place);
        match load(&file) {
            Ok(scene) => {
                let written = written(&file)?;
                Some(LeftBehind { place, name: name(&scene), age: age(written) })
            }
            Err(error) => {
                self.notice = Some(sentence(&error.to_string()));
                None
            }
        }
    }
}

fn file_name(n: usize) -> String {
    match n {
        1 => format!("{UNTITLED}.{SCENE_ENDING}"),
        n => format!("{UNTITLED} {n}.{SCENE_ENDING}"),
    }
}

/// Where the latest work without a file was put aside beside by a session that did not end well.
fn left_behind(folder: &Path) -> Option<PathBuf> {
    let places = fs::read_dir(folder).ok()?.flatten().filter_map(|entry| {
        let name = entry.file_name();
        let stem = name.to_str()?.strip_suffix(".autosave.ron")?;
        stem.starts_with(UNTITLED).then(|| folder.join(format!("{stem}.{SCENE_ENDING}")))
    });
    places.max_by_key(|place| written(&autosave_path(place)))
}

/// What to call a scene that has no file: its title, else its painting's name.
fn name(scene: &Scene) -> String {
    let stem = scene.painting.as_ref().and_then(|p| p.path.file_stem());
    match stem {
        _ if !scene.title.is_empty() => scene.title.clone(),
        Some(stem) => stem.to_string_lossy().into_owned(),
        None => UNTITLED.into(),
    }
}

/// How long ago that was, in words.
fn age(written: SystemTime) -> String {
    // A clock that was set back since makes it "just now".
    let minutes = written.elapsed().unwrap_or_default().as_secs() / 60;
    let ago = |n: u64, one: &str| format!("{n} {one}{} ago", if n == 1 { "" } else { "s" });
    match minutes {
        0 => "just now".into(),
        n if n < 60 => ago(n, "minute"),
        n if n < 48 * 60 => ago(n / 60, "hour"),
        n => ago(n / (24 * 60), "day"),
    }
}

fn written(path: &Path) -> Option<SystemTime> {
    path.metadata().ok()?.modified().ok()
}

/// Removes work that was left behind: it is not wanted.
pub(crate) fn throw_away(desk: &mut Desk, place: &Path) {
    desk.left_behind = None;
    if let Err(error) = fs::remove_file(autosave_path(place)) {
        desk.notice = Some(format!("The unsaved work could not be thrown away: {error}."));
    }
}

/// Where the scene is put aside beside, if anywhere.
fn place(desk: &Desk) -> Option<PathBuf> {
    desk.path.clone().or_else(|| desk.untitled.clone())
}

/// Puts the scene aside when it has changed and some time has passed.
pub(crate) fn keep(desk: &mut Desk, ctx: &Context) {
    let present = Arc::clone(desk.history.present());
    let known = desk.autosaved.as_ref().is_some_and(|a| Arc::ptr_eq(a, &present));
    let idle =
        !desk.history.in_gesture() && desk.worker.jobs().is_empty() && desk.question.is_none();
    if known || !idle {
        return;
    }
    if !desk.is_changed() {
        forget_if_saved(desk);
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
        let result = autosave(&path, &as_kept(&present, &path));
        Done::Autosaved { path, result }
    });
}

/// Takes the result of putting aside, which may come when the work was saved or given up already.
pub(crate) fn take_kept(desk: &Desk, path: &Path, result: Result<(), FileError>) {
    if let Err(error) = result {
        tracing::warn!(%error, "unsaved work could not be put aside");
    }
    if place(desk).as_deref() != Some(path) || !desk.is_changed() {
        remove(path);
    }
}

/// Removes what this session put aside of the scene when the scene is again as it was saved.
pub(crate) fn forget_if_saved(desk: &mut Desk) {
    if desk.autosaved.is_some() && !desk.is_changed() {
        forget(desk);
    }
}

/// Removes what was put aside: it was saved, or given up on purpose.
pub(crate) fn forget(desk: &mut Desk) {
    // What is on the desk now is not to be put aside again.
    desk.autosaved = Some(Arc::clone(desk.history.present()));
    if let Some(path) = place(desk) {
        remove(&path);
    }
}

fn remove(path: &Path) {
    // Usually there is none.
    fs::remove_file(autosave_path(path)).ok();
}

/// Whether later work than the scene's file was put aside beside it.
pub(crate) fn is_newer_than(path: &Path) -> bool {
    match (written(&autosave_path(path)), written(path)) {
        (Some(aside), Some(saved)) => aside > saved,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_scene::Painting;

    #[test]
    fn an_age_is_told_in_the_unit_that_suits_it() {
        let words = |minutes: u64| age(SystemTime::now() - Duration::from_secs(60 * minutes + 5));
        assert_eq!(words(0), "just now");
        assert_eq!(words(1), "1 minute ago");
        assert_eq!(words(150), "2 hours ago");
        assert_eq!(words(3 * 24 * 60), "3 days ago");
    }

    #[test]
    fn work_without_a_title_is_called_after_its_painting() {
        let painting = Painting { path: "art/quay.png".into(), size: (400, 200) };
        let scene = Scene { painting: Some(painting), ..Scene::default() };
        assert_eq!(name(&scene), "quay");
        assert_eq!(name(&Scene { title: "building".into(), ..scene }), "building");
    }
}
