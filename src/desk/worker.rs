//! Work that takes time, off the window's thread.

use staffage_picture::Progress;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread;
use std::time::Instant;

/// Runs jobs, each on a thread of its own, and hands their results back in [`Worker::results`].
pub(crate) struct Worker<T> {
    sender: Sender<(u64, T)>,
    receiver: Receiver<(u64, T)>,
    started: u64,
    jobs: Vec<Job>,
}

/// A job under way.
pub(crate) struct Job {
    number: u64,
    /// What is being done, as a sentence.
    pub(crate) sentence: String,
    /// How far it has come, and the way to stop it.
    pub(crate) progress: Progress,
    /// Whether it can be stopped: a save is never left half done.
    pub(crate) can_stop: bool,
    /// When it began.
    pub(crate) started: Instant,
}

impl<T: Send + 'static> Worker<T> {
    pub(crate) fn new() -> Self {
        let (sender, receiver) = channel();
        Self { sender, receiver, started: 0, jobs: Vec::new() }
    }

    /// Starts a job; the window is woken when it ends.
    pub(crate) fn start(
        &mut self,
        ctx: &egui::Context,
        sentence: String,
        can_stop: bool,
        work: impl FnOnce(&Progress) -> T + Send + 'static,
    ) {
        self.started += 1;
        let (number, progress) = (self.started, Progress::default());
        let (sender, ctx, shared) = (self.sender.clone(), ctx.clone(), progress.clone());
        tracing::debug!(number, sentence, "job started");
        let started = Instant::now();
        self.jobs.push(Job { number, sentence, progress, can_stop, started });
        thread::spawn(move || {
            let result = work(&shared);
            // The window may be gone by now; then nobody needs the result.
            sender.send((number, result)).ok();
            ctx.request_repaint();
        });
    }

    /// What is under way, oldest first.
    pub(crate) fn jobs(&self) -> &[Job] {
        &self.jobs
    }

    /// Stops what can be stopped; results of stopped jobs are never handed back.
    pub(crate) fn stop(&mut self) {
        for job in self.jobs.iter().filter(|j| j.can_stop) {
            job.progress.cancel();
        }
        self.jobs.retain(|j| !j.can_stop);
    }

    /// Stops those of this sentence that can be stopped: they are about to be begun anew.
    pub(crate) fn stop_those(&mut self, sentence: &str) {
        let ends = |job: &Job| job.can_stop && job.sentence == sentence;
        self.jobs.iter().filter(|j| ends(j)).for_each(|j| j.progress.cancel());
        self.jobs.retain(|j| !ends(j));
    }

    /// The results that came in since the last time, without those of stopped jobs.
    pub(crate) fn results(&mut self) -> Vec<T> {
        let mut results = Vec::new();
        while let Ok((number, result)) = self.receiver.try_recv() {
            if let Some(at) = self.jobs.iter().position(|j| j.number == number) {
                self.jobs.remove(at);
                results.push(result);
            }
        }
        results
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::mpsc;

    /// Waits for the next result without spinning: the job's own message says that it has ended.
    fn run_to_end(worker: &mut Worker<i32>, ended: &mpsc::Receiver<()>) -> Vec<i32> {
        ended.recv().unwrap();
        loop {
            let results = worker.results();
            if !results.is_empty() || worker.jobs().is_empty() {
                return results;
            }
            thread::yield_now();
        }
    }

    #[test]
    fn a_result_comes_back_and_the_job_is_gone() {
        let mut worker = Worker::new();
        let (end, ended) = mpsc::channel();
        worker.start(&egui::Context::default(), "Counting".into(), true, move |_| {
            end.send(()).unwrap();
            42
        });
        assert_eq!(worker.jobs()[0].sentence, "Counting");
        assert_eq!(run_to_end(&mut worker, &ended), [42]);
        assert!(worker.jobs().is_empty());
    }

    #[test]
    fn the_result_of_a_stopped_job_is_dropped() {
        let mut worker = Worker::new();
        let (go, wait) = mpsc::channel::<()>();
        let (end, ended) = mpsc::channel();
        worker.start(&egui::Context::default(), "Loading".into(), true, move |progress| {
            wait.recv().unwrap();
            end.send(()).unwrap();
            i32::from(progress.is_cancelled())
        });
        worker.stop();
        go.send(()).unwrap();
        assert_eq!(run_to_end(&mut worker, &ended), [] as [i32; 0]);
    }

    #[test]
    fn a_job_that_must_not_be_stopped_goes_on() {
        let mut worker = Worker::new();
        let (end, ended) = mpsc::channel();
        worker.start(&egui::Context::default(), "Saving".into(), false, move |_| {
            end.send(()).unwrap();
            7
        });
        worker.stop();
        assert_eq!(run_to_end(&mut worker, &ended), [7]);
    }
}
