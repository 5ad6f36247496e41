//! Nothing is drawn again while nothing changes.

use crate::driver::{Driver, Set};
use egui::{Key, Modifiers, ViewportId};
use glam::DVec2;
use image::RgbImage;
use staffage_desk::{Remembered, ShownGuides};
use std::time::Duration;

impl Driver {
    /// How long the window would sleep now if nobody touched it.
    fn sleeps_for(&self) -> Duration {
        self.harness.output().viewport_output[&ViewportId::ROOT].repaint_delay
    }

    /// Lets time pass until the window has nothing left to do: autosaves, tooltips, what fades.
    fn fall_asleep(&mut self) {
        for _ in 0..20 {
            self.settle();
            if self.sleeps_for() == Duration::MAX {
                return;
            }
            // What it waits for comes now.
            let by = self.sleeps_for().as_secs_f64();
            let now = self.harness.ctx.input(|i| i.time);
            self.harness.input_mut().time = Some(now + by + 0.1);
        }
        panic!("the window never sleeps: {:?}", self.harness.ctx.repaint_causes());
    }
}

/// A painting with traced lines and a marker, the grid on, the section open.
fn at_work(folder: &std::path::Path) -> Driver {
    let guides = ShownGuides { grid: true, ..ShownGuides::default() };
    let mut driver = Driver::with(Remembered { hint_seen: true, guides, ..Remembered::default() });
    driver.harness.state_mut().desk.keep_unsaved_in(folder.to_path_buf());
    let painting = folder.join("quay.png");
    RgbImage::from_pixel(940, 400, image::Rgb([120, 120, 120])).save(&painting).expect("written");
    driver.open(&painting);
    Set::canted().trace(&mut driver);
    driver.press(Key::Num3);
    driver.drag(DVec2::new(0.1, 0.15), DVec2::new(0.1, 0.05));
    driver.press(Key::Escape);
    driver.press(Key::Num1);
    driver
}

#[test]
fn after_a_gesture_the_window_sleeps_and_makes_no_ink() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut driver = at_work(folder.path());
    let before = driver.desk().inkings();
    driver.drag(DVec2::new(0.1, 0.05), DVec2::new(0.1, 0.02));
    assert!(driver.desk().inkings() > before, "a marker was dragged");
    driver.fall_asleep();
    assert!(folder.path().join("untitled.autosave.ron").exists(), "what changed was put aside");
    let asleep = driver.desk().inkings();
    // Frames that come all the same, as when another window lay over this one. A thread that has just
    // ended may wake it once more.
    let wakes = (0..20).filter(|_| {
        driver.harness.step();
        driver.sleeps_for() != Duration::MAX
    });
    assert!(wakes.count() <= 3, "{:?}", driver.harness.ctx.repaint_causes());
    assert_eq!(driver.desk().inkings(), asleep);
}

#[test]
fn a_pointer_that_touches_nothing_makes_no_ink() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut driver = at_work(folder.path());
    driver.move_pointer(DVec2::new(-0.4, 0.16));
    driver.fall_asleep();
    let before = driver.desk().inkings();
    for step in 0..10 {
        driver.move_pointer(DVec2::new(-0.4 + 0.002 * f64::from(step), 0.16));
    }
    assert_eq!(driver.desk().inkings(), before);
    driver.fall_asleep();
}

#[test]
fn a_tooltip_that_is_open_lets_the_window_sleep() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut driver = at_work(folder.path());
    let at = driver.place("Mark mode");
    driver.harness.hover_at(at);
    driver.fall_asleep();
    assert!(driver.says("Mark (3): measure a thing"), "its tooltip is open");
    let before = driver.desk().inkings();
    driver.harness.run_steps(10);
    assert_eq!(driver.desk().inkings(), before);
    driver.fall_asleep();
}

#[test]
fn what_is_saved_in_the_paint_program_wakes_the_window_and_it_sleeps_again() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut driver = at_work(folder.path());
    driver.fall_asleep();
    driver.press(Key::F5);
    driver.fall_asleep();
    let before = driver.desk().inkings();
    driver.press_with(Modifiers::COMMAND, Key::Z);
    assert!(driver.desk().inkings() > before, "the marker is gone");
    driver.fall_asleep();
}
