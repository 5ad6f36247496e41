//! How much a picture file may ask for.

use crate::error::Excess;
use crate::pixels::Size;

/// Bounds on what a picture file may ask for, checked on its header before anything is allocated.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Limits {
    /// Most pixels (width × height).
    pub max_pixels: u64,
    /// Most bytes: of the file, and of its decoded samples at the depth the file stores them.
    pub max_bytes: u64,
}

impl Default for Limits {
    /// 500 megapixels and 8 GiB: room for 30,000 × 12,766 pixels (383 megapixels) in
    /// four floating-point channels (6.1 GB).
    fn default() -> Self {
        Self { max_pixels: 500_000_000, max_bytes: 8 << 30 }
    }
}

impl Limits {
    /// Refuses a picture of `size` whose decoded samples take `bytes`.
    pub(crate) fn check(&self, size: Size, bytes: u64) -> Result<(), Excess> {
        if size.pixels() > self.max_pixels {
            return Err(Excess::Pixels { size, max_pixels: self.max_pixels });
        }
        if bytes > self.max_bytes {
            return Err(Excess::Memory { size, bytes, max_bytes: self.max_bytes });
        }
        Ok(())
    }

    /// Refuses a file of `bytes` on the disk.
    pub(crate) fn check_file(&self, bytes: u64) -> Result<(), Excess> {
        if bytes > self.max_bytes {
            return Err(Excess::File { bytes, max_bytes: self.max_bytes });
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn delivery_sizes_are_allowed_at_any_depth() {
        let limits = Limits::default();
        for (width, height) in [(10_000, 4_255), (30_000, 12_766)] {
            let size = Size { width, height };
            let four_floats = size.pixels() * 16;
            assert_eq!(limits.check(size, four_floats), Ok(()));
        }
    }

    #[test]
    fn too_many_pixels_and_too_many_bytes_are_told_apart() {
        let limits = Limits { max_pixels: 100, max_bytes: 300 };
        let size = Size { width: 10, height: 10 };
        assert_eq!(limits.check(size, 300), Ok(()));
        assert!(matches!(limits.check(size, 301), Err(Excess::Memory { bytes: 301, .. })));
        let size = Size { width: 10, height: 11 };
        assert!(matches!(limits.check(size, 110), Err(Excess::Pixels { max_pixels: 100, .. })));
        assert!(matches!(limits.check_file(301), Err(Excess::File { bytes: 301, .. })));
    }
}
