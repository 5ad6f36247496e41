//! What may be said on the command line.

use clap::{Args, Parser, Subcommand};
use std::path::PathBuf;

/// Perspective guides, scale markers and a checked ledger over a blocked-in painting.
///
/// Opens a scene or a painting in the window. Trace edges that run together, mark figures, doors and
/// hulls, say what you know of their sizes: Staffage answers how far off and how large each thing is,
/// how sure that is, and which things contradict each other.
#[derive(Debug, Parser)]
#[command(version, args_conflicts_with_subcommands = true, after_long_help = EXAMPLES)]
pub(crate) struct Arguments {
    /// What to do without a window.
    #[command(subcommand)]
    pub(crate) command: Option<Command>,

    /// The scene (.ron) or the painting to open; a demo scene when left out.
    #[arg(value_name = "SCENE|PICTURE")]
    pub(crate) file: Option<PathBuf>,
}

const EXAMPLES: &str = "\
Examples:
  staffage                      look around in a demo scene
  staffage quay.png             begin a scene over a painting
  staffage quay.ron             go on with a scene
  staffage check quay.ron       say what contradicts what, without a window";

/// The program without a window.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Print the eye, the levels, the ledger and the findings of scenes.
    ///
    /// The ledger lists every marker from near to far: how far off it is, how large, and how it
    /// stands against everything else that was said. Each value comes with its 95 % interval.
    #[command(after_long_help = CHECK_HELP)]
    Check(Check),
}

const CHECK_HELP: &str = "\
Exit status:
  0  nothing contradicts or is impossible, or only what is intended
  1  something contradicts or is impossible
  2  a scene or its painting could not be read; the other scenes are checked all the same

How a thing stands:
  holds        everything that tests it agrees
  strained     at the edge of what chance allows
  contradicts  something else says otherwise
  unchecked    nothing else tests it
  open         nothing fixes it yet
  impossible   it cannot be as drawn, such as feet on the ground above the horizon

Examples:
  staffage check quay.ron
  staffage check scenes/*.ron && echo ready for detailing
  staffage check --json scenes/*.ron > answers.jsonl";

/// What to check, and how to say it.
#[derive(Args, Debug)]
pub(crate) struct Check {
    /// The scenes to check.
    #[arg(value_name = "SCENE", required = true)]
    pub(crate) scenes: Vec<PathBuf>,

    /// Print one JSON object for each scene, each on a line of its own, instead of words.
    ///
    /// Angles are in degrees; sizes and distances in metres or, where nothing fixes the scale, in
    /// eye heights over a level; the upper end of an interval is null where a thing may be as far off
    /// as the horizon. A scene that cannot be read has the key "error"; a size book among the scenes
    /// has no object.
    #[arg(long)]
    pub(crate) json: bool,
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_arguments_are_well_formed() {
        Arguments::command().debug_assert();
    }

    #[test]
    fn a_file_alone_is_opened_and_a_command_is_a_command() {
        let arguments = Arguments::parse_from(["staffage", "quay.ron"]);
        assert_eq!(arguments.file, Some("quay.ron".into()));
        assert!(arguments.command.is_none());
        let arguments = Arguments::parse_from(["staffage", "check", "a.ron", "b.ron", "--json"]);
        let Some(Command::Check(check)) = arguments.command else { panic!("not a command") };
        assert_eq!((check.scenes.len(), check.json), (2, true));
    }

    #[test]
    fn a_check_of_nothing_is_refused() {
        assert!(Arguments::try_parse_from(["staffage", "check"]).is_err());
    }
}
