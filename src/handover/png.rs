//! Stains to a PNG.

use crate::stains::Stain;
use crate::{HandoverError, bands};
use png::{BitDepth, ColorType, Compression, Encoder, EncodingError, Filter, SrgbRenderingIntent};
use std::io::{self, Write};
use std::ops::ControlFlow;

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
    let mut outlet = Outlet::new(out);
    let encoded = encode(stains, size, description, &mut outlet, watch);
    outlet.result(encoded)
}

fn encode(
    stains: &[Stain],
    (width, height): (u16, u32),
    description: &str,
    out: &mut Outlet<'_>,
    watch: &mut dyn FnMut(Rows) -> ControlFlow<()>,
) -> Result<(), HandoverError> {
    let mut encoder = Encoder::new(out, width.into(), height);
    encoder.set_color(ColorType::Rgba);
    encoder.set_depth(BitDepth::Eight);
    // Ink is the same as above it or clear: with this filter the light compression comes within a half
    // of the heaviest, in a seventh of the time.
    encoder.set_compression(Compression::Fast);
    encoder.set_filter(Filter::Up);
    encoder.set_source_srgb(SrgbRenderingIntent::Perceptual);
    encoder.add_text_chunk("Software".into(), description.into())?;
    let mut writer = encoder.write_header()?;
    let mut rows = writer.stream_writer()?;
    let mut bytes = 0;
    bands::paint(stains, (width, height), &mut |pixels| {
        rows.write_all(pixels)?;
        bytes += pixels.len();
        let done = (bytes / (4 * usize::from(width))) as u32;
        match watch(Rows { done, of: height }) {
            ControlFlow::Continue(()) => Ok(()),
            ControlFlow::Break(()) => Err(HandoverError::Cancelled),
        }
    })?;
    rows.finish()?;
    Ok(writer.finish()?)
}

impl From<EncodingError> for HandoverError {
    fn from(error: EncodingError) -> Self {
        Self::Unwritable(error.into())
    }
}

/// Where the bytes go. The encoder tells of a failure in its own words, so the first is kept as the
/// system told it.
pub(crate) struct Outlet<'a> {
    out: &'a mut dyn Write,
    failure: Option<io::Error>,
}

impl<'a> Outlet<'a> {
    pub(crate) fn new(out: &'a mut dyn Write) -> Self {
        Self { out, failure: None }
    }

    /// What encoding came to, and why if it failed here.
    pub(crate) fn result(self, encoded: Result<(), HandoverError>) -> Result<(), HandoverError> {
        self.failure.map_or(encoded, |failure| Err(failure.into()))
    }
}

impl Outlet<'_> {
    fn keep<T>(&mut self, done: io::Result<T>) -> io::Result<T> {
        done.map_err(|error| {
            let kind = error.kind();
            if kind != io::ErrorKind::Interrupted {
                self.failure.get_or_insert(error);
            }
            kind.into()
        })
    }
}

impl Write for Outlet<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let written = self.out.write(bytes);
        self.keep(written)
    }

    fn flush(&mut self) -> io::Result<()> {
        let flushed = self.out.flush();
        self.keep(flushed)
    }
}
