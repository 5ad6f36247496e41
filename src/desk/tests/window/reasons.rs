//! What the window tells of reasons: what a result rests on, what overlaps allow, what would help, and
//! what a mend would change before it is made.

use crate::driver::{Driver, Set};
use egui::Key;
use egui_kittest::kittest::Queryable as _;
use glam::DVec3;
use staffage_desk::{Mode, Thing};
use staffage_scene::{
    Known, LevelId, Marker, MarkerId, Overlap, OverlapId, Span, Stands, Statement, Subject,
};
use std::path::Path;

/// A marker of this height whose feet are this far to the right and ahead, two metres under the eye.
fn figure(id: u32, name: &str, (right, ahead): (f64, f64), height: f64) -> Marker {
    let set = Set::assumed();
    let feet = DVec3::new(right, -2.0, -ahead);
    Marker {
        id: MarkerId(id),
        name: name.into(),
        foot: set.seen(feet),
        head: set.seen(feet + DVec3::Y * height),
        span: Span::Upright,
        stands: Stands::On(LevelId(1)),
        statements: Vec::new(),
    }
}

fn adult(marker: Marker) -> Marker {
    let size = Known { metres: 1.7, spread: 0.06 };
    Marker { statements: vec![Statement::KnownSize { size, as_: "adult".into() }], ..marker }
}

/// Puts these markers before an eye that is known.
fn open(markers: Vec<Marker>, overlaps: Vec<Overlap>) -> Driver {
    Driver::before_a_known_eye(markers, overlaps)
}

/// Three adults and a post that nothing is said of.
fn yard() -> Vec<Marker> {
    vec![
        adult(figure(1, "Foreman", (-3.0, 12.0), 1.7)),
        adult(figure(2, "Rigger", (-1.0, 14.0), 1.72)),
        adult(figure(3, "Porter", (1.0, 11.0), 1.68)),
        figure(4, "Post", (3.0, 20.0), 2.4),
    ]
}

#[test]
fn a_selected_marker_tells_what_it_rests_on_and_leads_there() {
    let mut driver = open(yard(), Vec::new());
    driver.click("Ledger row Post");
    let shares = driver.labels("of the doubt in its size and distance: ");
    assert!(shares.len() > 2, "{:?}", driver.labels("doubt"));
    let percent = |label: &String| label.split_once(" %").and_then(|(n, _)| n.parse::<u32>().ok());
    let percents: Vec<u32> = shares.iter().filter_map(percent).collect();
    assert!(percents.is_sorted_by(|a, b| a >= b), "the largest first: {shares:?}");
    let porter = shares.iter().find(|l| l.ends_with("the known size of Porter")).expect("a share");
    driver.press_named(porter);
    assert_eq!(driver.desk().selected(), Some(Thing::marker(MarkerId(3))));
    assert!(driver.says("A lie smaller than ×1."));
}

#[test]
fn what_a_result_rests_on_is_highlighted_while_it_has_the_focus() {
    let mut driver = open(yard(), Vec::new());
    driver.click("Ledger row Post");
    let shares = driver.labels("the known size of Porter");
    driver.harness.get_by_label(&shares[0]).focus();
    driver.settle();
    let porter = Subject::Marker(MarkerId(3));
    assert!(driver.desk().highlighted().any(|subject| subject == porter));
}

#[test]
fn an_open_thing_tells_what_its_overlaps_allow() {
    let hull = Marker { stands: Stands::Unsaid, ..figure(5, "Hull", (6.0, 30.0), 9.0) };
    let mut markers = yard();
    markers.push(hull);
    let overlap = Overlap { id: OverlapId(1), front: MarkerId(4), behind: MarkerId(5) };
    let mut driver = open(markers, vec![overlap]);
    driver.press_named("Ledger row Hull");
    assert!(driver.says("Beyond 1"), "{:?}", driver.labels("eyond"));
    assert!(driver.says("so taller than "));
    driver.press(Key::Escape);
}

/// Four figures of one size on one ground, the last of them drawn twice too tall.
fn with_a_giant() -> Driver {
    let mut markers = yard();
    markers[3] = adult(figure(4, "Giant", (3.0, 12.0), 3.4));
    let mut driver = open(markers, Vec::new());
    driver.click("Ledger row Giant");
    driver
}

/// The name of the way to mend it that repaints it.
fn repaint(driver: &Driver) -> String {
    let named = driver.labels("Scale it to ").into_iter();
    named.filter(|l| l.starts_with("Scale")).min().expect("a way to mend it")
}

#[test]
fn a_mend_is_drawn_while_it_is_pointed_at_and_gone_after() {
    let mut driver = with_a_giant();
    let mend = repaint(&driver);
    let place = driver.harness.get_by_label(&mend).rect().center();
    assert!(driver.desk().previewed().is_none());
    driver.harness.hover_at(place);
    driver.harness.run();
    let ink = driver.desk().previewed().expect("drawn").ink().count();
    assert!(ink > 10, "a ghost and an arrow: {ink}");
    assert_eq!(driver.desk().assessment().contradictions(), 1, "nothing is changed");
    let elsewhere = driver.desk().canvas().center();
    driver.harness.hover_at(elsewhere);
    driver.harness.run();
    assert!(driver.desk().previewed().is_none());
}

#[test]
fn a_mend_that_has_the_focus_is_drawn_too() {
    let mut driver = with_a_giant();
    let mend = repaint(&driver);
    driver.harness.get_by_label(&mend).focus();
    driver.settle();
    assert!(driver.desk().previewed().is_some());
    driver.press_named(&mend);
    assert_eq!(driver.desk().assessment().contradictions(), 0);
    assert!(driver.desk().previewed().is_none(), "it is made");
}

#[test]
fn each_step_of_a_reason_lights_up_what_it_speaks_of() {
    let mut driver = with_a_giant();
    driver.click("Why, by these statements alone");
    let finding = driver.desk().assessment().findings[0].clone();
    assert_eq!(finding.about, Subject::Marker(MarkerId(4)));
    assert!(finding.because.len() > 2, "{finding:?}");
    for step in &finding.because {
        driver.harness.get_by_label(&step.sentence).focus();
        driver.settle();
        let lit: Vec<Subject> = driver.desk().highlighted().collect();
        let is_marker = |subject: &&Subject| matches!(subject, Subject::Marker(_));
        let spoken_of: Vec<Subject> = step.subjects.iter().filter(is_marker).copied().collect();
        assert!(!spoken_of.is_empty() && spoken_of.iter().all(|s| lit.contains(s)), "{step:?}");
    }
}

#[test]
fn a_finding_pointed_at_lights_up_the_whole_chain_behind_it() {
    let mut driver = with_a_giant();
    let finding = driver.desk().assessment().findings[0].clone();
    let place = driver.harness.get_by_label(&finding.sentence).rect().center();
    driver.harness.hover_at(place);
    driver.harness.run();
    let lit: Vec<Subject> = driver.desk().highlighted().collect();
    let chain = finding.because.iter().flat_map(|step| &step.subjects);
    let mut markers = chain.filter(|s| matches!(s, Subject::Marker(_)));
    assert!(markers.all(|s| lit.contains(s)), "{lit:?}");
}

#[test]
fn what_would_help_most_is_said_and_begun_at_a_press() {
    let mut driver = open(vec![figure(1, "Post", (0.0, 20.0), 2.4)], Vec::new());
    let offers = driver.labels("What would help most: One more figure of known size on ");
    assert_eq!(offers.len(), 1, "{offers:?}");
    driver.press_named(&offers[0]);
    assert_eq!(driver.desk().mode(), Mode::Mark);
    let post = Subject::Marker(MarkerId(1));
    assert!(driver.desk().highlighted().any(|subject| subject == post));
    driver.drag(
        Set::assumed().seen(DVec3::new(-2.0, -2.0, -10.0)),
        Set::assumed().seen(DVec3::new(-2.0, -0.3, -10.0)),
    );
    driver.type_into("Known size", "1.7 m");
    driver.press(Key::Enter);
    assert_eq!(driver.scene().markers[1].stands, Stands::On(LevelId(1)));
    assert_eq!(driver.scene().markers[1].span, Span::Upright);
}

#[test]
fn how_far_vanishing_points_can_be_trusted_is_drawn_when_they_are_looked_at() {
    let mut driver = Driver::new();
    let shown = |d: &Driver| {
        let drawing = d.desk().drawing().expect("drawn");
        drawing.groups.iter().any(|group| group.name == "vanishing-spreads")
    };
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo_scenes/dam_overlook.ron");
    driver.open(Path::new(demo));
    assert!(!shown(&driver));
    driver.press(Key::Num2);
    assert!(shown(&driver), "of the family that is traced");
    driver.press(Key::Num1);
    assert!(!shown(&driver));
    driver.click("View");
    driver.click("Vanishing point spread");
    assert!(shown(&driver));
    assert!(driver.desk().remembered().spread);
}
