//! Families of lines in the sight of an eye.

use crate::eye_parameters::Parameter;
use crate::{Eye, Family, Headings, TracedLine};
use glam::{DVec2, DVec3};

/// One row of a least-squares problem: a residual and its derivatives by the few parameters that
/// move it, in rising order.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct SparseRow {
    pub(crate) residual: f64,
    slopes: [(usize, f64); Self::MOST],
    count: usize,
}

impl SparseRow {
    /// Focal length, pitch, cant, heading and slope of an incline, principal point.
    const MOST: usize = 7;

    pub(crate) fn new(residual: f64) -> Self {
        Self { residual, ..Self::default() }
    }

    pub(crate) fn push(&mut self, parameter: usize, slope: f64) {
        self.slopes[self.count] = (parameter, slope);
        self.count += 1;
    }

    pub(crate) fn slopes(&self) -> &[(usize, f64)] {
        &self.slopes[..self.count]
    }

    /// The row times a weight, one over its standard deviation.
    pub(crate) fn weighted(mut self, weight: f64) -> Self {
        self.residual *= weight;
        for (_, slope) in &mut self.slopes[..self.count] {
            *slope *= weight;
        }
        self
    }
}

/// A line that says something.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Aimed {
    /// Its place in the evidence.
    pub(crate) place: usize,
    /// Place of its family in the problem's list.
    pub(crate) family: usize,
    middle: DVec2,
    /// From the mid-point to its first end.
    half: DVec2,
}

impl Aimed {
    pub(crate) fn new(place: usize, family: usize, line: &TracedLine) -> Self {
        let (middle, half) = (0.5 * (line.from + line.to), 0.5 * (line.from - line.to));
        Self { place, family, middle, half }
    }
}

/// An eye with the families of the lines in its sight.
pub(crate) struct Seen {
    families: Vec<SeenFamily>,
    principal: Option<usize>,
}

/// From any mid-point towards the vanishing point of a family, with its derivatives.
struct SeenFamily {
    towards: Towards,
    by_eye: [Towards; Parameter::EYE],
    by_headings: [Option<(usize, Towards)>; 2],
}

/// (vx - vw mx, vy - vw my) for a homogeneous vanishing point v and any mid-point m.
#[derive(Clone, Copy)]
struct Towards {
    point: DVec2,
    depth: f64,
}

impl Towards {
    /// Of a direction in camera axes.
    fn new(eye: &Eye, direction: DVec3) -> Self {
        let depth = direction.z;
        Self { point: eye.focal * direction.truncate() + depth * eye.principal, depth }
    }

    fn from(self, middle: DVec2) -> DVec2 {
        self.point - self.depth * middle
    }
}

impl Seen {
    /// `principal` is the place of a free principal point among the parameters.
    pub(crate) fn new(
        eye: &Eye,
        headings: &Headings,
        families: &[Family],
        principal: Option<usize>,
    ) -> Self {
        let rotation = eye.rotation();
        let (sr, cr) = eye.cant.sin_cos();
        let seen = |family: &Family| {
            let direction = rotation * headings.direction(*family);
            let DVec3 { x, y, z } = direction;
            let by_pitch = DVec3::new(sr * z, cr * z, -(sr * x + cr * y));
            let by_cant = DVec3::new(y, -x, 0.0);
            let by_ln_focal = Towards { point: eye.focal * direction.truncate(), depth: 0.0 };
            let turned = headings.direction_derivatives(*family);
            let towards = |direction| Towards::new(eye, direction);
            SeenFamily {
                towards: towards(direction),
                by_eye: [by_ln_focal, towards(by_pitch), towards(by_cant)],
                by_headings: turned.map(|t| t.map(|(at, d)| (at, towards(rotation * d)))),
            }
        };
        let families = families.iter().map(seen).collect();
        Self { families, principal }
    }

    /// Derivatives of the homogeneous picture coordinates of a family's vanishing point, each with
    /// the index of its parameter.
    pub(crate) fn vanishing_point_slopes(&self, family: usize) -> Vec<(usize, DVec3)> {
        let family = &self.families[family];
        let point = |t: &Towards| t.point.extend(t.depth);
        let depth = family.towards.depth;
        let by_principal =
            self.principal.map(|at| [(at, depth * DVec3::X), (at + 1, depth * DVec3::Y)]);
        let by_eye = family.by_eye.iter().enumerate().map(|(at, t)| (at, point(t)));
        let by_headings = family.by_headings.iter().flatten().map(|(at, t)| (*at, point(t)));
        by_eye.chain(by_headings).chain(by_principal.into_iter().flatten()).collect()
    }

    /// Perpendicular distance of a line's first end from the line through its mid-point and the
    /// vanishing point, times a weight, with its derivatives; 0 where that point sits on the mid-point
    /// and every direction fits.
    pub(crate) fn row(&self, line: &Aimed, weight: f64) -> SparseRow {
        let family = &self.families[line.family];
        let towards = family.towards.from(line.middle);
        let length = towards.length();
        if length < 1e-12 {
            return SparseRow::default();
        }
        let scale = weight / length;
        let residual = line.half.perp_dot(towards) * scale;
        let gradient = line.half.perp() * scale - towards * (residual / (length * length));
        let slope = |moved: &Towards| gradient.dot(moved.from(line.middle));
        let mut row = SparseRow::new(residual);
        for (parameter, moved) in family.by_eye.iter().enumerate() {
            row.push(parameter, slope(moved));
        }
        for (parameter, moved) in family.by_headings.iter().flatten() {
            row.push(*parameter, slope(moved));
        }
        if let Some(at) = self.principal {
            let by_principal = family.towards.depth * gradient;
            row.push(at, by_principal.x);
            row.push(at + 1, by_principal.y);
        }
        row
    }
}

/// Distance of a picture point from the visible horizon, frame widths, below positive, with its
/// derivatives. The visible horizon is seen `dip` (radians) below the eye's level.
pub(crate) fn horizon_row(eye: &Eye, at: DVec2, dip: f64, principal: Option<usize>) -> SparseRow {
    let p = at - eye.principal;
    let (sr, cr) = eye.cant.sin_cos();
    let (tan, cos) = (eye.pitch.tan(), eye.pitch.cos());
    // A sight line of length |p| at the depression of the dip has sunk by sin(dip) |p|.
    let length = p.extend(eye.focal).length();
    let sunk = dip.sin() / cos;
    let mut row = SparseRow::new(p.x * sr + p.y * cr - eye.focal * tan - sunk * length);
    row.push(Parameter::LN_FOCAL, -eye.focal * tan - sunk * eye.focal * eye.focal / length);
    row.push(Parameter::PITCH, -eye.focal / (cos * cos) - sunk * length * tan);
    row.push(Parameter::CANT, p.x * cr - p.y * sr);
    if let Some(at) = principal {
        row.push(at, -sr + sunk * p.x / length);
        row.push(at + 1, -cr + sunk * p.y / length);
    }
    row
}
