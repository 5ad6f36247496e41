//! Reading a picture while someone watches, who can ask to give up.

use super::Refusal;
use staffage_handover::Rows;
use staffage_picture::{Limits, Progress, Raster};
use std::ops::{ControlFlow, Range};
use std::path::Path;
use std::thread;
use std::time::Duration;

/// Is told how much is done, 0 to 1, and asked whether to go on.
pub(crate) type Watch<'a> = &'a mut dyn FnMut(f32) -> ControlFlow<()>;

/// Share of the work that reading the picture is.
const READING: f32 = 0.4;
/// How often it is asked whether to go on.
const OFTEN: Duration = Duration::from_millis(20);

/// The picture at full depth, as the first part of the work.
pub(crate) fn read(path: &Path, watch: Watch<'_>) -> Result<Raster, Refusal> {
    read_all(path, &mut within(watch, 0.0..READING))
}

/// The picture at full depth, as all of the work.
pub(super) fn read_all(path: &Path, watch: Watch<'_>) -> Result<Raster, Refusal> {
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
            if watch(progress.fraction_read()).is_break() {
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

/// Tells of a part of the work as this much of it.
pub(super) fn within(watch: Watch<'_>, part: Range<f32>) -> impl FnMut(f32) -> ControlFlow<()> {
    move |share| watch(part.start + (part.end - part.start) * share)
}

/// Tells of rows as the rest of the work, once the picture was read.
pub(crate) fn rest(watch: Watch<'_>) -> impl FnMut(Rows) -> ControlFlow<()> {
    rows(watch, READING..1.0)
}

/// Tells of rows as this much of the work.
pub(super) fn rows(watch: Watch<'_>, part: Range<f32>) -> impl FnMut(Rows) -> ControlFlow<()> {
    let mut watch = within(watch, part);
    move |rows| watch(rows.done as f32 / rows.of.max(1) as f32)
}
