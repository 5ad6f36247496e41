//! What nothing tests, in scenes whose answer is known.

use glam::DVec3;
use staffage_scene::{
    EyeByHand, Known, Level, LevelId, Marker, MarkerId, Scene, Side, Span, Stands, Statement,
    Subject, assess, suggestion,
};
use staffage_solver::Eye;

/// Two levels, the ground and a far terrace, seen by a level eye; figures by level, distance and
/// whether they are said to be adults.
fn scene(figures: &[(u32, f64, bool)]) -> Scene {
    let eye = Eye::default();
    let level = |id, name: &str| Level {
        id: LevelId(id),
        name: name.into(),
        side: Side::Below,
        clearance: None,
        above: None,
    };
    let mut scene = Scene {
        pointing: 0.5 / 1920.0,
        eye: EyeByHand {
            angle_of_view: Some(eye.angle_of_view().to_degrees()),
            pitch: Some(0.0),
            cant: Some(0.0),
            ..EyeByHand::default()
        },
        levels: vec![level(1, "ground"), level(2, "far terrace")],
        ..Scene::default()
    };
    for (id, &(level, ahead, is_adult)) in (1..).zip(figures) {
        let at = |y: f64| eye.project(DVec3::new(0.0, y, -ahead)).unwrap();
        let below = f64::from(level) + 1.0;
        let adult =
            Statement::KnownSize { size: Known { metres: 1.7, spread: 0.06 }, as_: "adult".into() };
        scene.markers.push(Marker {
            id: MarkerId(id),
            name: format!("figure {id}"),
            foot: at(-below),
            head: at(1.7 - below),
            span: Span::Upright,
            stands: Stands::On(LevelId(level)),
            statements: if is_adult { vec![adult] } else { vec![] },
        });
    }
    scene
}

#[test]
fn a_figure_on_the_level_with_no_benchmark_would_tie_down_all_that_stands_there() {
    let scene = scene(&[
        (1, 10.0, true),
        (1, 15.0, true),
        (2, 30.0, false),
        (2, 40.0, false),
        (2, 50.0, false),
        (2, 60.0, false),
    ]);
    let found = suggestion(&scene).unwrap();
    assert_eq!(found.at, Subject::Level(LevelId(2)));
    assert_eq!(found.helps, [3, 4, 5, 6].map(MarkerId));
    assert_eq!(
        found.sentence,
        "One more figure of known size on far terrace would tie down 4 things: figure 3, figure 4, \
         figure 5 and others."
    );
}

#[test]
fn what_was_suggested_does_tie_things_down_when_it_is_drawn() {
    let mut scene = scene(&[(1, 10.0, true), (1, 15.0, true), (2, 30.0, false), (2, 40.0, true)]);
    let found = suggestion(&scene).unwrap();
    assert_eq!((found.at, &found.helps[..]), (Subject::Level(LevelId(2)), &[MarkerId(4)][..]));
    let mut figure = scene.markers[3].clone();
    figure.id = MarkerId(9);
    scene.markers.push(figure);
    assert_eq!(
        assess(&scene).entry(MarkerId(4)).unwrap().standing,
        staffage_scene::Standing::Holds
    );
    assert_eq!(suggestion(&scene), None);
}

#[test]
fn of_things_that_stand_nowhere_the_size_of_one_ties_down_its_kin() {
    let mut scene = scene(&[(1, 10.0, true), (1, 15.0, true), (2, 30.0, false), (2, 40.0, false)]);
    for marker in &mut scene.markers[2..] {
        marker.stands = Stands::Unsaid;
    }
    let of = MarkerId(3);
    scene.markers[3].statements.push(Statement::SameMake { of, spread: 0.02 });
    let found = suggestion(&scene).unwrap();
    assert_eq!(found.at, Subject::Marker(MarkerId(3)));
    assert_eq!(found.helps, [MarkerId(3), MarkerId(4)]);
}

#[test]
fn a_well_tested_figure_hides_only_small_lies_and_a_lone_one_any() {
    let detectable = |adults: usize| {
        let figures: Vec<_> = (0..adults).map(|k| (1, 8.0 + 2.0 * k as f64, true)).collect();
        assess(&scene(&figures)).entry(MarkerId(1)).unwrap().detectable
    };
    assert_eq!(detectable(1), None);
    // Two sizes of 6 %: 4.13 standard deviations of their ratio, exp(4.13 x 0.06 x sqrt 2) = 1.42.
    let two = detectable(2).unwrap();
    assert!((two - 1.42).abs() < 0.01, "{two}");
    // Many: exp(4.13 x 0.06) = 1.28.
    let many = detectable(30).unwrap();
    assert!(many < 1.30 && many > 1.27, "{many}");
}

#[test]
fn an_empty_scene_is_helped_by_nothing() {
    assert_eq!(suggestion(&Scene::default()), None);
}
