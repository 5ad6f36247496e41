//! Stains to pixels, a band of rows at a time.

use crate::HandoverError;
use crate::stains::Stain;
use rayon::prelude::*;
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
    fn straight_colours_are_those_that_were_put_down() {
        let mut pixels = [0, 0, 0, 0, 64, 32, 0, 128, 9, 8, 7, 255, 5, 9, 2, 3];
        straighten(&mut pixels);
        assert_eq!(pixels, [0, 0, 0, 0, 128, 64, 0, 128, 9, 8, 7, 255, 255, 255, 170, 3]);
    }
}
