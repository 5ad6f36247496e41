//! What tells the eye where no horizon is traced: figures of known height, and cropped frames.

mod pinhole;

use glam::DVec2;
use pinhole::*;
use staffage_scene::{BlockId, EyeByHand, Family, PrincipalPoint, Scene, Standing, assess};
use staffage_solver::Source;

const EYE: Pinhole = Pinhole::new(0.8, 4.0, -6.0);

/// Adults on the ground as tall as the eye is high, seen with nothing traced and only the lens known.
fn crowd() -> Scene {
    let mut scene = EYE.scene();
    scene.eye = EyeByHand { angle_of_view: EYE.by_hand().angle_of_view, ..EyeByHand::default() };
    let places = [(-3.0, 7.0), (-0.5, 9.0), (2.0, 6.0), (5.0, 14.0), (-6.0, 18.0), (1.0, 24.0)];
    for (id, (right, ahead)) in (1..).zip(places) {
        let mut adult = EYE.standing(id, "adult", GROUND, place(right, -1.70, ahead), 1.70);
        adult.statements.push(size(1.70, 0.06));
        scene.markers.push(adult);
    }
    scene
}

#[test]
fn heads_of_a_crowd_on_the_horizon_tell_pitch_and_cant() {
    let scene = crowd();
    let read = assess(&scene).eye;
    for (quantity, degrees) in [(read.pitch, EYE.pitch), (read.cant, EYE.cant)] {
        assert_eq!(quantity.source, Source::Read, "{quantity:?}");
        let off = (quantity.value.to_degrees() - degrees).abs();
        assert!(
            off < 2.0 * quantity.sd.to_degrees() && off < 0.3,
            "{quantity:?} is not {degrees}°"
        );
    }
    // As if the eye had been set by hand, everything then comes out in metres.
    let assessment = assess(&scene);
    assert_near(entry(&assessment, 6).distance.unwrap().value, run(place(1.0, 0.0, 24.0)), 0.1);
    assert_eq!(assessment.contradictions(), 0);
}

#[test]
fn a_locked_pitch_is_not_moved_by_figures() {
    let mut scene = crowd();
    scene.eye.pitch = Some(1.5);
    let read = assess(&scene).eye;
    assert_eq!(read.pitch.source, Source::ByHand);
    assert!((read.pitch.value.to_degrees() - 1.5).abs() < 1e-3, "{:?}", read.pitch);
    assert_eq!(read.cant.source, Source::Read);
}

#[test]
fn figures_of_no_known_height_tell_nothing_of_the_horizon() {
    let mut scene = crowd();
    scene.markers.iter_mut().for_each(|figure| figure.statements.clear());
    let read = assess(&scene).eye;
    assert_eq!(read.pitch.source, Source::Assumed);
}

/// One figure of another height among them neither moves the horizon far nor passes unnoticed.
#[test]
fn a_giant_in_the_crowd_is_named() {
    let mut scene = crowd();
    for (id, (right, ahead)) in (7..).zip([(-2.0, 12.0), (3.0, 10.0), (4.0, 20.0), (-4.0, 11.0)]) {
        let mut adult = EYE.standing(id, "adult", GROUND, place(right, -1.70, ahead), 1.70);
        adult.statements.push(size(1.70, 0.06));
        scene.markers.push(adult);
    }
    let mut giant = EYE.standing(20, "giant", GROUND, place(0.5, -1.70, 10.0), 1.70 * 1.8);
    giant.statements.push(size(1.70, 0.06));
    scene.markers.push(giant);
    let assessment = assess(&scene);
    let wrong: Vec<_> = assessment
        .ledger
        .iter()
        .filter(|e| e.standing <= Standing::Contradicts)
        .map(|e| e.id.0)
        .collect();
    assert_eq!(wrong, [20], "{:#?}", assessment.findings);
}

/// A box of a building, cropped: the optical axis meets the picture beside its middle.
fn cropped(principal: PrincipalPoint) -> Scene {
    let eye = Pinhole { principal: DVec2::new(-0.12, 0.07), ..Pinhole::new(0.7, 18.0, 3.0) };
    let mut scene = eye.scene();
    scene.pointing = 1e-4;
    scene.eye = EyeByHand { principal, ..EyeByHand::default() };
    let turn = 35_f64.to_radians();
    let (right, left) = (place(turn.sin(), 0.0, turn.cos()), place(-turn.cos(), 0.0, turn.sin()));
    let corner = place(0.4, -2.0, 11.0);
    let edges = [
        (Family::RecedingRight(BlockId(1)), right, left),
        (Family::RecedingLeft(BlockId(1)), left, right),
        (Family::Upright, place(0.0, 1.0, 0.0), right),
    ];
    let mut id = 0;
    for (family, along, aside) in edges {
        for (step, up) in [(0.0, 0.0), (0.0, 5.0), (3.0, 0.0), (6.0, 1.0), (2.0, 3.0)] {
            id += 1;
            let up =
                if family == Family::Upright { place(0.0, 0.0, 0.0) } else { place(0.0, up, 0.0) };
            let from = corner + aside * step + up;
            scene.lines.push(eye.line(id, family, from, from + along * 6.0));
        }
    }
    scene
}

#[test]
fn the_axis_of_a_cropped_painting_is_found_from_three_vanishing_points() {
    let read = assess(&cropped(PrincipalPoint::Free)).eye;
    for (quantity, value) in std::iter::zip(read.principal, [-0.12, 0.07]) {
        assert_eq!(quantity.source, Source::Read);
        assert!((quantity.value - value).abs() < 1e-3, "{quantity:?} is not {value}");
    }
    assert!((read.pitch.value.to_degrees() - 18.0).abs() < 0.05, "{:?}", read.pitch);
    assert!((read.cant.value.to_degrees() - 3.0).abs() < 0.05, "{:?}", read.cant);
    assert_near(read.eye.focal, 0.7, 2e-3);
}

#[test]
fn a_known_crop_is_taken_as_it_is_said() {
    let read = assess(&cropped(PrincipalPoint::At(DVec2::new(-0.12, 0.07)))).eye;
    assert_eq!(read.principal.map(|q| (q.source, q.sd)), [(Source::ByHand, 0.0); 2]);
    assert_near(read.eye.focal, 0.7, 1e-4);
    assert!((read.pitch.value.to_degrees() - 18.0).abs() < 1e-2);
    // Taken for a whole frame it reads another eye.
    let wrong = assess(&cropped(PrincipalPoint::Centre)).eye;
    assert!((wrong.eye.focal / 0.7 - 1.0).abs() > 0.02, "{:?}", wrong.eye);
}

/// Adults seen in the crop stand as far off as they do in the whole frame.
#[test]
fn what_stands_in_a_cropped_painting_has_its_own_size() {
    let mut scene = cropped(PrincipalPoint::At(DVec2::new(-0.12, 0.07)));
    let eye = Pinhole { principal: DVec2::new(-0.12, 0.07), ..Pinhole::new(0.7, 18.0, 3.0) };
    scene.eye = eye.by_hand();
    scene.levels[0].clearance = Some(known(2.0, 1e-3));
    scene.markers.push(eye.standing(1, "door", GROUND, place(1.0, -2.0, 10.0), 2.1));
    let assessment = assess(&scene);
    assert_measured(&assessment, 1, run(place(1.0, 0.0, 10.0)), 2.1);
}
