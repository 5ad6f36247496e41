//! Whatever bytes a file holds, opening it ends in a picture or in an error, never in a panic.

use std::fs;
use std::io::Cursor;
use std::path::Path;

use image::codecs::tga::TgaEncoder;
use image::{DynamicImage, ImageFormat, Rgb, RgbImage};
use proptest::prelude::*;
use proptest::sample::{Index, select};
use staffage_picture::{Limits, Picture, PictureError, Progress, probe};

/// Tight, so that a header that was damaged into a large one is refused rather than decoded.
const LIMITS: Limits = Limits { max_pixels: 1 << 16, max_bytes: 1 << 22 };

/// Starts that lead random bytes into each of the decoders.
const STARTS: [&[u8]; 9] = [
    b"",
    b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR",
    b"\xff\xd8\xff",
    b"RIFF\x40\0\0\0WEBPVP8 ",
    b"RIFF\x40\0\0\0WEBPVP8L",
    b"II*\0\x08\0\0\0",
    b"MM\0*\0\0\0\x08",
    b"BM",
    b"\x76\x2f\x31\x01\x02\0\0\0",
];

/// Small whole files of every kind that can be opened, at several depths.
fn whole_files() -> Vec<Vec<u8>> {
    let image = RgbImage::from_fn(13, 9, |x, y| Rgb([20 * x as u8, 28 * y as u8, (x * y) as u8]));
    let rgb = DynamicImage::from(image);
    let rgba = DynamicImage::from(rgb.to_rgba8());
    let grey = DynamicImage::from(rgb.to_luma8());
    let wide = DynamicImage::from(rgb.to_rgba16());
    let floats = DynamicImage::from(rgb.to_rgba32f());
    let files = [
        (&rgb, ImageFormat::Png),
        (&wide, ImageFormat::Png),
        (&grey, ImageFormat::Png),
        (&rgb, ImageFormat::Jpeg),
        (&grey, ImageFormat::Jpeg),
        (&rgb, ImageFormat::Tiff),
        (&wide, ImageFormat::Tiff),
        (&rgb, ImageFormat::WebP),
        (&rgba, ImageFormat::WebP),
        (&rgb, ImageFormat::Tga),
        (&rgb, ImageFormat::Bmp),
        (&rgba, ImageFormat::Bmp),
        (&floats, ImageFormat::OpenExr),
    ];
    let mut files: Vec<Vec<u8>> = files.map(|(image, format)| encoded(image, format)).into();
    let mut plain_tga = Vec::new();
    let encoder = TgaEncoder::new(&mut plain_tga).disable_rle();
    rgba.write_with_encoder(encoder).expect("a small picture is encoded");
    files.push(plain_tga);
    files
}

fn encoded(image: &DynamicImage, format: ImageFormat) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    image.write_to(&mut bytes, format).expect("a small picture is encoded");
    bytes.into_inner()
}

/// A file cut off anywhere, or with some of its bytes replaced, or both.
fn spoilt_file() -> impl Strategy<Value = Vec<u8>> {
    let changes = prop::collection::vec((any::<Index>(), any::<u8>()), 0..6);
    (select(whole_files()), changes, prop::option::of(any::<Index>())).prop_map(
        |(mut bytes, changes, cut)| {
            for (at, byte) in changes {
                let at = at.index(bytes.len());
                bytes[at] = byte;
            }
            if let Some(cut) = cut {
                bytes.truncate(cut.index(bytes.len()));
            }
            bytes
        },
    )
}

fn noise_after_a_start() -> impl Strategy<Value = Vec<u8>> {
    (select(STARTS.to_vec()), prop::collection::vec(any::<u8>(), 0..200))
        .prop_map(|(start, noise)| [start, &noise].concat())
}

/// Opens `bytes` under the one name that lets every kind through.
fn open(folder: &Path, bytes: &[u8]) -> Result<Picture, PictureError> {
    let path = folder.join("hostile.tga");
    fs::write(&path, bytes).expect("the temporary folder takes a file");
    let _ = probe(&path);
    Picture::load(&path, &LIMITS, 64, &Progress::default())
}

proptest! {
    #[test]
    fn a_spoilt_file_opens_or_is_refused_in_one_line(bytes in spoilt_file()) {
        let folder = tempfile::tempdir()?;
        if let Err(error) = open(folder.path(), &bytes) {
            prop_assert!(!error.to_string().contains('\n'), "{}", error);
        }
    }

    #[test]
    fn noise_opens_or_is_refused_in_one_line(bytes in noise_after_a_start()) {
        let folder = tempfile::tempdir()?;
        if let Err(error) = open(folder.path(), &bytes) {
            prop_assert!(!error.to_string().contains('\n'), "{}", error);
        }
    }
}
