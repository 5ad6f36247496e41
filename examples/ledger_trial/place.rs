//! A place as it really is, and the scene that an honest painter makes of it.

use crate::dice::Dice;
use glam::{DVec2, DVec3};
use staffage_scene::{
    Block, BlockId, Curvature, Family, Known, Level, LevelId, Line, LineId, Marker, MarkerId,
    Scene, Segment, Side, Span, Stands, Statement, World,
};
use staffage_solver as solver;
use staffage_solver::{Eye, Headings};

const ADULT: Known = Known { metres: 1.70, spread: 0.06 };
/// Spread of the sizes of things of the same make.
const MAKE: f64 = 0.02;
const BLOCK: BlockId = BlockId(1);

/// What a marker stands for: its horizontal distance and its size, metres.
#[derive(Clone, Copy)]
pub(crate) struct Thing {
    pub(crate) distance: f64,
    pub(crate) size: f64,
}

pub(crate) struct Place {
    pub(crate) scene: Scene,
    /// What each of the scene's markers really is.
    pub(crate) truth: Vec<Thing>,
}

/// A random place and its scene.
pub(crate) fn place(dice: &mut Dice) -> Place {
    let eye = Eye {
        focal: dice.log_between(0.5, 2.0),
        pitch: dice.between(-35.0, 35.0).to_radians(),
        cant: dice.between(-15.0, 15.0).to_radians(),
        ..Eye::default()
    };
    let mut scene = Scene {
        blocks: vec![Block { id: BLOCK, name: "block".into(), heading: None }],
        levels: Vec::new(),
        world: World { curvature: Curvature::Nowhere, ..World::default() },
        ..Scene::default()
    };
    scene.lines = traced(dice, &eye, &scene);
    let mut clearances = Vec::new();
    for id in 1..=1 + dice.below(3) as u32 {
        let (level, clearance) = level(dice, id);
        scene.levels.push(level);
        clearances.push(clearance);
    }
    let mut painter = Painter { dice, eye, clearances, place: Place { scene, truth: vec![] } };
    let wanted = 5 + painter.dice.below(56);
    // Where no level is in sight there is nothing to be drawn, however often one tries.
    for _ in 0..20 * wanted {
        if painter.place.truth.len() < wanted {
            painter.draw_something();
        }
    }
    painter.place
}

/// Five edges of each of three families.
fn traced(dice: &mut Dice, eye: &Eye, scene: &Scene) -> Vec<Line> {
    let heading = dice.between(20.0, 70.0).to_radians();
    let headings = Headings { blocks: vec![heading], inclines: vec![] };
    let mut lines = Vec::new();
    for (family, direction) in [
        (Family::Upright, solver::Family::Upright),
        (Family::RecedingRight(BLOCK), solver::Family::RecedingRight(0)),
        (Family::RecedingLeft(BLOCK), solver::Family::RecedingLeft(0)),
    ] {
        let v = eye.image(headings.direction(direction));
        for _ in 0..5 {
            let middle = dice.picture_point(scene.frame.half_height());
            let half = dice.between(0.05, 0.15) * (v.truncate() - v.z * middle).normalize();
            let mut end = |at| dice.pointed_at(at, scene.pointing);
            let segment = Segment(end(middle - half), end(middle + half));
            lines.push(Line { id: LineId(1 + lines.len() as u32), family, segment });
        }
    }
    lines
}

/// A level with its true clearance, metres.
fn level(dice: &mut Dice, id: u32) -> (Level, f64) {
    let side = if dice.one_in(2) { Side::Above } else { Side::Below };
    let stated = Known { metres: dice.log_between(1.5, 40.0), spread: 0.05 };
    let clearance = dice.spread(stated.metres, stated.spread);
    let name = format!("level {id}");
    let level = Level {
        id: LevelId(id),
        name,
        side,
        clearance: dice.one_in(4).then_some(stated),
        above: None,
    };
    (level, clearance)
}

/// An honest painter at work.
struct Painter<'a> {
    dice: &'a mut Dice,
    eye: Eye,
    /// True clearance of each level, metres.
    clearances: Vec<f64>,
    place: Place,
}

impl Painter<'_> {
    /// Draws a marker, unless the dice put it where it cannot be seen.
    fn draw_something(&mut self) {
        let level = self.dice.below(self.clearances.len());
        if self.dice.one_in(8) {
            self.draw_tower(level);
        } else {
            self.draw_nearer(level);
        }
    }

    /// A figure, its like, or something of unknown size, from close by to fifty clearances off.
    fn draw_nearer(&mut self, level: usize) {
        let foot = self.dice.picture_point(self.place.scene.frame.half_height());
        let Some(distance) = self.distance_on(level, foot).filter(|d| d.clearances < 50.0) else {
            return;
        };
        let (size, statements) = match self.dice.below(10) {
            0..6 => self.known(ADULT),
            6..8 => self.twin(),
            _ => (self.dice.log_between(1.0, 30.0), vec![]),
        };
        self.draw(level, foot, Thing { distance: distance.metres, size }, statements);
    }

    /// Something so far off that its foot is hard to tell from the horizon.
    fn draw_tower(&mut self, level: usize) {
        let bearing = self.dice.between(-0.5, 0.5);
        let rise = self.dice.log_between(0.001, 0.02);
        let down = match self.place.scene.levels[level].side {
            Side::Below => -rise,
            Side::Above => rise,
        };
        let along = DVec3::new(bearing.sin(), down, -bearing.cos());
        let Some(foot) = self.eye.project(along) else { return };
        let distance = self.clearances[level] / rise;
        let stated = Known {
            metres: distance * self.dice.log_between(0.02, 0.2),
            spread: self.dice.between(0.03, 0.15),
        };
        let (size, statements) =
            if self.dice.one_in(2) { self.known(stated) } else { (stated.metres, vec![]) };
        self.draw(level, foot, Thing { distance, size }, statements);
    }

    fn known(&mut self, size: Known) -> (f64, Vec<Statement>) {
        let really = self.dice.spread(size.metres, size.spread);
        (really, vec![Statement::KnownSize { size, as_: String::new() }])
    }

    /// A thing of the same make as another of unknown size; where there is none, one of unknown size.
    fn twin(&mut self) -> (f64, Vec<Statement>) {
        let Place { scene, truth } = &self.place;
        let unknown: Vec<(MarkerId, f64)> = std::iter::zip(&scene.markers, truth)
            .filter(|(marker, _)| marker.statements.is_empty())
            .map(|(marker, thing)| (marker.id, thing.size))
            .collect();
        if unknown.is_empty() {
            return (self.dice.log_between(1.0, 30.0), vec![]);
        }
        let (of, size) = unknown[self.dice.below(unknown.len())];
        (self.dice.spread(size, MAKE), vec![Statement::SameMake { of, spread: MAKE }])
    }

    fn distance_on(&self, level: usize, foot: DVec2) -> Option<Distance> {
        let ray = self.eye.ray(foot);
        let rise = ray.y / ray.x.hypot(ray.z);
        let towards = match self.place.scene.levels[level].side {
            Side::Below => -rise,
            Side::Above => rise,
        };
        let clearances = 1.0 / towards;
        let metres = self.clearances[level] * clearances;
        (towards > 0.0).then_some(Distance { clearances, metres })
    }

    /// Draws a thing where it is seen, if it is seen in the picture and not too small to be drawn.
    fn draw(&mut self, level: usize, foot: DVec2, thing: Thing, statements: Vec<Statement>) {
        let ray = self.eye.ray(foot);
        let from_eye = ray / ray.x.hypot(ray.z) * thing.distance;
        let Some(head) = self.eye.project(from_eye + DVec3::Y * thing.size) else { return };
        let Place { scene, truth } = &mut self.place;
        let half_height = scene.frame.half_height();
        let seen =
            |at: DVec2, beyond: f64| at.x.abs() < 0.5 + beyond && at.y.abs() < half_height + beyond;
        if head.distance(foot) < 0.008 || !seen(foot, 0.0) || !seen(head, 0.5) {
            return;
        }
        let id = MarkerId(1 + scene.markers.len() as u32);
        scene.markers.push(Marker {
            id,
            name: format!("thing {id}"),
            foot: self.dice.pointed_at(foot, scene.pointing),
            head: self.dice.pointed_at(head, scene.pointing),
            span: Span::Upright,
            stands: Stands::On(scene.levels[level].id),
            statements,
        });
        truth.push(thing);
    }
}

/// How far off a foot on a level is.
struct Distance {
    clearances: f64,
    metres: f64,
}
