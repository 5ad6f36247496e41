//! Turned views: level, plumb and free. Work goes on in them, and the painting is left as it is.

use crate::driver::{Driver, Set};
use egui::{Event, Key, Modifiers, PointerButton, Pos2, Role, vec2};
use egui_kittest::kittest::Queryable as _;
use glam::{DVec2, DVec3};
use staffage_desk::Remembered;
use staffage_scene::{EyeByHand, MarkerId, Scene, save};
use staffage_solver::Eye;

/// A canted set whose block is traced; nothing catches, so that every drag ends where it is meant to.
fn traced() -> (Driver, Set) {
    let set = Set::canted();
    let mut driver = Driver::with(Remembered { snap: false, ..Remembered::default() });
    set.trace(&mut driver);
    (driver, set)
}

fn eye(driver: &Driver) -> Eye {
    driver.desk().assessment().eye.eye
}

fn place(driver: &Driver, at: DVec2) -> Pos2 {
    driver.desk().view().to_screen(driver.desk().canvas(), at)
}

fn press_plumb(driver: &mut Driver) {
    driver.press_with(Modifiers::SHIFT, Key::Y);
}

/// Where the node of a marker is on the screen.
fn node(driver: &Driver, name: &str) -> Pos2 {
    driver.harness.get_by_role_and_label(Role::Button, name).rect().center()
}

/// Marks a figure two metres tall and checks that its marker is where it is in the picture.
fn mark_figure(driver: &mut Driver, set: &Set) {
    // Each beside the one before.
    let right = 2.0 - 2.0 * driver.scene().markers.len() as f64;
    let figure = |up: f64| set.seen(DVec3::new(right, -1.6 + up, -9.0));
    driver.press(Key::Num3);
    driver.drag(figure(0.0), figure(2.0));
    driver.press(Key::Escape);
    driver.press(Key::Num1);
    let marker = driver.scene().markers.last().expect("a marker").clone();
    let off = (marker.foot - figure(0.0)).length().max((marker.head - figure(2.0)).length());
    assert!(off < 1e-5, "{off}");
}

#[test]
fn a_figure_marked_in_a_level_view_is_where_it_is_in_the_picture() {
    let (mut driver, set) = traced();
    let before = (driver.scene().clone(), driver.desk().view());
    driver.press(Key::Y);
    assert!(driver.says("Level view: turned 6.0° clockwise"));
    let on_horizon = |u: f64| eye(&driver).nearest_on_horizon(DVec2::new(u, 0.0));
    let (left, right) = (place(&driver, on_horizon(-0.4)), place(&driver, on_horizon(0.4)));
    assert!((left.y - right.y).abs() < 1e-2 && left.x < right.x, "{left} {right}");
    assert_eq!(*driver.scene(), before.0, "only the view is turned");
    mark_figure(&mut driver, &set);
    let marker = driver.scene().markers[0].clone();
    let (found, at) =
        (node(&driver, "marker 1"), place(&driver, marker.foot.midpoint(marker.head)));
    assert!((found - at).length() < 1.0, "its node is where it is seen: {found} {at}");
    driver.press(Key::Y);
    assert_eq!(driver.desk().view(), before.1, "the same key turns it back");
    assert!(!driver.says("Level view:"));
    let foot = place(&driver, marker.foot);
    driver.click_at(marker.foot.midpoint(marker.head));
    assert!((node(&driver, "marker 1").x - foot.x).abs() < 40.0);
    assert_eq!(driver.desk().selected(), Some(staffage_desk::Thing::marker(MarkerId(1))));
}

#[test]
fn a_figure_marked_in_a_plumb_view_is_where_it_is_in_the_picture() {
    let (mut driver, set) = traced();
    press_plumb(&mut driver);
    assert!(driver.says("Plumb view: 9.0° of pitch and 6.0° of cant taken out"));
    let upright = |up: f64| place(&driver, set.seen(DVec3::new(-3.0, up, -12.0)));
    assert!((upright(-1.6).x - upright(4.0).x).abs() < 0.1, "{} {}", upright(-1.6), upright(4.0));
    mark_figure(&mut driver, &set);
    let head = driver.scene().markers[0].head;
    let to = head + DVec2::new(0.05, -0.02);
    driver.drag(head, to);
    assert!((driver.scene().markers[0].head - to).length() < 1e-5, "its handle is taken");
    press_plumb(&mut driver);
    assert!(driver.desk().view().turn.is_none());
}

#[test]
fn turned_views_work_in_a_mirror() {
    let (mut driver, set) = traced();
    driver.press_with(Modifiers::SHIFT, Key::M);
    driver.press(Key::Y);
    assert!(driver.says("Level view: turned 6.0° anticlockwise"));
    mark_figure(&mut driver, &set);
    press_plumb(&mut driver);
    mark_figure(&mut driver, &set);
}

#[test]
fn the_view_stays_while_a_line_is_dragged_and_follows_afterwards() {
    let (mut driver, _) = traced();
    press_plumb(&mut driver);
    let (line, turn) = (driver.scene().lines[0].segment, driver.desk().view().turn);
    let to = line.1 + DVec2::new(0.03, 0.0);
    driver.press_pointer(line.1);
    driver.move_pointer(line.1 + DVec2::new(0.02, 0.0));
    driver.move_pointer(to);
    assert_ne!(driver.scene().lines[0].segment, line, "the eye changes");
    assert_eq!(driver.desk().view().turn, turn, "the view does not");
    let pointer = place(&driver, to);
    driver.release_pointer(to);
    assert_ne!(driver.desk().view().turn, turn);
    let off = place(&driver, driver.scene().lines[0].segment.1) - pointer;
    assert!(off.length() < 0.5, "what was dragged stays under the pointer: {off:?}");
}

#[test]
fn brackets_turn_by_steps_and_home_shows_the_whole_frame_unturned() {
    let mut driver = Driver::new();
    let before = driver.desk().view();
    driver.press(Key::CloseBracket);
    driver.press(Key::CloseBracket);
    driver.press_with(Modifiers::SHIFT, Key::OpenBracket);
    assert!(driver.has("Turned 9.0° clockwise"));
    let (middle, right) = (place(&driver, DVec2::ZERO), place(&driver, DVec2::X * 0.2));
    assert!((f64::from((right - middle).angle()).to_degrees() - 9.0).abs() < 1e-3);
    driver.press(Key::Home);
    assert_eq!(driver.desk().view(), before);
    driver.press(Key::OpenBracket);
    driver.press(Key::Escape);
    assert!(driver.has("Turned 5.0° anticlockwise"), "Esc leaves the view");
    driver.click("Turned 5.0° anticlockwise");
    assert!(!driver.says("Turned"), "the word in the strip turns it back");
    assert!(driver.desk().view().turn.is_none());
}

#[test]
fn the_view_is_turned_freely_about_the_middle_of_the_canvas() {
    let mut driver = Driver::new();
    let middle = driver.desk().canvas().center();
    let centre = driver.desk().view().centre;
    let button = |pos: Pos2, pressed| Event::PointerButton {
        pos,
        button: PointerButton::Middle,
        pressed,
        modifiers: Modifiers::SHIFT,
    };
    driver.hold(Modifiers::SHIFT);
    driver.harness.hover_at(middle + vec2(150.0, 0.0));
    driver.harness.run();
    driver.harness.event(button(middle + vec2(150.0, 0.0), true));
    driver.harness.run();
    for at in [vec2(140.0, 60.0), vec2(80.0, 130.0), vec2(0.0, 150.0)] {
        driver.harness.hover_at(middle + at);
        driver.harness.run();
    }
    driver.harness.event(button(middle + vec2(0.0, 150.0), false));
    driver.hold(Modifiers::NONE);
    assert!(driver.has("Turned 90.0° clockwise"), "{:?}", driver.labels("Turned"));
    assert!((driver.desk().view().centre - centre).length() < 1e-9);
    let right = place(&driver, centre + DVec2::X * 0.1) - middle;
    assert!(right.x.abs() < 0.1 && right.y > 20.0, "{right:?}");
}

#[test]
fn arrow_keys_nudge_to_where_they_point_in_a_turned_view() {
    let mut driver = Driver::new();
    driver.press(Key::Num3);
    driver.drag(DVec2::new(0.0, 0.1), DVec2::new(0.0, 0.0));
    driver.press(Key::Escape);
    for _ in 0..18 {
        driver.press(Key::CloseBracket);
    }
    let before = driver.scene().markers[0].foot;
    driver.press_with(Modifiers::SHIFT, Key::ArrowRight);
    let by = driver.scene().markers[0].foot - before;
    let ten = 10.0 / f64::from(driver.scene().frame.working_width);
    assert!((by - DVec2::new(0.0, -ten)).length() < 1e-9, "the picture's up is seen right: {by}");
}

#[test]
fn an_eye_that_looks_too_steeply_gets_a_sentence_and_no_plumb_view() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("steep.ron");
    let eye = EyeByHand { pitch: Some(78.0), cant: Some(10.0), ..EyeByHand::default() };
    save(&path, &Scene { eye, ..Scene::default() }).expect("a scene is saved");
    let mut driver = Driver::new();
    driver.open(&path);
    press_plumb(&mut driver);
    assert!(driver.says("There is no plumb view of this: the eye looks 78° up"));
    assert!(driver.desk().view().turn.is_none());
    driver.press(Key::Y);
    assert!(driver.says("Level view: turned 10.0° clockwise"));
}

#[test]
fn turned_views_are_in_the_menu_and_in_the_list_of_keys() {
    let (mut driver, _) = traced();
    driver.click("View");
    let light = driver.place("Light");
    assert!(light.y < 780.0, "the whole menu is in the window: {light}");
    driver.click("Turn the view");
    driver.click("Plumb view");
    assert!(driver.says("Plumb view: 9.0°"));
    driver.press(Key::Escape);
    driver.press(Key::F1);
    driver.type_over("Search all actions", "level view");
    driver.press(Key::Enter);
    assert!(driver.says("Level view: turned 6.0°"));
}

#[test]
fn the_drawing_is_laid_out_for_the_turned_view() {
    let (mut driver, _) = traced();
    for key in [Modifiers::NONE, Modifiers::SHIFT] {
        driver.press_with(key, Key::Y);
        let canvas = driver.desk().canvas();
        let ink: Vec<_> = driver.desk().drawing().expect("a drawing").ink().cloned().collect();
        let words = ink.iter().filter_map(|ink| match ink {
            staffage_drawing::Ink::Words { at, offset, text, .. } => Some((at, offset, text)),
            _ => None,
        });
        let mut said = 0;
        for (at, offset, text) in words {
            let at = place(&driver, *at) + vec2(offset.x as f32, offset.y as f32);
            assert!(canvas.contains(at), "{text} is on the canvas: {at}");
            said += 1;
        }
        assert!(said >= 3, "the horizon and the vanishing points are named");
    }
    assert!(driver.harness.query_by_label("Painting").is_some());
}
