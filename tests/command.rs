//! `staffage check` from outside: what it prints, how it ends, and what it makes of bad files.

mod folder;

use folder::{Answer, Folder, staffage};
use serde_json::Value;
use std::fs;
use std::path::Path;
use std::process::Command;

/// A level eye, two figures as tall as they should be and one whose head is at `giant_head`: 0.0 for
/// a figure of the same height, less (further up) for a taller one.
fn scene(giant_head: f64, more: &str) -> String {
    let figure = |id: u32, name: &str, u: f64, foot: f64, head: f64| {
        format!(
            r#"(id: {id}, name: "{name}", foot: ({u}, {foot}), head: ({u}, {head}), span: Upright,
                stands: On(1), statements: [KnownSize(size: (metres: 1.7, spread: 0.06), as: "adult")]),"#
        )
    };
    let figures = [
        figure(1, "Foreman", 0.0, 0.1, 0.0),
        figure(2, "Mate", 0.1, 0.05, 0.0),
        figure(3, "Giant", -0.1, 0.05, giant_head),
    ];
    format!(
        r#"(format: 1, scene: (
          title: "Quay",
          eye: (angle_of_view: 53.13, pitch: 0, cant: 0),
          levels: [(id: 1, name: "ground", side: Below)],
          markers: [{}],
          {more}
        ))"#,
        figures.concat()
    )
}

fn sound() -> String {
    scene(0.0, "")
}

fn contradicting() -> String {
    scene(-0.08, "")
}

fn with_painting(name: &str) -> String {
    scene(0.0, &format!(r#"painting: (path: "{name}", size: (230, 98)),"#))
}

/// Checks one scene that cannot be read, and returns the one sentence that says why.
fn refusal(folder: &Folder, name: &str) -> String {
    let before = fs::read(folder.path(name)).ok();
    let why = folder.check(&[name]).refusal();
    assert!(why.contains(name), "{why}");
    assert_eq!(fs::read(folder.path(name)).ok(), before, "the scene itself was changed");
    why
}

#[test]
fn a_sound_scene_ends_with_0_and_a_contradicting_one_with_1() {
    let folder = Folder::new();
    folder.put("sound.ron", sound()).put("wrong.ron", contradicting());
    let answer = folder.check(&["sound.ron"]);
    assert_eq!((answer.status, answer.err.as_str()), (0, ""));
    assert!(answer.out.contains("nothing contradicts"), "{}", answer.out);
    let answer = folder.check(&["wrong.ron"]);
    assert_eq!((answer.status, answer.err.as_str()), (1, ""));
    assert!(answer.out.contains("1 contradicts"), "{}", answer.out);
}

#[test]
fn an_intended_contradiction_is_listed_and_does_not_count() {
    let folder = Folder::new();
    let kept = r#"intended: [(about: Marker(3), reason: "a dream")],"#;
    folder.put("dream.ron", scene(-0.08, kept));
    let answer = folder.check(&["dream.ron"]);
    assert_eq!(answer.status, 0);
    assert!(answer.out.contains("a dream"), "{}", answer.out);
}

#[test]
fn what_is_impossible_ends_with_1() {
    let folder = Folder::new();
    folder.put("sky.ron", sound().replace("foot: (0.1, 0.05)", "foot: (0.1, -0.05)"));
    let answer = folder.check(&["sky.ron"]);
    assert_eq!(answer.status, 1);
    assert!(answer.out.contains("1 impossible"), "{}", answer.out);
}

/// A sound scene with an idea put aside that contradicts.
fn with_alternatives() -> String {
    let giant = r#"(id: 3, name: "Giant", foot: (-0.1, 0.05), head: (-0.1, -0.08), span: Upright,
        stands: On(1), statements: [KnownSize(size: (metres: 1.7, spread: 0.06), as: "adult")])"#;
    let figure = giant.replace("Giant", "Man").replace("-0.08", "0.0");
    let others = [figure.replace("id: 3", "id: 1"), figure.replace("id: 3", "id: 2")].join(",");
    let more = format!(
        r#"alternatives: [(id: 1, name: "low"),
            (id: 2, name: "High", aside: (markers: [{others}, {giant}]))],"#
    );
    scene(0.0, &more)
}

#[test]
fn a_check_says_which_alternative_it_speaks_of_and_checks_another() {
    let folder = Folder::new();
    folder.put("quay.ron", with_alternatives()).put("plain.ron", sound());
    let answer = folder.check(&["quay.ron"]);
    assert_eq!(answer.status, 0);
    assert!(answer.out.contains("\n  alternative low, of 2: low, High\n"), "{}", answer.out);
    let answer = folder.check(&["--alternative", "high", "quay.ron"]);
    assert_eq!(answer.status, 1);
    assert!(answer.out.contains("  alternative High, of 2"), "{}", answer.out);
    let answer = folder.check(&["--alternatives", "quay.ron", "plain.ron"]);
    assert_eq!(answer.status, 1);
    assert_eq!(answer.out.matches("  alternative ").count(), 2, "{}", answer.out);
    let why = folder.check(&["--alternative", "wide", "quay.ron"]).refusal();
    assert_eq!(why.trim(), "“quay.ron” has no alternative called “wide”: it has “low” and “High”.");
    let why = folder.check(&["--alternative", "wide", "plain.ron"]).refusal();
    assert!(why.contains("it has no alternatives"), "{why}");
}

#[test]
fn json_names_the_alternative_of_each_object() {
    let folder = Folder::new();
    folder.put("quay.ron", with_alternatives()).put("plain.ron", sound());
    let objects = folder.check(&["--json", "--alternatives", "quay.ron", "plain.ron"]).objects();
    let names: Vec<Option<&str>> = objects.iter().map(|o| o["alternative"].as_str()).collect();
    assert_eq!(names, [Some("low"), Some("High"), None]);
    assert_eq!(objects[0]["alternatives"], serde_json::json!(["low", "High"]));
    let wrong: Vec<u64> =
        objects.iter().map(|o| o["contradictions"].as_u64().unwrap_or(9)).collect();
    assert_eq!(wrong, [0, 1, 0]);
}

#[test]
fn lengths_are_told_in_feet_and_inches_where_that_is_asked_for() {
    let folder = Folder::new();
    folder.put("quay.ron", contradicting());
    let metric = folder.check(&["quay.ron"]).out;
    assert!(metric.contains("known to be 1.70 m"), "{metric}");
    let imperial = folder.check(&["--units", "imperial", "quay.ron"]).out;
    // 1.70 m are 5 ft 6.9 in (1 in = 0.0254 m exactly).
    assert!(imperial.contains("known to be 5′6.9″"), "{imperial}");
    let has_metres =
        |line: &str| line.split([' ', '(', ')', ',']).any(|word| ["m", "cm", "km"].contains(&word));
    assert!(!imperial.lines().any(has_metres), "{imperial}");
    let size = |units: &str| {
        let objects = folder.check(&["--json", "--units", units, "quay.ron"]).objects();
        objects[0]["ledger"][0]["size"]["value"].as_f64()
    };
    assert!(size("metric").is_some());
    assert_eq!(size("metric"), size("imperial"), "numbers stay metres");
    let refused = folder.check(&["--units", "cubits", "quay.ron"]);
    assert_eq!(refused.status, 2);
    assert!(refused.err.contains("metric, imperial"), "{}", refused.err);
}

#[test]
fn the_ledger_is_printed_near_to_far() {
    let folder = Folder::new();
    folder.put("quay.ron", contradicting());
    let out = folder.check(&["quay.ron"]).out;
    let line_of = |name: &str| out.lines().position(|line| line.trim().starts_with(name)).unwrap();
    assert!(line_of("Foreman") < line_of("Mate") && line_of("Foreman") < line_of("Giant"), "{out}");
}

/// A figure 17 m off before an eye 1.7 m up, a hull that is put above the horizon, a lifted row, and
/// stairs.
fn furnished() -> String {
    scene(
        0.0,
        r#"stand_ins: [
          (id: 1, name: "Watcher", shape: Figure(height: 1.7), level: 1, foot: (0.0, 0.1)),
          (id: 2, name: "Hull", shape: Box(width: 20.0, depth: 300.0, height: 30.0), level: 1,
           foot: (0.2, -0.1)),
          (id: 3, name: "Lamps", shape: Panel(width: 0.3, height: 3.4), level: 1, foot: (0.0, 0.2),
           lift: 0.5, arranged: Row(to: (0.0, 0.1), count: 12)),
        ],
        guides: [(id: 1, name: "", shape: Flight(level: 1, foot: (0.1, 0.1),
          along: RecedingRight(1), width: 1.2, climb: Stairs(riser: 0.17, tread: 0.29, count: 12)))],"#,
    )
}

#[test]
fn stand_ins_and_guides_are_told_with_their_sizes_and_what_cannot_stand_there_with_the_reason() {
    let folder = Folder::new();
    folder.put("quay.ron", furnished());
    let answer = folder.check(&["quay.ron"]);
    assert_eq!((answer.status, answer.err.as_str()), (0, ""), "{answer:?}");
    let line = |begins: &str| {
        let mut lines = answer.out.lines().map(str::trim);
        lines.find(|line| line.starts_with(begins)).unwrap_or_else(|| panic!("{answer:?}"))
    };
    assert_eq!(
        line("Watcher:"),
        "Watcher: figure, height 1.70 m, 17.0 m off, on ground; 230 px high"
    );
    assert!(line("Hull:").contains("above the horizon there is no ground to stand on"));
    let lamps = line("Lamps:");
    assert!(lamps.contains("12 times") && lamps.contains("from 8.50 m to 17.0 m off"), "{lamps}");
    assert!(lamps.contains("lifted 0.500 m") && lamps.ends_with("920 px high"), "{lamps}");
    assert!(line("stairs 1:").contains("12 steps"), "{}", line("stairs 1:"));
    let plain = folder.check(&["quay.ron"]).out;
    folder.put("quay.ron", sound());
    assert!(plain != folder.check(&["quay.ron"]).out);
    assert!(
        !folder.check(&["quay.ron"]).out.contains("stand-ins"),
        "not a word where there are none"
    );
}

#[test]
fn json_tells_of_stand_ins_and_guides() {
    let folder = Folder::new();
    folder.put("quay.ron", furnished());
    let object = folder.check(&["--json", "quay.ron"]).objects().remove(0);
    let [watcher, hull, lamps] = &object["stand_ins"].as_array().expect("a list")[..] else {
        panic!("{object}")
    };
    assert_eq!((&watcher["shape"], &watcher["level_name"]), (&"figure".into(), &"ground".into()));
    let near = |value: &Value, expected: f64| {
        let value = value.as_f64().unwrap_or_else(|| panic!("{value}"));
        assert!((value / expected - 1.0).abs() < 1e-3, "{value} is not {expected}");
    };
    near(&watcher["nearest"], 17.0);
    near(&watcher["pixel_height"], 230.0);
    near(&watcher["sizes"]["height"], 1.7);
    assert_eq!(watcher["cannot"], Value::Null);
    assert_eq!(hull["cannot"], "above the horizon there is no ground to stand on");
    assert_eq!((&hull["nearest"], &hull["placed"]), (&Value::Null, &0.into()));
    near(&hull["sizes"]["depth"], 300.0);
    assert_eq!((&lamps["count"], &lamps["placed"]), (&12.into(), &12.into()));
    near(&lamps["farthest"], 17.0);
    near(&lamps["lift"], 0.5);
    assert_eq!(object["guides"][0]["shape"], "stairs");
    assert_eq!(object["guides"][0]["seen"], true);
}

#[test]
fn one_unreadable_scene_does_not_stop_the_others() {
    let folder = Folder::new();
    folder.put("a.ron", sound()).put("c.ron", contradicting());
    let answer = folder.check(&["a.ron", "b.ron", "c.ron"]);
    assert_eq!(answer.status, 2);
    assert_eq!(answer.err, "“b.ron” could not be read: there is no such file or folder.\n");
    let (a, c) = (answer.out.find("a.ron").unwrap(), answer.out.find("c.ron").unwrap());
    assert!(a < c);
}

#[test]
fn many_scenes_are_answered_in_the_order_asked_for() {
    let folder = Folder::new();
    let names: Vec<String> = (0..40).map(|n| format!("{:02}.ron", (n * 17) % 40)).collect();
    for name in &names {
        folder.put(name, if name < &"20.ron".into() { sound() } else { contradicting() });
    }
    let mut arguments = vec!["--json"];
    arguments.extend(names.iter().map(String::as_str));
    let answer = folder.check(&arguments);
    let said: Vec<_> =
        answer.objects().iter().map(|o| o["scene"].as_str().unwrap().to_owned()).collect();
    assert_eq!(said, names);
    assert_eq!(answer.err, "", "no progress bar where standard error is no terminal");
}

#[test]
fn json_says_everything_with_intervals_and_ids() {
    let folder = Folder::new();
    folder.put("quay.ron", contradicting());
    let answer = folder.check(&["--json", "quay.ron", "gone.ron"]);
    let [quay, gone] = &answer.objects()[..] else { panic!("{}", answer.out) };
    assert_eq!(answer.status, 2);
    assert!(gone["error"].as_str().unwrap().contains("gone.ron"));

    assert_eq!(quay["title"], "Quay");
    assert_eq!(quay["contradictions"], 1);
    assert_eq!(quay["painting"], Value::Null);
    let view = &quay["eye"]["angle_of_view"];
    assert!((view["degrees"].as_f64().unwrap() - 53.13).abs() < 0.01);
    assert_eq!(view["source"], "by hand");
    let ledger = quay["ledger"].as_array().unwrap();
    let foreman = ledger.iter().find(|entry| entry["id"] == 1).unwrap();
    assert_eq!((&foreman["name"], &foreman["unit"]), (&"Foreman".into(), &"metres".into()));
    for quantity in ["distance", "size"] {
        let [low, value, high] =
            ["low", "value", "high"].map(|key| foreman[quantity][key].as_f64().unwrap());
        assert!(low < value && value < high, "{low} {value} {high}");
    }
    let finding = &quay["findings"][0];
    assert_eq!(finding["standing"], "contradicts");
    assert_eq!((&finding["about"]["kind"], &finding["about"]["id"]), (&"marker".into(), &3.into()));
    assert!(finding["sentence"].as_str().unwrap().contains("Giant"));
}

#[test]
fn scenes_that_are_damaged_are_refused_with_the_place() {
    let folder = Folder::new();
    let text = sound();
    folder
        .put("cut.ron", &text[..text.len() / 2])
        .put("empty.ron", "")
        .put("words.ron", "hello")
        .put("bytes.ron", [&b"(format: 1, scene: (title: \""[..], b"\xff\xfe\"))"].concat())
        .put("deep.ron", format!("(format: 1, scene: {}", "(title: ".repeat(100_000)))
        .put("odd.ron", text.replace("span: Upright", "span: Sideways"));
    assert!(refusal(&folder, "cut.ron").contains("is damaged at line "));
    assert!(refusal(&folder, "empty.ron").contains("is not a scene"));
    assert!(refusal(&folder, "words.ron").contains("is not a scene"));
    assert!(refusal(&folder, "bytes.ron").contains("is not text"));
    assert!(refusal(&folder, "deep.ron").contains("is damaged at line 1"));
    assert!(refusal(&folder, "odd.ron").contains("Sideways"));
}

#[test]
fn a_scene_cut_anywhere_is_refused_without_a_panic() {
    let folder = Folder::new();
    let text = sound();
    let names: Vec<String> = (0..text.trim_end().len())
        .step_by(37)
        .map(|end| {
            let name = format!("cut{end}.ron");
            folder.put(&name, &text[..end]);
            name
        })
        .collect();
    let answer = folder.check(&names.iter().map(String::as_str).collect::<Vec<_>>());
    assert_eq!(answer.status, 2);
    assert_eq!(answer.err.lines().count(), names.len(), "{}", answer.err);
    assert_eq!(answer.out, "");
}

#[test]
fn scenes_that_say_what_cannot_be_are_refused_by_the_name_of_the_thing() {
    let folder = Folder::new();
    let text = sound();
    folder
        .put("nan.ron", text.replace("foot: (0.1, 0.05)", "foot: (NaN, NaN)"))
        .put("huge.ron", text.replace("metres: 1.7", "metres: 1e300"))
        .put("lost.ron", text.replace("stands: On(1)", "stands: On(8)"))
        .put("twice.ron", text.replace("(id: 2, name", "(id: 1, name"));
    assert!(refusal(&folder, "nan.ron").contains("marker 2 (“Mate”) is NaN"));
    assert!(refusal(&folder, "huge.ron").contains("marker 1 (“Foreman”)"));
    assert!(refusal(&folder, "lost.ron").contains("level 8, which is not in the scene"));
    assert!(refusal(&folder, "twice.ron").contains("marker 1 is in the scene twice"));
}

#[test]
fn a_scene_of_a_newer_version_is_refused_as_such() {
    let folder = Folder::new();
    folder.put("newer.ron", "(format: 7, rooms: [#])");
    assert!(refusal(&folder, "newer.ron").contains("made by a newer Staffage (format 7"));
}

#[test]
fn what_is_no_scene_file_at_all_is_refused() {
    let folder = Folder::new();
    fs::create_dir(folder.path("folder.ron")).unwrap();
    fs::File::create(folder.path("enormous.ron")).unwrap().set_len(1 << 40).unwrap();
    assert!(refusal(&folder, "folder.ron").contains("it is a folder"));
    assert!(folder.check(&["enormous.ron"]).err.contains("larger than 64 MiB"));
    assert_eq!(folder.check(&["enormous.ron"]).status, 2);
}

#[cfg(unix)]
#[test]
fn what_is_no_file_or_not_permitted_is_refused() {
    use std::os::unix::fs::PermissionsExt;
    let folder = Folder::new();
    let answer = folder.check(&["/dev/zero"]);
    assert_eq!(answer.status, 2);
    assert!(answer.err.contains("it is not a file"), "{}", answer.err);

    folder.put("secret.ron", sound());
    let none = fs::Permissions::from_mode(0o000);
    fs::set_permissions(folder.path("secret.ron"), none).unwrap();
    // The superuser may read it all the same.
    if fs::read(folder.path("secret.ron")).is_err() {
        assert!(refusal(&folder, "secret.ron").contains("you have no permission"));
    }
}

fn png(path: &Path, width: u32, height: u32) {
    image::RgbImage::from_fn(width, height, |x, y| image::Rgb([x as u8, y as u8, 128]))
        .save(path)
        .unwrap();
}

#[test]
fn a_painting_that_can_be_read_and_has_the_frames_shape_is_not_mentioned() {
    let folder = Folder::new();
    png(&folder.path("quay.png"), 230, 98);
    folder.put("quay.ron", with_painting("quay.png"));
    let answer = folder.check(&["quay.ron"]);
    assert_eq!((answer.status, answer.err.as_str()), (0, ""));
    assert!(!answer.out.contains("painting"), "{}", answer.out);
}

#[test]
fn a_cropped_painting_is_said_to_be_so() {
    let folder = Folder::new();
    png(&folder.path("quay.png"), 200, 98);
    folder.put("quay.ron", with_painting("quay.png"));
    let answer = folder.check(&["quay.ron"]);
    assert_eq!(answer.status, 0);
    assert!(answer.out.contains("cropped or stretched"), "{}", answer.out);
    let objects = folder.check(&["--json", "quay.ron"]).objects();
    assert_eq!(objects[0]["painting"]["readable"], true);
    assert!(objects[0]["painting"]["remark"].as_str().unwrap().contains("200 × 98"));
}

#[test]
fn a_painting_that_is_missing_truncated_or_no_picture_ends_with_2_and_the_scene_is_still_answered()
{
    let folder = Folder::new();
    png(&folder.path("whole.png"), 230, 98);
    let whole = fs::read(folder.path("whole.png")).unwrap();
    folder
        .put("truncated.png", &whole[..whole.len() / 2])
        .put("empty.png", "")
        .put("words.png", "hello");
    fs::create_dir(folder.path("folder.png")).unwrap();
    for name in ["gone.png", "truncated.png", "empty.png", "words.png", "folder.png"] {
        folder.put("quay.ron", with_painting(name));
        let why = refusal(&folder, "quay.ron");
        assert!(why.contains("quay.ron") && why.contains(name), "{why}");
        assert!(folder.check(&["quay.ron"]).out.contains("Foreman"));
        let objects = folder.check(&["--json", "quay.ron"]).objects();
        assert_eq!(objects[0]["painting"]["readable"], false);
    }
}

/// A scene whose figures were picked as "adult", 1.7 m, from this size book.
fn with_size_book(name: &str) -> String {
    scene(0.0, &format!(r#"size_book: "{name}","#))
}

/// A size book in which an adult is so tall.
fn size_book(metres: f64) -> String {
    format!(
        r#"(format: 1, title: "Works", entries: [
            (name: "Adult", what: "tall", size: (metres: {metres}, spread: 0.06)),
            (name: "hauler", size: (metres: 96, spread: 0.02)),
        ])"#
    )
}

#[test]
fn a_scene_without_a_size_book_is_not_told_of_one() {
    let folder = Folder::new();
    folder.put("quay.ron", sound());
    assert!(!folder.check(&["quay.ron"]).out.contains("size book"));
    assert_eq!(folder.check(&["--json", "quay.ron"]).objects()[0]["size_book"], Value::Null);
}

#[test]
fn a_scene_that_agrees_with_its_size_book_is_told_so() {
    let folder = Folder::new();
    fs::create_dir(folder.path("books")).unwrap();
    folder.put("quay.ron", with_size_book("books/works.ron"));
    folder.put("books/works.ron", size_book(1.7));
    let answer = folder.check(&["quay.ron"]);
    assert_eq!((answer.status, answer.err.as_str()), (0, ""));
    assert!(answer.out.contains("  size book: nothing differs\n"), "{}", answer.out);
    let book = &folder.check(&["--json", "quay.ron"]).objects()[0]["size_book"];
    assert_eq!(book["path"], "books/works.ron");
    assert_eq!((&book["readable"], &book["remark"]), (&true.into(), &Value::Null));
    assert_eq!(book["differences"], Value::Array(vec![]));
}

#[test]
fn sizes_that_differ_from_the_size_book_are_listed_and_contradict_nothing() {
    let folder = Folder::new();
    folder.put("quay.ron", with_size_book("works.ron")).put("works.ron", size_book(1.8));
    let answer = folder.check(&["quay.ron"]);
    assert_eq!((answer.status, answer.err.as_str()), (0, ""));
    assert!(answer.out.contains("  size book: 3 differ\n"), "{}", answer.out);
    let sentence =
        "Foreman is said to be 1.7 m ± 6 % tall as “Adult”; the size book says 1.8 m ± 6 %.";
    assert!(answer.out.contains(&format!("    differs      {sentence}\n")), "{}", answer.out);

    let book = &folder.check(&["--json", "quay.ron"]).objects()[0]["size_book"];
    assert_eq!(book["readable"], true);
    let [foreman, _, _] = &book["differences"].as_array().unwrap()[..] else { panic!("{book}") };
    assert_eq!(foreman["sentence"], sentence);
    assert_eq!((&foreman["about"]["kind"], &foreman["about"]["id"]), (&"marker".into(), &1.into()));
    assert_eq!((&foreman["entry"], &foreman["statement"]), (&"Adult".into(), &0.into()));
    assert_eq!(
        (&foreman["scene"]["metres"], &foreman["book"]["metres"]),
        (&1.7.into(), &1.8.into())
    );
    assert_eq!(foreman["book"]["spread"], 0.06);
}

#[test]
fn a_size_book_among_the_scenes_is_told_from_a_damaged_scene() {
    let folder = Folder::new();
    folder.put("quay.ron", sound()).put("works.ron", size_book(1.7));
    let answer = folder.check(&["quay.ron", "works.ron"]);
    assert_eq!((answer.status, answer.err.as_str()), (0, ""));
    assert!(
        answer.out.contains("works.ron  Works\n  a size book of 2 entries\n"),
        "{}",
        answer.out
    );
    let objects = folder.check(&["--json", "works.ron", "quay.ron"]).objects();
    assert_eq!((objects.len(), &objects[0]["title"]), (1, &"Quay".into()));
}

#[test]
fn a_size_book_that_cannot_be_read_is_a_remark_and_no_failure() {
    let folder = Folder::new();
    let book = size_book(1.7);
    folder
        .put("cut.ron", &book[..book.len() / 2])
        .put("empty.ron", "")
        .put("newer.ron", "(format: 9, chapters: [#])")
        .put("twice.ron", book.replace("hauler", "ADULT"))
        .put("nan.ron", book.replace("96", "NaN"))
        .put("scene.ron", sound());
    fs::create_dir(folder.path("folder.ron")).unwrap();
    fs::File::create(folder.path("enormous.ron")).unwrap().set_len(1 << 40).unwrap();
    for (name, why) in [
        ("gone.ron", "there is no such file or folder"),
        ("cut.ron", "is damaged at line "),
        ("empty.ron", "is not one: it does not begin with"),
        ("newer.ron", "was made for a newer Staffage (format 9"),
        ("twice.ron", "two entries called “ADULT”"),
        ("nan.ron", "size of “hauler” is NaN m"),
        ("scene.ron", "is not one but a scene"),
        ("folder.ron", "it is a folder"),
        ("enormous.ron", "larger than 16 MiB"),
        ("../no\\u{1b}[2J\\nsuch.ron", "there is no such file or folder"),
    ] {
        folder.put("quay.ron", with_size_book(name));
        let answer = folder.check(&["quay.ron"]);
        assert_eq!((answer.status, answer.err.as_str()), (0, ""), "{name}");
        assert!(answer.out.contains("  size book: cannot be used\n"), "{}", answer.out);
        assert!(answer.out.contains(why) && answer.out.contains("Foreman"), "{}", answer.out);
        assert!(!answer.out.contains('\u{1b}'), "{}", answer.out);
        let said = &folder.check(&["--json", "quay.ron"]).objects()[0]["size_book"];
        assert_eq!(
            (&said["readable"], &said["differences"]),
            (&false.into(), &Value::Array(vec![]))
        );
        let remark = said["remark"].as_str().unwrap();
        assert!(remark.contains(why) && answer.out.contains(remark), "{remark}");
    }
}

/// A PNG that says it is 60,000 pixels square and holds next to nothing.
fn png_bomb() -> Vec<u8> {
    let chunk = |kind: &[u8; 4], data: &[u8]| {
        let body = [&kind[..], data].concat();
        let length = u32::try_from(data.len()).unwrap();
        [&length.to_be_bytes()[..], &body, &crc32(&body).to_be_bytes()].concat()
    };
    let side = 60_000_u32.to_be_bytes();
    let header = [&side[..], &side, &[8, 2, 0, 0, 0]].concat();
    [
        b"\x89PNG\r\n\x1a\n".to_vec(),
        chunk(b"IHDR", &header),
        chunk(b"IDAT", &[]),
        chunk(b"IEND", &[]),
    ]
    .concat()
}

/// CRC-32 as PNG prescribes (ISO 3309).
fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |crc, &byte| {
        (0..8).fold(crc ^ u32::from(byte), |crc, _| (crc >> 1) ^ (0xedb8_8320 * (crc & 1)))
    })
}

#[test]
fn a_painting_that_claims_to_be_enormous_is_refused_and_not_decoded() {
    let folder = Folder::new();
    folder.put("bomb.png", png_bomb()).put("quay.ron", with_painting("bomb.png"));
    let why = refusal(&folder, "quay.ron");
    assert!(why.contains("bomb.png is too large to open"), "{why}");
}

#[test]
fn a_hostile_painting_path_is_only_read_and_cannot_steer_the_terminal() {
    let folder = Folder::new();
    folder.put("quay.ron", with_painting("../../\\u{1b}[2Jno\\nsuch.png"));
    let why = refusal(&folder, "quay.ron");
    assert!(!why.contains('\u{1b}'), "{why}");
}

#[cfg(unix)]
#[test]
fn a_reader_that_stops_early_is_no_failure() {
    let folder = Folder::new();
    folder.put("quay.ron", sound());
    let scenes = "quay.ron ".repeat(400);
    let script = format!("\"$0\" check {scenes} | head -n 1");
    let output = Command::new("sh")
        .args(["-c", &script, env!("CARGO_BIN_EXE_staffage")])
        .current_dir(&folder.0)
        .output()
        .unwrap();
    let answer = Answer::of(&output);
    assert_eq!((answer.out.lines().count(), answer.err.as_str()), (1, ""));
}

#[test]
fn help_teaches_and_a_wrong_argument_is_refused() {
    let help = Answer::of(&staffage().args(["check", "--help"]).output().unwrap());
    assert_eq!(help.status, 0);
    for taught in ["Exit status:", "Examples:", "contradicts", "--json"] {
        assert!(help.out.contains(taught), "{taught}");
    }
    let version = Answer::of(&staffage().arg("--version").output().unwrap());
    assert_eq!(version.out, format!("staffage {}\n", env!("CARGO_PKG_VERSION")));
    assert_eq!(Answer::of(&staffage().args(["check", "--jsom"]).output().unwrap()).status, 2);
    assert_eq!(Answer::of(&staffage().arg("check").output().unwrap()).status, 2);
}

#[cfg(target_os = "linux")]
#[test]
fn without_a_display_the_window_says_so_and_points_to_check() {
    let output = staffage()
        .env_remove("DISPLAY")
        .env_remove("WAYLAND_DISPLAY")
        .env_remove("WAYLAND_SOCKET")
        .output()
        .unwrap();
    let answer = Answer::of(&output);
    assert_eq!(answer.status, 2);
    assert_eq!(answer.err.lines().count(), 1, "{}", answer.err);
    assert!(answer.err.contains("staffage check"), "{}", answer.err);
}

#[test]
fn a_picture_given_to_check_is_called_a_picture() {
    let picture = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo_scenes/market_street.jpg");
    let output = staffage().arg("check").arg(picture).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.contains("is a picture, not a scene: open it with"), "{said}");
}
