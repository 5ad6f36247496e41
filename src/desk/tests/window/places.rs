//! Levels over levels, the optical axis, and the world.

use crate::driver::{Driver, Set};
use egui::{Key, Modifiers};
use glam::{DVec2, DVec3};
use staffage_scene::{Above, Curvature, Known, LevelId, MarkerId, PrincipalPoint, World};

#[test]
fn a_level_lies_a_stated_height_over_another() {
    let mut driver = Driver::new();
    driver.press_named("Add level below");
    driver.press_named("Lower level");
    driver.click("ground");
    let ground = driver.scene().levels[0].id;
    let by = |metres| Some(Above { level: ground, by: Known { metres, spread: 0.05 } });
    assert_eq!(driver.scene().levels[1].above, by(3.0));
    assert!(driver.says("3.00 m over ground (assumed)") && driver.has("assumed"));
    driver.type_over("Length", "450 cm");
    driver.press(Key::Enter);
    assert_eq!(driver.scene().levels[1].above, by(4.5));
    assert!(driver.says("4.50 m over ground") && !driver.says("assumed)"));
    driver.press_with(Modifiers::COMMAND, Key::Z);
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert_eq!(driver.scene().levels[1].above, None);
}

#[test]
fn the_optical_axis_is_set_by_hand_read_or_put_back() {
    let mut driver = Driver::new();
    driver.click("eye ≈53° across · level · no cant");
    driver.click("Optical axis");
    assert!(driver.says("taken for a whole frame"));
    driver.click("set by hand");
    driver.type_number("right", "12.5");
    driver.type_number("down", "-3");
    let PrincipalPoint::At(at) = driver.scene().eye.principal else {
        panic!("{:?}", driver.scene().eye);
    };
    assert!((at - DVec2::new(0.125, -0.03)).length() < 1e-9, "{at}");
    let [across, down] = driver.desk().assessment().eye.principal;
    assert!((across.value - 0.125).abs() < 1e-9 && (down.value + 0.03).abs() < 1e-9);
    driver.click("read from the lines");
    assert_eq!(driver.scene().eye.principal, PrincipalPoint::Free);
    assert!(driver.says("it takes three vanishing points"));
    driver.click("in the middle");
    assert_eq!(driver.scene().eye.principal, PrincipalPoint::Centre);
}

#[test]
fn another_world_hides_what_is_beyond_its_curve() {
    let set = Set::assumed();
    let mut driver = Driver::new();
    driver.press(Key::Num3);
    let figure = DVec3::new(-1.0, -1.6, -10.0);
    driver.drag(set.seen(figure), set.seen(figure + 1.7 * DVec3::Y));
    driver.type_into("Known size", "1.7 m");
    driver.press(Key::Enter);
    let tower = DVec3::new(60.0, -0.5, -400.0);
    driver.drag(set.seen(tower), set.seen(tower + 30.0 * DVec3::Y));
    driver.press(Key::Escape);
    driver.press_named("Say more…");
    driver.click("its distance");
    driver.type_over("Length", "400 m");
    driver.press(Key::Enter);
    driver.press(Key::Num1);
    driver.press(Key::Escape);

    driver.press_named("World");
    driver.press_named("Where the world curves");
    driver.click("everywhere");
    driver.type_over("Radius of the world", "20 km");
    driver.press(Key::Enter);
    driver.type_over("Refraction", "0");
    driver.press(Key::Enter);
    let small = World { curvature: Curvature::Everywhere, radius: 20_000.0, refraction: 0.0 };
    assert_eq!(driver.scene().world, small);
    let tower = driver.desk().assessment().entry(MarkerId(2)).expect("an entry");
    assert!(tower.hidden.is_some(), "{tower:?}");
    driver.click("Ledger row marker 2");
    assert!(driver.says("below the curve."));
    driver.press(Key::Escape);
    driver.press(Key::Escape);
    driver.press_named("ground");
    assert!(driver.says("seen as far as"), "{:?}", driver.desk().assessment().levels);
    assert_eq!(driver.scene().levels[0].id, LevelId(1));
    driver.press(Key::Escape);
    driver.press_named("Earth");
    let earth = World { curvature: Curvature::Everywhere, ..World::default() };
    assert_eq!(driver.scene().world, earth);
}

#[test]
fn a_radius_that_no_world_has_is_refused() {
    let mut driver = Driver::new();
    driver.press_named("World");
    driver.type_over("Radius of the world", "2 m");
    driver.press(Key::Enter);
    assert_eq!(driver.scene().world, World::default());
}

#[test]
fn the_light_is_set_by_hand_and_let_go() {
    let mut driver = Driver::new();
    driver.press(Key::Num2);
    driver.click("+ light chip");
    driver.drag(DVec2::new(0.1, -0.05), DVec2::new(0.2, 0.05));
    driver.type_number("Heading of sunlight", "40");
    driver.type_number("Slope of sunlight", "-35");
    let light = &driver.scene().inclines[0];
    assert_eq!((light.heading, light.slope), (Some(40.0), Some(-35.0)));
    assert!(driver.has("set by hand"));
    driver.press_named("Let go");
    let light = &driver.scene().inclines[0];
    assert_eq!((light.heading, light.slope), (None, None));
}
