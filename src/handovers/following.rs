//! An overlay that is kept up to date, from the painter's gesture to the file.

use super::Runner;
use crate::arguments;
use crate::commands;
use eframe::egui::{self, Key, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use staffage_desk::{Desk, Remembered};
use staffage_scene::{Scene, save};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tempfile::TempDir;

struct App {
    desk: Desk,
}

impl eframe::App for App {
    fn logic(&mut self, ctx: &egui::Context, _frame: &mut eframe::Frame) {
        self.desk.logic(ctx);
    }

    fn ui(&mut self, ui: &mut egui::Ui, _frame: &mut eframe::Frame) {
        self.desk.ui(ui);
    }
}

/// A window without a screen over a scene in a folder of its own.
struct Window {
    harness: Harness<'static, App>,
    folder: TempDir,
}

impl Window {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let harness = Harness::builder()
            .with_size(vec2(1280.0, 800.0))
            .with_max_steps(16)
            .build_eframe(|cc| App { desk: Desk::new(&cc.egui_ctx, Remembered::default()) });
        let mut window = Self { harness, folder };
        save(&window.path("quay.ron"), &Scene::default()).unwrap();
        let (ctx, scene) = (window.harness.ctx.clone(), window.path("quay.ron"));
        let desk = &mut window.harness.state_mut().desk;
        desk.hand_over_by(Arc::new(Runner::default()));
        desk.open(&ctx, scene);
        window.settle();
        window
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn desk(&self) -> &Desk {
        &self.harness.state().desk
    }

    fn settle(&mut self) {
        self.harness.step();
        while self.desk().is_busy() {
            std::thread::yield_now();
            self.harness.step();
        }
        self.harness.run();
    }

    fn press(&mut self, key: Key) {
        self.harness.key_press(key);
        self.settle();
    }

    /// Traces an upright from here to there, shares of the canvas.
    fn trace(&mut self, from: (f32, f32), to: (f32, f32)) {
        self.press(Key::Num2);
        let canvas = self.desk().canvas();
        let at = |(x, y): (f32, f32)| canvas.min + canvas.size() * vec2(x, y);
        self.harness.hover_at(at(from));
        self.harness.run();
        self.harness.drag_at(at(from));
        self.harness.run();
        self.harness.hover_at(at(to));
        self.harness.run();
        self.harness.drop_at(at(to));
        self.settle();
        self.press(Key::Escape);
    }

    fn keep_up_to_date(&mut self) {
        self.harness.get_by_label("Handover").click();
        self.settle();
        self.harness.get_by_label("Keep the overlay up to date").click();
        self.settle();
    }

    fn says(&self, words: &str) -> bool {
        self.harness.query_all_by_label_contains(words).next().is_some()
    }

    /// What `staffage overlay` writes of the scene as it is on the desk.
    fn by_command(&self) -> Vec<u8> {
        let folder = tempfile::tempdir().unwrap();
        let scene = folder.path().join("quay.ron");
        save(&scene, self.desk().scene()).unwrap();
        let asked = arguments::Overlay {
            scenes: vec![scene],
            out: None,
            ink: arguments::Ink {
                width: None,
                only: Vec::new(),
                no_words: false,
                grid: None,
                weight: 1.0,
            },
            svg: false,
            alternative: None,
            units: staffage_scene::Units::Metric,
            force: false,
        };
        commands::overlay::run(&asked).unwrap();
        read(&folder.path().join("quay.overlay.png"))
    }
}

fn read(path: &Path) -> Vec<u8> {
    fs::read(path).unwrap()
}

fn protect(file: &Path, protected: bool) {
    let mut permissions = fs::metadata(file).unwrap().permissions();
    permissions.set_readonly(protected);
    fs::set_permissions(file, permissions).unwrap();
}

#[test]
fn an_overlay_that_is_kept_up_to_date_is_what_the_command_would_write() {
    let mut window = Window::new();
    let overlay = window.path("quay.overlay.png");
    window.keep_up_to_date();
    assert!(window.says("Overlay follows"));
    let blank = read(&overlay);
    assert!(blank == window.by_command());
    window.trace((0.3, 0.8), (0.31, 0.3));
    assert_eq!(window.desk().scene().lines.len(), 1);
    let traced = read(&overlay);
    assert!(traced != blank && traced == window.by_command());
    window.trace((0.7, 0.8), (0.69, 0.3));
    assert!(read(&overlay) == window.by_command());
    for _ in 0..2 {
        window.harness.key_press_modifiers(egui::Modifiers::COMMAND, Key::Z);
        window.settle();
    }
    assert!(read(&overlay) == blank, "undone is undone on disk");
    let mut names: Vec<_> =
        fs::read_dir(window.folder.path()).unwrap().map(|e| e.unwrap().file_name()).collect();
    names.retain(|name| !name.to_string_lossy().contains("autosave"));
    names.sort();
    assert_eq!(names, ["quay.overlay.png", "quay.ron"]);
}

#[test]
fn an_overlay_no_longer_kept_up_to_date_stays_as_it_is() {
    let mut window = Window::new();
    window.keep_up_to_date();
    let blank = read(&window.path("quay.overlay.png"));
    window.harness.get_by_label("Overlay follows").click();
    window.settle();
    window.trace((0.3, 0.8), (0.31, 0.3));
    assert!(read(&window.path("quay.overlay.png")) == blank);
    window.harness.key_press_modifiers(egui::Modifiers::COMMAND, Key::E);
    window.settle();
    assert!(read(&window.path("quay.overlay.png")) == window.by_command());
}

#[test]
fn an_overlay_that_cannot_be_written_is_told_once_and_tried_again_at_the_next_change() {
    let mut window = Window::new();
    window.keep_up_to_date();
    let overlay = window.path("quay.overlay.png");
    protect(&overlay, true);
    window.trace((0.3, 0.8), (0.31, 0.3));
    assert!(window.says("It is tried again at the next change") && window.says("is behind"));
    window.harness.get_by_label("Dismiss").click();
    window.settle();
    window.trace((0.6, 0.8), (0.6, 0.3));
    assert!(!window.says("It is tried again") && window.says("is behind"), "said once");
    protect(&overlay, false);
    window.trace((0.7, 0.8), (0.69, 0.3));
    assert!(window.says("Overlay follows"));
    assert!(read(&overlay) == window.by_command());
}

#[test]
fn what_was_said_of_an_overlay_that_is_behind_goes_when_it_has_caught_up() {
    let mut window = Window::new();
    window.keep_up_to_date();
    let overlay = window.path("quay.overlay.png");
    protect(&overlay, true);
    window.trace((0.3, 0.8), (0.31, 0.3));
    assert!(window.says("It is tried again at the next change"));
    protect(&overlay, false);
    window.trace((0.7, 0.8), (0.69, 0.3));
    assert!(!window.says("It is tried again") && window.says("Overlay follows"));
    assert!(read(&overlay) == window.by_command());
}

#[test]
fn what_changed_just_before_the_window_closes_is_written_too() {
    let mut window = Window::new();
    window.keep_up_to_date();
    window.trace((0.3, 0.8), (0.31, 0.3));
    window.harness.key_press_modifiers(egui::Modifiers::COMMAND, Key::Z);
    window.harness.step();
    window.harness.state_mut().desk.finish_handovers();
    assert!(read(&window.path("quay.overlay.png")) == window.by_command());
}
