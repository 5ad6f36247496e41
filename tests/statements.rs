//! Every way of standing, in a scene file and out again: what `staffage check` makes of it in words and as
//! JSON. The set: a level eye of 53.13° across, 2 m over the ground.

mod folder;

use folder::Folder;
use serde_json::Value;

const SCENE: &str = r#"(format: 2, scene: (
  title: "Yard",
  eye: (angle_of_view: 53.130102, pitch: 0, cant: 0, principal: At(0, 0)),
  world: (curvature: Everywhere),
  inclines: [(id: 1, name: "sunlight", heading: 90, slope: -45)],
  levels: [
    (id: 1, name: "ground", side: Below, clearance: (metres: 2, spread: 0.01)),
    (id: 2, name: "terrace", side: Below, above: (level: 1, by: (metres: 1, spread: 0.01))),
  ],
  markers: [
    (id: 1, name: "Foreman", foot: (0, 0.2), head: (0, 0.03), span: Upright, stands: On(1)),
    (id: 2, name: "Walker behind the wall", foot: (0.1, 0.05), head: (0.1, 0.015), span: Upright,
      stands: Hidden(level: 1, height: (metres: 1.7, spread: 0.06))),
    (id: 3, name: "Barrel", foot: (-0.2, 0.25), head: (-0.2, 0.125), span: Upright, stands: On(1)),
    (id: 4, name: "Crate", foot: (-0.2, 0.125), head: (-0.2, 0.0625), span: Upright, stands: OnTop(3)),
    (id: 5, name: "Tank", foot: (-0.134535, 0.135754), head: (0.134535, 0.135754), span: Cylinder,
      stands: On(1)),
    (id: 6, name: "Kite", foot: (-0.1666667, -0.0833333), head: (-0.1666667, -0.1666667), span: Upright,
      stands: Shadow(level: 1, tip: (0.0833333, 0.1666667), light: 1)),
    (id: 7, name: "Gardener", foot: (0.3, 0.1), head: (0.3, -0.06), span: Upright, stands: On(2)),
  ],
))"#;

fn check(arguments: &[&str]) -> String {
    let folder = Folder::new();
    folder.put("yard.ron", SCENE);
    let answer = folder.check(&[arguments, &["yard.ron"]].concat());
    assert_eq!(answer.status, 0, "{answer:?}");
    answer.out
}

#[test]
fn json_has_the_distance_and_size_of_whatever_stands_there_however_it_stands() {
    let yard: Value = serde_json::from_str(&check(&["--json"])).unwrap();
    // Horizontal distance from the eye and size, metres, by similar triangles.
    let truth = [
        (1, "on", 10.0, 1.7),
        (2, "hidden", 20.1, 0.7),
        (3, "on", 8.158, 1.0),
        (4, "on_top", 8.158, 0.5),
        (5, "on", 15.0, 4.0),
        (6, "shadow", 12.166, 1.0),
        (7, "on", 10.440, 1.6),
    ];
    let ledger = yard["ledger"].as_array().unwrap();
    for (id, how, distance, size) in truth {
        let entry = ledger.iter().find(|e| e["id"] == id).unwrap();
        assert_eq!((&entry["unit"], &entry["stands"]["how"]), (&"metres".into(), &how.into()));
        for (quantity, expected) in [("distance", distance), ("size", size)] {
            let found = entry[quantity]["value"].as_f64().unwrap();
            assert!((found / expected - 1.0).abs() < 0.03, "{id} {quantity}: {found}");
            assert!(entry[quantity]["high"].as_f64().unwrap() > expected);
        }
    }
    let terrace = &yard["levels"][1];
    assert!((terrace["clearance"]["value"].as_f64().unwrap() - 1.0).abs() < 1e-3, "{terrace}");
    assert_eq!(terrace["above"]["level"], 1);
    // 3.57 km √(2 m) without air, 1 / √(1 - 0.13) times as far with it.
    let horizon = yard["levels"][0]["horizon"]["distance"].as_f64().unwrap();
    assert!((horizon / 5_412.0 - 1.0).abs() < 1e-3, "{horizon}");
    assert_eq!(yard["eye"]["principal_point"]["source"], "by hand");
    let sun = &yard["eye"]["inclines"][0];
    assert_eq!(
        (&sun["slope"]["source"], &sun["heading"]["source"]),
        (&"by hand".into(), &"by hand".into())
    );
    assert!(yard["families"].as_array().unwrap().iter().all(|f| !f["region"].is_null()));
}

#[test]
fn words_tell_the_step_the_horizon_and_everything_in_metres() {
    let words = check(&[]);
    for said in [
        "terrace: 1.00 m",
        "said to lie 1.00 m above ground",
        "its horizon 5.41 km off, 0.04° below the eye's level",
        "Walker behind the wall",
        "nothing contradicts",
    ] {
        assert!(words.contains(said), "{said}\n{words}");
    }
    assert!(!words.contains("not fixed yet"), "{words}");
}
