//! Ten synthetic cameras seen by general-purpose libraries: edges and markers projected by OpenCV
//! 5.0.0 (`projectPoints`), the noisy edges solved by SciPy 1.17.1 (`optimize.least_squares`).
//! The recorded figures are in `reference/cameras.json`.

use glam::DVec2;
use serde_json::Value;
use staffage_solver::{
    Curvature, EyeEvidence, EyeFit, Family, Ledger, LedgerInput, LedgerLevel, LedgerMarker, Side,
    Span, Stand, Stated, TracedLine, adjust, fit_eye,
};

struct Case {
    json: Value,
    size: DVec2,
}

fn cases() -> Vec<Case> {
    let all: Value = serde_json::from_str(include_str!("reference/cameras.json")).unwrap();
    let cases = all["cases"].as_array().unwrap();
    assert_eq!(cases.len(), 10);
    cases.iter().map(|c| Case { size: pair(&c["picture"]), json: c.clone() }).collect()
}

fn pair(v: &Value) -> DVec2 {
    DVec2::new(v[0].as_f64().unwrap(), v[1].as_f64().unwrap())
}

impl Case {
    fn number(&self, path: &str) -> f64 {
        self.json.pointer(path).and_then(Value::as_f64).unwrap_or_else(|| panic!("{path}"))
    }

    /// Pixel centres at whole numbers, to picture units.
    fn picture(&self, v: &Value) -> DVec2 {
        (pair(v) - 0.5 * (self.size - DVec2::ONE)) / self.size.x
    }

    fn evidence(&self, p: &str, q: &str) -> EyeEvidence {
        let mut evidence = EyeEvidence::none(1.0 / self.size.x);
        for (axis, family) in [
            ("X", Family::RecedingRight(0)),
            ("Y", Family::RecedingLeft(0)),
            ("Z", Family::Upright),
        ] {
            for edge in self.json["edges"][axis].as_array().unwrap() {
                evidence.lines.push(TracedLine {
                    family,
                    from: self.picture(&edge[p]),
                    to: self.picture(&edge[q]),
                });
            }
        }
        evidence
    }

    /// Angles between a fit and expected angle of view, pitch, cant and heading, radians. The edges
    /// along X (east) are receding right, so that the block is turned by 90 degrees - heading.
    fn differences(
        &self,
        fit: &EyeFit,
        f_px: f64,
        pitch: f64,
        roll: f64,
        heading: f64,
    ) -> [f64; 4] {
        let view = 2.0 * (0.5 * self.size.x / f_px).atan();
        let turned = (90.0 - heading).to_radians() - fit.headings.blocks[0];
        let half_turns = (turned / std::f64::consts::PI).round();
        [
            fit.eye.angle_of_view() - view,
            fit.eye.pitch - pitch.to_radians(),
            fit.eye.cant - roll.to_radians(),
            turned - half_turns * std::f64::consts::PI,
        ]
    }
}

#[test]
fn exact_edges_give_the_true_eye_to_a_millionth_of_a_radian() {
    for case in cases() {
        let fit = fit_eye(&case.evidence("p_px", "q_px"));
        let differences = case.differences(
            &fit,
            case.number("/camera/K/fx"),
            case.number("/camera/pitch_deg"),
            case.number("/camera/roll_deg"),
            case.number("/camera/heading_deg"),
        );
        for d in differences {
            assert!(d.abs() < 1e-6, "{}: {differences:?}", case.json["name"]);
        }
    }
}

#[test]
fn noisy_edges_give_the_same_eye_as_scipy_least_squares() {
    for case in cases() {
        let fit = fit_eye(&case.evidence("p_noisy_px", "q_noisy_px"));
        let differences = case.differences(
            &fit,
            case.number("/yardstick/f_px"),
            case.number("/yardstick/pitch_deg"),
            case.number("/yardstick/roll_deg"),
            case.number("/yardstick/heading_deg"),
        );
        let squares = fit.sum_of_squares * case.size.x * case.size.x;
        let scipy = case.number("/yardstick/sum_of_squares_px2");
        assert!(squares < scipy * 1.01, "{}: {squares} {scipy}", case.json["name"]);
        for d in differences {
            assert!(d.abs() < 1e-6, "{}: {differences:?}", case.json["name"]);
        }
    }
}

#[test]
fn predicted_spreads_match_those_recorded_for_the_same_noise() {
    for case in cases() {
        let fit = fit_eye(&case.evidence("p_noisy_px", "q_noisy_px"));
        let expected = case.number("/yardstick/predicted_sd/f_percent") / 100.0;
        let sd = fit.covariance[(0, 0)].sqrt();
        // The record differentiates at the true eye, the fit at the fitted one, and careless
        // tracing widens it.
        assert!(
            sd > 0.7 * expected && sd < 1.6 * expected,
            "{}: {sd} {expected}",
            case.json["name"]
        );
    }
}

#[test]
fn horizons_and_vanishing_points_lie_where_opencv_projects_them() {
    for case in cases() {
        let fit = fit_eye(&case.evidence("p_px", "q_px"));
        let normal: Vec<f64> =
            (0..3).map(|k| case.number(&format!("/horizon/normal_form/{k}"))).collect();
        let horizon = fit.eye.horizon();
        assert!((horizon.x - normal[0]).abs() < 1e-6 && (horizon.y - normal[1]).abs() < 1e-6);
        let centre = 0.5 * (case.size - DVec2::ONE);
        let offset = normal[0] * centre.x + normal[1] * centre.y + normal[2];
        let tolerance = 1e-6 * (1.0 + horizon.z.abs());
        assert!((horizon.z - offset / case.size.x).abs() < tolerance, "{}", case.json["name"]);
        for (axis, family) in [("X", Family::RecedingRight(0)), ("Z", Family::Upright)] {
            let expected = case.picture(&case.json["vanishing_points_px"][axis]);
            let v = fit.vanishing_point(family);
            let seen = DVec2::new(v.x / v.z, v.y / v.z);
            assert!(seen.distance(expected) < 1e-5 * (1.0 + expected.length_squared()));
        }
    }
}

/// Horizontal distance and height of each of a case's markers, `None` where the foot cannot be read.
fn markers(case: &Case, fit: &EyeFit, foot: &str, top: &str) -> Vec<Option<[f64; 2]>> {
    let markers = case.json["markers"].as_array().unwrap();
    let eye_height = Stated { value: case.number("/camera/eye_height"), spread: 1e-3 };
    markers
        .iter()
        .map(|m| {
            let input = LedgerInput {
                levels: vec![LedgerLevel {
                    side: Side::Below,
                    clearance: Some(eye_height),
                    above: None,
                }],
                markers: vec![LedgerMarker {
                    foot: case.picture(&m[foot]),
                    head: case.picture(&m[top]),
                    span: Span::Upright,
                    stands: Some(Stand::On { level: 0 }),
                    known: vec![],
                }],
                pointing: 0.01 / case.size.x,
                curvature: Curvature::Flat,
            };
            let ledger = Ledger::new(&input, fit);
            let adjusted = adjust(&ledger.network).unwrap();
            ledger.faults[0].is_empty().then(|| {
                [ledger.distance_node(0), ledger.size_node(0)].map(|n| adjusted.values[n].exp())
            })
        })
        .collect()
}

#[test]
fn markers_stand_where_they_were_projected_from_to_a_millionth() {
    for case in cases() {
        let fit = fit_eye(&case.evidence("p_px", "q_px"));
        let read = markers(&case, &fit, "foot_px", "top_px");
        assert_eq!(read.len(), 10);
        for (marker, read) in case.json["markers"].as_array().unwrap().iter().zip(read) {
            let [distance, height] = read.unwrap_or_else(|| panic!("{marker}"));
            let expected = marker["ground_distance"].as_f64().unwrap();
            assert!((distance / expected - 1.0).abs() < 1e-6, "{distance} {expected}");
            let expected = marker["height"].as_f64().unwrap();
            assert!((height / expected - 1.0).abs() < 1e-6, "{height} {expected}");
        }
    }
}

#[test]
fn noisy_markers_are_no_farther_off_than_with_scipys_camera() {
    for case in cases() {
        let fit = fit_eye(&case.evidence("p_noisy_px", "q_noisy_px"));
        let read = markers(&case, &fit, "foot_noisy_px", "top_noisy_px");
        for (marker, read) in case.json["markers"].as_array().unwrap().iter().zip(read) {
            let yardstick = &marker["yardstick"];
            let Some(error) = yardstick["ground_distance_error_percent"].as_f64() else { continue };
            let [distance, height] = read.unwrap();
            let off = |value: f64, truth: f64| 100.0 * (value / truth - 1.0).abs();
            let distance = off(distance, marker["ground_distance"].as_f64().unwrap());
            assert!(
                distance <= 1.01 * error.abs() + 1e-4,
                "{} {distance} {error}",
                case.json["name"]
            );
            let error = yardstick["height_error_percent"].as_f64().unwrap();
            let height = off(height, marker["height"].as_f64().unwrap());
            assert!(height <= 1.01 * error.abs() + 1e-4, "{} {height} {error}", case.json["name"]);
        }
    }
}
