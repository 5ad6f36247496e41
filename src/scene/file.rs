//! Scene files: loading and saving.

use crate::format::{self, ParseError};
use crate::replace::replace;
use crate::validate::Flaw;
use crate::{Scene, parse};
use std::ffi::OsString;
use std::fs::{self, File};
use std::io::{self, Read};
use std::path::{Path, PathBuf};

/// Largest scene file that is read, bytes. The largest sound scene is a few megabytes.
const LARGEST: u64 = 64 * 1024 * 1024;

/// Why a scene file could not be read or written. Each reads as one sentence that names the file.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum FileError {
    /// The system would not give the file.
    #[error("“{path}” could not be read: {why}", path = .path.display(), why = plain(.source))]
    Unreadable {
        /// Which file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// It is far larger than any scene.
    #[error("“{path}” is not a scene: it is larger than {} MiB", LARGEST / (1024 * 1024), path = .path.display())]
    TooLarge {
        /// Which file.
        path: PathBuf,
    },
    /// Its bytes are not UTF-8 text.
    #[error("“{path}” is not a scene: it is not text (byte {valid_up_to})", path = .path.display())]
    NotText {
        /// Which file.
        path: PathBuf,
        /// How many of its bytes could be text.
        valid_up_to: usize,
    },
    /// Its text is no scene that can be used.
    #[error("“{path}” {why}", path = .path.display(), why = .source)]
    Parse {
        /// Which file.
        path: PathBuf,
        /// What is wrong with the text.
        source: ParseError,
    },
    /// The scene could not be saved; what was there before is untouched.
    #[error("the scene could not be saved as “{path}”: {why}; the file there is as it was", path = .path.display(), why = plain(.source))]
    Unwritable {
        /// Which file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The scene is not sound, so that it could not be read again.
    #[error("the scene could not be saved as “{path}”: {source}", path = .path.display())]
    Unsound {
        /// Which file.
        path: PathBuf,
        /// What is wrong with the scene.
        source: Flaw,
    },
}

/// Reads a scene from a file.
///
/// # Errors
/// When the file cannot be read, or what it holds is not a scene that can be used.
pub fn load(path: &Path) -> Result<Scene, FileError> {
    let bytes = read_capped(path, LARGEST)
        .map_err(|source| FileError::Unreadable { path: path.into(), source })?;
    let bytes = bytes.ok_or_else(|| FileError::TooLarge { path: path.into() })?;
    let text = String::from_utf8(bytes).map_err(|e| FileError::NotText {
        path: path.into(),
        valid_up_to: e.utf8_error().valid_up_to(),
    })?;
    parse(&text).map_err(|source| FileError::Parse { path: path.into(), source })
}

/// The bytes of a file, or `None` when there are more of them than `largest`.
pub(crate) fn read_capped(path: &Path, largest: u64) -> io::Result<Option<Vec<u8>>> {
    let found = fs::metadata(path)?;
    if found.is_dir() {
        return Err(io::ErrorKind::IsADirectory.into());
    }
    // Opening a pipe would wait for ever.
    if !found.is_file() {
        return Err(io::Error::new(io::ErrorKind::InvalidInput, "it is not a file"));
    }
    let mut bytes = Vec::new();
    File::open(path)?.take(largest + 1).read_to_end(&mut bytes)?;
    Ok((bytes.len() as u64 <= largest).then_some(bytes))
}

/// Saves a scene in one step, keeping what was there before at [`previous_path`].
///
/// # Errors
/// When the folder, the disk or the scene does not allow it. The file is then as it was before.
pub fn save(path: &Path, scene: &Scene) -> Result<(), FileError> {
    write(path, scene, Some(&previous_path(path)))
}

/// Saves a scene at [`autosave_path`], in case the program or the machine stops.
///
/// # Errors
/// As for [`save`].
pub fn autosave(path: &Path, scene: &Scene) -> Result<(), FileError> {
    write(&autosave_path(path), scene, None)
}

fn write(path: &Path, scene: &Scene, previous: Option<&Path>) -> Result<(), FileError> {
    let text =
        format::write(scene).map_err(|source| FileError::Unsound { path: path.into(), source })?;
    replace(path, text.as_bytes(), previous)
        .map_err(|source| FileError::Unwritable { path: path.into(), source })
}

/// Where the last saved copy but one of a scene is kept: `quay.ron` has `quay.previous.ron`.
#[must_use]
pub fn previous_path(path: &Path) -> PathBuf {
    beside(path, ".previous.ron")
}

/// Where work that was not saved yet is kept: `quay.ron` has `quay.autosave.ron`.
#[must_use]
pub fn autosave_path(path: &Path) -> PathBuf {
    beside(path, ".autosave.ron")
}

fn beside(path: &Path, ending: &str) -> PathBuf {
    let is_ron = path.extension().is_some_and(|e| e.eq_ignore_ascii_case("ron"));
    let stem = if is_ron { path.file_stem() } else { path.file_name() };
    let mut name = OsString::from(stem.unwrap_or_default());
    name.push(ending);
    path.with_file_name(name)
}

/// What the system said, in plain words where it is something that a painter can mend.
#[must_use]
pub fn plain(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "there is no such file or folder".into(),
        io::ErrorKind::PermissionDenied if error.get_ref().is_none() => {
            "you have no permission".into()
        }
        io::ErrorKind::IsADirectory => "it is a folder".into(),
        io::ErrorKind::StorageFull => "the disk is full".into(),
        io::ErrorKind::ReadOnlyFilesystem => "the disk is write-protected".into(),
        _ => error.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn titled(title: &str) -> Scene {
        Scene { title: title.into(), ..Scene::default() }
    }

    fn names_in(folder: &Path) -> Vec<String> {
        let name = |entry: io::Result<fs::DirEntry>| entry.unwrap().file_name().into_string();
        let mut names: Vec<_> =
            fs::read_dir(folder).unwrap().map(|entry| name(entry).unwrap()).collect();
        names.sort();
        names
    }

    #[test]
    fn what_was_saved_is_loaded_and_the_copy_before_it_is_kept() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("quay.ron");
        save(&path, &titled("first")).unwrap();
        assert_eq!(names_in(folder.path()), ["quay.ron"]);
        save(&path, &titled("second")).unwrap();
        assert_eq!(load(&path).unwrap(), titled("second"));
        assert_eq!(load(&previous_path(&path)).unwrap(), titled("first"));
        assert_eq!(names_in(folder.path()), ["quay.previous.ron", "quay.ron"]);
    }

    #[test]
    fn an_autosave_touches_nothing_but_itself() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("quay.ron");
        save(&path, &titled("saved")).unwrap();
        autosave(&path, &titled("not yet")).unwrap();
        assert_eq!(load(&path).unwrap(), titled("saved"));
        assert_eq!(load(&autosave_path(&path)).unwrap(), titled("not yet"));
        assert_eq!(names_in(folder.path()), ["quay.autosave.ron", "quay.ron"]);
    }

    #[test]
    fn copies_are_named_after_the_scene() {
        assert_eq!(previous_path(Path::new("a/quay.ron")), Path::new("a/quay.previous.ron"));
        assert_eq!(autosave_path(Path::new("quay.v2")), Path::new("quay.v2.autosave.ron"));
    }

    #[test]
    fn a_file_that_is_missing_a_folder_or_no_text_is_said_to_be_so() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("quay.ron");
        let why = |path: &Path| load(path).unwrap_err().to_string();
        assert!(
            why(&path).ends_with("quay.ron” could not be read: there is no such file or folder")
        );
        assert!(why(folder.path()).ends_with("could not be read: it is a folder"));
        fs::write(&path, b"(format: 1, scene: (title: \"\xff\xfe\"))").unwrap();
        assert!(why(&path).ends_with("quay.ron” is not a scene: it is not text (byte 28)"));
    }

    #[test]
    fn an_enormous_file_is_not_read_into_memory() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("quay.ron");
        File::create(&path).unwrap().set_len(1 << 40).unwrap();
        assert!(matches!(load(&path), Err(FileError::TooLarge { .. })));
    }

    #[test]
    fn a_save_that_is_not_allowed_leaves_everything_as_it_was() {
        let folder = tempfile::tempdir().unwrap();
        let scene = titled("second");

        let taken = folder.path().join("folder.ron");
        fs::create_dir(&taken).unwrap();
        let why = save(&taken, &scene).unwrap_err().to_string();
        assert!(why.contains("it is a folder"), "{why}");

        let missing = folder.path().join("nowhere/quay.ron");
        let why = save(&missing, &scene).unwrap_err().to_string();
        assert!(why.contains("there is no such file or folder"), "{why}");

        let protected = folder.path().join("quay.ron");
        save(&protected, &titled("first")).unwrap();
        let mut permissions = fs::metadata(&protected).unwrap().permissions();
        permissions.set_readonly(true);
        fs::set_permissions(&protected, permissions).unwrap();
        let why = save(&protected, &scene).unwrap_err().to_string();
        assert!(why.contains("it is write-protected"), "{why}");
        assert_eq!(load(&protected).unwrap(), titled("first"));

        let unsound = Scene { pointing: f64::NAN, ..Scene::default() };
        assert!(matches!(save(&protected, &unsound), Err(FileError::Unsound { .. })));
        assert_eq!(names_in(folder.path()), ["folder.ron", "quay.ron"]);
    }

    #[cfg(unix)]
    mod unix {
        use super::*;
        use std::os::unix::fs::{MetadataExt, PermissionsExt, symlink};
        use std::process::Command;

        #[test]
        fn a_link_goes_on_pointing_at_the_saved_file() {
            let folder = tempfile::tempdir().unwrap();
            let (real, link) = (folder.path().join("quay.ron"), folder.path().join("link.ron"));
            save(&real, &titled("first")).unwrap();
            symlink(&real, &link).unwrap();
            save(&link, &titled("second")).unwrap();
            assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
            assert_eq!(load(&real).unwrap(), titled("second"));

            symlink(folder.path().join("nowhere.ron"), folder.path().join("lost.ron")).unwrap();
            assert!(save(&folder.path().join("lost.ron"), &titled("third")).is_err());
        }

        #[test]
        fn what_is_no_file_is_neither_read_nor_replaced() {
            assert!(load(Path::new("/dev/null")).is_err());
            assert!(save(Path::new("/dev/null"), &titled("gone")).is_err());
            assert!(!fs::metadata("/dev/null").unwrap().is_file());
        }

        #[test]
        fn the_permissions_of_a_saved_file_stay_and_a_new_one_follows_the_users_mask() {
            let folder = tempfile::tempdir().unwrap();
            let mode = |path: &Path| fs::metadata(path).unwrap().mode() & 0o777;
            let plain = folder.path().join("plain");
            fs::write(&plain, "").unwrap();
            let path = folder.path().join("quay.ron");
            save(&path, &titled("first")).unwrap();
            assert_eq!(mode(&path), mode(&plain));
            fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
            save(&path, &titled("second")).unwrap();
            assert_eq!(mode(&path), 0o640);
        }

        /// Runs [`saves_where_there_is_no_room`] in a process that may not write a single block: the
        /// system then refuses as it does when the disk is full.
        #[test]
        fn a_save_without_room_leaves_everything_as_it_was() {
            let folder = tempfile::tempdir().unwrap();
            let path = folder.path().join("quay.ron");
            save(&path, &titled("first")).unwrap();
            let before = fs::read(&path).unwrap();

            let this_test = "file::tests::unix::saves_where_there_is_no_room";
            let script = "trap '' XFSZ; ulimit -f 0; exec \"$0\" --exact --ignored \"$1\"";
            let child = Command::new("sh")
                .args(["-c", script])
                .arg(std::env::current_exe().unwrap())
                .arg(this_test)
                .env("STAFFAGE_TEST_SCENE", &path)
                .output()
                .unwrap();
            let said = String::from_utf8_lossy(&child.stdout);
            assert!(child.status.success() && said.contains("1 passed"), "{said}");

            assert_eq!(fs::read(&path).unwrap(), before);
            assert_eq!(names_in(folder.path()), ["quay.ron"]);
        }

        #[test]
        #[ignore = "run by a_save_without_room_leaves_everything_as_it_was"]
        fn saves_where_there_is_no_room() {
            let path = std::env::var_os("STAFFAGE_TEST_SCENE").unwrap();
            let refused = save(Path::new(&path), &titled("second")).unwrap_err();
            assert!(matches!(refused, FileError::Unwritable { .. }), "{refused}");
        }
    }
}
