use crate::palette::{DARK, WHITE};
use crate::{Drawing, Emphasis, Ink, View};
use glam::DVec2;
use staffage_scene::{Assessment, Frame, Scene};

/// Everything that is drawn over the painting, in picture units.
#[must_use]
pub fn draw(scene: &Scene, assessment: &Assessment, view: &View, emphasis: &Emphasis) -> Drawing {
    let _ = (assessment, view, emphasis);
    let mut drawing = Drawing::default();
    drawing.push("frame", None, border(scene.frame));
    drawing
}

fn border(frame: Frame) -> Vec<Ink> {
    let c = DVec2::new(0.5, frame.half_height());
    let points = vec![-c, DVec2::new(c.x, -c.y), c, DVec2::new(-c.x, c.y), -c];
    let stroke = |width, colour| Ink::Stroke { points: points.clone(), width, colour, dash: None };
    vec![stroke(2.0, DARK.faded(0.6)), stroke(1.0, WHITE.faded(0.7))]
}
