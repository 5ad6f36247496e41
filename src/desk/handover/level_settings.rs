use crate::handover::LevelAim;
use serde::{Deserialize, Serialize};

/// By how much an eye can be aimed otherwise in the window, degrees.
pub(crate) const TURNS: std::ops::RangeInclusive<f64> = -60.0..=60.0;

/// As which eye's picture a levelled copy is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum LevelStance {
    /// That of the eye without its cant.
    #[default]
    Level,
    /// That of the eye without pitch and cant.
    Plumb,
    /// That of the eye aimed a few degrees elsewhere.
    Aimed,
}

/// How levelled copies are written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct LevelSettings {
    /// As which eye's picture.
    pub stance: LevelStance,
    /// Farther up, where it is aimed elsewhere; degrees.
    pub pitch: f64,
    /// Farther to the right; degrees.
    pub heading: f64,
    /// The right end of the horizon farther up; degrees.
    pub cant: f64,
}

impl LevelSettings {
    /// How the painting is to be seen.
    pub(crate) fn aim(&self) -> LevelAim {
        let sane = |degrees: f64| if TURNS.contains(&degrees) { degrees } else { 0.0 };
        match self.stance {
            LevelStance::Level => LevelAim::Level,
            LevelStance::Plumb => LevelAim::Plumb,
            LevelStance::Aimed => {
                let [pitch, heading, cant] = [self.pitch, self.heading, self.cant].map(sane);
                LevelAim::By { pitch, heading, cant }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn angles_out_of_range_turn_nothing() {
        let wild = LevelSettings {
            stance: LevelStance::Aimed,
            pitch: f64::NAN,
            heading: 700.0,
            cant: -2.0,
        };
        assert_eq!(wild.aim(), LevelAim::By { pitch: 0.0, heading: 0.0, cant: -2.0 });
    }
}
