//! What an end catches at is shown before it is placed, and how its family runs.

use crate::driver::{Driver, Set};
use egui::{Key, Modifiers};
use glam::DVec2;
use staffage_scene::Segment;

/// A traced upright, and Line mode.
fn with_a_line() -> (Driver, [DVec2; 2]) {
    let mut driver = Driver::new();
    let ends = [DVec2::new(-0.2, 0.1), DVec2::new(-0.2, -0.1)];
    driver.press(Key::Num2);
    driver.drag(ends[0], ends[1]);
    driver.press(Key::Escape);
    let Segment(foot, top) = driver.scene().lines[0].segment;
    (driver, [foot, top])
}

fn beside(at: DVec2) -> DVec2 {
    at + DVec2::splat(3e-3)
}

#[test]
fn the_end_that_a_press_would_catch_is_named_before_the_press() {
    let (mut driver, [_, top]) = with_a_line();
    for mode in [Key::Num2, Key::Num3] {
        driver.press(mode);
        driver.move_pointer(DVec2::new(0.2, 0.0));
        assert!(!driver.paints("end of"));
        driver.move_pointer(beside(top));
        assert!(driver.paints("end of"), "{mode:?}");
        driver.hold(Modifiers::COMMAND);
        driver.move_pointer(top - DVec2::splat(2e-3));
        assert!(!driver.paints("end of"), "Ctrl lets it be");
        driver.hold(Modifiers::NONE);
    }
    driver.press(Key::Num2);
    driver.drag(beside(top), DVec2::new(0.1, 0.05));
    let begins = driver.scene().lines[1].segment.0;
    assert_eq!(begins, top, "the press took what was shown");
}

#[test]
fn the_edge_of_the_frame_is_named_where_a_line_would_begin_there() {
    let (mut driver, _) = with_a_line();
    driver.move_pointer(DVec2::new(0.4985, 0.05));
    assert!(driver.paints("edge of the frame"));
    driver.press(Key::Num3);
    driver.move_pointer(DVec2::new(0.4984, 0.02));
    assert!(!driver.paints("edge of the frame"), "a foot does not catch at it");
}

#[test]
fn a_faint_hint_tells_how_the_family_runs_once_other_lines_tell_and_nothing_catches_at_it() {
    let (set, mut driver) = (Set::canted(), Driver::new());
    driver.press(Key::Num2);
    let (at, to) = (DVec2::new(0.25, 0.15), DVec2::new(0.262, -0.1));
    let plumb = |driver: &Driver| {
        let eye = &driver.desk().assessment().eye.eye;
        let nadir = eye.image(glam::DVec3::Y);
        (nadir.truncate() - nadir.z * at).normalize()
    };
    let hints = |driver: &Driver| {
        let along = plumb(driver);
        let strokes = driver.strokes();
        let runs = |a: &DVec2, b: &DVec2| {
            let is_near = (a.midpoint(*b) - at).perp_dot(along).abs() < 2e-3;
            let length = a.distance(*b);
            is_near && length > 0.02 && ((*b - *a) / length).perp_dot(along).abs() < 0.02
        };
        strokes.iter().filter(|[a, b]| runs(a, b)).count()
    };
    driver.move_pointer(at);
    assert_eq!(hints(&driver), 0, "an assumed eye tells nothing");
    set.trace(&mut driver);
    driver.press(Key::Num2);
    driver.press(Key::U);
    driver.move_pointer(at);
    assert!(hints(&driver) > 0, "as the others run");
    driver.press_pointer(at);
    driver.move_pointer(to);
    driver.release_pointer(to);
    let traced = driver.scene().lines.last().expect("traced").segment;
    assert!(traced.1.distance(to) < 2e-3, "it lies as it was drawn");
}

#[test]
fn behind_the_eye_of_a_plumb_view_nothing_is_caught_or_taken_hold_of() {
    let (set, mut driver) = (Set::canted(), Driver::new());
    set.trace(&mut driver);
    driver.press_with(Modifiers::SHIFT, Key::Y);
    driver.press(Key::Num2);
    let (view, canvas) = (driver.desk().view(), driver.desk().canvas());
    assert!(view.turn.is_some());
    // All over the canvas the hints are finite and on it.
    for share in [0.1, 0.35, 0.6, 0.85] {
        let at = canvas.lerp_inside(egui::vec2(share, 1.0 - share));
        driver.move_pointer(view.to_picture(canvas, at));
        for [a, b] in driver.strokes() {
            assert!(!a.is_nan() && !b.is_nan());
        }
    }
}
