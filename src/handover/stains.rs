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

#[cfg(test)]
mod tests {
    use super::*;
    use vello_cpu::kurbo::Rect;

    const BLACK: Colour = Colour([0, 0, 0, 255]);

    /// The stains of some ink on a page 100 × 50 points large, three pixels to the point.
    fn stains(ink: &Ink) -> Vec<Stain> {
        let view = View::of_part(DVec2::ZERO, DVec2::new(1.0, 0.5), 100.0);
        let mut stainer = Stainer::new(view, 3.0);
        stainer.ink(ink);
        stainer.finish()
    }

    fn bounds(stain: &Stain) -> Rect {
        stain.outline.bounding_box()
    }

    fn stroke(points: &[(f64, f64)], dash: Option<(f64, f64)>) -> Vec<Stain> {
        let points = points.iter().map(|&(x, y)| DVec2::new(x, y)).collect();
        stains(&Ink::Stroke { points, width: 2.0, colour: BLACK, dash })
    }

    fn words(anchor: Anchor, plate: Option<Colour>) -> Vec<Stain> {
        stains(&Ink::Words {
            at: DVec2::new(0.5, 0.25),
            offset: DVec2::new(2.0, 1.0),
            text: "HHH".into(),
            size: 10.0,
            colour: BLACK,
            plate,
            anchor,
        })
    }

    #[test]
    fn a_line_is_as_wide_as_its_pen_and_ends_where_it_ends() {
        let line = stroke(&[(0.1, 0.2), (0.6, 0.2)], None);
        assert_eq!(bounds(&line[0]), Rect::new(30.0, 57.0, 180.0, 63.0));
        assert_eq!((line[0].top, line[0].bottom), (57.0, 63.0));
    }

    #[test]
    fn dashes_leave_gaps() {
        let line = stroke(&[(0.1, 0.2), (0.6, 0.2)], Some((4.0, 6.0)));
        let area = line[0].outline.area().abs();
        assert!((area - 0.4 * 150.0 * 6.0).abs() < 1e-6, "{area}");
    }

    #[test]
    fn a_closed_line_is_joined_where_it_began() {
        let square = [(0.1, 0.1), (0.3, 0.1), (0.3, 0.3), (0.1, 0.3), (0.1, 0.1)];
        // The first corner is as round as the last.
        let outer = bounds(&stroke(&square, None)[0]);
        assert!((outer.x0 - 27.0).abs() < 0.05 && (outer.y0 - 27.0).abs() < 0.05, "{outer:?}");
        let corner = |closed: &[(f64, f64)]| {
            stroke(closed, None)[0].outline.winding(Point::new(28.5, 28.5)) != 0
        };
        assert!(corner(&square) && !corner(&square[..4]));
    }

    #[test]
    fn a_ring_is_a_line_alone() {
        let clear = Colour([0, 0, 0, 0]);
        let centre = DVec2::new(0.5, 0.25);
        let ring = Ink::Disc { centre, radius: 4.0, colour: clear, outline: Some((2.0, BLACK)) };
        let ring = stains(&ring);
        assert_eq!(ring.len(), 1);
        let outer = bounds(&ring[0]);
        assert!((outer.width() - 30.0).abs() < 0.1, "{outer:?}");
        assert!(outer.center().distance(Point::new(150.0, 75.0)) < 0.05, "{outer:?}");
        assert_eq!(ring[0].outline.winding(Point::new(150.0, 75.0)), 0);
    }

    #[test]
    fn words_hang_on_their_anchor_and_lie_halfway_up() {
        let at = Point::new(156.0, 78.0);
        let of = |anchor| bounds(&words(anchor, None)[0]);
        let (left, centre, right) = (of(Anchor::Left), of(Anchor::Centre), of(Anchor::Right));
        // Letters keep a little room to either side.
        assert!((0.0..5.0).contains(&(left.x0 - at.x)), "{left:?}");
        assert!((0.0..5.0).contains(&(at.x - right.x1)), "{right:?}");
        assert!((centre.center().x - at.x).abs() < 0.5, "{centre:?}");
        assert!((centre.center().y - at.y).abs() < 2.0, "{centre:?}");
    }

    #[test]
    fn a_plate_lies_under_its_words_and_encloses_them() {
        let plated = words(Anchor::Left, Some(Colour([9, 9, 9, 200])));
        let (plate, letters) = (bounds(&plated[0]), bounds(&plated[1]));
        assert!(plate.inflate(-9.0, -6.0).union(letters) == plate.inflate(-9.0, -6.0));
        assert!((plate.x0 - (156.0 - 3.0 * PLATE_PADDING.x)).abs() < 1e-6, "{plate:?}");
    }
}
