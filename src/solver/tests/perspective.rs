//! Worked cases of lens angles and perspective, with their sources.

use glam::DVec2;
use staffage_solver::{
    Eye, EyeEvidence, Family, Headings, Source, TracedLine, angle_of_view, fit_eye, focal_of_view,
};

/// Published angles of view of a 36 x 24 mm frame, degrees: focal length, across, down, diagonal
/// (table posted to the Leica users' list, 1999-08-20, leica-users.org v10 msg04586; the formula is
/// in S. F. Ray, *Applied Photographic Optics*, from memory).
const LENSES: [(f64, f64, f64, f64); 7] = [
    (14.0, 104.250, 81.203, 114.182),
    (24.0, 73.740, 53.130, 84.062),
    (28.0, 65.470, 46.397, 75.381),
    (35.0, 54.432, 37.849, 63.440),
    (50.0, 39.598, 26.991, 46.793),
    (135.0, 15.189, 10.159, 18.208),
    (200.0, 10.286, 6.867, 12.347),
];

#[test]
fn lens_angles_are_those_of_the_published_table() {
    for (mm, across, down, diagonal) in LENSES {
        for (side, printed) in [(36.0, across), (24.0, down), (36_f64.hypot(24.0), diagonal)] {
            let degrees = angle_of_view(mm / side).to_degrees();
            assert!((degrees - printed).abs() < 0.5e-3 + 1e-9, "{mm} mm: {degrees} {printed}");
            assert!((focal_of_view(degrees.to_radians()) * side / mm - 1.0).abs() < 1e-12);
        }
    }
}

const WIDTH: f64 = 1920.0;

/// An eye of a worked case: f 1000 px, principal point (960, 540) in a frame 1920 px wide. Yaw turns
/// the scene's axes against the eye; pitch and roll have our signs turned.
fn eye(pitch: f64, roll: f64) -> Eye {
    Eye {
        focal: 1000.0 / WIDTH,
        pitch: pitch.to_radians(),
        cant: roll.to_radians(),
        ..Eye::default()
    }
}

fn px(v: glam::DVec3) -> DVec2 {
    DVec2::new(v.x / v.z, v.y / v.z) * WIDTH + DVec2::new(960.0, 540.0)
}

/// Worked cases computed from K R d with R = Rz(roll) Rx(pitch) Ry(yaw): vanishing points of the
/// scene's x, y and z axes, pixels.
#[test]
fn vanishing_points_of_worked_three_point_cases() {
    let cases = [
        (35.0, -15.0, 0.0, [(-518.5276, 807.9492), (960.0, -3192.0508), (1684.9082, 807.9492)]),
        (30.0, -20.0, 5.0, [(-907.9181, 741.9389), (1199.4584, -2197.0224), (1540.3432, 956.1340)]),
    ];
    for (yaw, pitch, roll, expected) in cases {
        let eye = eye(-pitch, -roll);
        // Looking up at vanishing points below the frame's middle: z ahead recedes to the right.
        let headings = Headings { blocks: vec![f64::to_radians(yaw)], inclines: vec![] };
        let families = [Family::RecedingLeft(0), Family::Upright, Family::RecedingRight(0)];
        for (family, (x, y)) in families.into_iter().zip(expected) {
            let seen = px(eye.image(headings.direction(family)));
            assert!(seen.distance(DVec2::new(x, y)) < 1e-4, "{family:?} {seen}");
        }
    }
}

/// Lines towards given vanishing points, pixels.
fn traced(points: &[(Family, DVec2)]) -> EyeEvidence {
    let mut evidence = EyeEvidence::none(1.0 / WIDTH);
    for (family, point) in points {
        let v = (*point - DVec2::new(960.0, 540.0)) / WIDTH;
        for (x, y) in [(-0.3, -0.1), (0.25, 0.15), (0.05, -0.2)] {
            let middle = DVec2::new(x, y);
            let half = 0.1 * (v - middle).normalize();
            evidence.lines.push(TracedLine {
                family: *family,
                from: middle - half,
                to: middle + half,
            });
        }
    }
    evidence
}

#[test]
fn the_principal_point_is_the_orthocentre_of_three_vanishing_points() {
    // Caprile & Torre, IJCV 4 (1990): (vi - p).(vj - p) + f² = 0 for each pair. The centroid of these
    // points, (708.79, -525.38), is where a careless reading would put the principal point.
    let [x, y, z] = [(-518.5276, 807.9492), (960.0, -3192.0508), (1684.9082, 807.9492)]
        .map(|(x, y)| DVec2::new(x, y));
    let p = DVec2::new(960.0, 540.0);
    for (a, b) in [(x, y), (y, z), (x, z)] {
        assert!(((a - p).dot(b - p) + 1e6).abs() < 2.0);
    }
    let fit = fit_eye(&traced(&[
        (Family::RecedingLeft(0), x),
        (Family::Upright, y),
        (Family::RecedingRight(0), z),
    ]));
    assert!((fit.eye.focal * WIDTH - 1000.0).abs() < 1e-3, "{}", fit.eye.focal * WIDTH);
    assert!((fit.eye.pitch.to_degrees() - 15.0).abs() < 1e-4);
    assert!(fit.eye.cant.abs() < 1e-6);
    assert!((fit.headings.blocks[0].to_degrees() - 35.0).abs() < 1e-4);
}

#[test]
fn a_two_point_box_at_30_and_60_degrees_gives_the_station_distance() {
    // Station distance 1000: vanishing points at -577.3503 and +1732.0508 from the centre of vision;
    // their product gives the distance (any perspective handbook).
    let centre = DVec2::new(960.0, 540.0);
    let mut evidence = traced(&[
        (Family::RecedingLeft(0), centre - DVec2::new(577.3503, 0.0)),
        (Family::RecedingRight(0), centre + DVec2::new(1732.0508, 0.0)),
    ]);
    evidence.lines.push(TracedLine {
        family: Family::Upright,
        from: DVec2::new(0.2, -0.1),
        to: DVec2::new(0.2, 0.1),
    });
    let fit = fit_eye(&evidence);
    assert!((fit.eye.focal * WIDTH - 1000.0).abs() < 1e-3, "{}", fit.eye.focal * WIDTH);
    assert!((fit.headings.blocks[0].to_degrees() - 60.0).abs() < 1e-5);
    assert!(fit.eye.pitch.abs() < 1e-7 && fit.eye.cant.abs() < 1e-7);
}

#[test]
fn a_horizon_out_of_any_picture_says_nothing() {
    let plain = fit_eye(&EyeEvidence::none(1e-3));
    for far in [1e7, 1e160, f64::NAN, f64::INFINITY] {
        let horizon = Some([DVec2::new(-far, 0.0), DVec2::new(far, 0.1)]);
        assert_eq!(fit_eye(&EyeEvidence { horizon, ..EyeEvidence::none(1e-3) }), plain, "{far}");
    }
}

#[test]
fn an_incline_set_by_hand_stays_as_it_was_set() {
    let mut evidence = EyeEvidence::none(1.0 / 2300.0);
    evidence.inclines = vec![[Some(0.3), Some(-0.5)]];
    // A ray of light that runs quite otherwise.
    let (from, to) = (DVec2::new(-0.2, -0.1), DVec2::new(0.1, -0.12));
    evidence.lines.push(TracedLine { family: Family::Incline(0), from, to });
    let [heading, slope] = fit_eye(&evidence).incline(0);
    assert!((heading.value - 0.3).abs() < 1e-6 && (slope.value + 0.5).abs() < 1e-6);
    assert_eq!([heading.source, slope.source], [Source::ByHand; 2]);
}
