//! Ink that was mixed for a dark canvas, as it is put down on white paper.

use crate::{Colour, Drawing, Ink};

/// The same drawing for white paper: greys change places, so that light lines with dark edges become
/// dark lines with light ones; colours keep their hue and are deep enough to be seen.
#[must_use]
pub fn on_paper(mut drawing: Drawing) -> Drawing {
    for ink in drawing.groups.iter_mut().flat_map(|group| &mut group.ink) {
        match ink {
            Ink::Stroke { colour, .. } | Ink::Fill { colour, .. } => *colour = deep(*colour),
            Ink::Disc { colour, outline, .. } => {
                *colour = deep(*colour);
                if let Some((_, colour)) = outline {
                    *colour = deep(*colour);
                }
            }
            Ink::Words { colour, plate, .. } => {
                *colour = deep(*colour);
                if let Some(plate) = plate {
                    *plate = deep(*plate);
                }
            }
        }
    }
    drawing
}

/// Difference between the channels up to which a colour counts as a grey.
const GREYISH: u8 = 16;

/// Largest luminance of a coloured line on white, of 255: yellow and sky blue are lighter.
const LIGHTEST: f64 = 120.0;

fn deep(colour: Colour) -> Colour {
    let [r, g, b, a] = colour.0;
    let (least, most) = (r.min(g).min(b), r.max(g).max(b));
    if most - least <= GREYISH {
        // Not quite black, as black lines would outshout the colours.
        let turned = |c: u8| 25 + ((255 - u16::from(c)) * 230 / 255) as u8;
        return Colour([turned(r), turned(g), turned(b), a]);
    }
    // Weighted as in ITU-R BT.709, of the encoded values: near enough to choose by.
    let luminance = 0.2126 * f64::from(r) + 0.7152 * f64::from(g) + 0.0722 * f64::from(b);
    let share = (LIGHTEST / luminance.max(1.0)).min(1.0);
    let deeper = |c: u8| (f64::from(c) * share).round() as u8;
    Colour([deeper(r), deeper(g), deeper(b), a])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::palette::{DARK, WHITE, standing_colour};
    use crate::{Emphasis, SectionView, samples, section};
    use glam::DVec2;
    use staffage_scene::Standing;

    #[test]
    fn greys_change_places_and_colours_keep_their_hue() {
        assert!(deep(WHITE).0[0] < 40 && deep(DARK).0[0] > 220);
        let [r, g, b, _] = deep(standing_colour(Standing::Strained, false)).0;
        assert!(r > b && g > b && u16::from(r) + u16::from(g) < 300, "a deep yellow: {r} {g} {b}");
        let clear = Colour([0, 0, 0, 0]);
        assert_eq!(deep(clear).0[3], 0);
    }

    #[test]
    fn nothing_but_colours_is_changed() {
        let (scene, assessment) = samples::quay();
        let (emphasis, view) = (Emphasis::default(), SectionView::default());
        let size = DVec2::new(900.0, 240.0);
        let drawing = section(&scene, &assessment, &emphasis, &view, size).drawing;
        let paper = on_paper(drawing.clone());
        assert_eq!(paper.ink().count(), drawing.ink().count());
        let places = |drawing: &Drawing| -> Vec<Vec<DVec2>> {
            let points = drawing.ink().map(|ink| match ink {
                Ink::Stroke { points, .. } | Ink::Fill { points, .. } => points.to_vec(),
                Ink::Disc { centre, .. } => vec![*centre],
                Ink::Words { at, .. } => vec![*at],
            });
            points.collect()
        };
        assert_eq!(places(&paper), places(&drawing));
    }
}
