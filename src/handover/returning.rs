//! How a turned copy is brought back: what is stored beside it, and what that comes to for the copy as it
//! is now.

use crate::levelling::Levelling;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use staffage_picture::{Projection, Raster, Size, Warp};
use std::fs::File;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

/// The newest format that is known.
const FORMAT: u32 = 1;
/// Largest file that is taken for a returning transform, bytes.
const LARGEST: u64 = 64 * 1024;
/// Largest side of a picture, pixels.
const MOST_SIDE: u32 = 65_535;
/// Most pixels of a picture.
const MOST_PIXELS: u64 = 500_000_000;

/// What is stored beside a copy, as JSON.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Returning {
    /// Version of this format.
    staffage_levelled_copy: u32,
    /// How the numbers are meant, for those who read them.
    #[serde(default)]
    means: String,
    /// The painting that it was made of.
    pub painting: Painted,
    /// Width and height of the copy when it was written, pixels.
    pub copy_size: (u32, u32),
    /// From pixels of the copy to pixels of the painting, row by row.
    back: [[f64; 3]; 3],
}

/// The painting that a copy was made of.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Painted {
    /// Where it is, from the folder of the copy.
    pub file: PathBuf,
    /// Its width and height, pixels.
    pub size: (u32, u32),
    /// SHA-256 of its file, in hexadecimal digits.
    pub sha256: String,
    /// Whether it has alpha.
    pub alpha: bool,
}

/// Why a copy cannot be brought back. Each reads as part of a sentence.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ReturnError {
    /// There is no transform beside it.
    #[error("there is no “{}” beside it, which says how it is turned back", .0.display())]
    Missing(PathBuf),
    /// The transform could not be read.
    #[error("“{}”, which says how it is turned back, could not be read: {}", .0.display(), staffage_scene::plain(.1))]
    Unreadable(PathBuf, io::Error),
    /// The transform makes no sense.
    #[error("“{}” does not say how it is turned back: {}", .0.display(), .1)]
    Nonsense(PathBuf, String),
    /// A newer version wrote it.
    #[error("“{}” was written by a newer Staffage", .0.display())]
    Newer(PathBuf),
    /// The copy has another shape than it had.
    #[error(
        "it was {was} px when it was written and is {is} px now: it was cropped, extended or stretched in \
         between, so that nobody can say where it belongs"
    )]
    Reshaped {
        /// Its size when it was written, pixels.
        was: Size,
        /// Its size now, pixels.
        is: Size,
    },
    /// What would come back is too large or nothing.
    #[error("it would come back {0} × {1} px large, which no picture can be")]
    Size(u64, u64),
}

impl Returning {
    /// What is to be stored beside a copy.
    #[must_use]
    pub fn new(levelling: &Levelling, painting: Painted) -> Self {
        let means = "A point (x, y) of the copy lies at (X/Z, Y/Z) in the painting, where (X, Y, Z) is \
                     the matrix back times (x, y, 1). Both count pixels from the upper left corner, so \
                     that the first pixel has its centre at (0.5, 0.5).";
        // A path that is no text cannot be stored; it is only looked at to tell whether the painting changed.
        let file = painting.file.to_string_lossy().into_owned().into();
        let painting = Painted { file, ..painting };
        Self {
            staffage_levelled_copy: FORMAT,
            means: means.into(),
            painting,
            copy_size: levelling.size,
            back: levelling.back.rows(),
        }
    }

    /// As it is stored.
    #[must_use]
    pub fn to_json(&self) -> String {
        let mut json = serde_json::to_string_pretty(self).expect("plain data");
        json.push('\n');
        json
    }

    /// Where the transform of a copy is stored, beside it.
    #[must_use]
    pub fn beside(copy: &Path) -> PathBuf {
        copy.with_extension("json")
    }

    /// Reads what is stored beside a copy, which may have another ending by now, or a further one: the
    /// transform of `quay.level.final.tif` may be in `quay.level.json`.
    ///
    /// # Errors
    /// See [`ReturnError`].
    pub fn of(copy: &Path) -> Result<Self, ReturnError> {
        let first = Self::beside(copy);
        let mut place = first.clone();
        loop {
            match Self::read(&place) {
                Err(ReturnError::Missing(_)) => {}
                // Under a shorter name something else may lie.
                Err(ReturnError::Nonsense(..)) if place != first => {}
                read => return read,
            }
            let shorter = place.with_extension("");
            if shorter.extension().is_none() {
                return Err(ReturnError::Missing(first));
            }
            place = shorter.with_extension("json");
        }
    }

    fn read(path: &Path) -> Result<Self, ReturnError> {
        let mut text = String::new();
        let read = File::open(path).and_then(|file| file.take(LARGEST).read_to_string(&mut text));
        match read {
            Ok(_) => Self::parse(&text, path),
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                Err(ReturnError::Missing(path.into()))
            }
            Err(error) if error.kind() == io::ErrorKind::InvalidData => {
                Err(ReturnError::Nonsense(path.into(), "it is no text".into()))
            }
            Err(error) => Err(ReturnError::Unreadable(path.into(), error)),
        }
    }

    fn parse(text: &str, path: &Path) -> Result<Self, ReturnError> {
        let nonsense = |why: String| ReturnError::Nonsense(path.into(), why);
        #[derive(Deserialize)]
        struct Version {
            staffage_levelled_copy: u32,
        }
        let version: Version =
            serde_json::from_str(text).map_err(|why| nonsense(why.to_string()))?;
        if version.staffage_levelled_copy > FORMAT {
            return Err(ReturnError::Newer(path.into()));
        }
        let read: Self = serde_json::from_str(text).map_err(|why| nonsense(why.to_string()))?;
        let flaw = read.flaw();
        flaw.map_or(Ok(read), |flaw| Err(nonsense(flaw.into())))
    }

    fn flaw(&self) -> Option<&'static str> {
        let (copy, painting) = (self.copy_size, self.painting.size);
        let sides = [copy.0, copy.1, painting.0, painting.1];
        if !sides.iter().all(|side| (1..=MOST_SIDE).contains(side)) {
            return Some("its sizes are not those of pictures");
        }
        let Some(back) = Projection::new(self.back) else {
            return Some("its matrix has no inverse");
        };
        let (width, height) = (f64::from(painting.0), f64::from(painting.1));
        let corners = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)];
        let (right, bottom) = (f64::from(copy.0), f64::from(copy.1));
        let within = |(x, y): (f64, f64)| {
            let place = back.inverse().place(x, y);
            place.is_some_and(|(x, y)| (0.0..=right).contains(&x) && (0.0..=bottom).contains(&y))
        };
        let lies = corners.into_iter().all(within);
        (!lies).then_some("by it the painting does not lie within the copy")
    }

    /// The way back for a copy that has `copy` pixels now; the painting comes back enlarged as much as the
    /// copy was, or `width` pixels wide.
    ///
    /// # Errors
    /// [`ReturnError::Reshaped`] and [`ReturnError::Size`].
    pub fn way(&self, copy: Size, width: Option<u32>) -> Result<WayBack, ReturnError> {
        let was = Size { width: self.copy_size.0, height: self.copy_size.1 };
        if !same_shape(was, copy) {
            return Err(ReturnError::Reshaped { was, is: copy });
        }
        let painting = Size { width: self.painting.size.0, height: self.painting.size.1 };
        let size = returned(painting, was, copy, width)?;
        let map = Projection::between(size, painting)
            .then(self.back().inverse())
            .then(Projection::between(was, copy));
        let enlarged = f64::from(size.width) / f64::from(painting.width);
        Ok(WayBack { size, map, enlarged, was_opaque: !self.painting.alpha })
    }

    /// From pixels of the copy to those of the painting, when it was written.
    pub(crate) fn back(&self) -> Projection {
        Projection::new(self.back).expect("looked at when it was read")
    }
}

/// Sides that differ by so few pixels were cropped or extended: nobody enlarges by that little.
const CROPPED: u32 = 4;

/// Whether a picture was at most enlarged or reduced as a whole, its sides rounded to pixels.
fn same_shape(was: Size, is: Size) -> bool {
    if was == is {
        return true;
    }
    if was.width.abs_diff(is.width).max(was.height.abs_diff(is.height)) <= CROPPED {
        return false;
    }
    let [w, h, w2, h2] = [was.width, was.height, is.width, is.height].map(f64::from);
    let scale = (w2 * h2 / (w * h)).sqrt();
    (w2 - scale * w).abs() <= 1.0 && (h2 - scale * h).abs() <= 1.0
}

fn returned(painting: Size, was: Size, is: Size, width: Option<u32>) -> Result<Size, ReturnError> {
    let scale = match width {
        Some(width) => f64::from(width) / f64::from(painting.width),
        // The longer side says it more exactly.
        None if was.width >= was.height => f64::from(is.width) / f64::from(was.width),
        None => f64::from(is.height) / f64::from(was.height),
    };
    let [w, h] = [painting.width, painting.height].map(|side| (scale * f64::from(side)).round());
    let most = f64::from(MOST_SIDE);
    if w < 1.0 || h < 1.0 || w > most || h > most || w * h > MOST_PIXELS as f64 {
        return Err(ReturnError::Size(w as u64, h as u64));
    }
    Ok(Size { width: w as u32, height: h as u32 })
}

/// How a copy becomes the painting again.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WayBack {
    /// Width and height of what comes back.
    pub size: Size,
    /// How many times as large as the painting it is.
    pub enlarged: f64,
    /// From its pixels to those of the copy.
    pub(crate) map: Projection,
    was_opaque: bool,
}

impl WayBack {
    /// The painting as the copy has it from edge to edge, to be worked out row by row: with alpha where it had alpha, or where the
    /// copy has `holes` inside the frame.
    #[must_use]
    pub fn painting<'a>(&self, copy: &'a Raster, holes: bool) -> Warp<'a> {
        let alpha = copy.layout().alpha && (holes || !self.was_opaque);
        Warp::new(copy, self.map, self.size, 0.0, alpha)
    }

    /// How many of the copy's pixels inside the frame are transparent, wholly or in part, although the
    /// painting had no alpha.
    #[must_use]
    pub fn holes(&self, copy: &Raster) -> u64 {
        if !self.was_opaque {
            return 0;
        }
        let (back, size) = (self.map.inverse(), self.size);
        let (right, bottom) = (f64::from(size.width), f64::from(size.height));
        let inside = |x: u32, y: u32| {
            let place = back.place(f64::from(x) + 0.5, f64::from(y) + 0.5);
            place.is_some_and(|(x, y)| (0.0..right).contains(&x) && (0.0..bottom).contains(&y))
        };
        copy.count_transparent(inside)
    }
}

/// SHA-256 of a file, in hexadecimal digits.
///
/// # Errors
/// When it cannot be read.
pub fn sha256(path: &Path) -> io::Result<String> {
    let mut hasher = Sha256::new();
    let mut file = File::open(path)?;
    let mut piece = vec![0; 1 << 18];
    loop {
        match file.read(&mut piece) {
            Ok(0) => break,
            Ok(count) => hasher.update(&piece[..count]),
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
    Ok(hasher.finalize().iter().map(|byte| format!("{byte:02x}")).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::levelling::Aim;
    use staffage_solver::Eye;

    fn returning() -> Returning {
        let eye = Eye { cant: 0.15, pitch: 0.2, ..Eye::default() };
        let levelling = Levelling::new(&eye, Aim::Plumb, (2300, 979)).unwrap();
        let painting = Painted {
            file: "quay.png".into(),
            size: (2300, 979),
            sha256: "00".into(),
            alpha: false,
        };
        Returning::new(&levelling, painting)
    }

    fn parse(text: &str) -> Result<Returning, ReturnError> {
        Returning::parse(text, Path::new("quay.level.json"))
    }

    #[test]
    fn what_is_stored_is_read_again_to_the_last_bit() {
        let returning = returning();
        assert_eq!(parse(&returning.to_json()).unwrap(), returning);
    }

    #[test]
    fn what_was_spoilt_or_made_up_is_refused() {
        let text = returning().to_json();
        let spoilt = |from: &str, to: &str| {
            let changed = text.replacen(from, to, 1);
            assert_ne!(changed, text, "{from}");
            parse(&changed).unwrap_err()
        };
        let zero = format!("\"copy_size\": [\n    {}", returning().copy_size.0);
        for error in [
            spoilt(&zero, "\"copy_size\": [\n 0"),
            spoilt("2300", "70000"),
            spoilt("\"back\": [\n    [\n", "\"back\": [\n    [\n 1e300, 0, 0], [\n"),
            spoilt("\"alpha\"", "\"beta\""),
            parse("").unwrap_err(),
            parse("{\"staffage_levelled_copy\": 1}").unwrap_err(),
        ] {
            assert!(matches!(error, ReturnError::Nonsense(..)), "{error}");
        }
        let newer = spoilt("\"staffage_levelled_copy\": 1", "\"staffage_levelled_copy\": 2");
        assert!(matches!(newer, ReturnError::Newer(_)), "{newer}");
        let mut away = returning();
        away.back[0][2] += 5000.0;
        assert!(matches!(parse(&away.to_json()), Err(ReturnError::Nonsense(..))));
    }

    #[test]
    fn an_enlarged_copy_comes_back_enlarged_corner_on_corner() {
        let returning = returning();
        let (width, height) = returning.copy_size;
        for by in [1.0, 2.173_9, 4.0, 0.5] {
            let scaled = |side: u32| (f64::from(side) * by).round() as u32;
            let copy = Size { width: scaled(width), height: scaled(height) };
            let way = returning.way(copy, None).unwrap();
            assert!((f64::from(way.size.width) - 2300.0 * by).abs() <= 1.0, "{way:?}");
            assert!((way.enlarged - by).abs() < 1e-3);
            let there = Projection::new(returning.back).unwrap().inverse();
            for (u, v) in [(0.0, 0.0), (1.0, 0.0), (0.25, 0.6), (1.0, 1.0)] {
                let (x, y) = there.place(2300.0 * u, 979.0 * v).unwrap();
                let x = x * f64::from(copy.width) / f64::from(width);
                let y = y * f64::from(copy.height) / f64::from(height);
                let at = (u * f64::from(way.size.width), v * f64::from(way.size.height));
                let found = way.map.place(at.0, at.1).unwrap();
                assert!((found.0 - x).hypot(found.1 - y) < 1e-6, "{found:?} {x} {y}");
            }
        }
        let way = returning.way(Size { width: 2 * width, height: 2 * height }, Some(5000)).unwrap();
        assert_eq!(way.size, Size { width: 5000, height: 2128 });
    }

    #[test]
    fn a_copy_that_was_cropped_or_stretched_is_refused() {
        let returning = returning();
        let (width, height) = returning.copy_size;
        let reshaped = [
            (width - 40, height),
            (width, height + 3),
            (2 * width, height),
            (width - 1, height - 1),
        ];
        for copy in reshaped {
            let why = returning.way(Size { width: copy.0, height: copy.1 }, None).unwrap_err();
            assert!(why.to_string().contains("cropped, extended or stretched"), "{why}");
        }
        let why = returning.way(Size { width, height }, Some(70_000)).unwrap_err();
        assert!(matches!(why, ReturnError::Size(70_000, _)), "{why}");
    }
}
