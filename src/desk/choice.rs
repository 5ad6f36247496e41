use crate::handover::Product;
use crate::handover::places::Placed;
use std::path::PathBuf;

/// A file that only the program around the desk can have chosen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Choice {
    /// A scene or a picture to open.
    Open,
    /// A picture to be the scene's painting.
    Painting,
    /// A production's size book to be the scene's.
    SizeBook,
    /// Where to save the scene.
    SaveScene {
        /// What to propose.
        suggested: PathBuf,
    },
    /// A levelled copy to bring back.
    LevelledCopy,
    /// Where a sheet or a camera is written.
    Product {
        /// Which of them.
        product: Product,
        /// What to propose.
        suggested: PathBuf,
    },
    /// Where a levelled copy or a layered file is written.
    Place {
        /// Which of them.
        placed: Placed,
        /// What to propose.
        suggested: PathBuf,
    },
    /// Where the overlay is written.
    Overlay {
        /// What to propose.
        suggested: PathBuf,
    },
}

impl Choice {
    /// The question, for the title of a dialog.
    #[must_use]
    pub fn title(&self) -> &'static str {
        match self {
            Self::Open => "Open a scene or a painting",
            Self::Painting => "Choose the painting",
            Self::SizeBook => "Choose the size book",
            Self::SaveScene { .. } => "Save the scene",
            Self::LevelledCopy => "Choose the levelled copy to bring back",
            Self::Product { product: Product::Sheet, .. } => "Choose where the sheet goes",
            Self::Product { product: Product::Camera, .. } => "Choose where the camera goes",
            Self::Place { placed: Placed::Copy(_), .. } => "Choose where the copy goes",
            Self::Place { placed: Placed::Layers, .. } => "Choose where the layered file goes",
            Self::Overlay { .. } => "Choose where the overlay goes",
        }
    }

    /// The word for "go ahead".
    #[must_use]
    pub fn verb(&self) -> &'static str {
        match self {
            Self::Open => "Open",
            Self::Painting => "Set the painting",
            Self::SizeBook => "Set the size book",
            Self::SaveScene { .. } => "Save",
            Self::LevelledCopy => "Bring it back",
            Self::Overlay { .. } | Self::Place { .. } | Self::Product { .. } => "Choose",
        }
    }
}

/// Endings of picture files that can be opened.
pub const PICTURE_ENDINGS: [&str; 10] =
    ["png", "jpg", "jpeg", "tif", "tiff", "webp", "tga", "bmp", "exr", "jfif"];

/// Ending of a scene file, and of a size book.
pub const SCENE_ENDING: &str = "ron";
