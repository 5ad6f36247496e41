//! Carrying markers about: what was dragged to is what the ledger reads afterwards, checked by projection
//! worked out here.

use glam::{DVec2, DVec3};
use staffage_scene::{
    Assessment, Edit, EyeByHand, Known, Level, LevelId, Marker, MarkerId, Rooted, Scene, Side,
    Span, Stands, Statement, Whereabouts, apply, assess, bearing, carried, level_at, movable,
    raised,
};

/// An eye 41 degrees across that looks 6 degrees down, by hand.
const ANGLE: f64 = 41.0;
const PITCH: f64 = -6.0;

/// Where a place, metres from the eye (X right, Y up, -Z ahead), is seen by a pinhole with that lens and
/// pitch, picture units.
fn seen(place: DVec3) -> DVec2 {
    let focal = 0.5 / (0.5 * ANGLE.to_radians()).tan();
    let (sine, cosine) = PITCH.to_radians().sin_cos();
    let ahead = place.y * sine - place.z * cosine;
    let up = place.y * cosine + place.z * sine;
    DVec2::new(focal * place.x / ahead, -focal * up / ahead)
}

fn at(distance: f64, degrees: f64, height: f64) -> DVec3 {
    let (sine, cosine) = degrees.to_radians().sin_cos();
    DVec3::new(distance * sine, height, -distance * cosine)
}

fn figure(id: u32, feet: DVec3, height: f64, stands: Stands) -> Marker {
    Marker {
        id: MarkerId(id),
        name: format!("figure {id}"),
        foot: seen(feet),
        head: seen(feet + DVec3::Y * height),
        span: Span::Upright,
        stands,
        statements: vec![],
    }
}

/// A quay 8 m below the eye, stated, and a deck 2.5 m above it.
fn scene() -> Scene {
    let by_hand = |v| Some(v);
    let level = |id, name: &str, side, metres| Level {
        id: LevelId(id),
        name: name.into(),
        side,
        clearance: Some(Known { metres, spread: 0.02 }),
        above: None,
    };
    let mut scene = Scene {
        eye: EyeByHand {
            angle_of_view: by_hand(ANGLE),
            pitch: by_hand(PITCH),
            cant: by_hand(0.0),
            ..EyeByHand::default()
        },
        levels: vec![level(1, "quay", Side::Below, 8.0), level(2, "deck", Side::Above, 2.5)],
        ..Scene::default()
    };
    let (quay, deck) = (Stands::On(LevelId(1)), Stands::On(LevelId(2)));
    scene.markers = vec![
        figure(1, at(40.0, -8.0, -8.0), 1.7, quay),
        figure(2, at(60.0, 5.0, -8.0), 1.7, quay),
        figure(3, at(90.0, 9.0, 2.5), 1.7, deck),
    ];
    let size = Known { metres: 1.7, spread: 0.06 };
    for marker in &mut scene.markers {
        marker.statements.push(Statement::KnownSize { size, as_: "adult".into() });
    }
    scene
}

fn after(scene: &Scene, marker: Marker) -> Assessment {
    assess(&apply(scene, &Edit::PutMarker(marker)).expect("a sound scene"))
}

#[test]
fn a_bearing_is_that_of_the_foot() {
    let scene = scene();
    let assessment = assess(&scene);
    for (marker, degrees) in scene.markers.iter().zip([-8.0, 5.0, 9.0_f64]) {
        let found = bearing(&assessment, marker).expect("ahead");
        assert!((found - degrees.to_radians()).abs() < 1e-9, "{found}");
    }
}

#[test]
fn what_is_carried_to_a_distance_is_read_there_on_a_level_below_and_on_one_above_the_eye() {
    let scene = scene();
    let assessment = assess(&scene);
    for (id, distance, degrees, height) in
        [(1, 55.0, 3.0_f64, -8.0), (1, 25.0, -12.0, -8.0), (3, 45.0, -4.0, 2.5)]
    {
        let to = Whereabouts { distance, bearing: degrees.to_radians() };
        let marker = carried(&scene, &assessment, MarkerId(id), to).expect("carried");
        let place = at(distance, degrees, height);
        assert!(marker.foot.distance(seen(place)) < 2e-3, "{id}: {}", marker.foot);
        let read = after(&scene, marker);
        let entry = read.entry(MarkerId(id)).expect("in the ledger");
        let found = entry.distance.expect("fixed").value;
        assert!((found / distance - 1.0).abs() < 2e-3, "{id}: {found} is not {distance}");
        assert!((entry.size.expect("fixed").value - 1.7).abs() < 0.01);
    }
}

#[test]
fn a_lie_stays_a_lie_wherever_it_is_carried() {
    let mut scene = scene();
    scene.markers[1] = figure(2, at(60.0, 5.0, -8.0), 3.4, Stands::On(LevelId(1)));
    let size = Known { metres: 1.7, spread: 0.06 };
    scene.markers[1].statements.push(Statement::KnownSize { size, as_: "adult".into() });
    let assessment = assess(&scene);
    let to = Whereabouts { distance: 35.0, bearing: 0.0 };
    let marker = carried(&scene, &assessment, MarkerId(2), to).expect("carried");
    let drawn = (marker.foot - marker.head).length();
    let expected = (seen(at(35.0, 0.0, -8.0)) - seen(at(35.0, 0.0, -4.6))).length();
    assert!((drawn / expected - 1.0).abs() < 0.01, "it is as tall as it was: {drawn}");
    assert_eq!(after(&scene, marker).contradictions(), assessment.contradictions());
}

#[test]
fn a_floating_thing_takes_its_plumb_point_along() {
    let mut scene = scene();
    let (ground, kite) = (at(50.0, 4.0, -8.0), at(50.0, 4.0, -3.0));
    let stands = Stands::Over { level: LevelId(1), plumb: seen(ground) };
    scene.markers.push(figure(4, kite, 1.0, stands));
    let assessment = assess(&scene);
    let to = Whereabouts { distance: 30.0, bearing: (-6.0_f64).to_radians() };
    let marker = carried(&scene, &assessment, MarkerId(4), to).expect("carried");
    assert!(marker.foot.distance(seen(at(30.0, -6.0, -3.0))) < 2e-3);
    let plumb = marker.stands.tie().expect("tied");
    assert!(plumb.distance(seen(at(30.0, -6.0, -8.0))) < 2e-3);
}

#[test]
fn a_head_is_raised_along_plumb() {
    let scene = scene();
    let assessment = assess(&scene);
    let size = assessment.entry(MarkerId(1)).and_then(|e| e.size).expect("fixed").value;
    let marker = raised(&scene, &assessment, MarkerId(1), 2.0 * size).expect("raised");
    assert!(marker.foot.distance(scene.markers[0].foot) < 1e-12);
    let expected = seen(at(40.0, -8.0, -8.0) + DVec3::Y * 3.4);
    assert!(marker.head.distance(expected) < 1e-9, "{}", marker.head);
}

#[test]
fn what_nothing_fixes_and_what_floats_by_its_shadow_stays_and_says_why() {
    let mut scene = scene();
    scene.markers.push(figure(5, at(50.0, 0.0, -5.0), 1.0, Stands::Unsaid));
    let hidden = Stands::Hidden { level: LevelId(1), height: Known { metres: 1.7, spread: 0.05 } };
    scene.markers.push(figure(6, at(50.0, 2.0, -7.0), 0.7, hidden));
    let assessment = assess(&scene);
    let why = |id| movable(&scene, &assessment, MarkerId(id)).map(|_| ());
    assert_eq!(why(5), Err(Rooted::Open));
    assert_eq!(why(6), Err(Rooted::Hidden));
    let behind = Whereabouts { distance: 20.0, bearing: 3.0 };
    let refused = carried(&scene, &assessment, MarkerId(1), behind);
    assert_eq!(refused, Err(Rooted::OutOfPicture));
}

#[test]
fn a_level_is_dragged_only_where_its_height_was_stated_and_never_past_the_eye() {
    let scene = scene();
    let level = level_at(&scene.levels[0], -6.5).expect("stated");
    assert_eq!(level.clearance.map(|known| known.metres), Some(6.5));
    assert_eq!(level_at(&scene.levels[0], 1.0), None);
    assert_eq!(
        level_at(&scene.levels[1], 3.0).and_then(|l| l.clearance).map(|k| k.metres),
        Some(3.0)
    );
    let unstated = Level { clearance: None, ..scene.levels[0].clone() };
    assert_eq!(level_at(&unstated, -6.5), None);
}
