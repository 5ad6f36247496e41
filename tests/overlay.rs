//! `staffage overlay` from outside: what it writes, how it ends, and what it leaves alone.

mod folder;

use folder::{Answer, Folder, staffage};
use std::fs;
use std::path::Path;
use std::process::Command;

/// A level eye and two figures as tall as they should be; one of them has this name.
fn scene(name: &str, more: &str) -> String {
    let figure = |id: u32, name: &str, u: f64, foot: f64| {
        format!(
            r#"(id: {id}, name: "{name}", foot: ({u}, {foot}), head: ({u}, 0.0), span: Upright,
                stands: On(1), statements: [KnownSize(size: (metres: 1.7, spread: 0.06), as: "adult")]),"#
        )
    };
    let figures = [figure(1, name, 0.0, 0.1), figure(2, "Mate", 0.1, 0.05)].concat();
    format!(
        r#"(format: 1, scene: (
          title: "Quay",
          frame: (ratio: 2.0, working_width: 600),
          eye: (angle_of_view: 53.13, pitch: 0, cant: 0),
          levels: [(id: 1, name: "ground", side: Below)],
          markers: [{figures}],
          {more}
        ))"#
    )
}

fn quay() -> String {
    scene("Foreman", "")
}

/// Asks for what cannot be done, and returns the one sentence that says why.
fn refusal(folder: &Folder, arguments: &[&str]) -> String {
    let before = folder.names();
    let answer = folder.run("overlay", arguments);
    assert_eq!(answer.out, "", "{answer:?}");
    assert_eq!(folder.names(), before, "something was left behind");
    answer.refusal()
}

fn size(folder: &Folder, name: &str) -> (u32, u32) {
    image::image_dimensions(folder.path(name)).unwrap()
}

#[test]
fn the_overlay_of_an_alternative_shows_what_that_has() {
    let folder = Folder::new();
    let aside = r#"alternatives: [(id: 1, name: "full"), (id: 2, name: "Bare", aside: ())],"#;
    folder.put("quay.ron", scene("Foreman", aside));
    let answer = folder.run("overlay", &["--svg", "--alternative", "bare", "quay.ron"]);
    assert_eq!((answer.status, answer.err.as_str()), (0, ""));
    folder.run("overlay", &["--svg", "quay.ron"]);
    let svg = |name: &str| fs::read_to_string(folder.path(name)).unwrap();
    assert!(svg("quay.overlay.svg").contains("Foreman"));
    assert!(!svg("quay.bare.overlay.svg").contains("Foreman"));
    let why = refusal(&folder, &["--alternative", "wide", "quay.ron"]);
    assert!(why.contains("it has “full” and “Bare”"), "{why}");
}

#[test]
fn an_overlay_tells_lengths_in_the_units_asked_for() {
    let folder = Folder::new();
    folder.put("quay.ron", quay());
    let words = |units: &str| {
        folder.run("overlay", &["--svg", "--units", units, "quay.ron"]);
        fs::read_to_string(folder.path("quay.overlay.svg")).unwrap()
    };
    assert!(words("metric").contains("Foreman, 1.7"));
    assert!(words("imperial").contains("Foreman, 5′"));
}

#[test]
fn an_overlay_is_written_beside_its_scene() {
    let folder = Folder::new();
    folder.put("quay.ron", quay());
    let answer = folder.run("overlay", &["quay.ron"]);
    assert_eq!((answer.status, answer.err.as_str()), (0, ""));
    assert_eq!(answer.out, "quay.overlay.png  600 × 300 px\n");
    assert_eq!(folder.names(), ["quay.overlay.png", "quay.ron"]);
    let picture = image::open(folder.path("quay.overlay.png")).unwrap().into_rgba8();
    assert_eq!(picture.dimensions(), (600, 300));
    assert_eq!(picture.get_pixel(0, 0).0, [0, 0, 0, 0]);
    // The horizon of a level eye, halfway down.
    assert!(picture.get_pixel(150, 150).0[3] > 100, "{:?}", picture.get_pixel(150, 150));
    assert_eq!(picture.get_pixel(150, 60).0[3], 0);
}

#[test]
fn the_width_can_be_any_working_width() {
    let folder = Folder::new();
    folder.put("quay.ron", quay());
    assert_eq!(folder.run("overlay", &["quay.ron", "--width", "5001"]).status, 0);
    assert_eq!(size(&folder, "quay.overlay.png"), (5001, 2501));
    for width in ["15", "65536", "0", "wide"] {
        let answer = folder.run("overlay", &["quay.ron", "--width", width]);
        assert_eq!(answer.status, 2, "{answer:?}");
        assert!(answer.err.contains("--width"), "{answer:?}");
    }
    folder.put("vast.ron", quay().replace("working_width: 600", "working_width: 100000"));
    let why = refusal(&folder, &["vast.ron"]);
    assert!(why.contains("65535 px wide") && why.contains("--width"), "{why}");
}

#[test]
fn an_svg_is_written_when_asked_for_or_named() {
    let folder = Folder::new();
    folder.put("quay.ron", scene("<b>&Foreman", ""));
    assert_eq!(
        folder.run("overlay", &["quay.ron", "--svg"]).out,
        "quay.overlay.svg  600 × 300 px\n"
    );
    assert_eq!(folder.run("overlay", &["quay.ron", "--out", "ink.svg", "--no-words"]).status, 0);
    let read = |name| fs::read_to_string(folder.path(name)).unwrap();
    let (svg, wordless) = (read("quay.overlay.svg"), read("ink.svg"));
    assert!(svg.contains("<g id=\"guides\">") && svg.contains("&lt;b&gt;&amp;Foreman"));
    assert!(!wordless.contains("Foreman") && wordless.contains("<g id=\"markers\">"));
    let why = refusal(&folder, &["quay.ron", "--svg", "--out", "ink.png"]);
    assert!(why.contains("“ink.png”"), "{why}");
    let why = refusal(&folder, &["quay.ron", "--out", "ink.jpg"]);
    assert!(why.contains(".png or .svg"), "{why}");
}

#[test]
fn only_the_parts_asked_for_are_written() {
    let folder = Folder::new();
    folder.put("quay.ron", quay());
    assert_eq!(folder.run("overlay", &["quay.ron", "--svg", "--only", "guides"]).status, 0);
    let svg = fs::read_to_string(folder.path("quay.overlay.svg")).unwrap();
    assert!(svg.contains("horizon") && !svg.contains("Foreman"));
    let answer = folder.run("overlay", &["quay.ron", "--only", "sky"]);
    assert_eq!(answer.status, 2);
    assert!(answer.err.contains("guides, grid, stand-ins, markers, findings"), "{answer:?}");
    let why = refusal(&folder, &["quay.ron", "--weight", "0"]);
    assert!(why.contains("the weight of the ink can be 0.1 to 10"), "{why}");
}

#[test]
fn a_grid_lies_on_the_level_that_is_named_and_only_when_asked_for() {
    let folder = Folder::new();
    folder.put("quay.ron", quay());
    let svg = |arguments: &[&str]| {
        let answer = folder.run("overlay", &[&["quay.ron", "--svg"], arguments].concat());
        assert_eq!((answer.status, answer.err.as_str()), (0, ""), "{arguments:?}");
        fs::read_to_string(folder.path("quay.overlay.svg")).unwrap()
    };
    assert!(!svg(&[]).contains("grid"));
    let with_grid = svg(&["--grid", "ground"]);
    assert!(with_grid.contains("<g id=\"grid\">") && with_grid.contains("<g id=\"markers\">"));
    assert!(with_grid.contains("grid on ground: "), "its legend");
    assert!(with_grid.contains("10 m"), "its numbers");
    let alone = svg(&["--only", "grid", "--no-words"]);
    assert!(alone.contains("<g id=\"grid\">") && !alone.contains("<g id=\"markers\">"));
    assert!(!alone.contains("grid on ground"));
    let why = refusal(&folder, &["quay.ron", "--grid", "moon"]);
    assert!(why.contains("“moon”") && why.contains("“ground”"), "{why}");
}

#[test]
fn an_overlay_from_before_is_replaced_and_anything_else_is_left_alone() {
    let folder = Folder::new();
    folder.put("quay.ron", quay()).put("mine.png", "a picture of mine");
    assert_eq!(folder.run("overlay", &["quay.ron", "--width", "64"]).status, 0);
    assert_eq!(folder.run("overlay", &["quay.ron", "--width", "128"]).status, 0);
    assert_eq!(size(&folder, "quay.overlay.png"), (128, 64));
    for _ in 0..2 {
        assert_eq!(folder.run("overlay", &["quay.ron", "--svg"]).status, 0);
    }

    let why = refusal(&folder, &["quay.ron", "--out", "mine.png"]);
    assert!(why.contains("“mine.png” is there already") && why.contains("--force"), "{why}");
    assert_eq!(fs::read(folder.path("mine.png")).unwrap(), b"a picture of mine");
    assert_eq!(folder.run("overlay", &["quay.ron", "--out", "mine.png", "--force"]).status, 0);
    assert_eq!(size(&folder, "mine.png"), (600, 300));
}

#[test]
fn a_painting_is_never_replaced() {
    let folder = Folder::new();
    let painting = r#"painting: (path: "quay.png", size: (600, 300)),"#;
    folder.put("quay.ron", scene("Foreman", painting));
    folder.put("quay.png", "painted for days");
    for path in ["quay.png", "./quay.png"] {
        let why = refusal(&folder, &["quay.ron", "--out", path, "--force"]);
        assert!(why.contains("the painting itself"), "{why}");
    }
    assert_eq!(fs::read(folder.path("quay.png")).unwrap(), b"painted for days");
}

#[test]
fn several_scenes_go_into_a_folder_and_a_bad_one_stops_none() {
    let folder = Folder::new();
    folder.put("quay.ron", quay()).put("bad.ron", "(format: 1, scene: (").put("dam.ron", quay());
    let answer = folder.run("overlay", &["quay.ron", "bad.ron", "dam.ron"]);
    assert_eq!(answer.status, 2);
    assert_eq!(answer.out.lines().count(), 2, "{answer:?}");
    assert!(answer.err.contains("bad.ron") && answer.err.lines().count() == 1, "{answer:?}");

    let answer = folder.run("overlay", &["quay.ron", "dam.ron", "--out", "overlays"]);
    assert_eq!((answer.status, answer.out.as_str()), (2, ""));
    assert!(answer.err.contains("“overlays” is no folder"), "{answer:?}");

    fs::create_dir(folder.path("overlays")).unwrap();
    fs::create_dir(folder.path("other")).unwrap();
    folder.put("other/quay.ron", quay());
    let answer = folder.run("overlay", &["quay.ron", "other/quay.ron", "--out", "overlays"]);
    assert_eq!(answer.status, 2);
    assert_eq!(answer.out, "overlays/quay.overlay.png  600 × 300 px\n");
    assert!(answer.err.contains("“other/quay.ron” has the same name"), "{answer:?}");
}

#[test]
fn what_is_no_scene_is_said_to_be_so() {
    let folder = Folder::new();
    let why = refusal(&folder, &["nowhere.ron"]);
    assert!(why.contains("“nowhere.ron” could not be read"), "{why}");
    fs::create_dir(folder.path("folder.ron")).unwrap();
    let why = refusal(&folder, &["folder.ron"]);
    assert!(why.contains("it is a folder"), "{why}");
    image::RgbImage::new(4, 2).save(folder.path("quay.png")).unwrap();
    let why = refusal(&folder, &["quay.png"]);
    assert!(why.contains("is a picture, not a scene"), "{why}");
}

#[test]
fn a_size_book_among_the_scenes_is_no_trouble() {
    let folder = Folder::new();
    let book = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo_scenes/size_book.ron");
    folder.put("book.ron", fs::read(book).unwrap()).put("quay.ron", quay());
    let answer = folder.run("overlay", &["book.ron", "quay.ron"]);
    assert_eq!((answer.status, answer.err.as_str()), (0, ""));
    assert_eq!(folder.names(), ["book.ron", "quay.overlay.png", "quay.ron"]);
}

#[test]
fn a_place_that_cannot_be_written_to_is_named_with_the_reason() {
    let folder = Folder::new();
    folder.put("quay.ron", quay());
    let why = refusal(&folder, &["quay.ron", "--out", "nowhere/ink.png"]);
    assert!(
        why.contains("“nowhere/ink.png” was not written: there is no such file or folder"),
        "{why}"
    );
    assert!(why.contains("--out"), "{why}");
    let why = refusal(&folder, &["quay.ron", "--out", "quay.ron/ink.png"]);
    assert!(why.contains("“quay.ron/ink.png” was not written"), "{why}");
    fs::create_dir(folder.path("quay.overlay.png")).unwrap();
    let why = refusal(&folder, &["quay.ron"]);
    assert!(why.contains("it is a folder"), "{why}");
    let protected = folder.path("old.png");
    assert_eq!(folder.run("overlay", &["quay.ron", "--out", "old.png"]).status, 0);
    let mut permissions = fs::metadata(&protected).unwrap().permissions();
    permissions.set_readonly(true);
    fs::set_permissions(&protected, permissions).unwrap();
    let why = refusal(&folder, &["quay.ron", "--out", "old.png"]);
    assert!(why.contains("it is write-protected"), "{why}");
}

#[cfg(unix)]
mod unix {
    use super::*;
    use std::ffi::OsStr;
    use std::fs::File;
    use std::os::unix::ffi::OsStrExt;
    use std::os::unix::fs::{PermissionsExt, symlink};
    use std::process::Stdio;

    #[test]
    fn a_folder_without_permission_is_named_with_the_reason() {
        let folder = Folder::new();
        folder.put("quay.ron", quay());
        let closed = folder.path("closed");
        fs::create_dir(&closed).unwrap();
        fs::set_permissions(&closed, fs::Permissions::from_mode(0o555)).unwrap();
        // Whoever may do everything may write there too.
        if File::create(closed.join("try")).is_ok() {
            return;
        }
        let why = refusal(&folder, &["quay.ron", "--out", "closed"]);
        assert!(why.contains("you have no permission"), "{why}");
    }

    #[test]
    fn a_device_is_not_written_to() {
        let folder = Folder::new();
        folder.put("quay.ron", quay());
        symlink("/dev/full", folder.path("ink.png")).unwrap();
        let why = refusal(&folder, &["quay.ron", "--out", "ink.png", "--force"]);
        assert!(why.contains("it is not a file"), "{why}");
    }

    #[test]
    fn a_link_goes_on_pointing_at_the_overlay() {
        let folder = Folder::new();
        folder.put("quay.ron", quay());
        assert_eq!(folder.run("overlay", &["quay.ron", "--out", "real.png"]).status, 0);
        symlink("real.png", folder.path("ink.png")).unwrap();
        assert_eq!(
            folder.run("overlay", &["quay.ron", "--out", "ink.png", "--width", "64"]).status,
            0
        );
        assert!(fs::symlink_metadata(folder.path("ink.png")).unwrap().is_symlink());
        assert_eq!(size(&folder, "real.png"), (64, 32));
    }

    /// Where there is no room for the whole overlay, the one from before stays and nothing else.
    #[test]
    fn an_overlay_that_does_not_fit_leaves_the_one_from_before() {
        let folder = Folder::new();
        folder.put("quay.ron", quay());
        assert_eq!(folder.run("overlay", &["quay.ron", "--width", "64"]).status, 0);
        let (names, before) = (folder.names(), fs::read(folder.path("quay.overlay.png")).unwrap());
        let answer = folder.run_with_room(8, "overlay", &["quay.ron", "--width", "3000"]);
        assert_eq!(answer.status, 2, "{answer:?}");
        assert!(answer.err.contains("“quay.overlay.png” was not written"), "{answer:?}");
        assert_eq!(folder.names(), names);
        assert_eq!(fs::read(folder.path("quay.overlay.png")).unwrap(), before);
    }

    #[test]
    fn what_is_interrupted_leaves_nothing_behind() {
        let folder = Folder::new();
        folder.put("quay.ron", quay()).put("dam.ron", quay());
        let mut command = staffage();
        command.args(["overlay", "quay.ron", "dam.ron", "--width", "60000"]);
        command.current_dir(&folder.0).stdout(Stdio::piped()).stderr(Stdio::piped());
        let child = command.spawn().unwrap();
        // It has begun to write.
        while folder.names().len() < 3 {
            std::thread::yield_now();
        }
        let id = child.id().to_string();
        assert!(Command::new("kill").args(["-INT", &id]).status().unwrap().success());
        let answer = Answer::of(&child.wait_with_output().unwrap());
        assert_eq!((answer.status, answer.out.as_str()), (2, ""), "{answer:?}");
        assert_eq!(answer.err, "“quay.overlay.png” was not written: it was cancelled.\n");
        assert_eq!(folder.names(), ["dam.ron", "quay.ron"]);
    }

    #[test]
    fn an_answer_that_cannot_be_given_ends_with_2() {
        let folder = Folder::new();
        folder.put("quay.ron", quay());
        let mut command = staffage();
        command.args(["overlay", "quay.ron"]).current_dir(&folder.0);
        let full = File::create("/dev/full").unwrap();
        let answer = Answer::of(&command.stdout(full).output().unwrap());
        assert_eq!(answer.status, 2);
        assert!(answer.err.contains("could not be written"), "{answer:?}");
    }

    #[test]
    fn names_that_are_no_text_and_steer_terminals_are_bearable() {
        let folder = Folder::new();
        let hostile = OsStr::from_bytes(b"\xff\x1b[31m quay\n.ron");
        fs::write(folder.0.path().join(hostile), quay()).unwrap();
        let run = |name: &OsStr| {
            let mut command = staffage();
            command.arg("overlay").arg(name).current_dir(&folder.0);
            Answer::of(&command.output().unwrap())
        };
        assert_eq!(run(hostile).status, 0);
        let written = OsStr::from_bytes(b"\xff\x1b[31m quay\n.overlay.png");
        assert!(folder.0.path().join(written).is_file());
        let answer = run(OsStr::from_bytes(b"\xff\x1b[31m nowhere\n.ron"));
        assert_eq!(answer.status, 2);
        assert!(!answer.err.contains('\x1b') && answer.err.lines().count() == 1, "{answer:?}");
    }
}
