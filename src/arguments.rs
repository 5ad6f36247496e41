//! What may be said on the command line.

mod review;

use review::{CAMERA_HELP, COMPARE_HELP, CONTINUITY_HELP, SHEET_HELP};
pub(crate) use review::{Camera, Compare, Continuity, Sheet};

use clap::builder::{PossibleValuesParser, StringValueParser, TypedValueParser};
use clap::{Args, Parser, Subcommand, value_parser};
use staffage_handover::{FILM_BACKS, FilmBack, Part, WIDTH};
use staffage_scene::Units;
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

    /// The scene (.ron) or the painting to open; when left out, the scene that was open last, or the very first time a demo.
    #[arg(value_name = "SCENE|PICTURE")]
    pub(crate) file: Option<PathBuf>,
}

const EXAMPLES: &str = "\
Examples:
  staffage                      go on with the scene that was open last; the first time, look around in a demo
  staffage quay.png             begin a scene over a painting
  staffage quay.ron             go on with a scene
  staffage check quay.ron       say what contradicts what, without a window
  staffage overlay quay.ron     write the guides and markers as a picture to lay over the painting
  staffage level quay.ron       write the painting turned level, to be painted on and brought back
  staffage sheet quay.ron       write a page for the art lead, to be read and printed
  staffage camera quay.ron      write the eye as a camera, with stand-ins, for those who build it
  staffage compare old.ron quay.ron   say what changed
  staffage continuity scenes    say which things differ from painting to painting";

/// The program without a window.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Print the eye, the levels, the ledger and the findings of scenes.
    ///
    /// The ledger lists every marker from near to far: how far off it is, how large, and how it
    /// stands against everything else that was said. Each value comes with its 95 % interval.
    #[command(after_long_help = CHECK_HELP)]
    Check(Check),

    /// Write the ink of scenes as pictures to lay over the paintings.
    ///
    /// An overlay shows what the canvas shows: guides, markers, how they stand and their words, on a
    /// transparent ground in the shape of the painting. Put it on a layer of its own in your paint
    /// program, its corners on the painting's corners. Lines and type are a fixed share of the frame's
    /// width, so that they look alike at every width.
    #[command(after_long_help = OVERLAY_HELP)]
    Overlay(Overlay),

    /// Write the painting turned level, plumb or otherwise, and bring such a copy back.
    ///
    /// On a canted painting a straightedge, a square and a mirror are of no use. A levelled copy has the
    /// same painting with its horizon level (or its uprights plumb, or seen by an eye that is aimed a few
    /// degrees elsewhere), at full bit depth, on a canvas just large enough to lose none of it. Paint on
    /// it, then bring it back with --back: every stroke returns to where it belongs.
    #[command(after_long_help = LEVEL_HELP)]
    Level(Level),

    /// Write the review sheets of scenes: one page each, to be read and printed without the program.
    ///
    /// A sheet holds the painting with its ink, what contradicts and what would mend it, what is kept on
    /// purpose, the ledger with its intervals, the eye with focal lengths, the section and the plan, and
    /// what was taken as given.
    #[command(after_long_help = SHEET_HELP)]
    Sheet(Sheet),

    /// Write the eye as a camera at true scale, with everything that was measured as stand-ins.
    ///
    /// The file holds the camera, the levels, a staff for each marker, the stand-ins and the painting far
    /// behind them, each under its name: glTF 2.0, metres, Y up. The text is a camera sheet with angles,
    /// heights and focal lengths.
    #[command(after_long_help = CAMERA_HELP)]
    Camera(Camera),

    /// Say what changed between two versions of a scene: what moved, what was mended, what is new.
    ///
    /// Things are compared by what they are in the file, however they were renamed and moved.
    #[command(after_long_help = COMPARE_HELP)]
    Compare(Compare),

    /// Hold all scenes of a production against each other and against its size book.
    ///
    /// The same invented thing has one size in all paintings. Things are the same when their size was
    /// picked as the same entry of the size book, or when they have the same name; how large each is
    /// drawn is told by everything else in its painting, and all paintings are adjusted as one network.
    #[command(after_long_help = CONTINUITY_HELP)]
    Continuity(Continuity),

    /// Write the painting and the ink of a scene as the layers of one OpenRaster file.
    ///
    /// The painting, the guides, each stand-in, row or crowd, the markers, the findings and the words are
    /// layers of their own with these names, for paint programs that open OpenRaster (.ora).
    #[command(after_long_help = LAYERS_HELP)]
    Layers(Layers),
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
  staffage check scenes && echo ready for detailing
  staffage check --alternatives quay.ron
  staffage check --units imperial quay.ron
  staffage check --json scenes > answers.jsonl";

/// What to check, and how to say it.
#[derive(Args, Debug)]
pub(crate) struct Check {
    /// The scenes to check, or folders with scenes in them.
    #[arg(value_name = "SCENE|FOLDER", required = true)]
    pub(crate) scenes: Vec<PathBuf>,

    /// Print one JSON object for each scene, each on a line of its own, instead of words.
    ///
    /// assets/check.schema.json says what the keys mean. Angles are in degrees; sizes and distances in
    /// metres or, where nothing fixes the scale, in
    /// eye heights over a level; the upper end of an interval is null where a thing may be as far off
    /// as the horizon. A scene that cannot be read has the key "error"; a size book among the scenes
    /// has no object.
    #[arg(long)]
    pub(crate) json: bool,

    /// Check this alternative of each scene; the one that was on show when left out.
    #[arg(long, value_name = "NAME")]
    pub(crate) alternative: Option<String>,

    /// Check every alternative, one after the other.
    #[arg(long, conflicts_with = "alternative")]
    pub(crate) alternatives: bool,

    /// Tell lengths in these: metric (cm, m, km) or imperial (in, feet and inches, ft, mi). Numbers in
    /// JSON are metres all the same.
    #[arg(long, value_name = "UNITS", value_parser = units(), default_value = "metric")]
    pub(crate) units: Units,
}

const OVERLAY_HELP: &str = "\
What is written:
  quay.ron has its overlay in quay.overlay.png beside it, or in quay.overlay.svg. An overlay that
  was written before is replaced. Any other file of that name is left alone unless --force is given;
  the painting itself is never replaced. A file gets its name when it is whole: nothing half-written
  is left when the disk is full or you press Ctrl-C.

  A PNG has 8 bits, sRGB and straight alpha. An SVG has the layers grid, guides, stand-ins,
  markers, findings, words and safe as its outermost groups, those with ink, and in them a group for each
  thing; its type is IBM Plex Sans.

Parts (--only):
  guides    the horizon, the vanishing points, the traced lines and the guides that are kept
  grid      the grid on a level, with its numbers (only when asked for, or with --grid)
  stand-ins the ghosts of true size, to be painted over
  markers   the markers, how they stand, and what is in front of what
  findings  everything that a finding is about, and nothing else
  safe      action-safe and title-safe areas, and 1.78 out of the middle (only when asked for)

Exit status:
  0  every overlay was written
  2  one was not; the others are written all the same, unless you pressed Ctrl-C

Examples:
  staffage overlay quay.ron
  staffage overlay quay.ron --width 10000 --only guides --no-words
  staffage overlay quay.ron --only findings --out repaint.svg
  staffage overlay scenes/*.ron --out overlays";

/// Which ink, and how it is drawn.
#[derive(Args, Debug)]
pub(crate) struct Ink {
    /// How wide, in pixels; the width that the scene is worked at when left out.
    #[arg(long, value_name = "PX", value_parser = width())]
    pub(crate) width: Option<u32>,

    /// Only these parts, with commas between them.
    #[arg(long, value_name = "PARTS", value_delimiter = ',', value_parser = parts())]
    pub(crate) only: Vec<Part>,

    /// With a grid on the level of this name, thinning with distance, with its numbers; the part grid
    /// alone lies on the first level.
    #[arg(long, value_name = "LEVEL")]
    pub(crate) grid: Option<String>,

    /// Leave out names, sizes and all other words.
    #[arg(long)]
    pub(crate) no_words: bool,

    /// How heavy lines and type are, 0.1 to 10; at 1 they are as in a window 1600 points wide.
    #[arg(long, value_name = "TIMES", default_value_t = 1.0)]
    pub(crate) weight: f64,
}

/// What to write, and where.
#[derive(Args, Debug)]
pub(crate) struct Overlay {
    /// The scenes to write overlays of.
    #[arg(value_name = "SCENE", required = true)]
    pub(crate) scenes: Vec<PathBuf>,

    /// The file to write (.png or .svg), or the folder to write into; beside each scene when left
    /// out. Several scenes need a folder.
    #[arg(long, short, value_name = "FILE|FOLDER")]
    pub(crate) out: Option<PathBuf>,

    #[command(flatten)]
    pub(crate) ink: Ink,

    /// Write SVG instead of PNG.
    #[arg(long)]
    pub(crate) svg: bool,

    /// Show this alternative of each scene; its overlay is quay.NAME.overlay.png unless --out says
    /// otherwise. The one that was on show when left out.
    #[arg(long, value_name = "NAME")]
    pub(crate) alternative: Option<String>,

    /// Tell lengths in these: metric (cm, m, km) or imperial (in, feet and inches, ft, mi).
    #[arg(long, value_name = "UNITS", value_parser = units(), default_value = "metric")]
    pub(crate) units: Units,

    /// Replace a file that is there already even if it is no overlay.
    #[arg(long)]
    pub(crate) force: bool,
}

const LAYERS_HELP: &str = "\
What is written:
  quay.ron has its layers in quay.ora beside it. Layers of ink have 8 bits, sRGB and straight alpha, and
  are cut to where there is ink. The painting is the undermost layer, resized to the width that was asked
  for; it keeps 8 or 16 bits and its colour profile, and floating point is encoded with the sRGB curve
  in 16 bits.

  A file that is there already is left alone unless --force is given, for you may have painted in it.
  A file gets its name when it is whole: nothing half-written is left when the disk is full or you press
  Ctrl-C.

  --tones adds two layers between the painting and the ink, both hidden when the file is opened: the painting
  in so many flat tones, the masses of light and dark that its own values group into, and along its lower
  edge a strip with a swatch of each, its L* (0 black, 100 white) and how much of the picture it is.

Parts (--only): as for staffage overlay; the painting is always there.

Exit status:
  0  it was written
  2  it was not

Examples:
  staffage layers quay.ron
  staffage layers quay.ron --grid ground --tones 3
  staffage layers quay.ron --width 10000 -o delivery/quay.ora";

/// What to write as layers, and where.
#[derive(Args, Debug)]
pub(crate) struct Layers {
    /// The scene.
    #[arg(value_name = "SCENE")]
    pub(crate) scene: PathBuf,

    /// The file to write (.ora), or the folder to write into; beside the scene when left out.
    #[arg(long, short, value_name = "FILE|FOLDER")]
    pub(crate) out: Option<PathBuf>,

    #[command(flatten)]
    pub(crate) ink: Ink,

    /// Write the layers of this alternative; they are in quay.NAME.ora unless --out says otherwise. The
    /// one that was on show when left out.
    #[arg(long, value_name = "NAME")]
    pub(crate) alternative: Option<String>,

    /// With the painting in so many flat tones, 2 to 5, and a strip of them, as hidden layers.
    #[arg(long, value_name = "COUNT", value_parser = value_parser!(u8).range(2..=5))]
    pub(crate) tones: Option<u8>,

    /// Tell lengths in these: metric (cm, m, km) or imperial (in, feet and inches, ft, mi).
    #[arg(long, value_name = "UNITS", value_parser = units(), default_value = "metric")]
    pub(crate) units: Units,

    /// Replace a file that is there already.
    #[arg(long)]
    pub(crate) force: bool,
}

const LEVEL_HELP: &str = "\
What is written:
  quay.ron has its copy in quay.level.png beside it (quay.plumb.png, quay.aimed.png), and the way back
  in quay.level.json beside that: keep both together. PNG keeps 8 or 16 bits and the colour profile, and
  paintings in floating point are written as OpenEXR. Around the painting, whose edge is carried on a few
  pixels, the copy is transparent. Nothing is reduced, so that no detail is lost.

  A file that is there already is left alone unless --force is given, for it may hold your work; the
  painting itself is never replaced. A file gets its name when it is whole: nothing half-written is left
  when the disk is full or you press Ctrl-C.

Bringing it back (--back):
  quay.level.png comes back as quay.level.back.png, pixel on pixel over the painting. The copy may
  have been saved as any picture that can be opened, and under a longer name (quay.level.night.tif). It
  may have been enlarged as a whole, and then comes back as much enlarged, or --width pixels wide. A copy
  that was cropped, extended or stretched is refused.

  The copy is compared with the painting that it was made of. What was painted on it is laid over that, with a
  soft edge of a few pixels, and everything else is the painting as it was, bit for bit. All of it is resampled
  (and you are told) where the painting is gone or was changed since, where the copy was enlarged, or with
  --whole. Save the copy without loss (PNG, TIFF, OpenEXR): a JPEG differs everywhere. Another depth does no
  harm.

Exit status:
  0  what was asked for was written, or told by --dry-run
  2  it was not

Examples:
  staffage level quay.ron --dry-run
  staffage level quay.ron
  staffage level --back quay.level.png
  staffage level --back quay.level.png --painting attic/quay.png
  staffage level quay.ron --plumb --out /scratch/quay.png
  staffage level quay.ron --pitch 3 --heading -5";

/// What to turn, and how.
#[derive(Args, Debug)]
pub(crate) struct Level {
    /// The scene whose painting is turned; with --back the copy that is brought back.
    #[arg(value_name = "SCENE|COPY")]
    pub(crate) file: PathBuf,

    /// Make its uprights plumb as well: without pitch and cant.
    #[arg(long, conflicts_with_all = ["pitch", "heading", "cant", "back"])]
    pub(crate) plumb: bool,

    /// Aim the eye so many degrees farther up, instead of level.
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true, conflicts_with = "back")]
    pub(crate) pitch: Option<f64>,

    /// Aim the eye so many degrees farther to the right, instead of level.
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true, conflicts_with = "back")]
    pub(crate) heading: Option<f64>,

    /// Cant the eye so many degrees more, the right end of the horizon up, instead of level.
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true, conflicts_with = "back")]
    pub(crate) cant: Option<f64>,

    /// Bring a copy back.
    #[arg(long)]
    pub(crate) back: bool,

    /// How wide the painting comes back, pixels; as much enlarged as the copy was when left out.
    #[arg(
        long,
        value_name = "PX",
        value_parser = width(),
        requires = "back",
        conflicts_with_all = ["plumb", "pitch", "heading", "cant"]
    )]
    pub(crate) width: Option<u32>,

    /// Bring all of the copy back, resampled also where nobody painted.
    #[arg(
        long,
        requires = "back",
        conflicts_with_all = ["plumb", "pitch", "heading", "cant"]
    )]
    pub(crate) whole: bool,

    /// Where the painting is that the copy was made of, if it is not where it was.
    #[arg(
        long,
        value_name = "PICTURE",
        requires = "back",
        conflicts_with_all = ["plumb", "pitch", "heading", "cant"]
    )]
    pub(crate) painting: Option<PathBuf>,

    /// The file to write, or the folder to write into; beside the scene or the copy when left out.
    #[arg(long, short, value_name = "FILE|FOLDER")]
    pub(crate) out: Option<PathBuf>,

    /// Say how large it would be and how much of it margin, and write nothing.
    #[arg(long)]
    pub(crate) dry_run: bool,

    /// Replace a file that is there already.
    #[arg(long)]
    pub(crate) force: bool,
}

fn width() -> impl TypedValueParser<Value = u32> {
    value_parser!(u32).range(i64::from(*WIDTH.start())..=i64::from(*WIDTH.end()))
}

fn units() -> impl TypedValueParser<Value = Units> {
    let names = Units::ALL.map(Units::name);
    PossibleValuesParser::new(names).try_map(|name| Units::named(&name).ok_or("no such units"))
}

fn film_back() -> impl TypedValueParser<Value = FilmBack> {
    StringValueParser::new().try_map(|words| {
        let keys = FILM_BACKS.map(|back| back.key).join(", ");
        FilmBack::named(&words).ok_or(format!("name one ({keys}) or its width in millimetres"))
    })
}

fn parts() -> impl TypedValueParser<Value = Part> {
    let names = Part::ALL.map(Part::name);
    PossibleValuesParser::new(names).try_map(|name| Part::named(&name).ok_or("not a part"))
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
    fn parts_of_an_overlay_are_known_by_name() {
        let parse =
            |only| Arguments::try_parse_from(["staffage", "overlay", "a.ron", "--only", only]);
        let Ok(Arguments { command: Some(Command::Overlay(overlay)), .. }) =
            parse("findings,guides")
        else {
            panic!("not an overlay")
        };
        assert_eq!(overlay.ink.only, [Part::Findings, Part::Guides]);
        let refused = parse("guides,sky").unwrap_err().to_string();
        assert!(
            refused.contains("[possible values: guides, grid, stand-ins, markers, findings, safe]"),
            "{refused}"
        );
    }

    #[test]
    fn an_eye_is_aimed_up_or_down_or_levelled_and_a_copy_only_brought_back() {
        let parse = |words: &[&str]| {
            Arguments::try_parse_from(["staffage", "level", "a"].iter().chain(words))
        };
        let aimed = parse(&["--pitch", "-3", "--cant", "1.5"]).unwrap();
        let Some(Command::Level(level)) = aimed.command else { panic!("not a level") };
        assert_eq!((level.pitch, level.heading, level.cant), (Some(-3.0), None, Some(1.5)));
        for clash in [["--plumb", "--pitch=3"], ["--back", "--plumb"], ["--width=99", "--plumb"]] {
            assert!(parse(&clash).is_err(), "{clash:?}");
        }
        assert!(parse(&["--back", "--width", "5000", "-o", "b.png"]).is_ok());
    }

    #[test]
    fn a_check_of_nothing_is_refused() {
        assert!(Arguments::try_parse_from(["staffage", "check"]).is_err());
    }
}
