//! Why things contradict and what results rest on, in scenes whose answer is known.

use glam::DVec3;
use staffage_scene::{
    EyeByHand, Finding, Known, Level, LevelId, Marker, MarkerId, Overlap, OverlapId, Scene, Side,
    Span, Stands, Statement, Subject, assess, evidence,
};
use staffage_solver::Eye;

/// A level eye 2 m over the ground that nothing is said of, and figures (distance, height, whether it
/// is said to be an adult).
fn scene(figures: &[(f64, f64, bool)]) -> Scene {
    let eye = Eye::default();
    let mut scene = Scene {
        pointing: 0.5 / 1920.0,
        eye: EyeByHand {
            angle_of_view: Some(eye.angle_of_view().to_degrees()),
            pitch: Some(0.0),
            cant: Some(0.0),
            ..EyeByHand::default()
        },
        ..Scene::default()
    };
    for (k, (distance, height, adult)) in (1..).zip(figures) {
        let at = |y: f64| eye.project(DVec3::new(0.1 * f64::from(k), y, -distance)).unwrap();
        let size = Known { metres: 1.70, spread: 0.06 };
        scene.markers.push(Marker {
            id: MarkerId(k),
            name: format!("figure {k}"),
            foot: at(-2.0),
            head: at(height - 2.0),
            span: Span::Upright,
            stands: Stands::On(LevelId(1)),
            statements: if *adult {
                vec![Statement::KnownSize { size, as_: "adult".into() }]
            } else {
                vec![]
            },
        });
    }
    scene
}

fn sentences(finding: &Finding) -> Vec<&str> {
    finding.because.iter().map(|step| step.sentence.as_str()).collect()
}

#[test]
fn the_loop_behind_a_giant_runs_over_one_of_the_others() {
    let assessment = assess(&scene(&[
        (10.0, 1.7, true),
        (15.0, 1.7, true),
        (20.0, 1.7, true),
        (12.0, 3.4, true),
    ]));
    let finding = &assessment.findings[0];
    assert_eq!(finding.about, Subject::Marker(MarkerId(4)));
    let said = sentences(finding);
    assert_eq!(
        said,
        [
            "Figure 1 is known to be 1.70 m ± 6 % tall (adult).",
            "How large figure 1 is drawn tells its distance from its size: it is 10.0 m off.",
            "Figure 1 stands on ground, so the eye is 2.00 m over ground.",
            "Figure 4 stands on ground, which puts it 12.0 m off.",
            "Seen from there, figure 4 is drawn 3.40 m tall.",
            "But figure 4 is known to be 1.70 m ± 6 % tall (adult).",
        ]
    );
    assert_eq!(
        finding.because[2].subjects,
        [Subject::Marker(MarkerId(1)), Subject::Level(LevelId(1)),]
    );
}

#[test]
fn a_comparison_that_disagrees_is_told_from_both_sizes() {
    let mut scene = scene(&[(10.0, 1.7, true), (15.0, 1.7, true), (20.0, 5.0, false)]);
    let twin = Statement::Times { of: MarkerId(1), factor: 6.0, spread: 0.01 };
    scene.markers[2].statements.push(twin);
    let assessment = assess(&scene);
    let said = sentences(&assessment.findings[0]);
    let last = said.last().unwrap();
    assert_eq!(
        *last,
        "But figure 3 is 6.0 times as large as figure 1, so figure 3 is 10.2 m tall."
    );
    assert!(said.iter().any(|s| s.contains("figure 3 is drawn 5.0")), "{said:?}");
}

#[test]
fn an_overlap_the_distances_turn_round_is_told_by_the_distances() {
    let mut scene = scene(&[(10.0, 1.7, true), (30.0, 1.7, false)]);
    let (front, behind) = (MarkerId(2), MarkerId(1));
    scene.overlaps = vec![Overlap { id: OverlapId(1), front, behind }];
    let assessment = assess(&scene);
    let said = sentences(&assessment.findings[0]);
    assert_eq!(
        said,
        [
            "Figure 1 stands on ground, so the eye is 2.00 m over ground.",
            "Figure 2 stands on ground, which puts it 30.0 m off.",
        ]
    );
}

#[test]
fn without_a_benchmark_a_loop_is_told_in_eye_heights() {
    let mut scene = scene(&[(10.0, 1.7, false), (20.0, 3.4, false)]);
    let twin = Statement::SameMake { of: MarkerId(1), spread: 0.01 };
    scene.markers[1].statements.push(twin);
    let assessment = assess(&scene);
    let said = sentences(&assessment.findings[0]);
    assert!(said.iter().any(|s| s.contains("1.70 eye heights")), "{said:?}");
}

#[test]
fn the_known_size_of_the_only_adult_carries_most_of_what_rests_on_it() {
    let scene = scene(&[(10.0, 1.7, true), (30.0, 1.7, false)]);
    let found = evidence(&scene, MarkerId(2));
    for shares in [&found.distance, &found.size] {
        assert_eq!(shares[0].what, "the known size of figure 1");
        assert_eq!(shares[0].subject, Some(Subject::Marker(MarkerId(1))));
        assert!(shares[0].share > 0.9, "{shares:?}");
        let sum: f64 = shares.iter().map(|s| s.share).sum();
        assert!(sum <= 1.0 + 1e-9 && sum > 0.95, "{shares:?}");
    }
    assert_eq!(evidence(&scene, MarkerId(9)), staffage_scene::Evidence::default());
}

#[test]
fn two_equal_benchmarks_share_alike() {
    let scene = scene(&[(10.0, 1.7, true), (10.0, 1.7, true), (30.0, 1.7, false)]);
    let shares = evidence(&scene, MarkerId(3)).size;
    assert!((shares[0].share / shares[1].share - 1.0).abs() < 0.02, "{shares:?}");
    assert!(shares[0].what.starts_with("the known size of figure"));
}

#[test]
fn a_level_whose_stated_height_is_wrong_says_why() {
    let mut scene = scene(&[(10.0, 1.7, true), (15.0, 1.7, true), (20.0, 1.7, true)]);
    let clearance = Some(Known { metres: 4.0, spread: 0.01 });
    scene.levels = vec![Level {
        id: LevelId(1),
        name: "ground".into(),
        side: Side::Below,
        clearance,
        above: None,
    }];
    let assessment = assess(&scene);
    let finding = assessment
        .findings
        .iter()
        .find(|f| f.about == Subject::Level(LevelId(1)))
        .expect("the stated height is named");
    let said = sentences(finding);
    assert_eq!(*said.last().unwrap(), "But the eye is said to be 4.00 m over ground.");
}
