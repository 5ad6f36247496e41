//! Opening a painting at delivery size: the bare decode against the first sight of the whole.

use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::time::Duration;

use criterion::{Criterion, criterion_group, criterion_main};
use image::{Rgb, RgbImage};
use staffage_picture::{Limits, Picture, Progress, Region, decode};

const WIDTH: u32 = 10_000;
const HEIGHT: u32 = 4_255;
const TEXTURE_SIDE: u32 = 8_192;
/// Width of the canvas in screen pixels.
const CANVAS: f64 = 1_600.0;

/// Broad gradients with the grain of brush and scan on top: compresses as a painting does, by half.
fn painting(folder: &Path) -> PathBuf {
    let mut state = 0x2545_F491_u32;
    let image = RgbImage::from_fn(WIDTH, HEIGHT, |x, y| {
        state ^= state << 13;
        state ^= state >> 17;
        state ^= state << 5;
        let grain = (state >> 29) as u8;
        let [across, down] = [x * 200 / WIDTH, y * 200 / HEIGHT].map(|value| value as u8);
        Rgb([across + grain, down + grain, 100 + across / 2 - down / 4 + grain])
    });
    let path = folder.join("painting.png");
    image.save(&path).expect("the temporary folder takes the painting");
    path
}

/// Loads and cuts the tiles that show the whole picture in the canvas.
fn first_sight(path: &Path) -> usize {
    let picture =
        Picture::load(path, &Limits::default(), TEXTURE_SIDE, &Progress::default()).unwrap();
    let level = picture.level_for(CANVAS / f64::from(WIDTH));
    let whole = Region { left: 0.0, top: 0.0, right: f64::from(WIDTH), bottom: f64::from(HEIGHT) };
    picture
        .tiles_in(level, whole)
        .filter_map(|tile| picture.tile_pixels(tile.key))
        .map(|tile| tile.rgba.len())
        .sum()
}

fn opening(criterion: &mut Criterion) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = painting(folder.path());
    let mut group = criterion.benchmark_group("10,000 × 4,255 PNG");
    group.sample_size(20).measurement_time(Duration::from_secs(10));
    group.bench_function("bare decode", |bencher| {
        bencher.iter(|| {
            let mut reader = image::ImageReader::open(&path).unwrap();
            reader.no_limits();
            black_box(reader.decode().unwrap())
        });
    });
    group.bench_function("load to first sight", |bencher| {
        bencher.iter(|| black_box(first_sight(&path)));
    });
    let pixels = decode(&path, &Limits::default(), &Progress::default()).unwrap();
    group.bench_function("pyramid alone", |bencher| {
        bencher.iter_batched(
            || pixels.clone(),
            |pixels| Picture::new(pixels, TEXTURE_SIDE),
            criterion::BatchSize::PerIteration,
        );
    });
    group.finish();
}

criterion_group!(benches, opening);
criterion_main!(benches);
