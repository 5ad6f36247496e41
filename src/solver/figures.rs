//! Figures of known height as evidence of the horizon.

use crate::eye_parameters::{Layout, Parameter};
use crate::seen::SparseRow;
use crate::{Eye, EyeEvidence, Side};
use glam::{DMat3, DVec2, DVec3};

/// A figure that says something of the horizon.
///
/// Let a level lie at the height y over the eye (below it y < 0), and let a figure of height S stand
/// on it. The sight line p to its foot rises by m.p, m the scene's up direction in camera axes, and
/// reaches the level after y / (m.p) times its length; so the head is seen along p + (S / y) (m.p) m,
/// which is smooth where foot or head cross the horizon. With the clearance c = |y| that is
/// p - (S / c) (m.p) m below the eye and p + (S / c) (m.p) m above it. The residual is how far the
/// drawn head lies beyond the place where that is seen, along the drawn figure. Own derivation.
pub(crate) struct SeenFigure {
    /// Its place in the evidence.
    pub(crate) place: usize,
    foot: DVec2,
    head: DVec2,
    /// Unit direction from foot to head.
    upward: DVec2,
    size: f64,
    /// Standard deviation of ln of the size.
    size_spread: f64,
    pub(crate) level: usize,
    /// 1 below the eye, -1 above it.
    down: f64,
    /// Standard deviation of the residual, frame widths.
    pub(crate) sd: f64,
}

/// The residual of a figure with its gradients.
struct Excess {
    value: f64,
    /// By the sight line to the foot.
    by_foot: DVec3,
    /// By the scene's up direction.
    by_up: DVec3,
    /// By ln clearance, which is minus that by ln height.
    by_ln_clearance: f64,
    /// By ln focal length, the sight line to the foot held still.
    by_ln_focal: f64,
}

impl SeenFigure {
    /// The figures of the evidence that say something.
    pub(crate) fn all(evidence: &EyeEvidence) -> Vec<Self> {
        let all = evidence.figures.iter().enumerate();
        let says = all.filter(|(_, figure)| evidence.figure_says_something(figure));
        says.map(|(place, figure)| Self {
            place,
            foot: figure.foot,
            head: figure.head,
            upward: (figure.head - figure.foot).normalize(),
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

    /// How long it is drawn, frame widths.
    pub(crate) fn length(&self) -> f64 {
        self.foot.distance(self.head)
    }

    /// The residual, frame widths, with its derivatives.
    pub(crate) fn row(&self, eye: &Eye, ln_clearance: f64, layout: &Layout) -> SparseRow {
        let excess = self.excess(eye, ln_clearance);
        let (sr, cr) = eye.cant.sin_cos();
        let (se, ce) = eye.pitch.sin_cos();
        let mut row = SparseRow::new(excess.value);
        row.push(Parameter::LN_FOCAL, excess.by_ln_focal + excess.by_foot.z * eye.focal);
        row.push(Parameter::PITCH, excess.by_up.dot(DVec3::new(sr * se, cr * se, ce)));
        row.push(Parameter::CANT, excess.by_up.dot(DVec3::new(-cr * ce, sr * ce, 0.0)));
        if let Some(at) = layout.principal() {
            row.push(at, -self.upward.x - excess.by_foot.x);
            row.push(at + 1, -self.upward.y - excess.by_foot.y);
        }
        row.push(layout.clearance(self.level), excess.by_ln_clearance);
        row
    }

    /// Standard deviation that pointing and the spread of the height give the residual.
    pub(crate) fn spread(&self, eye: &Eye, ln_clearance: f64, pointing: f64) -> f64 {
        let excess = self.excess(eye, ln_clearance);
        let by_points = excess.by_foot.truncate().length().hypot(1.0);
        (by_points * pointing).hypot(excess.by_ln_clearance * self.size_spread)
    }

    fn excess(&self, eye: &Eye, ln_clearance: f64) -> Excess {
        /// Least depth of a head over that of its foot: what would be nearer is held here, so that
        /// nothing gets behind the eye on the way to the solution.
        const NEAREST: f64 = 0.05;
        let cut = self.down * self.size * (-ln_clearance.clamp(-60.0, 60.0)).exp();
        let foot = (self.foot - eye.principal).extend(eye.focal);
        let up = eye.rotation() * DVec3::Y;
        let rise = up.dot(foot);
        let head = foot - cut * rise * up;
        let depth = head.z.max(NEAREST * eye.focal);
        let seen = eye.focal / depth * head.truncate();
        let along = self.upward.dot(seen);
        let by_depth = if depth > head.z { 0.0 } else { along / depth };
        let by_head = (self.upward * (-eye.focal / depth)).extend(by_depth);
        let by_rise = -cut * up.dot(by_head);
        Excess {
            value: self.upward.dot(self.head - eye.principal) - along,
            by_foot: by_head + by_rise * up,
            by_up: by_rise * foot - cut * rise * by_head,
            by_ln_clearance: -rise * by_rise,
            // A depth that is held grows with the focal length.
            by_ln_focal: if depth > head.z { 0.0 } else { -along },
        }
    }

    /// Mean ln height of the figures on a level.
    pub(crate) fn mean_ln_size(figures: &[Self], level: usize) -> Option<f64> {
        let sizes = || figures.iter().filter(|f| f.level == level).map(|f| f.size.ln());
        let count = sizes().count();
        (count > 0).then(|| sizes().sum::<f64>() / count as f64)
    }
}

/// ln clearance at which the figures on a level agree best with an eye, each counting by how far it
/// is cut: the rise per run of a head is that of its foot times 1 - S / c. `None` where they do not
/// agree with any on its side.
pub(crate) fn ln_clearance_of(figures: &[SeenFigure], level: usize, eye: &Eye) -> Option<f64> {
    let rise = |point: DVec2| {
        let a = eye.ray(point);
        a.y / a.x.hypot(a.z)
    };
    let (mut top, mut bottom) = (0.0, 0.0);
    for figure in figures.iter().filter(|f| f.level == level) {
        let foot = rise(figure.foot);
        let cut = figure.down * figure.size * foot;
        top += cut * (foot - rise(figure.head));
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
