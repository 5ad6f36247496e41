//! Drawing a scene with many markers.

use criterion::{Criterion, criterion_group, criterion_main};
use glam::{DVec2, DVec3};
use staffage_drawing::{Axis, Emphasis, SectionView, View, draw, plan, section, to_svg};
use staffage_scene::{
    Assessment, Entry, LevelId, Marker, MarkerId, Measure, Scene, Span, Standing, Stands, Unit,
    assess,
};
use std::hint::black_box;

/// A field of figures that recedes from a level eye, 6 m above the ground.
fn crowd(count: u32) -> (Scene, Assessment) {
    let mut scene = Scene::default();
    let mut assessment = assess(&scene);
    let eye = assessment.eye.eye;
    let around = |value: f64| Measure { value, low: 0.9 * value, high: 1.1 * value };
    for i in 0..count {
        let spread = (f64::from(i) * 0.618_033_988_75).fract() - 0.5;
        let distance = 35.0 * 1.003_f64.powi(i as i32);
        let foot = DVec3::new(spread * distance, -6.0, -distance);
        let ends = (eye.project(foot), eye.project(foot + 1.7 * DVec3::Y));
        let (Some(foot), Some(head)) = ends else { continue };
        let (id, name) = (MarkerId(i + 1), format!("Figure {i}"));
        let stands = Stands::On(LevelId(1));
        let span = Span::Upright;
        scene.markers.push(Marker { id, name, foot, head, span, stands, statements: Vec::new() });
        assessment.ledger.push(Entry {
            id,
            distance: Some(around(distance)),
            size: Some(around(1.7)),
            elevation: Some(-6.0),
            unit: Unit::Metres,
            standing: if i % 50 == 7 { Standing::Contradicts } else { Standing::Holds },
            standardized: 0.5,
            redundancy: 0.5,
            expected_size: None,
            lean: None,
            true_head: None,
            detectable: None,
            bounds: None,
            hidden: None,
            astray: None,
        });
    }
    (scene, assessment)
}

fn benches(c: &mut Criterion) {
    for count in [100, 1000] {
        let (scene, assessment) = crowd(count);
        let view = View::of_frame(scene.frame, 1600.0);
        let emphasis = Emphasis::default();
        c.bench_function(&format!("draw {count} markers"), |b| {
            b.iter(|| draw(black_box(&scene), &assessment, &view, &emphasis));
        });
        c.bench_function(&format!("section of {count} markers"), |b| {
            let outlook = SectionView::default();
            let size = DVec2::new(1600.0, 240.0);
            b.iter(|| section(black_box(&scene), &assessment, &emphasis, &outlook, size));
        });
        c.bench_function(&format!("plan of {count} markers"), |b| {
            let (axis, size) = (Axis::Logarithmic, DVec2::new(1600.0, 240.0));
            b.iter(|| plan(black_box(&scene), &assessment, &emphasis, axis, None, size));
        });
        let drawing = draw(&scene, &assessment, &view, &emphasis);
        c.bench_function(&format!("SVG of {count} markers"), |b| {
            b.iter(|| to_svg(black_box(&drawing), &view, "Crowd"));
        });
    }
}

criterion_group!(all, benches);
criterion_main!(all);
