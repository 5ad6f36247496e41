//! Any bytes are refused or read as a picture, within the limits.
#![no_main]

use libfuzzer_sys::fuzz_target;
use staffage_picture::{Limits, Progress, decode};
use std::io::Write;

fuzz_target!(|bytes: &[u8]| {
    let mut file = tempfile::NamedTempFile::new().expect("a temporary file");
    file.write_all(bytes).expect("room for a temporary file");
    let limits = Limits { max_pixels: 1 << 20, max_bytes: 64 << 20 };
    if let Ok(pixels) = decode(file.path(), &limits, &Progress::default()) {
        assert!(pixels.size().pixels() <= limits.max_pixels);
    }
});
