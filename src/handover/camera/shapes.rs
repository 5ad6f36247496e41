//! The shapes that nodes are made of, each as large as 1 and scaled by its node.

use super::model::Triangles;
use std::f32::consts::TAU;

/// Sides of what is round.
const SIDES: u32 = 48;

/// Most bands on a staff.
const MOST_BANDS: f64 = 40.0;

/// A staff is so much thinner than it is long.
pub(super) const SLENDER: f64 = 0.02;

/// A body with corners, its foot in the middle of its base.
fn prism(top: [[f32; 3]; 4], base: [[f32; 3]; 4]) -> Triangles {
    let mut triangles = Triangles::default();
    triangles.fan(top);
    triangles.fan([base[3], base[2], base[1], base[0]]);
    for side in 0..4 {
        let next = (side + 1) % 4;
        triangles.fan([base[side], base[next], top[next], top[side]]);
    }
    triangles
}

/// Counter-clockwise from above, beginning at the left of the far side.
fn square(y: f32, half: f32) -> [[f32; 3]; 4] {
    [[-half, y, -half], [-half, y, half], [half, y, half], [half, y, -half]]
}

/// A box with its foot in the middle of its base.
pub(super) fn cube() -> Triangles {
    prism(square(1.0, 0.5), square(0.0, 0.5))
}

/// A ramp that rises towards -Z.
pub(super) fn ramp() -> Triangles {
    let base = square(0.0, 0.5);
    let (far_left, far_right) = ([-0.5, 1.0, -0.5], [0.5, 1.0, -0.5]);
    let mut triangles = Triangles::default();
    triangles.fan([far_left, base[1], base[2], far_right]);
    triangles.fan([base[3], base[2], base[1], base[0]]);
    triangles.fan([base[3], base[0], far_left, far_right]);
    triangles.fan([base[0], base[1], far_left]);
    triangles.fan([base[2], base[3], far_right]);
    triangles
}

/// A flat upright thing, across X.
pub(super) fn panel() -> Triangles {
    let mut triangles = Triangles::default();
    triangles.fan([[-0.5, 0.0, 0.0], [0.5, 0.0, 0.0], [0.5, 1.0, 0.0], [-0.5, 1.0, 0.0]]);
    triangles
}

/// A flat level thing.
pub(super) fn floor() -> Triangles {
    let mut triangles = Triangles::default();
    triangles.fan(square(0.0, 0.5));
    triangles
}

/// An upright round thing, 1 across.
pub(super) fn cylinder() -> Triangles {
    let at = |side: u32, y: f32| {
        let (sin, cos) = (TAU * (side % SIDES) as f32 / SIDES as f32).sin_cos();
        [0.5 * cos, y, -0.5 * sin]
    };
    let mut triangles = Triangles::default();
    triangles.fan((0..SIDES).map(|side| at(side, 1.0)));
    triangles.fan((0..SIDES).rev().map(|side| at(side, 0.0)));
    for side in 0..SIDES {
        triangles.fan([at(side, 0.0), at(side + 1, 0.0), at(side + 1, 1.0), at(side, 1.0)]);
    }
    triangles
}

/// A ball, 1 across, about its middle.
pub(super) fn ball() -> Triangles {
    let rings = SIDES / 2;
    let at = |ring: u32, side: u32| {
        let (down, out) = (0.5 * TAU * ring as f32 / rings as f32).sin_cos();
        let (sin, cos) = (TAU * (side % SIDES) as f32 / SIDES as f32).sin_cos();
        [0.5 * down * cos, 0.5 * out, -0.5 * down * sin]
    };
    let mut triangles = Triangles::default();
    for ring in 0..rings {
        for side in 0..SIDES {
            let (upper, lower) = (ring, ring + 1);
            match ring {
                0 => triangles.fan([at(0, 0), at(lower, side), at(lower, side + 1)]),
                last if last + 1 == rings => {
                    triangles.fan([at(upper, side), at(lower, 0), at(upper, side + 1)]);
                }
                _ => triangles.fan([
                    at(upper, side),
                    at(lower, side),
                    at(lower, side + 1),
                    at(upper, side + 1),
                ]),
            }
        }
    }
    triangles
}

/// A standing figure as it is drawn: flat, turned to the viewer, 1 tall.
pub(super) fn figure() -> Triangles {
    let mut triangles = Triangles::default();
    for part in staffage_drawing::figure_parts() {
        triangles.fan(part.into_iter().map(|at| [at.x as f32, at.y as f32, 0.0]));
    }
    triangles
}

/// A surveyor's staff of so many metres, its dark bands and its light ones: half a metre each, or 1, 5,
/// 10, 50 … where that would be too many. Upright, in metres.
pub(super) fn staff(length: f64) -> (Triangles, Triangles) {
    let half = (0.5 * SLENDER * length) as f32;
    let mut step = 0.5;
    for factor in [2.0, 5.0].into_iter().cycle().take(24) {
        if length / step <= MOST_BANDS {
            break;
        }
        step *= factor;
    }
    let (mut dark, mut light) = (Triangles::default(), Triangles::default());
    let bands = (length / step).ceil().clamp(1.0, MOST_BANDS) as u32;
    for band in 0..bands {
        let from = f64::from(band) * step;
        let to = if band + 1 == bands { length } else { from + step };
        let body = prism(square(to as f32, half), square(from as f32, half));
        let into = if band % 2 == 0 { &mut dark } else { &mut light };
        let first = into.corners.len() as u32;
        into.corners.extend(body.corners);
        into.indices.extend(body.indices.iter().map(|index| first + index));
    }
    (dark, light)
}

#[cfg(test)]
mod tests {
    use super::*;
    use glam::Vec3;

    /// Six times the volume that triangles enclose, positive when they are seen counter-clockwise from
    /// outside (divergence theorem).
    fn volume(triangles: &Triangles) -> f32 {
        let corner = |i: &u32| Vec3::from(triangles.corners[*i as usize]);
        let of = |t: &[u32]| corner(&t[0]).dot(corner(&t[1]).cross(corner(&t[2])));
        triangles.indices.chunks_exact(3).map(of).sum::<f32>() / 6.0
    }

    #[test]
    fn bodies_are_closed_and_seen_from_outside() {
        assert!((volume(&cube()) - 1.0).abs() < 1e-5);
        assert!((volume(&ramp()) - 0.5).abs() < 1e-5);
        let round = std::f32::consts::PI;
        assert!((volume(&cylinder()) / (round / 4.0) - 1.0).abs() < 0.01);
        assert!((volume(&ball()) / (round / 6.0) - 1.0).abs() < 0.02);
        let (dark, light) = staff(12.2);
        let whole = volume(&dark) + volume(&light);
        assert!((whole / (12.2 * (0.02f32 * 12.2).powi(2)) - 1.0).abs() < 1e-4);
    }

    #[test]
    fn a_staff_has_bands_of_half_a_metre_and_longer_ones_where_it_is_long() {
        let highest = |length| {
            let (dark, _) = staff(length);
            let first = dark.corners[..24].iter().map(|c| c[1]).fold(0.0, f32::max);
            (first, dark.corners.iter().map(|c| c[1]).fold(0.0, f32::max))
        };
        assert_eq!(highest(1.5), (0.5, 1.5));
        assert_eq!(highest(30.0).0, 1.0);
        assert_eq!(highest(300.0).0, 10.0);
        assert_eq!(highest(0.2), (0.2, 0.2));
    }
}
