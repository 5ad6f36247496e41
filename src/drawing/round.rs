//! The outline of a ball.

use crate::palette::{DARK, WHITE};
use crate::pen::Pen;
use glam::{DVec2, DVec3};
use staffage_solver::Eye;
use std::f64::consts::TAU;

/// Corners of the outline: enough for a curve at any size that fits on the paper.
const CORNERS: u32 = 72;

/// The outline of a ball of which two opposite outline points are drawn, faint. Its sight lines are
/// a circular cone about the one through its middle, so that off the middle of the picture the
/// outline is a little longer than wide.
pub(crate) fn ball(pen: &mut Pen, eye: &Eye, ends: [DVec2; 2]) {
    let Some(outline) = outline(eye, ends) else { return };
    pen.polyline(outline.clone(), 3.0, DARK.faded(0.3), None);
    pen.polyline(outline, 1.0, WHITE.faded(0.7), None);
}

/// The closed outline; none where part of it is behind the eye.
fn outline(eye: &Eye, ends: [DVec2; 2]) -> Option<Vec<DVec2>> {
    let [a, b] = ends.map(|at| eye.ray(at));
    let (middle, aside) = ((a + b).try_normalize()?, (a - b).try_normalize()?);
    let (near, wide) = (a.dot(middle), a.dot(aside));
    let up = middle.cross(aside);
    let at = |k: u32| {
        let (sine, cosine) = (TAU * f64::from(k % CORNERS) / f64::from(CORNERS)).sin_cos();
        let ray: DVec3 = near * middle + wide * (cosine * aside + sine * up);
        eye.project(ray)
    };
    (0..=CORNERS).map(at).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_outline_of_a_ball_is_where_its_tangents_touch() {
        let eye = Eye { focal: 0.8, pitch: 0.2, cant: 0.1, principal: DVec2::ZERO };
        let (centre, radius) = (DVec3::new(3.0, 1.0, -10.0), 2.0);
        // A tangent is at the angle asin(r / d) off the centre.
        let angle = (radius / centre.length()).asin();
        let middle = centre.normalize();
        let aside = middle.cross(DVec3::Y).normalize();
        let end = |turn: f64| eye.project(angle.cos() * middle + turn * angle.sin() * aside);
        let ends = [1.0, -1.0].map(|turn| end(turn).expect("in sight"));
        let outline = outline(&eye, ends).expect("an outline");
        for at in &outline {
            let off = eye.ray(*at).dot(middle).acos();
            assert!((off - angle).abs() < 1e-9, "{off} for {angle}");
        }
        assert!(outline[0].distance(ends[0]) < 1e-9);
        assert_eq!(outline.first(), outline.last());
    }

    #[test]
    fn a_ball_without_extent_has_no_outline() {
        assert_eq!(outline(&Eye::default(), [DVec2::ZERO; 2]), None);
        assert_eq!(outline(&Eye::default(), [DVec2::NAN; 2]), None);
    }
}
