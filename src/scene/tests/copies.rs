//! Copies stand where their patterns do but aside; what is aligned points at its vanishing point.

use glam::DVec2;
use proptest::prelude::*;
use staffage_scene::{
    BlockId, EyeByHand, Family, Known, LevelId, Line, LineId, Marker, MarkerId, Scene, Segment,
    Span, Stands, Statement, Subject, aligned, apply, assess, duplicated,
};

const BLOCK: BlockId = BlockId(1);

fn marker(id: u32, foot: DVec2, head: DVec2, span: Span) -> Marker {
    let size = Known { metres: 1.7, spread: 0.06 };
    Marker {
        id: MarkerId(id),
        name: format!("Guard {id}"),
        foot,
        head,
        span,
        stands: Stands::On(LevelId(1)),
        statements: vec![Statement::KnownSize { size, as_: "adult".into() }],
    }
}

/// A canted eye that looks down, set by hand.
fn canted() -> Scene {
    let mut scene = Scene {
        eye: EyeByHand {
            angle_of_view: Some(50.0),
            pitch: Some(-12.0),
            cant: Some(7.0),
            ..EyeByHand::default()
        },
        ..Scene::default()
    };
    scene.blocks[0].heading = Some(35.0);
    scene
}

fn spans() -> impl Strategy<Value = Span> {
    prop_oneof![
        Just(Span::Upright),
        Just(Span::Facing),
        Just(Span::Cylinder),
        Just(Span::Along(Family::RecedingLeft(BLOCK))),
        Just(Span::Along(Family::RecedingRight(BLOCK))),
    ]
}

fn point() -> impl Strategy<Value = DVec2> {
    (-0.45..0.45, -0.2..0.2).prop_map(|(u, v)| DVec2::new(u, v))
}

#[test]
fn a_copied_figure_is_as_far_off_and_as_large_on_the_same_level_before_a_canted_eye() {
    let mut scene = canted();
    let foot = DVec2::new(-0.1, 0.1);
    scene.markers = vec![marker(1, foot, DVec2::new(-0.1, 0.03), Span::Upright)];
    let assessment = assess(&scene);
    let about = [Subject::Marker(MarkerId(1))];
    let (edit, copies) = duplicated(&scene, &assessment, &about).expect("a copy");
    assert_eq!(edit.label(&scene), "Duplicate Guard 1");
    assert_eq!(copies, [Subject::Marker(MarkerId(2))]);
    let after = apply(&scene, &edit).expect("a sound scene");
    assert_eq!(after.markers[1].name, "Guard 2");
    assert_eq!(after.markers[1].statements, scene.markers[0].statements);
    // What is read of the copy alone, before the two are weighed against each other.
    let mut alone = after.clone();
    alone.markers.remove(0);
    let value = |scene: &Scene, id| {
        let entry = assess(scene).entry(MarkerId(id)).cloned().expect("in the ledger");
        (entry.distance.expect("read").value, entry.size.expect("read").value)
    };
    let ((d, s), (d2, s2)) = (value(&scene, 1), value(&alone, 2));
    assert!((d / d2 - 1.0).abs() < 1e-9 && (s / s2 - 1.0).abs() < 1e-9, "{d} {d2}, {s} {s2}");
}

#[test]
fn a_stack_is_copied_as_a_stack() {
    let mut scene = canted();
    let (foot, top) = (DVec2::new(-0.1, 0.1), DVec2::new(-0.1, 0.03));
    let mut lid = marker(2, top, DVec2::new(-0.1, 0.0), Span::Upright);
    lid.stands = Stands::OnTop(MarkerId(1));
    scene.markers = vec![marker(1, foot, top, Span::Upright), lid];
    let about = [Subject::Marker(MarkerId(1)), Subject::Marker(MarkerId(2))];
    let (edit, _) = duplicated(&scene, &assess(&scene), &about).expect("copies");
    let after = apply(&scene, &edit).expect("a sound scene");
    assert_eq!(after.markers[3].stands, Stands::OnTop(MarkerId(3)));
    let names: Vec<&str> = after.markers[2..].iter().map(|m| m.name.as_str()).collect();
    assert_eq!(names, ["Guard 3", "Guard 4"]);
}

#[test]
fn aligned_lines_leave_no_miss_although_the_eye_follows_them() {
    let mut scene = Scene::default();
    let family = Family::RecedingLeft(BLOCK);
    let ends =
        [((0.3, 0.1), (-0.1, 0.02)), ((0.3, -0.12), (-0.1, -0.05)), ((0.2, 0.15), (-0.15, 0.035))];
    scene.lines = (1..)
        .zip(ends)
        .map(|(k, (a, b))| Line {
            id: LineId(k),
            family,
            segment: Segment(DVec2::from(a), DVec2::from(b)),
        })
        .collect();
    let before = assess(&scene);
    assert!(before.lines.iter().any(|l| l.miss.abs() > 1e-3), "{:?}", before.lines);
    let about: Vec<Subject> = scene.lines.iter().map(|l| Subject::Line(l.id)).collect();
    let edit = aligned(&scene, &before, &about).expect("a turn");
    let after = apply(&scene, &edit).expect("a sound scene");
    for (line, was) in after.lines.iter().zip(&scene.lines) {
        let (Segment(a, b), Segment(c, d)) = (line.segment, was.segment);
        assert!((a.midpoint(b) - c.midpoint(d)).length() < 1e-9, "about its middle");
        assert!((a.distance(b) - c.distance(d)).abs() < 1e-9, "as long as before");
    }
    for line in assess(&after).lines {
        assert!(line.miss.abs() < 1e-5, "{line:?}");
    }
}

proptest! {
    #[test]
    fn copies_and_turns_of_whatever_was_drawn_are_sound_and_finite(
        (foot, head) in (point(), point()), (a, b) in (point(), point()), span in spans(),
    ) {
        let mut scene = canted();
        scene.markers = vec![marker(1, foot, head, span)];
        let family = Family::RecedingRight(BLOCK);
        scene.lines = vec![Line { id: LineId(1), family, segment: Segment(a, b) }];
        let about = [Subject::Marker(MarkerId(1)), Subject::Line(LineId(1))];
        let assessment = assess(&scene);
        let (edit, copies) = duplicated(&scene, &assessment, &about).expect("two copies");
        prop_assert_eq!(copies.len(), 2);
        let copied = apply(&scene, &edit);
        prop_assert!(copied.is_ok(), "{:?}", copied);
        if let Some(edit) = aligned(&scene, &assessment, &about) {
            let turned = apply(&scene, &edit);
            prop_assert!(turned.is_ok(), "{:?}", turned);
        }
    }
}
