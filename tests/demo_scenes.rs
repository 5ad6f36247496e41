//! The demo scenes: `check` names what was planted in them, no more and no less, and what it measures
//! is what was painted.

use serde_json::Value;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::Command;

const DEMOS: [&str; 3] = ["dam_overlook", "market_street", "reservoir_from_above"];

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("demo_scenes")
}

/// What the set was painted from: `truth/NAME.json`, written by the painter of the demos.
fn truth(demo: &str) -> Value {
    let path = folder().join("truth").join(format!("{demo}.json"));
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

fn check(demo: &str, json: bool) -> (String, Option<i32>) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_staffage"));
    command.arg("check").arg(folder().join(format!("{demo}.ron")));
    if json {
        command.arg("--json");
    }
    let output = command.output().unwrap();
    (String::from_utf8(output.stdout).unwrap(), output.status.code())
}

fn checked(demo: &str) -> Value {
    let (text, status) = check(demo, true);
    assert_eq!(status, Some(1), "{demo} has planted contradictions");
    serde_json::from_str(&text).unwrap()
}

/// What is planted or intended, as (kind of thing, name or id).
fn named(list: &Value) -> BTreeSet<(String, String)> {
    let text = |v: &Value| v.as_str().unwrap().to_owned();
    list.as_array().unwrap().iter().map(|p| (text(&p["about"]), text(&p["name"]))).collect()
}

/// What `check --json` found, in the same terms.
fn found(checked: &Value, intended: bool) -> BTreeSet<(String, String)> {
    let marker_name = |id: &Value| {
        let ledger = checked["ledger"].as_array().unwrap();
        ledger.iter().find(|e| e["id"] == *id).unwrap()["name"].as_str().unwrap().to_owned()
    };
    let findings = checked["findings"].as_array().unwrap();
    findings
        .iter()
        .filter(|f| f["standing"] == "contradicts" || f["standing"] == "impossible")
        .filter(|f| f["intended"].is_null() != intended)
        .map(|f| {
            let about = &f["about"];
            let kind = about["kind"].as_str().unwrap().to_owned();
            let name =
                if kind == "marker" { marker_name(&about["id"]) } else { about["id"].to_string() };
            (kind, name)
        })
        .collect()
}

#[test]
fn check_names_exactly_the_planted_contradictions() {
    for demo in DEMOS {
        let (truth, checked) = (truth(demo), checked(demo));
        assert_eq!(found(&checked, false), named(&truth["planted"]), "{demo}");
        assert_eq!(found(&checked, true), named(&truth["intended"]), "{demo}");
        assert!(named(&truth["planted"]).len() >= 2 && !named(&truth["intended"]).is_empty());
    }
}

#[test]
fn the_dam_and_its_reservoir_keep_to_one_size_book() {
    for demo in ["dam_overlook", "reservoir_from_above"] {
        let book = &checked(demo)["size_book"];
        assert_eq!((&book["path"], &book["readable"]), (&"size_book.ron".into(), &true.into()));
        assert_eq!(book["differences"], Value::Array(vec![]), "{demo}");
    }
    // Each picks something from it.
    let book = staffage_scene::SizeBook::read(&folder().join("size_book.ron")).unwrap();
    for (demo, marker) in [("dam_overlook", "gate house 1"), ("reservoir_from_above", "launch")] {
        let scene = staffage_scene::load(&folder().join(format!("{demo}.ron"))).unwrap();
        let marker = scene.markers.iter().find(|m| m.name == marker).unwrap();
        let picked = marker.statements.iter().find_map(|said| match said {
            staffage_scene::Statement::KnownSize { as_, .. } => book.entry(as_),
            _ => None,
        });
        assert!(picked.is_some(), "{demo}");
    }
}

#[test]
fn the_printed_report_says_the_same_as_the_json() {
    for demo in DEMOS {
        let checked = checked(demo);
        let (report, status) = check(demo, false);
        assert_eq!(status, Some(1));
        for finding in checked["findings"].as_array().unwrap() {
            let sentence = finding["sentence"].as_str().unwrap();
            assert!(report.contains(sentence), "{demo}: {sentence}");
        }
        let contradicting = report.lines().filter(|l| l.trim_start().starts_with("contradicts "));
        assert_eq!(contradicting.count() as u64, checked["contradictions"].as_u64().unwrap());
    }
}

#[test]
fn true_distances_and_sizes_lie_inside_the_stated_intervals() {
    for demo in DEMOS {
        let (truth, checked) = (truth(demo), checked(demo));
        let mut inside = [0, 0];
        let mut measured = [0, 0];
        for entry in checked["ledger"].as_array().unwrap() {
            // A part of the scene without a benchmark is measured in eye heights.
            if entry["unit"] != "metres" {
                continue;
            }
            let name = entry["name"].as_str().unwrap();
            for (k, what) in ["distance", "size"].into_iter().enumerate() {
                let expected = truth["markers"][name][what].as_f64().unwrap();
                let [low, high] = ["low", "high"].map(|end| entry[what][end].as_f64().unwrap());
                measured[k] += 1;
                inside[k] += usize::from((low..=high).contains(&expected));
            }
        }
        for (inside, measured) in inside.into_iter().zip(measured) {
            assert!(measured >= 12, "{demo}");
            assert!(10 * inside >= 9 * measured, "{demo}: {inside} of {measured}");
        }
    }
}

#[test]
fn the_eye_read_from_the_lines_is_the_one_the_set_was_painted_with() {
    for demo in DEMOS {
        let (truth, checked) = (truth(demo), checked(demo));
        let focal = truth["eye"]["focal"].as_f64().unwrap();
        let angle_of_view = 2.0 * (0.5 / focal).atan().to_degrees();
        let expected = [
            ("angle_of_view", angle_of_view),
            ("pitch", truth["eye"]["pitch"].as_f64().unwrap()),
            ("cant", truth["eye"]["cant"].as_f64().unwrap()),
        ];
        for (quantity, expected) in expected {
            let read = &checked["eye"][quantity];
            assert_eq!(read["source"], "read", "{demo} {quantity}");
            let error = read["degrees"].as_f64().unwrap() - expected;
            assert!(error.abs() < 3.0 * read["sd"].as_f64().unwrap(), "{demo} {quantity} {error}");
        }
    }
}
