use super::Ground;
use glam::{DVec2, DVec3};
use staffage_scene::{Assessment, Marker, Span};

/// Into how many pieces a straight thing is cut, which is curved where distances are not even.
const PIECES: u32 = 12;

/// Into how many pieces a round one is.
const ROUND: u32 = 20;

/// How things lie over the ground.
pub(super) struct Lie<'a> {
    pub(super) assessment: &'a Assessment,
    pub(super) ground: &'a Ground,
}

impl Lie<'_> {
    /// The outline of a marker from above, points; none for what is upright, whose width is not known.
    pub(super) fn of(
        &self,
        marker: &Marker,
        distance: f64,
        bearing: f64,
        size: Option<f64>,
    ) -> Option<Vec<DVec2>> {
        let size = size.filter(|size| *size > 0.0)?;
        let foot = distance * level(bearing);
        match marker.span {
            Span::Upright => None,
            Span::Along(family) => {
                let mut families = self.assessment.eye.families.iter();
                let direction = families.find(|f| f.family == family)?.direction;
                let along = size * self.towards(marker, distance, direction);
                Some(self.straight(foot, foot + DVec2::new(along.x, -along.z)))
            }
            Span::Facing => {
                let eye = &self.assessment.eye.eye;
                let (a, b) = (eye.ray(marker.foot), eye.ray(marker.head));
                // Both ends are equally far off along their sight lines.
                let slant = distance / a.x.hypot(a.z);
                Some(self.straight(foot, slant * DVec2::new(b.x, -b.z)))
            }
            Span::Cylinder | Span::Ball => Some(self.round(foot, 0.5 * size)),
        }
    }

    /// The way along a direction that the head of a marker lies as seen from its foot.
    fn towards(&self, marker: &Marker, distance: f64, direction: DVec3) -> DVec3 {
        let eye = &self.assessment.eye.eye;
        let ray = eye.ray(marker.foot);
        let foot = ray / ray.x.hypot(ray.z) * distance;
        let seen = |side: f64| eye.project(foot + side * 1e-3 * distance * direction);
        let nearer = |at: Option<DVec2>| at.map_or(f64::MAX, |at| at.distance(marker.head));
        if nearer(seen(1.0)) <= nearer(seen(-1.0)) { direction } else { -direction }
    }

    /// A straight thing between two places, ahead and to the right of the eye.
    fn straight(&self, a: DVec2, b: DVec2) -> Vec<DVec2> {
        let part = |i| f64::from(i) / f64::from(PIECES);
        (0..=PIECES).map(|i| self.point(a.lerp(b, part(i)))).collect()
    }

    fn round(&self, middle: DVec2, radius: f64) -> Vec<DVec2> {
        let turn = |i| std::f64::consts::TAU * f64::from(i % ROUND) / f64::from(ROUND);
        (0..=ROUND).map(|i| self.point(middle + radius * DVec2::from_angle(turn(i)))).collect()
    }

    fn point(&self, place: DVec2) -> DVec2 {
        self.ground.point(place.length(), place.x.atan2(place.y))
    }
}

/// To the right and ahead.
fn level(bearing: f64) -> DVec2 {
    DVec2::new(bearing.sin(), bearing.cos())
}
