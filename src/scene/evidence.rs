//! What a scene says, in the terms of the solver.

use crate::precedence::lines_by_id;
use crate::validate::{ANGLE_OF_VIEW, CANT, PITCH, POINTING_RANGE, SLOPE, WHOLE_FRAME};
use crate::{
    Curvature, Family, Known, LevelId, Marker, MarkerId, POINTING, PrincipalPoint, Scene, Side,
    Span, Stands, Statement, World,
};
use staffage_solver as solver;
use staffage_solver::{
    EyeEvidence, FigureLevel, LedgerInput, LedgerLevel, LedgerMarker, Stand, StandingFigure,
    Stated, TracedLine,
};

/// The lines, the horizon and what was set by hand.
///
/// `dip` is how far below the eye's level the traced horizon is seen, radians.
pub(crate) fn eye_evidence(scene: &Scene, dip: f64) -> EyeEvidence {
    let radians = |degrees: Option<f64>| degrees.filter(|d| d.is_finite()).map(f64::to_radians);
    let view = scene.eye.angle_of_view.filter(|a| ANGLE_OF_VIEW.contains(a));
    let lines = lines_by_id(scene).into_iter().map(|(_, line)| TracedLine {
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
        dip,
        pointing: pointing(scene),
        figures: Vec::new(),
        levels: Vec::new(),
        principal: match scene.eye.principal {
            PrincipalPoint::At(at) if at.is_finite() => solver::PrincipalPoint::Fixed(at),
            PrincipalPoint::At(_) | PrincipalPoint::Centre => solver::PrincipalPoint::default(),
            PrincipalPoint::Free => solver::PrincipalPoint::Free,
        },
        focal: view.map(|a| solver::focal_of_view(a.to_radians())),
        assumed_focal: scene.eye.whole_frame.filter(|w| WHOLE_FRAME.contains(w)).unwrap_or(1.0),
        pitch: radians(scene.eye.pitch.filter(|p| PITCH.contains(p))),
        cant: radians(scene.eye.cant.filter(|c| CANT.contains(c))),
        blocks: scene.blocks.iter().map(|b| radians(b.heading)).collect(),
        inclines: scene
            .inclines
            .iter()
            .map(|i| [radians(i.heading), radians(i.slope.filter(|s| SLOPE.contains(s)))])
            .collect(),
    }
}

/// The same with the figures of known height that stand on a level: they tell where the horizon is.
pub(crate) fn with_figures(scene: &Scene, evidence: EyeEvidence) -> EyeEvidence {
    let levels = scene.levels.iter().map(|level| FigureLevel {
        side: solver_side(level.side),
        clearance: level.clearance.and_then(stated),
    });
    let figures = scene.markers.iter().filter_map(|marker| {
        let (Span::Upright, Stands::On(id)) = (marker.span, marker.stands) else { return None };
        let size = marker.statements.iter().find_map(|statement| match statement {
            Statement::KnownSize { size, .. } => stated(*size),
            _ => None,
        })?;
        let level = scene.levels.iter().position(|l| l.id == id)?;
        Some(StandingFigure { foot: marker.foot, head: marker.head, size, level })
    });
    EyeEvidence { figures: figures.collect(), levels: levels.collect(), ..evidence }
}

fn solver_side(side: Side) -> solver::Side {
    match side {
        Side::Below => solver::Side::Below,
        Side::Above => solver::Side::Above,
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
        Span::Facing => solver::Span::Facing,
        Span::Cylinder => solver::Span::Cylinder,
        Span::Ball => solver::Span::Ball,
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
                stands: stands(scene, marker),
                known,
            }
        })
        .collect();
    let levels = scene.levels.iter().map(|level| LedgerLevel {
        side: solver_side(level.side),
        clearance: level.clearance.and_then(stated),
        above: level.above.and_then(|above| {
            let other = scene.levels.iter().position(|l| l.id == above.level);
            Some((other.filter(|_| above.level != level.id)?, stated(above.by)?))
        }),
    });
    let input = LedgerInput {
        levels: levels.collect(),
        markers,
        pointing: pointing(scene),
        curvature: curvature(scene.world),
    };
    (input, places)
}

/// The world in metres, which are the unit of all benchmarks.
pub(crate) fn world(of: World) -> solver::World {
    solver::World { radius: of.radius, refraction: of.refraction }
}

fn curvature(of: World) -> solver::Curvature {
    match of.curvature {
        Curvature::Nowhere => solver::Curvature::Flat,
        Curvature::WhereFelt => solver::Curvature::WhereFelt(world(of)),
        Curvature::Everywhere => solver::Curvature::Everywhere(world(of)),
    }
}

fn stands(scene: &Scene, marker: &Marker) -> Option<Stand> {
    let place = |id: LevelId| scene.levels.iter().position(|l| l.id == id);
    Some(match marker.stands {
        Stands::Unsaid => return None,
        Stands::On(level) => Stand::On { level: place(level)? },
        Stands::Over { level, plumb } => Stand::Over { level: place(level)?, plumb },
        Stands::Shadow { level, tip, light } => {
            let light = solver_family(scene, Family::Incline(light))?;
            Stand::Shadow { level: place(level)?, tip, light }
        }
        Stands::Hidden { level, height } => {
            Stand::Hidden { level: place(level)?, height: stated(height)? }
        }
        Stands::OnTop(base) if base == marker.id => return None,
        Stands::OnTop(base) => {
            Stand::OnTop { base: scene.markers.iter().position(|m| m.id == base)? }
        }
    })
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
