//! What a mend would change, drawn over the painting before it is made.

use crate::canvas::ink::{self, Placing};
use crate::desk::Desk;
use egui::Painter;
use staffage_drawing::{Drawing, View, preview};
use staffage_scene::{Assessment, Mend, Scene, Units, apply, assess_in};
use std::sync::Arc;

/// A drawing of what a mend would change, and what it was made from.
pub(crate) struct Preview {
    scene: Arc<Scene>,
    mend: Mend,
    /// The scene with the mend made, and what follows from it.
    after: Box<(Scene, Assessment)>,
    view: View,
    drawing: Drawing,
}

impl Preview {
    pub(crate) fn drawing(&self) -> &Drawing {
        &self.drawing
    }

    /// Nothing where the mend cannot be made in this scene.
    fn of(scene: &Arc<Scene>, units: Units, mend: &Mend, view: View) -> Option<Self> {
        let after = apply(scene, &mend.edit).ok()?;
        let assessment = assess_in(&after, units);
        let drawing = preview(scene, &after, &assessment, &mend.moves, &view);
        let after = Box::new((after, assessment));
        Some(Self { scene: Arc::clone(scene), mend: mend.clone(), after, view, drawing })
    }

    fn seen_from(mut self, view: View) -> Self {
        if self.view != view {
            let (after, assessment) = &*self.after;
            self.drawing = preview(&self.scene, after, assessment, &self.mend.moves, &view);
            self.view = view;
        }
        self
    }
}

/// Draws what the mend that is pointed at would change.
pub(crate) fn paint(desk: &mut Desk, painter: &Painter) {
    let (scene, view) = (desk.history.present(), desk.view.visible(desk.canvas));
    let units = desk.units();
    let before = desk.preview.take();
    desk.preview = desk.pointed_at.as_ref().and_then(|mend| {
        let same = |p: &Preview| Arc::ptr_eq(&p.scene, scene) && p.mend == *mend;
        match before.filter(same) {
            Some(preview) => Some(preview.seen_from(view)),
            None => Preview::of(scene, units, mend, view),
        }
    });
    if let Some(preview) = &desk.preview {
        ink::paint(painter, &preview.drawing, Placing::Picture(desk.view, desk.canvas));
    }
}
