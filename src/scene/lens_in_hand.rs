//! The lens taken by hand: what was placed in the picture stays where it is.

use crate::assess::eye_alone;
use crate::validate::PITCH;
use crate::{Edit, EyeByHand, EyeReading, Scene};
use staffage_solver::focal_of_view;

/// A lens that is let go depends a little on the pitch, which depends on the lens: so often both are found again.
const ROUNDS: usize = 8;

/// The edit that gives the eye another angle of view, degrees, or lets it be read from the lines or assumed
/// again, given the eye as it is read before. A horizon that was placed by hand stays where it is in the
/// picture, and the pitch follows; a pitch that was said as an angle stays, and the horizon follows.
#[must_use]
pub fn with_lens(scene: &Scene, reading: &EyeReading, degrees: Option<f64>) -> Edit {
    let eye = EyeByHand { angle_of_view: degrees, ..scene.eye };
    let Some(pitch) = scene.eye.pitch.filter(|_| scene.eye.horizon_placed) else {
        return Edit::SetEye(eye);
    };
    // Below the principal point, frame widths, in coordinates turned back by the cant.
    let horizon = reading.eye.focal * pitch.to_radians().tan();
    let pitched = |focal: f64| {
        let pitch = horizon.atan2(focal).to_degrees().clamp(*PITCH.start(), *PITCH.end());
        EyeByHand { pitch: Some(pitch), ..eye }
    };
    let held = match degrees {
        Some(degrees) => pitched(focal_of_view(degrees.to_radians())),
        None => (0..ROUNDS).fold(eye, |held, _| {
            pitched(eye_alone(&Scene { eye: held, ..scene.clone() }).eye.focal)
        }),
    };
    Edit::SetEye(held)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Pull, apply, assess, pulled};
    use glam::DVec2;

    fn made(scene: &Scene, edit: &Edit) -> Scene {
        apply(scene, edit).expect("an edit that can be made")
    }

    /// A blank frame whose horizon was dragged through a point and canted.
    fn placed() -> Scene {
        let mut scene = Scene::default();
        for pull in [Pull::Lift(DVec2::new(0.0, 0.21)), Pull::Cant(DVec2::new(0.5, 0.15))] {
            let edit = pulled(&scene, &assess(&scene).eye, pull).expect("an eye");
            scene = made(&scene, &edit);
        }
        scene
    }

    #[test]
    fn a_horizon_that_was_placed_stays_with_every_lens_and_once_the_lens_is_let_go() {
        let scene = placed();
        assert!(scene.eye.horizon_placed && scene.eye.angle_of_view.is_none());
        let before = assess(&scene).eye.eye.horizon();
        let mut after = scene.clone();
        for degrees in [Some(20.0), Some(84.0), Some(35.0), None] {
            let edit = with_lens(&after, &assess(&after).eye, degrees);
            assert_eq!(edit.label(&after), "Set the lens");
            after = made(&after, &edit);
            let horizon = assess(&after).eye.eye.horizon();
            assert!((horizon - before).length() < 1e-6, "{degrees:?}: {horizon} for {before}");
        }
        assert!((after.eye.pitch.unwrap() - scene.eye.pitch.unwrap()).abs() < 1e-4);
    }

    #[test]
    fn a_pitch_that_was_said_as_an_angle_stays_one() {
        let mut scene = Scene::default();
        scene.eye.pitch = Some(-8.0);
        let edit = with_lens(&scene, &assess(&scene).eye, Some(30.0));
        let eye = made(&scene, &edit).eye;
        assert_eq!((eye.pitch, eye.angle_of_view), (Some(-8.0), Some(30.0)));
    }

    #[test]
    fn an_assumed_pitch_gives_way() {
        let scene = Scene::default();
        let edit = with_lens(&scene, &assess(&scene).eye, Some(30.0));
        assert_eq!(made(&scene, &edit).eye.pitch, None);
    }
}
