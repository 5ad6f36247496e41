//! Where the keys go: from part to part of the window, into the eye's panel, and how that is shown.

use crate::driver::Driver;
use egui::{Key, Modifiers, Shape, vec2};
use egui_kittest::kittest::NodeT as _;
use staffage_desk::{Mode, Remembered};

fn focused(driver: &Driver) -> Option<String> {
    let node = driver.harness.root().children_recursive().find(egui_kittest::Node::is_focused)?;
    let node = node.accesskit_node();
    let by: Vec<_> = node.labelled_by().filter_map(|l| l.value().or(l.label())).collect();
    node.label().or_else(|| by.first().cloned())
}

const PARTS: [Option<&str>; 6] = [
    Some("Findings, ledger and properties"),
    Some("Section and plan"),
    Some("The strip under the canvas"),
    Some("Menus and the eye"),
    Some("Modes and what is drawn next"),
    None,
];

#[test]
fn f6_goes_from_part_to_part_of_the_window_and_back() {
    let mut driver = Driver::new();
    for part in PARTS {
        driver.press(Key::F6);
        assert_eq!(focused(&driver).as_deref(), part);
    }
    assert!(driver.says("The canvas has the keys."));
    for part in PARTS.iter().rev().skip(1).chain([&None]) {
        driver.press_with(Modifiers::SHIFT, Key::F6);
        assert_eq!(focused(&driver).as_deref(), *part);
    }
}

#[test]
fn a_part_that_is_put_away_is_passed_over_and_tab_goes_on_from_the_part() {
    let mut driver =
        Driver::with(Remembered { section: false, hint_seen: true, ..Remembered::default() });
    driver.press(Key::F6);
    driver.press(Key::Tab);
    assert_eq!(focused(&driver).as_deref(), Some("Fold the findings"));
    driver.press(Key::F6);
    assert_eq!(focused(&driver).as_deref(), Some("The strip under the canvas"));
    driver.press(Key::F6);
    driver.press(Key::F6);
    driver.press(Key::Tab);
    assert_eq!(focused(&driver).as_deref(), Some("Look mode"));
    driver.press(Key::F6);
    driver.press(Key::Num3);
    assert_eq!(driver.desk().mode(), Mode::Mark, "on the canvas keys are orders");
}

#[test]
fn a_key_that_leaves_a_field_keeps_what_was_typed_there() {
    let mut driver = Driver::new();
    driver.type_over("Title", "Quay");
    driver.press(Key::F6);
    assert_eq!(driver.scene().title, "Quay");
}

#[test]
fn the_eye_s_key_puts_the_keys_into_its_first_field() {
    let mut driver = Driver::new();
    driver.press(Key::E);
    assert_eq!(focused(&driver).as_deref(), Some("Angle of view"));
    driver.harness.event(egui::Event::Text("60".into()));
    driver.settle();
    driver.press(Key::Tab);
    let angle = driver.scene().eye.angle_of_view.expect("set by hand");
    assert!((angle - 60.0).abs() < 1e-9, "{angle}");
}

#[test]
fn what_has_the_keys_has_a_ring_around_it_in_both_themes_also_on_a_chosen_button() {
    for theme in [egui::ThemePreference::Dark, egui::ThemePreference::Light] {
        let mut driver =
            Driver::with(Remembered { theme, hint_seen: true, ..Remembered::default() });
        let chosen = driver.harness.ctx.clone();
        driver.press(Key::F6);
        for _ in 0..4 {
            driver.press(Key::F6);
        }
        driver.press(Key::Tab);
        assert_eq!(focused(&driver).as_deref(), Some("Look mode"));
        let button = driver.place("Look mode");
        let strong = chosen.global_style().visuals.strong_text_color();
        let rings = driver.harness.output().shapes.iter().filter(|clipped| match &clipped.shape {
            Shape::Rect(rect) => {
                rect.stroke.color == strong
                    && rect.stroke.width >= 2.0
                    && rect.rect.shrink2(vec2(1.0, 1.0)).contains(button)
            }
            _ => false,
        });
        assert_eq!(rings.count(), 1, "{theme:?}");
    }
}

#[test]
fn the_keys_pass_through_all_numbers_without_changing_any() {
    let mut driver = Driver::new();
    driver.press(Key::E);
    for _ in 0..24 {
        driver.press(Key::Tab);
    }
    assert_eq!(*driver.scene(), staffage_scene::Scene::default());
}
