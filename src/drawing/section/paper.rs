use super::shown::Shown;
use glam::DVec2;
use staffage_scene::{Span, Unit};

/// Room around the plot for the axes' numbers and the topmost mark, points: left, top, right,
/// bottom.
const MARGINS: [f64; 4] = [48.0, 26.0, 14.0, 24.0];

/// More room at the top for the words about what is left out, points.
const WORDS: f64 = 12.0;

/// Most decades of distance and of height that are drawn; what lies farther out is put at the edge.
const MOST_DECADES: i32 = 9;

/// Where distances and heights lie on the paper.
#[derive(Clone, Copy, Debug)]
pub(super) struct Paper {
    min: DVec2,
    max: DVec2,
    /// Nearest and farthest distance, in the section's unit.
    distances: (f64, f64),
    /// Lowest and highest height, in the section's unit.
    heights: (f64, f64),
    /// Height up to which the height axis is about even.
    even: f64,
}

impl Paper {
    /// Paper on which everything shown has its place; none if nothing is shown.
    pub(super) fn for_shown(shown: &Shown<'_>, size: DVec2) -> Option<Self> {
        let nearest = least(shown.items.iter().map(|item| item.distance.value))?;
        let farthest = most(shown.items.iter().map(|item| item.distance.value))?;
        let farthest = farthest.min(nearest * 10f64.powi(MOST_DECADES));
        let even = if shown.unit == Unit::Metres { 1.0 } else { 0.5 };
        let tops = shown.items.iter().map(|item| match item.span {
            Span::Upright => item.foot + item.size.unwrap_or(0.0),
            _ => item.foot,
        });
        let feet = shown.items.iter().map(|item| item.foot);
        let levels = shown.levels.iter().map(|level| level.height);
        let heights: Vec<_> =
            tops.chain(feet).chain(levels).chain([0.0, shown.eye_height]).collect();
        let limit = even * 10f64.powi(MOST_DECADES);
        let bound = |height: Option<f64>| height.map(|height| height.clamp(-limit, limit));
        let lowest = bound(least(heights.iter().copied()))?;
        let highest = bound(most(heights.iter().copied()))?;
        let words = if shown.left_out.is_empty() { 0.0 } else { WORDS };
        Some(Self {
            min: DVec2::new(MARGINS[0], MARGINS[1] + words),
            max: size - DVec2::new(MARGINS[2], MARGINS[3]),
            // A little air at both ends; the eye needs more.
            distances: (0.5 * nearest, 1.3 * farthest),
            heights: (lowest, highest.max(lowest + even)),
            even,
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

    pub(super) fn distances(&self) -> (f64, f64) {
        self.distances
    }

    pub(super) fn heights(&self) -> (f64, f64) {
        self.heights
    }

    /// Across the paper, points; what lies beyond its ends is put at them.
    pub(super) fn x(&self, distance: f64) -> f64 {
        let (near, far) = self.distances;
        let part = (distance.max(near) / near).ln() / (far / near).ln();
        self.min.x + finite(part).clamp(0.0, 1.0) * (self.max.x - self.min.x)
    }

    /// Down the paper, points; what lies beyond its ends is put at them.
    pub(super) fn y(&self, height: f64) -> f64 {
        // The inverse hyperbolic sine is even near zero and a logarithm far from it, either side.
        let [height, low, high] =
            [height, self.heights.0, self.heights.1].map(|h| (h / self.even).asinh());
        let part = (height - low) / (high - low);
        self.max.y - finite(part).clamp(0.0, 1.0) * (self.max.y - self.min.y)
    }
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

    fn quay() -> Paper {
        let (scene, assessment) = samples::quay();
        Paper::for_shown(&Shown::of(&scene, &assessment), DVec2::new(1000.0, 220.0)).unwrap()
    }

    #[test]
    fn equal_ratios_of_distance_are_equal_steps() {
        let paper = quay();
        let step = |d: f64| paper.x(2.0 * d) - paper.x(d);
        assert!((step(10.0) - step(100.0)).abs() < 1e-9);
        assert!(step(10.0) > 50.0);
    }

    #[test]
    fn a_figure_and_a_dam_can_both_be_read() {
        let paper = quay();
        let figure = paper.y(0.0) - paper.y(1.7);
        let dam = paper.y(0.0) - paper.y(300.0);
        assert!(figure > 24.0, "{figure}");
        assert!(dam > 2.0 * figure && dam < 200.0, "{dam}");
    }

    #[test]
    fn what_lies_beyond_the_paper_is_put_at_its_edge() {
        let paper = quay();
        assert_eq!(paper.x(1e9), paper.right());
        assert_eq!(paper.x(0.0), paper.left());
        assert_eq!(paper.y(f64::INFINITY), paper.top());
        assert_eq!(paper.y(f64::NAN), paper.bottom());
    }
}
