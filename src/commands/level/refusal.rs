use staffage_handover::{HandoverError, LevelError, ReturnError};
use staffage_picture::PictureError;
use staffage_scene::plain;
use std::io;
use std::path::{Path, PathBuf};

/// Why nothing was turned. Each reads as a sentence or two: what, where, what to do.
#[derive(Debug, thiserror::Error)]
pub(crate) enum Refusal {
    /// The scene cannot be read.
    #[error("{0}")]
    Unreadable(String),
    /// There is no painting.
    #[error("this scene has a blank frame, so there is no painting to turn: set one first")]
    Blank,
    /// The painting or the copy cannot be read.
    #[error("{0}")]
    Picture(PictureError),
    /// The painting's file cannot be read.
    #[error("“{}” could not be read: {}", .painting.display(), plain(.source))]
    Hash { painting: PathBuf, source: io::Error },
    /// The painting is not of the frame's shape.
    #[error(
        "“{}” is no longer of the frame's shape, so nobody can say how the eye sees it: open the scene in \
         the window, which asks what happened to it", .0.display()
    )]
    NotTheFrame(PathBuf),
    /// It cannot be turned so.
    #[error("“{}” was not turned: {source}{todo}", .painting.display(), todo = turn_todo(.source))]
    Turn { painting: PathBuf, source: LevelError },
    /// The painting was saved again meanwhile.
    #[error("“{}” was saved again while it was being read: try once more", .0.display())]
    Changed(PathBuf),
    /// The copy cannot be brought back.
    #[error("“{}” cannot be brought back: {source}{todo}", .copy.display(), todo = back_todo(.source))]
    NoWayBack { copy: PathBuf, source: ReturnError },
    /// What was said to be the painting is another picture.
    #[error(
        "“{}” is not the painting that the copy was made of, or was changed since, so that nobody can tell from it          what was painted on the copy: name the painting as it was, or bring all of the copy back with --whole",
        .0.display()
    )]
    NotThePainting(PathBuf),
    /// The name has another ending.
    #[error(
        "“{}” cannot be written: to keep the depth of this picture it becomes a {}, so end its name \
         with .{ending}", .path.display(), .ending.to_uppercase()
    )]
    Ending { path: PathBuf, ending: &'static str },
    /// Something is there.
    #[error(
        "“{}” is there already and may hold work of yours, so it was left alone: give another name with \
         --out, or --force to replace it", .0.display()
    )]
    Taken(PathBuf),
    /// What is there is the painting itself.
    #[error(
        "“{}” is the painting itself, which is never replaced: give another name with --out",
        .0.display()
    )]
    Painting(PathBuf),
    /// What is there is the copy itself.
    #[error(
        "“{}” is the copy itself, which is never replaced: give another name with --out",
        .0.display()
    )]
    TheCopy(PathBuf),
    /// Whoever waited asked to give up.
    #[error("nothing was written: it was cancelled")]
    Cancelled,
    /// It could not be written.
    #[error("“{}” was not written: {source}{todo}", .target.display(), todo = write_todo(.source))]
    Failed { target: PathBuf, source: HandoverError },
}

impl Refusal {
    /// Why a file was not written.
    pub(crate) fn failed(target: &Path, source: HandoverError) -> Self {
        match source {
            HandoverError::Cancelled => Self::Cancelled,
            source => Self::Failed { target: target.to_owned(), source },
        }
    }
}

fn turn_todo(why: &LevelError) -> &'static str {
    match why {
        LevelError::Nothing(_) => ". Trace its lines first if it is not, so that the eye is known",
        LevelError::TornApart(_) => {
            ". Turn it by less: only level, or aim the eye by a few degrees"
        }
        LevelError::TooLarge(..) => ". Turn it by less, or work on a smaller painting",
        _ => "",
    }
}

fn back_todo(why: &ReturnError) -> &'static str {
    match why {
        ReturnError::Missing(_) => {
            ". Put that file beside it again, or level the painting anew and lay your work over that copy"
        }
        ReturnError::Nonsense(..) => {
            ". Level the painting anew: the same scene gives the same transform"
        }
        ReturnError::Newer(_) => ": bring it back with that version",
        ReturnError::Reshaped { .. } => {
            ". Give the copy its canvas again; enlarging it as a whole does no harm"
        }
        _ => "",
    }
}

fn write_todo(why: &HandoverError) -> &'static str {
    match why {
        HandoverError::Unwritable(error) if error.kind() == io::ErrorKind::StorageFull => {
            ". Make room, or write it elsewhere with --out"
        }
        HandoverError::Unwritable(_) => ". Write it elsewhere with --out",
        _ => "",
    }
}
