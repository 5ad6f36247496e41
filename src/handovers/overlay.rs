//! An overlay to a file, by the rules of `staffage overlay`.

use super::{laid_out, watch};
use crate::commands::overlay::{Refusal, Target, put};
use staffage_desk::{HandoverProgress, Ink, Outcome};
use staffage_handover::HandoverError;
use std::fs;
use std::io;
use std::path::Path;
use std::time::Instant;

pub(super) fn write(ink: &Ink, path: &Path, replace: bool, progress: &HandoverProgress) -> Outcome {
    match try_write(ink, path, replace, progress) {
        Ok(sentence) => Outcome::Done(sentence),
        Err(Refusal::Taken(path)) => Outcome::Taken(path),
        Err(Refusal::Failed { source: HandoverError::Cancelled, .. }) => Outcome::Cancelled,
        Err(why) => Outcome::Failed(in_window(&why)),
    }
}

fn try_write(
    ink: &Ink,
    path: &Path,
    replace: bool,
    progress: &HandoverProgress,
) -> Result<String, Refusal> {
    let start = Instant::now();
    let target = Target::named(path, false)?;
    target.may_be_replaced(path, &ink.scene, replace)?;
    let failed = |source| Refusal::Failed { target: path.to_owned(), source };
    let overlay = laid_out(ink).map_err(failed)?;
    put(&overlay, &target, &mut watch(progress)).map_err(failed)?;
    let (width, height) = overlay.size();
    let seconds = start.elapsed().as_secs_f64();
    let megabytes = fs::metadata(path).map_or(0.0, |file| file.len() as f64 / 1e6);
    Ok(format!(
        "Wrote “{}”: {width} × {height} px, {megabytes:.1} MB, in {seconds:.1} s.",
        path.display()
    ))
}

/// Why there is no overlay, with what can be done about it in the window.
fn in_window(why: &Refusal) -> String {
    match why {
        Refusal::Painting(path) => format!(
            "“{}” is the painting itself, which is never replaced: choose another file.",
            path.display()
        ),
        Refusal::Failed { target, source } => {
            let todo = match source {
                HandoverError::Unwritable(error) if error.kind() == io::ErrorKind::StorageFull => {
                    " Make room, or choose another place."
                }
                HandoverError::Unwritable(_) => " Choose another place in Handover, Overlay…",
                _ => "",
            };
            format!("“{}” was not written: {source}.{todo}", target.display())
        }
        why => {
            let mut sentence = why.to_string();
            sentence.push('.');
            sentence
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_desk::InkPart;
    use staffage_scene::{Painting, Scene, Units};
    use std::path::PathBuf;
    use std::sync::Arc;

    fn ink(scene: Scene) -> Ink {
        let scene = Arc::new(scene);
        Ink {
            scene,
            width: 600,
            parts: InkPart::USUAL.to_vec(),
            words: true,
            weight: 1.0,
            grid: None,
            units: Units::Metric,
        }
    }

    fn names(folder: &Path) -> Vec<PathBuf> {
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into()).collect()
    }

    fn written(path: &Path, replace: bool) -> Outcome {
        write(&ink(Scene::default()), path, replace, &HandoverProgress::default())
    }

    #[test]
    fn an_overlay_is_written_and_its_size_told() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("ink.png");
        let Outcome::Done(sentence) = written(&path, false) else { panic!("not written") };
        assert!(sentence.contains("600 × 255 px, 0.0 MB"), "{sentence}");
        assert_eq!(image::image_dimensions(&path).unwrap(), (600, 255));
        assert!(matches!(written(&path, false), Outcome::Done(_)), "an overlay is replaced");
    }

    #[test]
    fn another_file_is_asked_about_and_the_painting_never_replaced() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("mine.png");
        fs::write(&path, "a picture of mine").unwrap();
        assert_eq!(written(&path, false), Outcome::Taken(path.clone()));
        let painting = Painting { path: path.clone(), size: (600, 300) };
        let scene = Scene { painting: Some(painting), ..Scene::default() };
        let outcome = write(&ink(scene), &path, true, &HandoverProgress::default());
        assert!(matches!(outcome, Outcome::Failed(why) if why.contains("never replaced")));
        assert_eq!(fs::read(&path).unwrap(), b"a picture of mine");
        assert!(matches!(written(&path, true), Outcome::Done(_)));
    }

    #[test]
    fn what_is_cancelled_leaves_the_earlier_overlay_and_nothing_else() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("ink.png");
        assert!(matches!(written(&path, false), Outcome::Done(_)));
        let before = fs::read(&path).unwrap();
        let progress = HandoverProgress::default();
        progress.cancel();
        let wide = Ink { width: 5000, ..ink(Scene::default()) };
        assert_eq!(write(&wide, &path, false, &progress), Outcome::Cancelled);
        assert_eq!(fs::read(&path).unwrap(), before);
        assert_eq!(names(folder.path()), [PathBuf::from("ink.png")]);
    }

    #[test]
    fn a_folder_that_is_gone_and_a_file_that_is_protected_are_told_in_a_sentence() {
        let folder = tempfile::tempdir().unwrap();
        let gone = folder.path().join("gone/ink.png");
        let Outcome::Failed(why) = written(&gone, false) else { panic!("written") };
        assert!(why.contains("was not written: ") && why.contains("another place"), "{why}");
        let path = folder.path().join("ink.png");
        assert!(matches!(written(&path, false), Outcome::Done(_)));
        let mut permissions = fs::metadata(&path).unwrap().permissions();
        permissions.set_readonly(true);
        fs::set_permissions(&path, permissions).unwrap();
        let Outcome::Failed(why) = written(&path, false) else { panic!("written") };
        assert!(why.contains("write-protected"), "{why}");
        assert_eq!(names(folder.path()), [PathBuf::from("ink.png")]);
    }

    #[test]
    fn a_full_disk_is_told_with_what_to_do() {
        let source = HandoverError::Unwritable(io::ErrorKind::StorageFull.into());
        let why = in_window(&Refusal::Failed { target: "ink.png".into(), source });
        assert!(why.starts_with("“ink.png” was not written: "), "{why}");
        assert!(why.ends_with("Make room, or choose another place."), "{why}");
    }
}
