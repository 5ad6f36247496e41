//! Switching to a tone view of a painting at delivery size: what has to be worked out before the whole
//! is seen in it, coarse and then sharp on the canvas.

use std::hint::black_box;
use std::sync::Arc;

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use staffage_picture::{Channels, Picture, Pixels, Region, Size, ToneView, Toned, Tones};

const SIZES: [Size; 2] =
    [Size { width: 10_000, height: 4_255 }, Size { width: 30_000, height: 12_766 }];
const TEXTURE_SIDE: u32 = 8_192;
/// Width of the canvas in screen pixels.
const CANVAS: f64 = 1_600.0;
/// A squint's radius as a share of the longer side.
const RADIUS: f64 = 0.01;

/// Broad gradients with grain on top.
fn painting(size: Size) -> Arc<Picture> {
    let mut state = 0x2545_F491_u32;
    let mut samples = Vec::with_capacity(size.pixels() as usize * 3);
    for y in 0..size.height {
        for x in 0..size.width {
            state ^= state << 13;
            state ^= state >> 17;
            state ^= state << 5;
            let grain = (state >> 29) as u8;
            let across = (u64::from(x) * 200 / u64::from(size.width)) as u8;
            let down = (u64::from(y) * 200 / u64::from(size.height)) as u8;
            samples.extend([across + grain, down + grain, 100 + across / 2 - down / 4 + grain]);
        }
    }
    let pixels = Pixels::new(size, Channels::Rgb, samples).expect("three samples to a pixel");
    Arc::new(Picture::new(pixels, TEXTURE_SIDE))
}

/// The tiles of one level that show the whole; how many bytes they are.
fn tiles(toned: &Toned, level: usize) -> usize {
    let everything = Region { left: 0.0, top: 0.0, right: f64::INFINITY, bottom: f64::INFINITY };
    let ground = toned.ground();
    let tiles = ground.tiles_in(level, everything).filter_map(|tile| toned.tile_pixels(tile.key));
    tiles.map(|tile| tile.rgba.len()).sum()
}

fn first_sight(picture: &Arc<Picture>, view: ToneView) -> usize {
    let toned = Toned::new(picture, view);
    tiles(&toned, toned.ground().levels() - 1)
}

/// The whole as sharp as the canvas shows it.
fn sharp(picture: &Arc<Picture>, view: ToneView) -> usize {
    let toned = Toned::new(picture, view);
    let width = f64::from(toned.ground().size().width);
    tiles(&toned, toned.ground().level_for(CANVAS / width))
}

fn tone_views(criterion: &mut Criterion) {
    for size in SIZES {
        let picture = painting(size);
        let mut group = criterion.benchmark_group(size.to_string());
        group.sample_size(20);
        for (name, view) in [
            ("values", ToneView { tones: Tones::Values, ..ToneView::PLAIN }),
            ("three flat tones", ToneView { tones: Tones::Flat(3), ..ToneView::PLAIN }),
            ("squint", ToneView { squint: Some(RADIUS), ..ToneView::PLAIN }),
            ("squint, flat tones", ToneView { tones: Tones::Flat(5), squint: Some(RADIUS) }),
        ] {
            group.bench_function(BenchmarkId::new(name, "first sight"), |bencher| {
                bencher.iter(|| black_box(first_sight(&picture, view)));
            });
            group.bench_function(BenchmarkId::new(name, "sharp"), |bencher| {
                bencher.iter(|| black_box(sharp(&picture, view)));
            });
        }
        group.finish();
    }
}

criterion_group!(benches, tone_views);
criterion_main!(benches);
