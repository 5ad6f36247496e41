//! Circles and cylinders projected by OpenCV 5.0.0 (`projectPoints`, `fitEllipseDirect`). The recorded
//! figures are in `reference/circles.json`, made by `reference/circles.py`.

use glam::{DVec2, DVec3};
use serde_json::Value;
use staffage_solver::{Circle, Eye, carried_to};

fn cases() -> Vec<Value> {
    let all: Value = serde_json::from_str(include_str!("reference/circles.json")).unwrap();
    all["cases"].as_array().unwrap().clone()
}

fn number(of: &Value) -> f64 {
    of.as_f64().unwrap()
}

fn pair(of: &Value) -> DVec2 {
    DVec2::new(number(&of[0]), number(&of[1]))
}

fn triple(of: &Value) -> DVec3 {
    DVec3::new(number(&of[0]), number(&of[1]), number(&of[2]))
}

fn pairs(of: &Value) -> Vec<DVec2> {
    of.as_array().unwrap().iter().map(pair).collect()
}

fn eye(case: &Value) -> Eye {
    let [focal, pitch, cant] = ["focal", "pitch", "cant"].map(|name| number(&case[name]));
    Eye { focal, pitch, cant, principal: pair(&case["principal"]) }
}

/// The circle as a painter places it: its centre and one point of its rim in the picture.
fn drawn(case: &Value) -> Circle {
    let (centre, rim) = (pair(&case["seen_centre"]), pair(&case["seen_rim"][0]));
    Circle::through(&eye(case), centre, rim, triple(&case["normal"])).unwrap()
}

/// How far a point is off a conic, frame widths (Sampson's approximation).
fn off(conic: glam::DMat3, at: DVec2) -> f64 {
    let p = at.extend(1.0);
    p.dot(conic * p).abs() / (2.0 * (conic * p).truncate().length())
}

#[test]
fn a_circle_drawn_by_centre_and_rim_passes_through_all_of_the_rim_that_opencv_projects() {
    for case in cases() {
        let (eye, circle) = (eye(&case), drawn(&case));
        let conic = circle.conic(&eye).unwrap();
        for at in pairs(&case["seen_rim"]) {
            assert!(off(conic, at) < 1e-9, "{at}");
        }
    }
}

#[test]
fn a_cylinder_carried_to_the_centre_of_its_top_has_the_top_that_opencv_projects() {
    for case in cases() {
        let (eye, circle, normal) = (eye(&case), drawn(&case), triple(&case["normal"]));
        let top = pair(&case["seen_top_centre"]);
        let by = carried_to(&eye, circle.centre, normal, top).unwrap();
        let metres = number(&case["radius"]) / circle.radius();
        assert!((by * metres - number(&case["height"])).abs() < 1e-9);
        let conic = circle.moved(by * normal).conic(&eye).unwrap();
        for at in pairs(&case["seen_top"]) {
            assert!(off(conic, at) < 1e-9, "{at}");
        }
    }
}

#[test]
fn its_ellipse_is_the_one_that_opencv_fits() {
    for case in cases() {
        let ellipse = drawn(&case).ellipse(&eye(&case)).unwrap();
        // The fit is in single precision.
        assert!(ellipse.centre.distance(pair(&case["ellipse_centre"])) < 2e-5);
        let mut axes = ellipse.semi_axes.map(|axis| 2.0 * axis);
        axes.reverse();
        for (axis, fitted) in axes.into_iter().zip(pairs_of(&case["ellipse_axes"])) {
            assert!((axis - fitted).abs() < 5e-5, "{axis} is not {fitted}");
        }
    }
}

fn pairs_of(axes: &Value) -> Vec<f64> {
    axes.as_array().unwrap().iter().map(number).collect()
}
