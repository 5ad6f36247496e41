//! What a scene says, in the terms of the solver.

use crate::validate::{ANGLE_OF_VIEW, CANT, PITCH, POINTING_RANGE};
use crate::{Family, Known, LevelId, MarkerId, POINTING, Scene, Side, Span, Stands, Statement};
use staffage_solver as solver;
use staffage_solver::{EyeEvidence, LedgerInput, LedgerLevel, LedgerMarker, Stated, TracedLine};

/// The lines, the horizon and what was set by hand.
pub(crate) fn eye_evidence(scene: &Scene) -> EyeEvidence {
    let radians = |degrees: Option<f64>| degrees.filter(|d| d.is_finite()).map(f64::to_radians);
    let view = scene.eye.angle_of_view.filter(|a| ANGLE_OF_VIEW.contains(a));
    let lines = scene.lines.iter().map(|line| TracedLine {
        // A line of a family that is not there says nothing, like one without length.
        family: solver_family(scene, line.family).unwrap_or(solver::Family::Upright),
        from: line.segment.0,
        to: match solver_family(scene, line.family) {
            Some(_) => line.segment.1,
            None => line.segment.0,
        },
    });
    EyeEvidence {
        lines: lines.collect(),
        horizon: scene
            .horizon
            .filter(|h| h.0.is_finite() && h.1.is_finite() && h.0 != h.1)
            .map(|h| [h.0, h.1]),
        pointing: pointing(scene),
        principal: glam::DVec2::ZERO,
        focal: view.map(|a| solver::focal_of_view(a.to_radians())),
        pitch: radians(scene.eye.pitch.filter(|p| PITCH.contains(p))),
        cant: radians(scene.eye.cant.filter(|c| CANT.contains(c))),
        blocks: scene.blocks.iter().map(|b| radians(b.heading)).collect(),
        inclines: scene.inclines.len(),
    }
}

/// Pointing precision, or the default where it makes no sense.
fn pointing(scene: &Scene) -> f64 {
    if POINTING_RANGE.contains(&scene.pointing) { scene.pointing } else { POINTING }
}

/// A family with its block or incline by place instead of by id.
pub(crate) fn solver_family(scene: &Scene, family: Family) -> Option<solver::Family> {
    let block = |id| scene.blocks.iter().position(|b| b.id == id);
    let incline = |id| scene.inclines.iter().position(|i| i.id == id);
    Some(match family {
        Family::Upright => solver::Family::Upright,
        Family::RecedingRight(id) => solver::Family::RecedingRight(block(id)?),
        Family::RecedingLeft(id) => solver::Family::RecedingLeft(block(id)?),
        Family::Incline(id) => solver::Family::Incline(incline(id)?),
        Family::Run(id) => solver::Family::Run(incline(id)?),
    })
}

/// A span in the solver's terms; one along a family that is not there counts as facing.
pub(crate) fn solver_span(scene: &Scene, span: Span) -> solver::Span {
    match span {
        Span::Upright => solver::Span::Upright,
        Span::Facing | Span::Cylinder | Span::Ball => solver::Span::Facing,
        Span::Along(family) => {
            solver_family(scene, family).map_or(solver::Span::Facing, solver::Span::Along)
        }
    }
}

/// The levels and markers with all that was said of them.
///
/// Statements whose figures make no sense or whose other marker is not there are passed over; the
/// places of the others in each marker's list are returned beside the input.
pub(crate) fn ledger_input(scene: &Scene) -> (LedgerInput, Vec<Vec<usize>>) {
    let mut places = Vec::with_capacity(scene.markers.len());
    let markers = scene
        .markers
        .iter()
        .map(|marker| {
            let said = marker.statements.iter().enumerate();
            let (place, known) = said
                .filter_map(|(k, s)| known(scene, marker.id, s).map(|known| (k, known)))
                .unzip();
            places.push(place);
            LedgerMarker {
                foot: marker.foot,
                head: marker.head,
                span: solver_span(scene, marker.span),
                stands: stands(scene, marker.stands),
                known,
            }
        })
        .collect();
    let levels = scene.levels.iter().map(|level| LedgerLevel {
        side: match level.side {
            Side::Below => solver::Side::Below,
            Side::Above => solver::Side::Above,
        },
        clearance: level.clearance.and_then(stated),
    });
    (LedgerInput { levels: levels.collect(), markers, pointing: pointing(scene) }, places)
}

fn stands(scene: &Scene, stands: Stands) -> Option<(usize, Option<glam::DVec2>)> {
    let place = |id: LevelId| scene.levels.iter().position(|l| l.id == id);
    match stands {
        Stands::Unsaid | Stands::Shadow { .. } | Stands::Hidden { .. } | Stands::OnTop(_) => None,
        Stands::On(level) => Some((place(level)?, None)),
        Stands::Over { level, plumb } => Some((place(level)?, Some(plumb))),
    }
}

fn known(scene: &Scene, marker: MarkerId, statement: &Statement) -> Option<solver::Known> {
    let other =
        |id: MarkerId| scene.markers.iter().position(|m| m.id == id).filter(|_| id != marker);
    Some(match *statement {
        Statement::KnownSize { size, .. } => solver::Known::Size(stated(size)?),
        Statement::SameMake { of, spread } => solver::Known::SizeRatio {
            of: other(of)?,
            ratio: stated(Known { metres: 1.0, spread })?,
        },
        Statement::Times { of, factor, spread } => solver::Known::SizeRatio {
            of: other(of)?,
            ratio: stated(Known { metres: factor, spread })?,
        },
        Statement::SameDistance { of, spread } => {
            solver::Known::SameDistance { of: other(of)?, spread: stated_spread(spread)? }
        }
        Statement::Distance(distance) => solver::Known::Distance(stated(distance)?),
    })
}

fn stated(known: Known) -> Option<Stated> {
    /// Lengths and ratios outside of this are no measures of anything in a picture.
    const SANE: std::ops::RangeInclusive<f64> = 1e-6..=1e9;
    let sane = SANE.contains(&known.metres);
    Some(Stated { value: sane.then_some(known.metres)?, spread: stated_spread(known.spread)? })
}

fn stated_spread(spread: f64) -> Option<f64> {
    (spread.is_finite() && spread >= 0.0).then_some(spread)
}
