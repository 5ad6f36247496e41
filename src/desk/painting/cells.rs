//! A painting seen in perspective: its tiles cut into small cells of the screen, in each of which it is
//! as good as evenly enlarged.

use crate::painting::textures::PictureScale;
use egui::Pos2;
use egui::epaint::{Mesh, Vertex};
use egui::{Color32, pos2};
use glam::DVec2;
use staffage_picture::Tile;

/// How far off its place a pixel of the painting may be shown, screen pixels.
const OFF: f64 = 0.1;
/// Sides of a cell, points: smaller ones than needed cost time, larger ones nothing.
const SIDES: (f64, f64) = (3.0, 256.0);

/// The cells of the canvas, each with its corners in order.
pub(crate) struct Cells(Vec<[Corner; 4]>);

/// A point on the screen and in the painting, pixels.
#[derive(Clone, Copy, Debug)]
struct Corner {
    screen: Pos2,
    pixel: DVec2,
}

impl Cells {
    /// The cells that a view needs; `None` if it enlarges evenly everywhere.
    pub(crate) fn of(scale: &PictureScale, pixels_per_point: f64) -> Option<Self> {
        scale.view.turn.filter(|turn| !turn.is_affine())?;
        let canvas = scale.canvas;
        let side = side(scale, OFF / pixels_per_point);
        let count = |length: f32| (f64::from(length) / side).ceil().max(1.0) as usize;
        let (columns, rows) = (count(canvas.width()), count(canvas.height()));
        let corner = |column: usize, row: usize| {
            let share = |at: usize, of: usize| at as f32 / of as f32;
            let right = canvas.width() * share(column, columns);
            let screen = canvas.min + egui::vec2(right, canvas.height() * share(row, rows));
            Corner { screen, pixel: scale.to_pixel(screen) }
        };
        let corners: Vec<Corner> =
            (0..=rows).flat_map(|row| (0..=columns).map(move |at| corner(at, row))).collect();
        let at = |column: usize, row: usize| corners[row * (columns + 1) + column];
        let cell = |row: usize, at_column: usize| {
            let (right, below) = (at_column + 1, row + 1);
            [at(at_column, row), at(right, row), at(right, below), at(at_column, below)]
        };
        let cells = (0..rows).flat_map(|row| (0..columns).map(move |column| (row, column)));
        Some(Self(cells.map(|(row, column)| cell(row, column)).collect()))
    }

    /// Adds what these cells show of a tile.
    pub(crate) fn add(&self, mesh: &mut Mesh, tile: &Tile, scale: &PictureScale) {
        for cell in &self.0 {
            add_polygon(mesh, &clipped(cell, tile, scale), tile);
        }
    }
}

/// The longest side of a cell across which the painting is nowhere more than `off` points off its
/// place. Along an edge of length d whose ends have depths of ratio r it is off by at most
/// d (√r − 1) / (√r + 1), nearly d ln r / 4.
fn side(scale: &PictureScale, off: f64) -> f64 {
    let page = scale.view.page(scale.canvas);
    // The inverse of a depth changes evenly over the screen; it is least where the painting is
    // farthest.
    let farthest = scale.corners().map(|at| page.map.depth(at)).into_iter().fold(0.0, f64::max);
    let fall = page.map.inverse().fall().length();
    let diagonal = (4.0 * off / (farthest * fall)).sqrt();
    let side = diagonal / std::f64::consts::SQRT_2;
    if side.is_finite() { side.clamp(SIDES.0, SIDES.1) } else { SIDES.1 }
}

/// The part of a cell that lies on a tile (Sutherland and Hodgman 1974).
fn clipped(cell: &[Corner; 4], tile: &Tile, scale: &PictureScale) -> Vec<Corner> {
    let place = &tile.region;
    let sides = [
        (0, place.left, 1.0),
        (0, place.right, -1.0),
        (1, place.top, 1.0),
        (1, place.bottom, -1.0),
    ];
    let outside = |(axis, limit, sign): (usize, f64, f64)| {
        cell.iter().all(|c| sign * (c.pixel[axis] - limit) <= 0.0)
    };
    if sides.into_iter().any(outside) {
        return Vec::new();
    }
    let mut kept = cell.to_vec();
    for (axis, limit, sign) in sides {
        let inside = |c: &Corner| sign * (c.pixel[axis] - limit);
        if kept.iter().all(|c| inside(c) >= 0.0) {
            continue;
        }
        let corners = std::mem::take(&mut kept);
        for (i, b) in corners.iter().enumerate() {
            let a = &corners[(i + corners.len() - 1) % corners.len()];
            let (da, db) = (inside(a), inside(b));
            if (da < 0.0) != (db < 0.0) {
                let mut pixel = a.pixel.lerp(b.pixel, da / (da - db));
                pixel[axis] = limit;
                kept.push(Corner { screen: scale.to_screen(pixel.x, pixel.y), pixel });
            }
            if db >= 0.0 {
                kept.push(*b);
            }
        }
    }
    kept
}

fn add_polygon(mesh: &mut Mesh, corners: &[Corner], tile: &Tile) {
    if corners.len() < 3 {
        return;
    }
    let (place, uv) = (&tile.region, &tile.uv);
    let share = |at: f64, from: f64, to: f64| (at - from) / (to - from);
    let first = mesh.vertices.len() as u32;
    for corner in corners {
        let right = share(corner.pixel.x, place.left, place.right);
        let down = share(corner.pixel.y, place.top, place.bottom);
        let u = uv.left + right * (uv.right - uv.left);
        let v = uv.top + down * (uv.bottom - uv.top);
        let uv = pos2(u as f32, v as f32);
        mesh.vertices.push(Vertex { pos: corner.screen, uv, color: Color32::WHITE });
    }
    for last in 2..corners.len() as u32 {
        mesh.add_triangle(first, first + last - 1, first + last);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::canvas::view::View;
    use egui::{Rect, vec2};
    use staffage_picture::{Region, TileKey};
    use staffage_scene::Frame;
    use staffage_solver::{Eye, Homography};

    /// The two halves of a painting, whole textures each.
    fn tiles() -> [Tile; 2] {
        [0, 1].map(|column| Tile {
            key: TileKey { level: 0, column, row: 0 },
            region: Region {
                left: 1200.0 * f64::from(column),
                top: 0.0,
                right: 1200.0 * f64::from(column + 1),
                bottom: 1000.0,
            },
            uv: Region { left: 0.0, top: 0.0, right: 1.0, bottom: 1.0 },
        })
    }

    fn scale(pitch: f64, focal: f64, zoom: f64) -> PictureScale {
        let eye = Eye { focal, pitch, cant: 0.15, ..Eye::default() };
        let canvas = Rect::from_min_size(pos2(20.0, 30.0), vec2(1100.0, 700.0));
        let view = View { turn: Homography::plumb(&eye), ..View::plain(DVec2::ZERO, 900.0) };
        let frame = Frame { ratio: 2.4, working_width: 2400 };
        let fitted = view.fitted(frame, canvas);
        let view = fitted.zoomed(canvas, pos2(300.0, 200.0), zoom);
        PictureScale { size: (2400, 1000), view, canvas }
    }

    /// Weights of a point in a triangle; none outside or in one without an area.
    fn weights([a, b, c]: [DVec2; 3], at: DVec2) -> Option<[f64; 3]> {
        let whole = (b - a).perp_dot(c - a);
        let of = [(c - b).perp_dot(at - b), (a - c).perp_dot(at - c), (b - a).perp_dot(at - a)];
        let of = of.map(|part| part / whole);
        of.iter().all(|part| *part >= -1e-4).then_some(of)
    }

    #[test]
    fn nowhere_is_the_painting_a_quarter_of_a_screen_pixel_off_its_place() {
        for (pitch, focal, zoom) in
            [(0.3, 0.9, 1.0), (-0.6, 0.7, 1.0), (1.1, 0.5, 1.0), (0.5, 0.8, 12.0), (1.0, 0.5, 60.0)]
        {
            let scale = scale(pitch, focal, zoom);
            let cells = Cells::of(&scale, 2.0).unwrap();
            let mut tried = 0;
            for tile in tiles() {
                let mut mesh = Mesh::default();
                cells.add(&mut mesh, &tile, &scale);
                for triangle in mesh.indices.chunks(3) {
                    let corners = [0, 1, 2].map(|i| mesh.vertices[triangle[i] as usize]);
                    let screen =
                        corners.map(|v| DVec2::new(f64::from(v.pos.x), f64::from(v.pos.y)));
                    for mix in [[1.0, 1.0, 0.0], [0.0, 1.0, 1.0], [1.0, 0.0, 1.0], [1.0; 3]] {
                        let sum: f64 = mix.iter().sum();
                        let at = (0..3).map(|i| screen[i] * mix[i] / sum).sum::<DVec2>();
                        let uv = |i: usize| {
                            DVec2::new(f64::from(corners[i].uv.x), f64::from(corners[i].uv.y))
                        };
                        let uv = (0..3).map(|i| uv(i) * mix[i] / sum).sum::<DVec2>();
                        let (right, down) = (1200.0 * uv.x, 1000.0 * uv.y);
                        let shown =
                            scale.to_screen(tile.region.left + right, tile.region.top + down);
                        let off = shown - pos2(at.x as f32, at.y as f32);
                        assert!(2.0 * off.length() < 0.25, "{off:?} {pitch} {zoom}");
                        tried += 1;
                    }
                }
            }
            assert!(tried > 20, "{tried} {pitch} {zoom}");
            assert!(tried < 800_000, "{tried} {pitch} {zoom}");
        }
    }

    #[test]
    fn the_cells_cover_all_of_the_painting_that_is_on_the_canvas() {
        let scale = scale(0.4, 0.8, 1.0);
        let cells = Cells::of(&scale, 1.0).unwrap();
        let meshes = tiles().map(|tile| {
            let mut mesh = Mesh::default();
            cells.add(&mut mesh, &tile, &scale);
            mesh
        });
        for x in 1..24 {
            for y in 1..10 {
                let at = scale.to_screen(100.0 * f64::from(x) + 0.5, 100.0 * f64::from(y) + 0.5);
                let at = DVec2::new(f64::from(at.x), f64::from(at.y));
                let covered = meshes.iter().any(|mesh| {
                    mesh.indices.chunks(3).any(|triangle| {
                        let corner = |i: usize| {
                            let at = mesh.vertices[triangle[i] as usize].pos;
                            DVec2::new(f64::from(at.x), f64::from(at.y))
                        };
                        weights([0, 1, 2].map(corner), at).is_some()
                    })
                });
                assert!(covered, "{x} {y}");
            }
        }
    }

    #[test]
    fn a_view_that_enlarges_evenly_needs_no_cells() {
        let mut scale = scale(0.4, 0.8, 1.0);
        for turn in [None, Some(Homography::turned(DVec2::ZERO, 0.3))] {
            scale.view = View { turn, ..scale.view };
            assert!(Cells::of(&scale, 1.0).is_none());
        }
    }
}
