//! What is really so in a demo scene: the answers that a reading of it is tested against.

use serde::Serialize;
use std::collections::BTreeMap;

#[derive(Default, Serialize)]
pub struct Truth {
    /// The scene's file name.
    pub scene: String,
    pub eye: TrueEye,
    /// Extinction of the painted haze, per metre.
    pub beta: f64,
    /// Per marker name.
    pub markers: BTreeMap<String, TrueMarker>,
    /// Height of the eye over each level (of the level over the eye), metres.
    pub clearances: BTreeMap<String, f64>,
    /// Contradictions put in to be found.
    pub planted: Vec<Plant>,
    /// Contradictions that the scene itself lists as intended.
    pub intended: Vec<Plant>,
}

#[derive(Default, Serialize)]
pub struct TrueEye {
    /// Frame widths.
    pub focal: f64,
    /// Degrees, looking up positive.
    pub pitch: f64,
    /// Degrees, right end of the horizon up positive.
    pub cant: f64,
    /// Per block name, degrees clockwise from straight ahead.
    pub headings: BTreeMap<String, f64>,
}

/// A marker's thing as painted.
#[derive(Serialize)]
pub struct TrueMarker {
    /// Horizontal run from the eye to its foot, metres.
    pub distance: f64,
    /// Length of its span, metres.
    pub size: f64,
}

/// A contradiction: what it is about, and what was done.
#[derive(Serialize)]
pub struct Plant {
    /// "marker", "line" or "overlap".
    pub about: &'static str,
    /// The marker's name, or the id of the line or overlap.
    pub name: String,
    pub what: String,
}
