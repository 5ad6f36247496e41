//! Why a picture could not be opened, in words for the person who tried.

use std::fmt;
use std::io;
use std::path::{Path, PathBuf};

use crate::kind::Kind;
use crate::pixels::Size;

/// Why a picture could not be opened. Displayed as one sentence: what, where and what to do.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PictureError {
    /// There is nothing at this path.
    #[error("{} is not there: it may have been moved or renamed; open it from where it is now.", path.display())]
    Missing {
        /// Where it was looked for.
        path: PathBuf,
    },
    /// The path leads to a folder.
    #[error("{} is a folder: choose a picture file inside it.", path.display())]
    Folder {
        /// The folder.
        path: PathBuf,
    },
    /// The operating system refuses to open the file.
    #[error("{} may not be read with your permissions: change them, or copy the file to a folder of your own.", path.display())]
    NoPermission {
        /// The file.
        path: PathBuf,
    },
    /// Reading failed for another reason, as when a network drive goes away.
    #[error("{} could not be read ({source}): check the disk or the network and open it again.", path.display())]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What the operating system said.
        source: io::Error,
    },
    /// The file has no content.
    #[error("{} is empty (0 bytes): save the painting again, or open a backup.", path.display())]
    Empty {
        /// The file.
        path: PathBuf,
    },
    /// The content is of no kind that can be read here, whatever the name says.
    #[error("{} is not a picture that can be opened: export it as PNG, JPEG, TIFF, WebP, TGA, BMP or OpenEXR.", path.display())]
    NotAPicture {
        /// The file.
        path: PathBuf,
    },
    /// The kind can be read, but not with the features this file uses.
    #[error("{} is a {kind} file of a sort that cannot be opened ({reason}): export it again with plainer settings, or as PNG.", path.display())]
    Unsupported {
        /// The file.
        path: PathBuf,
        /// Its kind.
        kind: Kind,
        /// What the reader of that kind said.
        reason: String,
    },
    /// The file ends too early or contradicts itself.
    #[error("{} is a damaged {kind} file ({reason}): save the painting again, or open a backup.", path.display())]
    Damaged {
        /// The file.
        path: PathBuf,
        /// Its kind.
        kind: Kind,
        /// What the reader of that kind said.
        reason: String,
    },
    /// The picture exceeds the limits, or the memory there is.
    #[error("{} is too large to open: {excess}; save it smaller.", path.display())]
    TooLarge {
        /// The file.
        path: PathBuf,
        /// What exceeds what.
        excess: Excess,
    },
    /// Loading was cancelled.
    #[error("Opening {} was cancelled: open it again when you need it.", path.display())]
    Cancelled {
        /// The file.
        path: PathBuf,
    },
}

impl PictureError {
    /// Sorts what the operating system said about opening or reading `path`.
    pub(crate) fn from_io(path: &Path, source: io::Error) -> Self {
        let path = path.to_path_buf();
        match source.kind() {
            io::ErrorKind::NotFound | io::ErrorKind::NotADirectory => Self::Missing { path },
            io::ErrorKind::IsADirectory => Self::Folder { path },
            io::ErrorKind::PermissionDenied => Self::NoPermission { path },
            _ => Self::Unreadable { path, source },
        }
    }
}

/// What about a picture is too large, and the limit it passes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Excess {
    /// More pixels than [`Limits::max_pixels`](crate::Limits::max_pixels).
    Pixels {
        /// What the file says its size is.
        size: Size,
        /// The limit.
        max_pixels: u64,
    },
    /// More bytes of decoded samples than [`Limits::max_bytes`](crate::Limits::max_bytes).
    Memory {
        /// What the file says its size is.
        size: Size,
        /// Bytes of its decoded samples.
        bytes: u64,
        /// The limit.
        max_bytes: u64,
    },
    /// A file on the disk longer than [`Limits::max_bytes`](crate::Limits::max_bytes).
    File {
        /// Length of the file.
        bytes: u64,
        /// The limit.
        max_bytes: u64,
    },
    /// More bytes than [`Limits::max_bytes`](crate::Limits::max_bytes) for the decoder to work with.
    Work {
        /// The limit.
        max_bytes: u64,
    },
    /// Within the limits, but the machine has not that much memory free.
    Machine {
        /// What the file says its size is.
        size: Size,
    },
}

impl fmt::Display for Excess {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mega = |count: u64| count as f64 / 1e6;
        match self {
            Self::Pixels { size, max_pixels } => write!(
                f,
                "{size} px is {:.1} megapixels and the limit is {:.1}",
                mega(size.pixels()),
                mega(*max_pixels)
            ),
            Self::Memory { size, bytes, max_bytes } => write!(
                f,
                "{size} px at this depth takes {:.1} MB and the limit is {:.1}",
                mega(*bytes),
                mega(*max_bytes)
            ),
            Self::File { bytes, max_bytes } => write!(
                f,
                "the file has {:.1} MB and the limit is {:.1}",
                mega(*bytes),
                mega(*max_bytes)
            ),
            Self::Work { max_bytes } => {
                write!(
                    f,
                    "decoding it takes more memory than the limit of {:.1} MB",
                    mega(*max_bytes)
                )
            }
            Self::Machine { size } => {
                write!(f, "{size} px needs more memory than this machine has free")
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn refusals_of_the_operating_system_are_told_apart() {
        let sort = |kind: io::ErrorKind| PictureError::from_io("a.png".as_ref(), kind.into());
        use io::ErrorKind::*;
        assert!(matches!(sort(NotFound), PictureError::Missing { .. }));
        assert!(matches!(sort(IsADirectory), PictureError::Folder { .. }));
        assert!(matches!(sort(PermissionDenied), PictureError::NoPermission { .. }));
        assert!(matches!(sort(TimedOut), PictureError::Unreadable { .. }));
    }

    #[test]
    fn too_large_names_the_size_and_the_limit() {
        let size = Size { width: 60_000, height: 60_000 };
        let excess = Excess::Pixels { size, max_pixels: 500_000_000 };
        let error = PictureError::TooLarge { path: "bomb.png".into(), excess };
        assert_eq!(
            error.to_string(),
            "bomb.png is too large to open: 60,000 × 60,000 px is 3600.0 megapixels \
             and the limit is 500.0; save it smaller."
        );
    }
}
