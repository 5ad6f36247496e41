use crate::bounds::Bounds;
use glam::DVec2;

/// Width and height of a cell, points: about one label.
const CELL: DVec2 = DVec2::new(96.0, 32.0);

/// Most cells along one side, so that a huge page does not need a huge table.
const MOST_CELLS: usize = 256;

/// The places on a page that are taken, points from its upper left corner.
#[derive(Debug)]
pub(crate) struct Crowd {
    page: Bounds,
    cell: DVec2,
    columns: usize,
    rows: usize,
    cells: Vec<Vec<Bounds>>,
}

impl Crowd {
    /// An empty page.
    pub(crate) fn new(size: DVec2) -> Self {
        let cell = CELL.max(size / MOST_CELLS as f64);
        let columns = (size.x / cell.x).ceil().max(1.0) as usize;
        let rows = (size.y / cell.y).ceil().max(1.0) as usize;
        let page = Bounds { min: DVec2::ZERO, max: size };
        Self { page, cell, columns, rows, cells: vec![Vec::new(); columns * rows] }
    }

    pub(crate) fn page(&self) -> Bounds {
        self.page
    }

    /// Takes a place.
    pub(crate) fn take(&mut self, place: Bounds) {
        for cell in self.cells_under(place) {
            self.cells[cell].push(place);
        }
    }

    /// How much of a place is taken, square points; a place taken twice may count twice.
    pub(crate) fn taken(&self, place: Bounds) -> f64 {
        self.cells_under(place)
            .flat_map(|cell| &self.cells[cell])
            .map(|other| place.shared_area(*other))
            .sum()
    }

    fn cells_under(&self, place: Bounds) -> impl Iterator<Item = usize> + use<> {
        let index = |p: DVec2| {
            let cell = (p / self.cell).max(DVec2::ZERO);
            ((cell.x as usize).min(self.columns - 1), (cell.y as usize).min(self.rows - 1))
        };
        let ((left, top), (right, bottom)) = (index(place.min), index(place.max));
        let columns = self.columns;
        (top..=bottom).flat_map(move |row| (left..=right).map(move |column| row * columns + column))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_taken_place_is_found_from_any_cell_it_reaches_into() {
        let mut crowd = Crowd::new(DVec2::new(500.0, 500.0));
        crowd.take(Bounds::around(DVec2::splat(100.0), DVec2::splat(60.0)));
        assert!(crowd.taken(Bounds::around(DVec2::new(150.0, 150.0), DVec2::ONE)) > 0.0);
        assert!(crowd.taken(Bounds::around(DVec2::new(50.0, 50.0), DVec2::ONE)) > 0.0);
        assert_eq!(crowd.taken(Bounds::around(DVec2::new(300.0, 100.0), DVec2::ONE)), 0.0);
    }

    #[test]
    fn a_huge_page_has_a_small_table() {
        let crowd = Crowd::new(DVec2::splat(1e7));
        assert!(crowd.cells.len() <= (MOST_CELLS + 1) * (MOST_CELLS + 1));
    }
}
