//! Something that is made beside the window's thread and shown when it is there; what was asked for last
//! wins.

use crate::handover::HandoverProgress;
use egui::Context;
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::thread;

/// What was asked for last, and what is being made.
pub(crate) struct Latest<Ask, Made> {
    asked: Option<Ask>,
    under_way: Option<(HandoverProgress, Receiver<Made>)>,
}

impl<Ask, Made> Default for Latest<Ask, Made> {
    fn default() -> Self {
        Self { asked: None, under_way: None }
    }
}

impl<Ask, Made> Drop for Latest<Ask, Made> {
    fn drop(&mut self) {
        if let Some((progress, _)) = &self.under_way {
            progress.cancel();
        }
    }
}

impl<Ask, Made> Latest<Ask, Made>
where
    Ask: Clone + PartialEq + Send + 'static,
    Made: Send + 'static,
{
    /// Whether something else was made last than this.
    pub(crate) fn is_behind(&self, ask: &Ask) -> bool {
        self.under_way.is_some() || self.asked.as_ref() != Some(ask)
    }

    /// Begins to make this if something else was made last and nothing is under way: what is shown while
    /// something is dragged then follows, though a little late. What has just been made is returned;
    /// `None` inside where it failed.
    pub(crate) fn follow(
        &mut self,
        ctx: &Context,
        ask: Ask,
        make: impl FnOnce(&Ask, &HandoverProgress) -> Made + Send + 'static,
    ) -> Option<Option<Made>> {
        let made = self.take();
        if self.is_behind(&ask) && self.under_way.is_none() {
            let (sender, receiver) = channel();
            let progress = HandoverProgress::default();
            let (watched, ctx, wanted) = (progress.clone(), ctx.clone(), ask.clone());
            thread::spawn(move || {
                let _wake = Wake(ctx);
                // Nobody may wait for it any more.
                sender.send(make(&wanted, &watched)).ok();
            });
            self.under_way = Some((progress, receiver));
            self.asked = Some(ask);
        }
        made
    }

    fn take(&mut self) -> Option<Option<Made>> {
        let (_, receiver) = self.under_way.as_ref()?;
        let made = match receiver.try_recv() {
            Err(TryRecvError::Empty) => return None,
            Ok(made) => Some(made),
            Err(TryRecvError::Disconnected) => None,
        };
        self.under_way = None;
        Some(made)
    }
}

/// Wakes the window when a thread ends, however it does.
struct Wake(Context);

impl Drop for Wake {
    fn drop(&mut self) {
        self.0.request_repaint();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::mpsc::channel;

    /// Follows until nothing is behind, and returns what was made on the way.
    fn settle(latest: &mut Latest<u32, u32>, ask: u32) -> Vec<Option<u32>> {
        let mut made = Vec::new();
        loop {
            made.extend(latest.follow(&Context::default(), ask, |ask, _| 10 * ask));
            if !latest.is_behind(&ask) {
                return made;
            }
            thread::yield_now();
        }
    }

    #[test]
    fn what_was_asked_for_while_another_was_made_is_made_after_it_and_nothing_between() {
        let (release, held) = channel::<()>();
        let mut latest = Latest::default();
        let ctx = Context::default();
        let first = latest.follow(&ctx, 1, move |ask, _| {
            held.recv().ok();
            10 * ask
        });
        assert_eq!(first, None);
        for ask in [2, 3] {
            assert_eq!(latest.follow(&ctx, ask, |ask, _| 10 * ask), None, "nobody waits");
        }
        release.send(()).unwrap();
        assert_eq!(settle(&mut latest, 3), [Some(10), Some(30)]);
        assert_eq!(settle(&mut latest, 3), [], "it is there already");
    }

    #[test]
    fn what_fails_inside_is_told_and_the_next_is_made() {
        let mut latest: Latest<u32, u32> = Latest::default();
        latest.follow(&Context::default(), 1, |_, _| panic!("fails inside"));
        assert_eq!(settle(&mut latest, 1), [None]);
        assert_eq!(settle(&mut latest, 2), [Some(20)]);
    }

    #[test]
    fn what_nobody_looks_at_any_more_is_given_up() {
        let (tell, told) = channel();
        let mut latest: Latest<u32, u32> = Latest::default();
        latest.follow(&Context::default(), 1, move |_, progress| {
            while !progress.is_cancelled() {
                thread::yield_now();
            }
            tell.send(()).ok();
            0
        });
        drop(latest);
        assert_eq!(told.recv(), Ok(()));
    }
}
