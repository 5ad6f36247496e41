//! `staffage level` from outside: a turned copy and its way back, how it ends, and what it leaves alone.

mod folder;

use folder::{Folder, staffage};
use image::{DynamicImage, GenericImageView, Rgb, RgbImage};
use serde_json::Value;
use std::fs;

/// A painting of 600 × 300 px, seen by an eye with this pitch and cant.
fn scene(pitch: f64, cant: f64) -> String {
    format!(
        r#"(format: 1, scene: (
          title: "Quay",
          painting: (path: "quay.png", size: (600, 300)),
          frame: (ratio: 2.0, working_width: 600),
          eye: (angle_of_view: 53.13, pitch: {pitch}, cant: {cant}),
        ))"#
    )
}

/// Soft masses with a few edges.
fn painting() -> RgbImage {
    RgbImage::from_fn(600, 300, |x, y| {
        let (u, v) = (f64::from(x) / 600.0, f64::from(y) / 300.0);
        let mass = 90.0 + 60.0 * (9.0 * u).sin() * (7.0 * v).cos();
        let edge = if (0.3..0.5).contains(&u) && v > 0.4 { 50.0 } else { 0.0 };
        Rgb([mass as u8, (mass + edge) as u8, (200.0 - mass) as u8])
    })
}

fn quay(pitch: f64, cant: f64) -> Folder {
    let folder = Folder::new();
    folder.put("quay.ron", scene(pitch, cant));
    painting().save(folder.path("quay.png")).unwrap();
    folder
}

fn done(folder: &Folder, arguments: &[&str]) -> String {
    let answer = folder.run("level", arguments);
    assert_eq!((answer.status, answer.err.as_str()), (0, ""), "{answer:?}");
    answer.out
}

/// Asks for what cannot be done, and returns the one sentence that says why.
fn refusal(folder: &Folder, arguments: &[&str]) -> String {
    let before = folder.names();
    let answer = folder.run("level", arguments);
    assert_eq!(answer.out, "", "{answer:?}");
    assert_eq!(folder.names(), before, "something was left behind");
    answer.refusal()
}

fn open(folder: &Folder, name: &str) -> DynamicImage {
    image::open(folder.path(name)).unwrap()
}

/// Signal to noise, decibels.
fn psnr(a: &DynamicImage, b: &DynamicImage) -> f64 {
    let (a, b) = (a.to_rgb16(), b.to_rgb16());
    assert_eq!(a.dimensions(), b.dimensions());
    let squares = a.as_raw().iter().zip(b.as_raw());
    let squares: f64 = squares.map(|(a, b)| (f64::from(*a) - f64::from(*b)).powi(2)).sum();
    20.0 * 65_535.0_f64.log10() - 10.0 * (squares / a.as_raw().len() as f64).log10()
}

#[test]
fn a_copy_is_written_beside_its_scene_and_comes_back() {
    let folder = quay(12.0, 8.0);
    let said = done(&folder, &["quay.ron"]);
    // 616 cos 8° + 316 sin 8° across, 616 sin 8° + 316 cos 8° down.
    assert!(said.starts_with("quay.level.png  654 × 400 px, 1.45 times as many"), "{said}");
    assert!(said.contains("8.0° of cant taken out, nothing enlarged"), "{said}");
    assert_eq!(folder.names(), ["quay.level.json", "quay.level.png", "quay.png", "quay.ron"]);
    let copy = open(&folder, "quay.level.png");
    assert_eq!(copy.get_pixel(0, 0).0, [0, 0, 0, 0], "nothing is painted in the margin");
    assert_eq!(copy.get_pixel(327, 200).0[3], 255);
    let said = done(&folder, &["--back", "quay.level.png"]);
    assert!(said.starts_with("quay.level.back.png  600 × 300 px; nothing was painted"), "{said}");
    let (before, after) = (open(&folder, "quay.png"), open(&folder, "quay.level.back.png"));
    assert!(before == after, "pixel for pixel, and no alpha");
    let said = done(&folder, &["--back", "quay.level.png", "--whole", "--force"]);
    assert!(said.ends_with("; all of it was resampled, as was asked for\n"), "{said}");
    let after = open(&folder, "quay.level.back.png");
    assert!(!after.color().has_alpha(), "no pixel is blank");
    let psnr = psnr(&before, &after);
    assert!((45.0..80.0).contains(&psnr), "{psnr}");
}

/// Paints a red square of 9 px on a copy of 8 bits, its upper left corner there.
fn dab(folder: &Folder, name: &str, (x, y): (u32, u32)) {
    let mut copy = open(folder, name).into_rgba8();
    for (dx, dy) in (0..9).flat_map(|dx| (0..9).map(move |dy| (dx, dy))) {
        copy.put_pixel(x + dx, y + dy, image::Rgba([255, 0, 0, 255]));
    }
    copy.save(folder.path(name)).unwrap();
}

/// How many pixels of two pictures differ, and all of them within a square of this many pixels.
fn differing(a: &DynamicImage, b: &DynamicImage, within: u32) -> usize {
    let (a, b) = (a.to_rgb16(), b.to_rgb16());
    assert_eq!(a.dimensions(), b.dimensions());
    let pairs = a.enumerate_pixels().zip(b.pixels());
    let differing = pairs.filter(|((_, _, a), b)| a != b).map(|((x, y, _), _)| (x, y));
    let differing: Vec<(u32, u32)> = differing.collect();
    for side in [|at: &(u32, u32)| at.0, |at: &(u32, u32)| at.1] {
        let (low, high) = (differing.iter().map(side).min(), differing.iter().map(side).max());
        assert!(high.unwrap_or(0) - low.unwrap_or(0) < within, "{low:?} to {high:?}");
    }
    differing.len()
}

#[test]
fn only_what_was_painted_on_the_copy_changes_the_painting() {
    let folder = quay(12.0, 8.0);
    done(&folder, &["quay.ron"]);
    dab(&folder, "quay.level.png", (300, 200));
    let said = done(&folder, &["--back", "quay.level.png"]);
    assert!(said.contains("less than 0.1 % of it was painted on the copy"), "{said}");
    let (before, after) = (open(&folder, "quay.png"), open(&folder, "quay.level.back.png"));
    // Nine pixels, slightly turned, and as far as the kernel reaches to either side.
    let touched = differing(&before, &after, 20);
    assert!((81..400).contains(&touched), "{touched}");
}

#[test]
fn a_copy_saved_at_another_depth_or_with_loss_comes_back_too() {
    let folder = quay(12.0, 8.0);
    DynamicImage::from(painting()).to_rgb16().save(folder.path("quay.png")).unwrap();
    done(&folder, &["quay.ron"]);
    // Many programs keep no more than 8 bits.
    let shallow = open(&folder, "quay.level.png").to_rgba8();
    shallow.save(folder.path("quay.level.tif")).unwrap();
    dab(&folder, "quay.level.tif", (300, 200));
    done(&folder, &["--back", "quay.level.tif", "-o", "b.png"]);
    let after = open(&folder, "b.png");
    assert_eq!(after.color(), image::ColorType::Rgb16, "the painting keeps its depth");
    assert!(differing(&open(&folder, "quay.png"), &after, 20) > 80);
    let lossy = open(&folder, "quay.level.png").to_rgb8();
    lossy.save(folder.path("quay.level.jpg")).unwrap();
    let said = done(&folder, &["--back", "quay.level.jpg", "-o", "c.png"]);
    assert!(
        said.contains("of it was painted on the copy") || said.contains("saved with loss?"),
        "{said}"
    );
    assert!(psnr(&open(&folder, "quay.png"), &open(&folder, "c.png")) > 30.0);
}

#[test]
fn a_painting_that_is_gone_can_be_named_and_another_is_refused() {
    let folder = quay(12.0, 8.0);
    done(&folder, &["quay.ron"]);
    dab(&folder, "quay.level.png", (300, 200));
    fs::rename(folder.path("quay.png"), folder.path("old.png")).unwrap();
    let said = done(&folder, &["--back", "quay.level.png"]);
    assert!(
        said.contains("all of it was resampled: the painting is no longer where it was"),
        "{said}"
    );
    let back =
        |painting: &'static str| ["--back", "quay.level.png", "--force", "--painting", painting];
    let said = done(&folder, &back("old.png"));
    assert!(said.contains("the rest is the painting, pixel for pixel"), "{said}");
    differing(&open(&folder, "old.png"), &open(&folder, "quay.level.back.png"), 20);
    let why = refusal(&folder, &back("quay.level.png"));
    assert!(why.contains("is not the painting that the copy was made of"), "{why}");
    assert!(refusal(&folder, &back("nowhere.png")).contains("could not be read"));
    let onto = ["--back", "quay.level.png", "--force", "--painting", "old.png", "-o", "old.png"];
    assert!(refusal(&folder, &onto).contains("painting itself, which is never replaced"));
}

#[test]
fn what_is_painted_on_the_copy_lands_where_the_transform_says() {
    let folder = quay(12.0, 8.0);
    done(&folder, &["quay.ron", "--plumb"]);
    let text = fs::read_to_string(folder.path("quay.plumb.json")).unwrap();
    let note: Value = serde_json::from_str(&text).unwrap();
    let back = |i: usize, j: usize| note["back"][i][j].as_f64().unwrap();
    let mut copy = open(&folder, "quay.plumb.png").into_rgba8();
    for (x, y) in [(300, 200), (420, 240)] {
        for (dx, dy) in (0..9).flat_map(|dx| (0..9).map(move |dy| (dx, dy))) {
            copy.put_pixel(x + dx, y + dy, image::Rgba([255, 0, 0, 255]));
        }
    }
    copy.save(folder.path("quay.plumb.png")).unwrap();
    done(&folder, &["--back", "quay.plumb.png"]);
    let after = open(&folder, "quay.plumb.back.png").into_rgb8();
    for (x, y) in [(304.5, 204.5), (424.5, 244.5)] {
        let at = |i| back(i, 0) * x + back(i, 1) * y + back(i, 2);
        let (x, y) = (at(0) / at(2), at(1) / at(2));
        let pixel = after.get_pixel(x as u32, y as u32);
        assert!(pixel.0[0] > 240 && pixel.0[1] < 15, "{pixel:?}");
    }
}

#[test]
fn its_size_is_told_beforehand_and_nothing_written() {
    let folder = quay(12.0, -8.0);
    let said = done(&folder, &["quay.ron", "--dry-run", "--plumb"]);
    assert!(said.starts_with("quay.plumb.png  would have "), "{said}");
    assert!(
        said.contains("12.0° of pitch and 8.0° of cant taken out, enlarged up to 1."),
        "{said}"
    );
    assert_eq!(folder.names(), ["quay.png", "quay.ron"]);
    let said = done(&folder, &["quay.ron", "--dry-run", "--pitch=-2", "--heading", "3.5"]);
    assert!(said.contains("aimed 2.0° down, 3.5° right"), "{said}");
}

#[test]
fn a_copy_that_was_enlarged_and_saved_otherwise_comes_back_enlarged() {
    let folder = quay(12.0, 8.0);
    done(&folder, &["quay.ron"]);
    let copy = open(&folder, "quay.level.png");
    let twice = copy.resize_exact(
        2 * copy.width(),
        2 * copy.height(),
        image::imageops::FilterType::CatmullRom,
    );
    twice.save(folder.path("quay.level.night.tif")).unwrap();
    let said = done(&folder, &["--back", "quay.level.night.tif"]);
    assert!(said.starts_with("quay.level.night.back.png  1,200 × 600 px, 2.000 times"), "{said}");
    let after = open(&folder, "quay.level.night.back.png");
    let small = after.resize_exact(600, 300, image::imageops::FilterType::Lanczos3);
    assert!(psnr(&open(&folder, "quay.png"), &small) > 40.0);
    done(&folder, &["--back", "quay.level.night.tif", "--width", "900", "-o", "b.png"]);
    assert_eq!(image::image_dimensions(folder.path("b.png")).unwrap(), (900, 450));
}

#[test]
fn a_copy_that_was_cropped_is_refused_with_both_sizes() {
    let folder = quay(12.0, 8.0);
    done(&folder, &["quay.ron"]);
    open(&folder, "quay.level.png")
        .crop_imm(0, 0, 654, 380)
        .save(folder.path("quay.level.png"))
        .unwrap();
    let why = refusal(&folder, &["--back", "quay.level.png"]);
    assert!(why.contains("was 654 × 400 px when it was written and is 654 × 380 px now"), "{why}");
    fs::remove_file(folder.path("quay.level.json")).unwrap();
    let why = refusal(&folder, &["--back", "quay.level.png"]);
    assert!(why.contains("there is no “quay.level.json” beside it"), "{why}");
}

#[test]
fn sixteen_bits_and_alpha_are_kept_and_holes_are_told() {
    let folder = quay(0.0, 8.0);
    DynamicImage::from(painting()).to_rgb16().save(folder.path("quay.png")).unwrap();
    done(&folder, &["quay.ron"]);
    assert_eq!(open(&folder, "quay.level.png").color(), image::ColorType::Rgba16);
    done(&folder, &["--back", "quay.level.png"]);
    let after = open(&folder, "quay.level.back.png");
    assert_eq!(after.color(), image::ColorType::Rgb16);
    assert!(open(&folder, "quay.png") == after);
    let mut copy = open(&folder, "quay.level.png").into_rgba16();
    for x in 300..310 {
        copy.put_pixel(x, 200, image::Rgba([0; 4]));
    }
    copy.save(folder.path("quay.level.png")).unwrap();
    let said = done(&folder, &["--back", "quay.level.png", "--force"]);
    assert!(said.contains("10 px of the copy are transparent inside the frame"), "{said}");
    assert_eq!(open(&folder, "quay.level.back.png").color(), image::ColorType::Rgba16);
}

#[test]
fn floating_point_is_kept_as_openexr() {
    let folder = quay(0.0, 8.0);
    let light = painting().pixels().map(|p| p.0.map(|v| f32::from(v) / 64.0)).collect::<Vec<_>>();
    let picture = image::Rgb32FImage::from_raw(600, 300, light.concat()).unwrap();
    picture.save(folder.path("quay.exr")).unwrap();
    folder.put("quay.ron", scene(0.0, 8.0).replace("quay.png", "quay.exr"));
    let said = done(&folder, &["quay.ron"]);
    assert!(said.starts_with("quay.level.exr  "), "{said}");
    done(&folder, &["--back", "quay.level.exr"]);
    assert!(open(&folder, "quay.exr") == open(&folder, "quay.level.back.exr"), "bit for bit");
    done(&folder, &["--back", "quay.level.exr", "--whole", "--force"]);
    let (before, after) = (open(&folder, "quay.exr"), open(&folder, "quay.level.back.exr"));
    let (before, after) = (before.into_rgb32f(), after.into_rgb32f());
    let worst = before.as_raw().iter().zip(after.as_raw()).map(|(a, b)| (a - b).abs());
    let mean = worst.sum::<f32>() / before.as_raw().len() as f32;
    assert!(mean < 0.02, "of light up to 4: {mean}");
    assert!(after.as_raw().iter().any(|light| *light > 1.5), "brighter than white");
    let why = refusal(&folder, &["quay.ron", "--out", "copy.png"]);
    assert!(why.contains("end its name with .exr"), "{why}");
}

#[test]
fn what_cannot_be_turned_is_refused_in_a_sentence() {
    let folder = quay(12.0, 0.0);
    let why = refusal(&folder, &["quay.ron"]);
    assert!(why.contains("it is level already"), "{why}");
    folder.put("quay.ron", scene(85.0, 3.0));
    let why = refusal(&folder, &["quay.ron", "--plumb"]);
    assert!(why.contains("Turn it by less"), "{why}");
    folder.put("quay.ron", scene(12.0, 3.0));
    let why = refusal(&folder, &["quay.ron", "--heading", "95"]);
    assert!(why.contains("behind the eye"), "{why}");
    assert!(refusal(&folder, &["quay.ron", "--pitch", "nan"]).contains("by these angles"));
    let why = refusal(&folder, &["quay.png"]);
    assert!(why.contains("is a picture, not a scene"), "{why}");
    let why = refusal(&folder, &["--back", "quay.png"]);
    assert!(why.contains("there is no “quay.json” beside it"), "{why}");
    folder.put("blank.ron", "(format: 1, scene: (frame: (ratio: 2.0, working_width: 600)))");
    assert!(refusal(&folder, &["blank.ron"]).contains("blank frame"));
    fs::remove_file(folder.path("quay.png")).unwrap();
    assert!(refusal(&folder, &["quay.ron"]).contains("is not there"));
    painting().save(folder.path("quay.png")).unwrap();
    folder.put("tall.ron", scene(0.0, 5.0).replace("ratio: 2.0", "ratio: 1.5"));
    assert!(refusal(&folder, &["tall.ron"]).contains("no longer of the frame's shape"));
    fs::write(folder.path("quay.png"), b"\x89PNG\r\n\x1a\n").unwrap();
    assert!(refusal(&folder, &["quay.ron"]).contains("damaged PNG"));
}

#[test]
fn work_that_is_there_and_the_painting_itself_are_left_alone() {
    let folder = quay(12.0, 8.0);
    done(&folder, &["quay.ron"]);
    folder.put("quay.level.png", "painted over for a day");
    let why = refusal(&folder, &["quay.ron"]);
    assert!(why.contains("may hold work of yours") && why.contains("--force"), "{why}");
    assert_eq!(fs::read(folder.path("quay.level.png")).unwrap(), b"painted over for a day");
    fs::remove_file(folder.path("quay.level.png")).unwrap();
    let why = refusal(&folder, &["quay.ron"]);
    assert!(why.contains("quay.level.json"), "a copy elsewhere may need its way back: {why}");
    done(&folder, &["quay.ron", "--force"]);
    for target in
        [vec!["quay.ron", "--out", "quay.png"], vec!["--back", "quay.level.png", "-o", "quay.png"]]
    {
        let target: Vec<&str> = target.into_iter().chain(["--force"]).collect();
        assert!(refusal(&folder, &target).contains("painting itself, which is never replaced"));
    }
    let why = refusal(&folder, &["--back", "quay.level.png", "-o", "quay.level.png", "--force"]);
    assert!(why.contains("the copy itself"), "{why}");
    done(&folder, &["--back", "quay.level.png"]);
    assert!(refusal(&folder, &["--back", "quay.level.png"]).contains("is there already"));
}

#[test]
fn a_painting_that_was_changed_meanwhile_is_told() {
    let folder = quay(12.0, 8.0);
    done(&folder, &["quay.ron"]);
    RgbImage::from_pixel(600, 300, Rgb([9; 3])).save(folder.path("quay.png")).unwrap();
    let said = done(&folder, &["--back", "quay.level.png"]);
    assert!(said.contains("the painting was changed since the copy was made"), "{said}");
}

#[test]
fn a_hostile_way_back_is_refused_and_reaches_no_other_file() {
    let folder = quay(12.0, 8.0);
    done(&folder, &["quay.ron"]);
    let text = fs::read_to_string(folder.path("quay.level.json")).unwrap();
    for (from, to) in [("654", "653000"), ("\"quay.png\"", "7"), ("600", "0"), ("{", "")] {
        folder.put("quay.level.json", text.replacen(from, to, 1));
        let why = refusal(&folder, &["--back", "quay.level.png"]);
        assert!(why.contains("does not say how it is turned back"), "{why}");
    }
    folder.put("quay.level.json", text.replace("\"quay.png\"", "\"../../\\u001b[31mnowhere.png\""));
    assert!(!done(&folder, &["--back", "quay.level.png"]).contains('\x1b'));
}

#[cfg(unix)]
mod unix {
    use super::*;
    use crate::folder::Answer;
    use std::process::{Command, Stdio};

    fn large() -> Folder {
        let folder = Folder::new();
        folder.put("quay.ron", scene(12.0, 8.0).replace("600, 300", "6000, 3000"));
        let grain = |x: u32, y: u32| (x.wrapping_mul(2_654_435_761) ^ y.wrapping_mul(40_503)) >> 9;
        let picture = RgbImage::from_fn(6000, 3000, |x, y| Rgb([grain(x, y) as u8; 3]));
        picture.save(folder.path("quay.png")).unwrap();
        folder
    }

    #[test]
    fn a_copy_that_does_not_fit_on_the_disk_leaves_nothing() {
        let folder = quay(12.0, 8.0);
        let names = folder.names();
        let answer = folder.run_with_room(8, "level", &["quay.ron"]);
        assert_eq!(answer.status, 2, "{answer:?}");
        assert!(answer.err.contains("“quay.level.png” was not written"), "{answer:?}");
        assert_eq!(folder.names(), names);
    }

    /// Ends it by this signal once it has begun to write.
    fn ended_by(signal: &str, folder: &Folder) -> std::process::Output {
        let mut command = staffage();
        command.args(["level", "quay.ron"]).current_dir(&folder.0);
        let child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        while folder.names().len() < 4 {
            std::thread::yield_now();
        }
        let id = child.id().to_string();
        assert!(Command::new("kill").args([signal, &id]).status().unwrap().success());
        child.wait_with_output().unwrap()
    }

    #[test]
    fn what_is_interrupted_leaves_nothing_behind() {
        let folder = large();
        let answer = Answer::of(&ended_by("-INT", &folder));
        assert_eq!((answer.status, answer.out.as_str()), (2, ""), "{answer:?}");
        assert_eq!(answer.err, "Nothing was written: it was cancelled.\n");
        assert_eq!(folder.names(), ["quay.png", "quay.ron"]);
    }

    #[test]
    fn what_is_killed_leaves_nothing_under_the_names_of_whole_files() {
        let folder = large();
        assert!(!ended_by("-KILL", &folder).status.success());
        let whole = folder.names();
        assert!(whole.iter().all(|name| !name.starts_with("quay.level")), "{whole:?}");
        done(&folder, &["quay.ron"]);
    }
}
