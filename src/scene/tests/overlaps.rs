//! What overlaps say in scenes whose answer is known.

use glam::DVec3;
use staffage_scene::{
    Assessment, EyeByHand, Known, Level, LevelId, Marker, MarkerId, Overlap, OverlapId, Scene,
    Side, Span, Standing, Stands, Subject, assess,
};
use staffage_solver::Eye;

/// An eye 2 m above the ground, looking level, and figures at these distances; `None` for one of which
/// nothing is said and that is drawn a quarter as tall as it is far.
fn figures(distances: &[Option<f64>]) -> Scene {
    let eye = Eye::default();
    let clearance = Some(Known { metres: 2.0, spread: 1e-4 });
    let mut scene = Scene {
        pointing: 0.5 / 1920.0,
        eye: EyeByHand {
            angle_of_view: Some(eye.angle_of_view().to_degrees()),
            pitch: Some(0.0),
            cant: Some(0.0),
            ..EyeByHand::default()
        },
        levels: vec![Level {
            id: LevelId(1),
            name: "ground".into(),
            side: Side::Below,
            clearance,
            above: None,
        }],
        ..Scene::default()
    };
    for (k, distance) in (1..).zip(distances) {
        let at = |y: f64| eye.project(DVec3::new(0.0, y, -distance.unwrap_or(1.0))).unwrap();
        let (foot, head) = match distance {
            Some(_) => (at(-2.0), at(-0.3)),
            None => (at(0.0), at(0.25)),
        };
        scene.markers.push(Marker {
            id: MarkerId(k),
            name: format!("figure {k}"),
            foot,
            head,
            span: Span::Upright,
            stands: if distance.is_some() { Stands::On(LevelId(1)) } else { Stands::Unsaid },
            statements: Vec::new(),
        });
    }
    scene
}

fn overlapping(distances: &[Option<f64>], overlaps: &[(u32, u32)]) -> Scene {
    let mut scene = figures(distances);
    scene.overlaps = (1..)
        .zip(overlaps)
        .map(|(id, &(front, behind))| Overlap {
            id: OverlapId(id),
            front: MarkerId(front),
            behind: MarkerId(behind),
        })
        .collect();
    scene
}

fn contradicting(assessment: &Assessment) -> Vec<(Subject, &str)> {
    let wrong = assessment.findings.iter().filter(|f| f.standing == Standing::Contradicts);
    wrong.map(|f| (f.about, f.sentence.as_str())).collect()
}

#[test]
fn things_that_hide_each_other_in_a_circle_are_named_once() {
    let scene = overlapping(&[None; 4], &[(4, 1), (1, 2), (2, 3), (3, 1)]);
    let assessment = assess(&scene);
    let said = contradicting(&assessment);
    assert_eq!(said.len(), 1);
    assert_eq!(said[0].0, Subject::Overlap(OverlapId(2)));
    assert!(
        said[0].1.starts_with(
            "figure 1 hides part of figure 2, figure 2 hides part of figure 3 and figure 3 hides \
             part of figure 1: things cannot hide each other in a circle."
        ),
        "{}",
        said[0].1
    );
}

#[test]
fn a_circle_that_known_distances_open_is_told_by_the_overlap_they_turn_round() {
    let scene = overlapping(&[Some(10.0), Some(20.0), Some(30.0)], &[(1, 2), (2, 3), (3, 1)]);
    let assessment = assess(&scene);
    let said = contradicting(&assessment);
    assert_eq!(said.len(), 1);
    assert_eq!(said[0].0, Subject::Overlap(OverlapId(3)));
}

#[test]
fn an_open_thing_behind_a_known_one_lies_beyond_it_and_is_larger_for_it() {
    // Its height is a quarter of its distance, so that beyond 40 m it is taller than 10 m.
    let scene = overlapping(&[Some(40.0), None], &[(1, 2)]);
    let assessment = assess(&scene);
    let entry = assessment.entry(MarkerId(2)).unwrap();
    assert_eq!(entry.standing, Standing::Open);
    let bounds = entry.bounds.unwrap();
    let near = assessment.entry(MarkerId(1)).unwrap().distance.unwrap();
    assert!((bounds.nearest.unwrap() / near.low - 1.0).abs() < 1e-3, "{bounds:?}");
    assert!((bounds.smallest.unwrap() / (0.25 * near.low) - 1.0).abs() < 0.02, "{bounds:?}");
    assert_eq!((bounds.farthest, bounds.largest), (None, None));
    let sentence = &assessment.findings[0].sentence;
    assert!(sentence.contains("it lies beyond 39"), "{sentence}");
    assert!(sentence.contains("so it is taller than 9."), "{sentence}");
}

#[test]
fn an_open_thing_between_two_known_ones_is_bounded_on_both_sides() {
    let scene = overlapping(&[Some(10.0), None, Some(40.0)], &[(1, 2), (2, 3)]);
    let bounds = assess(&scene).entry(MarkerId(2)).unwrap().bounds.unwrap();
    assert!(bounds.nearest.unwrap() < 10.0 && bounds.nearest.unwrap() > 9.5);
    assert!(bounds.farthest.unwrap() > 40.0 && bounds.farthest.unwrap() < 42.0);
    assert!(bounds.smallest.unwrap() < bounds.largest.unwrap());
}

#[test]
fn a_thing_behind_the_farther_and_before_the_nearer_has_no_room() {
    let scene = overlapping(&[Some(40.0), None, Some(10.0)], &[(1, 2), (2, 3)]);
    let assessment = assess(&scene);
    let said = contradicting(&assessment);
    assert_eq!(said.len(), 1);
    assert!(said[0].1.starts_with("The overlaps leave no room for figure 2"), "{}", said[0].1);
    assert_eq!(assessment.entry(MarkerId(2)).unwrap().bounds, None);
}

#[test]
fn distances_out_of_order_within_chance_are_moved_until_they_are_in_order() {
    let scene = overlapping(&[Some(40.1), Some(40.0)], &[(1, 2)]);
    let free = assess(&Scene { overlaps: vec![], ..scene.clone() });
    let bounded = assess(&scene);
    let far = |of: &Assessment, id| of.entry(MarkerId(id)).unwrap().distance.unwrap().value;
    assert!(far(&free, 1) > far(&free, 2));
    assert!(far(&bounded, 1) <= far(&bounded, 2) * (1.0 + 1e-6));
    assert!((far(&bounded, 1) - 40.05).abs() < 0.02, "{}", far(&bounded, 1));
    assert!(contradicting(&bounded).is_empty());
}

#[test]
fn bounds_without_a_benchmark_are_in_eye_heights() {
    let mut scene = overlapping(&[Some(40.0), None], &[(1, 2)]);
    scene.levels[0].clearance = None;
    let bounds = assess(&scene).entry(MarkerId(2)).unwrap().bounds.unwrap();
    assert_eq!(bounds.unit, staffage_scene::Unit::EyeHeights(LevelId(1)));
    assert!((bounds.nearest.unwrap() - 20.0).abs() < 0.5, "{bounds:?}");
}
