//! Stand-ins: correct-size ghosts set into the scene to paint over. They measure nothing and are
//! measured by nothing; no finding speaks of them.

use crate::{BlockId, LevelId, StandInId};
use glam::DVec2;
use serde::{Deserialize, Serialize};

/// A ghost of true size, alone or many of a kind.
///
/// It is tied to the picture, so that it survives an enlarged painting and a changed eye: what it
/// covers there follows from the eye and from how high that is over the level.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StandIn {
    /// Its stable id.
    pub id: StandInId,
    /// What the painter calls it.
    pub name: String,
    /// What it is, with its sizes.
    pub shape: Shape,
    /// The level it stands on, or is lifted off.
    pub level: LevelId,
    /// The middle of its footprint on the level, picture units; of a row the first one's, of a crowd
    /// one corner of its patch.
    pub foot: DVec2,
    /// Heading of its depth, clockwise from straight ahead, or from the block it is turned with,
    /// degrees. Its width is square to that; a figure looks that way; a ramp rises that way.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub turn: f64,
    /// The block that it is turned with: its turn counts from where that recedes right.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub along: Option<BlockId>,
    /// How far it is lifted plumb off the level, up positive, metres.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub lift: f64,
    /// How many there are, and how they are spread.
    #[serde(default, skip_serializing_if = "Arranged::is_alone")]
    pub arranged: Arranged,
}

/// What a stand-in is. All sizes are metres.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Shape {
    /// A standing figure, turned to the viewer.
    Figure {
        /// From the soles to the top of the head.
        height: f64,
    },
    /// A flat upright thing: a door, a sign, a sail.
    Panel {
        /// Across.
        width: f64,
        /// From its foot up.
        height: f64,
    },
    /// A box: a container, a house, a hull.
    Box {
        /// Across.
        width: f64,
        /// Along its heading.
        depth: f64,
        /// From its foot up.
        height: f64,
    },
    /// An upright round thing: a tower, a tank, a tree.
    Cylinder {
        /// Across.
        diameter: f64,
        /// From its foot up.
        height: f64,
    },
    /// A ramp or a stair, rising along its heading from nothing to its height.
    Ramp {
        /// Across.
        width: f64,
        /// Along its heading, on the level.
        depth: f64,
        /// How high it rises.
        height: f64,
    },
}

impl Shape {
    /// What it is in a word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Figure { .. } => "figure",
            Self::Panel { .. } => "panel",
            Self::Box { .. } => "box",
            Self::Cylinder { .. } => "cylinder",
            Self::Ramp { .. } => "ramp",
        }
    }

    /// From its foot up, metres.
    #[must_use]
    pub fn height(self) -> f64 {
        match self {
            Self::Figure { height }
            | Self::Panel { height, .. }
            | Self::Box { height, .. }
            | Self::Cylinder { height, .. }
            | Self::Ramp { height, .. } => height,
        }
    }

    /// Its sizes, each with what it is called, metres.
    #[must_use]
    pub fn sizes(self) -> Vec<(&'static str, f64)> {
        match self {
            Self::Figure { height } => vec![("height", height)],
            Self::Panel { width, height } => vec![("width", width), ("height", height)],
            Self::Box { width, depth, height } | Self::Ramp { width, depth, height } => {
                vec![("width", width), ("depth", depth), ("height", height)]
            }
            Self::Cylinder { diameter, height } => {
                vec![("diameter", diameter), ("height", height)]
            }
        }
    }

    /// Its longest size and how that is said of it, metres: a hull is so long in depth, a tower so high.
    #[must_use]
    pub fn longest(self) -> (&'static str, f64) {
        let said = |name| match name {
            "width" => "wide",
            "depth" => "deep",
            "diameter" => "across",
            _ => "high",
        };
        let longest = self.sizes().into_iter().max_by(|(_, a), (_, b)| a.total_cmp(b));
        longest.map_or(("high", self.height()), |(name, metres)| (said(name), metres))
    }

    /// The same with the size of that name, metres; unchanged if it has no such size.
    #[must_use]
    pub fn with(mut self, size: &str, metres: f64) -> Self {
        let its = match &mut self {
            Self::Figure { height } if size == "height" => height,
            Self::Panel { width, height } => match size {
                "width" => width,
                "height" => height,
                _ => return self,
            },
            Self::Box { width, depth, height } | Self::Ramp { width, depth, height } => {
                match size {
                    "width" => width,
                    "depth" => depth,
                    "height" => height,
                    _ => return self,
                }
            }
            Self::Cylinder { diameter, height } => match size {
                "diameter" => diameter,
                "height" => height,
                _ => return self,
            },
            Self::Figure { .. } => return self,
        };
        *its = metres;
        self
    }

    /// Width and depth of its footprint, metres; a figure takes a shoulder's width both ways.
    #[must_use]
    pub fn footprint(self) -> DVec2 {
        match self {
            Self::Figure { height } => DVec2::splat(SHOULDERS * height),
            Self::Panel { width, .. } => DVec2::new(width, 0.0),
            Self::Box { width, depth, .. } | Self::Ramp { width, depth, .. } => {
                DVec2::new(width, depth)
            }
            Self::Cylinder { diameter, .. } => DVec2::splat(diameter),
        }
    }
}

/// Width of a figure across the shoulders over its height: two heads of seven and a half (common
/// practice).
pub const SHOULDERS: f64 = 2.0 / 7.5;

/// How many of a stand-in there are, and how they are spread.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Arranged {
    /// One.
    #[default]
    Alone,
    /// A row, evenly stepped on the level from its foot to this point.
    Row {
        /// The middle of the last one's footprint on the level, picture units.
        to: DVec2,
        /// How many, the first and the last included.
        count: u32,
    },
    /// Spread at random over a patch of the level, no two closer than they are wide. The patch is a
    /// rectangle with its sides along and square to the stand-in's heading.
    Crowd {
        /// The corner of the patch opposite to its foot, picture units.
        to: DVec2,
        /// How many, if they fit.
        count: u32,
        /// The same seed deals the same crowd.
        seed: u64,
    },
}

impl Arranged {
    fn is_alone(&self) -> bool {
        *self == Self::Alone
    }

    /// How many there are to be.
    #[must_use]
    pub fn count(self) -> u32 {
        match self {
            Self::Alone => 1,
            Self::Row { count, .. } | Self::Crowd { count, .. } => count,
        }
    }

    /// The point that a row or a patch reaches to, picture units.
    #[must_use]
    pub fn to(self) -> Option<DVec2> {
        match self {
            Self::Alone => None,
            Self::Row { to, .. } | Self::Crowd { to, .. } => Some(to),
        }
    }

    /// The same reaching to another point.
    #[must_use]
    pub fn reaching(self, to: DVec2) -> Self {
        match self {
            Self::Alone => self,
            Self::Row { count, .. } => Self::Row { to, count },
            Self::Crowd { count, seed, .. } => Self::Crowd { to, count, seed },
        }
    }

    /// The same with another number of them.
    #[must_use]
    pub fn counting(self, count: u32) -> Self {
        match self {
            Self::Alone => self,
            Self::Row { to, .. } => Self::Row { to, count },
            Self::Crowd { to, seed, .. } => Self::Crowd { to, count, seed },
        }
    }
}

impl StandIn {
    /// The same moved in the picture, with what it reaches to.
    #[must_use]
    pub fn moved(&self, by: DVec2) -> Self {
        let arranged = match self.arranged.to() {
            Some(to) => self.arranged.reaching(to + by),
            None => self.arranged,
        };
        Self { foot: self.foot + by, arranged, ..self.clone() }
    }
}

#[allow(clippy::trivially_copy_pass_by_ref, reason = "serde asks for a reference")]
fn is_zero(value: &f64) -> bool {
    *value == 0.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Edit, EditError, Scene, Stands, Subject, apply, parse, write};

    fn hull() -> StandIn {
        StandIn {
            id: StandInId(1),
            name: "hull".into(),
            shape: Shape::Box { width: 12.0, depth: 96.0, height: 9.0 },
            level: LevelId(1),
            foot: DVec2::new(0.1, 0.1),
            turn: 30.0,
            along: Some(BlockId(1)),
            lift: 0.0,
            arranged: Arranged::Alone,
        }
    }

    fn with_hull() -> Scene {
        Scene { stand_ins: vec![hull()], ..Scene::default() }
    }

    fn label(change: impl FnOnce(&mut StandIn)) -> String {
        let mut after = hull();
        change(&mut after);
        Edit::PutStandIn(after).label(&with_hull())
    }

    #[test]
    fn an_edit_of_a_stand_in_is_called_by_what_changed() {
        assert_eq!(Edit::PutStandIn(hull()).label(&Scene::default()), "Set hull in");
        assert_eq!(label(|s| s.foot.x += 0.1), "Move hull");
        assert_eq!(label(|s| s.name = "Wreck".into()), "Rename hull to Wreck");
        assert_eq!(label(|s| s.lift = 3.0), "Lift hull");
        assert_eq!(label(|s| s.turn = 3.0), "Turn hull");
        assert_eq!(label(|s| s.shape = s.shape.with("depth", 80.0)), "Change the size of hull");
        let arranged = Arranged::Row { to: DVec2::X, count: 3 };
        assert_eq!(label(|s| s.arranged = arranged), "Change how many hull there are");
        assert_eq!(Edit::RemoveStandIn(StandInId(1)).label(&with_hull()), "Delete hull");
    }

    #[test]
    fn a_stand_in_is_kept_in_the_file_as_it_was_said() {
        let mut scene = with_hull();
        let crowd = Arranged::Crowd { to: DVec2::new(0.2, 0.15), count: 40, seed: 7 };
        let figure = Shape::Figure { height: 1.7 };
        let (id, along) = (StandInId(2), None);
        scene.stand_ins.push(StandIn {
            id,
            name: "people".into(),
            shape: figure,
            turn: 0.0,
            along,
            arranged: crowd,
            ..hull()
        });
        let text = write(&scene).expect("a sound scene");
        assert_eq!(parse(&text), Ok(scene));
        assert!(!write(&Scene::default()).expect("a sound scene").contains("stand_ins"));
    }

    #[test]
    fn a_stand_in_goes_with_its_level_and_stays_without_its_block() {
        let scene = apply(&with_hull(), &Edit::RemoveBlock(BlockId(1))).expect("an edit");
        assert_eq!(scene.stand_ins[0].along, None);
        let scene = apply(&with_hull(), &Edit::RemoveLevel(LevelId(1))).expect("an edit");
        assert!(scene.stand_ins.is_empty());
        assert!(!scene.has(Subject::StandIn(StandInId(1))));
        let gone = apply(&scene, &Edit::RemoveStandIn(StandInId(1)));
        assert_eq!(gone, Err(EditError::NotThere("stand-in 1".into())));
    }

    #[test]
    fn a_stand_in_that_cannot_be_is_refused_by_its_name() {
        let refused = |change: &dyn Fn(&mut StandIn)| {
            let mut wrong = hull();
            change(&mut wrong);
            apply(&Scene::default(), &Edit::PutStandIn(wrong)).unwrap_err().to_string()
        };
        for bad in [f64::NAN, f64::INFINITY, 0.0, -1.0, 1e300] {
            let words = refused(&|s| s.shape = s.shape.with("depth", bad));
            assert!(words.starts_with("depth of stand-in 1 (“hull”) is "), "{words}");
        }
        assert!(refused(&|s| s.foot.x = f64::NAN).contains("picture coordinate"));
        assert!(refused(&|s| s.turn = f64::NAN).contains("turn"));
        assert!(refused(&|s| s.lift = f64::INFINITY).contains("lift"));
        assert!(refused(&|s| s.level = LevelId(9)).contains("level 9"));
        assert!(refused(&|s| s.along = Some(BlockId(9))).contains("block 9"));
        let none = Arranged::Row { to: DVec2::ZERO, count: 0 };
        assert!(refused(&|s| s.arranged = none).contains("count"));
    }

    #[test]
    fn stand_ins_say_nothing_of_the_scene() {
        let assessed = crate::assess(&with_hull());
        assert_eq!(assessed, crate::assess(&Scene::default()));
        assert!(Stands::Unsaid.level().is_none());
    }
}
