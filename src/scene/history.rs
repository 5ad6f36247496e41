use crate::{Edit, EditError, Scene, apply};
use std::collections::VecDeque;
use std::sync::Arc;

/// Most steps that can be undone: hours of work, and a few megabytes.
const DEPTH: usize = 1000;

/// A scene with what it was and what it may become again. Steps are whole scenes; they are small.
///
/// A gesture such as a drag is many edits and one step: [`preview`](Self::preview) each state of it,
/// then [`commit`](Self::commit) or [`cancel`](Self::cancel).
#[derive(Clone, Debug)]
pub struct History {
    past: VecDeque<Step>,
    present: Arc<Scene>,
    future: Vec<Step>,
    gesture: Option<Step>,
    saved: Option<Arc<Scene>>,
}

/// A scene on the other side of an edit, and what the edit is called.
#[derive(Clone, Debug)]
struct Step {
    label: String,
    scene: Arc<Scene>,
}

impl History {
    /// Starts from a scene that is as it is on disk, or new and empty.
    #[must_use]
    pub fn new(scene: Scene) -> Self {
        let present = Arc::new(scene);
        let saved = Some(Arc::clone(&present));
        Self { past: VecDeque::new(), present, future: Vec::new(), gesture: None, saved }
    }

    /// Starts from a scene that is nowhere on disk yet, such as one recovered after a crash.
    #[must_use]
    pub fn unsaved(scene: Scene) -> Self {
        Self { saved: None, ..Self::new(scene) }
    }

    /// The scene as it is now, a gesture under way included.
    #[must_use]
    pub fn present(&self) -> &Arc<Scene> {
        &self.present
    }

    /// Makes an edit as one step. A gesture under way is committed first; an edit that changes
    /// nothing is no step.
    ///
    /// # Errors
    /// When the edit is refused; then nothing has changed.
    pub fn apply(&mut self, edit: &Edit) -> Result<(), EditError> {
        self.commit();
        let after = apply(&self.present, edit)?;
        let before = std::mem::replace(&mut self.present, Arc::new(after));
        self.record(Step { label: edit.label(&before), scene: before });
        Ok(())
    }

    /// Shows an edit without recording it. Each preview replaces the one before: the edit is made on
    /// the scene as it was when the gesture began.
    ///
    /// # Errors
    /// When the edit is refused; then the last preview stays.
    pub fn preview(&mut self, edit: &Edit) -> Result<(), EditError> {
        let before = self.gesture.as_ref().map_or(&self.present, |gesture| &gesture.scene);
        let after = apply(before, edit)?;
        let label = edit.label(before);
        let scene = Arc::clone(before);
        self.gesture = Some(Step { label, scene });
        self.present = Arc::new(after);
        Ok(())
    }

    /// Ends a gesture: what was previewed last becomes one step.
    pub fn commit(&mut self) {
        if let Some(gesture) = self.gesture.take() {
            self.record(gesture);
        }
    }

    /// Gives a gesture up: the scene is again as it was when the gesture began.
    pub fn cancel(&mut self) {
        if let Some(gesture) = self.gesture.take() {
            self.present = gesture.scene;
        }
    }

    /// Whether a gesture is under way.
    #[must_use]
    pub fn in_gesture(&self) -> bool {
        self.gesture.is_some()
    }

    /// Undoes the last step, or gives up the gesture under way. Whether there was one.
    pub fn undo(&mut self) -> bool {
        if self.gesture.is_some() {
            self.cancel();
            return true;
        }
        let Some(Step { label, scene }) = self.past.pop_back() else { return false };
        let undone = std::mem::replace(&mut self.present, scene);
        self.future.push(Step { label, scene: undone });
        true
    }

    /// Makes the last undone step again. Whether there was one; never during a gesture.
    pub fn redo(&mut self) -> bool {
        if self.gesture.is_some() {
            return false;
        }
        let Some(Step { label, scene }) = self.future.pop() else { return false };
        let before = std::mem::replace(&mut self.present, scene);
        self.past.push_back(Step { label, scene: before });
        true
    }

    /// What undo would undo: "Move Foreman".
    #[must_use]
    pub fn undo_label(&self) -> Option<&str> {
        self.gesture.as_ref().or(self.past.back()).map(|step| step.label.as_str())
    }

    /// What redo would make again.
    #[must_use]
    pub fn redo_label(&self) -> Option<&str> {
        if self.gesture.is_some() {
            return None;
        }
        self.future.last().map(|step| step.label.as_str())
    }

    /// Whether the scene differs from the one last saved; undoing back to it counts as unchanged.
    #[must_use]
    pub fn is_changed_since_save(&self) -> bool {
        match &self.saved {
            Some(saved) => !Arc::ptr_eq(saved, &self.present) && **saved != *self.present,
            None => true,
        }
    }

    /// Says that the scene as it is now has been saved.
    pub fn mark_saved(&mut self) {
        self.saved = Some(Arc::clone(&self.present));
    }

    fn record(&mut self, step: Step) {
        if *step.scene == *self.present {
            return;
        }
        tracing::debug!(label = step.label, markers = self.present.markers.len(), "step");
        self.future.clear();
        self.past.push_back(step);
        if self.past.len() > DEPTH {
            self.past.pop_front();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn titled(title: &str) -> Edit {
        Edit::SetTitle(title.into())
    }

    fn widened(width: u32) -> Edit {
        Edit::SetFrame(crate::Frame { ratio: 2.35, working_width: width })
    }

    #[test]
    fn undo_and_redo_walk_the_same_steps() {
        let mut history = History::new(Scene::default());
        history.apply(&titled("Quay")).unwrap();
        history.apply(&widened(5000)).unwrap();
        assert_eq!(history.undo_label(), Some("Set the working width"));
        assert!(history.undo());
        assert_eq!(history.present().frame.working_width, 2300);
        assert_eq!(history.redo_label(), Some("Set the working width"));
        assert!(history.undo());
        assert_eq!(**history.present(), Scene::default());
        assert!(!history.undo());
        assert!(history.redo() && history.redo());
        assert!(!history.redo());
        assert_eq!(history.present().title, "Quay");
        assert_eq!(history.present().frame.working_width, 5000);
    }

    #[test]
    fn a_new_edit_forgets_what_was_undone() {
        let mut history = History::new(Scene::default());
        history.apply(&titled("Quay")).unwrap();
        history.undo();
        history.apply(&titled("Dam")).unwrap();
        assert_eq!(history.redo_label(), None);
    }

    #[test]
    fn a_gesture_is_one_step() {
        let mut history = History::new(Scene::default());
        for width in [2400, 2500, 2600] {
            history.preview(&widened(width)).unwrap();
            assert_eq!(history.present().frame.working_width, width);
        }
        history.commit();
        assert!(history.undo());
        assert_eq!(history.present().frame.working_width, 2300);
        assert!(!history.undo());
    }

    #[test]
    fn a_cancelled_gesture_and_undo_during_a_gesture_leave_no_step() {
        let mut history = History::new(Scene::default());
        history.preview(&widened(2400)).unwrap();
        history.cancel();
        history.preview(&widened(2500)).unwrap();
        assert!(history.undo());
        assert_eq!(**history.present(), Scene::default());
        assert_eq!((history.undo_label(), history.redo_label()), (None, None));
    }

    #[test]
    fn a_gesture_that_comes_back_to_where_it_began_is_no_step() {
        let mut history = History::new(Scene::default());
        history.apply(&titled("Quay")).unwrap();
        history.undo();
        history.preview(&widened(2400)).unwrap();
        history.preview(&widened(2300)).unwrap();
        history.commit();
        assert_eq!(history.undo_label(), None);
        assert_eq!(history.redo_label(), Some("Name the picture"));
    }

    #[test]
    fn a_refused_edit_changes_nothing_and_a_refused_preview_keeps_the_last() {
        let mut history = History::new(Scene::default());
        assert!(history.apply(&widened(1)).is_err());
        assert!(!history.undo());
        history.preview(&widened(2400)).unwrap();
        assert!(history.preview(&widened(1)).is_err());
        assert_eq!(history.present().frame.working_width, 2400);
    }

    #[test]
    fn it_knows_whether_it_is_as_saved() {
        let mut history = History::new(Scene::default());
        assert!(!history.is_changed_since_save());
        history.apply(&titled("Quay")).unwrap();
        assert!(history.is_changed_since_save());
        history.mark_saved();
        history.apply(&titled("Dam")).unwrap();
        history.undo();
        assert!(!history.is_changed_since_save());
        history.undo();
        assert!(history.is_changed_since_save());
        assert!(History::unsaved(Scene::default()).is_changed_since_save());
    }

    #[test]
    fn the_oldest_steps_are_forgotten_first() {
        let mut history = History::new(Scene::default());
        for n in 0..DEPTH + 5 {
            history.apply(&titled(&format!("draft {n}"))).unwrap();
        }
        let mut steps = 0;
        while history.undo() {
            steps += 1;
        }
        assert_eq!(steps, DEPTH);
        assert_eq!(history.present().title, "draft 4");
    }
}
