//! Levelling a painting of delivery size: the whole warp in memory, as `yardstick.py` has it done by OpenCV.

use std::hint::black_box;
use std::time::Duration;

use criterion::{Criterion, criterion_group, criterion_main};
use staffage_picture::{Depth, Layout, Projection, Raster, Size, Warp};

const SIZE: Size = Size { width: 10_000, height: 4_255 };
/// Cant that is taken out, degrees.
const CANT: f64 = 7.0;
/// Pixels that the painting's edge is repeated over.
const BLEED: f64 = 8.0;

/// Broad gradients with the grain of brush and scan on top.
fn painting(depth: Depth) -> Raster {
    let mut state = 0x2545_F491_u32;
    let mut samples = Vec::new();
    for y in 0..SIZE.height {
        for x in 0..SIZE.width {
            state ^= state << 13;
            state ^= state >> 17;
            state ^= state << 5;
            let grain = state >> 29;
            let (across, down) = (x * 200 / SIZE.width, y * 200 / SIZE.height);
            for value in [across + grain, down + grain, 100 + across / 2 - down / 4 + grain] {
                match depth {
                    Depth::Eight => samples.push(value as u8),
                    Depth::Sixteen => samples.extend((value as u16 * 257).to_ne_bytes()),
                    Depth::Float => samples.extend((value as f32 / 255.0).to_ne_bytes()),
                }
            }
        }
    }
    Raster::new(SIZE, Layout { depth, colour: true, alpha: false }, samples).expect("it fits")
}

/// Turned about its centre, on a copy that holds all of it; the map from the copy to the painting.
fn turned(size: Size, degrees: f64) -> (Size, Projection) {
    let (sine, cosine) = degrees.to_radians().sin_cos();
    let (w, h) = (f64::from(size.width), f64::from(size.height));
    let width = w * cosine.abs() + h * sine.abs() + 2.0 * BLEED;
    let height = w * sine.abs() + h * cosine.abs() + 2.0 * BLEED;
    let copy = Size { width: width.ceil() as u32, height: height.ceil() as u32 };
    let (cx, cy) = (0.5 * f64::from(copy.width), 0.5 * f64::from(copy.height));
    let map = [
        [cosine, sine, 0.5 * w - cosine * cx - sine * cy],
        [-sine, cosine, 0.5 * h + sine * cx - cosine * cy],
        [0.0, 0.0, 1.0],
    ];
    (copy, Projection::new(map).expect("a turn has an inverse"))
}

fn warping(criterion: &mut Criterion) {
    let (copy, map) = turned(SIZE, CANT);
    let mut group = criterion.benchmark_group("levelling 10,000 × 4,255");
    group.sample_size(10).measurement_time(Duration::from_secs(20));
    for (name, depth) in
        [("8 bits", Depth::Eight), ("16 bits", Depth::Sixteen), ("float", Depth::Float)]
    {
        let painting = painting(depth);
        let warp = Warp::new(&painting, map, copy, BLEED, true);
        let mut out = vec![0; warp.row_bytes() * copy.height as usize];
        group.bench_function(name, |bencher| {
            bencher.iter(|| warp.rows(0, black_box(&mut out)));
        });
    }
    group.finish();
}

criterion_group!(benches, warping);
criterion_main!(benches);
