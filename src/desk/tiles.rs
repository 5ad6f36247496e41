use crate::view::View;
use egui::epaint::{Mesh, Vertex};
use egui::{
    Color32, ColorImage, Context, Painter, Pos2, Rect, Shape, TextureFilter, TextureHandle,
    TextureOptions, pos2,
};
use glam::DVec2;
use staffage_picture::{Picture, Region, Tile, TileKey};
use std::collections::HashMap;

/// Most bytes of tiles uploaded in one frame; more would be felt as a stutter (a tile of 1024²
/// takes about 3 ms without a GPU).
const UPLOAD_PER_FRAME: usize = 16 << 20;
/// Bytes of textures that are kept although they are out of sight.
const TEXTURE_BUDGET: usize = 256 << 20;

/// The painting's textures: made when first seen, dropped when long out of sight.
pub(crate) struct Tiles {
    picture: Picture,
    textures: HashMap<TileKey, Held>,
    smooth: bool,
    frame: u64,
}

struct Held {
    texture: TextureHandle,
    seen: u64,
}

impl Tiles {
    pub(crate) fn new(picture: Picture, smooth: bool) -> Self {
        Self { picture, textures: HashMap::new(), smooth, frame: 0 }
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
            self.textures.clear();
        }
    }

    /// Paints the visible part, one frame width wide and in the middle of the frame. What is not
    /// uploaded yet shows coarser, and another frame is asked for.
    pub(crate) fn paint(&mut self, painter: &Painter, view: View, canvas: Rect) {
        self.frame += 1;
        let scale = PictureScale { size: self.size(), view, canvas };
        let pixels_per_point = f64::from(painter.ctx().pixels_per_point());
        let visible = scale.visible();
        let sharp = self.picture.level_for(scale.points_per_pixel() * pixels_per_point);
        let complete = self.upload(painter.ctx(), sharp, visible);
        let coarser = if complete { sharp..=sharp } else { sharp..=self.picture.levels() - 1 };
        for level in coarser.rev() {
            for tile in self.picture.tiles_in(level, visible) {
                if let Some(held) = self.textures.get_mut(&tile.key) {
                    held.seen = self.frame;
                    painter.add(quad(&held.texture, &tile, &scale));
                }
            }
        }
        self.drop_unseen();
        if !complete {
            painter.ctx().request_repaint();
        }
    }

    /// Uploads what is missing, coarsest level first so that something is there at once; whether
    /// nothing is missing any more.
    fn upload(&mut self, ctx: &Context, sharp: usize, visible: Region) -> bool {
        let coarsest = self.picture.levels() - 1;
        let wanted: Vec<Tile> = self
            .picture
            .tiles_in(coarsest, visible)
            .chain(
                (sharp < coarsest)
                    .then(|| self.picture.tiles_in(sharp, visible))
                    .into_iter()
                    .flatten(),
            )
            .filter(|tile| !self.textures.contains_key(&tile.key))
            .collect();
        let mut left = UPLOAD_PER_FRAME;
        for tile in wanted {
            if left == 0 {
                return false;
            }
            left = left.saturating_sub(self.upload_tile(ctx, tile.key));
        }
        true
    }

    fn upload_tile(&mut self, ctx: &Context, key: TileKey) -> usize {
        let Some(pixels) = self.picture.tile_pixels(key) else { return 0 };
        let size = [pixels.size.width as usize, pixels.size.height as usize];
        let image = ColorImage::from_rgba_premultiplied(size, &pixels.rgba);
        let name = format!("painting {}/{}/{}", key.level, key.column, key.row);
        let texture = ctx.load_texture(name, image, self.options());
        self.textures.insert(key, Held { texture, seen: self.frame });
        pixels.rgba.len()
    }

    fn options(&self) -> TextureOptions {
        let magnification =
            if self.smooth { TextureFilter::Linear } else { TextureFilter::Nearest };
        TextureOptions { magnification, ..TextureOptions::LINEAR }
    }

    fn drop_unseen(&mut self) {
        let bytes = |held: &Held| held.texture.byte_size();
        let mut total: usize = self.textures.values().map(bytes).sum();
        if total <= TEXTURE_BUDGET {
            return;
        }
        let mut unseen: Vec<(u64, TileKey)> =
            self.textures.iter().map(|(key, held)| (held.seen, *key)).collect();
        unseen.sort_unstable();
        for (seen, key) in unseen {
            if total <= TEXTURE_BUDGET || seen == self.frame {
                return;
            }
            total -= self.textures.remove(&key).as_ref().map_or(0, bytes);
        }
    }
}

/// Picture pixels to screen points: the painting is one frame width wide, about the frame's centre.
struct PictureScale {
    size: (u32, u32),
    view: View,
    canvas: Rect,
}

impl PictureScale {
    fn points_per_pixel(&self) -> f64 {
        self.view.points_per_unit / f64::from(self.size.0)
    }

    fn corner(&self) -> DVec2 {
        let (width, height) = (f64::from(self.size.0), f64::from(self.size.1));
        DVec2::new(-0.5, -0.5 * height / width)
    }

    fn to_screen(&self, x: f64, y: f64) -> Pos2 {
        let at = self.corner() + DVec2::new(x, y) / f64::from(self.size.0);
        self.view.to_screen(self.canvas, at)
    }

    /// What the canvas shows, picture pixels.
    fn visible(&self) -> Region {
        let to_pixels = |at: Pos2| {
            (self.view.to_picture(self.canvas, at) - self.corner()) * f64::from(self.size.0)
        };
        let (a, b) = (to_pixels(self.canvas.min), to_pixels(self.canvas.max));
        let (min, max) = (a.min(b), a.max(b));
        Region { left: min.x, top: min.y, right: max.x, bottom: max.y }
    }
}

fn quad(texture: &TextureHandle, tile: &Tile, scale: &PictureScale) -> Shape {
    let (place, uv) = (&tile.region, &tile.uv);
    let corners = [
        (place.left, place.top, uv.left, uv.top),
        (place.right, place.top, uv.right, uv.top),
        (place.right, place.bottom, uv.right, uv.bottom),
        (place.left, place.bottom, uv.left, uv.bottom),
    ];
    let mut mesh = Mesh::with_texture(texture.id());
    for (x, y, u, v) in corners {
        let uv = pos2(u as f32, v as f32);
        mesh.vertices.push(Vertex { pos: scale.to_screen(x, y), uv, color: Color32::WHITE });
    }
    mesh.add_triangle(0, 1, 2);
    mesh.add_triangle(0, 2, 3);
    Shape::mesh(mesh)
}
