//! The world that a scene is in, which may be another one than ours.

use serde::{Deserialize, Serialize};
use staffage_solver::{EARTH_RADIUS, REFRACTION};

/// The world that the scene is in.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct World {
    /// Whether its surface curves.
    pub curvature: Curvature,
    /// Its radius, metres.
    pub radius: f64,
    /// Coefficient of refraction: the curvature of sight lines over that of the surface.
    pub refraction: f64,
}

impl Default for World {
    /// The earth, wherever the eye can see far enough.
    fn default() -> Self {
        Self { curvature: Curvature::WhereFelt, radius: EARTH_RADIUS, refraction: REFRACTION }
    }
}

impl World {
    pub(crate) fn is_earth(&self) -> bool {
        *self == Self::default()
    }
}

/// Whether the surface of the world curves.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Curvature {
    /// From a tenth of the horizon's distance on.
    #[default]
    WhereFelt,
    /// Everywhere.
    Everywhere,
    /// Nowhere: levels are planes.
    Nowhere,
}
