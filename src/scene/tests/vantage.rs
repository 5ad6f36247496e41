//! The curved world: things on a sphere, drawn from where they are on it.

mod pinhole;

use glam::{DVec2, DVec3};
use pinhole::*;
use staffage_scene::{
    Assessment, Curvature, MarkerId, Scene, Standing, Stands, Subject, Unit, World, assess,
};

const SEA: staffage_scene::LevelId = GROUND;
const EYE: Pinhole = Pinhole::new(1.0, 0.0, 0.0);
const EARTH: f64 = 6_371_000.0;

/// Where a point so far along the surface and so high over it is, relative to an eye `height` over it.
/// Sight lines are straight over a radius of R / (1 - k).
fn on_sphere(world: World, height: f64, distance: f64, up: f64) -> DVec3 {
    let radius = world.radius / (1.0 - world.refraction);
    let (sin, cos) = (distance / radius).sin_cos();
    // 1 - cos without cancellation.
    let fall = 2.0 * radius * (0.5 * distance / radius).sin().powi(2);
    place(0.05 * distance, up * cos - fall - height, (radius + up) * sin)
}

/// A sea so far below the eye with nothing on it.
fn sea(world: World, height: f64) -> Scene {
    let mut scene = EYE.scene();
    scene.world = world;
    scene.levels = vec![level(SEA, "sea", Some(known(height, 1e-4)))];
    scene
}

/// Puts a ship on it whose mast is so high.
fn launch(scene: &mut Scene, height: f64, distance: f64, mast: f64) {
    let at = |up| on_sphere(scene.world, height, distance, up);
    let id = 1 + scene.markers.len() as u32;
    let mut ship = EYE.drawn(id, &format!("ship {id}"), at(0.0), at(mast));
    ship.stands = Stands::On(SEA);
    scene.markers.push(ship);
}

fn with(curvature: Curvature) -> World {
    World { curvature, ..World::default() }
}

fn distance(of: &Assessment, id: u32) -> f64 {
    assert_eq!(entry(of, id).unit, Unit::Metres);
    entry(of, id).distance.expect("it has a distance").value
}

/// The waterline is 5 % of its distance to the right.
const ASIDE: f64 = 1.001_249_219_725_04;

#[test]
fn a_ship_ten_kilometres_off_is_where_its_waterline_is_on_the_sphere() {
    for curvature in [Curvature::WhereFelt, Curvature::Everywhere] {
        let mut scene = sea(with(curvature), 30.0);
        scene.markers = Vec::new();
        launch(&mut scene, 30.0, 10_000.0, 25.0);
        // Straight ahead, so that the distance is that of the great circle.
        let world = scene.world;
        let at = |up| DVec3 { x: 0.0, ..on_sphere(world, 30.0, 10_000.0, up) };
        (scene.markers[0].foot, scene.markers[0].head) = (EYE.sees(at(0.0)), EYE.sees(at(25.0)));
        let curved = assess(&scene);
        assert_near(distance(&curved, 1), 10_000.0, 1e-6);
        // The mast stands askew to the eye's own plumb by a fraction of a degree.
        assert_near(entry(&curved, 1).size.unwrap().value, 25.0, 1e-3);
        scene.world = with(Curvature::Nowhere);
        let flat = assess(&scene);
        // 30 m over the drop of 30 m and what 10 km fall away, D² / 2R'.
        let falls = 10_000_f64.powi(2) * 0.87 / (2.0 * EARTH);
        assert_near(distance(&flat, 1), 10_000.0 * 30.0 / (30.0 + falls), 1e-4);
        assert!(distance(&flat, 1) < 8_200.0);
    }
}

#[test]
fn a_ships_known_height_and_its_waterline_agree_on_the_sphere_and_not_on_a_plane() {
    let mut scene = sea(with(Curvature::WhereFelt), 30.0);
    scene.pointing = 1e-5;
    for distance in [6_000.0, 9_000.0, 12_000.0, 15_000.0] {
        launch(&mut scene, 30.0, distance, 60.0);
    }
    for ship in &mut scene.markers {
        ship.statements.push(size(60.0, 0.02));
    }
    assert_eq!(assess(&scene).contradictions(), 0);
    scene.world = with(Curvature::Nowhere);
    assert!(assess(&scene).contradictions() > 0);
}

/// Own height over the sea from things of known size on it, none of it said.
#[test]
fn the_height_of_the_eye_follows_from_ships_of_known_size() {
    let mut scene = sea(with(Curvature::Everywhere), 30.0);
    scene.levels[0].clearance = None;
    for far in [9_000.0, 15_000.0] {
        scene.markers.clear();
        launch(&mut scene, 30.0, far, 60.0);
        scene.markers[0].statements.push(size(60.0, 0.02));
        let found = assess(&scene).levels[0].clearance.expect("the ship tells it").value;
        assert_near(found, 30.0, 1e-2);
    }
}

/// 1.17 √(feet) nautical miles and 0.97' √(feet): The American Practical Navigator (Bowditch), chapter
/// 22, 1995 and 2002, as quoted by navigators; both imply a refraction of about 0.17.
#[test]
fn the_visible_horizon_is_where_bowditch_has_it() {
    const FOOT: f64 = 0.3048;
    const NAUTICAL_MILE: f64 = 1852.0;
    for feet in [10.0, 30.0, 100.0, 400.0_f64] {
        let world = World { refraction: 0.17, ..with(Curvature::Everywhere) };
        let scene = sea(world, feet * FOOT);
        let horizon = assess(&scene).levels[0].horizon.expect("the sea is seen to its horizon");
        assert_near(horizon.distance / NAUTICAL_MILE, 1.17 * feet.sqrt(), 5e-3);
        assert_near(60.0 * horizon.dip.to_degrees(), 0.97 * feet.sqrt(), 5e-3);
    }
}

/// Eye heights and horizons at a refraction of 0.13, worked apart from this code in double precision.
#[test]
fn the_visible_horizon_agrees_with_worked_cases() {
    for (height, kilometres) in [(1.70, 4.990), (10.0, 12.102), (30.0, 20.961), (100.0, 38.270)] {
        let horizon = assess(&sea(with(Curvature::Everywhere), height)).levels[0].horizon.unwrap();
        assert_near(horizon.distance, 1e3 * kilometres, 1.2e-4);
    }
}

/// From 2 m a thing 20 km off is hidden to 14.530 m, from 10 m one 30 km off to 21.872 m (refraction
/// 0.13), worked apart from this code in double precision.
#[test]
fn the_foot_of_a_far_tower_is_hidden_as_deep_as_in_worked_cases() {
    for (height, far, deep) in [(2.0, 20e3, 14.530), (10.0, 30e3, 21.872)] {
        let mut scene = sea(World::default(), height);
        let at = |up| on_sphere(scene.world, height, far, up);
        let mut tower = EYE.drawn(1, "tower", at(deep + 5.0), at(100.0));
        tower.statements.push(staffage_scene::Statement::Distance(known(far, 1e-4)));
        scene.markers.push(tower);
        let assessment = assess(&scene);
        let hidden = entry(&assessment, 1).hidden.expect("its foot is beyond the horizon");
        assert!((hidden - deep).abs() < 1e-3, "{hidden}");
        // Its drawn foot's height over the eye, reckoned over the surface.
        assert_near(entry(&assessment, 1).elevation.unwrap(), deep + 5.0 - height, 5e-2);
    }
}

#[test]
fn a_head_over_the_curve_tells_how_far_off_its_hidden_foot_is() {
    let mut scene = sea(with(Curvature::WhereFelt), 5.0);
    let far = 14_000.0;
    let at = |up| DVec3 { x: 0.0, ..on_sphere(scene.world, 5.0, far, up) };
    let mut mast = EYE.drawn(1, "mast", at(30.0), at(50.0));
    mast.stands = Stands::Hidden { level: SEA, height: known(50.0, 0.02) };
    scene.markers.push(mast);
    let assessment = assess(&scene);
    // The head is farther from the middle of the earth than the foot by a hundred-thousandth.
    assert_near(distance(&assessment, 1), far, 1e-4);
}

#[test]
fn a_foot_beyond_the_visible_horizon_is_impossible() {
    let mut scene = sea(with(Curvature::WhereFelt), 30.0);
    // The horizon dips by 9.8', three thousandths of the frame; here the foot is seen at half of that.
    launch(&mut scene, 30.0, 10_000.0, 25.0);
    scene.pointing = 2e-5;
    scene.markers[0].foot = DVec2::new(0.0, 0.0014);
    scene.markers[0].head = DVec2::new(0.0, -0.002);
    let assessment = assess(&scene);
    let finding = finding(&assessment, Subject::Marker(MarkerId(1)));
    assert_eq!(finding.standing, Standing::Impossible);
    assert_eq!(entry(&assessment, 1).standing, Standing::Impossible);
    let start = "ship 1: sea curves away out of sight before it gets so far.";
    assert!(finding.sentence.starts_with(start), "{}", finding.sentence);
    scene.world = with(Curvature::Nowhere);
    assert!(entry(&assess(&scene), 1).distance.is_some());
}

#[test]
fn a_foot_that_pointing_puts_beyond_the_visible_horizon_is_merely_open() {
    let mut scene = sea(with(Curvature::WhereFelt), 30.0);
    launch(&mut scene, 30.0, 20_000.0, 25.0);
    scene.markers[0].foot -= DVec2::Y * 0.3 * scene.pointing;
    let assessment = assess(&scene);
    assert_eq!(entry(&assessment, 1).standing, Standing::Open, "{:#?}", assessment.findings);
    let sentence = &finding(&assessment, Subject::Marker(MarkerId(1))).sentence;
    assert!(sentence.contains("too near the horizon"), "{sentence}");
}

#[test]
fn a_foot_near_the_visible_horizon_is_no_farther_off_than_that() {
    let mut scene = sea(with(Curvature::WhereFelt), 30.0);
    launch(&mut scene, 30.0, 18_000.0, 25.0);
    let distance = entry(&assess(&scene), 1).distance.unwrap();
    // R' acos(R' / (R' + h)) is 20.961 km.
    assert!((20_900.0..21_000.0).contains(&distance.high), "{distance:?}");
    assert!(distance.low < 18_000.0 && 18_000.0 < distance.high, "{distance:?}");
    assert!(entry(&assess(&scene), 1).size.unwrap().high.is_finite());
}

#[test]
fn a_huge_world_is_flat() {
    let mut scene = sea(with(Curvature::Nowhere), 3.0);
    launch(&mut scene, 3.0, 150.0, 12.0);
    launch(&mut scene, 3.0, 60.0, 2.0);
    scene.markers[0].statements.push(size(12.0, 0.05));
    let flat = assess(&scene);
    scene.world = World { radius: 1e13, ..with(Curvature::Everywhere) };
    let huge = assess(&scene);
    for (a, b) in std::iter::zip(&flat.ledger, &huge.ledger) {
        assert_eq!((a.id, a.standing, a.unit), (b.id, b.standing, b.unit));
        for (a, b) in [(a.distance, b.distance), (a.size, b.size)] {
            let (a, b) = (a.unwrap(), b.unwrap());
            assert_near(a.value, b.value, 1e-6);
            assert_near(a.low, b.low, 1e-6);
            assert_near(a.high, b.high, 1e-6);
        }
    }
}

#[test]
fn another_world_has_another_horizon() {
    // A world as large as a small moon without air: R acos(R / (R + h)).
    let world = World { radius: 250_000.0, refraction: 0.0, ..World::default() };
    let mut scene = sea(world, 1.7);
    launch(&mut scene, 1.7, 500.0, 3.0);
    let assessment = assess(&scene);
    let horizon = assessment.levels[0].horizon.unwrap();
    let expected = 250_000.0 * (250_000.0_f64 / 250_001.7).acos();
    assert_near(horizon.distance, expected, 1e-6);
    assert_near(distance(&assessment, 1), 500.0 * ASIDE, 2e-3);
}

/// From 400 m the sea's edge is 0.6° below the eye's level: a traced horizon that was taken for the
/// eye's own would tilt the eye by as much.
#[test]
fn a_traced_horizon_lies_below_the_eyes_level_by_its_dip() {
    let mut scene = sea(with(Curvature::WhereFelt), 400.0);
    scene.eye.pitch = None;
    scene.eye.cant = None;
    let radius = EARTH / 0.87;
    let dip = (radius / (radius + 400.0)).acos();
    let edge = |heading: f64| {
        EYE.sees(place(heading.sin() * dip.cos(), -dip.sin(), heading.cos() * dip.cos()))
    };
    scene.horizon = Some(staffage_scene::Segment(edge(-0.35), edge(0.3)));
    let read = assess(&scene).eye;
    assert!(read.pitch.value.abs() < 1e-5, "{}", read.pitch.value.to_degrees());
    assert!(read.cant.value.abs() < 1e-5, "{}", read.cant.value.to_degrees());
    scene.world = with(Curvature::Nowhere);
    let flat = assess(&scene).eye.pitch.value;
    assert!((flat - dip).abs() < 0.1 * dip, "{} {}", flat.to_degrees(), dip.to_degrees());
}
