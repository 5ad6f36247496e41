//! Guides by gesture: ramps, parts, circles and cylinders on any plane; fans, measuring points and what
//! runs through the pointer.

use crate::driver::{Driver, Set};
use egui::{Key, Modifiers};
use glam::{DVec2, DVec3};
use staffage_drawing::Ink;
use staffage_scene::{
    Climb, Division, Family, Flight, Form, Guide, GuideShape, Plane, Round, Steps, guide_form,
};
use staffage_solver::seen;

/// Guide mode before a canted eye that is read from lines.
fn guiding() -> (Driver, Set) {
    let (set, mut driver) = (Set::canted(), Driver::new());
    set.trace(&mut driver);
    driver.press(Key::Num6);
    (driver, set)
}

fn only(driver: &Driver) -> Guide {
    let [guide] = &driver.scene().guides[..] else { panic!("{:?}", driver.scene().guides) };
    guide.clone()
}

fn form(driver: &Driver) -> Form {
    guide_form(driver.scene(), driver.desk().assessment(), &only(driver)).expect("it can be seen")
}

fn direction(driver: &Driver, wanted: fn(Family) -> bool) -> DVec3 {
    let families = &driver.desk().assessment().eye.families;
    families.iter().find(|f| wanted(f.family)).expect("a family").direction
}

fn vanishing(driver: &Driver, wanted: fn(Family) -> bool) -> DVec3 {
    let families = &driver.desk().assessment().eye.families;
    families.iter().find(|f| wanted(f.family)).expect("a family").vanishing_point
}

fn strokes(driver: &Driver, group: &str) -> Vec<[DVec2; 2]> {
    let drawing = driver.desk().drawing().expect("ink");
    let ink = drawing.groups.iter().filter(|g| g.name == group).flat_map(|g| &g.ink);
    let lines = ink.filter_map(|ink| match ink {
        Ink::Stroke { points, .. } => Some([*points.first()?, *points.last()?]),
        _ => None,
    });
    lines.collect()
}

fn is_left(family: Family) -> bool {
    matches!(family, Family::RecedingLeft(_))
}

fn is_right(family: Family) -> bool {
    matches!(family, Family::RecedingRight(_))
}

fn is_upright(family: Family) -> bool {
    family == Family::Upright
}

#[test]
fn a_ramp_climbs_the_way_it_is_dragged_one_in_twelve_and_its_slope_is_typed() {
    let (mut driver, set) = guiding();
    driver.press_with(Modifiers::SHIFT, Key::I);
    driver.press(Key::R);
    let along = direction(&driver, is_right);
    let foot = DVec3::new(-1.0, -1.6, -20.0);
    driver.drag(set.seen(foot), set.seen(foot + 6.0 * along));
    let GuideShape::Flight(Flight { climb: Climb::Ramp { slope, run }, .. }) = only(&driver).shape
    else {
        panic!("{:?}", only(&driver))
    };
    assert!((slope.to_radians().tan() - 1.0 / 12.0).abs() < 1e-3, "{slope}");
    assert!((run - 6.0).abs() < 0.4, "{run}");
    driver.type_number("Slope of the ramp", "10");
    let Form::Flight(flight) = form(&driver) else { panic!() };
    let (_, rise) = flight.extent();
    assert!((rise / run - 10f64.to_radians().tan()).abs() < 0.02, "{rise}");
}

#[test]
fn stairs_are_as_many_as_the_drag_is_long() {
    let (mut driver, set) = guiding();
    driver.press(Key::I);
    driver.press(Key::L);
    let along = direction(&driver, is_left);
    let foot = DVec3::new(1.0, -1.6, -8.0);
    driver.drag(set.seen(foot), set.seen(foot + 2.9 * along));
    let GuideShape::Flight(Flight { climb: Climb::Stairs { tread, count, .. }, .. }) =
        only(&driver).shape
    else {
        panic!("{:?}", only(&driver))
    };
    assert_eq!(f64::from(count), (2.9 / tread).round());
}

#[test]
fn a_whole_is_divided_into_parts_that_are_equal_in_the_scene() {
    let (mut driver, set) = guiding();
    driver.press_with(Modifiers::SHIFT, Key::Z);
    driver.press(Key::R);
    let along = direction(&driver, is_right);
    let from = DVec3::new(-3.0, -1.6, -18.0);
    driver.drag(set.seen(from), set.seen(from + 16.0 * along));
    let GuideShape::Steps(Steps { division: Division::Parts(8), .. }) = only(&driver).shape else {
        panic!("{:?}", only(&driver))
    };
    let Form::Steps(steps) = form(&driver) else { panic!() };
    for (i, (place, _)) in steps.places.iter().enumerate() {
        let at = seen(*place).expect("in front of the eye");
        let expected = set.seen(from + 2.0 * i as f64 * along);
        assert!(at.distance(expected) < 5e-3, "part {i} is at {at}, not {expected}");
    }
    driver.press_with(Modifiers::SHIFT, Key::PageUp);
    assert!(matches!(
        only(&driver).shape,
        GuideShape::Steps(Steps { division: Division::Parts(18), .. })
    ));
}

#[test]
fn an_arch_stands_in_the_plane_of_its_wall_and_a_wheel_faces_the_viewer() {
    let (mut driver, set) = guiding();
    driver.press(Key::O);
    driver.press(Key::R);
    let along = direction(&driver, is_right);
    let centre = DVec3::new(-0.5, 0.5, -9.0);
    driver.drag(set.seen(centre), set.seen(centre + 1.5 * along));
    assert!(matches!(
        only(&driver).shape,
        GuideShape::Round(Round { plane: Plane::Upright(Family::RecedingRight(_)), .. })
    ));
    let Form::Round(round) = form(&driver) else { panic!() };
    // Its top is as far over its centre as its rim is to its side.
    let place = centre + 1.5 * DVec3::Y;
    let turns = (0..720).map(|k| f64::from(k) * std::f64::consts::TAU / 720.0);
    let rim = turns.map(|turn| round.circle.place(turn));
    let eye = driver.desk().assessment().eye.eye;
    let near = rim.filter_map(|at| eye.project(at)).map(|at| at.distance(set.seen(place)));
    let near = near.fold(f64::INFINITY, f64::min);
    assert!(near < 4e-3, "{near}");
    driver.press(Key::Delete);
    driver.press(Key::F);
    driver.drag(DVec2::new(0.2, 0.1), DVec2::new(0.26, 0.1));
    assert!(matches!(only(&driver).shape, GuideShape::Round(Round { plane: Plane::Facing, .. })));
}

#[test]
fn a_cylinder_lies_across_the_wall_it_is_drawn_on() {
    let (mut driver, set) = guiding();
    driver.press_with(Modifiers::SHIFT, Key::O);
    driver.press(Key::L);
    let along = direction(&driver, is_left);
    let centre = DVec3::new(1.0, 0.0, -10.0);
    driver.drag(set.seen(centre), set.seen(centre + along));
    let Form::Round(round) = form(&driver) else { panic!() };
    let far = round.far.expect("it has another end");
    let axis = (far.centre - round.circle.centre).normalize();
    assert!(axis.y.abs() < 1e-6 && axis.dot(along).abs() < 1e-6, "{axis}");
}

#[test]
fn every_vanishing_point_has_a_fan_whose_rays_meet_in_it() {
    let (mut driver, _) = guiding();
    assert!(strokes(&driver, "fans").is_empty());
    driver.press_with(Modifiers::SHIFT, Key::F);
    let rays = strokes(&driver, "fans");
    for wanted in [is_left, is_right, is_upright] as [fn(Family) -> bool; 3] {
        let point = vanishing(&driver, wanted);
        let meets = |[a, b]: &[DVec2; 2]| {
            let line = a.extend(1.0).cross(b.extend(1.0));
            // How far the point is off the ray, as an angle at the ray's middle.
            let towards = (point.truncate() - point.z * a.midpoint(*b)).normalize();
            line.length() > 0.0 && (*b - *a).normalize().perp_dot(towards).abs() < 1e-6
        };
        let count = rays.iter().filter(|ray| meets(ray)).count();
        assert!(count >= 5, "{count} rays of {}", rays.len());
    }
    driver.press_with(Modifiers::SHIFT, Key::F);
    assert!(strokes(&driver, "fans").is_empty());
}

#[test]
fn plumb_level_and_each_family_run_through_the_pointer() {
    let (mut driver, _) = guiding();
    driver.press_with(Modifiers::SHIFT, Key::C);
    let at = DVec2::new(0.12, 0.08);
    driver.move_pointer(at);
    for word in ["plumb", "level", "receding left", "receding right"] {
        assert!(driver.paints(word), "{word}");
    }
    let eye = driver.desk().assessment().eye.eye;
    let points = [
        eye.image(DVec3::Y),
        eye.image(DVec3::X),
        vanishing(&driver, is_left),
        vanishing(&driver, is_right),
    ];
    let strokes = driver.strokes();
    for point in points {
        let towards = (point.truncate() - point.z * at).normalize();
        let runs = |[a, b]: &[DVec2; 2]| {
            let along = (*b - *a).normalize_or_zero();
            a.distance(*b) > 0.05
                && along.perp_dot(towards).abs() < 0.01
                && (*a - at).perp_dot(along).abs() < 3e-3
        };
        assert!(strokes.iter().any(runs), "nothing runs towards {point}");
    }
}

#[test]
fn measuring_points_are_as_far_from_their_vanishing_point_as_the_eye_and_are_explained() {
    let (mut driver, _) = guiding();
    driver.press_with(Modifiers::SHIFT, Key::J);
    let (scene, assessment) = (driver.scene(), driver.desk().assessment());
    let points = staffage_drawing::measuring_points(scene, assessment);
    assert_eq!(points.len(), 2);
    let eye = assessment.eye.eye;
    for (family, point) in &points {
        let reading = assessment.eye.families.iter().find(|f| f.family == *family).expect("it");
        let vanishing = reading.vanishing_point.truncate() / reading.vanishing_point.z;
        let to_eye = (eye.focal.powi(2) + (vanishing - eye.principal).length_squared()).sqrt();
        let apart = vanishing.distance(point.truncate() / point.z);
        assert!((apart / to_eye - 1.0).abs() < 1e-9, "{apart} is not {to_eye}");
    }
    let canvas = driver.desk().canvas();
    let in_sight = points
        .iter()
        .map(|(_, p)| p.truncate() / p.z)
        .find(|at| canvas.contains(driver.desk().view().to_screen(canvas, *at)));
    driver.move_pointer(in_sight.expect("one is in sight"));
    assert!(driver.paints("Measuring point of"));
}

#[test]
fn space_and_shift_turn_the_view_while_a_guide_mode_stays() {
    let (mut driver, _) = guiding();
    let canvas = driver.desk().canvas();
    let (right, below) =
        (canvas.center() + egui::vec2(200.0, 0.0), canvas.center() + egui::vec2(0.0, 200.0));
    driver.harness.key_down_modifiers(Modifiers::SHIFT, Key::Space);
    driver.hold(Modifiers::SHIFT);
    driver.drag_on_screen(right, below);
    driver.harness.key_up_modifiers(Modifiers::NONE, Key::Space);
    driver.hold(Modifiers::NONE);
    assert!(driver.desk().view().turn.is_some(), "the view is turned");
    assert!(driver.scene().guides.is_empty(), "nothing was drawn");
    driver.press(Key::Home);
    assert!(driver.desk().view().turn.is_none());
}
