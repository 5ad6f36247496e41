//! Whatever was drawn, an assessment comes back whole.

mod any_shape;

use glam::DVec2;
use proptest::prelude::*;
use staffage_scene::{
    Above, Arranged, Assessment, Block, BlockId, Climb, Curvature, Division, Evidence, EyeByHand,
    Family, Flight, Guide, GuideId, GuideShape, Incline, InclineId, Known, Level, LevelId, Line,
    LineId, Marker, MarkerId, Measure, Overlap, OverlapId, Plane, Post, PrincipalPoint, Reach,
    Round, Scene, Segment, Side, Span, StandIn, StandInId, Stands, Statement, Steps, Subject,
    Whereabouts, World, aligned, apply, assess, duplicated, evidence, guide_words, mends,
    place_stand_in, stand_in_carried, stand_in_raised, stand_in_words, suggestion,
};

/// A number as bad as a hand-edited file could hold; mostly a good one.
fn number(range: std::ops::Range<f64>) -> impl Strategy<Value = f64> {
    prop_oneof![
        12 => range,
        1 => Just(0.0),
        1 => prop_oneof![Just(f64::NAN), Just(f64::INFINITY), Just(-1e300), Just(1e-300)],
    ]
}

/// A picture point, often one of a few so that points coincide and lines are parallel.
fn point() -> impl Strategy<Value = DVec2> {
    prop_oneof![
        6 => (-0.7..0.7, -0.4..0.4).prop_map(|(x, y)| DVec2::new(x, y)),
        2 => prop::sample::select(vec![DVec2::ZERO, DVec2::new(0.1, 0.0), DVec2::new(0.0, 0.2)]),
        1 => (number(-100.0..100.0), number(-100.0..100.0)).prop_map(|(x, y)| DVec2::new(x, y)),
    ]
}

fn family() -> impl Strategy<Value = Family> {
    prop_oneof![
        Just(Family::Upright),
        (1..4_u32).prop_map(|b| Family::RecedingRight(BlockId(b))),
        (1..4_u32).prop_map(|b| Family::RecedingLeft(BlockId(b))),
        (1..3_u32).prop_map(|i| Family::Incline(InclineId(i))),
    ]
}

fn known() -> impl Strategy<Value = Known> {
    (number(0.01..1000.0), number(0.0..0.4)).prop_map(|(metres, spread)| Known { metres, spread })
}

fn statement() -> impl Strategy<Value = Statement> {
    let of = (1..8_u32).prop_map(MarkerId);
    prop_oneof![
        known().prop_map(|size| Statement::KnownSize { size, as_: "adult".into() }),
        (of.clone(), number(0.0..0.2)).prop_map(|(of, spread)| Statement::SameMake { of, spread }),
        (of.clone(), number(0.1..10.0), number(0.0..0.2))
            .prop_map(|(of, factor, spread)| Statement::Times { of, factor, spread }),
        (of, number(0.0..0.2)).prop_map(|(of, spread)| Statement::SameDistance { of, spread }),
        known().prop_map(Statement::Distance),
    ]
}

fn marker(id: u32) -> impl Strategy<Value = Marker> {
    let span = prop_oneof![
        3 => Just(Span::Upright),
        1 => Just(Span::Facing),
        1 => family().prop_map(Span::Along),
        1 => Just(Span::Cylinder),
        1 => Just(Span::Ball),
    ];
    let stands = prop_oneof![
        Just(Stands::Unsaid),
        (1..4_u32).prop_map(|l| Stands::On(LevelId(l))),
        ((1..4_u32), point()).prop_map(|(l, plumb)| Stands::Over { level: LevelId(l), plumb }),
        ((1..4_u32), point()).prop_map(|(l, tip)| Stands::Shadow {
            level: LevelId(l),
            tip,
            light: InclineId(1)
        }),
        ((1..4_u32), known()).prop_map(|(l, height)| Stands::Hidden { level: LevelId(l), height }),
        (1..8_u32).prop_map(|of| Stands::OnTop(MarkerId(of))),
    ];
    (point(), point(), span, stands, prop::collection::vec(statement(), 0..3)).prop_map(
        move |(foot, head, span, stands, statements)| Marker {
            id: MarkerId(id),
            name: format!("thing {id}"),
            foot,
            head,
            span,
            stands,
            statements,
        },
    )
}

fn stand_in(id: u32) -> impl Strategy<Value = StandIn> {
    let count = 0..40_u32;
    let arranged = prop_oneof![
        Just(Arranged::Alone),
        (point(), count.clone()).prop_map(|(to, count)| Arranged::Row { to, count }),
        (point(), count, any::<u64>()).prop_map(|(to, count, seed)| Arranged::Crowd {
            to,
            count,
            seed
        }),
    ];
    let along = prop::option::of((1..4_u32).prop_map(BlockId));
    let pose = (number(-400.0..400.0), along, number(-50.0..50.0));
    (any_shape::shape(|| number(0.01..500.0)), 1..4_u32, point(), pose, arranged).prop_map(
        move |(shape, level, foot, (turn, along, lift), arranged)| StandIn {
            id: StandInId(id),
            name: format!("ghost {id}"),
            shape,
            level: LevelId(level),
            foot,
            turn,
            along,
            lift,
            arranged,
        },
    )
}

fn reach() -> impl Strategy<Value = Reach> {
    prop_oneof![point().prop_map(Reach::To), number(0.01..300.0).prop_map(Reach::Metres)]
}

fn guide_shape() -> impl Strategy<Value = GuideShape> {
    let division = prop_oneof![
        (0..60_u32).prop_map(Division::Repeat),
        (0..60_u32).prop_map(Division::Parts),
        (0..40_u32).prop_map(Division::Halve),
    ];
    let post = prop::option::of((point(), family()).prop_map(|(top, family)| Post { top, family }));
    let steps = (family(), point(), point(), division, post).prop_map(
        |(family, from, to, division, post)| {
            GuideShape::Steps(Steps { family, from, to, division, post })
        },
    );
    let climb = prop_oneof![
        (number(0.01..0.5), number(0.01..0.5), 0..60_u32)
            .prop_map(|(riser, tread, count)| Climb::Stairs { riser, tread, count }),
        (number(-80.0..80.0), number(0.01..100.0))
            .prop_map(|(slope, run)| Climb::Ramp { slope, run }),
    ];
    let level = || prop::option::of((1..4_u32).prop_map(LevelId));
    let flight = (level(), point(), family(), any::<bool>(), number(0.1..20.0), climb).prop_map(
        |(level, foot, along, towards, width, climb)| {
            GuideShape::Flight(Flight { level, foot, along, towards, width, climb })
        },
    );
    let plane =
        prop_oneof![Just(Plane::Level), Just(Plane::Facing), family().prop_map(Plane::Upright)];
    let round = (plane, level(), point(), reach(), prop::option::of(reach())).prop_map(
        |(plane, level, centre, radius, carried)| {
            GuideShape::Round(Round { plane, level, centre, radius, carried })
        },
    );
    prop_oneof![steps, flight, round]
}

/// A scene with things to paint by in it, whatever they are.
fn furnished() -> BoxedStrategy<Scene> {
    let stand_ins = (0..4_usize)
        .prop_flat_map(|n| (1..=n as u32).map(|id| stand_in(id).boxed()).collect::<Vec<_>>());
    let guides = prop::collection::vec(guide_shape().boxed(), 0..4);
    (scene().boxed(), stand_ins.boxed(), guides.boxed())
        .prop_map(|(scene, stand_ins, guides)| Scene {
            stand_ins,
            guides: (1..)
                .zip(guides)
                .map(|(id, shape)| Guide { id: GuideId(id), name: String::new(), shape })
                .collect(),
            ..scene
        })
        .boxed()
}

fn scene() -> impl Strategy<Value = Scene> {
    let lines = prop::collection::vec((family(), point(), point()), 0..9);
    let by_hand = (
        prop::option::weighted(0.3, number(5.0..150.0)),
        prop::option::weighted(0.3, number(-80.0..80.0)),
        prop::option::weighted(0.3, number(-40.0..40.0)),
    );
    let above = (1..4_u32, known()).prop_map(|(l, by)| Above { level: LevelId(l), by });
    let level = (any::<bool>(), prop::option::of(known()), prop::option::weighted(0.4, above));
    let levels = prop::collection::vec(level, 0..3);
    let principal = prop_oneof![
        4 => Just(PrincipalPoint::Centre),
        1 => Just(PrincipalPoint::Free),
        1 => point().prop_map(PrincipalPoint::At),
    ];
    let curvature = prop_oneof![
        Just(Curvature::Nowhere),
        Just(Curvature::WhereFelt),
        Just(Curvature::Everywhere)
    ];
    let world = (curvature, number(1e3..1e8), number(-1.0..0.9))
        .prop_map(|(curvature, radius, refraction)| World { curvature, radius, refraction });
    let markers = (0..8_usize)
        .prop_flat_map(|n| (1..=n as u32).map(|id| marker(id).boxed()).collect::<Vec<_>>());
    let overlaps = prop::collection::vec((1..9_u32, 1..9_u32), 0..4);
    let horizon = prop::option::weighted(0.3, (point(), point()));
    (lines, by_hand, levels, markers, overlaps, horizon, principal, world).prop_map(
        |(
            lines,
            (angle_of_view, pitch, cant),
            levels,
            markers,
            overlaps,
            horizon,
            principal,
            world,
        )| Scene {
            eye: EyeByHand { angle_of_view, pitch, cant, principal, ..EyeByHand::default() },
            world,
            blocks: (1..3)
                .map(|b| Block { id: BlockId(b), name: format!("block {b}"), heading: None })
                .collect(),
            inclines: vec![Incline::new(InclineId(1), "ramp")],
            horizon: horizon.map(|(a, b)| Segment(a, b)),
            lines: (1..)
                .zip(lines)
                .map(|(id, (family, a, b))| Line { id: LineId(id), family, segment: Segment(a, b) })
                .collect(),
            levels: (1..)
                .zip(levels)
                .map(|(id, (below, clearance, above))| Level {
                    id: LevelId(id),
                    name: format!("level {id}"),
                    side: if below { Side::Below } else { Side::Above },
                    clearance,
                    above,
                })
                .collect(),
            markers,
            overlaps: (1..)
                .zip(overlaps)
                .map(|(id, (front, behind))| Overlap {
                    id: OverlapId(id),
                    front: MarkerId(front),
                    behind: MarkerId(behind),
                })
                .collect(),
            ..Scene::default()
        },
    )
}

/// Every number that an assessment holds.
fn numbers(of: &Assessment) -> Vec<f64> {
    let mut all = Vec::new();
    let eye = &of.eye;
    let mut quantities = vec![eye.angle_of_view, eye.pitch, eye.cant];
    quantities.extend(eye.headings.iter().map(|(_, q)| *q));
    quantities.extend(eye.inclines.iter().flat_map(|(_, heading, slope)| [*heading, *slope]));
    all.extend(quantities.iter().flat_map(|q| [q.value, q.sd]));
    all.push(eye.eye.focal);
    for family in &eye.families {
        all.extend(family.direction.to_array());
        all.extend(family.vanishing_point.to_array());
    }
    all.extend(of.lines.iter().flat_map(|l| [l.miss, l.standardized]));
    let measure = |m: Option<Measure>| m.map_or(vec![], |m| vec![m.value, m.low, m.high]);
    // What may lie at the horizon has no upper end.
    let reaching = |m: Option<Measure>| {
        let mut ends = measure(m);
        ends.retain(|end| *end != f64::INFINITY);
        ends
    };
    all.extend(of.levels.iter().flat_map(|l| measure(l.clearance)));
    for entry in &of.ledger {
        all.extend(reaching(entry.distance));
        all.extend(reaching(entry.size));
        all.extend(measure(entry.expected_size));
        all.extend(entry.elevation);
        all.extend([entry.standardized, entry.redundancy]);
        all.extend(entry.true_head.map_or(vec![], |p| vec![p.x, p.y]));
        all.extend(entry.detectable);
        let bounds = entry.bounds.map(|b| [b.nearest, b.farthest, b.smallest, b.largest]);
        all.extend(bounds.into_iter().flatten().flatten());
    }
    all
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn every_scene_gets_a_whole_assessment_of_finite_numbers(scene in scene()) {
        let assessment = assess(&scene);
        prop_assert!(numbers(&assessment).iter().all(|n| n.is_finite()), "{assessment:?}");
        prop_assert_eq!(assessment.ledger.len(), scene.markers.len());
        prop_assert_eq!(assessment.lines.len(), scene.lines.len());
        prop_assert_eq!(assessment.levels.len(), scene.levels.len());
        for finding in &assessment.findings {
            prop_assert!(!finding.sentence.contains("NaN") && !finding.sentence.contains("inf "), "{}", finding.sentence);
            prop_assert!(finding.sentence.ends_with(['.', '?']), "{}", finding.sentence);
            for step in &finding.because {
                prop_assert!(!step.subjects.is_empty() && step.sentence.ends_with('.'));
                prop_assert!(!step.sentence.contains("NaN"), "{}", step.sentence);
            }
        }
    }

    #[test]
    fn stand_ins_stand_somewhere_or_it_is_said_why_not(scene in furnished()) {
        let assessment = assess(&scene);
        prop_assert!(numbers(&assessment).iter().all(|n| n.is_finite()));
        for stand_in in &scene.stand_ins {
            let words = stand_in_words(stand_in, &scene, &assessment);
            match place_stand_in(&scene, &assessment, stand_in) {
                Ok(placement) => {
                    let first = placement.each.first().expect("never empty");
                    if stand_in.shape.height().is_finite() && stand_in.lift.is_finite() {
                        prop_assert!(first.foot.is_finite(), "{placement:?}");
                    }
                    prop_assert!(placement.each.len() <= stand_in.arranged.count().max(1) as usize);
                }
                Err(why) => prop_assert!(words.ends_with(&why.to_string()), "{words}"),
            }
        }
        for guide in &scene.guides {
            let words = guide_words(guide, &scene, &assessment);
            prop_assert!(!words.is_empty());
        }
    }

    #[test]
    fn whatever_stands_there_is_copied_aligned_and_carried_soundly(
        scene in furnished(),
        distance in number(0.1..1e4),
        bearing in number(-2.0..2.0),
    ) {
        let assessment = assess(&scene);
        let stand_ins = scene.stand_ins.iter().map(|s| Subject::StandIn(s.id));
        let about: Vec<Subject> =
            stand_ins.chain(scene.guides.iter().map(|g| Subject::Guide(g.id))).collect();
        // Edits are checked when they are made, and a bad scene refuses any: neither may panic.
        if let Some((edit, copies)) = duplicated(&scene, &assessment, &about) {
            prop_assert_eq!(copies.len(), about.len());
            let _ = apply(&scene, &edit);
        }
        if let Some(edit) = aligned(&scene, &assessment, &about) {
            let _ = apply(&scene, &edit);
        }
        for stand_in in &scene.stand_ins {
            let to = Whereabouts { distance, bearing };
            if let Ok(carried) = stand_in_carried(&scene, &assessment, stand_in.id, to) {
                prop_assert!(carried.foot.is_finite());
            }
            let _ = stand_in_raised(&scene, &assessment, stand_in.id, distance);
        }
    }

    #[test]
    fn what_a_result_rests_on_adds_up(scene in scene()) {
        for marker in &scene.markers {
            let Evidence { distance, size } = evidence(&scene, marker.id);
            for shares in [distance, size] {
                prop_assert!(shares.iter().all(|s| (0.0..=1.0 + 1e-6).contains(&s.share)));
                prop_assert!(shares.iter().map(|s| s.share).sum::<f64>() <= 1.0 + 1e-3, "{shares:?}");
            }
        }
    }

    #[test]
    fn every_mend_is_whole_and_moves_points_to_points(scene in scene()) {
        let assessment = assess(&scene);
        for finding in &assessment.findings {
            for mend in mends(&scene, &assessment, finding) {
                prop_assert!(mend.pixels.is_finite() && mend.sentence.ends_with('.'));
                prop_assert!(mend.moves.iter().all(|m| m.0.is_finite() && m.1.is_finite()));
                prop_assert!(!mend.sentence.contains("NaN"), "{}", mend.sentence);
            }
        }
    }

    #[test]
    fn whatever_is_suggested_helps_something_that_is_there(scene in scene()) {
        if let Some(suggestion) = suggestion(&scene) {
            prop_assert!(!suggestion.helps.is_empty() && scene.has(suggestion.at));
            prop_assert!(suggestion.helps.iter().all(|id| scene.marker(*id).is_some()));
        }
    }

    #[test]
    fn the_same_scene_always_gets_the_same_assessment(scene in scene()) {
        let (once, again) = (assess(&scene), assess(&scene));
        prop_assert_eq!(format!("{once:?}"), format!("{again:?}"));
    }
}
