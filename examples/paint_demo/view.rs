//! The eye at its place in the world, and the picture's pixels.

use glam::{DVec2, DVec3};
use staffage_solver::Eye;

/// An eye standing at (0, height, 0) that looks at a picture of so many pixels.
#[derive(Clone, Copy)]
pub(crate) struct View {
    pub(crate) eye: Eye,
    /// Height of the eye over the world's origin, metres.
    pub(crate) eye_height: f64,
    pub(crate) width: usize,
    pub(crate) height: usize,
}

impl View {
    pub(crate) fn new(
        focal: f64,
        pitch: f64,
        cant: f64,
        eye_height: f64,
        size: (usize, usize),
    ) -> Self {
        let eye = Eye {
            focal,
            pitch: pitch.to_radians(),
            cant: cant.to_radians(),
            principal: DVec2::ZERO,
        };
        Self { eye, eye_height, width: size.0, height: size.1 }
    }

    pub(crate) fn place(&self) -> DVec3 {
        DVec3::new(0.0, self.eye_height, 0.0)
    }

    /// Where a world point is seen, picture units.
    pub(crate) fn picture(&self, point: DVec3) -> Option<DVec2> {
        self.eye.project(point - self.place())
    }

    /// Where a world point is seen, pixels from the top left corner.
    pub(crate) fn pixel(&self, point: DVec3) -> Option<DVec2> {
        self.picture(point).map(|p| self.pixel_of(p))
    }

    pub(crate) fn pixel_of(&self, picture: DVec2) -> DVec2 {
        let (w, h) = (self.width as f64, self.height as f64);
        DVec2::new((picture.x + 0.5) * w, picture.y * w + 0.5 * h)
    }

    /// Sight line through a pixel position.
    pub(crate) fn ray(&self, pixel: DVec2) -> DVec3 {
        let (w, h) = (self.width as f64, self.height as f64);
        self.eye.ray(DVec2::new(pixel.x / w - 0.5, (pixel.y - 0.5 * h) / w))
    }

    /// Pixels per metre square to the sight line at a point.
    pub(crate) fn scale_at(&self, point: DVec3) -> f64 {
        let away = point - self.place();
        let ahead = self.eye.ray(DVec2::ZERO);
        self.eye.focal * self.width as f64 / away.dot(ahead).max(0.1)
    }
}
