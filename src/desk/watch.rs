//! Notices that the painting's file was saved again. Looks at the file's size and date now and then,
//! which also works on the network drives where change notices get lost.

use egui::Context;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread;
use std::time::{Duration, SystemTime};

/// Time from one look to the next.
const EVERY: Duration = Duration::from_millis(700);

/// Watches one file until it is dropped.
pub(crate) struct Watch {
    path: PathBuf,
    changes: Receiver<()>,
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
                if settling.has_changed(stamp(&watched)) {
                    if tell.send(()).is_err() {
                        return;
                    }
                    ctx.request_repaint();
                }
            }
        });
        Self { path: path.to_path_buf(), changes, _alive: alive }
    }

    /// The file that is watched.
    pub(crate) fn path(&self) -> &Path {
        &self.path
    }

    /// Whether the file has changed since this was last asked.
    pub(crate) fn has_changed(&self) -> bool {
        self.changes.try_iter().count() > 0
    }
}

/// Size and date of a file, if it is there.
type Stamp = Option<(u64, SystemTime)>;

fn stamp(path: &Path) -> Stamp {
    let found = path.metadata().ok()?;
    Some((found.len(), found.modified().ok()?))
}

/// Tells a finished save from one that is still being written.
struct Settling {
    known: Stamp,
    last: Stamp,
}

impl Settling {
    fn new(stamp: Stamp) -> Self {
        Self { known: stamp, last: stamp }
    }

    /// Whether the file is another one than before, and was the same in two looks. A file that is
    /// gone is on its way to being replaced.
    fn has_changed(&mut self, now: Stamp) -> bool {
        let settled = now == self.last;
        self.last = now;
        let changed = settled && now.is_some() && now != self.known;
        if changed {
            self.known = now;
        }
        changed
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(seconds: u64, size: u64) -> Stamp {
        Some((size, SystemTime::UNIX_EPOCH + Duration::from_secs(seconds)))
    }

    #[test]
    fn a_save_is_noticed_once_it_stands_still() {
        let mut settling = Settling::new(at(1, 100));
        assert!(!settling.has_changed(at(1, 100)));
        assert!(!settling.has_changed(at(5, 20)), "it may still be written");
        assert!(!settling.has_changed(at(5, 80)));
        assert!(settling.has_changed(at(5, 80)));
        assert!(!settling.has_changed(at(5, 80)), "once is enough");
    }

    #[test]
    fn a_file_that_is_replaced_is_noticed_and_one_that_is_gone_is_not() {
        let mut settling = Settling::new(at(1, 100));
        assert!(!settling.has_changed(None));
        assert!(!settling.has_changed(None));
        assert!(!settling.has_changed(at(9, 100)));
        assert!(settling.has_changed(at(9, 100)));
    }
}
