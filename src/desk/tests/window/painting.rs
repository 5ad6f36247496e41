//! In step with the painting: saves that are seen, crops that are found again, files that are looked for; the
//! frame and its safe lines.

use crate::driver::Driver;
use egui::{Key, Modifiers};
use glam::DVec2;
use image::RgbImage;
use staffage_scene::{Family, Line};
use staffage_scene::{Frame, LineId, Painting, PrincipalPoint, Scene, Segment, load, save};
use std::path::{Path, PathBuf};

/// A painting of hills and towers, so that a part of it is found in the whole.
fn hills(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, y| {
        let (u, v) = (f64::from(x), f64::from(y));
        let hill = 90.0 + 30.0 * (u / 47.0).sin() + 11.0 * (u / 19.0 + 1.0).sin();
        let tower = (60..80).contains(&(x % 170)) && y > 40 + x / 9 && y < 150;
        let value = if tower {
            30.0
        } else if v < hill {
            200.0 - 0.3 * v + 9.0 * (u / 63.0 + v / 30.0).sin()
        } else {
            90.0 + 30.0 * ((u + 2.0 * v) / 23.0).sin()
        };
        image::Rgb([value as u8, (0.9 * value) as u8, (0.8 * value) as u8])
    })
}

/// A scene with a line and its painting in this folder.
fn quay(folder: &Path) -> (PathBuf, PathBuf) {
    let (picture, file) = (folder.join("quay.png"), folder.join("quay.ron"));
    hills(400, 200).save(&picture).expect("a picture");
    let segment = Segment(DVec2::new(0.1, 0.05), DVec2::new(0.1, -0.1));
    let scene = Scene {
        painting: Some(Painting { path: "quay.png".into(), size: (400, 200) }),
        frame: Frame { ratio: 2.0, working_width: 400 },
        lines: vec![Line { id: LineId(1), family: Family::Upright, segment }],
        ..Scene::default()
    };
    save(&file, &scene).expect("saved");
    (picture, file)
}

#[test]
fn a_crop_is_found_shown_and_taken_in_one_step() {
    let folder = tempfile::tempdir().expect("a folder");
    let (picture, file) = quay(folder.path());
    let mut driver = Driver::new();
    driver.open(&file);
    let before = driver.scene().clone();
    let cropped = image::imageops::crop_imm(&hills(400, 200), 80, 20, 300, 160).to_image();
    cropped.save(&picture).expect("a picture");
    driver.press(Key::F5);
    assert!(driver.says("The old frame was found in it"));
    assert!(driver.shows("-80") && driver.shows("-20") && driver.shows("100 %"));
    assert_eq!(*driver.scene(), before, "nothing moves before it is taken");
    driver.click("Take the new frame");
    let after = driver.scene().clone();
    // The line's foot lay at (240, 120) of the old painting: (160, 100) of the crop.
    let foot = after.lines[0].segment.0;
    assert!((foot - DVec2::new(10.0, 20.0) / 300.0).length() < 1e-9, "{foot}");
    // The optical axis lay at (200, 100): (120, 80) of the crop, 30 left of its middle.
    let PrincipalPoint::At(axis) = after.eye.principal else { panic!("{:?}", after.eye) };
    assert!((axis - DVec2::new(-30.0, 0.0) / 300.0).length() < 1e-9, "{axis}");
    assert_eq!(after.painting.map(|p| p.size), Some((300, 160)));
    assert!(!driver.says("What happened to it?"));
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert_eq!(*driver.scene(), before);
}

#[test]
fn the_old_frame_is_put_by_hand_where_the_painting_before_was_never_seen() {
    let folder = tempfile::tempdir().expect("a folder");
    let (picture, file) = quay(folder.path());
    hills(400, 300).save(&picture).expect("a picture");
    let mut driver = Driver::new();
    driver.open(&file);
    assert!(driver.says("is not known: drag its outline"));
    driver.click("top");
    assert!(driver.says("lies where you put it"));
    // By 40 px down: the painting is 400 px wide.
    driver.drag(DVec2::new(0.0, 0.0), DVec2::new(0.0, 0.1));
    assert!(driver.shows("40"), "{:?}", driver.labels("Old frame"));
    driver.click("Stretched");
    assert!(driver.says("keeps its share of width and height"));
    driver.click("Leave it");
    assert_eq!(driver.scene().frame.ratio, 2.0);
    driver.click("Fit it…");
    assert!(driver.says("What happened to it?"));
}

#[test]
fn a_painting_that_cannot_be_read_any_more_stays_in_sight() {
    let folder = tempfile::tempdir().expect("a folder");
    let (picture, file) = quay(folder.path());
    let mut driver = Driver::new();
    driver.open(&file);
    let (view, bytes) = (driver.desk().view(), std::fs::read(&picture).expect("a file"));
    for torn in [&bytes[..bytes.len() / 2], b""] {
        std::fs::write(&picture, torn).expect("written");
        driver.press(Key::F5);
        assert!(driver.says("shown as it was last"));
        assert!(!driver.says("can be used without its painting"));
    }
    std::fs::write(&picture, bytes).expect("written");
    driver.press(Key::F5);
    assert!(!driver.says("shown as it was last"));
    assert_eq!(driver.desk().view(), view);
}

#[test]
fn a_missing_painting_is_found_again_and_kept_by_a_relative_path() {
    let folder = tempfile::tempdir().expect("a folder");
    let (picture, file) = quay(folder.path());
    let moved = folder.path().join("paint").join("quay.png");
    std::fs::create_dir(folder.path().join("paint")).expect("a folder");
    std::fs::rename(&picture, &moved).expect("moved");
    let mut driver = Driver::new();
    driver.open(&file);
    assert_eq!(driver.scene().lines.len(), 1, "the scene is there without its painting");
    assert!(driver.has("Find it…"));
    driver.click("Take paint/quay.png");
    assert!(!driver.says("can be used without its painting"));
    driver.press_with(Modifiers::COMMAND, Key::S);
    let kept = load(&file).expect("a scene").painting.map(|p| p.path);
    assert_eq!(kept, Some(PathBuf::from("paint/quay.png")));
}

#[test]
fn a_painting_that_goes_while_it_is_open_stays_in_sight_and_is_found_again() {
    let folder = tempfile::tempdir().expect("a folder");
    let (picture, file) = quay(folder.path());
    let mut driver = Driver::new();
    driver.open(&file);
    let moved = folder.path().join("paint").join("quay.png");
    std::fs::create_dir(folder.path().join("paint")).expect("a folder");
    std::fs::rename(&picture, &moved).expect("moved");
    driver.press(Key::F5);
    assert!(driver.says("is not there any more; it is shown as it was last"));
    driver.click("Take paint/quay.png");
    assert_eq!(driver.scene().painting.as_ref().map(|p| p.path.clone()), Some(moved));
    assert!(!driver.says("shown as it was last"));
    // The place before is empty: the picture on the canvas is not passed off as what is there.
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert!(driver.says("can be used without its painting") && !driver.says("as it was last"));
}

#[test]
fn the_frame_is_fitted_by_keys_alone() {
    let folder = tempfile::tempdir().expect("a folder");
    let (picture, file) = quay(folder.path());
    let mut driver = Driver::new();
    driver.open(&file);
    let cropped = image::imageops::crop_imm(&hills(400, 200), 80, 20, 300, 160).to_image();
    cropped.save(&picture).expect("a picture");
    let view = driver.desk().view();
    driver.press(Key::F5);
    let corner = driver
        .desk()
        .view()
        .to_screen(driver.desk().canvas(), DVec2::new(-0.5 - 80.0 / 300.0, 0.0));
    assert!(driver.desk().canvas().contains(corner), "both frames are in sight: {corner}");
    driver.press(Key::ArrowRight);
    driver.press_with(Modifiers::SHIFT, Key::ArrowDown);
    assert!(driver.shows("-79") && driver.shows("-10"));
    driver.press(Key::Escape);
    assert!(driver.says("shown at the frame’s width") && driver.scene().frame.ratio == 2.0);
    assert_eq!(driver.desk().view(), view, "left, it is seen as before");
    driver.click("Fit it…");
    driver.press(Key::Enter);
    assert_eq!(driver.scene().painting.as_ref().map(|p| p.size), Some((300, 160)));
    assert_eq!(driver.scene().frame.ratio, 300.0 / 160.0);
}

#[test]
fn x_goes_through_the_safe_lines_and_is_remembered() {
    let mut driver = Driver::new();
    let mut seen = Vec::new();
    loop {
        driver.press(Key::X);
        let safe = driver.desk().remembered().safe.clone();
        if safe.is_empty() {
            break;
        }
        assert!(driver.says(&format!("Safe lines: {safe}.")));
        seen.push(safe);
        assert!(seen.len() < 20, "{seen:?}");
    }
    assert_eq!(seen.first().map(String::as_str), Some("action and title"));
    assert!(seen.contains(&"1.78".to_owned()), "{seen:?}");
}

#[test]
fn a_new_frame_tells_its_pixels_and_a_rung_of_the_ladder_is_worked_at() {
    let mut driver = Driver::new();
    driver.press_with(Modifiers::COMMAND, Key::N);
    driver.click("1.78");
    assert!(driver.says("2,300 × 1,294 px, 3.0 MP"));
    driver.click("Start");
    assert!((driver.scene().frame.ratio - 1.778).abs() < 1e-9);
    driver.press_named("10,000");
    assert_eq!(driver.scene().frame.working_width, 10_000);
}
