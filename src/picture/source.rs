//! An open picture file, and words for what is wrong with it.

use std::fs::{self, File};
use std::hint::black_box;
use std::io::{self, BufReader, Seek};
use std::path::{Path, PathBuf};

use image::{ColorType, ImageDecoder, ImageError, ImageReader};

use crate::error::{Excess, PictureError};
use crate::jpeg;
use crate::kind::Kind;
use crate::limits::Limits;
use crate::one_component::Parted;
use crate::pixels::Size;
use crate::progress::{Progress, Stage, Watched};

/// Where a picture comes from and what it may take.
pub(crate) struct Source<'a> {
    pub(crate) path: &'a Path,
    pub(crate) kind: Kind,
    pub(crate) limits: &'a Limits,
    pub(crate) progress: &'a Progress,
}

pub(crate) type Reader = BufReader<Watched<File>>;

/// Pixels of a picture whose memory is worth some pains.
const LARGE: u64 = 1 << 22;
/// Large enough that looking for cancellation and reporting progress at every read cost nothing.
const READ_AHEAD: usize = 1 << 16;

/// Opens the file at `path` and finds out its kind; the reader stands at its start.
pub(crate) fn open<'a>(
    path: &'a Path,
    limits: &'a Limits,
    progress: &'a Progress,
) -> Result<(Source<'a>, Reader), PictureError> {
    let (file, length) = open_file(path)?;
    limits
        .check_file(length)
        .map_err(|excess| PictureError::TooLarge { path: path.to_path_buf(), excess })?;
    progress.expect_length(length);
    let watched = Watched::new(file, progress.clone());
    let mut reader = BufReader::with_capacity(READ_AHEAD, watched);
    let kind = Kind::detect(&mut reader, path.extension())
        .map_err(|error| io_or_cancelled(path, progress, error))?
        .ok_or_else(|| PictureError::NotAPicture { path: path.to_path_buf() })?;
    Ok((Source { path, kind, limits, progress }, reader))
}

/// The file at `path`, which is one and has content, and its length in bytes.
fn open_file(path: &Path) -> Result<(File, u64), PictureError> {
    let from_io = |error| PictureError::from_io(path, error);
    // Asked before opening: to open a pipe is to wait for someone who writes to it.
    let metadata = fs::metadata(path).map_err(from_io)?;
    if metadata.is_dir() {
        return Err(PictureError::Folder { path: path.to_path_buf() });
    }
    if !metadata.is_file() {
        return Err(PictureError::NotAPicture { path: path.to_path_buf() });
    }
    let file = File::open(path).map_err(from_io)?;
    if metadata.len() == 0 {
        return Err(PictureError::Empty { path: path.to_path_buf() });
    }
    Ok((file, metadata.len()))
}

fn io_or_cancelled(path: &Path, progress: &Progress, error: io::Error) -> PictureError {
    if progress.is_cancelled() {
        PictureError::Cancelled { path: path.to_path_buf() }
    } else {
        PictureError::from_io(path, error)
    }
}

impl Source<'_> {
    /// A decoder that has read the file's header.
    pub(crate) fn decoder(
        &self,
        reader: Reader,
    ) -> Result<impl ImageDecoder + 'static, PictureError> {
        let mut reader = ImageReader::with_format(reader, self.kind.format());
        let mut bounds = image::Limits::no_limits();
        bounds.max_alloc = Some(self.limits.max_bytes);
        reader.limits(bounds);
        reader.into_decoder().map_err(|error| self.explain(error))
    }

    /// The samples of a picture of this size, so many bytes, in the decoder's layout.
    pub(crate) fn samples(
        &self,
        decoder: impl ImageDecoder,
        size: Size,
        bytes: usize,
    ) -> Result<Vec<u8>, PictureError> {
        self.progress.enter(Stage::Decoding);
        let colours = decoder.color_type() == ColorType::Rgb8;
        let raw = match colours.then(|| self.in_parts(size)).flatten() {
            Some(raw) => raw,
            None => {
                let mut raw = vec![0; bytes];
                decoder.read_image(&mut raw).map_err(|error| self.explain(error))?;
                raw
            }
        };
        self.stop_if_cancelled()?;
        Ok(raw)
    }

    /// The samples of a large progressive JPEG with whole colours, decoded one component at a time, so that it takes
    /// no more memory than others do; None for any other picture, and where something is amiss: it is for the plain
    /// way to decode it, or to say what is wrong.
    fn in_parts(&self, size: Size) -> Option<Vec<u8>> {
        if self.kind != Kind::Jpeg || size.pixels() <= LARGE {
            return None;
        }
        let file = fs::read(self.path).ok()?;
        let parted = Parted::of(&file)?;
        let is_it = size == Size { width: parted.width.into(), height: parted.height.into() };
        is_it.then(|| parted.decode(&|| self.progress.is_cancelled())).flatten()
    }

    /// Refuses a JPEG file that ends before its picture does; leaves `reader` at its start.
    pub(crate) fn refuse_cut_off_jpeg(&self, reader: &mut Reader) -> Result<(), PictureError> {
        let whole = jpeg::is_whole(reader)
            .and_then(|whole| reader.rewind().map(|()| whole))
            .map_err(|error| io_or_cancelled(self.path, self.progress, error))?;
        if whole { Ok(()) } else { Err(self.damaged(ENDS_EARLY)) }
    }

    /// The number of bytes that samples of a picture of `size` take, if the limits and the machine
    /// allow so many and there are any.
    pub(crate) fn room_for(&self, size: Size, bytes: u64) -> Result<usize, PictureError> {
        if size.pixels() == 0 {
            return Err(self.damaged("it has no pixels"));
        }
        self.limits.check(size, bytes).map_err(|excess| self.too_large(excess))?;
        let no_room = || self.too_large(Excess::Machine { size });
        let bytes = usize::try_from(bytes).map_err(|_| no_room())?;
        // `vec!` gets pages that are zero already but ends the program when there are none; so the
        // question is put first in a way that can be answered with no. The black box keeps the
        // compiler from answering it itself, since nothing uses what is reserved.
        let mut trial = Vec::<u8>::new();
        trial.try_reserve_exact(bytes).map_err(|_| no_room())?;
        black_box(&trial);
        Ok(bytes)
    }

    pub(crate) fn stop_if_cancelled(&self) -> Result<(), PictureError> {
        if self.progress.is_cancelled() { Err(self.cancelled()) } else { Ok(()) }
    }

    /// Sorts what a decoder said.
    pub(crate) fn explain(&self, error: ImageError) -> PictureError {
        match error {
            _ if self.progress.is_cancelled() => self.cancelled(),
            ImageError::IoError(error) => self.explain_io(error),
            ImageError::Limits(_) => {
                self.too_large(Excess::Work { max_bytes: self.limits.max_bytes })
            }
            ImageError::Unsupported(error) => self.unsupported(reason_of(&error)),
            error => self.damaged(reason_of(&error)),
        }
    }

    /// Decoders report what they find amiss in the content as errors of reading, too.
    pub(crate) fn explain_io(&self, error: io::Error) -> PictureError {
        match error.kind() {
            io::ErrorKind::UnexpectedEof => self.damaged(ENDS_EARLY),
            io::ErrorKind::OutOfMemory => {
                self.too_large(Excess::Work { max_bytes: self.limits.max_bytes })
            }
            io::ErrorKind::InvalidData | io::ErrorKind::InvalidInput | io::ErrorKind::Other => {
                self.damaged(error.to_string())
            }
            _ => PictureError::from_io(self.path, error),
        }
    }

    pub(crate) fn cancelled(&self) -> PictureError {
        PictureError::Cancelled { path: self.path_buf() }
    }

    pub(crate) fn too_large(&self, excess: Excess) -> PictureError {
        PictureError::TooLarge { path: self.path_buf(), excess }
    }

    pub(crate) fn unsupported(&self, reason: impl Into<String>) -> PictureError {
        PictureError::Unsupported { path: self.path_buf(), kind: self.kind, reason: reason.into() }
    }

    pub(crate) fn damaged(&self, reason: impl Into<String>) -> PictureError {
        PictureError::Damaged { path: self.path_buf(), kind: self.kind, reason: reason.into() }
    }

    fn path_buf(&self) -> PathBuf {
        self.path.to_path_buf()
    }
}

const ENDS_EARLY: &str = "it ends before the picture is complete";

/// The innermost cause: the outer ones only repeat the kind of file.
fn reason_of(error: &(dyn std::error::Error + 'static)) -> String {
    let mut innermost = error;
    while let Some(source) = innermost.source() {
        innermost = source;
    }
    innermost.to_string().trim_end_matches('.').to_owned()
}
