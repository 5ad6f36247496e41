use crate::canvas::view::View;
use crate::painting::cells::Cells;
use egui::epaint::{Mesh, Vertex};
use egui::{
    Color32, ColorImage, Context, Painter, Pos2, Rect, Shape, TextureHandle, TextureOptions, pos2,
};
use glam::DVec2;
use staffage_picture::{Region, Tile, TileKey, TilePixels};
use std::collections::HashMap;

/// The textures of a picture's tiles: dropped when long out of sight.
pub(crate) struct Textures {
    held: HashMap<TileKey, Held>,
    frame: u64,
    /// Bytes that are kept although they are out of sight.
    budget: usize,
}

struct Held {
    texture: TextureHandle,
    seen: u64,
}

impl Textures {
    pub(crate) fn new(budget: usize) -> Self {
        Self { held: HashMap::new(), frame: 0, budget }
    }

    pub(crate) fn holds(&self, key: TileKey) -> bool {
        self.held.contains_key(&key)
    }

    pub(crate) fn upload(
        &mut self,
        ctx: &Context,
        key: TileKey,
        image: ColorImage,
        options: TextureOptions,
    ) {
        let name = format!("painting {}/{}/{}", key.level, key.column, key.row);
        let texture = ctx.load_texture(name, image, options);
        self.held.insert(key, Held { texture, seen: self.frame });
    }

    /// Paints those of these tiles that are there, in this order.
    pub(crate) fn paint(
        &mut self,
        painter: &Painter,
        tiles: impl IntoIterator<Item = Tile>,
        scale: &PictureScale,
    ) {
        self.frame += 1;
        let cells = Cells::of(scale, f64::from(painter.ctx().pixels_per_point()));
        for tile in tiles {
            if let Some(held) = self.held.get_mut(&tile.key) {
                held.seen = self.frame;
                painter.add(mesh(&held.texture, &tile, scale, cells.as_ref()));
            }
        }
        self.drop_unseen();
    }

    fn drop_unseen(&mut self) {
        let bytes = |held: &Held| held.texture.byte_size();
        let mut total: usize = self.held.values().map(bytes).sum();
        if total <= self.budget {
            return;
        }
        let mut unseen: Vec<(u64, TileKey)> =
            self.held.iter().map(|(key, held)| (held.seen, *key)).collect();
        unseen.sort_unstable();
        for (seen, key) in unseen {
            if total <= self.budget || seen == self.frame {
                return;
            }
            total -= self.held.remove(&key).as_ref().map_or(0, bytes);
        }
    }
}

/// A tile's pixels as egui takes them.
pub(crate) fn image(pixels: &TilePixels) -> ColorImage {
    let size = [pixels.size.width as usize, pixels.size.height as usize];
    ColorImage::from_rgba_premultiplied(size, &pixels.rgba)
}

/// Picture pixels to screen points: the painting is one frame width wide, about the frame's centre.
pub(crate) struct PictureScale {
    pub(crate) size: (u32, u32),
    pub(crate) view: View,
    pub(crate) canvas: Rect,
}

impl PictureScale {
    /// Screen points that a pixel takes where it is seen large.
    pub(crate) fn points_per_pixel(&self) -> f64 {
        /// Finer than this many times what the middle of the canvas needs, tiles would be too many.
        const FINEST: f64 = 2.0;
        let view = self.view;
        let seen = self.canvas_corners().map(|at| {
            view.points_per_unit_at(at.clamp(self.corner(), -self.corner())) / view.points_per_unit
        });
        let largest = seen.into_iter().fold(1.0, f64::max).min(FINEST);
        largest * view.points_per_unit / f64::from(self.size.0)
    }

    fn canvas_corners(&self) -> [DVec2; 4] {
        let canvas = self.canvas;
        let corners =
            [canvas.left_top(), canvas.right_top(), canvas.right_bottom(), canvas.left_bottom()];
        corners.map(|at| self.view.to_picture(canvas, at))
    }

    /// The corners of the painting, picture units.
    pub(crate) fn corners(&self) -> [DVec2; 4] {
        let c = self.corner();
        [c, DVec2::new(-c.x, c.y), -c, DVec2::new(c.x, -c.y)]
    }

    fn corner(&self) -> DVec2 {
        let (width, height) = (f64::from(self.size.0), f64::from(self.size.1));
        DVec2::new(-0.5, -0.5 * height / width)
    }

    pub(crate) fn to_screen(&self, x: f64, y: f64) -> Pos2 {
        let at = self.corner() + DVec2::new(x, y) / f64::from(self.size.0);
        self.view.to_screen(self.canvas, at)
    }

    /// Which pixel of the picture lies under a screen point.
    pub(crate) fn to_pixel(&self, at: Pos2) -> DVec2 {
        (self.view.to_picture(self.canvas, at) - self.corner()) * f64::from(self.size.0)
    }

    /// What the canvas shows, picture pixels.
    pub(crate) fn visible(&self) -> Region {
        let seen = self.view.visible(self.canvas);
        let to_pixels = |at: DVec2| (at - self.corner()) * f64::from(self.size.0);
        let (min, max) = (to_pixels(seen.min), to_pixels(seen.max));
        Region { left: min.x, top: min.y, right: max.x, bottom: max.y }
    }
}

/// A tile on the screen: one rectangle, however it is turned, or the cells that perspective needs.
fn mesh(
    texture: &TextureHandle,
    tile: &Tile,
    scale: &PictureScale,
    cells: Option<&Cells>,
) -> Shape {
    let mut mesh = Mesh::with_texture(texture.id());
    match cells {
        Some(cells) => cells.add(&mut mesh, tile, scale),
        None => add_quad(&mut mesh, tile, scale),
    }
    Shape::mesh(mesh)
}

fn add_quad(mesh: &mut Mesh, tile: &Tile, scale: &PictureScale) {
    let (place, uv) = (&tile.region, &tile.uv);
    let corners = [
        (place.left, place.top, uv.left, uv.top),
        (place.right, place.top, uv.right, uv.top),
        (place.right, place.bottom, uv.right, uv.bottom),
        (place.left, place.bottom, uv.left, uv.bottom),
    ];
    for (x, y, u, v) in corners {
        let uv = pos2(u as f32, v as f32);
        mesh.vertices.push(Vertex { pos: scale.to_screen(x, y), uv, color: Color32::WHITE });
    }
    mesh.add_triangle(0, 1, 2);
    mesh.add_triangle(0, 2, 3);
}
