//! From a turned copy back to the painting.

use super::Refusal;
use super::copy::target;
use super::reading::{Watch, read_all, rows, within};
use crate::commands::overlay::{folder_of, same};
use staffage_handover::{
    HandoverError, Painted, Returning, Strokes, WayBack, ending, sha256, write_warped,
};
use staffage_picture::{ByRows, NotCompared, Raster, depth, probe};
use staffage_scene::replace_with;
use std::path::{Path, PathBuf};

/// Shares of the work: reading the copy, reading the painting, comparing, and writing.
const STEPS: [f32; 3] = [0.25, 0.4, 0.6];
/// Where a copy came back with another colour profile and more of it differs, its colours were converted.
const CONVERTED: f64 = 0.5;

/// How a copy is to be brought back.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Wanted<'a> {
    /// How wide, pixels; as much enlarged as the copy was, if nothing is said.
    pub(crate) width: Option<u32>,
    /// The file or folder to write to.
    pub(crate) out: Option<&'a Path>,
    /// Resampled from edge to edge, also where nobody painted.
    pub(crate) whole: bool,
    /// Where the painting is that the copy was made of; where it was, if nothing is said.
    pub(crate) painting: Option<&'a Path>,
}

/// A copy that can be brought back.
#[derive(Clone, Debug)]
pub(crate) struct Return {
    pub(crate) copy: PathBuf,
    pub(crate) painting: Painted,
    pub(crate) way: WayBack,
    pub(crate) target: PathBuf,
    width: Option<u32>,
    whole: bool,
    /// Where its painting was said to be.
    said: Option<PathBuf>,
    returning: Returning,
}

/// What there is to say of what came back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Returned {
    /// Pixels of the copy inside the frame that are transparent.
    pub(crate) holes: u64,
    pub(crate) how: How,
}

/// What of it comes from the copy.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum How {
    /// What was painted on it; the rest is the painting, bit for bit. So many of its pixels, and that as a
    /// share of all.
    Strokes(u64, f64),
    /// All of it.
    Whole(Whole),
}

/// Why all of it comes from the copy.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Whole {
    /// That was asked for.
    Asked,
    /// The copy is not as large as it was, or what comes back is not.
    Enlarged,
    /// The painting is not where it was.
    Gone,
    /// The painting is no longer what the copy was made of.
    Changed,
    /// The copy has linear light and the painting not, or the other way round.
    Light,
    /// The copy's colours were converted to another profile.
    Profile,
}

/// How a copy would come back, and where it would go; nothing is written.
pub(crate) fn way_back(copy: &Path, wanted: Wanted<'_>) -> Result<Return, Refusal> {
    let Wanted { width, out, whole, painting: said } = wanted;
    let refused = |source| Refusal::NoWayBack { copy: copy.to_owned(), source };
    let size = probe(copy).map_err(Refusal::Picture)?.size;
    let returning = Returning::of(copy).map_err(refused)?;
    let way = returning.way(size, width).map_err(refused)?;
    let ending = ending(depth(copy).map_err(Refusal::Picture)?);
    let mut name = copy.file_stem().unwrap_or_default().to_owned();
    name.push(format!(".back.{ending}"));
    let target = target(out, folder_of(copy), Path::new(&name), ending)?;
    let (painting, said) = (returning.painting.clone(), said.map(Path::to_owned));
    Ok(Return { copy: copy.to_owned(), painting, way, target, width, whole, said, returning })
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
        let there = || folder_of(&self.copy).join(&self.painting.file);
        self.said.clone().unwrap_or_else(there)
    }

    /// The painting that the copy was made of and what was painted on the copy, or why it cannot be told.
    fn strokes(
        &self,
        copy: &Raster,
        watch: Watch<'_>,
    ) -> Result<Result<(Raster, Strokes), Whole>, Refusal> {
        let frame = self.way.size;
        let as_it_was = (frame.width, frame.height) == self.painting.size;
        let whole = match self.painting_state()? {
            _ if self.whole => Some(Whole::Asked),
            whole @ Some(_) => whole,
            None => (!as_it_was).then_some(Whole::Enlarged),
        };
        if let Some(whole) = whole {
            return Ok(Err(whole));
        }
        let painting = read_all(&self.painting_path(), &mut within(watch, STEPS[0]..STEPS[1]))?;
        // It may have been saved again while it was read.
        if let Some(whole) = self.painting_state()? {
            return Ok(Err(whole));
        }
        let watch = &mut within(watch, STEPS[1]..STEPS[2]);
        match self.returning.strokes(&painting, copy, watch) {
            Ok(strokes) if painting.profile() != copy.profile() && strokes.share > CONVERTED => {
                Ok(Err(Whole::Profile))
            }
            Ok(strokes) => Ok(Ok((painting, strokes))),
            Err(NotCompared::Light) => Ok(Err(Whole::Light)),
            Err(NotCompared::Stopped) => Err(Refusal::Cancelled),
            Err(_) => Ok(Err(Whole::Enlarged)),
        }
    }

    /// What is wrong with the painting, if anything.
    fn painting_state(&self) -> Result<Option<Whole>, Refusal> {
        let path = self.painting_path();
        match (sha256(&path), &self.said) {
            (Ok(now), _) if now == self.painting.sha256 => Ok(None),
            (Ok(_), Some(_)) if !self.whole => Err(Refusal::NotThePainting(path)),
            (Ok(_), _) => Ok(Some(Whole::Changed)),
            (Err(source), Some(_)) => Err(Refusal::Hash { painting: path, source }),
            (Err(_), None) => Ok(Some(Whole::Gone)),
        }
    }
}

/// Writes the painting with what was painted on the copy, or as the copy has it.
pub(crate) fn bring_back(back: &Return, watch: Watch<'_>) -> Result<Returned, Refusal> {
    let copy = read_all(&back.copy, &mut within(watch, 0.0..STEPS[0]))?;
    // It may have been saved again since it was looked at.
    let refused = |source| Refusal::NoWayBack { copy: back.copy.clone(), source };
    let way = back.returning.way(copy.size(), back.width).map_err(refused)?;
    let holes = way.holes(&copy);
    let found = back.strokes(&copy, watch)?;
    let laid = match &found {
        Ok((painting, strokes)) => {
            let laid = way.laid(painting, &copy, strokes, holes > 0);
            laid.map(|laid| (laid, strokes)).ok_or(Whole::Enlarged)
        }
        Err(whole) => Err(*whole),
    };
    let how = match laid {
        Ok((laid, strokes)) => {
            write(back, &laid, watch)?;
            How::Strokes(strokes.pixels, strokes.share)
        }
        Err(whole) => {
            write(back, &way.painting(&copy, holes > 0), watch)?;
            How::Whole(whole)
        }
    };
    Ok(Returned { holes, how })
}

fn write(back: &Return, picture: &dyn ByRows, watch: Watch<'_>) -> Result<(), Refusal> {
    replace_with(&back.target, |out| -> Result<(), HandoverError> {
        write_warped(picture, out, &mut rows(watch, STEPS[2]..1.0))?;
        Ok(out.flush()?)
    })
    .map_err(|source| Refusal::failed(&back.target, source))
}
