//! A whole set: faces, thin things, people, birds, weather.

use crate::air::Weather;
use crate::figure::Figure;
use crate::mesh::Mesh;
use glam::{DVec3, Vec3};

pub(crate) struct Set {
    pub(crate) mesh: Mesh,
    pub(crate) weather: Weather,
    pub(crate) wires: Vec<Wire>,
    pub(crate) figures: Vec<Figure>,
    /// Birds on the wing: where, and wing span in metres.
    pub(crate) birds: Vec<(DVec3, f64)>,
}

/// A straight thin thing: cable, rail, lattice bar, pole.
#[derive(Clone, Copy)]
pub(crate) struct Wire {
    pub(crate) from: DVec3,
    pub(crate) to: DVec3,
    /// Thickness, metres.
    pub(crate) width: f64,
    pub(crate) albedo: Vec3,
}

/// A lattice girder between two points.
#[derive(Clone, Copy)]
pub(crate) struct Girder {
    pub(crate) from: DVec3,
    pub(crate) to: DVec3,
    /// Half of its width and of its depth, as vectors.
    pub(crate) side: DVec3,
    pub(crate) up: DVec3,
    pub(crate) bays: usize,
    /// Thickness of a chord, metres.
    pub(crate) bar: f64,
    pub(crate) albedo: Vec3,
}

impl Set {
    pub(crate) fn new(weather: Weather) -> Self {
        Self { mesh: Mesh::default(), weather, wires: vec![], figures: vec![], birds: vec![] }
    }

    pub(crate) fn wire(&mut self, from: DVec3, to: DVec3, width: f64, albedo: Vec3) {
        self.wires.push(Wire { from, to, width, albedo });
    }

    /// A railing on posts along the edge from one point to another.
    pub(crate) fn railing(
        &mut self,
        from: DVec3,
        to: DVec3,
        height: f64,
        spacing: f64,
        albedo: Vec3,
    ) {
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

    /// A lattice girder: four chords, braced in zigzag.
    pub(crate) fn lattice(&mut self, girder: &Girder) {
        let Girder { from, to, side, up, bays, bar, albedo } = *girder;
        let chords = [side + up, side - up, -side - up, -side + up];
        let at = |bay: usize| from.lerp(to, bay as f64 / bays as f64);
        for c in 0..4 {
            let (chord, next) = (chords[c], chords[(c + 1) % 4]);
            self.wire(from + chord, to + chord, bar, albedo);
            for bay in 0..bays {
                let (near, far) = if bay % 2 == 0 { (chord, next) } else { (next, chord) };
                self.wire(at(bay) + near, at(bay + 1) + far, bar * 0.55, albedo);
                self.wire(at(bay) + chord, at(bay) + next, bar * 0.5, albedo);
            }
        }
    }

    /// A cable that hangs between two points, `sag` metres below the straight line at its middle.
    pub(crate) fn cable(&mut self, from: DVec3, to: DVec3, sag: f64, width: f64, albedo: Vec3) {
        const PIECES: usize = 24;
        let point = |i: usize| hanging(from, to, sag, i as f64 / PIECES as f64);
        for i in 0..PIECES {
            self.wire(point(i), point(i + 1), width, albedo);
        }
    }
}

/// The point at share `t` of a cable that hangs as a parabola.
pub(crate) fn hanging(from: DVec3, to: DVec3, sag: f64, t: f64) -> DVec3 {
    from.lerp(to, t) - DVec3::Y * (4.0 * sag * t * (1.0 - t))
}
