use super::SectionView;
use crate::Axis;
use crate::shown::Shown;
use glam::DVec2;
use staffage_scene::{Span, Unit};

/// Room around the plot for the axes' numbers and the topmost mark, points: left, top, right,
/// bottom.
const MARGINS: [f64; 4] = [48.0, 26.0, 14.0, 24.0];

/// More room at the top for the words about what is left out, points.
const WORDS: f64 = 12.0;

/// Most decades of distance and of height that are drawn; what lies farther out is put at the edge.
const MOST_DECADES: i32 = 9;

/// Where distances and heights lie on the paper of a section, points from its upper left corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Paper {
    min: DVec2,
    max: DVec2,
    axis: Axis,
    /// Nearest and farthest distance, in the section's unit.
    distances: (f64, f64),
    /// Lowest and highest height, in the section's unit.
    heights: (f64, f64),
    /// The same as they are laid out.
    laid: (f64, f64),
    /// Height up to which the height axis is about even.
    even: f64,
    /// Height of the eye over height zero.
    eye_height: f64,
}

impl Paper {
    /// Paper on which everything shown has its place, unless the view says what is shown of it; none
    /// if nothing is shown.
    pub(super) fn for_shown(shown: &Shown<'_>, view: &SectionView, size: DVec2) -> Option<Self> {
        let nearest = least(shown.distances())?;
        let farthest = most(shown.distances())?;
        let farthest = farthest.min(nearest * 10f64.powi(MOST_DECADES));
        let even = if shown.unit == Unit::Metres { 1.0 } else { 0.5 };
        // On even axes there is a word about how much heights are drawn out.
        let is_silent = shown.left_out.is_empty() && view.axis == Axis::Logarithmic;
        let words = if is_silent { 0.0 } else { WORDS };
        // A little air at both ends; the eye needs more.
        let all = match view.axis {
            Axis::Logarithmic => (0.5 * nearest, 1.3 * farthest),
            Axis::Linear => (0.0, 1.1 * farthest),
        };
        let distances = view.distances.filter(|range| is_range(*range)).unwrap_or(all);
        let heights = view.heights.filter(|range| is_range(*range));
        let heights = heights.or_else(|| all_heights(shown, even))?;
        let [low, high] = [heights.0, heights.1].map(|h| laid(view.axis, even, h));
        Some(Self {
            min: DVec2::new(MARGINS[0], MARGINS[1] + words),
            max: size - DVec2::new(MARGINS[2], MARGINS[3]),
            axis: view.axis,
            distances,
            heights,
            laid: (low, high),
            even,
            eye_height: shown.eye_height,
        })
    }

    pub(super) fn left(&self) -> f64 {
        self.min.x
    }

    pub(super) fn right(&self) -> f64 {
        self.max.x
    }

    pub(super) fn bottom(&self) -> f64 {
        self.max.y
    }

    pub(super) fn top(&self) -> f64 {
        self.min.y
    }

    pub(super) fn axis(&self) -> Axis {
        self.axis
    }

    /// Nearest and farthest distance, in the section's unit.
    #[must_use]
    pub fn distances(&self) -> (f64, f64) {
        self.distances
    }

    /// Lowest and highest height, in the section's unit.
    #[must_use]
    pub fn heights(&self) -> (f64, f64) {
        self.heights
    }

    /// Height of the eye over height zero, in the section's unit.
    #[must_use]
    pub fn eye_height(&self) -> f64 {
        self.eye_height
    }

    /// How many times as large heights are drawn as distances, where both are even.
    pub(super) fn exaggeration(&self) -> Option<f64> {
        let scale = (self.max - self.min)
            / DVec2::new(self.distances.1 - self.distances.0, self.heights.1 - self.heights.0);
        (self.axis == Axis::Linear).then_some(scale.y / scale.x).filter(|times| times.is_finite())
    }

    /// Across the paper, points; what lies beyond its ends is put at them.
    #[must_use]
    pub fn x(&self, distance: f64) -> f64 {
        let (near, far) = self.distances;
        let part = match self.axis {
            Axis::Logarithmic => (distance.max(near) / near).ln() / (far / near).ln(),
            Axis::Linear => (distance.min(f64::MAX) - near) / (far - near),
        };
        self.min.x + finite(part).clamp(0.0, 1.0) * (self.max.x - self.min.x)
    }

    /// Down the paper, points; what lies beyond its ends is put at them.
    #[must_use]
    pub fn y(&self, height: f64) -> f64 {
        let (low, high) = self.laid;
        let part = (laid(self.axis, self.even, height) - low) / (high - low);
        self.max.y - finite(part).clamp(0.0, 1.0) * (self.max.y - self.min.y)
    }

    /// The distance at a place across the paper, also beyond its ends; above zero.
    #[must_use]
    pub fn distance_at(&self, x: f64) -> f64 {
        let (near, far) = self.distances;
        let part = (x - self.min.x) / (self.max.x - self.min.x);
        match self.axis {
            Axis::Logarithmic => near * (far / near).powf(part),
            Axis::Linear => (near + part * (far - near)).max(1e-3 * (far - near)),
        }
    }

    /// The height at a place down the paper, also beyond its ends.
    #[must_use]
    pub fn height_at(&self, y: f64) -> f64 {
        let (low, high) = self.laid;
        let laid = low + (self.max.y - y) / (self.max.y - self.min.y) * (high - low);
        match self.axis {
            Axis::Logarithmic => self.even * laid.sinh(),
            Axis::Linear => laid,
        }
    }

    /// The distances shown when the scale is enlarged so many times about a place across the paper.
    #[must_use]
    pub fn zoomed(&self, x: f64, factor: f64) -> (f64, f64) {
        let span = (self.max.x - self.min.x) / factor;
        let left = x - (x - self.min.x) / factor;
        self.reaching(left, left + span)
    }

    /// The distances shown when the paper is moved so many points to the right.
    #[must_use]
    pub fn panned(&self, by: f64) -> (f64, f64) {
        self.reaching(self.min.x - by, self.max.x - by)
    }

    /// The distances between two places across the paper, within what can be drawn.
    fn reaching(&self, left: f64, right: f64) -> (f64, f64) {
        let (near, far) = self.distances;
        let ends = match self.axis {
            Axis::Logarithmic => (self.distance_at(left), self.distance_at(right)),
            Axis::Linear => {
                let at = |x| near + (x - self.min.x) / (self.max.x - self.min.x) * (far - near);
                // The eye stays at the left edge or beyond it.
                let push = (-at(left)).max(0.0);
                (at(left) + push, at(right) + push)
            }
        };
        let sensible = match self.axis {
            Axis::Logarithmic => ends.0 > 1e-3 && ends.1 < 1e9 && ends.1 > 1.02 * ends.0,
            Axis::Linear => ends.1 < 1e9 && ends.1 - ends.0 > 1e-3 * ends.1.max(1.0),
        };
        if sensible { ends } else { self.distances }
    }

    /// Whether a distance is between the ends of the paper.
    pub(crate) fn reaches(&self, distance: f64) -> bool {
        let (near, far) = self.distances;
        (near..=far).contains(&distance)
            || (far < distance && far >= near * 10f64.powi(MOST_DECADES))
    }
}

/// A height as it is laid out: the inverse hyperbolic sine is even near zero and a logarithm far
/// from it, either side.
fn laid(axis: Axis, even: f64, height: f64) -> f64 {
    match axis {
        Axis::Logarithmic => (height / even).asinh(),
        Axis::Linear => height,
    }
}

fn all_heights(shown: &Shown<'_>, even: f64) -> Option<(f64, f64)> {
    let tops = shown.items.iter().map(|item| match item.marker.span {
        Span::Upright => item.foot + item.size.unwrap_or(0.0),
        _ => item.foot,
    });
    let feet = shown.items.iter().map(|item| item.foot);
    let levels = shown.levels.iter().map(|level| level.height);
    let ghosts = shown.ghosts.iter().flat_map(|ghost| ghost.heights);
    let heights: Vec<_> =
        tops.chain(feet).chain(levels).chain(ghosts).chain([0.0, shown.eye_height]).collect();
    let limit = even * 10f64.powi(MOST_DECADES);
    let bound = |height: Option<f64>| height.map(|height| height.clamp(-limit, limit));
    let lowest = bound(least(heights.iter().copied()))?;
    let highest = bound(most(heights.iter().copied()))?;
    Some((lowest, highest.max(lowest + even)))
}

fn is_range((low, high): (f64, f64)) -> bool {
    low.is_finite() && high.is_finite() && high > low
}

fn finite(part: f64) -> f64 {
    if part.is_nan() { 0.0 } else { part }
}

fn least(values: impl Iterator<Item = f64>) -> Option<f64> {
    values.filter(|value| value.is_finite()).reduce(f64::min)
}

fn most(values: impl Iterator<Item = f64>) -> Option<f64> {
    values.filter(|value| value.is_finite()).reduce(f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples;

    fn quay(axis: Axis) -> Paper {
        let (scene, assessment) = samples::quay();
        let view = SectionView { axis, ..SectionView::default() };
        let shown = Shown::of(&scene, &assessment, None);
        Paper::for_shown(&shown, &view, DVec2::new(1000.0, 220.0)).unwrap()
    }

    #[test]
    fn equal_ratios_of_distance_are_equal_steps() {
        let paper = quay(Axis::Logarithmic);
        let step = |d: f64| paper.x(2.0 * d) - paper.x(d);
        assert!((step(10.0) - step(100.0)).abs() < 1e-9);
        assert!(step(10.0) > 50.0);
    }

    #[test]
    fn on_a_linear_axis_equal_lengths_are_equal_steps() {
        let paper = quay(Axis::Linear);
        let step = |d: f64| paper.x(d + 50.0) - paper.x(d);
        assert!((step(0.0) - step(300.0)).abs() < 1e-9 && step(0.0) > 50.0);
        let rise = |h: f64| paper.y(h) - paper.y(h + 10.0);
        assert!((rise(0.0) - rise(60.0)).abs() < 1e-9 && rise(0.0) > 5.0);
        assert_eq!(paper.x(0.0), paper.left());
    }

    #[test]
    fn a_place_on_the_paper_can_be_read_back() {
        for axis in [Axis::Logarithmic, Axis::Linear] {
            let paper = quay(axis);
            assert!((paper.distance_at(paper.x(60.0)) - 60.0).abs() < 1e-9);
            assert!((paper.height_at(paper.y(31.0)) - 31.0).abs() < 1e-9);
        }
    }

    #[test]
    fn the_distance_under_the_pointer_stays_there_while_the_scale_is_enlarged() {
        for axis in [Axis::Logarithmic, Axis::Linear] {
            let paper = quay(axis);
            let (x, held) = (700.0, paper.distance_at(700.0));
            let zoomed = Paper { distances: paper.zoomed(x, 2.0), ..paper };
            assert!((zoomed.x(held) - x).abs() < 1e-6, "{axis:?}");
            assert!(zoomed.distances.0 > paper.distances.0);
        }
    }

    #[test]
    fn a_figure_and_a_dam_can_both_be_read() {
        let paper = quay(Axis::Logarithmic);
        let figure = paper.y(0.0) - paper.y(1.7);
        let dam = paper.y(0.0) - paper.y(300.0);
        assert!(figure > 24.0, "{figure}");
        assert!(dam > 2.0 * figure && dam < 200.0, "{dam}");
    }

    #[test]
    fn what_lies_beyond_the_paper_is_put_at_its_edge() {
        for axis in [Axis::Logarithmic, Axis::Linear] {
            let paper = quay(axis);
            assert_eq!(paper.x(1e9), paper.right());
            assert_eq!(paper.x(f64::INFINITY), paper.right());
            assert_eq!(paper.x(0.0), paper.left());
            assert_eq!(paper.y(f64::INFINITY), paper.top());
            assert_eq!(paper.y(f64::NAN), paper.bottom());
        }
    }
}
