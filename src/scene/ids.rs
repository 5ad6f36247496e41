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
