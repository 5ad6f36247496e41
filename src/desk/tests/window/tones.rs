//! Looking at the painting in values, in flat tones, through half closed eyes and in a mirror.

use crate::driver::Driver;
use egui::{Key, Modifiers};
use glam::DVec2;
use image::{Rgb, RgbImage};
use staffage_desk::{Mode, Remembered, ShownTones, ToneSettings};
use staffage_picture::{ToneView, Tones};

const VALUES: ToneView = ToneView { tones: Tones::Values, squint: None };

/// A desk with a painting on it, red to the left and blue to the right.
fn painted(remembered: Remembered) -> (Driver, tempfile::TempDir) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("hall.png");
    let colour = |x| if x < 600 { Rgb([255, 0, 0]) } else { Rgb([0, 0, 255]) };
    RgbImage::from_fn(1200, 510, |x, _| colour(x)).save(&path).expect("a picture is written");
    let mut driver = Driver::with(remembered);
    driver.open(&path);
    (driver, folder)
}

fn hold(driver: &mut Driver, key: Key) {
    driver.harness.key_down(key);
    driver.settle();
}

fn let_go(driver: &mut Driver, key: Key) {
    driver.harness.key_up(key);
    driver.settle();
}

#[test]
fn a_held_key_shows_the_view_and_letting_go_returns() {
    let (mut driver, _folder) = painted(Remembered::default());
    let squint = ToneView { tones: Tones::Colour, squint: Some(0.01) };
    let flat = ToneView { tones: Tones::Flat(3), squint: None };
    for (key, view, words) in [
        (Key::V, VALUES, "Seen in: values"),
        (Key::D, flat, "Seen in: 3 flat tones"),
        (Key::Q, squint, "Seen in: squint"),
    ] {
        hold(&mut driver, key);
        assert_eq!(driver.desk().seen(), view);
        assert!(driver.has(words), "{words}");
        let_go(&mut driver, key);
        assert_eq!(driver.desk().seen(), ToneView::PLAIN);
        assert!(!driver.says("Seen in"));
    }
    assert_eq!(driver.desk().remembered().tones, ToneSettings::default());
}

#[test]
fn keys_held_together_are_seen_together() {
    let (mut driver, _folder) = painted(Remembered::default());
    for key in [Key::Q, Key::D, Key::M] {
        hold(&mut driver, key);
    }
    assert_eq!(driver.desk().seen(), ToneView { tones: Tones::Flat(3), squint: Some(0.01) });
    assert!(driver.has("Seen in: 3 flat tones, squint, mirrored"));
    let_go(&mut driver, Key::D);
    assert!(driver.has("Seen in: squint, mirrored"));
}

#[test]
fn shift_keeps_a_view_whose_key_then_shows_the_painting() {
    let (mut driver, _folder) = painted(Remembered::default());
    driver.press_with(Modifiers::SHIFT, Key::V);
    assert_eq!(driver.desk().seen(), VALUES);
    assert_eq!(driver.desk().remembered().tones.shown, ShownTones::Values);
    hold(&mut driver, Key::V);
    assert_eq!(driver.desk().seen(), ToneView::PLAIN);
    let_go(&mut driver, Key::V);
    assert_eq!(driver.desk().seen(), VALUES);
    driver.click("Seen in: values");
    assert_eq!(driver.desk().seen(), ToneView::PLAIN);
}

#[test]
fn digits_choose_how_many_flat_tones_while_their_key_is_held() {
    let (mut driver, _folder) = painted(Remembered::default());
    hold(&mut driver, Key::D);
    for (key, count) in [(Key::Num2, 2), (Key::Num5, 5), (Key::Num4, 4)] {
        driver.press(key);
        assert_eq!(driver.desk().seen().tones, Tones::Flat(count));
        assert_eq!(driver.desk().mode(), Mode::Look);
    }
    let_go(&mut driver, Key::D);
    driver.press(Key::Num2);
    assert_eq!(driver.desk().mode(), Mode::Line);
    assert_eq!(driver.desk().remembered().tones.flat_tones, 4);
}

#[test]
fn the_view_menu_keeps_views_and_sets_them() {
    let (mut driver, _folder) = painted(Remembered::default());
    for (entry, words) in [
        ("Values", "Seen in: values"),
        ("Flat tones", "Seen in: 3 flat tones"),
        ("Squint", "Seen in: 3 flat tones, squint"),
        ("Mirrored", "Seen in: 3 flat tones, squint, mirrored"),
    ] {
        driver.click("View");
        driver.click(entry);
        if driver.has(entry) {
            driver.press(Key::Escape);
        }
        assert!(!driver.has(entry), "the menu closes");
        assert!(driver.has(words), "{words}");
    }
    driver.click("View");
    driver.click("5 flat tones");
    assert_eq!(driver.desk().remembered().tones.flat_tones, 5);
}

#[test]
fn kept_views_are_remembered_and_a_mirror_is_not() {
    let (mut driver, _folder) = painted(Remembered::default());
    for key in [Key::V, Key::M] {
        driver.press_with(Modifiers::SHIFT, key);
    }
    let remembered = driver.desk().remembered().clone();
    let (next_day, _folder) = painted(remembered);
    assert_eq!(next_day.desk().seen(), VALUES);
    assert!(!next_day.desk().view().mirrored);
}

#[test]
fn a_painting_read_again_is_seen_in_the_kept_view_all_the_while() {
    let (mut driver, _folder) = painted(Remembered::default());
    driver.press_with(Modifiers::SHIFT, Key::V);
    driver.harness.key_press(Key::F5);
    driver.harness.step();
    assert!(driver.desk().is_busy());
    while driver.desk().is_busy() {
        assert_eq!(driver.desk().seen(), VALUES);
        std::thread::yield_now();
        driver.harness.step();
    }
    assert_eq!(driver.desk().seen(), VALUES);
}

#[test]
fn letters_typed_into_a_name_show_nothing() {
    let (mut driver, _folder) = painted(Remembered::default());
    driver.press(Key::Num3);
    driver.drag(DVec2::new(0.0, 0.1), DVec2::new(0.0, 0.0));
    driver.type_into("Name", "");
    hold(&mut driver, Key::V);
    assert_eq!(driver.desk().seen(), ToneView::PLAIN);
}

#[test]
fn what_is_drawn_in_a_mirror_lands_where_it_is_seen() {
    let (mut driver, _folder) = painted(Remembered::default());
    let (foot, head) = (DVec2::new(-0.3, 0.1), DVec2::new(-0.3, 0.0));
    hold(&mut driver, Key::M);
    let place = |driver: &Driver, at| driver.desk().view().to_screen(driver.desk().canvas(), at);
    let middle = driver.desk().canvas().center().x;
    assert!(place(&driver, foot).x > middle, "what is left is seen to the right");
    driver.press(Key::Num3);
    driver.drag(foot, head);
    driver.press(Key::Escape);
    let marker = driver.scene().markers[0].clone();
    assert!((marker.foot - foot).length() < 1e-3 && (marker.head - head).length() < 1e-3);
    driver.press(Key::Num1);
    driver.drag(head, DVec2::new(-0.2, 0.02));
    let moved = driver.scene().markers[0].head;
    assert!((moved - DVec2::new(-0.2, 0.02)).length() < 1e-3, "{moved}");
}

#[test]
fn a_key_that_is_held_while_marking_types_nothing_into_the_name() {
    let (mut driver, _folder) = painted(Remembered::default());
    driver.press(Key::Num3);
    hold(&mut driver, Key::M);
    driver.drag(DVec2::new(-0.2, 0.1), DVec2::new(-0.2, 0.0));
    driver.harness.event(egui::Event::Text("m".into()));
    driver.settle();
    let_go(&mut driver, Key::M);
    driver.press(Key::Enter);
    assert_eq!(driver.scene().markers[0].name, "marker 1");
}

#[test]
fn arrows_nudge_to_where_they_point_in_a_mirror() {
    let (mut driver, _folder) = painted(Remembered::default());
    driver.press(Key::Num3);
    driver.drag(DVec2::new(-0.2, 0.1), DVec2::new(-0.2, 0.0));
    driver.press(Key::Escape);
    driver.press_with(Modifiers::SHIFT, Key::M);
    let before = driver.scene().markers[0].foot;
    driver.press(Key::ArrowRight);
    assert!(driver.scene().markers[0].foot.x < before.x);
}

#[test]
fn a_drag_goes_on_in_the_view_that_it_was_begun_in() {
    let (mut driver, _folder) = painted(Remembered::default());
    driver.press(Key::Num3);
    driver.press_pointer(DVec2::new(-0.3, 0.1));
    driver.move_pointer(DVec2::new(-0.3, 0.05));
    hold(&mut driver, Key::M);
    assert!(!driver.desk().view().mirrored);
    driver.move_pointer(DVec2::new(-0.3, 0.0));
    driver.release_pointer(DVec2::new(-0.3, 0.0));
    driver.harness.run();
    assert!(driver.desk().view().mirrored);
    assert!((driver.scene().markers[0].head - DVec2::new(-0.3, 0.0)).length() < 1e-3);
}

#[test]
fn every_look_is_in_the_list_of_actions() {
    let mut driver = Driver::new();
    driver.press(Key::F1);
    for name in ["Action Values", "Action Flat tones", "Action Squint", "Action Mirrored"] {
        assert!(driver.has(name), "{name}");
    }
    for words in ["values, flat tones, squint, mirrored: as long as held", "so many flat tones"] {
        assert!(driver.says(words), "{words}");
    }
}
