//! The picture on the clipboard to a file, to be the painting.

use super::clipboard::Pictures;
use super::watch;
use staffage_desk::{HandoverProgress, Outcome};
use staffage_handover::{HandoverError, write_painting};
use std::fs;
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};
use tempfile::{Builder, NamedTempFile};

pub(super) fn paste(
    clipboard: &dyn Pictures,
    wanted: &Path,
    progress: &HandoverProgress,
) -> Outcome {
    let (size, rgba) = match clipboard.take() {
        Ok(pixels) => pixels,
        Err(why) => return Outcome::Failed(why),
    };
    match keep(&rgba, size, wanted, progress) {
        Ok(path) => Outcome::Pasted(path),
        Err(HandoverError::Cancelled) => Outcome::Cancelled,
        Err(why) => Outcome::Failed(format!(
            "The picture could not be kept as “{}”: {why}.",
            wanted.display()
        )),
    }
}

/// Writes pixels under the first name that is free, and returns it.
fn keep(
    rgba: &[u8],
    size: (u32, u32),
    wanted: &Path,
    progress: &HandoverProgress,
) -> Result<PathBuf, HandoverError> {
    let folder = wanted.parent().unwrap_or(Path::new(""));
    fs::create_dir_all(folder)?;
    let mut builder = Builder::new();
    builder.prefix(".staffage-").suffix(".pasting");
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut file = builder.tempfile_in(folder)?;
    let mut out = BufWriter::new(file.as_file_mut());
    write_painting(rgba, size, &mut out, &mut watch(progress))?;
    out.flush()?;
    drop(out);
    file.as_file().sync_all()?;
    Ok(name(file, wanted)?)
}

/// Gives a finished file the first name that is free, even if others take names meanwhile.
fn name(mut file: NamedTempFile, wanted: &Path) -> io::Result<PathBuf> {
    let stem = wanted.file_stem().unwrap_or_default().to_string_lossy();
    let numbered = |n: usize| wanted.with_file_name(format!("{stem} {n}.png"));
    for place in std::iter::once(wanted.to_path_buf()).chain((2..10_000).map(numbered)) {
        match file.persist_noclobber(&place) {
            Ok(_) => return Ok(place),
            Err(failed) if failed.error.kind() == io::ErrorKind::AlreadyExists => {
                file = failed.file;
            }
            Err(failed) => return Err(failed.error),
        }
    }
    Err(io::Error::new(io::ErrorKind::AlreadyExists, "all its names are taken"))
}

#[cfg(test)]
mod tests {
    use super::super::clipboard::tests::Board;
    use super::*;
    use std::sync::Mutex;

    fn board() -> Board {
        Board(Mutex::new(Some(((2, 1), vec![10, 20, 30, 255, 40, 50, 60, 255]))))
    }

    #[test]
    fn pictures_are_kept_under_names_that_are_free() {
        let folder = tempfile::tempdir().unwrap();
        let wanted = folder.path().join("quay pasted.png");
        fs::write(&wanted, "mine").unwrap();
        let second = folder.path().join("quay pasted 2.png");
        let progress = HandoverProgress::default();
        assert_eq!(paste(&board(), &wanted, &progress), Outcome::Pasted(second.clone()));
        assert_eq!(fs::read(&wanted).unwrap(), b"mine");
        let picture = image::open(&second).unwrap().into_rgb8();
        assert_eq!(picture.into_raw(), [10, 20, 30, 40, 50, 60]);
        let third = folder.path().join("quay pasted 3.png");
        assert_eq!(paste(&board(), &wanted, &progress), Outcome::Pasted(third));
    }

    #[test]
    fn an_empty_clipboard_and_a_paste_that_is_given_up_leave_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let wanted = folder.path().join("quay pasted.png");
        let progress = HandoverProgress::default();
        let why = "There is no picture on the clipboard.";
        assert_eq!(paste(&Board::default(), &wanted, &progress), Outcome::Failed(why.into()));
        progress.cancel();
        assert_eq!(paste(&board(), &wanted, &progress), Outcome::Cancelled);
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
    }

    #[test]
    fn a_place_that_cannot_be_written_to_is_told() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("file"), "").unwrap();
        let wanted = folder.path().join("file/quay pasted.png");
        let outcome = paste(&board(), &wanted, &HandoverProgress::default());
        assert!(matches!(outcome, Outcome::Failed(why) if why.contains("could not be kept as")));
    }
}
