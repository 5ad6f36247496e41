use crate::{Axis, graduation};
use glam::DVec2;

/// Most times as far as the unit that anything is drawn.
const FARTHEST: f64 = 1e9;

/// Smallest and largest scale, points per unit.
const SCALES: (f64, f64) = (1e-4, 1e5);

/// Where the ground lies on the paper of a plan, points from its upper left corner: straight ahead runs
/// to the right, and what is to the right of the eye lies below it. Bearings are true.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ground {
    /// How distances run.
    pub axis: Axis,
    /// Where the eye is, points.
    pub eye: DVec2,
    /// Points from the eye to the unit of distance.
    pub scale: f64,
    /// The unit, metres or eye heights: 1 on a linear axis; on a logarithmic one the distance up to
    /// which the axis is even, so that the eye itself has a place.
    pub unit: f64,
}

impl Ground {
    /// Ground on which the eye and all these places (distance, bearing) are on the paper; none if there is
    /// none of them.
    pub(super) fn fitted(
        axis: Axis,
        places: &[(f64, f64)],
        margins: (DVec2, DVec2),
        size: DVec2,
    ) -> Option<Self> {
        let nearest = places.iter().map(|(distance, _)| *distance).reduce(f64::min)?;
        let unit = match axis {
            Axis::Linear => 1.0,
            Axis::Logarithmic => graduation::round_down(nearest.clamp(1e-6, 1e12)),
        };
        let ground = Self { axis, eye: DVec2::ZERO, scale: 1.0, unit };
        let (mut min, mut max) = (DVec2::ZERO, DVec2::ZERO);
        for &(distance, bearing) in places {
            let at = ground.point(distance, bearing);
            (min, max) = (min.min(at), max.max(at));
        }
        let room = (size - margins.0 - margins.1).max(DVec2::ONE);
        // A single thing straight ahead spans no height.
        let needed = (max - min).max(DVec2::new(1e-9, 1e-9));
        let scale = (room / needed).min_element().clamp(SCALES.0, SCALES.1);
        let left = DVec2::new(margins.0.x - scale * min.x, 0.0);
        let middle = margins.0.y + 0.5 * room.y - 0.5 * scale * (min.y + max.y);
        Some(Self { eye: left + DVec2::new(0.0, middle), scale, ..ground })
    }

    /// Whether it can be drawn on.
    pub(super) fn is_sound(&self) -> bool {
        self.eye.is_finite()
            && (SCALES.0..=SCALES.1).contains(&self.scale)
            && self.unit > 0.0
            && self.unit.is_finite()
    }

    /// Points from the eye to a distance.
    #[must_use]
    pub fn radius(&self, distance: f64) -> f64 {
        let units = (distance / self.unit).clamp(0.0, FARTHEST);
        // Even up to the unit and a logarithm beyond, without a bend where they meet.
        let laid = match self.axis {
            Axis::Logarithmic if units > 1.0 => 1.0 + units.ln(),
            Axis::Logarithmic | Axis::Linear => units,
        };
        self.scale * laid
    }

    /// Where a place is on the paper, from its distance and its bearing (radians, clockwise from
    /// straight ahead), points.
    #[must_use]
    pub fn point(&self, distance: f64, bearing: f64) -> DVec2 {
        self.eye + self.radius(distance) * DVec2::from_angle(bearing)
    }

    /// Distance and bearing of a point of the paper.
    #[must_use]
    pub fn place(&self, at: DVec2) -> (f64, f64) {
        let from_eye = at - self.eye;
        let laid = from_eye.length() / self.scale;
        let units = match self.axis {
            Axis::Logarithmic if laid > 1.0 => (laid - 1.0).exp(),
            Axis::Logarithmic | Axis::Linear => laid,
        };
        (self.unit * units.min(FARTHEST), from_eye.to_angle())
    }

    /// Enlarged so many times about a point of the paper.
    #[must_use]
    pub fn zoomed(self, at: DVec2, factor: f64) -> Self {
        let scale = (self.scale * factor).clamp(SCALES.0, SCALES.1);
        Self { eye: at + (self.eye - at) * (scale / self.scale), scale, ..self }
    }

    /// Moved over the paper.
    #[must_use]
    pub fn panned(self, by: DVec2) -> Self {
        Self { eye: self.eye + by, ..self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ground(axis: Axis) -> Ground {
        let places = [(8.0, -0.3), (400.0, 0.2), (30.0, 0.4)];
        let margin = DVec2::splat(20.0);
        Ground::fitted(axis, &places, (margin, margin), DVec2::new(600.0, 300.0)).unwrap()
    }

    #[test]
    fn a_point_of_the_paper_can_be_read_back() {
        for axis in [Axis::Logarithmic, Axis::Linear] {
            let ground = ground(axis);
            for place in [(2.0, 0.5), (37.0, -1.2), (390.0, 0.01)] {
                let (distance, bearing) = ground.place(ground.point(place.0, place.1));
                assert!((distance / place.0 - 1.0).abs() < 1e-9, "{axis:?} {distance}");
                assert!((bearing - place.1).abs() < 1e-9, "{axis:?} {bearing}");
            }
        }
    }

    #[test]
    fn equal_ratios_are_equal_steps_on_one_axis_and_equal_lengths_on_the_other() {
        let log = ground(Axis::Logarithmic);
        let step = |d: f64| log.radius(2.0 * d) - log.radius(d);
        assert!((step(10.0) - step(200.0)).abs() < 1e-9 && step(10.0) > 10.0);
        let map = ground(Axis::Linear);
        let step = |d: f64| map.radius(d + 50.0) - map.radius(d);
        assert!((step(0.0) - step(300.0)).abs() < 1e-9 && step(0.0) > 10.0);
    }

    #[test]
    fn everything_is_on_the_paper() {
        for axis in [Axis::Logarithmic, Axis::Linear] {
            for (distance, bearing) in [(8.0, -0.3), (400.0, 0.2), (30.0, 0.4), (0.0, 0.0)] {
                let at = ground(axis).point(distance, bearing);
                assert!(at.cmpge(DVec2::splat(19.9)).all(), "{axis:?} {at}");
                assert!(at.cmple(DVec2::new(580.1, 280.1)).all(), "{axis:?} {at}");
            }
        }
    }

    #[test]
    fn what_is_under_the_pointer_stays_there_while_the_plan_is_enlarged() {
        let (ground, at) = (ground(Axis::Logarithmic), DVec2::new(200.0, 120.0));
        let (before, after) = (ground.place(at), ground.zoomed(at, 3.0).place(at));
        assert!((before.0 / after.0 - 1.0).abs() < 1e-9 && (before.1 - after.1).abs() < 1e-9);
    }

    #[test]
    fn the_axis_has_no_bend_where_it_becomes_logarithmic() {
        let ground = ground(Axis::Logarithmic);
        let step = |d: f64| ground.radius(d * 1.0001) - ground.radius(d);
        assert!((step(ground.unit) / step(ground.unit / 1.0001) - 1.0).abs() < 1e-3);
    }
}
