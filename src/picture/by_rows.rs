use crate::pixels::Size;
use crate::raster::Layout;

/// A picture at full depth that is worked out row by row, as it is written.
pub trait ByRows: Sync {
    /// Width and height.
    fn size(&self) -> Size;
    /// What the samples of its pixels are.
    fn layout(&self) -> Layout;
    /// The colour profile (ICC) that its samples are meant in.
    fn profile(&self) -> Option<&[u8]>;
    /// Whether its floating-point samples come from ones of 16 bits, so that nothing is gained by writing more.
    fn is_half(&self) -> bool;
    /// Works out rows from `first` on, as many as `out` has room for, on all cores. Rows below the last are
    /// left as they are. The same whichever way the rows are asked for, if `first` is a multiple of
    /// [`ROWS_AT_ONCE`].
    fn rows(&self, first: u32, out: &mut [u8]);

    /// Bytes of a row.
    fn row_bytes(&self) -> usize {
        self.size().width as usize * self.layout().bytes()
    }
}

/// Rows that one core works out at a time.
pub const ROWS_AT_ONCE: u32 = 32;
