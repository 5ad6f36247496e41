//! Colours: scene-linear light for shading, display values for mixing paint.

use glam::Vec3;

/// A colour in linear light, from display values 0 to 255.
pub(crate) fn paint(r: u8, g: u8, b: u8) -> Vec3 {
    let decode = |v: u8| {
        let v = f32::from(v) / 255.0;
        if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
    };
    Vec3::new(decode(r), decode(g), decode(b))
}

/// Linear light to display values 0 to 1 (IEC 61966-2-1), with a soft shoulder so that lights
/// roll off instead of clipping.
pub(crate) fn display(light: Vec3) -> Vec3 {
    let channel = |l: f32| {
        let l = shoulder(l.max(0.0));
        if l <= 0.003_130_8 { 12.92 * l } else { 1.055 * l.powf(1.0 / 2.4) - 0.055 }
    };
    Vec3::new(channel(light.x), channel(light.y), channel(light.z))
}

/// Straight up to 0.7, then easing towards 1.
fn shoulder(l: f32) -> f32 {
    const KNEE: f32 = 0.7;
    if l <= KNEE { l } else { KNEE + (1.0 - KNEE) * (1.0 - (-(l - KNEE) / (1.0 - KNEE)).exp()) }
}

/// 0 below `low`, 1 above `high`, eased between.
pub(crate) fn step(low: f32, high: f32, x: f32) -> f32 {
    let t = ((x - low) / (high - low)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}
