//! The last hour of the evening: raking light over the paint, a glow round the light, a darker
//! rim, the weave of the canvas.

use crate::canvas::Canvas;
use crate::chance::noise;
use glam::{Vec2, Vec3};

/// How a picture is finished.
pub(crate) struct Finish {
    /// Where the light comes from in the picture, pixels; the bloom sits there.
    pub(crate) light: Vec2,
    /// Colour and strength of the bloom, display values.
    pub(crate) bloom: Vec3,
    /// Reach of the bloom, pixels.
    pub(crate) reach: f32,
    /// How much darker the corners become.
    pub(crate) vignette: f32,
}

pub(crate) fn finish(canvas: &mut Canvas, finish: &Finish) {
    rake(canvas);
    let size = Vec2::new(canvas.width as f32, canvas.height as f32);
    for y in 0..canvas.height {
        for x in 0..canvas.width {
            let at = Vec2::new(x as f32, y as f32);
            let paint = &mut canvas.paint[y * canvas.width + x];
            let near = (-((at - finish.light) / finish.reach).length_squared()).exp();
            // Screen, so that lights never clip.
            *paint = Vec3::ONE - (Vec3::ONE - *paint) * (Vec3::ONE - finish.bloom * near);
            let corner = ((at - size * 0.5) / (size * 0.5)).powf(2.0).length_squared();
            *paint *= 1.0 - finish.vignette * (corner * 0.5).min(1.0);
            *paint *= weave(x, y);
        }
    }
}

/// Light from the upper left over the thickness of the paint.
fn rake(canvas: &mut Canvas) {
    let (w, h) = (canvas.width, canvas.height);
    for y in 1..h - 1 {
        for x in 1..w - 1 {
            let i = y * w + x;
            let slope = canvas.relief[i] - canvas.relief[i - w - 1];
            canvas.paint[i] *= 1.0 + 0.05 * slope.clamp(-1.0, 1.0);
        }
    }
}

/// A linen weave, barely there.
fn weave(x: usize, y: usize) -> f32 {
    let (x, y) = (x as f64, y as f64);
    let warp = noise(x / 2.1, y / 14.0, 81);
    let weft = noise(x / 14.0, y / 2.1, 82);
    0.982 + 0.018 * (warp + weft)
}
