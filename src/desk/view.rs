use egui::{Pos2, Rect};
use glam::DVec2;
use staffage_scene::Frame;

/// Smallest and largest magnification: a frame width of 40 points is a thumbnail, and at a million
/// one picture pixel of a 10,000 px painting is 100 points wide.
const SCALE_RANGE: (f64, f64) = (40.0, 1_000_000.0);
/// Share of the canvas that stays free around a fitted frame.
const FIT_MARGIN: f64 = 0.04;

/// Which part of the picture the canvas shows: picture units to screen points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// The picture point in the middle of the canvas, picture units.
    pub centre: DVec2,
    /// Screen points that one frame width takes.
    pub points_per_unit: f64,
    /// Whether left and right are swapped, about the middle of the canvas.
    pub mirrored: bool,
}

impl View {
    /// The whole frame in the middle of the canvas.
    #[must_use]
    pub fn fit(frame: Frame, canvas: Rect) -> Self {
        let free = 1.0 - 2.0 * FIT_MARGIN;
        let across = f64::from(canvas.width()) * free;
        let down = f64::from(canvas.height()) * free * frame.ratio;
        let points_per_unit = clamp_scale(across.min(down));
        Self { centre: DVec2::ZERO, points_per_unit, mirrored: false }
    }

    /// The whole frame in the middle of the canvas, mirrored if this view is.
    #[must_use]
    pub fn fitted(self, frame: Frame, canvas: Rect) -> Self {
        Self { mirrored: self.mirrored, ..Self::fit(frame, canvas) }
    }

    /// From the picture's right and down to the screen's.
    fn handed(&self) -> DVec2 {
        DVec2::new(if self.mirrored { -1.0 } else { 1.0 }, 1.0)
    }

    /// One picture pixel on one screen pixel, about the same centre.
    #[must_use]
    pub fn actual_size(self, working_width: u32, pixels_per_point: f32) -> Self {
        let scale = f64::from(working_width) / f64::from(pixels_per_point);
        Self { points_per_unit: clamp_scale(scale), ..self }
    }

    /// Where a picture point lies on the screen.
    #[must_use]
    pub fn to_screen(&self, canvas: Rect, at: DVec2) -> Pos2 {
        let d = (at - self.centre) * self.handed() * self.points_per_unit;
        canvas.center() + egui::vec2(d.x as f32, d.y as f32)
    }

    /// Which picture point lies under a screen point.
    #[must_use]
    pub fn to_picture(&self, canvas: Rect, at: Pos2) -> DVec2 {
        self.centre + self.to_picture_delta(at - canvas.center())
    }

    /// A displacement on the screen as a displacement in the picture.
    #[must_use]
    pub fn to_picture_delta(&self, delta: egui::Vec2) -> DVec2 {
        DVec2::new(f64::from(delta.x), f64::from(delta.y)) * self.handed() / self.points_per_unit
    }

    /// Enlarges `factor` times and keeps what is under `at` under it.
    #[must_use]
    pub fn zoomed(self, canvas: Rect, at: Pos2, factor: f64) -> Self {
        let held = self.to_picture(canvas, at);
        let zoomed = Self { points_per_unit: clamp_scale(self.points_per_unit * factor), ..self };
        Self { centre: zoomed.centre + held - zoomed.to_picture(canvas, at), ..zoomed }
    }

    /// Moves the picture by a displacement on the screen.
    #[must_use]
    pub fn panned(self, delta: egui::Vec2) -> Self {
        Self { centre: self.centre - self.to_picture_delta(delta), ..self }
    }

    /// At actual size, puts the painting's pixels exactly on the screen's, so that it is crisp; any
    /// other view stays as it is.
    #[must_use]
    pub fn aligned(self, canvas: Rect, painting: (u32, u32), pixels_per_point: f32) -> Self {
        let (width, height) = (f64::from(painting.0), f64::from(painting.1));
        let pixels = f64::from(pixels_per_point);
        let enlarged = self.points_per_unit * pixels / width;
        if (enlarged - 1.0).abs() > 1e-9 {
            return self;
        }
        let corner = DVec2::new(-0.5, -0.5 * height / width);
        let middle = canvas.center();
        let middle = DVec2::new(f64::from(middle.x), f64::from(middle.y));
        let at = (middle + (corner - self.centre) * self.handed() * self.points_per_unit) * pixels;
        let off = (at.round() - at) * self.handed() / pixels / self.points_per_unit;
        Self { centre: self.centre - off, ..self }
    }

    /// Keeps some of the frame in sight, so that the picture cannot be lost off the canvas.
    #[must_use]
    pub fn kept_near(self, frame: Frame, canvas: Rect) -> Self {
        let half = self.to_picture_delta(canvas.size()).abs() / 2.0;
        let reach = DVec2::new(0.5, frame.half_height()) + half * 0.8;
        Self { centre: self.centre.clamp(-reach, reach), ..self }
    }

    /// The visible part of the picture, for the drawing.
    #[must_use]
    pub fn visible(&self, canvas: Rect) -> staffage_drawing::View {
        let (a, b) = (self.to_picture(canvas, canvas.min), self.to_picture(canvas, canvas.max));
        let points_per_unit = self.points_per_unit;
        staffage_drawing::View { min: a.min(b), max: a.max(b), points_per_unit }
    }

    /// Magnification in percent of actual size.
    #[must_use]
    pub fn percent(&self, working_width: u32, pixels_per_point: f32) -> f64 {
        100.0 * self.points_per_unit * f64::from(pixels_per_point) / f64::from(working_width)
    }
}

fn clamp_scale(scale: f64) -> f64 {
    if scale.is_finite() { scale.clamp(SCALE_RANGE.0, SCALE_RANGE.1) } else { SCALE_RANGE.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::{pos2, vec2};

    fn canvas() -> Rect {
        Rect::from_min_size(pos2(100.0, 50.0), vec2(800.0, 600.0))
    }

    #[test]
    fn the_point_under_the_pointer_stays_under_it_while_zooming() {
        let view = View { centre: DVec2::new(0.1, -0.05), points_per_unit: 900.0, mirrored: false };
        let pointer = pos2(333.0, 444.0);
        let before = view.to_picture(canvas(), pointer);
        let after = view.zoomed(canvas(), pointer, 3.7).to_picture(canvas(), pointer);
        assert!((before - after).length() < 1e-9, "{before} {after}");
    }

    #[test]
    fn to_picture_undoes_to_screen() {
        let view = View { centre: DVec2::new(-0.2, 0.3), points_per_unit: 1234.5, mirrored: false };
        let p = DVec2::new(0.123, -0.077);
        let back = view.to_picture(canvas(), view.to_screen(canvas(), p));
        assert!((back - p).length() < 1e-6, "{back} {p}");
    }

    #[test]
    fn a_fitted_frame_lies_inside_the_canvas() {
        for ratio in [0.5, 1.0, 2.35, 6.0] {
            let frame = Frame { ratio, working_width: 2300 };
            let view = View::fit(frame, canvas());
            let corner = DVec2::new(0.5, frame.half_height());
            assert!(canvas().contains(view.to_screen(canvas(), corner)), "{ratio}");
            assert!(canvas().contains(view.to_screen(canvas(), -corner)), "{ratio}");
        }
    }

    #[test]
    fn actual_size_puts_a_picture_pixel_on_a_screen_pixel() {
        let view = View { centre: DVec2::ZERO, points_per_unit: 500.0, mirrored: false }
            .actual_size(2300, 2.0);
        assert_eq!(view.points_per_unit, 1150.0);
        assert_eq!(view.percent(2300, 2.0), 100.0);
    }

    #[test]
    fn at_actual_size_the_pixels_of_painting_and_screen_coincide() {
        let view =
            View { centre: DVec2::new(0.0123, 0.0456), points_per_unit: 500.0, mirrored: false };
        let view = view.actual_size(2301, 2.0).aligned(canvas(), (2301, 979), 2.0);
        let corner = view.to_screen(canvas(), DVec2::new(-0.5, -0.5 * 979.0 / 2301.0));
        let off = |x: f32| (2.0 * x - (2.0 * x).round()).abs();
        assert!(off(corner.x) < 1e-3 && off(corner.y) < 1e-3, "{corner}");
        let free =
            View { centre: DVec2::new(0.0123, 0.0456), points_per_unit: 500.0, mirrored: false };
        assert_eq!(free.aligned(canvas(), (2301, 979), 2.0), free);
    }

    #[test]
    fn a_scale_that_is_no_number_becomes_the_smallest() {
        let view = View { centre: DVec2::ZERO, points_per_unit: 500.0, mirrored: false };
        assert_eq!(view.zoomed(canvas(), pos2(0.0, 0.0), f64::NAN).points_per_unit, 40.0);
    }

    #[test]
    fn a_mirrored_view_swaps_left_and_right_about_the_middle() {
        let centre = DVec2::new(0.1, 0.0);
        let view = View { centre, points_per_unit: 1000.0, mirrored: true };
        assert_eq!(view.to_screen(canvas(), centre), canvas().center());
        let right = view.to_screen(canvas(), centre + DVec2::new(0.05, 0.02));
        assert!((right - canvas().center() - vec2(-50.0, 20.0)).length() < 1e-3, "{right}");
        let visible = view.visible(canvas());
        assert!(visible.min.x < visible.max.x && visible.min.y < visible.max.y);
    }

    #[test]
    fn gestures_follow_the_pointer_in_a_mirrored_view() {
        let view = View { centre: DVec2::new(0.1, -0.05), points_per_unit: 900.0, mirrored: true };
        let pointer = pos2(333.0, 444.0);
        let held = view.to_picture(canvas(), pointer);
        assert!((view.to_screen(canvas(), held) - pointer).length() < 1e-3);
        let zoomed = view.zoomed(canvas(), pointer, 2.5);
        assert!((zoomed.to_picture(canvas(), pointer) - held).length() < 1e-9);
        let moved = view.panned(vec2(30.0, -7.0)).to_screen(canvas(), held);
        assert!((moved - pointer - vec2(30.0, -7.0)).length() < 1e-3, "{moved}");
    }

    #[test]
    fn a_mirrored_view_keeps_the_frame_in_sight_and_its_pixels_crisp() {
        let view = View { centre: DVec2::new(9.0, 0.0), points_per_unit: 500.0, mirrored: true };
        let frame = Frame { ratio: 2.35, working_width: 2301 };
        assert!(view.kept_near(frame, canvas()).centre.x < 2.0);
        let view = View { centre: DVec2::new(0.0123, 0.0456), ..view };
        let view = view.actual_size(2301, 2.0).aligned(canvas(), (2301, 979), 2.0);
        let corner = view.to_screen(canvas(), DVec2::new(-0.5, -0.5 * 979.0 / 2301.0));
        assert!((2.0 * corner.x - (2.0 * corner.x).round()).abs() < 1e-3, "{corner}");
    }
}
