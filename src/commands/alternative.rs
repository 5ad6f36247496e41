//! Which of a scene's alternatives a command speaks of.

use staffage_scene::{Alternative, Scene};
use std::path::Path;

/// The scene with the alternative of this name on show; as it was saved where none is named.
///
/// # Errors
/// When it has none of this name: in words, with those that it has.
pub(super) fn showing(path: &Path, scene: Scene, name: Option<&str>) -> Result<Scene, String> {
    let Some(name) = name else { return Ok(scene) };
    let found = scene.alternative_named(name).map(|alternative| alternative.id);
    found.and_then(|id| scene.showing(id)).ok_or_else(|| {
        let path = path.display();
        let has = match names(&scene).as_slice() {
            [] => "it has no alternatives".to_owned(),
            [only] => format!("it has only “{only}”"),
            [names @ .., last] => format!("it has “{}” and “{last}”", names.join("”, “")),
        };
        format!("“{path}” has no alternative called “{name}”: {has}.")
    })
}

/// Which alternatives of each scene are asked for.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Which<'a> {
    /// That of this name; the one that was on show where none is named.
    pub(crate) name: Option<&'a str>,
    /// Every one, one after the other.
    pub(crate) every: bool,
}

impl Which<'_> {
    /// The scene as it is asked for, at least once.
    ///
    /// # Errors
    /// When it has no alternative of this name, in words.
    pub(super) fn of(self, path: &Path, scene: Scene) -> Result<Vec<Scene>, String> {
        let scene = showing(path, scene, self.name)?;
        Ok(if self.every { each(scene) } else { vec![scene] })
    }

    /// The alternative that a scene of these shows, where one was asked for.
    pub(super) fn asked_for(self, scene: &Scene) -> Option<&Alternative> {
        scene.alternative_shown().filter(|_| self.every || self.name.is_some())
    }
}

/// The scene once for each of its alternatives, in their order; once where there are none.
fn each(scene: Scene) -> Vec<Scene> {
    let shown: Vec<Scene> =
        scene.alternatives.iter().filter_map(|alternative| scene.showing(alternative.id)).collect();
    if shown.is_empty() { vec![scene] } else { shown }
}

/// The names of a scene's alternatives, in their order.
pub(super) fn names(scene: &Scene) -> Vec<&str> {
    scene.alternatives.iter().map(|alternative| alternative.name.as_str()).collect()
}
