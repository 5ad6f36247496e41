//! What may be said of handing a scene over to others, and of reviewing many.

use super::{film_back, units};
use clap::Args;
use staffage_handover::FilmBack;
use staffage_scene::Units;
use std::path::PathBuf;

pub(super) const SHEET_HELP: &str = "\
What is written:
  quay.ron has its sheet in quay.sheet.html beside it. A sheet that was written before is replaced. Any
  other file of that name is left alone unless --force is given; scenes, paintings and size books are
  never replaced. A file gets its name when it is whole.

  html  one file with everything in it: pictures, type, no script. It prints on A4 and Letter
  json  the same answers as `staffage check --json`
  csv   the ledger, one row for each marker. A name that begins with =, +, - or @ gets an apostrophe
        before it, so that no spreadsheet takes it for a formula

Exit status:
  0  every sheet was written
  2  one was not; the others are written all the same, unless you pressed Ctrl-C

Examples:
  staffage sheet quay.ron
  staffage sheet quay.ron -o for_the_art_lead.html
  staffage sheet quay.ron --alternatives --units imperial
  staffage sheet scenes/*.ron -o sheets
  staffage sheet scenes/*.ron --as csv -o tables";

/// What to write of scenes for those who review them, and where.
#[derive(Args, Debug)]
pub(crate) struct Sheet {
    /// The scenes to write sheets of.
    #[arg(value_name = "SCENE", required = true)]
    pub(crate) scenes: Vec<PathBuf>,

    /// The file to write (.html, .json or .csv), or the folder to write into; beside each scene when
    /// left out. Several scenes or alternatives need a folder.
    #[arg(short, long, value_name = "FILE|FOLDER")]
    pub(crate) out: Option<PathBuf>,

    /// What to write; the ending of the file tells when left out.
    #[arg(long = "as", value_name = "FORMAT", value_parser = ["html", "json", "csv"])]
    pub(crate) format: Option<String>,

    /// Write the sheet of this alternative of each scene; it is quay.NAME.sheet.html unless --out says
    /// otherwise. The one that was on show when left out.
    #[arg(long, value_name = "NAME")]
    pub(crate) alternative: Option<String>,

    /// Write a sheet of every alternative, one after the other.
    #[arg(long, conflicts_with = "alternative")]
    pub(crate) alternatives: bool,

    /// Tell lengths in these: metric (cm, m, km) or imperial (in, feet and inches, ft, mi). Numbers in
    /// JSON and CSV are metres all the same, and say so.
    #[arg(long, value_name = "UNITS", value_parser = units(), default_value = "metric")]
    pub(crate) units: Units,

    /// Replace a file that is there already even if it is no sheet.
    #[arg(long)]
    pub(crate) force: bool,
}

pub(super) const CAMERA_HELP: &str = "\
What is written:
  quay.ron has its camera in quay.camera.glb beside it. A camera that was written before is replaced. Any
  other file of that name is left alone unless --force is given; scenes, paintings and size books are
  never replaced. A file gets its name when it is whole.

  glb   glTF 2.0 in one binary file, the painting in it
  gltf  the same as text
  txt   the camera sheet in plain words

A scene in which nothing is known in metres has no camera: mark a figure, or state the eye's height.
A glTF camera looks through the middle of its frame. Where the optical axis lies elsewhere, you are told
by how much the lens has to be shifted.

Exit status:
  0  every camera was written
  2  one was not; the others are written all the same, unless you pressed Ctrl-C

Examples:
  staffage camera quay.ron
  staffage camera quay.ron -o quay.gltf
  staffage camera quay.ron --film-back super-35
  staffage camera scenes/*.ron --as txt -o camera_sheets";

/// Which scenes to write cameras of, and where.
#[derive(Args, Debug)]
pub(crate) struct Camera {
    /// The scenes to write cameras of.
    #[arg(value_name = "SCENE", required = true)]
    pub(crate) scenes: Vec<PathBuf>,

    /// The file to write (.glb, .gltf or .txt), or the folder to write into; beside each scene when left
    /// out. Several scenes or alternatives need a folder.
    #[arg(short, long, value_name = "FILE|FOLDER")]
    pub(crate) out: Option<PathBuf>,

    /// What to write; the ending of the file tells when left out.
    #[arg(long = "as", value_name = "FORMAT", value_parser = ["glb", "gltf", "txt"])]
    pub(crate) format: Option<String>,

    /// Write the camera of this alternative of each scene; it is quay.NAME.camera.glb unless --out says
    /// otherwise. The one that was on show when left out.
    #[arg(long, value_name = "NAME")]
    pub(crate) alternative: Option<String>,

    /// Write a camera of every alternative, one after the other.
    #[arg(long, conflicts_with = "alternative")]
    pub(crate) alternatives: bool,

    /// Tell lengths in these: metric (cm, m, km) or imperial (in, feet and inches, ft, mi). glTF is
    /// in metres all the same, as are the places on the camera sheet.
    #[arg(long, value_name = "UNITS", value_parser = units(), default_value = "metric")]
    pub(crate) units: Units,

    /// Tell the focal length for this film back, used across its whole width: 65mm, squeezed, still,
    /// super-35, academy, super-16, or its width in millimetres.
    #[arg(long, value_name = "NAME|MM", value_parser = film_back(), default_value = "still")]
    pub(crate) film_back: FilmBack,

    /// Replace a file that is there already even if it is no camera.
    #[arg(long)]
    pub(crate) force: bool,
}

pub(super) const COMPARE_HELP: &str = "\
Exit status:
  0  nothing contradicts or is impossible that did not before
  1  something does
  2  a scene could not be read

Examples:
  staffage compare quay.previous.ron quay.ron
  staffage compare monday/quay.ron quay.ron --alternatives
  staffage compare monday/quay.ron quay.ron --json";

/// Which versions of a scene to compare.
#[derive(Args, Debug)]
pub(crate) struct Compare {
    /// The scene as it was.
    #[arg(value_name = "BEFORE")]
    pub(crate) before: PathBuf,

    /// The scene as it is.
    #[arg(value_name = "AFTER")]
    pub(crate) after: PathBuf,

    /// Print one JSON object instead of words; angles in degrees, lengths in metres or eye heights.
    /// assets/compare.schema.json says what the keys mean.
    #[arg(long)]
    pub(crate) json: bool,

    /// Compare this alternative of both; those that were on show when left out.
    #[arg(long, value_name = "NAME")]
    pub(crate) alternative: Option<String>,

    /// Compare every alternative that both have, one after the other. A scene without alternatives is
    /// compared with each of the other's.
    #[arg(long, conflicts_with = "alternative")]
    pub(crate) alternatives: bool,

    /// Tell lengths in these: metric (cm, m, km) or imperial (in, feet and inches, ft, mi). Numbers in
    /// JSON are metres all the same, and say so.
    #[arg(long, value_name = "UNITS", value_parser = units(), default_value = "metric")]
    pub(crate) units: Units,
}

pub(super) const CONTINUITY_HELP: &str = "\
Sizes that were picked from the size shelf, or are said of several things of a scene, are of kinds of
which there are many: these are compared only where the size book has an entry of their name. A scene in
which nothing is known in metres is compared by the ratios of what it shares. What is kept on purpose in
its scene is listed and does not count. Paintings are not read.

Exit status:
  0  nothing contradicts, or only what is intended
  1  something contradicts
  2  a scene or the size book could not be read; the others are compared all the same

Examples:
  staffage continuity scenes
  staffage continuity scenes/*.ron --book production.ron --json";

/// Which scenes make a production.
#[derive(Args, Debug)]
pub(crate) struct Continuity {
    /// The scenes, or folders with scenes in them.
    #[arg(value_name = "SCENE|FOLDER", required = true)]
    pub(crate) scenes: Vec<PathBuf>,

    /// The size book; the one that the scenes name when left out.
    #[arg(long, value_name = "FILE")]
    pub(crate) book: Option<PathBuf>,

    /// Print one JSON object instead of words; lengths in metres. assets/continuity.schema.json says what
    /// the keys mean.
    #[arg(long)]
    pub(crate) json: bool,

    /// Show the alternative of this name in those scenes that have it; the others as they were saved.
    #[arg(long, value_name = "NAME")]
    pub(crate) alternative: Option<String>,

    /// Hold the scenes against each other once for every name that an alternative has in any of them,
    /// each shown where there is one.
    #[arg(long, conflicts_with = "alternative")]
    pub(crate) alternatives: bool,

    /// Tell lengths in these: metric (cm, m, km) or imperial (in, feet and inches, ft, mi). Numbers in
    /// JSON are metres all the same, and say so.
    #[arg(long, value_name = "UNITS", value_parser = units(), default_value = "metric")]
    pub(crate) units: Units,
}
