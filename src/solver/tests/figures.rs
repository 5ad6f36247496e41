//! The horizon from figures of known height.

use glam::{DVec2, DVec3};
use nalgebra::DMatrix;
use rand::SeedableRng;
use rand::rngs::StdRng;
use rand_distr::{Distribution, StandardNormal};
use staffage_solver::{
    Eye, EyeEvidence, EyeFit, FigureLevel, NOTICEABLE_MISS, Side, Source, StandingFigure, Stated,
    fit_eye, read_eye,
};

/// Pointing precision, frame widths.
const POINTING: f64 = 1.5 / 2300.0;

/// A crowd: where its people stand on a level, right and ahead of the eye, and how tall they are.
struct Crowd {
    eye: Eye,
    /// Height of the level over the eye.
    level: f64,
    people: Vec<(DVec2, f64)>,
}

impl Crowd {
    /// People in rows from `near` on, heights about 1.7.
    fn new(eye: Eye, level: f64, near: f64, height: impl Fn(usize) -> f64) -> Self {
        let place = |k: usize| {
            let ahead = near * 1.35_f64.powi(k as i32 / 3);
            DVec2::new(ahead * (0.32 * (k % 3) as f64 - 0.3), ahead)
        };
        let people = (0..15).map(|k| (place(k), height(k))).collect();
        Self { eye, level, people }
    }

    fn seen(&self, place: DVec2, height: f64) -> DVec2 {
        self.eye.project(DVec3::new(place.x, self.level + height, -place.y)).unwrap()
    }

    fn evidence(&self, spread: f64) -> EyeEvidence {
        let mut evidence = EyeEvidence::none(POINTING);
        evidence.focal = Some(self.eye.focal);
        let side = if self.level < 0.0 { Side::Below } else { Side::Above };
        evidence.levels = vec![FigureLevel { side, clearance: None }];
        evidence.figures.extend(self.people.iter().map(|(place, height)| StandingFigure {
            foot: self.seen(*place, 0.0),
            head: self.seen(*place, *height),
            size: Stated { value: *height, spread },
            level: 0,
        }));
        evidence
    }
}

fn eye(pitch: f64, cant: f64) -> Eye {
    Eye { focal: 0.9, pitch, cant, ..Eye::default() }
}

#[test]
fn heads_in_a_row_lie_on_the_horizon_of_an_eye_as_high_as_they() {
    for (pitch, cant) in [(0.0, 0.0), (0.15, 0.1), (-0.3, -0.2), (0.35, 0.05)] {
        let crowd = Crowd::new(eye(pitch, cant), -1.7, 4.0, |_| 1.7);
        let fit = fit_eye(&crowd.evidence(0.06));
        assert!((fit.eye.pitch - pitch).abs() < 1e-6, "{:?}", fit.eye);
        assert!((fit.eye.cant - cant).abs() < 1e-6, "{:?}", fit.eye);
        assert_eq!(fit.pitch().source, Source::Read);
        assert_eq!(fit.cant().source, Source::Read);
        assert_eq!(fit.covariance.nrows(), 4, "clearances are told to nobody");
    }
}

#[test]
fn a_crowd_under_a_balcony_and_one_on_a_gallery_give_the_true_eye() {
    let tall = |k: usize| 1.5 + 0.03 * k as f64;
    for (level, pitch, cant) in
        [(-10.0, -0.35, 0.12), (-10.0, -0.1, -0.3), (6.0, 0.3, 0.1), (-40.0, -0.2, 0.05)]
    {
        let crowd = Crowd::new(eye(pitch, cant), level, level.abs() * 1.5, tall);
        let fit = fit_eye(&crowd.evidence(0.0));
        assert!((fit.eye.pitch - pitch).abs() < 1e-6, "{level}: {:?}", fit.eye);
        assert!((fit.eye.cant - cant).abs() < 1e-6, "{level}: {:?}", fit.eye);
    }
}

#[test]
fn a_stated_clearance_makes_two_figures_enough() {
    let mut crowd = Crowd::new(eye(0.2, 0.1), -1.6, 4.0, |_| 1.7);
    crowd.people = vec![(DVec2::new(-1.5, 5.0), 1.7), (DVec2::new(2.0, 7.0), 1.8)];
    let mut evidence = crowd.evidence(0.02);
    evidence.levels[0].clearance = Some(Stated { value: 1.6, spread: 0.02 });
    let fit = fit_eye(&evidence);
    assert!((fit.eye.pitch - 0.2).abs() < 1e-4 && (fit.eye.cant - 0.1).abs() < 1e-4);
    assert_eq!((fit.pitch().source, fit.cant().source), (Source::Read, Source::Read));
}

#[test]
fn an_unknown_lens_does_not_run_away_to_please_the_figures() {
    let truth = eye(-0.17, 0.1);
    // Drawn a little too tall and too short in turn.
    let drawn = |k: usize| 1.7 * (1.0 + 0.05 * [1.0, -1.0, 0.5, -0.5][k % 4]);
    let mut evidence = Crowd::new(truth, -3.0, 5.0, drawn).evidence(0.06);
    evidence.focal = None;
    for figure in &mut evidence.figures {
        figure.size.value = 1.7;
    }
    let fit = fit_eye(&evidence);
    assert!(fit.eye.focal.ln().abs() < 1.0, "{:?}", fit.eye);
    let (read, real) = (fit.eye.horizon(), truth.horizon());
    assert!((read - real).length() < 0.03, "{read} {real}");
}

#[test]
fn figures_that_say_nothing_are_passed_over() {
    let crowd = Crowd::new(eye(0.2, 0.1), -1.7, 4.0, |_| 1.7);
    let mut evidence = crowd.evidence(0.06);
    let plain = fit_eye(&EyeEvidence { figures: vec![], levels: vec![], ..evidence.clone() });
    for figure in &mut evidence.figures {
        figure.level = 3;
    }
    evidence.figures[0] = StandingFigure { level: 0, head: DVec2::NAN, ..evidence.figures[0] };
    evidence.figures[1] =
        StandingFigure { level: 0, head: evidence.figures[1].foot, ..evidence.figures[1] };
    let fit = fit_eye(&evidence);
    assert!(fit.figures.iter().all(Option::is_none));
    assert_eq!(EyeFit { figures: vec![], ..fit }, plain);
}

#[test]
fn a_figure_drawn_twice_too_tall_is_named_and_does_not_turn_the_horizon() {
    let truth = eye(-0.15, 0.08);
    for wrong in [0, 3, 7] {
        let mut evidence = Crowd::new(truth, -3.0, 5.0, |_| 1.7).evidence(0.06);
        let figure = &mut evidence.figures[wrong];
        figure.head = figure.foot + 2.0 * (figure.head - figure.foot);
        let read = read_eye(&evidence, NOTICEABLE_MISS);
        assert_eq!(read.misfits, [wrong]);
        assert!((read.fit.eye.horizon() - truth.horizon()).length() < 1e-3, "{:?}", read.fit.eye);
    }
}

#[test]
fn predicted_spreads_are_those_of_five_hundred_drawings() {
    let crowd = Crowd::new(eye(-0.15, 0.08), -5.0, 7.0, |_| 1.7);
    let spread = 0.05;
    let exact = crowd.evidence(spread);
    let predicted = fit_eye(&exact).covariance;
    let mut rng = StdRng::seed_from_u64(7);
    let mut normal = || -> f64 { StandardNormal.sample(&mut rng) };
    let mut read = Vec::new();
    for _ in 0..500 {
        let mut drawn = Crowd { people: Vec::new(), ..crowd };
        // The people differ from what is said of them.
        drawn
            .people
            .extend(crowd.people.iter().map(|(at, h)| (*at, h * (spread * normal()).exp())));
        let mut evidence = drawn.evidence(spread);
        for figure in &mut evidence.figures {
            figure.size.value = 1.7;
            figure.foot += POINTING * DVec2::new(normal(), normal());
            figure.head += POINTING * DVec2::new(normal(), normal());
        }
        let fit = fit_eye(&evidence);
        read.push([fit.eye.pitch, fit.eye.cant]);
    }
    let mean = [0, 1].map(|k| read.iter().map(|r| r[k]).sum::<f64>() / read.len() as f64);
    let covariance = DMatrix::from_fn(2, 2, |i, k| {
        let products = read.iter().map(|r| (r[i] - mean[i]) * (r[k] - mean[k]));
        products.sum::<f64>() / (read.len() - 1) as f64
    });
    for k in 0..2 {
        let (sd, said) = (covariance[(k, k)].sqrt(), predicted[(k + 1, k + 1)].sqrt());
        assert!((said / sd - 1.0).abs() < 0.2, "{k}: {said} {sd}");
        let truth = [crowd.eye.pitch, crowd.eye.cant][k];
        assert!((mean[k] - truth).abs() < 0.5 * sd, "{k}: {} {truth} {sd}", mean[k]);
    }
}
