//! In step with the painting: its file is read, watched, and read again each time it was saved.

use crate::actions::acts::sentence;
use crate::desk::Desk;
use crate::files::{Done, file_name};
use crate::painting::tiles::Tiles;
use crate::painting::watch::{Change, Stamp, Watch};
use crate::painting::{Painted, frame_of};
use crate::painting::{lost, reframe};
use egui::Context;
use staffage_picture::{Limits, Picture, PictureError, Progress};
use staffage_scene::{Edit, Frame, History, Painting, Scene};
use std::path::{Path, PathBuf};

/// What is known of the painting's file beside its pixels.
#[derive(Default)]
pub(crate) struct InStep {
    watch: Option<Watch>,
    /// The file whose pixels are shown.
    shown: Option<PathBuf>,
    /// The file that was read last, and its state just before.
    read: Option<(PathBuf, Stamp)>,
    /// Why it is not shown as its file is now.
    pub(crate) stale: Option<Stale>,
    /// Files that may be the painting that is missing.
    pub(crate) lost: Vec<PathBuf>,
}

/// Why the painting is shown as it was, in a sentence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Stale {
    /// It cannot be read as it is now.
    Unreadable(String),
    /// Its file is not there.
    Gone(String),
}

/// A picture file that was read.
pub(crate) struct PictureRead {
    pub(crate) path: PathBuf,
    /// Its state just before.
    stamp: Stamp,
    result: Result<Box<Picture>, PictureError>,
}

/// Reads a picture on a thread of its own. Whatever else is being opened goes on.
pub(crate) fn read(
    desk: &mut Desk,
    ctx: &Context,
    sentence: String,
    path: PathBuf,
    done: impl FnOnce(PictureRead) -> Done + Send + 'static,
) {
    desk.worker.stop_those(&sentence);
    let side = u32::try_from(ctx.input(|i| i.max_texture_side)).unwrap_or(2048);
    desk.worker.start(ctx, sentence, true, move |progress: &Progress| {
        let stamp = Stamp::of(&path);
        let result = Picture::load(&path, &Limits::default(), side, progress).map(Box::new);
        done(PictureRead { path, stamp, result })
    });
}

/// Reads another painting for the scene.
pub(crate) fn choose(desk: &mut Desk, ctx: &Context, path: PathBuf) {
    let sentence = format!("Opening {}", file_name(&path));
    read(desk, ctx, sentence, path, Done::OtherPainting);
}

/// Reads the painting that the scene names.
pub(crate) fn load(desk: &mut Desk, ctx: &Context) {
    let Some(path) = desk.scene().painting.as_ref().map(|p| p.path.clone()) else {
        desk.painting = Painted::Blank;
        return;
    };
    if !shows(desk, &path) {
        desk.painting = Painted::Loading;
    }
    let sentence = format!("Loading {}", file_name(&path));
    read(desk, ctx, sentence, path, Done::Painting);
}

/// Watches the scene's painting, and reads it again each time it was saved.
pub(crate) fn follow(desk: &mut Desk, ctx: &Context) {
    let wanted = desk.scene().painting.as_ref().map(|p| p.path.clone());
    let in_step = &mut desk.in_step;
    if in_step.watch.as_ref().map(Watch::path) != wanted.as_deref() {
        in_step.watch = wanted.map(|path| Watch::start(ctx, &path));
        if let (Some(watch), Some((path, stamp))) = (&in_step.watch, &in_step.read)
            && watch.path() == path
        {
            watch.was_read(*stamp);
        }
    }
    match in_step.watch.as_ref().and_then(Watch::change) {
        Some(Change::Written) => load(desk, ctx),
        Some(Change::Gone) => say_gone(desk, ctx),
        None => {}
    }
}

/// Whether the pixels on the canvas are those of this file.
fn shows(desk: &Desk, path: &Path) -> bool {
    matches!(desk.painting, Painted::There(_)) && desk.in_step.shown.as_deref() == Some(path)
}

/// The painting that was there stays in sight when its file is gone, and the file is looked for.
fn say_gone(desk: &mut Desk, ctx: &Context) {
    let Some(path) = desk.scene().painting.as_ref().map(|p| p.path.clone()) else { return };
    if shows(desk, &path) {
        let name = file_name(&path);
        let words = format!("{name} is not there any more; it is shown as it was last.");
        desk.in_step.stale = Some(Stale::Gone(words));
        lost::look_for(desk, ctx, &path);
    }
}

/// Notes the state in which a file was read: what is written from then on is a change.
fn note(desk: &mut Desk, path: &Path, stamp: Stamp) {
    if let Some(watch) = desk.in_step.watch.as_ref().filter(|watch| watch.path() == path) {
        watch.was_read(stamp);
    }
    desk.in_step.read = Some((path.to_path_buf(), stamp));
}

/// Takes the scene's painting as it was read.
pub(crate) fn take(desk: &mut Desk, ctx: &Context, picture: PictureRead) {
    let PictureRead { path, stamp, result } = picture;
    if desk.scene().painting.as_ref().is_none_or(|p| p.path != path) {
        return;
    }
    note(desk, &path, stamp);
    match result {
        Ok(picture) => {
            show_again(desk, *picture, &path);
            tracing::debug!(path = %path.display(), "the painting is shown as it is now");
        }
        Err(PictureError::Missing { .. }) if shows(desk, &path) => say_gone(desk, ctx),
        // The last good picture stays while the file is half written, or cannot be read at all.
        Err(error) if shows(desk, &path) => {
            tracing::debug!(path = %path.display(), %error, "the painting cannot be read now");
            let name = file_name(&path);
            let words = format!(
                "{name} cannot be read as it is now, perhaps half written; it is shown as it was last and read again when \
                 it changes."
            );
            desk.in_step.stale = Some(Stale::Unreadable(words));
        }
        Err(error) => {
            desk.painting = Painted::Missing(error.to_string());
            lost::look_for(desk, ctx, &path);
        }
    }
}

/// Starts a new scene with a picture.
pub(crate) fn take_new(desk: &mut Desk, picture: PictureRead, beside: Option<PathBuf>) {
    let PictureRead { path, stamp, result } = picture;
    let picture = match result {
        Ok(picture) => *picture,
        Err(error) => {
            desk.notice = Some(error.to_string());
            return;
        }
    };
    let size = (picture.size().width, picture.size().height);
    let scene = Scene {
        title: path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default(),
        frame: frame_of(size),
        painting: Some(Painting { path: path.clone(), size }),
        ..Scene::default()
    };
    if let Err(flaw) = scene.validate() {
        desk.notice = Some(sentence(&flaw.to_string()));
        return;
    }
    desk.notice = None;
    desk.lay_out(History::new(scene), None);
    desk.beside = beside;
    note(desk, &path, stamp);
    show(desk, picture, &path);
}

/// Takes another painting for the scene.
pub(crate) fn take_other(desk: &mut Desk, picture: PictureRead) {
    let PictureRead { path, stamp, result } = picture;
    let picture = match result {
        Ok(picture) => *picture,
        Err(error) => {
            desk.notice = Some(error.to_string());
            return;
        }
    };
    reframe::remember(desk);
    let size = (picture.size().width, picture.size().height);
    let mut edits = vec![Edit::SetPainting(Some(Painting { path: path.clone(), size }))];
    let frame = desk.scene().frame;
    if frame.has_shape(size) {
        edits.push(Edit::SetFrame(Frame { working_width: size.0, ..frame }));
    } else if is_untouched(desk.scene()) {
        edits.push(Edit::SetFrame(frame_of(size)));
    }
    desk.edit(&Edit::Several { label: "Choose the painting".into(), edits });
    desk.fit_wanted = true;
    note(desk, &path, stamp);
    show(desk, picture, &path);
}

/// Whether nothing was placed yet that another shape of the frame could put in the wrong place.
fn is_untouched(scene: &Scene) -> bool {
    let Scene { lines, markers, stand_ins, guides, horizon, alternatives, .. } = scene;
    lines.is_empty()
        && markers.is_empty()
        && stand_ins.is_empty()
        && guides.is_empty()
        && horizon.is_none()
        && alternatives.is_empty()
}

fn show(desk: &mut Desk, picture: Picture, path: &Path) {
    desk.in_step.stale = None;
    desk.in_step.lost.clear();
    desk.in_step.shown = Some(path.to_path_buf());
    desk.painting = Painted::There(Box::new(Tiles::new(picture, desk.remembered.smooth)));
}

/// Shows the painting as it is now without a flash of another view of it.
fn show_again(desk: &mut Desk, picture: Picture, path: &Path) {
    let size = picture.size();
    if !desk.scene().frame.has_shape((size.width, size.height)) {
        reframe::remember(desk);
    }
    let before = std::mem::replace(&mut desk.painting, Painted::Loading);
    show(desk, picture, path);
    if let (Painted::There(before), Painted::There(now)) = (before, &mut desk.painting) {
        now.come_after(before);
    }
}
