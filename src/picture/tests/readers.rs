//! Opening real files of every kind, and refusing what is not one, in words.

use std::fs;
use std::io::Cursor;
use std::path::{Path, PathBuf};

use image::{DynamicImage, ImageFormat, Rgb, RgbImage};
use staffage_picture::{
    Channels, Excess, Kind, Limits, Picture, PictureError, Pixels, Probe, Progress, Size, Stage,
    decode, probe,
};
use tempfile::TempDir;

const KINDS: [(Kind, ImageFormat); 7] = [
    (Kind::Png, ImageFormat::Png),
    (Kind::Jpeg, ImageFormat::Jpeg),
    (Kind::Tiff, ImageFormat::Tiff),
    (Kind::WebP, ImageFormat::WebP),
    (Kind::Tga, ImageFormat::Tga),
    (Kind::Bmp, ImageFormat::Bmp),
    (Kind::OpenExr, ImageFormat::OpenExr),
];

/// A folder that goes when the test ends.
struct Desk(TempDir);

impl Desk {
    fn new() -> Self {
        Self(tempfile::tempdir().unwrap())
    }

    fn file(&self, name: &str, bytes: &[u8]) -> PathBuf {
        let path = self.0.path().join(name);
        fs::write(&path, bytes).unwrap();
        path
    }
}

fn open(path: &Path) -> Result<Pixels, PictureError> {
    decode(path, &Limits::default(), &Progress::default())
}

/// Soft gradients, 61 × 47, which JPEG keeps nearly as they are.
fn gradients() -> RgbImage {
    RgbImage::from_fn(61, 47, |x, y| Rgb([4 * x as u8, 5 * y as u8, 128]))
}

fn encoded(image: &DynamicImage, format: ImageFormat) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    image.write_to(&mut bytes, format).unwrap();
    bytes.into_inner()
}

/// A file of `gradients`, for OpenEXR in linear light.
fn file_of_gradients(kind: Kind, format: ImageFormat) -> Vec<u8> {
    let image = DynamicImage::from(gradients());
    if kind != Kind::OpenExr {
        return encoded(&image, format);
    }
    let mut linear = image.into_rgb32f();
    for value in linear.iter_mut() {
        // IEC 61966-2-1, from encoded value to linear light.
        *value =
            if *value <= 0.040_45 { *value / 12.92 } else { ((*value + 0.055) / 1.055).powf(2.4) };
    }
    encoded(&linear.into(), format)
}

#[test]
fn every_kind_opens_and_shows_the_same_picture() {
    let desk = Desk::new();
    for (kind, format) in KINDS {
        let name = format!("painting.{}", format.extensions_str()[0]);
        let path = desk.file(&name, &file_of_gradients(kind, format));
        let size = Size { width: 61, height: 47 };
        assert_eq!(probe(&path).unwrap(), Probe { kind, size });
        let pixels = open(&path).unwrap();
        assert_eq!((pixels.size(), pixels.channels()), (size, Channels::Rgb), "{kind}");
        let tolerance = if kind == Kind::Jpeg { 12 } else { 0 };
        let drawn = gradients();
        let apart = pixels.samples().iter().zip(drawn.as_raw()).map(|(a, b)| a.abs_diff(*b));
        assert!(apart.max().unwrap() <= tolerance, "{kind}");
    }
}

#[test]
fn the_content_decides_whatever_the_name_says() {
    let desk = Desk::new();
    let jpeg = file_of_gradients(Kind::Jpeg, ImageFormat::Jpeg);
    assert_eq!(probe(&desk.file("painting.png", &jpeg)).unwrap().kind, Kind::Jpeg);
    assert_eq!(probe(&desk.file("painting", &jpeg)).unwrap().kind, Kind::Jpeg);
}

#[test]
fn deep_and_transparent_pictures_open_in_eight_bits() {
    let desk = Desk::new();
    let rgb = DynamicImage::from(gradients());
    let wide = DynamicImage::from(rgb.to_rgb16());
    let path = desk.file("wide.png", &encoded(&wide, ImageFormat::Png));
    assert_eq!(open(&path).unwrap().samples(), gradients().as_raw());

    let path = desk.file("wide.tif", &encoded(&wide, ImageFormat::Tiff));
    assert_eq!(open(&path).unwrap().samples(), gradients().as_raw());

    let mut veil = rgb.to_rgba8();
    veil.put_pixel(0, 0, image::Rgba([255, 100, 0, 128]));
    for format in [ImageFormat::Png, ImageFormat::WebP, ImageFormat::Tga, ImageFormat::Tiff] {
        let path = desk.file("veil.tga", &encoded(&veil.clone().into(), format));
        let pixels = open(&path).unwrap();
        assert_eq!(pixels.channels(), Channels::RgbaPremultiplied);
        assert_eq!(pixels.samples()[..4], [128, 50, 0, 128], "{format:?}");
    }

    let path = desk.file("grey.png", &encoded(&rgb.to_luma8().into(), ImageFormat::Png));
    assert_eq!(open(&path).unwrap().channels(), Channels::Grey);
}

/// An EXIF segment that holds nothing but an orientation (Exif 2.32, 4.5–4.6), for a JPEG.
fn exif_segment(orientation: u8) -> Vec<u8> {
    let mut segment =
        b"\xFF\xE1\x00\x22Exif\0\0MM\0*\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0".to_vec();
    segment.extend([orientation, 0, 0, 0, 0, 0, 0]);
    segment
}

#[test]
fn a_picture_taken_upright_is_seen_upright() {
    let desk = Desk::new();
    let mut bytes = file_of_gradients(Kind::Jpeg, ImageFormat::Jpeg);
    bytes.splice(2..2, exif_segment(6));
    let path = desk.file("upright.jpg", &bytes);
    let size = Size { width: 47, height: 61 };
    assert_eq!(probe(&path).unwrap().size, size);
    let pixels = open(&path).unwrap();
    assert_eq!(pixels.size(), size);
    // Orientation 6: the stored first row is seen as the right column, so green falls to the right.
    let green = |index: usize| pixels.samples()[index * 3 + 1];
    assert!(green(0) > 200 && green(46) < 30);
}

#[test]
fn half_a_file_of_any_kind_is_damaged() {
    let desk = Desk::new();
    for (kind, format) in KINDS {
        let bytes = file_of_gradients(kind, format);
        let name = format!("half.{}", format.extensions_str()[0]);
        let path = desk.file(&name, &bytes[..bytes.len() / 2]);
        let error = open(&path).unwrap_err();
        assert!(
            matches!(error, PictureError::Damaged { kind: said, .. } if said == kind),
            "{error}"
        );
        assert!(error.to_string().contains(&name), "{error}");
    }
}

#[test]
fn half_a_jpeg_is_an_error_and_no_grey_field() {
    let desk = Desk::new();
    let bytes = file_of_gradients(Kind::Jpeg, ImageFormat::Jpeg);
    for kept in [bytes.len() / 2, bytes.len() - 2] {
        let path = desk.file("half.jpg", &bytes[..kept]);
        let sentence = open(&path).unwrap_err().to_string();
        assert!(
            sentence.ends_with(
                "half.jpg is a damaged JPEG file (it ends before the picture is complete): \
                 save the painting again, or open a backup."
            ),
            "{sentence}"
        );
    }
}

#[test]
fn what_is_no_picture_is_refused_in_words() {
    let desk = Desk::new();
    let missing = desk.0.path().join("gone.png");
    assert!(matches!(open(&missing), Err(PictureError::Missing { .. })));
    assert!(matches!(open(desk.0.path()), Err(PictureError::Folder { .. })));
    let empty = desk.file("empty.png", b"");
    assert!(matches!(open(&empty), Err(PictureError::Empty { .. })));
    let text = desk.file("letter.png", b"Dear art lead, the dam is as high as a mountain.");
    assert!(matches!(open(&text), Err(PictureError::NotAPicture { .. })));
    assert!(matches!(probe(&text), Err(PictureError::NotAPicture { .. })));
    for path in [missing, empty, text] {
        let sentence = open(&path).unwrap_err().to_string();
        assert!(sentence.starts_with(&path.display().to_string()), "{sentence}");
        assert!(sentence.ends_with('.') && !sentence.contains('\n'), "{sentence}");
    }
}

/// CRC-32 as PNG uses it (PNG specification, annex D).
fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0, |crc, &byte| {
        (0..8).fold(crc ^ u32::from(byte), |crc, _| {
            (crc >> 1) ^ (0xEDB8_8320 & (crc & 1).wrapping_neg())
        })
    })
}

/// A PNG of a few bytes whose header claims `side` × `side` pixels.
fn bomb(side: u32) -> Vec<u8> {
    let mut header = b"IHDR".to_vec();
    header.extend([side.to_be_bytes(), side.to_be_bytes()].concat());
    header.extend([8, 2, 0, 0, 0]);
    let mut bytes = b"\x89PNG\r\n\x1a\n\x00\x00\x00\x0d".to_vec();
    bytes.extend(&header);
    bytes.extend(crc32(&header).to_be_bytes());
    bytes.extend(b"\x00\x00\x00\x00IDAT\x35\xAF\x06\x1E");
    bytes
}

#[test]
fn a_bomb_is_refused_with_its_size_and_the_limit() {
    let desk = Desk::new();
    let path = desk.file("bomb.png", &bomb(60_000));
    let error = open(&path).unwrap_err();
    let PictureError::TooLarge { excess: Excess::Pixels { size, max_pixels }, .. } = &error else {
        panic!("{error}");
    };
    assert_eq!((size.width, size.height, *max_pixels), (60_000, 60_000, 500_000_000));
    let sentence = error.to_string();
    assert!(sentence.contains("60,000 × 60,000 px") && sentence.contains("500.0"), "{sentence}");
    // Looking at it is harmless.
    assert_eq!(probe(&path).unwrap().size, Size { width: 60_000, height: 60_000 });
}

/// An OpenEXR file of `gradients` with the four numbers of a window attribute replaced. It has no
/// count of chunks, which files of one layer may leave out, to contradict them.
fn exr_with_window(name: &str, corners: [i32; 4]) -> Vec<u8> {
    let mut bytes = file_of_gradients(Kind::OpenExr, ImageFormat::OpenExr);
    let count = position_of(b"chunkCount", &bytes);
    bytes[count..][..10].copy_from_slice(b"chunkTally");
    let attribute = format!("{name}\0box2i\0\x10\0\0\0");
    let numbers = position_of(attribute.as_bytes(), &bytes) + attribute.len();
    bytes[numbers..][..16].copy_from_slice(&corners.map(i32::to_le_bytes).concat());
    bytes
}

fn position_of(sought: &[u8], bytes: &[u8]) -> usize {
    bytes.windows(sought.len()).position(|window| window == sought).expect("it is in the file")
}

#[test]
fn an_openexr_is_seen_through_its_display_window() {
    let desk = Desk::new();
    let path = desk.file("framed.exr", &exr_with_window("displayWindow", [-2, -1, 29, 46]));
    let size = Size { width: 32, height: 48 };
    assert_eq!(probe(&path).unwrap().size, size);
    let pixels = open(&path).unwrap();
    assert_eq!(pixels.size(), size);
    let pixel = |column: usize, row: usize| &pixels.samples()[(row * 32 + column) * 3..][..3];
    assert_eq!(pixel(1, 5), [0, 0, 0]);
    assert_eq!(pixel(5, 0), [0, 0, 0]);
    assert_eq!(pixel(31, 47), gradients().get_pixel(29, 46).0);
}

#[test]
fn an_openexr_that_claims_a_vast_window_is_refused() {
    let desk = Desk::new();
    for name in ["dataWindow", "displayWindow"] {
        let path = desk.file("vast.exr", &exr_with_window(name, [0, 0, 600_000_000, 46]));
        let error = open(&path).unwrap_err();
        assert!(matches!(error, PictureError::TooLarge { .. }), "{error}");
    }
}

#[test]
fn limits_are_the_callers() {
    let desk = Desk::new();
    let bytes = file_of_gradients(Kind::Png, ImageFormat::Png);
    let path = desk.file("painting.png", &bytes);
    let refused = |limits: Limits| match decode(&path, &limits, &Progress::default()) {
        Err(PictureError::TooLarge { excess, .. }) => excess,
        other => panic!("{other:?}"),
    };
    let few_pixels = Limits { max_pixels: 61 * 47 - 1, ..Limits::default() };
    assert!(matches!(refused(few_pixels), Excess::Pixels { .. }));
    let few_bytes = Limits { max_bytes: 61 * 47 * 3 - 1, ..Limits::default() };
    assert!(matches!(refused(few_bytes), Excess::Memory { .. }));
    let short_file = Limits { max_bytes: bytes.len() as u64 - 1, ..Limits::default() };
    assert!(matches!(refused(short_file), Excess::File { .. }));
}

#[test]
fn loading_tells_how_far_it_is_and_can_be_cancelled() {
    let desk = Desk::new();
    for (kind, format) in KINDS {
        let name = format!("painting.{}", format.extensions_str()[0]);
        let path = desk.file(&name, &file_of_gradients(kind, format));
        let progress = Progress::default();
        let load = || Picture::load(&path, &Limits::default(), 64, &progress);
        let picture = load().unwrap();
        assert_eq!(picture.size(), Size { width: 61, height: 47 });
        assert_eq!(progress.stage(), Stage::Done);
        assert!(progress.fraction_read() > 0.5, "{kind}");
        progress.cancel();
        assert!(matches!(load(), Err(PictureError::Cancelled { .. })), "{kind}");
    }
}
