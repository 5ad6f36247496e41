//! Overlays lie exactly where the projection says, at any width.

use glam::{DVec2, DVec3};
use staffage_handover::{Overlay, OverlayOptions, Part};
use staffage_scene::{EyeByHand, Frame, Marker, MarkerId, Painting, Scene, Span, Stands, assess};
use std::ops::ControlFlow;

/// Reach of the tick at the end of a measured bar to either side of it, points, and a little more.
const TICK: f64 = 8.0;
/// Half of the width of the bar with its edges, points, and a little more.
const BAR: f64 = 2.5;
/// Width of the frame, points.
const POINTS: f64 = 1600.0;

/// A canted eye that looks up, and a gate 9 m wide that faces it, in a frame whose height is no whole
/// number of pixels.
fn gate(cant: f64) -> (Scene, [DVec2; 2]) {
    let eye = EyeByHand {
        angle_of_view: Some(64.0),
        pitch: Some(11.0),
        cant: Some(cant),
        ..EyeByHand::default()
    };
    let mut scene = Scene { eye, ..Scene::default() };
    let eye = assess(&scene).eye.eye;
    let left = DVec3::new(-7.3, 2.2, -20.7);
    let ends = [left, left + 9.0 * DVec3::X].map(|at| eye.project(at).unwrap());
    scene.markers.push(Marker {
        id: MarkerId(1),
        name: "gate".into(),
        foot: ends[0],
        head: ends[1],
        span: Span::Facing,
        stands: Stands::Unsaid,
        statements: Vec::new(),
    });
    (scene, ends)
}

/// A picture's alpha around a point, row by row as they are decoded.
struct Alpha {
    width: usize,
    first: usize,
    rows: Vec<Vec<u8>>,
}

impl Alpha {
    /// The rows of the marker's overlay that are within `reach` pixels of row `y`.
    fn around(scene: &Scene, width: u32, y: f64, reach: f64) -> Self {
        let options = OverlayOptions {
            width,
            parts: vec![Part::Markers],
            words: false,
            ..OverlayOptions::of(scene)
        };
        let overlay = Overlay::new(scene, &assess(scene), &options).unwrap();
        let mut png = Vec::new();
        overlay.write_png(&mut png, &mut |_| ControlFlow::Continue(())).unwrap();
        let mut reader = png::Decoder::new(std::io::Cursor::new(png)).read_info().unwrap();
        let (first, last) = ((y - reach).max(0.0) as usize, (y + reach) as usize);
        let mut rows = Vec::new();
        for row in 0..=last {
            let decoded = reader.next_row().unwrap().unwrap();
            if row >= first {
                rows.push(decoded.data().iter().skip(3).step_by(4).copied().collect());
            }
        }
        Self { width: width as usize, first, rows }
    }

    /// The centre of weight of the pixels whose centres, along and across the bar from `at`, are
    /// `inside`, in the same directions. Pixels.
    fn centre(&self, at: DVec2, along: DVec2, inside: impl Fn(DVec2) -> bool) -> DVec2 {
        let (mut sum, mut weight) = (DVec2::ZERO, 0.0);
        for (row, alpha) in self.rows.iter().enumerate() {
            for (column, &alpha) in alpha.iter().enumerate().take(self.width) {
                let pixel = DVec2::new(column as f64 + 0.5, (self.first + row) as f64 + 0.5) - at;
                let pixel = DVec2::new(along.dot(pixel), along.perp().dot(pixel));
                if alpha > 0 && inside(pixel) {
                    sum += f64::from(alpha) * pixel;
                    weight += f64::from(alpha);
                }
            }
        }
        assert!(weight > 0.0, "no ink there");
        sum / weight
    }
}

/// How far the foot of the gate lies from where it is projected, pixels along and across the gate.
fn miss(cant: f64, width: u32, height: u32) -> DVec2 {
    let (mut scene, ends) = gate(cant);
    scene.frame = Frame { ratio: f64::from(width) / f64::from(height), working_width: width };
    let size = DVec2::new(width.into(), height.into());
    let [foot, head] = ends.map(|end| end * size.x + 0.5 * size);
    let along = (head - foot).normalize();
    let point = size.x / POINTS;
    let (tick, bar) = (TICK * point, BAR * point);
    let alpha = Alpha::around(&scene, width, foot.y, 2.0 * tick);
    let near = |p: DVec2| p.abs().max_element() < tick;
    let across = alpha.centre(foot, along, near).y;
    // The tick alone, without the bar that begins in its middle.
    let along = alpha.centre(foot, along, |p| near(p) && p.y.abs() > bar).x;
    DVec2::new(along, across)
}

#[test]
fn a_foot_lies_where_it_is_projected_to_a_tenth_of_a_pixel_at_10_000_px() {
    for cant in [0.0, -9.0, 20.0] {
        let miss = miss(cant, 10_000, 4_255);
        assert!(miss.abs().max_element() < 0.1, "canted {cant}°: {miss} px");
    }
}

#[test]
fn a_foot_lies_where_it_is_projected_in_small_and_in_odd_pictures() {
    for (width, height) in [(2300, 979), (1999, 1201), (1200, 511)] {
        let miss = miss(-9.0, width, height);
        assert!(miss.abs().max_element() < 0.1, "{width} × {height}: {miss} px");
    }
}

#[test]
fn an_overlay_has_the_pixels_of_its_painting() {
    let (mut scene, _) = gate(0.0);
    let size = |scene: &Scene, width| {
        let options = OverlayOptions { width, ..OverlayOptions::of(scene) };
        Overlay::new(scene, &assess(scene), &options).unwrap().size()
    };
    assert_eq!(size(&scene, 2300), (2300, 979));
    // A painting may be a pixel lower or higher than its frame.
    scene.painting = Some(Painting { path: "gate.png".into(), size: (2300, 978) });
    assert_eq!(size(&scene, 2300), (2300, 978));
    assert_eq!(size(&scene, 4600), (4600, 1956));
    // One of another shape says nothing of the frame's.
    scene.painting = Some(Painting { path: "gate.png".into(), size: (2300, 1500) });
    assert_eq!(size(&scene, 2300), (2300, 979));
}
