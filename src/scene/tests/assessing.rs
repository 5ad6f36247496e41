//! What an assessment says of scenes whose answer is known.

use glam::DVec2;
use staffage_scene::{
    Block, BlockId, EyeByHand, Family, Frame, Known, Level, LevelId, Line, LineId, Marker,
    MarkerId, Overlap, OverlapId, POINTING, Scene, Segment, Side, Span, Standing, Stands,
    Statement, Subject, Unit, assess,
};
use staffage_solver::{Eye, Source};

const GROUND: LevelId = LevelId(1);

/// Picture units of a 1920 x 1080 frame whose corners are (0, 0) and (1920, 1080).
fn px(x: f64, y: f64) -> DVec2 {
    DVec2::new((x - 960.0) / 1920.0, (y - 540.0) / 1920.0)
}

fn ground(clearance: Option<f64>) -> Level {
    let clearance = clearance.map(|metres| Known { metres, spread: 1e-4 });
    Level { id: GROUND, name: "ground".into(), side: Side::Below, clearance, above: None }
}

/// A frame whose eye is set by hand.
fn seen_by(eye: &Eye, clearance: Option<f64>) -> Scene {
    Scene {
        frame: Frame { ratio: 16.0 / 9.0, working_width: 1920 },
        pointing: 0.5 / 1920.0,
        eye: EyeByHand {
            angle_of_view: Some(eye.angle_of_view().to_degrees()),
            pitch: Some(eye.pitch.to_degrees()),
            cant: Some(eye.cant.to_degrees()),
            ..EyeByHand::default()
        },
        levels: vec![ground(clearance)],
        ..Scene::default()
    }
}

fn upright(id: u32, foot: DVec2, head: DVec2) -> Marker {
    Marker {
        id: MarkerId(id),
        name: format!("figure {id}"),
        foot,
        head,
        span: Span::Upright,
        stands: Stands::On(GROUND),
        statements: Vec::new(),
    }
}

fn adult(spread: f64) -> Statement {
    Statement::KnownSize { size: Known { metres: 1.70, spread }, as_: "adult".into() }
}

/// An upright of a given height standing `ahead` metres in front of an eye 2 m up and `right` of it.
fn figure(id: u32, eye: &Eye, ahead: f64, right: f64, height: f64) -> Marker {
    let at = |y: f64| eye.project(glam::DVec3::new(right, y - 2.0, -ahead)).unwrap();
    upright(id, at(0.0), at(height))
}

#[test]
fn a_level_eye_reads_a_height_by_the_horizon_ratio() {
    // Level camera, horizon at 400, foot 700, crown 380, eye height 1.60 m: 1.706667 m (similar
    // triangles; "the horizon cuts all figures at eye height", any perspective handbook).
    let focal = 1000.0 / 1920.0;
    let mut scene = seen_by(&Eye { focal, ..Eye::default() }, Some(1.60));
    // A frame cropped so that the horizon is at 400 px is a level eye of a taller frame: shift it.
    let shifted = |y: f64| px(960.0, y + 140.0);
    scene.markers.push(upright(1, shifted(700.0), shifted(380.0)));
    let assessment = assess(&scene);
    let entry = &assessment.ledger[0];
    assert!((entry.size.unwrap().value - 1.706_667).abs() < 1e-6);
    assert!((entry.distance.unwrap().value - 1.60 * 1000.0 / 300.0).abs() < 1e-6);
    assert_eq!(entry.unit, Unit::Metres);
    assert_eq!(entry.standing, Standing::Unchecked);
}

#[test]
fn a_pole_seen_from_an_eye_that_looks_down_keeps_its_height() {
    // Computed case: f 1000 px, pitch 15 degrees down, eye height 1.60 m, a pole of 1.80 m at 6 m
    // (base 538.8030, top 236.0023) and at 12 m (410.0276, 254.1074); the cross ratio of Criminisi,
    // Reid & Zisserman (IJCV 40, 2000) returns 1.8000, the ratio for a level eye 1.8162 and 1.8081.
    let eye = Eye { focal: 1000.0 / 1920.0, pitch: -15_f64.to_radians(), ..Eye::default() };
    let mut scene = seen_by(&eye, Some(1.60));
    scene.markers.push(upright(1, px(960.0, 538.8030), px(960.0, 236.0023)));
    scene.markers.push(upright(2, px(960.0, 410.0276), px(960.0, 254.1074)));
    let assessment = assess(&scene);
    for (entry, distance) in assessment.ledger.iter().zip([6.0, 12.0]) {
        assert!((entry.size.unwrap().value - 1.8).abs() < 1e-5, "{entry:?}");
        assert!((entry.distance.unwrap().value - distance).abs() < 1e-4, "{entry:?}");
    }
}

#[test]
fn an_upright_out_of_plumb_is_named_with_the_way_plumb_runs_there() {
    let eye = Eye { pitch: 0.4, cant: 0.15, ..Eye::default() };
    let mut scene = seen_by(&eye, Some(2.0));
    scene.markers.push(figure(1, &eye, 12.0, -3.0, 8.0));
    let mut mast = figure(2, &eye, 14.0, 3.0, 8.0);
    mast.head = mast.foot + DVec2::from_angle(0.1).rotate(mast.head - mast.foot);
    scene.markers.push(mast);
    let assessment = assess(&scene);
    let lean = |id| assessment.entry(MarkerId(id)).unwrap().lean.unwrap();
    assert!(lean(1).angle.abs() < 1e-6);
    assert!((lean(2).angle - 0.1).abs() < 1e-6);
    let findings: Vec<_> = assessment.findings.iter().map(|f| (f.about, f.standing)).collect();
    assert_eq!(findings, [(Subject::Marker(MarkerId(2)), Standing::Strained)]);
    let sentence = &assessment.findings[0].sentence;
    assert!(sentence.starts_with("figure 2 leans 5.7° to the right out of plumb."), "{sentence}");
    assert!(sentence.contains("A plumb line there leans"), "{sentence}");
}

#[test]
fn without_a_benchmark_the_ledger_is_in_eye_heights() {
    let eye = Eye::default();
    let mut scene = seen_by(&eye, None);
    scene.markers.push(figure(1, &eye, 10.0, 0.0, 1.0));
    let assessment = assess(&scene);
    let entry = &assessment.ledger[0];
    assert_eq!(entry.unit, Unit::EyeHeights(GROUND));
    assert!((entry.size.unwrap().value - 0.5).abs() < 1e-9);
    assert!((entry.distance.unwrap().value - 5.0).abs() < 1e-9);
}

#[test]
fn the_one_figure_drawn_too_large_is_named_and_the_others_hold() {
    let eye = Eye { pitch: 0.1, cant: 0.05, ..Eye::default() };
    let mut scene = seen_by(&eye, None);
    for (k, (ahead, right)) in
        [(8.0, -2.0), (12.0, 1.0), (20.0, 3.0), (30.0, -4.0)].iter().enumerate()
    {
        let mut marker = figure(1 + k as u32, &eye, *ahead, *right, 1.70);
        marker.statements.push(adult(0.06));
        scene.markers.push(marker);
    }
    let mut giant = figure(9, &eye, 16.0, -1.0, 2.72);
    giant.statements.push(adult(0.06));
    scene.markers.push(giant);
    let assessment = assess(&scene);
    assert_eq!(assessment.contradictions(), 1);
    let finding = &assessment.findings[0];
    assert_eq!(finding.about, Subject::Marker(MarkerId(9)));
    assert!(
        finding.sentence.contains("1.60 times too large. Scale it to 6"),
        "{}",
        finding.sentence
    );
    let giant = assessment.entry(MarkerId(9)).unwrap();
    assert_eq!(giant.standing, Standing::Contradicts);
    assert!((giant.size.unwrap().value / 2.72 - 1.0).abs() < 0.02);
    assert!((giant.expected_size.unwrap().value - 1.70).abs() < 1e-9);
    for k in 1..=4 {
        assert_eq!(assessment.entry(MarkerId(k)).unwrap().standing, Standing::Holds);
    }
}

#[test]
fn two_figures_that_disagree_are_both_suspects() {
    let eye = Eye::default();
    let mut scene = seen_by(&eye, None);
    for (id, height) in [(1, 1.70), (2, 3.40)] {
        let mut marker = figure(id, &eye, 10.0, f64::from(id) - 1.5, height);
        marker.statements.push(adult(0.06));
        scene.markers.push(marker);
    }
    let assessment = assess(&scene);
    assert_eq!(assessment.contradictions(), 1);
    assert!(assessment.findings[0].sentence.contains("Nothing tells whether this or figure 2"));
    assert_eq!(assessment.findings[0].with, [Subject::Marker(MarkerId(2))]);
}

#[test]
fn feet_above_the_horizon_are_impossible_on_the_ground_but_not_on_a_deck_above() {
    let eye = Eye::default();
    let mut scene = seen_by(&eye, Some(2.0));
    scene.levels.push(Level {
        id: LevelId(2),
        name: "gallery".into(),
        side: Side::Above,
        clearance: Some(Known { metres: 3.0, spread: 0.01 }),
        above: None,
    });
    scene.markers.push(upright(1, DVec2::new(0.0, -0.1), DVec2::new(0.0, -0.2)));
    let mut above = upright(2, DVec2::new(0.0, -0.1), DVec2::new(0.0, -0.2));
    above.stands = Stands::On(LevelId(2));
    scene.markers.push(above);
    let assessment = assess(&scene);
    let impossible = assessment.entry(MarkerId(1)).unwrap();
    assert_eq!(impossible.standing, Standing::Impossible);
    assert!(assessment.findings[0].sentence.contains("above the horizon"));
    assert!(assessment.contradictions() == 1);
    let deck = assessment.entry(MarkerId(2)).unwrap();
    assert!((deck.distance.unwrap().value - 30.0).abs() < 1e-6);
    assert!((deck.size.unwrap().value - 3.0).abs() < 1e-6);
    assert!((deck.elevation.unwrap() - 3.0).abs() < 1e-6);
}

#[test]
fn a_floating_thing_is_as_far_as_its_plumb_point() {
    let eye = Eye { pitch: 0.2, ..Eye::default() };
    let mut scene = seen_by(&eye, Some(2.0));
    let at = |x: f64, y: f64| eye.project(glam::DVec3::new(x, y, -40.0)).unwrap();
    let mut gondola = upright(1, at(5.0, 10.0), at(5.0, 13.0));
    gondola.stands = Stands::Over { level: GROUND, plumb: at(5.0, -2.0) };
    scene.markers.push(gondola);
    let entry = &assess(&scene).ledger[0];
    assert!((entry.distance.unwrap().value - 40_f64.hypot(5.0)).abs() < 1e-6);
    assert!((entry.size.unwrap().value - 3.0).abs() < 1e-6);
    assert!((entry.elevation.unwrap() - 10.0).abs() < 1e-6);
}

#[test]
fn degenerate_markers_get_a_standing_and_a_sentence() {
    let mut scene = seen_by(&Eye::default(), Some(1.6));
    let spot = DVec2::new(0.1, 0.2);
    scene.markers.push(upright(1, spot, spot));
    scene.markers.push(upright(2, DVec2::new(0.0, 1e-5), DVec2::new(0.0, -0.1)));
    scene.markers.push(upright(3, spot, spot + DVec2::new(0.0, 0.1)));
    scene.markers.push(upright(4, spot, spot - DVec2::new(0.0, 0.1)));
    scene.markers.push(upright(5, spot, spot - DVec2::new(0.0, 0.1)));
    let mut adrift = upright(6, spot, spot - DVec2::new(0.0, 0.1));
    adrift.stands = Stands::Unsaid;
    scene.markers.push(adrift);
    let assessment = assess(&scene);
    let standing = |id| assessment.entry(MarkerId(id)).unwrap().standing;
    assert_eq!(standing(1), Standing::Open);
    assert_eq!(standing(2), Standing::Open);
    assert_eq!(standing(3), Standing::Impossible);
    assert_eq!(standing(4), Standing::Unchecked);
    assert_eq!(standing(5), Standing::Unchecked);
    assert_eq!(standing(6), Standing::Open);
    let said = |id, words: &str| {
        let about = Subject::Marker(MarkerId(id));
        let finding = assessment.findings.iter().find(|f| f.about == about).unwrap();
        assert!(finding.sentence.contains(words), "{}", finding.sentence);
    };
    said(1, "on one spot");
    said(2, "too near the horizon");
    said(3, "lower than its foot");
    said(6, "nothing fixes its distance or its size yet");
}

#[test]
fn too_few_lines_leave_the_eye_assumed() {
    let blank = assess(&Scene::default()).eye;
    assert_eq!(blank.angle_of_view.source, Source::Assumed);
    assert_eq!(blank.pitch.source, Source::Assumed);
    let mut scene = Scene::default();
    let mut trace = |family, from: (f64, f64), to: (f64, f64)| {
        let segment = Segment(from.into(), to.into());
        let id = LineId(1 + scene.lines.len() as u32);
        scene.lines.push(Line { id, family, segment });
        assess(&scene).eye
    };
    let right = Family::RecedingRight(BlockId(1));
    assert_eq!(trace(right, (-0.4, 0.2), (0.0, 0.1)).angle_of_view.source, Source::Assumed);
    assert_eq!(trace(right, (-0.4, -0.2), (0.0, -0.1)).angle_of_view.source, Source::Assumed);
    let all_parallel = trace(right, (-0.4, 0.0), (0.1, 0.0));
    assert_eq!(all_parallel.angle_of_view.source, Source::Assumed);
    assert!(all_parallel.angle_of_view.sd > 0.1);
}

#[test]
fn a_quantity_set_by_hand_stays_as_it_was_set() {
    let mut scene = Scene::default();
    scene.eye.cant = Some(-7.0);
    let eye = assess(&scene).eye;
    assert_eq!(eye.cant.source, Source::ByHand);
    assert!((eye.cant.value.to_degrees() + 7.0).abs() < 1e-9);
    assert_eq!(eye.pitch.source, Source::Assumed);
}

#[test]
fn an_overlap_the_distances_turn_round_contradicts() {
    let eye = Eye::default();
    let mut scene = seen_by(&eye, Some(2.0));
    scene.markers.push(figure(1, &eye, 30.0, 0.0, 5.0));
    scene.markers.push(figure(2, &eye, 10.0, 0.5, 1.7));
    let overlap = |id, front, behind| Overlap {
        id: OverlapId(id),
        front: MarkerId(front),
        behind: MarkerId(behind),
    };
    scene.overlaps = vec![overlap(1, 2, 1), overlap(2, 1, 2)];
    let assessment = assess(&scene);
    let contradicting: Vec<Subject> = assessment.findings.iter().map(|f| f.about).collect();
    assert_eq!(contradicting, [Subject::Overlap(OverlapId(2))]);
}

#[test]
fn an_intended_contradiction_stays_listed_and_does_not_count() {
    let eye = Eye::default();
    let mut scene = seen_by(&eye, Some(2.0));
    let mut statue = figure(1, &eye, 10.0, 0.0, 5.1);
    statue.statements.push(adult(0.06));
    scene.markers.push(statue);
    assert_eq!(assess(&scene).contradictions(), 1);
    scene.intended.push(staffage_scene::Intended {
        about: Subject::Marker(MarkerId(1)),
        reason: "a statue".into(),
        by: String::new(),
    });
    let assessment = assess(&scene);
    assert_eq!(assessment.contradictions(), 0);
    assert_eq!(assessment.findings[0].intended.as_deref(), Some("a statue"));
}

#[test]
fn a_second_block_turned_another_way_has_its_own_heading() {
    let eye = Eye { focal: 0.9, pitch: 0.15, ..Eye::default() };
    let mut scene = Scene { pointing: POINTING, ..Scene::default() };
    scene.blocks.push(Block { id: BlockId(2), name: "mill".into(), heading: None });
    let headings = staffage_solver::Headings {
        blocks: vec![40_f64.to_radians(), 65_f64.to_radians()],
        inclines: vec![],
    };
    use staffage_solver::Family as F;
    let families = [
        (F::Upright, Family::Upright),
        (F::RecedingRight(0), Family::RecedingRight(BlockId(1))),
        (F::RecedingLeft(0), Family::RecedingLeft(BlockId(1))),
        (F::RecedingRight(1), Family::RecedingRight(BlockId(2))),
    ];
    for (family, named) in families {
        let v = eye.image(headings.direction(family));
        for (x, y) in [(-0.35, -0.12), (0.3, 0.14), (0.05, -0.15)] {
            let middle = DVec2::new(x, y);
            let half = 0.1 * (v.truncate() - v.z * middle).normalize();
            let id = LineId(1 + scene.lines.len() as u32);
            let segment = Segment(middle - half, middle + half);
            scene.lines.push(Line { id, family: named, segment });
        }
    }
    let eye = assess(&scene).eye;
    for ((_, heading), expected) in eye.headings.iter().zip([40.0, 65.0]) {
        assert_eq!(heading.source, Source::Read);
        assert!((heading.value.to_degrees() - expected).abs() < 1e-5, "{heading:?}");
    }
}
