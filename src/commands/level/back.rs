//! From a turned copy back to the painting.

use super::Refusal;
use super::copy::target;
use super::reading::{Watch, read, rest};
use crate::commands::overlay::{folder_of, same};
use staffage_handover::{HandoverError, Painted, Returning, WayBack, ending, sha256, write_warped};
use staffage_picture::{depth, probe};
use staffage_scene::replace_with;
use std::path::{Path, PathBuf};

/// A copy that can be brought back.
#[derive(Clone, Debug)]
pub(crate) struct Return {
    pub(crate) copy: PathBuf,
    pub(crate) painting: Painted,
    pub(crate) way: WayBack,
    pub(crate) target: PathBuf,
    width: Option<u32>,
    returning: Returning,
}

/// What there is to say of what came back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Returned {
    /// Pixels of the copy inside the frame that are transparent.
    pub(crate) holes: u64,
    /// Whether the painting is no longer what the copy was made of.
    pub(crate) painting_changed: bool,
}

/// How a copy would come back, and where it would go; nothing is written.
pub(crate) fn way_back(
    copy: &Path,
    width: Option<u32>,
    out: Option<&Path>,
) -> Result<Return, Refusal> {
    let refused = |source| Refusal::NoWayBack { copy: copy.to_owned(), source };
    let size = probe(copy).map_err(Refusal::Picture)?.size;
    let returning = Returning::of(copy).map_err(refused)?;
    let way = returning.way(size, width).map_err(refused)?;
    let ending = ending(depth(copy).map_err(Refusal::Picture)?);
    let mut name = copy.file_stem().unwrap_or_default().to_owned();
    name.push(format!(".back.{ending}"));
    let target = target(out, folder_of(copy), Path::new(&name), ending)?;
    let painting = returning.painting.clone();
    Ok(Return { copy: copy.to_owned(), painting, way, target, width, returning })
}

impl Return {
    /// Whether nothing is lost when it is written.
    pub(crate) fn may_be_written(&self, force: bool) -> Result<(), Refusal> {
        if same(&self.target, &self.painting_path()) {
            return Err(Refusal::Painting(self.target.clone()));
        }
        if same(&self.target, &self.copy) {
            return Err(Refusal::TheCopy(self.target.clone()));
        }
        if self.target.exists() && !force {
            return Err(Refusal::Taken(self.target.clone()));
        }
        Ok(())
    }

    fn painting_path(&self) -> PathBuf {
        folder_of(&self.copy).join(&self.painting.file)
    }

    /// Whether the painting is there and is no longer what it was.
    fn painting_changed(&self) -> bool {
        sha256(&self.painting_path()).is_ok_and(|now| now != self.painting.sha256)
    }
}

/// Writes the painting as the copy has it.
pub(crate) fn bring_back(back: &Return, watch: Watch<'_>) -> Result<Returned, Refusal> {
    let copy = read(&back.copy, watch)?;
    // It may have been saved again since it was looked at.
    let refused = |source| Refusal::NoWayBack { copy: back.copy.clone(), source };
    let way = back.returning.way(copy.size(), back.width).map_err(refused)?;
    let holes = way.holes(&copy);
    let warp = way.painting(&copy, holes > 0);
    replace_with(&back.target, |out| -> Result<(), HandoverError> {
        write_warped(&warp, out, &mut rest(watch))?;
        Ok(out.flush()?)
    })
    .map_err(|source| Refusal::failed(&back.target, source))?;
    Ok(Returned { holes, painting_changed: back.painting_changed() })
}
