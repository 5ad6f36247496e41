//! Lies: drawings scaled by more than the least that would be noticed.

use crate::dice::Dice;
use staffage_scene::{MarkerId, Scene, Statement};
use staffage_solver::{
    Claim, Curvature, EyeEvidence, EyeFit, Family, Known, Ledger, LedgerInput, LedgerLevel,
    LedgerMarker, NOTICEABLE, NOTICEABLE_MISS, Side, Span, Stand, Stated, TracedLine, adjust,
    head_at, read_eye, span_per_run,
};
use std::collections::BTreeSet;

/// The eye that the scene's lines make out.
pub(crate) fn read(scene: &Scene) -> EyeFit {
    let mut evidence = EyeEvidence::none(scene.pointing);
    evidence.lines.extend(scene.lines.iter().map(|line| TracedLine {
        family: match line.family {
            staffage_scene::Family::RecedingRight(_) => Family::RecedingRight(0),
            staffage_scene::Family::RecedingLeft(_) => Family::RecedingLeft(0),
            _ => Family::Upright,
        },
        from: line.segment.0,
        to: line.segment.1,
    }));
    read_eye(&evidence, NOTICEABLE_MISS).fit
}

/// Scales the drawings of up to three markers whose size is tested well enough, and tells which.
pub(crate) fn plant(dice: &mut Dice, scene: &mut Scene, fit: &EyeFit) -> BTreeSet<MarkerId> {
    let mut liars = BTreeSet::new();
    let honest = detectable(scene, fit);
    if honest.is_empty() {
        return liars;
    }
    for _ in 0..dice.below(4) {
        let (marker, bias) = honest[dice.below(honest.len())];
        let id = scene.markers[marker].id;
        let ratio = (dice.between(LEAST_LIE, 4.0) * bias).max(NOTICEABLE.ln());
        let lie = if dice.one_in(2) { ratio } else { -ratio };
        if liars.contains(&id) || !outnumbered(scene, &liars, marker) {
            continue;
        }
        let before = scene.markers[marker].clone();
        if scale_drawing(scene, marker, fit, lie.exp()).is_some()
            && detectable(scene, fit).iter().any(|(k, b)| *k == marker && ratio > LEAST_LIE * b)
        {
            liars.insert(id);
        } else {
            scene.markers[marker] = before;
        }
    }
    liars
}

/// The least lie in minimal detectable biases: of the drawing as it stands, the lie in it, because what
/// is drawn smaller is pointed at less well.
const LEAST_LIE: f64 = 1.5;

/// Whether one more liar leaves two honest things of known size on its level for every liar. Where as many
/// lie as do not, nobody can tell who does.
fn outnumbered(scene: &Scene, liars: &BTreeSet<MarkerId>, next: usize) -> bool {
    let level = scene.markers[next].stands.level();
    let sized =
        scene.markers.iter().filter(|m| m.stands.level() == level && !m.statements.is_empty());
    let (lying, honest): (Vec<_>, Vec<_>) = sized.partition(|m| liars.contains(&m.id));
    honest.len() > 2 * (lying.len() + 1)
}

/// Places of the markers whose size a lie of less than e times would contradict, each with the
/// logarithm of the least such lie.
fn detectable(scene: &Scene, fit: &EyeFit) -> Vec<(usize, f64)> {
    let ledger = Ledger::new(&ledger_input(scene), fit);
    let adjusted = adjust(&ledger.network).expect("an honest ledger can be adjusted");
    std::iter::zip(&ledger.claims, &adjusted.rows)
        .filter_map(|(claims, rows)| match claims[0] {
            Claim::Known { marker, .. } => Some((marker, rows[0].detectable)),
            _ => None,
        })
        .filter(|(_, bias)| *bias < 1.0)
        .collect()
}

/// Paints a marker larger or smaller, along its upright. `None` if that cannot be seen.
fn scale_drawing(scene: &mut Scene, marker: usize, fit: &EyeFit, factor: f64) -> Option<()> {
    let marker = &mut scene.markers[marker];
    let (eye, headings, span) = (&fit.eye, &fit.headings, Span::Upright);
    let drawn = span_per_run(eye, headings, marker.foot, marker.head, span).ok()?;
    let per_run = drawn.value.exp() * factor;
    marker.head = head_at(eye, headings, marker.foot, marker.head, span, per_run)?;
    Some(())
}

/// The statements that the trial makes, in the solver's terms.
fn ledger_input(scene: &Scene) -> LedgerInput {
    let stated = |k: staffage_scene::Known| Stated { value: k.metres, spread: k.spread };
    let place = |id: MarkerId| scene.markers.iter().position(|m| m.id == id);
    let known = |statement: &Statement| match *statement {
        Statement::KnownSize { size, .. } => Some(Known::Size(stated(size))),
        Statement::SameMake { of, spread } => {
            Some(Known::SizeRatio { of: place(of)?, ratio: Stated { value: 1.0, spread } })
        }
        _ => None,
    };
    let stands =
        |id| Some(Stand::On { level: scene.levels.iter().position(|level| level.id == id)? });
    let levels = scene.levels.iter().map(|level| LedgerLevel {
        side: match level.side {
            staffage_scene::Side::Below => Side::Below,
            staffage_scene::Side::Above => Side::Above,
        },
        clearance: level.clearance.map(stated),
        above: None,
    });
    let markers = scene.markers.iter().map(|marker| LedgerMarker {
        foot: marker.foot,
        head: marker.head,
        span: Span::Upright,
        stands: marker.stands.level().and_then(stands),
        known: marker.statements.iter().filter_map(known).collect(),
    });
    LedgerInput {
        levels: levels.collect(),
        markers: markers.collect(),
        pointing: scene.pointing,
        curvature: Curvature::Flat,
    }
}
