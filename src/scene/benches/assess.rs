//! Times the whole assessment of a scene, as it runs while a handle is dragged.

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use glam::{DVec2, DVec3};
use staffage_scene::{
    BlockId, Family, Known, LevelId, Line, LineId, Marker, MarkerId, Scene, Segment, Span, Stands,
    Statement, assess,
};
use staffage_solver::{Eye, Headings};
use std::hint::black_box;

/// A street with fifteen traced lines and so many figures along two hundred metres of it, every third of a
/// known size.
fn street(markers: u32) -> Scene {
    let eye = Eye { focal: 0.9, pitch: 0.12, cant: 0.05, ..Eye::default() };
    let headings = Headings { blocks: vec![0.7], inclines: vec![] };
    let mut scene = Scene::default();
    let block = BlockId(1);
    for (solver, family) in [
        (staffage_solver::Family::Upright, Family::Upright),
        (staffage_solver::Family::RecedingRight(0), Family::RecedingRight(block)),
        (staffage_solver::Family::RecedingLeft(0), Family::RecedingLeft(block)),
    ] {
        let v = eye.image(headings.direction(solver));
        for k in 0..5 {
            let turn = DVec2::from_angle(1.3 * f64::from(k));
            let middle = DVec2::new(0.4 * turn.x, 0.15 * turn.y);
            let half = 0.1 * (v.truncate() - v.z * middle).normalize();
            let id = LineId(1 + scene.lines.len() as u32);
            let segment = Segment(middle - half, middle + half);
            scene.lines.push(Line { id, family, segment });
        }
    }
    for k in 0..markers {
        let ahead = 8.0 + 200.0 * f64::from(k) / f64::from(markers);
        let right = 0.4 * ahead * f64::from(k).sin();
        let at = |y: f64| eye.project(DVec3::new(right, y - 1.6, -ahead)).unwrap();
        let height = 1.7 + 0.08 * (2.0 * f64::from(k)).sin();
        let adult = Known { metres: 1.7, spread: 0.06 };
        let statement = Statement::KnownSize { size: adult, as_: "adult".into() };
        scene.markers.push(Marker {
            id: MarkerId(k + 1),
            name: format!("figure {k}"),
            foot: at(0.0),
            head: at(height),
            span: Span::Upright,
            stands: Stands::On(LevelId(1)),
            statements: if k % 3 == 0 { vec![statement] } else { vec![] },
        });
    }
    scene
}

fn assessment(c: &mut Criterion) {
    let mut group = c.benchmark_group("assess a street with markers");
    for markers in [10, 100, 1000, 3000] {
        let scene = street(markers);
        group.bench_with_input(BenchmarkId::from_parameter(markers), &scene, |b, scene| {
            b.iter(|| assess(black_box(scene)));
        });
    }
}

criterion_group!(benches, assessment);
criterion_main!(benches);
