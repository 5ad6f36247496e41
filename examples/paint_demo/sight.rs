//! What the eye sees before any brush touches the canvas: light, depth and direction per pixel.

use crate::air::Weather;
use crate::chance::{cell, clouded};
use crate::colour::{display, step};
use crate::mesh::{Mesh, Triangle};
use crate::rays::Rays;
use crate::surface::{Grain, Pattern};
use crate::view::View;
use glam::{DVec2, DVec3, Vec2, Vec3};
use rayon::prelude::*;

/// One pixel of the sight.
#[derive(Clone, Copy)]
pub(crate) struct Spot {
    /// Display colour, 0 to 1.
    pub(crate) colour: Vec3,
    /// Distance along the sight line, metres; infinite for the sky.
    pub(crate) depth: f32,
    /// The flat face seen; 0 is the sky.
    pub(crate) face: u32,
    /// Unit direction that strokes follow, pixels.
    pub(crate) flow: Vec2,
}

/// All pixels, row by row.
pub(crate) struct Sight {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) spots: Vec<Spot>,
}

impl Sight {
    /// Looks once through every pixel.
    pub(crate) fn through(looker: &Looker<'_>) -> Self {
        let (width, height) = (looker.view.width, looker.view.height);
        let spots = (0..width * height)
            .into_par_iter()
            .map(|i| looker.spot(i % width, i / width))
            .collect();
        Self { width, height, spots }
    }

    /// The spot at a pixel, or `None` off the canvas.
    pub(crate) fn at(&self, x: f32, y: f32) -> Option<&Spot> {
        (x >= 0.0 && y >= 0.0 && (x as usize) < self.width && (y as usize) < self.height)
            .then(|| &self.spots[y as usize * self.width + x as usize])
    }
}

/// Everything needed to answer what light comes along a ray.
pub(crate) struct Looker<'a> {
    pub(crate) mesh: &'a Mesh,
    pub(crate) rays: Rays<'a>,
    pub(crate) weather: &'a Weather,
    pub(crate) view: &'a View,
}

const AMBIENT_RAYS: u32 = 5;

impl<'a> Looker<'a> {
    pub(crate) fn new(mesh: &'a Mesh, weather: &'a Weather, view: &'a View) -> Self {
        Self { mesh, rays: Rays::new(mesh), weather, view }
    }

    fn spot(&self, x: usize, y: usize) -> Spot {
        let pixel = DVec2::new(x as f64 + 0.5, y as f64 + 0.5);
        let ray = self.view.ray(pixel);
        let eye = self.view.place();
        let Some((triangle, distance)) = self.rays.first(eye, ray) else {
            let drift = clouded(x as f64 / 420.0, y as f64 / 260.0, 3, 2) - 0.5;
            let flow = Vec2::from_angle(-0.22 + 1.8 * drift);
            let light = self.weather.mist_over(self.weather.sky_towards(ray), eye, ray, f64::MAX);
            return Spot { colour: display(light), depth: f32::INFINITY, face: 0, flow };
        };
        let at = eye + ray * distance;
        let seed = (y * self.view.width + x) as i64;
        let light = self.light_from(triangle, at, ray, distance, seed, true);
        let seen = self.weather.veil(light, eye, ray, distance);
        Spot {
            colour: display(seen),
            depth: distance as f32,
            face: triangle.face,
            flow: self.flow(triangle, at, pixel),
        }
    }

    /// Light leaving a face towards the eye, before the air.
    fn light_from(
        &self,
        hit: &Triangle,
        at: DVec3,
        ray: DVec3,
        distance: f64,
        seed: i64,
        mirror: bool,
    ) -> Vec3 {
        let surface = &self.mesh.surfaces[hit.surface];
        let facing = if hit.normal.dot(ray) > 0.0 { -hit.normal } else { hit.normal };
        let footprint = distance / (self.view.eye.focal * self.view.width as f64);
        let normal = surface.normal_at(at, facing, footprint);
        let outside = at + facing * (1e-4 * distance + 1e-3);
        let matte = surface.albedo_at(at, facing, footprint)
            * self.irradiance(outside, facing, normal, distance, seed);
        let light = matte + surface.glow;
        if surface.wet == 0.0 || !mirror {
            return light;
        }
        let grazing = (1.0 + ray.dot(normal)).clamp(0.0, 1.0).powi(4) as f32;
        let share = surface.wet * (0.12 + 0.88 * grazing);
        light.lerp(self.mirrored(outside, ray.reflect(normal), surface.pattern, seed), share)
    }

    fn irradiance(
        &self,
        at: DVec3,
        facing: DVec3,
        normal: DVec3,
        distance: f64,
        seed: i64,
    ) -> Vec3 {
        let w = self.weather;
        let slant = normal.dot(w.to_sun).max(0.0) as f32;
        let sunlit = slant > 0.0 && !self.rays.blocked(at, w.to_sun, f64::INFINITY);
        let open = self.openness(at, facing, 1.5 + 0.12 * distance, seed);
        let up = 0.5 + 0.5 * normal.y as f32;
        let sky = (w.sky * up + w.bounce * (1.0 - up)) * open;
        if sunlit { sky + w.sun * slant } else { sky }
    }

    /// Share of the surroundings, up to `reach` metres, that is open air.
    fn openness(&self, at: DVec3, facing: DVec3, reach: f64, seed: i64) -> f32 {
        let side = facing.any_orthonormal_vector();
        let other = facing.cross(side);
        let blocked = (0..AMBIENT_RAYS)
            .filter(|&i| {
                let turn = std::f64::consts::TAU
                    * (f64::from(i) + f64::from(cell(seed, i.into(), 6)))
                    / f64::from(AMBIENT_RAYS);
                let lean = 0.25 + 0.7 * f64::from(cell(seed, i.into(), 7));
                let ray = facing * (1.0 - lean * lean).sqrt()
                    + (side * turn.cos() + other * turn.sin()) * lean;
                self.rays.blocked(at, ray, reach)
            })
            .count() as f32;
        1.0 - 0.75 * blocked / AMBIENT_RAYS as f32
    }

    fn mirrored(&self, at: DVec3, ray: DVec3, pattern: Pattern, seed: i64) -> Vec3 {
        // Wet stone blurs what it mirrors; water ripples do that by themselves.
        let blur = if matches!(pattern, Pattern::Water { .. }) { 0.0 } else { 0.03 };
        let jog = DVec3::new(
            f64::from(cell(seed, 1, 9)) - 0.5,
            f64::from(cell(seed, 2, 9)) - 0.5,
            f64::from(cell(seed, 3, 9)) - 0.5,
        );
        let ray = (ray + jog * blur).normalize();
        match self.rays.first(at, ray) {
            Some((hit, distance)) => {
                let light = self.light_from(hit, at + ray * distance, ray, distance, seed, false);
                self.weather.veil(light, at, ray, distance)
            }
            None => {
                let glint = step(0.9985, 0.9998, ray.dot(self.weather.to_sun) as f32);
                self.weather.sky_towards(ray) + self.weather.sun * 2.0 * glint
            }
        }
    }

    fn flow(&self, hit: &Triangle, at: DVec3, pixel: DVec2) -> Vec2 {
        let along = match self.mesh.surfaces[hit.surface].grain {
            Grain::Plumb => DVec3::Y,
            Grain::Level => DVec3::Y.cross(hit.normal).try_normalize().unwrap_or(DVec3::X),
            Grain::Along(direction) => direction,
        };
        // Strokes stay on the face: lay the direction into its plane.
        let along = (along - hit.normal * along.dot(hit.normal)).try_normalize().unwrap_or(along);
        let reach = 1e-3 * (at - self.view.place()).length();
        self.view
            .pixel(at + along * reach)
            .and_then(|p| (p - pixel).as_vec2().try_normalize())
            .unwrap_or(Vec2::X)
    }
}
