//! Guides that are kept: what a painter would construct with ruler and compasses, said by what it is
//! in the scene, so that it follows when the eye is read anew.

use crate::{Family, GuideId, LevelId};
use glam::DVec2;
use serde::{Deserialize, Serialize};
use std::ops::RangeInclusive;

/// Into how many steps something can be divided, or how often a step can be repeated.
pub const STEPS: RangeInclusive<u32> = 1..=500;
/// How often something can be halved.
pub const HALVINGS: RangeInclusive<u32> = 1..=8;

/// Something drawn in true perspective to paint by. It measures nothing and is never contradicted.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Guide {
    /// Its stable id.
    pub id: GuideId,
    /// What the painter calls it.
    pub name: String,
    /// What it is.
    pub shape: GuideShape,
}

/// What a guide is.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum GuideShape {
    /// Equal steps along a family: posts, windows, sleepers.
    Steps(Steps),
    /// A flight of stairs or a ramp that climbs from a level.
    Flight(Flight),
    /// A circle, or a cylinder over it.
    Round(Round),
}

/// Equal steps along a line of a family.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Steps {
    /// The family that the line belongs to.
    pub family: Family,
    /// Where the line begins, picture units.
    pub from: DVec2,
    /// Where the first step or the whole ends, picture units; what counts is the nearest point of the
    /// family's line through `from`.
    pub to: DVec2,
    /// What lies between them.
    pub division: Division,
    /// What stands at each step.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub post: Option<Post>,
}

/// What lies between the two ends of steps.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Division {
    /// One step, which is carried on until there are so many.
    Repeat(u32),
    /// So many equal parts.
    Parts(u32),
    /// It is halved so many times over: two, four, eight parts.
    Halve(u32),
}

/// A post, a sleeper, whatever is repeated at each step.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Post {
    /// The far end of the first one, picture units; what counts is the nearest point of its family's
    /// line through the first step.
    pub top: DVec2,
    /// The family that it runs along.
    pub family: Family,
}

/// A flight of stairs or a ramp.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Flight {
    /// What it climbs from; `None` is as good as a level whose distance from the eye nothing fixes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub level: Option<LevelId>,
    /// The middle of its lowest edge, picture units.
    pub foot: DVec2,
    /// The level family that it climbs along.
    pub along: Family,
    /// Whether it climbs towards the viewer's side instead of away.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub towards: bool,
    /// Its width, metres.
    pub width: f64,
    /// How it climbs.
    pub climb: Climb,
}

/// How a flight climbs.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum Climb {
    /// By steps.
    Stairs {
        /// Height of a step, metres.
        riser: f64,
        /// Depth of a step, metres.
        tread: f64,
        /// How many steps.
        count: u32,
    },
    /// Evenly.
    Ramp {
        /// Its slope, rising positive, degrees.
        slope: f64,
        /// How far it runs in plan, metres.
        run: f64,
    },
}

/// A circle, or a cylinder over it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Round {
    /// How its plane lies.
    pub plane: Plane,
    /// The level that it lies or stands on; only asked where a length is in metres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub level: Option<LevelId>,
    /// Its centre, picture units.
    pub centre: DVec2,
    /// How far it is from its centre to its rim.
    pub radius: Reach,
    /// How far it is carried along the normal of its plane; then it is a cylinder.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub carried: Option<Reach>,
}

/// How the plane of a circle lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Plane {
    /// It is level: a pond, a tower's plan.
    Level,
    /// It is plumb and holds the lines of this level family: an arch, a wheel.
    Upright(Family),
    /// It is square to the line of sight through its centre.
    Facing,
}

/// A length of a guide.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum Reach {
    /// As far as what is seen here, picture units.
    To(DVec2),
    /// So many metres.
    Metres(f64),
}

impl Reach {
    /// The picture point that it reaches to, if it was said so.
    #[must_use]
    pub fn point(self) -> Option<DVec2> {
        match self {
            Self::To(at) => Some(at),
            Self::Metres(_) => None,
        }
    }
}

impl Division {
    /// How many steps or parts there are between the first post and the last.
    #[must_use]
    pub fn parts(self) -> u32 {
        match self {
            Self::Repeat(count) | Self::Parts(count) => count,
            Self::Halve(times) => 1 << times.min(*HALVINGS.end()),
        }
    }

    /// Its own number: how many steps, or how many halvings.
    #[must_use]
    pub fn number(self) -> u32 {
        match self {
            Self::Repeat(count) | Self::Parts(count) | Self::Halve(count) => count,
        }
    }

    /// The numbers that it can have.
    #[must_use]
    pub fn range(self) -> RangeInclusive<u32> {
        match self {
            Self::Repeat(_) | Self::Parts(_) => STEPS,
            Self::Halve(_) => HALVINGS,
        }
    }

    /// The same with another number, as near as it can have it.
    #[must_use]
    pub fn with_number(self, number: u32) -> Self {
        let number = number.clamp(*self.range().start(), *self.range().end());
        match self {
            Self::Repeat(_) => Self::Repeat(number),
            Self::Parts(_) => Self::Parts(number),
            Self::Halve(_) => Self::Halve(number),
        }
    }
}

impl GuideShape {
    /// What such a thing is called.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self {
            Self::Steps(_) => "steps",
            Self::Flight(Flight { climb: Climb::Stairs { .. }, .. }) => "stairs",
            Self::Flight(Flight { climb: Climb::Ramp { .. }, .. }) => "ramp",
            Self::Round(Round { carried: None, .. }) => "circle",
            Self::Round(Round { carried: Some(_), .. }) => "cylinder",
        }
    }

    /// The picture points that place it: its beginning, its end and what stands on it, each where it has
    /// one.
    #[must_use]
    pub fn handles(&self) -> [Option<DVec2>; 3] {
        match self {
            Self::Steps(steps) => [Some(steps.from), Some(steps.to), steps.post.map(|p| p.top)],
            Self::Flight(flight) => [Some(flight.foot), None, None],
            Self::Round(round) => {
                [Some(round.centre), round.radius.point(), round.carried.and_then(Reach::point)]
            }
        }
    }

    /// Changes each of its picture points.
    pub(crate) fn each_point(&mut self, mut change: impl FnMut(&mut DVec2)) {
        match self {
            Self::Steps(steps) => {
                change(&mut steps.from);
                change(&mut steps.to);
                if let Some(post) = &mut steps.post {
                    change(&mut post.top);
                }
            }
            Self::Flight(flight) => change(&mut flight.foot),
            Self::Round(round) => {
                change(&mut round.centre);
                for reach in std::iter::once(&mut round.radius).chain(&mut round.carried) {
                    if let Reach::To(at) = reach {
                        change(at);
                    }
                }
            }
        }
    }

    /// The same with all its picture points moved by so much, picture units.
    #[must_use]
    pub fn moved(mut self, by: DVec2) -> Self {
        self.each_point(|at| *at += by);
        self
    }

    /// The families that it runs along.
    pub(crate) fn families(&self) -> impl Iterator<Item = Family> {
        let [first, second] = match self {
            Self::Steps(steps) => [Some(steps.family), steps.post.map(|post| post.family)],
            Self::Flight(flight) => [Some(flight.along), None],
            Self::Round(Round { plane: Plane::Upright(family), .. }) => [Some(*family), None],
            Self::Round(_) => [None, None],
        };
        first.into_iter().chain(second)
    }

    /// The level that it lies on or climbs from.
    #[must_use]
    pub fn level(&self) -> Option<LevelId> {
        match self {
            Self::Steps(_) => None,
            Self::Flight(flight) => flight.level,
            Self::Round(round) => round.level,
        }
    }

    /// The same on another level, or on none; steps lie on none.
    #[must_use]
    pub fn on_level(mut self, on: Option<LevelId>) -> Self {
        match &mut self {
            Self::Steps(_) => {}
            Self::Flight(flight) => flight.level = on,
            Self::Round(round) => round.level = on,
        }
        self
    }
}

/// Whether the lines of a family are level, whatever the eye.
#[must_use]
pub(crate) fn is_level(family: Family) -> bool {
    matches!(family, Family::RecedingLeft(_) | Family::RecedingRight(_) | Family::Run(_))
}
