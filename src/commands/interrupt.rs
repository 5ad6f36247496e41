//! Ctrl-C, heard rather than obeyed at once.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Set once the painter presses Ctrl-C or the program is asked to end, so that it can clear away what
/// it was about to write.
pub(super) fn cancelled_by_hand() -> Arc<AtomicBool> {
    let cancelled = Arc::new(AtomicBool::new(false));
    let flag = Arc::clone(&cancelled);
    if let Err(error) = ctrlc::set_handler(move || flag.store(true, Ordering::Relaxed)) {
        tracing::warn!(%error, "an interrupted command leaves a temporary file behind");
    }
    cancelled
}
