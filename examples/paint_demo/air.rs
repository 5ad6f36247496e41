//! Light, sky and aerial perspective, all in linear light.

use crate::chance::clouded;
use crate::colour::step;
use glam::{DVec3, Vec3};

/// Sun, sky and haze of one picture.
pub(crate) struct Weather {
    /// Unit direction towards the sun.
    pub(crate) to_sun: DVec3,
    /// Irradiance of the sun on a surface square to it.
    pub(crate) sun: Vec3,
    /// Irradiance of the open sky on a surface facing up.
    pub(crate) sky: Vec3,
    /// Light thrown back up from the ground.
    pub(crate) bounce: Vec3,
    /// Extinction of the haze, per metre.
    pub(crate) beta: f64,
    /// Colour that everything fades to.
    pub(crate) airlight: Vec3,
    /// Extra airlight towards the sun.
    pub(crate) glow: Vec3,
    /// Colour of the sky overhead.
    pub(crate) zenith: Vec3,
    /// Lit cloud colour, and how much of the sky clouds cover (0 to 1).
    pub(crate) cloud: Vec3,
    pub(crate) cover: f32,
    /// Banks of mist and spray.
    pub(crate) mist: Vec<Mist>,
}

/// A ball of mist, densest at its centre.
pub(crate) struct Mist {
    pub(crate) centre: DVec3,
    pub(crate) radius: f64,
    /// Extinction at the centre, per metre.
    pub(crate) density: f64,
    pub(crate) colour: Vec3,
}

/// Direction of an azimuth (clockwise from straight ahead) and an elevation, degrees.
pub(crate) fn direction(azimuth: f64, elevation: f64) -> DVec3 {
    let ((sa, ca), (se, ce)) = (azimuth.to_radians().sin_cos(), elevation.to_radians().sin_cos());
    DVec3::new(sa * ce, se, -ca * ce)
}

impl Weather {
    /// Airlight seen in a direction: brighter towards the sun.
    pub(crate) fn airlight_towards(&self, ray: DVec3) -> Vec3 {
        let near_sun = ray.dot(self.to_sun).max(0.0) as f32;
        self.airlight + self.glow * (0.55 * near_sun.powi(4) + 0.45 * near_sun.powi(24))
    }

    /// Koschmieder's law: what is left of a radiance after `distance` metres of haze, plus the
    /// airlight gathered on the way; mist banks are laid over it.
    pub(crate) fn veil(&self, radiance: Vec3, from: DVec3, ray: DVec3, distance: f64) -> Vec3 {
        let through = (-self.beta * distance).exp() as f32;
        let hazy = radiance * through + self.airlight_towards(ray) * (1.0 - through);
        self.mist_over(hazy, from, ray, distance)
    }

    /// The mist banks alone, laid over what is seen at `distance` metres.
    pub(crate) fn mist_over(&self, seen: Vec3, from: DVec3, ray: DVec3, distance: f64) -> Vec3 {
        self.mist.iter().fold(seen, |seen, bank| bank.laid_over(seen, from, ray, distance))
    }

    /// The sky in a direction.
    pub(crate) fn sky_towards(&self, ray: DVec3) -> Vec3 {
        let low = self.airlight_towards(ray);
        let rise = step(-0.02, 0.75, ray.y as f32);
        let clear = low.lerp(
            self.zenith + self.glow * 0.25 * (ray.dot(self.to_sun).max(0.0) as f32).powi(8),
            rise,
        );
        let cover = self.cloud_cover(ray);
        let lit = self.cloud + self.glow * 0.5 * (ray.dot(self.to_sun).max(0.0) as f32).powi(6);
        clear.lerp(lit, cover * rise.sqrt())
    }

    fn cloud_cover(&self, ray: DVec3) -> f32 {
        let up = ray.y.max(0.02) + 0.12;
        let (x, y) = (ray.x / up, ray.z / up);
        let billow = clouded(x * 1.3 + 7.0, y * 2.1, 5, 91);
        step(1.0 - self.cover, 1.25 - self.cover, billow + 0.12) * 0.85
    }
}

impl Mist {
    fn laid_over(&self, seen: Vec3, from: DVec3, ray: DVec3, distance: f64) -> Vec3 {
        let to_centre = self.centre - from;
        let along = to_centre.dot(ray);
        let off = (to_centre - ray * along).length() / self.radius;
        if off > 2.2 || along < -self.radius {
            return seen;
        }
        let spot = from + ray * along.min(distance);
        let ragged = clouded(
            spot.x / self.radius * 2.4 + spot.z / self.radius * 1.7,
            spot.y / self.radius * 2.4,
            4,
            17,
        );
        let passed = step(-1.4, 1.4, ((distance - along) / self.radius) as f32);
        let depth = self.density * self.radius * 1.77 * (-off * off).exp();
        let cover = 1.0 - (-(depth as f32) * passed * (ragged * 1.6 - 0.05).max(0.0)).exp();
        seen.lerp(self.colour, cover)
    }
}
