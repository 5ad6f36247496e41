//! Opening and saving, on the worker's threads.

use crate::actions::act::Act;
use crate::actions::acts::sentence;
use crate::aside;
use crate::choice::{Choice, SCENE_ENDING};
use crate::desk::Desk;
use crate::handover::handing::HandAct;
use crate::handover::levelling::LevelAct;
use crate::handover::products::ProductAct;
use crate::painting::Painted;
use crate::painting::in_step::{self, PictureRead};
use crate::questions::Question;
use crate::{
    painting::{lost, reframe},
    size_book,
};
use egui::{Context, Ui};
use staffage_picture::{Match, Sketch};
use staffage_scene::{
    BookFileError, FileError, Frame, History, Scene, SizeBook, autosave_path, load, painting_path,
    plain_absolute, relative_painting, save as write_scene, size_book_path,
};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// What a job came to.
pub(crate) enum Done {
    /// A scene was read.
    Scene { path: PathBuf, how: Opening, result: Result<Box<Scene>, FileError> },
    /// The scene's painting was read.
    Painting(PictureRead),
    /// A picture to start a new scene with was read.
    NewPainting {
        picture: PictureRead,
        /// The scene beside it that has its name and shows it.
        beside: Option<PathBuf>,
    },
    /// A picture to be the present scene's painting was read.
    OtherPainting(PictureRead),
    /// Files that may be the painting that is missing at this path were looked for.
    Lost { path: PathBuf, found: Vec<PathBuf> },
    /// The old painting was looked for in the new one, for the question of this number.
    Matched { of: u64, old: Arc<Sketch>, found: Option<Match> },
    /// The scene's size book was read.
    SizeBook { path: PathBuf, result: Result<SizeBook, BookFileError> },
    /// The scene was written.
    Saved { path: PathBuf, scene: Arc<Scene>, result: Result<(), FileError> },
    /// Unsaved work was put aside.
    Autosaved { path: PathBuf, result: Result<(), FileError> },
}

/// Said of a copy that nobody asked for.
const DEMO: &str = "This is a demo. Open your own painting with Ctrl+O, or drop it here.";

/// How a scene that was read is put on the desk.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Opening {
    /// As the file it is.
    Itself,
    /// As a copy that is saved nowhere yet.
    Copy,
    /// As unsaved changes to the file beside it.
    Recovered,
    /// As unsaved work that has no file yet.
    LeftBehind,
}

impl Desk {
    /// Opens a scene or a picture, asking first if something would be lost.
    pub fn open(&mut self, ctx: &Context, path: PathBuf) {
        self.act(ctx, Act::Open(path));
    }

    /// Opens the scene that was open when the window was last closed; one that is gone is said to be, and the
    /// frame stays blank.
    pub fn open_last(&mut self, ctx: &Context) {
        let Some(path) = self.remembered.last.clone() else { return };
        if path.exists() {
            open_scene(self, ctx, path, Opening::Itself);
        } else {
            let place = path.display();
            self.notice = Some(format!(
                "“{place}”, which was open last, is not there any more. Ctrl+O opens another scene or a painting."
            ));
        }
    }

    /// Says where the demo scene is, which the Help menu opens.
    pub fn demo_is_at(&mut self, path: PathBuf) {
        self.demo = Some(path);
    }

    /// Opens the demo scene as a copy that is saved nowhere yet.
    pub fn open_demo(&mut self, ctx: &Context) {
        self.act(ctx, Act::OpenDemo);
    }

    /// A file that is to be chosen, once.
    pub fn wanted_choice(&mut self) -> Option<Choice> {
        self.choice.take()
    }

    /// The answer of a dialog to a choice; `None` if nothing was chosen. Dialogs ask by themselves
    /// before a file is replaced.
    pub fn chosen(&mut self, ctx: &Context, choice: &Choice, path: Option<PathBuf>) {
        let Some(path) = path else {
            self.after_save = None;
            return;
        };
        let asked_about = path.clone();
        take_choice(self, ctx, choice, path, Some(&asked_about));
    }

    /// Has the path typed in the window instead, where no dialog can be shown.
    pub fn ask_path(&mut self, choice: Choice) {
        self.question = Some(Question::path(choice));
    }
}

/// Does what a file was chosen for; asks before another file is replaced than the one that was
/// asked about already.
pub(crate) fn take_choice(
    desk: &mut Desk,
    ctx: &Context,
    choice: &Choice,
    path: PathBuf,
    asked_about: Option<&Path>,
) {
    let act = match choice {
        Choice::Open => Act::Open(path),
        Choice::Painting => Act::SetPainting(path),
        Choice::SizeBook => Act::SetSizeBook(Some(path)),
        Choice::SaveScene { .. } => {
            let path = with_scene_ending(path);
            let own = desk.path.as_ref().is_some_and(|own| is_same_file(own, &path));
            if path.exists() && !own && asked_about != Some(&path) {
                desk.question = Some(Question::Replace { path });
                return;
            }
            Act::SaveAs(path)
        }
        Choice::LevelledCopy => Act::Hand(HandAct::Level(LevelAct::BringBack(path))),
        Choice::Product { product, .. } => {
            Act::Hand(HandAct::Product(ProductAct::SendTo(*product, path)))
        }
        Choice::Place { placed, .. } => Act::Hand(HandAct::Place(*placed, path)),
        Choice::Overlay { .. } => {
            Act::Hand(HandAct::Set(desk.handing.settings.clone().written_to(path)))
        }
    };
    desk.act(ctx, act);
}

/// Why a file that is not there cannot be opened.
pub(crate) fn absent(path: &Path) -> String {
    format!("“{}” could not be opened: there is no such file or folder.", path.display())
}

/// Opens what was dropped on the window.
pub(crate) fn take_dropped(ui: &Ui, acts: &mut Vec<Act>) {
    let dropped = ui.input(|i| i.raw.dropped_files.clone());
    if let Some(file) = dropped.first() {
        acts.push(Act::Open(file.path().to_path_buf()));
    }
}

pub(crate) fn new_scene(desk: &mut Desk, frame: Frame) {
    desk.worker.stop();
    desk.painting = Painted::Blank;
    desk.notice = None;
    desk.lay_out(History::new(Scene { frame, ..Scene::default() }), None);
}

pub(crate) fn open(desk: &mut Desk, ctx: &Context, path: PathBuf) {
    desk.after_save = None;
    if is_scene(&path) {
        open_scene(desk, ctx, path, Opening::Itself);
    } else {
        let sentence = format!("Opening {}", file_name(&path));
        in_step::read(desk, ctx, sentence, path, |picture| {
            let beside = scene_beside(&picture.path);
            Done::NewPainting { beside, picture }
        });
    }
}

pub(crate) fn open_scene(desk: &mut Desk, ctx: &Context, path: PathBuf, how: Opening) {
    desk.worker.stop();
    let sentence = format!("Opening {}", file_name(&path));
    desk.worker.start(ctx, sentence, true, move |_| {
        let aside = matches!(how, Opening::Recovered | Opening::LeftBehind);
        let file = if aside { autosave_path(&path) } else { path.clone() };
        let result = load(&file).map(Box::new);
        Done::Scene { path, how, result }
    });
}

pub(crate) fn save(desk: &mut Desk, ctx: &Context) {
    match desk.path.clone() {
        Some(path) => save_as(desk, ctx, path),
        None => desk.choice = Some(Choice::SaveScene { suggested: suggested_path(desk) }),
    }
}

/// Where the scene is kept; for a new one a name that is free, beside the painting, and without a
/// folder when the painting is one of the program's own, where nobody would look for a scene.
pub(crate) fn suggested_path(desk: &Desk) -> PathBuf {
    if let Some(path) = &desk.path {
        return path.clone();
    }
    let painting = desk.scene().painting.as_ref().map(|p| p.path.as_path());
    let own = |folder: &&Path| desk.aside_folder.as_ref().is_some_and(|f| folder.starts_with(f));
    let folder = painting.and_then(Path::parent).filter(|f| !own(f)).unwrap_or(Path::new(""));
    let stem = match painting.and_then(Path::file_stem) {
        Some(stem) if desk.scene().title.is_empty() => stem.to_string_lossy().into_owned(),
        _ if desk.scene().title.is_empty() => "untitled".into(),
        _ => desk.scene().title.clone(),
    };
    free_place(&folder.join(format!("{}.{SCENE_ENDING}", stem.replace(['/', '\\', ':'], "-"))))
}

/// This path, with a number at the end of its name if there is such a file already.
pub(crate) fn free_place(path: &Path) -> PathBuf {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let numbered = |n: usize| path.with_file_name(format!("{stem} {n}.{SCENE_ENDING}"));
    let mut places = std::iter::once(path.to_path_buf()).chain((2..).map(numbered));
    places.find(|place| !place.exists()).unwrap_or_else(|| path.to_path_buf())
}

/// The scene beside a picture that has its name, if it shows this picture.
fn scene_beside(picture: &Path) -> Option<PathBuf> {
    let path = picture.with_extension(SCENE_ENDING);
    if !path.is_file() {
        return None;
    }
    let shown = painting_path(&path, &load(&path).ok()?)?;
    is_same_file(&shown, picture).then_some(path)
}

/// Whether two paths lead to one file.
fn is_same_file(a: &Path, b: &Path) -> bool {
    let real = |path: &Path| path.canonicalize().ok();
    a == b || real(a).is_some_and(|a| Some(a) == real(b))
}

pub(crate) fn save_as(desk: &mut Desk, ctx: &Context, path: PathBuf) {
    desk.history.commit();
    let scene = Arc::clone(desk.history.present());
    let sentence = format!("Saving {}", file_name(&path));
    desk.worker.start(ctx, sentence, false, move |_| {
        let result = write_scene(&path, &as_kept(&scene, &path));
        Done::Saved { path, scene, result }
    });
}

/// On the desk the paths of the painting and the size book are absolute; in a file they are relative
/// to the file's folder.
pub(crate) fn as_kept(scene: &Scene, path: &Path) -> Scene {
    let mut kept = scene.clone();
    let painting = kept.painting.as_mut().map(|painting| &mut painting.path);
    for place in painting.into_iter().chain(&mut kept.size_book) {
        if let Ok(relative) = relative_painting(path, place) {
            *place = relative;
        }
    }
    kept
}

/// The scene with the paths of its painting and its size book made absolute.
fn as_laid_out(mut scene: Scene, path: &Path) -> Scene {
    let absolute = |place: PathBuf| plain_absolute(&place).unwrap_or(place);
    let place = painting_path(path, &scene).map(absolute);
    if let (Some(painting), Some(place)) = (&mut scene.painting, place) {
        painting.path = place;
    }
    scene.size_book = size_book_path(path, &scene).map(absolute);
    scene
}

/// Takes the results of jobs that have ended.
pub(crate) fn take_results(desk: &mut Desk, ctx: &Context) {
    for done in desk.worker.results() {
        match done {
            Done::Scene { path, how, result } => take_scene(desk, ctx, path, how, result),
            Done::Painting(picture) => in_step::take(desk, ctx, picture),
            Done::Lost { path, found } => lost::take(desk, &path, found),
            Done::Matched { of, old, found } => reframe::take_match(desk, of, old, found),
            Done::NewPainting { picture, beside } => in_step::take_new(desk, picture, beside),
            Done::OtherPainting(picture) => in_step::take_other(desk, picture),
            Done::SizeBook { path, result } => size_book::take(desk, &path, result),
            Done::Saved { path, scene, result } => take_saved(desk, ctx, path, &scene, result),
            Done::Autosaved { path, result } => aside::take_kept(desk, &path, result),
        }
    }
}

fn take_scene(
    desk: &mut Desk,
    ctx: &Context,
    path: PathBuf,
    how: Opening,
    result: Result<Box<Scene>, FileError>,
) {
    let scene = match result {
        Ok(scene) => as_laid_out(*scene, &path),
        Err(error) => {
            desk.notice = Some(sentence(&error.to_string()));
            return;
        }
    };
    desk.painting = Painted::Blank;
    desk.notice = None;
    match how {
        Opening::Copy => {
            desk.lay_out(History::new(scene), None);
            desk.notice = Some(DEMO.into());
        }
        Opening::Recovered => desk.lay_out(History::unsaved(scene), Some(path)),
        Opening::LeftBehind => {
            desk.lay_out(History::unsaved(scene), None);
            desk.untitled = Some(path);
        }
        Opening::Itself => {
            desk.remembered.opened(&path);
            if aside::is_newer_than(&path) {
                desk.question = Some(Question::Recover { path: path.clone() });
            }
            desk.lay_out(History::new(scene), Some(path));
        }
    }
    in_step::load(desk, ctx);
}

fn take_saved(
    desk: &mut Desk,
    ctx: &Context,
    path: PathBuf,
    scene: &Arc<Scene>,
    result: Result<(), FileError>,
) {
    let after = desk.after_save.take();
    if let Err(error) = result {
        desk.notice = Some(sentence(&error.to_string()));
        return;
    }
    aside::forget(desk);
    desk.remembered.opened(&path);
    desk.told = Some(format!("Saved as “{}”.", path.display()));
    desk.beside = None;
    desk.path = Some(path);
    if Arc::ptr_eq(scene, desk.history.present()) {
        desk.history.mark_saved();
    }
    if let Some(act) = after {
        desk.act(ctx, act);
    }
}

fn is_scene(path: &Path) -> bool {
    path.extension().is_some_and(|e| e.eq_ignore_ascii_case(SCENE_ENDING))
}

fn with_scene_ending(path: PathBuf) -> PathBuf {
    if is_scene(&path) {
        return path;
    }
    let mut name = path.into_os_string();
    name.push(".");
    name.push(SCENE_ENDING);
    name.into()
}

pub(crate) fn file_name(path: &Path) -> String {
    path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_scene::Painting;

    #[test]
    fn a_scene_is_saved_with_its_ending() {
        assert_eq!(with_scene_ending("quay".into()), PathBuf::from("quay.ron"));
        assert_eq!(with_scene_ending("quay.v2".into()), PathBuf::from("quay.v2.ron"));
        assert_eq!(with_scene_ending("quay.RON".into()), PathBuf::from("quay.RON"));
    }

    #[test]
    fn a_name_that_is_taken_gets_a_number() {
        let folder = tempfile::tempdir().expect("a folder");
        let place = |name: &str| folder.path().join(name);
        assert_eq!(free_place(&place("quay.ron")), place("quay.ron"));
        for name in ["quay.ron", "quay 2.ron"] {
            std::fs::write(place(name), "").expect("written");
        }
        assert_eq!(free_place(&place("quay.ron")), place("quay 3.ron"));
    }

    #[test]
    fn painting_and_size_book_are_kept_relative_and_laid_out_absolute() {
        let painting = Painting { path: "/art/quay/quay.png".into(), size: (100, 50) };
        let book = Some(PathBuf::from("/art/works.ron"));
        let scene =
            Scene { painting: Some(painting.clone()), size_book: book.clone(), ..Scene::default() };
        let kept = as_kept(&scene, Path::new("/art/scenes/quay.ron"));
        assert_eq!(kept.painting.as_ref().map(|p| p.path.clone()), Some("../quay/quay.png".into()));
        assert_eq!(kept.size_book, Some("../works.ron".into()));
        let back = as_laid_out(kept, Path::new("/art/scenes/quay.ron"));
        assert_eq!(back.size_book, book.map(|p| plain_absolute(&p).expect("a path")));
        let place = plain_absolute(&painting.path).expect("a path");
        assert_eq!(back.painting.map(|p| p.path), Some(place));
    }
}
