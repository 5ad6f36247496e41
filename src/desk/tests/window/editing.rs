//! Several things at once: selected, moved, copied, aligned, deleted.

use crate::driver::Driver;
use egui::{Event, Key, Modifiers};
use glam::DVec2;
use staffage_desk::{Desk, Thing};
use staffage_scene::{LineId, MarkerId, Scene, Segment, Stands};

const FIRST: MarkerId = MarkerId(1);
const SECOND: MarkerId = MarkerId(2);
const EDGE: LineId = LineId(1);

fn undone(driver: &mut Driver) -> Scene {
    driver.press_with(Modifiers::COMMAND, Key::Z);
    driver.scene().clone()
}

fn selected(desk: &Desk) -> Vec<Thing> {
    let mut things: Vec<Thing> = desk.selection().iter().collect();
    things.sort();
    things
}

/// Two figures side by side and an edge to the right of them, nothing selected, in Look.
fn quay() -> Driver {
    let mut driver = Driver::new();
    driver.press(Key::Num3);
    for u in [-0.2, -0.1] {
        driver.drag(DVec2::new(u, 0.1), DVec2::new(u, 0.0));
        driver.press(Key::Escape);
    }
    driver.press(Key::Num2);
    driver.press(Key::U);
    driver.drag(DVec2::new(0.2, 0.1), DVec2::new(0.2, 0.0));
    driver.press(Key::Num1);
    driver.press(Key::Escape);
    assert!(driver.desk().selection().is_empty());
    driver
}

#[test]
fn shift_click_adds_a_thing_and_takes_it_away_and_esc_selects_none() {
    let mut driver = quay();
    driver.click_at(DVec2::new(-0.2, 0.05));
    driver.shift_click_at(DVec2::new(-0.1, 0.05));
    assert_eq!(selected(driver.desk()), [Thing::marker(FIRST), Thing::marker(SECOND)]);
    assert!(driver.says("2 things"), "the properties count them");
    driver.shift_click_at(DVec2::new(0.35, 0.15));
    assert_eq!(driver.desk().selection().len(), 2, "a miss with Shift loses nothing");
    driver.shift_click_at(DVec2::new(-0.2, 0.05));
    assert_eq!(selected(driver.desk()), [Thing::marker(SECOND)]);
    driver.press(Key::Escape);
    assert!(driver.desk().selection().is_empty());
}

#[test]
fn a_band_selects_what_lies_in_it_and_shift_adds() {
    let mut driver = quay();
    let before = driver.scene().clone();
    driver.drag(DVec2::new(-0.25, -0.05), DVec2::new(-0.05, 0.15));
    assert_eq!(selected(driver.desk()), [Thing::marker(FIRST), Thing::marker(SECOND)]);
    driver.drag(DVec2::new(0.15, 0.05), DVec2::new(0.25, 0.15));
    assert!(driver.desk().selection().is_empty(), "half of the edge is outside");
    driver.drag(DVec2::new(-0.25, -0.05), DVec2::new(-0.15, 0.15));
    driver.hold(Modifiers::SHIFT);
    driver.drag(DVec2::new(0.15, -0.05), DVec2::new(0.25, 0.15));
    driver.hold(Modifiers::NONE);
    assert_eq!(selected(driver.desk()).len(), 2);
    driver.press_pointer(DVec2::new(-0.25, -0.05));
    driver.move_pointer(DVec2::new(-0.05, 0.15));
    driver.press(Key::Escape);
    assert_eq!(driver.desk().selection().len(), 2, "Esc gives the band up");
    driver.release_pointer(DVec2::new(-0.05, 0.15));
    assert_eq!(*driver.scene(), before, "and nothing has moved");
}

#[test]
fn everything_selected_moves_by_drag_and_by_arrow_as_one_step_each() {
    let mut driver = quay();
    driver.press_with(Modifiers::COMMAND, Key::A);
    assert_eq!(driver.desk().selection().len(), 3);
    let before = driver.scene().clone();
    driver.drag(DVec2::new(-0.2, 0.05), DVec2::new(-0.17, 0.08));
    let after = driver.scene().clone();
    for (was, is) in before.markers.iter().zip(&after.markers) {
        assert!((is.foot - was.foot - DVec2::new(0.03, 0.03)).length() < 2e-3, "{is:?}");
    }
    let Segment(was, _) = before.lines[0].segment;
    assert!((after.lines[0].segment.0 - was - DVec2::new(0.03, 0.03)).length() < 2e-3);
    driver.press(Key::ArrowRight);
    assert!(
        driver.scene().markers.iter().zip(&after.markers).all(|(m, was)| m.foot.x > was.foot.x)
    );
    assert_eq!(undone(&mut driver), after);
    driver.click("Edit");
    assert!(driver.says("Undo: Move 3 things"));
    driver.press(Key::Escape);
    assert_eq!(undone(&mut driver), before);
}

#[test]
fn all_that_is_selected_is_deleted_as_one_step() {
    let mut driver = quay();
    let before = driver.scene().clone();
    driver.press_with(Modifiers::COMMAND, Key::A);
    driver.press(Key::Delete);
    assert!(driver.scene().markers.is_empty() && driver.scene().lines.is_empty());
    assert_eq!(undone(&mut driver), before);
}

#[test]
fn an_arrow_key_that_is_held_makes_one_step() {
    let mut driver = quay();
    driver.click_at(DVec2::new(-0.2, 0.05));
    let before = driver.scene().clone();
    let key = |pressed| Event::Key {
        key: Key::ArrowDown,
        physical_key: None,
        pressed,
        repeat: false,
        modifiers: Modifiers::NONE,
    };
    for _ in 0..5 {
        driver.harness.event(key(true));
        driver.settle();
    }
    driver.harness.event(key(false));
    driver.settle();
    let pixel = 1.0 / f64::from(before.frame.working_width);
    let moved = driver.scene().markers[0].foot - before.markers[0].foot;
    assert!((moved - DVec2::new(0.0, 5.0 * pixel)).length() < 1e-9, "{moved}");
    assert_eq!(undone(&mut driver), before);
}

#[test]
fn a_copy_is_named_after_its_pattern_as_far_off_and_as_large_and_selected() {
    let mut driver = quay();
    driver.click_at(DVec2::new(-0.2, 0.05));
    driver.type_over("Marker name", "Foreman");
    driver.press(Key::Enter);
    driver.press(Key::Escape);
    driver.click_at(DVec2::new(-0.2, 0.05));
    let before = driver.scene().clone();
    driver.press_with(Modifiers::COMMAND, Key::D);
    let copy = driver.scene().markers[2].clone();
    assert_eq!(copy.name, "Foreman 2");
    assert_eq!(selected(driver.desk()), [Thing::marker(copy.id)]);
    let read = |id| driver.desk().assessment().entry(id).expect("in the ledger").clone();
    let (pattern, copied) = (read(FIRST), read(copy.id));
    for (a, b) in [(pattern.distance, copied.distance), (pattern.size, copied.size)] {
        let (a, b) = (a.expect("read").value, b.expect("read").value);
        assert!((a / b - 1.0).abs() < 1e-6, "{a} {b}");
    }
    assert!((copy.foot - before.markers[0].foot).length() > 0.015, "beside it");
    assert_eq!(undone(&mut driver), before);
}

#[test]
fn w_turns_a_leaning_upright_plumb_and_keeps_its_foot() {
    let mut driver = Driver::new();
    driver.press(Key::Num3);
    driver.drag(DVec2::new(-0.2, 0.1), DVec2::new(-0.17, 0.0));
    driver.press(Key::Escape);
    let before = driver.scene().clone();
    driver.press(Key::Num1);
    driver.press(Key::W);
    let marker = &driver.scene().markers[0];
    // The eye that is assumed looks level: plumb is straight up in the picture.
    assert!((marker.head.x - marker.foot.x).abs() < 1e-9, "{marker:?}");
    assert_eq!(marker.foot, before.markers[0].foot);
    assert_eq!(undone(&mut driver), before);
}

#[test]
fn several_markers_are_given_a_size_at_once() {
    let mut driver = quay();
    driver.press_with(Modifiers::COMMAND, Key::A);
    let before = driver.scene().clone();
    driver.type_into("Size of all", "5'11\"");
    driver.press(Key::Enter);
    for id in [FIRST, SECOND] {
        let size = driver.desk().assessment().entry(id).expect("in the ledger").size;
        assert!((size.expect("known").value - 1.8034).abs() < 0.05, "{size:?}");
    }
    assert_eq!(undone(&mut driver), before);
}

#[test]
fn a_thing_has_a_menu_under_the_other_button() {
    let mut driver = quay();
    driver.click_secondary_at(DVec2::new(0.2, 0.05));
    assert_eq!(selected(driver.desk()), [Thing::line(EDGE)]);
    let duplicate = driver.labels("Duplicate");
    driver.click(&duplicate[0]);
    assert_eq!(driver.scene().lines.len(), 2);
    assert!(driver.scene().markers.iter().all(|m| !matches!(m.stands, Stands::OnTop(_))));
}

#[test]
fn a_head_catches_plumb_over_its_foot_unless_ctrl_is_held_or_it_is_switched_off() {
    let mut driver = Driver::new();
    let lean = |driver: &Driver| {
        let marker = driver.scene().markers.last().expect("one was drawn");
        (marker.head.x - marker.foot.x).abs()
    };
    driver.press(Key::Num3);
    // Four points on the screen beside plumb.
    let beside = 4.0 / driver.desk().view().points_per_unit;
    driver.drag(DVec2::new(-0.2, 0.1), DVec2::new(-0.2 + beside, 0.0));
    assert!(lean(&driver) < 1e-6, "{}", lean(&driver));
    driver.press(Key::Escape);
    driver.hold(Modifiers::COMMAND);
    driver.drag(DVec2::new(-0.1, 0.1), DVec2::new(-0.1 + beside, 0.0));
    driver.hold(Modifiers::NONE);
    assert!((lean(&driver) - beside).abs() < 1e-4, "{}", lean(&driver));
    driver.press(Key::Escape);
    driver.click("View");
    driver.press_named("Ends catch at plumb, families and other ends");
    assert!(!driver.desk().remembered().snap);
    driver.press(Key::Escape);
    driver.drag(DVec2::new(0.1, 0.1), DVec2::new(0.1 + beside, 0.0));
    assert!((lean(&driver) - beside).abs() < 1e-4, "{}", lean(&driver));
}

#[test]
fn a_traced_line_catches_at_other_ends_and_never_at_its_own_family() {
    let mut driver = Driver::new();
    driver.press(Key::Num2);
    let near = 3.0 / driver.desk().view().points_per_unit;
    driver.drag(DVec2::new(0.1, 0.1), DVec2::new(0.1 + near, 0.0));
    let Segment(a, b) = driver.scene().lines[0].segment;
    assert!((b.x - a.x - near).abs() < 1e-4, "plumb would be no evidence of plumb: {a} {b}");
    driver.drag(b + DVec2::new(near, -near), DVec2::new(0.25, 0.02));
    assert_eq!(driver.scene().lines[1].segment.0, b, "the next edge begins at its end");
}
