//! The painting's flat tones as a layer, and as a strip of swatches.

use glam::DVec2;
use staffage_drawing::{Anchor, Colour, Drawing, Group, Ink};
use staffage_picture::{ByRows, Mass, Masses, Warp};

/// Height of the strip, and of what is written in it, points.
const HIGH: f64 = 34.0;
const LETTERS: f64 = 13.0;
/// Rows that are worked out at a time.
const ROWS: u32 = 64;

/// The strip along the lower edge of a frame of this shape: a swatch for each tone, from dark to light, all equally
/// wide, with their L* and how much of the picture they are, if `words` are wanted.
pub(crate) fn strip(tones: &[Mass], ratio: f64, points_per_unit: f64, words: bool) -> Drawing {
    let bottom = 0.5 / ratio;
    let top = bottom - HIGH / points_per_unit;
    let wide = 1.0 / tones.len().max(1) as f64;
    let mut ink = Vec::new();
    for (i, tone) in tones.iter().enumerate() {
        let left = -0.5 + i as f64 * wide;
        let corners = [(left, top), (left + wide, top), (left + wide, bottom), (left, bottom)];
        let grey = tone.grey;
        ink.push(Ink::Fill {
            points: corners.map(DVec2::from).into(),
            colour: Colour([grey, grey, grey, 255]),
        });
        if words {
            let on_it = if tone.lightness > 55.0 { 0 } else { 255 };
            ink.push(Ink::Words {
                at: DVec2::new(left + 0.5 * wide, 0.5 * (top + bottom)),
                offset: DVec2::ZERO,
                text: format!("L* {:.0} · {:.0} %", tone.lightness, 100.0 * tone.share),
                size: LETTERS,
                colour: Colour([on_it, on_it, on_it, 255]),
                plate: None,
                anchor: Anchor::Centre,
            });
        }
    }
    Drawing { groups: vec![Group { name: "tone-strip", about: None, ink }] }
}

/// Works out a painting in flat tones, some rows at a time: red, green, blue and straight alpha, 8 bits each.
pub(crate) fn flat<E>(
    warp: &Warp<'_>,
    masses: &Masses,
    take: &mut dyn FnMut(&[u8]) -> Result<(), E>,
) -> Result<(), E> {
    let (layout, height) = (warp.layout(), warp.size().height);
    let mut rows = vec![0; ByRows::row_bytes(warp) * ROWS.min(height) as usize];
    let mut flat = Vec::new();
    for first in (0..height).step_by(ROWS as usize) {
        let rows = &mut rows[..warp.row_bytes() * ROWS.min(height - first) as usize];
        warp.rows(first, rows);
        flat.clear();
        flat.extend(rows.chunks_exact(layout.bytes()).flat_map(|pixel| {
            let [grey, alpha] = masses.shown(pixel, layout);
            [grey, grey, grey, alpha]
        }));
        take(&flat)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_strip_has_its_swatches_side_by_side_along_the_lower_edge() {
        let mass = |lightness, share, grey| Mass { lightness, share, grey };
        let tones = [mass(20.0, 0.7, 48), mass(80.0, 0.3, 198)];
        let strip = strip(&tones, 2.0, 1600.0, true);
        let ink = &strip.groups[0].ink;
        assert_eq!(ink.len(), 4);
        let Ink::Fill { points, colour } = &ink[2] else { panic!("{ink:?}") };
        assert_eq!(points[0].x, 0.0);
        assert_eq!(points[2], DVec2::new(0.5, 0.25));
        assert_eq!(*colour, Colour([198, 198, 198, 255]));
        let Ink::Words { text, colour, .. } = &ink[1] else { panic!("{ink:?}") };
        assert_eq!((text.as_str(), colour.0[0]), ("L* 20 · 70 %", 255));
    }
}
