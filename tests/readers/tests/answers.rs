//! `staffage check --json` against its published schema, by a validator of JSON Schema 2020-12; the ledger's
//! table by a reader of CSV.

use serde_json::{Value, json};
use staffage_readers::{DEMOS, answers, demo, file, made};
use std::fs;
use std::path::Path;

fn schema() -> jsonschema::Validator {
    let text = fs::read_to_string(file("assets/check.schema.json")).unwrap();
    let schema: Value = serde_json::from_str(&text).unwrap();
    jsonschema::meta::validate(&schema).expect("it is a schema itself");
    jsonschema::draft202012::new(&schema).unwrap()
}

fn assert_valid(schema: &jsonschema::Validator, answer: &Value) {
    let wrong: Vec<String> =
        schema.iter_errors(answer).map(|e| format!("{}: {e}", e.instance_path())).collect();
    assert!(wrong.is_empty(), "{}: {wrong:#?}", answer["scene"]);
}

#[test]
fn answers_are_as_the_schema_says() {
    let mut scenes = DEMOS.map(demo).to_vec();
    scenes.push(Path::new(env!("CARGO_MANIFEST_DIR")).join("everything.ron"));
    scenes.push("not/there.ron".into());
    let answers = answers(&scenes);
    assert_eq!(answers.len(), 5);
    let schema = schema();
    answers.iter().for_each(|answer| assert_valid(&schema, answer));
}

/// Otherwise the test above would say little.
#[test]
fn the_scene_with_everything_fills_every_key_at_least_once() {
    let everything = Path::new(env!("CARGO_MANIFEST_DIR")).join("everything.ron");
    let mut scenes = DEMOS.map(demo).to_vec();
    scenes.push(everything);
    let answers = answers(&scenes);
    let somewhere = |pointer: &str, key: &str| {
        let in_list = |answer: &Value| {
            let list =
                answer.pointer(pointer).and_then(Value::as_array).cloned().unwrap_or_default();
            list.iter().any(|item| item.get(key).is_some_and(|value| !value.is_null()))
        };
        assert!(answers.iter().any(in_list), "{key} in {pointer}");
    };
    for key in ["stands", "elevation", "intended", "intended_by", "expected_size", "lean", "bounds"]
    {
        somewhere("/ledger", key);
    }
    for key in ["above", "clearance"] {
        somewhere("/levels", key);
    }
    let stands: Vec<&str> = answers[3]["ledger"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|entry| entry["stands"]["how"].as_str())
        .collect();
    for how in ["on", "over", "shadow", "hidden", "on_top"] {
        assert!(stands.contains(&how), "{how} in {stands:?}");
    }
}

#[test]
fn the_schema_refuses_what_is_no_answer() {
    let schema = schema();
    let [answer] = &answers(&[demo("dam_overlook")])[..] else { panic!("one answer") };
    for spoil in [
        |answer: &mut Value| answer["ledger"][0]["standing"] = "fine".into(),
        |answer: &mut Value| answer["eye"]["pitch"]["degrees"] = "up".into(),
        |answer: &mut Value| answer["colour"] = "red".into(),
        |answer: &mut Value| {
            answer.as_object_mut().unwrap().remove("levels");
        },
    ] {
        let mut spoilt = answer.clone();
        spoil(&mut spoilt);
        assert!(!schema.is_valid(&spoilt));
    }
    assert!(!schema.is_valid(&json!({ "scene": "a.ron" })));
}

#[test]
fn the_ledger_is_a_table_with_a_row_for_each_marker() {
    for name in DEMOS {
        let table = made("sheet", &demo(name), "ledger.csv");
        let mut reader = csv::Reader::from_reader(&table[..]);
        assert_eq!(reader.headers().unwrap().len(), 19);
        let rows: Vec<csv::StringRecord> = reader.records().map(|row| row.unwrap()).collect();
        let answers = answers(&[demo(name)]);
        let ledger = answers[0]["ledger"].as_array().unwrap();
        assert_eq!(rows.len(), ledger.len());
        for (row, entry) in rows.iter().zip(ledger) {
            assert_eq!(entry["name"], row[2]);
            assert_eq!(entry["standing"], row[13]);
            let (told, known) =
                (row[6].parse::<f64>().unwrap(), entry["distance"]["value"].as_f64());
            assert!((told / known.unwrap() - 1.0).abs() < 1e-4);
        }
    }
}
