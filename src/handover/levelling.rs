//! The painting turned level, plumb or otherwise, on a canvas that loses none of it.

use glam::{DMat3, DVec2};
use staffage_picture::{Projection, Raster, Size, Warp};
use staffage_solver::{Eye, Homography};

/// Pixels around the painting over which its edge is repeated, so that what is brought back is made of
/// paint alone: as far as the kernel of the way back reaches, and twice that for a copy that was reduced.
pub(crate) const BLEED: f64 = 8.0;
/// How many times anything in the painting may be enlarged.
const MOST_ENLARGED: f64 = 8.0;
/// Depth that the painting keeps before the eye aimed otherwise, as a share of its greatest depth.
const LEAST_DEPTH: f64 = 0.02;
/// Most pixels of a copy, and of a side of it: as many as a painting that can be opened has.
const MOST_PIXELS: u64 = 500_000_000;
const MOST_SIDE: f64 = 65_535.0;
/// A turn that carries no corner of the painting farther, in pixels, is none.
const UNSEEN: f64 = 1.0;
/// Places along each edge of the painting where its enlargement is looked at.
const PLACES: u32 = 16;

/// How the painting is to be seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Aim {
    /// Without the eye's cant: its horizon level.
    Level,
    /// Without pitch and cant: its uprights plumb.
    Plumb,
    /// As if the eye were turned from where it looks, degrees.
    By {
        /// Farther up.
        pitch: f64,
        /// Farther to the right.
        heading: f64,
        /// The right end of the horizon farther up.
        cant: f64,
    },
}

impl Aim {
    /// A word for what comes of it, for file names.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Level => "level",
            Self::Plumb => "plumb",
            Self::By { .. } => "aimed",
        }
    }
}

/// Why a painting cannot be turned so. Each reads as part of a sentence.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum LevelError {
    /// It would come out as it is.
    #[error("there is nothing to turn: it is {} already", match .0 { Aim::Level => "level", Aim::Plumb => "plumb", Aim::By { .. } => "seen so" })]
    Nothing(Aim),
    /// Part of it would lie beside or behind the eye, or be enlarged beyond use.
    #[error(
        "turned so far, parts of it would be {}",
        match .0 { Some(times) => format!("enlarged {times:.0} times"), None => "behind the eye".into() }
    )]
    TornApart(Option<f64>),
    /// It would have too many pixels.
    #[error("its copy would have {0:.0} × {1:.0} px, more than can be opened again")]
    TooLarge(f64, f64),
    /// An angle or the eye is no number that can be worked with.
    #[error("the eye cannot be aimed by these angles")]
    NoEye,
}

/// How a painting lies in its turned copy.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Levelling {
    /// How it is seen there.
    pub aim: Aim,
    /// Width and height of the painting, pixels.
    pub painting: (u32, u32),
    /// Width and height of the copy, pixels.
    pub size: (u32, u32),
    /// From pixels of the copy to pixels of the painting.
    pub back: Projection,
    /// How many times longer small things are in the copy, at least and at most, in any direction. The
    /// least is 1: nothing is lost.
    pub enlarged: (f64, f64),
    /// Share of the copy that the painting does not fill.
    pub margin: f64,
}

impl Levelling {
    /// The copy of a painting that this eye sees: as small as shows all of it, and a few pixels of bleed,
    /// with nothing reduced.
    ///
    /// # Errors
    /// See [`LevelError`].
    pub fn new(eye: &Eye, aim: Aim, painting: (u32, u32)) -> Result<Self, LevelError> {
        let turn = turn(eye, aim)?;
        let lying = Lying::new(turn, painting)?;
        if lying.farthest() < UNSEEN {
            return Err(LevelError::Nothing(aim));
        }
        let (least, most) = lying.enlarged();
        let enlarged = (1.0, most / least);
        if enlarged.1 > MOST_ENLARGED {
            return Err(LevelError::TornApart(Some(enlarged.1)));
        }
        // Rounding must not enlarge a mere turn.
        let scale = if (least - 1.0).abs() < 1e-9 { 1.0 } else { 1.0 / least };
        let (low, high) = lying.around(scale)?;
        let (wide, high) = (high.x - low.x, high.y - low.y);
        let pixels = wide * high;
        if pixels > MOST_PIXELS as f64 || wide.max(high) > MOST_SIDE {
            return Err(LevelError::TooLarge(wide, high));
        }
        let there =
            DMat3::from_translation(-low) * DMat3::from_scale(DVec2::splat(scale)) * lying.map;
        let back = projection(there.inverse()).ok_or(LevelError::NoEye)?;
        let filled = scale * scale * lying.area();
        Ok(Self {
            aim,
            painting,
            size: (wide as u32, high as u32),
            back,
            enlarged,
            margin: (1.0 - filled / pixels).clamp(0.0, 1.0),
        })
    }

    /// The copy's pixels, transparent where there is no painting, to be worked out row by row.
    #[must_use]
    pub fn copy<'a>(&self, painting: &'a Raster) -> Warp<'a> {
        let (width, height) = self.size;
        Warp::new(painting, self.back, Size { width, height }, BLEED, true)
    }
}

/// From the picture of an eye to how it is to be seen.
fn turn(eye: &Eye, aim: Aim) -> Result<Homography, LevelError> {
    let no_number = !(eye.pitch.is_finite() && eye.cant.is_finite());
    let turn = match aim {
        _ if no_number => None,
        Aim::Level => Some(Homography::level(eye)),
        Aim::Plumb => Homography::aimed(eye, &Eye { pitch: 0.0, cant: 0.0, ..*eye }, 0.0),
        Aim::By { pitch, heading, cant } => {
            let [pitch, heading, cant] = [pitch, heading, cant].map(f64::to_radians);
            let to = Eye { pitch: eye.pitch + pitch, cant: eye.cant + cant, ..*eye };
            Homography::aimed(eye, &to, heading)
        }
    };
    turn.ok_or(LevelError::NoEye)
}

fn projection(matrix: DMat3) -> Option<Projection> {
    let matrix = matrix * matrix.z_axis.z.recip();
    Projection::new([0, 1, 2].map(|i| matrix.row(i).to_array()))
}

/// A painting as it lies when turned, before its copy's size and origin are chosen.
struct Lying {
    /// From the painting's pixels.
    map: DMat3,
    /// The same, in pixels of the painting's size.
    seen: Homography,
    width: f64,
    height: f64,
}

impl Lying {
    fn new(turn: Homography, painting: (u32, u32)) -> Result<Self, LevelError> {
        let (width, height) = (f64::from(painting.0), f64::from(painting.1));
        // Picture units have their origin at the centre and the width for a unit.
        let centre = DVec2::new(0.5 * width, 0.5 * height);
        let units = DMat3::from_scale(DVec2::splat(1.0 / width)) * DMat3::from_translation(-centre);
        let map = units.inverse() * turn.matrix() * units;
        let seen = Homography::new(map).ok_or(LevelError::NoEye)?;
        let lying = Self { map, seen, width, height };
        let depths = lying.corners(BLEED).map(|corner| seen.depth(corner));
        let deepest = depths.into_iter().fold(f64::NEG_INFINITY, f64::max);
        if depths.into_iter().any(|depth| depth <= 0.0 || depth < LEAST_DEPTH * deepest) {
            return Err(LevelError::TornApart(None));
        }
        Ok(lying)
    }

    /// The painting's corners, so far out.
    fn corners(&self, out: f64) -> [DVec2; 4] {
        let (right, bottom) = (self.width + out, self.height + out);
        [(-out, -out), (right, -out), (right, bottom), (-out, bottom)].map(DVec2::from)
    }

    /// How far the turn carries any of the painting's corners, pixels.
    fn farthest(&self) -> f64 {
        let moved = |corner: DVec2| (place(self.map, corner) - corner).length();
        self.corners(0.0).into_iter().map(moved).fold(0.0, f64::max)
    }

    /// The least and the most that anything in the painting is enlarged, in any direction.
    fn enlarged(&self) -> (f64, f64) {
        let (mut least, mut most) = (f64::INFINITY, 0.0_f64);
        let steps = || (0..=PLACES).map(|i| f64::from(i) / f64::from(PLACES));
        for (x, y) in steps().flat_map(|x| steps().map(move |y| (x, y))) {
            let at = DVec2::new(x * self.width, y * self.height);
            let (mean, longest) = (self.seen.stretch(at), self.seen.most_stretch(at));
            // The two singular values have the square of the mean as their product.
            least = least.min(mean * mean / longest);
            most = most.max(longest);
        }
        (least, most)
    }

    /// The whole pixels that the painting and its bleed lie within.
    fn around(&self, scale: f64) -> Result<(DVec2, DVec2), LevelError> {
        let corners = self.corners(BLEED).map(|corner| scale * place(self.map, corner));
        let [first, rest @ ..] = corners;
        let low = rest.iter().fold(first, |low, corner| low.min(*corner)).floor();
        let high = rest.iter().fold(first, |high, corner| high.max(*corner)).ceil();
        (low.is_finite() && high.is_finite()).then_some((low, high)).ok_or(LevelError::NoEye)
    }

    /// The area that the painting covers.
    fn area(&self) -> f64 {
        let corners = self.corners(0.0).map(|corner| place(self.map, corner));
        let pairs = (0..4).map(|i| corners[i].perp_dot(corners[(i + 1) % 4]));
        0.5 * pairs.sum::<f64>().abs()
    }
}

fn place(map: DMat3, at: DVec2) -> DVec2 {
    let image = map * at.extend(1.0);
    image.truncate() / image.z
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAINTING: (u32, u32) = (2300, 979);

    fn eye(pitch: f64, cant: f64) -> Eye {
        let [pitch, cant] = [pitch, cant].map(f64::to_radians);
        Eye { pitch, cant, ..Eye::default() }
    }

    #[test]
    fn a_turned_frame_needs_the_canvas_that_plane_geometry_says() {
        for cant in [7.0_f64, -7.0, 31.0] {
            let levelling = Levelling::new(&eye(12.0, cant), Aim::Level, PAINTING).unwrap();
            let (sine, cosine) = cant.abs().to_radians().sin_cos();
            let (w, h) = (2300.0 + 2.0 * BLEED, 979.0 + 2.0 * BLEED);
            let (width, height) = (f64::from(levelling.size.0), f64::from(levelling.size.1));
            assert!((0.0..2.0).contains(&(width - (w * cosine + h * sine))), "{width}");
            assert!((0.0..2.0).contains(&(height - (w * sine + h * cosine))), "{height}");
            assert!((levelling.enlarged.1 - 1.0).abs() < 1e-9, "nothing is enlarged");
            let filled = 2300.0 * 979.0 / (width * height);
            assert!((levelling.margin - (1.0 - filled)).abs() < 1e-9);
        }
    }

    #[test]
    fn a_level_horizon_lies_in_one_row_of_the_copy() {
        let canted = eye(4.0, 9.0);
        let levelling = Levelling::new(&canted, Aim::Level, PAINTING).unwrap();
        let there = levelling.back.inverse();
        let at = |u: f64| {
            let at = canted.nearest_on_horizon(DVec2::new(u, 0.0));
            there.place(2300.0 * (at.x + 0.5), 2300.0 * at.y + 0.5 * 979.0).unwrap()
        };
        assert!((at(-0.4).1 - at(0.4).1).abs() < 1e-9);
        assert!(at(-0.4).0 < at(0.4).0);
    }

    #[test]
    fn every_pixel_of_the_painting_lies_in_the_copy_with_room_for_the_kernel() {
        let aims = [
            Aim::Level,
            Aim::Plumb,
            Aim::By { pitch: 3.0, heading: -5.0, cant: 2.0 },
            Aim::By { pitch: -8.0, heading: 12.0, cant: 0.0 },
        ];
        for aim in aims {
            let levelling = Levelling::new(&eye(24.0, -11.0), aim, PAINTING).unwrap();
            let (width, height) = (f64::from(levelling.size.0), f64::from(levelling.size.1));
            for (x, y) in [(0.0, 0.0), (2300.0, 0.0), (0.0, 979.0), (2300.0, 979.0), (7.0, 3.0)] {
                let (x, y) = levelling.back.inverse().place(x, y).unwrap();
                let room = x.min(y).min(width - x).min(height - y);
                assert!(room >= 7.9, "{aim:?} {room}");
            }
            let (least, most) = levelling.enlarged;
            assert!(least == 1.0 && most >= 1.0, "{most}");
        }
    }

    #[test]
    fn what_is_level_already_and_what_would_be_torn_apart_is_refused() {
        let refused = |eye: &Eye, aim| Levelling::new(eye, aim, PAINTING).unwrap_err();
        assert_eq!(refused(&eye(20.0, 0.0), Aim::Level), LevelError::Nothing(Aim::Level));
        assert_eq!(refused(&eye(0.0, 0.0), Aim::Plumb), LevelError::Nothing(Aim::Plumb));
        assert!(matches!(refused(&eye(72.0, 0.0), Aim::Plumb), LevelError::TornApart(Some(_))));
        assert_eq!(refused(&eye(88.0, 0.0), Aim::Plumb), LevelError::TornApart(None));
        let far = Aim::By { pitch: 0.0, heading: 120.0, cant: 0.0 };
        assert_eq!(refused(&eye(0.0, 0.0), far), LevelError::TornApart(None));
        let odd = Aim::By { pitch: f64::NAN, heading: 0.0, cant: 0.0 };
        assert_eq!(refused(&eye(0.0, 0.0), odd), LevelError::NoEye);
        let wide = Levelling::new(&eye(0.0, 45.0), Aim::Level, (40_000, 20_000));
        assert!(matches!(wide, Err(LevelError::TooLarge(..))));
    }
}
