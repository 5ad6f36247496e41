//! Bodies of known size as several eyes see them, against OpenCV 5.0.0 (`projectPoints` without
//! distortion, with the camera's axes worked out apart from this crate).

use glam::{DVec2, DVec3};
use staffage_solver::{Cylinder, Eye, Pose, Solid, seen_segment};

/// One eye with a level below or above it, and where it sees what stands 25° off straight ahead there.
struct Case {
    /// Frame widths.
    focal: f64,
    /// Degrees.
    pitch: f64,
    /// Degrees.
    cant: f64,
    /// Metres from the eye: X right, Y up, -Z ahead.
    foot: [f64; 3],
    /// A box of 2.4 by 5 by 3 m: below, then above, each from the near left anticlockwise.
    corners: [[f64; 2]; 8],
    /// Foot and head of a figure of 1.7 m.
    figure: [[f64; 2]; 2],
    /// Points of the rims of a cylinder of 4 by 6 m at 20°, 140° and 260°: below, then above.
    rims: [[f64; 2]; 6],
    /// Where that is farthest left and right, found among two million points of its rim, radians.
    contour: [f64; 2],
}

#[rustfmt::skip]
const CASES: [Case; 4] = [
    Case {
        focal: 0.9,
        pitch: 9.0,
        cant: 6.0,
        foot: [1.5, -3.0, -18.0],
        corners: [[-0.0037732041571318844, 0.32024291600685245], [0.12856394518596542, 0.3184701944339885], [0.2011581267500412, 0.26650786370663376], [0.09473811755935986, 0.270481389662371], [-0.021039848417677306, 0.1455425566683654], [0.10601764989993108, 0.13218827547292322], [0.18203697059859592, 0.12419832290547386], [0.07898481384612226, 0.13502954103342124]],
        figure: [[0.10897494455323184, 0.29067921951942505], [0.09833824829419012, 0.20076824392652987]],
        rims: [[0.21392837275907242, 0.28609838382239156], [0.030924655395350744, 0.31145411188182476], [0.08332558183961125, 0.27733060045730923], [0.17077473455228315, -0.031043068682600414], [-0.0036219520639775584, -0.01818720407601982], [0.05184376069709576, 0.0017604830207833527]],
        contour: [3.113780133827563, 0.1940970189167382],
    },
    Case {
        focal: 1.3,
        pitch: -22.0,
        cant: -11.0,
        foot: [1.5, -12.5, -30.0],
        corners: [[-0.03474832752483828, 0.03659526344067847], [0.05376009905449181, 0.07197562210398319], [0.13849092080107073, 0.014999561608426965], [0.058314363345519676, -0.014614041637727032], [-0.012864111307235802, -0.08136091837050324], [0.07981217541972459, -0.048451392951958536], [0.16411162291527734, -0.09203694608501879], [0.08057087383686184, -0.11966559772972091]],
        figure: [[0.056217380318033486, 0.02525563733101841], [0.06961242760628661, -0.03737041727282441]],
        rims: [[0.13060900687469573, 0.05065123850233651], [-0.007909700936629302, 0.03370843869606235], [0.04564661873397232, -0.006029102048960058], [0.18711516154690266, -0.1852098457703683], [0.03896674772633278, -0.20799014460222176], [0.09186510186588454, -0.22777019874621632]],
        contour: [3.124917079784539, 0.1165907865600244],
    },
    Case {
        focal: 0.7,
        pitch: 35.0,
        cant: 14.0,
        foot: [1.5, 4.0, -9.0],
        corners: [[-0.035131289132186834, 0.0856610727615809], [0.14737271980148486, -0.007955876220330775], [0.26696440931498433, 0.1214256732495093], [0.13288476031526655, 0.1769289737026084], [-0.07089219260197809, -0.09696221076107026], [0.07390303312737222, -0.1895527865084051], [0.19871268682310317, -0.024977824907130887], [0.08567596084465381, 0.03243878463321249]],
        figure: [[0.13842657897155605, 0.1062082961949937], [0.10358267562346749, 0.0075970102334594015]],
        rims: [[0.2798241009318859, 0.048529856300361406], [0.02004366938098086, 0.09117013207362915], [0.11467570893985284, 0.16425501780353635], [0.13674559138846643, -0.23082241381487711], [-0.05472141197098498, -0.21177350829521935], [0.03133058877623022, -0.10090187199349916]],
        contour: [3.085747702579581, 0.3861425778306823],
    },
    Case {
        focal: 2.1,
        pitch: -48.0,
        cant: 3.0,
        foot: [1.5, -60.0, -50.0],
        corners: [[-0.011428193382241198, 0.11816541950517297], [0.04942796631392578, 0.13682755507146685], [0.09880086804897009, 0.03951396739378229], [0.03983478924772952, 0.022386647257743586], [-0.014725420228447183, 0.06529357311491], [0.04793490939388091, 0.08403308125230212], [0.0987962785609976, -0.014019166566338946], [0.03813770818679815, -0.031170329811298768]],
        figure: [[0.04451734412646738, 0.07824674735936912], [0.043621571259311764, 0.04846537237146806]],
        rims: [[0.096298177379498, 0.08978614128350117], [0.004746891534796436, 0.107257807248838], [0.03257397588553457, 0.038750689835083264], [0.09613591697651983, -0.019871944804674104], [-0.0010293136629705248, -0.0019359905306658288], [0.028622215821169368, -0.07134591394939487]],
        contour: [3.1315898225807635, 0.06998211795136623],
    },
];

/// Frame widths.
const EXACT: f64 = 1e-9;

impl Case {
    fn eye(&self) -> Eye {
        let (pitch, cant) = (self.pitch.to_radians(), self.cant.to_radians());
        Eye { focal: self.focal, pitch, cant, principal: DVec2::ZERO }
    }

    fn assert_seen(&self, place: DVec3, expected: [f64; 2]) {
        let seen = self.eye().project(place).expect("in front of the eye");
        let off = seen.distance(expected.into());
        assert!(off < EXACT, "pitch {}: {seen} is not {expected:?}", self.pitch);
    }

    fn cylinder(&self) -> Cylinder {
        Cylinder { foot: self.foot.into(), radius: 2.0, height: 6.0 }
    }
}

#[test]
fn the_corners_of_a_box_are_seen_where_opencv_projects_them() {
    for case in &CASES {
        let pose = Pose { foot: case.foot.into(), heading: 25_f64.to_radians() };
        let solid = Solid::cuboid(&pose, 2.4, 5.0, 3.0);
        for (corner, expected) in solid.corners().iter().zip(case.corners) {
            case.assert_seen(*corner, expected);
        }
        let ramp = Solid::ramp(&pose, 2.4, 5.0, 3.0);
        for (corner, k) in ramp.corners().iter().zip([0, 1, 2, 3, 6, 7]) {
            case.assert_seen(*corner, case.corners[k]);
        }
    }
}

#[test]
fn a_figure_stands_where_opencv_projects_it() {
    for case in &CASES {
        let foot = DVec3::from(case.foot);
        let ends = [foot, foot + 1.7 * DVec3::Y];
        let seen = seen_segment(&case.eye(), ends).expect("in front of the eye");
        for (seen, expected) in seen.into_iter().zip(case.figure) {
            assert!(seen.distance(expected.into()) < EXACT, "pitch {}", case.pitch);
        }
    }
}

#[test]
fn the_rims_of_a_cylinder_are_seen_where_opencv_projects_them() {
    for case in &CASES {
        let angles = [20_f64, 140.0, 260.0].map(f64::to_radians);
        let places = [0.0, 6.0].map(|up| angles.map(|angle| case.cylinder().rim(up, angle)));
        for (place, expected) in places.into_iter().flatten().zip(case.rims) {
            case.assert_seen(place, expected);
        }
    }
}

#[test]
fn a_cylinder_ends_where_its_rim_is_farthest_left_and_right() {
    for case in &CASES {
        let contour = case.cylinder().contour().expect("the eye is outside");
        for angle in case.contour {
            let apart = contour.map(|own| (own - angle).sin().abs().max(1.0 - (own - angle).cos()));
            let nearest = apart[0].min(apart[1]);
            assert!(nearest < 5e-6, "pitch {}: {nearest}", case.pitch);
        }
    }
}

#[test]
fn no_point_of_a_rim_is_beyond_the_contour() {
    for case in &CASES {
        let (eye, cylinder) = (case.eye(), case.cylinder());
        let [from, to] = cylinder.contour().expect("the eye is outside");
        let seen = |up, angle| eye.image(cylinder.rim(up, angle));
        let [left, right] = [to, from].map(|angle| seen(0.0, angle).cross(seen(6.0, angle)));
        let inside = |line: DVec3, at: DVec3| line.dot(at) / (line.length() * at.length());
        let middle = eye.image(cylinder.foot);
        for step in 0..720 {
            let at = seen(3.0, f64::from(step).to_radians() / 2.0);
            for line in [left, right] {
                let side = inside(line, middle).signum();
                assert!(side * inside(line, at) > -1e-12, "pitch {}: {step}", case.pitch);
            }
        }
    }
}
