//! Pictures cropped off-centre: the recorded cameras of `reference/cameras.json`, their frames moved.

use glam::DVec2;
use serde_json::Value;
use staffage_solver::{EyeEvidence, EyeFit, Family, PrincipalPoint, Source, TracedLine, fit_eye};

/// How far the frame was moved against the optical axis, frame widths.
const CROP: DVec2 = DVec2::new(-0.12, 0.07);

struct Case {
    name: String,
    evidence: EyeEvidence,
    /// Focal length, pitch and cant.
    truth: [f64; 3],
}

fn pair(v: &Value) -> DVec2 {
    DVec2::new(v[0].as_f64().unwrap(), v[1].as_f64().unwrap())
}

fn cases() -> Vec<Case> {
    let all: Value = serde_json::from_str(include_str!("reference/cameras.json")).unwrap();
    let families =
        [("X", Family::RecedingRight(0)), ("Y", Family::RecedingLeft(0)), ("Z", Family::Upright)];
    let case = |c: &Value| {
        let size = pair(&c["picture"]);
        let picture = |v: &Value| (pair(v) - 0.5 * (size - DVec2::ONE)) / size.x + CROP;
        let mut evidence = EyeEvidence::none(1.0 / size.x);
        for (axis, family) in families {
            evidence.lines.extend(c["edges"][axis].as_array().unwrap().iter().map(|e| {
                TracedLine { family, from: picture(&e["p_px"]), to: picture(&e["q_px"]) }
            }));
        }
        let camera = |key: &str| c["camera"][key].as_f64().unwrap();
        Case {
            name: c["name"].as_str().unwrap().to_owned(),
            evidence,
            truth: [
                camera("focal_picture_widths"),
                camera("pitch_deg").to_radians(),
                camera("roll_deg").to_radians(),
            ],
        }
    };
    all["cases"].as_array().unwrap().iter().map(case).collect()
}

impl Case {
    fn fit(&self, principal: PrincipalPoint) -> EyeFit {
        fit_eye(&EyeEvidence { principal, ..self.evidence.clone() })
    }

    /// Largest difference of focal length, pitch and cant from the truth.
    fn off(&self, fit: &EyeFit) -> f64 {
        let read = [fit.eye.focal, fit.eye.pitch, fit.eye.cant];
        std::iter::zip(read, self.truth).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
    }
}

#[test]
fn a_free_principal_point_is_found_where_three_vanishing_points_are_near() {
    let mut found = 0;
    for case in cases() {
        let fit = case.fit(PrincipalPoint::Free);
        let [u, v] = fit.principal_point();
        if [u, v].iter().any(|q| q.source == Source::Assumed || q.sd > 0.05) {
            continue;
        }
        found += 1;
        assert!(DVec2::new(u.value, v.value).distance(CROP) < 1e-6, "{} {u:?} {v:?}", case.name);
        assert!(case.off(&fit) < 1e-6, "{} {:?}", case.name, fit.eye);
        let centred = case.fit(PrincipalPoint::default());
        assert!(case.off(&centred) > 1e-3, "{} {:?}", case.name, centred.eye);
        let [u, _] = centred.principal_point();
        assert_eq!((u.value, u.sd, u.source), (0.0, 0.0, Source::ByHand));
    }
    assert!(found >= 5, "{found}");
}

#[test]
fn a_principal_point_known_beforehand_gives_the_same_eye() {
    for case in cases() {
        let fit = case.fit(PrincipalPoint::Fixed(CROP));
        assert!(case.off(&fit) < 1e-6, "{} {:?}", case.name, fit.eye);
        assert_eq!(fit.covariance.nrows(), 4);
        assert_eq!(case.fit(PrincipalPoint::Free).covariance.nrows(), 6);
    }
}

#[test]
fn without_lines_a_free_principal_point_is_assumed_at_the_centre() {
    let none = EyeEvidence { principal: PrincipalPoint::Free, ..EyeEvidence::none(1e-3) };
    for coordinate in fit_eye(&none).principal_point() {
        assert_eq!(coordinate.source, Source::Assumed);
        assert!(coordinate.value.abs() < 1e-9 && (coordinate.sd - 0.15).abs() < 1e-9);
    }
}
