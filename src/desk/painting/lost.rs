//! A painting that is not where the scene says: files that may be it, and the note that offers them.

use crate::actions::act::Act;
use crate::canvas::canvas_notes;
use crate::choice::{Choice, PICTURE_ENDINGS};
use crate::desk::Desk;
use crate::files::Done;
use crate::painting::Painted;
use egui::{Context, Ui};
use staffage_picture::probe;
use std::collections::VecDeque;
use std::ffi::OsStr;
use std::fs::DirEntry;
use std::path::{Path, PathBuf};

/// Folders under the scene's that are looked into, one in the other.
const DEPTH: usize = 4;
/// Most files and folders that are looked at: a tidy production folder has fewer, and a disk is never
/// searched.
const MOST_LOOKED_AT: usize = 5000;
/// Most files whose size in pixels is read.
const MOST_PROBED: usize = 200;
/// How many are offered.
const OFFERED: usize = 3;

/// Looks for what may be the painting at `missing`, on a thread of its own.
pub(crate) fn look_for(desk: &mut Desk, ctx: &Context, missing: &Path) {
    let scene = desk.path.as_ref().and_then(|path| path.parent()).map(Path::to_path_buf);
    let Some(folder) = scene.or_else(|| missing.parent().map(Path::to_path_buf)) else { return };
    // As the scene knows it, and as it was seen last.
    let noted = desk.scene().painting.as_ref().map(|painting| painting.size);
    let seen = match &desk.painting {
        Painted::There(tiles) => Some(tiles.size()),
        _ => None,
    };
    let sizes: Vec<_> = noted.into_iter().chain(seen).collect();
    let path = missing.to_path_buf();
    desk.worker.start(ctx, "Looking for the painting".into(), true, move |_| {
        let found = candidates(&folder, &path, &sizes);
        Done::Lost { path, found }
    });
}

/// Takes what was found, unless another painting is wanted by now.
pub(crate) fn take(desk: &mut Desk, path: &Path, found: Vec<PathBuf>) {
    if desk.scene().painting.as_ref().is_some_and(|painting| painting.path == path) {
        desk.in_step.lost = found;
    }
}

/// Why the painting is not there, and what can be done about it.
pub(crate) fn note(desk: &Desk, why: &str, ui: &mut Ui, acts: &mut Vec<Act>) {
    let base = desk.path.as_ref().and_then(|path| path.parent());
    let found = &desk.in_step.lost;
    let names: Vec<_> = found.iter().map(|path| format!("Take {}", short(path, base))).collect();
    let taken = names.iter().zip(found);
    let taken = taken.map(|(name, path)| (name.as_str(), Act::SetPainting(path.clone())));
    let others = [("Find it…", Act::Choose(Choice::Painting)), ("Try again", Act::Reload)];
    let sentence = match found.len() {
        0 => why.to_owned(),
        1 => format!("{why} This may be it:"),
        _ => format!("{why} One of these may be it:"),
    };
    canvas_notes::note(ui, &sentence, taken.chain(others), acts);
}

/// The path from the scene's folder, or from the one above it.
fn short(path: &Path, base: Option<&Path>) -> String {
    let below = |base: &Path| path.strip_prefix(base).ok().map(|p| p.display().to_string());
    let above = || base?.parent().and_then(below).map(|p| format!("../{p}"));
    base.and_then(below).or_else(above).unwrap_or_else(|| path.display().to_string())
}

/// Pictures in the folder, under it, and in the folder above that may be the missing one, the likeliest first: of the
/// same name, of the same stem with another ending, of the same size in pixels.
fn candidates(folder: &Path, missing: &Path, sizes: &[(u32, u32)]) -> Vec<PathBuf> {
    let (name, stem) = (missing.file_name(), missing.file_stem());
    let same = |a: Option<&OsStr>, b: Option<&OsStr>| match (a, b) {
        (Some(a), Some(b)) => a.eq_ignore_ascii_case(b),
        _ => false,
    };
    let mut probed = 0;
    let mut likely = |path: &Path| {
        if same(path.file_name(), name) {
            return Some(0);
        }
        if same(path.file_stem(), stem) {
            return Some(1);
        }
        probed += 1;
        let found = (probed <= MOST_PROBED).then(|| probe(path).ok()).flatten()?;
        sizes.contains(&(found.size.width, found.size.height)).then_some(2)
    };
    let pictures = pictures(folder).into_iter().filter(|path| path != missing);
    let mut found: Vec<_> =
        pictures.filter_map(|path| likely(&path).map(|rank| (rank, path))).collect();
    found.sort();
    found.truncate(OFFERED);
    found.into_iter().map(|(_, path)| path).collect()
}

/// Picture files in and under the folder, then those in the folder above and its other folders.
fn pictures(folder: &Path) -> Vec<PathBuf> {
    let mut waiting = VecDeque::from([(folder.to_path_buf(), DEPTH)]);
    waiting.extend(folder.parent().map(|above| (above.to_path_buf(), 1)));
    let (mut pictures, mut seen) = (Vec::new(), Vec::new());
    let mut left = MOST_LOOKED_AT;
    while let Some((folder, depth)) = waiting.pop_front() {
        if seen.contains(&folder) {
            continue;
        }
        let entries = std::fs::read_dir(&folder).into_iter().flatten().flatten();
        for entry in entries.take(left) {
            left -= 1;
            match kind(&entry) {
                Kind::Folder if depth > 0 => waiting.push_back((entry.path(), depth - 1)),
                Kind::Picture => pictures.push(entry.path()),
                Kind::Folder | Kind::Other => {}
            }
        }
        seen.push(folder);
    }
    pictures
}

enum Kind {
    Folder,
    Picture,
    Other,
}

/// Links to folders are not followed: they may lead in circles.
fn kind(entry: &DirEntry) -> Kind {
    let hidden = entry.file_name().to_string_lossy().starts_with('.');
    let is_folder = entry.file_type().is_ok_and(|kind| kind.is_dir());
    let path = entry.path();
    let ending = path.extension().and_then(OsStr::to_str).unwrap_or_default();
    if is_folder && !hidden {
        Kind::Folder
    } else if !is_folder && PICTURE_ENDINGS.iter().any(|e| e.eq_ignore_ascii_case(ending)) {
        Kind::Picture
    } else {
        Kind::Other
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn picture(path: &Path, width: u32, height: u32) {
        std::fs::create_dir_all(path.parent().expect("a folder")).expect("folders");
        image::RgbImage::new(width, height).save(path).expect("a picture");
    }

    #[test]
    fn the_same_name_comes_first_then_the_same_stem_then_the_same_size() {
        let place = tempfile::tempdir().expect("a folder");
        let scenes = place.path().join("scenes");
        let at = |name: &str| place.path().join(name);
        picture(&at("scenes/quay.png"), 10, 10);
        picture(&at("scenes/other.png"), 40, 20);
        picture(&at("scenes/unlike.png"), 7, 7);
        picture(&at("paint/dam.tga"), 9, 9);
        picture(&at("scenes/a/b/dam.png"), 8, 8);
        picture(&at("scenes/.cache/dam.png"), 40, 20);
        let found = candidates(&scenes, &scenes.join("gone/dam.png"), &[(40, 20)]);
        assert_eq!(found, [at("scenes/a/b/dam.png"), at("paint/dam.tga"), at("scenes/other.png")]);
        assert_eq!(short(&found[0], Some(&scenes)), "a/b/dam.png");
        assert_eq!(short(&found[1], Some(&scenes)), "../paint/dam.tga");
    }

    #[test]
    fn a_folder_that_is_not_there_holds_nothing() {
        assert!(candidates(Path::new("/no/such"), Path::new("/no/such/dam.png"), &[]).is_empty());
    }
}
