use crate::view::View;
use egui::epaint::{CornerRadius, PathShape, PathStroke, RectShape};
use egui::{Align2, Color32, FontId, Painter, Pos2, Rect, Shape, Stroke, pos2, vec2};
use glam::DVec2;
use staffage_drawing::{Anchor, Colour, Drawing, Ink, PLATE_PADDING};

/// From the drawing's units to the screen.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Placing {
    /// Picture units through the canvas's view.
    Picture(View, Rect),
    /// Points from this corner.
    Points(Pos2),
}

impl Placing {
    fn place(&self, at: DVec2) -> Pos2 {
        match self {
            Self::Picture(view, canvas) => view.to_screen(*canvas, at),
            Self::Points(corner) => *corner + vec2(at.x as f32, at.y as f32),
        }
    }
}

/// Puts a drawing down on the screen.
pub(crate) fn paint(painter: &Painter, drawing: &Drawing, placing: Placing) {
    put(painter, drawing.ink(), placing);
}

/// Puts some ink down on the screen.
pub(crate) fn put<'a>(painter: &Painter, ink: impl IntoIterator<Item = &'a Ink>, placing: Placing) {
    // Laying out words locks the context, which adding shapes to it does too: one after the other.
    let shapes: Vec<Shape> =
        ink.into_iter().flat_map(|ink| shapes(painter, ink, placing)).collect();
    painter.extend(shapes);
}

/// A colour of the drawing as egui's.
#[must_use]
pub(crate) fn colour(Colour([r, g, b, a]): Colour) -> Color32 {
    Color32::from_rgba_unmultiplied(r, g, b, a)
}

fn shapes(painter: &Painter, ink: &Ink, placing: Placing) -> Vec<Shape> {
    match ink {
        Ink::Stroke { points, width, colour: c, dash } => {
            let points = points.iter().map(|p| placing.place(*p)).collect();
            stroke(points, Stroke::new(*width as f32, colour(*c)), *dash)
        }
        Ink::Fill { points, colour: c } => {
            let points = points.iter().map(|p| placing.place(*p)).collect();
            vec![PathShape::convex_polygon(points, colour(*c), PathStroke::NONE).into()]
        }
        Ink::Disc { centre, radius, colour: c, outline } => {
            let (width, line) =
                outline.map_or((0.0, Color32::TRANSPARENT), |(w, c)| (w, colour(c)));
            vec![Shape::Circle(egui::epaint::CircleShape {
                center: placing.place(*centre),
                radius: *radius as f32,
                fill: colour(*c),
                stroke: Stroke::new(width as f32, line),
            })]
        }
        Ink::Words { at, offset, text, size, colour: c, plate, anchor } => {
            let at = placing.place(*at) + vec2(offset.x as f32, offset.y as f32);
            words(painter, at, text, *size as f32, colour(*c), plate.map(colour), *anchor)
        }
    }
}

fn stroke(mut points: Vec<Pos2>, stroke: Stroke, dash: Option<(f64, f64)>) -> Vec<Shape> {
    if let Some((on, off)) = dash {
        return Shape::dashed_line(&points, stroke, on as f32, off as f32);
    }
    let closed = points.len() > 2 && points.first() == points.last();
    if closed {
        points.pop();
        return vec![Shape::closed_line(points, stroke)];
    }
    vec![Shape::line(points, stroke)]
}

fn words(
    painter: &Painter,
    at: Pos2,
    text: &str,
    size: f32,
    colour: Color32,
    plate: Option<Color32>,
    anchor: Anchor,
) -> Vec<Shape> {
    let galley = painter.layout_no_wrap(text.to_owned(), FontId::proportional(size), colour);
    let align = match anchor {
        Anchor::Left => Align2::LEFT_CENTER,
        Anchor::Centre => Align2::CENTER_CENTER,
        Anchor::Right => Align2::RIGHT_CENTER,
    };
    let rect = align.anchor_size(at, galley.size());
    let padding = vec2(PLATE_PADDING.x as f32, PLATE_PADDING.y as f32);
    let behind = plate
        .map(|fill| RectShape::filled(rect.expand2(padding), CornerRadius::same(3), fill).into());
    let letters = Shape::galley(pos2(rect.min.x, rect.min.y), galley, colour);
    behind.into_iter().chain([letters]).collect()
}
