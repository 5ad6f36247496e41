use crate::handover::InkPart;
use serde::{Deserialize, Serialize};
use std::ffi::OsStr;
use std::path::{Path, PathBuf};

/// How wide a picture of the ink can be asked for in the window, pixels.
pub(crate) const WIDTHS: std::ops::RangeInclusive<u32> = 16..=30_000;
/// How heavy its ink can be, times the usual weight.
pub(crate) const WEIGHTS: std::ops::RangeInclusive<f64> = 0.1..=10.0;
/// In how many flat tones a painting can be asked for.
pub(crate) const TONES: std::ops::RangeInclusive<u8> = 2..=5;
/// For how many scenes settings are remembered.
const SCENES: usize = 50;

/// How a scene's overlay is written.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct OverlaySettings {
    /// Where it goes; beside the scene, named after it, while nothing was chosen.
    pub to: Option<PathBuf>,
    /// Whether it is written as SVG.
    pub svg: bool,
    /// Its width, pixels; the width that the scene is worked at while nothing was chosen.
    pub width: Option<u32>,
    /// What of the ink it shows.
    pub parts: Vec<InkPart>,
    /// Whether it shows words.
    pub words: bool,
    /// How heavy its ink is, times the usual weight.
    pub weight: f64,
    /// In how many flat tones a layered file has the painting as well; in none if nothing is said.
    pub tones: Option<u8>,
    /// Whether it is written again after each change of the scene.
    pub kept: bool,
}

impl Default for OverlaySettings {
    fn default() -> Self {
        Self {
            to: None,
            svg: false,
            width: None,
            parts: InkPart::USUAL.to_vec(),
            words: true,
            weight: 1.0,
            tones: None,
            kept: false,
        }
    }
}

impl OverlaySettings {
    /// The same look for another scene: neither its file nor that it is kept up to date.
    fn for_another(&self) -> Self {
        Self { to: None, kept: false, ..self.clone() }
    }

    /// Its width where the scene is worked at `working` pixels.
    pub(crate) fn width_at(&self, working: u32) -> u32 {
        self.width.unwrap_or(working).clamp(*WIDTHS.start(), *WIDTHS.end())
    }

    /// The same as PNG or as SVG; a file that was chosen gets that ending.
    #[must_use]
    pub(crate) fn written_as(mut self, svg: bool) -> Self {
        self.svg = svg;
        self.to = self.to.map(|to| to.with_extension(ending(svg)));
        self
    }

    /// The same, written to this file; its ending says as what.
    #[must_use]
    pub(crate) fn written_to(mut self, path: PathBuf) -> Self {
        let ends_with =
            |ending| path.extension().is_some_and(|e: &OsStr| e.eq_ignore_ascii_case(ending));
        if ends_with("svg") || ends_with("png") {
            self.svg = ends_with("svg");
            self.to = Some(path);
        } else {
            let mut name = path.into_os_string();
            name.push(".");
            name.push(ending(self.svg));
            self.to = Some(name.into());
        }
        self
    }

    /// Where it goes beside a scene if nothing was chosen: as the command has it.
    pub(crate) fn beside(&self, scene: &Path) -> PathBuf {
        let mut name = scene.file_stem().unwrap_or(OsStr::new("scene")).to_owned();
        name.push(".overlay.");
        name.push(ending(self.svg));
        scene.with_file_name(name)
    }

    /// The same with every number in its range, as a file by hand may hold others.
    #[must_use]
    pub(crate) fn sane(mut self) -> Self {
        self.width = self.width.filter(|w| WIDTHS.contains(w));
        self.tones = self.tones.filter(|count| TONES.contains(count));
        if !WEIGHTS.contains(&self.weight) {
            self.weight = 1.0;
        }
        self.parts.sort_unstable();
        self.parts.dedup();
        self
    }
}

fn ending(svg: bool) -> &'static str {
    if svg { "svg" } else { "png" }
}

/// The settings of the scenes whose overlays were written, those used last first.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct OverlaysRemembered(Vec<(PathBuf, OverlaySettings)>);

impl OverlaysRemembered {
    /// The settings of a scene; those used last, for a file of its own, if it has none.
    pub(crate) fn of(&self, scene: Option<&Path>) -> OverlaySettings {
        let own = self.0.iter().find(|(path, _)| Some(path.as_path()) == scene);
        let settings = match (own, self.0.first()) {
            (Some((_, own)), _) => own.clone(),
            (None, Some((_, last))) => last.for_another(),
            (None, None) => OverlaySettings::default(),
        };
        settings.sane()
    }

    pub(crate) fn remember(&mut self, scene: &Path, settings: &OverlaySettings) {
        self.0.retain(|(path, _)| path != scene);
        self.0.insert(0, (scene.to_path_buf(), settings.clone()));
        self.0.truncate(SCENES);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_overlay_lies_beside_its_scene_with_the_ending_of_its_format() {
        let settings = OverlaySettings::default();
        assert_eq!(settings.beside(Path::new("a/quay.ron")), Path::new("a/quay.overlay.png"));
        let svg = settings.written_as(true);
        assert_eq!(svg.beside(Path::new("quay.v2.ron")), Path::new("quay.v2.overlay.svg"));
    }

    #[test]
    fn the_ending_that_is_typed_says_what_is_written() {
        let to = |name: &str| OverlaySettings::default().written_to(name.into());
        assert!(to("ink.SVG").svg && !to("ink.png").svg);
        assert_eq!(to("ink").to, Some("ink.png".into()));
        assert_eq!(to("ink.png").written_as(true).to, Some("ink.svg".into()));
        assert_eq!(to("ink.svg").written_to("again.v2".into()).to, Some("again.v2.svg".into()));
    }

    #[test]
    fn a_scene_has_its_settings_back_and_another_only_their_look() {
        let mut remembered = OverlaysRemembered::default();
        let quay = OverlaySettings {
            to: Some("ink.png".into()),
            width: Some(5000),
            kept: true,
            ..OverlaySettings::default()
        };
        remembered.remember(Path::new("quay.ron"), &quay);
        assert_eq!(remembered.of(Some(Path::new("quay.ron"))), quay);
        let other = remembered.of(Some(Path::new("dam.ron")));
        assert_eq!((other.to, other.width, other.kept), (None, Some(5000), false));
    }

    #[test]
    fn numbers_out_of_range_are_not_taken() {
        let wild = OverlaySettings {
            weight: f64::NAN,
            width: Some(0),
            tones: Some(99),
            ..Default::default()
        };
        let sane = wild.sane();
        assert_eq!((sane.weight, sane.width, sane.tones), (1.0, None, None));
        assert_eq!(sane.width_at(100_000), 30_000);
    }
}
