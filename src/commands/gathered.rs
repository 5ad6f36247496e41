//! Which scenes are meant where folders are named.

use std::fs;
use std::path::{Path, PathBuf};

/// Folders in folders are followed so deep; a loop of links must end.
const DEEPEST: u32 = 16;

/// The files themselves and the scenes in the folders, those by name; copies that the program keeps beside
/// a scene (`.previous.ron`, `.autosave.ron`) and what is hidden are passed over. A folder without scenes
/// stands for itself, so that it is complained of.
pub(super) fn gathered(paths: &[PathBuf]) -> Vec<PathBuf> {
    let mut all = Vec::new();
    for path in paths {
        let before = all.len();
        if path.is_dir() {
            gather(path, DEEPEST, &mut all);
        }
        if all.len() == before {
            all.push(path.clone());
        }
    }
    all
}

fn gather(folder: &Path, deep: u32, all: &mut Vec<PathBuf>) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    let mut inside: Vec<PathBuf> = entries.filter_map(|e| Some(e.ok()?.path())).collect();
    inside.sort();
    for path in inside {
        let name = path.file_name().unwrap_or_default().to_string_lossy().to_lowercase();
        if name.starts_with('.') {
            continue;
        }
        if path.is_dir() {
            if deep > 0 {
                gather(&path, deep - 1, all);
            }
        } else if name.ends_with(".ron")
            && !name.ends_with(".previous.ron")
            && !name.ends_with(".autosave.ron")
        {
            all.push(path);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scenes_are_found_in_folders_and_copies_passed_over() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        fs::create_dir_all(at("reel 2/.hidden")).unwrap();
        for name in ["b.ron", "a.RON", "a.previous.ron", "b.autosave.ron", "notes.txt"] {
            fs::write(at(name), "").unwrap();
        }
        fs::write(at("reel 2/c.ron"), "").unwrap();
        fs::write(at("reel 2/.hidden/d.ron"), "").unwrap();
        let found = gathered(&[folder.path().to_owned(), "gone.ron".into()]);
        assert_eq!(found, [at("a.RON"), at("b.ron"), at("reel 2/c.ron"), "gone.ron".into()]);
        let empty = tempfile::tempdir().unwrap();
        assert_eq!(gathered(&[empty.path().to_owned()]), [empty.path()]);
    }
}
