//! Orders under way: one after the other, so that no two write at once.

use crate::handover::{HandoverProgress, Handovers, Order, Outcome};
use egui::Context;
use std::collections::VecDeque;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, TryRecvError, channel};
use std::thread;
use std::time::{Duration, Instant};

/// How long the end of the program waits for what is being written: a file server that does not answer
/// must not hold it up for ever.
const PATIENCE: Duration = Duration::from_secs(10);

/// An order and why it was given.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Errand {
    pub(crate) order: Order,
    /// What is being done, as words.
    pub(crate) words: String,
    /// Whether nobody asked for it just now: it keeps a file up to date.
    pub(crate) by_itself: bool,
}

/// Carries errands out one after the other, on a thread.
#[derive(Default)]
pub(crate) struct Errands {
    waiting: VecDeque<Errand>,
    running: Option<Running>,
}

/// An errand under way.
pub(crate) struct Running {
    pub(crate) errand: Errand,
    pub(crate) progress: HandoverProgress,
    pub(crate) started: Instant,
    outcome: Receiver<Outcome>,
}

impl Errands {
    pub(crate) fn send(&mut self, errand: Errand) {
        self.waiting.push_back(errand);
    }

    pub(crate) fn is_busy(&self) -> bool {
        self.running.is_some() || !self.waiting.is_empty()
    }

    pub(crate) fn running(&self) -> Option<&Running> {
        self.running.as_ref()
    }

    /// Gives up what is under way and what waits.
    pub(crate) fn cancel(&mut self) {
        self.waiting.clear();
        if let Some(running) = &self.running {
            running.progress.cancel();
        }
    }

    /// Begins the next errand if none is under way, and returns the one that has ended.
    pub(crate) fn follow(
        &mut self,
        ctx: &Context,
        by: &Arc<dyn Handovers>,
    ) -> Option<(Errand, Outcome)> {
        let ended = self.running.take().and_then(|running| match running.outcome.try_recv() {
            Ok(outcome) => Some((running.errand, outcome)),
            Err(TryRecvError::Disconnected) => Some((running.errand, broken())),
            Err(TryRecvError::Empty) => {
                self.running = Some(running);
                None
            }
        });
        if self.running.is_none() {
            self.running = self.waiting.pop_front().map(|next| begin(next, ctx, by));
        }
        ended
    }

    /// Waits for what is under way and carries out what waits still; the window is closing.
    pub(crate) fn finish(&mut self, by: &Arc<dyn Handovers>) {
        if let Some(running) = self.running.take()
            && running.outcome.recv_timeout(PATIENCE) == Err(RecvTimeoutError::Timeout)
        {
            running.progress.cancel();
            return;
        }
        for errand in self.waiting.drain(..) {
            let outcome = by.carry_out(&errand.order, &HandoverProgress::default());
            tracing::debug!(?outcome, words = errand.words, "carried out at the end");
        }
    }
}

fn begin(errand: Errand, ctx: &Context, by: &Arc<dyn Handovers>) -> Running {
    let (sender, outcome) = channel();
    let progress = HandoverProgress::default();
    let (order, watched) = (errand.order.clone(), progress.clone());
    let (by, end) = (Arc::clone(by), End { sender, _wake: Wake(ctx.clone()) });
    tracing::debug!(words = errand.words, "handover begun");
    thread::spawn(move || {
        let end = end;
        let outcome = by.carry_out(&order, &watched);
        // The window may be gone by now; then nobody waits for it.
        end.sender.send(outcome).ok();
    });
    Running { errand, progress, started: Instant::now(), outcome }
}

/// What a thread leaves when it ends, however it does: first its sender is gone, then the window is
/// woken, which then finds out.
struct End {
    sender: Sender<Outcome>,
    _wake: Wake,
}

struct Wake(Context);

impl Drop for Wake {
    fn drop(&mut self) {
        self.0.request_repaint();
    }
}

fn broken() -> Outcome {
    Outcome::Failed(
        "That could not be handed over: the program failed inside. Your scene is safe.".into(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::handover::{FilmBack, Ink, InkPreview, LevelAim, ProductOrder, ProductPreview};
    use staffage_solver::Eye;
    use std::path::PathBuf;
    use std::sync::Mutex;
    use std::sync::atomic::{AtomicUsize, Ordering};

    /// Notes what is carried out, and how many were at it at once.
    #[derive(Default)]
    struct Notes {
        wanted: Mutex<Vec<PathBuf>>,
        now: AtomicUsize,
        most: AtomicUsize,
    }

    impl Handovers for Notes {
        fn carry_out(&self, order: &Order, progress: &HandoverProgress) -> Outcome {
            let now = self.now.fetch_add(1, Ordering::SeqCst) + 1;
            self.most.fetch_max(now, Ordering::SeqCst);
            let Order::PastePainting { wanted } = order else { panic!("fails inside") };
            self.wanted.lock().unwrap().push(wanted.clone());
            while wanted == &PathBuf::from("long") && !progress.is_cancelled() {
                thread::yield_now();
            }
            self.now.fetch_sub(1, Ordering::SeqCst);
            if progress.is_cancelled() {
                Outcome::Cancelled
            } else {
                Outcome::Done("There.".into())
            }
        }

        fn preview(
            &self,
            _ink: &Ink,
            _across: u32,
            _progress: &HandoverProgress,
        ) -> Result<Option<InkPreview>, String> {
            Ok(None)
        }

        fn preview_product(
            &self,
            _order: &ProductOrder,
            _across: u32,
            _progress: &HandoverProgress,
        ) -> Result<Option<ProductPreview>, String> {
            Ok(None)
        }

        fn film_backs(&self) -> Vec<FilmBack> {
            Vec::new()
        }

        fn measure(&self, _: &Eye, _: (u32, u32), _: LevelAim) -> Result<String, String> {
            Ok(String::new())
        }
    }

    fn errand(wanted: &str) -> Errand {
        let order = Order::PastePainting { wanted: wanted.into() };
        Errand { order, words: wanted.into(), by_itself: false }
    }

    fn outcomes(errands: &mut Errands, by: &Arc<dyn Handovers>) -> Vec<Outcome> {
        let ctx = Context::default();
        let mut ended = Vec::new();
        while errands.is_busy() {
            ended.extend(errands.follow(&ctx, by).map(|(_, outcome)| outcome));
            thread::yield_now();
        }
        ended
    }

    #[test]
    fn errands_are_run_in_order_and_never_two_at_once() {
        let notes = Arc::new(Notes::default());
        let by: Arc<dyn Handovers> = Arc::<Notes>::clone(&notes);
        let mut errands = Errands::default();
        for wanted in ["a", "b", "c"] {
            errands.send(errand(wanted));
        }
        assert_eq!(outcomes(&mut errands, &by), vec![Outcome::Done("There.".into()); 3]);
        assert_eq!(*notes.wanted.lock().unwrap(), ["a", "b", "c"].map(PathBuf::from));
        assert_eq!(notes.most.load(Ordering::SeqCst), 1);
    }

    #[test]
    fn what_is_cancelled_ends_and_what_waited_is_never_begun() {
        let notes = Arc::new(Notes::default());
        let by: Arc<dyn Handovers> = Arc::<Notes>::clone(&notes);
        let mut errands = Errands::default();
        errands.send(errand("long"));
        errands.send(errand("b"));
        assert_eq!(errands.follow(&Context::default(), &by), None);
        errands.cancel();
        assert_eq!(outcomes(&mut errands, &by), [Outcome::Cancelled]);
        assert!(!notes.wanted.lock().unwrap().contains(&PathBuf::from("b")));
    }

    #[test]
    fn a_handover_that_fails_inside_is_told_and_the_next_goes_on() {
        let by: Arc<dyn Handovers> = Arc::new(Notes::default());
        let ink = Ink {
            scene: Arc::default(),
            width: 100,
            parts: Vec::new(),
            words: true,
            weight: 1.0,
            grid: None,
            units: staffage_scene::Units::Metric,
        };
        let mut errands = Errands::default();
        errands.send(Errand { order: Order::CopyInk(ink), ..errand("breaks") });
        errands.send(errand("b"));
        assert_eq!(outcomes(&mut errands, &by), [broken(), Outcome::Done("There.".into())]);
    }
}
