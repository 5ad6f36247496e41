//! Stains to a PNG, a band of rows at a time.

use crate::HandoverError;
use crate::stains::Stain;
use png::{BitDepth, ColorType, Compression, Encoder, EncodingError, Filter, SrgbRenderingIntent};
use rayon::prelude::*;
use std::io::{self, Write};
use std::ops::ControlFlow;
use vello_cpu::color::AlphaColor;
use vello_cpu::kurbo::Affine;
use vello_cpu::{Pixmap, RenderContext, Resources};

/// Pixels in a band. More take more memory, fewer lay each outline out more often.
const BAND: u32 = 1 << 21;

/// How much of a picture is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rows {
    /// Rows that are written.
    pub done: u32,
    /// Rows that it has.
    pub of: u32,
}

/// Writes the stains as a PNG of `size` pixels: 8 bits, sRGB, straight alpha, transparent where there
/// is no ink. After each band `watch` is told how far it is, and can ask to give up.
///
/// # Errors
/// When `out` cannot be written to, or `watch` breaks.
pub(crate) fn write(
    stains: &[Stain],
    size: (u16, u32),
    description: &str,
    out: &mut dyn Write,
    watch: &mut dyn FnMut(Rows) -> ControlFlow<()>,
) -> Result<(), HandoverError> {
    let (width, height) = size;
    let mut encoder = Encoder::new(out, width.into(), height);
    encoder.set_color(ColorType::Rgba);
    encoder.set_depth(BitDepth::Eight);
    encoder.set_compression(Compression::Fast);
    encoder.set_filter(Filter::Up);
    encoder.set_source_srgb(SrgbRenderingIntent::Perceptual);
    encoder.add_text_chunk("Software".into(), description.into()).map_err(plain)?;
    let mut writer = encoder.write_header().map_err(plain)?;
    let mut rows = writer.stream_writer().map_err(plain)?;

    let band = (BAND / u32::from(width)).clamp(4, 4096).min(height) as u16;
    let mut painters: Vec<_> =
        (0..rayon::current_num_threads()).map(|_| Painter::new(width, band)).collect();
    let mut next = 0;
    while next < height {
        painters.par_iter_mut().enumerate().for_each(|(i, painter)| {
            let first = next + i as u32 * u32::from(band);
            painter.paint(stains, first, height.saturating_sub(first));
        });
        for painter in &painters {
            rows.write_all(painter.rows())?;
            next += u32::from(painter.filled);
            if watch(Rows { done: next, of: height }).is_break() {
                return Err(HandoverError::Cancelled);
            }
        }
    }
    rows.finish().map_err(plain)?;
    writer.finish().map_err(plain)
}

/// What the encoder said, as an error of the system: it is given nothing that it could refuse.
fn plain(error: EncodingError) -> HandoverError {
    HandoverError::Unwritable(match error {
        EncodingError::IoError(error) => error,
        other => io::Error::other(other),
    })
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

    #[test]
    fn straight_colours_are_those_that_were_put_down() {
        let mut pixels = [0, 0, 0, 0, 64, 32, 0, 128, 9, 8, 7, 255, 5, 9, 2, 3];
        straighten(&mut pixels);
        assert_eq!(pixels, [0, 0, 0, 0, 128, 64, 0, 128, 9, 8, 7, 255, 255, 255, 170, 3]);
    }
}
