//! A painting is found again in what became of it: cropped, extended, scaled, painted on.

use staffage_picture::{Channels, Match, Picture, Pixels, Size};
use std::path::Path;

/// Where the photographs of the OpenCV documentation are installed on Debian.
const PHOTOGRAPHS: &str = "/usr/share/doc/opencv-doc/examples/data";

/// A picture as a function of the place, pixels: sky, hills, towers, and a texture like paint.
fn painted(size: Size, at: impl Fn(f64, f64) -> (f64, f64)) -> Picture {
    let mut samples = Vec::new();
    for row in 0..size.height {
        for column in 0..size.width {
            let (x, y) = at(f64::from(column) + 0.5, f64::from(row) + 0.5);
            samples.push(value(x, y));
        }
    }
    Picture::new(Pixels::new(size, Channels::Grey, samples).expect("a picture"), 1024)
}

fn value(x: f64, y: f64) -> u8 {
    let hills = 150.0 + 40.0 * (x / 97.0).sin() + 23.0 * (x / 41.0 + 1.3).sin();
    let sky = 190.0 - 0.2 * y + 14.0 * (x / 130.0 + y / 75.0).sin();
    let ground =
        90.0 + 30.0 * ((x + 2.0 * y) / 53.0).sin() + 12.0 * (x / 11.0).sin() * (y / 9.0).cos();
    let tower =
        [(80.0, 30.0, 60.0), (330.0, 55.0, 20.0), (455.0, 18.0, 95.0), (610.0, 40.0, 120.0)]
            .iter()
            .any(|&(left, wide, top)| x > left && x < left + wide && y > top && y < 260.0);
    let value = if tower {
        40.0
    } else if y < hills {
        sky
    } else {
        ground
    };
    value.clamp(0.0, 255.0) as u8
}

const OLD: Size = Size { width: 700, height: 300 };

fn old() -> Picture {
    painted(OLD, |x, y| (x, y))
}

/// The old painting in a new frame whose corner lies at `corner` and whose pixels are `1 / scale` old ones.
fn becomes(size: Size, corner: [f64; 2], scale: f64) -> Picture {
    painted(size, |x, y| (corner[0] + x / scale, corner[1] + y / scale))
}

#[track_caller]
fn assert_found(new: &Picture, corner: [f64; 2], scale: f64, pixels: f64) -> Match {
    let found = old().sketch().find_in(&new.sketch()).expect("it is found");
    let off = (0..2).map(|i| (found.corner[i] + scale * corner[i]).abs()).fold(0.0, f64::max);
    assert!(found.is_sure(), "{found:?}");
    assert!(off <= pixels, "{found:?}, not {corner:?}");
    assert!((found.scale - scale).abs() * 700.0 <= 2.0 * pixels, "{found:?}, not {scale}");
    found
}

#[test]
fn a_crop_is_found_to_the_pixel() {
    let new = becomes(Size { width: 520, height: 240 }, [110.0, 31.0], 1.0);
    let found = assert_found(&new, [110.0, 31.0], 1.0, 1e-6);
    assert!(found.alike > 0.99, "{found:?}");
}

#[test]
fn an_extended_canvas_is_found_to_the_pixel() {
    let new = becomes(Size { width: 900, height: 300 }, [-120.0, 0.0], 1.0);
    assert_found(&new, [-120.0, 0.0], 1.0, 1e-6);
    let new = becomes(Size { width: 700, height: 420 }, [0.0, -90.0], 1.0);
    assert_found(&new, [0.0, -90.0], 1.0, 1e-6);
}

#[test]
fn a_crop_that_was_enlarged_is_found_to_two_pixels() {
    let new = becomes(Size { width: 1100, height: 560 }, [60.0, 12.0], 2.0);
    assert_found(&new, [60.0, 12.0], 2.0, 2.0);
}

#[test]
fn another_painting_is_not_believed_to_hold_it() {
    let new = painted(Size { width: 640, height: 360 }, |x, y| (3.0 * y + 900.0, 0.7 * x + 300.0));
    let found = old().sketch().find_in(&new.sketch());
    assert!(found.is_none_or(|found| !found.is_sure()), "{found:?}");
}

#[test]
fn a_plain_picture_is_found_nowhere() {
    let size = Size { width: 90, height: 60 };
    let plain = Pixels::new(size, Channels::Grey, vec![128; 90 * 60]).expect("a picture");
    let plain = Picture::new(plain, 1024).sketch();
    assert_eq!(plain.find_in(&old().sketch()), None);
    assert_eq!(old().sketch().find_in(&plain), None);
}

/// Crops of a photograph; passed over, and said so, where it is not installed.
#[test]
fn crops_of_a_photograph_are_found() {
    let path = Path::new(PHOTOGRAPHS).join("fruits.jpg");
    let Ok(photograph) = image::open(&path) else {
        eprintln!("{} is not installed: passed over", path.display());
        return;
    };
    let picture = |image: &image::DynamicImage| {
        let rgb = image.to_rgb8();
        let size = Size { width: rgb.width(), height: rgb.height() };
        Picture::new(Pixels::new(size, Channels::Rgb, rgb.into_raw()).expect("a picture"), 1024)
    };
    let whole = picture(&photograph).sketch();
    let (width, height) = (photograph.width(), photograph.height());
    for (left, top, wide, high) in [
        (0, height / 5, width, height / 2),
        (width / 6, 0, width * 2 / 3, height * 3 / 4),
        (width / 3, height / 4, width / 2, height * 2 / 3),
    ] {
        let crop = picture(&photograph.crop_imm(left, top, wide, high)).sketch();
        let found = whole.find_in(&crop).expect("it is found");
        assert!(found.is_sure(), "{found:?}");
        let expected = [-f64::from(left), -f64::from(top)];
        assert_eq!((found.corner, found.scale), (expected, 1.0), "{found:?}");
        // The other way round the canvas was extended.
        let found = crop.find_in(&whole).expect("it is found");
        assert_eq!(found.corner, [f64::from(left), f64::from(top)], "{found:?}");
    }
}
