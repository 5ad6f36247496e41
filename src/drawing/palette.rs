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
/// Edges of stand-ins.
pub(crate) const GHOST: Colour = Colour([214, 236, 255, 255]);
/// Stand-ins on the section and the plan, whose ground may be dark, light or paper.
pub(crate) const GHOST_ON_SHEET: Colour = Colour([140, 176, 214, 255]);
const REDDISH_PURPLE: Colour = Colour([204, 121, 167, 255]);
pub(crate) const WHITE: Colour = Colour([255, 255, 255, 255]);
/// The dark that edges and plates are made of.
pub(crate) const DARK: Colour = Colour([18, 20, 24, 255]);
/// What is kept on purpose.
pub(crate) const GREY: Colour = Colour([172, 172, 172, 255]);
/// Inside of a ring.
pub(crate) const CLEAR: Colour = Colour([0, 0, 0, 0]);
/// Behind letters.
pub(crate) const PLATE: Colour = Colour([18, 20, 24, 222]);

/// The colour as letters on a plate have it: lighter, so that thin strokes keep their contrast.
pub(crate) fn on_plate(colour: Colour) -> Colour {
    let lighter = |c: u8| c + ((255 - c) as f64 * 0.45) as u8;
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

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_scene::{BlockId, InclineId};

    fn luminance(c: Colour) -> f64 {
        let linear = |v: u8| {
            let v = f64::from(v) / 255.0;
            if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055f64).powf(2.4) }
        };
        let [r, g, b, _] = c.0;
        0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b)
    }

    #[test]
    fn letters_can_be_read_on_a_plate_over_a_white_painting() {
        let [r, g, b, a] = PLATE.0;
        let over_white = |c: u8| (f64::from(c) * f64::from(a) / 255.0 + 255.0 - f64::from(a)) as u8;
        let plate = luminance(Colour([over_white(r), over_white(g), over_white(b), 255]));
        let families = [
            Family::Upright,
            Family::RecedingLeft(BlockId(1)),
            Family::RecedingRight(BlockId(1)),
            Family::Incline(InclineId(1)),
        ];
        let standings =
            [Standing::Holds, Standing::Strained, Standing::Contradicts, Standing::Open];
        let colours = families.map(family_colour).into_iter();
        for colour in colours.chain(standings.map(|s| standing_colour(s, false))).chain([GREY]) {
            let contrast = (luminance(on_plate(colour)) + 0.05) / (plate + 0.05);
            // WCAG 2.1, success criterion 1.4.3: at least 4.5 to 1, here with something to spare.
            assert!(contrast >= 6.0, "{colour:?}: {contrast:.2}");
        }
    }
}
