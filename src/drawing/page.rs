use glam::{DVec2, DVec3};
use staffage_solver::Homography;

/// How the picture lies on the page where the page is not simply a part of the picture: mirrored,
/// turned, or seen as by an eye that is aimed otherwise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Page {
    /// From picture units to points from the page's upper left corner.
    pub map: Homography,
    /// Width and height of the page, points.
    pub size: DVec2,
}

impl Page {
    /// The least depth at which anything is on the page or `margin` points around it. It is that of a
    /// corner, since the inverse of a depth changes evenly over the page.
    #[must_use]
    pub fn least_depth(&self, margin: f64) -> f64 {
        let back = self.map.inverse();
        let most = self.corners(margin).into_iter().map(|at| back.depth(at));
        1.0 / most.fold(1e-9, f64::max)
    }

    /// The box that holds everything on the page, picture units. Where the page looks past the
    /// picture's own plane it ends far off.
    #[must_use]
    pub fn seen(&self) -> (DVec2, DVec2) {
        /// Farther than this many units of depth nothing is looked for: a hundred frame widths.
        const FARTHEST: f64 = 1e-2;
        let back = self.map.inverse();
        let corners = back.in_front(&self.corners(0.0), FARTHEST);
        let corners = corners.into_iter().map(|at| back.place(at));
        corners.fold((DVec2::INFINITY, DVec2::NEG_INFINITY), |(min, max), at| {
            (min.min(at), max.max(at))
        })
    }

    /// The part of a segment of the picture that is on the page or `margin` points around it,
    /// picture units.
    #[must_use]
    pub fn clip(&self, a: DVec2, b: DVec2, margin: f64) -> Option<(DVec2, DVec2)> {
        let (a, b) = self.map.segment_in_front(a, b, self.least_depth(margin))?;
        let page = crate::bounds::Bounds { min: DVec2::ZERO, max: self.size }.grown(margin);
        let (from, to) = page.clip_segment(self.map.place(a), self.map.place(b))?;
        let back = self.map.inverse();
        Some((back.place(from), back.place(to)))
    }

    /// Where a vanishing point lies on the page, homogeneous.
    #[must_use]
    pub fn image(&self, point: DVec3) -> DVec3 {
        /// Depths that rounding leaves at infinity, for a point a frame width off.
        const ROUNDING: f64 = 1e-9;
        // In front of the picture it points the way in which it is seen.
        let point = if point.z < 0.0 { -point } else { point };
        let image = self.map.image(point);
        let endless = image.z.abs() < ROUNDING * point.length();
        if endless { image.with_z(0.0) } else { image }
    }

    fn corners(&self, margin: f64) -> [DVec2; 4] {
        let (min, max) = (DVec2::splat(-margin), self.size + margin);
        [min, DVec2::new(max.x, min.y), max, DVec2::new(min.x, max.y)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use glam::DMat3;
    use staffage_solver::Eye;

    /// A page of 1000 by 500 points that shows a frame from the middle.
    fn page(turn: Homography) -> Page {
        let size = DVec2::new(1000.0, 500.0);
        let scale = DMat3::from_translation(size / 2.0) * DMat3::from_scale(DVec2::splat(1000.0));
        Page { map: turn.then(Homography::new(scale).unwrap()), size }
    }

    #[test]
    fn a_turned_page_sees_more_than_its_own_width() {
        let (min, max) = page(Homography::turned(DVec2::ZERO, 0.5)).seen();
        let half = 0.5 * 0.5_f64.cos() + 0.25 * 0.5_f64.sin();
        assert!((max.x - half).abs() < 1e-12 && (min.x + half).abs() < 1e-12, "{min} {max}");
    }

    #[test]
    fn a_page_that_looks_past_the_picture_ends_far_off() {
        let eye = Eye { pitch: 1.2, ..Eye::default() };
        let (min, max) = page(Homography::plumb(&eye).unwrap()).seen();
        assert!(min.is_finite() && max.is_finite(), "{min} {max}");
        assert!(max.y > 0.5 && max.y < 200.0, "{max}");
    }

    #[test]
    fn a_line_is_cut_at_the_edges_of_the_page_as_it_is_seen() {
        let page = page(Homography::turned(DVec2::ZERO, 0.3));
        let (a, b) = page.clip(DVec2::X * -9.0, DVec2::X * 9.0, 0.0).unwrap();
        for end in [page.map.place(a), page.map.place(b)] {
            let off = [end.x, 1000.0 - end.x, end.y, 500.0 - end.y];
            assert!(off.into_iter().any(|o| o.abs() < 1e-9), "{end}");
            assert!(off.into_iter().all(|o| o > -1e-9), "{end}");
        }
        assert_eq!(page.clip(DVec2::new(-9.0, 3.0), DVec2::new(9.0, 9.0), 0.0), None);
    }

    #[test]
    fn uprights_point_up_or_down_as_they_are_seen() {
        for (pitch, up) in [(0.5, true), (-0.5, false)] {
            let eye = Eye { pitch, ..Eye::default() };
            let page = page(Homography::plumb(&eye).unwrap());
            let point = page.image(eye.image(DVec3::Y));
            assert_eq!(point.z, 0.0);
            assert_eq!(point.y < 0.0, up, "{point}");
        }
    }
}
