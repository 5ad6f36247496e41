//! The overlay of a demo scene 10,000 px wide, beside a general-purpose renderer that draws and
//! encodes the same SVG.

use criterion::{Criterion, criterion_group, criterion_main};
use resvg::{tiny_skia, usvg};
use staffage_handover::{Overlay, OverlayOptions};
use staffage_scene::{assess, load};
use std::hint::black_box;
use std::ops::ControlFlow;
use std::path::Path;

const WIDTH: u32 = 10_000;

fn overlay() -> Overlay {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo_scenes/dam_overlook.ron");
    let scene = load(&demo).expect("the demo scene is there");
    let options = OverlayOptions { width: WIDTH, ..OverlayOptions::of(&scene) };
    Overlay::new(&scene, &assess(&scene), &options).expect("the width is in range")
}

fn png(overlay: &Overlay) -> Vec<u8> {
    let mut png = Vec::new();
    overlay.write_png(&mut png, &mut |_| ControlFlow::Continue(())).expect("memory takes it all");
    png
}

fn rendered(svg: &str, options: &usvg::Options<'_>) -> tiny_skia::Pixmap {
    let tree = usvg::Tree::from_str(svg, options).expect("valid SVG");
    let size = tree.size().to_int_size();
    let mut pixels = tiny_skia::Pixmap::new(size.width(), size.height()).expect("a sound size");
    resvg::render(&tree, tiny_skia::Transform::identity(), &mut pixels.as_mut());
    pixels
}

fn benches(c: &mut Criterion) {
    let overlay = overlay();
    let svg = overlay.to_svg();
    let mut options = usvg::Options::default();
    let font = include_bytes!("../../../assets/fonts/IBMPlexSans-Regular.ttf");
    options.fontdb_mut().load_font_data(font.to_vec());

    let mut group = c.benchmark_group("10,000 px");
    group.sample_size(10);
    group.bench_function("overlay as PNG", |b| b.iter(|| png(black_box(&overlay))));
    group.bench_function("resvg, its SVG to pixels", |b| {
        b.iter(|| rendered(black_box(&svg), &options));
    });
    group.bench_function("resvg, its SVG to PNG", |b| {
        b.iter(|| rendered(black_box(&svg), &options).encode_png().expect("encodes"));
    });
    group.finish();
}

criterion_group!(all, benches);
criterion_main!(all);
