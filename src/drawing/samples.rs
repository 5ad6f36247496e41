//! A scene of our own invention with the assessment that follows from it, for tests.

use glam::{DVec2, DVec3};
use staffage_scene::{
    Assessment, BlockId, Entry, EyeReading, Family, FamilyReading, Finding, Level, LevelId,
    LevelReading, Line, LineId, LineReading, Marker, MarkerId, Measure, Overlap, OverlapId, Scene,
    Segment, Side, Span, Standing, Stands, Subject, Unit, Units,
};
use staffage_solver::{Eye, Quantity, Source};

/// An assessment that knows nothing but the eye.
pub(crate) fn empty_assessment(eye: Eye) -> Assessment {
    let read = |value| Quantity { value, sd: 0.01, source: Source::Read };
    Assessment {
        eye: EyeReading {
            eye,
            angle_of_view: read(eye.angle_of_view()),
            pitch: read(eye.pitch),
            cant: read(eye.cant),
            headings: Vec::new(),
            inclines: Vec::new(),
            families: Vec::new(),
            principal: [Quantity { value: 0.0, sd: 0.0, source: Source::ByHand }; 2],
        },
        lines: Vec::new(),
        levels: Vec::new(),
        ledger: Vec::new(),
        findings: Vec::new(),
        units: Units::default(),
    }
}

/// A quay under a dam, seen by a canted eye that looks up: every kind of span and standing.
pub(crate) fn quay() -> (Scene, Assessment) {
    let eye = Eye { focal: 0.75, pitch: 0.1, cant: 0.09, principal: DVec2::ZERO };
    let mut quay = Builder::new(eye);
    quay.families(0.5);
    quay.line(Family::RecedingRight(BlockId(1)), DVec3::new(-4.0, -1.6, -9.0), 14.0, 0.0);
    quay.line(Family::RecedingRight(BlockId(1)), DVec3::new(2.0, 6.0, -20.0), 18.0, 0.0);
    quay.line(Family::RecedingLeft(BlockId(1)), DVec3::new(6.0, -1.6, -14.0), 12.0, 0.0);
    quay.line(Family::RecedingLeft(BlockId(1)), DVec3::new(9.0, 4.0, -18.0), 9.0, 0.06);
    quay.line(Family::Upright, DVec3::new(14.0, -1.6, -24.0), 16.0, 0.0);
    quay.line(Family::Upright, DVec3::new(-13.0, -1.6, -22.0), 14.0, 0.0);

    let at = |x: f64, z: f64| DVec3::new(x, -3.2, -z);
    let up = Span::Upright;
    quay.marker("Foreman", at(-2.4, 11.0), DVec3::Y * 1.74, up, Standing::Holds, 0.03);
    quay.marker("Rigger", at(-0.9, 14.0), DVec3::Y * 1.7, up, Standing::Holds, 0.05);
    quay.marker("Girl with a crate", at(3.2, 12.5), DVec3::Y * 1.9, up, Standing::Strained, 0.06);
    quay.marker("Porter", at(1.1, 22.0), DVec3::Y * 2.9, up, Standing::Contradicts, 0.05);
    quay.expect(1.75);
    quay.marker("Crane", at(9.0, 60.0), DVec3::Y * 31.0, up, Standing::Holds, 0.06);
    quay.marker("Dam", at(-40.0, 420.0), DVec3::Y * 128.0, up, Standing::Unchecked, 0.2);
    quay.marker("Lamp post", at(-9.5, 30.0), DVec3::Y * 6.1, up, Standing::Unchecked, 0.1);
    quay.marker("Watchman", at(-21.0, 90.0), DVec3::Y * 1.8, up, Standing::Holds, 0.08);
    quay.marker("Mast", at(26.0, 95.0), DVec3::Y * 38.0, up, Standing::Contradicts, 0.08);
    quay.expect(52.0);
    quay.keep();
    let right = quay.direction(Family::RecedingRight(BlockId(1)));
    let along = Span::Along(Family::RecedingRight(BlockId(1)));
    quay.marker(
        "Gondola",
        at(6.0, 34.0) + DVec3::Y * 9.0,
        right * 24.0,
        along,
        Standing::Holds,
        0.07,
    );
    quay.floats(at(6.0, 34.0));
    quay.marker("Gate", at(-16.0, 44.0), DVec3::X * 9.0, Span::Facing, Standing::Holds, 0.06);
    quay.marker("Kite", DVec3::new(-9.0, 9.0, -25.0), DVec3::Y * 1.3, up, Standing::Open, 0.1);
    quay.unmeasured();
    quay.marker(
        "Swimmer",
        DVec3::new(13.0, 2.0, -30.0),
        DVec3::Y * 1.7,
        up,
        Standing::Impossible,
        0.1,
    );
    quay.unmeasured();
    quay.overlap(5, 6);
    quay.overlap(4, 5);
    quay.finish()
}

/// A row of this many figures, for looking at crowds.
pub(crate) fn crowd(count: u32) -> (Scene, Assessment) {
    let eye = Eye { focal: 0.8, pitch: 0.05, cant: 0.02, principal: DVec2::ZERO };
    let mut crowd = Builder::new(eye);
    crowd.families(0.6);
    for i in 0..count {
        // Steps of the golden section spread evenly without repeating.
        let spread = (f64::from(i) * 0.618_033_988_75).fract() - 0.5;
        let distance = 8.0 * 1.004_f64.powi(i as i32) + f64::from(i % 7);
        let standing = if i % 97 == 13 { Standing::Contradicts } else { Standing::Holds };
        let foot = DVec3::new(spread * distance * 1.1, -6.0, -distance);
        crowd.marker(&format!("Figure {i}"), foot, DVec3::Y * 1.7, Span::Upright, standing, 0.05);
    }
    crowd.finish()
}

struct Builder {
    scene: Scene,
    assessment: Assessment,
}

impl Builder {
    fn new(eye: Eye) -> Self {
        let mut scene = Scene::default();
        scene.levels[0].name = "quay".into();
        scene.levels.push(Level {
            id: LevelId(2),
            name: "terrace".into(),
            side: Side::Above,
            clearance: None,
            above: None,
        });
        let mut assessment = empty_assessment(eye);
        for (id, height) in [(LevelId(1), 3.2), (LevelId(2), 12.0)] {
            let clearance = Some(around(height, 0.04));
            assessment.levels.push(LevelReading {
                id,
                clearance,
                unit: Unit::Metres,
                horizon: None,
            });
        }
        Self { scene, assessment }
    }

    fn eye(&self) -> Eye {
        self.assessment.eye.eye
    }

    fn families(&mut self, heading: f64) {
        let (sine, cosine) = heading.sin_cos();
        let block = BlockId(1);
        for (family, direction) in [
            (Family::RecedingRight(block), DVec3::new(sine, 0.0, -cosine)),
            (Family::RecedingLeft(block), DVec3::new(-cosine, 0.0, -sine)),
            (Family::Upright, DVec3::Y),
        ] {
            let vanishing_point = self.eye().image(direction);
            let reading = FamilyReading {
                family,
                direction,
                vanishing_point,
                lines: 2,
                read: true,
                region: staffage_solver::VanishingRegion::Directions {
                    angle: 0.0,
                    half_width: 0.1,
                },
            };
            self.assessment.eye.families.push(reading);
        }
    }

    fn direction(&self, family: Family) -> DVec3 {
        let mut families = self.assessment.eye.families.iter();
        families.find(|f| f.family == family).map_or(DVec3::Y, |f| f.direction)
    }

    fn seen(&self, from_eye: DVec3) -> DVec2 {
        self.eye().project(from_eye).expect("samples lie before the eye")
    }

    fn line(&mut self, family: Family, from: DVec3, length: f64, turned: f64) {
        let id = LineId(self.scene.lines.len() as u32 + 1);
        let (a, b) = (self.seen(from), self.seen(from + length * self.direction(family)));
        let b = a + DVec2::from_angle(turned).rotate(b - a);
        self.scene.lines.push(Line { id, family, segment: Segment(a, b) });
        let stray = turned != 0.0;
        self.assessment.lines.push(LineReading {
            id,
            miss: turned,
            standardized: if stray { 7.0 } else { 0.4 },
            standing: if stray { Standing::Contradicts } else { Standing::Holds },
            rivals: Vec::new(),
        });
    }

    fn marker(
        &mut self,
        name: &str,
        foot: DVec3,
        span: DVec3,
        kind: Span,
        standing: Standing,
        spread: f64,
    ) {
        let id = MarkerId(self.scene.markers.len() as u32 + 1);
        self.scene.markers.push(Marker {
            id,
            name: name.into(),
            foot: self.seen(foot),
            head: self.seen(foot + span),
            span: kind,
            stands: Stands::On(LevelId(1)),
            statements: Vec::new(),
        });
        self.assessment.ledger.push(Entry {
            id,
            distance: Some(around(foot.x.hypot(foot.z), spread)),
            size: Some(around(span.length(), spread)),
            elevation: Some(foot.y),
            unit: Unit::Metres,
            standing,
            standardized: 1.0,
            redundancy: 0.5,
            expected_size: None,
            lean: None,
            true_head: None,
            detectable: None,
            bounds: None,
            hidden: None,
            astray: None,
        });
    }

    fn expect(&mut self, size: f64) {
        let last = self.assessment.ledger.last_mut().expect("a marker");
        last.expected_size = Some(around(size, 0.05));
    }

    fn keep(&mut self) {
        let about = Subject::Marker(self.scene.markers.last().expect("a marker").id);
        self.scene.intended.push(staffage_scene::Intended {
            about,
            reason: "it reads better".into(),
            by: "the art lead".into(),
        });
    }

    fn floats(&mut self, plumb: DVec3) {
        let plumb = self.seen(plumb);
        let last = self.scene.markers.last_mut().expect("a marker");
        last.stands = Stands::Over { level: LevelId(1), plumb };
    }

    fn unmeasured(&mut self) {
        let last = self.assessment.ledger.last_mut().expect("a marker");
        (last.distance, last.size, last.elevation) = (None, None, None);
    }

    fn overlap(&mut self, front: u32, behind: u32) {
        let id = OverlapId(self.scene.overlaps.len() as u32 + 1);
        let (front, behind) = (MarkerId(front), MarkerId(behind));
        self.scene.overlaps.push(Overlap { id, front, behind });
    }

    fn finish(mut self) -> (Scene, Assessment) {
        let distance = |e: &Entry| e.distance.map_or(f64::INFINITY, |d| d.value);
        self.assessment.ledger.sort_by(|a, b| distance(a).total_cmp(&distance(b)));
        let bad = self.assessment.ledger.iter().filter(|e| e.standing < Standing::Strained);
        self.assessment.findings = bad
            .map(|entry| Finding {
                about: Subject::Marker(entry.id),
                with: Vec::new(),
                standing: entry.standing,
                sentence: "It does not agree with the rest.".into(),
                intended: None,
                because: Vec::new(),
            })
            .collect();
        (self.scene, self.assessment)
    }
}

fn around(value: f64, spread: f64) -> Measure {
    Measure { value, low: value * (1.0 - 2.0 * spread), high: value * (1.0 + 2.0 * spread) }
}
