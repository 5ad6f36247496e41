//! How the furniture looks. Nothing is drawn over the frame here, so that only a change of the
//! furniture changes these pictures. `UPDATE_SNAPSHOTS=1` renews them.

use crate::driver::Driver;
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
    Driver::with(Remembered {
        theme,
        ink: false,
        section: false,
        hint_seen: true,
        ..Remembered::default()
    })
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
fn a_red_painting_is_seen_in_the_grey_of_its_luminance() {
    if !can_render() {
        return;
    }
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("red.png");
    image::RgbImage::from_pixel(1200, 510, image::Rgb([255, 0, 0])).save(&path).expect("written");
    let mut driver = plain(ThemePreference::Dark);
    driver.open(&path);
    driver.harness.remove_cursor();
    let canvas = driver.desk().canvas();
    let pixel = |driver: &mut Driver| {
        let picture = driver.harness.render().expect("a driver was found");
        let at = canvas.center() + egui::vec2(canvas.width() / 4.0, 30.0);
        *picture.get_pixel(at.x as u32, at.y as u32)
    };
    assert_eq!(pixel(&mut driver).0, [255, 0, 0, 255]);
    driver.harness.key_down(Key::V);
    driver.settle();
    // Y = 0.2126 (ITU-R BT.709-6, item 3.2) on the curve of IEC 61966-2-1: 127.
    assert_eq!(pixel(&mut driver).0, [127, 127, 127, 255]);
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
