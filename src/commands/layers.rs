//! `staffage layers`: painting and ink as the layers of one OpenRaster file.

use super::alternative;
use super::complaint::unreadable;
use super::level::{Refusal, Watch, read, rest, target, with_bar};
use super::overlay::{folder_of, options, same, stem_of};
use super::writing::each;
use crate::arguments;
use staffage_handover::{HandoverError, Layered, OverlayOptions};
use staffage_picture::Raster;
use staffage_scene::{
    Alternative, FileError, ParseError, Scene, Units, assess_in, load, painting_path, replace_with,
};
use std::io;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::atomic::AtomicBool;

/// Writes the layers of a scene.
///
/// # Errors
/// When standard output or standard error cannot be written to.
pub(crate) fn run(asked: &arguments::Layers) -> io::Result<ExitCode> {
    each([asked], |asked, cancelled| by_command(asked, cancelled).map(|said| vec![said]))
}

fn by_command(asked: &arguments::Layers, cancelled: &AtomicBool) -> Result<String, Refusal> {
    let path = &asked.scene;
    let scene = load(path).map_err(|why| match why {
        FileError::Parse { source: ParseError::SizeBook, .. } => {
            Refusal::Unreadable(format!("“{}” is a size book, which has no layers", path.display()))
        }
        why => Refusal::Unreadable(unreadable(path, &why.to_string())),
    })?;
    let scene = alternative::showing(path, scene, asked.alternative.as_deref())
        .map_err(Refusal::Unreadable)?;
    let alternative = scene.alternative_shown().filter(|_| asked.alternative.is_some());
    let options = options(&scene, &asked.ink);
    let options = options.map_err(|why| Refusal::Unreadable(why.to_string()))?;
    let file = LayeredFile::new(path, &scene, alternative, options, asked.out.as_deref())?;
    let file = file.with_tones(asked.tones);
    file.may_be_written(asked.force)?;
    let (width, height) =
        with_bar(&file.target, cancelled, |watch| file.write(&scene, asked.units, watch))?;
    Ok(format!("{}  {width} × {height} px", file.target.display()))
}

/// A file that can be written.
pub(crate) struct LayeredFile {
    pub(crate) target: PathBuf,
    painting: Option<PathBuf>,
    options: OverlayOptions,
    tones: Option<u8>,
}

impl LayeredFile {
    /// Where the layers of a scene would go, or of an alternative that it shows; nothing is written.
    pub(crate) fn new(
        scene_path: &Path,
        scene: &Scene,
        alternative: Option<&Alternative>,
        options: OverlayOptions,
        out: Option<&Path>,
    ) -> Result<Self, Refusal> {
        let mut name = stem_of(scene_path, alternative);
        name.push(".ora");
        let target = target(out, folder_of(scene_path), Path::new(&name), "ora")?;
        Ok(Self { target, painting: painting_path(scene_path, scene), options, tones: None })
    }

    /// With so many flat tones as layers of their own.
    pub(crate) fn with_tones(self, tones: Option<u8>) -> Self {
        Self { tones, ..self }
    }

    /// Whether nothing is lost when it is written: a layered file may have been painted in.
    pub(crate) fn may_be_written(&self, force: bool) -> Result<(), Refusal> {
        if self.painting.as_ref().is_some_and(|painting| same(painting, &self.target)) {
            return Err(Refusal::Painting(self.target.clone()));
        }
        if self.target.exists() && !force {
            return Err(Refusal::Taken(self.target.clone()));
        }
        Ok(())
    }

    /// Writes it with its lengths in these units, and returns its width and height in pixels.
    pub(crate) fn write(
        &self,
        scene: &Scene,
        units: Units,
        watch: Watch<'_>,
    ) -> Result<(u32, u32), Refusal> {
        let failed = |source| Refusal::failed(&self.target, source);
        let layered =
            Layered::new(scene, &assess_in(scene, units), &self.options).map_err(failed)?;
        let layered = layered.with_tones(self.tones);
        let painting = match &self.painting {
            Some(path) => Some(self.read(path, scene, watch)?),
            None => None,
        };
        replace_with(&self.target, |out| -> Result<(), HandoverError> {
            layered.write(painting.as_ref(), out, &mut rest(watch))?;
            Ok(out.flush()?)
        })
        .map_err(failed)?;
        Ok(layered.size())
    }

    fn read(&self, path: &Path, scene: &Scene, watch: Watch<'_>) -> Result<Raster, Refusal> {
        let painting = read(path, watch)?;
        let size = painting.size();
        if !scene.frame.has_shape((size.width, size.height)) {
            return Err(Refusal::NotTheFrame(path.to_owned()));
        }
        Ok(painting.encoded())
    }
}
