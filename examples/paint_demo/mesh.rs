//! The set: flat faces with a surface, built from slabs, quads and drums.

use crate::surface::Surface;
use glam::DVec3;
use std::ops::Range;

/// One triangle of the set.
pub(crate) struct Triangle {
    pub(crate) corner: DVec3,
    pub(crate) edges: [DVec3; 2],
    pub(crate) normal: DVec3,
    /// Index into the set's surfaces.
    pub(crate) surface: usize,
    /// The flat face that it belongs to; strokes keep to one face.
    pub(crate) face: u32,
}

/// All faces of a set.
#[derive(Default)]
pub(crate) struct Mesh {
    pub(crate) triangles: Vec<Triangle>,
    pub(crate) surfaces: Vec<Surface>,
    faces: u32,
}

impl Mesh {
    pub(crate) fn surface(&mut self, surface: Surface) -> usize {
        self.surfaces.push(surface);
        self.surfaces.len() - 1
    }

    fn new_face(&mut self) -> u32 {
        self.faces += 1;
        self.faces
    }

    fn triangle(&mut self, a: DVec3, b: DVec3, c: DVec3, surface: usize, face: u32) {
        let edges = [b - a, c - a];
        if let Some(normal) = edges[0].cross(edges[1]).try_normalize() {
            self.triangles.push(Triangle { corner: a, edges, normal, surface, face });
        }
    }

    /// A flat polygon, its corners in order.
    pub(crate) fn polygon(&mut self, corners: &[DVec3], surface: usize) {
        let face = self.new_face();
        for pair in corners[1..].windows(2) {
            self.triangle(corners[0], pair[0], pair[1], surface, face);
        }
    }

    /// A strip between two rails of points that counts as one face (a hillside, a pipe's side).
    pub(crate) fn strip(&mut self, lower: &[DVec3], upper: &[DVec3], surface: usize) {
        let face = self.new_face();
        for (low, up) in lower.windows(2).zip(upper.windows(2)) {
            self.triangle(low[0], low[1], up[1], surface, face);
            self.triangle(low[0], up[1], up[0], surface, face);
        }
    }

    /// A round body that narrows from `low` to `high` radius.
    pub(crate) fn cone(&mut self, foot: DVec3, low: f64, high: f64, height: f64, surface: usize) {
        const SIDES: usize = 28;
        let ring = |radius: f64, y: f64| -> Vec<DVec3> {
            (0..=SIDES)
                .map(|i| {
                    let (s, c) = (i as f64 / SIDES as f64 * std::f64::consts::TAU).sin_cos();
                    foot + DVec3::new(radius * c, y, radius * s)
                })
                .collect()
        };
        let (bottom, top) = (ring(low, 0.0), ring(high, height));
        self.strip(&bottom, &top, surface);
        self.polygon(&top[..SIDES], surface);
    }

    /// A round pipe between two points.
    pub(crate) fn pipe(&mut self, from: DVec3, to: DVec3, radius: f64, surface: usize) {
        const SIDES: usize = 18;
        let along = (to - from).normalize_or(DVec3::X);
        let side = along.any_orthonormal_vector();
        let other = along.cross(side);
        let ring = |end: DVec3| -> Vec<DVec3> {
            (0..=SIDES)
                .map(|i| {
                    let (s, c) = (i as f64 / SIDES as f64 * std::f64::consts::TAU).sin_cos();
                    end + (side * c + other * s) * radius
                })
                .collect()
        };
        self.strip(&ring(from), &ring(to), surface);
        self.polygon(&ring(to)[..SIDES], surface);
        self.polygon(&ring(from)[..SIDES], surface);
    }
}

/// The axes of a block: coordinates along its receding-right and receding-left families.
#[derive(Clone, Copy)]
pub(crate) struct Axes {
    pub(crate) origin: DVec3,
    pub(crate) right: DVec3,
    pub(crate) left: DVec3,
}

impl Axes {
    /// Heading of the receding-right family, degrees clockwise from straight ahead.
    pub(crate) fn new(origin: DVec3, heading: f64) -> Self {
        let (s, c) = heading.to_radians().sin_cos();
        Self { origin, right: DVec3::new(s, 0.0, -c), left: DVec3::new(-c, 0.0, -s) }
    }

    /// The world point at `r` along right, `l` along left and height `y`.
    pub(crate) fn at(&self, r: f64, l: f64, y: f64) -> DVec3 {
        self.origin + self.right * r + self.left * l + DVec3::Y * y
    }

    /// A box between these bounds.
    pub(crate) fn slab(
        &self,
        mesh: &mut Mesh,
        r: Range<f64>,
        l: Range<f64>,
        y: Range<f64>,
        surface: usize,
    ) {
        let p = |i: usize| {
            self.at(
                if i & 1 == 0 { r.start } else { r.end },
                if i & 2 == 0 { l.start } else { l.end },
                if i & 4 == 0 { y.start } else { y.end },
            )
        };
        for face in
            [[0, 1, 3, 2], [4, 5, 7, 6], [0, 1, 5, 4], [2, 3, 7, 6], [0, 2, 6, 4], [1, 3, 7, 5]]
        {
            mesh.polygon(&face.map(p), surface);
        }
    }

    /// A roof with its ridge along right over these bounds.
    pub(crate) fn gable(
        &self,
        mesh: &mut Mesh,
        r: Range<f64>,
        l: Range<f64>,
        y: Range<f64>,
        surface: usize,
    ) {
        let middle = 0.5 * (l.start + l.end);
        let ridge = [self.at(r.start, middle, y.end), self.at(r.end, middle, y.end)];
        for side in [l.start, l.end] {
            let eave = [self.at(r.start, side, y.start), self.at(r.end, side, y.start)];
            mesh.polygon(&[eave[0], eave[1], ridge[1], ridge[0]], surface);
        }
        for (end, top) in [(r.start, ridge[0]), (r.end, ridge[1])] {
            mesh.polygon(
                &[self.at(end, l.start, y.start), self.at(end, l.end, y.start), top],
                surface,
            );
        }
    }
}
