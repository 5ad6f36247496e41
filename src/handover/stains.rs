//! Ink in points to outlines in pixels.

use crate::typeface::Typeface;
use glam::DVec2;
use staffage_drawing::{Anchor, Colour, Ink, PLATE_PADDING, View};
use vello_cpu::kurbo::{
    self, Affine, BezPath, Cap, Circle, Join, Point, RoundedRect, Shape, Stroke, StrokeOpts,
};

/// How far an outline may lie beside the curve that it stands for, pixels.
const TOLERANCE: f64 = 0.02;

/// How round the corners of a plate are, points.
const PLATE_CORNER: f64 = 3.0;

/// A filled outline in pixels of the whole picture.
pub(crate) struct Stain {
    pub(crate) outline: BezPath,
    pub(crate) colour: Colour,
    /// The rows that it touches: from here …
    pub(crate) top: f64,
    /// … to here.
    pub(crate) bottom: f64,
}

/// Turns ink into stains, in the order it is put down.
pub(crate) struct Stainer {
    view: View,
    /// Pixels to the point.
    scale: f64,
    face: Typeface,
    stains: Vec<Stain>,
}

impl Stainer {
    pub(crate) fn new(view: View, scale: f64) -> Self {
        Self { view, scale, face: Typeface::regular(), stains: Vec::new() }
    }

    pub(crate) fn finish(self) -> Vec<Stain> {
        self.stains
    }

    pub(crate) fn ink(&mut self, ink: &Ink) {
        match ink {
            Ink::Stroke { points, width, colour, dash } => {
                let path = self.path(points);
                self.stroke(&path, *width, *dash, *colour);
            }
            Ink::Fill { points, colour } => {
                let mut path = self.path(points);
                path.close_path();
                self.stain(path, *colour);
            }
            Ink::Disc { centre, radius, colour, outline } => {
                let circle = Circle::new(self.place(*centre), radius * self.scale);
                let path = circle.to_path(TOLERANCE);
                if let Some((width, line)) = outline {
                    self.stain(path.clone(), *colour);
                    self.stroke(&path, *width, None, *line);
                } else {
                    self.stain(path, *colour);
                }
            }
            Ink::Words { at, offset, text, size, colour, plate, anchor } => {
                let at = self.place(*at) + vector(*offset) * self.scale;
                self.words(at, text, size * self.scale, (*colour, *plate), *anchor);
            }
        }
    }

    /// Writes a line of text of this height, all in pixels, its middle at `at`.
    fn words(
        &mut self,
        at: Point,
        text: &str,
        size: f64,
        (colour, plate): (Colour, Option<Colour>),
        anchor: Anchor,
    ) {
        let line = self.face.set(text);
        let anchored = match anchor {
            Anchor::Left => line.extent.x0,
            Anchor::Centre => line.extent.center().x,
            Anchor::Right => line.extent.x1,
        };
        let middle = Point::new(anchored, line.extent.center().y);
        let placing = Affine::translate(at.to_vec2())
            * Affine::scale(size)
            * Affine::translate(-middle.to_vec2());
        if let Some(plate) = plate {
            let padding = PLATE_PADDING * self.scale;
            let rect = placing.transform_rect_bbox(line.extent).inflate(padding.x, padding.y);
            let plate_shape = RoundedRect::from_rect(rect, PLATE_CORNER * self.scale);
            self.stain(plate_shape.to_path(TOLERANCE), plate);
        }
        self.stain(placing * line.letters, colour);
    }

    fn stroke(&mut self, path: &BezPath, width: f64, dash: Option<(f64, f64)>, colour: Colour) {
        let mut style = Stroke::new(width * self.scale).with_join(Join::Round).with_caps(Cap::Butt);
        if let Some((on, off)) = dash {
            style = style.with_dashes(0.0, [on * self.scale, off * self.scale]);
        }
        let outline = kurbo::stroke(path, &style, &StrokeOpts::default(), TOLERANCE);
        self.stain(outline, colour);
    }

    fn stain(&mut self, outline: BezPath, colour: Colour) {
        let bounds = outline.bounding_box();
        if colour.0[3] > 0 && !outline.is_empty() && bounds.is_finite() {
            self.stains.push(Stain { outline, colour, top: bounds.y0, bottom: bounds.y1 });
        }
    }

    /// A polyline; closed when it ends where it began.
    fn path(&self, points: &[DVec2]) -> BezPath {
        let closed = points.len() > 3 && points.first() == points.last();
        let open = if closed { &points[1..] } else { points };
        let mut path = BezPath::new();
        for (i, point) in open.iter().enumerate() {
            let at = self.place(*point);
            if i == 0 { path.move_to(at) } else { path.line_to(at) }
        }
        if closed {
            path.close_path();
        }
        path
    }

    /// A position of the drawing in pixels from the picture's upper left corner.
    fn place(&self, at: DVec2) -> Point {
        let at = (at - self.view.min) * self.view.points_per_unit * self.scale;
        Point::new(at.x, at.y)
    }
}

fn vector(v: DVec2) -> kurbo::Vec2 {
    kurbo::Vec2::new(v.x, v.y)
}
