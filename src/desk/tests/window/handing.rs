//! The Handover menu and the overlay's panel: what is asked for, remembered, shown and cancelled.

use crate::office::Office;
use egui::{Event, Key, Modifiers};
use egui_kittest::kittest::Queryable as _;
use staffage_desk::{
    Choice, InkPart, LevelAim, LevelOrder, LevelStance, Order, Outcome, Placed, Remembered,
};
use staffage_scene::{Scene, save};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::Ordering;

#[test]
fn the_panel_shows_a_preview_and_writes_what_was_chosen() {
    let mut office = Office::new();
    office.menu("Overlay…");
    let driver = &mut office.driver;
    assert!(driver.has("Preview of the overlay"));
    assert!(driver.shows("quay.overlay.png"), "beside the scene, called after it");
    driver.click("5000 px wide");
    assert!(driver.has("5000 × 2500 px"), "the size that was worked out");
    driver.click("SVG");
    driver.click("markers");
    driver.click("words");
    driver.click("Write the overlay");
    let order = office.clerk.overlay();
    assert_eq!(order.path, office.path("quay.overlay.svg"));
    assert_eq!((order.ink.width, order.ink.words, order.replace), (5000, false, false));
    assert_eq!(order.ink.parts, [InkPart::Guides, InkPart::StandIns, InkPart::Findings]);
    assert!(office.driver.says("Handed over."));
    office.driver.click("Close the overlay panel");
    assert!(!office.driver.has("Preview of the overlay"));
}

#[test]
fn the_overlay_is_written_again_by_its_key_with_the_same_settings() {
    let mut office = Office::new();
    office.menu("Overlay…");
    office.driver.type_over("Overlay width", "12,000 px");
    office.driver.press(Key::Enter);
    office.driver.type_over("Overlay file", "ink/quay");
    office.driver.press(Key::Enter);
    office.driver.click("Close the overlay panel");
    office.driver.press_with(Modifiers::COMMAND, Key::E);
    let order = office.clerk.overlay();
    assert_eq!(order.ink.width, 12_000);
    assert_eq!(order.path, office.path("ink/quay.png"));
}

#[test]
fn settings_are_remembered_for_the_scene() {
    let mut office = Office::new();
    office.menu("Overlay…");
    office.driver.click("10000 px wide");
    office.driver.click("Write the overlay");
    let kept = office.driver.desk().remembered().clone();
    let mut later = Office::with(kept, office.folder);
    let scene = later.path("quay.ron");
    later.driver.open(&scene);
    later.driver.press_with(Modifiers::COMMAND, Key::E);
    assert_eq!(later.clerk.overlay().ink.width, 10_000);
}

#[test]
fn what_is_no_overlay_is_asked_about_before_it_is_replaced() {
    let mut office = Office::new();
    let path = office.path("quay.overlay.png");
    office.clerk.answers(Outcome::Taken(path.clone()));
    office.driver.press_with(Modifiers::COMMAND, Key::E);
    assert!(office.driver.says("is there already and is no overlay"));
    office.driver.click("Another file…");
    assert_eq!(
        office.driver.type_choice(&office.folder.path().join("other.png")),
        Choice::Overlay { suggested: path }
    );
    office.driver.click("Write the overlay");
    assert_eq!(office.clerk.overlay().path, office.path("other.png"));
    office.clerk.answers(Outcome::Done("Replaced.".into()));
    office.driver.click("Replace it");
    assert!(office.clerk.overlay().replace);
    assert!(office.driver.says("Replaced.") && !office.driver.says("is no overlay"));
}

#[test]
fn an_overlay_kept_up_to_date_follows_changes_at_rest_and_says_so() {
    let mut office = Office::new();
    office.menu("Keep the overlay up to date");
    assert_eq!(office.clerk.count(), 1, "at once");
    assert!(office.driver.has("Overlay follows"));
    office.trace(-0.2);
    assert_eq!(office.clerk.count(), 2, "once for a whole gesture");
    assert_eq!(office.clerk.overlay().ink.scene.lines.len(), 1);
    office.driver.press_with(Modifiers::COMMAND, Key::Z);
    assert_eq!(office.clerk.overlay().ink.scene.lines.len(), 0);
    office.driver.click("Overlay follows");
    office.trace(0.2);
    assert_eq!(office.clerk.count(), 3, "it was turned off in the strip");
}

#[test]
fn opening_a_scene_whose_overlay_is_kept_up_to_date_writes_nothing_until_it_changes() {
    let mut office = Office::new();
    office.menu("Keep the overlay up to date");
    let kept = office.driver.desk().remembered().clone();
    let mut later = Office::with(kept, office.folder);
    let scene = later.path("quay.ron");
    later.driver.open(&scene);
    assert!(later.driver.has("Overlay follows"));
    assert_eq!(later.clerk.count(), 0);
    later.trace(0.1);
    assert_eq!(later.clerk.count(), 1);
}

#[test]
fn a_failure_is_said_in_a_line_that_can_be_put_away() {
    let mut office = Office::new();
    office.clerk.answers(Outcome::Failed("The disk is full. Make room.".into()));
    office.driver.press_with(Modifiers::COMMAND, Key::E);
    assert!(office.driver.has("The disk is full. Make room."));
    office.driver.click("Dismiss");
    assert!(!office.driver.says("disk is full"));
}

#[test]
fn what_takes_long_shows_how_far_it_is_and_can_be_cancelled() {
    let mut office = Office::new();
    office.clerk.slow.store(true, Ordering::SeqCst);
    office.driver.harness.key_press_modifiers(Modifiers::COMMAND, Key::E);
    while !office.driver.says("Writing quay.overlay.png – 50 %") {
        office.driver.harness.step();
    }
    office.driver.harness.get_by_label("Cancel the handover").click();
    office.driver.settle();
    assert!(office.driver.says("cancelled, nothing was left behind"));
    assert!(!office.driver.has("Cancel the handover"));
}

#[test]
fn ink_is_copied_by_its_key_no_wider_than_the_clipboard_should_hold() {
    let mut office = Office::new();
    office.menu("Overlay…");
    office.driver.type_over("Overlay width", "20000");
    office.driver.press(Key::Enter);
    office.driver.press_with(Modifiers::COMMAND | Modifiers::SHIFT, Key::C);
    let Order::CopyInk(ink) = office.clerk.last() else { panic!("{:?}", office.clerk.last()) };
    assert_eq!(ink.width, 10_000);
    assert!(office.driver.says("Handed over."));
}

#[test]
fn a_picture_on_the_clipboard_becomes_the_painting() {
    let mut office = Office::new();
    let pasted = office.path("quay pasted.png");
    image::RgbImage::from_pixel(300, 200, image::Rgb([90; 3])).save(&pasted).expect("written");
    office.clerk.answers(Outcome::Pasted(pasted.clone()));
    let picture = egui::ColorImage::filled([2, 2], egui::Color32::GRAY);
    office.driver.harness.event(Event::PasteImage(Arc::new(picture)));
    office.driver.settle();
    assert_eq!(office.clerk.last(), Order::PastePainting { wanted: pasted.clone() });
    let painting = office.driver.scene().painting.clone().expect("a painting");
    assert_eq!((painting.path, painting.size), (pasted, (300, 200)));
    assert!(
        (office.driver.scene().frame.ratio - 1.5).abs() < 1e-9,
        "an untouched frame takes it on"
    );
    office.driver.press_with(Modifiers::COMMAND, Key::Z);
    assert_eq!(office.driver.scene().painting, None);
}

#[test]
fn an_empty_clipboard_is_told_and_text_goes_into_the_field_that_has_the_focus() {
    let mut office = Office::new();
    office.clerk.answers(Outcome::Failed("There is no picture on the clipboard.".into()));
    // Nothing on the clipboard: the key is let go, and nothing came.
    office.driver.harness.event(key_v(false, Modifiers::COMMAND));
    office.driver.settle();
    assert!(office.driver.has("There is no picture on the clipboard."));
    assert_eq!(office.clerk.count(), 1);
    office.driver.harness.get_by_label("Title").focus();
    office.driver.settle();
    office.driver.harness.event(Event::Paste("Quay".into()));
    office.driver.settle();
    assert_eq!(office.clerk.count(), 1, "text for a field is no painting");
}

#[test]
fn the_letter_v_pastes_nothing_and_it_is_no_matter_which_key_is_let_go_first() {
    let mut office = Office::new();
    office.clerk.answers(Outcome::Failed("There is no picture on the clipboard.".into()));
    office.driver.harness.event(key_v(true, Modifiers::NONE));
    office.driver.settle();
    office.driver.harness.event(key_v(false, Modifiers::NONE));
    office.driver.settle();
    assert_eq!(office.clerk.count(), 0, "it showed the values");
    office.driver.harness.event(key_v(false, Modifiers::NONE));
    office.driver.settle();
    assert_eq!(office.clerk.count(), 1, "Ctrl was let go before V");
}

fn key_v(pressed: bool, modifiers: Modifiers) -> Event {
    Event::Key { key: Key::V, physical_key: None, pressed, repeat: false, modifiers }
}

#[test]
fn a_scene_without_a_file_says_that_a_painting_has_nowhere_to_go() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut office = Office::with(Remembered::default(), folder);
    office.menu("Paste as the painting");
    assert!(office.driver.says("save it first (Ctrl+S)"));
    assert_eq!(office.clerk.count(), 0);
    let aside = office.folder.path().to_path_buf();
    office.driver.harness.state_mut().desk.keep_unsaved_in(aside);
    office.menu("Paste as the painting");
    let wanted = office.path("untitled pasted.png");
    assert_eq!(office.clerk.last(), Order::PastePainting { wanted });
}

#[test]
fn without_a_place_for_the_overlay_the_panel_asks_for_one() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut office = Office::with(Remembered::default(), folder);
    office.driver.press_with(Modifiers::COMMAND, Key::E);
    assert!(office.driver.says("choose where the overlay goes"));
    assert!(office.driver.says(".overlay.png”: … says in which folder"));
    assert!(office.driver.harness.get_by_label("Overlay file").is_focused(), "to be typed at once");
    let there = office.path("ink.png");
    office.driver.harness.event(Event::Text(there.display().to_string()));
    office.driver.press(Key::Enter);
    assert!(!office.driver.says("choose where the overlay goes"));
    office.driver.press(Key::Enter);
    assert_eq!(office.clerk.overlay().path, there, "Enter once more writes it");
    office.driver.click("Choose where the overlay goes");
    let path: &Path = &office.path("ink.svg");
    office.driver.type_choice(path);
    office.driver.click("Write the overlay");
    assert_eq!(office.clerk.overlay().path, path);
}

/// A scene over a painting on the desk.
fn over_a_painting() -> Office {
    let mut office = Office::new();
    let painting = office.path("wide.png");
    image::RgbImage::from_pixel(300, 150, image::Rgb([90; 3])).save(&painting).expect("written");
    let scene = Scene {
        painting: Some(staffage_scene::Painting { path: "wide.png".into(), size: (300, 150) }),
        frame: staffage_scene::Frame { ratio: 2.0, working_width: 300 },
        ..Scene::default()
    };
    let path = office.path("wide.ron");
    save(&path, &scene).expect("saved");
    office.driver.open(&path);
    office
}

#[test]
fn painting_and_ink_are_written_as_layers_as_the_overlay_is_set() {
    let mut office = over_a_painting();
    office.menu("Overlay…");
    office.driver.click("5000 px wide");
    office.clerk.answers(Outcome::Taken(office.path("wide.ora")));
    office.driver.press_with(Modifiers::COMMAND | Modifiers::SHIFT, Key::E);
    let order = |office: &Office| match office.clerk.last() {
        Order::Layers(order) => order,
        other => panic!("{other:?}"),
    };
    let first = order(&office);
    assert_eq!((first.ink.width, first.replace), (5000, false));
    assert_eq!(first.scene_path, office.path("wide.ron"));
    assert!(office.driver.shows("“wide.ora” is there already and may hold work of yours."));
    office.clerk.answers(Outcome::Done("Layers.".into()));
    // In sight, so that a click reaches it.
    office.driver.click("Replace the layers");
    assert!(order(&office).replace && office.driver.says("Layers."));
    office.driver.press_named("Write the layered file");
    assert!(!order(&office).replace && order(&office).to.is_none());
}

#[test]
fn layered_files_and_copies_go_where_they_are_sent_and_each_scene_remembers_it() {
    let mut office = over_a_painting();
    office.menu("Overlay…");
    assert!(office.driver.shows("wide.ora"), "beside the scene, called after it");
    office.driver.type_over("Layered file", "for the art lead/wide.ora");
    office.driver.press(Key::Enter);
    office.driver.press_named("3 flat tones as a layer");
    office.driver.click(InkPart::Grid.word());
    office.driver.press_named("Write the layered file");
    let Order::Layers(order) = office.clerk.last() else { panic!("{:?}", office.clerk.last()) };
    assert_eq!(order.to, Some(office.path("for the art lead/wide.ora")));
    assert_eq!(order.tones, Some(3));
    assert!(order.ink.parts.contains(&InkPart::Grid));

    office.menu("Levelled copy…");
    assert!(office.driver.shows("wide.level.png"));
    office.driver.click("Choose where the copy goes");
    let choice = office.driver.type_choice(&office.folder.path().join("scratch/level.png"));
    let placed = Placed::Copy(LevelStance::Level);
    assert_eq!(choice, Choice::Place { placed, suggested: office.path("wide.level.png") });
    office.driver.click("Write the copy");
    assert_eq!(levelled(&office).to, Some(office.path("scratch/level.png")));
    office.driver.click("Aimed copy");
    assert!(office.driver.shows("wide.aimed.png"), "each way of turning has a place of its own");

    let kept = office.driver.desk().remembered().clone();
    let mut later = Office::with(kept, office.folder);
    let scene = later.path("wide.ron");
    later.driver.open(&scene);
    later.driver.press_with(Modifiers::COMMAND | Modifiers::SHIFT, Key::E);
    let Order::Layers(order) = later.clerk.last() else { panic!("{:?}", later.clerk.last()) };
    assert_eq!((order.to, order.tones), (Some(later.path("for the art lead/wide.ora")), Some(3)));
    later.menu("Levelled copy…");
    later.driver.click("Level copy");
    later.driver.type_over("Copy file", " ");
    later.driver.press(Key::Enter);
    later.driver.click("Write the copy");
    assert_eq!(levelled(&later).to, None, "emptied, it goes beside the scene again");
}

#[test]
fn a_scene_without_a_file_sends_its_layers_where_it_was_chosen() {
    let mut office = Office::with(Remembered::default(), tempfile::tempdir().expect("a folder"));
    office.driver.press_with(Modifiers::COMMAND | Modifiers::SHIFT, Key::E);
    assert_eq!(office.clerk.count(), 0);
    assert!(office.driver.says("choose where the layered file goes"));
    office.driver.press_named("Choose where the layered file goes");
    let place = office.path("blank.ora");
    office.driver.type_choice(&place);
    office.driver.press_named("Write the layered file");
    let Order::Layers(order) = office.clerk.last() else { panic!("{:?}", office.clerk.last()) };
    assert_eq!(order.to, Some(place));
}

fn levelled(office: &Office) -> LevelOrder {
    match office.clerk.last() {
        Order::Level(order) => order,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_levelled_copy_is_measured_first_written_and_brought_back() {
    let mut office = over_a_painting();
    office.menu("Levelled copy…");
    let driver = &mut office.driver;
    assert!(driver.has("Preview of the levelled copy") && driver.shows("300 px of Level"));
    driver.click("Plumb copy");
    assert!(driver.shows("It would be torn apart."));
    driver.click("Write the copy");
    assert_eq!(office.clerk.count(), 0, "what cannot be is not asked for");
    office.driver.click("Level copy");
    let copy = office.path("wide.level.png");
    let sentence = "Wrote it.".into();
    office.clerk.answers(Outcome::Levelled { copy: copy.clone(), sentence });
    office.driver.click("Write the copy");
    let order = levelled(&office);
    assert_eq!((order.aim, order.replace), (LevelAim::Level, false));
    assert_eq!(order.scene_path, office.path("wide.ron"));
    assert!(office.driver.says("Wrote it."));
    office.clerk.answers(Outcome::Done("It is back.".into()));
    office.driver.click("Bring wide.level.png back");
    assert_eq!(office.clerk.last(), Order::BringBack { copy, replace: false });
    assert!(office.driver.says("It is back."));
}

#[test]
fn a_copy_that_is_there_already_is_asked_about() {
    let mut office = over_a_painting();
    office.clerk.answers(Outcome::Taken(office.path("wide.level.png")));
    office.driver.press_with(Modifiers::COMMAND | Modifiers::SHIFT, Key::L);
    office.driver.click("Write the copy");
    assert!(office.driver.shows("“wide.level.png” is there already and may hold work of yours."));
    office.driver.click("Another file…");
    let suggested = office.path("wide.level.png");
    let placed = Placed::Copy(LevelStance::Level);
    let other = office.path("other.png");
    assert_eq!(office.driver.type_choice(&other), Choice::Place { placed, suggested });
    office.driver.click("Write the copy");
    assert_eq!(levelled(&office).to, Some(other));
    office.clerk.answers(Outcome::Done("Replaced.".into()));
    office.driver.click("Replace it");
    assert!(levelled(&office).replace);
    assert!(!office.driver.shows("may hold work of yours"));
    // Whatever else is being written has its own panel.
    office.menu("Overlay…");
    assert!(!office.driver.has("Preview of the levelled copy"));
}

#[test]
fn how_copies_are_turned_is_remembered() {
    let mut office = over_a_painting();
    office.menu("Levelled copy…");
    office.driver.click("Aimed copy");
    assert!(office.driver.has("Aimed right by"));
    let kept = office.driver.desk().remembered().clone();
    let mut later = Office::with(kept, office.folder);
    let scene = later.path("wide.ron");
    later.driver.open(&scene);
    later.menu("Levelled copy…");
    later.driver.click("Write the copy");
    let still = LevelAim::By { pitch: 0.0, heading: 0.0, cant: 0.0 };
    assert_eq!(levelled(&later).aim, still);
}

#[test]
fn any_copy_can_be_chosen_to_be_brought_back() {
    let mut office = over_a_painting();
    office.driver.press_with(Modifiers::COMMAND | Modifiers::SHIFT, Key::B);
    let copy = office.path("elsewhere.level.tif");
    assert_eq!(office.driver.type_choice(&copy), Choice::LevelledCopy);
    assert_eq!(office.clerk.last(), Order::BringBack { copy, replace: false });
}
