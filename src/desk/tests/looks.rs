//! How the furniture looks. Nothing is drawn over the frame here, so that only a change of the
//! furniture changes these pictures. `UPDATE_SNAPSHOTS=1` renews them.

mod driver;

use driver::Driver;
use eframe::egui_wgpu::WgpuSetup;
use egui::{Key, ThemePreference};
use egui_kittest::SnapshotOptions;
use glam::DVec2;
use staffage_desk::Remembered;

/// Whether pictures can be made here at all: that needs Vulkan or OpenGL, be it in software.
fn can_render() -> bool {
    let WgpuSetup::CreateNew(setup) = egui_kittest::wgpu::default_wgpu_setup() else {
        return true;
    };
    let backends = setup.instance_descriptor.backends;
    let instance = pollster::block_on(WgpuSetup::CreateNew(setup).new_instance());
    let found = !pollster::block_on(instance.enumerate_adapters(backends)).is_empty();
    if !found {
        eprintln!("not looked at: no Vulkan or OpenGL driver (install mesa-vulkan-drivers)");
    }
    found
}

fn plain(theme: ThemePreference) -> Driver {
    Driver::with(Remembered { theme, ink: false, section: false, ..Remembered::default() })
}

/// Software renderers round a few edges differently: a handful of pixels may differ.
fn assert_looks(driver: &mut Driver, name: &str) {
    driver.harness.remove_cursor();
    driver.harness.run();
    let options = SnapshotOptions::new().threshold(1.0).max_failed_pixels(60);
    driver.harness.snapshot_options(name, &options);
}

#[test]
fn a_blank_desk_in_the_dark_theme() {
    if can_render() {
        assert_looks(&mut plain(ThemePreference::Dark), "dark");
    }
}

#[test]
fn a_blank_desk_in_the_light_theme() {
    if can_render() {
        assert_looks(&mut plain(ThemePreference::Light), "light");
    }
}

#[test]
fn the_card_of_a_new_marker_with_offers_from_the_shelf() {
    if !can_render() {
        return;
    }
    let mut driver = plain(ThemePreference::Dark);
    driver.press(Key::Num3);
    driver.drag(DVec2::new(-0.2, 0.15), DVec2::new(-0.2, 0.05));
    driver.type_into("Name", "Foreman");
    driver.type_into("Known size", "adult");
    assert_looks(&mut driver, "card");
}
