//! How the window behaves: modes, selection, questions, files that are dropped, missing or damaged.

use crate::driver::{Driver, Set};
use egui::{Key, Modifiers};
use glam::{DVec2, DVec3};
use image::RgbImage;
use staffage_desk::{Choice, Mode, Thing};
use staffage_scene::{Frame, MarkerId, Painting, Scene, Stands, Statement, save};
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

/// Writes a plain painting of this size.
fn painting(folder: &Path, name: &str, width: u32, height: u32) -> PathBuf {
    let path = folder.join(name);
    let grey = image::Rgb([120, 120, 120]);
    RgbImage::from_pixel(width, height, grey).save(&path).expect("a picture is written");
    path
}

/// Draws a marker and leaves its card plain.
fn mark(driver: &mut Driver, foot: DVec2, head: DVec2) {
    driver.press(Key::Num3);
    driver.drag(foot, head);
    driver.press(Key::Escape);
}

#[test]
fn each_mode_has_its_key_its_button_and_its_sentence() {
    let mut driver = Driver::new();
    for (key, mode, name, words) in [
        (Key::Num2, Mode::Line, "Line mode", "Drag along a plumb edge"),
        (Key::Num3, Mode::Mark, "Mark mode", "Drag from the foot"),
        (Key::Num4, Mode::Overlap, "Overlap mode", "Drag from the nearer thing"),
        (Key::Num5, Mode::StandIn, "Stand-in mode", "Say first how high the eye is"),
        (Key::Num6, Mode::Guide, "Guide mode", "steps: drag over one step"),
        (Key::Num1, Mode::Look, "Look mode", "Click a line or a marker"),
    ] {
        driver.press(key);
        assert_eq!(driver.desk().mode(), mode);
        assert!(driver.says(words), "{words}");
        driver.press(if key == Key::Num1 { Key::Num2 } else { Key::Num1 });
        driver.click(name);
        assert_eq!(driver.desk().mode(), mode);
    }
}

#[test]
fn keys_typed_into_a_name_are_letters_not_orders() {
    let mut driver = Driver::new();
    mark(&mut driver, DVec2::new(0.0, 0.1), DVec2::new(0.0, 0.0));
    driver.type_into("Marker name", "2nd hand");
    driver.press(Key::Enter);
    assert_eq!(driver.desk().mode(), Mode::Mark);
    assert!(driver.scene().markers[0].name.contains("2nd hand"), "{:?}", driver.scene().markers);
}

#[test]
fn things_are_selected_by_click_by_key_and_by_their_ledger_row() {
    let mut driver = Driver::new();
    mark(&mut driver, DVec2::new(-0.2, 0.1), DVec2::new(-0.2, 0.0));
    mark(&mut driver, DVec2::new(0.2, 0.12), DVec2::new(0.2, 0.0));
    driver.press(Key::Num1);
    driver.click_at(DVec2::new(-0.2, 0.05));
    assert_eq!(driver.desk().selected(), Some(Thing::marker(MarkerId(1))));
    driver.click_at(DVec2::new(0.4, -0.15));
    assert_eq!(driver.desk().selected(), None);
    driver.press(Key::N);
    let first = driver.desk().selected();
    assert!(first.is_some());
    driver.press(Key::N);
    assert!(driver.desk().selected().is_some() && driver.desk().selected() != first);
    driver.click("Ledger row marker 2");
    assert_eq!(driver.desk().selected(), Some(Thing::marker(MarkerId(2))));
}

#[test]
fn arrows_nudge_by_a_picture_pixel_and_delete_removes() {
    let mut driver = Driver::new();
    mark(&mut driver, DVec2::new(-0.2, 0.1), DVec2::new(-0.2, 0.0));
    let before = driver.scene().markers[0].foot;
    driver.press(Key::ArrowRight);
    driver.press_with(Modifiers::SHIFT, Key::ArrowDown);
    let pixel = 1.0 / f64::from(driver.scene().frame.working_width);
    let moved = driver.scene().markers[0].foot - before;
    assert!((moved - DVec2::new(pixel, 10.0 * pixel)).length() < 1e-9, "{moved}");
    driver.press(Key::Delete);
    assert!(driver.scene().markers.is_empty());
}

#[test]
fn esc_in_the_middle_of_a_drag_puts_everything_back() {
    let mut driver = Driver::new();
    mark(&mut driver, DVec2::new(-0.2, 0.1), DVec2::new(-0.2, 0.0));
    driver.press(Key::Num1);
    let before = driver.scene().clone();
    driver.press_pointer(DVec2::new(-0.2, 0.0));
    driver.move_pointer(DVec2::new(-0.1, -0.1));
    assert!(*driver.scene() != before);
    driver.press(Key::Escape);
    assert_eq!(*driver.scene(), before);
    driver.release_pointer(DVec2::new(-0.1, -0.1));
    assert_eq!(*driver.scene(), before);
}

#[test]
fn a_floating_thing_takes_its_plumb_point_from_the_next_click() {
    let set = Set::canted();
    let mut driver = Driver::new();
    mark(&mut driver, set.seen(DVec3::new(0.0, 1.0, -20.0)), set.seen(DVec3::new(0.0, 3.0, -20.0)));
    driver.press(Key::P);
    assert!(driver.says("plumb below"));
    let plumb = set.seen(DVec3::new(0.0, -2.0, -20.0));
    driver.click_at(plumb);
    let Stands::Over { plumb: taken, .. } = driver.scene().markers[0].stands else {
        panic!("{:?}", driver.scene().markers[0]);
    };
    assert!((taken - plumb).length() < 1e-3, "{taken} {plumb}");
}

#[test]
fn unsaved_changes_are_asked_about_before_they_are_lost() {
    let folder = tempfile::tempdir().expect("a folder");
    let other = folder.path().join("other.ron");
    let titled = Scene { title: "the other".into(), ..Scene::default() };
    save(&other, &titled).expect("saved");

    let mut driver = Driver::new();
    mark(&mut driver, DVec2::new(-0.2, 0.1), DVec2::new(-0.2, 0.0));
    driver.open(&other);
    assert!(driver.says("changes that are not saved"));
    driver.click("Stay");
    assert_eq!(driver.scene().markers.len(), 1);
    driver.open(&other);
    driver.click("Don’t save");
    assert_eq!(driver.scene().title, "the other");
}

#[test]
fn saving_from_the_question_saves_first_and_then_goes_on() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mine, other) = (folder.path().join("mine.ron"), folder.path().join("other.ron"));
    save(&other, &Scene { title: "the other".into(), ..Scene::default() }).expect("saved");
    let mut driver = Driver::new();
    mark(&mut driver, DVec2::new(-0.2, 0.1), DVec2::new(-0.2, 0.0));
    driver.save_as(&mine);
    mark(&mut driver, DVec2::new(0.2, 0.1), DVec2::new(0.2, 0.0));
    driver.open(&other);
    driver.click("Save");
    assert_eq!(driver.scene().title, "the other");
    assert_eq!(staffage_scene::load(&mine).expect("a scene").markers.len(), 2);
}

#[test]
fn a_picture_dropped_on_the_window_starts_a_scene_of_its_shape() {
    let folder = tempfile::tempdir().expect("a folder");
    let picture = painting(folder.path(), "quay.png", 400, 200);
    let mut driver = Driver::new();
    driver.drop_file(&picture);
    assert_eq!(driver.scene().frame, Frame { ratio: 2.0, working_width: 400 });
    assert_eq!(driver.scene().painting.as_ref().map(|p| p.path.clone()), Some(picture));
    assert!(!driver.desk().is_changed(), "nothing was done yet that could be lost");
}

#[test]
fn a_scene_saved_beside_its_painting_names_it_relatively_and_finds_it_again() {
    let folder = tempfile::tempdir().expect("a folder");
    let picture = painting(folder.path(), "quay.png", 400, 200);
    let mut driver = Driver::new();
    driver.open(&picture);
    let file = folder.path().join("quay.ron");
    driver.save_as(&file);
    let kept = staffage_scene::load(&file).expect("a scene").painting.expect("a painting");
    assert_eq!(kept.path, PathBuf::from("quay.png"));
    let mut again = Driver::new();
    again.open(&file);
    assert!(!again.says("could be") && !again.says("is not there"));
    assert_eq!(again.desk().remembered().recent, [file]);
}

#[test]
fn a_missing_painting_is_said_and_the_scene_stays_usable() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("quay.ron");
    let gone = Painting { path: "gone.png".into(), size: (400, 200) };
    let frame = Frame { ratio: 2.0, working_width: 400 };
    save(&file, &Scene { painting: Some(gone), frame, ..Scene::default() }).expect("saved");
    let mut driver = Driver::new();
    driver.open(&file);
    assert!(driver.says("The scene can be used without its painting."));
    mark(&mut driver, DVec2::new(-0.2, 0.1), DVec2::new(-0.2, 0.0));
    assert_eq!(driver.scene().markers.len(), 1);
}

#[test]
fn a_damaged_scene_leaves_the_desk_as_it_was_and_says_why() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("torn.ron");
    std::fs::write(&file, "(format: 1, scene: (title").expect("written");
    let mut driver = Driver::new();
    driver.open(&file);
    assert!(driver.says("torn.ron"));
    assert_eq!(*driver.scene(), Scene::default());
    driver.click("Dismiss");
    assert!(!driver.says("torn.ron"));
}

#[test]
fn a_painting_of_another_shape_is_asked_about_and_never_stretched() {
    let folder = tempfile::tempdir().expect("a folder");
    painting(folder.path(), "quay.png", 400, 300);
    let file = folder.path().join("quay.ron");
    let cropped = Painting { path: "quay.png".into(), size: (400, 200) };
    let frame = Frame { ratio: 2.0, working_width: 400 };
    save(&file, &Scene { painting: Some(cropped), frame, ..Scene::default() }).expect("saved");
    let mut driver = Driver::new();
    driver.open(&file);
    assert_eq!(driver.scene().frame, frame, "nothing changes before it is said");
    driver.click("middle");
    assert_eq!(driver.scene().frame, frame, "nothing changes before it is taken");
    driver.click("Take the new frame");
    assert!((driver.scene().frame.ratio - 4.0 / 3.0).abs() < 1e-9);
}

#[test]
fn without_a_dialog_the_path_is_typed() {
    let folder = tempfile::tempdir().expect("a folder");
    let picture = painting(folder.path(), "quay.png", 400, 200);
    let mut driver = Driver::new();
    driver.press_with(Modifiers::COMMAND, Key::O);
    let choice = driver.harness.state_mut().desk.wanted_choice().expect("a file is asked for");
    assert_eq!(choice, Choice::Open);
    driver.harness.state_mut().desk.ask_path(choice);
    driver.settle();
    driver.type_into("Path", &picture.display().to_string());
    driver.press(Key::Enter);
    assert_eq!(driver.scene().frame.working_width, 400);
}

#[test]
fn a_typed_path_never_replaces_another_scene_unasked() {
    let folder = tempfile::tempdir().expect("a folder");
    let picture = painting(folder.path(), "quay.png", 400, 200);
    let (theirs, free) = (folder.path().join("quay.ron"), folder.path().join("quay 2.ron"));
    save(&theirs, &Scene { title: "theirs".into(), ..Scene::default() }).expect("saved");
    let title = |path: &Path| staffage_scene::load(path).expect("a scene").title;

    let mut driver = Driver::new();
    driver.open(&picture);
    assert!(!driver.says("lies beside it"), "that scene shows another painting");
    driver.press_with(Modifiers::COMMAND, Key::S);
    let asked = driver.type_choice(&theirs);
    assert_eq!(asked, Choice::SaveScene { suggested: free.clone() });
    assert!(driver.says("quay.ron exists"));
    assert_eq!(title(&theirs), "theirs");
    driver.click("Another name");
    driver.type_choice(&free);
    assert!(driver.says(&format!("Saved as “{}”", free.display())));
    assert_eq!((title(&theirs), title(&free)), ("theirs".into(), "quay".into()));

    driver.press_with(Modifiers::COMMAND | Modifiers::SHIFT, Key::S);
    driver.type_choice(&free);
    assert!(!driver.says("exists"), "its own file is no other");
    driver.press_with(Modifiers::COMMAND | Modifiers::SHIFT, Key::S);
    driver.type_choice(&theirs);
    driver.click("Replace it");
    assert_eq!(title(&theirs), "quay");
}

#[test]
fn a_scene_beside_the_picture_that_is_opened_is_offered() {
    let folder = tempfile::tempdir().expect("a folder");
    let picture = painting(folder.path(), "quay.png", 400, 200);
    let shown = Painting { path: "quay.png".into(), size: (400, 200) };
    let frame = Frame { ratio: 2.0, working_width: 400 };
    let kept = Scene { title: "kept".into(), painting: Some(shown), frame, ..Scene::default() };
    save(&folder.path().join("quay.ron"), &kept).expect("saved");
    let mut driver = Driver::new();
    driver.open(&picture);
    assert!(driver.says("quay.ron lies beside it"));
    driver.click("Open the scene");
    assert_eq!(driver.scene().title, "kept");
    assert!(!driver.says("lies beside it"));
    driver.open(&picture);
    mark(&mut driver, DVec2::new(-0.2, 0.1), DVec2::new(-0.2, 0.0));
    assert!(!driver.says("lies beside it"), "work on another scene has begun");
}

#[test]
fn the_theme_is_chosen_and_remembered() {
    let mut driver = Driver::new();
    driver.click("View");
    driver.click("Light");
    assert!(!driver.harness.ctx.global_style().visuals.dark_mode);
    assert_eq!(driver.desk().remembered().theme, egui::ThemePreference::Light);
    let again = Driver::with(driver.desk().remembered().clone());
    assert!(!again.harness.ctx.global_style().visuals.dark_mode);
}

#[test]
fn a_contradiction_can_be_kept_on_purpose_and_released() {
    let set = Set::canted();
    let mut driver = Driver::new();
    for (x, height) in [(-1.0, 1.7), (1.0, 1.7), (3.0, 3.4)] {
        let feet = DVec3::new(x, -2.0, -12.0);
        driver.press(Key::Num3);
        driver.drag(set.seen(feet), set.seen(feet + DVec3::Y * height));
        driver.type_into("Known size", "1.7 m");
        driver.press(Key::Enter);
    }
    assert_eq!(driver.desk().assessment().contradictions(), 1);
    driver.click("Keep on purpose…");
    driver.type_into("Reason to keep it", "a giant");
    driver.press(Key::Enter);
    assert_eq!(driver.desk().assessment().contradictions(), 0);
    assert!(driver.says("Kept on purpose: a giant"));
    driver.click("Release");
    assert_eq!(driver.desk().assessment().contradictions(), 1);
}

#[test]
fn the_eye_can_be_set_by_hand_and_let_go() {
    let mut driver = Driver::new();
    driver.click("eye ≈53° across · level · no cant");
    driver.type_number("Angle of view", "40");
    assert_eq!(driver.scene().eye.angle_of_view, Some(40.0));
    assert!(driver.says("set by hand"));
    driver.click("Let go");
    assert_eq!(driver.scene().eye.angle_of_view, None);
}

#[test]
fn the_eye_opens_by_its_key_and_closes_with_esc() {
    let mut driver = Driver::new();
    driver.press(Key::Num3);
    driver.drag(DVec2::new(-0.2, 0.1), DVec2::new(-0.2, 0.0));
    driver.type_into("Known size", "1.7 m");
    driver.press(Key::Enter);
    let selected = driver.desk().selected();
    driver.press(Key::E);
    assert!(driver.has("Eye panel"));
    driver.press(Key::Escape);
    assert!(!driver.has("Eye panel"));
    assert_eq!(driver.desk().selected(), selected, "it closes before anything is let go");
    let summary = driver.labels("no cant · ");
    assert!(summary.iter().any(|s| s.ends_with(" m high")), "{summary:?}");
    driver.click(&summary[0]);
    assert!(driver.has("Eye panel"));
    driver.press(Key::E);
    assert!(!driver.has("Eye panel"));
}

#[test]
fn closing_the_window_over_unsaved_changes_is_refused_and_asked_about() {
    let mut driver = Driver::new();
    mark(&mut driver, DVec2::new(-0.2, 0.1), DVec2::new(-0.2, 0.0));
    driver.press_with(Modifiers::COMMAND, Key::Q);
    assert!(driver.says("changes that are not saved"));
    driver.click("Stay");
    assert!(!driver.says("changes that are not saved"));
}

#[test]
fn a_still_window_asks_for_no_more_frames() {
    let mut driver = Driver::new();
    mark(&mut driver, DVec2::new(-0.2, 0.1), DVec2::new(-0.2, 0.0));
    // The driver settles after each step, which fails if frames are asked for without end.
    driver.settle();
    let output = driver.harness.output();
    let delay = output.viewport_output.values().map(|v| v.repaint_delay).min();
    assert!(delay.is_some_and(|d| d > std::time::Duration::from_secs(1)), "{delay:?}");
}

#[test]
fn a_painting_that_was_enlarged_keeps_what_was_traced_and_offers_its_width() {
    let folder = tempfile::tempdir().expect("a folder");
    painting(folder.path(), "quay.png", 800, 400);
    let file = folder.path().join("quay.ron");
    let before = Painting { path: "quay.png".into(), size: (400, 200) };
    let frame = Frame { ratio: 2.0, working_width: 400 };
    save(&file, &Scene { painting: Some(before), frame, ..Scene::default() }).expect("saved");
    let mut driver = Driver::new();
    driver.open(&file);
    driver.click("Work at 800 px");
    assert_eq!(driver.scene().frame, Frame { ratio: 2.0, working_width: 800 });
    assert_eq!(driver.scene().painting.as_ref().map(|p| p.size), Some((800, 400)));
}

#[test]
fn shift_keeps_a_head_plumb_over_its_foot() {
    let mut driver = Driver::new();
    mark(&mut driver, DVec2::new(-0.2, 0.1), DVec2::new(-0.2, 0.0));
    driver.press(Key::Num1);
    driver.hold(Modifiers::SHIFT);
    driver.press_pointer(DVec2::new(-0.2, 0.0));
    driver.move_pointer(DVec2::new(-0.15, -0.05));
    let marker = &driver.scene().markers[0];
    // To a level eye without cant, plumb is straight up.
    assert!((marker.head.x - marker.foot.x).abs() < 1e-9, "{marker:?}");
    assert!(marker.head.y < -0.04, "{marker:?}");
}

#[test]
fn the_ledger_scrolls_to_what_is_selected_elsewhere() {
    let mut driver = Driver::new();
    let feet = |i: u8| DVec2::new(-0.45 + 0.03 * f64::from(i), 0.2 - 0.005 * f64::from(i));
    for i in 0..30 {
        mark(&mut driver, feet(i), feet(i) - DVec2::new(0.0, 0.05));
    }
    assert!(driver.has("Ledger row marker 30"), "the last one drawn is the farthest");
    assert!(!driver.has("Ledger row marker 1"));
    driver.press(Key::Num1);
    driver.click_at(feet(0));
    assert!(driver.has("Ledger row marker 1"));
    assert!(!driver.has("Ledger row marker 30"));
}

#[test]
fn what_is_selected_is_read_from_the_top_under_a_heading_that_stays() {
    let mut driver = Driver::new();
    let feet = [DVec2::new(-0.2, 0.1), DVec2::new(0.1, 0.1)];
    for foot in feet {
        mark(&mut driver, foot, foot - DVec2::new(0.0, 0.1));
    }
    driver.press(Key::Num1);
    // In a low window they do not fit.
    driver.harness.set_size(egui::vec2(1280.0, 600.0));
    driver.settle();
    driver.click_at(feet[0]);
    let y = |driver: &Driver, label: &str| driver.place(label).y;
    let (heading, field) = (y(&driver, "Delete"), y(&driver, "Marker name"));
    let over = driver.place("How it runs");
    driver.harness.hover_at(over);
    driver.harness.event(egui::Event::MouseWheel {
        unit: egui::MouseWheelUnit::Point,
        delta: egui::vec2(0.0, -30.0),
        phase: egui::TouchPhase::Move,
        source: egui::MouseWheelSource::Unknown,
        modifiers: Modifiers::NONE,
    });
    driver.settle();
    assert!(y(&driver, "How it runs") < over.y - 20.0, "it has scrolled");
    assert_eq!(y(&driver, "Delete"), heading);
    driver.click_at(feet[1]);
    assert_eq!(y(&driver, "Marker name"), field);
}

#[test]
fn unsaved_work_is_put_aside_offered_after_a_crash_and_gone_once_it_is_given_up() {
    let folder = tempfile::tempdir().expect("a folder");
    let aside = folder.path().join("untitled.autosave.ron");
    let mut driver = Driver::new();
    driver.harness.state_mut().desk.keep_unsaved_in(folder.path().to_path_buf());
    mark(&mut driver, DVec2::new(-0.2, 0.1), DVec2::new(-0.2, 0.0));
    driver.harness.input_mut().time = Some(60.0);
    driver.settle();
    assert!(aside.exists());

    let mut after_the_crash = Driver::new();
    after_the_crash.harness.state_mut().desk.keep_unsaved_in(folder.path().to_path_buf());
    after_the_crash.settle();
    assert!(after_the_crash.says("unsaved work on “untitled”, put aside"));
    after_the_crash.click("Take it");
    assert_eq!(after_the_crash.scene().markers.len(), 1);
    assert!(after_the_crash.desk().is_changed());
    assert_eq!(after_the_crash.desk().path(), None);

    driver.press_with(Modifiers::COMMAND, Key::N);
    driver.click("Start");
    driver.click("Don’t save");
    assert!(driver.scene().markers.is_empty());
    assert!(!aside.exists());
}

#[test]
fn work_left_behind_is_offered_in_a_line_while_other_work_goes_on() {
    let folder = tempfile::tempdir().expect("a folder");
    let left = Scene { title: "left behind".into(), ..Scene::default() };
    staffage_scene::autosave(&folder.path().join("untitled.ron"), &left).expect("put aside");
    let mut driver = Driver::new();
    driver.harness.state_mut().desk.keep_unsaved_in(folder.path().to_path_buf());
    driver.settle();
    mark(&mut driver, DVec2::new(-0.2, 0.1), DVec2::new(-0.2, 0.0));
    assert_eq!(driver.scene().markers.len(), 1);
    assert!(driver.says("unsaved work on “left behind”"), "it can wait");
    driver.harness.input_mut().time = Some(60.0);
    driver.settle();
    assert!(folder.path().join("untitled 2.autosave.ron").exists(), "both are kept");
    driver.click("Take it");
    assert!(driver.says("has changes that are not saved"));
    driver.click("Don’t save");
    assert_eq!(driver.scene().title, "left behind");
    assert!(driver.desk().is_changed() && !driver.says("unsaved work on"));
}

#[test]
fn what_was_put_aside_is_gone_once_the_scene_is_as_it_was_saved() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mine, other) = (folder.path().join("mine.ron"), folder.path().join("other.ron"));
    for path in [&mine, &other] {
        save(path, &Scene::default()).expect("saved");
    }
    let aside = folder.path().join("mine.autosave.ron");
    let mut driver = Driver::new();
    driver.open(&mine);
    mark(&mut driver, DVec2::new(-0.2, 0.1), DVec2::new(-0.2, 0.0));
    driver.press(Key::Escape);
    driver.harness.input_mut().time = Some(60.0);
    driver.settle();
    assert!(aside.exists());
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert!(!driver.desk().is_changed());
    assert!(!aside.exists());
    driver.press_with(Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
    driver.harness.input_mut().time = Some(120.0);
    driver.settle();
    assert!(aside.exists(), "what was made again is put aside again");
    driver.open(&other);
    driver.click("Don’t save");
    driver.open(&mine);
    assert!(!aside.exists() && !driver.says("later work on this scene"));
}

#[test]
fn later_work_that_is_not_wanted_goes_with_the_scene() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mine, other) = (folder.path().join("mine.ron"), folder.path().join("other.ron"));
    for path in [&mine, &other] {
        save(path, &Scene::default()).expect("saved");
    }
    let later = Scene { title: "later".into(), ..Scene::default() };
    let file = std::fs::File::options().write(true).open(&mine).expect("opened");
    file.set_modified(SystemTime::now() - Duration::from_secs(60)).expect("set back");
    staffage_scene::autosave(&mine, &later).expect("put aside");
    let aside = folder.path().join("mine.autosave.ron");
    let mut driver = Driver::new();
    driver.open(&mine);
    driver.click("Stay with what was saved");
    assert!(aside.exists());
    driver.open(&other);
    assert!(!aside.exists());

    staffage_scene::autosave(&mine, &later).expect("put aside");
    let mut driver = Driver::new();
    driver.open(&mine);
    driver.click("Stay with what was saved");
    let window = driver.harness.input_mut().viewports.entry(egui::ViewportId::ROOT).or_default();
    window.events.push(egui::ViewportEvent::Close);
    driver.harness.step();
    assert!(!aside.exists(), "nor is it offered again after the window was closed");
}

#[test]
fn unsaved_work_without_a_file_is_never_taken_for_work_on_another_scene() {
    let (data, art) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("one"));
    let picture = painting(art.path(), "building.png", 400, 200);
    let other = art.path().join("other.ron");
    save(&other, &Scene { title: "the other".into(), ..Scene::default() }).expect("saved");
    let keep = |driver: &mut Driver| {
        driver.harness.state_mut().desk.keep_unsaved_in(data.path().to_path_buf());
        driver.settle();
    };
    let work = |driver: &mut Driver| {
        mark(driver, DVec2::new(-0.2, 0.1), DVec2::new(-0.2, 0.0));
        driver.harness.input_mut().time = Some(60.0);
        driver.settle();
    };
    let mut killed = Driver::new();
    keep(&mut killed);
    killed.open(&picture);
    work(&mut killed);
    let aside = data.path().join("untitled.autosave.ron");
    assert!(aside.exists());

    let mut later = Driver::new();
    later.open(&other);
    keep(&mut later);
    assert!(later.says("unsaved work on “building”") && !later.says("later work on this scene"));
    later.click("Later");
    later.press_with(Modifiers::COMMAND, Key::N);
    later.click("Start");
    work(&mut later);
    assert!(data.path().join("untitled 2.autosave.ron").exists(), "both are kept");
    std::fs::remove_file(data.path().join("untitled 2.autosave.ron")).expect("removed");

    let mut taken = Driver::new();
    keep(&mut taken);
    taken.click("Take it");
    taken.press_with(Modifiers::COMMAND, Key::S);
    let suggested = taken.harness.state_mut().desk.wanted_choice();
    let beside = art.path().join("building.ron");
    assert_eq!(suggested, Some(Choice::SaveScene { suggested: beside }));

    let mut thrown = Driver::new();
    keep(&mut thrown);
    thrown.click("Throw it away");
    assert!(!aside.exists());
}

#[test]
fn a_size_that_cannot_be_read_is_said_and_the_card_stays() {
    let mut driver = Driver::new();
    driver.press(Key::Num3);
    driver.drag(DVec2::new(-0.2, 0.1), DVec2::new(-0.2, 0.0));
    for text in ["-5", "0", "1e9", "abc"] {
        driver.type_over("Known size", text);
        assert!(driver.says("a size between 1 mm and 10,000 km"), "{text}");
        driver.press(Key::Enter);
        assert!(driver.has("Known size"), "{text}");
        driver.drag(DVec2::new(0.2, 0.1), DVec2::new(0.2, 0.0));
        assert!(driver.has("Known size"), "{text}");
    }
    assert_eq!(driver.scene().markers.len(), 1);
    assert!(driver.scene().markers[0].statements.is_empty());
    driver.type_over("Known size", "5'11");
    assert!(!driver.says("a size between"));
    driver.press(Key::Enter);
    assert!(!driver.has("Known size"));
    assert_eq!(driver.scene().markers[0].statements.len(), 1);

    driver.type_over("Length", "0");
    assert!(driver.says("a size between 1 mm and 10,000 km"));
    driver.press(Key::Enter);
    assert!(driver.says("a size between 1 mm and 10,000 km"), "Enter does not drop it");
    driver.type_over("Length", "2 m");
    driver.press(Key::Enter);
    let stated = &driver.scene().markers[0].statements[0];
    assert!(matches!(stated, Statement::KnownSize { size, .. } if size.metres == 2.0));
}

#[test]
fn a_new_marker_and_what_its_card_says_are_one_step() {
    let mut driver = Driver::new();
    let start = driver.scene().clone();
    driver.press(Key::Num3);
    driver.drag(DVec2::new(-0.2, 0.1), DVec2::new(-0.2, 0.0));
    driver.type_into("Name", "Foreman");
    driver.type_into("Known size", "1.8 m");
    driver.press(Key::Enter);
    let marked = driver.scene().clone();
    assert_eq!((marked.markers[0].name.as_str(), marked.markers.len()), ("Foreman", 1));
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert_eq!(*driver.scene(), start);
    driver.press_with(Modifiers::COMMAND, Key::Y);
    assert_eq!(*driver.scene(), marked);
}

#[test]
fn a_file_that_is_not_there_is_said_before_anything_is_asked() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut driver = Driver::new();
    mark(&mut driver, DVec2::new(-0.2, 0.1), DVec2::new(-0.2, 0.0));
    for gone in ["gone.ron", "gone.png"] {
        let path = folder.path().join(gone);
        driver.open(&path);
        assert!(driver.says(&format!("“{}” could not be opened", path.display())));
        assert!(!driver.says("changes that are not saved"));
        driver.click("Dismiss");
    }
    assert_eq!(driver.scene().markers.len(), 1);
}

#[test]
fn the_letters_of_a_path_are_never_changed() {
    // A text that every run of the tests finds in its working folder.
    let text = Path::new("tests/window/manners.rs");
    let mut driver = Driver::new();
    driver.open(text);
    assert!(driver.says("tests/window/manners.rs is not a picture"));
}

#[test]
fn handles_that_can_be_seen_are_dragged_where_things_are_drawn_too() {
    let mut driver = Driver::new();
    let (foot, head, to) = (DVec2::new(-0.2, 0.1), DVec2::new(-0.2, 0.0), DVec2::new(-0.2, -0.05));
    mark(&mut driver, foot, head);
    driver.click_at((foot + head) / 2.0);
    let before = driver.scene().clone();
    driver.drag(head, to);
    assert_eq!(driver.scene().markers.len(), 1);
    assert!((driver.scene().markers[0].head - to).length() < 2e-3, "{:?}", driver.scene().markers);
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert_eq!(*driver.scene(), before);

    driver.press(Key::Num2);
    driver.drag(DVec2::new(0.1, 0.1), DVec2::new(0.1, 0.0));
    driver.click_at(DVec2::new(0.1, 0.05));
    driver.drag(DVec2::new(0.1, 0.0), DVec2::new(0.1, -0.05));
    assert_eq!(driver.scene().lines.len(), 1);
    assert!((driver.scene().lines[0].segment.1.y + 0.05).abs() < 2e-3);
    driver.press(Key::Escape);
    driver.drag(DVec2::new(0.1, -0.05), DVec2::new(0.1, -0.1));
    assert_eq!(driver.scene().lines.len(), 2, "with nothing selected a line starts anywhere");
}

#[test]
fn a_drag_from_the_end_of_what_was_just_drawn_draws_the_next() {
    let mut driver = Driver::new();
    mark(&mut driver, DVec2::new(-0.2, 0.1), DVec2::new(-0.2, 0.0));
    let first = driver.scene().markers[0].clone();
    driver.drag(DVec2::new(-0.2, 0.0), DVec2::new(-0.2, -0.05));
    driver.press(Key::Escape);
    assert_eq!(driver.scene().markers.len(), 2);
    assert_eq!(driver.scene().markers[0], first, "its head stays");
    assert_eq!(driver.scene().markers[1].stands, Stands::OnTop(first.id));

    driver.press(Key::Num2);
    driver.drag(DVec2::new(0.1, 0.1), DVec2::new(0.1, 0.0));
    driver.drag(DVec2::new(0.1, 0.0), DVec2::new(0.2, 0.0));
    assert_eq!(driver.scene().lines.len(), 2, "the next edge from the same corner");
}

#[test]
fn a_contradiction_is_mended_at_a_press() {
    let set = Set::assumed();
    let mut driver = Driver::before_a_known_eye(Vec::new(), Vec::new());
    for (x, height) in [(-3.0, 1.7), (-1.0, 1.7), (1.0, 1.7), (3.0, 3.4)] {
        let feet = DVec3::new(x, -2.0, -12.0);
        driver.press(Key::Num3);
        driver.drag(set.seen(feet), set.seen(feet + DVec3::Y * height));
        driver.type_into("Known size", "1.7 m");
        driver.press(Key::Enter);
    }
    driver.press(Key::Num1);
    driver.click("Ledger row marker 4");
    let mends = |d: &Driver| d.labels("Scale it to ").into_iter().find(|l| l.starts_with("Scale"));
    assert!(driver.has("Why, by these statements alone"));
    let mend = mends(&driver).expect("a way to mend it");
    driver.click(&mend);
    assert_eq!(driver.desk().assessment().contradictions(), 0);
    assert_eq!(mends(&driver), None);
}
