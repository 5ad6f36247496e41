//! Warping against OpenCV 5.0.0: where things come to lie, and what is left of a painting after the way
//! there and back. The figures are in `reference/warps.json`, made by the program beside it.

use serde_json::Value;
use staffage_picture::{Depth, Layout, Limits, Progress, Projection, Raster, Size, Warp};
use std::path::Path;

/// As in the program that made the figures, pixels.
const BLEED: f64 = 8.0;

struct Case {
    name: String,
    back: Projection,
    size: Size,
    json: Value,
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

fn pair(value: &Value) -> (f64, f64) {
    (number(&value[0]), number(&value[1]))
}

fn size(value: &Value) -> Size {
    let [width, height] = [0, 1].map(|i| value[i].as_u64().unwrap() as u32);
    Size { width, height }
}

fn record() -> (Value, Vec<Case>) {
    let record: Value = serde_json::from_str(include_str!("reference/warps.json")).unwrap();
    let cases = record["cases"].as_array().unwrap().iter().map(|json| Case {
        name: json["name"].as_str().unwrap().to_owned(),
        back: Projection::new([0, 1, 2].map(|i| [0, 1, 2].map(|j| number(&json["back"][i][j]))))
            .unwrap(),
        size: size(&json["size"]),
        json: json.clone(),
    });
    let cases: Vec<Case> = cases.collect();
    assert_eq!(cases.len(), 7);
    (record, cases)
}

fn painting() -> Raster {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/painting.png");
    Raster::read(&path, &Limits::default(), &Progress::default()).unwrap()
}

/// The same picture at another depth and with or without alpha.
fn as_layout(picture: &Raster, depth: Depth, alpha: bool) -> Raster {
    let layout = Layout { depth, colour: true, alpha };
    let mut samples = Vec::new();
    for pixel in picture.samples().chunks_exact(3) {
        let opaque = alpha.then_some(&255);
        for &value in pixel.iter().chain(opaque) {
            match depth {
                Depth::Eight => samples.push(value),
                Depth::Sixteen => samples.extend((u16::from(value) * 257).to_ne_bytes()),
                Depth::Float => samples.extend((f32::from(value) / 255.0).to_ne_bytes()),
            }
        }
    }
    Raster::new(picture.size(), layout, samples).unwrap()
}

/// Samples as shares of the whole range.
fn values(picture: &Raster) -> Vec<f64> {
    let samples = picture.samples();
    match picture.layout().depth {
        Depth::Eight => samples.iter().map(|&v| f64::from(v) / 255.0).collect(),
        Depth::Sixteen => samples
            .as_chunks::<2>()
            .0
            .iter()
            .map(|&v| f64::from(u16::from_ne_bytes(v)) / 65_535.0)
            .collect(),
        Depth::Float => {
            samples.as_chunks::<4>().0.iter().map(|&v| f64::from(f32::from_ne_bytes(v))).collect()
        }
    }
}

fn psnr(a: &Raster, b: &Raster) -> f64 {
    assert_eq!((a.size(), a.layout()), (b.size(), b.layout()));
    let (a, b) = (values(a), values(b));
    let squares: f64 = a.iter().zip(&b).map(|(a, b)| (a - b).powi(2)).sum();
    -10.0 * (squares / a.len() as f64).log10()
}

fn there_and_back(picture: &Raster, case: &Case) -> (Raster, Raster) {
    let copy = Warp::new(picture, case.back, case.size, BLEED, true).whole();
    let alpha = picture.layout().alpha;
    let back = Warp::new(&copy, case.back.inverse(), picture.size(), 0.0, alpha).whole();
    (copy, back)
}

#[test]
fn a_painting_comes_back_no_worse_than_by_opencv_and_without_a_blank_pixel() {
    let painting = painting();
    for case in record().1 {
        let (copy, back) = there_and_back(&painting, &case);
        assert_eq!((copy.size(), back.size()), (case.size, painting.size()));
        let (ours, theirs) = (psnr(&painting, &back), number(&case.json["psnr"]));
        println!("{}: {ours:.2} dB, OpenCV {theirs:.2} dB", case.name);
        assert!(ours >= theirs, "{}: {ours:.3} dB, OpenCV {theirs:.3} dB", case.name);
        let glass = as_layout(&painting, Depth::Eight, true);
        let (_, back) = there_and_back(&glass, &case);
        assert!(back.samples().chunks_exact(4).all(|p| p[3] == 255), "{}", case.name);
    }
}

#[test]
fn at_full_depth_less_is_lost_than_8_bits_can_tell() {
    let painting = painting();
    for case in record().1 {
        for depth in [Depth::Sixteen, Depth::Float] {
            for alpha in [false, true] {
                let deep = as_layout(&painting, depth, alpha);
                let (_, back) = there_and_back(&deep, &case);
                let (ours, theirs) = (psnr(&deep, &back), number(&case.json["psnr"]));
                assert!(ours > theirs, "{} {depth:?} {alpha}: {ours:.3} dB", case.name);
            }
        }
    }
}

#[test]
fn things_come_to_lie_where_opencv_puts_them() {
    let (record, cases) = record();
    let spots: Vec<_> = record["at"].as_array().unwrap().iter().map(pair).collect();
    let picture = spotted(size(&record["size"]), &spots, number(&record["spot"]));
    let (mut worst, mut worst_point) = (0.0_f64, 0.0_f64);
    for case in cases {
        let copy = Warp::new(&picture, case.back, case.size, BLEED, false).whole();
        let there = values(&copy);
        for (i, &at) in spots.iter().enumerate() {
            let point = pair(&case.json["points"][i]);
            let ours = case.back.inverse().place(at.0, at.1).unwrap();
            worst_point = worst_point.max(apart(ours, point));
            let ours = centroid(&there, case.size, point, 14);
            let theirs = pair(&case.json["spots"][i]);
            worst = worst.max(apart(ours, theirs));
            assert!(apart(ours, theirs) < 0.01, "{} {i}: {ours:?} {theirs:?}", case.name);
        }
    }
    println!("centroids at most {worst:.4} px apart, points {worst_point:.1e} px");
    assert!(worst_point < 1e-8);
}

fn apart(a: (f64, f64), b: (f64, f64)) -> f64 {
    (a.0 - b.0).hypot(a.1 - b.1)
}

/// Gaussian spots on black, grey.
fn spotted(size: Size, spots: &[(f64, f64)], sigma: f64) -> Raster {
    let mut samples = Vec::new();
    for y in 0..size.height {
        for x in 0..size.width {
            let at = (f64::from(x) + 0.5, f64::from(y) + 0.5);
            let light = |spot: &(f64, f64)| (-0.5 * (apart(at, *spot) / sigma).powi(2)).exp();
            let value = spots.iter().map(light).sum::<f64>() as f32;
            samples.extend(value.to_ne_bytes());
        }
    }
    let layout = Layout { depth: Depth::Float, colour: false, alpha: false };
    Raster::new(size, layout, samples).unwrap()
}

fn centroid(values: &[f64], size: Size, near: (f64, f64), reach: i64) -> (f64, f64) {
    let (x0, y0) = ((near.0 as i64) - reach, (near.1 as i64) - reach);
    let (mut sum, mut x_sum, mut y_sum) = (0.0, 0.0, 0.0);
    for y in y0..y0 + 2 * reach {
        for x in x0..x0 + 2 * reach {
            let value = values[y as usize * size.width as usize + x as usize];
            sum += value;
            x_sum += (x as f64 + 0.5) * value;
            y_sum += (y as f64 + 0.5) * value;
        }
    }
    (x_sum / sum, y_sum / sum)
}

/// A picture of one colour in every pixel, as `colour` says.
fn picture(size: Size, layout: Layout, colour: impl Fn(u32, u32) -> Vec<u8>) -> Raster {
    let pixels = (0..size.height).flat_map(|y| (0..size.width).map(move |x| (x, y)));
    let samples = pixels.flat_map(|(x, y)| colour(x, y)).collect();
    Raster::new(size, layout, samples).unwrap()
}

const GREY: Layout = Layout { depth: Depth::Eight, colour: false, alpha: false };
const GLASS: Layout = Layout { depth: Depth::Eight, colour: true, alpha: true };

#[test]
fn a_map_that_moves_nothing_changes_nothing() {
    let painting = painting();
    for depth in [Depth::Eight, Depth::Sixteen, Depth::Float] {
        for alpha in [false, true] {
            let deep = as_layout(&painting, depth, alpha);
            let same = Warp::resized(&deep, deep.size()).whole();
            // Floating point differs by rounding.
            let least = if depth == Depth::Float { 140.0 } else { f64::INFINITY };
            assert!(psnr(&deep, &same) >= least, "{depth:?} {alpha}");
        }
    }
}

#[test]
fn colours_beside_transparent_pixels_are_not_tinted_by_what_lies_under_the_glass() {
    let size = Size { width: 60, height: 40 };
    // Orange on the left; on the right clear, with green that nobody sees.
    let glass =
        picture(
            size,
            GLASS,
            |x, _| {
                if x < 30 { vec![230, 120, 20, 255] } else { vec![0, 255, 0, 0] }
            },
        );
    let (sine, cosine) = 0.3_f64.sin_cos();
    let map =
        Projection::new([[cosine, sine, 3.0], [-sine, cosine, 9.0], [0.0, 0.0, 1.0]]).unwrap();
    let turned = Warp::new(&glass, map, size, 0.0, true).whole();
    let seen = turned.samples().chunks_exact(4).filter(|pixel| pixel[3] > 16);
    for pixel in seen.clone() {
        let off = [230, 120, 20].iter().zip(pixel).map(|(a, b)| b.abs_diff(*a)).max().unwrap();
        assert!(off <= 255 / pixel[3] + 1, "{pixel:?}");
    }
    assert!(seen.count() > 500);
}

#[test]
fn what_lies_beyond_the_painting_is_transparent_but_for_the_bleed() {
    let size = Size { width: 20, height: 20 };
    let grey = picture(size, GREY, |_, _| vec![90]);
    let shift = Projection::new([[1.0, 0.0, -30.0], [0.0, 1.0, -30.0], [0.0, 0.0, 1.0]]).unwrap();
    let warp = Warp::new(&grey, shift, Size { width: 80, height: 80 }, 8.0, true);
    for (i, pixel) in warp.whole().samples().chunks_exact(2).enumerate() {
        let (x, y) = (i % 80, i / 80);
        let within = (22..58).contains(&x) && (22..58).contains(&y);
        assert_eq!(pixel, if within { [90, 255] } else { [0, 0] }, "{x} {y}");
    }
}

#[test]
fn stripes_too_fine_to_be_seen_turn_into_grey_when_shrunk_and_broad_ones_stay() {
    let size = Size { width: 400, height: 400 };
    let small = Size { width: 100, height: 100 };
    let stripes = |every: u32| {
        let striped =
            picture(size, GREY, |x, _| vec![if (x / every).is_multiple_of(2) { 0 } else { 254 }]);
        Warp::resized(&striped, small).whole()
    };
    let inner = |picture: &Raster| -> Vec<u8> {
        picture.samples().chunks_exact(100).flat_map(|row| row[4..96].to_vec()).collect()
    };
    assert!(inner(&stripes(1)).iter().all(|v| v.abs_diff(127) <= 2), "finer than a pixel");
    let broad = inner(&stripes(40));
    assert!(broad.iter().any(|v| *v < 3) && broad.iter().any(|v| *v > 251));
}

#[test]
fn light_beside_a_bright_edge_is_never_negative_and_nothing_but_numbers_comes_out() {
    let size = Size { width: 64, height: 32 };
    let layout = Layout { depth: Depth::Float, colour: true, alpha: true };
    let wild = picture(size, layout, |x, y| {
        let light = match (x, y) {
            (40, 20) => f32::NAN,
            (20, 10) => f32::INFINITY,
            _ if x < 32 => 0.0,
            _ => 1000.0,
        };
        [light, light, light, 1.0].into_iter().flat_map(f32::to_ne_bytes).collect()
    });
    let (sine, cosine) = 0.2_f64.sin_cos();
    let map =
        Projection::new([[cosine, sine, -2.0], [-sine, cosine, 5.0], [0.0, 0.0, 1.0]]).unwrap();
    let turned = Warp::new(&wild, map, size, 4.0, true).whole();
    assert!(values(&turned).iter().all(|value| value.is_finite() && *value >= 0.0));
}

#[test]
fn maps_that_lead_behind_or_far_away_leave_blank_pixels() {
    let size = Size { width: 90, height: 70 };
    let grey = picture(size, GREY, |_, _| vec![200]);
    for rows in [
        [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [-0.05, 0.0, 1.0]],
        [[1.0, 0.0, 1e12], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
        [[1e9, 0.0, 0.0], [0.0, 1e-9, 0.0], [0.0, 0.0, 1.0]],
        [[-1.0, 0.0, 0.0], [0.0, -1.0, 0.0], [0.0, 0.0, -1.0]],
    ] {
        let map = Projection::new(rows).unwrap();
        let seen = Warp::new(&grey, map, size, 2.0, true).whole();
        let blank = seen.samples().chunks_exact(2).filter(|pixel| pixel[1] == 0).count();
        assert!(blank > 60 * 70, "{rows:?}: {blank}");
        for pixel in seen.samples().chunks_exact(2).filter(|pixel| pixel[1] > 0) {
            assert!(pixel[0].abs_diff(200) < 2, "{rows:?}");
        }
    }
}

#[test]
fn rows_are_the_same_whether_they_are_asked_for_together_or_one_by_one() {
    let painting = painting();
    let (_, cases) = record();
    for case in &cases[4..6] {
        let warp = Warp::new(&painting, case.back, case.size, BLEED, true);
        let whole = warp.whole();
        let mut row = vec![0; warp.row_bytes()];
        for y in (0..case.size.height).step_by(7) {
            warp.rows(y, &mut row);
            let first = y as usize * row.len();
            assert!(row == whole.samples()[first..first + row.len()], "{} row {y}", case.name);
        }
    }
}
