//! `staffage compare` and `staffage continuity` from outside, and `check` over folders.

mod folder;

use folder::Folder;
use serde_json::Value;
use std::fs;

/// A level eye 1.7 m up and a gate so tall, at twice the distance of two adults; more of the scene.
fn scene(gate_head: f64, more: &str) -> String {
    let marker = |id: u32, name: &str, u: f64, foot: f64, head: f64, said: &str| {
        format!(
            r#"(id: {id}, name: "{name}", foot: ({u}, {foot}), head: ({u}, {head}), span: Upright,
                stands: On(1), statements: [{said}]),"#
        )
    };
    let adult = r#"KnownSize(size: (metres: 1.7, spread: 0.03), as: "adult, mixed, in boots")"#;
    let markers = [
        marker(1, "Foreman", 0.0, 0.1, 0.0, adult),
        marker(2, "Mate", 0.1, 0.08, 0.0, adult),
        marker(3, "gate", -0.1, 0.05, gate_head, ""),
    ];
    format!(
        r#"(format: 3, scene: (
          title: "Quay",
          eye: (angle_of_view: 53.13, pitch: 0, cant: 0),
          levels: [(id: 1, name: "ground", side: Below)],
          markers: [{}],
          {more}
        ))"#,
        markers.concat()
    )
}

const BOOK: &str = r#"(format: 1, title: "Works", entries: [
    (name: "gate", what: "tall", size: (metres: 5.1, spread: 0.03)),
])"#;

#[test]
fn a_folder_stands_for_its_scenes_and_one_bad_scene_stops_none() {
    let folder = Folder::new();
    fs::create_dir_all(folder.path("reel/two")).unwrap();
    folder.put("reel/b.ron", scene(-0.1, "")).put("reel/two/c.ron", scene(-0.1, ""));
    folder.put("reel/a.ron", "no scene").put("reel/b.previous.ron", "old");
    let answer = folder.check(&["--json", "reel"]);
    assert_eq!(answer.status, 2);
    assert_eq!(answer.err.lines().count(), 1, "{}", answer.err);
    let scenes: Vec<String> =
        answer.objects().iter().map(|o| o["scene"].as_str().unwrap().to_owned()).collect();
    assert_eq!(scenes, ["reel/a.ron", "reel/b.ron", "reel/two/c.ron"]);
    folder.put("reel/a.ron", scene(-0.1, ""));
    assert_eq!(folder.check(&["reel"]).status, 0);
}

#[test]
fn what_moved_and_what_is_new_is_said_in_words_and_in_json() {
    let folder = Folder::new();
    folder.put("a.ron", scene(-0.1, "")).put(
        "b.ron",
        scene(-0.1, "")
            .replace("head: (0.1, 0.0)", "head: (0.1, -0.08)")
            .replace("head: (0.1, 0)", "head: (0.1, -0.08)"),
    );
    let answer = folder.run("compare", &["a.ron", "b.ron"]);
    assert_eq!((answer.status, answer.err.as_str()), (1, ""));
    assert!(answer.out.contains("Marker Mate moved by 184.0 px"), "{}", answer.out);
    assert!(answer.out.contains("  new: 1\n"), "{}", answer.out);
    let back = folder.run("compare", &["b.ron", "a.ron", "--json"]);
    assert_eq!(back.status, 0);
    let [said] = &back.objects()[..] else { panic!("{}", back.out) };
    assert_eq!(said["mended"].as_array().unwrap().len(), 1);
    assert_eq!(said["things"][0]["became"], "moved");
    let same = folder.run("compare", &["a.ron", "a.ron"]);
    assert!(same.status == 0 && same.out.contains("nothing changed"), "{same:?}");
    let gone = folder.run("compare", &["a.ron", "gone.ron"]);
    assert!(gone.refusal().contains("gone.ron"));
}

#[test]
fn a_thing_in_two_sizes_contradicts_across_paintings() {
    let folder = Folder::new();
    let with_book = r#"size_book: "book.ron","#;
    folder.put("book.ron", BOOK).put("a.ron", scene(-0.1, with_book));
    folder.put("b.ron", scene(-0.1, with_book)).put("c.ron", scene(-0.2, with_book));
    let answer = folder.run("continuity", &["."]);
    assert_eq!((answer.status, answer.err.as_str()), (1, ""));
    assert!(answer.out.contains("3 scenes, 1 shared thing, size book “Works”"), "{}", answer.out);
    assert!(answer.out.contains("findings: 1 contradicts"), "{}", answer.out);
    let answer = folder.run("continuity", &[".", "--json"]);
    let [said] = &answer.objects()[..] else { panic!("{}", answer.out) };
    assert_eq!(said["contradictions"], 1);
    assert_eq!(said["findings"][0]["scene"], "./c.ron");
    assert!((said["findings"][0]["ratio"].as_f64().unwrap() - 5.0 / 3.0).abs() < 0.05);
    assert_eq!(said["things"][0]["book"], 5.1);
    let sound = folder.run("continuity", &["a.ron", "b.ron"]);
    assert_eq!(sound.status, 0, "{sound:?}");
}

#[test]
fn two_size_books_are_not_mixed_and_a_bad_scene_does_not_stop_the_others() {
    let folder = Folder::new();
    folder.put("one.ron", BOOK).put("two.ron", BOOK);
    folder.put("a.ron", scene(-0.1, r#"size_book: "one.ron","#));
    folder.put("b.ron", scene(-0.1, r#"size_book: "two.ron","#));
    let answer = folder.run("continuity", &["a.ron", "b.ron"]);
    assert_eq!(answer.status, 2);
    assert!(answer.err.contains("--book"), "{}", answer.err);
    let chosen = folder.run("continuity", &["a.ron", "b.ron", "--book", "one.ron"]);
    assert_eq!((chosen.status, chosen.err.as_str()), (0, ""));
    folder.put("c.ron", "damaged");
    let answer =
        folder.run("continuity", &["a.ron", "b.ron", "c.ron", "--book", "one.ron", "--json"]);
    assert_eq!(answer.status, 2);
    assert_eq!(answer.objects()[0]["errors"].as_array().unwrap().len(), 1);
    assert_eq!(answer.objects()[0]["things"].as_array().map(Vec::len), Some(1));
    assert_ne!(answer.objects()[0]["scenes"], Value::Null);
}

/// The scene with a larger gate as its second idea, under this name.
fn with_idea(name: &str, gate_head: f64) -> String {
    let idea = scene(gate_head, "");
    let markers = idea.split("markers: ").nth(1).unwrap().split("],\n").next().unwrap();
    let alternatives = format!(
        r#"alternatives: [(id: 1, name: "as built"), (id: 2, name: "{name}", aside: (markers: {markers}]))],"#
    );
    scene(-0.1, &alternatives)
}

#[test]
fn versions_are_compared_alternative_by_alternative_and_in_feet_where_asked() {
    let folder = Folder::new();
    folder.put("a.ron", with_idea("Tall", -0.2)).put("b.ron", with_idea("tall", -0.3));
    let same = folder.run("compare", &["a.ron", "b.ron"]);
    assert!(same.status == 0 && same.out.contains("nothing changed"), "{same:?}");
    let answer = folder.run("compare", &["a.ron", "b.ron", "--alternative", "TALL"]);
    assert_eq!((answer.status, answer.err.as_str()), (0, ""));
    // The gate stands 34 m off: 0.25 and 0.35 of the frame's width are 8.5 m and 11.9 m.
    assert!(answer.out.contains("a.ron → b.ron, alternative tall"), "{}", answer.out);
    assert!(answer.out.contains("gate: size 8.5 m → 11.9 m"), "{}", answer.out);
    let feet = ["a.ron", "b.ron", "--alternatives", "--units", "imperial"];
    let feet = folder.run("compare", &feet);
    assert_eq!(feet.out.matches("a.ron → b.ron, alternative").count(), 2, "{}", feet.out);
    // 8.5 m are 27 ft 11 in, 11.9 m are 39 ft 0.5 in.
    assert!(feet.out.contains("gate: size 27′11″ → 39′1″"), "{}", feet.out);
    let json = folder.run("compare", &["a.ron", "b.ron", "--alternatives", "--json"]).objects();
    let [built, tall] = &json[..] else { panic!("{json:?}") };
    assert_eq!((&built["alternative"], &tall["alternative"]), (&"as built".into(), &"tall".into()));
    assert_eq!(tall["ledger"][0]["after"]["unit"], "metres");
    folder.put("c.ron", scene(-0.2, ""));
    let grown = folder.run("compare", &["c.ron", "b.ron", "--alternatives"]);
    assert!(grown.out.contains("alternatives that are new: as built, tall"), "{}", grown.out);
    let why = folder.run("compare", &["a.ron", "c.ron", "--alternative", "tall"]).refusal();
    assert!(why.contains("“c.ron” has no alternative called “tall”"), "{why}");
}

#[test]
fn an_alternative_is_held_against_the_other_paintings_where_it_is_and_in_feet_where_asked() {
    let folder = Folder::new();
    folder.put("a.ron", scene(-0.1, "")).put("b.ron", scene(-0.1, ""));
    folder.put("c.ron", with_idea("Tall", -0.2));
    assert_eq!(folder.run("continuity", &["."]).status, 0, "as they were saved");
    let answer = folder.run("continuity", &[".", "--alternative", "tall", "--units", "imperial"]);
    assert_eq!((answer.status, answer.err.as_str()), (1, ""));
    assert!(answer.out.starts_with("3 scenes, 1 shared thing, alternative tall"), "{}", answer.out);
    // 5.1 m are 16 ft 9 in, 8.5 m are 27 ft 11 in.
    assert!(
        answer.out.contains("drawn 27′11″ tall, but gate in ./a.ron is 16′9″"),
        "{}",
        answer.out
    );
    assert!(!answer.out.contains(" m "), "{}", answer.out);
    let each = folder.run("continuity", &[".", "--alternatives", "--json"]);
    assert_eq!(each.status, 1);
    let objects = each.objects();
    let said = |at: usize, key: &str| objects[at][key].clone();
    assert_eq!(objects.len(), 2);
    assert_eq!((said(0, "alternative"), said(0, "contradictions")), ("as built".into(), 0.into()));
    assert_eq!((said(1, "alternative"), said(1, "contradictions")), ("Tall".into(), 1.into()));
    assert_eq!(said(1, "unit"), "metres");
    let none = folder.run("continuity", &[".", "--alternative", "wide"]);
    assert!(none.status == 2 && none.err.contains("called “wide”"), "{none:?}");
}
