//! Mends, in scenes whose answer is known and on many that were made at random.

use glam::{DVec2, DVec3};
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use staffage_scene::{
    Edit, EyeByHand, Finding, Known, Level, LevelId, Line, LineId, Marker, MarkerId, Mend, Overlap,
    OverlapId, Scene, Segment, Side, Span, Standing, Stands, Statement, Subject, apply, assess,
    mends,
};
use staffage_solver::Eye;

const GROUND: LevelId = LevelId(1);
const ADULT: Known = Known { metres: 1.70, spread: 0.06 };

fn seen_by(eye: &Eye) -> Scene {
    Scene {
        pointing: 0.5 / 1920.0,
        eye: EyeByHand {
            angle_of_view: Some(eye.angle_of_view().to_degrees()),
            pitch: Some(eye.pitch.to_degrees()),
            cant: Some(eye.cant.to_degrees()),
            ..EyeByHand::default()
        },
        ..Scene::default()
    }
}

fn level(id: LevelId, name: &str, clearance: Option<f64>) -> Level {
    let clearance = clearance.map(|metres| Known { metres, spread: 0.01 });
    Level { id, name: name.into(), side: Side::Below, clearance, above: None }
}

/// An adult standing on a level so far below the eye, drawn with this height.
fn adult(id: u32, eye: &Eye, level: LevelId, below: f64, place: [f64; 2], height: f64) -> Marker {
    let [right, ahead] = place;
    let at = |y: f64| eye.project(DVec3::new(right, y - below, -ahead)).unwrap();
    Marker {
        id: MarkerId(id),
        name: format!("figure {id}"),
        foot: at(0.0),
        head: at(height),
        span: Span::Upright,
        stands: Stands::On(level),
        statements: vec![Statement::KnownSize { size: ADULT, as_: "adult".into() }],
    }
}

/// Honest figures on the ground and one drawn 1.6 times too large.
fn with_a_giant() -> Scene {
    let eye = Eye { pitch: 0.1, cant: 0.05, ..Eye::default() };
    let mut scene = seen_by(&eye);
    for (id, place) in (1..).zip([[-2.0, 8.0], [1.0, 12.0], [3.0, 20.0], [-4.0, 30.0]]) {
        scene.markers.push(adult(id, &eye, GROUND, 2.0, place, 1.70));
    }
    scene.markers.push(adult(9, &eye, GROUND, 2.0, [-1.0, 16.0], 2.72));
    scene
}

fn mends_of(scene: &Scene, about: Subject) -> (Finding, Vec<Mend>) {
    let assessment = assess(scene);
    let finding = assessment.findings.iter().find(|f| f.about == about).expect("it contradicts");
    (finding.clone(), mends(scene, &assessment, finding))
}

fn sentences(mends: &[Mend]) -> Vec<&str> {
    mends.iter().map(|m| m.sentence.as_str()).collect()
}

#[test]
fn a_giant_can_be_scaled_moved_or_taken_as_drawn() {
    let scene = with_a_giant();
    let (_, mends) = mends_of(&scene, Subject::Marker(MarkerId(9)));
    let said = sentences(&mends);
    for words in ["Scale it to 6", "Move the whole of it", "Take it as drawn, 2.72 m tall."] {
        assert!(said.iter().any(|s| s.starts_with(words)), "{words}: {said:?}");
    }
    let painted: Vec<f64> =
        mends.iter().filter(|m| !m.moves.is_empty()).map(|m| m.pixels).collect();
    assert!(painted.is_sorted() && painted.len() >= 2, "{painted:?}");
}

#[test]
fn a_scaled_head_lands_on_the_true_head() {
    let scene = with_a_giant();
    let assessment = assess(&scene);
    let true_head = assessment.entry(MarkerId(9)).unwrap().true_head.unwrap();
    let (_, mends) = mends_of(&scene, Subject::Marker(MarkerId(9)));
    let scaled = mends.iter().find(|m| m.sentence.starts_with("Scale")).unwrap();
    let Segment(from, to) = scaled.moves[0];
    assert_eq!(from, scene.marker(MarkerId(9)).unwrap().head);
    assert!(to.distance(true_head) < 1e-3);
    let pixels = from.distance(to) * f64::from(scene.frame.working_width);
    assert!((scaled.pixels - pixels).abs() < 1e-9);
}

#[test]
fn a_figure_that_belongs_on_the_terrace_is_sent_there() {
    let eye = Eye::default();
    let terrace = LevelId(2);
    let mut scene = seen_by(&eye);
    scene.levels = vec![level(GROUND, "ground", None), level(terrace, "terrace", None)];
    for (id, place) in (1..).zip([[-2.0, 8.0], [1.0, 12.0], [3.0, 20.0]]) {
        scene.markers.push(adult(id, &eye, GROUND, 6.0, place, 1.70));
        scene.markers.push(adult(10 + id, &eye, terrace, 3.0, place, 1.70));
    }
    let mut lost = adult(9, &eye, terrace, 3.0, [-1.0, 16.0], 1.70);
    lost.stands = Stands::On(GROUND);
    scene.markers.push(lost);
    let (_, mends) = mends_of(&scene, Subject::Marker(MarkerId(9)));
    let said = sentences(&mends);
    assert!(said.contains(&"Set it on terrace instead."), "{said:?}");
}

#[test]
fn a_figure_drawn_upside_down_is_turned_over() {
    let mut scene = with_a_giant();
    let first = &mut scene.markers[0];
    std::mem::swap(&mut first.foot, &mut first.head);
    let (finding, mends) = mends_of(&scene, Subject::Marker(MarkerId(1)));
    assert_eq!(finding.standing, Standing::Impossible);
    let said = sentences(&mends);
    assert!(said.contains(&"Take its foot for its head."), "{said:?}");
    assert!(said[0].starts_with("Draw it 1.70 m tall: its head goes"), "{said:?}");
}

#[test]
fn a_thing_said_to_be_elsewhere_is_moved_there_or_believed() {
    let eye = Eye::default();
    let mut scene = seen_by(&eye);
    scene.levels = vec![level(GROUND, "ground", Some(2.0))];
    let mut tower = adult(1, &eye, GROUND, 2.0, [0.0, 20.0], 5.0);
    tower.statements = vec![Statement::Distance(Known { metres: 40.0, spread: 0.01 })];
    scene.markers.push(tower);
    let (_, mends) = mends_of(&scene, Subject::Marker(MarkerId(1)));
    let said = sentences(&mends);
    assert!(said[0].contains("to where it is 40.0 m off"), "{said:?}");
    assert!(said.contains(&"Take it as drawn, 20.0 m off."), "{said:?}");
}

#[test]
fn a_circle_of_overlaps_is_opened_at_any_of_them() {
    let eye = Eye::default();
    let mut scene = seen_by(&eye);
    for id in 1..=3 {
        let mut figure = adult(id, &eye, GROUND, 2.0, [0.0, 10.0], 1.7);
        (figure.stands, figure.statements) = (Stands::Unsaid, Vec::new());
        scene.markers.push(figure);
    }
    for (id, front, behind) in [(1, 1, 2), (2, 2, 3), (3, 3, 1)] {
        let (front, behind) = (MarkerId(front), MarkerId(behind));
        scene.overlaps.push(Overlap { id: OverlapId(id), front, behind });
    }
    let (_, mends) = mends_of(&scene, Subject::Overlap(OverlapId(1)));
    let turned = mends.iter().filter(|m| matches!(m.edit, Edit::PutOverlap(_))).count();
    assert_eq!((turned, mends.len()), (3, 6));
}

#[test]
fn a_wrong_eye_height_takes_the_one_the_figures_have() {
    let mut scene = with_a_giant();
    scene.markers.pop();
    scene.levels = vec![level(GROUND, "ground", Some(4.0))];
    let (_, mends) = mends_of(&scene, Subject::Level(GROUND));
    let said = sentences(&mends);
    assert!(said[0].starts_with("Say 2.0"), "{said:?}");
    assert!(said[1].starts_with("Say nothing of the height at ground"), "{said:?}");
}

#[test]
fn a_stray_line_is_turned_to_its_vanishing_point() {
    let eye = Eye { pitch: 0.2, ..Eye::default() };
    let mut scene = Scene::default();
    let plumb = eye.image(DVec3::Y);
    for (id, x) in (1..).zip([-0.4, -0.25, -0.1, 0.1, 0.25, 0.4]) {
        let middle = DVec2::new(x, 0.05);
        let mut half = 0.1 * (plumb.truncate() - plumb.z * middle).normalize();
        if id == 4 {
            half = DVec2::from_angle(0.1).rotate(half);
        }
        let segment = Segment(middle - half, middle + half);
        scene.lines.push(Line { id: LineId(id), family: staffage_scene::Family::Upright, segment });
    }
    let (_, mends) = mends_of(&scene, Subject::Line(LineId(4)));
    assert!(mends[0].sentence.starts_with("Turn it about its middle"), "{mends:?}");
    assert!(mends.iter().any(|m| m.edit == Edit::RemoveLine(LineId(4))));
}

#[test]
fn what_does_not_contradict_needs_no_mend() {
    let scene = with_a_giant();
    let assessment = assess(&scene);
    let mut finding = assessment.findings[0].clone();
    finding.standing = Standing::Open;
    assert!(mends(&scene, &assessment, &finding).is_empty());
}

/// A random place: an eye, one or two levels, adults in the frame, and one to three of them drawn to
/// another scale.
fn random_scene(dice: &mut StdRng) -> Scene {
    let eye = Eye {
        focal: dice.random_range(0.6..1.6),
        pitch: dice.random_range(-0.3..0.3),
        cant: dice.random_range(-0.2..0.2),
        ..Eye::default()
    };
    let mut scene = seen_by(&eye);
    let below: Vec<f64> =
        (0..dice.random_range(1..=2)).map(|_| dice.random_range(1.5..12.0)).collect();
    scene.levels =
        (1..).zip(&below).map(|(id, _)| level(LevelId(id), &format!("level {id}"), None)).collect();
    let wanted = dice.random_range(10..40);
    for id in 1..=wanted {
        let on = dice.random_range(0..below.len());
        let ahead = dice.random_range(6.0..40.0);
        let place = [ahead * dice.random_range(-0.3..0.3), ahead];
        let id_of_level = LevelId(on as u32 + 1);
        let height = 1.70 * dice.random_range(0.94..1.06);
        let mut figure = adult(id, &eye, id_of_level, below[on], place, height);
        let mut slip = || 0.5 / 1920.0 * dice.random_range(-1.5..1.5);
        figure.foot += DVec2::new(slip(), slip());
        figure.head += DVec2::new(slip(), slip());
        let half_height = scene.frame.half_height();
        let seen = |p: DVec2| p.x.abs() < 0.5 && p.y.abs() < half_height;
        if seen(figure.foot) && seen(figure.head) {
            scene.markers.push(figure);
        }
    }
    for _ in 0..dice.random_range(1..=3).min(scene.markers.len()) {
        let liar = dice.random_range(0..scene.markers.len());
        let liar = &mut scene.markers[liar];
        let factor = dice.random_range(1.5_f64..3.0);
        let factor = if dice.random_bool(0.5) { factor } else { 1.0 / factor };
        liar.head = liar.foot + factor * (liar.head - liar.foot);
    }
    scene
}

#[test]
fn of_a_hundred_lies_ninety_nine_are_mended_by_the_first_mend_offered() {
    let mut dice = StdRng::seed_from_u64(1);
    let (mut found, mut mended) = (0, 0);
    for _ in 0..600 {
        let scene = random_scene(&mut dice);
        let assessment = assess(&scene);
        let wrong = |f: &&Finding| f.standing <= Standing::Contradicts;
        for finding in assessment.findings.iter().filter(wrong) {
            found += 1;
            let offered = mends(&scene, &assessment, finding);
            let Some(mend) = offered.first() else { continue };
            assert!(!mend.moves.is_empty(), "a repaint is offered first: {offered:?}");
            let after = assess(&apply(&scene, &mend.edit).unwrap());
            let still = after.findings.iter().any(|f| f.about == finding.about && wrong(&f));
            mended += usize::from(!still && after.contradictions() < assessment.contradictions());
        }
    }
    println!("{mended} of {found} contradictions are gone after the first mend");
    assert!(found >= 100 && 100 * mended >= 99 * found, "{mended} of {found}");
}
