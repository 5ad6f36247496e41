//! What is painted on a warped copy and laid over the picture: where it comes to lie, what it leaves alone, and
//! how much of it is lost. The maps, and OpenCV 5.0.0's losses, are those of `reference/warps.json`.

use serde_json::Value;
use staffage_picture::{
    ByRows, Changes, Depth, Laid, Layout, Limits, Progress, Projection, Raster, Size, Warp,
};
use std::ops::ControlFlow;
use std::path::Path;

/// As in the program that made the figures, pixels.
const BLEED: f64 = 8.0;
/// Pixels of the copy that the kernel reaches to either side.
const REACH: f64 = 4.0;

struct Case {
    name: String,
    back: Projection,
    size: Size,
    psnr: f64,
}

fn cases() -> Vec<Case> {
    let record: Value = serde_json::from_str(include_str!("reference/warps.json")).unwrap();
    let number = |value: &Value| value.as_f64().unwrap();
    let cases = record["cases"].as_array().unwrap().iter().map(|json| {
        let rows = [0, 1, 2].map(|i| [0, 1, 2].map(|j| number(&json["back"][i][j])));
        let [width, height] = [0, 1].map(|i| json["size"][i].as_u64().unwrap() as u32);
        Case {
            name: json["name"].as_str().unwrap().to_owned(),
            back: Projection::new(rows).unwrap(),
            size: Size { width, height },
            psnr: number(&json["psnr"]),
        }
    });
    let cases: Vec<Case> = cases.collect();
    assert_eq!(cases.len(), 7);
    cases
}

/// The painting of the reference at some depth, opaque.
fn painting(depth: Depth, alpha: bool) -> Raster {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/painting.png");
    let read = Raster::read(&path, &Limits::default(), &Progress::default()).unwrap();
    let shares = read.samples().iter().map(|&value| f64::from(value) / 255.0);
    of_shares(read.size(), Layout { depth, colour: true, alpha }, shares)
}

/// A picture of these shares of the whole range; where there is alpha, opaque.
fn of_shares(size: Size, layout: Layout, shares: impl IntoIterator<Item = f64>) -> Raster {
    let mut samples = Vec::new();
    let mut put = |share: f64| match layout.depth {
        Depth::Eight => samples.push((255.0 * share).round() as u8),
        Depth::Sixteen => samples.extend(((65_535.0 * share).round() as u16).to_ne_bytes()),
        Depth::Float => samples.extend((share as f32).to_ne_bytes()),
    };
    for (i, share) in shares.into_iter().enumerate() {
        put(share);
        if layout.alpha && i % 3 == 2 {
            put(1.0);
        }
    }
    Raster::new(size, layout, samples).unwrap()
}

/// The samples as shares of the whole range.
fn shares(picture: &Raster) -> Vec<f64> {
    let samples = picture.samples();
    match picture.layout().depth {
        Depth::Eight => samples.iter().map(|&v| f64::from(v) / 255.0).collect(),
        Depth::Sixteen => {
            let words = samples.as_chunks::<2>().0.iter();
            words.map(|&v| f64::from(u16::from_ne_bytes(v)) / 65_535.0).collect()
        }
        Depth::Float => {
            samples.as_chunks::<4>().0.iter().map(|&v| f64::from(f32::from_ne_bytes(v))).collect()
        }
    }
}

fn copy_of(picture: &Raster, case: &Case) -> Raster {
    Warp::new(picture, case.back, case.size, BLEED, true).whole()
}

/// A copy after someone painted on it: each colour of each pixel with its centre at (x, y).
fn painted(copy: &Raster, colour: impl Fn(f64, f64, f64) -> f64) -> Raster {
    let width = copy.size().width as usize;
    let before = shares(copy);
    let colours = before.chunks_exact(4).enumerate().flat_map(|(i, pixel)| {
        let (x, y) = ((i % width) as f64 + 0.5, (i / width) as f64 + 0.5);
        let visible = pixel[3] > 0.0;
        [0, 1, 2].map(|c| if visible { colour(x, y, pixel[c]) } else { pixel[c] })
    });
    let colours: Vec<f64> = colours.collect();
    let opaque = of_shares(copy.size(), copy.layout(), colours);
    // The margin stays clear.
    let (bytes, depth) = (copy.layout().bytes(), copy.layout().depth.bytes());
    let mut samples = opaque.samples().to_vec();
    for (to, from) in samples.chunks_exact_mut(bytes).zip(copy.samples().chunks_exact(bytes)) {
        to[3 * depth..].copy_from_slice(&from[3 * depth..]);
    }
    Raster::new(copy.size(), copy.layout(), samples).unwrap()
}

fn changes(picture: &Raster, copy: &Raster, case: &Case) -> Changes {
    let fresh = Warp::new(picture, case.back, case.size, BLEED, true);
    let found = Changes::find(&fresh, copy, &mut |_| ControlFlow::Continue(()));
    found.unwrap_or_else(|why| panic!("{why:?}"))
}

fn brought_back(picture: &Raster, copy: &Raster, case: &Case) -> Raster {
    let changes = changes(picture, copy, case);
    let alpha = picture.layout().alpha;
    Laid::new(picture, copy, case.back.inverse(), &changes, alpha).unwrap().whole()
}

/// How much a soft brush of this radius covers at some distance, to nothing at its rim.
fn brush(distance: f64, radius: f64) -> f64 {
    let t = (1.0 - distance / radius).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

const LAYOUTS: [(Depth, bool); 6] = [
    (Depth::Eight, false),
    (Depth::Eight, true),
    (Depth::Sixteen, false),
    (Depth::Sixteen, true),
    (Depth::Float, false),
    (Depth::Float, true),
];

#[test]
fn a_copy_on_which_nobody_painted_is_the_painting_bit_for_bit() {
    for (depth, alpha) in LAYOUTS {
        let painting = painting(depth, alpha);
        for case in cases() {
            let copy = copy_of(&painting, &case);
            assert_eq!(changes(&painting, &copy, &case).count(|_, _| true), 0, "{}", case.name);
            assert!(brought_back(&painting, &copy, &case) == painting, "{} {depth:?}", case.name);
        }
    }
}

#[test]
fn everything_farther_from_the_stroke_than_the_kernel_reaches_is_bit_for_bit_the_painting() {
    for (depth, alpha) in LAYOUTS {
        let painting = painting(depth, alpha);
        let size = painting.size();
        for case in cases() {
            let copy = copy_of(&painting, &case);
            let (cx, cy) = (0.45 * f64::from(case.size.width), 0.55 * f64::from(case.size.height));
            let stroke = |x: f64, y: f64| brush((x - cx).hypot(y - cy), 25.0);
            let after = painted(&copy, |x, y, was| was + stroke(x, y) * (0.9 - was));
            let changes = changes(&painting, &after, &case);
            let touched = changes.count(|x, y| {
                let far = (f64::from(x) + 0.5 - cx).hypot(f64::from(y) + 0.5 - cy);
                assert!(far < 25.0, "nothing else was touched: {far}");
                true
            });
            assert!(touched > 1000, "{touched}");
            let back = brought_back(&painting, &after, &case);
            assert_eq!(back.layout(), painting.layout());
            let (bytes, there) = (painting.layout().bytes(), case.back.inverse());
            let pixels =
                painting.samples().chunks_exact(bytes).zip(back.samples().chunks_exact(bytes));
            let mut differing = 0;
            for (i, (before, after)) in pixels.enumerate() {
                let (x, y) = (i % size.width as usize, i / size.width as usize);
                let (px, py) = there.place(x as f64 + 0.5, y as f64 + 0.5).unwrap();
                let far = (px - cx).hypot(py - cy);
                if far > 25.0 + REACH {
                    assert!(before == after, "{} {depth:?}: {far} px off", case.name);
                } else {
                    differing += usize::from(before != after);
                }
                if alpha {
                    let opaque = &painting.samples()[bytes - bytes / 4..bytes];
                    assert_eq!(&after[bytes - bytes / 4..], opaque, "no pixel is blank");
                }
            }
            assert!(differing > 500, "the stroke is there: {differing}");
        }
    }
}

#[test]
fn a_stroke_comes_back_where_the_map_puts_it() {
    let painting = painting(Depth::Sixteen, false);
    let (size, before) = (painting.size(), shares(&painting));
    let mut worst = 0.0_f64;
    for case in cases() {
        let copy = copy_of(&painting, &case);
        for (u, v) in [(0.3, 0.4), (0.5, 0.5), (0.62, 0.58)] {
            let (x0, y0) = case
                .back
                .inverse()
                .place(u * f64::from(size.width), v * f64::from(size.height))
                .unwrap();
            let spot = |x: f64, y: f64| (-0.5 * ((x - x0).hypot(y - y0) / 2.5).powi(2)).exp();
            let after = painted(&copy, |x, y, was| was + 0.3 * spot(x, y));
            let back = shares(&brought_back(&painting, &after, &case));
            let (mut sum, mut x_sum, mut y_sum) = (0.0, 0.0, 0.0);
            for (i, (after, before)) in
                back.iter().zip(&before).enumerate().filter(|(i, _)| i % 3 == 0)
            {
                let (x, y) = ((i / 3) % size.width as usize, i / 3 / size.width as usize);
                let more = after - before;
                sum += more;
                x_sum += more * (x as f64 + 0.5);
                y_sum += more * (y as f64 + 0.5);
            }
            let (x, y) = (x_sum / sum, y_sum / sum);
            let off = (x - u * f64::from(size.width)).hypot(y - v * f64::from(size.height));
            worst = worst.max(off);
            assert!(off < 0.05, "{}: {off} px", case.name);
        }
    }
    println!("at most {worst:.4} px off");
}

fn psnr(a: &[f64], b: &[f64]) -> f64 {
    assert_eq!(a.len(), b.len());
    let squares: f64 = a.iter().zip(b).map(|(a, b)| (a - b).powi(2)).sum();
    -10.0 * (squares / a.len() as f64).log10()
}

#[test]
fn where_all_is_painted_no_more_is_lost_than_by_opencv() {
    // The negative loses what the painting does, and differs from it in every pixel.
    let painting = painting(Depth::Eight, false);
    let negative: Vec<f64> = shares(&painting).iter().map(|share| 1.0 - share).collect();
    let negative = of_shares(painting.size(), painting.layout(), negative);
    for case in cases() {
        let copy = copy_of(&negative, &case);
        let back = brought_back(&painting, &copy, &case);
        let ours = psnr(&shares(&negative), &shares(&back));
        println!("{}: {ours:.2} dB, OpenCV {:.2} dB", case.name, case.psnr);
        assert!(ours >= case.psnr, "{}: {ours:.3} dB, OpenCV {:.3} dB", case.name, case.psnr);
    }
}

#[test]
fn what_is_painted_on_half_of_it_loses_no_more_and_leaves_no_seam() {
    // A wash that darkens everything right of a slanting edge by a twelfth, hard on the copy.
    let painting = painting(Depth::Sixteen, false);
    let (size, before) = (painting.size(), shares(&painting));
    for case in cases() {
        let copy = copy_of(&painting, &case);
        let edge = 0.5 * f64::from(case.size.width);
        let washed =
            painted(&copy, |x, y, was| if x + 0.3 * y > edge { was * 11.0 / 12.0 } else { was });
        let back = shares(&brought_back(&painting, &washed, &case));
        // The wash without the hard edge's own blur: far from it only.
        let there = case.back.inverse();
        let (mut wanted, mut came, mut kept) = (Vec::new(), Vec::new(), 0_usize);
        for i in 0..size.pixels() as usize {
            let (x, y) = (i % size.width as usize, i / size.width as usize);
            let (px, py) = there.place(x as f64 + 0.5, y as f64 + 0.5).unwrap();
            let past = px + 0.3 * py - edge;
            let range = 3 * i..3 * i + 3;
            if past > 8.0 {
                wanted.extend(before[range.clone()].iter().map(|was| was * 11.0 / 12.0));
                came.extend_from_slice(&back[range]);
            } else if past < -8.0 {
                assert!(back[range.clone()] == before[range]);
                kept += 1;
            } else if past < -1.0 {
                // On the way over both have the same paint; what overshoots beside the edge is a small share of it.
                for (after, was) in back[range.clone()].iter().zip(&before[range]) {
                    assert!((after - was).abs() < 0.06, "{}: {past} {after} {was}", case.name);
                }
            }
        }
        assert!(kept > 10_000 && came.len() > 10_000);
        // Both the painting and its wash come from the same source, whose fine detail is not spread evenly.
        let ours = psnr(&wanted, &came);
        assert!(ours > case.psnr - 3.0, "{}: {ours:.2} dB", case.name);
    }
}

#[test]
fn another_depth_of_the_copy_changes_nothing_and_the_greater_one_is_kept() {
    let case = &cases()[0];
    for (of, saved, kept) in [
        (Depth::Eight, Depth::Sixteen, Depth::Sixteen),
        (Depth::Sixteen, Depth::Eight, Depth::Sixteen),
    ] {
        let painting = painting(of, false);
        let copy = copy_of(&painting, case);
        let layout = Layout { depth: saved, ..copy.layout() };
        let colours =
            shares(&copy).chunks_exact(4).flat_map(|p| p[..3].to_vec()).collect::<Vec<_>>();
        // Saved without alpha besides: the margin is black then.
        let flat = of_shares(copy.size(), Layout { alpha: false, ..layout }, colours);
        let back = brought_back(&painting, &flat, case);
        assert_eq!(back.layout(), Layout { depth: kept, ..painting.layout() });
        assert_eq!(shares(&back), shares(&painting));
    }
}

#[test]
fn rows_are_the_same_together_and_in_bands() {
    let painting = painting(Depth::Eight, true);
    let case = &cases()[4];
    let copy = copy_of(&painting, case);
    let after = painted(&copy, |x, y, was| {
        if (x as u32 / 40 + y as u32 / 40).is_multiple_of(5) { 1.0 - was } else { was }
    });
    let changes = changes(&painting, &after, case);
    let laid = Laid::new(&painting, &after, case.back.inverse(), &changes, true).unwrap();
    let whole = laid.whole();
    let mut band = vec![0; 64 * laid.row_bytes()];
    for (first, rows) in (0..).step_by(64).zip(whole.samples().chunks(band.len())) {
        laid.rows(first, &mut band[..rows.len()]);
        assert!(band[..rows.len()] == *rows, "{first}");
    }
}
