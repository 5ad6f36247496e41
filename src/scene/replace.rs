//! Replacing a file as a whole: either the old contents are there or the new ones, whatever happens.

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use tempfile::{Builder, NamedTempFile};

/// Puts `contents` at `target` in one step, and what was there before at `previous` if asked for.
///
/// A link is followed, so that it goes on pointing at the file. Nothing is left behind on failure,
/// and the file at `target` is then untouched.
pub(crate) fn replace(target: &Path, contents: &[u8], previous: Option<&Path>) -> io::Result<()> {
    let target = follow_link(target)?;
    let old = existing_file(&target)?;
    let new = beside(&target, contents, old.as_ref().map(fs::Metadata::permissions))?;
    if let (Some(old), Some(previous)) = (old, previous) {
        let before = fs::read(&target)?;
        beside(previous, &before, Some(old.permissions()))?.persist(previous)?;
    }
    new.persist(&target)?;
    sync_folder(folder_of(&target));
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

/// A temporary file in the target's folder (renaming only works within one file system), on disk to
/// the last byte. It removes itself unless it is persisted.
fn beside(
    target: &Path,
    contents: &[u8],
    permissions: Option<fs::Permissions>,
) -> io::Result<NamedTempFile> {
    let mut builder = Builder::new();
    builder.prefix(".staffage-").suffix(".saving");
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut file = builder.tempfile_in(folder_of(target))?;
    file.write_all(contents)?;
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
