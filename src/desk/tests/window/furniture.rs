//! The furniture: the list of all actions, the menus, finding things.

use crate::driver::Driver;
use egui::{Key, Modifiers, Role};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use glam::DVec2;
use staffage_desk::{Mode, Remembered, Thing};

const MENUS: [&str; 5] = ["Scene", "Edit", "View", "Guides", "Help"];

/// What can be run or switched in the menu that is open.
fn menu_items(driver: &Driver) -> Vec<String> {
    let kinds = [Role::Button, Role::CheckBox, Role::RadioButton];
    let menu = driver
        .harness
        .root()
        .children_recursive()
        .filter(|node| kinds.contains(&node.accesskit_node().role()));
    menu.filter_map(|node| node.accesskit_node().label()).collect()
}

fn listed(driver: &mut Driver) -> Vec<String> {
    driver.press(Key::F1);
    let names = driver.labels("Action ");
    driver.press(Key::Escape);
    names.iter().filter_map(|name| name.strip_prefix("Action ")).map(str::to_owned).collect()
}

#[test]
fn every_menu_item_is_in_the_list_of_all_actions() {
    let mut driver = Driver::new();
    let listed = listed(&mut driver);
    for menu in MENUS {
        let before = menu_items(&driver);
        driver.click_button(menu);
        let items: Vec<String> =
            menu_items(&driver).into_iter().filter(|item| !before.contains(item)).collect();
        assert!(!items.is_empty(), "{menu}");
        for item in items {
            // Numbers belong to the item over them.
            let name = item.as_str();
            let is_setting = name.ends_with("flat tones") && name.starts_with(char::is_numeric);
            let opens_more = name.starts_with("Turn the view");
            assert!(is_setting || opens_more || listed.iter().any(|l| l == name), "{menu}: {name}");
        }
        driver.press(Key::Escape);
    }
}

#[test]
fn what_is_typed_in_the_list_of_actions_is_found_and_enter_runs_it() {
    let mut driver = Driver::new();
    driver.press(Key::F1);
    driver.type_into("Search all actions", "receding left");
    let names = driver.labels("Action ");
    assert_eq!(names, ["Action Receding left", "Action Runs along receding left"]);
    driver.press(Key::ArrowDown);
    driver.press(Key::Enter);
    assert_eq!(driver.desk().mode(), Mode::Mark, "it goes over to the mode of what was run");
    assert!(!driver.has("Search all actions"), "it closes");
}

#[test]
fn what_is_typed_right_after_the_key_of_the_list_is_searched_for_whole() {
    let mut driver = Driver::new();
    driver.harness.key_press(Key::F1);
    driver.harness.step();
    for letter in ["g", "r", "i", "d"] {
        driver.harness.event(egui::Event::Text(letter.into()));
        driver.harness.step();
    }
    driver.settle();
    let field = driver.harness.get_by_label("Search all actions");
    assert_eq!(field.value().as_deref(), Some("grid"));
}

#[test]
fn what_is_called_so_comes_before_what_speaks_of_it() {
    let mut driver = Driver::new();
    driver.press(Key::F1);
    driver.type_into("Search all actions", "eye");
    let names = driver.labels("Action ");
    assert_eq!(names[0], "Action The eye", "{names:?}");
    assert!(names.contains(&"Action Review sheet…".to_owned()));
    driver.press(Key::Enter);
    assert!(driver.has("Eye panel"));
}

#[test]
fn a_key_finds_its_action_and_escape_closes_the_list() {
    let mut driver = Driver::new();
    driver.press(Key::F1);
    driver.type_into("Search all actions", "ctrl+shift+s");
    assert_eq!(driver.labels("Action "), ["Action Save as…"]);
    driver.press(Key::Escape);
    assert!(!driver.has("Search all actions"));
    driver.press(Key::F1);
    driver.press(Key::F1);
    assert!(!driver.has("Search all actions"), "its key closes it, too");
}

#[test]
fn what_is_not_possible_now_is_listed_and_does_nothing() {
    let mut driver = Driver::new();
    driver.press(Key::F1);
    driver.type_into("Search all actions", "undo");
    assert!(driver.has("Action Undo"));
    driver.press(Key::Enter);
    assert!(driver.has("Search all actions"), "it stays open");
    driver.press(Key::Escape);
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert!(!driver.desk().is_changed());
}

/// A blank frame with a foreman who stands and a gate.
fn with_two_markers() -> Driver {
    let mut driver = Driver::new();
    driver.press(Key::Num3);
    for (x, name) in [(-0.2, "Foreman"), (0.2, "Gate")] {
        driver.drag(DVec2::new(x, 0.15), DVec2::new(x, 0.05));
        driver.type_into("Name", name);
        driver.press(Key::Enter);
    }
    driver.press(Key::Num1);
    driver.press(Key::Escape);
    driver
}

#[test]
fn a_thing_is_found_by_its_name_and_brought_into_view() {
    let mut driver = with_two_markers();
    driver.press(Key::End);
    (0..8).for_each(|_| driver.press(Key::Plus));
    driver.press_with(Modifiers::COMMAND, Key::F);
    driver.type_into("Find by name", "gat");
    assert!(driver.has("Ledger row Gate") && !driver.has("Ledger row Foreman"));
    driver.press(Key::Enter);
    let gate = driver.scene().markers.iter().find(|m| m.name == "Gate").expect("marked");
    assert_eq!(driver.desk().selected(), Some(Thing::marker(gate.id)));
    let middle = (gate.foot + gate.head) / 2.0;
    let at = driver.desk().view().to_screen(driver.desk().canvas(), middle);
    assert!(driver.desk().canvas().contains(at), "{at}");
    driver.press(Key::Escape);
    assert!(!driver.has("Find by name") && driver.has("Ledger row Foreman"));
    assert!(driver.desk().selected().is_some(), "closing leaves the selection");
}

#[test]
fn the_arrow_keys_go_through_what_is_found_and_around() {
    let mut driver = with_two_markers();
    driver.press_with(Modifiers::COMMAND, Key::F);
    driver.type_into("Find by name", "marker");
    let first = driver.scene().markers[0].id;
    for (presses, same) in [(1, false), (1, true)] {
        (0..presses).for_each(|_| driver.press(Key::ArrowDown));
        driver.press(Key::Enter);
        let selected = driver.desk().selected();
        assert!(selected.is_some());
        assert_eq!(selected == Some(Thing::marker(driver.desk().assessment().ledger[0].id)), same);
    }
    assert!(driver.scene().marker(first).is_some());
}

#[test]
fn things_are_found_by_kind_level_and_standing() {
    let mut driver = with_two_markers();
    driver.press(Key::Num2);
    driver.drag(DVec2::new(-0.3, -0.1), DVec2::new(-0.3, 0.1));
    driver.press(Key::Num1);
    driver.press_with(Modifiers::COMMAND, Key::F);
    for (wanted, found, not) in [
        ("line upright", "Found Upright line 1", "Ledger row Gate"),
        ("on ground", "Ledger row Gate", "Found Upright line 1"),
        ("level", "Found Ground", "Ledger row Gate"),
    ] {
        driver.type_over("Find by name", wanted);
        assert!(driver.has(found), "{wanted}: {found}");
        assert!(!driver.has(not), "{wanted}: {not}");
    }
    driver.type_over("Find by name", "no such thing");
    assert!(driver.says("Nothing is called so"));
}

#[test]
fn the_scale_is_set_by_keys_and_remembered() {
    let mut driver = Driver::new();
    driver.press_with(Modifiers::COMMAND, Key::Plus);
    assert_eq!(driver.desk().remembered().scale, 1.1);
    driver.press_with(Modifiers::COMMAND, Key::Minus);
    driver.press_with(Modifiers::COMMAND, Key::Minus);
    assert_eq!(driver.desk().remembered().scale, 0.9);
    let mut again = Driver::with(driver.desk().remembered().clone());
    again.settle();
    assert_eq!(again.harness.ctx.zoom_factor(), 0.9);
    again.press_with(Modifiers::COMMAND, Key::Num0);
    assert_eq!(again.harness.ctx.zoom_factor(), 1.0);
}

#[test]
fn parts_of_the_wall_are_folded_by_their_headings_and_stay_so() {
    let mut driver = with_two_markers();
    driver.click("Fold the ledger");
    assert!(!driver.has("Ledger row Gate") && driver.has("Unfold the ledger"));
    let again = Driver::with(driver.desk().remembered().clone());
    assert!(again.has("Unfold the ledger"));
    driver.press_with(Modifiers::COMMAND, Key::F);
    assert!(driver.has("Ledger row Gate"), "finding opens it");
}

#[test]
fn the_first_hint_goes_with_the_first_line_and_comes_again_only_from_help() {
    let mut driver = Driver::with(Remembered::default());
    assert!(driver.says("Three things to do first"));
    driver.press(Key::Num2);
    driver.drag(DVec2::new(-0.3, -0.1), DVec2::new(-0.3, 0.1));
    assert!(!driver.says("Three things to do first"));
    let mut again = Driver::with(driver.desk().remembered().clone());
    assert!(!again.says("Three things to do first"));
    again.click_button("Help");
    again.click("What to do first");
    assert!(again.says("Three things to do first"));
    again.click("Begin");
    assert!(!again.says("Three things to do first"));
}

#[test]
fn over_a_blank_frame_the_first_hint_begins_with_the_horizon() {
    let driver = Driver::with(Remembered::default());
    assert!(driver.scene().painting.is_none());
    assert!(driver.says("Look: drag the horizon") && !driver.says("Line: trace"));
}

#[test]
fn a_new_frame_takes_back_what_was_said_of_the_demo() {
    let mut driver = Driver::new();
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo_scenes/dam_overlook.ron");
    let ctx = driver.harness.ctx.clone();
    let desk = &mut driver.harness.state_mut().desk;
    desk.demo_is_at(demo.into());
    desk.open_demo(&ctx);
    driver.settle();
    assert!(driver.says("This is a demo"));
    driver.press_with(Modifiers::COMMAND, Key::N);
    driver.press(Key::Enter);
    assert!(driver.scene().markers.is_empty() && !driver.says("This is a demo"));
}

/// What can be reached by Tab must say what it is.
#[test]
fn everything_that_can_be_pressed_has_a_name_in_every_mode() {
    let mut driver = with_two_markers();
    for mode in Mode::ALL {
        driver.click(mode.accessible_name());
        let nodes: Vec<_> = driver.harness.root().children_recursive().collect();
        let pressed = [
            Role::Button,
            Role::CheckBox,
            Role::ComboBox,
            Role::TextInput,
            Role::SpinButton,
            Role::Slider,
            Role::RadioButton,
        ];
        let mut count = 0;
        for node in nodes.iter().filter(|n| pressed.contains(&n.accesskit_node().role())) {
            let node = node.accesskit_node();
            let name = node.label().or_else(|| {
                let by: Vec<String> =
                    node.labelled_by().filter_map(|l| l.value().or(l.label())).collect();
                (!by.is_empty()).then(|| by.join(" "))
            });
            assert!(name.is_some_and(|n| !n.trim().is_empty()), "{mode:?}: {:?}", node.role());
            count += 1;
        }
        assert!(count > 15, "{mode:?}: {count}");
    }
}

#[test]
fn tab_reaches_the_modes_the_headings_and_the_rows() {
    let mut driver = with_two_markers();
    let mut reached = std::collections::BTreeSet::new();
    for _ in 0..60 {
        driver.press(Key::Tab);
        let focused =
            driver.harness.root().children_recursive().find(egui_kittest::Node::is_focused);
        reached.extend(focused.and_then(|n| n.accesskit_node().label()));
    }
    for name in ["Scene", "Mark mode", "Fold the ledger", "Ledger row Gate", "Find", "Title"] {
        assert!(reached.contains(name), "{name}: {reached:?}");
    }
}

#[test]
fn the_scene_that_was_open_last_is_opened_again_and_one_that_is_gone_is_said_to_be_in_a_line() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("quay.ron");
    staffage_scene::save(&file, &staffage_scene::Scene::default()).expect("saved");
    let mut driver = Driver::new();
    driver.open(&file);
    let remembered = driver.desk().remembered().clone();
    assert_eq!(remembered.last.as_ref(), Some(&file));
    let again = |remembered: &staffage_desk::Remembered| {
        let mut driver = Driver::with(remembered.clone());
        // The window asks for it before its first frame.
        driver.harness.state_mut().desk = {
            let ctx = driver.harness.ctx.clone();
            let mut desk = staffage_desk::Desk::new(&ctx, remembered.clone());
            desk.open_last(&ctx);
            desk
        };
        driver.settle();
        driver
    };
    assert_eq!(again(&remembered).desk().path(), Some(file.as_path()));
    std::fs::remove_file(&file).expect("removed");
    let driver = again(&remembered);
    assert!(driver.says("which was open last, is not there any more"));
    assert_eq!(driver.desk().path(), None);
    assert!(driver.has("Look mode"), "no dialog lies over the window");
}

#[test]
fn the_menu_has_all_keys_in_one_column() {
    let mut driver = Driver::new();
    driver.click("View");
    for name in ["Section and plan", "Drawing over the painting", "Section, plan or both"] {
        assert!(driver.has(name), "{name} is called so, and its key stands apart");
    }
}
