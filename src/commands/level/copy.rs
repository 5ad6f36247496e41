//! From a scene to the turned copy of its painting.

use super::Refusal;
use super::reading::{Watch, read, rest};
use crate::commands::overlay::{folder_of, same, stem_of};
use staffage_handover::{
    Aim, HandoverError, Levelling, Painted, Returning, ending, sha256, write_warped,
};
use staffage_picture::{depth, probe};
use staffage_scene::{Scene, assess, painting_path, relative_painting, replace_with};
use staffage_solver::Eye;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// A copy that can be written.
#[derive(Clone, Debug)]
pub(crate) struct Copy {
    pub(crate) levelling: Levelling,
    /// The eye that painted it.
    pub(crate) eye: Eye,
    pub(crate) painting: PathBuf,
    pub(crate) target: PathBuf,
}

/// How the copy of a scene's painting would be, and where it would go; nothing is written.
pub(crate) fn plan(
    scene_path: &Path,
    scene: &Scene,
    aim: Aim,
    out: Option<&Path>,
) -> Result<Copy, Refusal> {
    let painting = painting_path(scene_path, scene).ok_or(Refusal::Blank)?;
    let size = probe(&painting).map_err(Refusal::Picture)?.size;
    let size = (size.width, size.height);
    if !scene.frame.has_shape(size) {
        return Err(Refusal::NotTheFrame(painting));
    }
    let eye = assess(scene).eye.eye;
    let levelling = Levelling::new(&eye, aim, size)
        .map_err(|source| Refusal::Turn { painting: painting.clone(), source })?;
    let ending = ending(depth(&painting).map_err(Refusal::Picture)?);
    let mut name = stem_of(scene_path, None);
    name.push(format!(".{}.{ending}", aim.word()));
    let target = target(out, folder_of(scene_path), Path::new(&name), ending)?;
    Ok(Copy { levelling, eye, painting, target })
}

/// The file that was asked for, which must have the ending of its format; a folder gets `name`.
pub(crate) fn target(
    out: Option<&Path>,
    folder: &Path,
    name: &Path,
    ending: &'static str,
) -> Result<PathBuf, Refusal> {
    match out {
        None => Ok(folder.join(name)),
        Some(out) if out.is_dir() => Ok(out.join(name)),
        Some(out) if out.extension().is_some_and(|e| e.eq_ignore_ascii_case(ending)) => {
            Ok(out.to_owned())
        }
        Some(out) => Err(Refusal::Ending { path: out.to_owned(), ending }),
    }
}

impl Copy {
    /// Whether nothing is lost when it is written.
    pub(crate) fn may_be_written(&self, force: bool) -> Result<(), Refusal> {
        for path in [&self.target, &Returning::beside(&self.target)] {
            if same(path, &self.painting) {
                return Err(Refusal::Painting(path.clone()));
            }
            if path.exists() && !force {
                return Err(Refusal::Taken(path.clone()));
            }
        }
        Ok(())
    }
}

/// Writes a copy, and the way back beside it. They get their names when both are whole.
pub(crate) fn write_copy(copy: &Copy, watch: Watch<'_>) -> Result<(), Refusal> {
    let unreadable = |source| Refusal::Hash { painting: copy.painting.clone(), source };
    let before = sha256(&copy.painting).map_err(unreadable)?;
    let painting = read(&copy.painting, watch)?;
    let size = (painting.size().width, painting.size().height);
    if size != copy.levelling.painting || sha256(&copy.painting).map_err(unreadable)? != before {
        return Err(Refusal::Changed(copy.painting.clone()));
    }
    let file =
        relative_painting(&copy.target, &copy.painting).unwrap_or_else(|_| copy.painting.clone());
    let alpha = painting.layout().alpha;
    let returning = Returning::new(&copy.levelling, Painted { file, size, sha256: before, alpha });
    let warp = copy.levelling.copy(&painting);
    let note = Returning::beside(&copy.target);
    let failed = |source| Refusal::failed(&copy.target, source);
    replace_with(&note, |out| {
        out.write_all(returning.to_json().as_bytes())?;
        out.flush()?;
        replace_with(&copy.target, |out| {
            write_warped(&warp, out, &mut rest(watch))?;
            out.flush()?;
            // A copy must never lie beside the way back of another, whenever the program is ended.
            forget(&note)
        })
    })
    .map_err(failed)
}

fn forget(note: &Path) -> Result<(), HandoverError> {
    match fs::remove_file(note) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(error.into()),
        _ => Ok(()),
    }
}
