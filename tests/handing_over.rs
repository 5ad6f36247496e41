//! `staffage sheet` and `staffage camera` from outside: what they write, how they end, and what they leave
//! alone.

mod folder;

use folder::Folder;
use std::fs;

fn scene(more: &str) -> String {
    format!(
        r#"(format: 3, scene: (
          title: "Quay <b>\"&'",
          frame: (ratio: 2.0, working_width: 600),
          eye: (angle_of_view: 53.13, pitch: 0, cant: 0),
          levels: [(id: 1, name: "ground", side: Below)],
          markers: [(id: 1, name: "=Foreman", foot: (0.0, 0.1), head: (0.0, 0.0), span: Upright,
                stands: On(1), statements: [KnownSize(size: (metres: 1.7, spread: 0.06), as: "adult")])],
          {more}
        ))"#
    )
}

fn text(folder: &Folder, name: &str) -> String {
    fs::read_to_string(folder.path(name)).unwrap()
}

#[test]
fn a_sheet_is_written_beside_its_scene_as_a_page_an_object_or_a_table() {
    let folder = Folder::new();
    folder.put("quay.ron", scene(""));
    let answer = folder.run("sheet", &["quay.ron"]);
    assert_eq!((answer.status, answer.err.as_str()), (0, ""));
    assert!(answer.out.starts_with("quay.sheet.html  "), "{}", answer.out);
    let page = text(&folder, "quay.sheet.html");
    assert!(page.contains("Quay &lt;b&gt;&quot;&amp;") && page.ends_with("</html>"));
    assert!(!page.contains("<script"));
    assert_eq!(folder.run("sheet", &["quay.ron", "-o", "q.json"]).status, 0);
    assert_eq!(text(&folder, "q.json"), folder.check(&["--json", "quay.ron"]).out);
    assert_eq!(folder.run("sheet", &["quay.ron", "--as", "csv"]).status, 0);
    assert!(text(&folder, "quay.sheet.csv").contains("quay.ron,1,'=Foreman,height,ground,m,"));
}

#[test]
fn a_painting_goes_into_the_page_and_one_that_is_gone_is_told() {
    let folder = Folder::new();
    folder.put("quay.ron", scene(r#"painting: (path: "quay.png", size: (60, 30)),"#));
    let why = folder.run("sheet", &["quay.ron"]).refusal();
    assert!(why.contains("quay.png"), "{why}");
    image::RgbImage::from_pixel(60, 30, image::Rgb([9, 80, 90]))
        .save(folder.path("quay.png"))
        .unwrap();
    assert_eq!(folder.run("sheet", &["quay.ron"]).status, 0);
    assert!(text(&folder, "quay.sheet.html").contains("<img src=\"data:image/jpeg;base64,/9j/"));
    assert_eq!(folder.run("camera", &["quay.ron", "-o", "quay.gltf"]).status, 0);
    assert!(text(&folder, "quay.gltf").contains("image/jpeg"));
}

#[test]
fn a_camera_is_written_as_gltf_and_as_a_sheet_of_words() {
    let folder = Folder::new();
    folder.put("quay.ron", scene(""));
    assert_eq!(folder.run("camera", &["quay.ron"]).status, 0);
    assert!(fs::read(folder.path("quay.camera.glb")).unwrap().starts_with(b"glTF\x02\0\0\0"));
    assert_eq!(folder.run("camera", &["quay.ron", "--as", "txt"]).status, 0);
    assert!(text(&folder, "quay.camera.txt").contains("0, 1.700, 0"));
    // 36 mm / (2 tan 26.565°) = 36.0 mm.
    assert!(text(&folder, "quay.camera.txt").contains("36.0 mm  on 36.00 mm"));
    let known = r#"KnownSize(size: (metres: 1.7, spread: 0.06), as: "adult")"#;
    folder.put("bare.ron", scene("").replace(known, ""));
    let why = folder.run("camera", &["bare.ron"]).refusal();
    assert!(why.contains("mark a figure") && why.contains("bare.camera.glb"), "{why}");
}

#[test]
fn what_is_there_is_left_alone_unless_it_was_written_before() {
    let folder = Folder::new();
    folder.put("quay.ron", scene("")).put("quay.sheet.html", "mine").put("quay.camera.glb", "mine");
    for (command, name) in [("sheet", "quay.sheet.html"), ("camera", "quay.camera.glb")] {
        let why = folder.run(command, &["quay.ron"]).refusal();
        assert!(why.contains("left alone") && why.contains(name), "{why}");
        assert_eq!(text(&folder, name), "mine");
        assert_eq!(folder.run(command, &["quay.ron", "--force"]).status, 0);
        assert_eq!(folder.run(command, &["quay.ron"]).status, 0, "its own is replaced");
    }
    let before = folder.names();
    let why = folder.run("sheet", &["quay.ron", "-o", "page.pdf"]).refusal();
    assert!(why.contains(".html or .json or .csv"), "{why}");
    let why = folder.run("sheet", &["quay.ron", "-o", "x.csv", "--as", "html"]).refusal();
    assert!(why.contains("leave out --as"), "{why}");
    let why = folder.run("sheet", &["quay.ron", "-o", "gone/x.html"]).refusal();
    assert!(why.contains("was not written"), "{why}");
    assert_eq!(folder.names(), before, "nothing half-written");
}

#[cfg(unix)]
#[test]
fn a_full_disk_is_told_and_what_was_there_stays_as_it_was() {
    for (command, file) in [
        ("sheet", "quay.html"),
        ("sheet", "quay.json"),
        ("camera", "quay.glb"),
        ("camera", "quay.gltf"),
    ] {
        let folder = Folder::new();
        folder.put("quay.ron", scene(""));
        assert_eq!(folder.run(command, &["quay.ron", "-o", file]).status, 0);
        let (names, before) = (folder.names(), fs::read(folder.path(file)).unwrap());
        let why = folder.run_with_room(0, command, &["quay.ron", "-o", file]).refusal();
        assert!(why.contains(&format!("“{file}” was not written")), "{why}");
        assert_eq!((folder.names(), fs::read(folder.path(file)).unwrap()), (names, before));
    }
}

#[test]
fn several_scenes_need_a_folder_and_one_bad_one_does_not_stop_the_rest() {
    let folder = Folder::new();
    folder.put("a.ron", scene("")).put("b.ron", "damaged").put("c.ron", scene(""));
    fs::create_dir(folder.path("sheets")).unwrap();
    let answer = folder.run("sheet", &["a.ron", "b.ron", "c.ron", "-o", "sheets"]);
    assert_eq!((answer.status, answer.out.lines().count(), answer.err.lines().count()), (2, 2, 1));
    assert!(folder.path("sheets/c.sheet.html").is_file());
    let why = folder.run("camera", &["a.ron", "c.ron", "-o", "x.glb"]);
    assert_eq!(why.status, 2);
    assert!(why.err.contains("no folder"));
}

const TWO_IDEAS: &str =
    r#"alternatives: [(id: 1, name: "Full"), (id: 2, name: "Bare & low", aside: ())],"#;

#[test]
fn lengths_are_told_in_the_units_asked_for_and_numbers_stay_metres() {
    let folder = Folder::new();
    folder.put("quay.ron", scene(""));
    let imperial = ["--units", "imperial"];
    assert_eq!(folder.run("sheet", &[&["quay.ron"], &imperial[..]].concat()).status, 0);
    let page = text(&folder, "quay.sheet.html");
    // 1.7 m are 5 ft 6.9 in.
    assert!(page.contains("5′6.9″") && !page.contains("1.70 m"));
    let camera = [&["quay.ron", "--as", "txt"], &imperial[..]].concat();
    assert_eq!(folder.run("camera", &camera).status, 0);
    let words = text(&folder, "quay.camera.txt");
    assert!(words.contains("0, 1.700, 0") && words.contains("ground: 5′7″"), "{words}");
    for units in ["metric", "imperial"] {
        for ending in ["csv", "json"] {
            let to = format!("{units}.{ending}");
            let asked = ["quay.ron", "-o", &to, "--units", units];
            assert_eq!(folder.run("sheet", &asked).status, 0);
        }
    }
    let table = text(&folder, "imperial.csv");
    assert!(table.contains(",height,ground,m,"), "{table}");
    assert_eq!(table, text(&folder, "metric.csv"), "nothing is said of anything in it");
    let answer = |name| serde_json::from_str::<serde_json::Value>(&text(&folder, name)).unwrap();
    assert_eq!(answer("imperial.json")["ledger"], answer("metric.json")["ledger"]);
}

#[test]
fn each_alternative_has_a_sheet_and_a_camera_of_its_own_name() {
    let folder = Folder::new();
    folder.put("quay.ron", scene(TWO_IDEAS));
    let answer = folder.run("sheet", &["quay.ron", "--alternatives"]);
    assert_eq!((answer.status, answer.err.as_str()), (0, ""));
    assert_eq!(folder.names(), ["quay.bare---low.sheet.html", "quay.full.sheet.html", "quay.ron"]);
    let page = text(&folder, "quay.full.sheet.html");
    assert!(page.contains("alternative “Full”") && page.contains("=Foreman"));
    let bare = text(&folder, "quay.bare---low.sheet.html");
    assert!(bare.contains("alternative “Bare &amp; low”") && !bare.contains("=Foreman"));
    let answer = folder.run("sheet", &["quay.ron", "--alternative", "full", "-o", "table.csv"]);
    assert_eq!(answer.status, 0, "{answer:?}");
    assert!(text(&folder, "table.csv").trim_end().ends_with(",Full"));
    let why = folder.run("sheet", &["quay.ron", "--alternatives", "-o", "x.html"]);
    assert!(why.status == 2 && why.err.contains("no folder"), "{why:?}");
    let why = folder.run("sheet", &["quay.ron", "--alternative", "wide"]).refusal();
    assert!(why.contains("no alternative called “wide”"), "{why}");
    // One has nothing in metres: that is said, and the other is written.
    let answer = folder.run("camera", &["quay.ron", "--alternatives", "--as", "txt"]);
    assert_eq!((answer.status, answer.err.lines().count()), (2, 1));
    assert!(answer.err.contains("quay.bare---low.camera.txt"), "{answer:?}");
    assert!(answer.out.starts_with("quay.full.camera.txt  "), "{answer:?}");
}
