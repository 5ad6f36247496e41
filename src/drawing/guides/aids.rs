use staffage_scene::{BlockId, LevelId};

/// The guides that are only shown, and belong to no scene.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Aids {
    /// The grid on a level.
    pub grid: Option<GroundGrid>,
    /// Rays of every vanishing point across the frame.
    pub fans: bool,
    /// The measuring points of the families that recede.
    pub measuring_points: bool,
}

/// Which level has a grid, and how it is turned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GroundGrid {
    /// The level it lies on.
    pub level: LevelId,
    /// The block whose families its lines run along.
    pub block: BlockId,
}
