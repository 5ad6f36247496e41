//! Laws that every assessment keeps: what changes an answer, and how, and what must not.

mod sensible_scene;

use glam::DVec2;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use sensible_scene::sensible_scene;
use staffage_scene::{
    Assessment, Entry, Family, Known, MarkerId, Measure, Painting, Scene, Segment, Span, Standing,
    Stands, Statement, Subject, Unit, assess,
};
use std::collections::BTreeSet;

/// A scene with every stated length so many times as long, on a world so many times as large.
fn scaled(mut scene: Scene, by: f64) -> Scene {
    let known = |known: &mut Known| known.metres *= by;
    scene.world.radius *= by;
    for level in &mut scene.levels {
        level.clearance.iter_mut().for_each(known);
        level.above.iter_mut().for_each(|above| known(&mut above.by));
    }
    for said in scene.markers.iter_mut().flat_map(|m| &mut m.statements) {
        match said {
            Statement::KnownSize { size: stated, .. } | Statement::Distance(stated) => {
                known(stated);
            }
            _ => {}
        }
    }
    scene
}

/// A scene as it is seen in a mirror.
fn mirrored(mut scene: Scene) -> Scene {
    let point = |p: &mut DVec2| p.x = -p.x;
    let family = |family: Family| match family {
        Family::RecedingRight(block) => Family::RecedingLeft(block),
        Family::RecedingLeft(block) => Family::RecedingRight(block),
        other => other,
    };
    for line in &mut scene.lines {
        let Segment(from, to) = &mut line.segment;
        point(from);
        point(to);
        line.family = family(line.family);
    }
    for marker in &mut scene.markers {
        point(&mut marker.foot);
        point(&mut marker.head);
        if let Span::Along(along) = &mut marker.span {
            *along = family(*along);
        }
        if let Stands::Over { plumb, .. } = &mut marker.stands {
            point(plumb);
        }
    }
    scene
}

/// A list turned over and then cut like a pack of cards.
fn shuffled<T: Clone>(list: &[T], cut: usize) -> Vec<T> {
    let mut list: Vec<T> = list.iter().rev().cloned().collect();
    let middle = cut % list.len().max(1);
    list.rotate_left(middle);
    list
}

fn reordered(scene: &Scene, cut: usize) -> Scene {
    let mut scene = Scene {
        lines: shuffled(&scene.lines, cut),
        levels: shuffled(&scene.levels, cut),
        markers: shuffled(&scene.markers, cut),
        overlaps: shuffled(&scene.overlaps, cut),
        ..scene.clone()
    };
    for marker in &mut scene.markers {
        marker.statements = shuffled(&marker.statements, cut);
    }
    scene
}

/// A finding without its words: they hold numbers that may round differently.
type Gist = (Subject, Standing, Vec<Subject>);

fn gist(assessment: &Assessment) -> BTreeSet<Gist> {
    let findings = assessment.findings.iter();
    findings.map(|f| (f.about, f.standing, f.with.clone())).collect()
}

fn entries(assessment: &Assessment) -> impl Iterator<Item = (MarkerId, &Entry)> {
    assessment.ledger.iter().map(|e| (e.id, e))
}

/// Holds a measure to another that is `times` as large, to a relative tolerance.
fn same_measure(
    a: Option<Measure>,
    b: Option<Measure>,
    times: f64,
    tolerance: f64,
) -> Result<(), TestCaseError> {
    let numbers = |m: Option<Measure>| m.map(|m| [m.value, m.low, m.high]);
    match (numbers(a), numbers(b)) {
        (None, None) => {}
        (Some(a), Some(b)) => {
            for (a, b) in a.into_iter().zip(b) {
                // A length without an upper end is infinite in both.
                let same = a * times == b || (b / (a * times) - 1.0).abs() < tolerance;
                prop_assert!(same, "{a} times {times} is not {b}");
            }
        }
        _ => prop_assert!(false, "{a:?}, {b:?}"),
    }
    Ok(())
}

/// Holds the second of two assessments to the first with every length in metres `times` as long.
fn same_answer(
    a: &Assessment,
    b: &Assessment,
    times: f64,
    tolerance: f64,
) -> Result<(), TestCaseError> {
    for (id, before) in entries(a) {
        let after = b.entry(id).expect("no marker is lost");
        prop_assert_eq!(before.standing, after.standing);
        if before.distance.or(before.size).is_some() {
            prop_assert_eq!(before.unit, after.unit);
        }
        let times = if before.unit == Unit::Metres { times } else { 1.0 };
        same_measure(before.distance, after.distance, times, tolerance)?;
        same_measure(before.size, after.size, times, tolerance)?;
    }
    for before in &a.levels {
        let after = b.levels.iter().find(|l| l.id == before.id).expect("no level is lost");
        let times = if before.unit == Unit::Metres { times } else { 1.0 };
        same_measure(before.clearance, after.clearance, times, tolerance)?;
    }
    prop_assert_eq!(gist(a), gist(b));
    Ok(())
}

/// A scene with the eye that was read from its lines set by hand.
fn seen_by_a_known_eye(scene: &Scene) -> Scene {
    let mut known = scene.clone();
    let read = assess(scene).eye;
    known.eye.angle_of_view = Some(read.angle_of_view.value.to_degrees());
    known.eye.pitch = Some(read.pitch.value.to_degrees());
    known.eye.cant = Some(read.cant.value.to_degrees());
    for (block, (_, heading)) in known.blocks.iter_mut().zip(&read.headings) {
        block.heading = Some(heading.value.to_degrees());
    }
    known
}

/// Width of a 95 % interval in the logarithm.
fn width(measure: Measure) -> f64 {
    (measure.high / measure.low).ln()
}

/// The same scenes at every run: where a few lines allow two readings of the eye, rounding decides between
/// them, and a law of the ledger is no place to stumble over that.
fn always_the_same_cases() -> ProptestConfig {
    ProptestConfig {
        rng_seed: RngSeed::Fixed(1),
        failure_persistence: None,
        ..ProptestConfig::with_cases(300)
    }
}

proptest! {
    #![proptest_config(always_the_same_cases())]

    #[test]
    fn benchmarks_so_many_times_as_long_make_everything_so_many_times_as_long(
        scene in sensible_scene(true), by in 0.05_f64..20.0,
    ) {
        same_answer(&assess(&scene), &assess(&scaled(scene, by)), by, 1e-9)?;
    }

    #[test]
    fn a_mirror_turns_the_picture_over_and_nothing_else(scene in sensible_scene(true)) {
        let (seen, mirror) = (assess(&scene), assess(&mirrored(scene)));
        let (eye, turned) = (seen.eye.eye, mirror.eye.eye);
        prop_assert!((eye.cant + turned.cant).abs() < 1e-6, "{} {}", eye.cant, turned.cant);
        prop_assert!((eye.pitch - turned.pitch).abs() < 1e-6 && (eye.focal / turned.focal - 1.0).abs() < 1e-6);
        same_answer(&seen, &mirror, 1.0, 1e-6)?;
        for (id, entry) in entries(&seen) {
            let lean = |e: &Entry| e.lean.map_or(0.0, |l| l.angle);
            prop_assert!((lean(entry) + lean(mirror.entry(id).unwrap())).abs() < 1e-6);
        }
    }

    #[test]
    fn the_order_in_which_things_were_said_does_not_matter(
        scene in sensible_scene(true), cut in 0..24_usize,
    ) {
        same_answer(&assess(&scene), &assess(&reordered(&scene, cut)), 1.0, 1e-9)?;
    }

    #[test]
    fn an_enlarged_painting_gets_the_same_answer(scene in sensible_scene(true), times in 2..5_u32) {
        let mut large = scene.clone();
        large.frame.working_width *= times;
        large.painting = Some(Painting { path: "large.png".into(), size: (2300 * times, 979 * times) });
        let (before, after) = (assess(&scene), assess(&large));
        prop_assert_eq!(&before.ledger, &after.ledger);
        prop_assert_eq!(&before.levels, &after.levels);
        prop_assert_eq!(&before.eye, &after.eye);
        prop_assert_eq!(gist(&before), gist(&after));
    }

    /// With an eye set by hand: the ledger is weighted by what is pointed at and stated, not by what an eye read
    /// from lines leaves unsure, which a statement may shift from thing to thing.
    #[test]
    fn one_more_statement_that_agrees_never_makes_anything_less_sure(
        scene in sensible_scene(false), which in 0..24_usize, spread in 0.01_f64..0.3, far in any::<bool>(),
    ) {
        let scene = seen_by_a_known_eye(&scene);
        let before = assess(&scene);
        prop_assume!(before.contradictions() == 0);
        let in_metres: Vec<&Entry> = before.ledger.iter().filter(|e| e.unit == Unit::Metres).collect();
        prop_assume!(!in_metres.is_empty());
        let entry = in_metres[which % in_metres.len()];
        let said = match (far, entry.distance, entry.size) {
            (true, Some(distance), _) => Statement::Distance(Known { metres: distance.value, spread }),
            (false, _, Some(size)) => {
                Statement::KnownSize { size: Known { metres: size.value, spread }, as_: String::new() }
            }
            _ => return Err(TestCaseError::reject("nothing to agree with")),
        };
        let mut surer = scene.clone();
        let marker = surer.markers.iter_mut().find(|m| m.id == entry.id).unwrap();
        marker.statements.push(said);
        let after = assess(&surer);
        for (id, before) in entries(&before) {
            let after = after.entry(id).unwrap();
            for (before, after) in [(before.distance, after.distance), (before.size, after.size)] {
                let (Some(before), Some(after)) = (before, after) else { continue };
                prop_assert!(width(after) <= width(before) * (1.0 + 1e-9), "{id}: {before:?} {after:?}");
            }
        }
    }
}
