//! What things stand on without touching it, round things, and the families of an incline.

use crate::driver::{Driver, Set};
use egui::{Key, Modifiers};
use glam::{DVec2, DVec3};
use staffage_desk::Thing;
use staffage_scene::{Family, Known, MarkerId, Span, Stands, Statement, Subject};

/// Marks what stands between two places in front of an eye.
fn mark(driver: &mut Driver, set: &Set, foot: DVec3, head: DVec3) {
    driver.press(Key::Num3);
    driver.drag(set.seen(foot), set.seen(head));
    driver.press(Key::Escape);
}

fn select(driver: &mut Driver, id: u32) {
    driver.press(Key::Num1);
    driver.click(&format!("Ledger row marker {id}"));
    assert_eq!(driver.desk().selected(), Some(Thing::marker(MarkerId(id))));
}

fn choose(driver: &mut Driver, field: &str, option: &str) {
    driver.press_named(field);
    driver.click(option);
}

#[test]
fn a_shadow_takes_its_place_from_the_next_click_and_makes_a_light() {
    let set = Set::assumed();
    let mut driver = Driver::new();
    let foot = DVec3::new(-1.0, 0.2, -12.0);
    mark(&mut driver, &set, foot, foot + DVec3::Y);
    choose(&mut driver, "What it stands on", "its shadow falls on …");
    assert!(driver.says("Click where the shadow of the foot of marker 1 falls"));
    let tip = set.seen(DVec3::new(0.5, -1.6, -11.0));
    driver.click_at(tip);
    let Stands::Shadow { tip: taken, light, .. } = driver.scene().markers[0].stands else {
        panic!("{:?}", driver.scene().markers[0]);
    };
    assert!((taken - tip).length() < 1e-3, "{taken} {tip}");
    assert_eq!(driver.scene().incline(light).map(|i| i.name.as_str()), Some("sunlight"));
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert!(driver.scene().inclines.is_empty(), "one step made both");
    driver.press_with(Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);

    let moved = tip + DVec2::new(0.03, 0.01);
    driver.press(Key::Num1);
    driver.drag(tip, moved);
    let tie = driver.scene().markers[0].stands.tie().expect("a shadow");
    assert!((tie - moved).length() < 2e-3, "{tie} {moved}");

    driver.press_named("Light of the shadow");
    driver.click("another light");
    assert_eq!(driver.scene().inclines.len(), 2);
}

#[test]
fn a_ball_is_asked_for_the_middle_of_its_shadow() {
    let mut driver = Driver::new();
    driver.press(Key::Num3);
    driver.press_with(Modifiers::SHIFT, Key::O);
    driver.drag(DVec2::new(-0.1, -0.1), DVec2::new(-0.05, -0.1));
    driver.press(Key::Escape);
    driver.press(Key::S);
    assert!(driver.says("Click the middle of the shadow of marker 1"));
}

#[test]
fn a_shadow_has_a_key() {
    let set = Set::assumed();
    let mut driver = Driver::new();
    let foot = DVec3::new(-1.0, 0.2, -12.0);
    mark(&mut driver, &set, foot, foot + DVec3::Y);
    driver.press(Key::S);
    driver.click_at(set.seen(DVec3::new(0.5, -1.6, -11.0)));
    assert!(matches!(driver.scene().markers[0].stands, Stands::Shadow { .. }));
}

#[test]
fn hidden_feet_are_as_deep_as_the_head_is_high() {
    let set = Set::assumed();
    let mut driver = Driver::new();
    driver.press(Key::Num3);
    let feet = DVec3::new(-1.0, -1.6, -10.0);
    driver.drag(set.seen(feet), set.seen(feet + 1.7 * DVec3::Y));
    driver.type_into("Known size", "1.7 m");
    driver.press(Key::Enter);
    let chest = DVec3::new(1.0, -0.5, -12.0);
    mark(&mut driver, &set, chest, chest + 0.6 * DVec3::Y);
    choose(&mut driver, "What it stands on", "its feet are hidden");
    let ground = driver.scene().levels[0].id;
    let head = |metres| Stands::Hidden { level: ground, height: Known { metres, spread: 0.06 } };
    assert_eq!(driver.scene().markers[1].stands, head(1.7));
    assert!(driver.shows("its feet are hidden"));
    driver.type_over("Length", "180 cm");
    driver.press(Key::Enter);
    assert_eq!(driver.scene().markers[1].stands, head(1.8));
    let entry = driver.desk().assessment().entry(MarkerId(2)).expect("an entry");
    assert!(entry.distance.is_some(), "{entry:?}");
}

#[test]
fn a_thing_is_stacked_on_any_other_upright() {
    let set = Set::assumed();
    let mut driver = Driver::new();
    let foot = DVec3::new(-1.0, -1.6, -12.0);
    mark(&mut driver, &set, foot, foot + 1.2 * DVec3::Y);
    driver.press(Key::Escape);
    mark(&mut driver, &set, foot + 1.2 * DVec3::Y, foot + 2.0 * DVec3::Y);
    select(&mut driver, 2);
    driver.press_named("What it stands on");
    driver.click("on top of");
    driver.click("on top of marker 1");
    assert_eq!(driver.scene().markers[1].stands, Stands::OnTop(MarkerId(1)));
    assert!(driver.shows("on top of marker 1"));
}

#[test]
fn round_things_are_marked_across() {
    let mut driver = Driver::new();
    driver.press(Key::Num3);
    driver.press(Key::O);
    assert!(driver.says("across a round upright thing"));
    driver.drag(DVec2::new(-0.2, 0.1), DVec2::new(-0.1, 0.1));
    driver.press(Key::Escape);
    assert_eq!(driver.scene().markers[0].span, Span::Cylinder);
    driver.click("ball chip");
    driver.drag(DVec2::new(0.1, 0.1), DVec2::new(0.2, 0.1));
    driver.press(Key::Escape);
    assert_eq!(driver.scene().markers[1].span, Span::Ball);
    driver.press_with(Modifiers::SHIFT, Key::O);
    choose(&mut driver, "How it runs", "round: a tower, a tank");
    assert_eq!(driver.scene().markers[1].span, Span::Cylinder);
}

#[test]
fn the_level_run_of_an_incline_is_traced_beside_it() {
    let mut driver = Driver::new();
    driver.press(Key::Num2);
    driver.press(Key::I);
    driver.drag(DVec2::new(-0.2, 0.1), DVec2::new(-0.1, 0.0));
    driver.press_with(Modifiers::SHIFT, Key::I);
    assert!(driver.has("level under incline 1 chip"));
    driver.drag(DVec2::new(-0.2, 0.12), DVec2::new(-0.1, 0.1));
    let incline = driver.scene().inclines[0].id;
    let families: Vec<_> = driver.scene().lines.iter().map(|l| l.family).collect();
    assert_eq!(families, [Family::Incline(incline), Family::Run(incline)]);
    let read = driver.desk().assessment().eye.families.iter().map(|f| f.family);
    assert!(read.clone().any(|f| f == Family::Run(incline)), "{:?}", read.collect::<Vec<_>>());

    driver.click("+ light chip");
    assert!(driver.has("sunlight chip") && driver.has("shadows of sunlight chip"));
    driver.drag(DVec2::new(0.2, 0.0), DVec2::new(0.25, 0.1));
    driver.click("Family of the line");
    driver.click("shadows of sunlight");
    let light = driver.scene().inclines[1].id;
    assert_eq!(driver.scene().lines[2].family, Family::Run(light));
    assert!(matches!(driver.desk().selected(), Some(Thing::Of(Subject::Line(_)))));
}

#[test]
fn a_thing_drawn_from_the_head_of_an_upright_is_stacked_on_it_and_as_far_off() {
    let set = Set::assumed();
    let mut driver = Driver::new();
    let foot = DVec3::new(-1.0, -1.6, -12.0);
    mark(&mut driver, &set, foot, foot + 1.2 * DVec3::Y);
    driver.press(Key::Escape);
    driver.drag(set.seen(foot + 1.2 * DVec3::Y), set.seen(foot + 2.0 * DVec3::Y));
    assert!(driver.shows("on top of marker 1"), "on the card");
    driver.press(Key::Enter);
    let spot = Statement::SameDistance { of: MarkerId(1), spread: 0.05 };
    let stacked = driver.scene().markers[1].clone();
    assert_eq!(stacked.stands, Stands::OnTop(MarkerId(1)));
    assert_eq!(stacked.statements, [spot]);
    choose(&mut driver, "What it stands on", "on ground");
    assert_eq!(driver.scene().markers[1].statements, []);
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert_eq!(driver.scene().markers[1], stacked);
    driver.click("Take back statement 1");
    let marker = &driver.scene().markers[1];
    assert!(marker.stands == stacked.stands && marker.statements.is_empty(), "{marker:?}");
}

#[test]
fn what_is_said_of_a_distance_stays_when_a_thing_is_stacked() {
    let set = Set::assumed();
    let mut driver = Driver::new();
    let foot = DVec3::new(-1.0, -1.6, -12.0);
    for right in [0.0, 2.0] {
        let foot = foot + right * DVec3::X;
        mark(&mut driver, &set, foot, foot + 1.2 * DVec3::Y);
    }
    driver.click("Say more…");
    driver.click("its distance");
    let said = driver.scene().markers[1].statements.clone();
    assert!(matches!(said[..], [Statement::Distance(_)]), "{said:?}");
    driver.press_named("What it stands on");
    driver.click("on top of");
    driver.click("on top of marker 1");
    assert_eq!(driver.scene().markers[1].stands, Stands::OnTop(MarkerId(1)));
    assert_eq!(driver.scene().markers[1].statements, said);
}

#[test]
fn a_thing_that_its_level_cannot_carry_stands_on_nothing_yet() {
    let set = Set::assumed();
    let mut driver = Driver::new();
    driver.press(Key::Num3);
    let foot = DVec3::new(-1.0, 2.0, -12.0);
    driver.drag(set.seen(foot), set.seen(foot + DVec3::Y));
    assert_eq!(driver.scene().markers[0].stands, Stands::Unsaid);
    assert!(driver.shows("not said") && !driver.says("impossible"));
}

#[test]
fn the_card_of_a_new_marker_says_that_feet_are_hidden() {
    let set = Set::assumed();
    let mut driver = Driver::new();
    driver.press(Key::Num3);
    let chest = DVec3::new(1.0, -0.5, -12.0);
    driver.drag(set.seen(chest), set.seen(chest + 0.6 * DVec3::Y));
    driver.press_named("Stands on");
    driver.click("its feet are hidden");
    assert!(driver.shows("on ground, its feet hidden"));
    driver.type_into("Name", "guard");
    driver.press(Key::Enter);
    let marker = &driver.scene().markers[0];
    assert_eq!(marker.name, "guard");
    assert!(matches!(marker.stands, Stands::Hidden { .. }), "{marker:?}");
}

#[test]
fn the_card_of_a_new_marker_takes_what_was_typed_before_it_asks_for_a_tie() {
    let set = Set::assumed();
    let mut driver = Driver::new();
    driver.press(Key::Num3);
    let foot = DVec3::new(-1.0, 0.2, -12.0);
    driver.drag(set.seen(foot), set.seen(foot + DVec3::Y));
    driver.type_into("Name", "kite");
    driver.press_named("Stands on");
    driver.click("floats over …");
    assert!(driver.says("plumb below kite"));
    driver.click_at(set.seen(DVec3::new(-1.0, -1.6, -12.0)));
    let marker = &driver.scene().markers[0];
    assert_eq!(marker.name, "kite");
    assert!(matches!(marker.stands, Stands::Over { .. }), "{marker:?}");
}

#[test]
fn chips_stay_under_the_hand_and_nothing_runs_along_the_light() {
    let mut driver = Driver::new();
    driver.press(Key::Num3);
    let ball = driver.place("ball chip");
    driver.press(Key::Num2);
    let add = driver.place("+ incline chip");
    driver.press_with(Modifiers::SHIFT, Key::L);
    assert_eq!(driver.place("+ incline chip"), add);
    driver.click("+ incline chip");
    assert_eq!(driver.place("+ incline chip"), add);
    let [light, ramp] = &driver.scene().inclines[..] else { panic!("{:?}", driver.scene()) };
    let (light, ramp) = (light.clone(), ramp.clone());
    driver.press(Key::Num3);
    assert_eq!(driver.place("ball chip"), ball);
    assert!(driver.place(&format!("{} chip", ramp.name)).x > ball.x);
    assert!(!driver.has(&format!("{} chip", light.name)));
    driver.press(Key::I);
    driver.drag(DVec2::new(-0.2, 0.1), DVec2::new(-0.1, 0.05));
    driver.press(Key::Escape);
    assert_eq!(driver.scene().markers[0].span, Span::Along(Family::Incline(ramp.id)));
    driver.press_named("How it runs");
    assert!(driver.has(&format!("along {}", ramp.name)));
    assert!(!driver.has(&format!("along {}", light.name)));
}

#[test]
fn things_are_marked_along_the_next_block() {
    let mut driver = Driver::new();
    driver.press(Key::Num2);
    driver.press_with(Modifiers::SHIFT, Key::B);
    driver.press(Key::Num3);
    driver.press(Key::L);
    driver.press(Key::B);
    driver.drag(DVec2::new(-0.2, 0.1), DVec2::new(-0.1, 0.1));
    let first = driver.scene().blocks[0].id;
    assert_eq!(driver.scene().markers[0].span, Span::Along(Family::RecedingLeft(first)));
}
