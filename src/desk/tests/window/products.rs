//! The panels of the review sheet and of the camera: what they show, where it goes, and by keys alone.

use crate::office::Office;
use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable as _;
use staffage_desk::{Choice, Order, Outcome, Product, ProductOrder, Remembered};
use staffage_scene::{Known, Scene, Units, save};
use std::sync::atomic::Ordering;

const WITH_SHIFT: Modifiers = Modifiers { shift: true, ..Modifiers::COMMAND };

fn ordered(office: &Office) -> ProductOrder {
    match office.clerk.last() {
        Order::Product(order) => order,
        other => panic!("{other:?}"),
    }
}

/// A scene in which the eye's height is known, so that it has a camera.
fn with_scale() -> Office {
    let mut office = Office::new();
    let mut scene = Scene::default();
    scene.levels[0].clearance = Some(Known { metres: 1.6, spread: 0.02 });
    let path = office.path("dam.ron");
    save(&path, &scene).expect("saved");
    office.driver.open(&path);
    office
}

#[test]
fn a_sheet_is_previewed_and_written_by_keys_alone() {
    let mut office = Office::new();
    office.driver.press_with(WITH_SHIFT, Key::R);
    assert!(office.driver.has("Preview of the sheet") && office.driver.shows("0 lines in Metric"));
    assert_eq!(office.clerk.count(), 0, "looking at it writes nothing");
    office.driver.press(Key::Enter);
    let order = ordered(&office);
    assert_eq!((order.product, order.path), (Product::Sheet, office.path("quay.sheet.html")));
    assert_eq!(order.scene_path, office.path("quay.ron"));
    assert!(!order.replace && office.driver.says("Handed over."));
    office.driver.press(Key::Enter);
    assert_eq!(office.clerk.count(), 2, "once more, without looking for the button");
    office.driver.press_with(WITH_SHIFT, Key::R);
    assert!(!office.driver.has("Preview of the sheet"), "the key closes it, too");
}

#[test]
fn the_space_bar_over_the_canvas_moves_the_picture_and_writes_nothing() {
    let mut office = Office::new();
    office.driver.press_with(WITH_SHIFT, Key::R);
    let canvas = office.driver.desk().canvas();
    office.driver.harness.hover_at(canvas.center());
    office.driver.press(Key::Space);
    assert_eq!(office.clerk.count(), 0);
    office.driver.harness.hover_at(office.driver.place("Write the sheet"));
    office.driver.press(Key::Space);
    assert_eq!(office.clerk.count(), 1, "elsewhere it presses what has the focus");
}

#[test]
fn the_keys_go_into_a_panel_and_back_to_the_canvas() {
    let mut office = with_scale();
    for (open, close, has_keys) in [
        (Key::R, "Close the sheet’s panel", true),
        (Key::G, "Close the camera’s panel", true),
        (Key::L, "Close the levelled copy’s panel", false),
    ] {
        office.driver.press_with(WITH_SHIFT, open);
        if has_keys {
            office.driver.press(Key::F6);
        }
        office.driver.press_with(Modifiers::SHIFT, Key::F6);
        assert!(office.driver.says("The panel of what is handed over: Tab goes"), "{close}");
        office.driver.press(Key::Tab);
        assert!(office.driver.harness.get_by_label(close).is_focused());
        office.driver.press(Key::F6);
        assert!(office.driver.says("The canvas has the keys."));
    }
}

#[test]
fn esc_closes_the_panel_once_nothing_is_selected() {
    let mut office = with_scale();
    let panels = [
        ("Overlay…", "Close the overlay panel"),
        ("Levelled copy…", "Close the levelled copy’s panel"),
        ("Review sheet…", "Close the sheet’s panel"),
        ("Camera and stand-ins…", "Close the camera’s panel"),
    ];
    for (open, close) in panels {
        office.menu(open);
        office.driver.press_with(Modifiers::COMMAND, Key::A);
        let selected = office.driver.has(close);
        office.driver.press(Key::Escape);
        assert!(selected, "{close}");
        office.driver.press(Key::Escape);
        assert!(!office.driver.has(close), "{close}");
    }
}

#[test]
fn cancel_closes_the_panel_and_writes_nothing() {
    let mut office = Office::new();
    office.menu("Review sheet…");
    office.driver.click("Write no sheet");
    assert!(!office.driver.has("Write the sheet"));
    office.menu("Review sheet…");
    office.driver.click("Close the sheet’s panel");
    assert!(!office.driver.has("Write the sheet"));
    assert_eq!(office.clerk.count(), 0);
}

#[test]
fn one_panel_is_open_at_a_time() {
    let mut office = with_scale();
    office.menu("Overlay…");
    office.driver.press_with(WITH_SHIFT, Key::R);
    assert!(!office.driver.has("Preview of the overlay"));
    office.driver.press_with(WITH_SHIFT, Key::G);
    assert!(!office.driver.has("Write the sheet") && office.driver.has("Write the camera"));
    office.driver.press_with(WITH_SHIFT, Key::L);
    assert!(!office.driver.has("Write the camera"));
    office.driver.press_with(WITH_SHIFT, Key::G);
    office.menu("Overlay…");
    assert!(!office.driver.has("Write the camera") && office.driver.has("Preview of the overlay"));
}

#[test]
fn another_place_is_chosen_or_typed_and_remembered_for_the_scene() {
    let mut office = Office::new();
    office.menu("Review sheet…");
    office.driver.click("Choose where the sheet goes");
    let elsewhere = office.path("for the art lead.html");
    let suggested = office.path("quay.sheet.html");
    let choice = Choice::Product { product: Product::Sheet, suggested };
    assert_eq!(office.driver.type_choice(&elsewhere), choice);
    office.driver.settle();
    assert!(office.driver.shows("for the art lead.html"));
    assert_eq!(office.clerk.count(), 0, "it is only chosen");
    let kept = office.driver.desk().remembered().clone();
    let mut later = Office::with(kept, office.folder);
    let scene = later.path("quay.ron");
    later.driver.open(&scene);
    later.menu("Review sheet…");
    later.driver.click("Write the sheet");
    assert_eq!(ordered(&later).path, elsewhere);
    later.driver.type_over("Sheet file", "tables/quay");
    later.driver.press(Key::Enter);
    later.driver.press(Key::Enter);
    assert_eq!(ordered(&later).path, later.path("tables/quay.html"), "its button is next");
}

#[test]
fn each_alternative_has_a_file_of_its_own_and_none_is_written_over_another() {
    let mut office = Office::new();
    office.driver.press_with(Modifiers::ALT, Key::A);
    office.driver.press(Key::Escape);
    office.menu("Review sheet…");
    office.driver.click("Write the sheet");
    let second = ordered(&office);
    let idea = second.scene.alternative_shown().expect("an alternative").name_for_a_file();
    assert_eq!(second.path, office.path(&format!("quay.{idea}.sheet.html")));
    office.driver.press(Key::A);
    office.driver.click("Write the sheet");
    let first = ordered(&office);
    assert_eq!(first.path, office.path("quay.first-idea.sheet.html"));
    assert_ne!(first.scene.alternative_shown(), second.scene.alternative_shown());
    office.driver.press(Key::A);
    office.driver.click("Write the sheet");
    assert_eq!(ordered(&office).path, second.path, "it has its place back");
}

#[test]
fn what_is_written_is_chosen_by_kind_and_shown_as_what_it_is() {
    let mut office = Office::new();
    office.menu("Review sheet…");
    office.driver.click("Table");
    assert!(office.driver.shows("scene,id,name"), "the beginning of the file");
    assert!(!office.driver.has("Preview of the sheet") && office.driver.shows("quay.sheet.csv"));
    office.driver.click("Write the sheet");
    assert_eq!(ordered(&office).path, office.path("quay.sheet.csv"));
    // The kind is the painter's way, for other scenes, too.
    let other = office.path("dam.ron");
    save(&other, &Scene::default()).expect("saved");
    office.driver.open(&other);
    assert!(office.driver.shows("dam.sheet.csv"));
}

#[test]
fn it_tells_lengths_as_the_window_does() {
    let mut office = Office::new();
    office.menu("Review sheet…");
    office.driver.press_with(Modifiers::COMMAND, Key::U);
    assert!(office.driver.shows("0 lines in Imperial"));
    office.driver.click("Write the sheet");
    assert_eq!(ordered(&office).units, Units::Imperial);
}

#[test]
fn a_camera_tells_what_goes_along_for_the_film_back_that_is_chosen() {
    let mut office = with_scale();
    office.driver.press_with(WITH_SHIFT, Key::G);
    assert!(office.driver.shows("for “”") && office.driver.shows("0 lines in Metric"));
    office.driver.click("Film back");
    office.driver.click("Super 35 · 24.89 mm");
    assert!(office.driver.shows("for “super-35”"));
    office.driver.click("Write the camera");
    let order = ordered(&office);
    assert_eq!((order.film_back.as_str(), order.path), ("super-35", office.path("dam.camera.glb")));
    office.driver.click("Film back");
    office.driver.click("another width");
    office.driver.type_number("Width of the film back", "27.99");
    assert!(office.driver.shows("for “27.99”"), "a sensor of one's own");
    let kept = office.driver.desk().remembered().clone();
    assert_eq!(kept.film_back, "27.99");
}

#[test]
fn what_cannot_be_made_is_said_before_and_not_asked_for() {
    let mut office = Office::new();
    office.driver.press_with(WITH_SHIFT, Key::G);
    assert!(office.driver.shows("Nothing in the scene is known in metres."));
    office.driver.click("Write the camera");
    assert_eq!(office.clerk.count(), 0);
}

#[test]
fn what_is_no_sheet_is_asked_about_before_it_is_replaced() {
    let mut office = Office::new();
    let path = office.path("quay.sheet.html");
    office.clerk.answers(Outcome::Taken(path.clone()));
    office.driver.press_with(WITH_SHIFT, Key::R);
    office.driver.press(Key::Enter);
    assert!(office.driver.shows("“quay.sheet.html” is there already and is no sheet."));
    office.driver.click("Leave it");
    assert!(office.driver.has("Write the sheet"));
    office.driver.click("Write the sheet");
    office.driver.click("Another file…");
    let other = office.path("other.html");
    office.driver.type_choice(&other);
    office.driver.click("Write the sheet");
    assert_eq!(ordered(&office).path, other);
    office.clerk.answers(Outcome::Done("Replaced.".into()));
    office.driver.click("Replace it");
    assert!(ordered(&office).replace && office.driver.says("Replaced."));
    assert!(office.driver.has("Write the sheet"));
}

#[test]
fn the_panel_shows_how_far_it_is_and_gives_it_up() {
    let mut office = Office::new();
    office.clerk.slow.store(true, Ordering::SeqCst);
    office.driver.press_with(WITH_SHIFT, Key::R);
    office.driver.harness.get_by_label("Write the sheet").click();
    while !office.driver.has("How far the sheet is") {
        office.driver.harness.step();
    }
    office.driver.harness.get_by_label("Give up the sheet").click();
    office.driver.settle();
    assert!(office.driver.says("cancelled, nothing was left behind"));
    office.clerk.slow.store(false, Ordering::SeqCst);
    office.driver.press(Key::Enter);
    assert_eq!(office.clerk.count(), 2, "its button has the focus again");
}

#[test]
fn the_window_goes_on_while_a_preview_is_made_and_the_latest_wins() {
    let mut office = Office::new();
    office.clerk.ponders.store(true, Ordering::SeqCst);
    office.driver.harness.key_press_modifiers(WITH_SHIFT, Key::R);
    while office.clerk.previewed.lock().unwrap().is_empty() {
        office.driver.harness.step();
    }
    // It is worked on meanwhile.
    office.driver.harness.key_press(Key::Num2);
    office.driver.harness.step();
    for u in [-0.2, 0.2] {
        office.driver.trace_without_waiting(u);
    }
    assert_eq!(office.driver.scene().lines.len(), 2);
    assert_eq!(office.clerk.previewed.lock().unwrap().len(), 1, "one at a time");
    office.clerk.ponders.store(false, Ordering::SeqCst);
    office.driver.settle();
    assert!(office.driver.shows("2 lines in Metric"));
    let lines: Vec<usize> = office
        .clerk
        .previewed
        .lock()
        .unwrap()
        .iter()
        .map(|order| order.scene.lines.len())
        .collect();
    assert_eq!(lines, [0, 2], "nothing between is made");
}

#[test]
fn a_scene_without_a_place_asks_for_one() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut office = Office::with(Remembered::default(), folder);
    office.menu("Review sheet…");
    office.driver.click("Write the sheet");
    assert!(office.driver.says("or choose where it goes") && office.clerk.count() == 0);
    office.driver.click("Choose where the sheet goes");
    let path = office.path("anywhere.html");
    office.driver.type_choice(&path);
    office.driver.click("Write the sheet");
    assert_eq!(ordered(&office).path, path);
}
