use staffage_scene::{
    Assessment, Evidence, Finding, MarkerId, Mend, Scene, assess, evidence, mends,
};
use std::cell::RefCell;
use std::sync::Arc;

/// An assessment that follows a scene: made again only when the scene is another one.
pub(crate) struct Assessed {
    scene: Arc<Scene>,
    assessment: Arc<Assessment>,
    /// Trying mends takes a while.
    mends: Last<Finding, Vec<Mend>>,
    /// So does taking a result apart.
    evidence: Last<MarkerId, Evidence>,
}

impl Assessed {
    pub(crate) fn of(scene: &Arc<Scene>) -> Self {
        let assessment = Arc::new(assess(scene));
        Self {
            scene: Arc::clone(scene),
            assessment,
            mends: Last::default(),
            evidence: Last::default(),
        }
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
    pub(crate) fn mends(&self, finding: &Finding) -> Arc<Vec<Mend>> {
        self.mends.of(finding, || mends(&self.scene, &self.assessment, finding))
    }

    /// What a marker's distance and size rest on.
    pub(crate) fn evidence(&self, marker: MarkerId) -> Arc<Evidence> {
        self.evidence.of(&marker, || evidence(&self.scene, marker))
    }
}

/// What was worked out for the thing that was looked at last.
struct Last<K, V>(RefCell<Option<(K, Arc<V>)>>);

impl<K, V> Default for Last<K, V> {
    fn default() -> Self {
        Self(RefCell::new(None))
    }
}

impl<K: Clone + PartialEq, V> Last<K, V> {
    fn of(&self, thing: &K, work_out: impl FnOnce() -> V) -> Arc<V> {
        let mut known = self.0.borrow_mut();
        if let Some((of, value)) = known.as_ref()
            && of == thing
        {
            return Arc::clone(value);
        }
        let value = Arc::new(work_out());
        *known = Some((thing.clone(), Arc::clone(&value)));
        value
    }
}
