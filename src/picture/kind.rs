//! Telling what kind of picture file this is, by its content.

use std::ffi::OsStr;
use std::fmt;
use std::io::{self, Read, Seek, SeekFrom};

use image::ImageFormat;

/// A kind of picture file that can be opened.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Kind {
    /// Portable Network Graphics.
    Png,
    /// JPEG.
    Jpeg,
    /// Tagged Image File Format.
    Tiff,
    /// WebP.
    WebP,
    /// Truevision TGA.
    Tga,
    /// Windows bitmap.
    Bmp,
    /// OpenEXR.
    OpenExr,
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Png => "PNG",
            Self::Jpeg => "JPEG",
            Self::Tiff => "TIFF",
            Self::WebP => "WebP",
            Self::Tga => "TGA",
            Self::Bmp => "BMP",
            Self::OpenExr => "OpenEXR",
        })
    }
}

impl Kind {
    pub(crate) fn format(self) -> ImageFormat {
        match self {
            Self::Png => ImageFormat::Png,
            Self::Jpeg => ImageFormat::Jpeg,
            Self::Tiff => ImageFormat::Tiff,
            Self::WebP => ImageFormat::WebP,
            Self::Tga => ImageFormat::Tga,
            Self::Bmp => ImageFormat::Bmp,
            Self::OpenExr => ImageFormat::OpenExr,
        }
    }

    fn from_format(format: ImageFormat) -> Option<Self> {
        match format {
            ImageFormat::Png => Some(Self::Png),
            ImageFormat::Jpeg => Some(Self::Jpeg),
            ImageFormat::Tiff => Some(Self::Tiff),
            ImageFormat::WebP => Some(Self::WebP),
            ImageFormat::Tga => Some(Self::Tga),
            ImageFormat::Bmp => Some(Self::Bmp),
            ImageFormat::OpenExr => Some(Self::OpenExr),
            _ => None,
        }
    }

    /// The kind of the file in `reader`, which is left at its start; None if it is none of ours.
    ///
    /// The content decides. TGA alone has nothing to know it by at its start: it is recognised by
    /// the footer of its second version, or else by the file's `extension`.
    pub(crate) fn detect(
        reader: &mut (impl Read + Seek),
        extension: Option<&OsStr>,
    ) -> io::Result<Option<Self>> {
        let mut head = Vec::with_capacity(16);
        reader.by_ref().take(16).read_to_end(&mut head)?;
        let by_head = image::guess_format(&head).ok().and_then(Self::from_format);
        let kind = match by_head {
            Some(kind) => Some(kind),
            None if has_tga_extension(extension) || has_tga_footer(reader)? => Some(Self::Tga),
            None => None,
        };
        reader.rewind()?;
        Ok(kind)
    }
}

fn has_tga_extension(extension: Option<&OsStr>) -> bool {
    extension.is_some_and(|extension| extension.eq_ignore_ascii_case("tga"))
}

/// The signature that closes a file of TGA version 2 (Truevision TGA File Format Specification 2.0).
const TGA_SIGNATURE: &[u8; 18] = b"TRUEVISION-XFILE.\0";

fn has_tga_footer(reader: &mut (impl Read + Seek)) -> io::Result<bool> {
    let length = reader.seek(SeekFrom::End(0))?;
    let Some(start) = length.checked_sub(TGA_SIGNATURE.len() as u64) else { return Ok(false) };
    reader.seek(SeekFrom::Start(start))?;
    let mut tail = [0; TGA_SIGNATURE.len()];
    reader.read_exact(&mut tail)?;
    Ok(&tail == TGA_SIGNATURE)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    fn detect(bytes: &[u8], extension: &str) -> Option<Kind> {
        let mut reader = Cursor::new(bytes);
        let kind = Kind::detect(&mut reader, Some(extension.as_ref())).unwrap();
        assert_eq!(reader.position(), 0);
        kind
    }

    #[test]
    fn content_outweighs_the_extension() {
        assert_eq!(detect(b"\xff\xd8\xff\xe0 and so on", "png"), Some(Kind::Jpeg));
        assert_eq!(detect(b"\x89PNG\r\n\x1a\n", "tga"), Some(Kind::Png));
        assert_eq!(detect(b"once upon a time", "png"), None);
        assert_eq!(detect(b"GIF89a", "gif"), None);
    }

    #[test]
    fn tga_is_known_by_its_footer_or_its_extension() {
        let mut bytes = vec![0; 30];
        assert_eq!(detect(&bytes, "TGA"), Some(Kind::Tga));
        assert_eq!(detect(&bytes, "dat"), None);
        bytes.extend_from_slice(TGA_SIGNATURE);
        assert_eq!(detect(&bytes, "dat"), Some(Kind::Tga));
    }

    #[test]
    fn a_very_short_file_is_of_no_kind() {
        assert_eq!(detect(b"", "png"), None);
        assert_eq!(detect(b"\x89P", "png"), None);
    }
}
