//! Guides by gesture and by key: those that are kept, and those that are only shown.

use crate::driver::{Driver, Set};
use egui::{Key, Modifiers};
use glam::{DVec2, DVec3};
use staffage_desk::Thing;
use staffage_drawing::Ink;
use staffage_scene::{
    Climb, Division, Family, Flight, Form, Guide, GuideShape, LevelId, Reach, Round, Steps,
    guide_form,
};
use staffage_solver::seen;

/// A pixel of the screen at the size of the test's window, frame widths.
const PIXEL: f64 = 2e-3;

/// Guide mode over a blank frame, seen by the eye that is assumed.
fn guiding() -> (Driver, Set) {
    let mut driver = Driver::new();
    driver.press(Key::Num6);
    (driver, Set::assumed())
}

fn only(driver: &Driver) -> Guide {
    assert_eq!(driver.scene().guides.len(), 1);
    driver.scene().guides[0].clone()
}

fn form(driver: &Driver) -> Form {
    guide_form(driver.scene(), driver.desk().assessment(), &only(driver)).expect("it can be seen")
}

fn has_group(driver: &Driver, name: &str) -> bool {
    driver.desk().drawing().is_some_and(|d| d.groups.iter().any(|group| group.name == name))
}

#[test]
fn a_dragged_step_is_carried_on_in_true_perspective_and_undone_by_name() {
    let (mut driver, set) = guiding();
    let along = {
        let families = &driver.desk().assessment().eye.families;
        let right = families.iter().find(|f| matches!(f.family, Family::RecedingRight(_)));
        right.expect("a block").direction
    };
    let first = DVec3::new(-2.0, -1.6, -5.0);
    driver.drag(set.seen(first), set.seen(first + along));
    let guide = only(&driver);
    assert_eq!(driver.desk().selected(), Some(Thing::guide(guide.id)));
    let Form::Steps(form) = form(&driver) else { panic!("{guide:?}") };
    let fifth = seen(form.places[5].0).expect("in front of the eye");
    assert!(fifth.distance(set.seen(first + 5.0 * along)) < 5.0 * PIXEL, "{fifth}");
    assert!(form.post.is_some(), "posts stand at the steps");
    driver.click("Edit");
    assert!(driver.says("Undo: Draw steps 1"));
    driver.press(Key::Escape);
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert!(driver.scene().guides.is_empty());
}

#[test]
fn keys_change_the_number_of_steps_of_the_selected_guide() {
    let (mut driver, _) = guiding();
    driver.press(Key::H);
    driver.drag(DVec2::new(-0.2, 0.15), DVec2::new(-0.1, 0.1));
    driver.press(Key::PageUp);
    let GuideShape::Steps(Steps { division, .. }) = only(&driver).shape else { panic!() };
    assert_eq!(division, Division::Halve(4));
    driver.press(Key::PageDown);
    driver.press(Key::PageDown);
    let GuideShape::Steps(Steps { division, .. }) = only(&driver).shape else { panic!() };
    assert_eq!(division, Division::Halve(2));
}

#[test]
fn stairs_are_placed_by_a_click_and_their_riser_is_typed_in_any_unit() {
    let (mut driver, set) = guiding();
    driver.press(Key::I);
    driver.click_at(set.seen(DVec3::new(0.5, -1.6, -6.0)));
    driver.type_over("Riser", "7 in");
    driver.press(Key::Enter);
    let GuideShape::Flight(Flight { climb: Climb::Stairs { riser, count, .. }, .. }) =
        only(&driver).shape
    else {
        panic!("{:?}", only(&driver))
    };
    assert!((riser - 0.1778).abs() < 1e-9);
    assert_eq!(count, 12);
    assert!(driver.says("Nothing tells how high the eye is"), "it is drawn on an assumption");
}

#[test]
fn a_circle_is_dragged_from_its_centre_to_its_rim_and_its_rim_can_be_moved() {
    let (mut driver, set) = guiding();
    driver.press(Key::O);
    let centre = DVec3::new(0.0, -1.6, -6.0);
    let rim = |radius: f64| set.seen(centre + radius * DVec3::X);
    driver.drag(set.seen(centre), rim(1.0));
    let Form::Round(round) = form(&driver) else { panic!() };
    assert!((round.radius().expect("on a level") - 1.0).abs() < 0.02);
    driver.press(Key::Num1);
    driver.drag(rim(1.0), rim(2.0));
    let Form::Round(round) = form(&driver) else { panic!() };
    assert!((round.radius().expect("on a level") - 2.0).abs() < 0.04);
    driver.type_over("Radius of the circle", "5'");
    driver.press(Key::Enter);
    let GuideShape::Round(Round { radius: Reach::Metres(metres), .. }) = only(&driver).shape else {
        panic!()
    };
    assert!((metres - 1.524).abs() < 1e-9);
}

#[test]
fn a_cylinder_has_two_ends_and_goes_when_it_is_deleted() {
    let (mut driver, _) = guiding();
    driver.press_with(Modifiers::SHIFT, Key::O);
    driver.drag(DVec2::new(0.0, 0.12), DVec2::new(0.06, 0.12));
    let Form::Round(round) = form(&driver) else { panic!() };
    assert!(round.far.is_some_and(|far| far.centre.y > round.circle.centre.y), "it stands");
    driver.press(Key::Delete);
    assert!(driver.scene().guides.is_empty());
}

#[test]
fn the_grid_goes_from_level_to_level_and_off_by_its_key() {
    let (mut driver, _) = guiding();
    assert!(!has_group(&driver, "ground-grid"));
    driver.press(Key::J);
    assert!(has_group(&driver, "ground-grid"));
    let legend = driver.desk().drawing().expect("ink").ink().any(|ink| {
        matches!(ink, Ink::Words { text, .. } if text.starts_with("grid on ground in eye heights"))
    });
    assert!(legend);
    driver.press(Key::J);
    assert!(!has_group(&driver, "ground-grid"));
    assert!(driver.scene().level(LevelId(1)).is_some());
}

#[test]
fn lines_through_the_pointer_move_without_the_drawing_being_made_again() {
    let (mut driver, _) = guiding();
    driver.press_with(Modifiers::SHIFT, Key::C);
    driver.move_pointer(DVec2::new(0.1, 0.1));
    let before = driver.desk().drawing().cloned();
    driver.move_pointer(DVec2::new(-0.2, 0.05));
    assert_eq!(driver.desk().drawing().cloned(), before);
    assert!(driver.desk().remembered().guides.rays, "it is remembered");
}
