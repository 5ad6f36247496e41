//! A painting that came back with another shape: where everything that was placed lies in the new frame.

use crate::validate::WHOLE_FRAME;
use crate::{Frame, PrincipalPoint, Scene, Segment};
use glam::DVec2;

/// How the old frame lies in the new one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reframing {
    /// The middle of the new frame, old picture units.
    pub centre: DVec2,
    /// One unit of the new picture along u and along v, old picture units. Both are the width of the new
    /// frame in widths of the old one, except for a picture that was stretched.
    pub unit: DVec2,
}

/// Widths of the new frame that are taken, in widths of the old one.
pub const REFRAMED_WIDTH: std::ops::RangeInclusive<f64> = 0.02..=50.0;

impl Reframing {
    /// The picture was cropped or its canvas extended: the middle of the new frame, and its width,
    /// old picture units.
    #[must_use]
    pub fn cropped(centre: DVec2, width: f64) -> Self {
        Self { centre, unit: DVec2::splat(width) }
    }

    /// The whole picture was stretched or squeezed from one shape to another.
    #[must_use]
    pub fn stretched(from: Frame, to: Frame) -> Self {
        Self { centre: DVec2::ZERO, unit: DVec2::new(1.0, to.ratio / from.ratio) }
    }

    /// Whether the picture was stretched, and not only cropped or extended.
    #[must_use]
    pub fn is_stretched(&self) -> bool {
        self.unit.x != self.unit.y
    }

    /// Where a point of the old picture lies in the new one.
    #[must_use]
    pub fn place(&self, at: DVec2) -> DVec2 {
        (at - self.centre) / self.unit
    }

    /// Whether it can be taken: finite, and of a width in [`REFRAMED_WIDTH`].
    #[must_use]
    pub fn is_sound(&self) -> bool {
        self.centre.is_finite() && self.unit.to_array().iter().all(|u| REFRAMED_WIDTH.contains(u))
    }
}

/// The scene with everything in it where it lies in the new frame.
///
/// After a crop or an extension the eye is the same camera: the optical axis stays where it was, and
/// an angle of view that was set by hand is that of the new frame, and one that is assumed goes on
/// being assumed for the old one. Distances and sizes stay as they are. A picture that was stretched keeps its positions as shares of width and height and the lens that was set, which
/// is no longer a camera with square pixels.
#[must_use]
pub fn reframed(scene: &Scene, map: &Reframing, frame: Frame) -> Scene {
    let mut after = scene.clone();
    after.frame = frame;
    if !map.is_stretched() {
        let width = map.unit.x;
        after.pointing = scene.pointing / width;
        after.eye.angle_of_view = scene.eye.angle_of_view.map(|view| seen_across(view, width));
        after.eye.whole_frame = cropped_out_of(scene.eye.whole_frame.unwrap_or(1.0) / width);
    }
    let place = |at: &mut DVec2| *at = map.place(*at);
    match &mut after.eye.principal {
        PrincipalPoint::At(at) => place(at),
        PrincipalPoint::Centre => {
            let at = map.place(DVec2::ZERO);
            if at != DVec2::ZERO {
                after.eye.principal = PrincipalPoint::At(at);
            }
        }
        PrincipalPoint::Free => {}
    }
    each_place(&mut after, place);
    after
}

/// Every picture position of what was traced and marked.
fn each_place(scene: &mut Scene, mut change: impl FnMut(&mut DVec2)) {
    let segments = scene.horizon.iter_mut().chain(scene.lines.iter_mut().map(|l| &mut l.segment));
    for Segment(a, b) in segments {
        change(a);
        change(b);
    }
    for guide in &mut scene.guides {
        guide.shape.each_point(&mut change);
    }
    scene.in_each_alternative(|scene| each_place_of_idea(scene, &mut change));
}

fn each_place_of_idea(scene: &mut Scene, change: &mut impl FnMut(&mut DVec2)) {
    for marker in &mut scene.markers {
        change(&mut marker.foot);
        change(&mut marker.head);
        if let Some(mut tie) = marker.stands.tie() {
            change(&mut tie);
            marker.stands = marker.stands.tied_at(tie);
        }
    }
    for stand_in in &mut scene.stand_ins {
        change(&mut stand_in.foot);
        if let Some(mut to) = stand_in.arranged.to() {
            change(&mut to);
            stand_in.arranged = stand_in.arranged.reaching(to);
        }
    }
}

/// The frame of this width that a crop comes from, unless it is a whole frame (again).
fn cropped_out_of(width: f64) -> Option<f64> {
    let is_whole = (width - 1.0).abs() < 1e-9;
    (!is_whole).then(|| width.clamp(*WHOLE_FRAME.start(), *WHOLE_FRAME.end()))
}

/// The angle of view, degrees, across a frame so many times as wide with the same focal length.
fn seen_across(view: f64, width: f64) -> f64 {
    let half = (0.5 * view.to_radians()).tan();
    2.0 * (half * width).atan().to_degrees()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_narrower_crop_has_the_angle_of_view_of_a_longer_lens() {
        // A 36 mm frame behind an 18 mm lens sees 90 degrees, its middle half 53.13.
        assert!((seen_across(90.0, 0.5) - 53.130_102_354).abs() < 1e-9);
    }

    #[test]
    fn a_crop_from_the_middle_keeps_the_optical_axis_in_the_middle() {
        let map = Reframing::cropped(DVec2::ZERO, 0.8);
        let frame = Frame { ratio: 1.78, working_width: 1840 };
        let after = reframed(&Scene::default(), &map, frame);
        assert_eq!(after.eye.principal, PrincipalPoint::Centre);
        assert_eq!(after.frame, frame);
    }

    #[test]
    fn a_stretch_keeps_shares_of_width_and_height() {
        let from = Frame { ratio: 2.0, working_width: 2000 };
        let map = Reframing::stretched(from, Frame { ratio: 1.0, working_width: 2000 });
        assert!(map.is_stretched());
        // The lower edge of the old frame lies at 0.25, that of the new one at 0.5.
        assert_eq!(map.place(DVec2::new(0.5, 0.25)), DVec2::new(0.5, 0.5));
    }

    #[test]
    fn what_is_not_a_frame_is_not_sound() {
        for map in [
            Reframing::cropped(DVec2::NAN, 1.0),
            Reframing::cropped(DVec2::ZERO, 0.0),
            Reframing::cropped(DVec2::ZERO, -1.0),
            Reframing::cropped(DVec2::ZERO, f64::INFINITY),
        ] {
            assert!(!map.is_sound(), "{map:?}");
        }
        assert!(Reframing::cropped(DVec2::new(0.1, -0.1), 0.7).is_sound());
    }
}
