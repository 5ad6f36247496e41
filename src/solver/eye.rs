use glam::{DMat3, DVec2, DVec3};

/// The viewer: a pinhole camera at the world point (0, eye height, 0), heading along -Z.
///
/// Picture coordinates have their origin at the frame's centre, u right, v down, unit one frame
/// width. Camera axes: x right, y down, z ahead. World axes: X right, Y up, -Z ahead.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Eye {
    /// Focal length, frame widths.
    pub focal: f64,
    /// Elevation of the optical axis, radians, looking up positive.
    pub pitch: f64,
    /// Tilt of the horizon in the picture, radians, right end up positive.
    pub cant: f64,
    /// Principal point, picture units; (0, 0) unless the painting is a crop of a larger frame.
    pub principal: DVec2,
}

impl Default for Eye {
    /// A level eye whose focal length is one frame width (53.13 degrees across).
    fn default() -> Self {
        Self { focal: 1.0, pitch: 0.0, cant: 0.0, principal: DVec2::ZERO }
    }
}

impl Eye {
    /// Angle of view across the frame, 2 atan(1 / 2f), radians.
    #[must_use]
    pub fn angle_of_view(&self) -> f64 {
        angle_of_view(self.focal)
    }

    /// Rotation from world to camera axes.
    #[must_use]
    pub fn rotation(&self) -> DMat3 {
        let (se, ce) = self.pitch.sin_cos();
        let (sr, cr) = self.cant.sin_cos();
        let ahead = DVec3::new(0.0, se, -ce);
        let right0 = DVec3::X;
        let down0 = ahead.cross(right0);
        let right = cr * right0 + sr * down0;
        let down = -sr * right0 + cr * down0;
        DMat3::from_cols(right, down, ahead).transpose()
    }

    /// Unit direction in the world of the sight line through a picture point.
    #[must_use]
    pub fn ray(&self, at: DVec2) -> DVec3 {
        let p = at - self.principal;
        (self.rotation().transpose() * DVec3::new(p.x, p.y, self.focal)).normalize()
    }

    /// Where a world direction (or a point relative to the eye) is seen, homogeneous picture
    /// coordinates (u, v, w). w > 0 is in front of the eye, 0 in its plane, < 0 behind it.
    #[must_use]
    pub fn image(&self, direction: DVec3) -> DVec3 {
        let c = self.rotation() * direction;
        DVec3::new(
            self.focal * c.x + self.principal.x * c.z,
            self.focal * c.y + self.principal.y * c.z,
            c.z,
        )
    }

    /// Picture position of a world point given relative to the eye, or `None` behind the eye.
    #[must_use]
    pub fn project(&self, from_eye: DVec3) -> Option<DVec2> {
        let h = self.image(from_eye);
        (h.z > 1e-9 * from_eye.length()).then(|| DVec2::new(h.x / h.z, h.y / h.z))
    }

    /// The horizon as (a, b, c) with a u + b v + c = 0, (a, b) of unit length, positive below it
    /// (on the ground's side). The horizon lies at infinity when looking straight up or down; then
    /// (a, b) is still the direction of plumb in the picture and c is huge.
    #[must_use]
    pub fn horizon(&self) -> DVec3 {
        let (sr, cr) = self.cant.sin_cos();
        let c = -sr * self.principal.x - cr * self.principal.y - self.focal * self.pitch.tan();
        DVec3::new(sr, cr, c)
    }
}

/// Angle of view across the frame for a focal length in frame widths, radians: 2 atan(1 / 2f).
#[must_use]
pub fn angle_of_view(focal: f64) -> f64 {
    2.0 * (0.5 / focal).atan()
}

/// Focal length in frame widths for an angle of view across the frame in radians.
#[must_use]
pub fn focal_of_view(angle: f64) -> f64 {
    0.5 / (0.5 * angle).tan()
}
