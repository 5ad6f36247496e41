//! What a sheet or a camera will hold, in small, before it is written.

use crate::handover::latest::Latest;
use crate::handover::overlay_preview::texture;
use crate::handover::{Handovers, ProductOrder, ProductPreview};
use egui::{Context, TextureHandle};
use std::sync::Arc;

type Made = Result<Option<ProductPreview>, String>;

/// The preview as it is, and the one that is being made.
#[derive(Default)]
pub(crate) struct ProductPreviewing {
    /// Width that its page is shown at, pixels; 0 until it was on the screen.
    pub(crate) across: u32,
    making: Latest<(ProductOrder, u32), Made>,
    pub(crate) shown: Shown,
}

/// What there is to be seen.
#[derive(Default)]
pub(crate) enum Shown {
    #[default]
    Nothing,
    /// What it holds, with its page if it has one.
    Preview(Box<ProductPreview>, Option<TextureHandle>),
    /// Why it cannot be made.
    Refused(String),
}

impl ProductPreviewing {
    /// Whether something else is shown than what this order would write.
    pub(crate) fn is_behind(&self, order: &ProductOrder) -> bool {
        self.making.is_behind(&(order.clone(), self.across))
    }

    /// Forgets the preview: it is not looked at.
    pub(crate) fn put_away(&mut self) {
        *self = Self::default();
    }

    /// Takes what was made, and has made what is wanted if that is something else by now.
    pub(crate) fn follow(&mut self, ctx: &Context, by: &Arc<dyn Handovers>, order: ProductOrder) {
        if self.across == 0 {
            return;
        }
        let by = Arc::clone(by);
        let make = move |(order, across): &(ProductOrder, u32), progress: &_| {
            by.preview_product(order, *across, progress)
        };
        let Some(made) = self.making.follow(ctx, (order, self.across), make) else { return };
        self.shown = match made {
            Some(Ok(Some(preview))) => {
                let page = preview.page.as_ref().map(|page| texture(ctx, page.size, &page.rgba));
                Shown::Preview(Box::new(preview), page)
            }
            Some(Err(why)) => Shown::Refused(why),
            Some(Ok(None)) | None => Shown::Nothing,
        };
    }
}
