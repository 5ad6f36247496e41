//! Progressive JPEG, one component at a time.
//!
//! A decoder of progressive JPEG keeps the coefficients of the whole picture, of two bytes each, until its last
//! scan: where colours are not halved that is twice the picture, and once more for its pixels. But only the scans of
//! the first coefficients interleave components; all others hold one component each (ITU-T T.81, annex G.1.1.1.1). So
//! a file can be parted into three grey ones without being decoded: scans of one component go into its file as they
//! are, and from interleaved ones each component's codes, bit by bit. The decoder takes one after the other, and needs
//! two thirds of the picture for coefficients at a time.

use image::codecs::jpeg::JpegDecoder;
use image::{ColorType, ImageDecoder, Limits as DecoderLimits};
use rayon::prelude::*;
use std::io::Cursor;

const START_OF_IMAGE: [u8; 2] = [0xFF, 0xD8];
const END_OF_IMAGE: [u8; 2] = [0xFF, 0xD9];
const PROGRESSIVE: u8 = 0xC2;
const HUFFMAN_TABLES: u8 = 0xC4;
const QUANTISATION: u8 = 0xDB;
const SCAN: u8 = 0xDA;
const RESTART_INTERVAL: u8 = 0xDD;
const JFIF: u8 = 0xE0;
const ADOBE: u8 = 0xEE;
const COMPONENTS: usize = 3;

/// A progressive JPEG of three whole components, luma and two of colour, 8 bits each.
pub(crate) struct Parted<'a> {
    file: &'a [u8],
    pub(crate) width: u16,
    pub(crate) height: u16,
    /// Their names in the file, and their quantisation tables.
    components: [(u8, u8); COMPONENTS],
}

/// A segment: its marker, its contents, and the entropy-coded data behind it.
struct Segment<'a> {
    marker: u8,
    contents: &'a [u8],
    data: &'a [u8],
}

/// The segments between the start and the end of the image; None when something is amiss.
fn segments(file: &[u8]) -> Option<Vec<Segment<'_>>> {
    let mut segments = Vec::new();
    let mut rest = file.strip_prefix(&START_OF_IMAGE)?;
    loop {
        let (&[0xFF, marker], after) = rest.split_first_chunk::<2>()? else { return None };
        match marker {
            // A fill byte before a marker.
            0xFF => {
                rest = &rest[1..];
                continue;
            }
            0xD9 => return Some(segments),
            0x00..=0x01 | 0xD0..=0xD8 => return None,
            _ => {}
        }
        let length = usize::from(u16::from_be_bytes(*after.first_chunk()?));
        let contents = after.get(2..length)?;
        let behind = &after[length..];
        let coded = if marker == SCAN { coded_length(behind)? } else { 0 };
        let (data, next) = behind.split_at(coded);
        segments.push(Segment { marker, contents, data });
        rest = next;
    }
}

/// How far entropy-coded data goes: to the next marker that is no restart.
fn coded_length(data: &[u8]) -> Option<usize> {
    let mut at = 0;
    loop {
        at += data[at..].iter().position(|byte| *byte == 0xFF)?;
        match data.get(at + 1)? {
            0x00 | 0xD0..=0xD7 => at += 2,
            0xFF => at += 1,
            _ => return Some(at),
        }
    }
}

impl<'a> Parted<'a> {
    /// Takes a file if it is one that can be parted, and whose colours are luma and two differences.
    pub(crate) fn of(file: &'a [u8]) -> Option<Self> {
        let mut frame = None;
        let (mut jfif, mut transform) = (false, None);
        for Segment { marker, contents, .. } in segments(file)? {
            match marker {
                PROGRESSIVE if frame.is_none() => frame = Some(contents),
                // Another frame, arithmetic coding, a number of lines told later.
                0xC0..=0xC3 | 0xC5..=0xCF | 0xDC | 0xDE | 0xDF => return None,
                JFIF => jfif |= contents.starts_with(b"JFIF\0"),
                ADOBE if contents.starts_with(b"Adobe") => transform = contents.get(11).copied(),
                _ => {}
            }
        }
        let &[8, high, low, wide, narrow, 3, ref parts @ ..] = frame? else { return None };
        let (parts, []) = parts.as_chunks::<3>() else { return None };
        let parts: &[[u8; 3]; COMPONENTS] = parts.try_into().ok()?;
        let whole = parts.iter().all(|[_, sampling, table]| *sampling == 0x11 && *table < 4);
        let names = parts.map(|[name, ..]| name);
        let is_luma = match transform {
            Some(transform) => transform == 1,
            None => jfif || names == [1, 2, 3],
        };
        let distinct = names[0] != names[1] && names[1] != names[2] && names[0] != names[2];
        let (height, width) = (u16::from_be_bytes([high, low]), u16::from_be_bytes([wide, narrow]));
        let usable = whole && is_luma && distinct && height > 0 && width > 0;
        let components = parts.map(|[name, _, table]| (name, table));
        usable.then_some(Self { file, width, height, components })
    }

    /// The file of one component alone; None when something is amiss.
    fn alone(&self, component: usize) -> Option<Vec<u8>> {
        let (name, table) = self.components[component];
        let mut alone = START_OF_IMAGE.to_vec();
        let mut tables = Tables::default();
        let mut interval = 0;
        for Segment { marker, contents, data } in segments(self.file)? {
            match marker {
                PROGRESSIVE => {
                    let frame = [&contents[..5], &[1, name, 0x11, table]].concat();
                    put(&mut alone, marker, &frame);
                }
                HUFFMAN_TABLES => {
                    tables.read(contents)?;
                    put(&mut alone, marker, contents);
                }
                QUANTISATION => put(&mut alone, marker, contents),
                RESTART_INTERVAL => {
                    interval = u16::from_be_bytes(contents.try_into().ok()?);
                    put(&mut alone, marker, contents);
                }
                SCAN => {
                    let scan = Scan::read(contents)?;
                    let Some(at) = scan.parts.iter().position(|(part, _)| *part == name) else {
                        continue;
                    };
                    let header = [&[1, name, scan.parts[at].1][..], &scan.spectral].concat();
                    put(&mut alone, marker, &header);
                    if scan.parts.len() == 1 {
                        alone.extend_from_slice(data);
                    } else {
                        self.pick(&scan, at, &tables, (data, interval), &mut alone)?;
                    }
                }
                // Comments, profiles, thumbnails.
                _ => {}
            }
        }
        alone.extend(END_OF_IMAGE);
        Some(alone)
    }

    /// Copies one component's codes out of an interleaved scan, which holds first coefficients alone.
    fn pick(
        &self,
        scan: &Scan,
        wanted: usize,
        tables: &Tables,
        (data, interval): (&[u8], u16),
        out: &mut Vec<u8>,
    ) -> Option<()> {
        let [0, 0, approximation] = scan.spectral else { return None };
        let is_first = approximation >> 4 == 0;
        let mut codes = Vec::new();
        for (_, table) in &scan.parts {
            codes.push(tables.0[usize::from(table >> 4) & 3].as_ref());
        }
        let blocks = |side: u16| u64::from(side).div_ceil(8);
        let mut left = blocks(self.width) * blocks(self.height);
        let (mut reader, mut writer) = (Bits::of(data), Writer { out, bits: 0, count: 0 });
        let mut restarts = 0_u8;
        while left > 0 {
            let run = if interval > 0 { left.min(interval.into()) } else { left };
            for _ in 0..run {
                for (part, code) in codes.iter().enumerate() {
                    let (bits, count) =
                        if is_first { reader.difference((*code)?)? } else { (reader.take(1)?, 1) };
                    if part == wanted {
                        writer.put(bits, count);
                    }
                }
            }
            writer.fill();
            left -= run;
            if left > 0 {
                reader.restart(restarts)?;
                writer.out.extend([0xFF, 0xD0 + restarts]);
                restarts = (restarts + 1) % 8;
            }
        }
        Some(())
    }

    /// The pixels, red, green and blue, of 8 bits each; None when something is amiss, or when `stop` says so.
    pub(crate) fn decode(&self, stop: &dyn Fn() -> bool) -> Option<Vec<u8>> {
        let pixels = usize::from(self.width) * usize::from(self.height);
        let mut planes = Vec::new();
        for component in 0..COMPONENTS {
            let alone = self.alone(component)?;
            let mut decoder = JpegDecoder::new(Cursor::new(&alone[..])).ok()?;
            decoder.set_limits(DecoderLimits::no_limits()).ok()?;
            let size = (u32::from(self.width), u32::from(self.height));
            if decoder.color_type() != ColorType::L8 || decoder.dimensions() != size || stop() {
                return None;
            }
            let mut plane = vec![0; pixels];
            decoder.read_image(&mut plane).ok()?;
            planes.push(plane);
        }
        let planes: [Vec<u8>; COMPONENTS] = planes.try_into().ok()?;
        let mut rgb = vec![0; COMPONENTS * pixels];
        const AT_ONCE: usize = 1 << 16;
        let [luma, blue, red] = planes.each_ref().map(|plane| plane.par_chunks(AT_ONCE));
        let chunks = rgb.par_chunks_mut(COMPONENTS * AT_ONCE);
        chunks.zip(luma).zip(blue).zip(red).for_each(|(((rgb, luma), blue), red)| {
            let differences = blue.iter().zip(red);
            for ((rgb, y), (cb, cr)) in rgb.as_chunks_mut().0.iter_mut().zip(luma).zip(differences)
            {
                *rgb = to_rgb(*y, *cb, *cr);
            }
        });
        Some(rgb)
    }
}

/// From luma and two differences to colours (ITU-T T.871, 7), in steps of 1/65,536.
#[inline]
fn to_rgb(y: u8, cb: u8, cr: u8) -> [u8; 3] {
    const HALF: i32 = 1 << 15;
    let (y, cb, cr) = ((i32::from(y) << 16) + HALF, i32::from(cb) - 128, i32::from(cr) - 128);
    let red = y + 91_881 * cr;
    let green = y - 22_554 * cb - 46_802 * cr;
    let blue = y + 116_130 * cb;
    [red, green, blue].map(|value| (value >> 16).clamp(0, 255) as u8)
}

/// Writes a segment.
fn put(out: &mut Vec<u8>, marker: u8, contents: &[u8]) {
    out.extend([0xFF, marker]);
    out.extend((contents.len() as u16 + 2).to_be_bytes());
    out.extend_from_slice(contents);
}

/// What a scan's header says.
struct Scan {
    /// The names of its components, and which tables they use.
    parts: Vec<(u8, u8)>,
    /// First and last coefficient, and the bits of them.
    spectral: [u8; 3],
}

impl Scan {
    fn read(contents: &[u8]) -> Option<Self> {
        let (&count, rest) = contents.split_first()?;
        let count = usize::from(count);
        let (parts, spectral) = rest.split_at_checked(2 * count)?;
        let parts: Vec<_> =
            parts.as_chunks::<2>().0.iter().map(|[name, table]| (*name, *table)).collect();
        let usable = (1..=COMPONENTS).contains(&count);
        usable.then_some(Self { parts, spectral: spectral.try_into().ok()? })
    }
}

/// The Huffman tables of first coefficients that are known so far.
#[derive(Default)]
struct Tables([Option<Codes>; 4]);

/// What each code of a Huffman table means (ITU-T T.81, annex F.2.2.3).
struct Codes {
    /// For each length from 1 bit: the last code of it, if there is any, and how far its values lie behind.
    lengths: [(i32, i32); 16],
    values: Vec<u8>,
}

impl Tables {
    fn read(&mut self, mut contents: &[u8]) -> Option<()> {
        while let Some((&place, rest)) = contents.split_first() {
            let (counts, rest) = rest.split_first_chunk::<16>()?;
            let count = counts.iter().map(|count| usize::from(*count)).sum();
            let (values, rest) = rest.split_at_checked(count)?;
            if place >> 4 == 0 {
                let table = self.0.get_mut(usize::from(place))?;
                *table = Some(Codes::new(counts, values));
            }
            contents = rest;
        }
        Some(())
    }
}

impl Codes {
    fn new(counts: &[u8; 16], values: &[u8]) -> Self {
        let (mut code, mut before) = (0_i32, 0_i32);
        let lengths = counts.map(|count| {
            let count = i32::from(count);
            let length = if count > 0 { (code + count - 1, before - code) } else { (-1, 0) };
            code = (code + count) << 1;
            before += count;
            length
        });
        Self { lengths, values: values.to_vec() }
    }
}

/// Reads bits of entropy-coded data, the greater ones first.
struct Bits<'a> {
    data: &'a [u8],
    at: usize,
    bits: u32,
    count: u32,
}

impl<'a> Bits<'a> {
    fn of(data: &'a [u8]) -> Self {
        Self { data, at: 0, bits: 0, count: 0 }
    }

    fn take(&mut self, wanted: u32) -> Option<u32> {
        while self.count < wanted {
            let byte = *self.data.get(self.at)?;
            self.at += 1;
            if byte == 0xFF {
                if *self.data.get(self.at)? != 0 {
                    return None;
                }
                self.at += 1;
            }
            self.bits = self.bits << 8 | u32::from(byte);
            self.count += 8;
        }
        self.count -= wanted;
        Some(self.bits >> self.count & ((1 << wanted) - 1))
    }

    /// A difference of first coefficients: its code and the bits that follow, and how many they are.
    fn difference(&mut self, codes: &Codes) -> Option<(u32, u32)> {
        let mut code = 0_u32;
        for (length, (last, behind)) in (1..).zip(codes.lengths) {
            code = code << 1 | self.take(1)?;
            if code as i32 <= last {
                let more = u32::from(*codes.values.get((code as i32 + behind) as usize)?);
                if more > 11 {
                    return None;
                }
                return Some((code << more | self.take(more)?, length + more));
            }
        }
        None
    }

    /// Passes the restart marker of this number.
    fn restart(&mut self, number: u8) -> Option<()> {
        self.count = 0;
        while self.data.get(self.at..self.at + 2)? == [0xFF, 0xFF] {
            self.at += 1;
        }
        let is_it = self.data.get(self.at..self.at + 2)? == [0xFF, 0xD0 + number];
        self.at += 2;
        is_it.then_some(())
    }
}

/// Writes bits as entropy-coded data.
struct Writer<'a> {
    out: &'a mut Vec<u8>,
    bits: u64,
    count: u32,
}

impl Writer<'_> {
    fn put(&mut self, bits: u32, count: u32) {
        self.bits = self.bits << count | u64::from(bits);
        self.count += count;
        while self.count >= 8 {
            self.count -= 8;
            let byte = (self.bits >> self.count) as u8;
            self.out.push(byte);
            if byte == 0xFF {
                self.out.push(0);
            }
        }
    }

    /// Fills the last byte with ones.
    fn fill(&mut self) {
        if self.count > 0 {
            let missing = 8 - self.count;
            self.put((1 << missing) - 1, missing);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{DynamicImage, ImageFormat};

    /// Made by libjpeg-turbo (by way of Pillow 12), 131 × 83 px, colours whole; the second with a restart marker
    /// after every seven blocks.
    const FILES: [&[u8]; 2] = [
        include_bytes!("tests/reference/progressive.jpg"),
        include_bytes!("tests/reference/progressive_restarts.jpg"),
    ];

    fn never() -> bool {
        false
    }

    #[test]
    fn a_picture_in_parts_is_the_one_that_is_decoded_as_a_whole() {
        for file in FILES {
            let whole = image::load_from_memory(file).expect("a picture").into_rgb8();
            let parted = Parted::of(file).expect("one that can be parted");
            assert_eq!((parted.width, parted.height), (131, 83));
            let rgb = parted.decode(&never).expect("nothing is amiss");
            let worst = rgb.iter().zip(whole.as_raw()).map(|(a, b)| a.abs_diff(*b)).max();
            assert!(worst <= Some(1), "colours are rounded otherwise at most: {worst:?}");
        }
    }

    #[test]
    fn each_part_is_a_grey_picture_of_its_own() {
        let parted = Parted::of(FILES[1]).expect("one that can be parted");
        for component in 0..COMPONENTS {
            let alone = parted.alone(component).expect("nothing is amiss");
            let picture = image::load_from_memory(&alone).expect("a picture");
            assert!(matches!(picture, DynamicImage::ImageLuma8(_)));
        }
    }

    #[test]
    fn what_is_not_progressive_or_has_other_components_is_left_to_the_plain_way() {
        let picture = image::load_from_memory(FILES[0]).expect("a picture");
        let mut plain = Cursor::new(Vec::new());
        picture.write_to(&mut plain, ImageFormat::Jpeg).expect("encoded");
        assert!(Parted::of(plain.get_ref()).is_none());
        let frame =
            FILES[0].windows(2).position(|two| two == [0xFF, PROGRESSIVE]).expect("a frame");
        for (at, value) in [(4, 12), (9, 1), (11, 0x22), (10, 2)] {
            let mut other = FILES[0].to_vec();
            assert_ne!(other[frame + at], value);
            other[frame + at] = value;
            assert!(Parted::of(&other).is_none(), "{at}");
        }
    }

    #[test]
    fn spoilt_files_are_left_to_the_plain_way_and_never_end_the_program() {
        for file in FILES {
            for cut in (0..file.len()).step_by(61) {
                assert!(Parted::of(&file[..cut]).is_none(), "{cut}");
            }
            let mut state = 1_u32;
            for _ in 0..400 {
                let mut spoilt = file.to_vec();
                for _ in 0..2 {
                    state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                    let at = state as usize / 7 % spoilt.len();
                    spoilt[at] ^= (state >> 24) as u8 | 1;
                }
                if let Some(parted) = Parted::of(&spoilt)
                    && u32::from(parted.width) * u32::from(parted.height) < 1 << 18
                {
                    parted.decode(&never);
                }
            }
        }
    }

    #[test]
    fn it_can_be_given_up() {
        assert!(Parted::of(FILES[0]).expect("a picture").decode(&|| true).is_none());
    }
}
