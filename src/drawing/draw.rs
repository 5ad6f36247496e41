use crate::crowd::Crowd;
use crate::horizon::{horizon, traced_horizon};
use crate::label::place_labels;
use crate::lines::{line_marks, lines};
use crate::markers::markers;
use crate::overlaps::overlaps;
use crate::palette::{DARK, WHITE};
use crate::pen::Pen;
use crate::stage::Stage;
use crate::vanishing::vanishing_points;
use crate::{Drawing, Emphasis, View};
use glam::DVec2;
use staffage_scene::{Assessment, Frame, Scene};

/// Everything that is drawn over the painting, in picture units and cut to the view. Empty when
/// the view is empty or not finite.
#[must_use]
pub fn draw(scene: &Scene, assessment: &Assessment, view: &View, emphasis: &Emphasis) -> Drawing {
    let mut drawing = Drawing::default();
    let Some(mut pen) = Pen::of_view(view) else { return drawing };
    let stage = Stage::new(scene, assessment, view, emphasis);
    let mut crowd = Crowd::new(view.size());
    let mut labels = Vec::new();

    border(&mut pen, scene.frame);
    drawing.push("frame", None, pen.take());
    horizon(&mut pen, &stage, &mut labels);
    drawing.push("horizon", None, pen.take());
    traced_horizon(&mut pen, &stage);
    drawing.push("traced-horizon", None, pen.take());
    lines(&mut pen, &stage, &mut drawing);
    vanishing_points(&mut pen, &stage, &mut labels);
    drawing.push("vanishing-points", None, pen.take());
    overlaps(&mut pen, &stage, &mut drawing, &mut labels);
    markers(&mut pen, &stage, &mut drawing, &mut labels, &mut crowd);
    line_marks(&mut pen, &stage, &mut drawing, &mut labels);
    place_labels(labels, view, &mut crowd, &mut pen, &mut drawing);
    drawing
}

fn border(pen: &mut Pen, frame: Frame) {
    let c = DVec2::new(0.5, frame.half_height());
    let corners = [-c, DVec2::new(c.x, -c.y), c, DVec2::new(-c.x, c.y)];
    pen.outline(&corners, 3.0, DARK.faded(0.5), None);
    pen.outline(&corners, 1.0, WHITE.faded(0.8), None);
}
