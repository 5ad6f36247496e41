//! The whole job, done through the window as a painter does it: trace, mark, find, mend, save.

use crate::driver::{Driver, Set};
use glam::{DVec2, DVec3};
use staffage_desk::Mode;
use staffage_scene::{Scene, Standing, Statement};

/// Edges of a shed and a quay wall, square to each other, as (from, to) in the world, metres from
/// the eye: X right, Y up, -Z ahead.
const UPRIGHTS: [(DVec3, DVec3); 3] = [
    (DVec3::new(-8.0, -2.0, -16.0), DVec3::new(-8.0, 6.0, -16.0)),
    (DVec3::new(3.0, -2.0, -20.0), DVec3::new(3.0, 7.0, -20.0)),
    (DVec3::new(9.0, -2.0, -18.0), DVec3::new(9.0, 5.0, -18.0)),
];
const RECEDING_RIGHT: [(DVec3, DVec3); 3] = [
    (DVec3::new(-6.0, -1.8, -14.0), DVec3::new(0.0, -1.8, -24.0)),
    (DVec3::new(-7.0, 4.0, -18.0), DVec3::new(-1.0, 4.0, -28.0)),
    (DVec3::new(0.0, -1.8, -12.0), DVec3::new(6.0, -1.8, -22.0)),
];
const RECEDING_LEFT: [(DVec3, DVec3); 3] = [
    (DVec3::new(6.0, -1.8, -14.0), DVec3::new(-4.0, -1.8, -20.0)),
    (DVec3::new(9.0, 3.0, -18.0), DVec3::new(-1.0, 3.0, -24.0)),
    (DVec3::new(8.0, 5.0, -20.0), DVec3::new(0.0, 5.0, -24.8)),
];

fn trace_everything(driver: &mut Driver, set: &Set) {
    driver.press(egui::Key::Num2);
    for (chip, edges) in [
        ("upright chip", UPRIGHTS),
        ("receding left chip", RECEDING_LEFT),
        ("receding right chip", RECEDING_RIGHT),
    ] {
        driver.click(chip);
        for (from, to) in edges {
            driver.drag(set.seen(from), set.seen(to));
        }
    }
}

/// Draws a figure whose feet are on the ground and fills in the card beside it.
fn mark(driver: &mut Driver, set: &Set, name: &str, feet: DVec3, height: f64) {
    driver.press(egui::Key::Num3);
    driver.drag(set.seen(feet), set.seen(feet + DVec3::Y * height));
    driver.type_into("Name", name);
    driver.type_into("Known size", "adult, standing");
    driver.press(egui::Key::Enter);
}

fn standing(driver: &Driver, name: &str) -> Standing {
    let id = driver.scene().markers.iter().find(|m| m.name == name).expect("marked").id;
    driver.desk().assessment().entry(id).expect("in the ledger").standing
}

#[test]
fn a_painter_traces_marks_mends_saves_and_finds_the_same_again() {
    let set = Set::canted();
    let mut driver = Driver::new();
    let start: Scene = driver.scene().clone();
    assert!(driver.has("eye ≈53° across · level · no cant"), "the eye is assumed at first");

    trace_everything(&mut driver, &set);
    assert_eq!(driver.scene().lines.len(), 9);
    let eye = driver.desk().assessment().eye.eye;
    assert!((eye.focal - set.eye.focal).abs() < 0.02, "{eye:?}");
    assert!((eye.pitch - set.eye.pitch).abs() < 0.01, "{eye:?}");
    assert!((eye.cant - set.eye.cant).abs() < 0.01, "{eye:?}");
    assert!(driver.says("up 9°") && driver.says("cant 6°"), "the summary follows");

    mark(&mut driver, &set, "Foreman", DVec3::new(-1.5, -2.0, -10.0), 1.70);
    mark(&mut driver, &set, "Rigger", DVec3::new(2.0, -2.0, -14.0), 1.70);
    mark(&mut driver, &set, "Giant", DVec3::new(4.0, -2.0, -12.0), 3.40);
    assert_eq!(driver.scene().markers.len(), 3);
    let foreman = &driver.scene().markers[0];
    assert!(matches!(&foreman.statements[..], [Statement::KnownSize { .. }]), "{foreman:?}");

    assert_eq!(standing(&driver, "Giant"), Standing::Contradicts);
    assert_eq!(standing(&driver, "Foreman"), Standing::Holds);
    assert!(driver.says("contradicts: "), "a finding says so");

    driver.press(egui::Key::Num1);
    driver.click("Ledger row Giant");
    let giant = driver.scene().markers[2].clone();
    driver.drag(giant.head, set.seen(DVec3::new(4.0, -2.0 + 1.70, -12.0)));
    assert_eq!(standing(&driver, "Giant"), Standing::Holds);
    assert_eq!(driver.desk().assessment().contradictions(), 0);

    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("quay.ron");
    driver.save_as(&file);
    assert!(!driver.desk().is_changed());
    let ledger = driver.desk().assessment().ledger.clone();

    let mut again = Driver::new();
    again.open(&file);
    assert_eq!(again.desk().assessment().ledger, ledger);

    for _ in 0..100 {
        driver.press_with(egui::Modifiers::COMMAND, egui::Key::Z);
    }
    assert_eq!(*driver.scene(), start, "everything can be undone");
    driver.press_with(egui::Modifiers::COMMAND.plus(egui::Modifiers::SHIFT), egui::Key::Z);
    assert_eq!(driver.scene().lines.len(), 1);
}

#[test]
fn the_eye_answers_while_a_line_is_still_being_dragged() {
    let set = Set::canted();
    let mut driver = Driver::new();
    driver.press(egui::Key::Num2);
    for (from, to) in UPRIGHTS {
        driver.drag(set.seen(from), set.seen(to));
    }
    let before = driver.desk().assessment().eye.pitch.value;
    let (from, to) =
        (set.seen(DVec3::new(6.0, -2.0, -15.0)), set.seen(DVec3::new(6.0, 4.0, -15.0)));
    driver.press_pointer(from);
    driver.move_pointer((from + to) / 2.0);
    driver.move_pointer(to + DVec2::new(0.003, 0.0));
    assert!(driver.desk().assessment().eye.pitch.value != before, "a preview is assessed");
    driver.press(egui::Key::Escape);
    assert_eq!(driver.desk().assessment().eye.pitch.value, before, "Esc takes it back");
    driver.release_pointer(to);
    assert_eq!(driver.scene().lines.len(), 3);
}

#[test]
fn overlaps_are_said_by_dragging_from_front_to_back() {
    let set = Set::canted();
    let mut driver = Driver::new();
    trace_everything(&mut driver, &set);
    mark(&mut driver, &set, "Near", DVec3::new(-1.5, -2.0, -10.0), 1.70);
    mark(&mut driver, &set, "Far", DVec3::new(2.0, -2.0, -14.0), 1.70);
    driver.press(egui::Key::Num4);
    assert_eq!(driver.desk().mode(), Mode::Overlap);
    let middle =
        |d: &Driver, i: usize| (d.scene().markers[i].foot + d.scene().markers[i].head) / 2.0;
    let (near, far) = (middle(&driver, 0), middle(&driver, 1));
    driver.drag(near, far);
    let overlap = driver.scene().overlaps[0];
    assert_eq!(
        (overlap.front, overlap.behind),
        (driver.scene().markers[0].id, driver.scene().markers[1].id)
    );
    // Said the other way round it replaces what was said before.
    driver.click_at(far);
    driver.click_at(near);
    assert_eq!(driver.scene().overlaps.len(), 1);
    assert_eq!(driver.scene().overlaps[0].front, driver.scene().markers[1].id);
}
