//! The production's size book: chosen, offered, held against the scene, read again, put away.

use crate::driver::Driver;
use egui::{Key, Modifiers};
use glam::DVec2;
use staffage_desk::{Choice, Thing};
use staffage_scene::{Known, MarkerId, Scene, Statement, save};
use std::path::{Path, PathBuf};

const WORKS: &str = r#"(format: 1, title: "Works", entries: [
    (name: "gate house", what: "tall", size: (metres: 30, spread: 0.04), note: "standard drawing"),
    (name: "hauler", what: "long", size: (metres: 96, spread: 0.02)),
])"#;

fn works(folder: &Path, text: &str) -> PathBuf {
    let path = folder.join("works.ron");
    std::fs::write(&path, text).expect("written");
    path
}

fn choose(driver: &mut Driver, path: &Path) {
    driver.click_button("Scene");
    driver.click("Choose size book…");
    assert_eq!(driver.type_choice(path), Choice::SizeBook);
}

fn mark(driver: &mut Driver, u: f64, size: &str) {
    driver.press(Key::Num3);
    driver.drag(DVec2::new(u, 0.1), DVec2::new(u, 0.0));
    driver.type_into("Known size", size);
    driver.press(Key::Enter);
}

fn size(driver: &Driver, marker: usize) -> (Known, &str) {
    match &driver.scene().markers[marker].statements[..] {
        [Statement::KnownSize { size, as_ }] => (*size, as_),
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_size_book_can_be_chosen_among_what_the_scene_is() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut driver = Driver::new();
    driver.click_button("Choose a size book");
    assert_eq!(driver.type_choice(&works(folder.path(), WORKS)), Choice::SizeBook);
    assert!(driver.has("Put the size book away") && !driver.has("Choose a size book"));
}

#[test]
fn a_size_book_is_chosen_offered_under_its_title_and_put_away() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = works(folder.path(), WORKS);
    let mut driver = Driver::new();
    choose(&mut driver, &path);
    assert_eq!(driver.scene().size_book.as_deref(), Some(path.as_path()));
    assert!(driver.has("Works"), "its title is among the scene's properties");
    driver.press(Key::Num3);
    driver.drag(DVec2::new(-0.2, 0.1), DVec2::new(-0.2, 0.0));
    driver.type_into("Known size", "gate");
    assert!(driver.has("gate house, tall") && driver.says("standard drawing"));
    driver.press(Key::Enter);
    assert_eq!(size(&driver, 0), (Known { metres: 30.0, spread: 0.04 }, "gate house"));
    assert_eq!(driver.scene().markers[0].name, "gate house");
    driver.press(Key::Escape);
    driver.press_named("Put the size book away");
    assert_eq!(driver.scene().size_book, None);
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert!(driver.has("Works"), "it is read again");
}

#[test]
fn where_the_scene_says_other_sizes_the_books_can_be_taken() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut driver = Driver::new();
    choose(&mut driver, &works(folder.path(), WORKS));
    mark(&mut driver, -0.2, "gate");
    mark(&mut driver, 0.2, "hauler");
    assert!(!driver.says("says otherwise"));
    let grown = WORKS.replace("metres: 30", "metres: 33").replace("metres: 96", "metres: 90");
    let grown_path = folder.path().join("grown.ron");
    std::fs::write(&grown_path, &grown).expect("written");
    choose(&mut driver, &grown_path);
    assert!(driver.has("The size book says otherwise of 2 things."));
    driver.click("Which?");
    let said = driver.labels("hauler is said to be 96 m");
    driver.click(&said[0]);
    assert_eq!(driver.desk().selected(), Some(Thing::marker(MarkerId(2))));
    driver.click("Take the book’s sizes");
    assert_eq!(size(&driver, 0).0.metres, 33.0);
    assert_eq!(size(&driver, 1).0.metres, 90.0);
    assert!(!driver.says("says otherwise"));
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert!(driver.says("says otherwise of 2 things"));
    driver.click("Not now");
    assert!(!driver.says("says otherwise"));
}

#[test]
fn a_size_book_that_cannot_be_read_is_remarked_on_and_stops_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = works(folder.path(), "(format: 1, entries: [");
    let mut driver = Driver::new();
    choose(&mut driver, &path);
    assert!(driver.says("The scene can be used without it."));
    mark(&mut driver, -0.2, "1.7 m");
    assert_eq!(driver.scene().markers.len(), 1);
    works(folder.path(), WORKS);
    driver.click("Try again");
    assert!(!driver.says("The scene can be used without it."));
    driver.press(Key::Num1);
    driver.press(Key::Escape);
    assert!(driver.has("Works"));
}

#[test]
fn a_scene_saved_elsewhere_still_finds_its_size_book() {
    let folder = tempfile::tempdir().expect("a folder");
    let book = works(folder.path(), WORKS);
    let (here, there) = (folder.path().join("quay.ron"), folder.path().join("shots/quay.ron"));
    std::fs::create_dir(folder.path().join("shots")).expect("a folder");
    save(&here, &Scene { size_book: Some("works.ron".into()), ..Scene::default() }).expect("saved");
    let mut driver = Driver::new();
    driver.open(&here);
    assert_eq!(driver.scene().size_book, Some(book));
    driver.press_with(Modifiers::COMMAND | Modifiers::SHIFT, Key::S);
    driver.type_choice(&there);
    let kept = staffage_scene::load(&there).expect("a scene");
    assert_eq!(kept.size_book, Some("../works.ron".into()));
}
