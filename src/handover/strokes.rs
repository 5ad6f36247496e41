//! What was painted on a copy, laid over the painting that the copy was made of, so that everything else stays as it
//! was.

use crate::levelling::BLEED;
use crate::returning::{Returning, WayBack};
use staffage_picture::{Changes, Laid, NotCompared, Projection, Raster, Size, Warp};
use std::ops::ControlFlow;

/// Where a copy was painted on.
pub struct Strokes {
    changes: Changes,
    /// Pixels of the copy inside the frame that were painted on.
    pub pixels: u64,
    /// They as a share of all that lie inside the frame.
    pub share: f64,
}

impl Returning {
    /// Finds where a copy was painted on, by making it afresh from the painting as it was, a band at a time.
    /// `watch` is told which share of it was compared, and can ask to give up.
    ///
    /// # Errors
    /// [`NotCompared::Sizes`] where either picture was enlarged, else as [`Changes::find`].
    pub fn strokes(
        &self,
        painting: &Raster,
        copy: &Raster,
        watch: &mut dyn FnMut(f32) -> ControlFlow<()>,
    ) -> Result<Strokes, NotCompared> {
        let [was, frame] =
            [self.copy_size, self.painting.size].map(|(width, height)| Size { width, height });
        if painting.size() != frame {
            return Err(NotCompared::Sizes);
        }
        let back = self.back();
        let fresh = Warp::new(painting, back, was, BLEED, true);
        let changes = Changes::find(&fresh, copy, watch)?;
        let (right, bottom) = (f64::from(frame.width), f64::from(frame.height));
        let pixels = changes.count(|x, y| {
            let place = back.place(f64::from(x) + 0.5, f64::from(y) + 0.5);
            place.is_some_and(|(x, y)| (0.0..right).contains(&x) && (0.0..bottom).contains(&y))
        });
        let share = (pixels as f64 / area(back, frame).max(1.0)).min(1.0);
        Ok(Strokes { changes, pixels, share })
    }
}

impl WayBack {
    /// The painting with the strokes of a copy over it, to be worked out row by row: with alpha where it had
    /// alpha, or where the copy has `holes` inside the frame. None unless it comes back as large as it was.
    #[must_use]
    pub fn laid<'a>(
        &self,
        painting: &'a Raster,
        copy: &'a Raster,
        strokes: &'a Strokes,
        holes: bool,
    ) -> Option<Laid<'a>> {
        let alpha = painting.layout().alpha || (copy.layout().alpha && holes);
        let as_large = self.size == painting.size();
        as_large.then(|| Laid::new(painting, copy, self.map, &strokes.changes, alpha)).flatten()
    }
}

/// Pixels of the copy that lie in the frame.
fn area(back: Projection, frame: Size) -> f64 {
    let (right, bottom) = (f64::from(frame.width), f64::from(frame.height));
    let there = back.inverse();
    let corners = [(0.0, 0.0), (right, 0.0), (right, bottom), (0.0, bottom)]
        .map(|(x, y)| there.place(x, y).unwrap_or_default());
    let twice = (0..4).map(|i| {
        let ((x, y), (x2, y2)) = (corners[i], corners[(i + 1) % 4]);
        x * y2 - x2 * y
    });
    0.5 * twice.sum::<f64>().abs()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_frame_has_the_area_that_the_map_gives_it() {
        let (sine, cosine) = 0.4_f64.sin_cos();
        let turned =
            [[0.5 * cosine, 0.5 * sine, 9.0], [-0.5 * sine, 0.5 * cosine, 70.0], [0.0, 0.0, 1.0]];
        let back = Projection::new(turned).unwrap();
        let area = area(back, Size { width: 300, height: 200 });
        assert!((area - 4.0 * 60_000.0).abs() < 1e-6, "{area}");
    }
}
