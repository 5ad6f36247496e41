//! Ink as triangles: laid down once, and put on the screen as it is for as long as nothing changes.

use crate::canvas::brushes::{Brushes, Spot, Stripe};
use crate::canvas::ink::{Placing, add_words, colour};
use egui::epaint::{
    CircleShape, Mesh, PathShape, PathStroke, Shape, TessellationOptions, Tessellator, Vertex,
};
use egui::{Color32, FontId, Painter, Pos2, Rect, Stroke, Vec2, pos2, vec2};
use glam::DVec2;
use staffage_drawing::{Anchor, Drawing, Ink};
use std::sync::Arc;

/// A rectangle that is no wider is stamped like a stroke, pixels.
const STAMPED: f32 = 9.0;

/// Ink in its places on the screen.
pub(crate) struct LaidInk {
    placing: Placing,
    pixels_per_point: f32,
    pieces: Vec<Piece>,
}

/// Words are laid out in each frame, which is quick: their letters lie in a texture that is egui's own.
enum Piece {
    Mesh(Arc<Mesh>),
    Words(Words),
}

struct Words {
    at: Pos2,
    text: String,
    font: FontId,
    colour: Color32,
    plate: Option<Color32>,
    anchor: Anchor,
}

impl LaidInk {
    /// Puts a drawing on the screen: as it lies there already, or laid down anew.
    pub(crate) fn keep(
        laid: &mut Option<Self>,
        drawing: &Drawing,
        placing: Placing,
        painter: &Painter,
        brushes: &mut Brushes,
    ) {
        let kept = laid.take().filter(|laid| laid.is_at(placing, painter));
        let kept = kept.unwrap_or_else(|| Self::of(drawing, placing, painter, brushes));
        laid.insert(kept).paint(painter);
    }

    /// Lays ink down.
    fn of(drawing: &Drawing, placing: Placing, painter: &Painter, brushes: &mut Brushes) -> Self {
        let pixels_per_point = painter.pixels_per_point();
        let options = painter.ctx().options(|o| o.tessellation_options);
        let mut hand = Hand::new(pixels_per_point, options, brushes);
        // Most of it is stamped: four corners each.
        let many: usize = drawing.groups.iter().map(|group| group.ink.len()).sum();
        hand.mesh.vertices.reserve(4 * many);
        hand.mesh.indices.reserve(6 * many);
        for ink in drawing.ink() {
            hand.add(ink, placing);
        }
        hand.lift();
        Self { placing, pixels_per_point, pieces: hand.pieces }
    }

    /// Whether it still lies where it ought to.
    fn is_at(&self, placing: Placing, painter: &Painter) -> bool {
        self.placing == placing && self.pixels_per_point == painter.pixels_per_point()
    }

    fn paint(&self, painter: &Painter) {
        // Laying out words locks the context, which adding shapes to it does too: one after the other.
        let mut shapes = Vec::with_capacity(2 * self.pieces.len());
        for piece in &self.pieces {
            match piece {
                Piece::Mesh(mesh) => shapes.push(Shape::Mesh(Arc::clone(mesh))),
                Piece::Words(w) => {
                    let galley = painter.layout_no_wrap(w.text.clone(), w.font.clone(), w.colour);
                    add_words(w.at, &galley, w.colour, w.plate, w.anchor, &mut shapes);
                }
            }
        }
        painter.extend(shapes);
    }
}

/// Lays ink down piece by piece.
struct Hand<'a> {
    pixels_per_point: f32,
    brushes: &'a mut Brushes,
    /// For what is not stamped.
    tessellator: Tessellator,
    mesh: Mesh,
    pieces: Vec<Piece>,
}

impl<'a> Hand<'a> {
    fn new(pixels_per_point: f32, options: TessellationOptions, brushes: &'a mut Brushes) -> Self {
        // Filled shapes take the white corner of whatever texture; egui's own spots are not used.
        let tessellator = Tessellator::new(pixels_per_point, options, [1, 1], Vec::new());
        let (mesh, pieces) = (Mesh::default(), Vec::new());
        Self { pixels_per_point, brushes, tessellator, mesh, pieces }
    }

    /// Ends the piece under way.
    fn lift(&mut self) {
        let mut mesh = std::mem::take(&mut self.mesh);
        if !mesh.is_empty() {
            mesh.texture_id = self.brushes.texture();
            self.pieces.push(Piece::Mesh(Arc::new(mesh)));
        }
    }

    fn add(&mut self, ink: &Ink, placing: Placing) {
        match ink {
            Ink::Stroke { points, width, colour: c, dash } => {
                let stroke = Stroke::new(*width as f32, colour(*c));
                if let ([a, b], None, true) = (&points[..], dash, placing.is_plain()) {
                    self.segment([placing.place(*a), placing.place(*b)], stroke);
                    return;
                }
                for points in placing.polylines(points) {
                    self.polyline(points, stroke, *dash);
                }
            }
            Ink::Fill { points, colour: c } => {
                if let ([a, b, c_, d], true) = (&points[..], placing.is_plain()) {
                    let corners = [a, b, c_, d].map(|p| placing.place(*p));
                    if self.rectangle(corners, colour(*c)) {
                        return;
                    }
                }
                self.fill(placing.polygon(points), colour(*c));
            }
            Ink::Disc { centre: at, .. } | Ink::Words { at, .. } if !placing.faces(*at) => {}
            Ink::Disc { centre, radius, colour: c, outline } => {
                let outline = outline.map(|(width, c)| (width as f32, colour(c)));
                self.disc(placing.place(*centre), *radius as f32, colour(*c), outline);
            }
            Ink::Words { at, offset, text, size, colour: c, plate, anchor } => {
                self.lift();
                self.pieces.push(Piece::Words(Words {
                    at: placing.place(*at) + to_vec2(*offset),
                    text: text.clone(),
                    font: FontId::proportional(*size as f32),
                    colour: colour(*c),
                    plate: plate.map(colour),
                    anchor: *anchor,
                }));
            }
        }
    }

    fn polyline(&mut self, mut points: Vec<Pos2>, stroke: Stroke, dash: Option<(f64, f64)>) {
        if let Some((on, off)) = dash {
            for dash in Shape::dashed_line(&points, stroke, on as f32, off as f32) {
                match dash {
                    Shape::LineSegment { points, stroke } => self.segment(points, stroke),
                    other => self.tessellator.tessellate_shape(other, &mut self.mesh),
                }
            }
        } else if let [a, b] = points[..] {
            self.segment([a, b], stroke);
        } else {
            let closed = points.first() == points.last();
            if closed {
                points.pop();
            }
            let (fill, stroke) = (Color32::TRANSPARENT, stroke.into());
            let path = PathShape { points, closed, fill, stroke };
            self.tessellator.tessellate_path(&path, &mut self.mesh);
        }
    }

    fn segment(&mut self, [mut a, mut b]: [Pos2; 2], stroke: Stroke) {
        // A level or plumb stroke has sharp edges.
        if a.x == b.x {
            stroke.round_center_to_pixel(self.pixels_per_point, &mut a.x);
            b.x = a.x;
        } else if a.y == b.y {
            stroke.round_center_to_pixel(self.pixels_per_point, &mut a.y);
            b.y = a.y;
        }
        match self.brushes.stroke(stroke.width * self.pixels_per_point) {
            Some(stripe) => self.stripe([a, b], stripe, stroke.color),
            None => self.tessellator.tessellate_line_segment([a, b], stroke, &mut self.mesh),
        }
    }

    /// Stamps a stroke.
    fn stripe(&mut self, [a, b]: [Pos2; 2], Stripe { row, reach }: Stripe, colour: Color32) {
        let across = (b - a).normalized().rot90() * (reach / self.pixels_per_point);
        if across == Vec2::ZERO {
            return;
        }
        let (left, right) = (pos2(0.0, row), pos2(Stripe::END, row));
        self.quad(
            [(a + across, left), (b + across, left), (b - across, right), (a - across, right)],
            colour,
        );
    }

    /// Stamps a slender rectangle whose first side runs along it, the way that staffs are banded and
    /// edged; whether it is one.
    fn rectangle(&mut self, [a, b, c, d]: [Pos2; 4], colour: Color32) -> bool {
        let (along, across) = (b - a, c - b);
        let skew = (along.dot(across)).abs() > 0.02 * along.length() * across.length();
        let width = across.length() * self.pixels_per_point;
        if skew || (a - b + (c - d)).length() * self.pixels_per_point > 0.1 || width > STAMPED {
            return false;
        }
        let Some(stripe) = self.brushes.stroke(width) else { return false };
        self.stripe([a + 0.5 * (d - a), b + 0.5 * across], stripe, colour);
        true
    }

    fn fill(&mut self, points: Vec<Pos2>, colour: Color32) {
        let path = PathShape::convex_polygon(points, colour, PathStroke::NONE);
        self.tessellator.tessellate_path(&path, &mut self.mesh);
    }

    fn disc(&mut self, at: Pos2, radius: f32, fill: Color32, outline: Option<(f32, Color32)>) {
        let (width, line) = outline.unwrap_or((0.0, Color32::TRANSPARENT));
        let [inner, outer] = [radius, radius + width].map(|r| r * self.pixels_per_point);
        let rounds = [(0.0, inner, fill), (inner, outer, line)];
        let wanted = rounds.map(|(_, outer, colour)| outer > 0.0 && colour != Color32::TRANSPARENT);
        for ((inner, outer, colour), wanted) in rounds.into_iter().zip(wanted) {
            if !wanted {
                continue;
            }
            match self.brushes.ring(inner, outer) {
                Some(spot) => self.spot(at, spot, colour),
                None if inner > 0.0 => {
                    let stroke = Stroke::new(width, colour);
                    self.circle(CircleShape::stroke(at, radius, stroke));
                }
                None => self.circle(CircleShape::filled(at, radius, colour)),
            }
        }
    }

    fn circle(&mut self, circle: CircleShape) {
        self.tessellator.tessellate_circle(circle, &mut self.mesh);
    }

    fn spot(&mut self, at: Pos2, Spot { uv, reach }: Spot, colour: Color32) {
        let rect = Rect::from_center_size(at, Vec2::splat(2.0 * reach / self.pixels_per_point));
        self.quad(
            [
                (rect.left_top(), uv.left_top()),
                (rect.right_top(), uv.right_top()),
                (rect.right_bottom(), uv.right_bottom()),
                (rect.left_bottom(), uv.left_bottom()),
            ],
            colour,
        );
    }

    fn quad(&mut self, corners: [(Pos2, Pos2); 4], color: Color32) {
        let first = self.mesh.vertices.len() as u32;
        self.mesh.vertices.extend(corners.map(|(pos, uv)| Vertex { pos, uv, color }));
        self.mesh.indices.extend([0, 1, 2, 0, 2, 3].map(|corner| first + corner));
    }
}

fn to_vec2(by: DVec2) -> Vec2 {
    vec2(by.x as f32, by.y as f32)
}
