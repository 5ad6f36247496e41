use crate::bounds::Bounds;
use crate::palette::DARK;
use crate::words::one_line;
use crate::{Anchor, Colour, Corners, Ink, Page, View};
use glam::DVec2;

/// No ink is put farther out than this, units.
const FARTHEST: f64 = 1e4;

/// Ink beyond the edge of the paper that keeps cut ends and thick strokes out of sight, points.
const BLEED: f64 = 24.0;

/// Height of small type, points.
pub(crate) const SMALL: f64 = 11.0;

/// Collects ink, cut to the paper; what is not finite is left out.
#[derive(Clone, Debug)]
pub(crate) struct Pen {
    paper: Bounds,
    unit: f64,
    /// How the paper is seen, if it is turned.
    page: Option<Page>,
    ink: Vec<Ink>,
}

impl Pen {
    /// A pen for paper of this size, `points_per_unit` points to the unit; none if the paper is
    /// empty or not finite.
    pub(crate) fn new(paper: Bounds, points_per_unit: f64) -> Option<Self> {
        let usable = paper.min.is_finite() && paper.max.is_finite();
        let usable = usable && paper.size().cmpgt(DVec2::ZERO).all();
        let unit = 1.0 / points_per_unit;
        if !usable || !unit.is_finite() || unit <= 0.0 {
            return None;
        }
        let paper = paper.grown(BLEED * unit);
        let farthest = DVec2::splat(FARTHEST);
        let paper = Bounds {
            min: paper.min.clamp(-farthest, farthest),
            max: paper.max.clamp(-farthest, farthest),
        };
        paper.size().cmpgt(DVec2::ZERO).all().then_some(Self {
            paper,
            unit,
            page: None,
            ink: Vec::new(),
        })
    }

    /// A pen for the whole of a view.
    pub(crate) fn of_view(view: &View) -> Option<Self> {
        let pen = Self::new(Bounds { min: view.min, max: view.max }, view.points_per_unit)?;
        Some(Self { page: view.page, ..pen })
    }

    /// What lies so many points to the right of a point and below it, as the paper is seen.
    pub(crate) fn beside(&self, at: DVec2, by: DVec2) -> DVec2 {
        match self.page {
            Some(page) => page.map.inverse().place(page.map.place(at) + by),
            None => at + by * self.unit,
        }
    }

    /// A length in points as a length in units.
    pub(crate) fn units(&self, points: f64) -> f64 {
        points * self.unit
    }

    /// A length in units as a length in points.
    pub(crate) fn points(&self, units: f64) -> f64 {
        units / self.unit
    }

    /// Whether a point is on the paper or its bleed.
    pub(crate) fn reaches(&self, p: DVec2) -> bool {
        self.paper.contains(p)
    }

    /// The part of a segment that is on the paper or its bleed.
    pub(crate) fn visible(&self, a: DVec2, b: DVec2) -> Option<(DVec2, DVec2)> {
        self.paper.clip_segment(a, b)
    }

    /// The part of an infinite line that is on the paper or its bleed; see [`Bounds::clip_line`].
    pub(crate) fn visible_line(&self, normal: DVec2, offset: f64) -> Option<(DVec2, DVec2)> {
        self.paper.clip_line(normal, offset)
    }

    /// Hands over what was drawn since last time.
    pub(crate) fn take(&mut self) -> Vec<Ink> {
        // As long as it has to be; the pen keeps its room for what comes next.
        self.ink.drain(..).collect()
    }

    /// A straight line.
    pub(crate) fn line(&mut self, a: DVec2, b: DVec2, width: f64, colour: Colour) {
        if let Some((a, b)) = self.visible(a, b) {
            self.ink.push(Ink::Stroke {
                points: Corners::from_slice(&[a, b]),
                width,
                colour,
                dash: None,
            });
        }
    }

    /// A straight line with a dark edge, readable on any painting.
    pub(crate) fn edged_line(&mut self, a: DVec2, b: DVec2, width: f64, colour: Colour) {
        let edge = DARK.faded(0.55 * f64::from(colour.0[3]) / 255.0);
        self.line(a, b, width + 2.0, edge);
        self.line(a, b, width, colour);
    }

    /// A dashed straight line.
    pub(crate) fn dashes(
        &mut self,
        a: DVec2,
        b: DVec2,
        width: f64,
        colour: Colour,
        dash: (f64, f64),
    ) {
        let Some((from, to)) = self.visible(a, b) else { return };
        // Dashes stay put on the painting while it is moved: cut only at the start of a dash.
        let period = self.units(dash.0 + dash.1);
        let back = (from - a).length() % period;
        let from = if back.is_finite() { from - back * (b - a).normalize_or_zero() } else { from };
        let points = Corners::from_slice(&[from, to]);
        self.ink.push(Ink::Stroke { points, width, colour, dash: Some(dash) });
    }

    /// A polyline through at least two points.
    pub(crate) fn polyline(
        &mut self,
        points: impl IntoIterator<Item = DVec2>,
        width: f64,
        colour: Colour,
        dash: Option<(f64, f64)>,
    ) {
        let points: Corners = points.into_iter().collect();
        if points.len() > 1 && points.iter().all(|&p| self.reaches(p)) {
            self.ink.push(Ink::Stroke { points, width, colour, dash });
            return;
        }
        for pair in points.windows(2) {
            match dash {
                Some(dash) => self.dashes(pair[0], pair[1], width, colour, dash),
                None => self.line(pair[0], pair[1], width, colour),
            }
        }
    }

    /// The outline of a polygon.
    pub(crate) fn outline(
        &mut self,
        corners: &[DVec2],
        width: f64,
        colour: Colour,
        dash: Option<(f64, f64)>,
    ) {
        let closed: Corners = corners.iter().chain(corners.first()).copied().collect();
        self.polyline(closed, width, colour, dash);
    }

    /// A filled convex polygon.
    pub(crate) fn fill(&mut self, corners: impl IntoIterator<Item = DVec2>, colour: Colour) {
        let corners: Corners = corners.into_iter().collect();
        if !corners.iter().all(|p| p.is_finite()) {
            return;
        }
        let points = if corners.iter().all(|&p| self.reaches(p)) {
            corners
        } else {
            self.paper.clip_polygon(corners.into_vec()).into()
        };
        if points.len() > 2 {
            self.ink.push(Ink::Fill { points, colour });
        }
    }

    /// A round spot, its radius in points.
    pub(crate) fn disc(
        &mut self,
        centre: DVec2,
        radius: f64,
        colour: Colour,
        outline: Option<(f64, Colour)>,
    ) {
        if self.reaches(centre) {
            self.ink.push(Ink::Disc { centre, radius, colour, outline });
        }
    }

    /// One line of text, `offset` points from its point.
    pub(crate) fn words(&mut self, at: DVec2, offset: DVec2, anchor: Anchor, style: Type<'_>) {
        if self.reaches(at) && offset.is_finite() {
            self.ink.push(Ink::Words {
                at,
                offset,
                text: one_line(style.text),
                size: style.size,
                colour: style.colour,
                plate: style.plate,
                anchor,
            });
        }
    }
}

/// A text and how it looks.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Type<'a> {
    pub(crate) text: &'a str,
    pub(crate) size: f64,
    pub(crate) colour: Colour,
    pub(crate) plate: Option<Colour>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::palette::WHITE;

    fn pen() -> Pen {
        Pen::new(Bounds::around(DVec2::ZERO, DVec2::ONE), 100.0).unwrap()
    }

    #[test]
    fn paper_that_is_not_finite_gets_no_pen() {
        let empty = Bounds { min: DVec2::ZERO, max: DVec2::ZERO };
        let endless = Bounds::around(DVec2::ZERO, DVec2::INFINITY);
        assert!(Pen::new(empty, 1.0).is_none());
        assert!(Pen::new(endless, 1.0).is_none());
        assert!(Pen::new(Bounds::around(DVec2::ZERO, DVec2::ONE), 0.0).is_none());
        assert!(Pen::new(Bounds::around(DVec2::splat(1e9), DVec2::ONE), 1.0).is_none());
    }

    #[test]
    fn what_is_not_finite_leaves_no_ink() {
        let mut pen = pen();
        pen.line(DVec2::NAN, DVec2::ZERO, 1.0, WHITE);
        pen.fill(vec![DVec2::ZERO, DVec2::X, DVec2::new(0.0, f64::INFINITY)], WHITE);
        pen.disc(DVec2::NAN, 1.0, WHITE, None);
        pen.dashes(DVec2::ZERO, DVec2::NAN, 1.0, WHITE, (2.0, 2.0));
        assert!(pen.take().is_empty());
    }

    #[test]
    fn dashes_begin_at_the_same_places_however_the_line_is_cut() {
        let mut pen = pen();
        pen.dashes(DVec2::new(-3.33, 0.0), DVec2::new(3.0, 0.0), 1.0, WHITE, (3.0, 2.0));
        let ink = pen.take();
        let Some(Ink::Stroke { points, .. }) = ink.first() else { panic!("{ink:?}") };
        let dashes = (points[0].x + 3.33) / 0.05;
        assert!((dashes - dashes.round()).abs() < 1e-9, "{dashes}");
        assert!(points[0].x <= -1.24, "{points:?}");
    }
}
