//! Levelled copies to files and back, by the rules of `staffage level`.

use super::capital;
use crate::commands::level::{
    Refusal, Wanted, bring_back as bring, came_back, measured, plan, way_back, write_copy,
};
use staffage_desk::{HandoverProgress, LevelAim, LevelOrder, Outcome};
use staffage_handover::{Aim, HandoverError, Levelling};
use staffage_solver::Eye;
use std::io;
use std::ops::ControlFlow;
use std::path::Path;

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
    let LevelOrder { scene, scene_path, aim: wanted, replace } = order;
    let written = plan(scene_path, scene, aim(*wanted), None).and_then(|copy| {
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
        Err(why) => refused(why),
    }
}

pub(super) fn bring_back(copy: &Path, replace: bool, progress: &HandoverProgress) -> Outcome {
    let brought = way_back(copy, Wanted::default()).and_then(|back| {
        back.may_be_written(replace)?;
        let returned = bring(&back, &mut watch(progress))?;
        Ok(format!("Wrote “{}”: {}.", back.target.display(), came_back(&back, &returned)))
    });
    brought.map_or_else(refused, Outcome::Done)
}

pub(super) fn watch(progress: &HandoverProgress) -> impl FnMut(f32) -> ControlFlow<()> {
    |share| {
        progress.report(share);
        if progress.is_cancelled() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    }
}

/// Why there is none, with what can be done about it in the window.
pub(super) fn refused(why: Refusal) -> Outcome {
    match why {
        Refusal::Cancelled => Outcome::Cancelled,
        Refusal::Taken(path) => Outcome::Taken(path),
        Refusal::Failed { target, source } => {
            let todo = match &source {
                HandoverError::Unwritable(error) if error.kind() == io::ErrorKind::StorageFull => {
                    " Make room first."
                }
                HandoverError::Unwritable(_) => " Save the scene in another folder first.",
                _ => "",
            };
            Outcome::Failed(format!("“{}” was not written: {source}.{todo}", target.display()))
        }
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
        (folder, LevelOrder { scene, scene_path, aim: LevelAim::Level, replace: false })
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
