//! From a scene to its assessment.

use crate::entries::{Snooping, entries, levels, rows_by_marker};
use crate::evidence::{eye_evidence, ledger_input, solver_family, with_figures, world};
use crate::findings::findings;
use crate::overlaps::{overlapping_nodes, read_overlaps};
use crate::precedence::{in_order_of_ids, lines_by_id};
use crate::{
    Assessment, Curvature, EyeReading, Family, FamilyReading, LineReading, Scene, Side, Span,
    Standing, Units,
};
use staffage_solver::{
    Datum, EyeFit, Ledger, NOTICEABLE, NOTICEABLE_MISS, Quantity, ReadEye, STRAINED, Snooped,
    Source, read_eye, snoop,
};

/// Reads the eye from the lines, adjusts the ledger, and says what contradicts what. Pure and
/// deterministic: the same scene always gives the same assessment. Its sentences tell metres.
#[must_use]
pub fn assess(scene: &Scene) -> Assessment {
    assess_in(scene, Units::Metric)
}

/// The same with sentences that tell lengths in these units.
#[must_use]
pub fn assess_in(scene: &Scene, units: Units) -> Assessment {
    let mut groundwork = Groundwork::of(scene);
    let lines = lines(scene, &groundwork.read);
    let mut snooping = groundwork.snooping(scene, units);
    let overlaps = read_overlaps(&mut snooping);
    let ledger = entries(&snooping);
    Assessment {
        eye: eye_reading(scene, snooping.fit),
        findings: findings(&snooping, &lines, &ledger, overlaps),
        levels: levels(&snooping),
        lines,
        ledger,
        units,
    }
}

/// The eye as read and the ledger as adjusted, which everything else is told from.
pub(crate) struct Groundwork {
    read: ReadEye,
    ledger: Ledger,
    pointing: f64,
    places: Vec<Vec<usize>>,
    snooped: Option<Snooped>,
}

impl Groundwork {
    /// Where a horizon is traced and the world curves, how far it has sunk follows from how high the
    /// ledger makes the eye; then the eye is read once more.
    pub(crate) fn of(scene: &Scene) -> Self {
        let first = Self::with_dip(scene, 0.0);
        let dip = if scene.horizon.is_some() { first.dip(scene) } else { 0.0 };
        if dip > 0.0 { Self::with_dip(scene, dip) } else { first }
    }

    /// Dip of the horizon of the lowest level whose distance below the eye is known in metres, radians.
    fn dip(&self, scene: &Scene) -> f64 {
        let Some(adjusted) = self.snooped.as_ref().map(|s| &s.adjustment) else { return 0.0 };
        if scene.world.curvature == Curvature::Nowhere {
            return 0.0;
        }
        let levels = scene.levels.iter().enumerate().filter(|(_, level)| level.side == Side::Below);
        let nodes = levels.map(|(place, _)| self.ledger.clearance_node(place));
        let known = nodes.filter(|node| adjusted.datum[*node] == Datum::Benchmark);
        let highest = known.map(|node| adjusted.values[node].exp()).fold(0.0, f64::max);
        world(scene.world).dip(highest)
    }

    fn with_dip(scene: &Scene, dip: f64) -> Self {
        let read = read(scene, dip);
        let (input, places) = ledger_input(scene);
        let mut ledger = Ledger::new(&input, &read.fit);
        in_order_of_ids(scene, &places, &mut ledger);
        ledger.network.ratios = overlapping_nodes(scene, &ledger);
        let snooped = snoop(&ledger, NOTICEABLE)
            .inspect_err(|error| tracing::warn!(%error, "the ledger was not adjusted"))
            .ok();
        Self { read, ledger, pointing: input.pointing, places, snooped }
    }

    /// Hands out the adjusted ledger, once, with the scene it was made from.
    pub(crate) fn snooping<'a>(&'a mut self, scene: &'a Scene, units: Units) -> Snooping<'a> {
        let snooped = self.snooped.take();
        Snooping {
            scene,
            units,
            fit: &self.read.fit,
            ledger: &self.ledger,
            pointing: self.pointing,
            places: &self.places,
            kept: rows_by_marker(snooped.as_ref(), scene.markers.len()),
            snooped,
            bounds: Vec::new(),
        }
    }
}

/// So few figures would let one that is drawn wrong turn the horizon, and nothing would tell.
const FEWEST_FIGURES: usize = 5;

/// The eye from the lines; where they do not tell how the horizon lies, a crowd of known height does.
fn read(scene: &Scene, dip: f64) -> ReadEye {
    let evidence = eye_evidence(scene, dip);
    let from_lines = read_eye(&evidence, NOTICEABLE_MISS);
    let assumed = |quantity: Quantity| quantity.source == Source::Assumed;
    if !assumed(from_lines.fit.pitch()) && !assumed(from_lines.fit.cant()) {
        return from_lines;
    }
    let evidence = with_figures(scene, evidence);
    if evidence.figures.len() < FEWEST_FIGURES {
        return from_lines;
    }
    let with_figures = read_eye(&evidence, NOTICEABLE_MISS);
    let agreeing = evidence.figures.len() - with_figures.misfits.len();
    if agreeing < FEWEST_FIGURES { from_lines } else { with_figures }
}

/// The eye from the lines without the ledger; a traced horizon counts as not dipped.
pub(crate) fn eye_alone(scene: &Scene) -> EyeReading {
    eye_reading(scene, &read(scene, 0.0).fit)
}

fn eye_reading(scene: &Scene, fit: &EyeFit) -> EyeReading {
    EyeReading {
        eye: fit.eye,
        angle_of_view: fit.angle_of_view(),
        pitch: fit.pitch(),
        cant: fit.cant(),
        principal: fit.principal_point(),
        headings: scene.blocks.iter().enumerate().map(|(k, b)| (b.id, fit.heading(k))).collect(),
        inclines: scene
            .inclines
            .iter()
            .enumerate()
            .map(|(k, incline)| {
                let [heading, slope] = fit.incline(k);
                (incline.id, heading, slope)
            })
            .collect(),
        families: families(scene).filter_map(|family| family_reading(scene, fit, family)).collect(),
    }
}

/// Every family of a scene: upright, those of the blocks, the inclines, and their level runs where
/// something is said to run along them.
fn families(scene: &Scene) -> impl Iterator<Item = Family> + '_ {
    let blocks =
        scene.blocks.iter().flat_map(|b| [Family::RecedingLeft(b.id), Family::RecedingRight(b.id)]);
    let inclines = scene.inclines.iter().map(|i| Family::Incline(i.id));
    let is_said = |family: &Family| {
        scene.lines.iter().any(|line| line.family == *family)
            || scene.markers.iter().any(|marker| marker.span == Span::Along(*family))
    };
    let runs = scene.inclines.iter().map(|i| Family::Run(i.id)).filter(is_said);
    std::iter::once(Family::Upright).chain(blocks).chain(inclines).chain(runs)
}

fn family_reading(scene: &Scene, fit: &EyeFit, family: Family) -> Option<FamilyReading> {
    let solver = solver_family(scene, family)?;
    Some(FamilyReading {
        family,
        direction: fit.headings.direction(solver),
        vanishing_point: fit.vanishing_point(solver),
        region: fit.vanishing_region(solver),
        lines: scene.lines.iter().filter(|l| l.family == family).count(),
        read: fit.is_known(solver),
    })
}

/// Redundancy from which something else tests a line.
const TESTED: f64 = 0.01;

fn lines(scene: &Scene, read: &ReadEye) -> Vec<LineReading> {
    let by_id = lines_by_id(scene);
    let mut readings: Vec<(usize, LineReading)> = by_id
        .iter()
        .zip(&read.fit.lines)
        .enumerate()
        .map(|(k, ((place, line), fit))| {
            let stray = read.strays.iter().find(|stray| stray.line == k);
            let standing = match fit {
                None => Standing::Open,
                Some(_) if stray.is_some() => Standing::Contradicts,
                Some(fit) if fit.redundancy < TESTED => Standing::Unchecked,
                Some(fit)
                    if fit.standardized.abs() > STRAINED && fit.miss.abs() > NOTICEABLE_MISS =>
                {
                    Standing::Strained
                }
                Some(_) => Standing::Holds,
            };
            let reading = LineReading {
                id: line.id,
                miss: fit.map_or(0.0, |f| f.miss),
                standardized: fit.map_or(0.0, |f| f.standardized),
                standing,
                rivals: stray
                    .map_or(Vec::new(), |s| s.rivals.iter().map(|k| by_id[*k].1.id).collect()),
            };
            (*place, reading)
        })
        .collect();
    readings.sort_by_key(|(place, _)| *place);
    readings.into_iter().map(|(_, reading)| reading).collect()
}
