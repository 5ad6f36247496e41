//! Alternatives: started with a key, named, switched, compared, taken in and thrown away.

use crate::driver::{Driver, Set};
use egui::{Key, Modifiers};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use glam::{DVec2, DVec3};
use staffage_scene::{Known, LevelId, Marker, MarkerId, Span, Stands, Statement};

const COMPARE: Modifiers = Modifiers::COMMAND.plus(Modifiers::SHIFT);

/// A figure of so many metres on the ground, so far off and to the right.
fn figure(id: u32, name: &str, right: f64, height: f64, away: f64) -> Marker {
    let set = Set::assumed();
    let size = Known { metres: height, spread: 0.05 };
    Marker {
        id: MarkerId(id),
        name: name.into(),
        foot: set.seen(DVec3::new(right, -1.6, -away)),
        head: set.seen(DVec3::new(right, height - 1.6, -away)),
        span: Span::Upright,
        stands: Stands::On(LevelId(1)),
        statements: vec![Statement::KnownSize { size, as_: "own size".into() }],
    }
}

fn quay() -> Driver {
    let markers = vec![figure(1, "Foreman", -1.0, 1.7, 8.0), figure(2, "Mate", 1.0, 1.8, 10.0)];
    Driver::before_a_known_eye(markers, vec![])
}

/// A second idea with a boy, called "crowd".
fn two_ideas() -> Driver {
    let mut driver = quay();
    driver.press_with(Modifiers::ALT, Key::A);
    driver.type_over("Name of the alternative", "crowd");
    driver.press(Key::Enter);
    draw_boy(&mut driver);
    driver
}

fn draw_boy(driver: &mut Driver) {
    let boy = figure(9, "", 2.5, 1.2, 9.0);
    driver.press(Key::Num3);
    driver.drag(boy.foot, boy.head);
    driver.type_into("Name", "Boy");
    driver.press(Key::Enter);
    driver.press(Key::Num1);
    driver.press(Key::Escape);
}

fn names(driver: &Driver) -> Vec<&str> {
    driver.scene().markers.iter().map(|m| m.name.as_str()).collect()
}

fn shown(driver: &Driver) -> &str {
    driver.scene().alternative_shown().map_or("", |a| a.name.as_str())
}

#[test]
fn with_nothing_to_compare_its_key_does_nothing_else() {
    let mut driver = quay();
    driver.press_with(COMPARE, Key::A);
    assert_eq!(driver.desk().selected(), None);
    assert!(!driver.has("Delete all"), "nothing is selected");
}

#[test]
fn an_idea_is_started_with_a_key_and_named_in_one_step() {
    let mut driver = two_ideas();
    assert_eq!(shown(&driver), "crowd");
    assert_eq!(names(&driver), ["Foreman", "Mate", "Boy"]);
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert!(driver.has("Alternative crowd"));
    driver.click_button("Edit");
    assert!(driver.says("Undo: Start alternative crowd"));
    driver.press(Key::Escape);
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert!(driver.scene().alternatives.is_empty(), "the start and its name are one step");
    assert!(!driver.has("Alternative crowd"));
}

#[test]
fn a_key_switches_from_idea_to_idea_and_back() {
    let mut driver = two_ideas();
    driver.press(Key::A);
    assert_eq!((shown(&driver), names(&driver).len()), ("first idea", 2));
    driver.press(Key::A);
    assert_eq!((shown(&driver), names(&driver).len()), ("crowd", 3));
    driver.press_with(Modifiers::SHIFT, Key::A);
    assert_eq!(shown(&driver), "first idea");
    driver.click("Alternative crowd");
    assert_eq!(shown(&driver), "crowd");
    assert!(driver.has("Ledger row Boy"));
}

#[test]
fn what_is_in_both_stays_selected_and_what_is_not_does_not() {
    let mut driver = two_ideas();
    driver.press_named("Ledger row Foreman");
    driver.press(Key::A);
    assert_eq!(driver.desk().selected(), Some(staffage_desk::Thing::marker(MarkerId(1))));
    driver.press(Key::A);
    driver.press_named("Ledger row Boy");
    driver.press(Key::A);
    assert_eq!(driver.desk().selected(), None);
}

#[test]
fn an_empty_idea_shares_the_place_alone() {
    let mut driver = quay();
    driver.press_with(Modifiers::ALT.plus(Modifiers::SHIFT), Key::A);
    driver.press(Key::Escape);
    assert_eq!(shown(&driver), "second idea");
    assert!(driver.scene().markers.is_empty());
    assert_eq!(driver.scene().levels.len(), 1);
}

#[test]
fn an_idea_is_renamed_where_it_is_and_escape_keeps_the_name() {
    let mut driver = two_ideas();
    driver.press_with(Modifiers::SHIFT, Key::F2);
    driver.type_over("Name of the alternative", "many people");
    driver.press(Key::Enter);
    assert_eq!(shown(&driver), "many people");
    driver.press_with(Modifiers::SHIFT, Key::F2);
    driver.type_over("Name of the alternative", "nobody");
    driver.press(Key::Escape);
    assert_eq!(shown(&driver), "many people");
}

#[test]
fn the_idea_thrown_away_gives_place_to_the_next_and_comes_back_with_undo() {
    let mut driver = two_ideas();
    driver.click_button("More on alternatives");
    driver.click("Throw crowd away");
    assert_eq!(names(&driver), ["Foreman", "Mate"]);
    assert!(driver.scene().alternatives.is_empty());
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert_eq!((shown(&driver), names(&driver).len()), ("crowd", 3));
}

#[test]
fn an_idea_taken_in_brings_what_is_new() {
    let mut driver = two_ideas();
    driver.press(Key::A);
    driver.click_button("More on alternatives");
    driver.click("Take crowd in");
    assert_eq!(names(&driver), ["Foreman", "Mate", "Boy"]);
    assert!(driver.scene().alternatives.is_empty());
}

#[test]
fn two_ideas_are_compared_and_told_apart() {
    let mut driver = two_ideas();
    driver.press(Key::A);
    driver.press_with(COMPARE, Key::A);
    assert!(driver.has("Painting with first idea") && driver.has("Painting with crowd"));
    assert!(driver.says("2 markers · ") && driver.says("3 markers · "));
    let said = |driver: &Driver, row: &str| {
        let row = driver.harness.get_by_label(row);
        row.accesskit_node().description().unwrap_or_default()
    };
    assert!(said(&driver, "Compared Foreman").ends_with("the same in both"));
    assert!(said(&driver, "Compared Boy").ends_with("only in crowd"));
    assert!(driver.has("Boy in crowd"), "it can be found in the other picture");
    driver.click("only what differs");
    assert_eq!(driver.labels("Compared "), ["Compared Boy"]);
    driver.press(Key::Escape);
    assert!(!driver.has("Compared Boy"));
    assert!(driver.has("Painting"));
}

#[test]
fn a_thing_is_selected_in_both_pictures_at_once() {
    let mut driver = two_ideas();
    driver.press(Key::A);
    driver.press_with(COMPARE, Key::A);
    driver.click("Compared Mate");
    assert_eq!(driver.desk().selected(), Some(staffage_desk::Thing::marker(MarkerId(2))));
    for name in ["Mate", "Mate in crowd"] {
        let node = driver.harness.get_by_role_and_label(egui::Role::Button, name);
        assert_eq!(node.accesskit_node().toggled(), Some(egui::accesskit::Toggled::True), "{name}");
    }
    driver.press_named("Foreman in crowd");
    assert_eq!(driver.desk().selected(), Some(staffage_desk::Thing::marker(MarkerId(1))));
    driver.press_named("Boy in crowd");
    assert_eq!(driver.desk().selected(), None, "the one on show has no boy");
    let boy = driver.harness.get_by_label("Compared Boy");
    assert_eq!(boy.accesskit_node().toggled(), Some(egui::accesskit::Toggled::True));
}

#[test]
fn a_click_in_a_picture_selects_and_both_are_enlarged_together() {
    let mut driver = two_ideas();
    driver.press(Key::A);
    driver.press_with(COMPARE, Key::A);
    let mate = driver.scene().marker(MarkerId(2)).map(|m| (m.foot + m.head) / 2.0);
    driver.click_at(mate.expect("there"));
    assert_eq!(driver.desk().selected(), Some(staffage_desk::Thing::marker(MarkerId(2))));
    let apart = |driver: &Driver| {
        let x = |name: &str| {
            let node = driver.harness.get_by_role_and_label(egui::Role::Button, name);
            node.rect().center().x
        };
        (x("Mate") - x("Foreman"), x("Mate in crowd") - x("Foreman in crowd"))
    };
    let before = apart(&driver);
    driver.press(Key::Plus);
    let after = apart(&driver);
    assert!(after.0 > 1.1 * before.0 && (after.0 - after.1).abs() < 0.5, "{before:?} {after:?}");
}

#[test]
fn while_comparing_the_key_exchanges_the_two() {
    let mut driver = two_ideas();
    driver.press_with(COMPARE, Key::A);
    assert!(driver.has("Boy") && !driver.has("Boy in first idea"));
    driver.press(Key::A);
    assert_eq!(shown(&driver), "first idea");
    assert!(driver.has("Boy in crowd"));
    driver.click("Take in crowd");
    assert_eq!(names(&driver), ["Foreman", "Mate", "Boy"]);
    assert!(driver.has("Painting"), "there is nothing left to compare");
}

#[test]
fn with_three_ideas_the_other_one_is_chosen() {
    let mut driver = two_ideas();
    driver.press_with(Modifiers::ALT.plus(Modifiers::SHIFT), Key::A);
    driver.type_over("Name of the alternative", "bare");
    driver.press(Key::Enter);
    driver.press_with(COMPARE, Key::A);
    assert!(driver.has("Painting with first idea"), "the next after the last is the first");
    driver.click("Compared with");
    driver.click_button("crowd");
    assert!(driver.has("Painting with bare") && driver.has("Painting with crowd"));
    driver.press(Key::Num2);
    assert!(driver.has("Painting"), "drawing goes on with what is on show");
}

#[test]
fn drawing_while_another_idea_is_aside_leaves_that_alone() {
    let mut driver = two_ideas();
    driver.press(Key::A);
    let foreman = driver.scene().marker(MarkerId(1)).expect("there").clone();
    driver.click_at((foreman.foot + foreman.head) / 2.0);
    driver.drag(foreman.head, foreman.head - DVec2::new(0.0, 0.02));
    assert_ne!(driver.scene().marker(MarkerId(1)), Some(&foreman));
    driver.press(Key::A);
    assert_eq!(driver.scene().marker(MarkerId(1)), Some(&foreman));
}

#[test]
fn compared_pictures_name_what_is_selected_and_are_not_covered_by_the_names_of_all() {
    let mut driver = two_ideas();
    driver.press_with(COMPARE, Key::A);
    let captions = |driver: &Driver| driver.paints("Foreman, ") || driver.paints("Mate, ");
    assert!(!captions(&driver), "nothing is selected");
    driver.press_named("Foreman in first idea");
    assert!(captions(&driver));
}
