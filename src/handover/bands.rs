//! Stains to pixels, a band of rows at a time.

use crate::HandoverError;
use crate::stains::Stain;
use rayon::prelude::*;
use std::ops::Range;
use vello_cpu::color::AlphaColor;
use vello_cpu::kurbo::Affine;
use vello_cpu::{Pixmap, RenderContext, Resources};

/// Pixels in a band. More take more memory, fewer lay each outline out more often.
const BAND: u32 = 1 << 21;

/// Paints a picture of `size` pixels from the top down, a band on each core at once, and hands over
/// its rows: red, green, blue and straight alpha, 8 bits each.
///
/// # Errors
/// When `take` does not go on.
pub(crate) fn paint(
    stains: &[Stain],
    (width, height): (u16, u32),
    take: &mut dyn FnMut(&[u8]) -> Result<(), HandoverError>,
) -> Result<(), HandoverError> {
    let band = (BAND / u32::from(width)).clamp(4, 4096).min(height) as u16;
    let mut painters: Vec<_> =
        (0..rayon::current_num_threads()).map(|_| Painter::new(width, band)).collect();
    let mut next = 0;
    while next < height {
        painters.par_iter_mut().enumerate().for_each(|(i, painter)| {
            let first = next + i as u32 * u32::from(band);
            painter.paint(stains, first, height.saturating_sub(first));
        });
        for painter in painters.iter().filter(|painter| painter.filled > 0) {
            take(painter.rows())?;
            next += u32::from(painter.filled);
        }
    }
    Ok(())
}

/// As [`paint`], of some of the picture's rows, and to the last bit as [`merge`] has the same stains: where
/// a band begins, coverage is rounded otherwise.
pub(crate) fn paint_rows(
    stains: &[Stain],
    (width, height): (u16, u32),
    rows: Range<u32>,
    take: &mut dyn FnMut(&[u8]) -> Result<(), HandoverError>,
) -> Result<(), HandoverError> {
    let band = merged_band(width, height);
    let mut painters = painters(width, band);
    let mut next = rows.start / band * band;
    while next < rows.end {
        painters.par_iter_mut().enumerate().for_each(|(i, painter)| {
            let first = next + i as u32 * band;
            painter.paint(stains, first, rows.end.saturating_sub(first));
        });
        for painter in painters.iter().filter(|painter| painter.filled > 0) {
            let above = 4 * usize::from(width) * rows.start.saturating_sub(next) as usize;
            take(&painter.rows()[above..])?;
            next += u32::from(painter.filled);
        }
    }
    Ok(())
}

fn painters(width: u16, band: u32) -> Vec<Painter> {
    (0..rayon::current_num_threads()).map(|_| Painter::new(width, band as u16)).collect()
}

/// Pixels of a band that several layers are merged in, which takes four times as much memory.
const MERGED: u32 = BAND / 4;

/// Rows of such a band.
fn merged_band(width: u16, height: u32) -> u32 {
    (MERGED / u32::from(width)).clamp(4, 4096).min(height)
}

/// Merges layers of stains from the undermost to the topmost over a ground, band by band, and hands over
/// 8-bit rows as [`paint`] does. `ground` fills rows from the one given on with red, green, blue and alpha,
/// 0 to 255, multiplied in. Each layer is rounded to 8 bits before, as it is where it stands alone.
///
/// # Errors
/// When `take` does not go on.
pub(crate) fn merge(
    layers: &[&[Stain]],
    (width, height): (u16, u32),
    ground: &dyn Fn(u32, &mut [[f32; 4]]),
    take: &mut dyn FnMut(&[u8]) -> Result<(), HandoverError>,
) -> Result<(), HandoverError> {
    let band = merged_band(width, height);
    let mut painters = painters(width, band);
    let row = usize::from(width);
    let at_once = band * painters.len() as u32;
    let mut light = vec![[0.0; 4]; row * at_once.min(height) as usize];
    let mut bytes = vec![0; 4 * light.len()];
    let mut next = 0;
    while next < height {
        let rows = at_once.min(height - next);
        let light = &mut light[..row * rows as usize];
        ground(next, light);
        let bands = light.par_chunks_mut(row * band as usize);
        painters.par_iter_mut().zip(bands).enumerate().for_each(|(i, (painter, light))| {
            let first = next + i as u32 * band;
            for stains in layers {
                painter.paint(stains, first, (light.len() / row) as u32);
                light.iter_mut().zip(painter.rows().as_chunks().0).for_each(|(l, p)| lay(l, *p));
            }
        });
        let bytes = &mut bytes[..4 * light.len()];
        for (light, byte) in light.iter().zip(bytes.as_chunks_mut().0) {
            *byte = straight(*light);
        }
        take(bytes)?;
        next += rows;
    }
    Ok(())
}

/// Lays a pixel with straight alpha over light with alpha multiplied in.
#[inline]
fn lay(light: &mut [f32; 4], over: [u8; 4]) {
    if over[3] == 0 {
        return;
    }
    let alpha = f32::from(over[3]) / 255.0;
    let [r, g, b, _] = over.map(f32::from);
    for (under, over) in light.iter_mut().zip([r, g, b, 255.0]) {
        *under += alpha * (over - *under);
    }
}

fn straight([r, g, b, a]: [f32; 4]) -> [u8; 4] {
    if a < 0.5 {
        return [0; 4];
    }
    [255.0 * r / a, 255.0 * g / a, 255.0 * b / a, a].map(|value| (value + 0.5) as u8)
}

/// Paints bands, one after the other into the same memory.
struct Painter {
    context: RenderContext,
    resources: Resources,
    pixels: Pixmap,
    /// Rows of the picture in `pixels`.
    filled: u16,
}

impl Painter {
    fn new(width: u16, rows: u16) -> Self {
        Self {
            context: RenderContext::new(width, rows),
            resources: Resources::new(),
            pixels: Pixmap::new(width, rows),
            filled: 0,
        }
    }

    /// Paints what lies in the rows from `first` on, at most `left` of them.
    fn paint(&mut self, stains: &[Stain], first: u32, left: u32) {
        self.filled = u32::from(self.pixels.height()).min(left) as u16;
        let (top, bottom) = (f64::from(first), f64::from(first + u32::from(self.filled)));
        self.context.reset();
        self.context.set_transform(Affine::translate((0.0, -top)));
        for stain in stains.iter().filter(|s| s.top < bottom && s.bottom > top) {
            let [r, g, b, a] = stain.colour.0;
            self.context.set_paint(AlphaColor::from_rgba8(r, g, b, a));
            self.context.fill_path(&stain.outline);
        }
        self.context.flush();
        self.context.render(&mut self.pixels, &mut self.resources);
        straighten(self.pixels.data_as_u8_slice_mut());
    }

    fn rows(&self) -> &[u8] {
        let row = 4 * usize::from(self.pixels.width());
        &self.pixels.data_as_u8_slice()[..row * usize::from(self.filled)]
    }
}

/// Takes the alpha out of the colours again, as PNG has it.
fn straighten(pixels: &mut [u8]) {
    for pixel in pixels.chunks_exact_mut(4) {
        let alpha = u32::from(pixel[3]);
        if alpha != 0 && alpha != 255 {
            for channel in &mut pixel[..3] {
                *channel = ((u32::from(*channel) * 255 + alpha / 2) / alpha).min(255) as u8;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_drawing::Colour;
    use vello_cpu::kurbo::{Circle, Shape};

    #[test]
    fn a_picture_of_many_bands_has_no_seams() {
        let outline = Circle::new((41.3, 29.8), 27.7).to_path(0.01);
        let stain = Stain { outline, colour: Colour([213, 94, 0, 200]), top: 2.1, bottom: 57.5 };
        let painted = |rows: u16| -> Vec<u8> {
            let mut painter = Painter::new(83, rows);
            let bands = (0..61).step_by(rows.into()).map(|first| {
                painter.paint(std::slice::from_ref(&stain), first, 61 - first);
                painter.rows().to_vec()
            });
            bands.collect::<Vec<_>>().concat()
        };
        let whole = painted(61);
        assert_eq!(whole.len(), 4 * 83 * 61);
        for rows in [1, 4, 7, 16, 60] {
            assert!(painted(rows) == whole, "in bands of {rows} rows");
        }
    }

    #[test]
    fn layers_are_merged_over_the_ground_as_each_stands_alone() {
        let stain = |at: f64, colour| {
            let outline = Circle::new((at, 31.2), 19.6).to_path(0.01);
            Stain { outline, colour: Colour(colour), top: 11.0, bottom: 51.5 }
        };
        let layers = [vec![stain(30.4, [213, 94, 0, 200])], vec![stain(50.7, [0, 114, 178, 90])]];
        let layers: Vec<&[Stain]> = layers.iter().map(|stains| &stains[..]).collect();
        let mut alone = Vec::new();
        for stains in &layers {
            let mut rows = Vec::new();
            let kept = paint(stains, (83, 61), &mut |band| {
                rows.extend_from_slice(band);
                Ok(())
            });
            kept.unwrap();
            alone.push(rows);
        }
        let ground = |first: u32, light: &mut [[f32; 4]]| {
            for (i, light) in light.iter_mut().enumerate() {
                let row = first as usize + i / 83;
                *light = if row < 20 { [0.0; 4] } else { [90.0, 60.0, 30.0, 255.0] };
            }
        };
        let mut merged = Vec::new();
        let kept = merge(&layers, (83, 61), &ground, &mut |band| {
            merged.extend_from_slice(band);
            Ok(())
        });
        kept.unwrap();
        assert_eq!(merged.len(), 4 * 83 * 61);
        for (i, pixel) in merged.as_chunks::<4>().0.iter().enumerate() {
            let mut expected = [[0.0; 4]];
            ground(i as u32 / 83, &mut expected);
            if i >= 83 * 20 {
                expected = [[90.0, 60.0, 30.0, 255.0]];
            }
            for layer in &alone {
                lay(&mut expected[0], layer[4 * i..4 * i + 4].try_into().unwrap());
            }
            assert_eq!(*pixel, straight(expected[0]), "pixel {i}");
        }
    }

    #[test]
    fn straight_colours_are_those_that_were_put_down() {
        let mut pixels = [0, 0, 0, 0, 64, 32, 0, 128, 9, 8, 7, 255, 5, 9, 2, 3];
        straighten(&mut pixels);
        assert_eq!(pixels, [0, 0, 0, 0, 128, 64, 0, 128, 9, 8, 7, 255, 255, 255, 170, 3]);
    }
}
