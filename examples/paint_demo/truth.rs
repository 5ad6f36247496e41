//! What is really so in a demo scene: the answers that a reading of it is tested against.

use serde::Serialize;
use std::collections::BTreeMap;

#[derive(Default, Serialize)]
pub(crate) struct Truth {
    /// The scene's file name.
    pub(crate) scene: String,
    pub(crate) eye: TrueEye,
    /// Extinction of the painted haze, per metre.
    pub(crate) beta: f64,
    /// Per marker name.
    pub(crate) markers: BTreeMap<String, TrueMarker>,
    /// Height of the eye over each level (of the level over the eye), metres.
    pub(crate) clearances: BTreeMap<String, f64>,
    /// Contradictions put in to be found.
    pub(crate) planted: Vec<Plant>,
    /// Contradictions that the scene itself lists as intended.
    pub(crate) intended: Vec<Plant>,
}

#[derive(Default, Serialize)]
pub(crate) struct TrueEye {
    /// Frame widths.
    pub(crate) focal: f64,
    /// Degrees, looking up positive.
    pub(crate) pitch: f64,
    /// Degrees, right end of the horizon up positive.
    pub(crate) cant: f64,
    /// Per block name, degrees clockwise from straight ahead.
    pub(crate) headings: BTreeMap<String, f64>,
}

/// A marker's thing as painted.
#[derive(Serialize)]
pub(crate) struct TrueMarker {
    /// Horizontal run from the eye to its foot, metres.
    pub(crate) distance: f64,
    /// Length of its span, metres.
    pub(crate) size: f64,
}

/// A contradiction: what it is about, and what was done.
#[derive(Serialize)]
pub(crate) struct Plant {
    /// "marker", "line" or "overlap".
    pub(crate) about: &'static str,
    /// The marker's name, or the id of the line or overlap.
    pub(crate) name: String,
    pub(crate) what: String,
}
