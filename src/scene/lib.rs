//! What the painter has said (the scene), how it is edited and kept, and what follows from it
//! (the assessment). The only bridge from a scene to the maths of `staffage-solver`.
//!
//! Picture coordinates: origin at the frame's centre, u right, v down, unit = one frame width.
//! World: right-handed, Y up, origin on the ground below the eye, -Z straight ahead.
#![deny(missing_docs)]

mod assess;
mod assessment;
mod ids;
mod length;
mod scene;

pub use assess::assess;
pub use assessment::{
    Assessment, Entry, EyeReading, FamilyReading, Finding, LevelReading, LineReading, Measure,
    Standing, Unit,
};
pub use ids::{BlockId, InclineId, LevelId, LineId, MarkerId, OverlapId};
pub use length::{interval, length, measure, metres};
pub use scene::{
    Block, EyeByHand, Family, Frame, Incline, Intended, Known, Level, Line, Marker, Overlap,
    POINTING, Painting, Scene, Segment, Side, Span, Stands, Statement, Subject,
};
