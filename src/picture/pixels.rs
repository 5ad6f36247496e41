//! A whole picture in memory, in 8-bit samples.

use std::fmt;

/// Width and height of a picture or a level, in its own pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Size {
    /// Columns.
    pub width: u32,
    /// Rows.
    pub height: u32,
}

impl Size {
    /// Width × height.
    pub fn pixels(self) -> u64 {
        u64::from(self.width) * u64::from(self.height)
    }

    /// Half of each, rounded up.
    pub(crate) fn halved(self) -> Self {
        Self { width: self.width.div_ceil(2), height: self.height.div_ceil(2) }
    }
}

impl fmt::Display for Size {
    /// As "10,000 × 4,255".
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} × {}", in_thousands(self.width), in_thousands(self.height))
    }
}

fn in_thousands(number: u32) -> String {
    let digits = number.to_string();
    let mut text = String::with_capacity(digits.len() + digits.len() / 3);
    for (index, digit) in digits.chars().enumerate() {
        if index > 0 && (digits.len() - index).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

/// What the samples of a pixel are. Opaque pictures are kept without alpha to save memory.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Channels {
    /// One: grey, opaque.
    Grey,
    /// Three: red, green, blue, opaque.
    Rgb,
    /// Four: red, green, blue premultiplied by alpha on the encoded values, and alpha.
    RgbaPremultiplied,
}

impl Channels {
    /// Samples, and so bytes, to a pixel.
    pub fn count(self) -> usize {
        match self {
            Self::Grey => 1,
            Self::Rgb => 3,
            Self::RgbaPremultiplied => 4,
        }
    }
}

/// A whole picture: rows from the top, pixels from the left, samples interleaved, 8-bit
/// sRGB-encoded, without padding. Never empty.
#[derive(Clone, PartialEq, Eq)]
pub struct Pixels {
    size: Size,
    channels: Channels,
    samples: Vec<u8>,
}

impl Pixels {
    /// A picture of these samples; None if it would be empty or their number does not fit the size.
    pub fn new(size: Size, channels: Channels, samples: Vec<u8>) -> Option<Self> {
        let expected = size.pixels().checked_mul(channels.count() as u64)?;
        (expected > 0 && samples.len() as u64 == expected).then_some(Self {
            size,
            channels,
            samples,
        })
    }

    /// Width and height.
    pub fn size(&self) -> Size {
        self.size
    }

    /// What the samples of a pixel are.
    pub fn channels(&self) -> Channels {
        self.channels
    }

    /// All samples.
    pub fn samples(&self) -> &[u8] {
        &self.samples
    }

    /// All samples, without copying.
    pub(crate) fn into_samples(self) -> Vec<u8> {
        self.samples
    }

    /// The samples of row `row` from column `start` up to, not including, column `end`.
    ///
    /// # Panics
    ///
    /// If any of them lies outside the picture.
    pub(crate) fn row(&self, row: u32, start: u32, end: u32) -> &[u8] {
        let count = self.channels.count();
        let first = row as usize * self.size.width as usize;
        &self.samples[(first + start as usize) * count..(first + end as usize) * count]
    }
}

impl fmt::Debug for Pixels {
    /// Leaves out the samples, of which there are millions.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { size, channels, samples: _ } = self;
        f.debug_struct("Pixels")
            .field("size", size)
            .field("channels", channels)
            .finish_non_exhaustive()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_written_with_thousands_apart() {
        assert_eq!(Size { width: 10_000, height: 4_255 }.to_string(), "10,000 × 4,255");
        assert_eq!(Size { width: 999, height: 1_234_567 }.to_string(), "999 × 1,234,567");
    }

    #[test]
    fn samples_must_fit_the_size() {
        let size = Size { width: 2, height: 3 };
        assert!(Pixels::new(size, Channels::Rgb, vec![0; 18]).is_some());
        assert!(Pixels::new(size, Channels::Rgb, vec![0; 17]).is_none());
        assert!(Pixels::new(Size { width: 0, height: 3 }, Channels::Grey, vec![]).is_none());
    }
}
