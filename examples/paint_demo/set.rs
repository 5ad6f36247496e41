//! A whole set: faces, thin things, people, birds, weather.

use crate::air::Weather;
use crate::figure::Figure;
use crate::mesh::Mesh;
use glam::{DVec3, Vec3};

pub struct Set {
    pub mesh: Mesh,
    pub weather: Weather,
    pub wires: Vec<Wire>,
    pub figures: Vec<Figure>,
    /// Birds on the wing: where, and wing span in metres.
    pub birds: Vec<(DVec3, f64)>,
}

/// A straight thin thing: cable, rail, lattice bar, pole.
#[derive(Clone, Copy)]
pub struct Wire {
    pub from: DVec3,
    pub to: DVec3,
    /// Thickness, metres.
    pub width: f64,
    pub albedo: Vec3,
}

impl Set {
    pub fn new(weather: Weather) -> Self {
        Self { mesh: Mesh::default(), weather, wires: vec![], figures: vec![], birds: vec![] }
    }

    pub fn wire(&mut self, from: DVec3, to: DVec3, width: f64, albedo: Vec3) {
        self.wires.push(Wire { from, to, width, albedo });
    }

    /// A railing on posts along the edge from one point to another.
    pub fn railing(&mut self, from: DVec3, to: DVec3, height: f64, spacing: f64, albedo: Vec3) {
        let posts = ((to - from).length() / spacing).ceil().max(1.0) as usize;
        for i in 0..=posts {
            let foot = from.lerp(to, i as f64 / posts as f64);
            self.wire(foot, foot + DVec3::Y * height, 0.055, albedo);
        }
        for share in [1.0, 0.55] {
            let up = DVec3::Y * height * share;
            self.wire(from + up, to + up, 0.05, albedo);
        }
    }

    /// A lattice girder: four chords between two ends, braced in zigzag. `side` and `up` are the
    /// half widths as vectors.
    pub fn lattice(
        &mut self,
        from: DVec3,
        to: DVec3,
        side: DVec3,
        up: DVec3,
        bays: usize,
        bar: f64,
        albedo: Vec3,
    ) {
        let chords = [side + up, side - up, -side - up, -side + up];
        for c in 0..4 {
            self.wire(from + chords[c], to + chords[c], bar, albedo);
            for bay in 0..bays {
                let (start, end) = (
                    from.lerp(to, bay as f64 / bays as f64),
                    from.lerp(to, (bay + 1) as f64 / bays as f64),
                );
                let (near, far) = if bay % 2 == 0 {
                    (chords[c], chords[(c + 1) % 4])
                } else {
                    (chords[(c + 1) % 4], chords[c])
                };
                self.wire(start + near, end + far, bar * 0.55, albedo);
                self.wire(start + chords[c], start + chords[(c + 1) % 4], bar * 0.5, albedo);
            }
        }
    }

    /// A cable that hangs between two points, `sag` metres below the straight line at its middle.
    pub fn cable(&mut self, from: DVec3, to: DVec3, sag: f64, width: f64, albedo: Vec3) {
        const PIECES: usize = 24;
        let point = |i: usize| hanging(from, to, sag, i as f64 / PIECES as f64);
        for i in 0..PIECES {
            self.wire(point(i), point(i + 1), width, albedo);
        }
    }
}

/// The point at share `t` of a cable that hangs as a parabola.
pub fn hanging(from: DVec3, to: DVec3, sag: f64, t: f64) -> DVec3 {
    from.lerp(to, t) - DVec3::Y * (4.0 * sag * t * (1.0 - t))
}
