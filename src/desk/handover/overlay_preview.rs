//! The small picture of the overlay to come, drawn beside the window's thread; the latest wins.

use crate::handover::{HandoverProgress, Handovers, Ink, InkPreview};
use egui::{ColorImage, Context, TextureHandle, TextureOptions};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::thread;

type Drawn = Result<Option<InkPreview>, String>;

/// The preview as it is, and the one that is being drawn.
#[derive(Default)]
pub(crate) struct Previewing {
    /// Width that it is shown at, pixels; 0 until it was on the screen.
    pub(crate) across: u32,
    /// What was last asked for.
    of: Option<(Ink, u32)>,
    drawing: Option<(HandoverProgress, Receiver<Drawn>)>,
    pub(crate) shown: Shown,
}

/// What there is to be seen.
#[derive(Default)]
pub(crate) enum Shown {
    #[default]
    Nothing,
    /// The ink, and the size of the picture to be written, pixels.
    Ink(TextureHandle, (u32, u32)),
    /// Why it cannot be written so.
    Refused(String),
}

impl Previewing {
    /// Whether something else is shown than this ink.
    pub(crate) fn is_behind(&self, ink: &Ink) -> bool {
        let known = self.of.as_ref();
        self.drawing.is_some()
            || known.is_none_or(|(known, across)| *across != self.across || known != ink)
    }

    /// Forgets the preview: it is not looked at.
    pub(crate) fn put_away(&mut self) {
        if let Some((progress, _)) = &self.drawing {
            progress.cancel();
        }
        *self = Self::default();
    }

    /// Takes what was drawn, and has drawn what is wanted if that is something else by now.
    pub(crate) fn follow(&mut self, ctx: &Context, by: &Arc<dyn Handovers>, ink: Ink) {
        self.take(ctx);
        if self.across == 0 || self.drawing.is_some() || !self.is_behind(&ink) {
            return;
        }
        let (wanted, across) = ((ink, self.across), self.across);
        let (sender, receiver) = channel();
        let progress = HandoverProgress::default();
        let (by, ctx, watched) = (Arc::clone(by), ctx.clone(), progress.clone());
        let ink = wanted.0.clone();
        thread::spawn(move || {
            // Nobody may wait for it any more.
            sender.send(by.preview(&ink, across, &watched)).ok();
            ctx.request_repaint();
        });
        self.drawing = Some((progress, receiver));
        self.of = Some(wanted);
    }

    fn take(&mut self, ctx: &Context) {
        let Some((_, receiver)) = &self.drawing else { return };
        match receiver.try_recv() {
            Err(TryRecvError::Empty) => return,
            Ok(Ok(Some(preview))) => self.shown = Shown::Ink(texture(ctx, &preview), preview.full),
            Ok(Err(why)) => self.shown = Shown::Refused(why),
            Ok(Ok(None)) | Err(TryRecvError::Disconnected) => self.shown = Shown::Nothing,
        }
        self.drawing = None;
    }
}

fn texture(ctx: &Context, preview: &InkPreview) -> TextureHandle {
    let size = [preview.size.0 as usize, preview.size.1 as usize];
    let image = ColorImage::from_rgba_unmultiplied(size, &preview.rgba);
    ctx.load_texture("overlay preview", image, TextureOptions::LINEAR)
}
