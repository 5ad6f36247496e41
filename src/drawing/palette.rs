//! The colours, from the colour-blind-safe set of M. Okabe and K. Ito, "Color Universal Design"
//! (2008).

use crate::Colour;
use staffage_scene::{Family, Standing};

const ORANGE: Colour = Colour([230, 159, 0, 255]);
const SKY_BLUE: Colour = Colour([86, 180, 233, 255]);
const BLUISH_GREEN: Colour = Colour([0, 158, 115, 255]);
const YELLOW: Colour = Colour([240, 228, 66, 255]);
const VERMILLION: Colour = Colour([213, 94, 0, 255]);
/// Of stand-ins alone.
pub(crate) const BLUE: Colour = Colour([0, 114, 178, 255]);
/// Edges of stand-ins, and all of them on the section and the plan.
pub(crate) const GHOST: Colour = Colour([214, 236, 255, 255]);
const REDDISH_PURPLE: Colour = Colour([204, 121, 167, 255]);
pub(crate) const WHITE: Colour = Colour([255, 255, 255, 255]);
/// The dark that edges and plates are made of.
pub(crate) const DARK: Colour = Colour([18, 20, 24, 255]);
/// What is kept on purpose.
pub(crate) const GREY: Colour = Colour([172, 172, 172, 255]);
/// Inside of a ring.
pub(crate) const CLEAR: Colour = Colour([0, 0, 0, 0]);
/// Behind letters.
pub(crate) const PLATE: Colour = Colour([18, 20, 24, 205]);

/// The colour as letters on a plate have it: lighter, so that thin strokes keep their contrast.
pub(crate) fn on_plate(colour: Colour) -> Colour {
    let lighter = |c: u8| c + ((255 - c) as f64 * 0.35) as u8;
    let [r, g, b, a] = colour.0;
    Colour([lighter(r), lighter(g), lighter(b), a])
}

/// Colour of a family's lines and vanishing point.
#[must_use]
pub fn family_colour(family: Family) -> Colour {
    match family {
        Family::Upright => BLUISH_GREEN,
        Family::RecedingLeft(_) => ORANGE,
        Family::RecedingRight(_) => SKY_BLUE,
        Family::Incline(_) | Family::Run(_) => REDDISH_PURPLE,
    }
}

/// Colour of a standing; grey when it is kept on purpose.
#[must_use]
pub fn standing_colour(standing: Standing, intended: bool) -> Colour {
    if intended {
        return GREY;
    }
    match standing {
        Standing::Holds => BLUISH_GREEN,
        Standing::Strained => YELLOW,
        Standing::Contradicts | Standing::Impossible => VERMILLION,
        Standing::Unchecked => WHITE,
        Standing::Open => SKY_BLUE,
    }
}
