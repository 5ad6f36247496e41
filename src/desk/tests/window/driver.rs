//! Works the desk as a painter does: keys, drags over the picture, clicks on things by their name.

use egui::{Event, Key, Modifiers, PointerButton, Role, Shape, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use glam::{DVec2, DVec3};
use staffage_desk::{Choice, Desk, Remembered};
use staffage_scene::{EyeByHand, Marker, Overlap, Scene, save};
use staffage_solver::Eye;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The smallest program around a desk.
pub struct App {
    pub desk: Desk,
}

impl eframe::App for App {
    fn logic(&mut self, ctx: &egui::Context, _frame: &mut eframe::Frame) {
        self.desk.logic(ctx);
    }

    fn ui(&mut self, ui: &mut egui::Ui, _frame: &mut eframe::Frame) {
        self.desk.ui(ui);
    }
}

/// A film set: an eye that knows where a place in the world is seen.
pub struct Set {
    pub eye: Eye,
}

impl Set {
    /// An eye that looks up and is canted.
    pub fn canted() -> Self {
        let (pitch, cant) = (9f64.to_radians(), 6f64.to_radians());
        Self { eye: Eye { focal: 0.9, pitch, cant, principal: DVec2::ZERO } }
    }

    /// The eye that is assumed while nothing is traced.
    pub fn assumed() -> Self {
        Self { eye: Eye::default() }
    }

    /// Traces two edges of each family of its block, and goes back to Look.
    pub fn trace(&self, driver: &mut Driver) {
        let seen = |x: f64, y: f64, z: f64| self.seen(DVec3::new(x, y, z));
        driver.press(Key::Num2);
        for (key, from, to) in [
            (Key::U, seen(-8.0, -2.0, -16.0), seen(-8.0, 6.0, -16.0)),
            (Key::U, seen(3.0, -2.0, -20.0), seen(3.0, 7.0, -20.0)),
            (Key::R, seen(-6.0, -1.8, -14.0), seen(0.0, -1.8, -24.0)),
            (Key::R, seen(-7.0, 4.0, -18.0), seen(-1.0, 4.0, -28.0)),
            (Key::L, seen(6.0, -1.8, -14.0), seen(-4.0, -1.8, -20.0)),
            (Key::L, seen(9.0, 3.0, -18.0), seen(-1.0, 3.0, -24.0)),
        ] {
            driver.press(key);
            driver.drag(from, to);
        }
        driver.press(Key::Num1);
        driver.press(Key::Escape);
    }

    /// Where a place, metres from the eye, is seen in the picture.
    pub fn seen(&self, place: DVec3) -> DVec2 {
        self.eye.project(place).expect("in front of the eye")
    }
}

/// A file that is dropped.
#[derive(Debug)]
struct Dropped(PathBuf);

impl egui::DroppedFile for Dropped {
    fn path(&self) -> &Path {
        &self.0
    }

    fn bytes(&self) -> Result<Vec<u8>, String> {
        std::fs::read(&self.0).map_err(|error| error.to_string())
    }
}

/// A window without a screen.
pub struct Driver {
    pub harness: Harness<'static, App>,
}

impl Driver {
    pub fn new() -> Self {
        Self::with(Remembered { hint_seen: true, ..Remembered::default() })
    }

    pub fn with(remembered: Remembered) -> Self {
        let harness = Harness::builder()
            .with_size(vec2(1280.0, 800.0))
            .with_max_steps(16)
            .build_eframe(|cc| App { desk: Desk::new(&cc.egui_ctx, remembered) });
        let mut driver = Self { harness };
        driver.settle();
        driver
    }

    /// A window on these markers before the eye of [`Set::assumed`], set by hand.
    pub fn before_a_known_eye(markers: Vec<Marker>, overlaps: Vec<Overlap>) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("known_eye.ron");
        let level = Some(0.0);
        // A focal length of one frame width, as the set has it.
        let angle_of_view = Some(53.130_102);
        let eye = EyeByHand { angle_of_view, pitch: level, cant: level, ..EyeByHand::default() };
        save(&file, &Scene { eye, markers, overlaps, ..Scene::default() }).expect("saved");
        let mut driver = Self::new();
        driver.open(&file);
        driver
    }

    pub fn desk(&self) -> &Desk {
        &self.harness.state().desk
    }

    pub fn scene(&self) -> &Scene {
        self.desk().scene()
    }

    /// Runs frames until nothing moves and no work is under way.
    pub fn settle(&mut self) {
        self.harness.step();
        while self.desk().is_busy() {
            std::thread::yield_now();
            self.harness.step();
        }
        self.harness.run();
    }

    pub fn press(&mut self, key: Key) {
        self.press_with(Modifiers::NONE, key);
    }

    pub fn press_with(&mut self, modifiers: Modifiers, key: Key) {
        self.harness.key_press_modifiers(modifiers, key);
        self.settle();
    }

    pub fn click(&mut self, name: &str) {
        self.harness.get_by_label(name).click();
        self.settle();
    }

    /// Presses a button that shares its name with a heading.
    pub fn click_button(&mut self, name: &str) {
        self.harness.get_by_role_and_label(Role::Button, name).click();
        self.settle();
    }

    /// Presses what may be out of sight.
    pub fn press_named(&mut self, name: &str) {
        self.harness.get_by_label(name).click_accesskit();
        self.settle();
    }

    pub fn has(&self, name: &str) -> bool {
        self.harness.query_by_label(name).is_some()
    }

    pub fn says(&self, words: &str) -> bool {
        self.harness.query_all_by_label_contains(words).next().is_some()
    }

    /// Whether these words are painted on the canvas.
    pub fn paints(&self, words: &str) -> bool {
        self.painted()
            .iter()
            .any(|shape| matches!(shape, Shape::Text(text) if text.galley.text().contains(words)))
    }

    /// The straight strokes that are painted, picture units.
    pub fn strokes(&self) -> Vec<[DVec2; 2]> {
        let (view, canvas) = (self.desk().view(), self.desk().canvas());
        let stroke = |shape: &&Shape| match shape {
            Shape::LineSegment { points, .. } => Some(points.map(|p| view.to_picture(canvas, p))),
            _ => None,
        };
        self.painted().iter().filter_map(stroke).collect()
    }

    fn painted(&self) -> Vec<&Shape> {
        fn flat<'a>(shape: &'a Shape, all: &mut Vec<&'a Shape>) {
            match shape {
                Shape::Vec(shapes) => shapes.iter().for_each(|shape| flat(shape, all)),
                shape => all.push(shape),
            }
        }
        let mut all = Vec::new();
        let shapes = &self.harness.output().shapes;
        shapes.iter().for_each(|clipped| flat(&clipped.shape, &mut all));
        all
    }

    /// Where the middle of something is on the screen.
    pub fn place(&self, name: &str) -> egui::Pos2 {
        self.harness.get_by_label(name).rect().center()
    }

    /// Whether a field shows this value.
    pub fn shows(&self, value: &str) -> bool {
        self.harness.query_all_by_value(value).next().is_some()
    }

    /// The names that hold these words.
    pub fn labels(&self, words: &str) -> Vec<String> {
        let named = self.harness.query_all_by_label_contains(words);
        named.filter_map(|node| node.accesskit_node().label()).collect()
    }

    pub fn type_into(&mut self, field: &str, text: &str) {
        self.harness.get_by_label(field).focus();
        self.settle();
        self.harness.get_by_label(field).type_text(text);
        self.settle();
    }

    /// Types in place of what a text field holds.
    pub fn type_over(&mut self, field: &str, text: &str) {
        self.harness.get_by_label(field).focus();
        self.settle();
        self.press_with(Modifiers::COMMAND, Key::A);
        self.harness.get_by_label(field).type_text(text);
        self.settle();
    }

    /// Holds these keys down from now on.
    pub fn hold(&mut self, modifiers: Modifiers) {
        self.harness.event(Event::ModifiersChanged(modifiers));
        self.settle();
    }

    /// Types over the number that a field shows.
    pub fn type_number(&mut self, field: &str, text: &str) {
        self.click(field);
        self.press_with(Modifiers::COMMAND, Key::A);
        self.harness.event(Event::Text(text.into()));
        self.press(Key::Enter);
    }

    /// Drops a file on the window.
    pub fn drop_file(&mut self, path: &Path) {
        self.harness.input_mut().dropped_files.push(Arc::new(Dropped(path.to_path_buf())));
        self.settle();
    }

    fn on_screen(&self, at: DVec2) -> egui::Pos2 {
        self.desk().view().to_screen(self.desk().canvas(), at)
    }

    pub fn drag(&mut self, from: DVec2, to: DVec2) {
        self.press_pointer(from);
        self.move_pointer((from + to) / 2.0);
        self.move_pointer(to);
        self.release_pointer(to);
    }

    /// A drag over the screen rather than over the picture.
    pub fn drag_on_screen(&mut self, from: egui::Pos2, to: egui::Pos2) {
        self.harness.hover_at(from);
        self.harness.run();
        self.harness.drag_at(from);
        self.harness.run();
        for at in [from.lerp(to, 0.5), to] {
            self.harness.hover_at(at);
            self.harness.run();
        }
        self.harness.drop_at(to);
        self.settle();
    }

    /// Drags upright at this place and waits for no work that it makes.
    pub fn trace_without_waiting(&mut self, u: f64) {
        let (from, to) = (DVec2::new(u, 0.1), DVec2::new(u, -0.1));
        let places = [from, 0.5 * (from + to), to].map(|at| self.on_screen(at));
        self.harness.hover_at(places[0]);
        self.harness.step();
        self.harness.drag_at(places[0]);
        self.harness.step();
        for at in &places[1..] {
            self.harness.hover_at(*at);
            self.harness.step();
        }
        self.harness.drop_at(places[2]);
        self.harness.step();
        self.harness.step();
    }

    pub fn click_at(&mut self, at: DVec2) {
        self.click_with(PointerButton::Primary, at);
    }

    pub fn click_secondary_at(&mut self, at: DVec2) {
        self.click_with(PointerButton::Secondary, at);
    }

    /// Clicks with Shift held: one thing more, or one less.
    pub fn shift_click_at(&mut self, at: DVec2) {
        self.hold(Modifiers::SHIFT);
        self.click_at(at);
        self.hold(Modifiers::NONE);
    }

    fn click_with(&mut self, button: PointerButton, at: DVec2) {
        let at = self.on_screen(at);
        self.harness.hover_at(at);
        self.harness.run();
        for pressed in [true, false] {
            self.harness.event(Event::PointerButton {
                pos: at,
                button,
                pressed,
                modifiers: Modifiers::NONE,
            });
        }
        self.settle();
    }

    pub fn press_pointer(&mut self, at: DVec2) {
        let at = self.on_screen(at);
        self.harness.hover_at(at);
        self.harness.run();
        self.harness.drag_at(at);
        self.harness.run();
    }

    pub fn move_pointer(&mut self, to: DVec2) {
        let to = self.on_screen(to);
        self.harness.hover_at(to);
        self.harness.run();
    }

    pub fn release_pointer(&mut self, at: DVec2) {
        let at = self.on_screen(at);
        self.harness.drop_at(at);
        self.settle();
    }

    pub fn open(&mut self, path: &Path) {
        let ctx = self.harness.ctx.clone();
        self.harness.state_mut().desk.open(&ctx, path.to_path_buf());
        self.settle();
    }

    /// Answers the question for a file where no dialog can be shown: types the path. What was asked.
    pub fn type_choice(&mut self, path: &Path) -> Choice {
        let desk = &mut self.harness.state_mut().desk;
        let choice = desk.wanted_choice().expect("a file is asked for");
        desk.ask_path(choice.clone());
        self.settle();
        self.type_over("Path", &path.display().to_string());
        self.press(Key::Enter);
        choice
    }

    /// Saves for the first time: the key, then the answer of the dialog.
    pub fn save_as(&mut self, path: &Path) {
        self.press_with(Modifiers::COMMAND, Key::S);
        let ctx = self.harness.ctx.clone();
        let desk = &mut self.harness.state_mut().desk;
        let choice = desk.wanted_choice().expect("a place to save is asked for");
        assert!(matches!(choice, Choice::SaveScene { .. }), "{choice:?}");
        desk.chosen(&ctx, &choice, Some(path.to_path_buf()));
        self.settle();
    }
}
