//! `staffage overlay`: the ink of scenes as pictures to lay over the paintings.

mod refusal;
mod target;

pub(crate) use refusal::Refusal;
pub(crate) use target::{Format, Target, folder_of, same, stem_of};

use super::alternative;
use super::complaint::unreadable;
use super::writing::each;
use crate::arguments;
use indicatif::{ProgressBar, ProgressStyle};
use staffage_drawing::GroundGrid;
use staffage_handover::{HandoverError, Overlay, OverlayOptions, Part, Rows};
use staffage_scene::{FileError, ParseError, Scene, assess_in, load, replace_with};
use std::collections::HashSet;
use std::io::{self, IsTerminal};
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::atomic::{AtomicBool, Ordering};

/// An overlay with fewer pixels is there before a bar would be seen.
const WORTH_A_BAR: u64 = 20_000_000;

/// Writes the overlays one after the other, each with all cores.
///
/// # Errors
/// When standard output or standard error cannot be written to.
pub(crate) fn run(asked: &arguments::Overlay) -> io::Result<ExitCode> {
    let mut written = HashSet::new();
    each(&asked.scenes, |path, cancelled| {
        write(path, asked, &mut written, cancelled).map(|said| vec![said])
    })
}

/// Writes the overlay of one scene, and returns what there is to say of it.
fn write(
    path: &Path,
    asked: &arguments::Overlay,
    written: &mut HashSet<PathBuf>,
    cancelled: &AtomicBool,
) -> Result<String, Refusal> {
    let scene = match load(path) {
        Ok(scene) => alternative::showing(path, scene, asked.alternative.as_deref())
            .map_err(Refusal::Unreadable)?,
        Err(FileError::Parse { source: ParseError::SizeBook, .. }) => {
            return Ok(format!("{}  a size book, which has no overlay", path.display()));
        }
        Err(why) => return Err(Refusal::Unreadable(unreadable(path, &why.to_string()))),
    };
    let alternative = scene.alternative_shown().filter(|_| asked.alternative.is_some());
    let target = Target::of(path, alternative, asked)?;
    if written.contains(&target.path) {
        return Err(Refusal::Twice { target: target.path, scene: path.to_owned() });
    }
    target.may_be_replaced(path, &scene, asked.force)?;
    let failed = |source| Refusal::Failed { target: target.path.clone(), source };
    let options = options(&scene, &asked.ink)?;
    let overlay =
        Overlay::new(&scene, &assess_in(&scene, asked.units), &options).map_err(failed)?;
    put_with_bar(&overlay, &target, cancelled).map_err(failed)?;
    let (width, height) = overlay.size();
    let said = format!("{}  {width} × {height} px", target.path.display());
    written.insert(target.path);
    Ok(said)
}

/// How the ink that is asked for is drawn.
pub(crate) fn options(scene: &Scene, asked: &arguments::Ink) -> Result<OverlayOptions, Refusal> {
    let grid = asked.grid.as_deref().map(|name| grid(scene, name)).transpose()?;
    let mut parts = if asked.only.is_empty() { Part::USUAL.to_vec() } else { asked.only.clone() };
    parts.extend(grid.map(|_| Part::Grid));
    Ok(OverlayOptions {
        width: asked.width.unwrap_or(scene.frame.working_width),
        parts,
        words: !asked.no_words,
        weight: asked.weight,
        grid,
    })
}

/// The grid on the level of this name.
fn grid(scene: &Scene, name: &str) -> Result<GroundGrid, Refusal> {
    let level = scene.levels.iter().find(|level| level.name == name);
    let block = scene.blocks.first();
    match (level, block) {
        (Some(level), Some(block)) => Ok(GroundGrid { level: level.id, block: block.id }),
        _ => {
            let levels = scene.levels.iter().map(|level| format!("“{}”", level.name));
            let levels = levels.collect::<Vec<_>>().join(", ");
            Err(Refusal::NoLevel { name: name.to_owned(), levels })
        }
    }
}

fn put_with_bar(
    overlay: &Overlay,
    target: &Target,
    cancelled: &AtomicBool,
) -> Result<(), HandoverError> {
    let bar = progress(overlay.size(), &target.path);
    let written = put(overlay, target, &mut |rows| {
        bar.set_position(rows.done.into());
        match cancelled.load(Ordering::Relaxed) {
            true => ControlFlow::Break(()),
            false => ControlFlow::Continue(()),
        }
    });
    bar.finish_and_clear();
    written
}

/// Writes an overlay to its file, which gets its name when it is whole.
pub(crate) fn put(
    overlay: &Overlay,
    target: &Target,
    watch: &mut dyn FnMut(Rows) -> ControlFlow<()>,
) -> Result<(), HandoverError> {
    replace_with(&target.path, |out| match target.format {
        Format::Svg => Ok(out.write_all(overlay.to_svg().as_bytes())?),
        Format::Png => overlay.write_png(out, watch),
    })
}

/// A bar on a terminal's standard error, for an overlay that takes a while.
fn progress((width, height): (u32, u32), target: &Path) -> ProgressBar {
    let pixels = u64::from(width) * u64::from(height);
    if pixels < WORTH_A_BAR || !io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(height.into()).with_message(target.display().to_string());
    match ProgressStyle::with_template("writing {msg} {wide_bar} {percent} %") {
        Ok(style) => bar.with_style(style),
        Err(_) => bar,
    }
}
