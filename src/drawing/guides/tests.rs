use crate::{Aids, Drawing, Emphasis, GroundGrid, Ink, View, draw, rays, samples};
use glam::DVec2;
use proptest::prelude::*;
use staffage_scene::{
    BlockId, Climb, Division, Family, Flight, Guide, GuideId, GuideShape, LevelId, Plane, Post,
    Reach, Round, Steps, Subject,
};
use staffage_solver::Eye;

const RIGHT: Family = Family::RecedingRight(BlockId(1));
const LEFT: Family = Family::RecedingLeft(BlockId(1));

fn with_grid() -> Emphasis {
    let grid = Some(GroundGrid { level: LevelId(1), block: BlockId(1) });
    Emphasis { aids: Aids { grid, fans: true, measuring_points: true }, ..Emphasis::default() }
}

/// Finite numbers, nothing far away.
fn check(drawing: &Drawing) -> Result<(), TestCaseError> {
    for ink in drawing.ink() {
        let points = match ink {
            Ink::Stroke { points, .. } | Ink::Fill { points, .. } => points.to_vec(),
            Ink::Disc { centre, .. } => vec![*centre],
            Ink::Words { at, offset, .. } => {
                prop_assert!(offset.is_finite());
                vec![*at]
            }
        };
        let near = |p: &DVec2| p.is_finite() && p.abs().max_element() < 1.1e4;
        prop_assert!(points.iter().all(near), "{ink:?}");
    }
    Ok(())
}

fn ugly() -> impl Strategy<Value = f64> {
    prop_oneof![
        6 => -1.0..1.0_f64,
        1 => prop::sample::select(vec![0.0, 1e-300, 1e300, f64::NAN, f64::INFINITY]),
        1 => -1e7..1e7_f64,
    ]
}

fn point() -> impl Strategy<Value = DVec2> {
    (ugly(), ugly()).prop_map(|(x, y)| DVec2::new(x, y))
}

fn family() -> impl Strategy<Value = Family> {
    prop::sample::select(vec![RIGHT, LEFT, Family::Upright, Family::RecedingLeft(BlockId(9))])
}

fn reach() -> impl Strategy<Value = Reach> {
    prop_oneof![point().prop_map(Reach::To), ugly().prop_map(Reach::Metres)]
}

fn shape() -> impl Strategy<Value = GuideShape> {
    let division = prop_oneof![
        (1_u32..40).prop_map(Division::Repeat),
        (1_u32..40).prop_map(Division::Parts),
        (1_u32..7).prop_map(Division::Halve),
    ];
    let post = prop::option::of((point(), family()).prop_map(|(top, family)| Post { top, family }));
    let steps = (family(), point(), point(), division, post).prop_map(
        |(family, from, to, division, post)| {
            GuideShape::Steps(Steps { family, from, to, division, post })
        },
    );
    let climb = prop_oneof![
        (ugly(), ugly(), 1_u32..30).prop_map(|(riser, tread, count)| Climb::Stairs {
            riser,
            tread,
            count
        }),
        (ugly(), ugly()).prop_map(|(slope, run)| Climb::Ramp { slope: 90.0 * slope, run }),
    ];
    let level = || prop::option::of(prop::sample::select(vec![LevelId(1), LevelId(7)]));
    let flight = (level(), point(), family(), any::<bool>(), ugly(), climb).prop_map(
        |(level, foot, along, towards, width, climb)| {
            GuideShape::Flight(Flight { level, foot, along, towards, width, climb })
        },
    );
    let plane = prop::sample::select(vec![Plane::Level, Plane::Upright(RIGHT), Plane::Facing]);
    let round = (plane, level(), point(), reach(), prop::option::of(reach())).prop_map(
        |(plane, level, centre, radius, carried)| {
            GuideShape::Round(Round { plane, level, centre, radius, carried })
        },
    );
    prop_oneof![steps, flight, round]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..Default::default() })]

    #[test]
    fn guides_leave_finite_ink_whatever_they_and_the_eye_are(
        shapes in prop::collection::vec(shape(), 1..4),
        (focal, pitch, cant) in (ugly(), ugly(), ugly()),
        pointer in point(),
        zoom in 1.0..1e5_f64,
    ) {
        let (mut scene, mut assessment) = samples::quay();
        scene.guides = (1..).zip(shapes).map(|(id, shape)| {
            Guide { id: GuideId(id), name: format!("guide {id}"), shape }
        }).collect();
        assessment.eye.eye = Eye { focal, pitch: 3.0 * pitch, cant, principal: DVec2::ZERO };
        let mut emphasis = with_grid();
        emphasis.selected.insert(Subject::Guide(GuideId(1)));
        let view = View { points_per_unit: zoom, ..View::of_frame(scene.frame, 1000.0) };
        check(&draw(&scene, &assessment, &view, &emphasis))?;
        check(&rays(&scene, &assessment, &view, pointer, true))?;
    }
}

#[test]
fn the_grid_lies_below_the_horizon_and_says_how_far_apart_its_lines_are() {
    let (scene, assessment) = samples::quay();
    let view = View::of_frame(scene.frame, 1400.0);
    let drawing = draw(&scene, &assessment, &view, &with_grid());
    let grid = drawing.groups.iter().find(|group| group.name == "ground-grid").expect("a grid");
    let horizon = assessment.eye.eye.horizon();
    for ink in &grid.ink {
        let Ink::Stroke { points, .. } = ink else { panic!("{ink:?}") };
        assert!(points.iter().all(|p| horizon.dot(p.extend(1.0)) > 0.0));
    }
    assert!(grid.ink.len() > 20 && grid.ink.len() < 1500, "{}", grid.ink.len());
    let legend = |ink: &Ink| matches!(ink, Ink::Words { text, .. } if text.starts_with("grid on "));
    assert!(drawing.ink().any(legend));
}

#[test]
fn every_line_through_the_pointer_passes_through_it_and_has_its_word() {
    let (scene, assessment) = samples::quay();
    let view = View::of_frame(scene.frame, 1400.0);
    let at = DVec2::new(0.05, 0.07);
    let drawing = rays(&scene, &assessment, &view, at, false);
    let strokes = drawing.groups.iter().find(|group| group.name == "rays").expect("rays");
    for ink in &strokes.ink {
        let Ink::Stroke { points, .. } = ink else { panic!("{ink:?}") };
        let along = (points[1] - points[0]).normalize();
        assert!(along.perp_dot(at - points[0]).abs() < 1e-9);
    }
    for word in ["plumb", "level", "receding left", "receding right"] {
        let says = |ink: &Ink| matches!(ink, Ink::Words { text, .. } if text == word);
        assert!(drawing.ink().any(says), "{word}");
    }
}
