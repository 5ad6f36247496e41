//! The whole job without a pointer: the crosshair draws, Tab reaches every field.

use crate::driver::Driver;
use egui::{Key, Modifiers};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use glam::DVec2;
use staffage_desk::{Mode, Thing};
use staffage_scene::{Arranged, Family, GuideShape, Shape, StandInId, Subject};

const SHIFT: Modifiers = Modifiers::SHIFT;

impl Driver {
    /// Tab until this has the focus.
    fn tab_to(&mut self, name: &str) {
        for _ in 0..120 {
            if self.harness.query_by_label(name).is_some_and(|node| node.is_focused()) {
                return;
            }
            self.press(Key::Tab);
        }
        panic!("Tab does not reach {name}");
    }

    /// Types into the text field that has the focus, in place of what it holds.
    fn write(&mut self, text: &str) {
        self.press_with(Modifiers::COMMAND, Key::A);
        self.harness.event(egui::Event::Text(text.into()));
        self.press(Key::Enter);
    }

    fn walk(&mut self, key: Key, far: u32, near: u32) {
        (0..far).for_each(|_| self.press_with(SHIFT, key));
        (0..near).for_each(|_| self.press(key));
    }
}

fn last_stand_in(driver: &Driver) -> &staffage_scene::StandIn {
    driver.scene().stand_ins.last().expect("it was set in")
}

#[test]
fn arrows_that_walk_the_crosshair_leave_a_horizon_alone_that_was_selected() {
    let mut driver = Driver::new();
    let horizon = |driver: &Driver| driver.desk().selection().iter().any(Thing::is_of_eye);
    for _ in 0..20 {
        if horizon(&driver) {
            break;
        }
        driver.press(Key::N);
    }
    assert!(horizon(&driver), "N comes to it");
    let before = driver.scene().clone();
    driver.press(Key::Num5);
    driver.walk(Key::ArrowUp, 2, 3);
    assert!(driver.has("Crosshair") && *driver.scene() == before);
}

#[test]
fn the_whole_job_is_done_with_keys_alone() {
    let mut driver = Driver::new();
    driver.press_with(Modifiers::COMMAND, Key::N);
    driver.press(Key::Enter);

    // Two plumb edges.
    driver.press(Key::Num2);
    driver.press(Key::U);
    driver.press(Key::Enter);
    for (aside, key) in [(Key::ArrowLeft, Key::ArrowUp), (Key::ArrowRight, Key::ArrowDown)] {
        driver.walk(aside, 5, 0);
        driver.press(Key::Enter);
        driver.walk(key, 3, 1);
        driver.press(Key::Enter);
    }
    assert_eq!(driver.scene().lines.len(), 2);
    assert!(driver.scene().lines.iter().all(|line| line.family == Family::Upright));

    // How high the eye is.
    driver.press(Key::Num5);
    driver.press(Key::Escape);
    driver.press(Key::Escape);
    driver.tab_to("Height of the eye");
    driver.write("2 m");
    assert!(driver.scene().levels[0].clearance.is_some());

    // A figure walks to where it is to stand.
    driver.press(Key::Escape);
    driver.press(Key::F);
    driver.walk(Key::ArrowDown, 3, 0);
    driver.walk(Key::ArrowRight, 2, 3);
    driver.press(Key::Enter);
    let figure = last_stand_in(&driver).clone();
    assert_eq!(figure.shape, Shape::Figure { height: 1.7 });
    let right = 2.0 * 40.0 + 3.0 * 4.0;
    let per_unit = driver.desk().view().points_per_unit;
    assert!((figure.foot.x - right / per_unit).abs() < 1e-3, "{}", figure.foot.x);

    // A box whose sizes are typed.
    driver.press(Key::B);
    driver.walk(Key::ArrowLeft, 4, 0);
    driver.press(Key::Enter);
    driver.press(Key::Escape);
    driver.tab_to("Depth of the selected");
    driver.write("300 m");
    let Shape::Box { depth, .. } = last_stand_in(&driver).shape else {
        panic!("{:?}", last_stand_in(&driver))
    };
    assert_eq!(depth, 300.0);

    // Posts along a family.
    driver.press(Key::Escape);
    driver.press(Key::Num6);
    driver.press(Key::Z);
    driver.press(Key::Enter);
    driver.press(Key::Enter);
    driver.walk(Key::ArrowUp, 0, 5);
    driver.walk(Key::ArrowLeft, 1, 0);
    driver.press(Key::Enter);
    let [guide] = &driver.scene().guides[..] else { panic!("{:?}", driver.scene().guides) };
    assert!(matches!(guide.shape, GuideShape::Steps(_)));
}

#[test]
fn escape_gives_up_first_what_is_drawn_and_then_puts_the_crosshair_away() {
    let mut driver = Driver::new();
    driver.press(Key::Num2);
    assert!(!driver.has("Crosshair"));
    driver.press(Key::Enter);
    assert!(driver.has("Crosshair"));
    driver.press(Key::Enter);
    driver.walk(Key::ArrowRight, 2, 0);
    assert_eq!(driver.scene().lines.len(), 1, "it is shown while it is drawn");
    driver.press(Key::Escape);
    assert!(driver.scene().lines.is_empty() && driver.has("Crosshair"));
    driver.press(Key::Escape);
    assert!(!driver.has("Crosshair"));
    assert_eq!(driver.desk().mode(), Mode::Line);
}

#[test]
fn the_crosshair_goes_when_the_pointer_comes_and_says_where_it_is() {
    let mut driver = Driver::new();
    driver.press(Key::Num3);
    driver.walk(Key::ArrowRight, 1, 0);
    let said = driver.harness.get_by_label("Crosshair").accesskit_node().description();
    assert!(said.as_ref().is_some_and(|said| said.contains("% across")), "{said:?}");
    let was = driver.place("Crosshair");
    driver.press(Key::ArrowDown);
    assert_eq!(driver.place("Crosshair") - was, egui::vec2(0.0, 4.0));
    driver.move_pointer(DVec2::new(0.1, 0.1));
    driver.move_pointer(DVec2::new(0.12, 0.1));
    assert!(!driver.has("Crosshair"));
}

#[test]
fn the_view_moves_along_when_the_crosshair_reaches_its_edge() {
    let mut driver = Driver::new();
    driver.press(Key::Plus);
    driver.press(Key::Plus);
    driver.press(Key::Num2);
    driver.walk(Key::ArrowRight, 16, 0);
    let at = driver.place("Crosshair");
    assert!(driver.desk().canvas().contains(at));
    assert!(driver.desk().view().centre.x > 0.05, "{}", driver.desk().view().centre);
}

#[test]
fn what_the_next_stand_in_is_and_how_many_has_keys() {
    let mut driver = Driver::before_a_known_eye(vec![], vec![]);
    driver.press(Key::Num5);
    driver.tab_to("Height of the eye");
    driver.write("2 m");
    for (modifiers, key, what) in [
        (Modifiers::NONE, Key::L, "child"),
        (Modifiers::NONE, Key::U, "door"),
        (Modifiers::NONE, Key::O, "cylinder"),
        (Modifiers::NONE, Key::I, "ramp"),
    ] {
        driver.press_with(modifiers, key);
        driver.walk(Key::ArrowDown, 3, 0);
        driver.press(Key::Enter);
        assert_eq!(last_stand_in(&driver).name, what);
        driver.press(Key::Delete);
        driver.press(Key::Escape);
    }
    driver.press(Key::F);
    driver.press(Key::R);
    driver.press(Key::PageUp);
    driver.press(Key::Enter);
    driver.walk(Key::ArrowDown, 3, 0);
    driver.press(Key::Enter);
    driver.walk(Key::ArrowRight, 4, 0);
    driver.press(Key::Enter);
    assert!(matches!(last_stand_in(&driver).arranged, Arranged::Row { count: 13, .. }));
    driver.press_with(SHIFT, Key::PageUp);
    assert_eq!(last_stand_in(&driver).arranged.count(), 23, "the selected row has more");
    driver.press(Key::H);
    driver.walk(Key::ArrowLeft, 2, 0);
    driver.press(Key::Enter);
    driver.walk(Key::ArrowUp, 1, 0);
    driver.walk(Key::ArrowLeft, 3, 0);
    driver.press(Key::Enter);
    assert!(matches!(last_stand_in(&driver).arranged, Arranged::Crowd { count: 13, .. }));
}

#[test]
fn things_are_said_to_be_in_front_of_others_by_keys() {
    let mut driver = Driver::before_a_known_eye(vec![], vec![]);
    driver.press(Key::Num3);
    driver.press(Key::Enter);
    for aside in [1, 3] {
        driver.walk(Key::ArrowRight, aside, 0);
        driver.press(Key::Enter);
        driver.walk(Key::ArrowUp, 1, 0);
        driver.press(Key::Enter);
        driver.press(Key::Escape);
    }
    assert_eq!(driver.scene().markers.len(), 2);
    driver.press(Key::Num4);
    driver.press(Key::Enter);
    driver.walk(Key::ArrowDown, 1, 0);
    driver.walk(Key::ArrowLeft, 3, 0);
    driver.press(Key::Enter);
    assert_eq!(driver.scene().overlaps.len(), 1);
}

#[test]
fn everything_on_the_canvas_is_reached_in_turn_and_has_a_name() {
    let mut driver = Driver::before_a_known_eye(vec![], vec![]);
    driver.press(Key::Num2);
    driver.drag(DVec2::new(-0.2, 0.1), DVec2::new(-0.2, -0.1));
    driver.press(Key::Num3);
    driver.drag(DVec2::new(0.1, 0.15), DVec2::new(0.1, 0.1));
    driver.press(Key::Escape);
    driver.press(Key::Num6);
    driver.drag(DVec2::new(-0.1, 0.12), DVec2::new(-0.05, 0.1));
    driver.press(Key::Num5);
    driver.tab_to("Height of the eye");
    driver.write("2 m");
    driver.click_at(DVec2::new(0.25, 0.12));
    driver.press(Key::Num1);
    driver.press(Key::Escape);
    let mut reached = Vec::new();
    loop {
        driver.press(Key::N);
        let thing = driver.desk().selected().expect("something is selected");
        if reached.contains(&thing) {
            break;
        }
        let name = thing.name(driver.scene());
        assert!(!name.is_empty() && driver.says(&name), "{thing:?} is “{name}”");
        reached.push(thing);
    }
    let scene = driver.scene();
    let all = [
        Thing::line(scene.lines[0].id),
        Thing::marker(scene.markers[0].id),
        Thing::guide(scene.guides[0].id),
        Thing::Of(Subject::StandIn(StandInId(1))),
        Thing::Of(Subject::Level(scene.levels[0].id)),
        Thing::EyeLevel,
        Thing::VanishingPoint(Family::Upright),
    ];
    for thing in all {
        assert!(reached.contains(&thing), "{thing:?} among {reached:?}");
    }
}

#[test]
fn a_name_is_asked_for_by_key_for_markers_stand_ins_guides_and_levels() {
    let mut driver = Driver::before_a_known_eye(vec![], vec![]);
    driver.press(Key::Num6);
    driver.drag(DVec2::new(-0.1, 0.12), DVec2::new(-0.05, 0.1));
    driver.press(Key::F2);
    driver.write("Fence");
    assert_eq!(driver.scene().guides[0].name, "Fence");
    driver.press(Key::Num3);
    driver.drag(DVec2::new(0.1, 0.15), DVec2::new(0.1, 0.1));
    driver.press(Key::Escape);
    driver.press(Key::F2);
    assert!(driver.has("Name"));
    driver.type_into("Name", "Keeper");
    driver.press(Key::Enter);
    assert_eq!(driver.scene().markers[0].name, "Keeper");
}
