//! What the next guide will be, and which guides are only shown.

use crate::desk::Desk;
use crate::thing::Thing;
use serde::{Deserialize, Serialize};
use staffage_drawing::{Aids, GroundGrid};
use staffage_scene::{
    BlockId, Climb, Division, Edit, Family, Flight, Guide, GuideShape, LevelId, Plane, STEPS,
    Steps, Subject,
};

/// What kind of guide is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum GuideKind {
    /// A step that is carried on.
    Repeat,
    /// Equal parts.
    Parts,
    /// Repeated halving.
    Halve,
    /// A flight of stairs.
    Stairs,
    /// A ramp.
    Ramp,
    /// A circle.
    Circle,
    /// A cylinder.
    Cylinder,
}

impl GuideKind {
    pub(crate) const ALL: [Self; 7] = [
        Self::Repeat,
        Self::Parts,
        Self::Halve,
        Self::Stairs,
        Self::Ramp,
        Self::Circle,
        Self::Cylinder,
    ];

    /// Its word and what it is for.
    pub(crate) fn words(self) -> (&'static str, &'static str) {
        match self {
            Self::Repeat => (
                "steps",
                "drag over one step; it is carried on in true perspective: posts, windows, sleepers",
            ),
            Self::Parts => ("parts", "drag over the whole; it is divided into equal parts"),
            Self::Halve => ("halves", "drag over the whole; it is halved again and again"),
            Self::Stairs => ("stairs", "drag from the foot of a flight the way it climbs"),
            Self::Ramp => ("ramp", "drag from the foot of a ramp the way it climbs"),
            Self::Circle => ("circle", "drag from the centre of a circle to its rim"),
            Self::Cylinder => ("cylinder", "drag from the centre of a cylinder’s end to its rim"),
        }
    }

    /// Whether it consists of steps along a family.
    pub(crate) fn is_stepped(self) -> bool {
        matches!(self, Self::Repeat | Self::Parts | Self::Halve)
    }

    /// Whether it climbs.
    pub(crate) fn is_flight(self) -> bool {
        matches!(self, Self::Stairs | Self::Ramp)
    }
}

/// What the next guide will be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct GuideTools {
    pub(crate) kind: GuideKind,
    /// The family that steps or flights run along.
    pub(crate) along: Family,
    /// How the plane of a circle lies.
    pub(crate) plane: Plane,
    /// How many steps or parts.
    pub(crate) number: u32,
    /// How many halvings.
    pub(crate) halvings: u32,
    /// How many steps a flight has that is placed by a click.
    pub(crate) flight: u32,
    /// Whether something stands at each step.
    pub(crate) posts: bool,
    /// Where the grid lies.
    pub(crate) grid: Option<LevelId>,
}

impl GuideTools {
    pub(crate) fn of(block: BlockId, level: Option<LevelId>) -> Self {
        Self {
            kind: GuideKind::Repeat,
            along: Family::RecedingRight(block),
            plane: Plane::Level,
            number: 8,
            halvings: 3,
            flight: 12,
            posts: true,
            grid: level,
        }
    }

    /// The level family that a flight climbs along.
    pub(crate) fn level_family(&self, block: BlockId) -> Family {
        match self.along {
            Family::RecedingLeft(_) | Family::RecedingRight(_) | Family::Run(_) => self.along,
            Family::Incline(id) => Family::Run(id),
            Family::Upright => Family::RecedingRight(block),
        }
    }

    /// How steps are divided.
    pub(crate) fn division(&self) -> Division {
        match self.kind {
            GuideKind::Parts => Division::Parts(self.number),
            GuideKind::Halve => Division::Halve(self.halvings),
            _ => Division::Repeat(self.number),
        }
    }

    /// What runs along a block runs along this one.
    pub(crate) fn turn(&mut self, block: BlockId) {
        let turned = |family| match family {
            Family::RecedingLeft(_) => Family::RecedingLeft(block),
            Family::RecedingRight(_) => Family::RecedingRight(block),
            Family::Upright | Family::Incline(_) | Family::Run(_) => family,
        };
        self.along = turned(self.along);
        if let Plane::Upright(family) = self.plane {
            self.plane = Plane::Upright(turned(family));
        }
    }

    fn count(&mut self, by: i64) {
        let number = match self.kind {
            GuideKind::Halve => &mut self.halvings,
            GuideKind::Stairs => &mut self.flight,
            _ => &mut self.number,
        };
        *number = shifted(*number, by).clamp(*STEPS.start(), *STEPS.end());
        self.halvings = Division::Halve(1).with_number(self.halvings).number();
    }
}

/// The guides that are only shown, from one day to the next.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct ShownGuides {
    /// Whether a level has a grid.
    pub grid: bool,
    /// Whether every vanishing point has a fan of rays.
    pub fans: bool,
    /// Whether lines run through the pointer: along each family, plumb, level.
    pub rays: bool,
    /// Whether the measuring points are shown.
    pub measuring_points: bool,
}

/// Something about guides that the painter wants.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum GuideAct {
    /// Draw guides of this kind.
    Kind(GuideKind),
    /// Along this family.
    Along(Family),
    /// In such a plane.
    Plane(Plane),
    /// With or without posts.
    Posts,
    /// So many steps more or fewer.
    Count(i64),
    /// The grid on the next level; after the last one, none.
    NextGrid,
    /// The grid on this level, or none.
    GridOn(Option<LevelId>),
    /// Show or hide the fans.
    Fans,
    /// Show or hide the lines through the pointer.
    Rays,
    /// Show or hide the measuring points.
    MeasuringPoints,
}

impl Desk {
    pub(crate) fn guide_act(&mut self, act: GuideAct) {
        let (tools, shown) = (&mut self.tools.guide, &mut self.remembered.guides);
        match act {
            GuideAct::Kind(kind) => tools.kind = kind,
            GuideAct::Along(family) => {
                tools.along = family;
                if let Family::RecedingLeft(block) | Family::RecedingRight(block) = family {
                    self.tools.block = block;
                }
            }
            GuideAct::Plane(plane) => tools.plane = plane,
            GuideAct::Posts => tools.posts ^= true,
            GuideAct::Count(by) => self.count(by),
            GuideAct::NextGrid => self.next_grid(),
            GuideAct::GridOn(level) => {
                shown.grid = level.is_some();
                tools.grid = level.or(tools.grid);
            }
            GuideAct::Fans => shown.fans ^= true,
            GuideAct::Rays => shown.rays ^= true,
            GuideAct::MeasuringPoints => shown.measuring_points ^= true,
        }
    }

    /// The selected guide has so many steps more, else the next one.
    fn count(&mut self, by: i64) {
        let selected = match self.selection.single() {
            Some(Thing::Of(Subject::Guide(id))) if !self.history.in_gesture() => {
                self.scene().guide(id).cloned()
            }
            _ => None,
        };
        let Some(guide) = selected else { return self.tools.guide.count(by) };
        if let Some(shape) = counted(guide.shape, by) {
            self.edit(&Edit::PutGuide(Guide { shape, ..guide }));
        }
    }

    fn next_grid(&mut self) {
        let scene = std::sync::Arc::clone(self.history.present());
        let at = scene.levels.iter().position(|level| Some(level.id) == self.tools.guide.grid);
        let next = match (self.remembered.guides.grid, at) {
            (false, Some(at)) => scene.levels.get(at),
            (false, None) => scene.levels.first(),
            (true, at) => at.and_then(|at| scene.levels.get(at + 1)),
        };
        self.remembered.guides.grid = next.is_some();
        // Round again from the first one.
        self.tools.guide.grid = next.or(scene.levels.first()).map(|level| level.id);
    }

    /// Where the grid lies when it is shown.
    pub(crate) fn grid(&self) -> Option<GroundGrid> {
        self.tools.guide.grid.map(|level| GroundGrid { level, block: self.tools.block })
    }

    /// The guides that are only shown, as the drawing has them.
    pub(crate) fn aids(&self) -> Aids {
        let shown = self.remembered.guides;
        Aids {
            grid: self.grid().filter(|_| shown.grid),
            fans: shown.fans,
            measuring_points: shown.measuring_points,
        }
    }
}

/// The same shape with so many steps more or fewer; `None` where nothing is counted.
pub(crate) fn counted(shape: GuideShape, by: i64) -> Option<GuideShape> {
    match shape {
        GuideShape::Steps(steps) => {
            let number = shifted(steps.division.number(), by);
            let division = steps.division.with_number(number);
            Some(GuideShape::Steps(Steps { division, ..steps }))
        }
        GuideShape::Flight(flight) => match flight.climb {
            Climb::Stairs { riser, tread, count } => {
                let count = shifted(count, by).clamp(*STEPS.start(), *STEPS.end());
                let climb = Climb::Stairs { riser, tread, count };
                Some(GuideShape::Flight(Flight { climb, ..flight }))
            }
            Climb::Ramp { .. } => None,
        },
        GuideShape::Round(_) => None,
    }
}

fn shifted(number: u32, by: i64) -> u32 {
    (i64::from(number) + by).clamp(1, i64::from(u32::MAX)) as u32
}
