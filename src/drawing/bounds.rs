use glam::DVec2;

/// A rectangle that ink is kept inside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Bounds {
    pub(crate) min: DVec2,
    pub(crate) max: DVec2,
}

impl Bounds {
    pub(crate) fn around(centre: DVec2, half_size: DVec2) -> Self {
        Self { min: centre - half_size, max: centre + half_size }
    }

    pub(crate) fn centre(self) -> DVec2 {
        0.5 * (self.min + self.max)
    }

    pub(crate) fn size(self) -> DVec2 {
        self.max - self.min
    }

    /// The same rectangle with every side moved out by `margin`, or in if it is negative.
    pub(crate) fn grown(self, margin: f64) -> Self {
        Self { min: self.min - margin, max: self.max + margin }
    }

    pub(crate) fn contains(self, p: DVec2) -> bool {
        p.cmpge(self.min).all() && p.cmple(self.max).all()
    }

    /// Part of a segment inside, by the method of Y.-D. Liang and B. A. Barsky, "A New Concept and
    /// Method for Line Clipping", ACM Transactions on Graphics 3 (1984).
    pub(crate) fn clip_segment(self, a: DVec2, b: DVec2) -> Option<(DVec2, DVec2)> {
        let d = b - a;
        let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
        for axis in 0..2 {
            let (low, high) = (self.min[axis] - a[axis], self.max[axis] - a[axis]);
            if d[axis] == 0.0 {
                if low > 0.0 || high < 0.0 {
                    return None;
                }
                continue;
            }
            let (t0, t1) = (low / d[axis], high / d[axis]);
            enter = enter.max(t0.min(t1));
            leave = leave.min(t0.max(t1));
        }
        // An end that is very far off leaves rounding errors larger than the rectangle.
        let at = |t: f64| (a + t * d).clamp(self.min, self.max);
        let usable = a.is_finite() && d.is_finite() && enter <= leave;
        usable.then(|| (at(enter), at(leave)))
    }

    /// Part of the infinite line `normal . p + offset = 0` inside, `normal` of unit length.
    pub(crate) fn clip_line(self, normal: DVec2, offset: f64) -> Option<(DVec2, DVec2)> {
        let middle = self.centre() - normal * (normal.dot(self.centre()) + offset);
        let reach = self.size().length();
        let along = normal.perp();
        // Running left to right where it can.
        let along = if along.x < 0.0 { -along } else { along };
        self.clip_segment(middle - reach * along, middle + reach * along)
    }

    /// Part of a convex polygon inside, by the method of I. E. Sutherland and G. W. Hodgman,
    /// "Reentrant Polygon Clipping", Communications of the ACM 17 (1974); empty when nothing is.
    pub(crate) fn clip_polygon(self, points: Vec<DVec2>) -> Vec<DVec2> {
        let mut points = points;
        for (axis, limit, sign) in [
            (0, self.min.x, 1.0),
            (0, self.max.x, -1.0),
            (1, self.min.y, 1.0),
            (1, self.max.y, -1.0),
        ] {
            points = clip_to_side(&points, |p| sign * (p[axis] - limit));
        }
        // A corner that was very far off leaves rounding errors larger than the rectangle.
        points.iter().map(|p| p.clamp(self.min, self.max)).collect()
    }

    /// Where a ray from the centre leaves the rectangle.
    pub(crate) fn exit(self, direction: DVec2) -> DVec2 {
        let half = 0.5 * self.size();
        let reach = (half / direction.abs()).min_element();
        self.centre() + reach * direction
    }
}

fn clip_to_side(points: &[DVec2], inside: impl Fn(DVec2) -> f64) -> Vec<DVec2> {
    let mut kept = Vec::with_capacity(points.len() + 1);
    for (i, &b) in points.iter().enumerate() {
        let a = points[(i + points.len() - 1) % points.len()];
        let (da, db) = (inside(a), inside(b));
        if (da < 0.0) != (db < 0.0) {
            kept.push(a.lerp(b, da / (da - db)));
        }
        if db >= 0.0 {
            kept.push(b);
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    fn unit() -> Bounds {
        Bounds::around(DVec2::ZERO, DVec2::ONE)
    }

    #[test]
    fn a_segment_is_cut_where_it_leaves() {
        let cut = unit().clip_segment(DVec2::new(-3.0, 0.5), DVec2::new(3.0, 0.5));
        assert_eq!(cut, Some((DVec2::new(-1.0, 0.5), DVec2::new(1.0, 0.5))));
        assert_eq!(unit().clip_segment(DVec2::new(-3.0, 2.5), DVec2::new(3.0, 2.5)), None);
        assert_eq!(unit().clip_segment(DVec2::NAN, DVec2::ZERO), None);
    }

    #[test]
    fn an_infinite_line_crosses_from_side_to_side() {
        let cut = unit().clip_line(DVec2::new(0.0, 1.0), -0.25).unwrap();
        assert_eq!(cut, (DVec2::new(-1.0, 0.25), DVec2::new(1.0, 0.25)));
        assert_eq!(unit().clip_line(DVec2::new(0.0, 1.0), -1.25), None);
    }

    #[test]
    fn a_triangle_with_two_corners_outside_keeps_three_corners() {
        let triangle = vec![DVec2::new(0.0, 0.0), DVec2::new(4.0, -0.5), DVec2::new(4.0, 0.5)];
        let cut = unit().clip_polygon(triangle);
        assert_eq!(cut.len(), 3);
        assert!(cut.iter().all(|&p| unit().contains(p)));
    }

    #[test]
    fn a_ray_from_the_centre_leaves_through_the_side_it_points_at() {
        let wide = Bounds::around(DVec2::ZERO, DVec2::new(2.0, 1.0));
        assert_eq!(wide.exit(DVec2::new(1.0, 0.0)), DVec2::new(2.0, 0.0));
        assert_eq!(wide.exit(DVec2::new(0.5, -0.5)), DVec2::new(1.0, -1.0));
    }
}
