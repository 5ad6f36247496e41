//! Lengths in feet and inches everywhere, and in metres again.

use crate::driver::{Driver, Set};
use egui::{Key, Modifiers};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use glam::{DVec2, DVec3};
use staffage_desk::Remembered;
use staffage_drawing::Ink;
use staffage_scene::{
    Arranged, Known, Level, LevelId, Marker, MarkerId, Scene, Shape, Side, Span, StandIn,
    StandInId, Stands, Statement, Units, save,
};

fn figure(id: u32, name: &str, right: f64, drawn: f64, said: f64) -> Marker {
    let set = Set::assumed();
    let size = Known { metres: said, spread: 0.05 };
    Marker {
        id: MarkerId(id),
        name: name.into(),
        foot: set.seen(DVec3::new(right, -1.6, -8.0)),
        head: set.seen(DVec3::new(right, drawn - 1.6, -8.0)),
        span: Span::Upright,
        stands: Stands::On(LevelId(1)),
        statements: vec![Statement::KnownSize { size, as_: "own size".into() }],
    }
}

/// Figures, one of them a giant, on a level of known height; a stand-in.
fn quay() -> Driver {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("quay.ron");
    let level = Level {
        id: LevelId(1),
        name: "ground".into(),
        side: Side::Below,
        clearance: Some(Known { metres: 1.6, spread: 0.02 }),
        above: None,
    };
    let guard = StandIn {
        id: StandInId(1),
        name: "Guard".into(),
        shape: Shape::Figure { height: 1.7 },
        level: LevelId(1),
        foot: DVec2::new(0.2, 0.15),
        turn: 0.0,
        along: None,
        lift: 0.0,
        arranged: Arranged::Alone,
    };
    let markers = vec![
        figure(1, "Foreman", -1.0, 1.7, 1.7),
        figure(2, "Mate", 1.0, 1.8, 1.8),
        figure(3, "Giant", 0.0, 3.4, 1.7),
    ];
    let eye = staffage_scene::EyeByHand {
        angle_of_view: Some(53.130_102),
        pitch: Some(0.0),
        cant: Some(0.0),
        ..staffage_scene::EyeByHand::default()
    };
    let scene =
        Scene { eye, markers, levels: vec![level], stand_ins: vec![guard], ..Scene::default() };
    save(&file, &scene).expect("saved");
    let mut driver = Driver::new();
    driver.open(&file);
    driver
}

/// Everything that can be read or heard in the window, the ink's words among it.
fn said(driver: &Driver) -> Vec<String> {
    let root = driver.harness.root();
    let mut said = Vec::new();
    for node in root.query_all_by(|_| true) {
        let node = node.accesskit_node();
        said.extend([node.label(), node.value(), node.description()].into_iter().flatten());
    }
    if let Some(drawing) = driver.desk().drawing() {
        said.extend(drawing.ink().filter_map(|ink| match ink {
            Ink::Words { text, .. } => Some(text.clone()),
            _ => None,
        }));
    }
    said
}

/// Whether the words have a number with this unit after it.
fn tells(words: &str, units: &[&str]) -> bool {
    let parts: Vec<&str> =
        words.split(|c: char| c.is_whitespace() || "(),;:·".contains(c)).collect();
    let is_number = |word: &str| word.ends_with(|c: char| c.is_ascii_digit());
    parts.windows(2).any(|pair| is_number(pair[0]) && units.contains(&pair[1]))
        || (units.contains(&"ft") && words.contains('′'))
}

const METRIC: &[&str] = &["cm", "m", "km"];
const IMPERIAL: &[&str] = &["in", "ft", "mi"];

fn told_in(driver: &Driver, units: &[&str]) -> Vec<String> {
    said(driver).into_iter().filter(|words| tells(words, units)).collect()
}

#[test]
fn every_length_in_the_window_is_told_in_the_chosen_units() {
    let mut driver = quay();
    for thing in ["Ledger row Giant", "Ledger row Foreman"] {
        driver.press_named(thing);
        let metric = told_in(&driver, METRIC).len();
        assert!(metric > 10, "{metric}");
        assert_eq!(told_in(&driver, IMPERIAL), Vec::<String>::new());
        driver.press_with(Modifiers::COMMAND, Key::U);
        let imperial = told_in(&driver, IMPERIAL).len();
        assert!(imperial > 10, "{imperial}");
        assert_eq!(told_in(&driver, METRIC), Vec::<String>::new());
        driver.press_with(Modifiers::COMMAND, Key::U);
    }
    driver.press_named("Guard");
    driver.press_with(Modifiers::COMMAND, Key::U);
    assert_eq!(told_in(&driver, METRIC), Vec::<String>::new());
}

#[test]
fn the_scene_holds_metres_whatever_is_told() {
    let mut driver = quay();
    let before = driver.scene().clone();
    driver.press_with(Modifiers::COMMAND, Key::U);
    assert_eq!(driver.desk().units(), Units::Imperial);
    assert_eq!(driver.scene(), &before);
    assert!(!driver.desk().is_changed());
    assert_eq!(driver.desk().remembered().units, Units::Imperial, "kept for the next session");
}

#[test]
fn a_number_alone_is_typed_in_what_is_told() {
    let mut driver = Driver::with(Remembered {
        units: Units::Imperial,
        hint_seen: true,
        ..Remembered::default()
    });
    driver.press(Key::Num5);
    driver.type_into("Height of the eye", "6");
    driver.press(Key::Enter);
    let said = driver.scene().levels[0].clearance.expect("typed").metres;
    // Six feet are 1.8288 m (international yard and pound agreement of 1959).
    assert!((said - 1.8288).abs() < 1e-9, "{said}");
    assert!(driver.says("6′0″"));
}

#[test]
fn the_view_menu_chooses_the_units() {
    let mut driver = quay();
    driver.click_button("View");
    driver.click("Feet and inches");
    assert_eq!(driver.desk().units(), Units::Imperial);
    assert!(driver.says("5′3″ high"), "the eye, 1.6 m over the ground");
}
