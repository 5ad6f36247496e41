use crate::arguments::Check;
use crate::commands::alternative;
use crate::commands::complaint::{sentence, unreadable};
use staffage_picture::{Limits, Progress};
use staffage_scene::{
    Assessment, FileError, ParseError, Scene, SizeBook, SizeDifference, assess, load,
    painting_path, size_book_path,
};
use std::path::{Path, PathBuf};

/// What came of checking one file.
pub(super) struct Answer {
    /// The file.
    pub(super) path: PathBuf,
    /// What was found in it.
    pub(super) found: Found,
}

/// What a file holds.
pub(super) enum Found {
    /// A scene.
    Scene(Box<Read>),
    /// A size book, as lies among the scenes that share it.
    SizeBook(SizeBook),
    /// Nothing that can be checked, for this reason.
    Nothing(String),
}

/// A scene that could be read.
pub(super) struct Read {
    pub(super) scene: Scene,
    pub(super) assessment: Assessment,
    pub(super) painting: Painting,
    pub(super) size_book: Book,
}

/// What came of holding a scene against its size book.
pub(super) enum Book {
    /// The scene names none.
    None,
    /// It was read: where the scene says other sizes.
    Read(Vec<SizeDifference>),
    /// It cannot be read, for this reason: a remark, as the scene says its sizes itself.
    Unreadable(String),
}

/// How the scene's painting was found.
#[derive(Clone)]
pub(super) enum Painting {
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
    /// What a file says; several answers where every alternative is asked for.
    pub(super) fn all_of(path: &Path, asked: &Check) -> Vec<Self> {
        let found = match load(path) {
            Ok(scene) => return Self::of_scene(path, scene, asked),
            Err(FileError::Parse { source: ParseError::SizeBook, .. }) => {
                SizeBook::read(path).map_or_else(|e| Found::Nothing(e.to_string()), Found::SizeBook)
            }
            Err(why) => Found::Nothing(unreadable(path, &why.to_string())),
        };
        vec![Self { path: path.to_owned(), found }]
    }

    fn of_scene(path: &Path, scene: Scene, asked: &Check) -> Vec<Self> {
        let scenes = match alternative::showing(path, scene, asked.alternative.as_deref()) {
            Ok(scene) if asked.alternatives => alternative::each(scene),
            Ok(scene) => vec![scene],
            Err(why) => {
                return vec![Self { path: path.to_owned(), found: Found::Nothing(sentence(&why)) }];
            }
        };
        // They share the painting.
        let painting = scenes.first().map_or(Painting::None, |scene| painting(path, scene));
        let read = |scene| Found::Scene(Box::new(Read::of(path, scene, painting.clone())));
        let answer = |scene| Self { path: path.to_owned(), found: read(scene) };
        scenes.into_iter().map(answer).collect()
    }

    /// Why the scene or its painting could not be read.
    pub(super) fn trouble(&self) -> Option<&str> {
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
    fn of(path: &Path, scene: Scene, painting: Painting) -> Self {
        Self { assessment: assess(&scene), painting, size_book: size_book(path, &scene), scene }
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
fn painting(scene_path: &Path, scene: &Scene) -> Painting {
    let Some(path) = painting_path(scene_path, scene) else { return Painting::None };
    let size = match staffage_picture::decode(&path, &Limits::default(), &Progress::default()) {
        Ok(pixels) => pixels.size(),
        Err(why) => {
            let of = scene_path.display();
            return Painting::Unreadable(sentence(&format!(
                "the painting of “{of}” cannot be used: {why}"
            )));
        }
    };
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
