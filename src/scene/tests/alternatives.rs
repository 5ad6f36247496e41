//! Alternatives: ideas that share a place, shown one at a time, kept, taken in, thrown away.

use glam::DVec2;
use staffage_scene::{
    AlternativeId, Arranged, Beginning, Edit, History, Intended, LevelId, Marker, MarkerId,
    Overlap, OverlapId, Scene, Shape, Span, StandIn, StandInId, Stands, Statement, Subject, apply,
    parse, write,
};

fn marker(id: u32, name: &str) -> Marker {
    Marker {
        id: MarkerId(id),
        name: name.into(),
        foot: DVec2::new(0.02 * f64::from(id), 0.1),
        head: DVec2::new(0.02 * f64::from(id), 0.05),
        span: Span::Upright,
        stands: Stands::On(LevelId(1)),
        statements: vec![],
    }
}

fn names(scene: &Scene) -> Vec<&str> {
    scene.markers.iter().map(|m| m.name.as_str()).collect()
}

fn after(scene: &Scene, edits: impl IntoIterator<Item = Edit>) -> Scene {
    edits.into_iter().fold(scene.clone(), |scene, edit| apply(&scene, &edit).expect("accepted"))
}

fn start(name: &str, beginning: Beginning) -> Edit {
    Edit::StartAlternative { name: name.into(), beginning }
}

const FIRST: AlternativeId = AlternativeId(1);
const SECOND: AlternativeId = AlternativeId(2);

/// A foreman in both ideas, a tower in the first, a crane in front of a gate in the second.
fn two_ideas() -> Scene {
    let scene = after(&Scene::default(), [Edit::PutMarker(marker(1, "Foreman"))]);
    let scene = after(&scene, [start("crane", Beginning::Copy)]);
    let crane = Marker {
        statements: vec![Statement::SameMake { of: MarkerId(1), spread: 0.1 }],
        ..marker(scene.next_marker_id().0, "Crane")
    };
    let scene = after(&scene, [Edit::PutMarker(crane)]);
    let gate = marker(scene.next_marker_id().0, "Gate");
    let over = Overlap { id: OverlapId(1), front: MarkerId(2), behind: MarkerId(3) };
    let kept = Intended {
        about: Subject::Overlap(OverlapId(1)),
        reason: "a dream".into(),
        by: String::new(),
    };
    let scene = after(&scene, [Edit::PutMarker(gate), Edit::PutOverlap(over)]);
    let scene = after(&scene, [Edit::PutIntended(kept), Edit::ShowAlternative(FIRST)]);
    let tower = marker(scene.next_marker_id().0, "Tower");
    after(&scene, [Edit::PutMarker(tower)])
}

#[test]
fn an_idea_is_put_aside_and_comes_back_as_it_was() {
    let scene = two_ideas();
    assert_eq!(names(&scene), ["Foreman", "Tower"]);
    assert!(scene.overlaps.is_empty() && scene.intended.is_empty());
    let second = after(&scene, [Edit::ShowAlternative(SECOND)]);
    assert_eq!(names(&second), ["Foreman", "Crane", "Gate"]);
    assert_eq!((second.overlaps.len(), second.intended.len()), (1, 1));
    assert_eq!(second.alternative_shown().map(|a| a.name.as_str()), Some("crane"));
    assert_eq!(scene.showing(SECOND), Some(second.clone()));
    assert_eq!(after(&second, [Edit::ShowAlternative(FIRST)]), scene);
}

#[test]
fn what_is_marked_anew_never_has_the_id_of_something_in_another_idea() {
    let scene = two_ideas();
    let tower = scene.markers.iter().find(|m| m.name == "Tower").expect("there");
    assert_eq!(tower.id, MarkerId(4));
}

#[test]
fn an_empty_beginning_shares_the_place_alone() {
    let scene = after(&two_ideas(), [start("bare", Beginning::Empty)]);
    assert!(scene.markers.is_empty());
    assert_eq!(scene.levels.len(), 1);
    assert_eq!(scene.alternatives.len(), 3);
}

#[test]
fn taking_an_idea_in_adds_what_is_new_and_keeps_both_of_what_was_changed() {
    let moved = Marker { head: DVec2::new(0.02, 0.04), ..marker(1, "Foreman") };
    let scene = after(&two_ideas(), [Edit::PutMarker(moved), Edit::MergeAlternative(SECOND)]);
    assert_eq!(names(&scene), ["Foreman", "Tower", "Foreman (crane)", "Crane", "Gate"]);
    assert!(scene.alternatives.is_empty(), "one idea is no alternative");
    let crane = scene.markers.iter().find(|m| m.name == "Crane").expect("there");
    let twin = scene.markers.iter().find(|m| m.name == "Foreman (crane)").expect("there");
    assert_eq!(crane.statements[0].compares_with(), Some(twin.id), "it is compared with its own");
    assert_eq!(scene.overlaps.len(), 1);
}

#[test]
fn what_is_intended_of_an_overlap_comes_along_whatever_number_the_overlap_gets() {
    let other = Overlap { id: OverlapId(1), front: MarkerId(1), behind: MarkerId(4) };
    let scene = after(&two_ideas(), [Edit::PutOverlap(other), Edit::MergeAlternative(SECOND)]);
    let crane = scene.overlaps.iter().find(|o| o.front == MarkerId(2)).expect("taken in");
    assert_ne!(crane.id, OverlapId(1));
    assert_eq!(scene.intended_reason(Subject::Overlap(crane.id)), Some("a dream"));
    assert_eq!(scene.intended_reason(Subject::Overlap(OverlapId(1))), None);
}

#[test]
fn what_two_ideas_call_alike_is_told_apart_once_they_are_one() {
    let tower = Marker { head: DVec2::new(0.2, -0.1), ..marker(5, "Tower") };
    let other = after(&two_ideas(), [Edit::ShowAlternative(SECOND), Edit::PutMarker(tower)]);
    let scene = after(&other, [Edit::ShowAlternative(FIRST), Edit::MergeAlternative(SECOND)]);
    assert_eq!(names(&scene), ["Foreman", "Tower", "Crane", "Gate", "Tower (crane)"]);
}

#[test]
fn stand_ins_come_along_and_those_both_have_come_once() {
    let ghost = |id: u32, name: &str, u: f64| StandIn {
        id: StandInId(id),
        name: name.into(),
        shape: Shape::Figure { height: 1.7 },
        level: LevelId(1),
        foot: DVec2::new(u, 0.1),
        turn: 0.0,
        along: None,
        lift: 0.0,
        arranged: Arranged::Alone,
    };
    let scene = after(&Scene::default(), [Edit::PutStandIn(ghost(1, "Guard", 0.0))]);
    let scene = after(&scene, [start("crowd", Beginning::Copy)]);
    let scene = after(&scene, [Edit::PutStandIn(ghost(2, "Boy", 0.1))]);
    let scene = after(&scene, [Edit::ShowAlternative(FIRST)]);
    let moved = after(&scene, [Edit::PutStandIn(ghost(1, "Guard", 0.2))]);
    for (scene, expected) in
        [(scene, vec!["Guard", "Boy"]), (moved, vec!["Guard", "Guard (crowd)", "Boy"])]
    {
        let scene = after(&scene, [Edit::MergeAlternative(SECOND)]);
        let names: Vec<&str> = scene.stand_ins.iter().map(|s| s.name.as_str()).collect();
        assert_eq!(names, expected);
    }
}

#[test]
fn an_idea_is_found_by_its_name_however_it_is_capitalised() {
    let scene = two_ideas();
    assert_eq!(scene.alternative_named(" Crane ").map(|a| a.id), Some(SECOND));
    assert_eq!(scene.alternative_named("cran").map(|a| a.id), None);
}

#[test]
fn taking_in_an_idea_that_has_the_same_foreman_leaves_one_foreman() {
    let scene = after(&two_ideas(), [Edit::MergeAlternative(SECOND)]);
    assert_eq!(names(&scene), ["Foreman", "Tower", "Crane", "Gate"]);
    assert!(apply(&two_ideas(), &Edit::MergeAlternative(FIRST)).is_err(), "not into itself");
}

#[test]
fn throwing_away_the_idea_on_show_shows_the_next() {
    let scene = after(&two_ideas(), [Edit::RemoveAlternative(FIRST)]);
    assert_eq!(names(&scene), ["Foreman", "Crane", "Gate"]);
    assert!(scene.alternatives.is_empty());
    let three = after(&two_ideas(), [start("bare", Beginning::Empty)]);
    let two = after(&three, [Edit::RemoveAlternative(AlternativeId(3))]);
    assert_eq!(names(&two), ["Foreman", "Tower"]);
    assert_eq!(two.alternatives.len(), 2);
}

#[test]
fn a_level_that_goes_leaves_no_mark_on_it_in_any_idea() {
    let scene = after(&two_ideas(), [Edit::RemoveLevel(LevelId(1))]);
    let second = scene.showing(SECOND).expect("there");
    assert!(scene.markers.iter().chain(&second.markers).all(|m| m.stands == Stands::Unsaid));
}

#[test]
fn ideas_are_written_to_the_file_and_read_again() {
    let scene = two_ideas();
    let text = write(&scene).expect("sound");
    assert_eq!(parse(&text).expect("read"), scene);
    let plain = write(&Scene::default()).expect("sound");
    assert!(!plain.contains("alternatives"), "a scene without any says nothing of them");
}

#[test]
fn a_file_must_have_one_idea_on_show() {
    let text = "(format: 3, scene: (alternatives: [(id: 1, name: \"a\"), (id: 2, name: \"b\")]))";
    let refused = parse(text).expect_err("two on show").to_string();
    assert!(refused.contains("one must be on show"), "{refused}");
    let bad = "(format: 3, scene: (alternatives: [(id: 1, name: \"a\"), (id: 2, name: \"b\", \
        aside: (markers: [(id: 1, name: \"x\", foot: (0, 0), head: (0, 9000), span: Upright, \
        stands: Unsaid, statements: [])]))]))";
    let refused = parse(bad).expect_err("what is aside is looked at, too").to_string();
    assert!(refused.contains("in the alternative “b”: "), "{refused}");
}

#[test]
fn switching_is_undone_like_anything_else() {
    let mut history = History::new(two_ideas());
    history.apply(&Edit::ShowAlternative(SECOND)).expect("accepted");
    assert_eq!(history.undo_label(), Some("Show crane"));
    assert!(history.undo());
    assert_eq!(names(history.present()), ["Foreman", "Tower"]);
}
