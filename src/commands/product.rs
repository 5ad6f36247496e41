//! A file that a command makes of a scene: what it is called, where it goes, and what it may replace.

use super::alternative::Which;
use super::check::{Answer, Found, Painting, Read};
use super::overlay::stem_of;
use super::watching::watched;
use super::writing::each_several;
use staffage_handover::{FilmBack, HandoverError};
use staffage_picture::{Pixels, Progress};
use staffage_scene::{Alternative, Scene, Units, painting_path, size_book_path};
use std::collections::HashSet;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::atomic::{AtomicBool, Ordering};

/// A kind of file.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Product {
    /// One of it: "a sheet".
    pub(crate) one: &'static str,
    /// It stands in the name before the ending: `quay.sheet.html`.
    pub(crate) infix: &'static str,
    /// What its name can end in, the usual one first.
    pub(crate) endings: &'static [&'static str],
    /// The option that says what is written.
    pub(crate) option: &'static str,
    /// Whether a file is such a one that was written before.
    pub(crate) is_one: fn(&Path) -> io::Result<bool>,
}

/// What a product is made of.
#[derive(Clone, Copy)]
pub(crate) struct Matter<'a> {
    pub(crate) answer: &'a Answer,
    pub(crate) read: &'a Read,
    /// The painting, unless the frame is blank.
    pub(crate) pixels: Option<&'a Pixels>,
    /// What a camera's focal length is told for.
    pub(crate) film_back: FilmBack,
    /// Whether whoever waits for it gave up.
    pub(crate) is_cancelled: &'a dyn Fn() -> bool,
}

impl Matter<'_> {
    /// What the scene's file is called.
    pub(super) fn file(&self) -> String {
        self.answer.path.file_name().unwrap_or_default().to_string_lossy().into_owned()
    }

    /// Whether there is still someone to make it for; asked last before a file gets its name.
    ///
    /// # Errors
    /// [`HandoverError::Cancelled`] where whoever waits for it gave up.
    pub(super) fn go_on(&self) -> Result<(), HandoverError> {
        if (self.is_cancelled)() { Err(HandoverError::Cancelled) } else { Ok(()) }
    }
}

/// Why a file was not made. Each reads as a sentence or two: what, where, what to do.
#[derive(Debug, thiserror::Error)]
pub(crate) enum Withheld {
    /// The scene or what belongs to it cannot be read.
    #[error("{0}")]
    Unreadable(String),
    /// Several scenes or alternatives would be written to one file.
    #[error("“{}” is no folder, and several files need one: make it first", .0.display())]
    NotAFolder(PathBuf),
    /// Two scenes or alternatives have the same name.
    #[error(
        "“{target}” was just written for another scene or alternative, and “{scene}” would give it \
         the same name: write it elsewhere with --out",
        target = .target.display(), scene = .scene.display()
    )]
    Twice { target: PathBuf, scene: PathBuf },
    /// It could not be told from the name what to write.
    #[error("“{}” cannot be written: its name must end in {endings}", path.display())]
    Ending { path: PathBuf, endings: String },
    /// The name says one thing and the option another.
    #[error(
        "“{}” would not be {wanted} by its name: end it with .{wanted}, or leave out {option}",
        path.display()
    )]
    OtherEnding { path: PathBuf, wanted: String, option: &'static str },
    /// What is there is something else.
    #[error(
        "“{}” is there already and is not {one}, so it was left alone: give another name with \
         --out, or --force to replace it",
        path.display()
    )]
    Taken { path: PathBuf, one: &'static str },
    /// What is there is what it would be made of.
    #[error("“{}” is {what} itself, which is never replaced: give another name with --out", path.display())]
    Source { path: PathBuf, what: &'static str },
    /// It could not be written.
    #[error("“{target}” was not written: {source}{todo}", target = .target.display(), todo = todo(.source))]
    Failed { target: PathBuf, source: HandoverError },
}

/// What can be done about it.
fn todo(why: &HandoverError) -> &'static str {
    match why {
        HandoverError::Unwritable(error) if error.kind() == io::ErrorKind::StorageFull => {
            ". Make room, or write it elsewhere with --out"
        }
        HandoverError::Unwritable(_) => ". Write it elsewhere with --out",
        _ => "",
    }
}

/// What was asked for, on the command line.
#[derive(Clone, Copy, Debug)]
pub(super) struct Asked<'a> {
    pub(super) scenes: &'a [PathBuf],
    pub(super) out: Option<&'a Path>,
    pub(super) format: Option<&'a str>,
    pub(super) which: Which<'a>,
    pub(super) units: Units,
    pub(super) film_back: FilmBack,
    pub(super) force: bool,
}

impl Product {
    /// Makes it of scenes, one after the other. `put` writes it to a target, and returns what there is to
    /// say of it beside its name and size.
    ///
    /// # Errors
    /// When standard output or standard error cannot be written to.
    pub(super) fn make(
        &self,
        asked: Asked<'_>,
        put: impl Fn(&Matter<'_>, &Path) -> Result<Vec<String>, HandoverError>,
    ) -> io::Result<ExitCode> {
        let mut written = HashSet::new();
        each_several(asked.scenes, |path, cancelled| {
            self.make_of(path, asked, &mut written, cancelled, &put)
        })
    }

    /// Makes it of each alternative of a scene that is asked for.
    fn make_of(
        &self,
        path: &Path,
        asked: Asked<'_>,
        written: &mut HashSet<PathBuf>,
        cancelled: &AtomicBool,
        put: impl Fn(&Matter<'_>, &Path) -> Result<Vec<String>, HandoverError>,
    ) -> Vec<Result<Vec<String>, Withheld>> {
        let is_cancelled = || cancelled.load(Ordering::Relaxed);
        let reading = Progress::default();
        let look = || {
            if is_cancelled() {
                reading.cancel();
            }
        };
        let (answers, pixels) =
            watched(look, || Answer::all_of(path, asked.which, asked.units, &reading));
        let several = asked.scenes.len() > 1 || answers.len() > 1;
        let mut made = Vec::new();
        for answer in &answers {
            let found = match &answer.found {
                Found::Scene(read) => {
                    let pixels = pixels.as_ref();
                    let (film_back, is_cancelled) = (asked.film_back, &is_cancelled);
                    let matter = Matter { answer, read, pixels, film_back, is_cancelled };
                    self.make_one(&matter, asked, several, written, &put)
                }
                Found::SizeBook(_) => {
                    let (path, infix) = (path.display(), self.infix);
                    Ok(vec![format!("{path}  a size book, which has no {infix}")])
                }
                Found::Nothing(why) => Err(Withheld::Unreadable(why.clone())),
            };
            // The alternatives share the painting, and its trouble is told once.
            let is_over = matches!(found, Err(Withheld::Unreadable(_)));
            made.push(found);
            if is_over || is_cancelled() {
                break;
            }
        }
        made
    }

    fn make_one(
        &self,
        matter: &Matter<'_>,
        asked: Asked<'_>,
        several: bool,
        written: &mut HashSet<PathBuf>,
        put: impl Fn(&Matter<'_>, &Path) -> Result<Vec<String>, HandoverError>,
    ) -> Result<Vec<String>, Withheld> {
        let (path, scene) = (&matter.answer.path, &matter.read.scene);
        let alternative = asked.which.asked_for(scene);
        let target = self.target(path, alternative, asked.out, several, asked.format)?;
        let failed = |source| Withheld::Failed { target: target.clone(), source };
        matter.go_on().map_err(failed)?;
        if let Painting::Unreadable(why) = &matter.read.painting {
            return Err(Withheld::Unreadable(why.clone()));
        }
        if written.contains(&target) {
            return Err(Withheld::Twice { target, scene: path.to_owned() });
        }
        self.may_be_replaced(&target, path, scene, asked.force)?;
        let remarks = put(matter, &target).map_err(failed)?;
        let bytes = fs::metadata(&target).map_or(0, |file| file.len());
        let mut said = vec![format!("{}  {:.1} MB", target.display(), bytes as f64 / 1e6)];
        said.extend(remarks.into_iter().map(|remark| format!("  {remark}")));
        written.insert(target);
        Ok(said)
    }

    /// Where it goes for a scene: beside it, into a folder, or to a file.
    pub(crate) fn target(
        &self,
        scene: &Path,
        alternative: Option<&Alternative>,
        out: Option<&Path>,
        several: bool,
        wanted: Option<&str>,
    ) -> Result<PathBuf, Withheld> {
        let beside = scene.parent().unwrap_or(Path::new(""));
        match out {
            None => Ok(self.in_folder(beside, scene, alternative, wanted)),
            Some(out) if out.is_dir() => Ok(self.in_folder(out, scene, alternative, wanted)),
            Some(out) if several => Err(Withheld::NotAFolder(out.to_owned())),
            Some(out) => self.named(out, wanted),
        }
    }

    /// What it is called in a folder: `quay.sheet.html`, `quay.crane.sheet.html`.
    fn in_folder(
        &self,
        folder: &Path,
        scene: &Path,
        alternative: Option<&Alternative>,
        wanted: Option<&str>,
    ) -> PathBuf {
        let mut name = stem_of(scene, alternative);
        name.push(format!(".{}.{}", self.infix, wanted.unwrap_or(self.endings[0])));
        folder.join(name)
    }

    /// This file, if its ending says what it is and nothing else was asked for.
    pub(crate) fn named(&self, path: &Path, wanted: Option<&str>) -> Result<PathBuf, Withheld> {
        match (self.ending(path), wanted) {
            (Some(ending), Some(wanted)) if ending != wanted => Err(Withheld::OtherEnding {
                path: path.to_owned(),
                wanted: wanted.to_owned(),
                option: self.option,
            }),
            (Some(_), _) => Ok(path.to_owned()),
            (None, _) => {
                let endings: Vec<String> = self.endings.iter().map(|e| format!(".{e}")).collect();
                let endings = endings.join(" or ");
                Err(Withheld::Ending { path: path.to_owned(), endings })
            }
        }
    }

    /// What a file is by its name.
    pub(crate) fn ending(&self, path: &Path) -> Option<&'static str> {
        let ends = path.extension()?;
        self.endings.iter().copied().find(|ending| ends.eq_ignore_ascii_case(ending))
    }

    /// Whether nothing is lost when it is written: nothing is there, or one from before, or something that
    /// may be replaced by force, which the scene and what belongs to it never are.
    pub(crate) fn may_be_replaced(
        &self,
        target: &Path,
        scene_path: &Path,
        scene: &Scene,
        force: bool,
    ) -> Result<(), Withheld> {
        // What is no file is refused when it is written.
        if !target.is_file() {
            return Ok(());
        }
        let sources = [
            (Some(scene_path.to_owned()), "the scene"),
            (painting_path(scene_path, scene), "the painting"),
            (size_book_path(scene_path, scene), "the size book"),
        ];
        for (source, what) in sources {
            if source.is_some_and(|source| same(&source, target)) {
                return Err(Withheld::Source { path: target.to_owned(), what });
            }
        }
        let is_one = (self.is_one)(target).map_err(|why| Withheld::Failed {
            target: target.to_owned(),
            source: HandoverError::Unwritable(why),
        })?;
        if is_one || force {
            return Ok(());
        }
        Err(Withheld::Taken { path: target.to_owned(), one: self.one })
    }
}

/// Whether two paths lead to one file.
fn same(a: &Path, b: &Path) -> bool {
    matches!((fs::canonicalize(a), fs::canonicalize(b)), (Ok(a), Ok(b)) if a == b)
}

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_scene::AlternativeId;

    const LIST: Product = Product {
        one: "a list",
        infix: "list",
        endings: &["txt", "md"],
        option: "--as",
        is_one: |path| Ok(fs::read(path)?.starts_with(b"list")),
    };

    fn target(scene: &str, out: Option<&str>, wanted: Option<&str>) -> Result<PathBuf, String> {
        let target = LIST.target(Path::new(scene), None, out.map(Path::new), false, wanted);
        target.map_err(|why| why.to_string())
    }

    #[test]
    fn it_lies_beside_its_scene_and_is_named_after_it() {
        assert_eq!(target("a/quay.ron", None, None), Ok("a/quay.list.txt".into()));
        assert_eq!(target("quay.v2", None, Some("md")), Ok("quay.v2.list.md".into()));
        assert_eq!(target("..", None, None), Ok("scene.list.txt".into()));
        let (id, name) = (AlternativeId(2), "Crane 2".into());
        let crane = Alternative { id, name, aside: None };
        let crane = LIST.target(Path::new("a/quay.ron"), Some(&crane), None, true, None);
        assert_eq!(crane.unwrap(), Path::new("a/quay.crane-2.list.txt"));
    }

    #[test]
    fn the_ending_of_a_named_file_says_what_it_is() {
        assert_eq!(target("quay.ron", Some("x.MD"), None), Ok("x.MD".into()));
        assert!(target("quay.ron", Some("x.md"), Some("txt")).unwrap_err().contains("--as"));
        assert!(target("quay.ron", Some("x"), None).unwrap_err().contains(".txt or .md"));
        let several = LIST.target(Path::new("a.ron"), None, Some(Path::new("x.md")), true, None);
        assert!(several.unwrap_err().to_string().contains("no folder"));
    }

    #[test]
    fn only_what_was_written_before_is_replaced_and_the_scene_never() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        let allowed = |name: &str, force| {
            let scene = Scene::default();
            LIST.may_be_replaced(&at(name), &at("quay.ron"), &scene, force)
        };
        fs::write(at("quay.ron"), "list").unwrap();
        fs::write(at("old.txt"), "list of old").unwrap();
        fs::write(at("mine.txt"), "mine").unwrap();
        assert!(allowed("new.txt", false).is_ok() && allowed("old.txt", false).is_ok());
        assert!(matches!(allowed("mine.txt", false), Err(Withheld::Taken { .. })));
        assert!(allowed("mine.txt", true).is_ok());
        assert!(matches!(allowed("quay.ron", true), Err(Withheld::Source { .. })));
    }
}
