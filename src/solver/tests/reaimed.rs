//! The picture as the same eye would see it level or upright, checked against OpenCV 5.0.0
//! (`Rodrigues`, `perspectiveTransform`). The figures are in `reference/homographies.json`, made by the
//! program beside it.

use glam::{DVec2, DVec3};
use serde_json::Value;
use staffage_solver::{Eye, Homography};

fn number(v: &Value) -> f64 {
    v.as_f64().unwrap()
}

fn pair(v: &Value) -> DVec2 {
    DVec2::new(number(&v[0]), number(&v[1]))
}

/// Every recorded eye, and its case.
fn cases() -> Vec<(Eye, Value)> {
    let all: Value = serde_json::from_str(include_str!("reference/homographies.json")).unwrap();
    let cases = all["cases"].as_array().unwrap().iter().map(|case| {
        let [focal, pitch, cant] = ["focal", "pitch", "cant"].map(|name| number(&case[name]));
        (Eye { focal, pitch, cant, principal: pair(&case["principal"]) }, case.clone())
    });
    cases.collect()
}

fn check(map: Homography, case: &Value, name: &str) {
    let (points, seen) = (case["points"].as_array().unwrap(), case[name].as_array().unwrap());
    assert_eq!((points.len(), seen.len()), (12, 12));
    for (at, seen) in points.iter().map(pair).zip(seen.iter().map(pair)) {
        let ours = map.place(at);
        assert!(
            (ours - seen).length() < 1e-12 * (1.0 + seen.length()),
            "{name} {at} {ours} {seen}"
        );
        let back = map.inverse().place(ours);
        assert!((back - at).length() < 1e-12, "{back} {at}");
    }
}

#[test]
fn level_and_plumb_views_agree_with_opencv() {
    let cases = cases();
    assert_eq!(cases.len(), 6);
    for (eye, case) in cases {
        check(Homography::level(&eye), &case, "level");
        check(Homography::plumb(&eye).unwrap(), &case, "plumb");
    }
}

#[test]
fn in_a_level_view_the_horizon_is_level() {
    for (eye, _) in cases() {
        let map = Homography::level(&eye);
        let on = |u: f64| map.place(eye.nearest_on_horizon(DVec2::new(u, 0.0)));
        assert!((on(-0.7).y - on(0.9).y).abs() < 1e-12, "{eye:?}");
        assert!(on(-0.7).x < on(0.9).x, "its right end stays right");
        let plumb = map.place(DVec2::new(0.1, 0.3)) - map.place(eye.principal);
        let before = DVec2::new(0.1, 0.3) - eye.principal;
        assert!((plumb.length() - before.length()).abs() < 1e-12, "nothing is stretched");
        assert!(map.is_affine());
    }
}

#[test]
fn in_a_plumb_view_uprights_are_plumb_and_the_horizon_passes_through_the_principal_point() {
    for (eye, _) in cases() {
        let map = Homography::plumb(&eye).unwrap();
        for base in [DVec3::new(-1.0, -1.6, -9.0), DVec3::new(3.0, 2.0, -7.0)] {
            let seen = |up: f64| eye.project(base + up * DVec3::Y).map(|at| map.place(at));
            let (Some(foot), Some(head)) = (seen(0.0), seen(2.5)) else { continue };
            assert!((foot.x - head.x).abs() < 1e-12, "{eye:?} {foot} {head}");
            assert!(head.y < foot.y, "up is up");
        }
        let horizon = map.place(eye.nearest_on_horizon(DVec2::new(0.3, 0.0)));
        assert!((horizon.y - eye.principal.y).abs() < 1e-12, "{horizon}");
        let zenith = map.image(eye.image(DVec3::Y));
        assert!(
            zenith.z.abs() < 1e-12 && zenith.x.abs() < 1e-12,
            "the third point is gone: {zenith}"
        );
    }
}

#[test]
fn there_is_no_plumb_view_from_an_eye_that_looks_too_steeply() {
    for (degrees, there) in
        [(69.9, true), (-69.9, true), (70.1, false), (-70.1, false), (100.0, false)]
    {
        let eye = Eye { pitch: f64::to_radians(degrees), ..Eye::default() };
        assert_eq!(Homography::plumb(&eye).is_some(), there, "{degrees}");
    }
    for broken in [f64::NAN, f64::INFINITY] {
        assert_eq!(Homography::plumb(&Eye { focal: broken, ..Eye::default() }), None);
        assert_eq!(Homography::plumb(&Eye { pitch: broken, ..Eye::default() }), None);
        assert_eq!(
            Homography::level(&Eye { cant: broken, ..Eye::default() }),
            Homography::IDENTITY
        );
    }
}

#[test]
fn what_lies_behind_is_far_off_and_never_turned_over() {
    let eye = Eye { pitch: 1.0, focal: 0.5, ..Eye::default() };
    let map = Homography::plumb(&eye).unwrap();
    for v in [-0.3, -0.35, -1.0, -30.0] {
        let at = DVec2::new(0.1, v);
        let seen = map.place(at);
        assert!(seen.is_finite() && seen.y < -2.0 && seen.x > 0.0, "{at} {seen}");
    }
    let frame = [(-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5)].map(DVec2::from);
    let kept = map.in_front(&frame, 0.1);
    assert!(kept.len() >= 3 && kept.iter().all(|at| map.depth(*at) > 0.1 - 1e-12), "{kept:?}");
    let (foot, head) = map.segment_in_front(DVec2::Y * 0.2, DVec2::Y * -0.9, 0.1).unwrap();
    assert_eq!(foot, DVec2::Y * 0.2);
    assert!((map.depth(head) - 0.1).abs() < 1e-12);
    assert_eq!(map.segment_in_front(DVec2::Y * -0.8, DVec2::Y * -0.9, 0.1), None);
}

#[test]
fn the_stretch_is_that_of_small_things() {
    let eye = Eye { pitch: 0.4, cant: 0.2, ..Eye::default() };
    let map = Homography::plumb(&eye).unwrap();
    for at in [DVec2::ZERO, DVec2::new(0.4, -0.2), DVec2::new(-0.3, 0.2)] {
        let small = 1e-6;
        let moved = |by: DVec2| (map.place(at + small * by) - map.place(at)) / small;
        let area = moved(DVec2::X).perp_dot(moved(DVec2::Y)).abs();
        assert!((map.stretch(at) - area.sqrt()).abs() < 1e-5);
        let around = (0..180).map(|k| moved(DVec2::from_angle(f64::from(k).to_radians())).length());
        assert!((map.most_stretch(at) - around.fold(0.0, f64::max)).abs() < 1e-3);
    }
}

#[test]
fn an_eye_that_is_turned_sees_things_where_it_would_see_them() {
    for (eye, _) in cases() {
        let to = Eye { pitch: eye.pitch + 0.05, cant: eye.cant - 0.1, ..eye };
        let heading = 0.12_f64;
        let map = Homography::aimed(&eye, &to, heading).unwrap();
        for bearing in [-0.2_f64, 0.0, 0.3] {
            let ahead = |bearing: f64| DVec3::new(bearing.sin(), eye.pitch.sin(), -bearing.cos());
            // What lies to the right comes nearer to the middle of an eye that turns right.
            let (before, after) = (ahead(bearing), ahead(bearing - heading));
            let Some(at) = eye.project(before) else { continue };
            let there = to.project(after).unwrap();
            assert!((map.place(at) - there).length() < 1e-12, "{eye:?} {bearing}");
        }
    }
}
