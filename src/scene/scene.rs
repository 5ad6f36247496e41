use crate::{
    Alternative, BlockId, Guide, GuideId, InclineId, LevelId, LineId, Marker, MarkerId, OverlapId,
    StandIn, StandInId, World,
};
use glam::DVec2;
use serde::{Deserialize, Serialize};
use std::path::PathBuf;

/// Everything the painter has said about one painting. All picture positions are in picture units:
/// origin at the frame's centre, u right, v down, one unit = one frame width.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Scene {
    /// What the painter calls the picture.
    pub title: String,
    /// The picture file, or none for a blank frame.
    pub painting: Option<Painting>,
    /// The production's size book, if there is one: where its file is, relative to the folder of
    /// the scene file.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub size_book: Option<PathBuf>,
    /// Shape of the frame and the width it is worked at.
    pub frame: Frame,
    /// Pointing precision: standard deviation of one coordinate of a traced point, frame widths.
    pub pointing: f64,
    /// What the painter has set by hand of the eye.
    pub eye: EyeByHand,
    /// The world that the scene is in.
    #[serde(skip_serializing_if = "World::is_earth")]
    pub world: World,
    /// Groups of walls that are square to each other.
    pub blocks: Vec<Block>,
    /// Ramps, stairs and roofs.
    pub inclines: Vec<Incline>,
    /// The horizon where it can be seen in the painting.
    pub horizon: Option<Segment>,
    /// Straight edges traced over the painting.
    pub lines: Vec<Line>,
    /// Horizontal supports.
    pub levels: Vec<Level>,
    /// Measured things.
    pub markers: Vec<Marker>,
    /// What hides part of what.
    pub overlaps: Vec<Overlap>,
    /// What is drawn to paint by.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub guides: Vec<Guide>,
    /// Contradictions kept on purpose.
    pub intended: Vec<Intended>,
    /// Ghosts of true size, to paint over.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub stand_ins: Vec<StandIn>,
    /// Ideas for this place. Markers, overlaps, stand-ins and what is intended of them are those of
    /// the one on show; the others keep theirs aside.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub alternatives: Vec<Alternative>,
}

/// Default pointing precision: 1.5 px in a picture 2,300 px wide (common practice).
pub const POINTING: f64 = 1.5 / 2300.0;

impl Default for Scene {
    /// A blank 2.35:1 frame with one block and the ground.
    fn default() -> Self {
        Self {
            title: String::new(),
            painting: None,
            size_book: None,
            frame: Frame::default(),
            pointing: POINTING,
            eye: EyeByHand::default(),
            world: World::default(),
            blocks: vec![Block { id: BlockId(1), name: "main block".into(), heading: None }],
            inclines: Vec::new(),
            horizon: None,
            lines: Vec::new(),
            levels: vec![Level {
                id: LevelId(1),
                name: "ground".into(),
                side: Side::Below,
                clearance: None,
                above: None,
            }],
            markers: Vec::new(),
            overlaps: Vec::new(),
            guides: Vec::new(),
            intended: Vec::new(),
            stand_ins: Vec::new(),
            alternatives: Vec::new(),
        }
    }
}

/// The painting's file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Painting {
    /// Where it is, relative to the folder of the scene file (absolute only if on another drive).
    pub path: PathBuf,
    /// Its size when it was last seen, pixels: a changed ratio means that it was cropped.
    pub size: (u32, u32),
}

/// Shape of the frame.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Frame {
    /// Width over height.
    pub ratio: f64,
    /// Width the picture is worked at now, pixels.
    pub working_width: u32,
}

impl Default for Frame {
    fn default() -> Self {
        Self { ratio: 2.35, working_width: 2300 }
    }
}

impl Frame {
    /// Half of the frame's height, frame widths: v runs from minus this to plus this.
    #[must_use]
    pub fn half_height(self) -> f64 {
        0.5 / self.ratio
    }

    /// Whether a picture of so many pixels has the frame's shape: its height is right to a pixel and
    /// a thousandth, which allows for frames that were scaled and rounded to whole pixels.
    #[must_use]
    pub fn has_shape(self, (width, height): (u32, u32)) -> bool {
        let height = f64::from(height);
        (f64::from(width) / self.ratio - height).abs() <= 1.0 + 1e-3 * height
    }
}

/// What the painter has set by hand; `None` means "read it from the lines".
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct EyeByHand {
    /// Angle of view across the frame, degrees.
    pub angle_of_view: Option<f64>,
    /// Looking up positive, degrees.
    pub pitch: Option<f64>,
    /// Whether the pitch was said by placing the horizon in the picture: with another lens it is the horizon
    /// that stays, and the pitch follows.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub horizon_placed: bool,
    /// Tilt of the horizon in the picture, right end up positive, degrees.
    pub cant: Option<f64>,
    /// Where the optical axis meets the picture.
    #[serde(skip_serializing_if = "PrincipalPoint::is_centre")]
    pub principal: PrincipalPoint,
    /// Width of the frame that this one was cropped out of, in widths of this one; under 1 where the canvas was
    /// extended, `None` for a whole frame. A lens that is assumed is one of that frame.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub whole_frame: Option<f64>,
}

/// Where the optical axis meets the picture.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub enum PrincipalPoint {
    /// In the middle of the frame: the painting is a whole frame.
    #[default]
    Centre,
    /// Here, picture units: the painting is a known crop of a larger frame.
    At(DVec2),
    /// Wherever the lines say: the painting is a crop of a larger frame, nobody knows which. Takes three
    /// vanishing points.
    Free,
}

impl PrincipalPoint {
    fn is_centre(&self) -> bool {
        *self == Self::Centre
    }
}

/// A traced edge or span, from one picture point to another.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Segment(
    /// One end, picture units.
    pub DVec2,
    /// The other end, picture units.
    pub DVec2,
);

/// Walls that are square to each other.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Block {
    /// Its stable id.
    pub id: BlockId,
    /// What the painter calls it.
    pub name: String,
    /// Heading of its receding-right family, clockwise from straight ahead, degrees, if set by hand.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heading: Option<f64>,
}

/// A ramp, a stair or a roof slope; or the light, whose rays are parallel too.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Incline {
    /// Its stable id.
    pub id: InclineId,
    /// What the painter calls it.
    pub name: String,
    /// Heading of its lines, clockwise from straight ahead, degrees, if set by hand.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heading: Option<f64>,
    /// Slope of its lines, rising along the heading positive, degrees, if set by hand.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slope: Option<f64>,
}

impl Incline {
    /// An incline that is read from its lines.
    #[must_use]
    pub fn new(id: InclineId, name: impl Into<String>) -> Self {
        Self { id, name: name.into(), heading: None, slope: None }
    }
}

/// Lines that are parallel in the scene.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Family {
    /// Plumb lines.
    Upright,
    /// Level lines of a block that run away to the right.
    RecedingRight(BlockId),
    /// Level lines of a block that run away to the left, square to the others.
    RecedingLeft(BlockId),
    /// Lines that rise or fall.
    Incline(InclineId),
    /// Level lines straight below an incline's: the foot of a ramp's wall; on the ground, the
    /// shadows of uprights where the incline is the light.
    Run(InclineId),
}

/// A straight edge traced over the painting.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Line {
    /// Its stable id.
    pub id: LineId,
    /// The family it belongs to.
    pub family: Family,
    /// Where it lies in the picture.
    pub segment: Segment,
}

/// Whether a level is seen from above or from beneath.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Side {
    /// The level lies lower than the eye: ground, water, a deck looked down on.
    Below,
    /// The level lies higher than the eye: a deck seen from beneath.
    Above,
}

/// A horizontal support at one height.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Level {
    /// Its stable id.
    pub id: LevelId,
    /// What the painter calls it.
    pub name: String,
    /// Whether it lies below or above the eye.
    pub side: Side,
    /// Height of the eye over it (or of it over the eye), if stated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clearance: Option<Known>,
    /// Height of it over a lower level, if stated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub above: Option<Above>,
}

/// How far a level lies above another.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Above {
    /// The lower level.
    pub level: LevelId,
    /// How far below it lies.
    pub by: Known,
}

/// A stated length.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Known {
    /// Metres.
    pub metres: f64,
    /// One standard deviation as a fraction of the length: 0.06 is 6 %.
    pub spread: f64,
}

/// One thing hides part of another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Overlap {
    /// Its stable id.
    pub id: OverlapId,
    /// The nearer thing.
    pub front: MarkerId,
    /// The thing that is partly hidden.
    pub behind: MarkerId,
}

/// What a finding is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Subject {
    /// A traced line.
    Line(LineId),
    /// A marker.
    Marker(MarkerId),
    /// A level.
    Level(LevelId),
    /// An overlap.
    Overlap(OverlapId),
    /// A stand-in. No finding is about one.
    StandIn(StandInId),
    /// A guide that is kept.
    Guide(GuideId),
}

/// A contradiction that the painter keeps on purpose.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Intended {
    /// What is kept as it is.
    pub about: Subject,
    /// Why.
    pub reason: String,
    /// Who decided so; empty where nobody said.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub by: String,
}

impl Scene {
    /// The marker with this id.
    #[must_use]
    pub fn marker(&self, id: MarkerId) -> Option<&Marker> {
        with_id(&self.markers, id, |m| m.id)
    }

    /// The level with this id.
    #[must_use]
    pub fn level(&self, id: LevelId) -> Option<&Level> {
        self.levels.iter().find(|l| l.id == id)
    }

    /// The traced line with this id.
    #[must_use]
    pub fn line(&self, id: LineId) -> Option<&Line> {
        with_id(&self.lines, id, |l| l.id)
    }

    /// The block with this id.
    #[must_use]
    pub fn block(&self, id: BlockId) -> Option<&Block> {
        self.blocks.iter().find(|b| b.id == id)
    }

    /// The incline with this id.
    #[must_use]
    pub fn incline(&self, id: InclineId) -> Option<&Incline> {
        self.inclines.iter().find(|i| i.id == id)
    }

    /// The overlap with this id.
    #[must_use]
    pub fn overlap(&self, id: OverlapId) -> Option<&Overlap> {
        self.overlaps.iter().find(|o| o.id == id)
    }

    /// The guide with this id.
    #[must_use]
    pub fn guide(&self, id: GuideId) -> Option<&Guide> {
        self.guides.iter().find(|g| g.id == id)
    }

    /// The stand-in with this id.
    #[must_use]
    pub fn stand_in(&self, id: StandInId) -> Option<&StandIn> {
        with_id(&self.stand_ins, id, |s| s.id)
    }

    /// Whether this is in the scene.
    #[must_use]
    pub fn has(&self, subject: Subject) -> bool {
        match subject {
            Subject::Line(id) => self.line(id).is_some(),
            Subject::Marker(id) => self.marker(id).is_some(),
            Subject::Level(id) => self.level(id).is_some(),
            Subject::Overlap(id) => self.overlap(id).is_some(),
            Subject::StandIn(id) => self.stand_in(id).is_some(),
            Subject::Guide(id) => self.guide(id).is_some(),
        }
    }

    /// The reason why a contradiction about this is kept, if it is.
    #[must_use]
    pub fn intended_reason(&self, about: Subject) -> Option<&str> {
        self.kept_on_purpose(about).map(|kept| kept.reason.as_str())
    }

    /// What was said of a contradiction about this being kept on purpose, if it is.
    #[must_use]
    pub fn kept_on_purpose(&self, about: Subject) -> Option<&Intended> {
        self.intended.iter().find(|kept| kept.about == about)
    }
}

/// The thing with this id. Things lie in the order in which they were made, as their ids are, unless
/// somebody wrote the file by hand: a thousand of them are looked up in every frame.
fn with_id<T, I: Copy + Ord>(things: &[T], id: I, id_of: impl Fn(&T) -> I) -> Option<&T> {
    match things.binary_search_by(|thing| id_of(thing).cmp(&id)) {
        Ok(at) => things.get(at),
        Err(_) => things.iter().find(|thing| id_of(thing) == id),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_thing_is_found_by_its_id_in_whatever_order_they_lie() {
        for order in [[1, 2, 5, 9, 12], [12, 1, 9, 2, 5], [9, 5, 2, 1, 12]] {
            for id in 0..14 {
                let found = with_id(&order, id, |known| *known);
                assert_eq!(found.copied(), order.contains(&id).then_some(id), "{id} in {order:?}");
            }
        }
    }

    #[test]
    fn a_frame_knows_its_shape_at_every_working_width() {
        let frame = Frame { ratio: 2300.0 / 979.0, working_width: 2300 };
        assert!(frame.has_shape((2300, 979)));
        assert!(frame.has_shape((5000, 2128)));
        assert!(frame.has_shape((10_000, 4255)));
        assert!(!frame.has_shape((2300, 990)));
        assert!(!frame.has_shape((9900, 4255)));
    }
}
