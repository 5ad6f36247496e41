//! Small deliberate strokes over the blocked-in picture: thin things, people, birds.

use crate::canvas::Canvas;
use crate::chance::noise;
use crate::colour::display;
use crate::set::{Set, Wire};
use crate::sight::{Looker, Sight};
use glam::{DVec3, Vec2, Vec3};

/// The picture under work, with what was seen and what lights it.
pub(crate) struct Easel<'a> {
    pub(crate) canvas: &'a mut Canvas,
    pub(crate) sight: &'a Sight,
    pub(crate) looker: &'a Looker<'a>,
}

/// Paints all details of a set, far to near.
pub(crate) fn detail(easel: &mut Easel<'_>, set: &Set) {
    let eye = easel.looker.view.place();
    let mut wires: Vec<&Wire> = set.wires.iter().collect();
    wires.sort_by(|a, b| wire_distance(b, eye).total_cmp(&wire_distance(a, eye)));
    let mut figures: Vec<_> = set.figures.iter().collect();
    figures.sort_by(|a, b| (b.foot - eye).length().total_cmp(&(a.foot - eye).length()));
    figures.iter().for_each(|f| easel.shadow(f));
    let (slips, figures): (Vec<_>, Vec<_>) = figures.into_iter().partition(|f| f.careless);
    let mut next = figures.into_iter().peekable();
    for wire in wires {
        while let Some(figure) =
            next.next_if(|f| (f.foot - eye).length() > wire_distance(wire, eye))
        {
            easel.person(figure);
        }
        easel.wire(wire);
    }
    next.chain(slips).for_each(|figure| easel.person(figure));
    for &(place, span) in &set.birds {
        easel.bird(place, span);
    }
}

/// Thinnest half width that a brush can draw, pixels; what is thinner becomes fainter.
const THINNEST: f32 = 0.55;

/// One end of a bar: where, how thick and how far.
#[derive(Clone, Copy)]
struct End {
    at: Vec2,
    half: f32,
    depth: f32,
}

fn wire_distance(wire: &Wire, eye: DVec3) -> f64 {
    (wire.from.midpoint(wire.to) - eye).length()
}

impl Easel<'_> {
    /// Display colour of a small thing at a point, through the air.
    pub(crate) fn seen(&self, light: Vec3, at: DVec3) -> Vec3 {
        let eye = self.looker.view.place();
        let away = at - eye;
        display(self.looker.weather.veil(light, eye, away.normalize(), away.length()))
    }

    /// Whether the sun reaches a point.
    pub(crate) fn sunlit(&self, at: DVec3) -> bool {
        !self.looker.rays.blocked(at, self.looker.weather.to_sun, f64::INFINITY)
    }

    fn wire(&mut self, wire: &Wire) {
        let view = self.looker.view;
        // Clipped to what lies ahead, in pieces short enough to share one tone.
        let ahead = view.ray(glam::DVec2::new(view.width as f64 / 2.0, view.height as f64 / 2.0));
        let nearness = |p: DVec3| (p - view.place()).dot(ahead);
        let (mut from, mut to) = (wire.from, wire.to);
        let (a, b) = (nearness(from), nearness(to));
        const CLOSEST: f64 = 0.3;
        if a < CLOSEST && b < CLOSEST {
            return;
        }
        if a < CLOSEST {
            from = from.lerp(to, (CLOSEST - a) / (b - a));
        } else if b < CLOSEST {
            to = to.lerp(from, (CLOSEST - b) / (a - b));
        }
        let (Some(start), Some(end)) = (view.pixel(from), view.pixel(to)) else { return };
        let pieces = ((end - start).length().min(6000.0) / 30.0).ceil().max(1.0) as usize;
        for i in 0..pieces {
            // Even steps in the picture, not in the world.
            let world = |t: f64| {
                let (na, nb) = (nearness(from), nearness(to));
                from.lerp(to, t * na / (nb + t * (na - nb)))
            };
            self.piece(
                wire,
                world(i as f64 / pieces as f64),
                world((i + 1) as f64 / pieces as f64),
            );
        }
    }

    fn piece(&mut self, wire: &Wire, from: DVec3, to: DVec3) {
        let view = self.looker.view;
        let (Some(a), Some(b)) = (view.pixel(from), view.pixel(to)) else { return };
        let size = Vec2::new(view.width as f32, view.height as f32);
        let (a, b) = (a.as_vec2(), b.as_vec2());
        if a.max(b).cmplt(Vec2::splat(-20.0)).any() || a.min(b).cmpgt(size + 20.0).any() {
            return;
        }
        let middle = from.midpoint(to);
        let weather = self.looker.weather;
        let sun = if self.sunlit(middle) { weather.sun * 0.42 } else { Vec3::ZERO };
        let light = wire.albedo * (sun + weather.sky * 0.55 + weather.bounce * 0.3);
        let load = 0.88 + 0.24 * noise(f64::from(a.x) / 60.0, f64::from(a.y) / 60.0, 55);
        let colour = self.seen(light * load, middle);
        let ends = [(a, from), (b, to)].map(|(at, place)| End {
            at,
            half: (0.5 * wire.width * view.scale_at(place)) as f32,
            depth: (place - view.place()).length() as f32,
        });
        self.bar(&ends, colour);
    }

    /// A bar between two ends, hidden by what is nearer.
    fn bar(&mut self, ends: &[End; 2], colour: Vec3) {
        let [a, b] = ends;
        let along = (b.at - a.at).normalize_or(Vec2::X);
        let length = (b.at - a.at).length();
        let widest = a.half.max(b.half).max(THINNEST) + 1.0;
        let (low, high) = (a.at.min(b.at) - widest, a.at.max(b.at) + widest);
        for y in low.y.max(0.0) as usize..(high.y.max(0.0) as usize + 1).min(self.canvas.height) {
            for x in low.x.max(0.0) as usize..(high.x.max(0.0) as usize + 1).min(self.canvas.width)
            {
                let off = Vec2::new(x as f32 + 0.5, y as f32 + 0.5) - a.at;
                let (s, t) = (off.dot(along), off.dot(along.perp()));
                let share = (s / length.max(0.1)).clamp(0.0, 1.0);
                let half = a.half + (b.half - a.half) * share;
                let drawn = half.max(THINNEST);
                let depth = a.depth + (b.depth - a.depth) * share;
                let index = y * self.canvas.width + x;
                if (-0.5..length + 0.5).contains(&s)
                    && t.abs() < drawn + 0.7
                    && self.sight.spots[index].depth > depth * 0.997 - 0.15
                {
                    // A round body: lighter along its upper side.
                    let round = if half > 2.0 {
                        1.0 - 0.22 * (t / half) * along.perp().y.signum()
                    } else {
                        1.0
                    };
                    let edge = (drawn + 0.7 - t.abs()).min(1.0);
                    self.canvas.dab(index, colour * round, (half / drawn).sqrt() * 0.95 * edge);
                }
            }
        }
    }

    fn bird(&mut self, place: DVec3, span: f64) {
        let view = self.looker.view;
        let Some(body) = view.pixel(place) else { return };
        let reach = (0.5 * span * view.scale_at(place)) as f32;
        let colour = self.seen(Vec3::splat(0.05), place);
        let depth = (place - view.place()).length() as f32;
        let lift = 0.25 + 0.5 * noise(place.x, place.z, 3);
        let body = body.as_vec2();
        for side in [-1.0, 1.0] {
            let elbow = body + Vec2::new(side * reach * 0.5, -reach * lift);
            let tip = body + Vec2::new(side * reach, -reach * lift * 0.4);
            let joints = [(body, 0.09), (elbow, 0.08), (tip, 0.02)];
            let ends = joints.map(|(at, thick)| End { at, half: reach * thick, depth });
            self.bar(&[ends[0], ends[1]], colour);
            self.bar(&[ends[1], ends[2]], colour);
        }
    }
}
