use staffage_scene::{Assessment, Finding, Mend, Scene, assess, mends};
use std::cell::RefCell;
use std::sync::Arc;

/// An assessment that follows a scene: made again only when the scene is another one.
pub(crate) struct Assessed {
    scene: Arc<Scene>,
    assessment: Arc<Assessment>,
    /// Mends of the finding that was last looked at; trying them takes a while.
    mends: RefCell<Option<(Finding, Arc<[Mend]>)>>,
}

impl Assessed {
    pub(crate) fn of(scene: &Arc<Scene>) -> Self {
        let assessment = Arc::new(assess(scene));
        Self { scene: Arc::clone(scene), assessment, mends: RefCell::new(None) }
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

    /// What would mend a finding of this assessment.
    pub(crate) fn mends(&self, finding: &Finding) -> Arc<[Mend]> {
        let mut known = self.mends.borrow_mut();
        if let Some((of, mends)) = known.as_ref()
            && of == finding
        {
            return Arc::clone(mends);
        }
        let found: Arc<[Mend]> = mends(&self.scene, &self.assessment, finding).into();
        *known = Some((finding.clone(), Arc::clone(&found)));
        found
    }
}
