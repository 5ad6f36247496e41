//! A pinhole written from the textbook, apart from the solver: what is drawn with it has a known answer.

#![allow(dead_code, reason = "each test file uses its own part")]

use glam::{DVec2, DVec3};
use staffage_scene::{
    Assessment, Entry, EyeByHand, Family, Finding, Frame, Known, Level, LevelId, Line, LineId,
    Marker, MarkerId, PrincipalPoint, Scene, Segment, Side, Span, Stands, Statement, Subject,
};

pub const GROUND: LevelId = LevelId(1);

/// A camera: focal length in frame widths, pitch and cant in degrees, principal point.
#[derive(Clone, Copy)]
pub struct Pinhole {
    pub focal: f64,
    pub pitch: f64,
    pub cant: f64,
    pub principal: DVec2,
}

/// A place relative to the eye: right, up, ahead.
pub fn place(right: f64, up: f64, ahead: f64) -> DVec3 {
    DVec3::new(right, up, ahead)
}

impl Pinhole {
    pub const fn new(focal: f64, pitch: f64, cant: f64) -> Self {
        Self { focal, pitch, cant, principal: DVec2::ZERO }
    }

    /// Similar triangles: the scene is turned against the pitch, the picture against the cant.
    pub fn sees(&self, at: DVec3) -> DVec2 {
        let (sp, cp) = self.pitch.to_radians().sin_cos();
        let (sc, cc) = self.cant.to_radians().sin_cos();
        let depth = at.z * cp + at.y * sp;
        assert!(depth > 0.0, "{at} is behind the eye");
        let right = self.focal * at.x / depth;
        let down = -self.focal * (at.y * cp - at.z * sp) / depth;
        self.principal + DVec2::new(right * cc + down * sc, down * cc - right * sc)
    }

    pub fn by_hand(&self) -> EyeByHand {
        EyeByHand {
            angle_of_view: Some((2.0 * (0.5 / self.focal).atan()).to_degrees()),
            pitch: Some(self.pitch),
            cant: Some(self.cant),
            principal: PrincipalPoint::At(self.principal),
            ..EyeByHand::default()
        }
    }

    /// A scene whose eye is set by hand, with one level: the ground, of which nothing is said.
    pub fn scene(&self) -> Scene {
        Scene {
            frame: Frame { ratio: 16.0 / 9.0, working_width: 1920 },
            pointing: 0.5 / 1920.0,
            eye: self.by_hand(),
            levels: vec![level(GROUND, "ground", None)],
            ..Scene::default()
        }
    }

    /// An upright of which nothing is said, drawn from its foot so far up.
    pub fn upright(&self, id: u32, name: &str, foot: DVec3, height: f64) -> Marker {
        self.drawn(id, name, foot, foot + DVec3::Y * height)
    }

    /// The same on a level.
    pub fn standing(&self, id: u32, name: &str, on: LevelId, foot: DVec3, height: f64) -> Marker {
        Marker { stands: Stands::On(on), ..self.upright(id, name, foot, height) }
    }

    pub fn drawn(&self, id: u32, name: &str, from: DVec3, to: DVec3) -> Marker {
        Marker {
            id: MarkerId(id),
            name: name.into(),
            foot: self.sees(from),
            head: self.sees(to),
            span: Span::Upright,
            stands: Stands::Unsaid,
            statements: Vec::new(),
        }
    }

    /// A traced line.
    pub fn line(&self, id: u32, family: Family, from: DVec3, to: DVec3) -> Line {
        Line { id: LineId(id), family, segment: Segment(self.sees(from), self.sees(to)) }
    }

    /// Opposite points of the outline of a ball, the line between them turned so far (radians).
    pub fn ball_outline(&self, centre: DVec3, radius: f64, turn: f64) -> [DVec2; 2] {
        let towards = centre.normalize();
        let half = (radius / centre.length()).asin();
        let across = glam::DQuat::from_axis_angle(towards, turn) * towards.any_orthonormal_vector();
        [1.0, -1.0].map(|sign| self.sees(towards * half.cos() + across * (sign * half.sin())))
    }
}

pub fn level(id: LevelId, name: &str, clearance: Option<Known>) -> Level {
    Level { id, name: name.into(), side: Side::Below, clearance, above: None }
}

pub fn known(metres: f64, spread: f64) -> Known {
    Known { metres, spread }
}

pub fn size(metres: f64, spread: f64) -> Statement {
    Statement::KnownSize { size: known(metres, spread), as_: String::new() }
}

pub fn same_make(of: u32) -> Statement {
    Statement::SameMake { of: MarkerId(of), spread: 0.01 }
}

/// Horizontal distance from the eye.
pub fn run(at: DVec3) -> f64 {
    at.x.hypot(at.z)
}

#[track_caller]
pub fn assert_near(found: f64, expected: f64, relative: f64) {
    assert!(
        (found - expected).abs() <= relative * expected.abs(),
        "{found} is not {expected} to {relative}"
    );
}

#[track_caller]
pub fn entry(of: &Assessment, id: u32) -> &Entry {
    of.entry(MarkerId(id)).expect("the marker has an entry")
}

#[track_caller]
pub fn assert_measured(of: &Assessment, id: u32, distance: f64, size: f64) {
    let entry = entry(of, id);
    let found = |m: Option<staffage_scene::Measure>| m.unwrap_or_else(|| panic!("{entry:?}")).value;
    assert_eq!(entry.unit, staffage_scene::Unit::Metres);
    assert_near(found(entry.distance), distance, 1e-6);
    assert_near(found(entry.size), size, 1e-6);
}

#[track_caller]
pub fn finding(of: &Assessment, about: Subject) -> &Finding {
    let found = of.findings.iter().find(|f| f.about == about);
    found.unwrap_or_else(|| panic!("{about:?} is not among {:#?}", of.findings))
}
