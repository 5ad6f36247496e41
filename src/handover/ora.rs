//! The container of OpenRaster: a ZIP with its parts in the order that readers look for them (File Layout
//! Specification and Layers Stack Specification of openraster.org, baseline, version 0.0.3).

use crate::HandoverError;
use crate::png::Outlet;
use staffage_scene::Output;
use std::io::{self, Seek, SeekFrom, Write};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

/// What a file is known by before it is opened.
const MIME: &[u8] = b"image/openraster";
/// Parts that could become larger are announced with 64-bit sizes.
const LARGE: u64 = u32::MAX as u64 / 2;

/// A layer as the stack names it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Entry {
    pub(crate) name: String,
    /// Its part of the container.
    pub(crate) source: String,
    /// Where its upper left corner lies in the picture, pixels.
    pub(crate) x: u32,
    pub(crate) y: u32,
    /// Whether it is to be seen when the file is opened.
    pub(crate) visible: bool,
}

/// A container being written.
pub(crate) struct Container<'a> {
    zip: ZipWriter<Sink<'a>>,
}

impl<'a> Container<'a> {
    /// Begins with the part that must come first.
    pub(crate) fn new(out: &'a mut dyn Output) -> Result<Self, HandoverError> {
        let mut container =
            Self { zip: ZipWriter::new(Sink { out, failed: false, at: 0, end: 0 }) };
        container.part("mimetype", 0, &mut |out| Ok(out.write_all(MIME)?))?;
        Ok(container)
    }

    /// Writes a part, of at most so many bytes. Pictures are compressed already, so that every part is
    /// stored as it is.
    pub(crate) fn part(
        &mut self,
        name: &str,
        most: u64,
        fill: &mut dyn FnMut(&mut Outlet<'_>) -> Result<(), HandoverError>,
    ) -> Result<(), HandoverError> {
        let options = SimpleFileOptions::default()
            .compression_method(CompressionMethod::Stored)
            .large_file(most > LARGE);
        self.zip.start_file(name, options).map_err(io::Error::from)?;
        let mut outlet = Outlet::new(&mut self.zip);
        let filled = fill(&mut outlet);
        outlet.result(filled)
    }

    /// Writes the stack and what else belongs at the end.
    pub(crate) fn finish(
        mut self,
        size: (u32, u32),
        layers: &[Entry],
    ) -> Result<(), HandoverError> {
        let stack = stack(size, layers);
        self.part("stack.xml", 0, &mut |out| Ok(out.write_all(stack.as_bytes())?))?;
        let mut sink = self.zip.finish().map_err(io::Error::from)?;
        Ok(sink.flush()?)
    }
}

/// Where the bytes go. A container that fails would, when it is put away, try to end itself properly and
/// complain on standard error that it cannot; so after the first failure all goes nowhere, as if it went well.
struct Sink<'a> {
    out: &'a mut dyn Output,
    failed: bool,
    at: u64,
    end: u64,
}

impl Sink<'_> {
    fn keep<T>(&mut self, done: io::Result<T>) -> io::Result<T> {
        let interrupted = io::ErrorKind::Interrupted;
        self.failed |= done.as_ref().is_err_and(|error| error.kind() != interrupted);
        done
    }
}

impl Write for Sink<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let written = if self.failed { Ok(bytes.len()) } else { self.out.write(bytes) };
        let written = self.keep(written)?;
        self.at += written as u64;
        self.end = self.end.max(self.at);
        Ok(written)
    }

    fn flush(&mut self) -> io::Result<()> {
        if self.failed {
            return Ok(());
        }
        let flushed = self.out.flush();
        self.keep(flushed)
    }
}

impl Seek for Sink<'_> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        if !self.failed {
            let found = self.out.seek(to);
            self.at = self.keep(found)?;
            return Ok(self.at);
        }
        let place = match to {
            SeekFrom::Start(place) => Some(place),
            SeekFrom::Current(by) => self.at.checked_add_signed(by),
            SeekFrom::End(by) => self.end.checked_add_signed(by),
        };
        self.at = place.ok_or(io::ErrorKind::InvalidInput)?;
        Ok(self.at)
    }
}

/// The stack of layers, given from the undermost to the topmost.
fn stack((width, height): (u32, u32), layers: &[Entry]) -> String {
    let mut xml = format!(
        "<?xml version='1.0' encoding='UTF-8'?>\n<image version=\"0.0.3\" w=\"{width}\" h=\"{height}\">\n <stack>\n"
    );
    for Entry { name, source, x, y, visible } in layers.iter().rev() {
        let visibility = if *visible { "visible" } else { "hidden" };
        xml += &format!(
            "  <layer name=\"{}\" src=\"{source}\" x=\"{x}\" y=\"{y}\" opacity=\"1.0\" \
             visibility=\"{visibility}\" composite-op=\"svg:src-over\"/>\n",
            escaped(name)
        );
    }
    xml + " </stack>\n</image>\n"
}

/// Text for an attribute. What XML cannot hold at all is shown as a sign that something was there.
fn escaped(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => escaped += "&amp;",
            '<' => escaped += "&lt;",
            '>' => escaped += "&gt;",
            '"' => escaped += "&quot;",
            '\'' => escaped += "&apos;",
            c if c.is_control() || matches!(c, '\u{FFFE}' | '\u{FFFF}') => escaped.push('\u{FFFD}'),
            c => escaped.push(c),
        }
    }
    escaped
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_cannot_break_out_of_the_stack() {
        let hostile = "\"/><layer src='../x.png'/> & \u{1b}[31m \u{0} ünder";
        let entry =
            Entry { name: hostile.into(), source: "data/0.png".into(), x: 3, y: 4, visible: true };
        let xml = stack((40, 30), &[entry]);
        let document = roxmltree::Document::parse(&xml).unwrap();
        let layers: Vec<_> = document.descendants().filter(|n| n.has_tag_name("layer")).collect();
        assert_eq!(layers.len(), 1);
        let name = layers[0].attribute("name").unwrap();
        assert_eq!(name, hostile.replace(['\u{1b}', '\u{0}'], "\u{FFFD}"));
    }

    #[test]
    fn the_topmost_layer_comes_first() {
        let entry = |name: &str| Entry {
            name: name.into(),
            source: name.into(),
            x: 0,
            y: 0,
            visible: true,
        };
        let xml = stack((40, 30), &[entry("under"), entry("over")]);
        assert!(xml.find("over").unwrap() < xml.find("under").unwrap());
    }

    /// Has room for so many bytes.
    struct Full(io::Cursor<Vec<u8>>, usize);

    impl Write for Full {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            if self.0.get_ref().len() + bytes.len() > self.1 {
                return Err(io::ErrorKind::StorageFull.into());
            }
            self.0.write(bytes)
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }

    impl Seek for Full {
        fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
            self.0.seek(to)
        }
    }

    #[test]
    fn a_full_disk_is_told_as_the_system_tells_it() {
        for room in [0, 40, 120, 200, 400] {
            let mut full = Full(io::Cursor::default(), room);
            let written = Container::new(&mut full).and_then(|mut container| {
                container.part("data/0.png", 0, &mut |out| Ok(out.write_all(&[7; 100])?))?;
                container.finish((4, 3), &[])
            });
            let Err(HandoverError::Unwritable(error)) = written else { panic!("{room}") };
            assert_eq!(error.kind(), io::ErrorKind::StorageFull, "{room}");
        }
    }
}
