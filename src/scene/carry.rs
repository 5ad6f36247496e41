//! Markers and stand-ins carried about in the section and the plan: each as it is drawn once it stands
//! elsewhere.

use crate::world::Curvature;
use crate::{
    Assessment, Entry, LENGTH, Level, Marker, MarkerId, Placement, Scene, Span, StandIn, StandInId,
    Stands, Unit, Unplaced, evidence, place_stand_in, point_on_level,
};
use glam::{DVec2, DVec3};
use staffage_solver::{self as solver, Carry, Shape};

/// Where a marker is to stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Whereabouts {
    /// Horizontal distance from the eye, in the unit of its ledger entry.
    pub distance: f64,
    /// Clockwise from straight ahead, radians.
    pub bearing: f64,
}

/// Why a marker cannot be carried elsewhere.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum Rooted {
    /// Nothing fixes its distance.
    #[error("nothing fixes how far off it is: say what it stands on or how large it is")]
    Open,
    /// Its foot cannot be where it is drawn.
    #[error("it cannot be as drawn: mend it in the picture first")]
    Impossible,
    /// It is tied to its level by its shadow.
    #[error("its shadow says where it floats: move it in the picture, with its shadow")]
    Shadow,
    /// Its foot is out of sight.
    #[error("its foot is out of sight: its head and its stated height say how far off it is")]
    Hidden,
    /// It would be behind the eye or far out of the picture.
    #[error("it would be out of the picture")]
    OutOfPicture,
    /// It is a stand-in that stands nowhere.
    #[error(transparent)]
    Unplaced(#[from] Unplaced),
    /// It is not upright, so that it has no height.
    #[error("it is not upright and has no height to change")]
    NotUpright,
}

/// Bearing of a marker from the eye: of its foot, or of the axis or middle of a round thing. Radians,
/// clockwise from straight ahead; `None` straight above or below the eye.
#[must_use]
pub fn bearing(assessment: &Assessment, marker: &Marker) -> Option<f64> {
    solver::bearing(&assessment.eye.eye, shape(assessment, marker), marker.foot, marker.head)
}

/// The marker as it is drawn once it stands there: on its level, with the same true span. A floating one
/// takes its plumb point along.
///
/// # Errors
/// [`Rooted`] where that cannot be said.
pub fn carried(
    scene: &Scene,
    assessment: &Assessment,
    id: MarkerId,
    to: Whereabouts,
) -> Result<Marker, Rooted> {
    let (marker, entry) = movable(scene, assessment, id)?;
    let distance = distance(entry)?;
    let from = bearing(assessment, marker).ok_or(Rooted::Impossible)?;
    let carry = Carry {
        turn: to.bearing - from,
        times: to.distance / distance,
        fall: fall(scene, entry, distance, to.distance) / distance,
        height: 1.0,
    };
    redrawn(assessment, marker, &carry)
}

/// An upright marker as it is drawn once it is so high, its head moved along plumb; the height in the unit
/// of its ledger entry.
///
/// # Errors
/// [`Rooted`] where that cannot be said.
pub fn raised(
    scene: &Scene,
    assessment: &Assessment,
    id: MarkerId,
    height: f64,
) -> Result<Marker, Rooted> {
    let (marker, entry) = movable(scene, assessment, id)?;
    if marker.span != Span::Upright {
        return Err(Rooted::NotUpright);
    }
    let size = entry.size.map(|size| size.value).filter(|size| *size > 0.0 && size.is_finite());
    let carry = Carry { height: height / size.ok_or(Rooted::Open)?, ..Carry::STAY };
    redrawn(assessment, marker, &carry)
}

/// Where a stand-in stands that can be carried about.
///
/// # Errors
/// [`Rooted::Unplaced`] where it stands nowhere.
pub fn movable_stand_in<'a>(
    scene: &'a Scene,
    assessment: &Assessment,
    id: StandInId,
) -> Result<(&'a StandIn, Placement), Rooted> {
    let stand_in = scene.stand_in(id).ok_or(Rooted::Open)?;
    Ok((stand_in, place_stand_in(scene, assessment, stand_in)?))
}

/// The stand-in once it (the first of a row or a crowd) stands there on its level, metres; the others come
/// along without turning.
///
/// # Errors
/// [`Rooted`] where that cannot be said.
pub fn stand_in_carried(
    scene: &Scene,
    assessment: &Assessment,
    id: StandInId,
    to: Whereabouts,
) -> Result<StandIn, Rooted> {
    let (stand_in, placement) = movable_stand_in(scene, assessment, id)?;
    let on = |at| point_on_level(scene, assessment, stand_in.level, at);
    let from = placement.each.first().ok_or(Rooted::Open)?.foot;
    let (sin, cos) = to.bearing.sin_cos();
    let by = DVec3::new(to.distance * sin - from.x, 0.0, -to.distance * cos - from.z);
    let moved = |at| -> Result<DVec2, Rooted> {
        let seen = assessment.eye.eye.project(on(at)? + by).filter(is_sound);
        seen.ok_or(Rooted::OutOfPicture)
    };
    let arranged = match stand_in.arranged.to() {
        Some(to) => stand_in.arranged.reaching(moved(to)?),
        None => stand_in.arranged,
    };
    Ok(StandIn { foot: moved(stand_in.foot)?, arranged, ..stand_in.clone() })
}

/// The stand-in once it is so high, metres.
///
/// # Errors
/// [`Rooted`] where that cannot be said.
pub fn stand_in_raised(
    scene: &Scene,
    assessment: &Assessment,
    id: StandInId,
    height: f64,
) -> Result<StandIn, Rooted> {
    let (stand_in, _) = movable_stand_in(scene, assessment, id)?;
    // To the centimetre where it is large enough, so that what is read is what it is.
    let height = if height > 1.0 { (100.0 * height).round() / 100.0 } else { height };
    if !LENGTH.contains(&height) {
        return Err(Rooted::OutOfPicture);
    }
    Ok(StandIn { shape: stand_in.shape.with("height", height), ..stand_in.clone() })
}

/// Why a marker cannot be carried about, if it cannot.
///
/// # Errors
/// That.
pub fn movable<'a>(
    scene: &'a Scene,
    assessment: &'a Assessment,
    id: MarkerId,
) -> Result<(&'a Marker, &'a Entry), Rooted> {
    let marker = scene.marker(id).ok_or(Rooted::Open)?;
    let entry = assessment.entry(id).ok_or(Rooted::Open)?;
    match marker.stands {
        Stands::Shadow { .. } => return Err(Rooted::Shadow),
        Stands::Hidden { .. } => return Err(Rooted::Hidden),
        Stands::Unsaid | Stands::On(_) | Stands::Over { .. } | Stands::OnTop(_) => {}
    }
    if entry.standing == crate::Standing::Impossible {
        return Err(Rooted::Impossible);
    }
    distance(entry)?;
    Ok((marker, entry))
}

/// The level with its stated clearance changed, so that it lies this high over the eye, metres; `None` where
/// none was stated by hand, or if it would pass the eye.
#[must_use]
pub fn level_at(level: &Level, elevation: f64) -> Option<Level> {
    let known = level.clearance?;
    let metres = match level.side {
        crate::Side::Below => -elevation,
        crate::Side::Above => elevation,
    };
    (metres > 0.0 && metres.is_finite())
        .then(|| Level { clearance: Some(crate::Known { metres, ..known }), ..level.clone() })
}

fn distance(entry: &Entry) -> Result<f64, Rooted> {
    let distance = entry.distance.map(|distance| distance.value);
    distance.filter(|d| *d > 0.0 && d.is_finite()).ok_or(Rooted::Open)
}

fn redrawn(assessment: &Assessment, marker: &Marker, carry: &Carry) -> Result<Marker, Rooted> {
    let eye = &assessment.eye.eye;
    let ends = solver::carried(eye, shape(assessment, marker), marker.foot, marker.head, carry);
    let [foot, head] = ends.filter(|ends| ends.iter().all(is_sound)).ok_or(Rooted::OutOfPicture)?;
    let stands = match marker.stands.tie() {
        Some(tie) if carry.height == 1.0 => {
            let tie = solver::tie_carried(eye, tie, carry).filter(is_sound);
            marker.stands.tied_at(tie.ok_or(Rooted::OutOfPicture)?)
        }
        _ => marker.stands,
    };
    Ok(Marker { foot, head, stands, ..marker.clone() })
}

fn is_sound(at: &DVec2) -> bool {
    let within = |c: f64| crate::PICTURE_COORDINATE.contains(&c);
    within(at.x) && within(at.y)
}

fn shape(assessment: &Assessment, marker: &Marker) -> Shape {
    match marker.span {
        Span::Upright => Shape::Upright,
        Span::Facing => Shape::Facing,
        Span::Cylinder => Shape::Cylinder,
        Span::Ball => Shape::Ball,
        Span::Along(family) => {
            let mut families = assessment.eye.families.iter();
            let direction = families.find(|f| f.family == family).map(|f| f.direction);
            let direction = direction.and_then(DVec3::try_normalize);
            direction.map_or(Shape::Facing, Shape::Along)
        }
    }
}

/// How much lower than at the one distance the surface lies at the other, where the world curves.
fn fall(scene: &Scene, entry: &Entry, from: f64, to: f64) -> f64 {
    if scene.world.curvature == Curvature::Nowhere || entry.unit != Unit::Metres {
        return 0.0;
    }
    let world = evidence::world(scene.world);
    let height = entry.elevation.unwrap_or(0.0).abs();
    let everywhere = scene.world.curvature == Curvature::Everywhere;
    let drop = |d: f64| if everywhere || world.is_felt(d, height) { world.drop(d) } else { 0.0 };
    drop(to) - drop(from)
}
