//! Stand-ins where things are listed and drawn from other sides: the ledger, the find line, section and plan.

use crate::driver::{Driver, Set};
use egui::{Key, Modifiers, vec2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use glam::{DVec2, DVec3};
use staffage_desk::Thing;
use staffage_scene::{StandInId, Subject};

/// Where a place so far to the right and ahead is seen by an eye 20 m up.
fn seen(right: f64, ahead: f64) -> DVec2 {
    Set::assumed().seen(DVec3::new(right, -20.0, -ahead))
}

/// An adult 60 m off beside a box 252 m long that lies from 120 m to 372 m straight ahead.
fn quay() -> Driver {
    let mut driver = Driver::new();
    driver.press(Key::Num5);
    driver.type_into("Height of the eye", "20 m");
    driver.press(Key::Enter);
    driver.click("box chip");
    driver.click_at(seen(0.0, 246.0));
    driver.press(Key::Num1);
    driver.type_over("Depth of the selected", "252 m");
    driver.press(Key::Enter);
    driver.type_over("How far off", "246 m");
    driver.press(Key::Enter);
    driver.press(Key::Num5);
    driver.click("adult chip");
    driver.click_at(seen(6.0, 60.0));
    driver.press(Key::Num1);
    driver.press(Key::Escape);
    driver
}

fn row_said(driver: &Driver, name: &str) -> String {
    let node = driver.harness.get_by_label(name);
    node.accesskit_node().data().description().unwrap_or_default().to_owned()
}

#[test]
fn stand_ins_are_in_the_ledger_near_to_far_and_selected_there() {
    let mut driver = quay();
    let [adult, hull] = ["Ledger row adult", "Ledger row box"].map(|name| driver.place(name).y);
    assert!(adult < hull, "{adult} {hull}");
    let said = row_said(&driver, "Ledger row box");
    assert!(said.contains("from 120 m to 372 m off") && said.ends_with("stand-in"), "{said}");
    for words in ["120 m", "to 372 m", "252 m", "deep", "stand-in"] {
        assert!(driver.paints(words), "{words}");
    }
    driver.click("Ledger row box");
    assert_eq!(driver.desk().selected(), Some(Thing::Of(Subject::StandIn(StandInId(1)))));
    driver.press(Key::N);
    driver.press(Key::Escape);
    driver.press(Key::N);
    let nearest = Some(Thing::Of(Subject::StandIn(StandInId(2))));
    assert_eq!(driver.desk().selected(), nearest, "N begins with what is nearest");
}

#[test]
fn stand_ins_are_found_by_what_they_are() {
    let mut driver = quay();
    for (words, found, other) in [
        ("stand-in box", "Ledger row box", "Ledger row adult"),
        ("figure", "Ledger row adult", "Ledger row box"),
    ] {
        driver.press_with(Modifiers::COMMAND, Key::F);
        driver.type_over("Find by name", words);
        assert!(driver.has(found) && !driver.has(other), "{words}");
        driver.press(Key::Escape);
    }
}

#[test]
fn a_hull_has_its_length_and_its_name_in_the_section_and_in_the_plan() {
    let mut driver = quay();
    let width = |driver: &Driver, name: &str| driver.harness.get_by_label(name).rect().width();
    let section = |driver: &Driver| {
        let ratio = width(driver, "box in the section") / width(driver, "Section");
        assert!(ratio > 0.2, "{ratio}");
    };
    section(&driver);
    assert!(driver.paints("box") && driver.paints("adult"));
    driver.press_with(Modifiers::SHIFT, Key::T);
    assert!(width(&driver, "box in the plan") > 30.0);
    assert!(driver.paints("box") && driver.paints("adult"));
}

#[test]
fn a_hull_is_dragged_by_its_bow_in_the_section_and_says_where_its_ends_are() {
    let mut driver = quay();
    let body = driver.harness.get_by_label("box in the section").rect();
    let bow = body.left_center() + vec2(6.0, 0.0);
    driver.drag_on_screen(bow, bow + vec2(40.0, 0.0));
    let said = row_said(&driver, "Ledger row box");
    assert!(said.contains("from ") && !said.contains("from 120 m"), "{said}");
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert!(row_said(&driver, "Ledger row box").contains("from 120 m to 372 m off"));
}
