//! The small picture of the overlay to come.

use crate::handover::latest::Latest;
use crate::handover::{Handovers, Ink, InkPreview};
use egui::{ColorImage, Context, TextureHandle, TextureOptions};
use std::sync::Arc;

type Drawn = Result<Option<InkPreview>, String>;

/// The preview as it is, and the one that is being drawn.
#[derive(Default)]
pub(crate) struct Previewing {
    /// Width that it is shown at, pixels; 0 until it was on the screen.
    pub(crate) across: u32,
    drawing: Latest<(Ink, u32), Drawn>,
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
        self.drawing.is_behind(&(ink.clone(), self.across))
    }

    /// Forgets the preview: it is not looked at.
    pub(crate) fn put_away(&mut self) {
        *self = Self::default();
    }

    /// Takes what was drawn, and has drawn what is wanted if that is something else by now.
    pub(crate) fn follow(&mut self, ctx: &Context, by: &Arc<dyn Handovers>, ink: Ink) {
        if self.across == 0 {
            return;
        }
        let by = Arc::clone(by);
        let wanted = (ink, self.across);
        let draw =
            move |(ink, across): &(Ink, u32), progress: &_| by.preview(ink, *across, progress);
        let Some(drawn) = self.drawing.follow(ctx, wanted, draw) else { return };
        self.shown = match drawn {
            Some(Ok(Some(preview))) => {
                Shown::Ink(texture(ctx, preview.size, &preview.rgba), preview.full)
            }
            Some(Err(why)) => Shown::Refused(why),
            Some(Ok(None)) | None => Shown::Nothing,
        };
    }
}

/// Pixels with straight alpha as something that can be painted.
pub(crate) fn texture(ctx: &Context, (width, height): (u32, u32), rgba: &[u8]) -> TextureHandle {
    let image = ColorImage::from_rgba_unmultiplied([width as usize, height as usize], rgba);
    ctx.load_texture("preview", image, TextureOptions::LINEAR)
}
