//! The eye taken by hand: the horizon, the vanishing points and the lens, by gesture and by key.

use crate::driver::{Driver, Set};
use egui::{Event, Key, Modifiers, MouseWheelUnit, TouchPhase, vec2};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use glam::DVec2;
use staffage_desk::Thing;
use staffage_scene::{BlockId, Family};
use staffage_solver::{Eye, Source};

const RIGHT: Family = Family::RecedingRight(BlockId(1));
const LEFT: Family = Family::RecedingLeft(BlockId(1));
/// A pixel of the screen at the size of the test's window, frame widths.
const PIXEL: f64 = 2e-3;

fn eye(driver: &Driver) -> Eye {
    driver.desk().assessment().eye.eye
}

fn vanishing(driver: &Driver, family: Family) -> DVec2 {
    let families = &driver.desk().assessment().eye.families;
    let at = families.iter().find(|f| f.family == family).expect("a family").vanishing_point;
    at.truncate() / at.z
}

fn off_horizon(driver: &Driver, at: DVec2) -> f64 {
    eye(driver).horizon().dot(at.extend(1.0)).abs()
}

fn assert_near(a: DVec2, b: DVec2) {
    assert!((a - b).length() < PIXEL * (1.0 + b.length()), "{a} is not {b}");
}

/// A canted set whose block is traced, in Look mode with the view so small that much lies in it.
fn traced() -> Driver {
    let mut driver = Driver::new();
    Set::canted().trace(&mut driver);
    for _ in 0..5 {
        driver.press(Key::Minus);
    }
    driver
}

#[test]
fn the_horizon_is_lowered_by_its_middle_in_one_step_that_is_named() {
    let mut driver = Driver::new();
    let before = driver.scene().clone();
    let (from, to) = (DVec2::new(0.1, 0.0), DVec2::new(0.13, 0.08));
    driver.press_pointer(from);
    driver.move_pointer(DVec2::new(0.12, 0.05));
    assert!(driver.says("Lifting the horizon"), "the status strip says what it does");
    assert!(driver.says("by hand"), "the summary answers at once");
    driver.move_pointer(to);
    driver.release_pointer(to);
    assert!(off_horizon(&driver, to) < PIXEL);
    assert_eq!(driver.desk().selected(), Some(Thing::EyeLevel));
    let reading = &driver.desk().assessment().eye;
    assert_eq!(reading.pitch.source, Source::ByHand);
    assert_eq!(reading.angle_of_view.source, Source::Assumed, "nothing else was said");
    driver.click("Edit");
    assert!(driver.says("Undo: Lower the horizon"));
    driver.press(Key::Escape);
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert_eq!(*driver.scene(), before, "one step");
}

#[test]
fn an_end_of_the_horizon_or_shift_cants_it() {
    for (from, to, shift) in [
        (DVec2::new(0.46, 0.0), DVec2::new(0.45, -0.1), false),
        (DVec2::new(0.15, 0.0), DVec2::new(0.15, -0.04), true),
    ] {
        let mut driver = Driver::new();
        if shift {
            driver.hold(Modifiers::SHIFT);
        }
        driver.drag(from, to);
        driver.hold(Modifiers::NONE);
        assert!(off_horizon(&driver, to) < PIXEL);
        let by_hand = driver.scene().eye;
        assert!(by_hand.cant.is_some_and(|cant| cant > 5.0), "{by_hand:?}");
        assert_eq!(by_hand.pitch, None);
    }
}

#[test]
fn esc_puts_the_horizon_back() {
    let mut driver = Driver::new();
    let before = driver.scene().clone();
    driver.press_pointer(DVec2::new(0.1, 0.0));
    driver.move_pointer(DVec2::new(0.1, 0.1));
    assert!(off_horizon(&driver, DVec2::new(0.1, 0.1)) < PIXEL);
    driver.press(Key::Escape);
    driver.move_pointer(DVec2::new(0.1, 0.15));
    driver.release_pointer(DVec2::new(0.1, 0.15));
    assert_eq!(*driver.scene(), before);
}

#[test]
fn a_vanishing_point_slides_along_the_horizon_and_takes_it_along_farther_off() {
    let mut driver = traced();
    let (before, from) = (eye(&driver), vanishing(&driver, RIGHT));
    let along = DVec2::from_angle(-before.cant);
    let to = from + 0.2 * along;
    driver.drag(from, to + 0.004 * along.perp());
    assert_near(vanishing(&driver, RIGHT), to);
    assert!((eye(&driver).horizon() - before.horizon()).length() < PIXEL);
    let off = to + DVec2::new(0.05, -0.3);
    driver.drag(to, off);
    assert_near(vanishing(&driver, RIGHT), off);
    assert!(off_horizon(&driver, off) < PIXEL);
    let points = [RIGHT, LEFT, Family::Upright].map(|f| eye(&driver).ray(vanishing(&driver, f)));
    assert!(points[0].dot(points[1]).abs() < 1e-6 && points[1].dot(points[2]).abs() < 1e-6);
}

#[test]
fn with_shift_the_other_point_stays_and_the_lens_changes() {
    let mut driver = traced();
    let (before, from, left) = (eye(&driver), vanishing(&driver, RIGHT), vanishing(&driver, LEFT));
    let to = from + 0.3 * DVec2::from_angle(-before.cant);
    driver.hold(Modifiers::SHIFT);
    driver.drag(from, to);
    driver.hold(Modifiers::NONE);
    assert_near(vanishing(&driver, RIGHT), to);
    assert_near(vanishing(&driver, LEFT), left);
    assert!(eye(&driver).focal > 1.05 * before.focal);
}

#[test]
fn a_point_outside_the_canvas_is_slid_by_its_arrow() {
    let mut driver = traced();
    let far = vanishing(&driver, Family::Upright);
    let seen = driver.desk().view().visible(driver.desk().canvas());
    assert!(far.y < seen.min.y, "the zenith is out of sight");
    let centre = (seen.min + seen.max) / 2.0;
    let reach = (centre.y - seen.min.y - seen.units(8.0)) / (centre.y - far.y);
    let tip = centre + reach * (far - centre);
    driver.drag(tip, centre + 0.6 * (tip - centre));
    let now = vanishing(&driver, Family::Upright);
    assert!(now.y > far.y && now.y < centre.y, "{now} is nearer than {far}");
    assert!(driver.scene().eye.pitch.is_some());
}

#[test]
fn the_wheel_with_alt_changes_the_lens_in_one_step() {
    let mut driver = Driver::new();
    let (before, view) = (eye(&driver), driver.desk().view());
    driver.harness.hover_at(driver.desk().canvas().center());
    driver.hold(Modifiers::ALT);
    for _ in 0..3 {
        driver.harness.event(Event::MouseWheel {
            unit: MouseWheelUnit::Line,
            delta: vec2(0.0, 1.0),
            phase: TouchPhase::Move,
            source: egui::MouseWheelSource::Unknown,
            modifiers: Modifiers::ALT,
        });
        driver.harness.run_steps(8);
    }
    assert!(driver.says("Changing the lens"));
    driver.hold(Modifiers::NONE);
    assert!(eye(&driver).focal > 1.1 * before.focal, "{:?}", eye(&driver));
    assert_eq!(driver.desk().view(), view, "the view stays");
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert_eq!(eye(&driver).focal, before.focal);
    driver.press(Key::Period);
    assert!(eye(&driver).focal > before.focal, "the same by key");
}

#[test]
fn the_horizon_and_the_points_are_named_and_nudged_by_keys_and_let_go() {
    let mut driver = traced();
    let description = |driver: &Driver, name: &str| {
        driver.harness.get_by_label(name).accesskit_node().description().unwrap_or_default()
    };
    assert!(description(&driver, "horizon").contains("read from the lines"));
    let right = "vanishing point of receding right";
    assert!(description(&driver, right).starts_with("heading "));
    driver.press_named("horizon");
    assert_eq!(driver.desk().selected(), Some(Thing::EyeLevel));
    let before = eye(&driver);
    driver.press_with(Modifiers::SHIFT, Key::ArrowUp);
    assert!(eye(&driver).horizon().z > before.horizon().z, "raised");
    driver.press_with(Modifiers::SHIFT, Key::ArrowRight);
    assert!(eye(&driver).cant < before.cant, "turned clockwise");
    driver.click("Edit");
    driver.press_named("Let go of the horizon");
    let by_hand = driver.scene().eye;
    assert_eq!((by_hand.pitch, by_hand.cant, by_hand.angle_of_view), (None, None, None));
    assert!((eye(&driver).pitch - before.pitch).abs() < 1e-9, "read from the lines again");
    driver.press(Key::N);
    driver.press(Key::N);
    assert!(driver.desk().selected().is_some_and(Thing::is_of_eye), "reached by N");
    driver.press_named(right);
    let at = vanishing(&driver, RIGHT);
    driver.press_with(Modifiers::SHIFT, Key::ArrowRight);
    assert!(vanishing(&driver, RIGHT).x > at.x);
}

#[test]
fn the_other_button_locks_a_quantity_and_lets_it_go() {
    let mut driver = traced();
    let at = eye(&driver).nearest_on_horizon(DVec2::new(0.05, 0.0));
    let read = eye(&driver);
    driver.click_secondary_at(at);
    driver.press_named("Lock the pitch");
    assert!(driver.scene().eye.pitch.is_some());
    assert!((eye(&driver).pitch - read.pitch).abs() < 1e-6);
    driver.press(Key::Escape);
    driver.click_secondary_at(at);
    driver.press_named("Let go of the pitch");
    assert_eq!(driver.scene().eye.pitch, None);
    let outside = at + DVec2::new(0.0, 0.21);
    driver.press(Key::Escape);
    driver.click_secondary_at(outside);
    assert!(!driver.says("Lock the"), "no menu where there is nothing of the eye");
}

#[test]
fn on_a_blank_frame_the_assumed_points_can_be_taken_once_the_eye_is_taken_up() {
    let mut driver = Driver::new();
    for _ in 0..5 {
        driver.press(Key::Minus);
    }
    let right = vanishing(&driver, RIGHT);
    driver.press_named("horizon");
    driver.drag(right, right + DVec2::new(0.1, 0.0));
    assert_near(vanishing(&driver, RIGHT), right + DVec2::new(0.1, 0.0));
    assert!(driver.scene().blocks[0].heading.is_some());
}

#[test]
fn a_horizon_that_was_placed_stays_where_it_is_when_a_lens_is_typed() {
    let mut driver = Driver::new();
    let to = DVec2::new(0.13, 0.08);
    driver.drag(DVec2::new(0.1, 0.0), to);
    let placed = eye(&driver).horizon();
    driver.press(Key::Escape);
    driver.press(Key::E);
    driver.type_number("as a lens", "85");
    assert!((eye(&driver).horizon() - placed).length() < 1e-6, "by the lens");
    assert!(driver.says("The horizon stays where it was placed; the pitch follows."));
    driver.type_number("Angle of view", "30");
    assert!((eye(&driver).horizon() - placed).length() < 1e-6, "by the angle");
    driver.press(Key::Escape);
    driver.press(Key::Escape);
    driver.press(Key::Period);
    assert!((eye(&driver).horizon() - placed).length() < 1e-6, "by the key");
    for _ in 0..3 {
        driver.press_with(Modifiers::COMMAND, Key::Z);
    }
    assert!((eye(&driver).focal - 1.0).abs() < 1e-6, "each was one step");
    assert!((eye(&driver).horizon() - placed).length() < 1e-6);
}

#[test]
fn a_pitch_that_was_typed_stays_when_a_lens_is_typed() {
    let mut driver = Driver::new();
    driver.drag(DVec2::new(0.1, 0.0), DVec2::new(0.1, 0.08));
    driver.press(Key::Escape);
    driver.press(Key::E);
    driver.type_number("Pitch", "down 12");
    driver.type_number("as a lens", "50");
    assert_eq!(driver.scene().eye.pitch, Some(-12.0));
    assert!(!driver.says("The horizon stays"));
}

#[test]
fn a_lens_that_is_too_long_is_said_to_be() {
    let mut driver = Driver::new();
    driver.press(Key::E);
    driver.type_number("as a lens", "9000");
    assert!(driver.says("There is no lens longer than 2000 mm here; it is set to that."));
    driver.type_number("Angle of view", "200");
    assert!(driver.says("Angle of view goes from 1.0° to 170.0°; it is set to 170.0°."));
    driver.type_number("Angle of view", "60");
    assert!(!driver.says("it is set to"));
}
