//! The section and the plan: what is dragged there moves in the picture, and is read back from the ledger.

use crate::driver::{Driver, Set};
use egui::{Key, Modifiers, Pos2, pos2};
use egui_kittest::kittest::Queryable as _;
use glam::DVec3;
use staffage_desk::{Remembered, Sheets};
use staffage_scene::{Entry, Family, LevelId, Marker, Span, Stands, Subject};

/// Two adults on a quay 3 m below the eye.
const FOREMAN: DVec3 = DVec3::new(-2.0, -3.0, -16.0);
const RIGGER: DVec3 = DVec3::new(4.0, -3.0, -30.0);

fn with(sheets: Sheets, linear: bool) -> Driver {
    let remembered = Remembered { sheets, linear, ..Remembered::default() };
    let mut driver = Driver::with(remembered);
    let set = Set::assumed();
    driver.press(Key::Num3);
    for (name, feet) in [("Foreman", FOREMAN), ("Rigger", RIGGER)] {
        driver.drag(set.seen(feet), set.seen(feet + DVec3::Y * 1.7));
        driver.type_into("Name", name);
        driver.type_into("Known size", "adult, standing");
        driver.press(Key::Enter);
    }
    driver.press(Key::Num1);
    driver.press(Key::Escape);
    driver
}

fn marker<'a>(driver: &'a Driver, name: &str) -> &'a Marker {
    driver.scene().markers.iter().find(|m| m.name == name).expect("marked")
}

fn entry(driver: &Driver, name: &str) -> Entry {
    driver.desk().assessment().entry(marker(driver, name).id).expect("in the ledger").clone()
}

fn distance(driver: &Driver, name: &str) -> f64 {
    entry(driver, name).distance.expect("fixed").value
}

/// Bearing of a marker's foot, degrees, from the picture alone: the assumed eye looks level, so that the
/// tangent is u over the focal length of one frame width.
fn bearing(driver: &Driver, name: &str) -> f64 {
    marker(driver, name).foot.x.atan().to_degrees()
}

fn foot(driver: &Driver, node: &str) -> Pos2 {
    let rect = driver.harness.get_by_label(node).rect();
    pos2(rect.center().x, rect.bottom())
}

/// Drags over the screen rather than over the picture.
fn drag_on_screen(driver: &mut Driver, from: Pos2, to: Pos2) {
    press(driver, from);
    for at in [from.lerp(to, 0.5), to] {
        driver.harness.hover_at(at);
        driver.harness.run();
    }
    driver.harness.drop_at(to);
    driver.settle();
}

fn press(driver: &mut Driver, at: Pos2) {
    driver.harness.hover_at(at);
    driver.harness.run();
    driver.harness.drag_at(at);
    driver.harness.run();
}

#[test]
fn a_marker_dragged_in_the_plan_is_as_far_off_and_to_the_side_as_it_was_dragged() {
    for linear in [false, true] {
        let mut driver = with(Sheets::Plan, linear);
        let before = driver.scene().clone();
        let (foreman, rigger) =
            (driver.place("Foreman in the plan"), driver.place("Rigger in the plan"));
        assert!((distance(&driver, "Foreman") - 16.1).abs() < 0.4, "as it was drawn");
        // On to where the other one stands.
        drag_on_screen(&mut driver, foreman, rigger);
        let (there, expected) = (distance(&driver, "Foreman"), distance(&driver, "Rigger"));
        assert!((there / expected - 1.0).abs() < 0.03, "{linear}: {there} is not {expected}");
        let off = bearing(&driver, "Foreman") - bearing(&driver, "Rigger");
        assert!(off.abs() < 0.5, "{linear}: {off}");
        let size = entry(&driver, "Foreman").size.expect("fixed").value;
        assert!((size - 1.7).abs() < 0.03, "it keeps its size: {size}");
        driver.press_with(Modifiers::COMMAND, Key::Z);
        assert_eq!(*driver.scene(), before, "one step undoes it");
    }
}

#[test]
fn a_marker_dragged_in_the_section_keeps_its_bearing_and_its_size() {
    for linear in [false, true] {
        let mut driver = with(Sheets::Section, linear);
        let was = bearing(&driver, "Foreman");
        let foreman = foot(&driver, "Foreman in the section");
        let rigger = foot(&driver, "Rigger in the section");
        drag_on_screen(&mut driver, foreman - egui::vec2(0.0, 6.0), pos2(rigger.x, foreman.y));
        let (there, expected) = (distance(&driver, "Foreman"), distance(&driver, "Rigger"));
        assert!((there / expected - 1.0).abs() < 0.04, "{linear}: {there} is not {expected}");
        assert!((bearing(&driver, "Foreman") - was).abs() < 1e-6);
        assert!(driver.desk().is_changed());
        driver.harness.get_by_label("Edit").click();
        driver.settle();
        assert!(driver.says("Undo Move Foreman") || driver.says("Move Foreman"));
    }
}

#[test]
fn the_answer_is_live_and_escape_puts_things_back() {
    let mut driver = with(Sheets::Plan, false);
    let before = driver.scene().clone();
    let (from, to) = (driver.place("Foreman in the plan"), driver.place("Rigger in the plan"));
    press(&mut driver, from);
    driver.harness.hover_at(from.lerp(to, 0.6));
    driver.harness.run();
    assert!(distance(&driver, "Foreman") > 18.0, "the ledger follows");
    assert!(driver.says("Moving Foreman") || driver.labels("Foreman").len() > 1);
    driver.press(Key::Escape);
    assert_eq!(*driver.scene(), before);
    driver.harness.drop_at(to);
    driver.settle();
    assert_eq!(*driver.scene(), before);
}

#[test]
fn a_head_dragged_up_in_the_section_makes_a_thing_taller_where_it_stands() {
    let mut driver = with(Sheets::Section, true);
    // A mast whose height nobody knows, among figures that fix the scale.
    let set = Set::assumed();
    driver.press(Key::Num3);
    let mast = DVec3::new(1.0, -3.0, -24.0);
    driver.drag(set.seen(mast), set.seen(mast + DVec3::Y * 2.0));
    driver.type_into("Name", "Mast");
    driver.press(Key::Enter);
    driver.press(Key::Num1);
    let rect = driver.harness.get_by_label("Mast in the section").rect();
    let (head, off) = (pos2(rect.center().x, rect.top()), distance(&driver, "Mast"));
    let height = f64::from(rect.height());
    drag_on_screen(&mut driver, head + egui::vec2(0.0, 1.0), head - egui::vec2(0.0, 12.0));
    let size = entry(&driver, "Mast").size.expect("fixed").value;
    let expected = 2.0 * (height + 13.0) / height;
    assert!((size / expected - 1.0).abs() < 0.1, "{size} is not {expected}");
    assert!((distance(&driver, "Mast") - off).abs() < 0.05);
}

#[test]
fn selecting_there_and_on_the_canvas_is_the_same() {
    let mut driver = with(Sheets::Both, false);
    let id = marker(&driver, "Rigger").id;
    let at = driver.place("Rigger in the plan");
    driver.harness.hover_at(at);
    driver.harness.run();
    assert!(driver.desk().highlighted().any(|s| s == Subject::Marker(id)), "it lights up");
    driver.press_named("Rigger in the plan");
    assert_eq!(driver.desk().selected(), Some(staffage_desk::Thing::marker(id)));
    driver.press_named("Foreman in the section");
    let foreman = marker(&driver, "Foreman").id;
    assert_eq!(driver.desk().selected(), Some(staffage_desk::Thing::marker(foreman)));
    // The arrow keys move what is selected, as on the canvas.
    let before = marker(&driver, "Foreman").foot;
    driver.press(Key::ArrowRight);
    assert!(marker(&driver, "Foreman").foot.x > before.x);
}

#[test]
fn what_cannot_be_carried_says_why() {
    let mut driver = with(Sheets::Section, false);
    let ground = driver.harness.get_by_label_contains("ground in the section").rect();
    let before = driver.scene().clone();
    // The ground's height is read, not stated.
    let at = pos2(ground.right() + 60.0, ground.center().y);
    drag_on_screen(&mut driver, at, at - egui::vec2(0.0, 20.0));
    assert_eq!(*driver.scene(), before);
    assert!(driver.says("state it to drag it"));
}

#[test]
fn the_sheets_are_chosen_by_key_and_remembered() {
    let mut driver = with(Sheets::Section, false);
    assert!(driver.has("Section") && !driver.has("Plan"));
    driver.press_with(Modifiers::SHIFT, Key::T);
    assert!(!driver.has("Section") && driver.has("Plan"));
    driver.press_with(Modifiers::SHIFT, Key::T);
    assert!(driver.has("Section") && driver.has("Plan"));
    driver.press_with(Modifiers::COMMAND, Key::T);
    assert!(driver.desk().remembered().linear);
    driver.press(Key::T);
    assert!(!driver.has("Section") && !driver.has("Plan"));
    driver.press(Key::T);
    driver.click("Plan tab");
    assert_eq!(driver.desk().remembered().sheets, Sheets::Plan);
    driver.click("Logarithmic distances");
    assert!(!driver.desk().remembered().linear);
}

#[test]
fn a_hull_along_its_family_keeps_its_length_in_the_plan() {
    let mut driver = with(Sheets::Plan, true);
    let set = Set::assumed();
    // The block is taken to run straight ahead until lines say otherwise.
    let heading = driver.desk().assessment().eye.headings[0].1.value;
    let along = DVec3::new(heading.sin(), 0.0, -heading.cos());
    let stern = DVec3::new(-4.0, -3.0, -18.0);
    driver.press(Key::Num3);
    driver.press(Key::R);
    driver.drag(set.seen(stern), set.seen(stern + along * 5.0));
    driver.type_into("Name", "Punt");
    driver.press(Key::Enter);
    driver.press(Key::Num1);
    let punt = marker(&driver, "Punt");
    assert!(matches!(punt.span, Span::Along(Family::RecedingRight(_))));
    assert_eq!(punt.stands, Stands::On(LevelId(1)));
    let length = entry(&driver, "Punt").size.expect("fixed").value;
    let rect = driver.harness.get_by_label("Punt in the plan").rect();
    let to = driver.place("Rigger in the plan") + egui::vec2(12.0, 30.0);
    drag_on_screen(&mut driver, rect.center(), to);
    let after = entry(&driver, "Punt").size.expect("fixed").value;
    assert!((after / length - 1.0).abs() < 0.01, "{after} is not {length}");
}
