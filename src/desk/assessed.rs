use staffage_scene::{Assessment, Scene, assess};
use std::sync::Arc;

/// An assessment that follows a scene: made again only when the scene is another one.
pub(crate) struct Assessed {
    scene: Arc<Scene>,
    assessment: Arc<Assessment>,
}

impl Assessed {
    pub(crate) fn of(scene: &Arc<Scene>) -> Self {
        Self { scene: Arc::clone(scene), assessment: Arc::new(assess(scene)) }
    }

    pub(crate) fn follow(&mut self, scene: &Arc<Scene>) {
        if !Arc::ptr_eq(&self.scene, scene) {
            *self = Self::of(scene);
        }
    }

    pub(crate) fn assessment(&self) -> &Assessment {
        &self.assessment
    }

    /// The same assessment, to be kept while the desk changes.
    pub(crate) fn share(&self) -> Arc<Assessment> {
        Arc::clone(&self.assessment)
    }
}
