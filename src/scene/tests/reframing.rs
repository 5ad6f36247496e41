//! A painting that was cropped or extended is seen by the same eye: nothing changes its distance or size.

mod pinhole;

use glam::DVec2;
use pinhole::{GROUND, Pinhole, assert_near, known, place, same_make, size};
use staffage_scene::{
    Assessment, Beginning, BlockId, Edit, EyeByHand, Family, Frame, History, Marker,
    PrincipalPoint, Reframing, Scene, Segment, Stands, apply, assess,
};

const WIDER: Frame = Frame { ratio: 2.0, working_width: 2500 };

fn camera() -> Pinhole {
    Pinhole::new(0.9, 7.0, -4.0)
}

/// A quay with something of every kind that has a place in the picture; the eye is set by hand.
fn quay() -> Scene {
    let mut eye = camera();
    eye.principal = DVec2::new(0.02, -0.03);
    let mut scene = eye.scene();
    let mut foreman = eye.standing(1, "foreman", GROUND, place(-2.0, -1.6, 9.0), 1.7);
    foreman.statements = vec![size(1.7, 0.06)];
    let mut mate = eye.standing(2, "mate", GROUND, place(3.0, -1.6, 21.0), 2.9);
    mate.statements = vec![size(1.7, 0.06)];
    let crate_ = eye.standing(3, "crate", GROUND, place(1.0, -1.6, 15.0), 1.2);
    let kite = Marker {
        stands: Stands::Over { level: GROUND, plumb: eye.sees(place(0.0, -1.6, 30.0)) },
        ..eye.upright(4, "kite", place(0.0, 4.0, 30.0), 1.0)
    };
    scene.markers = vec![foreman, mate, crate_, kite];
    scene.levels[0].clearance = Some(known(1.6, 0.05));
    scene
}

/// A place whose eye is read from lines of three families.
fn street() -> Scene {
    let eye = camera();
    let mut scene = Scene { eye: Default::default(), ..eye.scene() };
    let (left, right) = (Family::RecedingLeft(BlockId(1)), Family::RecedingRight(BlockId(1)));
    let corners = [place(-3.0, -1.6, 9.0), place(-3.0, 6.0, 9.0), place(2.0, 1.0, 14.0)];
    let along = |by: f64, turn: f64| place(by * turn.sin(), 0.0, by * turn.cos());
    let mut id = 0;
    for corner in corners {
        for (family, run) in [
            (left, along(7.0, -0.9)),
            (right, along(7.0, std::f64::consts::FRAC_PI_2 - 0.9)),
            (Family::Upright, place(0.0, 5.0, 0.0)),
        ] {
            id += 1;
            scene.lines.push(eye.line(id, family, corner, corner + run));
        }
    }
    let mut foreman = eye.standing(1, "foreman", GROUND, place(-2.0, -1.6, 9.0), 1.7);
    foreman.statements = vec![size(1.7, 0.06)];
    let mut mate = eye.standing(2, "mate", GROUND, place(3.0, -1.6, 21.0), 1.7);
    mate.statements = vec![same_make(1)];
    scene.markers = vec![foreman, mate];
    scene
}

fn after(scene: &Scene, centre: DVec2, width: f64) -> Scene {
    apply(scene, &Edit::Reframe { map: Reframing::cropped(centre, width), frame: WIDER })
        .expect("a sound scene")
}

/// Distances, sizes, intervals, standings and findings are the same to `relative`.
fn assert_same(a: &Assessment, b: &Assessment, relative: f64) {
    assert!(!a.ledger.is_empty());
    assert_near(b.eye.eye.pitch, a.eye.eye.pitch, relative);
    assert_near(b.eye.eye.cant, a.eye.eye.cant, relative);
    for (a, b) in a.ledger.iter().zip(&b.ledger) {
        assert_eq!((a.id, a.standing, a.unit), (b.id, b.standing, b.unit));
        for (a, b) in [(a.distance, b.distance), (a.size, b.size)] {
            let (a, b) = (a.expect("known"), b.expect("known"));
            for (a, b) in [(a.value, b.value), (a.low, b.low), (a.high, b.high)] {
                if a.is_finite() || b.is_finite() {
                    assert_near(b, a, relative);
                }
            }
        }
    }
    let about = |of: &Assessment| of.findings.iter().map(|f| f.about).collect::<Vec<_>>();
    assert_eq!(about(a), about(b));
}

/// Crops and extensions: middle of the new frame and its width, old units.
const FRAMES: [(f64, f64, f64); 4] =
    [(0.1, 0.05, 0.7), (-0.08, 0.0, 0.8), (0.2, -0.1, 1.6), (0.0, 0.0, 0.9)];

#[test]
fn a_crop_changes_nothing_in_the_ledger() {
    let before = assess(&quay());
    for (u, v, width) in FRAMES {
        assert_same(&before, &assess(&after(&quay(), DVec2::new(u, v), width)), 1e-9);
    }
}

#[test]
fn an_eye_read_from_lines_is_read_again_from_the_crop() {
    let before = assess(&street());
    for (u, v, width) in FRAMES {
        assert_same(&before, &assess(&after(&street(), DVec2::new(u, v), width)), 1e-5);
    }
}

#[test]
fn an_assumed_lens_goes_on_being_that_of_the_frame_before() {
    let scene = Scene { eye: EyeByHand::default(), ..quay() };
    let before = assess(&scene);
    for (u, v, width) in FRAMES {
        let cropped = after(&scene, DVec2::new(u, v), width);
        let assessment = assess(&cropped);
        assert_same(&before, &assessment, 1e-9);
        assert_near(assessment.eye.eye.focal, before.eye.eye.focal / width, 1e-9);
    }
    // Cropped and extended again it is the whole frame.
    let there = after(&scene, DVec2::ZERO, 0.5);
    assert_eq!(there.eye.whole_frame, Some(2.0));
    assert_eq!(after(&there, DVec2::ZERO, 2.0).eye.whole_frame, None);
}

#[test]
fn the_optical_axis_stays_where_it_was_in_the_painting() {
    let centre = DVec2::new(0.1, -0.05);
    let scene = after(&street(), centre, 0.5);
    assert_eq!(scene.eye.principal, PrincipalPoint::At(DVec2::new(-0.2, 0.1)));
    let again = after(&scene, -centre / 0.5, 2.0);
    let PrincipalPoint::At(back) = again.eye.principal else {
        // It lies in the middle of the frame again.
        return assert_eq!(again.eye.principal, PrincipalPoint::Centre);
    };
    assert!(back.length() < 1e-12, "{back}");
}

#[test]
fn a_crop_and_its_undoing_leave_every_place_where_it_was() {
    let mut scene = quay();
    scene.horizon = Some(Segment(DVec2::new(-0.5, 0.1), DVec2::new(0.5, 0.08)));
    let centre = DVec2::new(0.13, 0.04);
    let map = Reframing::cropped(centre, 0.6);
    let there = apply(&scene, &Edit::Reframe { map, frame: WIDER }).unwrap();
    let map = Reframing::cropped(-centre / 0.6, 1.0 / 0.6);
    let back = apply(&there, &Edit::Reframe { map, frame: scene.frame }).unwrap();
    let places = |scene: &Scene| {
        let Segment(a, b) = scene.horizon.expect("a horizon");
        let markers = scene.markers.iter();
        let of_markers = markers.flat_map(|m| [Some(m.foot), Some(m.head), m.stands.tie()]);
        of_markers.flatten().chain([a, b]).collect::<Vec<_>>()
    };
    assert_eq!(places(&scene).len(), 11);
    for (a, b) in places(&scene).into_iter().zip(places(&back)) {
        assert!((a - b).length() < 1e-12, "{a} {b}");
    }
}

#[test]
fn it_is_one_step_that_can_be_undone() {
    let mut history = History::new(quay());
    let map = Reframing::cropped(DVec2::new(0.1, 0.0), 0.8);
    history.apply(&Edit::Reframe { map, frame: WIDER }).unwrap();
    assert_eq!(history.undo_label(), Some("Take the painting’s new frame"));
    assert_ne!(**history.present(), quay());
    assert!(history.undo());
    assert_eq!(**history.present(), quay());
}

#[test]
fn a_frame_that_cannot_be_is_refused() {
    let map = Reframing::cropped(DVec2::ZERO, 1e-6);
    assert!(apply(&quay(), &Edit::Reframe { map, frame: WIDER }).is_err());
}

#[test]
fn ideas_that_are_put_aside_move_along() {
    let start = Edit::StartAlternative { name: "barge".into(), beginning: Beginning::Copy };
    let scene = apply(&quay(), &start).expect("a sound scene");
    let after = after(&scene, DVec2::new(0.1, -0.05), 1.25);
    let other = scene.alternatives.iter().find(|a| a.aside.is_some()).expect("one aside").id;
    let shown = after.showing(other).expect("it is there");
    assert_eq!(shown.markers, after.markers);
    assert_ne!(shown.markers, scene.markers);
}
