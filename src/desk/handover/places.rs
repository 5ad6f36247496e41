//! Where levelled copies and layered files go: beside their scene, or where it was chosen for that scene.

use crate::actions::act::Act;
use crate::choice::Choice;
use crate::desk::Desk;
use crate::field;
use crate::files;
use crate::handover::handing::{HandAct, absolute, plain};
use crate::handover::level_settings::LevelStance;
use crate::handover::overlay_panel;
use egui::Ui;
use serde::{Deserialize, Serialize};
use std::ffi::OsStr;
use std::path::{Path, PathBuf};

/// How many places are remembered.
const PLACES: usize = 100;
const FIELD: f32 = 172.0;

/// A file that goes beside its scene unless another place was chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Placed {
    /// A levelled copy that is turned so; each has a name of its own.
    Copy(LevelStance),
    /// Painting and ink as the layers of one file.
    Layers,
}

impl Placed {
    /// What it is called.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Copy(_) => "copy",
            Self::Layers => "layered file",
        }
    }

    /// What its name can end in.
    #[must_use]
    pub fn endings(self) -> &'static [&'static str] {
        match self {
            Self::Copy(_) => &["png", "exr"],
            Self::Layers => &["ora"],
        }
    }

    /// The name of its field, and that of the button which has its place chosen.
    fn names(self) -> (&'static str, &'static str) {
        match self {
            Self::Copy(_) => ("Copy file", "Choose where the copy goes"),
            Self::Layers => ("Layered file", "Choose where the layered file goes"),
        }
    }

    /// Beside a scene, as the command has it.
    fn beside(self, scene: &Path, painting: Option<&Path>) -> PathBuf {
        let mut name = scene.file_stem().unwrap_or(OsStr::new("scene")).to_owned();
        let light =
            painting.and_then(Path::extension).is_some_and(|e| e.eq_ignore_ascii_case("exr"));
        name.push(match self {
            Self::Copy(LevelStance::Level) => ".level",
            Self::Copy(LevelStance::Plumb) => ".plumb",
            Self::Copy(LevelStance::Aimed) => ".aimed",
            Self::Layers => "",
        });
        name.push(match self {
            Self::Copy(_) if light => ".exr",
            Self::Copy(_) => ".png",
            Self::Layers => ".ora",
        });
        scene.with_file_name(name)
    }
}

/// Where files of scenes were sent, those chosen last first.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct PlacesRemembered(Vec<(PathBuf, Placed, PathBuf)>);

impl PlacesRemembered {
    fn of(&self, scene: &Path, placed: Placed) -> Option<&Path> {
        let found = self.0.iter().find(|(path, what, _)| path == scene && *what == placed);
        found.map(|(_, _, to)| to.as_path())
    }

    fn remember(&mut self, scene: &Path, placed: Placed, to: Option<PathBuf>) {
        self.0.retain(|(path, what, _)| path != scene || *what != placed);
        if let Some(to) = to {
            self.0.insert(0, (scene.to_path_buf(), placed, to));
        }
        self.0.truncate(PLACES);
    }
}

/// What was chosen for the present scene.
pub(crate) fn chosen(desk: &Desk, placed: Placed) -> Option<PathBuf> {
    let scene = plain(files::suggested_path(desk));
    desk.remembered.places.of(&scene, placed).map(Path::to_path_buf)
}

/// Where it goes: what was chosen, else beside the scene, else beside its painting; None if there is no such place.
pub(crate) fn target(desk: &Desk, placed: Placed) -> Option<PathBuf> {
    let scene = files::suggested_path(desk);
    let has_folder = scene.parent().is_some_and(|folder| !folder.as_os_str().is_empty());
    let painting = desk.scene().painting.as_ref().map(|painting| painting.path.as_path());
    let beside = || has_folder.then(|| plain(placed.beside(&scene, painting)));
    chosen(desk, placed).or_else(beside)
}

/// Sends it to this place from now on; nothing sends it beside the scene again.
pub(crate) fn choose(desk: &mut Desk, placed: Placed, to: &Path) {
    let scene = plain(files::suggested_path(desk));
    let to = (!to.as_os_str().is_empty()).then(|| absolute(desk, to));
    desk.remembered.places.remember(&scene, placed, to);
    match placed {
        Placed::Copy(_) => desk.handing.levelling.taken = None,
        Placed::Layers => desk.handing.layers_taken = None,
    }
}

/// What asks where it goes.
pub(crate) fn ask(desk: &Desk, placed: Placed) -> Act {
    let painting = desk.scene().painting.as_ref().map(|painting| painting.path.as_path());
    let suggested = target(desk, placed)
        .unwrap_or_else(|| placed.beside(&files::suggested_path(desk), painting));
    Act::Choose(Choice::Place { placed, suggested })
}

/// The row with its path, to be typed or chosen.
pub(crate) fn row(desk: &Desk, ui: &mut Ui, placed: Placed, acts: &mut Vec<Act>) {
    let (field, choose) = placed.names();
    ui.horizontal(|ui| {
        ui.weak("file");
        let target = target(desk, placed);
        if let Some(text) = path_field(desk, ui, field, target.as_deref()) {
            acts.push(Act::Hand(HandAct::Place(placed, text.trim().into())));
        }
        let name = format!("{choose}; emptied, the field beside it means beside the scene");
        if ui.small_button("…").on_hover_text(name).accessible_name(choose).clicked() {
            acts.push(ask(desk, placed));
        }
    });
}

/// A file's path as it is typed.
pub(crate) fn path_field(
    desk: &Desk,
    ui: &mut Ui,
    name: &'static str,
    path: Option<&Path>,
) -> Option<String> {
    let shown = path.map(|path| overlay_panel::shown(desk, path)).unwrap_or_default();
    field::text(ui, name, name, &shown, FIELD)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_stance_has_its_own_name_beside_the_scene_and_its_own_place() {
        let quay = Path::new("a/quay.v2.ron");
        let beside =
            |placed: Placed, painting: &str| placed.beside(quay, Some(Path::new(painting)));
        let (level, plumb) = (Placed::Copy(LevelStance::Level), Placed::Copy(LevelStance::Plumb));
        assert_eq!(beside(level, "quay.jpg"), Path::new("a/quay.v2.level.png"));
        assert_eq!(beside(plumb, "quay.EXR"), Path::new("a/quay.v2.plumb.exr"));
        assert_eq!(beside(Placed::Layers, "quay.exr"), Path::new("a/quay.v2.ora"));
        let mut remembered = PlacesRemembered::default();
        remembered.remember(quay, level, Some("/scratch/quay.png".into()));
        assert_eq!(remembered.of(quay, level), Some(Path::new("/scratch/quay.png")));
        assert_eq!(remembered.of(quay, plumb), None);
        assert_eq!(remembered.of(Path::new("dam.ron"), level), None);
        remembered.remember(quay, level, None);
        assert_eq!(remembered, PlacesRemembered::default());
    }
}
