use crate::{WEIGHT, WIDTH};
use staffage_scene::plain;
use std::io;

/// Why something could not be handed over. Each reads as part of a sentence: what is wrong.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum HandoverError {
    /// The picture would be too narrow or too wide.
    #[error("an overlay can be {} to {} px wide, not {width} px", WIDTH.start(), WIDTH.end())]
    Width {
        /// What was asked for, pixels.
        width: u32,
    },
    /// The lines would be too fine or too heavy.
    #[error("the weight of the ink can be {} to {}, not {weight}", WEIGHT.start(), WEIGHT.end())]
    Weight {
        /// What was asked for, times the usual weight.
        weight: f64,
    },
    /// Nothing ties the scene to metres.
    #[error(
        "nothing in the scene says how large anything is in metres: mark a figure or another thing of \
         known size, or state the eye's height over a level"
    )]
    NoScale,
    /// Whoever waited for it asked to give up.
    #[error("it was cancelled")]
    Cancelled,
    /// It could not be written to its end.
    #[error("{}", plain(.0))]
    Unwritable(
        /// What the system said.
        #[from]
        io::Error,
    ),
}
