//! Pictures to files at full depth, as they are worked out: PNG where samples are whole numbers, OpenEXR where they are
//! floating point.

use crate::png::Outlet;
use crate::{HandoverError, Rows};
use exr::block::writer::ChunksWriter;
use exr::block::{self, UncompressedBlock, enumerate_ordered_header_block_indices};
use exr::meta::BlockDescription;
use exr::meta::attribute::{ChannelDescription, LineOrder, SampleType};
use exr::meta::header::Header;
use exr::prelude::{Compression as ExrCompression, SmallVec, f16};
use png::{BitDepth, ColorType, Compression, Encoder, Info, SrgbRenderingIntent};
use staffage_picture::{ByRows, Depth, Layout, ROWS_AT_ONCE};
use staffage_scene::Output;
use std::borrow::Cow;
use std::io::Write;
use std::ops::ControlFlow;

/// Bytes of a band of rows.
const BAND: usize = 1 << 24;

/// What is asked whether to go on.
type Watch<'a> = &'a mut dyn FnMut(Rows) -> ControlFlow<()>;

/// The ending of the format that keeps these samples.
#[must_use]
pub fn ending(depth: Depth) -> &'static str {
    if depth == Depth::Float { "exr" } else { "png" }
}

/// What takes bands of rows.
type Take<'a> = &'a mut dyn FnMut(&mut [u8]) -> Result<(), HandoverError>;

/// Writes a picture as it is worked out, a band of rows at a time: PNG with 8 or 16 bits and its colour profile, or
/// OpenEXR with 16 or 32, as its source has them. `watch` is told now and then how far it is, and can
/// ask to give up.
///
/// # Errors
/// [`HandoverError::Unwritable`] when `out` cannot be written to, [`HandoverError::Cancelled`] when `watch`
/// breaks. What was written by then is no picture.
pub fn write_warped(
    picture: &dyn ByRows,
    mut out: &mut dyn Output,
    watch: Watch<'_>,
) -> Result<(), HandoverError> {
    if picture.layout().depth == Depth::Float {
        return write_exr(picture, out, watch);
    }
    let mut outlet = Outlet::new(&mut out);
    let encoded = write_png(picture, &mut outlet, watch);
    outlet.result(encoded)
}

pub(crate) fn write_png(
    picture: &dyn ByRows,
    out: &mut Outlet<'_>,
    watch: Watch<'_>,
) -> Result<(), HandoverError> {
    let (size, Layout { depth, colour, alpha }) = (picture.size(), picture.layout());
    let mut info = Info::with_size(size.width, size.height);
    info.icc_profile = picture.profile().map(|profile| Cow::Owned(profile.to_vec()));
    let profiled = info.icc_profile.is_some();
    let mut encoder = Encoder::with_info(out, info)?;
    encoder.set_color(match (colour, alpha) {
        (false, false) => ColorType::Grayscale,
        (false, true) => ColorType::GrayscaleAlpha,
        (true, false) => ColorType::Rgb,
        (true, true) => ColorType::Rgba,
    });
    encoder.set_depth(if depth == Depth::Sixteen { BitDepth::Sixteen } else { BitDepth::Eight });
    encoder.set_compression(Compression::Fast);
    if !profiled {
        encoder.set_source_srgb(SrgbRenderingIntent::Perceptual);
    }
    let mut writer = encoder.write_header()?;
    let mut stream = writer.stream_writer()?;
    bands(picture, watch, &mut |band| {
        if depth == Depth::Sixteen {
            // The bytes of PNG's words have the greater first.
            for word in band.as_chunks_mut::<2>().0 {
                *word = u16::from_ne_bytes(*word).to_be_bytes();
            }
        }
        Ok(stream.write_all(band)?)
    })?;
    stream.finish()?;
    Ok(writer.finish()?)
}

/// Works the picture out, so many rows at a time that it is the same whichever way they are asked for, and hands
/// them over.
fn bands(picture: &dyn ByRows, watch: Watch<'_>, take: Take<'_>) -> Result<(), HandoverError> {
    let (row, of) = (picture.row_bytes().max(1), picture.size().height);
    let rows = ((BAND / row) as u32).clamp(64, 4096).next_multiple_of(ROWS_AT_ONCE);
    let mut band = vec![0; row * rows.min(of) as usize];
    let mut done = 0;
    while done < of {
        let rows = rows.min(of - done);
        let band = &mut band[..row * rows as usize];
        picture.rows(done, band);
        take(band)?;
        done += rows;
        if watch(Rows { done, of }).is_break() {
            return Err(HandoverError::Cancelled);
        }
    }
    Ok(())
}

/// Rows that are compressed together, of which bands hold a whole number.
const BLOCK: u32 = 16;
const _: () = assert!(ROWS_AT_ONCE.is_multiple_of(BLOCK));

fn write_exr(
    picture: &dyn ByRows,
    out: &mut dyn Output,
    watch: Watch<'_>,
) -> Result<(), HandoverError> {
    let half = picture.is_half();
    let header = header(picture, half);
    let blocks: Vec<_> =
        enumerate_ordered_header_block_indices(std::slice::from_ref(&header)).collect();
    let mut outcome = Ok(());
    const CHECKED: bool = true;
    let written = block::write(out, SmallVec::from_iter([header]), CHECKED, |meta, writer| {
        let mut compressor =
            writer.parallel_blocks_compressor(&meta).ok_or(exr::error::Error::Aborted)?;
        let mut blocks = blocks.into_iter();
        outcome = bands(picture, watch, &mut |band| {
            for rows in band.chunks(BLOCK as usize * picture.row_bytes()) {
                let Some((index, place)) = blocks.next() else { break };
                let data = planes(rows, picture, half);
                let block = UncompressedBlock { index: place, data };
                compressor.add_block_to_compression_queue(index, block).map_err(explained)?;
            }
            Ok(())
        });
        if outcome.is_ok() { Ok(()) } else { Err(exr::error::Error::Aborted) }
    });
    outcome.and(written.map_err(explained))
}

/// The channels in their order, which is that of their names, and where each is in a pixel.
fn channels(layout: Layout) -> &'static [(&'static str, usize)] {
    match (layout.colour, layout.alpha) {
        (true, true) => &[("A", 3), ("B", 2), ("G", 1), ("R", 0)],
        (true, false) => &[("B", 2), ("G", 1), ("R", 0)],
        // Readers look for red, green and blue.
        (false, true) => &[("A", 1), ("B", 0), ("G", 0), ("R", 0)],
        (false, false) => &[("B", 0), ("G", 0), ("R", 0)],
    }
}

fn header(picture: &dyn ByRows, half: bool) -> Header {
    let sample = if half { SampleType::F16 } else { SampleType::F32 };
    let named = |(name, _): &(&str, usize)| ChannelDescription::named(*name, sample);
    let channels = channels(picture.layout()).iter().map(named).collect();
    let size = (picture.size().width as usize, picture.size().height as usize);
    Header::new("painting".into(), size, channels).with_encoding(
        ExrCompression::ZIP16,
        BlockDescription::ScanLines,
        LineOrder::Increasing,
    )
}

/// Rows of interleaved pixels as OpenEXR has them: line by line, channel by channel.
fn planes(rows: &[u8], picture: &dyn ByRows, half: bool) -> Vec<u8> {
    let layout = picture.layout();
    let mut data = Vec::with_capacity(rows.len());
    for row in rows.chunks_exact(picture.row_bytes()) {
        for &(_, channel) in channels(layout) {
            let samples = row.as_chunks::<4>().0.iter().skip(channel).step_by(layout.channels());
            for &sample in samples {
                if half {
                    let value = f16::from_f32(f32::from_ne_bytes(sample));
                    data.extend_from_slice(&value.to_ne_bytes());
                } else {
                    data.extend_from_slice(&sample);
                }
            }
        }
    }
    data
}

fn explained(error: exr::error::Error) -> HandoverError {
    use std::io::Error;
    match error {
        exr::error::Error::Io(error) => error.into(),
        exr::error::Error::Aborted => HandoverError::Cancelled,
        exr::error::Error::NotSupported(why) | exr::error::Error::Invalid(why) => {
            Error::other(why.into_owned()).into()
        }
    }
}
