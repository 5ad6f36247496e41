//! Sheets and cameras to files, by the rules of `staffage sheet` and `staffage camera`.

use super::capital;
use crate::commands::camera::CAMERA;
use crate::commands::check::{Answer, Found, Painting, Read};
use crate::commands::product::{Matter, Withheld};
use crate::commands::sheet::SHEET;
use crate::commands::watching::watched;
use crate::commands::{camera, sheet};
use staffage_desk::{HandoverProgress, Outcome, Product, ProductOrder};
use staffage_handover::{FilmBack, HandoverError};
use staffage_picture::Progress;
use std::fs;
use std::io;
use std::time::Instant;

/// The share of the work that reading the painting is.
const READING: f32 = 0.7;

pub(super) fn write(order: &ProductOrder, progress: &HandoverProgress) -> Outcome {
    match try_write(order, progress) {
        Ok(sentence) => Outcome::Done(sentence),
        Err(Withheld::Failed { source: HandoverError::Cancelled, .. }) => Outcome::Cancelled,
        Err(Withheld::Taken { path, .. }) => Outcome::Taken(path),
        Err(why) => Outcome::Failed(in_window(&why)),
    }
}

/// What is there now.
fn try_write(order: &ProductOrder, progress: &HandoverProgress) -> Result<String, Withheld> {
    let start = Instant::now();
    let ProductOrder { product, scene, scene_path, units, film_back, path, replace } = order;
    let kind = match product {
        Product::Sheet => SHEET,
        Product::Camera => CAMERA,
    };
    let target = kind.named(path, None)?;
    kind.may_be_replaced(&target, scene_path, scene, *replace)?;
    let failed = |source| Withheld::Failed { target: target.clone(), source };
    let cancelled = || failed(HandoverError::Cancelled);
    let reading = Progress::default();
    let look = || {
        progress.report(READING * reading.fraction_read());
        if progress.is_cancelled() {
            reading.cancel();
        }
    };
    let read = || Read::of(scene_path, (**scene).clone(), *units, &reading);
    let (read, pixels) = watched(look, read);
    if progress.is_cancelled() {
        return Err(cancelled());
    }
    if let Painting::Unreadable(why) = &read.painting {
        return Err(Withheld::Unreadable(why.clone()));
    }
    let answer = Answer { path: scene_path.clone(), found: Found::Scene(Box::new(read)) };
    let Found::Scene(read) = &answer.found else { return Err(cancelled()) };
    let is_cancelled = || progress.is_cancelled();
    let pixels = pixels.as_ref();
    let film_back = FilmBack::named(film_back).unwrap_or_default();
    let (answer, is_cancelled) = (&answer, &is_cancelled);
    let matter = Matter { answer, read, pixels, film_back, is_cancelled };
    let remarks = match product {
        Product::Sheet => sheet::put(&matter, &target).map(|()| Vec::new()),
        Product::Camera => camera::put(&matter, &target),
    };
    let remarks = remarks.map_err(failed)?;
    let megabytes = fs::metadata(&target).map_or(0.0, |file| file.len() as f64 / 1e6);
    let seconds = start.elapsed().as_secs_f64();
    let wrote = format!("Wrote “{}”: {megabytes:.1} MB, in {seconds:.1} s.", target.display());
    Ok([vec![wrote], remarks].concat().join(" "))
}

/// Why there is none, with what can be done about it in the window.
fn in_window(why: &Withheld) -> String {
    match why {
        Withheld::Source { path, what } => format!(
            "“{}” is {what} itself, which is never replaced: choose another file.",
            path.display()
        ),
        Withheld::Failed { target, source } => {
            let todo = match source {
                HandoverError::Unwritable(error) if error.kind() == io::ErrorKind::StorageFull => {
                    " Make room, or choose another place."
                }
                HandoverError::Unwritable(_) => " Choose another place.",
                _ => "",
            };
            format!("“{}” was not written: {source}.{todo}", target.display())
        }
        why => {
            let sentence = capital(&why.to_string());
            let end = if sentence.ends_with('.') { "" } else { "." };
            sentence + end
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_scene::{Known, Painting as Recorded, Scene, Units};
    use std::path::Path;
    use std::sync::Arc;
    use tempfile::TempDir;

    fn order(folder: &TempDir, product: Product, name: &str) -> ProductOrder {
        let painting = folder.path().join("quay.png");
        image::RgbImage::new(235, 100).save(&painting).unwrap();
        let mut scene = Scene {
            painting: Some(Recorded { path: painting, size: (235, 100) }),
            ..Scene::default()
        };
        scene.levels[0].clearance = Some(Known { metres: 2.0, spread: 0.05 });
        ProductOrder {
            product,
            scene: Arc::new(scene),
            scene_path: folder.path().join("quay.ron"),
            units: Units::Imperial,
            film_back: "super-35".into(),
            path: folder.path().join(name),
            replace: false,
        }
    }

    fn names(folder: &Path) -> Vec<String> {
        let name = |entry: fs::DirEntry| entry.file_name().to_string_lossy().into_owned();
        let mut names: Vec<_> =
            fs::read_dir(folder).unwrap().map(|entry| name(entry.unwrap())).collect();
        names.sort();
        names
    }

    #[test]
    fn a_sheet_and_a_camera_are_written_with_their_painting() {
        let folder = tempfile::tempdir().unwrap();
        for (product, name, holds) in [
            (Product::Sheet, "quay.html", "data:image/jpeg;base64,"),
            (Product::Camera, "quay.gltf", "image/jpeg"),
        ] {
            let order = order(&folder, product, name);
            let outcome = write(&order, &HandoverProgress::default());
            assert!(matches!(outcome, Outcome::Done(said) if said.contains(name)));
            assert!(fs::read_to_string(&order.path).unwrap().contains(holds));
            let again = write(&order, &HandoverProgress::default());
            assert!(matches!(again, Outcome::Done(_)), "its own is replaced");
        }
    }

    #[test]
    fn another_file_is_asked_about_and_the_painting_never_replaced() {
        let folder = tempfile::tempdir().unwrap();
        let mut order = order(&folder, Product::Camera, "mine.glb");
        fs::write(&order.path, "mine").unwrap();
        let progress = HandoverProgress::default();
        assert_eq!(write(&order, &progress), Outcome::Taken(order.path.clone()));
        assert_eq!(fs::read(&order.path).unwrap(), b"mine");
        order.replace = true;
        assert!(matches!(write(&order, &progress), Outcome::Done(_)));
        order.path = folder.path().join("quay.png");
        let outcome = write(&order, &progress);
        assert!(matches!(&outcome, Outcome::Failed(why) if why.contains("must end in .glb")));
    }

    #[test]
    fn what_is_cancelled_or_cannot_be_made_leaves_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let mut order = order(&folder, Product::Sheet, "quay.html");
        let progress = HandoverProgress::default();
        progress.cancel();
        assert_eq!(write(&order, &progress), Outcome::Cancelled);
        assert_eq!(names(folder.path()), ["quay.png"]);
        order.product = Product::Camera;
        order.path = folder.path().join("quay.glb");
        order.scene = Arc::new(Scene::default());
        let outcome = write(&order, &HandoverProgress::default());
        assert!(matches!(&outcome, Outcome::Failed(why) if why.contains("mark a figure")));
        order.path = folder.path().join("gone/quay.glb");
        assert!(matches!(write(&order, &HandoverProgress::default()), Outcome::Failed(_)));
        assert_eq!(names(folder.path()), ["quay.png"]);
    }
}
