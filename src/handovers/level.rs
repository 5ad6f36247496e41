//! Levelled copies to files and back, by the rules of `staffage level`.

use super::capital;
use crate::commands::level::{
    Refusal, Wanted, bring_back as bring, came_back, measured, plan, way_back, write_copy,
};
use staffage_desk::{HandoverProgress, LevelAim, LevelOrder, Outcome};
use staffage_handover::{Aim, HandoverError, Levelling, ending};
use staffage_picture::{Depth, depth};
use staffage_scene::painting_path;
use staffage_solver::Eye;
use std::io;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

/// How large a copy would be, or why there is none.
pub(super) fn measure(eye: &Eye, painting: (u32, u32), wanted: LevelAim) -> Result<String, String> {
    match Levelling::new(eye, aim(wanted), painting) {
        Ok(levelling) => Ok(format!("{}.", measured(&levelling, eye))),
        Err(why) => Err(format!("{}.", capital(&why.to_string()))),
    }
}

fn aim(wanted: LevelAim) -> Aim {
    match wanted {
        LevelAim::Level => Aim::Level,
        LevelAim::Plumb => Aim::Plumb,
        LevelAim::By { pitch, heading, cant } => Aim::By { pitch, heading, cant },
    }
}

pub(super) fn write(order: &LevelOrder, progress: &HandoverProgress) -> Outcome {
    let LevelOrder { scene, scene_path, aim: wanted, to, replace } = order;
    // What cannot be read is refused below, in words.
    let depth = painting_path(scene_path, scene).and_then(|painting| depth(&painting).ok());
    let to = to.as_ref().map(|to| ending_with(to, ending(depth.unwrap_or(Depth::Eight))));
    let written = plan(scene_path, scene, aim(*wanted), to.as_deref()).and_then(|copy| {
        copy.may_be_written(*replace)?;
        write_copy(&copy, &mut watch(progress))?;
        Ok(copy)
    });
    match written {
        Ok(copy) => {
            let measured = measured(&copy.levelling, &copy.eye);
            let sentence = format!("Wrote “{}”: {measured}.", copy.target.display());
            Outcome::Levelled { copy: copy.target, sentence }
        }
        Err(why) => refused(why, ELSEWHERE),
    }
}

/// What helps where a file cannot be written to the place that was chosen for it.
pub(super) const ELSEWHERE: &str = " Choose another place for it.";
/// And where it goes beside a copy.
const WITH_ITS_COPY: &str = " Put the copy, with its .json, into a folder that can be written to.";

/// This file with the ending that says what it is, in place of another one that it could have had; a folder as it
/// is.
pub(super) fn ending_with(path: &Path, ending: &str) -> PathBuf {
    const KNOWN: [&str; 3] = ["png", "exr", "ora"];
    let is = |other: &str| path.extension().is_some_and(|e| e.eq_ignore_ascii_case(other));
    if is(ending) || path.is_dir() {
        return path.to_owned();
    }
    if KNOWN.into_iter().any(is) {
        return path.with_extension(ending);
    }
    let mut name = path.as_os_str().to_owned();
    name.push(".");
    name.push(ending);
    name.into()
}

pub(super) fn bring_back(copy: &Path, replace: bool, progress: &HandoverProgress) -> Outcome {
    let brought = way_back(copy, Wanted::default()).and_then(|back| {
        back.may_be_written(replace)?;
        let returned = bring(&back, &mut watch(progress))?;
        Ok(format!("Wrote “{}”: {}.", back.target.display(), came_back(&back, &returned)))
    });
    brought.map_or_else(|why| refused(why, WITH_ITS_COPY), Outcome::Done)
}

pub(super) fn watch(progress: &HandoverProgress) -> impl FnMut(f32) -> ControlFlow<()> {
    |share| {
        progress.report(share);
        if progress.is_cancelled() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    }
}

/// Why there is none, with what can be done about it in the window.
pub(super) fn refused(why: Refusal, elsewhere: &str) -> Outcome {
    match why {
        Refusal::Cancelled => Outcome::Cancelled,
        Refusal::Taken(path) => Outcome::Taken(path),
        Refusal::Failed { target, source } => {
            let todo = match &source {
                HandoverError::Unwritable(error) if error.kind() == io::ErrorKind::StorageFull => {
                    " Make room first."
                }
                HandoverError::Unwritable(_) => elsewhere,
                _ => "",
            };
            Outcome::Failed(format!("“{}” was not written: {source}.{todo}", target.display()))
        }
        Refusal::Painting(path) => Outcome::Failed(format!(
            "“{}” is the painting itself, which is never replaced.{elsewhere}",
            path.display()
        )),
        why => {
            let sentence = capital(&why.to_string());
            let end = if sentence.ends_with('.') { "" } else { "." };
            Outcome::Failed(sentence + end)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{Rgb, RgbImage};
    use staffage_scene::{EyeByHand, Frame, Painting, Scene};
    use std::fs;
    use std::sync::Arc;
    use tempfile::TempDir;

    /// A scene on the desk over a painting in a folder of its own.
    fn order(cant: f64) -> (TempDir, LevelOrder) {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("quay.png");
        let picture = RgbImage::from_fn(200, 100, |x, y| Rgb([x as u8, y as u8, 90]));
        picture.save(&path).unwrap();
        let by_hand = Some(cant);
        let scene = Scene {
            painting: Some(Painting { path, size: (200, 100) }),
            frame: Frame { ratio: 2.0, working_width: 200 },
            eye: EyeByHand { cant: by_hand, pitch: Some(10.0), ..EyeByHand::default() },
            ..Scene::default()
        };
        let scene_path = folder.path().join("quay.ron");
        let scene = Arc::new(scene);
        (folder, LevelOrder { scene, scene_path, aim: LevelAim::Level, to: None, replace: false })
    }

    #[test]
    fn a_copy_goes_beside_the_scene_and_comes_back() {
        let (folder, order) = order(9.0);
        let progress = HandoverProgress::default();
        let Outcome::Levelled { copy, sentence } = write(&order, &progress) else {
            panic!("not written")
        };
        assert_eq!(copy, folder.path().join("quay.level.png"));
        assert!(sentence.contains("9.0° of cant taken out"), "{sentence}");
        assert_eq!(progress.fraction(), 1.0);
        assert_eq!(write(&order, &progress), Outcome::Taken(copy.clone()));
        let Outcome::Done(sentence) = bring_back(&copy, false, &progress) else {
            panic!("not brought back")
        };
        assert!(
            sentence.contains("quay.level.back.png”: 200 × 100 px; nothing was painted"),
            "{sentence}"
        );
        let again = bring_back(&copy, false, &progress);
        assert!(matches!(again, Outcome::Taken(_)), "{again:?}");
        assert!(matches!(bring_back(&copy, true, &progress), Outcome::Done(_)));
    }

    #[test]
    fn a_copy_goes_where_it_was_sent_with_the_ending_of_its_depth() {
        let (folder, order) = order(9.0);
        fs::create_dir(folder.path().join("work")).unwrap();
        let sent = |name: &str| {
            let order = LevelOrder { to: Some(folder.path().join(name)), ..order.clone() };
            write(&order, &HandoverProgress::default())
        };
        for (name, written) in [
            ("work/turned", "work/turned.png"),
            ("work/mine.exr", "work/mine.png"),
            ("work/v1.2.png", "work/v1.2.png"),
            ("work", "work/quay.level.png"),
        ] {
            let Outcome::Levelled { copy, .. } = sent(name) else { panic!("{name}") };
            assert_eq!(copy, folder.path().join(written));
            assert!(copy.with_extension("json").exists());
        }
        let Outcome::Failed(why) = sent("quay.png") else { panic!("replaced") };
        assert!(
            why.ends_with(
                "is the painting itself, which is never replaced. Choose another place for it."
            ),
            "{why}"
        );
        let Outcome::Failed(why) = sent("nowhere/a.png") else { panic!("written") };
        assert!(why.ends_with("Choose another place for it."), "{why}");
    }

    #[test]
    fn what_is_cancelled_or_cannot_be_done_leaves_nothing() {
        let (folder, order) = order(9.0);
        let progress = HandoverProgress::default();
        progress.cancel();
        assert_eq!(write(&order, &progress), Outcome::Cancelled);
        let (_folder, level) = self::order(0.0);
        let Outcome::Failed(why) = write(&level, &HandoverProgress::default()) else {
            panic!("written")
        };
        assert!(why.contains("level already") && why.ends_with('.'), "{why}");
        let stray = folder.path().join("quay.png");
        let Outcome::Failed(why) = bring_back(&stray, false, &HandoverProgress::default()) else {
            panic!("brought back")
        };
        assert!(why.contains("there is no “"), "{why}");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn its_size_is_measured_without_a_file() {
        let eye = Eye { cant: 0.1, ..Eye::default() };
        let said = measure(&eye, (2000, 1000), LevelAim::Level).unwrap();
        assert!(said.contains("5.7° of cant taken out, nothing enlarged."), "{said}");
        let why = measure(&Eye::default(), (2000, 1000), LevelAim::Plumb).unwrap_err();
        assert_eq!(why, "There is nothing to turn: it is plumb already.");
    }
}
