use crate::canvas::view::View;
use egui::epaint::{CircleShape, CornerRadius, PathShape, PathStroke, RectShape};
use egui::{Align2, Color32, FontId, Galley, Painter, Pos2, Rect, Shape, Stroke, vec2};
use glam::DVec2;
use staffage_drawing::{Anchor, Colour, Drawing, Ink, PLATE_PADDING};
use staffage_solver::Homography;
use std::sync::Arc;

/// From the drawing's units to the screen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Placing {
    /// Picture units through the canvas's view.
    Picture(View, Rect),
    /// Points from this corner.
    Points(Pos2),
}

impl Placing {
    pub(crate) fn place(&self, at: DVec2) -> Pos2 {
        match self {
            Self::Picture(view, canvas) => view.to_screen(*canvas, at),
            Self::Points(corner) => *corner + vec2(at.x as f32, at.y as f32),
        }
    }

    /// Whether everything can be seen, wherever it lies.
    pub(crate) fn is_plain(&self) -> bool {
        match self {
            Self::Picture(view, _) => view.turn.is_none_or(Homography::is_affine),
            Self::Points(_) => true,
        }
    }

    /// The parts of a polyline that can be seen.
    pub(crate) fn polylines(&self, points: &[DVec2]) -> Vec<Vec<Pos2>> {
        let Self::Picture(view, canvas) = self else {
            return vec![points.iter().map(|p| self.place(*p)).collect()];
        };
        if points.iter().all(|p| view.faces(*canvas, *p)) {
            return vec![points.iter().map(|p| self.place(*p)).collect()];
        }
        let mut parts: Vec<Vec<Pos2>> = Vec::new();
        for pair in points.windows(2) {
            let Some([from, to]) = view.segment(*canvas, pair[0], pair[1]) else { continue };
            match parts.last_mut().filter(|part| part.last() == Some(&from)) {
                Some(part) => part.push(to),
                None => parts.push(vec![from, to]),
            }
        }
        parts
    }

    pub(crate) fn polygon(&self, corners: &[DVec2]) -> Vec<Pos2> {
        match self {
            Self::Picture(view, canvas) => view.polygon(*canvas, corners),
            Self::Points(_) => corners.iter().map(|p| self.place(*p)).collect(),
        }
    }

    /// Whether something at this point can be seen.
    pub(crate) fn faces(&self, at: DVec2) -> bool {
        match self {
            Self::Picture(view, canvas) => view.faces(*canvas, at),
            Self::Points(_) => true,
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
    let mut shapes = Vec::new();
    for ink in ink {
        add(painter, ink, placing, &mut shapes);
    }
    painter.extend(shapes);
}

/// A colour of the drawing as egui's.
#[must_use]
pub(crate) fn colour(Colour([r, g, b, a]): Colour) -> Color32 {
    Color32::from_rgba_unmultiplied(r, g, b, a)
}

fn add(painter: &Painter, ink: &Ink, placing: Placing, shapes: &mut Vec<Shape>) {
    match ink {
        Ink::Stroke { points, width, colour: c, dash } => {
            for points in placing.polylines(points) {
                add_stroke(points, Stroke::new(*width as f32, colour(*c)), *dash, shapes);
            }
        }
        Ink::Fill { points, colour: c } => {
            let points = placing.polygon(points);
            shapes.push(PathShape::convex_polygon(points, colour(*c), PathStroke::NONE).into());
        }
        Ink::Disc { centre: at, .. } | Ink::Words { at, .. } if !placing.faces(*at) => {}
        Ink::Disc { centre, radius, colour: c, outline } => {
            let (width, line) =
                outline.map_or((0.0, Color32::TRANSPARENT), |(w, c)| (w, colour(c)));
            shapes.push(Shape::Circle(CircleShape {
                center: placing.place(*centre),
                radius: *radius as f32,
                fill: colour(*c),
                stroke: Stroke::new(width as f32, line),
            }));
        }
        Ink::Words { at, offset, text, size, colour: c, plate, anchor } => {
            let at = placing.place(*at) + vec2(offset.x as f32, offset.y as f32);
            let font = FontId::proportional(*size as f32);
            let galley = painter.layout_no_wrap(text.clone(), font, colour(*c));
            add_words(at, &galley, colour(*c), plate.map(colour), *anchor, shapes);
        }
    }
}

fn add_stroke(
    mut points: Vec<Pos2>,
    stroke: Stroke,
    dash: Option<(f64, f64)>,
    shapes: &mut Vec<Shape>,
) {
    if let Some((on, off)) = dash {
        shapes.extend(Shape::dashed_line(&points, stroke, on as f32, off as f32));
    } else if points.len() > 2 && points.first() == points.last() {
        points.pop();
        shapes.push(Shape::closed_line(points, stroke));
    } else if let [a, b] = points[..] {
        shapes.push(Shape::LineSegment { points: [a, b], stroke });
    } else {
        shapes.push(Shape::line(points, stroke));
    }
}

pub(crate) fn add_words(
    at: Pos2,
    galley: &Arc<Galley>,
    colour: Color32,
    plate: Option<Color32>,
    anchor: Anchor,
    shapes: &mut Vec<Shape>,
) {
    let align = match anchor {
        Anchor::Left => Align2::LEFT_CENTER,
        Anchor::Centre => Align2::CENTER_CENTER,
        Anchor::Right => Align2::RIGHT_CENTER,
    };
    let rect = align.anchor_size(at, galley.size());
    let padding = vec2(PLATE_PADDING.x as f32, PLATE_PADDING.y as f32);
    if let Some(fill) = plate {
        let round = CornerRadius::same(3);
        shapes.push(RectShape::filled(rect.expand2(padding), round, fill).into());
    }
    shapes.push(Shape::galley(rect.min, Arc::clone(galley), colour));
}
