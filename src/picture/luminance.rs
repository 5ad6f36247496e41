//! How light a colour is, and how light that looks.

use std::sync::LazyLock;

/// Shares of red, green and blue in the luminance of linear light: Recommendation ITU-R BT.709-6,
/// item 3.2, and the second row of the matrix of IEC 61966-2-1 (sRGB has the primaries and the
/// white of BT.709). They give Y of CIE 1931.
///
/// Weighting the *encoded* values instead (luma) is quicker and makes strong colours too dark: pure
/// red would be the grey of Y = 0.036 instead of 0.213.
const SHARES: [f64; 3] = [0.2126, 0.7152, 0.0722];

/// Luminance of white in the units of [`luminance`].
pub(crate) const WHITE: u16 = u16::MAX;

/// Bits that the sum of the three shares carries below the unit, so that white comes out exactly.
const SPARE: u32 = 12;

/// What an encoded value of each channel adds to the luminance.
static SHARE_OF: LazyLock<[[u32; 256]; 3]> = LazyLock::new(|| {
    let white = f64::from(u32::from(WHITE) << SPARE);
    SHARES.map(|share| {
        std::array::from_fn(|value| (share * f64::from(DECODED[value]) * white).round() as u32)
    })
});

/// Linear light, 0 to 1, of every encoded value.
pub(crate) static DECODED: LazyLock<[f32; 256]> =
    LazyLock::new(|| std::array::from_fn(|value| decode_srgb(value as f64 / 255.0) as f32));

/// The sRGB curve, IEC 61966-2-1: encoded value to linear light.
fn decode_srgb(value: f64) -> f64 {
    if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
}

/// Relative luminance of an encoded colour, from 0 to [`WHITE`].
pub(crate) fn luminance(rgb: [u8; 3]) -> u16 {
    let shares = &*SHARE_OF;
    let sum: u32 = (0..3).map(|channel| shares[channel][usize::from(rgb[channel])]).sum();
    ((sum + (1 << (SPARE - 1))) >> SPARE) as u16
}

/// Where the cube root of L* gives way to a straight line: (6/29)³.
const STRAIGHT_BELOW: f64 = 216.0 / 24_389.0;

/// CIE L*, 0 to 100, of a relative luminance from 0 to 1: equal steps look equally far apart.
/// CIE 015:2018, 8.2.1.1 (ISO/CIE 11664-4).
pub(crate) fn lightness(luminance: f64) -> f64 {
    if luminance > STRAIGHT_BELOW {
        116.0 * luminance.cbrt() - 16.0
    } else {
        luminance * 24_389.0 / 27.0
    }
}

/// The relative luminance, 0 to 1, of a CIE L*.
pub(crate) fn luminance_of(lightness: f64) -> f64 {
    if lightness > 8.0 { ((lightness + 16.0) / 116.0).powi(3) } else { lightness * 27.0 / 24_389.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn relative(rgb: [u8; 3]) -> f64 {
        f64::from(luminance(rgb)) / f64::from(WHITE)
    }

    fn assert_near(value: f64, expected: f64, within: f64) {
        assert!((value - expected).abs() <= within, "{value} {expected}");
    }

    #[test]
    fn the_primaries_have_the_published_shares() {
        // ITU-R BT.709-6, item 3.2.
        let unit = 1.0 / f64::from(WHITE);
        assert_near(relative([255, 0, 0]), 0.2126, unit);
        assert_near(relative([0, 255, 0]), 0.7152, unit);
        assert_near(relative([0, 0, 255]), 0.0722, unit);
        assert_eq!(luminance([255; 3]), WHITE);
        assert_eq!(luminance([0; 3]), 0);
    }

    #[test]
    fn a_grey_has_the_luminance_of_its_curve() {
        // IEC 61966-2-1: ((128/255 + 0.055) / 1.055)^2.4 = 0.215861.
        assert_near(relative([128; 3]), 0.215_861, 1e-5);
        // On the straight part: 10/255/12.92.
        assert_near(relative([10; 3]), 0.003_035_3, 1e-5);
    }

    #[test]
    fn lightness_follows_its_definition() {
        // CIE 015: L* is 100 for white; a reflectance of 18.42 % is the middle grey of L* 50; the two
        // parts meet at L* 8.
        assert_near(lightness(1.0), 100.0, 1e-12);
        assert_near(lightness(0.184_187), 50.0, 1e-3);
        assert_near(lightness(STRAIGHT_BELOW), 8.0, 1e-9);
        assert_eq!(lightness(0.0), 0.0);
    }

    #[test]
    fn luminance_undoes_lightness() {
        for step in 0..=100 {
            assert_near(lightness(luminance_of(f64::from(step))), f64::from(step), 1e-9);
        }
    }
}
