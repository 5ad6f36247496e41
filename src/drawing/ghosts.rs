//! Stand-ins on the section and the plan: light shapes of their true extent.

use crate::bounds::Bounds;
use crate::label::Rank;
use crate::palette::GHOST_ON_SHEET;
use crate::pen::Pen;
use crate::section::Named;
use crate::{Attention, Drawing, Emphasis, Ground, Paper, Place};
use glam::{DVec2, DVec3};
use staffage_scene::{Assessment, Placed, Scene, Shape, StandIn, Subject, Unit, place_stand_in};
use std::f64::consts::{SQRT_2, TAU};

/// Corners of a footprint that is a circle.
const ROUND: u32 = 24;

/// Into how many pieces a straight side is cut, which is curved where lengths are not even.
const PIECES: u32 = 12;

/// Room that is kept free around the place that a stand-in's name is of, points.
const CLEARANCE: f64 = 4.0;

/// Where (the first of) a stand-in is, and its name.
type Put<'a> = (Place, Named<'a>);

/// The stand-ins from the side; where each is.
pub(crate) fn from_the_side<'a>(
    (scene, assessment): (&'a Scene, &Assessment),
    emphasis: &Emphasis,
    (paper, unit): (&Paper, Unit),
    pen: &mut Pen,
    drawing: &mut Drawing,
) -> Vec<Put<'a>> {
    let (near, far) = paper.distances();
    let reaches = |one: &Placed| one.reach().0 <= far && one.reach().1 >= near;
    let on_paper = |p: DVec2| DVec2::new(paper.x(p.x), paper.y(p.y + paper.eye_height()));
    let mut put = Vec::new();
    each(scene, assessment, unit, |stand_in, placed| {
        let about = Subject::StandIn(stand_in.id);
        let opacity = opacity(emphasis, about);
        for one in placed.iter().filter(|one| reaches(one)) {
            let side = one.side();
            if let [foot, head] = side[..] {
                let [foot, head] = [foot, head].map(on_paper);
                pen.line(foot, head, 3.0, GHOST_ON_SHEET.faded(opacity));
                let reach = 2.5 * DVec2::X;
                pen.line(foot - reach, foot + reach, 1.0, GHOST_ON_SHEET.faded(opacity));
            } else {
                body(pen, &cut(&side).map(on_paper).collect::<Vec<_>>(), opacity);
            }
        }
        drawing.push("stand-in", Some(about), pen.take());
        if let Some(first) = placed.first().filter(|one| reaches(one)) {
            let at = |height| on_paper(DVec2::new(first.distance(), height));
            let (foot, head) = (at(first.foot.y), at(first.head().y));
            let place = covering(about, foot, head, first.side().into_iter().map(on_paper));
            // Where the middle is not on the paper, the name is of the part that is.
            let seen = match first.distance() {
                middle if middle >= near && middle <= far => head.x,
                _ => 0.5 * (place.extent[0].x + place.extent[1].x),
            };
            let name_at = DVec2::new(seen, head.y - CLEARANCE - 1.0);
            put.push((place, named(stand_in, emphasis, first.reach().0, name_at)));
        }
    });
    put
}

/// The stand-ins from above; where each is.
pub(crate) fn from_above<'a>(
    (scene, assessment): (&'a Scene, &Assessment),
    emphasis: &Emphasis,
    (ground, unit, size): (&Ground, Unit, DVec2),
    pen: &mut Pen,
    drawing: &mut Drawing,
) -> Vec<Put<'a>> {
    let page = Bounds { min: DVec2::ZERO, max: size }.grown(-CLEARANCE);
    let on_ground = |p: DVec2| ground.point(p.length(), p.x.atan2(-p.y));
    let mut put = Vec::new();
    each(scene, assessment, unit, |stand_in, placed| {
        let about = Subject::StandIn(stand_in.id);
        for one in placed {
            let outline: Vec<_> = outline(one).into_iter().map(on_ground).collect();
            body(pen, &outline, opacity(emphasis, about));
        }
        drawing.push("stand-in", Some(about), pen.take());
        if let Some(first) = placed.first() {
            let at = on_ground(DVec2::new(first.foot.x, first.foot.z));
            let corners: Vec<_> = outline(first).into_iter().map(on_ground).collect();
            let place = covering(about, at, at, corners.iter().copied());
            // Where the middle is not on the paper, the name is of the part that is.
            let off_middle = |p: &DVec2| p.distance_squared(page.centre());
            let seen = corners.into_iter().filter(|corner| page.contains(*corner));
            let nearest = seen.min_by(|a, b| off_middle(a).total_cmp(&off_middle(b)));
            let name_at = if page.contains(at) { at } else { nearest.unwrap_or(at) };
            put.push((place, named(stand_in, emphasis, first.reach().0, name_at)));
        }
    });
    put
}

fn opacity(emphasis: &Emphasis, about: Subject) -> f64 {
    if emphasis.on(about) > Attention::Plain { 1.0 } else { 0.7 }
}

/// A faint body with an edge.
fn body(pen: &mut Pen, corners: &[DVec2], opacity: f64) {
    if corners.iter().all(|corner| corner.is_finite()) {
        if is_convex(corners) {
            pen.fill(corners.iter().copied(), GHOST_ON_SHEET.faded(0.2 * opacity));
        }
        pen.outline(
            corners,
            if opacity < 1.0 { 1.5 } else { 2.5 },
            GHOST_ON_SHEET.faded(opacity),
            None,
        );
    }
}

/// Straight sides may bend inwards where lengths are not even, and only what is convex can be filled.
fn is_convex(corners: &[DVec2]) -> bool {
    let at = |i: usize| corners[i % corners.len()];
    let turn = |i| (at(i + 1) - at(i)).perp_dot(at(i + 2) - at(i + 1));
    let turns = || (0..corners.len()).map(turn);
    turns().all(|turn| turn <= 1e-9) || turns().all(|turn| turn >= -1e-9)
}

fn covering(
    about: Subject,
    foot: DVec2,
    head: DVec2,
    corners: impl Iterator<Item = DVec2>,
) -> Place {
    let place = Place::straight(about, foot, head);
    let grown = |[least, most]: [DVec2; 2], corner: DVec2| [least.min(corner), most.max(corner)];
    let extent = corners.filter(|corner| corner.is_finite()).fold(place.extent, grown);
    Place { extent, ..place }
}

fn named<'a>(stand_in: &'a StandIn, emphasis: &Emphasis, distance: f64, at: DVec2) -> Named<'a> {
    let about = Subject::StandIn(stand_in.id);
    let rank = match emphasis.naming(about) {
        Attention::Selected => Rank::Selected,
        Attention::Hovered => Rank::Hovered,
        Attention::Involved => Rank::Involved,
        Attention::Plain => Rank::Ordinary,
    };
    Named { about, name: &stand_in.name, rank, distance, at, clearance: CLEARANCE }
}

/// Every stand-in that stands somewhere; they are in metres, and so must be what they are drawn among.
fn each<'a>(
    scene: &'a Scene,
    assessment: &Assessment,
    unit: Unit,
    mut put: impl FnMut(&'a StandIn, &[Placed]),
) {
    if unit != Unit::Metres {
        return;
    }
    for stand_in in &scene.stand_ins {
        if let Ok(placement) = place_stand_in(scene, assessment, stand_in) {
            put(stand_in, &placement.each);
        }
    }
}

/// As far as the stand-ins reach over the ground: distances, in metres, and bearings of the outlines of
/// their footprints. None where the plan is not in metres.
pub(crate) fn reach(scene: &Scene, assessment: &Assessment, unit: Unit) -> Vec<(f64, f64)> {
    let mut reached = Vec::new();
    each(scene, assessment, unit, |_, placed| {
        let outlines = placed.iter().flat_map(outline);
        let places = outlines.map(|p| (p.length(), p.x.atan2(-p.y)));
        reached.extend(places.filter(|(far, at)| far.is_finite() && at.is_finite()));
    });
    reached
}

/// The outline of a footprint, to the right and towards the viewer of the eye, metres.
fn outline(one: &Placed) -> Vec<DVec2> {
    let flat = |p: DVec3| DVec2::new(p.x, p.z);
    let corners: Vec<_> = one.corners().into_iter().map(flat).collect();
    if !corners.is_empty() {
        return cut(&corners).collect();
    }
    // A figure is small: its shoulders are drawn square to each other.
    let round = matches!(one.shape, Shape::Cylinder { .. });
    let (count, out) = if round { (ROUND, 1.0) } else { (4, SQRT_2) };
    let half = 0.5 * out * one.shape.footprint().x;
    let turn = |i| one.heading + TAU * (f64::from(i) + 0.5) / f64::from(count);
    (0..count).map(|i| flat(one.foot) + half * DVec2::from_angle(turn(i))).collect()
}

/// The same corners with more between them.
fn cut(corners: &[DVec2]) -> impl Iterator<Item = DVec2> {
    let next = corners.iter().cycle().skip(1);
    let part = |i| f64::from(i) / f64::from(PIECES);
    corners.iter().zip(next).flat_map(move |(a, b)| (0..PIECES).map(move |i| a.lerp(*b, part(i))))
}
