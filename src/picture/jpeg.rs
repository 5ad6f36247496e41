//! Whether a JPEG file is whole.

use std::io::{self, BufRead, Seek};

const END_OF_IMAGE: u8 = 0xD9;

/// Whether the JPEG stream in `reader` reaches its end-of-image marker.
///
/// The decoder fills what is missing from a cut-off JPEG with grey and reports success; this tells
/// it from a whole one. Markers and their lengths are those of ITU-T T.81, annex B. Segments are
/// skipped by their length, so that the end of a thumbnail inside one is not taken for the end of
/// the picture.
pub(crate) fn is_whole(reader: &mut (impl BufRead + Seek)) -> io::Result<bool> {
    while let Some(marker) = next_marker(reader)? {
        match marker {
            END_OF_IMAGE => return Ok(true),
            marker if stands_alone(marker) => {}
            _ => {
                let mut length = [0; 2];
                if let Err(error) = reader.read_exact(&mut length) {
                    return if is_end(&error) { Ok(false) } else { Err(error) };
                }
                // The length counts its own two bytes.
                reader.seek_relative(i64::from(u16::from_be_bytes(length)).max(2) - 2)?;
            }
        }
    }
    Ok(false)
}

/// The code of the next marker, past entropy-coded data and fill bytes; None at the file's end.
fn next_marker(reader: &mut impl BufRead) -> io::Result<Option<u8>> {
    reader.skip_until(0xFF)?;
    loop {
        let Some(&code) = reader.fill_buf()?.first() else { return Ok(None) };
        reader.consume(1);
        if code != 0xFF {
            return Ok(Some(code));
        }
    }
}

/// Codes after 0xFF that no segment follows: a stuffed zero, TEM, restarts and the start of image.
fn stands_alone(code: u8) -> bool {
    matches!(code, 0x00 | 0x01 | 0xD0..=0xD8)
}

fn is_end(error: &io::Error) -> bool {
    error.kind() == io::ErrorKind::UnexpectedEof
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    fn whole(bytes: &[u8]) -> bool {
        is_whole(&mut Cursor::new(bytes)).unwrap()
    }

    #[test]
    fn the_end_marker_must_come_after_the_scan() {
        let scan = b"\xFF\xD8\xFF\xDA\x00\x03\x01entropy\xFF\x00coded\xFF\xD0data\xFF\xFF\xD9";
        assert!(whole(scan));
        assert!(!whole(&scan[..scan.len() - 1]));
        assert!(!whole(&scan[..scan.len() - 8]));
        assert!(!whole(b""));
    }

    #[test]
    fn the_end_of_a_thumbnail_is_not_the_end_of_the_picture() {
        let with_thumbnail = b"\xFF\xD8\xFF\xE1\x00\x06\xFF\xD8\xFF\xD9\xFF\xDA\x00\x02data";
        assert!(!whole(with_thumbnail));
    }

    #[test]
    fn a_segment_cut_off_in_its_length_is_not_whole() {
        assert!(!whole(b"\xFF\xD8\xFF\xE1\x00"));
        assert!(!whole(b"\xFF\xD8\xFF\xE1\xFF\xFFshort"));
    }
}
