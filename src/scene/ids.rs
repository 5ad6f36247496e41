use serde::{Deserialize, Serialize};
use std::fmt;

/// Declares the stable identifier of one kind of thing in a scene.
macro_rules! id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        pub struct $name(pub u32);

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.fmt(f)
            }
        }
    };
}

id!(
    /// Names an alternative.
    AlternativeId
);
id!(
    /// Names a block: one set of walls that are square to each other.
    BlockId
);
id!(
    /// Names an incline: a ramp, a stair, a roof slope.
    InclineId
);
id!(
    /// Names a traced line.
    LineId
);
id!(
    /// Names a level.
    LevelId
);
id!(
    /// Names a marker.
    MarkerId
);
id!(
    /// Names an overlap.
    OverlapId
);
id!(
    /// Names a stand-in.
    StandInId
);
id!(
    /// Names a guide that is kept.
    GuideId
);

impl crate::Scene {
    /// An id for a new alternative.
    #[must_use]
    pub fn next_alternative_id(&self) -> AlternativeId {
        AlternativeId(next(self.alternatives.iter().map(|a| a.id.0)))
    }

    /// An id for a new block.
    #[must_use]
    pub fn next_block_id(&self) -> BlockId {
        BlockId(next(self.blocks.iter().map(|b| b.id.0)))
    }

    /// An id for a new incline.
    #[must_use]
    pub fn next_incline_id(&self) -> InclineId {
        InclineId(next(self.inclines.iter().map(|i| i.id.0)))
    }

    /// An id for a new line.
    #[must_use]
    pub fn next_line_id(&self) -> LineId {
        LineId(next(self.lines.iter().map(|l| l.id.0)))
    }

    /// An id for a new level.
    #[must_use]
    pub fn next_level_id(&self) -> LevelId {
        LevelId(next(self.levels.iter().map(|l| l.id.0)))
    }

    /// An id for a new marker, free in every alternative: what has one id in two of them was one thing.
    #[must_use]
    pub fn next_marker_id(&self) -> MarkerId {
        let aside = self.ideas_aside().flat_map(|idea| &idea.markers);
        MarkerId(next(self.markers.iter().chain(aside).map(|m| m.id.0)))
    }

    /// An id for a new overlap.
    #[must_use]
    pub fn next_overlap_id(&self) -> OverlapId {
        OverlapId(next(self.overlaps.iter().map(|o| o.id.0)))
    }

    /// An id for a new guide.
    #[must_use]
    pub fn next_guide_id(&self) -> GuideId {
        GuideId(next(self.guides.iter().map(|g| g.id.0)))
    }

    /// An id for a new stand-in, free in every alternative.
    #[must_use]
    pub fn next_stand_in_id(&self) -> StandInId {
        let aside = self.ideas_aside().flat_map(|idea| &idea.stand_ins);
        StandInId(next(self.stand_ins.iter().chain(aside).map(|s| s.id.0)))
    }
}

/// One more than the largest id; the smallest free one where a file has used up the largest.
fn next(ids: impl Iterator<Item = u32>) -> u32 {
    let taken: Vec<u32> = ids.collect();
    match taken.iter().max() {
        None => 1,
        Some(largest) => largest
            .checked_add(1)
            .unwrap_or_else(|| (1..u32::MAX).find(|id| !taken.contains(id)).unwrap_or_default()),
    }
}
