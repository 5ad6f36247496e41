//! Whether the shadow of a floating thing falls where the light sends it.

use crate::entries::Snooping;
use crate::evidence::solver_family;
use crate::{Family, Marker, Span, Stands};
use glam::DVec2;
use staffage_solver::{SIGNIFICANT, TracedLine};

/// Angle by which a shadow may lie off its ray before an eye notices, radians (three degrees, common
/// practice).
const NOTICEABLE: f64 = 3.0 * std::f64::consts::PI / 180.0;

/// A shadow that lies off the ray through the thing that casts it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Astray {
    /// Angle in the picture between the way to the shadow and the way the light runs there, radians,
    /// clockwise positive.
    pub angle: f64,
    /// The nearest place on the ray, picture units.
    pub ray: DVec2,
}

impl Marker {
    /// The picture point that casts its shadow, or that a plumb line is dropped from: the middle of a
    /// ball, the foot of anything else.
    #[must_use]
    pub fn hangs_from(&self) -> DVec2 {
        match self.span {
            Span::Ball => self.foot.midpoint(self.head),
            Span::Upright | Span::Along(_) | Span::Facing | Span::Cylinder => self.foot,
        }
    }
}

/// How a marker's shadow lies off its ray, beyond what pointing and the light leave open and beyond what
/// an eye overlooks.
pub(crate) fn astray(of: &Snooping<'_>, marker: &Marker) -> Option<Astray> {
    let Stands::Shadow { tip, light, .. } = marker.stands else { return None };
    let family = solver_family(of.scene, Family::Incline(light))?;
    let from = marker.hangs_from();
    let line = TracedLine { family, from, to: tip };
    let (miss, sd) = of.fit.miss(&line, of.pointing)?;
    let vanishing = of.fit.vanishing_point(family);
    let along = (vanishing.truncate() - vanishing.z * from).try_normalize()?;
    let way = tip - from;
    // The vanishing point of the light may lie this way or the opposite.
    let angle = (along.perp_dot(way) / along.dot(way)).atan();
    let off = miss.abs() > SIGNIFICANT * sd && angle.abs() > NOTICEABLE;
    off.then(|| Astray { angle, ray: from + along * along.dot(way) })
}
