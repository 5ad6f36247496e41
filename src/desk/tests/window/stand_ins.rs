//! Stand-ins: walked under the pointer, set in, dragged, lifted, turned and read.

use crate::driver::{Driver, Set};
use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable as _;
use glam::{DVec2, DVec3};
use staffage_desk::{Mode, Thing};
use staffage_drawing::Ink;
use staffage_scene::{Arranged, Shape, StandIn, StandInId, Stands, Subject};

/// An eye 2 m over the ground, and the stand-ins' mode.
fn on_the_ground() -> Driver {
    let mut driver = Driver::new();
    driver.press(Key::Num5);
    driver.type_into("Height of the eye", "2 m");
    driver.press(Key::Enter);
    driver
}

/// Where a place so far to the right, up from the ground and ahead is seen by an eye 2 m up.
fn seen(right: f64, up: f64, ahead: f64) -> DVec2 {
    Set::assumed().seen(DVec3::new(right, up - 2.0, -ahead))
}

fn only(driver: &Driver) -> &StandIn {
    let [stand_in] = &driver.scene().stand_ins[..] else {
        panic!("{:?}", driver.scene().stand_ins)
    };
    stand_in
}

fn thing(id: u32) -> Option<Thing> {
    Some(Thing::Of(Subject::StandIn(StandInId(id))))
}

fn set_in(driver: &mut Driver, what: &str, at: DVec2) {
    driver.press(Key::Num5);
    driver.click(&format!("{what} chip"));
    driver.click_at(at);
    driver.press(Key::Num1);
}

#[test]
fn without_a_height_of_the_eye_the_mode_asks_for_one() {
    let mut driver = Driver::new();
    driver.press(Key::Num5);
    assert_eq!(driver.desk().mode(), Mode::StandIn);
    assert!(driver.has("Height of the eye"));
    driver.type_into("Height of the eye", "5'11");
    driver.press(Key::Enter);
    assert!(!driver.has("Height of the eye"));
    let clearance = driver.scene().levels[0].clearance.expect("it was said").metres;
    assert!((clearance - 1.8034).abs() < 1e-9);
}

#[test]
fn a_click_sets_an_adult_in_at_the_size_that_is_right_there() {
    let mut driver = on_the_ground();
    driver.click("adult chip");
    driver.click_at(seen(1.0, 0.0, 10.0));
    assert_eq!(driver.desk().selected(), thing(1));
    assert_eq!(only(&driver).shape, Shape::Figure { height: 1.7 });
    let crown = seen(1.0, 1.7, 10.0);
    let drawing = driver.desk().drawing().expect("ink");
    let mut groups = drawing.groups.iter().filter(|group| group.name == "stand-in");
    let ink = &groups.next().expect("a ghost").ink;
    let reaches = ink.iter().any(|ink| match ink {
        Ink::Stroke { points, .. } => points.iter().any(|p| p.distance(crown) < 2e-3),
        _ => false,
    });
    assert!(reaches, "its crown is at {crown}");
    assert!(driver.says("1.70 m, 10.0 m off") || driver.says("1.70 m, 10.1 m off"));
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert!(driver.scene().stand_ins.is_empty());
}

#[test]
fn above_the_horizon_nothing_is_set_in_and_it_is_said_why() {
    let mut driver = on_the_ground();
    driver.click("adult chip");
    driver.click_at(DVec2::new(0.1, -0.1));
    assert!(driver.scene().stand_ins.is_empty());
    assert!(driver.says("Not there: above the horizon there is no ground to stand on."));
    driver.click("row chip");
    driver.drag(seen(0.0, 0.0, 10.0), DVec2::new(0.2, -0.05));
    assert!(driver.scene().stand_ins.is_empty() && driver.says("Not there"));
    driver.drag(seen(0.0, 0.0, 10.0), seen(2.0, 0.0, 14.0));
    assert_eq!(driver.scene().stand_ins.len(), 1);
    assert!(!driver.says("A blank frame."), "the welcome has gone");
}

#[test]
fn a_row_is_dragged_from_its_first_to_its_last_and_a_crowd_over_its_patch() {
    let mut driver = on_the_ground();
    driver.click("row chip");
    let (from, to) = (seen(-2.0, 0.0, 8.0), seen(2.0, 0.0, 20.0));
    driver.drag(from, to);
    let Arranged::Row { to: end, count: 12 } = only(&driver).arranged else {
        panic!("{:?}", only(&driver))
    };
    assert!(end.distance(to) < 2e-3);
    driver.press(Key::Delete);
    assert!(driver.scene().stand_ins.is_empty());
    driver.click("crowd chip");
    driver.drag(from, to);
    let first = only(&driver).arranged;
    assert!(matches!(first, Arranged::Crowd { count: 12, .. }), "{first:?}");
    driver.click("Deal again");
    assert_ne!(only(&driver).arranged, first);
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert_eq!(only(&driver).arranged, first);
}

#[test]
fn a_stand_in_is_dragged_on_its_level_and_lifted_plumb() {
    let mut driver = on_the_ground();
    set_in(&mut driver, "box", seen(0.0, 0.0, 12.0));
    let to = seen(3.0, 0.0, 9.0);
    driver.drag(seen(0.0, 0.0, 12.0), to);
    assert!(only(&driver).foot.distance(to) < 2e-3);
    driver.drag(seen(3.0, 2.0, 9.0), seen(3.0, 3.5, 9.0));
    let lift = only(&driver).lift;
    assert!((lift - 1.5).abs() < 0.05, "{lift}");
    assert!(driver.says("Lift"));
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert_eq!(only(&driver).lift, 0.0);
}

#[test]
fn sizes_are_typed_in_any_unit() {
    let mut driver = on_the_ground();
    set_in(&mut driver, "box", seen(0.0, 0.0, 30.0));
    driver.type_over("Depth of the selected", "0.3 km");
    driver.press(Key::Enter);
    assert_eq!(only(&driver).shape, Shape::Box { width: 2.0, depth: 300.0, height: 2.0 });
}

#[test]
fn tab_goes_from_size_to_size_and_what_is_typed_takes_the_old_one_s_place() {
    let mut driver = on_the_ground();
    set_in(&mut driver, "box", seen(0.0, 0.0, 30.0));
    driver.type_into("Width of the selected", "40");
    driver.press(Key::Tab);
    for typed in ["0.3 km", "82'"] {
        driver.harness.event(egui::Event::Text(typed.into()));
        driver.press(Key::Tab);
    }
    let height = 82.0 * 0.3048;
    assert_eq!(only(&driver).shape, Shape::Box { width: 40.0, depth: 300.0, height });
}

#[test]
fn a_click_into_a_size_lets_what_is_typed_take_its_place() {
    let mut driver = on_the_ground();
    set_in(&mut driver, "box", seen(0.0, 0.0, 30.0));
    driver.click("Depth of the selected");
    driver.harness.event(egui::Event::Text("300".into()));
    driver.press(Key::Enter);
    assert_eq!(only(&driver).shape, Shape::Box { width: 2.0, depth: 300.0, height: 2.0 });
}

#[test]
fn a_stand_in_goes_as_far_off_as_is_typed_in_the_direction_where_it_was() {
    let mut driver = on_the_ground();
    set_in(&mut driver, "adult", seen(3.0, 0.0, 10.0));
    driver.type_into("How far off", "52.20153 m");
    driver.press(Key::Enter);
    // Five times as far as the root of 109 m.
    let foot = only(&driver).foot;
    assert!(foot.distance(seen(15.0, 0.0, 50.0)) < 1e-6, "{foot}");
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert!(only(&driver).foot.distance(seen(3.0, 0.0, 10.0)) < 1e-3);
}

#[test]
fn a_typed_turn_is_one_step_to_undo() {
    let mut driver = on_the_ground();
    set_in(&mut driver, "box", seen(0.0, 0.0, 30.0));
    driver.harness.get_by_label("Turn").focus();
    driver.settle();
    for digit in ["3", "4", "5"] {
        driver.harness.event(egui::Event::Text(digit.into()));
        driver.settle();
    }
    driver.press(Key::Enter);
    assert_eq!(only(&driver).turn, 345.0);
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert_eq!(only(&driver).turn, 0.0);
}

#[test]
fn the_height_of_the_eye_is_said_and_changed_where_the_eye_is() {
    let mut driver = Driver::new();
    driver.press(Key::E);
    driver.type_into("Height of the eye", "12 m");
    driver.press(Key::Enter);
    let said = |driver: &Driver| driver.scene().levels[0].clearance.map(|known| known.metres);
    assert_eq!(said(&driver), Some(12.0));
    driver.type_into("Height of the eye", "40'");
    driver.press(Key::Enter);
    assert_eq!(said(&driver), Some(40.0 * 0.3048));
}

#[test]
fn stand_ins_are_reached_nudged_and_deleted_by_keys() {
    let mut driver = on_the_ground();
    set_in(&mut driver, "adult", seen(0.0, 0.0, 10.0));
    driver.press(Key::Escape);
    assert_eq!(driver.desk().selected(), None);
    driver.press(Key::N);
    assert_eq!(driver.desk().selected(), thing(1));
    let before = only(&driver).foot.x;
    driver.press(Key::ArrowRight);
    assert!((only(&driver).foot.x - before - 1.0 / 2300.0).abs() < 1e-9);
    driver.press(Key::Delete);
    assert!(driver.scene().stand_ins.is_empty());
}

#[test]
fn once_painted_a_stand_in_is_marked_with_its_size() {
    let mut driver = on_the_ground();
    set_in(&mut driver, "adult", seen(1.0, 0.0, 10.0));
    driver.press_named("Mark it");
    let [marker] = &driver.scene().markers[..] else { panic!("{:?}", driver.scene().markers) };
    assert!(matches!(marker.stands, Stands::On(_)));
    assert!(marker.head.distance(seen(1.0, 1.7, 10.0)) < 2e-3);
    assert_eq!(driver.desk().assessment().contradictions(), 0);
}
