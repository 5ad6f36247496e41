//! Whatever a scene holds, its file says; whatever a file holds, reading it never panics.

mod any_shape;

use glam::DVec2;
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use staffage_scene::{
    Above, Arranged, Block, BlockId, Climb, Division, Edit, EyeByHand, Family, Flight, Frame,
    Guide, GuideId, GuideShape, Incline, InclineId, Intended, Known, Level, LevelId, Line, LineId,
    Marker, MarkerId, Overlap, OverlapId, Painting, Plane, Post, Reach, Round, Scene, Segment,
    Side, Span, StandIn, StandInId, Stands, Statement, Steps, Subject, apply, parse, write,
};

/// Every scene below has these many of each, numbered from 1, so that references can be drawn.
const THINGS: u32 = 4;

fn id() -> impl Strategy<Value = u32> {
    1..=THINGS
}

fn name() -> impl Strategy<Value = String> {
    // A name is tidied when it is put; an odd one must come through the file as it was kept.
    "[\\PC\"\\\\ ]{0,12}"
        .prop_map(|drawn| format!("n{}", drawn.split_whitespace().collect::<String>()))
}

fn point() -> impl Strategy<Value = DVec2> {
    (-100.0..=100.0, -100.0..=100.0).prop_map(DVec2::from)
}

fn segment() -> impl Strategy<Value = Segment> {
    (point(), point()).prop_map(|(a, b)| Segment(a, b))
}

fn spread() -> impl Strategy<Value = f64> {
    1e-3..=1.0
}

fn known() -> impl Strategy<Value = Known> {
    (-3.0..=7.0, spread()).prop_map(|(exponent, spread)| Known {
        metres: f64::powf(10.0, exponent).clamp(1e-3, 1e7),
        spread,
    })
}

fn family() -> impl Strategy<Value = Family> {
    prop_oneof![
        Just(Family::Upright),
        id().prop_map(|i| Family::RecedingRight(BlockId(i))),
        id().prop_map(|i| Family::RecedingLeft(BlockId(i))),
        id().prop_map(|i| Family::Incline(InclineId(i))),
        id().prop_map(|i| Family::Run(InclineId(i))),
    ]
}

fn span() -> impl Strategy<Value = Span> {
    prop_oneof![
        Just(Span::Upright),
        Just(Span::Facing),
        Just(Span::Cylinder),
        Just(Span::Ball),
        family().prop_map(Span::Along)
    ]
}

/// What marker `of_id` stands on; stacks are on the next one round.
fn stands(of_id: u32) -> impl Strategy<Value = Stands> {
    prop_oneof![
        Just(Stands::Unsaid),
        id().prop_map(|i| Stands::On(LevelId(i))),
        (id(), point()).prop_map(|(i, plumb)| Stands::Over { level: LevelId(i), plumb }),
        (id(), id(), point()).prop_map(|(i, light, tip)| Stands::Shadow {
            level: LevelId(i),
            tip,
            light: InclineId(light)
        }),
        (id(), known()).prop_map(|(i, height)| Stands::Hidden { level: LevelId(i), height }),
        Just(Stands::OnTop(MarkerId(of_id % THINGS + 1))),
    ]
}

/// What may be said of marker `of_id`: comparisons are with the next one round.
fn statement(of_id: u32) -> impl Strategy<Value = Statement> {
    let of = MarkerId(of_id % THINGS + 1);
    prop_oneof![
        (known(), name()).prop_map(|(size, as_)| Statement::KnownSize { size, as_ }),
        known().prop_map(Statement::Distance),
        spread().prop_map(move |spread| Statement::SameMake { of, spread }),
        spread().prop_map(move |spread| Statement::SameDistance { of, spread }),
        (1e-6..1e6, spread()).prop_map(move |(factor, spread)| Statement::Times {
            of,
            factor,
            spread
        }),
    ]
}

fn marker(id: u32) -> impl Strategy<Value = Marker> {
    (name(), point(), point(), span(), stands(id), vec(statement(id), 0..4)).prop_map(
        move |(name, foot, head, span, stands, statements)| Marker {
            id: MarkerId(id),
            name,
            foot,
            head,
            span,
            stands,
            statements,
        },
    )
}

fn level(id: u32) -> impl Strategy<Value = Level> {
    let side = prop_oneof![Just(Side::Below), Just(Side::Above)];
    let by = option::of(known());
    (name(), side, option::of(known()), by).prop_map(move |(name, side, clearance, by)| Level {
        id: LevelId(id),
        name,
        side,
        clearance,
        above: by.map(|by| Above { level: LevelId(id % THINGS + 1), by }),
    })
}

fn length() -> impl Strategy<Value = f64> {
    // The ends of the range as well.
    prop_oneof![8 => 1e-3..=1e7, 1 => Just(1e-3), 1 => Just(1e7)]
}

fn stand_in(id: u32) -> impl Strategy<Value = StandIn> {
    let shape = any_shape::shape(length);
    let arranged = prop_oneof![
        Just(Arranged::Alone),
        (point(), 1..=2_000_u32).prop_map(|(to, count)| Arranged::Row { to, count }),
        (point(), 1..=2_000_u32, any::<u64>()).prop_map(|(to, count, seed)| Arranged::Crowd {
            to,
            count,
            seed
        }),
    ];
    let pose = (-360.0..=360.0, option::of(self::id().prop_map(BlockId)), -1e7..=1e7);
    (name(), shape, self::id(), point(), pose, arranged).prop_map(
        move |(name, shape, level, foot, (turn, along, lift), arranged)| StandIn {
            id: StandInId(id),
            name,
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

fn level_family() -> impl Strategy<Value = Family> {
    prop_oneof![
        id().prop_map(|i| Family::RecedingRight(BlockId(i))),
        id().prop_map(|i| Family::RecedingLeft(BlockId(i))),
        id().prop_map(|i| Family::Run(InclineId(i))),
    ]
}

fn guide(id: u32) -> impl Strategy<Value = Guide> {
    let level = || option::of(self::id().prop_map(LevelId));
    let division = prop_oneof![
        (1..=500_u32).prop_map(Division::Repeat),
        (1..=500_u32).prop_map(Division::Parts),
        (1..=8_u32).prop_map(Division::Halve),
    ];
    let post = option::of((point(), family()).prop_map(|(top, family)| Post { top, family }));
    let steps = (family(), point(), point(), division, post).prop_map(
        |(family, from, to, division, post)| {
            GuideShape::Steps(Steps { family, from, to, division, post })
        },
    );
    let climb = prop_oneof![
        (length(), length(), 1..=500_u32).prop_map(|(riser, tread, count)| Climb::Stairs {
            riser,
            tread,
            count
        }),
        (-89.0..=89.0, length()).prop_map(|(slope, run)| Climb::Ramp { slope, run }),
    ];
    let flight = (level(), point(), level_family(), any::<bool>(), length(), climb).prop_map(
        |(level, foot, along, towards, width, climb)| {
            GuideShape::Flight(Flight { level, foot, along, towards, width, climb })
        },
    );
    let plane = prop_oneof![
        Just(Plane::Level),
        Just(Plane::Facing),
        level_family().prop_map(Plane::Upright)
    ];
    let reach = || prop_oneof![point().prop_map(Reach::To), length().prop_map(Reach::Metres)];
    let round = (plane, level(), point(), reach(), option::of(reach())).prop_map(
        |(plane, level, centre, radius, carried)| {
            // What faces the viewer has no axis to be carried along.
            let carried = carried.filter(|_| plane != Plane::Facing);
            GuideShape::Round(Round { plane, level, centre, radius, carried })
        },
    );
    (name(), prop_oneof![steps, flight, round]).prop_map(move |(name, shape)| Guide {
        id: GuideId(id),
        name,
        shape,
    })
}

/// What is only to be painted by.
fn furniture() -> impl Strategy<Value = Vec<Edit>> {
    let stand_ins: Vec<_> = (1..=3).map(|id| stand_in(id).prop_map(Edit::PutStandIn)).collect();
    let guides: Vec<_> = (1..=THINGS).map(|id| guide(id).prop_map(Edit::PutGuide)).collect();
    (stand_ins, guides).prop_map(|(a, b)| [a, b].concat())
}

fn things() -> impl Strategy<Value = Vec<Edit>> {
    let blocks: Vec<_> = (1..=THINGS)
        .map(|id| {
            (name(), option::of(-360.0..=360.0)).prop_map(move |(name, heading)| {
                Edit::PutBlock(Block { id: BlockId(id), name, heading })
            })
        })
        .collect();
    let inclines: Vec<_> = (1..=THINGS)
        .map(|id| {
            (name(), option::of(-360.0..=360.0), option::of(-89.0..=89.0)).prop_map(
                move |(name, heading, slope)| {
                    Edit::PutIncline(Incline {
                        heading,
                        slope,
                        ..Incline::new(InclineId(id), name)
                    })
                },
            )
        })
        .collect();
    let levels: Vec<_> = (1..=THINGS).map(|id| level(id).prop_map(Edit::PutLevel)).collect();
    let markers: Vec<_> = (1..=THINGS).map(|id| marker(id).prop_map(Edit::PutMarker)).collect();
    let lines: Vec<_> = (1..=THINGS)
        .map(|id| {
            (family(), segment()).prop_map(move |(family, segment)| {
                Edit::PutLine(Line { id: LineId(id), family, segment })
            })
        })
        .collect();
    (blocks, inclines, levels, markers, lines)
        .prop_map(|(a, b, c, d, e)| [a, b, c, d, e].into_iter().flatten().collect())
}

fn relations() -> impl Strategy<Value = Vec<Edit>> {
    let overlap = |id| {
        let (front, behind) = (MarkerId(id), MarkerId(id % THINGS + 1));
        Edit::PutOverlap(Overlap { id: OverlapId(id), front, behind })
    };
    let about = prop_oneof![
        id().prop_map(|i| Subject::Line(LineId(i))),
        id().prop_map(|i| Subject::Marker(MarkerId(i))),
        id().prop_map(|i| Subject::Level(LevelId(i))),
        id().prop_map(|i| Subject::Overlap(OverlapId(i))),
    ];
    let kept = (about, name(), name())
        .prop_map(|(about, reason, by)| Edit::PutIntended(Intended { about, reason, by }));
    vec(kept, 0..4).prop_map(move |kept| (1..=THINGS).map(overlap).chain(kept).collect())
}

fn settings() -> impl Strategy<Value = Vec<Edit>> {
    let painting = option::of((name(), 1..100_000_u32, 1..100_000_u32)).prop_map(|p| {
        p.map(|(name, w, h)| Painting { path: format!("{name}.png").into(), size: (w, h) })
    });
    let frame = (0.1..=20.0, 16..=100_000_u32)
        .prop_map(|(ratio, working_width)| Frame { ratio, working_width });
    let eye = (option::of(1.0..=170.0), option::of(-89.9..=89.9), option::of(-90.0..=90.0))
        .prop_map(|(angle_of_view, pitch, cant)| EyeByHand {
            angle_of_view,
            pitch,
            cant,
            ..EyeByHand::default()
        });
    let book = option::of(name().prop_map(|name| format!("{name}.ron").into()));
    (name(), painting, book, frame, 1e-6..=0.1, eye, option::of(segment())).prop_map(
        |(title, painting, book, frame, pointing, eye, horizon)| {
            vec![
                Edit::SetTitle(title),
                Edit::SetPainting(painting),
                Edit::SetSizeBook(book),
                Edit::SetFrame(frame),
                Edit::SetPointing(pointing),
                Edit::SetEye(eye),
                Edit::SetHorizon(horizon),
            ]
        },
    )
}

fn scene() -> impl Strategy<Value = Scene> {
    (settings(), things(), relations(), furniture()).prop_map(
        |(settings, things, relations, furniture)| {
            let edits = [settings, things, relations, furniture].concat();
            let edit = Edit::Several { label: "Draw a scene".into(), edits };
            apply(&Scene::default(), &edit).expect("only what is in range was drawn")
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_scene_comes_back_from_its_file_as_it_was(scene in scene()) {
        let text = write(&scene).unwrap();
        prop_assert_eq!(parse(&text), Ok(scene), "{}", text);
    }

    #[test]
    fn hostile_sizes_in_a_file_are_refused_by_name(
        scene in scene(),
        which in 0..3_usize,
        hostile in prop::sample::select(vec!["NaN", "inf", "-inf", "1e308", "-3.0", "0.0", "1e-300"]),
    ) {
        let shape = scene.stand_ins[which].shape;
        let (size, value) = shape.sizes()[0];
        let text = write(&scene).unwrap();
        let said = format!("{size}: {value:?}");
        // Where another thing has the same size the file is changed there, and refused as well.
        let Some(at) = text.find(&said) else { return Ok(()) };
        let mut wrong = text.clone();
        wrong.replace_range(at..at + said.len(), &format!("{size}: {hostile}"));
        let refused = parse(&wrong);
        prop_assert!(refused.is_err(), "{}", wrong);
        let words = refused.unwrap_err().to_string();
        prop_assert!(!words.is_empty());
    }

    #[test]
    fn a_damaged_file_is_refused_or_sound(
        scene in scene(),
        cut in any::<prop::sample::Index>(),
        put in "[-0-9().,:\\[\\]{}\"/*#rNainfe ]{0,4}",
        gone in 0..8_usize,
    ) {
        let mut damaged: Vec<char> = write(&scene).unwrap().chars().collect();
        let at = cut.index(damaged.len());
        let until = (at + gone).min(damaged.len());
        damaged.splice(at..until, put.chars());
        if let Ok(read) = parse(&String::from_iter(damaged)) {
            prop_assert_eq!(read.validate(), Ok(()));
        }
    }

    #[test]
    fn no_text_makes_reading_panic(text in "\\PC{0,200}", scene_like in "[-0-9().,:\\[\\]{}\"/*#r a-z]{0,200}") {
        let _ = parse(&text);
        let _ = parse(&format!("(format: 1, scene: ({scene_like}"));
    }
}
