use crate::canvas::view::View;
use crate::painting::textures::{PictureScale, Textures, image};
use crate::painting::toned_tiles::TonedTiles;
use egui::{Context, Painter, Rect, TextureFilter, TextureOptions};
use staffage_picture::{Picture, Region, Tile, ToneView};
use std::sync::Arc;

/// Most bytes of tiles uploaded in one frame; more would be felt as a stutter (a tile of 1024²
/// takes about 3 ms without a GPU).
pub(crate) const UPLOAD_PER_FRAME: usize = 16 << 20;
/// As how many tiles one counts that is halved when it is asked for (8 ms on two busy cores, beside 1 to cut one out).
const MADE: usize = 3;
/// Bytes of the painting's textures that are kept although they are out of sight.
const TEXTURE_BUDGET: usize = 256 << 20;
/// Tone views that are kept, so that looking at one again and again costs nothing.
const VIEWS_KEPT: usize = 3;

/// The painting as it is seen: its textures, made when first seen, and those of its tone views.
pub(crate) struct Tiles {
    picture: Arc<Picture>,
    textures: Textures,
    smooth: bool,
    /// The tone views seen last; the last of them at the end.
    toned: Vec<TonedTiles>,
    /// What was last there to be seen; it stays until the view that is wanted is there.
    shown: ToneView,
    /// The painting before it was saved again, until the view that is wanted is there.
    before: Option<Box<Self>>,
}

impl Tiles {
    pub(crate) fn new(picture: Picture, smooth: bool) -> Self {
        Self {
            picture: Arc::new(picture),
            textures: Textures::new(TEXTURE_BUDGET),
            smooth,
            toned: Vec::new(),
            shown: ToneView::PLAIN,
            before: None,
        }
    }

    /// Until there is something to be seen of it, what was seen of the painting before is shown.
    pub(crate) fn come_after(&mut self, mut before: Box<Self>) {
        before.before = None;
        self.shown = before.shown;
        self.before = Some(before);
    }

    /// The painting itself.
    pub(crate) fn picture(&self) -> Arc<Picture> {
        Arc::clone(&self.picture)
    }

    /// Width and height of the painting, pixels.
    pub(crate) fn size(&self) -> (u32, u32) {
        let size = self.picture.size();
        (size.width, size.height)
    }

    /// Shows enlarged pixels smoothed or as squares.
    pub(crate) fn set_smooth(&mut self, smooth: bool) {
        if self.smooth != smooth {
            self.smooth = smooth;
            self.textures = Textures::new(TEXTURE_BUDGET);
            self.toned.clear();
        }
    }

    /// Whether a tone view is being worked out.
    pub(crate) fn is_busy(&self) -> bool {
        self.toned.iter().any(TonedTiles::is_busy)
    }

    /// What was last there to be seen.
    pub(crate) fn shown(&self) -> ToneView {
        self.shown
    }

    /// Paints the visible part in the view that is wanted, or in the one before while that is being
    /// worked out.
    pub(crate) fn paint_toned(
        &mut self,
        painter: &Painter,
        view: View,
        canvas: Rect,
        wanted: ToneView,
    ) {
        if wanted == ToneView::PLAIN {
            self.show_now(wanted);
            return self.paint(painter, view, canvas);
        }
        let mut toned = self.take_toned(wanted);
        let is_there = toned.bring(painter.ctx(), view, canvas);
        if is_there {
            self.show_now(wanted);
            toned.paint(painter, view, canvas);
        } else {
            self.paint_shown(painter, view, canvas);
        }
        self.toned.push(toned);
    }

    fn show_now(&mut self, shown: ToneView) {
        self.shown = shown;
        self.before = None;
    }

    fn paint_shown(&mut self, painter: &Painter, view: View, canvas: Rect) {
        let shown = self.shown;
        if let Some(before) = &mut self.before {
            before.paint_shown(painter, view, canvas);
        } else if let Some(toned) = self.toned.iter_mut().find(|toned| toned.view() == shown) {
            toned.paint(painter, view, canvas);
        } else {
            self.paint(painter, view, canvas);
        }
    }

    /// The tiles of a tone view, out of those kept if it is one of them.
    fn take_toned(&mut self, wanted: ToneView) -> TonedTiles {
        if let Some(at) = self.toned.iter().position(|toned| toned.view() == wanted) {
            return self.toned.remove(at);
        }
        if self.toned.len() >= VIEWS_KEPT {
            self.toned.remove(0);
        }
        let options = match wanted.squint {
            Some(_) => TextureOptions::LINEAR,
            None => self.options(),
        };
        TonedTiles::new(Arc::clone(&self.picture), wanted, options)
    }

    /// Paints the visible part as it is, one frame width wide and in the middle of the frame. What
    /// is not uploaded yet shows coarser, and another frame is asked for.
    pub(crate) fn paint(&mut self, painter: &Painter, view: View, canvas: Rect) {
        let scale = PictureScale { size: self.size(), view, canvas };
        let pixels_per_point = f64::from(painter.ctx().pixels_per_point());
        let visible = scale.visible();
        let sharp = self.picture.level_for(scale.points_per_pixel() * pixels_per_point);
        let complete = self.upload(painter.ctx(), sharp, visible);
        let coarser = if complete { sharp..=sharp } else { sharp..=self.picture.levels() - 1 };
        let picture = &self.picture;
        let tiles = coarser.rev().flat_map(|level| picture.tiles_in(level, visible));
        self.textures.paint(painter, tiles, &scale);
        if !complete {
            painter.ctx().request_repaint();
        }
    }

    /// Uploads what is missing, coarsest level first so that something is there at once; whether
    /// nothing is missing any more.
    fn upload(&mut self, ctx: &Context, sharp: usize, visible: Region) -> bool {
        let wanted: Vec<Tile> = wanted(&self.picture, sharp, visible)
            .into_iter()
            .filter(|tile| !self.textures.holds(tile.key))
            .collect();
        let options = self.options();
        let mut left = UPLOAD_PER_FRAME;
        for tile in wanted {
            if left == 0 {
                return false;
            }
            let Some(pixels) = self.picture.tile_pixels(tile.key) else { continue };
            // What had to be made for it takes its time, too.
            let times = if self.picture.is_stored(tile.key.level) { 1 } else { MADE };
            left = left.saturating_sub(times * pixels.rgba.len());
            self.textures.upload(ctx, tile.key, image(&pixels), options);
        }
        true
    }

    fn options(&self) -> TextureOptions {
        let magnification =
            if self.smooth { TextureFilter::Linear } else { TextureFilter::Nearest };
        TextureOptions { magnification, ..TextureOptions::LINEAR }
    }
}

/// The tiles to have for what is visible: the coarsest, and the sharp ones.
pub(crate) fn wanted(picture: &Picture, sharp: usize, visible: Region) -> Vec<Tile> {
    let coarsest = picture.levels() - 1;
    let sharp = (sharp < coarsest).then(|| picture.tiles_in(sharp, visible));
    picture.tiles_in(coarsest, visible).chain(sharp.into_iter().flatten()).collect()
}
