//! Looking after work that takes a while from beside it.

use std::sync::mpsc::{RecvTimeoutError, channel};
use std::thread;
use std::time::Duration;

/// How often it is looked.
const GLANCE: Duration = Duration::from_millis(50);

/// Does some work, and looks after it while it lasts: before it and every few hundredths of a second, to say
/// how far it is or to have it given up.
pub(crate) fn watched<T>(look: impl Fn() + Sync, work: impl FnOnce() -> T) -> T {
    look();
    thread::scope(|scope| {
        let (done, is_done) = channel::<()>();
        let look = &look;
        scope.spawn(move || {
            while is_done.recv_timeout(GLANCE) == Err(RecvTimeoutError::Timeout) {
                look();
            }
        });
        let made = work();
        drop(done);
        made
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicUsize, Ordering};

    #[test]
    fn work_is_looked_after_from_before_it_begins_until_it_is_done() {
        let looked = AtomicUsize::new(0);
        let look = || {
            looked.fetch_add(1, Ordering::SeqCst);
        };
        let before = watched(look, || {
            let before = looked.load(Ordering::SeqCst);
            while looked.load(Ordering::SeqCst) < 3 {
                thread::yield_now();
            }
            before
        });
        assert!(before >= 1, "work that was given up before it began is not begun");
    }
}
