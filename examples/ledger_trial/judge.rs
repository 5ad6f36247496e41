//! What the assessment says of a scene, held against the truth.

use crate::place::Thing;
use crate::tally::{Share, Tally};
use glam::DVec2;
use staffage_scene::{
    Assessment, Finding, MarkerId, Scene, Standing, Subject, Unit, apply, assess, mends,
};
use staffage_solver::{Eye, EyeFit, elevation};
use std::collections::BTreeSet;

pub(crate) fn judge(
    scene: &Scene,
    truth: &[Thing],
    fit: &EyeFit,
    liars: &BTreeSet<MarkerId>,
) -> Tally {
    let assessment = assess(scene);
    let named: BTreeSet<MarkerId> =
        wrong(&assessment).filter_map(|finding| marker(finding.about)).collect();
    let involved = wrong(&assessment).flat_map(|f| f.with.iter().copied()).filter_map(marker);
    let suspected: BTreeSet<MarkerId> = named.iter().copied().chain(involved).collect();
    let found = liars.intersection(&suspected).count();
    let mut tally = Tally {
        found: Share { part: found, whole: liars.len() },
        named: Share { part: liars.intersection(&named).count(), whole: found },
        accused: Share {
            part: named.difference(liars).count(),
            whole: scene.markers.len() - liars.len(),
        },
        ..Tally::default()
    };
    for (marker, thing) in std::iter::zip(&scene.markers, truth) {
        if !liars.contains(&marker.id) {
            let covered = covered(&assessment, marker.id, thing);
            if over_horizon(fit, marker.foot, scene.pointing) < NEAR_HORIZON {
                tally.covered_near_horizon += covered;
            } else {
                tally.covered += covered;
            }
        }
    }
    mend(scene, &assessment, &mut tally);
    tally
}

/// Findings that contradict or are impossible.
fn wrong(assessment: &Assessment) -> impl Iterator<Item = &Finding> {
    assessment.findings.iter().filter(|f| f.standing <= Standing::Contradicts)
}

fn marker(subject: Subject) -> Option<MarkerId> {
    match subject {
        Subject::Marker(id) => Some(id),
        _ => None,
    }
}

/// How many of a thing's two true lengths lie inside their 95 % intervals, of those that have one.
fn covered(assessment: &Assessment, id: MarkerId, thing: &Thing) -> Share {
    let Some(entry) = assessment.entry(id).filter(|e| e.unit == Unit::Metres) else {
        return Share::default();
    };
    let lengths = [(entry.distance, thing.distance), (entry.size, thing.size)];
    let told = lengths.into_iter().filter_map(|(measure, length)| Some((measure?, length)));
    told.fold(Share::default(), |sum, (measure, length)| {
        let inside = (measure.low..=measure.high).contains(&length);
        sum + Share { part: usize::from(inside), whole: 1 }
    })
}

/// Standard deviations between a foot and the horizon within which it counts as near.
const NEAR_HORIZON: f64 = 5.0;

/// How far a foot is from the horizon, in standard deviations of what pointing and the eye leave unsure.
fn over_horizon(fit: &EyeFit, foot: DVec2, pointing: f64) -> f64 {
    const STEP: f64 = 1e-6;
    let angle = |eye: &Eye| elevation(eye, foot, pointing).0;
    let moved = |by: [f64; 3]| {
        let mut eye = fit.eye;
        eye.focal *= by[0].exp();
        eye.pitch += by[1];
        eye.cant += by[2];
        eye
    };
    let slopes: [f64; 3] = std::array::from_fn(|k| {
        let mut by = [0.0; 3];
        by[k] = STEP;
        (angle(&moved(by)) - angle(&moved(by.map(|x| -x)))) / (2.0 * STEP)
    });
    let pairs = (0..3).flat_map(|i| (0..3).map(move |k| (i, k)));
    let by_eye: f64 = pairs.map(|(i, k)| slopes[i] * fit.covariance[(i, k)] * slopes[k]).sum();
    let (angle, by_pointing) = elevation(&fit.eye, foot, pointing);
    angle.abs() / (by_pointing * by_pointing + by_eye).sqrt()
}

/// Makes every mend of every finding that contradicts, and looks whether the finding is gone and no
/// other has come.
fn mend(scene: &Scene, assessment: &Assessment, tally: &mut Tally) {
    for finding in wrong(assessment) {
        let offered = mends(scene, assessment, finding);
        tally.mendable += Share { part: usize::from(!offered.is_empty()), whole: 1 };
        for mend in offered {
            let mended = apply(scene, &mend.edit).is_ok_and(|scene| {
                let after = assess(&scene);
                let gone = wrong(&after).all(|f| f.about != finding.about);
                gone && wrong(&after).count() < wrong(assessment).count()
            });
            tally.mended += Share { part: usize::from(mended), whole: 1 };
        }
    }
}
