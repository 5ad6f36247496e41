use crate::Drawing;
use glam::DVec2;
use staffage_scene::{Assessment, Scene};

/// The scene from the side, in points: origin at the upper left corner, x right, y down, `size`
/// wide and high.
#[must_use]
pub fn section(scene: &Scene, assessment: &Assessment, size: DVec2) -> Drawing {
    let _ = (scene, assessment, size);
    Drawing::default()
}
