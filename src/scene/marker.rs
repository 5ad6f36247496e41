//! Measured things, how they run, what they stand on and what is known of them.

use crate::{Family, InclineId, Known, LevelId, MarkerId};
use glam::DVec2;
use serde::{Deserialize, Serialize};

/// How a marker's span runs in the scene.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Span {
    /// Plumb, from its foot up to its head.
    Upright,
    /// Along a family of lines.
    Along(Family),
    /// Square to the line of sight: both ends equally far from the eye.
    Facing,
    /// Across an upright round thing (a tower, a tank, a trunk), from one outline to the other.
    Cylinder,
    /// Across a ball, from one side of its outline to the opposite one.
    Ball,
}

/// What a marker's foot rests on.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Stands {
    /// Nothing is said.
    Unsaid,
    /// The foot is on this level.
    On(LevelId),
    /// It floats: this picture point on the level is plumb below (or above) its foot, or the middle of
    /// a round thing.
    Over {
        /// The level that the plumb point lies on.
        level: LevelId,
        /// The plumb point, picture units.
        plumb: DVec2,
    },
    /// It floats: its foot, or the middle of a ball, casts its shadow on the level at this picture
    /// point.
    Shadow {
        /// The level that the shadow falls on.
        level: LevelId,
        /// Where the shadow of its foot falls, or the middle of a ball's shadow, picture units.
        tip: DVec2,
        /// The incline whose lines are the rays of the light.
        light: InclineId,
    },
    /// What it stands on is hidden or out of the frame: its head is so high over this level.
    Hidden {
        /// The level it stands on.
        level: LevelId,
        /// Height of its head over the level.
        height: Known,
    },
    /// It is stacked: its foot is as high as the head of this upright marker.
    OnTop(MarkerId),
}

/// A measured thing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Marker {
    /// Its stable id.
    pub id: MarkerId,
    /// What the painter calls it.
    pub name: String,
    /// Where its span starts (a figure's feet), picture units.
    pub foot: DVec2,
    /// Where its span ends (the top of a figure's head), picture units.
    pub head: DVec2,
    /// How the span runs in the scene.
    pub span: Span,
    /// What it rests on.
    pub stands: Stands,
    /// What else is known of it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub statements: Vec<Statement>,
}

/// Something the painter knows about a marker's size or distance.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Statement {
    /// Its size is known.
    KnownSize {
        /// The size.
        size: Known,
        /// What it was picked as from the size shelf, or the painter's own word.
        #[serde(rename = "as")]
        as_: String,
    },
    /// It is as large as that one.
    SameMake {
        /// The other marker.
        of: MarkerId,
        /// One standard deviation of the ratio, as a fraction.
        spread: f64,
    },
    /// It is so many times as large as that one.
    Times {
        /// The other marker.
        of: MarkerId,
        /// This one's size over the other's.
        factor: f64,
        /// One standard deviation of the ratio, as a fraction.
        spread: f64,
    },
    /// It is as far off as that one: attached, or stacked on it.
    SameDistance {
        /// The other marker.
        of: MarkerId,
        /// One standard deviation of the ratio, as a fraction.
        spread: f64,
    },
    /// Its horizontal distance from the eye is stated.
    Distance(Known),
}

impl Stands {
    /// The level that something stands on, floats over or casts its shadow on, if that was said.
    #[must_use]
    pub fn level(self) -> Option<LevelId> {
        match self {
            Self::Unsaid | Self::OnTop(_) => None,
            Self::On(level)
            | Self::Over { level, .. }
            | Self::Shadow { level, .. }
            | Self::Hidden { level, .. } => Some(level),
        }
    }
}

impl Stands {
    /// The picture point that ties a floating thing to its level, if there is one.
    #[must_use]
    pub fn tie(self) -> Option<DVec2> {
        match self {
            Self::Over { plumb, .. } => Some(plumb),
            Self::Shadow { tip, .. } => Some(tip),
            Self::Unsaid | Self::On(_) | Self::Hidden { .. } | Self::OnTop(_) => None,
        }
    }

    /// The same with the tie moved to another picture point.
    #[must_use]
    pub fn tied_at(mut self, at: DVec2) -> Self {
        if let Self::Over { plumb: tie, .. } | Self::Shadow { tip: tie, .. } = &mut self {
            *tie = at;
        }
        self
    }
}

impl Statement {
    /// The marker that this statement compares with, if it does.
    #[must_use]
    pub fn compares_with(&self) -> Option<MarkerId> {
        match *self {
            Self::KnownSize { .. } | Self::Distance(_) => None,
            Self::SameMake { of, .. } | Self::Times { of, .. } | Self::SameDistance { of, .. } => {
                Some(of)
            }
        }
    }
}
