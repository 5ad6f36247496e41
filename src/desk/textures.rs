use crate::view::View;
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
        for tile in tiles {
            if let Some(held) = self.held.get_mut(&tile.key) {
                held.seen = self.frame;
                painter.add(quad(&held.texture, &tile, scale));
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
    pub(crate) fn points_per_pixel(&self) -> f64 {
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
    pub(crate) fn visible(&self) -> Region {
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
