//! The painting on the desk: its tiles on the screen, its tones, and keeping in step with its file.

pub(crate) mod cells;
pub(crate) mod frame_question;
pub(crate) mod in_step;
pub(crate) mod ladder;
pub(crate) mod lost;
pub(crate) mod reframe;
pub(crate) mod textures;
pub(crate) mod tiles;
pub(crate) mod tone_view;
pub(crate) mod toned_tiles;
pub(crate) mod watch;

use crate::painting::tiles::Tiles;
use staffage_scene::{Frame, Scene};

/// What is known of the painting's pixels.
pub(crate) enum Painted {
    /// The frame is blank.
    Blank,
    /// They are being read.
    Loading,
    /// They are there.
    There(Box<Tiles>),
    /// They cannot be shown, for this reason.
    Missing(String),
}

impl Painted {
    /// Whether a view of it is being worked out.
    pub(crate) fn is_busy(&self) -> bool {
        matches!(self, Self::There(tiles) if tiles.is_busy())
    }

    /// Size of the painting if its shape is not the frame's and nobody has said what that means.
    pub(crate) fn misfit(&self, scene: &Scene) -> Option<(u32, u32)> {
        let Self::There(tiles) = self else { return None };
        let size = tiles.size();
        (!scene.frame.has_shape(size)).then_some(size)
    }

    /// Size of the painting if it is of the frame's shape but another width is worked at: it was
    /// enlarged or reduced since.
    pub(crate) fn resized(&self, scene: &Scene) -> Option<(u32, u32)> {
        let Self::There(tiles) = self else { return None };
        let size = tiles.size();
        let other = scene.frame.has_shape(size) && size.0 != scene.frame.working_width;
        other.then_some(size)
    }
}

/// The frame of a picture.
pub(crate) fn frame_of((width, height): (u32, u32)) -> Frame {
    Frame { ratio: f64::from(width) / f64::from(height), working_width: width }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_frame_of_a_picture_has_its_shape() {
        assert!(frame_of((868, 600)).has_shape((868, 600)));
    }
}
