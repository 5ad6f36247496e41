use crate::shadow::Astray;
use crate::{BlockId, Family, InclineId, LevelId, LineId, MarkerId, Scene, Subject, Units};
use glam::{DVec2, DVec3};
use staffage_solver::{Eye, Quantity, VanishingRegion};

/// All that follows from a scene: the eye, the ledger, the findings.
#[derive(Clone, Debug, PartialEq)]
pub struct Assessment {
    /// The eye as read from the lines.
    pub eye: EyeReading,
    /// Each traced line, in the scene's order.
    pub lines: Vec<LineReading>,
    /// Each level, in the scene's order.
    pub levels: Vec<LevelReading>,
    /// Each marker, near to far; those without a distance come last, in the scene's order.
    pub ledger: Vec<Entry>,
    /// What is worth saying, worst first.
    pub findings: Vec<Finding>,
    /// What its sentences tell lengths in; its numbers are metres.
    pub units: Units,
}

impl Assessment {
    /// The ledger's entry for a marker.
    #[must_use]
    pub fn entry(&self, id: MarkerId) -> Option<&Entry> {
        self.ledger.iter().find(|e| e.id == id)
    }

    /// How many findings contradict or are impossible and are not intended.
    #[must_use]
    pub fn contradictions(&self) -> usize {
        self.findings
            .iter()
            .filter(|f| f.standing <= Standing::Contradicts && f.intended.is_none())
            .count()
    }
}

/// The eye, each quantity with how sure it is and where it came from.
#[derive(Clone, Debug, PartialEq)]
pub struct EyeReading {
    /// The camera itself.
    pub eye: Eye,
    /// Angle of view across the frame, radians.
    pub angle_of_view: Quantity,
    /// Pitch, looking up positive, radians.
    pub pitch: Quantity,
    /// Cant, right end of the horizon up positive, radians.
    pub cant: Quantity,
    /// Principal point, u and v, frame widths from the frame's centre.
    pub principal: [Quantity; 2],
    /// Heading of each block's receding-right family, clockwise from straight ahead, radians.
    pub headings: Vec<(BlockId, Quantity)>,
    /// Heading and slope (rising ahead positive) of each incline that has lines, radians.
    pub inclines: Vec<(InclineId, Quantity, Quantity)>,
    /// Each family's scene direction and vanishing point.
    pub families: Vec<FamilyReading>,
}

/// Where a family runs and vanishes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FamilyReading {
    /// Which family.
    pub family: Family,
    /// Unit direction in the world (Y up, -Z ahead).
    pub direction: DVec3,
    /// Vanishing point, homogeneous picture coordinates (u, v, w); w near 0 is infinitely far.
    pub vanishing_point: DVec3,
    /// Where the vanishing point is with a probability of 95 %.
    pub region: VanishingRegion,
    /// How many traced lines it has.
    pub lines: usize,
    /// Whether its direction rests on lines, rather than on assumption.
    pub read: bool,
}

impl FamilyReading {
    /// Whether the painter said anything of its direction, by lines or by hand; a family that rests on
    /// assumption alone has no vanishing point to show.
    #[must_use]
    pub fn is_said(&self, scene: &Scene) -> bool {
        let by_hand = match self.family {
            Family::Upright => scene.eye.pitch.is_some(),
            Family::RecedingRight(block) | Family::RecedingLeft(block) => {
                scene.block(block).is_some_and(|block| block.heading.is_some())
            }
            Family::Incline(incline) => scene
                .incline(incline)
                .is_some_and(|incline| incline.heading.is_some() && incline.slope.is_some()),
            Family::Run(incline) => {
                scene.incline(incline).is_some_and(|incline| incline.heading.is_some())
            }
        };
        self.read || self.lines > 0 || by_hand
    }
}

/// How a traced line agrees with its family.
#[derive(Clone, Debug, PartialEq)]
pub struct LineReading {
    /// Which line.
    pub id: LineId,
    /// Angle between the line and the direction of its vanishing point, radians, clockwise positive.
    pub miss: f64,
    /// Standardized residual.
    pub standardized: f64,
    /// Holds, contradicts (a stray), unchecked or impossible (zero length).
    pub standing: Standing,
    /// Of a stray: lines that may be wrong instead of it, for all that tells them apart.
    pub rivals: Vec<LineId>,
}

/// Height of the eye over a level (or of the level over the eye).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LevelReading {
    /// Which level.
    pub id: LevelId,
    /// Its clearance, if anything fixes it. Where nothing does, things on it are measured in it.
    pub clearance: Option<Measure>,
    /// Unit of the clearance.
    pub unit: Unit,
    /// The visible horizon of a level below the eye, where the world's curve counts for anything in the
    /// scene; `None` where nothing fixes its clearance in metres.
    pub horizon: Option<VisibleHorizon>,
}

/// Where a curved level is last seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VisibleHorizon {
    /// How far off it is along the surface, metres.
    pub distance: f64,
    /// How far below the eye's level it is seen, radians.
    pub dip: f64,
}

/// What a component of the ledger is measured in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// A benchmark ties it down.
    Metres,
    /// No benchmark: in clearances of this level ("eye heights").
    EyeHeights(LevelId),
}

/// A value with its 95 % interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measure {
    /// Best value.
    pub value: f64,
    /// Lower end of the 95 % interval.
    pub low: f64,
    /// Upper end of the 95 % interval; infinite where a foot is so near the horizon that it may be as
    /// far.
    pub high: f64,
}

/// How a thing stands against everything else that was said.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Standing {
    /// It cannot be as drawn: feet on the ground but above the horizon.
    Impossible,
    /// Something else says otherwise, beyond chance and beyond what an eye overlooks.
    Contradicts,
    /// It is at the edge of what chance allows.
    Strained,
    /// Nothing fixes it yet.
    Open,
    /// Nothing else tests it.
    Unchecked,
    /// Everything that tests it agrees.
    Holds,
}

/// One marker's line in the ledger.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// Which marker.
    pub id: MarkerId,
    /// Horizontal distance from the eye to its foot.
    pub distance: Option<Measure>,
    /// Length of its span.
    pub size: Option<Measure>,
    /// Height of its foot over the eye, up positive, in the same unit; where the world curves, reckoned
    /// from the eye's own height over the surface.
    pub elevation: Option<f64>,
    /// How much of whatever stands there the curve of the world hides, metres; `None` where it hides
    /// nothing.
    pub hidden: Option<f64>,
    /// Unit of the above.
    pub unit: Unit,
    /// How it stands.
    pub standing: Standing,
    /// Largest standardized residual among what was said of it.
    pub standardized: f64,
    /// Redundancy of the best-tested thing that was said of it, 0 (unchecked) to 1.
    pub redundancy: f64,
    /// For a contradiction: the size that everything else asks for, metres or eye heights.
    pub expected_size: Option<Measure>,
    /// For an upright: by how much it leans out of plumb in the picture, radians, clockwise positive.
    pub lean: Option<Lean>,
    /// For a thing that is tied to a level by its shadow: how that lies off the way the light runs, if it
    /// can be seen to.
    pub astray: Option<Astray>,
    /// Where its head belongs, picture units: with the expected size for a contradiction, else with
    /// the size as drawn but its span running exactly as stated.
    pub true_head: Option<DVec2>,
    /// The smallest lie about it, as a ratio, that would be noticed: one smaller than x1.3 may pass
    /// unseen. `None` where nothing tests it.
    pub detectable: Option<f64>,
    /// What overlaps say of it where nothing fixes its distance or its size.
    pub bounds: Option<Bounds>,
}

/// What overlaps say of a thing that nothing fixes. Each end gives way by what makes a 95 % interval of
/// the distances it comes from, so that it errs on the safe side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// It lies beyond this.
    pub nearest: Option<f64>,
    /// It lies nearer than this.
    pub farthest: Option<f64>,
    /// It is larger than this.
    pub smallest: Option<f64>,
    /// It is smaller than this.
    pub largest: Option<f64>,
    /// Unit of the above.
    pub unit: Unit,
}

/// An upright out of plumb.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lean {
    /// Angle between the drawn upright and plumb, radians, clockwise positive.
    pub angle: f64,
    /// Its standard deviation, radians.
    pub sd: f64,
    /// How plumb itself leans in the picture at this place, radians, clockwise positive.
    pub plumb: f64,
}

/// Something worth saying about the scene.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// What it is about.
    pub about: Subject,
    /// What else is involved: markers, lines or levels to highlight.
    pub with: Vec<Subject>,
    /// How bad it is.
    pub standing: Standing,
    /// The whole thing in one or two plain sentences.
    pub sentence: String,
    /// Why the painter keeps it, if intended.
    pub intended: Option<String>,
    /// For a contradiction: the statements that lead to another answer, each following from the one
    /// before, and last the one that disagrees with them. Empty where there is no such chain.
    pub because: Vec<Step>,
}

/// One statement of the chain behind a finding.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// What it speaks of, to highlight.
    pub subjects: Vec<Subject>,
    /// The statement and what follows from it, in one plain sentence.
    pub sentence: String,
}
