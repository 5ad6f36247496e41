//! The sight line through a picture point, with its derivatives.

use crate::eye_parameters::Parameter;
use crate::{Eye, Fault, Headings};
use glam::{DVec2, DVec3};

/// A sight line (not of unit length) with its derivatives.
pub(crate) struct Ray {
    pub(crate) at: DVec3,
    by_u: DVec3,
    by_v: DVec3,
    by_eye: [DVec3; Parameter::EYE],
}

/// Derivatives of a quantity by the picture point and by the eye's own parameters.
pub(crate) struct Slopes {
    pub(crate) by_point: DVec2,
    pub(crate) by_eye: [f64; Parameter::EYE],
}

impl Ray {
    pub(crate) fn through(eye: &Eye, point: DVec2) -> Self {
        let [right, down, ahead] = {
            let r = eye.rotation().transpose();
            [r.x_axis, r.y_axis, r.z_axis]
        };
        let p = point - eye.principal;
        let at = right * p.x + down * p.y + ahead * eye.focal;
        // Turning by pitch moves a direction about the level axis right0 = X; by cant, about ahead.
        let by_pitch = DVec3::X.cross(at);
        let by_cant = down * p.x - right * p.y;
        Self { at, by_u: right, by_v: down, by_eye: [ahead * eye.focal, by_pitch, by_cant] }
    }

    /// Its direction, if the picture point is a number.
    pub(crate) fn finite(&self) -> Result<DVec3, Fault> {
        if self.at.is_finite() { Ok(self.at) } else { Err(Fault::NotFinite) }
    }

    /// Chain rule: derivatives of a quantity whose gradient by the sight line is given.
    pub(crate) fn chain(&self, gradient: DVec3) -> Slopes {
        let by_point = DVec2::new(gradient.dot(self.by_u), gradient.dot(self.by_v));
        Slopes { by_point, by_eye: self.by_eye.map(|d| gradient.dot(d)) }
    }
}

/// Horizontal part of a sight line.
pub(crate) fn level_run(a: DVec3) -> Result<f64, Fault> {
    let run = a.x.hypot(a.z);
    if run > 1e-3 * a.length() { Ok(run) } else { Err(Fault::Plumb) }
}

/// Gradient of ln (horizontal part of a sight line) by that sight line.
pub(crate) fn by_level_run(a: DVec3) -> DVec3 {
    DVec3::new(a.x, 0.0, a.z) / (a.x * a.x + a.z * a.z)
}

/// Derivatives by the parameters of the eye, added up over the sight lines: zeros for the headings,
/// and at the end those by the principal point, which moves against the picture points.
pub(crate) fn by_eye<const RAYS: usize>(slopes: [&Slopes; RAYS], headings: &Headings) -> Vec<f64> {
    let principal = headings.parameters();
    let mut all = vec![0.0; principal + 2];
    for of_ray in slopes {
        for (sum, slope) in std::iter::zip(&mut all, of_ray.by_eye) {
            *sum += slope;
        }
        all[principal] -= of_ray.by_point.x;
        all[principal + 1] -= of_ray.by_point.y;
    }
    all
}
