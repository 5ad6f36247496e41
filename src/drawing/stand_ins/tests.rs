use super::*;
use crate::{Axis, Emphasis, Ink, SectionView, View, draw, plan, section};
use proptest::prelude::*;
use staffage_scene::{Arranged, EyeByHand, Known, LevelId, Side, StandInId, assess};

/// An eye 3 m up that looks 8° down with 5° of cant.
fn quay(stand_ins: Vec<StandIn>) -> Scene {
    let (angle_of_view, pitch, cant) = (Some(50.0), Some(-8.0), Some(5.0));
    let eye = EyeByHand { angle_of_view, pitch, cant, ..EyeByHand::default() };
    let mut scene = Scene { eye, stand_ins, ..Scene::default() };
    scene.levels[0].clearance = Some(Known { metres: 3.0, spread: 0.01 });
    scene
}

fn standing(id: u32, shape: Shape, foot: DVec2) -> StandIn {
    StandIn {
        id: StandInId(id),
        name: format!("thing {id}"),
        shape,
        level: LevelId(1),
        foot,
        turn: 20.0,
        along: None,
        lift: 0.0,
        arranged: Arranged::Alone,
    }
}

fn drawn(scene: &Scene) -> Drawing {
    let view = View::of_frame(scene.frame, 1400.0);
    draw(scene, &assess(scene), &view, &Emphasis::default())
}

fn texts(drawing: &Drawing) -> Vec<&str> {
    let texts = drawing.ink().filter_map(|ink| match ink {
        Ink::Words { text, .. } => Some(text.as_str()),
        _ => None,
    });
    texts.collect()
}

/// Whether a stroke or a fill of a stand-in has a corner here.
fn reaches(drawing: &Drawing, at: DVec2) -> bool {
    let groups = drawing.groups.iter().filter(|group| group.name == "stand-in");
    groups.flat_map(|group| &group.ink).any(|ink| match ink {
        Ink::Stroke { points, .. } | Ink::Fill { points, .. } => {
            points.iter().any(|point| point.distance(at) < 1e-9)
        }
        _ => false,
    })
}

const ADULT: Shape = Shape::Figure { height: 1.7 };

#[test]
fn a_figure_reaches_exactly_to_its_height() {
    let scene = quay(vec![standing(1, ADULT, DVec2::new(0.1, 0.1))]);
    let assessment = assess(&scene);
    let placed = place_stand_in(&scene, &assessment, &scene.stand_ins[0]).expect("it stands");
    let crown = assessment.eye.eye.project(placed.each[0].head()).expect("before the eye");
    let drawing = drawn(&scene);
    assert!(reaches(&drawing, crown));
    assert!(texts(&drawing).iter().any(|text| text.starts_with("thing 1, 1.70 m, ")));
}

#[test]
fn where_only_stand_ins_stand_anywhere_the_section_and_the_plan_show_them() {
    let scene = quay(vec![
        standing(1, ADULT, DVec2::new(0.1, 0.1)),
        standing(2, Shape::Box { width: 300.0, height: 40.0, depth: 50.0 }, DVec2::new(0.0, 0.05)),
    ]);
    let (assessment, none) = (assess(&scene), Emphasis::default());
    let size = DVec2::new(800.0, 220.0);
    let section = section(&scene, &assessment, &none, &SectionView::default(), size);
    let plan = plan(&scene, &assessment, &none, Axis::Logarithmic, None, size);
    let (paper, ground) = (section.paper.expect("a scale"), plan.ground.expect("a scale"));
    for drawing in [&section.drawing, &plan.drawing] {
        let shown = drawing.groups.iter().filter(|group| group.name == "stand-in");
        assert_eq!(shown.filter(|group| !group.ink.is_empty()).count(), 2);
        assert!(!texts(drawing).iter().any(|text| text.contains("distance yet")));
    }
    for stand_in in &scene.stand_ins {
        let placed = place_stand_in(&scene, &assessment, stand_in).expect("it stands").each[0];
        let (near, far) = paper.distances();
        assert!((near..far).contains(&placed.distance()));
        assert!((paper.heights().0..=paper.heights().1).contains(&(placed.head().y + 3.0)));
        let at = ground.point(placed.distance(), placed.foot.x.atan2(-placed.foot.z));
        assert!(at.cmpge(DVec2::ZERO).all() && at.cmple(size).all(), "{at}");
    }
}

#[test]
fn every_stand_in_has_a_group_of_its_own_and_the_near_ones_lie_on_top() {
    let cylinder = Shape::Cylinder { diameter: 2.0, height: 4.0 };
    let near = standing(1, cylinder, DVec2::new(-0.1, 0.15));
    let far = standing(2, ADULT, DVec2::new(0.1, 0.02));
    let drawing = drawn(&quay(vec![near, far]));
    let groups = drawing.groups.iter().filter(|group| group.name == "stand-in");
    let order: Vec<_> = groups.map(|group| group.about).collect();
    let [far, near] = [2, 1].map(|id| Some(Subject::StandIn(StandInId(id))));
    assert_eq!(order, [far, near]);
}

#[test]
fn what_cannot_stand_there_is_marked_and_says_why() {
    let scene = quay(vec![standing(1, ADULT, DVec2::new(0.0, -0.2))]);
    let drawing = drawn(&scene);
    let why = "thing 1: above the horizon there is no ground to stand on";
    assert!(texts(&drawing).contains(&why), "{:?}", texts(&drawing));
    let mut scene = quay(vec![standing(1, ADULT, DVec2::new(0.0, 0.1))]);
    scene.levels[0].clearance = None;
    let why = "thing 1: nothing says how high the eye is over this level";
    assert!(texts(&drawn(&scene)).contains(&why));
}

#[test]
fn a_crowd_says_how_many_of_it_fit() {
    let mut crowd = standing(1, ADULT, DVec2::new(-0.1, 0.15));
    crowd.arranged = Arranged::Crowd { to: DVec2::new(-0.05, 0.14), count: 500, seed: 1 };
    let drawing = drawn(&quay(vec![crowd]));
    assert!(texts(&drawing).iter().any(|text| text.contains(" of 500 fit, ")));
}

fn shapes() -> impl Strategy<Value = Shape> {
    let size = prop_oneof![0.2..40.0_f64, prop::sample::select(vec![1e-3, 1e7])];
    (0..5, [size.clone(), size.clone(), size]).prop_map(|(kind, [width, depth, height])| match kind
    {
        0 => Shape::Figure { height },
        1 => Shape::Panel { width, height },
        2 => Shape::Box { width, depth, height },
        3 => Shape::Cylinder { diameter: width, height },
        _ => Shape::Ramp { width, depth, height },
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, failure_persistence: None, ..Default::default() })]

    #[test]
    fn ink_of_stand_ins_is_finite_for_whatever_may_be_set_in(
        shape in shapes(),
        foot in (-3.0..3.0_f64, -3.0..3.0_f64),
        to in prop::option::of((-3.0..3.0_f64, -3.0..3.0_f64)),
        (count, crowd) in (1..60_u32, any::<bool>()),
        (turn, lift) in (-360.0..360.0_f64, prop_oneof![-9.0..9.0_f64, -1e7..1e7_f64]),
        (pitch, cant, above) in (-89.0..89.0_f64, -90.0..90.0_f64, any::<bool>()),
    ) {
        let arranged = match to.map(DVec2::from) {
            None => Arranged::Alone,
            Some(to) if crowd => Arranged::Crowd { to, count, seed: u64::from(count) },
            Some(to) => Arranged::Row { to, count },
        };
        let stand_in = StandIn { turn, lift, arranged, ..standing(1, shape, foot.into()) };
        let mut scene = quay(vec![stand_in]);
        (scene.eye.pitch, scene.eye.cant) = (Some(pitch), Some(cant));
        scene.levels[0].side = if above { Side::Above } else { Side::Below };
        prop_assert!(scene.validate().is_ok());
        let assessment = assess(&scene);
        let view = View::of_frame(scene.frame, 1000.0);
        let mut emphasis = Emphasis::default();
        emphasis.selected.insert(Subject::StandIn(StandInId(1)));
        let all = draw(&scene, &assessment, &view, &emphasis);
        let ghost = ghost(&scene, &assessment, &scene.stand_ins[0], &view);
        for ink in all.ink().chain(ghost.ink()) {
            let points = match ink {
                Ink::Stroke { points, .. } | Ink::Fill { points, .. } => points.to_vec(),
                Ink::Disc { centre, .. } => vec![*centre],
                Ink::Words { at, offset, .. } => vec![*at, *offset / 1e3],
            };
            prop_assert!(points.iter().all(|p| p.is_finite() && p.abs().max_element() < 1.1e4));
        }
    }
}

#[test]
fn a_tower_whose_top_is_out_of_sight_is_named_where_it_is_seen() {
    let tower = |shape| {
        let drawing = drawn(&quay(vec![standing(1, shape, DVec2::new(0.0, 0.05))]));
        let named = drawing.ink().find_map(|ink| match ink {
            Ink::Words { text, at, .. } if text.starts_with("thing 1") => Some(*at),
            _ => None,
        });
        named.expect("a name")
    };
    for shape in [
        Shape::Box { width: 12.0, depth: 9.0, height: 300.0 },
        Shape::Cylinder { diameter: 12.0, height: 300.0 },
    ] {
        let at = tower(shape);
        assert!(at.x.abs() < 0.5 && at.y.abs() < 0.5 / 2.35, "{at}");
    }
}

#[test]
fn of_many_that_are_selected_not_each_is_named_whatever_it_covers() {
    let foot = |i: u32| DVec2::new(0.012 * f64::from(i) - 0.3, 0.03);
    let scene = quay((1..=40).map(|i| standing(i, ADULT, foot(i))).collect());
    let names = |emphasis: &Emphasis| {
        let view = View::of_frame(scene.frame, 700.0);
        let drawing = draw(&scene, &assess(&scene), &view, emphasis);
        texts(&drawing).iter().filter(|text| text.starts_with("thing")).count()
    };
    let selected = (1..=40).map(|i| Subject::StandIn(StandInId(i))).collect();
    let all = Emphasis { selected, ..Emphasis::default() };
    assert_eq!(names(&all), names(&Emphasis::default()));
    let two = [1, 2].map(|i| Subject::StandIn(StandInId(i))).into();
    assert!(names(&Emphasis { selected: two, ..Emphasis::default() }) >= 2);
}
