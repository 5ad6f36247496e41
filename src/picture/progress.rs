//! Watching and cancelling the loading of a picture from another thread.

use std::io::{self, Read, Seek, SeekFrom};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU8, AtomicU64, Ordering};

/// What a thread that loads a picture shares with those who wait for it. Clones share; each loading
/// wants one of its own.
#[derive(Clone, Debug, Default)]
pub struct Progress(Arc<Shared>);

// Every field stands alone and orders nothing else, so relaxed access is enough throughout.
#[derive(Debug, Default)]
struct Shared {
    cancelled: AtomicBool,
    stage: AtomicU8,
    read: AtomicU64,
    length: AtomicU64,
}

/// How far loading has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// Looking at the file's header.
    Opening,
    /// Reading and decoding: much the longest.
    Decoding,
    /// Halving the picture again and again for the distant views.
    Halving,
    /// The picture is there.
    Done,
}

impl Progress {
    /// Asks the loading thread to give up; it returns
    /// [`PictureError::Cancelled`](crate::PictureError::Cancelled) at its next opportunity.
    ///
    /// That is the next piece of the file read, or the end of a stage. Readers that take in the
    /// whole file before they decode it (JPEG) finish decoding first.
    pub fn cancel(&self) {
        self.0.cancelled.store(true, Ordering::Relaxed);
    }

    /// Whether anyone asked to give up.
    pub fn is_cancelled(&self) -> bool {
        self.0.cancelled.load(Ordering::Relaxed)
    }

    /// The stage reached.
    pub fn stage(&self) -> Stage {
        match self.0.stage.load(Ordering::Relaxed) {
            0 => Stage::Opening,
            1 => Stage::Decoding,
            2 => Stage::Halving,
            _ => Stage::Done,
        }
    }

    /// Share of the file read so far, 0 to 1; 0 before its length is known.
    pub fn fraction_read(&self) -> f32 {
        let length = self.0.length.load(Ordering::Relaxed);
        let read = self.0.read.load(Ordering::Relaxed);
        if length == 0 { 0.0 } else { (read as f32 / length as f32).min(1.0) }
    }

    pub(crate) fn enter(&self, stage: Stage) {
        self.0.stage.store(stage as u8, Ordering::Relaxed);
    }

    pub(crate) fn expect_length(&self, bytes: u64) {
        self.0.length.store(bytes, Ordering::Relaxed);
    }
}

/// A reader that reports its furthest position and fails once its loading is cancelled.
pub(crate) struct Watched<R> {
    inner: R,
    position: u64,
    progress: Progress,
}

impl<R> Watched<R> {
    /// Watches `inner`, which stands at its start.
    pub(crate) fn new(inner: R, progress: Progress) -> Self {
        Self { inner, position: 0, progress }
    }
}

impl<R: Read> Read for Watched<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.progress.is_cancelled() {
            return Err(io::Error::other("cancelled"));
        }
        let count = self.inner.read(buffer)?;
        self.position += count as u64;
        self.progress.0.read.fetch_max(self.position, Ordering::Relaxed);
        Ok(count)
    }
}

impl<R: Seek> Seek for Watched<R> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.position = self.inner.seek(to)?;
        Ok(self.position)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    #[test]
    fn reading_moves_the_fraction_and_cancelling_stops_it() {
        let progress = Progress::default();
        let mut reader = Watched::new(Cursor::new([0; 100]), progress.clone());
        assert_eq!(progress.fraction_read(), 0.0);
        progress.expect_length(100);
        reader.read_exact(&mut [0; 50]).unwrap();
        assert_eq!(progress.fraction_read(), 0.5);
        reader.rewind().unwrap();
        reader.read_exact(&mut [0; 10]).unwrap();
        assert_eq!(progress.fraction_read(), 0.5);
        progress.cancel();
        assert!(reader.read(&mut [0; 10]).is_err());
    }

    #[test]
    fn stages_survive_the_way_to_the_other_thread() {
        let progress = Progress::default();
        assert_eq!(progress.stage(), Stage::Opening);
        for stage in [Stage::Decoding, Stage::Halving, Stage::Done] {
            progress.enter(stage);
            assert_eq!(progress.stage(), stage);
        }
    }
}
