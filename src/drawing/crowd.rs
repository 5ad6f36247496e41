use crate::bounds::Bounds;
use glam::DVec2;
use std::ops::Range;

/// Side of a cell, points: labels may overlap by about this much unnoticed.
const CELL: f64 = 3.0;

/// Most cells along one side, so that a huge page does not need a huge table.
const MOST_CELLS: f64 = 4096.0;

/// The places on a page that are taken, points from its upper left corner: one bit per cell, so
/// that a thousand labels can each try many places in the time of one frame.
#[derive(Debug)]
pub(crate) struct Crowd {
    page: Bounds,
    /// Width and height of a cell, points.
    cell: DVec2,
    columns: usize,
    rows: usize,
    /// 64 columns to a word; the words of the same columns lie one after the other, from the top.
    words: Vec<u64>,
}

impl Crowd {
    /// An empty page.
    pub(crate) fn new(size: DVec2) -> Self {
        let cell = (size / MOST_CELLS).max(DVec2::splat(CELL));
        let cells = (size / cell).ceil().max(DVec2::ONE);
        let (columns, rows) = (cells.x as usize, cells.y as usize);
        let page = Bounds { min: DVec2::ZERO, max: size };
        let words = vec![0; rows * columns.div_ceil(64)];
        Self { page, cell, columns, rows, words }
    }

    pub(crate) fn page(&self) -> Bounds {
        self.page
    }

    /// Takes a place.
    pub(crate) fn take(&mut self, place: Bounds) {
        let (columns, rows) = self.cells(place);
        for word in columns.start / 64..columns.end.div_ceil(64) {
            let mask = bits(&columns, word);
            for row in rows.clone() {
                self.words[word * self.rows + row] |= mask;
            }
        }
    }

    /// Whether nothing of a place is taken.
    pub(crate) fn is_free(&self, place: Bounds) -> bool {
        self.under(place).all(|(words, mask)| words.iter().all(|word| word & mask == 0))
    }

    /// How many cells of a place are taken.
    pub(crate) fn taken(&self, place: Bounds) -> u32 {
        let count = |(words, mask): (&[u64], u64)| -> u32 {
            words.iter().map(|word| (word & mask).count_ones()).sum()
        };
        self.under(place).map(count).sum()
    }

    /// The words under a place, one below the other, each time with the bits that belong to the place.
    fn under(&self, place: Bounds) -> impl Iterator<Item = (&[u64], u64)> {
        let (columns, rows) = self.cells(place);
        (columns.start / 64..columns.end.div_ceil(64)).map(move |word| {
            let first = word * self.rows;
            (&self.words[first + rows.start..first + rows.end], bits(&columns, word))
        })
    }

    /// The columns and rows of a place.
    fn cells(&self, place: Bounds) -> (Range<usize>, Range<usize>) {
        // Edges are rounded to the nearest cell: places that merely touch never share one.
        let edge =
            |at: f64, cell: f64, most: usize| ((at / cell + 0.5).max(0.0) as usize).min(most);
        let [left, right] = [place.min.x, place.max.x].map(|x| edge(x, self.cell.x, self.columns));
        let [top, bottom] = [place.min.y, place.max.y].map(|y| edge(y, self.cell.y, self.rows));
        // What has no extent, or is not finite, is nowhere.
        (left..right.max(left), top..bottom.max(top))
    }
}

/// Which of a word's 64 columns lie in the range.
fn bits(columns: &Range<usize>, word: usize) -> u64 {
    let below = |column: usize| match column.saturating_sub(64 * word) {
        0 => 0,
        n if n < 64 => (1_u64 << n) - 1,
        _ => u64::MAX,
    };
    below(columns.end) & !below(columns.start)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_taken_place_is_found_wherever_it_reaches() {
        let mut crowd = Crowd::new(DVec2::new(500.0, 500.0));
        crowd.take(Bounds::around(DVec2::splat(200.0), DVec2::splat(60.0)));
        for (x, y) in [(250.0, 250.0), (150.0, 150.0), (200.0, 200.0)] {
            let place = Bounds::around(DVec2::new(x, y), DVec2::splat(6.0));
            assert!(!crowd.is_free(place) && crowd.taken(place) >= 9, "{x} {y}");
        }
        let elsewhere = Bounds::around(DVec2::new(300.0, 100.0), DVec2::splat(30.0));
        assert!(crowd.is_free(elsewhere));
        assert_eq!(crowd.taken(elsewhere), 0);
    }

    #[test]
    fn places_that_touch_do_not_overlap() {
        for shift in 0..30 {
            let mut crowd = Crowd::new(DVec2::new(500.0, 100.0));
            let middle = DVec2::new(190.0 + 0.1 * f64::from(shift), 50.0);
            let half = DVec2::new(20.0, 10.0);
            crowd.take(Bounds::around(middle, half));
            assert!(crowd.is_free(Bounds::around(middle + DVec2::new(40.0, 0.0), half)));
            assert!(!crowd.is_free(Bounds::around(middle + DVec2::new(35.0, 0.0), half)));
        }
    }

    #[test]
    fn places_off_the_page_and_without_a_place_are_free() {
        let mut crowd = Crowd::new(DVec2::new(100.0, 100.0));
        for at in [DVec2::splat(-1e9), DVec2::splat(1e9), DVec2::NAN] {
            let place = Bounds::around(at, DVec2::splat(50.0));
            crowd.take(place);
            assert!(crowd.is_free(place), "{at}");
        }
    }

    #[test]
    fn a_huge_page_has_a_small_table() {
        let crowd = Crowd::new(DVec2::splat(1e7));
        assert!(crowd.words.len() <= 4097 * 65);
    }
}
