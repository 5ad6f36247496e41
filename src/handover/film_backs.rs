//! Film backs that a focal length is told for.

use staffage_solver::Eye;
use std::ops::RangeInclusive;

/// A film back: how wide the picture is on film or sensor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FilmBack {
    /// A short name for commands and settings, which stays the same.
    pub key: &'static str,
    /// What it is called.
    pub name: &'static str,
    /// Width of the picture on it, millimetres; of a squeezed one, as it is seen unsqueezed.
    pub width: f64,
    /// Where the width comes from, for whoever reads a sheet; nominal where no published figure was seen,
    /// so that a camera house is asked first.
    pub source: &'static str,
}

/// Common ones, widest first.
pub const FILM_BACKS: [FilmBack; 6] = [
    FilmBack {
        key: "65mm",
        name: "65 mm, five perforations",
        width: 52.48,
        // Width from memory; neither SMPTE ST 215 nor a maker's drawing of it was seen.
        source: "camera aperture 52.48 × 23.01 mm, nominal",
    },
    FilmBack {
        key: "squeezed",
        name: "35 mm, 2 × squeezed (as seen unsqueezed)",
        width: 2.0 * 0.866 * 25.4,
        source: "camera aperture 0.866 × 0.732 in, SMPTE",
    },
    FilmBack {
        key: "still",
        name: "Still camera, 36 × 24 mm",
        width: 36.0,
        source: "image size of 135 film, ISO 1007",
    },
    FilmBack {
        key: "super-35",
        name: "Super 35, full aperture",
        width: 0.980 * 25.4,
        source: "camera aperture 0.980 × 0.735 in, SMPTE ST 59",
    },
    FilmBack {
        key: "academy",
        name: "35 mm, academy aperture",
        width: 0.866 * 25.4,
        source: "camera aperture 0.866 × 0.630 in, SMPTE ST 59",
    },
    FilmBack {
        key: "super-16",
        name: "Super 16",
        width: 12.52,
        // Width from memory; SMPTE 201M-1996 (16 mm, type W) standardizes it and was not seen.
        source: "camera aperture 12.52 × 7.41 mm, nominal",
    },
];

/// Widths that are taken for that of a film back or a sensor, millimetres.
const WIDTHS: RangeInclusive<f64> = 1.0..=1000.0;

impl Default for FilmBack {
    /// That of a still camera, whose focal lengths most people know.
    fn default() -> Self {
        FILM_BACKS[2]
    }
}

impl FilmBack {
    /// The one of this key, or one so many millimetres wide.
    #[must_use]
    pub fn named(words: &str) -> Option<Self> {
        let known = FILM_BACKS.iter().find(|back| back.key.eq_ignore_ascii_case(words.trim()));
        let own = || {
            let width = words.trim().trim_end_matches("mm").trim_end().parse().ok()?;
            let own = Self { key: "own", name: "own film back", width, source: "width as given" };
            WIDTHS.contains(&width).then_some(own)
        };
        known.copied().or_else(own)
    }

    /// The focal length with which this back sees across its whole width what the eye sees across the
    /// frame, millimetres.
    #[must_use]
    pub fn focal_length(&self, eye: &Eye) -> f64 {
        eye.focal * self.width
    }
}

/// A focal length as a camera crew says it: "24.3 mm", "104 mm".
#[must_use]
pub(crate) fn millimetres(length: f64) -> String {
    if length < 99.95 { format!("{length:.1} mm") } else { format!("{length:.0} mm") }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Published horizontal angles of view on 36 mm (common practice, from memory): 24 mm 73.7°,
    /// 35 mm 54.4°, 50 mm 39.6°, 85 mm 23.9°.
    #[test]
    fn focal_lengths_are_those_of_published_angles_of_view() {
        let still = FILM_BACKS.iter().find(|back| back.width == 36.0).unwrap();
        for (length, degrees) in [(24.0, 73.74), (35.0, 54.43), (50.0, 39.60), (85.0, 23.91)] {
            let focal = staffage_solver::focal_of_view(f64::to_radians(degrees));
            let eye = Eye { focal, ..Eye::default() };
            assert!((still.focal_length(&eye) - length).abs() < 0.01 * length, "{length}");
        }
        assert_eq!(*still, FilmBack::default());
        assert_eq!(millimetres(24.27), "24.3 mm");
        assert_eq!(millimetres(104.4), "104 mm");
    }

    #[test]
    fn a_film_back_is_known_by_its_key_or_its_width() {
        for back in FILM_BACKS {
            assert_eq!(FilmBack::named(back.key), Some(back));
        }
        assert_eq!(FilmBack::named(" Super-16 ").map(|back| back.width), Some(12.52));
        for words in ["27.99", "27.99 mm", "27.99mm"] {
            assert_eq!(FilmBack::named(words).map(|back| back.width), Some(27.99), "{words}");
        }
        for words in ["", "imax", "0", "-36", "nan", "inf", "1e9"] {
            assert_eq!(FilmBack::named(words), None, "{words}");
        }
    }
}
