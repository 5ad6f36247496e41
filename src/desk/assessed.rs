use crate::side::near_to_far::{self, Row};
use staffage_scene::{
    Assessment, Evidence, Finding, MarkerId, Mend, Placement, Scene, StandIn, Units, Unplaced,
    assess_in, evidence, mends, place_stand_in,
};
use std::cell::{OnceCell, RefCell};
use std::sync::Arc;

/// An assessment that follows a scene and the units: made again only when those are others.
pub(crate) struct Assessed {
    scene: Arc<Scene>,
    assessment: Arc<Assessment>,
    /// Trying mends takes a while.
    mends: Looked<Finding, Vec<Mend>>,
    /// So does dealing a crowd.
    placed: Looked<StandIn, Result<Placement, Unplaced>>,
    /// So does taking a result apart.
    evidence: Looked<MarkerId, Evidence>,
    rows: OnceCell<Arc<Vec<Row>>>,
}

impl Assessed {
    pub(crate) fn of(scene: &Arc<Scene>, units: Units) -> Self {
        let assessment = Arc::new(assess_in(scene, units));
        Self {
            scene: Arc::clone(scene),
            assessment,
            mends: Looked::default(),
            placed: Looked::default(),
            evidence: Looked::default(),
            rows: OnceCell::new(),
        }
    }

    pub(crate) fn follow(&mut self, scene: &Arc<Scene>, units: Units) {
        if !Arc::ptr_eq(&self.scene, scene) || self.assessment.units != units {
            *self = Self::of(scene, units);
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
        self.mends.at(finding, || mends(&self.scene, &self.assessment, finding))
    }

    /// Where a stand-in of this scene stands.
    pub(crate) fn placed(&self, stand_in: &StandIn) -> Arc<Result<Placement, Unplaced>> {
        self.placed.at(stand_in, || place_stand_in(&self.scene, &self.assessment, stand_in))
    }

    /// The rows of the ledger, near to far.
    pub(crate) fn rows(&self) -> Arc<Vec<Row>> {
        let reach = |s: &StandIn| self.placed(s).as_ref().as_ref().ok().map(|p| p.reach().0);
        let made = || Arc::new(near_to_far::rows(&self.scene, &self.assessment, reach));
        Arc::clone(self.rows.get_or_init(made))
    }

    /// What a marker's distance and size rest on.
    pub(crate) fn evidence(&self, marker: MarkerId) -> Arc<Evidence> {
        self.evidence.at(&marker, || evidence(&self.scene, marker))
    }
}

/// What was worked out for each thing that was looked at since the scene changed.
struct Looked<K, V>(RefCell<Vec<(K, Arc<V>)>>);

impl<K, V> Default for Looked<K, V> {
    fn default() -> Self {
        Self(RefCell::new(Vec::new()))
    }
}

impl<K: Clone + PartialEq, V> Looked<K, V> {
    fn at(&self, thing: &K, work_out: impl FnOnce() -> V) -> Arc<V> {
        let mut known = self.0.borrow_mut();
        if let Some((_, value)) = known.iter().find(|(of, _)| of == thing) {
            return Arc::clone(value);
        }
        let value = Arc::new(work_out());
        known.push((thing.clone(), Arc::clone(&value)));
        value
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_thing_is_worked_out_once_however_often_they_are_looked_at_in_turn() {
        let looked = Looked::default();
        let mut times = 0;
        for thing in [1, 2, 1, 2, 1] {
            let double = looked.at(&thing, || {
                times += 1;
                2 * thing
            });
            assert_eq!(*double, 2 * thing);
        }
        assert_eq!(times, 2);
    }
}
