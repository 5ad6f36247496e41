//! Film backs that a focal length is told for.

use staffage_solver::Eye;

/// A film back: how wide the picture is on film or sensor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FilmBack {
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
        name: "65 mm, five perforations",
        width: 52.48,
        // Width from memory; neither SMPTE ST 215 nor a maker's drawing of it was seen.
        source: "camera aperture 52.48 × 23.01 mm, nominal",
    },
    FilmBack {
        name: "35 mm, 2 × squeezed (as seen unsqueezed)",
        width: 2.0 * 0.866 * 25.4,
        source: "camera aperture 0.866 × 0.732 in, SMPTE",
    },
    FilmBack {
        name: "Still camera, 36 × 24 mm",
        width: 36.0,
        source: "image size of 135 film, ISO 1007",
    },
    FilmBack {
        name: "Super 35, full aperture",
        width: 0.980 * 25.4,
        source: "camera aperture 0.980 × 0.735 in, SMPTE ST 59",
    },
    FilmBack {
        name: "35 mm, academy aperture",
        width: 0.866 * 25.4,
        source: "camera aperture 0.866 × 0.630 in, SMPTE ST 59",
    },
    FilmBack {
        name: "Super 16",
        width: 12.52,
        // Width from memory; SMPTE 201M-1996 (16 mm, type W) standardizes it and was not seen.
        source: "camera aperture 12.52 × 7.41 mm, nominal",
    },
];

impl FilmBack {
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
        assert_eq!(millimetres(24.27), "24.3 mm");
        assert_eq!(millimetres(104.4), "104 mm");
    }
}
