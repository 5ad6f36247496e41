//! Replacing a file as a whole: either the old contents are there or the new ones, whatever happens.

use std::fs::{self, File};
use std::io::{self, BufWriter, Seek, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;
use tempfile::{Builder, NamedTempFile};

/// How temporary files are called: hidden, and known again.
const PREFIX: &str = ".staffage-";
const SUFFIX: &str = ".saving";
/// A temporary file that nobody has written to for so long is left over: the largest overlay takes
/// seconds.
const DEAD: Duration = Duration::from_secs(60 * 60);

/// Puts `contents` at `target` in one step, and what was there before at `previous` if asked for.
///
/// A link is followed, so that it goes on pointing at the file. Nothing is left behind on failure,
/// and the file at `target` is then untouched.
pub(crate) fn replace(target: &Path, contents: &[u8], previous: Option<&Path>) -> io::Result<()> {
    let target = follow_link(target)?;
    let old = existing_file(&target)?;
    let new = beside(&target, contents, old.as_ref().map(fs::Metadata::permissions))?;
    if previous.is_some() {
        remove_left_over(folder_of(&target));
    }
    if let (Some(old), Some(previous)) = (old, previous) {
        let before = fs::read(&target)?;
        beside(previous, &before, Some(old.permissions()))?.persist(previous)?;
    }
    put(new, &target)
}

/// What can be written to, and gone back in.
pub trait Output: Write + Seek {}

impl<T: Write + Seek> Output for T {}

/// Puts what `fill` writes at `target` in one step; for what is too large to be held in memory.
///
/// A link is followed. Nothing is left behind on failure, and the file at `target` is then
/// untouched.
///
/// # Errors
/// When the folder or the disk does not allow it (as [`io::Error`]), or when `fill` gives up.
pub fn replace_with<E: From<io::Error>>(
    target: &Path,
    fill: impl FnOnce(&mut dyn Output) -> Result<(), E>,
) -> Result<(), E> {
    let target = follow_link(target)?;
    let permissions = existing_file(&target)?.map(|old| old.permissions());
    let mut buffered = BufWriter::with_capacity(1 << 18, temporary(&target)?);
    fill(&mut buffered)?;
    let new = buffered.into_inner().map_err(io::IntoInnerError::into_error)?;
    Ok(finished(new, permissions).and_then(|new| put(new, &target))?)
}

/// Gives a finished temporary file its name.
fn put(new: NamedTempFile, target: &Path) -> io::Result<()> {
    new.persist(target)?;
    sync_folder(folder_of(target));
    Ok(())
}

fn follow_link(target: &Path) -> io::Result<PathBuf> {
    match fs::symlink_metadata(target) {
        Ok(found) if found.is_symlink() => fs::canonicalize(target),
        _ => Ok(target.to_owned()),
    }
}

/// What is known of the file that would be replaced, unless it must not be.
fn existing_file(target: &Path) -> io::Result<Option<fs::Metadata>> {
    match fs::metadata(target) {
        Ok(found) if found.is_dir() => Err(io::ErrorKind::IsADirectory.into()),
        Ok(found) if !found.is_file() => {
            Err(io::Error::new(io::ErrorKind::InvalidInput, "it is not a file"))
        }
        // Renaming over it would succeed all the same; whoever protected it meant something.
        Ok(found) if found.permissions().readonly() => {
            Err(io::Error::new(io::ErrorKind::PermissionDenied, "it is write-protected"))
        }
        Ok(found) => Ok(Some(found)),
        Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(e) => Err(e),
    }
}

/// A temporary file in the target's folder with these contents, on disk to the last byte.
fn beside(
    target: &Path,
    contents: &[u8],
    permissions: Option<fs::Permissions>,
) -> io::Result<NamedTempFile> {
    let mut file = temporary(target)?;
    file.write_all(contents)?;
    finished(file, permissions)
}

/// An empty temporary file in the target's folder (renaming only works within one file system). It
/// removes itself unless it is persisted.
fn temporary(target: &Path) -> io::Result<NamedTempFile> {
    let mut builder = Builder::new();
    builder.prefix(PREFIX).suffix(SUFFIX);
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    builder.tempfile_in(folder_of(target)).map_err(without_name)
}

/// A refusal of the folder without the temporary file's name, which says nothing to anyone.
fn without_name(error: io::Error) -> io::Error {
    use io::ErrorKind::{NotFound, PermissionDenied, ReadOnlyFilesystem, StorageFull};
    match error.kind() {
        kind @ (NotFound | PermissionDenied | ReadOnlyFilesystem | StorageFull) => kind.into(),
        _ => error,
    }
}

/// Removes temporary files that a killed program left in a folder. What is not certainly one stays, and so
/// does what may still be written; whatever cannot be removed is tried again next time.
fn remove_left_over(folder: &Path) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.flatten() {
        let name = entry.file_name();
        let is_ours = name.to_str().is_some_and(|n| n.starts_with(PREFIX) && n.ends_with(SUFFIX));
        // Of a link, this is about the link itself.
        let found = entry.metadata().ok().filter(|found| is_ours && found.is_file());
        let written = found.and_then(|found| found.modified().ok());
        if written.and_then(|at| at.elapsed().ok()).is_some_and(|age| age > DEAD)
            && let Err(error) = fs::remove_file(entry.path())
        {
            tracing::debug!(%error, file = %entry.path().display(), "left over");
        }
    }
}

/// The file on disk to the last byte, with the permissions of what it replaces.
fn finished(
    file: NamedTempFile,
    permissions: Option<fs::Permissions>,
) -> io::Result<NamedTempFile> {
    if let Some(permissions) = permissions {
        file.as_file().set_permissions(permissions)?;
    }
    file.as_file().sync_all()?;
    Ok(file)
}

fn folder_of(file: &Path) -> &Path {
    file.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// Makes the renaming itself survive a power cut. Not every system can; the contents are safe
/// either way.
fn sync_folder(folder: &Path) {
    if cfg!(unix)
        && let Err(error) = File::open(folder).and_then(|folder| folder.sync_all())
    {
        tracing::debug!(%error, folder = %folder.display(), "folder not synced");
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names_in(folder: &Path) -> Vec<String> {
        let names = fs::read_dir(folder).unwrap();
        names.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect()
    }

    #[test]
    fn a_save_removes_what_a_killed_program_left_over_and_nothing_else() {
        let folder = tempfile::tempdir().unwrap();
        let old = std::time::SystemTime::now() - 2 * DEAD;
        for (name, is_old) in [
            (".staffage-a1B2c3.saving", true),
            (".staffage-d4E5f6.saving", false),
            (".staffage-notes.txt", true),
            ("quay.saving", true),
        ] {
            fs::write(folder.path().join(name), "half a sce").unwrap();
            let file = File::options().write(true).open(folder.path().join(name)).unwrap();
            file.set_modified(if is_old { old } else { std::time::SystemTime::now() }).unwrap();
        }
        fs::create_dir(folder.path().join(".staffage-folder.saving")).unwrap();
        let (scene, previous) =
            (folder.path().join("quay.ron"), folder.path().join("quay.previous.ron"));
        replace(&scene, b"autosaved", None).unwrap();
        assert_eq!(names_in(folder.path()).len(), 6, "only a save looks around");
        replace(&scene, b"saved", Some(&previous)).unwrap();
        let mut left = names_in(folder.path());
        left.sort();
        assert_eq!(
            left,
            [
                ".staffage-d4E5f6.saving",
                ".staffage-folder.saving",
                ".staffage-notes.txt",
                "quay.previous.ron",
                "quay.ron",
                "quay.saving"
            ]
        );
    }

    #[test]
    fn what_is_given_up_half_way_leaves_the_old_file_and_nothing_else() {
        let folder = tempfile::tempdir().unwrap();
        let target = folder.path().join("ink.png");
        replace_with(&target, |out| out.write_all(b"old")).unwrap();
        let given_up: io::Result<()> = replace_with(&target, |out| {
            out.write_all(&[0; 1 << 20])?;
            Err(io::Error::other("given up"))
        });
        assert_eq!(given_up.unwrap_err().to_string(), "given up");
        assert_eq!(fs::read(&target).unwrap(), b"old");
        assert_eq!(names_in(folder.path()), ["ink.png"]);
        replace_with(&target, |out| out.write_all(b"new")).unwrap();
        assert_eq!(fs::read(&target).unwrap(), b"new");
    }
}
