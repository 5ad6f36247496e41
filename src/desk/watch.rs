//! Notices that the painting's file was saved again. Looks at the file's size and date now and then,
//! which also works on the network drives where change notices get lost.

use egui::Context;
use std::fs::Metadata;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread;
use std::time::{Duration, SystemTime};

/// Time from one look to the next: a save is noticed after two, and is to be seen within a second.
const EVERY: Duration = Duration::from_millis(150);
/// Looks after which a file that is gone is not just being replaced.
const GONE_FOR: u32 = 7;

/// What became of a file that is watched.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Change {
    /// It was written.
    Written,
    /// It is not there any more.
    Gone,
}

/// Watches one file until it is dropped.
pub(crate) struct Watch {
    path: PathBuf,
    changes: Receiver<Change>,
    /// The thread ends when this is gone.
    _alive: Sender<()>,
}

impl Watch {
    /// Watches a file; the window is woken when it has changed.
    pub(crate) fn start(ctx: &Context, path: &Path) -> Self {
        let (tell, changes) = channel();
        let (alive, gone) = channel();
        let (ctx, watched) = (ctx.clone(), path.to_path_buf());
        thread::spawn(move || {
            let mut settling = Settling::new(stamp(&watched));
            while gone.recv_timeout(EVERY) == Err(RecvTimeoutError::Timeout) {
                let Some(change) = settling.look(stamp(&watched)) else { continue };
                tracing::debug!(path = %watched.display(), ?change, "the painting's file changed");
                if tell.send(change).is_err() {
                    return;
                }
                ctx.request_repaint();
            }
        });
        Self { path: path.to_path_buf(), changes, _alive: alive }
    }

    /// The file that is watched.
    pub(crate) fn path(&self) -> &Path {
        &self.path
    }

    /// What became of the file since this was last asked.
    pub(crate) fn change(&self) -> Option<Change> {
        self.changes.try_iter().last()
    }
}

/// What tells one state of a file from another, if it is there: size, date, and which file it is, since one that
/// was moved into its place can have the size and the date of the one before.
type Stamp = Option<(u64, SystemTime, u64)>;

fn stamp(path: &Path) -> Stamp {
    let found = path.metadata().ok()?;
    Some((found.len(), found.modified().ok()?, number(&found)))
}

#[cfg(unix)]
fn number(found: &Metadata) -> u64 {
    std::os::unix::fs::MetadataExt::ino(found)
}

#[cfg(not(unix))]
fn number(_: &Metadata) -> u64 {
    0
}

/// Tells a finished save from one that is still being written.
struct Settling {
    known: Stamp,
    last: Stamp,
    /// How often it was not there, one look after the other.
    missed: u32,
}

impl Settling {
    fn new(stamp: Stamp) -> Self {
        Self { known: stamp, last: stamp, missed: 0 }
    }

    /// What became of the file: another one than before that was the same in two looks, or none for
    /// so long that it is not on its way to being replaced.
    fn look(&mut self, now: Stamp) -> Option<Change> {
        let settled = now == self.last;
        self.last = now;
        self.missed = if now.is_none() { self.missed.saturating_add(1) } else { 0 };
        let change = match now {
            Some(_) if settled && now != self.known => Change::Written,
            None if self.missed >= GONE_FOR && self.known.is_some() => Change::Gone,
            _ => return None,
        };
        self.known = now;
        Some(change)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(seconds: u64, size: u64) -> Stamp {
        Some((size, SystemTime::UNIX_EPOCH + Duration::from_secs(seconds), 1))
    }

    #[test]
    fn a_save_is_noticed_once_it_stands_still() {
        let mut settling = Settling::new(at(1, 100));
        assert_eq!(settling.look(at(1, 100)), None);
        assert_eq!(settling.look(at(5, 20)), None, "it may still be written");
        assert_eq!(settling.look(at(5, 80)), None);
        assert_eq!(settling.look(at(5, 80)), Some(Change::Written));
        assert_eq!(settling.look(at(5, 80)), None, "once is enough");
    }

    #[test]
    fn a_file_that_is_replaced_is_noticed_and_one_that_is_briefly_gone_is_not() {
        let mut settling = Settling::new(at(1, 100));
        assert_eq!(settling.look(None), None);
        assert_eq!(settling.look(None), None);
        assert_eq!(settling.look(at(9, 100)), None);
        assert_eq!(settling.look(at(9, 100)), Some(Change::Written));
    }

    #[test]
    fn another_file_of_the_same_size_and_date_is_noticed() {
        let mut settling = Settling::new(at(1, 100));
        let moved = at(1, 100).map(|(size, date, _)| (size, date, 2));
        assert_eq!(settling.look(moved), None);
        assert_eq!(settling.look(moved), Some(Change::Written));
    }

    #[test]
    fn a_file_that_stays_away_is_told_of_once_and_noticed_when_it_is_back() {
        let mut settling = Settling::new(at(1, 100));
        let told: Vec<_> = (0..30).filter_map(|_| settling.look(None)).collect();
        assert_eq!(told, [Change::Gone]);
        assert_eq!(settling.look(at(1, 100)), None);
        assert_eq!(settling.look(at(1, 100)), Some(Change::Written));
    }
}
