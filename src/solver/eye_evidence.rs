//! What the eye is to be read from.

use crate::eye_prior::Prior;
use crate::{Family, Side, Stated};
use glam::DVec2;

/// A straight edge traced over the painting, picture units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TracedLine {
    /// The family it belongs to.
    pub family: Family,
    /// One end.
    pub from: DVec2,
    /// The other end.
    pub to: DVec2,
}

impl TracedLine {
    pub(crate) fn length(&self) -> f64 {
        self.from.distance(self.to)
    }

    /// Whether it is longer than the hand that traced it is unsteady, and within any picture.
    pub(crate) fn says_something(&self, pointing: f64) -> bool {
        is_readable(self.from, self.to, pointing)
    }
}

/// A figure (or anything else that stands upright) of known height on a level.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StandingFigure {
    /// Where it stands, picture units.
    pub foot: DVec2,
    /// Its top, picture units.
    pub head: DVec2,
    /// Its height, in the unit of all benchmarks.
    pub size: Stated,
    /// The level it stands on, by its place in [`EyeEvidence::levels`].
    pub level: usize,
}

/// A level on which figures stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FigureLevel {
    /// Whether it lies below or above the eye.
    pub side: Side,
    /// Height between it and the eye, if stated, in the unit of all benchmarks.
    pub clearance: Option<Stated>,
}

impl FigureLevel {
    /// ln of its clearance and the standard deviation of that, if stated so that it makes sense.
    pub(crate) fn ln_clearance(&self) -> Option<(f64, f64)> {
        let stated = self.clearance.filter(|c| c.value.is_finite() && c.value > 0.0)?;
        Some((stated.value.ln(), stated.spread.max(Prior::BY_HAND_SD)))
    }
}

/// Farthest from the frame's centre that a traced point can lie, frame widths: beyond this rounding
/// spoils the fit.
const FARTHEST: f64 = 1e4;

/// Whether two points are farther apart than the hand is unsteady, and within any picture.
fn is_readable(from: DVec2, to: DVec2, pointing: f64) -> bool {
    from.distance(to) > pointing && from.length() < FARTHEST && to.length() < FARTHEST
}

/// Where the optical axis meets the picture, picture units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PrincipalPoint {
    /// It is known: the frame's centre unless the picture was cropped from a larger one.
    Fixed(DVec2),
    /// The picture may have been cropped off-centre: the point is read from the lines. It takes
    /// three vanishing points that are not far off to tell it.
    Free,
}

impl Default for PrincipalPoint {
    fn default() -> Self {
        Self::Fixed(DVec2::ZERO)
    }
}

impl PrincipalPoint {
    /// Where it is taken to be before any line is looked at.
    pub(crate) fn assumed(self) -> DVec2 {
        match self {
            Self::Fixed(at) => at,
            Self::Free => DVec2::ZERO,
        }
    }
}

/// What the eye is to be read from.
#[derive(Clone, Debug, PartialEq)]
pub struct EyeEvidence {
    /// Traced lines. Lines shorter than the pointing precision say nothing and are passed over.
    pub lines: Vec<TracedLine>,
    /// Two points of the horizon, if it was traced, picture units.
    pub horizon: Option<[DVec2; 2]>,
    /// How far below the eye's level that horizon is seen, because the world curves, radians.
    pub dip: f64,
    /// Figures of known height: on one level, the heads of those as tall as the eye is high lie on
    /// the horizon, and all others are cut by it in proportion. What is told by a figure shorter than
    /// the pointing precision, or on a level that is not there, is passed over.
    pub figures: Vec<StandingFigure>,
    /// The levels on which they stand.
    pub levels: Vec<FigureLevel>,
    /// Standard deviation of one coordinate of a traced point, frame widths.
    pub pointing: f64,
    /// Principal point.
    pub principal: PrincipalPoint,
    /// Focal length set by hand, frame widths.
    pub focal: Option<f64>,
    /// Focal length that is assumed while nothing tells, frame widths: 1, and for a crop that of the frame it was
    /// cropped out of.
    pub assumed_focal: f64,
    /// Pitch set by hand, radians.
    pub pitch: Option<f64>,
    /// Cant set by hand, radians.
    pub cant: Option<f64>,
    /// For each block, its heading if set by hand, radians.
    pub blocks: Vec<Option<f64>>,
    /// For each incline, its heading and slope if set by hand, radians.
    pub inclines: Vec<[Option<f64>; 2]>,
}

impl EyeEvidence {
    /// No evidence at all, at this pointing precision: one block, nothing traced, nothing set.
    #[must_use]
    pub fn none(pointing: f64) -> Self {
        Self {
            lines: Vec::new(),
            horizon: None,
            dip: 0.0,
            figures: Vec::new(),
            levels: Vec::new(),
            pointing,
            principal: PrincipalPoint::default(),
            focal: None,
            assumed_focal: 1.0,
            pitch: None,
            cant: None,
            blocks: vec![None],
            inclines: Vec::new(),
        }
    }

    /// The traced horizon, if it lies within any picture.
    pub(crate) fn traced_horizon(&self) -> Option<[DVec2; 2]> {
        self.horizon.filter(|ends| ends.iter().all(|p| p.length() < FARTHEST))
    }

    /// Whether a figure tells anything.
    pub(crate) fn figure_says_something(&self, figure: &StandingFigure) -> bool {
        figure.level < self.levels.len()
            && figure.size.value.is_finite()
            && figure.size.value > 0.0
            && is_readable(figure.foot, figure.head, self.pointing)
    }
}
