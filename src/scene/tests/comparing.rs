//! What changed between two versions of a scene.

mod pinhole;

use glam::DVec2;
use pinhole::{GROUND, Pinhole, place, size};
use staffage_scene::{
    Became, Comparison, Edit, Intended, LineId, MarkerId, Scene, Standing, Subject, apply, assess,
    compare, mends,
};

const EYE: Pinhole = Pinhole::new(1.0, -4.0, 2.0);

/// Three adults and one of twice their size, who contradicts.
fn quay() -> Scene {
    let mut scene = EYE.scene();
    for (id, name, at, height) in [
        (1, "Foreman", 10.0, 1.7),
        (2, "Mate", 14.0, 1.7),
        (3, "Boy", 18.0, 1.7),
        (4, "Giant", 16.0, 3.4),
    ] {
        let foot = place(f64::from(id) - 2.0, -1.6, at);
        let mut marker = EYE.standing(id, name, GROUND, foot, height);
        marker.statements = vec![size(1.7, 0.03)];
        scene.markers.push(marker);
    }
    scene
}

fn compared(before: &Scene, after: &Scene) -> Comparison {
    compare((before, &assess(before)), (after, &assess(after)))
}

fn sentences(found: &Comparison) -> Vec<&str> {
    found.things.iter().map(|thing| thing.sentence.as_str()).collect()
}

#[test]
fn a_scene_is_as_it_was() {
    let found = compared(&quay(), &quay());
    assert!(found.is_empty());
    assert_eq!(found.still.len(), 1);
}

#[test]
fn a_mend_that_was_made_is_told_as_mended_with_what_it_moved() {
    let before = quay();
    let assessed = assess(&before);
    let finding = &assessed.findings[0];
    let mend = mends(&before, &assessed, finding).into_iter().next().unwrap();
    let after = apply(&before, &mend.edit).unwrap();
    let found = compared(&before, &after);
    assert_eq!(found.mended.len(), 1);
    assert_eq!(found.mended[0].about, Subject::Marker(MarkerId(4)));
    assert!(found.new.is_empty() && found.still.is_empty());
    assert_eq!(found.things.len(), 1);
    assert_eq!(found.things[0].became, Became::Moved);
    assert!((found.things[0].pixels.unwrap() - mend.pixels).abs() < 0.5);
    let [giant] = &found.ledger[..] else { panic!("{:?}", found.ledger) };
    assert_eq!(giant.before.standing, Standing::Contradicts);
    assert_eq!(giant.after.standing, Standing::Holds);
}

#[test]
fn what_was_spoilt_is_new() {
    let mut after = quay();
    after.markers[1].head.y -= 0.1;
    let found = compared(&quay(), &after);
    assert_eq!(found.new.len(), 1);
    assert_eq!(found.new[0].about, Subject::Marker(MarkerId(2)));
    assert_eq!(found.still.len(), 1);
}

#[test]
fn things_are_known_again_by_their_ids() {
    let before = quay();
    let mut after = quay();
    after.markers[0].name = "Overseer".into();
    after.markers.remove(2);
    after.markers[1].foot += DVec2::new(0.01, 0.0);
    after.markers[1].head += DVec2::new(0.01, 0.0);
    let mut new = after.markers[0].clone();
    (new.id, new.name) = (MarkerId(9), "Newcomer".into());
    after.markers.push(new);
    let found = compared(&before, &after);
    let expected = [
        "Marker Overseer: it was called Foreman.",
        "Marker Mate moved by 19.2 px.",
        "Marker Newcomer is new.",
        "Marker Boy is gone.",
    ];
    assert_eq!(sentences(&found), expected);
}

#[test]
fn keeping_it_on_purpose_is_no_mend() {
    let about = Subject::Marker(MarkerId(4));
    let kept = Intended { about, reason: "a giant".into(), by: String::new() };
    let after = apply(&quay(), &Edit::PutIntended(kept)).unwrap();
    let found = compared(&quay(), &after);
    assert!(found.mended.is_empty() && found.still.is_empty());
    assert_eq!(found.kept.len(), 1);
}

#[test]
fn another_eye_and_other_lines_are_told() {
    let mut after = quay();
    after.eye.pitch = Some(-6.0);
    let line =
        EYE.line(7, staffage_scene::Family::Upright, place(1.0, -1.0, 9.0), place(1.0, 1.0, 9.0));
    after.lines.push(line);
    let found = compared(&quay(), &after);
    let [pitch] = &found.eye[..] else { panic!("{:?}", found.eye) };
    assert_eq!(pitch.name, "pitch");
    assert!((pitch.after.value.to_degrees() + 6.0).abs() < 1e-9);
    assert!(found.things.iter().any(|t| t.about == Some(Subject::Line(LineId(7)))));
    assert!(sentences(&found).contains(&"What is set by hand of the eye is another."));
}
