//! Levelled copies as files: every depth and layout there is comes back as it was, profile included.

use staffage_handover::write_warped;
use staffage_picture::{Depth, Layout, Limits, Progress, Raster, Size, Warp};
use std::fs::File;
use std::ops::ControlFlow;
use std::path::Path;

const SIZE: Size = Size { width: 150, height: 83 };

/// A picture of which each sample is another.
fn picture(layout: Layout) -> Raster {
    let mut samples = Vec::new();
    for i in 0..SIZE.pixels() as usize * layout.channels() {
        let is_alpha = layout.alpha && i % layout.channels() == layout.channels() - 1;
        match layout.depth {
            Depth::Eight => samples.push(if is_alpha { 255 } else { (i % 251) as u8 }),
            Depth::Sixteen => {
                let value = if is_alpha { u16::MAX } else { (i * 37 % 65_521) as u16 };
                samples.extend(value.to_ne_bytes());
            }
            Depth::Float => {
                let value = if is_alpha { 1.0 } else { (i % 1000) as f32 * 0.25 };
                samples.extend(value.to_ne_bytes());
            }
        }
    }
    Raster::new(SIZE, layout, samples).unwrap()
}

fn written(picture: &Raster, path: &Path) {
    let warp = Warp::resized(picture, picture.size());
    let mut file = File::create(path).unwrap();
    write_warped(&warp, &mut file, &mut |_| ControlFlow::Continue(())).unwrap();
}

fn read(path: &Path) -> Raster {
    Raster::read(path, &Limits::default(), &Progress::default()).unwrap()
}

#[test]
fn whole_numbers_are_kept_to_the_last_bit_in_png() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("copy.png");
    for depth in [Depth::Eight, Depth::Sixteen] {
        for (colour, alpha) in [(false, false), (false, true), (true, false), (true, true)] {
            let before = picture(Layout { depth, colour, alpha });
            written(&before, &path);
            let after = read(&path);
            assert_eq!(after.layout(), before.layout());
            assert!(after == before, "{:?}", before.layout());
        }
    }
}

#[test]
fn floating_point_is_kept_in_openexr() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("copy.exr");
    for alpha in [false, true] {
        let before = picture(Layout { depth: Depth::Float, colour: true, alpha });
        written(&before, &path);
        let after = read(&path);
        assert_eq!((after.size(), after.layout()), (before.size(), before.layout()));
        assert!(!after.is_half());
        let floats = |picture: &Raster| -> Vec<f32> {
            picture.samples().as_chunks::<4>().0.iter().map(|v| f32::from_ne_bytes(*v)).collect()
        };
        for (a, b) in floats(&before).into_iter().zip(floats(&after)) {
            assert!((a - b).abs() < 1e-3, "{a} {b}");
        }
        // What is read from half floats is written as half floats.
        let half = image_of_half_floats(folder.path());
        written(&half, &path);
        assert!(half.is_half() && read(&path).is_half());
    }
}

fn image_of_half_floats(folder: &Path) -> Raster {
    use exr::prelude::{WritableImage, f16};
    let path = folder.join("half.exr");
    let light = |x: usize, y: usize| f16::from_f32((x * y) as f32 * 0.01);
    let pixel = |x, y| (light(x, y), light(y, x), f16::ONE);
    let channels =
        exr::prelude::SpecificChannels::rgb(|at: exr::math::Vec2<usize>| pixel(at.0, at.1));
    exr::prelude::Image::from_channels((40, 30), channels).write().to_file(&path).unwrap();
    read(&path)
}

#[test]
fn the_colour_profile_is_handed_on() {
    let folder = tempfile::tempdir().unwrap();
    let (source, path) = (folder.path().join("painting.png"), folder.path().join("copy.png"));
    let profile: Vec<u8> = (0..=255).cycle().take(3000).collect();
    let mut info = png::Info::with_size(2, 1);
    info.icc_profile = Some(profile.clone().into());
    let mut encoder = png::Encoder::with_info(File::create(&source).unwrap(), info).unwrap();
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.write_header().unwrap().write_image_data(&[1, 2, 3, 4, 5, 6]).unwrap();
    let painting = read(&source);
    assert_eq!(painting.profile(), Some(&profile[..]));
    written(&painting, &path);
    assert!(read(&path) == painting);
}

#[test]
fn it_can_be_given_up() {
    let folder = tempfile::tempdir().unwrap();
    for depth in [Depth::Eight, Depth::Float] {
        let picture = picture(Layout { depth, colour: true, alpha: false });
        let warp = Warp::resized(&picture, picture.size());
        let mut file = File::create(folder.path().join("copy")).unwrap();
        let given_up = write_warped(&warp, &mut file, &mut |_| ControlFlow::Break(()));
        assert!(matches!(given_up, Err(staffage_handover::HandoverError::Cancelled)));
    }
}
