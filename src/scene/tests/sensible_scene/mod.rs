//! Random scenes such as a painter would make: what is drawn is what a random eye sees of a random place,
//! off by slips of the hand and by the stated spreads.

use glam::{DVec2, DVec3};
use proptest::prelude::*;
use staffage_scene::{
    Above, Block, BlockId, Family, Known, Level, LevelId, Line, LineId, Marker, MarkerId, Overlap,
    OverlapId, POINTING, Scene, Segment, Side, Span, Stands, Statement,
};
use staffage_solver as solver;
use staffage_solver::{Eye, Headings};

const BLOCK: BlockId = BlockId(1);

/// Slips of two picture coordinates, in units of the pointing precision.
type Slip = (f64, f64);

fn slip() -> impl Strategy<Value = Slip> {
    (-1.5..1.5, -1.5..1.5)
}

/// A number whose logarithm is uniform.
fn log_uniform(low: f64, high: f64) -> impl Strategy<Value = f64> {
    (low.ln()..high.ln()).prop_map(f64::exp)
}

/// A point of the frame.
fn point() -> impl Strategy<Value = DVec2> {
    (-0.48..0.48, -0.2..0.2).prop_map(|(x, y)| DVec2::new(x, y))
}

fn slipped(at: DVec2, (x, y): Slip) -> DVec2 {
    at + POINTING * DVec2::new(x, y)
}

fn eye() -> impl Strategy<Value = (Eye, Headings)> {
    (log_uniform(0.5, 2.0), -0.6..0.6, -0.26..0.26, 0.35..1.2).prop_map(
        |(focal, pitch, cant, heading)| {
            let eye = Eye { focal, pitch, cant, ..Eye::default() };
            (eye, Headings { blocks: vec![heading], inclines: vec![] })
        },
    )
}

/// An edge of a family: its middle, half its length, the slips of its ends.
type Edge = (DVec2, f64, Slip, Slip);

fn edges() -> impl Strategy<Value = Vec<Edge>> {
    prop::collection::vec((point(), 0.05..0.15, slip(), slip()), 4..7)
}

/// A level: whether below the eye, its clearance in metres, and by how much it is stated wrongly, if it is
/// stated.
type Support = (bool, f64, Option<f64>);

fn supports() -> impl Strategy<Value = Vec<Support>> {
    let stated = prop::option::weighted(0.3, -1.5..1.5);
    prop::collection::vec((prop::bool::weighted(0.8), log_uniform(1.5, 30.0), stated), 1..4)
}

/// A thing before it is drawn.
#[derive(Clone, Debug)]
struct Thing {
    foot: DVec2,
    level: usize,
    /// Metres.
    size: f64,
    /// Which way it spans, and what is said of it.
    span: u8,
    said: u8,
    /// Which of the things before it that is compared with.
    other: usize,
    /// What is stated is off by this many of its spreads.
    misstated: f64,
    slips: [Slip; 2],
    /// How many times too large it is drawn.
    lie: f64,
}

fn things(lies: bool) -> impl Strategy<Value = Vec<Thing>> {
    let lie = prop_oneof![9 => Just(1.0), 1 => Just(if lies { 1.7 } else { 1.0 })];
    let about = (0..12_u8, 0..10_u8, 0..100_usize, -1.5..1.5);
    let thing = (point(), 0..100_usize, log_uniform(1.0, 30.0), about, [slip(), slip()], lie)
        .prop_map(|(foot, level, size, (span, said, other, misstated), slips, lie)| Thing {
            foot,
            level,
            size,
            span,
            said,
            other,
            misstated,
            slips,
            lie,
        });
    prop::collection::vec(thing, 4..24)
}

/// A sensible scene; with lies, one marker in ten is drawn 1.7 times too large.
pub fn sensible_scene(lies: bool) -> impl Strategy<Value = Scene> {
    (eye(), [edges(), edges(), edges()], supports(), things(lies)).prop_map(
        |(eye, edges, supports, things)| {
            let mut studio = Studio::new(eye, &edges, &supports);
            things.iter().for_each(|thing| studio.draw(thing));
            studio.overlap();
            studio.scene
        },
    )
}

struct Studio {
    eye: Eye,
    headings: Headings,
    /// Metres.
    clearances: Vec<f64>,
    /// True distance and size of each marker, metres.
    truth: Vec<[f64; 2]>,
    scene: Scene,
}

impl Studio {
    fn new((eye, headings): (Eye, Headings), edges: &[Vec<Edge>; 3], supports: &[Support]) -> Self {
        let scene = Scene {
            blocks: vec![Block { id: BLOCK, name: "block".into(), heading: None }],
            lines: lines(&eye, &headings, edges),
            levels: (1..).zip(supports).map(|(id, support)| level(id, support, supports)).collect(),
            ..Scene::default()
        };
        let clearances = supports.iter().map(|(_, clearance, _)| *clearance).collect();
        Self { eye, headings, clearances, truth: Vec::new(), scene }
    }

    /// Draws a thing if it can be seen.
    fn draw(&mut self, thing: &Thing) {
        let level = thing.level % self.clearances.len();
        let ray = self.eye.ray(thing.foot);
        let rise = ray.y / ray.x.hypot(ray.z);
        let towards = match self.scene.levels[level].side {
            Side::Below => -rise,
            Side::Above => rise,
        };
        if towards < 0.03 {
            return;
        }
        let distance = self.clearances[level] / towards;
        let (size, statements) = self.said(thing, distance);
        let (span, seen_span) = match thing.span {
            0 => (Span::Facing, solver::Span::Facing),
            1 => (
                Span::Along(Family::RecedingRight(BLOCK)),
                solver::Span::Along(solver::Family::RecedingRight(0)),
            ),
            _ => (Span::Upright, solver::Span::Upright),
        };
        let (eye, headings) = (&self.eye, &self.headings);
        let towards = thing.foot + 0.1 * DVec2::X;
        let per_run = size * thing.lie / distance;
        let head = solver::head_at(eye, headings, thing.foot, towards, seen_span, per_run);
        let Some(head) = head.filter(|h| h.length() < 1.5 && h.distance(thing.foot) > 0.01) else {
            return;
        };
        let [foot, head] = std::array::from_fn(|k| slipped([thing.foot, head][k], thing.slips[k]));
        let id = MarkerId(1 + self.truth.len() as u32);
        let stands = Stands::On(self.scene.levels[level].id);
        let name = format!("thing {id}");
        self.scene.markers.push(Marker { id, name, foot, head, span, stands, statements });
        self.truth.push([distance, size]);
    }

    /// A thing's size, and what is said of it.
    fn said(&self, thing: &Thing, distance: f64) -> (f64, Vec<Statement>) {
        let stated = |metres: f64, spread: f64| Known {
            metres: metres * (spread * thing.misstated).exp(),
            spread,
        };
        let known = |size: Known| Statement::KnownSize { size, as_: String::new() };
        let other = || {
            let k = thing.other % self.truth.len();
            (self.scene.markers[k].id, self.truth[k][1])
        };
        match thing.said {
            4 | 5 if !self.truth.is_empty() => {
                let (of, size) = other();
                (size, vec![Statement::SameMake { of, spread: 0.02 }])
            }
            6 if !self.truth.is_empty() => {
                let (of, size) = other();
                let factor = thing.size / size;
                (thing.size, vec![Statement::Times { of, factor, spread: 0.05 }])
            }
            7 => (
                thing.size,
                vec![known(stated(thing.size, 0.1)), Statement::Distance(stated(distance, 0.1))],
            ),
            8 | 9 => (thing.size, vec![]),
            _ => (1.7, vec![known(stated(1.7, 0.06))]),
        }
    }

    /// Says of a few pairs which hides part of the other, as it is.
    fn overlap(&mut self) {
        let pairs = std::iter::zip(&self.truth, &self.scene.markers);
        let pairs: Vec<_> = pairs.map(|(truth, marker)| (truth[0], marker.id)).collect();
        for (id, pair) in (1..).zip(pairs.chunks_exact(2).step_by(3)) {
            let [near, far] = if pair[0].0 < pair[1].0 { [0, 1] } else { [1, 0] };
            let (front, behind) = (pair[near].1, pair[far].1);
            self.scene.overlaps.push(Overlap { id: OverlapId(id), front, behind });
        }
    }
}

fn lines(eye: &Eye, headings: &Headings, edges: &[Vec<Edge>; 3]) -> Vec<Line> {
    let families = [
        (Family::Upright, DVec3::Y),
        (Family::RecedingRight(BLOCK), headings.direction(solver::Family::RecedingRight(0))),
        (Family::RecedingLeft(BLOCK), headings.direction(solver::Family::RecedingLeft(0))),
    ];
    let mut lines = Vec::new();
    for ((family, direction), edges) in families.into_iter().zip(edges) {
        let v = eye.image(direction);
        for &(middle, half, from, to) in edges {
            let half = half * (v.truncate() - v.z * middle).normalize();
            let segment = Segment(slipped(middle - half, from), slipped(middle + half, to));
            lines.push(Line { id: LineId(1 + lines.len() as u32), family, segment });
        }
    }
    lines
}

/// A level; one that lies below the eye and over the first level is said to be so much above it, unless that
/// puts it so near to the eye's own height that the step tells nothing of it.
fn level(id: u32, &(below, clearance, stated): &Support, all: &[Support]) -> Level {
    let side = if below { Side::Below } else { Side::Above };
    let known = |metres: f64, off: f64| Known { metres: metres * (0.05 * off).exp(), spread: 0.05 };
    let first = all[0];
    let step = first.1 - clearance;
    let tells = (0.2..0.95).contains(&(step / first.1));
    let above =
        (below && first.0 && tells).then(|| Above { level: LevelId(1), by: known(step, 0.5) });
    let clearance = stated.map(|off| known(clearance, off));
    Level { id: LevelId(id), name: format!("level {id}"), side, clearance, above }
}
