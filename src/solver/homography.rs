use crate::Eye;
use glam::{DMat2, DMat3, DVec2, DVec3};

/// Depths below this count as this: what lies in or behind the plane of the eye is placed very far
/// off on the side on which it leaves the picture, and nothing is turned over.
const NEAREST: f64 = 1e-3;
/// The least depth of the frame's centre in a plumb view, cos 70°: steeper, its foot and its head
/// would be enlarged so differently that nothing could be judged.
const LEAST_DEPTH: f64 = 0.342_020_143_325_668_7;

/// A projective map of the picture: how it lies when it is turned, or when the eye that painted it is
/// aimed otherwise. Lines stay lines.
///
/// For two eyes at the same place with the same lens H = K R' Rᵀ K⁻¹, K the calibration matrix and R,
/// R' the rotations from world to camera axes (Hartley & Zisserman, *Multiple View Geometry in
/// Computer Vision*, 2nd ed. 2004, section 8.4).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Homography(DMat3);

impl Homography {
    /// Everything where it is.
    pub const IDENTITY: Self = Self(DMat3::IDENTITY);

    /// The map of homogeneous points (u, v, 1) that this matrix makes; `None` for one that is not
    /// finite or has no inverse.
    #[must_use]
    pub fn new(matrix: DMat3) -> Option<Self> {
        let usable = matrix.is_finite() && matrix.determinant() != 0.0;
        (usable && matrix.inverse().is_finite()).then_some(Self(matrix))
    }

    /// Turned clockwise by so many radians about a point, picture units.
    #[must_use]
    pub fn turned(about: DVec2, angle: f64) -> Self {
        let turn = DMat2::from_angle(angle);
        let shift = about - turn * about;
        Self(DMat3::from_cols(turn.x_axis.extend(0.0), turn.y_axis.extend(0.0), shift.extend(1.0)))
    }

    /// From the picture that this eye sees to what it would see without its cant: the horizon runs
    /// level. Cant is a roll about the optical axis, so this turns about the principal point.
    #[must_use]
    pub fn level(eye: &Eye) -> Self {
        if eye.cant.is_finite() && eye.principal.is_finite() {
            Self::turned(eye.principal, eye.cant)
        } else {
            Self::IDENTITY
        }
    }

    /// From the picture that one eye sees to what another sees at the same place, with the other's pitch
    /// and cant, turned clockwise by `heading` radians as seen from above; lens and principal point stay
    /// those of the first. `None` for eyes that are not finite or have no lens.
    #[must_use]
    pub fn aimed(from: &Eye, to: &Eye, heading: f64) -> Option<Self> {
        let mut lens = DMat3::from_diagonal(DVec3::new(from.focal, from.focal, 1.0));
        lens.z_axis = from.principal.extend(1.0);
        let turn = to.rotation() * DMat3::from_rotation_y(heading) * from.rotation().transpose();
        let map = Self::new(lens * turn * lens.inverse())?;
        (from.focal > 0.0).then_some(map)
    }

    /// From the picture that this eye sees to what it would see looking straight ahead without
    /// pitch and cant: uprights run plumb. `None` if the frame's centre is then so near the plane of
    /// the eye that the picture would be torn apart, for an eye that looks about 70° up or down.
    #[must_use]
    pub fn plumb(eye: &Eye) -> Option<Self> {
        let map = Self::aimed(eye, &Eye { pitch: 0.0, cant: 0.0, ..*eye }, 0.0)?;
        (map.depth(DVec2::ZERO) >= LEAST_DEPTH).then_some(map)
    }

    /// This map and then another.
    #[must_use]
    pub fn then(self, next: Self) -> Self {
        Self(next.0 * self.0)
    }

    /// The map back.
    #[must_use]
    pub fn inverse(self) -> Self {
        Self(self.0.inverse())
    }

    /// Its matrix, for homogeneous points (u, v, 1).
    #[must_use]
    pub fn matrix(self) -> DMat3 {
        self.0
    }

    /// Whether lines that are parallel stay so.
    #[must_use]
    pub fn is_affine(self) -> bool {
        self.0.row(2).truncate() == DVec2::ZERO
    }

    /// Where a homogeneous point goes, homogeneous.
    #[must_use]
    pub fn image(self, point: DVec3) -> DVec3 {
        self.0 * point
    }

    /// Depth of a point in front of the eye that is aimed otherwise, focal lengths; 0 or less in or
    /// behind its plane, where the point cannot be seen.
    #[must_use]
    pub fn depth(self, at: DVec2) -> f64 {
        self.0.row(2).dot(at.extend(1.0))
    }

    /// Where a point goes; finite for finite points, very far off for one that cannot be seen.
    #[must_use]
    pub fn place(self, at: DVec2) -> DVec2 {
        let image = self.image(at.extend(1.0));
        image.truncate() / image.z.max(NEAREST)
    }

    /// How many times as long small things are there as at `at`: the square root of the areas' ratio.
    #[must_use]
    pub fn stretch(self, at: DVec2) -> f64 {
        let depth = self.depth(at).max(NEAREST);
        (self.0.determinant().abs() / depth.powi(3)).sqrt()
    }

    /// How many times as long a small thing at `at` comes out in the direction that is enlarged most.
    #[must_use]
    pub fn most_stretch(self, at: DVec2) -> f64 {
        let (depth, place) = (self.depth(at).max(NEAREST), self.place(at));
        let falls = self.0.row(2);
        let column = |c: DVec3, fall: f64| (c.truncate() - place * fall) / depth;
        let (a, b) = (column(self.0.x_axis, falls.x), column(self.0.y_axis, falls.y));
        // The larger singular value of the matrix of partial derivatives (a, b).
        let (sum, off) = (a.length_squared() + b.length_squared(), a.perp_dot(b));
        (0.5 * (sum + (sum * sum - 4.0 * off * off).max(0.0).sqrt())).sqrt()
    }

    /// How the depth changes over the picture, focal lengths per picture unit.
    #[must_use]
    pub fn fall(self) -> DVec2 {
        self.0.row(2).truncate()
    }

    /// The part of a convex polygon that is at least so deep, in order; empty when nothing is (I. E.
    /// Sutherland and G. W. Hodgman, "Reentrant Polygon Clipping", Communications of the ACM 17,
    /// 1974).
    #[must_use]
    pub fn in_front(self, corners: &[DVec2], least: f64) -> Vec<DVec2> {
        let mut kept = Vec::with_capacity(corners.len() + 1);
        for (i, &b) in corners.iter().enumerate() {
            let a = corners[(i + corners.len() - 1) % corners.len()];
            let (da, db) = (self.depth(a) - least, self.depth(b) - least);
            if (da < 0.0) != (db < 0.0) {
                kept.push(a.lerp(b, da / (da - db)));
            }
            if db >= 0.0 {
                kept.push(b);
            }
        }
        kept
    }

    /// The part of a segment that is at least so deep.
    #[must_use]
    pub fn segment_in_front(self, a: DVec2, b: DVec2, least: f64) -> Option<(DVec2, DVec2)> {
        let (da, db) = (self.depth(a) - least, self.depth(b) - least);
        let cut = || a.lerp(b, da / (da - db));
        match (da >= 0.0, db >= 0.0) {
            (true, true) => Some((a, b)),
            (true, false) => Some((a, cut())),
            (false, true) => Some((cut(), b)),
            (false, false) => None,
        }
    }
}
