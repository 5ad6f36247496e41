//! Scenes in which everything that is said is true and only the hand is unsteady: what comes out is right as
//! often as it says, and hardly anything contradicts.

mod pinhole;

use glam::{DVec2, DVec3};
use pinhole::*;
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use staffage_scene::{
    Above, Curvature, Family, Incline, InclineId, LevelId, Marker, MarkerId, Measure, Scene, Span,
    Standing, Stands, Statement, assess,
};

const SUN: InclineId = InclineId(1);
const LIGHT: DVec3 = DVec3::new(0.4, -0.7, 0.6);
const POINTING: f64 = 0.5 / 1920.0;

/// A scene, and of each of its markers the true distance and size.
struct Honest {
    eye: Pinhole,
    scene: Scene,
    truth: Vec<[f64; 2]>,
    dice: StdRng,
}

impl Honest {
    /// Nearly normal: the sum of twelve.
    fn slip(&mut self, sd: f64) -> f64 {
        sd * ((0..12).map(|_| self.dice.random_range(0.0..1.0)).sum::<f64>() - 6.0)
    }

    /// A true length as somebody says it who is off by a spread.
    fn said(&mut self, metres: f64, spread: f64) -> staffage_scene::Known {
        known(metres * self.slip(spread).exp(), spread)
    }

    /// Where a hand points that means this point.
    fn pointed(&mut self, at: DVec2) -> DVec2 {
        at + DVec2::new(self.slip(POINTING), self.slip(POINTING))
    }

    fn seen(&mut self, at: DVec3) -> DVec2 {
        self.pointed(self.eye.sees(at))
    }

    fn put(&mut self, foot: DVec3, height: f64, stands: Stands) -> &mut Marker {
        let id = 1 + self.scene.markers.len() as u32;
        let marker = Marker {
            id: MarkerId(id),
            name: format!("thing {id}"),
            foot: self.seen(foot),
            head: self.seen(foot + DVec3::Y * height),
            span: Span::Upright,
            stands,
            statements: Vec::new(),
        };
        self.scene.markers.push(marker);
        self.truth.push([run(foot), height]);
        self.scene.markers.last_mut().expect("it was put there")
    }

    /// Somewhere ahead at this height over the eye.
    fn somewhere(&mut self, up: f64) -> DVec3 {
        let ahead = self.dice.random_range(12.0..40.0);
        place(self.dice.random_range(-0.3..0.3) * ahead, up, ahead)
    }

    fn random(seed: u64) -> Self {
        let mut dice = StdRng::seed_from_u64(seed);
        let eye = Pinhole::new(
            dice.random_range(0.7..1.3),
            dice.random_range(-12.0..0.0),
            dice.random_range(-8.0..8.0),
        );
        let mut scene = eye.scene();
        scene.inclines.push(Incline::new(SUN, "sunlight"));
        scene.world.curvature =
            if dice.random_bool(0.5) { Curvature::WhereFelt } else { Curvature::Nowhere };
        let mut all = Self { eye, scene, truth: Vec::new(), dice };
        let ups = [-9.0, -6.0, -3.5];
        for (k, up) in ups.into_iter().enumerate().skip(1) {
            let by = all.said(up - ups[k - 1], 0.02);
            let above = Some(Above { level: LevelId(k as u32), by });
            let name = format!("level {}", k + 1);
            let id = LevelId(k as u32 + 1);
            all.scene.levels.push(staffage_scene::Level { above, ..level(id, &name, None) });
        }
        all.light(ups[0]);
        all.fill(&ups);
        all
    }

    fn light(&mut self, ground: f64) {
        for k in 0..5 {
            let foot = place(3.0 * f64::from(k) - 6.0, ground, 20.0 + f64::from(k));
            let top = foot + DVec3::Y * 2.5;
            let tip = top + LIGHT * (2.5 / -LIGHT.y);
            let families = [(top, Family::Incline(SUN)), (foot, Family::Run(SUN))];
            for (from, family) in families {
                let (a, b) = (self.seen(from), self.seen(tip));
                let mut line = self.eye.line(self.scene.lines.len() as u32 + 1, family, from, tip);
                line.segment = staffage_scene::Segment(a, b);
                self.scene.lines.push(line);
            }
        }
    }

    fn fill(&mut self, ups: &[f64; 3]) {
        let [ground, ..] = *ups;
        for (k, up) in ups.iter().enumerate() {
            for _ in 0..2 {
                let on = Stands::On(LevelId(k as u32 + 1));
                let foot = self.somewhere(*up);
                let tall = 1.70 * self.slip(0.05).exp();
                let adult = size(1.70, 0.05);
                self.put(foot, tall, on).statements.push(adult);
            }
        }
        let height = self.said(1.70, 0.03);
        let crown = self.somewhere(ground + 1.70);
        let hidden = Stands::Hidden { level: GROUND, height };
        self.put(crown - DVec3::Y * 0.5, 0.5, hidden);
        let point = self.somewhere(ground + 2.0);
        let tip = self.seen(point + LIGHT * (2.0 / -LIGHT.y));
        self.put(point, 1.5, Stands::Shadow { level: GROUND, tip, light: SUN });
        let tower = self.somewhere(ups[1]);
        self.put(tower, 1.4, Stands::On(LevelId(2)));
        let base = MarkerId(self.scene.markers.len() as u32);
        self.put(tower + DVec3::Y * 1.4, 0.8, Stands::OnTop(base));
        let far = self.said(run(tower), 0.1);
        let crate_ = self.scene.markers.last_mut().expect("the crate");
        crate_.statements.push(Statement::Distance(far));
    }
}

fn holds(of: Option<Measure>, truth: f64) -> bool {
    of.is_some_and(|m| (m.low..=m.high).contains(&truth))
}

#[test]
fn what_is_true_comes_out_true_and_is_not_contradicted() {
    const SCENES: u64 = 150;
    let (mut accused, mut intervals, mut right) = (0, 0, 0);
    for seed in 0..SCENES {
        let Honest { scene, truth, .. } = Honest::random(seed);
        let assessment = assess(&scene);
        accused += assessment.contradictions();
        for (marker, [distance, size]) in std::iter::zip(&scene.markers, truth) {
            let entry = assessment.entry(marker.id).expect("it is in the ledger");
            assert_ne!(entry.standing, Standing::Open, "{}: {:#?}", seed, assessment.findings);
            intervals += 2;
            right += u32::from(holds(entry.distance, distance));
            right += u32::from(holds(entry.size, size));
        }
    }
    let covered = f64::from(right) / f64::from(intervals);
    println!("{covered:.4} of {intervals} intervals hold; {accused} accused in {SCENES} scenes");
    assert!((0.93..0.985).contains(&covered), "{covered}");
    // One statement in a thousand is accused by chance; a scene has about thirty-five.
    assert!(accused as u64 * 20 <= SCENES, "{accused} accused");
}
