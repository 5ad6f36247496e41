//! Figures of known height as evidence of the horizon.

use crate::eye_parameters::{Layout, Parameter};
use crate::ray::{Ray, Slopes, rise_over};
use crate::seen::SparseRow;
use crate::{Eye, EyeEvidence, Side};
use glam::{DMat3, DVec2, DVec3};

/// A figure that says something of the horizon.
///
/// Let a level lie at the height y over the eye (below it y < 0), and let a figure of height S stand
/// on it at the horizontal distance D. Its foot's sight line rises by f = y / D for each unit of run,
/// its head's by h = (y + S) / D, so that h - f - S f / y = 0 whatever D is. With the clearance
/// c = |y| that is h - f + S f / c below the eye and h - f - S f / c above it; smooth where foot or
/// head cross the horizon. Own derivation.
pub(crate) struct SeenFigure {
    foot: DVec2,
    head: DVec2,
    size: f64,
    /// Standard deviation of ln of the size.
    size_spread: f64,
    pub(crate) level: usize,
    /// 1 below the eye, -1 above it.
    down: f64,
    /// Standard deviation of h - f + S f / c.
    pub(crate) sd: f64,
}

/// A rise per run with its derivatives by the picture point and the eye's own parameters.
struct SeenRise {
    value: f64,
    by_point: DVec2,
    by_eye: [f64; Parameter::EYE],
}

impl SeenRise {
    fn new(eye: &Eye, point: DVec2) -> Self {
        let ray = Ray::through(eye, point);
        let a = ray.at;
        // Straight below the eye a rise is without bounds; there the figure is let go.
        let run = a.x.hypot(a.z).max(1e-6 * a.length());
        let (value, gradient) = rise_over(a, run);
        let Slopes { by_point, by_eye } = ray.chain(gradient);
        Self { value, by_point, by_eye }
    }
}

impl SeenFigure {
    /// The figures of the evidence that say something.
    pub(crate) fn all(evidence: &EyeEvidence) -> Vec<Self> {
        let says = evidence.figures.iter().filter(|f| evidence.figure_says_something(f));
        says.map(|figure| Self {
            foot: figure.foot,
            head: figure.head,
            size: figure.size.value,
            size_spread: figure.size.spread.max(0.0),
            level: figure.level,
            down: match evidence.levels[figure.level].side {
                Side::Below => 1.0,
                Side::Above => -1.0,
            },
            sd: 1.0,
        })
        .collect()
    }

    /// h - f + S f / c (below the eye) with its derivatives.
    pub(crate) fn row(&self, eye: &Eye, ln_clearance: f64, layout: &Layout) -> SparseRow {
        let (foot, head) = (SeenRise::new(eye, self.foot), SeenRise::new(eye, self.head));
        let per_clearance = self.per_clearance(ln_clearance);
        let by_foot = per_clearance - 1.0;
        let mut row = SparseRow::new(head.value + by_foot * foot.value);
        for (i, (of_head, of_foot)) in std::iter::zip(head.by_eye, foot.by_eye).enumerate() {
            row.push(i, of_head + by_foot * of_foot);
        }
        if let Some(at) = layout.principal() {
            let by_principal = -(head.by_point + by_foot * foot.by_point);
            row.push(at, by_principal.x);
            row.push(at + 1, by_principal.y);
        }
        row.push(layout.clearance(self.level), -per_clearance * foot.value);
        row
    }

    /// Standard deviation that pointing and the spread of the size give that row.
    pub(crate) fn spread(&self, eye: &Eye, ln_clearance: f64, pointing: f64) -> f64 {
        let (foot, head) = (SeenRise::new(eye, self.foot), SeenRise::new(eye, self.head));
        let per_clearance = self.per_clearance(ln_clearance);
        let by_points =
            head.by_point.length().hypot((per_clearance - 1.0) * foot.by_point.length());
        (by_points * pointing).hypot(per_clearance * foot.value * self.size_spread)
    }

    /// Mean ln height of the figures on a level.
    pub(crate) fn mean_ln_size(figures: &[Self], level: usize) -> Option<f64> {
        let sizes = || figures.iter().filter(|f| f.level == level).map(|f| f.size.ln());
        let count = sizes().count();
        (count > 0).then(|| sizes().sum::<f64>() / count as f64)
    }

    /// S / c, negative above the eye.
    fn per_clearance(&self, ln_clearance: f64) -> f64 {
        self.down * self.size * (-ln_clearance.clamp(-60.0, 60.0)).exp()
    }
}

/// ln clearance at which the figures on a level agree best with an eye, each counting by how far it
/// is cut; `None` where they do not agree with any on its side.
pub(crate) fn ln_clearance_of(figures: &[SeenFigure], level: usize, eye: &Eye) -> Option<f64> {
    let (mut top, mut bottom) = (0.0, 0.0);
    for figure in figures.iter().filter(|f| f.level == level) {
        let foot = SeenRise::new(eye, figure.foot).value;
        let cut = figure.down * figure.size * foot;
        top -= cut * (SeenRise::new(eye, figure.head).value - foot);
        bottom += cut * cut;
    }
    let inverse = top / bottom;
    (inverse.is_finite() && inverse > 0.0).then(|| -inverse.ln())
}

/// The horizon, (a, b, c) with a u + b v + c = 0 in picture units, as three figures or more on one
/// level tell it where plumb lines run about parallel in the picture: there a figure's length over its
/// height grows in proportion to how far its foot is from the horizon. `None` where their feet lie in
/// one row.
pub(crate) fn horizon_of_figures(figures: &[SeenFigure]) -> Option<DVec3> {
    let level = figures.first()?.level;
    let mut normal = DMat3::ZERO;
    let mut right = DVec3::ZERO;
    for figure in figures.iter().filter(|f| f.level == level) {
        let at = figure.foot.extend(1.0);
        normal += DMat3::from_cols(at * at.x, at * at.y, at);
        right += at * (figure.foot.distance(figure.head) / figure.size);
    }
    let line = normal.inverse() * right;
    let tilted = line.truncate().length();
    (normal.determinant() > 1e-9 && tilted > 1e-9 * line.z.abs()).then(|| line / tilted)
}
