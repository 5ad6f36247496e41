//! The ledger's entries: what the adjusted network says of each marker and level.

use crate::evidence::{self, solver_span};
use crate::shadow::astray;
use crate::{
    Bounds, Curvature, Entry, Lean, LevelReading, Marker, Measure, Scene, Side, Span, Standing,
    Stands, Statement, Unit, Units, VisibleHorizon,
};
use glam::DVec2;
use staffage_solver as solver;
use staffage_solver::{
    Claim, Datum, EyeFit, Fault, Ledger, NOTICEABLE, Rejection, RowResult, STRAINED, Snooped,
    World, axis_per_outline, head_at, interval, interval_to_horizon, lean, plumb_direction,
    rise_per_run, span_per_run,
};

/// A scene with the ledger made from it and what snooping found.
pub(crate) struct Snooping<'a> {
    pub(crate) scene: &'a Scene,
    /// What sentences tell lengths in.
    pub(crate) units: Units,
    pub(crate) fit: &'a EyeFit,
    pub(crate) ledger: &'a Ledger,
    /// Standard deviation of one coordinate of a picture point, frame widths.
    pub(crate) pointing: f64,
    /// For each marker, the places in its list of the statements that went into the ledger.
    pub(crate) places: &'a [Vec<usize>],
    /// The adjusted network, or none if it could not be solved.
    pub(crate) snooped: Option<Snooped>,
    /// For each marker, the rows of the final adjustment that speak of it.
    pub(crate) kept: Vec<Vec<(Claim, RowResult)>>,
    /// For each marker, what overlaps say of it where nothing else does.
    pub(crate) bounds: Vec<Option<Bounds>>,
}

impl Snooping<'_> {
    /// A node's length with its 95 % interval, and its unit; `None` where nothing fixes its scale.
    pub(crate) fn measure(&self, node: usize) -> Option<(Measure, Unit)> {
        let adjusted = &self.snooped.as_ref()?.adjustment;
        let unit = match adjusted.datum[node] {
            Datum::Benchmark => Unit::Metres,
            Datum::Node(level) => Unit::EyeHeights(self.scene.levels.get(level)?.id),
            Datum::None => return None,
        };
        let [low, value, high] = interval(adjusted.values[node], adjusted.sd_with_consider[node]);
        Some((Measure { value, low, high }, unit))
    }

    /// The same where part of the spread, of this standard deviation, comes from a sight line that may
    /// run as far as the horizon.
    fn measure_reaching(&self, node: usize, part: f64) -> Option<(Measure, Unit)> {
        let (_, unit) = self.measure(node)?;
        let adjusted = &self.snooped.as_ref()?.adjustment;
        let (ln, sd) = (adjusted.values[node], adjusted.sd_with_consider[node]);
        let [low, value, high] = interval_to_horizon(ln, sd, part);
        Some((Measure { value, low, high }, unit))
    }

    /// What was rejected of a marker.
    pub(crate) fn rejections(&self, marker: usize) -> impl Iterator<Item = &Rejection> {
        self.all_rejections().filter(move |r| owner(r.claim) == Some(marker))
    }

    /// Everything that was rejected.
    pub(crate) fn all_rejections(&self) -> impl Iterator<Item = &Rejection> {
        self.snooped.iter().flat_map(|s| &s.rejected)
    }

    /// Rows of the final adjustment that speak of a marker.
    fn kept(&self, marker: usize) -> impl Iterator<Item = &RowResult> {
        self.kept.get(marker).into_iter().flatten().map(|(_, row)| row)
    }

    /// Whether what a marker is said to stand on can be true of no lengths.
    pub(crate) fn cannot_stand(&self, marker: usize) -> bool {
        self.snooped.iter().any(|s| s.impossible.contains(&Claim::Stands(marker)))
    }

    /// Whether a marker cannot be as it is drawn.
    pub(crate) fn is_impossible(&self, marker: usize) -> bool {
        self.ledger.faults[marker].iter().any(|f| is_impossible(*f)) || self.cannot_stand(marker)
    }

    /// Whether a statement was rejected or can be true of no lengths.
    pub(crate) fn is_refuted(&self, claim: Claim) -> bool {
        let rejected = self.all_rejections().any(|rejection| rejection.claim == claim);
        rejected || self.snooped.iter().any(|s| s.impossible.contains(&claim))
    }

    /// Whether a marker's foot may well be as far as the visible horizon of its level.
    pub(crate) fn is_at_horizon(&self, marker: usize) -> bool {
        self.snooped.iter().any(|s| s.at_horizon.contains(&Claim::Stands(marker)))
    }

    /// The statement that a claim stands for, if it is one of a marker's list.
    pub(crate) fn statement(&self, claim: Claim) -> Option<(&Marker, &Statement)> {
        let Claim::Known { marker, known } = claim else { return None };
        let place = *self.places.get(marker)?.get(known)?;
        let marker = self.scene.markers.get(marker)?;
        Some((marker, marker.statements.get(place)?))
    }

    /// The size that a rejected statement about size asks for.
    pub(crate) fn expected_size(&self, rejection: &Rejection) -> Option<(Measure, Unit)> {
        let around = |value: f64, spread: f64| {
            let [low, value, high] = interval(value.ln(), spread);
            Measure { value, low, high }
        };
        let (_, statement) = self.statement(rejection.claim)?;
        match *statement {
            Statement::KnownSize { size, .. } => {
                Some((around(size.metres, size.spread), Unit::Metres))
            }
            Statement::SameMake { of, .. } => self.scaled_size(of, 1.0),
            Statement::Times { of, factor, .. } => self.scaled_size(of, factor),
            Statement::SameDistance { .. } | Statement::Distance(_) => None,
        }
    }

    fn scaled_size(&self, of: crate::MarkerId, factor: f64) -> Option<(Measure, Unit)> {
        let place = self.scene.markers.iter().position(|m| m.id == of)?;
        let (size, unit) = self.measure(self.ledger.size_node(place))?;
        let Measure { value, low, high } = size;
        Some((Measure { value: value * factor, low: low * factor, high: high * factor }, unit))
    }
}

/// For each of so many markers, the rows of an adjustment that speak of it.
pub(crate) fn rows_by_marker(
    snooped: Option<&Snooped>,
    markers: usize,
) -> Vec<Vec<(Claim, RowResult)>> {
    let mut rows = vec![Vec::new(); markers];
    for kept in snooped.iter().flat_map(|s| &s.kept) {
        if let Some(of_marker) = owner(kept.0).and_then(|marker| rows.get_mut(marker)) {
            of_marker.push(*kept);
        }
    }
    rows
}

/// The marker that a claim is about, by its place.
pub(crate) fn owner(claim: Claim) -> Option<usize> {
    match claim {
        Claim::Stands(marker) | Claim::Spans(marker) | Claim::Known { marker, .. } => Some(marker),
        Claim::Clearance(_) | Claim::Above(_) => None,
    }
}

/// What is known of each level.
pub(crate) fn levels(of: &Snooping<'_>) -> Vec<LevelReading> {
    of.scene
        .levels
        .iter()
        .enumerate()
        .map(|(k, level)| {
            let measure = of.measure(of.ledger.clearance_node(k));
            let own = Unit::EyeHeights(level.id);
            LevelReading {
                id: level.id,
                // One eye height over itself says nothing.
                clearance: measure.filter(|(_, unit)| *unit != own).map(|(m, _)| m),
                unit: measure.map_or(own, |(_, unit)| unit),
                horizon: visible_horizon(of, k),
            }
        })
        .collect()
}

/// The world, unless its levels are planes.
fn curved_world(of: &Snooping<'_>) -> Option<World> {
    let world = of.scene.world;
    (world.curvature != Curvature::Nowhere).then(|| evidence::world(world))
}

/// Metres between the eye and a level below it.
fn clearance_below(of: &Snooping<'_>, level: usize) -> Option<f64> {
    let (clearance, unit) = of.measure(of.ledger.clearance_node(level))?;
    let is_below = of.scene.levels[level].side == Side::Below;
    (is_below && unit == Unit::Metres).then_some(clearance.value)
}

fn visible_horizon(of: &Snooping<'_>, level: usize) -> Option<VisibleHorizon> {
    let (world, height) = (curved_world(of)?, clearance_below(of, level)?);
    let is_felt = |place| {
        let distance = of.measure(of.ledger.distance_node(place));
        distance.is_some_and(|(d, unit)| unit == Unit::Metres && world.is_felt(d.value, height))
    };
    let everywhere = of.scene.world.curvature == Curvature::Everywhere;
    if !everywhere && !(0..of.scene.markers.len()).any(is_felt) {
        return None;
    }
    let distance = world.horizon_distance(height);
    distance.is_finite().then(|| VisibleHorizon { distance, dip: world.dip(height) })
}

/// How much of a thing the curve of its level hides, or of the first level below the eye that is known
/// where it stands on none.
fn hidden(of: &Snooping<'_>, marker: &Marker, distance: Option<Measure>) -> Option<f64> {
    let (world, distance) = (curved_world(of)?, distance?.value);
    let hidden = world.hidden_height(nearest_ground(of, marker)?, distance);
    Some(hidden).filter(|hidden| *hidden > 0.0 && hidden.is_finite())
}

/// Metres between the eye and the level below it that a marker is on, or else the first that is known.
fn nearest_ground(of: &Snooping<'_>, marker: &Marker) -> Option<f64> {
    let own = marker.stands.level().and_then(|id| of.scene.levels.iter().position(|l| l.id == id));
    let all = 0..of.scene.levels.len();
    own.into_iter().chain(all).find_map(|level| clearance_below(of, level))
}

/// The ledger, near to far; what has no distance comes last, in the scene's order.
pub(crate) fn entries(of: &Snooping<'_>) -> Vec<Entry> {
    let mut entries: Vec<Entry> = (0..of.scene.markers.len()).map(|k| entry(of, k)).collect();
    // By the bits, whose order is that of numbers that are not negative: entries are large to move about.
    entries.sort_by_cached_key(|e| e.distance.map_or(f64::INFINITY, |d| d.value).to_bits());
    entries
}

fn entry(of: &Snooping<'_>, place: usize) -> Entry {
    let marker = &of.scene.markers[place];
    let reaches = reaches(of, place);
    let wide = |node| of.measure_reaching(node, reaches);
    let (mut distance, mut size) =
        (wide(of.ledger.distance_node(place)), wide(of.ledger.size_node(place)));
    keep_in_sight(of, marker, &mut distance, &mut size);
    let unit = distance
        .or(size)
        .map(|(_, unit)| unit)
        .or(of.scene.levels.first().map(|l| Unit::EyeHeights(l.id)))
        .unwrap_or(Unit::Metres);
    let in_unit = |m: Option<(Measure, Unit)>| m.filter(|(_, u)| *u == unit).map(|(m, _)| m);
    let (distance, size) = (in_unit(distance), in_unit(size));
    let astray = astray(of, marker);
    let expected_size = of.rejections(place).find_map(|r| in_unit(of.expected_size(r)));
    let rejected = of.rejections(place).map(|r| r.row);
    let standardized =
        of.kept(place).copied().chain(rejected).map(|r| r.standardized.abs()).fold(0.0, f64::max);
    Entry {
        id: marker.id,
        distance,
        size,
        elevation: distance.and_then(|d| elevation(of, marker, d.value, unit)),
        hidden: hidden(of, marker, distance.filter(|_| unit == Unit::Metres)),
        unit,
        standing: standing(of, place, distance.is_some() && size.is_some(), astray.is_some()),
        standardized,
        redundancy: of.kept(place).map(|r| r.redundancy).fold(0.0, f64::max),
        expected_size,
        lean: lean_of(of, marker),
        astray,
        true_head: true_head(of, marker, distance, expected_size),
        detectable: detectable(of, place),
        bounds: of.bounds.get(place).copied().flatten(),
    }
}

/// Ends the intervals of a thing that is seen to touch a curved level at the visible horizon.
fn keep_in_sight(
    of: &Snooping<'_>,
    marker: &Marker,
    distance: &mut Option<(Measure, Unit)>,
    size: &mut Option<(Measure, Unit)>,
) {
    let Some((distance, unit)) = distance else { return };
    let horizon = farthest_in_sight(of, marker, distance.value, *unit);
    let Some(horizon) = horizon.filter(|far| *far < distance.high) else { return };
    distance.high = horizon.max(distance.value);
    if let Some((size, _)) = size {
        // It grows with its distance; what it is off by besides is no more than it may be too small by.
        let besides = size.value / size.low;
        size.high = size.high.min(size.value * besides * distance.high / distance.value);
    }
}

/// How far the visible horizon may be, metres, of a level below the eye that a marker is seen to touch
/// where the world curves.
fn farthest_in_sight(of: &Snooping<'_>, marker: &Marker, distance: f64, unit: Unit) -> Option<f64> {
    let (Stands::On(id) | Stands::Over { level: id, .. }) = marker.stands else { return None };
    let world = curved_world(of).filter(|_| unit == Unit::Metres)?;
    let level = of.scene.levels.iter().position(|l| l.id == id)?;
    let height = clearance_below(of, level)?;
    let everywhere = of.scene.world.curvature == Curvature::Everywhere;
    let (most, _) = of.measure(of.ledger.clearance_node(level))?;
    let felt = everywhere || world.is_felt(distance, height);
    felt.then(|| world.horizon_distance(most.high)).filter(|far| far.is_finite())
}

/// The part of the spread of a marker's distance that comes from how steeply its foot is seen.
fn reaches(of: &Snooping<'_>, place: usize) -> f64 {
    let marker = &of.scene.markers[place];
    if matches!(marker.stands, Stands::Unsaid | Stands::Hidden { .. }) {
        return 0.0;
    }
    let kept = of.kept.get(place).into_iter().flatten();
    let stands = kept.filter(|(claim, _)| *claim == Claim::Stands(place));
    stands.map(|(_, row)| row.gain.abs() * row.sd_observed).fold(0.0, f64::max)
}

/// Height of a marker's foot over the eye, or of a ball's lowest point: what its sight line rises on the
/// way, and where the world curves what the surface falls away.
fn elevation(of: &Snooping<'_>, marker: &Marker, distance: f64, unit: Unit) -> Option<f64> {
    let (eye, headings) = (&of.fit.eye, &of.fit.headings);
    let Marker { foot, head, .. } = *marker;
    let rise = |point: DVec2| rise_per_run(eye, headings, point).ok().map(|rise| rise.value);
    let level = match marker.span {
        Span::Upright | Span::Along(_) | Span::Facing => rise(foot)? * distance,
        Span::Cylinder => {
            let axis = axis_per_outline(eye, headings, foot, head).ok()?.value.exp();
            rise(foot)? * distance / axis
        }
        Span::Ball => {
            let middle = eye.ray(foot) + eye.ray(head);
            let diameter = span_per_run(eye, headings, foot, head, solver::Span::Ball).ok()?;
            (middle.y / middle.x.hypot(middle.z) - 0.5 * diameter.value.exp()) * distance
        }
    };
    let falls = if unit == Unit::Metres { falls(of, marker, distance) } else { 0.0 };
    Some(level + falls).filter(|height| height.is_finite())
}

/// How far the surface has fallen away at a marker, where that counts.
pub(crate) fn falls(of: &Snooping<'_>, marker: &Marker, distance: f64) -> f64 {
    let Some(world) = curved_world(of) else { return 0.0 };
    let level =
        marker.stands.level().and_then(|id| of.scene.levels.iter().position(|l| l.id == id));
    let clearance = level.and_then(|level| of.measure(of.ledger.clearance_node(level)));
    let height = clearance.filter(|(_, unit)| *unit == Unit::Metres).map(|(c, _)| c.value);
    let height = height.or_else(|| nearest_ground(of, marker)).unwrap_or(0.0);
    let everywhere = of.scene.world.curvature == Curvature::Everywhere;
    if everywhere || world.is_felt(distance, height) { world.drop(distance) } else { 0.0 }
}

/// How an upright leans; what the eye's own cant is unsure of counts as well.
fn lean_of(of: &Snooping<'_>, marker: &Marker) -> Option<Lean> {
    if marker.span != Span::Upright {
        return None;
    }
    let eye = &of.fit.eye;
    let (angle, pointing_sd) = lean(eye, marker.foot, marker.head, of.pointing)?;
    let plumb = plumb_direction(eye, marker.foot)?;
    Some(Lean { angle, sd: pointing_sd.hypot(of.fit.cant().sd), plumb: plumb.x.atan2(-plumb.y) })
}

fn true_head(
    of: &Snooping<'_>,
    marker: &Marker,
    distance: Option<Measure>,
    expected_size: Option<Measure>,
) -> Option<DVec2> {
    let span = solver_span(of.scene, marker.span);
    let (eye, headings) = (&of.fit.eye, &of.fit.headings);
    let drawn = span_per_run(eye, headings, marker.foot, marker.head, span).ok()?.value.exp();
    let per_run = match (expected_size, distance) {
        (Some(size), Some(distance)) => size.value / distance.value,
        _ => drawn,
    };
    head_at(eye, headings, marker.foot, marker.head, span, per_run).filter(|p| p.is_finite())
}

/// Whether a fault makes a marker impossible, or merely leaves it open.
pub(crate) fn is_impossible(fault: Fault) -> bool {
    match fault {
        Fault::BeyondHorizon | Fault::HeadBelowFoot | Fault::BehindShadow | Fault::OutOfReach => {
            true
        }
        Fault::NoLength
        | Fault::OnHorizon
        | Fault::Plumb
        | Fault::EndOn
        | Fault::NoTop
        | Fault::NotFinite => false,
    }
}

/// Redundancy from which something else tests a statement.
const TESTED: f64 = 0.01;

/// A gross error that a test would miss below this ratio is not tested in any useful sense.
const TOO_BLUNT: f64 = 5.0;

/// Whether something else tests a statement, sharply enough to be of use.
pub(crate) fn is_tested(row: &RowResult) -> bool {
    row.redundancy > TESTED && row.detectable < f64::ln(TOO_BLUNT)
}

/// The smallest lie, as a ratio, that the best-tested statement about a marker would give away: beyond
/// its minimal detectable bias and beyond what an eye overlooks.
fn detectable(of: &Snooping<'_>, place: usize) -> Option<f64> {
    let tested = of.kept(place).filter(|row| is_tested(row));
    let least = tested.map(|row| row.detectable).min_by(f64::total_cmp)?;
    Some(least.exp().max(NOTICEABLE))
}

fn standing(of: &Snooping<'_>, place: usize, is_fixed: bool, is_astray: bool) -> Standing {
    if of.is_impossible(place) {
        Standing::Impossible
    } else if is_astray || of.rejections(place).next().is_some() {
        Standing::Contradicts
    } else if !is_fixed {
        Standing::Open
    } else if of.kept(place).any(|r| r.standardized.abs() > STRAINED) {
        Standing::Strained
    } else if of.kept(place).any(is_tested) {
        Standing::Holds
    } else {
        Standing::Unchecked
    }
}
