//! What the desk asks the program around it to hand over, and how it is told how that went.
//!
//! The desk knows neither file formats nor the clipboard: it says what is wanted as an [`Order`], and
//! has it carried out on a thread of its own by whoever implements [`Handovers`]. A new kind of
//! handover is a new variant of [`Order`]; progress, cancelling and what is said of it come with it.

pub(crate) mod errands;
pub(crate) mod handing;
pub(crate) mod handover_strip;
pub(crate) mod latest;
pub(crate) mod level_panel;
pub(crate) mod level_settings;
pub(crate) mod levelling;
pub(crate) mod overlay_panel;
pub(crate) mod overlay_preview;
pub(crate) mod overlay_settings;
pub(crate) mod places;
pub(crate) mod product_panel;
pub(crate) mod product_preview;
pub(crate) mod products;

use staffage_drawing::GroundGrid;
use staffage_scene::{Scene, Units};
use staffage_solver::Eye;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};

/// Something that is to be handed over.
#[derive(Clone, Debug, PartialEq)]
pub enum Order {
    /// Write an overlay to a file.
    Overlay(OverlayOrder),
    /// Put the ink on the clipboard as a picture with a transparent ground.
    CopyInk(Ink),
    /// Write the picture on the clipboard to a file, to be the painting.
    PastePainting {
        /// Where to; with a number at the end of its name where there is such a file already, as
        /// nothing is ever replaced.
        wanted: PathBuf,
    },
    /// Write painting and ink as the layers of one file.
    Layers(LayersOrder),
    /// Write the painting turned level, plumb or otherwise, to be painted on.
    Level(LevelOrder),
    /// Write a review sheet, or the eye as a camera with stand-ins.
    Product(ProductOrder),
    /// Bring a levelled copy back to where the painting's pixels are.
    BringBack {
        /// The copy; its way back lies beside it.
        copy: PathBuf,
        /// Whether a file that is there may be replaced. The painting and the copy never are.
        replace: bool,
    },
}

/// A kind of file that is made of a whole scene for others.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
)]
pub enum Product {
    /// The review sheet: a page to be read and printed.
    Sheet,
    /// The eye as a camera, with stand-ins.
    Camera,
}

impl Product {
    /// What it is called.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Sheet => "sheet",
            Self::Camera => "camera",
        }
    }

    /// What its file can end in, the usual ending first.
    #[must_use]
    pub fn endings(self) -> &'static [&'static str] {
        match self {
            Self::Sheet => &["html", "csv", "json"],
            Self::Camera => &["glb", "gltf", "txt"],
        }
    }
}

/// A file that is to be made of a scene.
#[derive(Clone, Debug, PartialEq)]
pub struct ProductOrder {
    /// What it is.
    pub product: Product,
    /// Of what; the path of its painting is absolute.
    pub scene: Arc<Scene>,
    /// The scene's file, or where it would be saved.
    pub scene_path: PathBuf,
    /// What its words tell lengths in.
    pub units: Units,
    /// The film back that a camera's focal length is told for, by its [`FilmBack::key`], or its width in
    /// millimetres.
    pub film_back: String,
    /// The file to write; its ending says what is written.
    pub path: PathBuf,
    /// Whether what is there may be replaced although it is no such file. The scene, its painting and
    /// its size book never are.
    pub replace: bool,
}

/// A layered file that is to be written.
#[derive(Clone, Debug, PartialEq)]
pub struct LayersOrder {
    /// The ink over the painting.
    pub ink: Ink,
    /// In how many flat tones the painting is wanted as well, and in none if nothing is said.
    pub tones: Option<u8>,
    /// The scene's file, or where it would be saved.
    pub scene_path: PathBuf,
    /// Where it goes, if that was chosen: the ending is added if need be. Else beside the scene.
    pub to: Option<PathBuf>,
    /// Whether a file that is there may be replaced. The painting never is.
    pub replace: bool,
}

/// A levelled copy that is to be written.
#[derive(Clone, Debug, PartialEq)]
pub struct LevelOrder {
    /// Of whose painting; its path is absolute.
    pub scene: Arc<Scene>,
    /// The scene's file, or where it would be saved.
    pub scene_path: PathBuf,
    /// How the painting is to be seen.
    pub aim: LevelAim,
    /// Where it goes, if that was chosen: the ending follows the painting's depth. Else beside the scene.
    pub to: Option<PathBuf>,
    /// Whether a copy that is there may be replaced. The painting never is.
    pub replace: bool,
}

/// As which eye's picture a painting is to be seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LevelAim {
    /// That of the same eye without its cant.
    Level,
    /// That of the same eye without pitch and cant.
    Plumb,
    /// That of the same eye turned from where it looks, degrees.
    By {
        /// Farther up.
        pitch: f64,
        /// Farther to the right.
        heading: f64,
        /// The right end of the horizon farther up.
        cant: f64,
    },
}

/// What is to be drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Ink {
    /// Of what; the path of its painting is absolute.
    pub scene: Arc<Scene>,
    /// Width of the picture, pixels.
    pub width: u32,
    /// What of the ink is wanted.
    pub parts: Vec<InkPart>,
    /// Whether names, sizes and other words are wanted.
    pub words: bool,
    /// How heavy lines and type are, times the usual weight.
    pub weight: f64,
    /// Where the grid lies.
    pub grid: Option<GroundGrid>,
    /// What its words tell lengths in.
    pub units: Units,
}

/// An overlay and where it goes.
#[derive(Clone, Debug, PartialEq)]
pub struct OverlayOrder {
    /// What it shows.
    pub ink: Ink,
    /// The file, ending in .png or .svg, which says what is written.
    pub path: PathBuf,
    /// Whether what is there may be replaced although it is no overlay. The painting never is.
    pub replace: bool,
}

/// What of the ink is wanted.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
)]
pub enum InkPart {
    /// The horizon, the vanishing points and the traced lines.
    Guides,
    /// The stand-ins, to be painted over.
    StandIns,
    /// The markers, how they stand, and what is in front of what.
    Markers,
    /// Everything that a finding is about.
    Findings,
    /// Action and title areas, and a 1.78 delivery.
    Safe,
    /// The grid on a level, with its numbers.
    Grid,
}

impl InkPart {
    /// All of them.
    pub const ALL: [Self; 6] =
        [Self::Guides, Self::Grid, Self::StandIns, Self::Markers, Self::Findings, Self::Safe];
    /// Those that an overlay has while nothing else was chosen.
    pub const USUAL: [Self; 4] = [Self::Guides, Self::StandIns, Self::Markers, Self::Findings];

    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Guides => "guides",
            Self::StandIns => "stand-ins",
            Self::Markers => "markers",
            Self::Findings => "findings",
            Self::Safe => "safe lines",
            Self::Grid => "ground grid",
        }
    }

    /// What it is, for a tooltip.
    #[must_use]
    pub fn description(self) -> &'static str {
        match self {
            Self::Guides => "The horizon, the vanishing points and the traced lines",
            Self::StandIns => "The stand-ins, to be painted over",
            Self::Markers => "The markers, how they stand, and what is in front of what",
            Self::Findings => "Everything that a finding is about",
            Self::Grid => "The grid on a level with its numbers, as J shows it",
            Self::Safe => "Action and title areas, and a 1.78 delivery out of the middle",
        }
    }
}

/// What became of an order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// It was carried out; a sentence says what is there now.
    Done(String),
    /// A levelled copy was written.
    Levelled {
        /// Where it is.
        copy: PathBuf,
        /// A sentence about it.
        sentence: String,
    },
    /// The picture on the clipboard lies in this file now, to be the painting.
    Pasted(PathBuf),
    /// There is a file already that is no overlay; it was left alone.
    Taken(PathBuf),
    /// It was cancelled; nothing was left behind.
    Cancelled,
    /// It could not be carried out; a sentence says why and what can be done.
    Failed(String),
}

/// A film back that a focal length can be told for.
#[derive(Clone, Debug, PartialEq)]
pub struct FilmBack {
    /// A short name that stays the same.
    pub key: &'static str,
    /// What it is called.
    pub name: &'static str,
    /// Its width, millimetres.
    pub width: f64,
}

/// What a sheet or a camera will hold.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ProductPreview {
    /// Its first page, or what goes along from above.
    pub page: Option<PagePreview>,
    /// The beginning of the file, if that is words.
    pub text: Option<String>,
    /// What it tells, by name.
    pub facts: Vec<(String, String)>,
    /// What else is in it, a line each.
    pub holds: Vec<String>,
    /// What whoever writes it should know, in whole sentences.
    pub remarks: Vec<String>,
}

/// A page in small.
#[derive(Clone, Debug, PartialEq)]
pub struct PagePreview {
    /// Width and height of this picture, pixels.
    pub size: (u32, u32),
    /// Its pixels from the top left, row by row: red, green, blue and straight alpha, sRGB; clear where
    /// the painting lies but for the ink over it.
    pub rgba: Vec<u8>,
    /// Where the painting lies, if it lies there: left, top, right and bottom, as shares of the page's
    /// width and height.
    pub painting: Option<[f32; 4]>,
}

/// A small picture of the ink to come.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InkPreview {
    /// Width and height of what will be written, pixels.
    pub full: (u32, u32),
    /// Width and height of this picture, pixels.
    pub size: (u32, u32),
    /// Its pixels from the top left, row by row: red, green, blue and straight alpha, sRGB.
    pub rgba: Vec<u8>,
}

/// Carries orders out. Called on threads of the desk's own, for one order after the other; previews are
/// drawn beside them.
pub trait Handovers: Send + Sync {
    /// Carries an order out, or gives up where `progress` says so.
    fn carry_out(&self, order: &Order, progress: &HandoverProgress) -> Outcome;

    /// The ink at most `across` pixels wide, otherwise exactly as it would be written; `None` if it
    /// was cancelled.
    ///
    /// # Errors
    /// A sentence that says why it cannot be written so.
    fn preview(
        &self,
        ink: &Ink,
        across: u32,
        progress: &HandoverProgress,
    ) -> Result<Option<InkPreview>, String>;

    /// What would be written by an order, in small: its page, if it has one, `across` pixels wide; `None`
    /// if it was cancelled. No painting is read for it.
    ///
    /// # Errors
    /// A sentence that says why it cannot be made.
    fn preview_product(
        &self,
        order: &ProductOrder,
        across: u32,
        progress: &HandoverProgress,
    ) -> Result<Option<ProductPreview>, String>;

    /// The film backs that a camera's focal length can be told for.
    fn film_backs(&self) -> Vec<FilmBack>;

    /// How large the levelled copy of a painting of this size, in pixels, would be, and how much of it
    /// margin, as a sentence. Answered at once.
    ///
    /// # Errors
    /// A sentence that says why it cannot be turned so.
    fn measure(&self, eye: &Eye, painting: (u32, u32), aim: LevelAim) -> Result<String, String>;
}

/// What a handover under way shares with those who wait for it. Clones share.
#[derive(Clone, Debug, Default)]
pub struct HandoverProgress(Arc<Shared>);

// Each field stands alone and orders nothing else, so relaxed access is enough.
#[derive(Debug, Default)]
struct Shared {
    cancelled: AtomicBool,
    /// A share of one, as the bits of an `f32`.
    fraction: AtomicU32,
}

impl HandoverProgress {
    /// Asks to give up.
    pub fn cancel(&self) {
        self.0.cancelled.store(true, Ordering::Relaxed);
    }

    /// Whether anyone asked to give up.
    #[must_use]
    pub fn is_cancelled(&self) -> bool {
        self.0.cancelled.load(Ordering::Relaxed)
    }

    /// Tells how far it is, 0 to 1.
    pub fn report(&self, fraction: f32) {
        self.0.fraction.store(fraction.clamp(0.0, 1.0).to_bits(), Ordering::Relaxed);
    }

    /// How far it is, 0 to 1.
    #[must_use]
    pub fn fraction(&self) -> f32 {
        f32::from_bits(self.0.fraction.load(Ordering::Relaxed))
    }
}
