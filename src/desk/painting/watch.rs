//! Notices that the painting's file was saved again. Looks at the file's size and date now and then,
//! which also works on the network drives where change notices get lost.

use egui::Context;
use std::fs::Metadata;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread;
use std::time::{Duration, SystemTime};

/// Time from one look to the next: a save is noticed after two, and is to be seen within a second.
const EVERY: Duration = Duration::from_millis(100);
/// Looks after which a file that is gone is not just being replaced.
const GONE_FOR: u32 = 10;

/// Dates that are whole seconds may be those of a disk that tells no more (some network drives, memory cards):
/// what is written within so long of the date can have the date of what was read.
const COARSE: Duration = Duration::from_millis(2500);

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
    /// States of the file that were read; the thread ends when this is gone.
    read: Sender<Stamp>,
}

impl Watch {
    /// Watches a file; the window is woken when it has changed.
    pub(crate) fn start(ctx: &Context, path: &Path) -> Self {
        let (tell, changes) = channel();
        let (read, was_read) = channel();
        let (ctx, watched) = (ctx.clone(), path.to_path_buf());
        thread::spawn(move || {
            let mut settling = Settling::new(Stamp::of(&watched));
            loop {
                match was_read.recv_timeout(EVERY) {
                    // Two looks are never closer than that: a file is settled that stood still between them.
                    Ok(stamp) => {
                        settling.known = stamp;
                        continue;
                    }
                    Err(RecvTimeoutError::Disconnected) => return,
                    Err(RecvTimeoutError::Timeout) => {}
                }
                let change = settling.look(Stamp::of(&watched), SystemTime::now());
                let Some(change) = change else { continue };
                tracing::debug!(path = %watched.display(), ?change, "a file that is watched changed");
                if tell.send(change).is_err() {
                    return;
                }
                ctx.request_repaint();
            }
        });
        Self { path: path.to_path_buf(), changes, read }
    }

    /// The file that is watched.
    pub(crate) fn path(&self) -> &Path {
        &self.path
    }

    /// What became of the file since this was last asked.
    pub(crate) fn change(&self) -> Option<Change> {
        self.changes.try_iter().last()
    }

    /// The file was read when it was so: if it is not so any more, it has changed, however short the time.
    pub(crate) fn was_read(&self, stamp: Stamp) {
        self.read.send(stamp).ok();
    }
}

/// What tells one state of a file from another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Stamp(Option<State>);

/// The state of a file that is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct State {
    size: u64,
    written: SystemTime,
    /// Which file it is, and when anything about it changed: one that was moved into its place can have the size and
    /// the date of the one before, and so can one that was written with its date kept.
    identity: (u64, i64, i64),
}

impl Stamp {
    /// That of the file at this path as it is now. Asks the disk.
    pub(crate) fn of(path: &Path) -> Self {
        let state = |found: Metadata| {
            let written = found.modified().ok()?;
            Some(State { size: found.len(), written, identity: identity(&found) })
        };
        Self(path.metadata().ok().and_then(state))
    }
}

#[cfg(unix)]
fn identity(found: &Metadata) -> (u64, i64, i64) {
    use std::os::unix::fs::MetadataExt;
    (found.ino(), found.ctime(), found.ctime_nsec())
}

#[cfg(not(unix))]
fn identity(_: &Metadata) -> (u64, i64, i64) {
    (0, 0, 0)
}

impl State {
    /// When it can be told for sure that it is not written any more, if its date alone does not say so.
    fn sure_from(&self) -> Option<SystemTime> {
        let since = self.written.duration_since(SystemTime::UNIX_EPOCH).ok()?;
        (since.subsec_nanos() == 0).then(|| self.written + COARSE)
    }
}

/// Tells a finished save from one that is still being written.
struct Settling {
    known: Stamp,
    last: Stamp,
    /// How often it was not there, one look after the other.
    missed: u32,
    /// When it is to be read once more, as its date does not tell what was written last.
    again: Option<SystemTime>,
}

impl Settling {
    fn new(stamp: Stamp) -> Self {
        Self { known: stamp, last: stamp, missed: 0, again: None }
    }

    /// What became of the file: another one than was read that was the same in two looks, or none for
    /// so long that it is not on its way to being replaced.
    fn look(&mut self, now: Stamp, at: SystemTime) -> Option<Change> {
        let settled = now == self.last;
        self.last = now;
        self.missed = if now.0.is_none() { self.missed.saturating_add(1) } else { 0 };
        let change = match now.0 {
            Some(state) if settled && now != self.known => {
                self.again = state.sure_from().filter(|sure| at < *sure);
                Change::Written
            }
            Some(_) if settled && self.again.is_some_and(|again| at >= again) => {
                self.again = None;
                Change::Written
            }
            None if self.missed >= GONE_FOR && self.known.0.is_some() => Change::Gone,
            _ => return None,
        };
        self.known = now;
        Some(change)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const MINUTE: Duration = Duration::from_secs(60);

    /// A file of this size written so many milliseconds after some time.
    fn at(milliseconds: u64, size: u64) -> Stamp {
        let written = SystemTime::UNIX_EPOCH + Duration::from_millis(milliseconds);
        Stamp(Some(State { size, written, identity: (1, 0, 0) }))
    }

    /// A look long after all of it.
    fn look(settling: &mut Settling, now: Stamp) -> Option<Change> {
        settling.look(now, SystemTime::UNIX_EPOCH + MINUTE)
    }

    #[test]
    fn a_save_is_noticed_once_it_stands_still() {
        let mut settling = Settling::new(at(1001, 100));
        assert_eq!(look(&mut settling, at(1001, 100)), None);
        assert_eq!(look(&mut settling, at(5001, 20)), None, "it may still be written");
        assert_eq!(look(&mut settling, at(5002, 80)), None);
        assert_eq!(look(&mut settling, at(5002, 80)), Some(Change::Written));
        assert_eq!(look(&mut settling, at(5002, 80)), None, "once is enough");
    }

    #[test]
    fn a_file_that_is_replaced_is_noticed_and_one_that_is_briefly_gone_is_not() {
        let mut settling = Settling::new(at(1001, 100));
        assert_eq!(look(&mut settling, Stamp(None)), None);
        assert_eq!(look(&mut settling, Stamp(None)), None);
        assert_eq!(look(&mut settling, at(9001, 100)), None);
        assert_eq!(look(&mut settling, at(9001, 100)), Some(Change::Written));
    }

    #[test]
    fn another_file_of_the_same_size_and_date_is_noticed() {
        let mut settling = Settling::new(at(1001, 100));
        let moved = Stamp(at(1001, 100).0.map(|state| State { identity: (2, 0, 0), ..state }));
        assert_eq!(look(&mut settling, moved), None);
        assert_eq!(look(&mut settling, moved), Some(Change::Written));
    }

    #[test]
    fn a_file_that_stays_away_is_told_of_once_and_noticed_when_it_is_back() {
        let mut settling = Settling::new(at(1001, 100));
        let told: Vec<_> = (0..30).filter_map(|_| look(&mut settling, Stamp(None))).collect();
        assert_eq!(told, [Change::Gone]);
        assert_eq!(look(&mut settling, at(1001, 100)), None);
        assert_eq!(look(&mut settling, at(1001, 100)), Some(Change::Written));
    }

    #[test]
    fn what_was_written_while_it_was_read_is_noticed() {
        let mut settling = Settling::new(at(2001, 100));
        settling.known = at(1001, 100);
        assert_eq!(look(&mut settling, at(2001, 100)), Some(Change::Written));
    }

    #[test]
    fn a_date_of_whole_seconds_is_not_trusted_at_once() {
        let after = |seconds| SystemTime::UNIX_EPOCH + Duration::from_secs(seconds);
        let mut settling = Settling::new(at(1000, 100));
        assert_eq!(settling.look(at(9000, 100), after(9)), None);
        assert_eq!(settling.look(at(9000, 100), after(9)), Some(Change::Written));
        assert_eq!(settling.look(at(9000, 100), after(11)), None);
        // What was written since then, in place, bears the same date.
        assert_eq!(settling.look(at(9000, 100), after(12)), Some(Change::Written));
        assert_eq!(settling.look(at(9000, 100), after(13)), None, "once is enough");
    }
}
