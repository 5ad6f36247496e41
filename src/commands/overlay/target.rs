use super::refusal::Refusal;
use crate::arguments::Overlay;
use staffage_handover::{HandoverError, is_overlay};
use staffage_scene::{Alternative, Scene, painting_path};
use std::ffi::{OsStr, OsString};
use std::fs;
use std::path::{Path, PathBuf};

/// What an overlay is written as.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Format {
    Png,
    Svg,
}

/// The file that an overlay goes to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Target {
    pub(crate) path: PathBuf,
    pub(crate) format: Format,
}

impl Target {
    /// Where the overlay of a scene was asked to go.
    pub(super) fn of(
        scene: &Path,
        alternative: Option<&Alternative>,
        asked: &Overlay,
    ) -> Result<Self, Refusal> {
        match &asked.out {
            None => Ok(Self::in_folder(folder_of(scene), scene, alternative, asked)),
            Some(out) if out.is_dir() => Ok(Self::in_folder(out, scene, alternative, asked)),
            Some(out) if asked.scenes.len() > 1 => Err(Refusal::NotAFolder(out.clone())),
            Some(out) => Self::named(out, asked.svg),
        }
    }

    fn in_folder(
        folder: &Path,
        scene: &Path,
        alternative: Option<&Alternative>,
        asked: &Overlay,
    ) -> Self {
        let mut name = stem_of(scene, alternative);
        let (ending, format) =
            if asked.svg { (".overlay.svg", Format::Svg) } else { (".overlay.png", Format::Png) };
        name.push(ending);
        Self { path: folder.join(name), format }
    }

    /// This file, which says by its ending what it is.
    pub(crate) fn named(path: &Path, svg: bool) -> Result<Self, Refusal> {
        let ends_with = |ending| path.extension().is_some_and(|e| e.eq_ignore_ascii_case(ending));
        let format = match svg {
            _ if ends_with("svg") => Format::Svg,
            true => return Err(Refusal::NotAnSvg(path.to_owned())),
            false if ends_with("png") => Format::Png,
            false => return Err(Refusal::Format(path.to_owned())),
        };
        Ok(Self { path: path.to_owned(), format })
    }

    /// Whether nothing is lost when it is written: nothing is there, or an overlay from before, or
    /// something that may be replaced by force, which the painting never is.
    pub(crate) fn may_be_replaced(
        &self,
        scene_path: &Path,
        scene: &Scene,
        force: bool,
    ) -> Result<(), Refusal> {
        // What is no file is refused when it is written.
        if !self.path.is_file() {
            return Ok(());
        }
        if painting_path(scene_path, scene).is_some_and(|painting| same(&painting, &self.path)) {
            return Err(Refusal::Painting(self.path.clone()));
        }
        let overlay = is_overlay(&self.path).map_err(|why| Refusal::Failed {
            target: self.path.clone(),
            source: HandoverError::Unwritable(why),
        })?;
        if overlay || force { Ok(()) } else { Err(Refusal::Taken(self.path.clone())) }
    }
}

/// What files of a scene, or of one of its alternatives, are called before their ending: `quay`,
/// `quay.crane`.
pub(crate) fn stem_of(scene: &Path, alternative: Option<&Alternative>) -> OsString {
    let is_ron = scene.extension().is_some_and(|e| e.eq_ignore_ascii_case("ron"));
    let stem = if is_ron { scene.file_stem() } else { scene.file_name() };
    let mut stem = stem.unwrap_or(OsStr::new("scene")).to_owned();
    if let Some(alternative) = alternative {
        stem.push(".");
        stem.push(alternative.name_for_a_file());
    }
    stem
}

pub(crate) fn folder_of(file: &Path) -> &Path {
    file.parent().unwrap_or(Path::new(""))
}

/// Whether two paths lead to one file.
pub(crate) fn same(a: &Path, b: &Path) -> bool {
    matches!((fs::canonicalize(a), fs::canonicalize(b)), (Ok(a), Ok(b)) if a == b)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arguments::Ink;
    use staffage_scene::AlternativeId;

    fn asked(out: Option<&Path>, svg: bool) -> Overlay {
        Overlay {
            scenes: vec!["a/quay.ron".into()],
            out: out.map(Path::to_owned),
            ink: Ink { width: None, only: Vec::new(), no_words: false, grid: None, weight: 1.0 },
            svg,
            alternative: None,
            units: staffage_scene::Units::Metric,
            force: false,
        }
    }

    #[test]
    fn the_overlay_of_an_alternative_is_named_after_it_too() {
        let of = |name: &str| {
            let (id, name) = (AlternativeId(1), name.to_owned());
            let shown = Alternative { id, name, aside: None };
            Target::of(Path::new("a/quay.ron"), Some(&shown), &asked(None, false)).unwrap().path
        };
        assert_eq!(of("Crane"), PathBuf::from("a/quay.crane.overlay.png"));
        assert_eq!(of("../low & wide"), PathBuf::from("a/quay.---low---wide.overlay.png"));
    }

    fn target(scene: &str, out: Option<&Path>, svg: bool) -> Result<(PathBuf, Format), String> {
        let target = Target::of(Path::new(scene), None, &asked(out, svg));
        target.map(|t| (t.path, t.format)).map_err(|why| why.to_string())
    }

    #[test]
    fn an_overlay_lies_beside_its_scene_and_is_named_after_it() {
        let png = |scene| target(scene, None, false).unwrap();
        assert_eq!(png("a/quay.ron"), ("a/quay.overlay.png".into(), Format::Png));
        assert_eq!(png("quay.v2"), ("quay.v2.overlay.png".into(), Format::Png));
        assert_eq!(png(".."), ("scene.overlay.png".into(), Format::Png));
        let svg = target("quay.RON", None, true).unwrap();
        assert_eq!(svg, ("quay.overlay.svg".into(), Format::Svg));
    }

    #[test]
    fn the_ending_of_a_named_file_says_what_it_is() {
        let named = |name: &str, svg| target("quay.ron", Some(Path::new(name)), svg);
        assert_eq!(named("ink.SVG", false), Ok(("ink.SVG".into(), Format::Svg)));
        assert_eq!(named("ink.png", false), Ok(("ink.png".into(), Format::Png)));
        assert!(named("ink.png", true).unwrap_err().contains("leave out --svg"));
        assert!(named("ink.jpg", false).unwrap_err().contains(".png or .svg"));
        assert!(named("ink", false).unwrap_err().contains("“ink”"));
    }

    #[test]
    fn a_folder_gets_overlays_named_after_their_scenes() {
        let folder = tempfile::tempdir().unwrap();
        let at = target("a/quay.ron", Some(folder.path()), true).unwrap();
        assert_eq!(at, (folder.path().join("quay.overlay.svg"), Format::Svg));
    }
}
