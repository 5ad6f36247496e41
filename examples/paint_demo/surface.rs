//! What faces are made of: colour, pattern, wetness, and how a brush would follow them.

use crate::chance::{cell, clouded, noise};
use crate::colour::step;
use glam::{DVec3, Vec3};

/// A surface of the set.
#[derive(Clone)]
pub(crate) struct Surface {
    /// Share of light thrown back, per channel.
    pub(crate) albedo: Vec3,
    pub(crate) pattern: Pattern,
    /// Share of mirror reflection at grazing sight, 0 to 1.
    pub(crate) wet: f32,
    /// Light given off (lamps, lit panes).
    pub(crate) glow: Vec3,
    pub(crate) grain: Grain,
}

/// Which way strokes run on a surface.
#[derive(Clone, Copy)]
pub(crate) enum Grain {
    /// Up and down.
    Plumb,
    /// Level, along the face.
    Level,
    /// Along this world direction.
    Along(DVec3),
}

/// Variation of a surface's colour.
#[derive(Clone, Copy)]
pub(crate) enum Pattern {
    /// Slight mottling.
    Plain,
    /// Poured concrete: a joint every so many metres of height, stains running down.
    Concrete { lift: f64 },
    /// Square slabs or setts of this size, metres, along the given direction.
    Slabs { size: f64, along: DVec3 },
    /// Broken rock, forest, hillside; feature size in metres.
    Rough { size: f64 },
    /// Plaster that has peeled in patches.
    Plaster,
    /// Stripes across this direction: awnings, corrugated sides.
    Stripes { width: f64, across: DVec3, other: Vec3 },
    /// Ripples of this length, metres.
    Water { ripple: f64 },
    /// Rows of window panes: bay width and storey height, metres.
    Panes { bay: f64, storey: f64 },
}

impl Surface {
    pub(crate) fn new(albedo: Vec3, pattern: Pattern, grain: Grain) -> Self {
        Self { albedo, pattern, wet: 0.0, glow: Vec3::ZERO, grain }
    }

    pub(crate) fn wet(mut self, share: f32) -> Self {
        self.wet = share;
        self
    }

    pub(crate) fn glowing(mut self, light: Vec3) -> Self {
        self.glow = light;
        self
    }

    /// Colour at a point; `footprint` is the size of a pixel there, metres, so that patterns too
    /// fine to be seen melt into their mean.
    pub(crate) fn albedo_at(&self, at: DVec3, normal: DVec3, footprint: f64) -> Vec3 {
        let across = DVec3::Y.cross(normal).try_normalize().unwrap_or(DVec3::X);
        let (u, v) = if normal.y.abs() > 0.7 { (at.x, at.z) } else { (at.dot(across), at.y) };
        let seen = |size: f64| 1.0 - step(0.25, 1.2, (footprint / size) as f32);
        let mottle = 0.86 + 0.28 * clouded(u * 0.35, v * 0.35, 4, 3);
        let base = self.albedo * mottle;
        match self.pattern {
            Pattern::Plain => base,
            Pattern::Concrete { lift } => {
                let joint = 1.0 - 0.35 * line(v / lift, 0.03) * seen(lift * 0.12);
                let form = 1.0 - 0.16 * line(u / (lift * 2.5), 0.02) * seen(lift * 0.2);
                let pour = 0.90
                    + 0.2
                        * cell((v / lift).floor() as i64, (u / (lift * 2.5)).floor() as i64, 5)
                        * seen(lift);
                base * joint * form * pour * stain(u, v, lift)
            }
            Pattern::Slabs { size, along } => {
                let other = DVec3::Y.cross(along);
                let (p, q) = (at.dot(along) / size, at.dot(other) / size);
                let joints = line(p, 0.06).max(line(q, 0.06)) * seen(size * 0.3);
                let tone = 0.82 + 0.36 * cell(p.floor() as i64, q.floor() as i64, 8) * seen(size);
                base * tone * (1.0 - 0.45 * joints)
            }
            Pattern::Rough { size } => {
                let lump = clouded(u / size, v / size + at.y / size, 5, 23);
                base * (0.45 + 1.1 * lump)
            }
            Pattern::Plaster => {
                let patch = step(0.56, 0.62, clouded(u * 0.5, v * 0.5, 4, 12));
                base.lerp(self.albedo * Vec3::new(0.62, 0.58, 0.56), 0.7 * patch) * stain(u, v, 5.0)
            }
            Pattern::Stripes { width, across, other } => {
                let band = (at.dot(across) / width).rem_euclid(2.0) < 1.0;
                let mixed = if band { self.albedo } else { other };
                mixed.lerp((self.albedo + other) * 0.5, 1.0 - seen(width)) * mottle
            }
            Pattern::Water { .. } => self.albedo,
            Pattern::Panes { bay, storey } => {
                let (p, q) = ((u / bay).rem_euclid(1.0), (v / storey).rem_euclid(1.0));
                let pane = (0.28..0.72).contains(&p) && (0.3..0.78).contains(&q);
                let dark =
                    0.35 + 0.5 * cell((u / bay).floor() as i64, (v / storey).floor() as i64, 31);
                let tone = if pane { dark } else { 1.0 };
                base * (tone * seen(bay * 0.4) + 0.86 * (1.0 - seen(bay * 0.4)))
            }
        }
    }

    /// Normal at a point: rippled on water, else the face's own.
    pub(crate) fn normal_at(&self, at: DVec3, normal: DVec3, footprint: f64) -> DVec3 {
        let Pattern::Water { ripple } = self.pattern else { return normal };
        let calm = 0.13 / (1.0 + 2.0 * footprint / ripple);
        let slope = |shift: f64| {
            f64::from(clouded(at.x / ripple + shift, at.z / (ripple * 0.6) - shift, 4, 44)) - 0.5
        };
        (normal + DVec3::new(slope(0.0), 0.0, slope(19.0)) * calm * 2.0).normalize()
    }
}

/// 1 on a line at every whole number, 0 between; `width` as a share of the period.
fn line(position: f64, width: f64) -> f32 {
    let off = (position - position.round()).abs();
    1.0 - step(width as f32 * 0.5, width as f32, off as f32)
}

/// Damp streaks that run down a wall.
fn stain(u: f64, v: f64, size: f64) -> f32 {
    let run = noise(u / (size * 0.45), v / (size * 9.0), 61)
        * clouded(u / (size * 0.11), v / (size * 6.0), 3, 62);
    1.0 - 0.55 * step(0.28, 0.55, run)
}
