use crate::handover::level_settings::LevelSettings;
use crate::handover::overlay_settings::OverlaysRemembered;
use crate::handover::places::PlacesRemembered;
use crate::handover::products::ProductsRemembered;
use crate::modes::guide_tools::ShownGuides;
use crate::painting::tone_view::ToneSettings;
use crate::sheets::Sheets;
use crate::side::Parts;
use serde::{Deserialize, Serialize};
use staffage_scene::Units;
use std::path::{Path, PathBuf};

/// How many scenes are remembered.
const RECENT: usize = 10;

/// What the desk remembers from one day to the next; none of it belongs to a scene.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Remembered {
    /// Scenes that were open, last first.
    pub recent: Vec<PathBuf>,
    /// The scene that was open when the window was closed; none for one without a file.
    pub last: Option<PathBuf>,
    /// Dark, light, or as the system has it.
    pub theme: egui::ThemePreference,
    /// Whether anything is drawn over the painting.
    pub ink: bool,
    /// Whether the section or the plan is shown.
    pub section: bool,
    /// Which of them, or both.
    pub sheets: Sheets,
    /// Whether their distances run evenly, rather than logarithmically.
    pub linear: bool,
    /// What lengths are told in.
    pub units: Units,
    /// Whether enlarged pixels are smoothed.
    pub smooth: bool,
    /// Whether ends that are placed catch at plumb, families and other ends.
    pub snap: bool,
    /// Whether a loupe is shown while something is placed.
    pub loupe: bool,
    /// Whether every vanishing point is shown with how far it can be trusted.
    pub spread: bool,
    /// Which guides are shown that belong to no scene.
    pub guides: ShownGuides,
    /// The name of the safe lines that are shown; empty for none.
    pub safe: String,
    /// What the painting is seen as: its values, flat tones, a squint.
    pub tones: ToneSettings,
    /// Which parts of the right wall are open, and how high they are.
    pub parts: Parts,
    /// How large the window's contents are drawn, 1 as designed.
    pub scale: f32,
    /// Whether the first hint was seen.
    pub hint_seen: bool,
    /// Who was last said to decide that a contradiction is kept.
    pub decides: String,
    /// Where the sheets and cameras of scenes went.
    pub products: ProductsRemembered,
    /// The film back that focal lengths are told for: its name among the known ones, or its width in
    /// millimetres; the usual one while none was chosen.
    pub film_back: String,
    /// Where the levelled copies and layered files of scenes go.
    pub places: PlacesRemembered,
    /// How the overlays of scenes are written.
    pub overlays: OverlaysRemembered,
    /// How levelled copies are written.
    pub levelling: LevelSettings,
}

impl Default for Remembered {
    fn default() -> Self {
        Self {
            recent: Vec::new(),
            last: None,
            theme: egui::ThemePreference::Dark,
            ink: true,
            section: true,
            sheets: Sheets::default(),
            linear: false,
            units: Units::default(),
            smooth: false,
            snap: true,
            loupe: true,
            spread: false,
            guides: ShownGuides::default(),
            safe: String::new(),
            tones: ToneSettings::default(),
            parts: Parts::default(),
            scale: 1.0,
            hint_seen: false,
            decides: String::new(),
            products: ProductsRemembered::default(),
            film_back: String::new(),
            places: PlacesRemembered::default(),
            overlays: OverlaysRemembered::default(),
            levelling: LevelSettings::default(),
        }
    }
}

impl Remembered {
    /// Puts a scene at the top of the recent ones.
    pub(crate) fn opened(&mut self, path: &Path) {
        self.recent.retain(|p| p != path);
        self.recent.insert(0, path.to_path_buf());
        self.recent.truncate(RECENT);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scene_opened_again_moves_to_the_top() {
        let mut remembered = Remembered::default();
        for name in ["a.ron", "b.ron", "a.ron"] {
            remembered.opened(Path::new(name));
        }
        assert_eq!(remembered.recent, [PathBuf::from("a.ron"), PathBuf::from("b.ron")]);
    }

    #[test]
    fn only_the_last_ten_are_remembered() {
        let mut remembered = Remembered::default();
        (0..20).for_each(|i| remembered.opened(Path::new(&format!("{i}.ron"))));
        assert_eq!(remembered.recent.len(), RECENT);
        assert_eq!(remembered.recent[0], PathBuf::from("19.ron"));
    }
}
