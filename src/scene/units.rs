use serde::{Deserialize, Serialize};

/// A foot in metres, exactly (international yard and pound agreement of 1959).
pub const FOOT: f64 = 0.3048;
/// An inch in metres: a twelfth of a foot.
pub const INCH: f64 = 0.0254;
/// A yard in metres: three feet.
pub const YARD: f64 = 0.9144;
/// A mile in metres: 5,280 feet.
pub const MILE: f64 = 1609.344;

/// What lengths are told in. That is a matter of telling alone: scenes hold metres.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Units {
    /// Centimetres, metres and kilometres.
    #[default]
    Metric,
    /// Inches, feet and inches, feet, and miles.
    Imperial,
}

impl Units {
    /// Both, metric first.
    pub const ALL: [Self; 2] = [Self::Metric, Self::Imperial];

    /// Its name in a command and in a file.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Metric => "metric",
            Self::Imperial => "imperial",
        }
    }

    /// The units of this name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|units| units.name() == name)
    }
}
