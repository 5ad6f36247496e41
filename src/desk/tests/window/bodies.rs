//! Stand-ins with sides: set in, turned, slid over the ground, carried about in the section and the plan.

use crate::driver::{Driver, Set};
use egui::{Key, Modifiers, pos2};
use egui_kittest::kittest::Queryable as _;
use glam::{DVec2, DVec3};
use staffage_desk::{Remembered, Sheets, Thing};
use staffage_drawing::Ink;
use staffage_scene::{Arranged, Shape, StandIn, StandInId, Subject};

/// An eye 2 m over the ground, and the stand-ins' mode.
fn on_the_ground(remembered: Remembered) -> Driver {
    let mut driver = Driver::with(Remembered { hint_seen: true, ..remembered });
    driver.press(Key::Num5);
    driver.type_into("Height of the eye", "2 m");
    driver.press(Key::Enter);
    driver
}

/// Where a place so far to the right, up from the ground and ahead is seen by an eye 2 m up.
fn seen(right: f64, up: f64, ahead: f64) -> DVec2 {
    Set::assumed().seen(DVec3::new(right, up - 2.0, -ahead))
}

fn set_in(driver: &mut Driver, what: &str, at: DVec2) {
    driver.press(Key::Num5);
    driver.click(&format!("{what} chip"));
    driver.click_at(at);
    driver.press(Key::Num1);
}

fn only(driver: &Driver) -> &StandIn {
    let [stand_in] = &driver.scene().stand_ins[..] else {
        panic!("{:?}", driver.scene().stand_ins)
    };
    stand_in
}

/// Whether an edge of the stand-ins ends at this picture point.
fn has_corner(driver: &Driver, at: DVec2) -> bool {
    let drawing = driver.desk().drawing().expect("ink");
    let ink = drawing.groups.iter().filter(|group| group.name == "stand-in").flat_map(|g| &g.ink);
    let mut points = ink.filter_map(|ink| match ink {
        Ink::Stroke { points, .. } => Some(points),
        _ => None,
    });
    points.any(|points| points.iter().any(|p| p.distance(at) < 1e-3))
}

/// How far off the first of the only stand-in is, metres, by its foot in the picture: the assumed eye
/// looks level, 2 m up, with a focal length of one frame width.
fn ahead(driver: &Driver) -> f64 {
    2.0 / only(driver).foot.y
}

#[test]
fn a_ramp_rises_away_from_the_viewer_to_its_height() {
    let mut driver = on_the_ground(Remembered::default());
    set_in(&mut driver, "ramp", seen(0.0, 0.0, 12.0));
    let Shape::Ramp { width, depth, height } = only(&driver).shape else {
        panic!("{:?}", only(&driver))
    };
    let (half, near, far) = (0.5 * width, 12.0 - 0.5 * depth, 12.0 + 0.5 * depth);
    for corner in [seen(-half, 0.0, near), seen(half, 0.0, near), seen(half, height, far)] {
        assert!(has_corner(&driver, corner), "{corner}");
    }
    assert!(!has_corner(&driver, seen(half, height, near)), "it begins at the ground");
}

#[test]
fn a_door_is_as_wide_and_high_as_typed_and_turns_with_the_double_ring() {
    let mut driver = on_the_ground(Remembered::default());
    set_in(&mut driver, "door", seen(1.0, 0.0, 8.0));
    driver.type_over("Width of the selected", "1.2 m");
    driver.press(Key::Enter);
    assert_eq!(only(&driver).shape, Shape::Panel { width: 1.2, height: 2.0 });
    assert!(has_corner(&driver, seen(1.6, 2.0, 8.0)) && has_corner(&driver, seen(0.4, 0.0, 8.0)));
    // The handle is ahead of it, more than a third of its width away.
    let reach = 0.35 * 1.2;
    driver.drag(seen(1.0, 0.0, 8.0 + reach), seen(1.0 + reach, 0.0, 8.0));
    assert!((only(&driver).turn - 90.0).abs() < 3.0, "{}", only(&driver).turn);
    assert!(driver.scene().markers.is_empty());
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert_eq!(only(&driver).turn, 0.0);
}

#[test]
fn a_tower_is_taken_hold_of_anywhere_on_its_wall() {
    let mut driver = on_the_ground(Remembered::default());
    set_in(&mut driver, "cylinder", seen(0.0, 0.0, 30.0));
    driver.press(Key::Escape);
    assert_eq!(driver.desk().selected(), None);
    // Near its outline, where its middle line is far off.
    driver.click_at(seen(1.3, 4.0, 30.0));
    assert_eq!(driver.desk().selected(), Some(Thing::Of(Subject::StandIn(StandInId(1)))));
    driver.press(Key::Escape);
    driver.click_at(seen(2.2, 4.0, 30.0));
    assert_eq!(driver.desk().selected(), None);
}

#[test]
fn a_hull_is_slid_by_the_ground_it_stands_on_and_what_was_pressed_stays_under_the_pointer() {
    let mut driver = on_the_ground(Remembered::default());
    set_in(&mut driver, "box", seen(0.0, 0.0, 60.0));
    driver.type_over("Depth of the selected", "80 m");
    driver.press(Key::Enter);
    driver.type_over("Width of the selected", "12 m");
    driver.press(Key::Enter);
    driver.type_over("Height of the selected", "0.1 m");
    driver.press(Key::Enter);
    let foot = |driver: &Driver| only(driver).foot;
    assert!(foot(&driver).distance(seen(0.0, 0.0, 60.0)) < 2e-3);
    // Pressed near its bow, 24 m ahead, and moved 5 m to the right there.
    driver.drag(seen(-3.0, 0.0, 24.0), seen(2.0, 0.0, 24.0));
    let expected = seen(5.0, 0.0, 60.0);
    assert!(foot(&driver).distance(expected) < 3e-3, "{} is not {expected}", foot(&driver));
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert!(foot(&driver).distance(seen(0.0, 0.0, 60.0)) < 2e-3);
}

#[test]
fn a_box_aligned_by_key_runs_along_the_walls_it_nearly_runs_along() {
    let mut driver = on_the_ground(Remembered::default());
    set_in(&mut driver, "box", seen(0.0, 0.0, 12.0));
    let heading = driver.desk().assessment().eye.headings[0].1.value.to_degrees();
    driver.press(Key::W);
    let aligned = only(&driver);
    assert_eq!(aligned.along, Some(driver.scene().blocks[0].id));
    assert!((aligned.turn / 90.0 - (aligned.turn / 90.0).round()).abs() < 1e-9);
    let turned = (heading + aligned.turn + 45.0).rem_euclid(90.0) - 45.0;
    let off = (heading + 45.0).rem_euclid(90.0) - 45.0;
    assert!((turned - off).abs() < 1e-6, "its sides run along the block's");
}

#[test]
fn everything_is_selected_copied_aside_and_deleted_stand_ins_and_guides_too() {
    let mut driver = on_the_ground(Remembered::default());
    set_in(&mut driver, "adult", seen(0.5, 0.0, 9.0));
    driver.press(Key::Num6);
    driver.drag(DVec2::new(-0.2, 0.15), DVec2::new(-0.1, 0.1));
    driver.press(Key::Num1);
    driver.press_with(Modifiers::COMMAND, Key::A);
    assert_eq!(driver.desk().selection().len(), 2);
    driver.press_with(Modifiers::COMMAND, Key::D);
    let scene = driver.scene();
    let [adult, copy] = &scene.stand_ins[..] else { panic!("{:?}", scene.stand_ins) };
    assert_eq!((adult.name.as_str(), copy.name.as_str()), ("adult", "adult 2"));
    let off = |at: DVec2| 2.0 / at.y * (1.0 + at.x * at.x).sqrt();
    assert!((off(copy.foot) / off(adult.foot) - 1.0).abs() < 1e-6, "it is as far off");
    assert!(copy.foot.distance(adult.foot) > 0.015, "and clear of its pattern");
    assert_eq!(scene.guides.len(), 2);
    assert_eq!(driver.desk().selection().len(), 2, "the copies are selected");
    driver.press(Key::Delete);
    assert_eq!((driver.scene().stand_ins.len(), driver.scene().guides.len()), (1, 1));
}

#[test]
fn the_second_of_a_kind_has_a_name_of_its_own() {
    let mut driver = on_the_ground(Remembered::default());
    for right in [-2.0, 0.0, 2.0] {
        set_in(&mut driver, "adult", seen(right, 0.0, 12.0));
    }
    let names: Vec<&str> = driver.scene().stand_ins.iter().map(|s| s.name.as_str()).collect();
    assert_eq!(names, ["adult", "adult 2", "adult 3"]);
}

fn with_sheet(sheets: Sheets) -> Driver {
    let mut driver = on_the_ground(Remembered { sheets, ..Remembered::default() });
    for at in [seen(-1.0, 0.0, 8.0), seen(3.0, 0.0, 24.0)] {
        set_in(&mut driver, "adult", at);
    }
    driver.press(Key::Escape);
    driver
}

#[test]
fn stand_ins_alone_are_shown_in_the_section_and_the_plan_and_selected_there() {
    let mut driver = with_sheet(Sheets::Both);
    assert!(!driver.says("Nothing has a distance"));
    driver.press_named("adult 2 in the section");
    assert_eq!(driver.desk().selected(), Some(Thing::Of(Subject::StandIn(StandInId(2)))));
    driver.press_named("adult in the plan");
    assert_eq!(driver.desk().selected(), Some(Thing::Of(Subject::StandIn(StandInId(1)))));
}

#[test]
fn a_stand_in_dragged_in_the_section_keeps_its_bearing_and_its_top_its_place() {
    let mut driver = with_sheet(Sheets::Section);
    let rect = |driver: &Driver, name: &str| driver.harness.get_by_label(name).rect();
    let (near, far) =
        (rect(&driver, "adult in the section"), rect(&driver, "adult 2 in the section"));
    let bearing = |driver: &Driver| driver.scene().stand_ins[0].foot.x;
    let was = bearing(&driver);
    let foot = pos2(near.center().x, near.bottom() - 1.0);
    driver.drag_on_screen(foot, pos2(far.center().x, foot.y));
    let off = 2.0 / driver.scene().stand_ins[0].foot.y * (1.0 + was * was).sqrt();
    let expected = (3.0f64 * 3.0 + 24.0 * 24.0).sqrt();
    assert!((off / expected - 1.0).abs() < 0.05, "{off} is not {expected}");
    assert!((bearing(&driver) - was).abs() < 1e-6);
    let rect = rect(&driver, "adult in the section");
    driver.drag_on_screen(rect.center_top(), rect.center_top() - egui::vec2(0.0, 14.0));
    let Shape::Figure { height } = driver.scene().stand_ins[0].shape else { panic!() };
    assert!(height > 1.9, "{height}");
    let after = 2.0 / driver.scene().stand_ins[0].foot.y * (1.0 + was * was).sqrt();
    assert!((after / off - 1.0).abs() < 1e-9, "it stands where it stood");
}

#[test]
fn a_row_dragged_in_the_plan_comes_along_as_a_whole() {
    let mut driver = with_sheet(Sheets::Plan);
    driver.press(Key::Num5);
    driver.press(Key::R);
    driver.drag(seen(-3.0, 0.0, 10.0), seen(-1.0, 0.0, 14.0));
    driver.press(Key::Num1);
    driver.press(Key::Escape);
    let row = driver.scene().stand_ins[2].clone();
    let (from, to) =
        (driver.place(&format!("{} in the plan", row.name)), driver.place("adult 2 in the plan"));
    driver.drag_on_screen(from, to);
    let row = &driver.scene().stand_ins[2];
    assert!((2.0 / row.foot.y - 24.0).abs() < 1.5, "{}", 2.0 / row.foot.y);
    let Arranged::Row { to, count: 12 } = row.arranged else { panic!("{row:?}") };
    let depth = |at: DVec2| 2.0 / at.y;
    let aside = |at: DVec2| at.x * depth(at);
    assert!((depth(to) - depth(row.foot) - 4.0).abs() < 0.1, "it is as long as it was");
    assert!((aside(to) - aside(row.foot) - 2.0).abs() < 0.1);
}

#[test]
fn a_level_of_stated_height_is_dragged_in_the_section_and_its_stand_ins_come_along() {
    let mut driver = with_sheet(Sheets::Section);
    let before = ahead_of(&driver, 0);
    let ground = driver.harness.get_by_label_contains("ground in the section").rect();
    let at = pos2(ground.right() + 90.0, ground.center().y);
    driver.drag_on_screen(at, at + egui::vec2(0.0, 12.0));
    let clearance = driver.scene().levels[0].clearance.expect("it is stated").metres;
    assert!(clearance > 2.1, "{clearance}");
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert_eq!(ahead_of(&driver, 0), before);
    assert_eq!(driver.scene().levels[0].clearance.expect("it is stated").metres, 2.0);
}

fn ahead_of(driver: &Driver, index: usize) -> f64 {
    2.0 / driver.scene().stand_ins[index].foot.y
}

#[test]
fn ten_times_as_far_with_shift_is_how_stand_ins_and_guides_are_nudged() {
    let mut driver = on_the_ground(Remembered::default());
    set_in(&mut driver, "adult", seen(0.0, 0.0, 10.0));
    let pixel = 1.0 / f64::from(driver.scene().frame.working_width);
    let (was, off) = (only(&driver).foot, ahead(&driver));
    driver.press_with(Modifiers::SHIFT, Key::ArrowDown);
    assert!((only(&driver).foot.y - was.y - 10.0 * pixel).abs() < 1e-9);
    assert!(ahead(&driver) < off, "lower in the picture is nearer");
    driver.press(Key::Num6);
    driver.drag(DVec2::new(-0.2, 0.15), DVec2::new(-0.1, 0.1));
    driver.press(Key::Num1);
    let from = |driver: &Driver| driver.scene().guides[0].shape.handles()[0].expect("a beginning");
    let was = from(&driver);
    driver.press_with(Modifiers::SHIFT, Key::ArrowLeft);
    driver.press(Key::ArrowLeft);
    assert!((from(&driver).x - was.x + 11.0 * pixel).abs() < 1e-9);
}
