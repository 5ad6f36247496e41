use crate::commands::alternative::Which;
use crate::commands::complaint::{sentence, unreadable};
use staffage_picture::{Limits, Pixels, Progress, Size};
use staffage_scene::{
    Assessment, FileError, ParseError, Scene, SizeBook, SizeDifference, Units, assess_in, load,
    painting_path, size_book_path,
};
use std::path::{Path, PathBuf};

/// What came of checking one file.
pub(crate) struct Answer {
    /// The file.
    pub(crate) path: PathBuf,
    /// What was found in it.
    pub(crate) found: Found,
}

/// What a file holds.
pub(crate) enum Found {
    /// A scene.
    Scene(Box<Read>),
    /// A size book, as lies among the scenes that share it.
    SizeBook(SizeBook),
    /// Nothing that can be checked, for this reason.
    Nothing(String),
}

/// A scene that could be read.
pub(crate) struct Read {
    pub(crate) scene: Scene,
    pub(crate) assessment: Assessment,
    pub(crate) painting: Painting,
    pub(crate) size_book: Book,
}

/// What came of holding a scene against its size book.
pub(crate) enum Book {
    /// The scene names none.
    None,
    /// It was read: where the scene says other sizes.
    Read(Vec<SizeDifference>),
    /// It cannot be read, for this reason: a remark, as the scene says its sizes itself.
    Unreadable(String),
}

/// How the scene's painting was found.
#[derive(Clone)]
pub(crate) enum Painting {
    /// The frame is blank.
    None,
    /// It can be read and has the frame's shape.
    AsRecorded,
    /// It can be read, but its shape is not the frame's: why the answers may be off.
    Reshaped(String),
    /// It cannot be read, for this reason.
    Unreadable(String),
}

impl Answer {
    /// What a file says, and its painting if it can be read; several answers where every alternative is
    /// asked for, which share the painting.
    pub(crate) fn all_of(
        path: &Path,
        which: Which<'_>,
        units: Units,
        progress: &Progress,
    ) -> (Vec<Self>, Option<Pixels>) {
        let answer = |found| Self { path: path.to_owned(), found };
        let scenes = match load(path).map(|scene| which.of(path, scene)) {
            Ok(Ok(scenes)) => scenes,
            Ok(Err(why)) => return (vec![answer(Found::Nothing(sentence(&why)))], None),
            Err(why) => return (vec![Self::without_scene(path, &why)], None),
        };
        let (painting, pixels) = match scenes.first() {
            Some(scene) => painting(path, scene, progress),
            None => (Painting::None, None),
        };
        let read = |scene| Found::Scene(Box::new(Read::with(path, scene, units, painting.clone())));
        (scenes.into_iter().map(read).map(answer).collect(), pixels)
    }

    /// What a file says that is no scene.
    fn without_scene(path: &Path, why: &FileError) -> Self {
        let found = match why {
            FileError::Parse { source: ParseError::SizeBook, .. } => {
                SizeBook::read(path).map_or_else(|e| Found::Nothing(e.to_string()), Found::SizeBook)
            }
            why => Found::Nothing(unreadable(path, &why.to_string())),
        };
        Self { path: path.to_owned(), found }
    }

    /// Why the scene or its painting could not be read.
    pub(crate) fn trouble(&self) -> Option<&str> {
        match &self.found {
            Found::Nothing(why) => Some(why),
            Found::Scene(read) => match &read.painting {
                Painting::Unreadable(why) => Some(why),
                Painting::None | Painting::AsRecorded | Painting::Reshaped(_) => None,
            },
            Found::SizeBook(_) => None,
        }
    }
}

impl Read {
    /// What there is to say of a scene in a file of this path, and its painting if it can be read.
    pub(crate) fn of(
        path: &Path,
        scene: Scene,
        units: Units,
        progress: &Progress,
    ) -> (Self, Option<Pixels>) {
        let (painting, pixels) = painting(path, &scene, progress);
        (Self::with(path, scene, units, painting), pixels)
    }

    /// The same without looking at its painting.
    pub(crate) fn without_painting(path: &Path, scene: Scene, units: Units) -> Self {
        Self::with(path, scene, units, Painting::None)
    }

    fn with(path: &Path, scene: Scene, units: Units, painting: Painting) -> Self {
        Self {
            assessment: assess_in(&scene, units),
            painting,
            size_book: size_book(path, &scene),
            scene,
        }
    }
}

fn size_book(scene_path: &Path, scene: &Scene) -> Book {
    let Some(path) = size_book_path(scene_path, scene) else { return Book::None };
    match SizeBook::read(&path) {
        Ok(book) => Book::Read(book.differences(scene)),
        Err(why) => {
            let why = sentence(&why.to_string());
            Book::Unreadable(format!("{why} Until it can be read, the scene's own sizes hold."))
        }
    }
}

/// Reads the whole painting: its header alone would not show that the rest is missing.
fn painting(scene_path: &Path, scene: &Scene, progress: &Progress) -> (Painting, Option<Pixels>) {
    let Some(path) = painting_path(scene_path, scene) else { return (Painting::None, None) };
    match staffage_picture::decode(&path, &Limits::default(), progress) {
        Ok(pixels) => (seen(scene, pixels.size()), Some(pixels)),
        Err(why) => {
            let of = scene_path.display();
            let why = format!("the painting of “{of}” cannot be used: {why}");
            (Painting::Unreadable(sentence(&why)), None)
        }
    }
}

/// A painting of this size in the scene's frame.
fn seen(scene: &Scene, size: Size) -> Painting {
    if scene.frame.has_shape((size.width, size.height)) {
        return Painting::AsRecorded;
    }
    Painting::Reshaped(format!(
        "The painting is now {} × {} px, which is {:.3} to 1, and the frame is {:.3} to 1: it was \
         cropped or stretched, so the markers may no longer lie where they belong.",
        size.width,
        size.height,
        f64::from(size.width) / f64::from(size.height),
        scene.frame.ratio
    ))
}
