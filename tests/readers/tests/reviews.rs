//! `staffage compare --json` and `staffage continuity --json` against their published schemas, by a validator
//! of JSON Schema 2020-12.

use serde_json::{Value, json};
use staffage_readers::{DEMOS, demo, file, staffage};
use std::fs;
use std::path::{Path, PathBuf};

fn schema(name: &str) -> jsonschema::Validator {
    let text = fs::read_to_string(file(&format!("assets/{name}.schema.json"))).unwrap();
    let schema: Value = serde_json::from_str(&text).unwrap();
    jsonschema::meta::validate(&schema).expect("it is a schema itself");
    jsonschema::draft202012::new(&schema).unwrap()
}

/// What a command answers, an object on each line.
fn objects(command: &str, arguments: &[&Path]) -> Vec<Value> {
    let output = staffage().arg(command).arg("--json").args(arguments).output().expect("it runs");
    let text = String::from_utf8(output.stdout).expect("text");
    text.lines().map(|line| serde_json::from_str(line).expect("an object on each line")).collect()
}

fn assert_valid(schema: &jsonschema::Validator, answer: &Value) {
    let wrong: Vec<String> =
        schema.iter_errors(answer).map(|e| format!("{}: {e}", e.instance_path())).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// A demo in which this is written for that.
fn changed(folder: &Path, name: &str, from: &str, to: &str) -> PathBuf {
    let text = fs::read_to_string(demo(name)).unwrap();
    assert!(text.contains(from), "{from} in {name}");
    let path = folder.join(format!("{name}.ron"));
    fs::write(&path, text.replace(from, to)).unwrap();
    path
}

#[test]
fn comparisons_are_as_the_schema_says_and_fill_every_list() {
    let folder = tempfile::tempdir().unwrap();
    let (before, everything) = (demo("dam_overlook"), file("tests/readers/everything.ron"));
    let hand = "gallery hand 3";
    let text = fs::read_to_string(&before).unwrap();
    let line =
        text.lines().find(|line| line.contains(hand)).expect("a marker on a line of its own");
    let gone = changed(folder.path(), "dam_overlook", line, "");
    let schema = schema("compare");
    let pairs: [(&Path, &Path); 4] =
        [(&before, &before), (&before, &gone), (&gone, &before), (&before, &everything)];
    let answers: Vec<Value> = pairs
        .iter()
        .flat_map(|(a, b)| objects("compare", &[a, b, Path::new("--alternatives")]))
        .collect();
    assert_eq!(answers.len(), pairs.len());
    answers.iter().for_each(|answer| assert_valid(&schema, answer));
    for list in ["mended", "new", "kept", "still", "eye", "things", "ledger"] {
        let filled = |answer: &Value| answer[list].as_array().is_some_and(|list| !list.is_empty());
        assert!(answers.iter().any(filled), "{list}");
    }
    let mut spoilt = answers[1].clone();
    spoilt["unit"] = "metres".into();
    assert!(!schema.is_valid(&spoilt));
}

#[test]
fn continuity_is_as_the_schema_says_with_a_contradiction_and_an_error() {
    let folder = tempfile::tempdir().unwrap();
    let mut scenes: Vec<PathBuf> = DEMOS.map(demo).to_vec();
    scenes.push("not/there.ron".into());
    let paths: Vec<&Path> = scenes.iter().map(PathBuf::as_path).collect();
    let schema = schema("continuity");
    let [answer] = &objects("continuity", &paths)[..] else { panic!("one answer") };
    assert_valid(&schema, answer);
    assert_eq!(answer["unit"], "metres");
    assert_eq!(answer["errors"].as_array().map(Vec::len), Some(1));
    assert!(!answer["things"].as_array().unwrap().is_empty(), "the demos share a size book");
    // The book says that the skiff is half as long again.
    let book = fs::read_to_string(file("demo_scenes/size_book.ron")).unwrap();
    let wrong = folder.path().join("book.ron");
    fs::write(&wrong, book.replace("metres: 5,", "metres: 8,")).unwrap();
    let with_book = [&paths[..3], &[Path::new("--book"), &wrong]].concat();
    let [answer] = &objects("continuity", &with_book)[..] else { panic!("one answer") };
    assert_valid(&schema, answer);
    assert!(!answer["findings"].as_array().unwrap().is_empty(), "{answer}");
    let mut spoilt = answer.clone();
    spoilt["things"][0]["size"] = json!("large");
    assert!(!schema.is_valid(&spoilt));
}
