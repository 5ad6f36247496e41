use egui::{Pos2, Rect};
use glam::{DMat3, DVec2};
use staffage_drawing::Page;
use staffage_scene::Frame;
use staffage_solver::Homography;

/// Smallest and largest magnification: a frame width of 40 points is a thumbnail, and at a million
/// one picture pixel of a 10,000 px painting is 100 points wide.
const SCALE_RANGE: (f64, f64) = (40.0, 1_000_000.0);
/// Share of the canvas that stays free around a fitted frame.
const FIT_MARGIN: f64 = 0.04;
/// Least depth of what is fitted into the canvas, and of what can be in its middle, as a share of that
/// of the frame's centre: there, things are enlarged five times and thirty times as much.
const LEAST_FITTED: f64 = 0.34;
const LEAST_CENTRED: f64 = 0.1;
/// How far beside the canvas something can lie of which a part is seen, points.
const BESIDE: f64 = 64.0;

/// Which part of the picture the canvas shows, and how: picture units to screen points.
///
/// [`to_screen`](Self::to_screen) and [`to_picture`](Self::to_picture) are the only two that know how
/// the picture is turned; everything else asks them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// The picture point in the middle of the canvas, picture units.
    pub centre: DVec2,
    /// Screen points that one frame width takes in the middle of the canvas.
    pub points_per_unit: f64,
    /// Whether left and right are swapped, about the middle of the canvas.
    pub mirrored: bool,
    /// How the picture is turned, or seen as by an eye that is aimed otherwise; `None` as it is
    /// painted.
    pub turn: Option<Homography>,
}

impl View {
    /// A view of the picture as it is painted.
    #[must_use]
    pub fn plain(centre: DVec2, points_per_unit: f64) -> Self {
        Self { centre, points_per_unit, mirrored: false, turn: None }
    }

    /// The whole frame in the middle of the canvas.
    #[must_use]
    pub fn fit(frame: Frame, canvas: Rect) -> Self {
        Self::plain(DVec2::ZERO, 1.0).fitted(frame, canvas)
    }

    /// The whole frame in the middle of the canvas, mirrored and turned as this view is. Of a frame that
    /// reaches behind the eye, what is not enlarged beyond use.
    #[must_use]
    pub fn fitted(self, frame: Frame, canvas: Rect) -> Self {
        self.fitted_to(&frame_corners(frame), canvas)
    }

    /// The same with all of these picture points.
    pub(crate) fn fitted_to(self, corners: &[DVec2], canvas: Rect) -> Self {
        let corners = match self.turn {
            Some(turn) => turn.in_front(corners, turn.depth(DVec2::ZERO) * LEAST_FITTED),
            None => corners.to_vec(),
        };
        let placed = corners.into_iter().map(|at| self.on_plane(at));
        let (min, max) = placed.fold((DVec2::INFINITY, DVec2::NEG_INFINITY), |(min, max), at| {
            (min.min(at), max.max(at))
        });
        let free = (1.0 - 2.0 * FIT_MARGIN) * size(canvas);
        let scale = (free / (max - min)).min_element();
        self.about(0.5 * (min + max), clamp_scale(scale))
    }

    /// From the picture's right and down to the screen's.
    fn handed(&self) -> DVec2 {
        DVec2::new(if self.mirrored { -1.0 } else { 1.0 }, 1.0)
    }

    /// Where a picture point lies on the plane that the turn takes the picture to, frame widths.
    fn on_plane(&self, at: DVec2) -> DVec2 {
        self.turn.map_or(at, |turn| turn.place(at))
    }

    fn off_plane(&self, at: DVec2) -> DVec2 {
        self.turn.map_or(at, |turn| turn.inverse().place(at))
    }

    /// How many times as long small things are on that plane.
    fn stretch(&self, at: DVec2) -> f64 {
        self.turn.map_or(1.0, |turn| turn.stretch(at))
    }

    /// Screen points that one frame width takes on that plane.
    fn scale(&self) -> f64 {
        self.points_per_unit / self.stretch(self.centre)
    }

    /// The same with this point of that plane in the middle of the canvas, at this scale.
    fn about(self, centre: DVec2, scale: f64) -> Self {
        let centre = self.off_plane(centre);
        Self { centre, points_per_unit: scale * self.stretch(centre), ..self }
    }

    /// One picture pixel on one screen pixel, about the same centre.
    #[must_use]
    pub fn actual_size(self, working_width: u32, pixels_per_point: f32) -> Self {
        let scale = f64::from(working_width) / f64::from(pixels_per_point);
        Self { points_per_unit: clamp_scale(scale), ..self }
    }

    /// Where a picture point lies on the screen; very far off if it lies behind the plane of the eye
    /// as which the picture is seen.
    #[must_use]
    pub fn to_screen(&self, canvas: Rect, at: DVec2) -> Pos2 {
        let d = (self.on_plane(at) - self.on_plane(self.centre)) * self.handed() * self.scale();
        canvas.center() + egui::vec2(d.x as f32, d.y as f32)
    }

    /// Which picture point lies under a screen point.
    #[must_use]
    pub fn to_picture(&self, canvas: Rect, at: Pos2) -> DVec2 {
        let by = self.plane_delta(at - canvas.center());
        self.off_plane(self.on_plane(self.centre) + by)
    }

    /// A displacement on the screen as one on the plane of the turn.
    fn plane_delta(&self, delta: egui::Vec2) -> DVec2 {
        DVec2::new(f64::from(delta.x), f64::from(delta.y)) * self.handed() / self.scale()
    }

    /// A displacement on the screen, in the length of picture units there, as one in the picture of a
    /// point at `at`.
    #[must_use]
    pub fn nudge(&self, at: DVec2, by: DVec2) -> DVec2 {
        let by = by * self.handed();
        match self.turn {
            Some(_) => self.off_plane(self.on_plane(at) + by * self.stretch(at)) - at,
            None => by,
        }
    }

    /// Screen points that one frame width would take at a picture point.
    #[must_use]
    pub fn points_per_unit_at(&self, at: DVec2) -> f64 {
        self.scale() * self.stretch(at)
    }

    /// Enlarges `factor` times and keeps what is under `at` under it.
    #[must_use]
    pub fn zoomed(self, canvas: Rect, at: Pos2, factor: f64) -> Self {
        let held = self.to_picture(canvas, at);
        let enlarged = clamp_scale(self.points_per_unit * factor);
        Self { points_per_unit: enlarged, ..self }.holding(canvas, held, at)
    }

    /// The same scale with a picture point at this point of the screen.
    fn holding(self, canvas: Rect, held: DVec2, at: Pos2) -> Self {
        let by = self.plane_delta(at - canvas.center());
        self.about(self.on_plane(held) - by, self.scale())
    }

    /// Moves the picture by a displacement on the screen.
    #[must_use]
    pub fn panned(self, delta: egui::Vec2) -> Self {
        self.about(self.on_plane(self.centre) - self.plane_delta(delta), self.scale())
    }

    /// Turned in this way instead; what is under `at` stays under it and as large.
    #[must_use]
    pub fn turned(self, canvas: Rect, at: Pos2, turn: Option<Homography>) -> Self {
        let held = self.to_picture(canvas, at);
        let enlarged = self.scale() * self.stretch(held);
        let turned = Self { turn, centre: held, points_per_unit: enlarged, ..self };
        let turned = turned.holding(canvas, held, at);
        Self { points_per_unit: clamp_scale(turned.points_per_unit), ..turned }
    }

    /// At actual size, puts the painting's pixels exactly on the screen's, so that it is crisp; any
    /// other view, and a turned one, stays as it is.
    #[must_use]
    pub fn aligned(self, canvas: Rect, painting: (u32, u32), pixels_per_point: f32) -> Self {
        let (width, height) = (f64::from(painting.0), f64::from(painting.1));
        let pixels = f64::from(pixels_per_point);
        let enlarged = self.points_per_unit * pixels / width;
        if self.turn.is_some() || (enlarged - 1.0).abs() > 1e-9 {
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
        let half = 0.5 * size(canvas) / self.scale();
        let corner = DVec2::new(0.5, frame.half_height());
        let Some(turn) = self.turn else {
            let reach = corner + half * 0.8;
            return Self { centre: self.centre.clamp(-reach, reach), ..self };
        };
        let least = LEAST_CENTRED * turn.depth(DVec2::ZERO);
        let framed = self.centre.clamp(-corner, corner);
        let framed = turn.segment_in_front(DVec2::ZERO, framed, least).map_or(DVec2::ZERO, |s| s.1);
        // Turned anyhow, a point of the frame this near to the middle is on the canvas.
        let (most, at) = (0.8 * half.min_element(), self.on_plane(framed));
        let off = self.on_plane(self.centre) - at;
        if off.length() <= most {
            self
        } else {
            self.about(at + off.clamp_length_max(most), self.scale())
        }
    }

    /// The visible part of the picture, for the drawing.
    #[must_use]
    pub fn visible(&self, canvas: Rect) -> staffage_drawing::View {
        if self.turn.is_none() && !self.mirrored {
            let (a, b) = (self.to_picture(canvas, canvas.min), self.to_picture(canvas, canvas.max));
            return staffage_drawing::View::of_part(a.min(b), a.max(b), self.points_per_unit);
        }
        staffage_drawing::View::of_page(self.page(canvas), self.points_per_unit)
    }

    /// How the picture lies on the canvas.
    pub(crate) fn page(&self, canvas: Rect) -> Page {
        let (size, scale) = (size(canvas), self.handed() * self.scale());
        let shift = 0.5 * size - self.on_plane(self.centre) * scale;
        let placing = DMat3::from_translation(shift) * DMat3::from_scale(scale);
        let placing = Homography::new(placing).unwrap_or(Homography::IDENTITY);
        Page { map: self.turn.unwrap_or(Homography::IDENTITY).then(placing), size }
    }

    /// Where a segment of the picture lies on the screen, as far as it is in front of the eye as which
    /// the picture is seen, and not much farther than the canvas.
    #[must_use]
    pub fn segment(&self, canvas: Rect, a: DVec2, b: DVec2) -> Option<[Pos2; 2]> {
        let (a, b) = match self.turn.filter(|turn| !turn.is_affine()) {
            Some(turn) => turn.segment_in_front(a, b, self.least_depth(canvas))?,
            None => (a, b),
        };
        Some([a, b].map(|at| self.to_screen(canvas, at)))
    }

    /// The same of a convex polygon of the picture; empty if nothing of it is there.
    #[must_use]
    pub fn polygon(&self, canvas: Rect, corners: &[DVec2]) -> Vec<Pos2> {
        let place = |at: &DVec2| self.to_screen(canvas, *at);
        match self.turn.filter(|turn| !turn.is_affine()) {
            Some(turn) => {
                turn.in_front(corners, self.least_depth(canvas)).iter().map(place).collect()
            }
            None => corners.iter().map(place).collect(),
        }
    }

    /// Whether a picture point can be on the canvas, or near it.
    #[must_use]
    pub fn faces(&self, canvas: Rect, at: DVec2) -> bool {
        let turn = self.turn.filter(|turn| !turn.is_affine());
        turn.is_none_or(|turn| turn.depth(at) >= self.least_depth(canvas))
    }

    /// The least depth of what is on the canvas or a thick stroke beside it.
    fn least_depth(&self, canvas: Rect) -> f64 {
        self.page(canvas).least_depth(BESIDE)
    }

    /// Magnification in percent of actual size, in the middle of the canvas.
    #[must_use]
    pub fn percent(&self, working_width: u32, pixels_per_point: f32) -> f64 {
        100.0 * self.points_per_unit * f64::from(pixels_per_point) / f64::from(working_width)
    }
}

fn size(canvas: Rect) -> DVec2 {
    DVec2::new(f64::from(canvas.width()), f64::from(canvas.height()))
}

/// The corners of the frame, picture units.
pub(crate) fn frame_corners(frame: Frame) -> [DVec2; 4] {
    let c = DVec2::new(0.5, frame.half_height());
    [-c, DVec2::new(c.x, -c.y), c, DVec2::new(-c.x, c.y)]
}

fn clamp_scale(scale: f64) -> f64 {
    if scale.is_finite() { scale.clamp(SCALE_RANGE.0, SCALE_RANGE.1) } else { SCALE_RANGE.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::{Vec2, pos2, vec2};
    use glam::DVec3;
    use staffage_solver::Eye;

    fn canvas() -> Rect {
        Rect::from_min_size(pos2(100.0, 50.0), vec2(800.0, 600.0))
    }

    #[test]
    fn the_point_under_the_pointer_stays_under_it_while_zooming() {
        let view = View::plain(DVec2::new(0.1, -0.05), 900.0);
        let pointer = pos2(333.0, 444.0);
        let before = view.to_picture(canvas(), pointer);
        let after = view.zoomed(canvas(), pointer, 3.7).to_picture(canvas(), pointer);
        assert!((before - after).length() < 1e-9, "{before} {after}");
    }

    #[test]
    fn to_picture_undoes_to_screen() {
        let view = View::plain(DVec2::new(-0.2, 0.3), 1234.5);
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
        let view = View::plain(DVec2::ZERO, 500.0).actual_size(2300, 2.0);
        assert_eq!(view.points_per_unit, 1150.0);
        assert_eq!(view.percent(2300, 2.0), 100.0);
    }

    #[test]
    fn at_actual_size_the_pixels_of_painting_and_screen_coincide() {
        let view = View::plain(DVec2::new(0.0123, 0.0456), 500.0);
        let view = view.actual_size(2301, 2.0).aligned(canvas(), (2301, 979), 2.0);
        let corner = view.to_screen(canvas(), DVec2::new(-0.5, -0.5 * 979.0 / 2301.0));
        let off = |x: f32| (2.0 * x - (2.0 * x).round()).abs();
        assert!(off(corner.x) < 1e-3 && off(corner.y) < 1e-3, "{corner}");
        let free = View::plain(DVec2::new(0.0123, 0.0456), 500.0);
        assert_eq!(free.aligned(canvas(), (2301, 979), 2.0), free);
    }

    #[test]
    fn a_scale_that_is_no_number_becomes_the_smallest() {
        let view = View::plain(DVec2::ZERO, 500.0);
        assert_eq!(view.zoomed(canvas(), pos2(0.0, 0.0), f64::NAN).points_per_unit, 40.0);
    }

    #[test]
    fn a_mirrored_view_swaps_left_and_right_about_the_middle() {
        let centre = DVec2::new(0.1, 0.0);
        let view = View { mirrored: true, ..View::plain(centre, 1000.0) };
        assert_eq!(view.to_screen(canvas(), centre), canvas().center());
        let right = view.to_screen(canvas(), centre + DVec2::new(0.05, 0.02));
        assert!((right - canvas().center() - vec2(-50.0, 20.0)).length() < 1e-3, "{right}");
        let visible = view.visible(canvas());
        assert!(visible.min.x < visible.max.x && visible.min.y < visible.max.y);
    }

    #[test]
    fn gestures_follow_the_pointer_in_a_mirrored_view() {
        let view = View { mirrored: true, ..View::plain(DVec2::new(0.1, -0.05), 900.0) };
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
        let view = View { mirrored: true, ..View::plain(DVec2::new(9.0, 0.0), 500.0) };
        let frame = Frame { ratio: 2.35, working_width: 2301 };
        assert!(view.kept_near(frame, canvas()).centre.x < 2.0);
        let view = View { centre: DVec2::new(0.0123, 0.0456), ..view };
        let view = view.actual_size(2301, 2.0).aligned(canvas(), (2301, 979), 2.0);
        let corner = view.to_screen(canvas(), DVec2::new(-0.5, -0.5 * 979.0 / 2301.0));
        assert!((2.0 * corner.x - (2.0 * corner.x).round()).abs() < 1e-3, "{corner}");
    }

    /// An eye that looks up steeply and is canted.
    fn eye() -> Eye {
        Eye { focal: 0.8, pitch: 0.35, cant: 0.12, principal: DVec2::new(0.03, -0.02) }
    }

    /// Every way of turning, mirrored and not, off the frame's middle.
    fn turned_views() -> Vec<View> {
        let quarter = Homography::turned(DVec2::ZERO, 1.5);
        let turns = [
            None,
            Some(Homography::level(&eye())),
            Homography::plumb(&eye()),
            Homography::plumb(&eye()).map(|plumb| plumb.then(quarter)),
            Some(quarter),
        ];
        let plain = View::plain(DVec2::new(0.1, -0.05), 900.0);
        let views = turns.into_iter().flat_map(|turn| {
            [false, true].map(|mirrored| {
                let at = canvas().center();
                View { mirrored, ..plain }.turned(canvas(), at, turn)
            })
        });
        views.collect()
    }

    #[test]
    fn in_every_turned_view_the_pointers_way_back_is_the_exact_inverse() {
        for view in turned_views() {
            for at in [(0.3, -0.18), (-0.45, 0.2), (0.0, 0.0), (0.49, 0.21)] {
                let at = DVec2::from(at);
                let back = view.to_picture(canvas(), view.to_screen(canvas(), at));
                // A screen point is a pair of 32 bit numbers.
                assert!((back - at).length() < 2e-6, "{back} {at} {view:?}");
                let page = view.page(canvas());
                let back = page.map.inverse().place(page.map.place(at));
                assert!((back - at).length() < 1e-12, "{back} {at}");
            }
        }
    }

    #[test]
    fn gestures_follow_the_pointer_in_every_turned_view() {
        let pointer = pos2(333.0, 444.0);
        for view in turned_views() {
            let held = view.to_picture(canvas(), pointer);
            let zoomed = view.zoomed(canvas(), pointer, 2.5);
            assert!((zoomed.to_picture(canvas(), pointer) - held).length() < 1e-9, "{view:?}");
            let moved = view.panned(vec2(30.0, -7.0)).to_screen(canvas(), held);
            assert!((moved - pointer - vec2(30.0, -7.0)).length() < 1e-2, "{moved} {view:?}");
        }
    }

    #[test]
    fn turning_keeps_the_middle_and_its_scale_and_turning_back_restores_the_view() {
        let plain = View::plain(DVec2::new(0.1, -0.05), 900.0);
        let middle = canvas().center();
        for view in turned_views() {
            assert!((view.centre - plain.centre).length() < 1e-12);
            assert!((view.points_per_unit - 900.0).abs() < 1e-9);
            let back = view.turned(canvas(), middle, None);
            assert!((back.centre - plain.centre).length() < 1e-12, "{back:?}");
            assert!((back.points_per_unit - 900.0).abs() < 1e-9, "{back:?}");
        }
        let about = pos2(700.0, 200.0);
        let turned = plain.turned(canvas(), about, Homography::plumb(&eye()));
        let held = plain.to_picture(canvas(), about);
        assert!((turned.to_screen(canvas(), held) - about).length() < 1e-2);
    }

    #[test]
    fn a_level_views_horizon_is_level_on_the_screen() {
        let turn = Some(Homography::level(&eye()));
        for mirrored in [false, true] {
            let view = View { mirrored, ..View::plain(DVec2::ZERO, 700.0) };
            let view = view.turned(canvas(), canvas().center(), turn);
            let map = view.page(canvas()).map;
            let on = |u: f64| map.place(eye().nearest_on_horizon(DVec2::new(u, 0.0)));
            assert!((on(-0.4).y - on(0.4).y).abs() < 1e-9, "{} {}", on(-0.4), on(0.4));
        }
    }

    #[test]
    fn a_plumb_views_uprights_are_vertical_on_the_screen() {
        let view = View::plain(DVec2::ZERO, 700.0);
        let view = view.turned(canvas(), canvas().center(), Homography::plumb(&eye()));
        for base in [DVec3::new(-2.0, -1.6, -9.0), DVec3::new(3.0, 1.0, -12.0)] {
            let seen = |up: f64| eye().project(base + up * DVec3::Y).unwrap();
            let map = view.page(canvas()).map;
            let (foot, head) = (map.place(seen(0.0)), map.place(seen(3.0)));
            assert!((foot.x - head.x).abs() < 1e-9 && head.y < foot.y, "{foot} {head}");
            let on_screen = [0.0, 3.0].map(|up| view.to_screen(canvas(), seen(up)));
            assert!((on_screen[0].x - on_screen[1].x).abs() < 1e-3, "{on_screen:?}");
        }
    }

    #[test]
    fn a_fitted_frame_lies_inside_the_canvas_however_it_is_turned() {
        let frame = Frame { ratio: 2.35, working_width: 2300 };
        for view in turned_views() {
            let fitted = view.fitted(frame, canvas());
            for corner in frame_corners(frame) {
                let at = fitted.to_screen(canvas(), corner);
                assert!(canvas().contains(at), "{at} {view:?}");
            }
            let kept = fitted.kept_near(frame, canvas());
            assert_eq!(kept, fitted, "a fitted view is not moved");
            assert_eq!(fitted.fitted(frame, canvas()), fitted, "nor fitted again");
        }
    }

    #[test]
    fn a_frame_that_reaches_behind_the_eye_is_fitted_as_far_as_it_can_be_used() {
        let steep = Eye { focal: 0.5, pitch: 1.0, ..Eye::default() };
        let frame = Frame { ratio: 1.0, working_width: 2300 };
        let turn = Homography::plumb(&steep).unwrap();
        assert!(frame_corners(frame).iter().any(|at| turn.depth(*at) < 0.0));
        let view = View { turn: Some(turn), ..View::plain(DVec2::ZERO, 500.0) };
        let view = view.fitted(frame, canvas());
        assert!(view.points_per_unit.is_finite() && view.centre.is_finite(), "{view:?}");
        let seen = view.visible(canvas());
        assert!(seen.min.is_finite() && seen.max.is_finite(), "{seen:?}");
        let paper = view.polygon(canvas(), &frame_corners(frame));
        assert!(paper.len() >= 4 && paper.iter().all(|at| at.x.abs() < 1e6 && at.y.abs() < 1e6));
        let behind = view.to_screen(canvas(), DVec2::new(0.1, -0.5));
        assert!(behind.y < canvas().top() && behind.x.is_finite(), "never turned over: {behind}");
        let staff = view.segment(canvas(), DVec2::new(0.1, 0.4), DVec2::new(0.1, -0.5)).unwrap();
        assert!(staff[1].y < canvas().top() && staff[1].y > -1e6, "{staff:?}");
    }

    #[test]
    fn a_turned_view_sees_all_that_is_on_the_canvas() {
        for view in turned_views() {
            let seen = view.visible(canvas());
            for at in [(110.0, 60.0), (890.0, 60.0), (890.0, 640.0), (110.0, 640.0), (500.0, 300.0)]
            {
                let at = view.to_picture(canvas(), Pos2::from(at));
                assert!(at.cmpge(seen.min).all() && at.cmple(seen.max).all(), "{at} {seen:?}");
            }
            let corner = seen.on_page(view.to_picture(canvas(), canvas().min));
            assert!(corner.length() < 1e-2 || view.turn.is_none(), "{corner}");
        }
    }

    #[test]
    fn arrow_keys_move_in_the_directions_of_the_screen() {
        let at = DVec2::new(0.2, 0.1);
        for view in turned_views() {
            let pixel = 1.0 / 2300.0;
            let before = view.to_screen(canvas(), at);
            let after =
                view.to_screen(canvas(), at + view.nudge(at, DVec2::new(20.0 * pixel, 0.0)));
            let by = after - before;
            assert!(by.x > 4.0 && by.y.abs() < 0.02, "{by:?} {view:?}");
        }
    }

    #[test]
    fn a_turned_view_cannot_lose_the_frame() {
        let frame = Frame { ratio: 2.35, working_width: 2300 };
        for view in turned_views() {
            for way in [(1e5, 0.0), (0.0, 1e5), (-1e5, -1e5), (0.0, -1e5)] {
                let far = view.panned(Vec2::from(way)).kept_near(frame, canvas());
                assert!(far.centre.is_finite() && far.points_per_unit.is_finite(), "{far:?}");
                let frame = far.polygon(canvas(), &frame_corners(frame));
                let seen = Rect::from_points(&frame).intersects(canvas());
                assert!(seen, "{far:?}");
            }
        }
    }

    #[test]
    fn a_turned_view_is_never_shifted_to_be_crisp() {
        let turn = Some(Homography::turned(DVec2::ZERO, 0.1));
        let view = View { turn, ..View::plain(DVec2::new(0.0123, 0.0456), 500.0) };
        let view = view.actual_size(2301, 2.0);
        assert_eq!(view.aligned(canvas(), (2301, 979), 2.0), view);
        assert_eq!(view.percent(2301, 2.0), 100.0);
    }
}
