use staffage_handover::{HandoverError, WIDTH};
use std::io;
use std::path::PathBuf;

/// Why there is no overlay of a scene. Each reads as a sentence or two: what, where, what to do.
#[derive(Debug, thiserror::Error)]
pub(crate) enum Refusal {
    /// The scene cannot be read.
    #[error("{0}")]
    Unreadable(String),
    /// Several scenes would be written to one file.
    #[error("“{}” is no folder, and several overlays need one: make it first", .0.display())]
    NotAFolder(PathBuf),
    /// There is no level of this name for the grid.
    #[error("there is no level “{name}” to lay a grid on: the scene has {levels}")]
    NoLevel { name: String, levels: String },
    /// Two scenes have the same name.
    #[error(
        "“{target}” was just written for another scene, and “{scene}” has the same name: write its \
         overlay elsewhere with --out",
        target = .target.display(), scene = .scene.display()
    )]
    Twice { target: PathBuf, scene: PathBuf },
    /// It could not be told from the name what to write.
    #[error(
        "“{}” cannot be written: an overlay is a PNG or an SVG, so end its name with .png or .svg",
        .0.display()
    )]
    Format(PathBuf),
    /// The name says PNG and the option says SVG.
    #[error(
        "“{}” would not be an SVG by its name: end it with .svg, or leave out --svg", .0.display()
    )]
    NotAnSvg(PathBuf),
    /// What is there is something else.
    #[error(
        "“{}” is there already and is no overlay, so it was left alone: give another name with \
         --out, or --force to replace it",
        .0.display()
    )]
    Taken(PathBuf),
    /// What is there is the painting itself.
    #[error(
        "“{}” is the painting itself, which is never replaced: give another name with --out",
        .0.display()
    )]
    Painting(PathBuf),
    /// It could not be written.
    #[error(
        "“{target}” was not written: {source}{todo}",
        target = .target.display(), todo = todo(.source)
    )]
    Failed { target: PathBuf, source: HandoverError },
}

/// What can be done about it.
fn todo(why: &HandoverError) -> String {
    match why {
        HandoverError::Width { .. } => {
            format!(". Choose its width with --width, at most {}", WIDTH.end())
        }
        HandoverError::Unwritable(error) if error.kind() == io::ErrorKind::StorageFull => {
            ". Make room, or write it elsewhere with --out".into()
        }
        HandoverError::Unwritable(_) => ". Write it elsewhere with --out".into(),
        _ => String::new(),
    }
}
