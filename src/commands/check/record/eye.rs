//! The eye, its families and the traced lines.

use serde::Serialize;
use staffage_scene::{
    BlockId, EyeReading, Family, FamilyReading, InclineId, LineReading, PrincipalPoint, Scene,
    standing_word,
};
use staffage_solver::{Quantity, Source, VanishingRegion};

#[derive(Serialize)]
struct Angle {
    degrees: f64,
    sd: f64,
    source: &'static str,
}

impl From<Quantity> for Angle {
    fn from(angle: Quantity) -> Self {
        Self {
            degrees: angle.value.to_degrees(),
            sd: angle.sd.to_degrees(),
            source: source_word(angle.source),
        }
    }
}

/// A picture position with the standard deviations of its coordinates.
#[derive(Serialize)]
struct PointRecord {
    at: [f64; 2],
    sd: [f64; 2],
    source: &'static str,
}

impl PointRecord {
    fn of(scene: &Scene, point: [Quantity; 2]) -> Self {
        let source = match scene.eye.principal {
            PrincipalPoint::Centre => "centre of the frame",
            PrincipalPoint::At(_) | PrincipalPoint::Free => source_word(point[0].source),
        };
        Self { at: point.map(|c| c.value), sd: point.map(|c| c.sd), source }
    }
}

fn source_word(source: Source) -> &'static str {
    match source {
        Source::Read => "read",
        Source::ByHand => "by hand",
        Source::Assumed => "assumed",
    }
}

#[derive(Serialize)]
pub(super) struct EyeRecord<'a> {
    angle_of_view: Angle,
    pitch: Angle,
    cant: Angle,
    principal_point: PointRecord,
    blocks: Vec<BlockRecord<'a>>,
    inclines: Vec<InclineRecord<'a>>,
}

#[derive(Serialize)]
struct BlockRecord<'a> {
    id: u32,
    name: &'a str,
    heading: Angle,
}

#[derive(Serialize)]
struct InclineRecord<'a> {
    id: u32,
    name: &'a str,
    heading: Angle,
    slope: Angle,
}

impl<'a> EyeRecord<'a> {
    pub(super) fn of(scene: &'a Scene, eye: &EyeReading) -> Self {
        let block = |&(id, heading): &(BlockId, Quantity)| BlockRecord {
            id: id.0,
            name: scene.block(id).map_or("", |b| &b.name),
            heading: heading.into(),
        };
        let incline = |&(id, heading, slope): &(InclineId, Quantity, Quantity)| InclineRecord {
            id: id.0,
            name: scene.incline(id).map_or("", |i| &i.name),
            heading: heading.into(),
            slope: slope.into(),
        };
        Self {
            angle_of_view: eye.angle_of_view.into(),
            pitch: eye.pitch.into(),
            cant: eye.cant.into(),
            principal_point: PointRecord::of(scene, eye.principal),
            blocks: eye.headings.iter().map(block).collect(),
            inclines: eye.inclines.iter().map(incline).collect(),
        }
    }
}

/// A family by its kind and the id of its block or incline.
#[derive(Serialize)]
struct FamilyName {
    kind: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    id: Option<u32>,
}

impl From<Family> for FamilyName {
    fn from(family: Family) -> Self {
        let (kind, id) = match family {
            Family::Upright => ("upright", None),
            Family::RecedingRight(block) => ("receding right", Some(block.0)),
            Family::RecedingLeft(block) => ("receding left", Some(block.0)),
            Family::Incline(incline) => ("incline", Some(incline.0)),
            Family::Run(incline) => ("run", Some(incline.0)),
        };
        Self { kind, id }
    }
}

#[derive(Serialize)]
pub(super) struct FamilyRecord {
    family: FamilyName,
    /// In the world: X right, Y up, -Z ahead.
    direction: [f64; 3],
    /// Homogeneous picture position.
    vanishing_point: [f64; 3],
    /// Where it is with a probability of 95 %.
    region: RegionRecord,
    lines: usize,
    read: bool,
}

impl FamilyRecord {
    pub(super) fn of(family: &FamilyReading) -> Self {
        Self {
            family: family.family.into(),
            direction: family.direction.to_array(),
            vanishing_point: family.vanishing_point.to_array(),
            region: family.region.into(),
            lines: family.lines,
            read: family.read,
        }
    }
}

/// An ellipse in the picture, or the range of directions in which a far vanishing point lies, this way
/// or the opposite; degrees from rightward towards downward.
#[derive(Serialize)]
#[serde(rename_all = "snake_case")]
enum RegionRecord {
    Ellipse { centre: [f64; 2], semi_axes: [f64; 2], degrees: f64 },
    Directions { degrees: f64, half_width: f64 },
}

impl From<VanishingRegion> for RegionRecord {
    fn from(region: VanishingRegion) -> Self {
        match region {
            VanishingRegion::Ellipse { centre, semi_axes, angle } => {
                Self::Ellipse { centre: centre.to_array(), semi_axes, degrees: angle.to_degrees() }
            }
            VanishingRegion::Directions { angle, half_width } => Self::Directions {
                degrees: angle.to_degrees(),
                half_width: half_width.to_degrees(),
            },
        }
    }
}

#[derive(Serialize)]
pub(super) struct LineRecord {
    id: u32,
    family: Option<FamilyName>,
    miss: f64,
    standardized: f64,
    standing: &'static str,
}

impl LineRecord {
    pub(super) fn of(scene: &Scene, line: &LineReading) -> Self {
        Self {
            id: line.id.0,
            family: scene.line(line.id).map(|l| l.family.into()),
            miss: line.miss.to_degrees(),
            standardized: line.standardized,
            standing: standing_word(line.standing),
        }
    }
}
