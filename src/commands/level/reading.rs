//! Reading a picture while someone watches, who can ask to give up.

use super::Refusal;
use staffage_handover::Rows;
use staffage_picture::{Limits, Progress, Raster};
use std::ops::ControlFlow;
use std::path::Path;
use std::thread;
use std::time::Duration;

/// Is told how much is done, 0 to 1, and asked whether to go on.
pub(crate) type Watch<'a> = &'a mut dyn FnMut(f32) -> ControlFlow<()>;

/// Share of the work that reading the picture is.
pub(super) const READING: f32 = 0.4;
/// How often it is asked whether to go on.
const OFTEN: Duration = Duration::from_millis(20);

/// The picture at full depth.
pub(crate) fn read(path: &Path, watch: Watch<'_>) -> Result<Raster, Refusal> {
    let progress = Progress::default();
    let read = thread::scope(|scope| {
        let waiting = thread::current();
        let progress = &progress;
        let reading = scope.spawn(move || {
            let read = Raster::read(path, &Limits::default(), progress);
            waiting.unpark();
            read
        });
        while !reading.is_finished() {
            if watch(READING * progress.fraction_read()).is_break() {
                progress.cancel();
            }
            thread::park_timeout(OFTEN);
        }
        reading.join()
    });
    match read {
        Ok(_) if progress.is_cancelled() => Err(Refusal::Cancelled),
        Ok(read) => read.map_err(Refusal::Picture),
        Err(panic) => std::panic::resume_unwind(panic),
    }
}

/// Tells of rows as the rest of the work.
pub(crate) fn rest(watch: Watch<'_>) -> impl FnMut(Rows) -> ControlFlow<()> {
    |rows| watch(READING + (1.0 - READING) * rows.done as f32 / rows.of.max(1) as f32)
}
