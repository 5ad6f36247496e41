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
