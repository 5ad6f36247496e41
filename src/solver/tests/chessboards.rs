//! Six real photographs of a chessboard (OpenCV's `left01.jpg` to `left06.jpg`), corners found and
//! camera calibrated by OpenCV 5.0.0, vanishing points by NumPy and SciPy; recorded in
//! `reference/chessboards.json`.

use glam::DVec2;
use serde_json::Value;
use staffage_solver::{EyeEvidence, EyeFit, Family, PrincipalPoint, TracedLine, fit_eye};

/// Scatter of the corners' rows and columns in these photographs, pixels.
const POINTING_PX: f64 = 0.1;

struct Board {
    name: String,
    evidence: EyeEvidence,
    /// Middle of the picture, pixels.
    centre: DVec2,
    width: f64,
}

fn record() -> Value {
    serde_json::from_str(include_str!("reference/chessboards.json")).unwrap()
}

fn pair(v: &Value) -> DVec2 {
    DVec2::new(v[0].as_f64().unwrap(), v[1].as_f64().unwrap())
}

/// The board's columns stand upright in these pictures, its rows run across them.
fn boards(record: &Value) -> Vec<Board> {
    let images = record["images"].as_array().unwrap();
    assert_eq!(images.len(), 6);
    images
        .iter()
        .map(|image| {
            let size = pair(&image["image_size"]);
            let centre = 0.5 * (size - DVec2::ONE);
            let picture = |p: DVec2| (p - centre) / size.x;
            let mut evidence = EyeEvidence::none(POINTING_PX / size.x);
            let k = &image["K"];
            evidence.principal = PrincipalPoint::Fixed(picture(DVec2::new(
                k["cx"].as_f64().unwrap(),
                k["cy"].as_f64().unwrap(),
            )));
            for (key, family) in [
                ("row_segments_px", Family::RecedingRight(0)),
                ("column_segments_px", Family::Upright),
            ] {
                for segment in image[key].as_array().unwrap() {
                    evidence.lines.push(TracedLine {
                        family,
                        from: picture(pair(&segment[0])),
                        to: picture(pair(&segment[1])),
                    });
                }
            }
            Board { name: image["image"].as_str().unwrap().into(), evidence, centre, width: size.x }
        })
        .collect()
}

fn calibrated(record: &Value) -> f64 {
    record["cameras"]["left"]["K"]["fx"].as_f64().unwrap()
}

/// Least squares of one focal length over all the pictures, each with its own turn: the sum of squares
/// of the single fits as a function of a common focal length, minimised by golden section.
fn common_focal(boards: &[Board]) -> f64 {
    let squares = |f_px: f64| -> f64 {
        boards
            .iter()
            .map(|b| {
                let evidence = EyeEvidence { focal: Some(f_px / b.width), ..b.evidence.clone() };
                fit_eye(&evidence).sum_of_squares
            })
            .sum()
    };
    let golden = 0.5 * (5_f64.sqrt() - 1.0);
    let (mut low, mut high) = (500.0, 560.0);
    while high - low > 1e-5 {
        let (a, b) = (high - golden * (high - low), low + golden * (high - low));
        if squares(a) < squares(b) {
            high = b;
        } else {
            low = a;
        }
    }
    0.5 * (low + high)
}

#[test]
fn one_focal_length_for_all_photographs_is_that_of_the_recorded_least_squares() {
    let record = record();
    let joint = &record["joint_focal"][0]["nonlinear_common_f"];
    let f = common_focal(&boards(&record));
    assert!((f - joint["f_px"].as_f64().unwrap()).abs() < 1e-3, "{f}");
    // And so it is as close to the calibrated focal length as that is: 0.68 % short.
    let error = (f - calibrated(&record)).abs();
    assert!(error < joint["error_px"].as_f64().unwrap().abs() + 1e-3, "{f}");
}

#[test]
fn vanishing_points_and_focal_lengths_of_single_photographs_are_those_recorded() {
    let record = record();
    for (board, image) in boards(&record).iter().zip(record["images"].as_array().unwrap()) {
        let recorded = &image["focal_from_vanishing_points"];
        // Where the lines fix the focal length badly the prior keeps a part of it.
        if recorded["conditioning"] != "good" {
            continue;
        }
        let fit: EyeFit = fit_eye(&board.evidence);
        let f = fit.eye.focal * board.width;
        assert!((f - recorded["f_px"].as_f64().unwrap()).abs() < 1e-2, "{} {f}", board.name);
        let points = &image["vanishing_points"];
        for (key, family) in [("rows", Family::RecedingRight(0)), ("columns", Family::Upright)] {
            let recorded = (pair(&points[key]["px"]) - board.centre) / board.width;
            let v = fit.vanishing_point(family);
            let seen = v.truncate() / v.z;
            let tolerance = 1e-5 * (1.0 + recorded.length_squared());
            assert!(seen.distance(recorded) < tolerance, "{} {key} {seen}", board.name);
        }
    }
}
