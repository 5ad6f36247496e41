//! Tries the ledger on random scenes whose truth is known, and prints how often it was right.
//!
//! ```text
//! cargo run --release --example ledger_trial
//! ```
//!
//! Each scene has a random eye (focal length 0.5 to 2 frame widths, pitch ± 35°, cant ± 15°), five lines
//! traced in each of three families, one to three levels below or above the eye, 5 to 60 markers and up
//! to three planted lies. Traced points are off by 1.5 px of 2,300, normally distributed; sizes of figures
//! are spread by their stated 6 %. A lie scales one marker's drawing by 1.5 to 4 times the minimal
//! detectable bias of what is known of its size, at least by what an eye notices.

use glam::{DVec2, DVec3};
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, StandardNormal};
use staffage_solver::{
    Claim, Eye, EyeEvidence, EyeFit, Family, Headings, Known, Ledger, LedgerInput, LedgerLevel,
    LedgerMarker, NOTICEABLE, NOTICEABLE_MISS, Side, Span, Stated, TracedLine, adjust, interval,
    read_eye, snoop,
};
use std::collections::BTreeSet;
use std::ops::AddAssign;

const SCENES: u64 = 2000;
const POINTING: f64 = 1.5 / 2300.0;
const ADULT: Stated = Stated { value: 1.70, spread: 0.06 };
const HALF_HEIGHT: f64 = 0.5 / 2.35;

fn main() {
    let mut tally = Tally::default();
    for seed in 0..SCENES {
        tally += trial(&mut Dice(StdRng::seed_from_u64(seed)));
    }
    tally.print();
}

/// A seeded generator with the distributions the trial needs.
struct Dice(StdRng);

impl Dice {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0.random_range(low..high)
    }

    /// Uniform in its logarithm.
    fn log_between(&mut self, low: f64, high: f64) -> f64 {
        self.between(low.ln(), high.ln()).exp()
    }

    fn normal(&mut self) -> f64 {
        StandardNormal.sample(&mut self.0)
    }

    fn below(&mut self, count: usize) -> usize {
        self.0.random_range(0..count)
    }

    fn picture_point(&mut self) -> DVec2 {
        DVec2::new(self.between(-0.48, 0.48), self.between(-0.96, 0.96) * HALF_HEIGHT)
    }

    /// A point as a hand would point at it.
    fn pointed_at(&mut self, at: DVec2) -> DVec2 {
        at + POINTING * DVec2::new(self.normal(), self.normal())
    }
}

/// What came of the trials.
#[derive(Default)]
struct Tally {
    /// Lies planted, found, and found with the right marker named.
    lies: [usize; 3],
    /// Markers without a lie, and those of them that were accused.
    honest: [usize; 2],
    /// Honest lengths with an interval, and those whose truth lies inside it.
    intervals: [usize; 2],
}

impl AddAssign for Tally {
    fn add_assign(&mut self, other: Self) {
        let add = |a: &mut [usize], b: &[usize]| a.iter_mut().zip(b).for_each(|(a, b)| *a += b);
        add(&mut self.lies, &other.lies);
        add(&mut self.honest, &other.honest);
        add(&mut self.intervals, &other.intervals);
    }
}

impl Tally {
    fn print(&self) {
        let percent = |part: usize, whole: usize| 100.0 * part as f64 / whole.max(1) as f64;
        let [lies, found, named] = self.lies;
        let [honest, accused] = self.honest;
        let [intervals, inside] = self.intervals;
        println!("| {SCENES} scenes | | |");
        println!("| --- | --- | --- |");
        println!("| lies found | {found} of {lies} | {:.1} % |", percent(found, lies));
        println!(
            "| of these, the right culprit named | {named} | {:.1} % |",
            percent(named, found)
        );
        println!(
            "| honest markers accused | {accused} of {honest} | 1 in {:.0} |",
            honest as f64 / accused.max(1) as f64
        );
        println!(
            "| true lengths inside their 95 % intervals | {inside} of {intervals} | {:.1} % |",
            percent(inside, intervals)
        );
    }
}

/// The set as it really is.
struct Truth {
    eye: Eye,
    headings: Headings,
    levels: Vec<(Side, f64)>,
    /// Horizontal distance and size of each marker.
    markers: Vec<[f64; 2]>,
}

fn trial(dice: &mut Dice) -> Tally {
    let mut truth = set(dice);
    let mut input = LedgerInput {
        levels: truth
            .levels
            .iter()
            .map(|(side, _)| LedgerLevel { side: *side, clearance: None })
            .collect(),
        markers: Vec::new(),
        pointing: POINTING,
    };
    let wanted = 5 + dice.below(56);
    for _ in 0..wanted {
        if let Some((marker, lengths)) = marker(dice, &truth, &input.markers) {
            input.markers.push(marker);
            truth.markers.push(lengths);
        }
    }
    let fit = read_eye(&traced(dice, &truth), NOTICEABLE_MISS).fit;
    let liars = plant(dice, &mut input, &fit);
    judge(&truth, &input, &fit, &liars)
}

fn set(dice: &mut Dice) -> Truth {
    let eye = Eye {
        focal: dice.log_between(0.5, 2.0),
        pitch: dice.between(-35.0, 35.0).to_radians(),
        cant: dice.between(-15.0, 15.0).to_radians(),
        ..Eye::default()
    };
    let headings =
        Headings { blocks: vec![dice.between(20.0, 70.0).to_radians()], inclines: vec![] };
    let levels = (0..1 + dice.below(3)).map(|_| {
        let below = dice.below(2) == 0;
        (if below { Side::Below } else { Side::Above }, dice.log_between(1.5, 40.0))
    });
    Truth { eye, headings, levels: levels.collect(), markers: Vec::new() }
}

fn traced(dice: &mut Dice, truth: &Truth) -> EyeEvidence {
    let mut evidence = EyeEvidence::none(POINTING);
    for family in [Family::Upright, Family::RecedingRight(0), Family::RecedingLeft(0)] {
        let v = truth.eye.image(truth.headings.direction(family));
        for _ in 0..5 {
            let middle = dice.picture_point();
            let half = dice.between(0.05, 0.15) * (v.truncate() - v.z * middle).normalize();
            let (from, to) = (dice.pointed_at(middle - half), dice.pointed_at(middle + half));
            evidence.lines.push(TracedLine { family, from, to });
        }
    }
    evidence
}

/// A marker that is seen in the frame, with its true distance and size; `None` if the dice put it out.
fn marker(
    dice: &mut Dice,
    truth: &Truth,
    others: &[LedgerMarker],
) -> Option<(LedgerMarker, [f64; 2])> {
    let level = dice.below(truth.levels.len());
    let (side, clearance) = truth.levels[level];
    let foot = dice.picture_point();
    let ray = truth.eye.ray(foot);
    let rise = ray.y / ray.x.hypot(ray.z);
    let towards = if side == Side::Below { -rise } else { rise };
    if towards < 0.02 {
        return None;
    }
    let distance = clearance / towards;
    let twins = others.iter().enumerate().filter(|(_, m)| m.known.is_empty()).map(|(k, _)| k);
    let twins: Vec<usize> = twins.collect();
    let (size, known) = match dice.below(10) {
        0..6 => (ADULT.value * (ADULT.spread * dice.normal()).exp(), vec![Known::Size(ADULT)]),
        6..8 if !twins.is_empty() => {
            let of = twins[dice.below(twins.len())];
            let ratio = Stated { value: 1.0, spread: 0.02 };
            let size = truth.markers[of][1] * (ratio.spread * dice.normal()).exp();
            (size, vec![Known::SizeRatio { of, ratio }])
        }
        _ => (dice.log_between(1.0, 30.0), vec![]),
    };
    let from = ray / ray.x.hypot(ray.z) * distance;
    let head = truth.eye.project(from + DVec3::Y * size)?;
    let visible = head.distance(foot) > 0.008 && head.y.abs() < 2.0 && head.x.abs() < 1.0;
    let drawn = LedgerMarker {
        foot: dice.pointed_at(foot),
        head: dice.pointed_at(head),
        span: Span::Upright,
        stands: Some((level, None)),
        known,
    };
    visible.then_some((drawn, [distance, size]))
}

/// Scales the drawings of up to three markers whose size is tested well enough.
fn plant(dice: &mut Dice, input: &mut LedgerInput, fit: &EyeFit) -> BTreeSet<usize> {
    let ledger = Ledger::new(input, fit);
    let adjusted = adjust(&ledger.network).expect("an honest ledger can be adjusted");
    let detectable: Vec<(usize, f64)> = std::iter::zip(&ledger.claims, &adjusted.rows)
        .filter_map(|(claims, rows)| match claims[0] {
            Claim::Known { marker, .. } if rows[0].detectable < 1.0 => {
                Some((marker, rows[0].detectable))
            }
            _ => None,
        })
        .collect();
    let mut liars = BTreeSet::new();
    if detectable.is_empty() {
        return liars;
    }
    for _ in 0..dice.below(4) {
        let (marker, bias) = detectable[dice.below(detectable.len())];
        let size = (dice.between(1.5, 4.0) * bias).max(NOTICEABLE.ln());
        let factor = if dice.below(2) == 0 { size.exp() } else { (-size).exp() };
        if liars.insert(marker) {
            scale_drawing(&mut input.markers[marker], fit, factor);
        }
    }
    liars
}

/// Paints a marker larger or smaller, along its upright.
fn scale_drawing(marker: &mut LedgerMarker, fit: &EyeFit, factor: f64) {
    let (eye, headings) = (&fit.eye, &fit.headings);
    let drawn = staffage_solver::span_per_run(eye, headings, marker.foot, marker.head, marker.span);
    let per_run = drawn.expect("it was drawn honestly").value.exp() * factor;
    let head =
        staffage_solver::head_at(eye, headings, marker.foot, marker.head, marker.span, per_run);
    marker.head = head.expect("scaled within sight");
}

fn judge(truth: &Truth, input: &LedgerInput, fit: &EyeFit, liars: &BTreeSet<usize>) -> Tally {
    let ledger = Ledger::new(input, fit);
    let snooped = snoop(&ledger, NOTICEABLE).expect("the ledger can be adjusted");
    let owner = |claim: Claim| match claim {
        Claim::Stands(marker) | Claim::Spans(marker) | Claim::Known { marker, .. } => Some(marker),
        Claim::Clearance(_) => None,
    };
    let named: BTreeSet<usize> = snooped.rejected.iter().filter_map(|r| owner(r.claim)).collect();
    let suspected: BTreeSet<usize> = snooped
        .rejected
        .iter()
        .flat_map(|r| r.tied.iter().chain([&r.claim]))
        .filter_map(|claim| owner(*claim))
        .collect();
    let mut tally = Tally::default();
    let right = liars.intersection(&named).count();
    let found = liars.intersection(&suspected).count();
    tally.lies = [liars.len(), found, right];
    tally.honest = [input.markers.len() - liars.len(), named.difference(liars).count()];
    for (marker, lengths) in truth.markers.iter().enumerate() {
        if liars.contains(&marker) || !ledger.faults[marker].is_empty() {
            continue;
        }
        for (node, length) in
            [ledger.distance_node(marker), ledger.size_node(marker)].into_iter().zip(lengths)
        {
            if snooped.adjustment.datum[node] != staffage_solver::Datum::Benchmark {
                continue;
            }
            let [low, _, high] = interval(
                snooped.adjustment.values[node],
                snooped.adjustment.sd_with_consider[node],
            );
            tally.intervals[0] += 1;
            tally.intervals[1] += usize::from((low..=high).contains(length));
        }
    }
    tally
}
