use crate::canvas::view::View;
use crate::painting::textures::{PictureScale, Textures, image};
use crate::painting::tiles::{UPLOAD_PER_FRAME, wanted};
use crate::worker::Worker;
use egui::{ColorImage, Context, Painter, Rect, TextureOptions};
use staffage_picture::{Picture, Region, TileKey, ToneView, Toned};
use std::sync::Arc;

/// Most tiles that one job makes, so that a view that moves on is soon followed.
const TILES_PER_JOB: usize = 8;

/// Bytes of a view's textures that are kept although they are out of sight: little, since several
/// views are kept and a tile is soon made again.
const TEXTURE_BUDGET: usize = 32 << 20;

/// The painting's tiles in one tone view, worked out on a worker's threads.
pub(crate) struct TonedTiles {
    picture: Arc<Picture>,
    view: ToneView,
    /// None until it has been worked out.
    toned: Option<Arc<Toned>>,
    worker: Worker<Made>,
    /// Made and waiting to be uploaded.
    ready: Vec<(TileKey, ColorImage)>,
    textures: Textures,
    options: TextureOptions,
}

/// What a job comes to.
struct Made {
    toned: Arc<Toned>,
    tiles: Vec<(TileKey, ColorImage)>,
}

impl Made {
    fn of(toned: Arc<Toned>, keys: &[TileKey]) -> Self {
        let made = |key: &TileKey| Some((*key, image(&toned.tile_pixels(*key)?)));
        let tiles = keys.iter().filter_map(made).collect();
        Self { toned, tiles }
    }
}

impl TonedTiles {
    pub(crate) fn new(picture: Arc<Picture>, view: ToneView, options: TextureOptions) -> Self {
        let (worker, textures) = (Worker::new(), Textures::new(TEXTURE_BUDGET));
        Self { picture, view, toned: None, worker, ready: Vec::new(), textures, options }
    }

    pub(crate) fn view(&self) -> ToneView {
        self.view
    }

    pub(crate) fn is_busy(&self) -> bool {
        !self.worker.jobs().is_empty() || !self.ready.is_empty()
    }

    /// Takes what was made and has made what is missing; whether there is something to be seen.
    pub(crate) fn bring(&mut self, ctx: &Context, view: View, canvas: Rect) -> bool {
        for made in self.worker.results() {
            self.toned = Some(made.toned);
            self.ready.extend(made.tiles);
        }
        self.upload(ctx);
        let Some(toned) = self.toned.clone() else {
            self.begin(ctx);
            return false;
        };
        let (scale, sharp) = place(&toned, ctx, view, canvas);
        let keys = self.missing(toned.ground(), sharp, scale.visible());
        if !keys.is_empty() && !self.is_busy() {
            self.start(ctx, move || Made::of(toned, &keys));
        }
        true
    }

    /// The coarsest tile comes with the view itself: the first sight of it.
    fn begin(&mut self, ctx: &Context) {
        if self.is_busy() {
            return;
        }
        let (picture, view) = (Arc::clone(&self.picture), self.view);
        self.start(ctx, move || {
            let toned = Arc::new(Toned::new(&picture, view));
            let level = toned.ground().levels() - 1;
            Made::of(toned, &[TileKey { level, column: 0, row: 0 }])
        });
    }

    fn start(&mut self, ctx: &Context, work: impl FnOnce() -> Made + Send + 'static) {
        self.worker.start(ctx, "Working out the tone view".into(), true, |_| work());
    }

    fn missing(&self, ground: &Picture, sharp: usize, visible: Region) -> Vec<TileKey> {
        let keys = wanted(ground, sharp, visible).into_iter().map(|tile| tile.key);
        keys.filter(|key| !self.textures.holds(*key)).take(TILES_PER_JOB).collect()
    }

    fn upload(&mut self, ctx: &Context) {
        let mut left = UPLOAD_PER_FRAME;
        while left > 0 {
            let Some((key, image)) = self.ready.pop() else { return };
            left = left.saturating_sub(4 * image.pixels.len());
            self.textures.upload(ctx, key, image, self.options);
        }
        if !self.ready.is_empty() {
            ctx.request_repaint();
        }
    }

    /// Paints what is there of the visible part, sharp over coarse.
    pub(crate) fn paint(&mut self, painter: &Painter, view: View, canvas: Rect) {
        let Some(toned) = &self.toned else { return };
        let (scale, sharp) = place(toned, painter.ctx(), view, canvas);
        let tiles = wanted(toned.ground(), sharp, scale.visible());
        let complete = tiles.iter().all(|tile| self.textures.holds(tile.key));
        let shown = tiles.into_iter().filter(|tile| !complete || tile.key.level == sharp);
        self.textures.paint(painter, shown, &scale);
    }
}

/// How the picture lies on the screen, and the level that is sharp there.
fn place(toned: &Toned, ctx: &Context, view: View, canvas: Rect) -> (PictureScale, usize) {
    let ground = toned.ground();
    let size = ground.size();
    let scale = PictureScale { size: (size.width, size.height), view, canvas };
    let pixels_per_point = f64::from(ctx.pixels_per_point());
    let sharp = ground.level_for(scale.points_per_pixel() * pixels_per_point);
    (scale, sharp)
}
