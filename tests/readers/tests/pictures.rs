//! Overlays and levelled copies read by two decoders of PNG that have nothing in common with each other or
//! with what wrote them, LodePNG and zune-png: both find every checksum right, and the same pixels.

use lodepng::{ColorType, Image};
use staffage_readers::{DEMOS, demo, made};
use std::path::Path;
use zune_png::PngDecoder;
use zune_png::zune_core::bytestream::ZCursor;
use zune_png::zune_core::options::DecoderOptions;
use zune_png::zune_core::result::DecodingResult;

/// A picture of four samples each pixel.
#[derive(PartialEq)]
struct Read {
    size: (usize, usize),
    samples: Vec<u16>,
}

fn by_lodepng(png: &[u8], bits: u32) -> Read {
    match lodepng::decode_memory(png, ColorType::RGBA, bits).expect("LodePNG reads it") {
        Image::RGBA(map) => {
            let samples = map.buffer.iter().flat_map(|p| [p.r, p.g, p.b, p.a]).map(u16::from);
            Read { size: (map.width, map.height), samples: samples.collect() }
        }
        Image::RGBA16(map) => {
            // As the file has them: the high byte first.
            let samples = map.buffer.iter().flat_map(|p| [p.r, p.g, p.b, p.a]).map(u16::from_be);
            Read { size: (map.width, map.height), samples: samples.collect() }
        }
        _ => panic!("no alpha"),
    }
}

fn by_zune(png: &[u8]) -> Read {
    let options = DecoderOptions::new_safe().png_set_confirm_crc(true);
    let mut decoder = PngDecoder::new_with_options(ZCursor::new(png), options);
    let samples = match decoder.decode().expect("zune-png reads it") {
        DecodingResult::U8(samples) => samples.into_iter().map(u16::from).collect(),
        DecodingResult::U16(samples) => samples,
        _ => panic!("PNG has no floating point"),
    };
    Read { size: decoder.dimensions().expect("a size"), samples }
}

#[track_caller]
fn read_twice(png: &[u8], bits: u32) -> Read {
    let read = by_lodepng(png, bits);
    assert!(read == by_zune(png), "the two see different pictures");
    assert_eq!(read.samples.len(), 4 * read.size.0 * read.size.1);
    read
}

#[test]
fn overlays_are_the_same_picture_to_both() {
    for name in DEMOS {
        let read = read_twice(&made("overlay", &demo(name), "ink.png"), 8);
        let alphas: Vec<u16> = read.samples.iter().skip(3).step_by(4).copied().collect();
        assert!(alphas.contains(&0) && alphas.iter().any(|alpha| *alpha > 200), "{name}");
    }
}

#[test]
fn levelled_copies_are_the_same_picture_to_both() {
    for name in ["dam_overlook", "reservoir_from_above"] {
        read_twice(&made("level", &demo(name), "copy.png"), 8);
    }
}

#[test]
fn a_levelled_copy_of_16_bits_is_the_same_picture_to_both_and_has_values_between_those_of_8() {
    let folder = tempfile::tempdir().expect("a folder");
    let shade = |k: u32| u16::try_from(k % 60_000).expect("small").to_be_bytes();
    let pixels: Vec<u8> = (0..3 * 120 * 60).flat_map(|k| shade(17 * k)).collect();
    let painting = folder.path().join("quay.png");
    lodepng::encode_file(&painting, &pixels, 120, 60, ColorType::RGB, 16).expect("written");
    let scene = folder.path().join("quay.ron");
    let said = r#"(format: 1, scene: (painting: (path: "quay.png", size: (120, 60)),
        frame: (ratio: 2.0, working_width: 120), eye: (angle_of_view: 53.13, pitch: 0, cant: 7)))"#;
    std::fs::write(&scene, said).expect("written");
    let read = read_twice(&made("level", Path::new(&scene), "copy.png"), 16);
    assert!(read.size.0 > 120, "room for the corners");
    assert!(read.samples.iter().any(|sample| sample % 257 != 0), "more than 8 bits");
}
