//! Where stand-ins stand: from the picture to metres, and how rows and crowds are dealt.

use crate::{Arranged, Assessment, LevelId, Scene, Shape, Side, StandIn, Unit};
use glam::{DVec2, DVec3};
use staffage_solver::Eye;
use std::collections::HashMap;

/// Where a stand-in stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Placement {
    /// Each one, in the order in which they are dealt; never empty.
    pub each: Vec<Placed>,
    /// The corners of the patch that a crowd is spread over, on its level, relative to the eye, metres;
    /// empty for what is no crowd.
    pub patch: Vec<DVec3>,
}

impl Placement {
    /// The one nearest to the eye.
    #[must_use]
    pub fn nearest(&self) -> Option<&Placed> {
        self.each.iter().min_by(|a, b| a.distance().total_cmp(&b.distance()))
    }

    /// The one farthest from the eye.
    #[must_use]
    pub fn farthest(&self) -> Option<&Placed> {
        self.each.iter().max_by(|a, b| a.distance().total_cmp(&b.distance()))
    }
}

/// One of a stand-in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placed {
    /// The middle of its footprint, lifted as the stand-in is: relative to the eye, X right, Y up, -Z
    /// straight ahead, metres.
    pub foot: DVec3,
    /// Heading of its depth, clockwise from straight ahead, radians.
    pub heading: f64,
    /// What it is; figures differ in height.
    pub shape: Shape,
}

impl Placed {
    /// Horizontal distance from the eye, metres.
    #[must_use]
    pub fn distance(&self) -> f64 {
        self.foot.x.hypot(self.foot.z)
    }

    /// How long it is seen from the middle of its footprint to its top, picture units; `None` where an end
    /// of that is not before the eye.
    #[must_use]
    pub fn seen_height(&self, eye: &Eye) -> Option<f64> {
        let [foot, head] = [eye.project(self.foot)?, eye.project(self.head())?];
        Some(foot.distance(head)).filter(|height| height.is_finite())
    }

    /// Its top over the middle of its footprint, relative to the eye, metres.
    #[must_use]
    pub fn head(&self) -> DVec3 {
        self.foot + self.shape.height() * DVec3::Y
    }
}

/// Why a stand-in cannot be drawn. Each reads as the predicate or the whole of a short sentence.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Unplaced {
    /// Nothing ties the level to metres.
    #[error("nothing says how high the eye is over this level")]
    NoScale,
    /// The level lies below the eye, and the picture point is above the horizon.
    #[error("above the horizon there is no ground to stand on")]
    AboveHorizon,
    /// The level lies above the eye, and the picture point is below the horizon.
    #[error("below the horizon nothing is on a level above the eye")]
    BelowHorizon,
    /// The picture point is too near the horizon to be anywhere.
    #[error("at the horizon it would be endlessly far")]
    AtHorizon,
    /// The level is not in the scene.
    #[error("its level is not in the scene")]
    NoLevel,
}

/// A foot farther off than this many clearances is at the horizon: one arc second below it.
const FARTHEST: f64 = 2e5;

/// Spread of the height of grown figures, as a fraction: 1.70 m ± 6 % (common practice).
const HEIGHT_SPREAD: f64 = 0.06;
/// No figure of a crowd is farther off the usual height than this many spreads: nobody is a giant.
const MOST_SPREADS: f64 = 2.0;
/// Spread of the way that the figures of a row or a crowd face, radians (common practice).
const FACING_SPREAD: f64 = 0.35;
/// A patch into which so many in a row do not fit any more is full.
const MOST_MISSES: u32 = 400;

/// The height of the eye over a level, or of the level over the eye, metres.
#[must_use]
pub fn metres_over(assessment: &Assessment, level: LevelId) -> Option<f64> {
    let reading = assessment.levels.iter().find(|l| l.id == level)?;
    let metres = reading.clearance.filter(|_| reading.unit == Unit::Metres)?.value;
    (metres.is_finite() && metres > 0.0).then_some(metres)
}

/// The point of a level that is seen at a picture point, relative to the eye (X right, Y up, -Z straight
/// ahead), metres. Levels are planes here: the world's curve is not felt by stand-ins.
///
/// # Errors
/// Where nothing gives the level a scale, or no point of it is seen there.
pub fn point_on_level(
    scene: &Scene,
    assessment: &Assessment,
    level: LevelId,
    at: DVec2,
) -> Result<DVec3, Unplaced> {
    let side = scene.level(level).ok_or(Unplaced::NoLevel)?.side;
    let metres = metres_over(assessment, level).ok_or(Unplaced::NoScale)?;
    let ray = assessment.eye.eye.ray(at);
    let (rise, wrong) = match side {
        Side::Below => (-ray.y, Unplaced::AboveHorizon),
        Side::Above => (ray.y, Unplaced::BelowHorizon),
    };
    if rise.is_nan() || rise < -1.0 / FARTHEST {
        return Err(wrong);
    }
    let point = ray * (metres / rise);
    let near_enough = rise * FARTHEST > ray.x.hypot(ray.z);
    if near_enough && point.is_finite() { Ok(point) } else { Err(Unplaced::AtHorizon) }
}

/// The heading of a stand-in's depth, clockwise from straight ahead, radians; a turn that is no number
/// turns nothing.
#[must_use]
pub fn stand_in_heading(assessment: &Assessment, stand_in: &StandIn) -> f64 {
    let of_block = stand_in.along.and_then(|block| {
        assessment.eye.headings.iter().find(|(id, _)| *id == block).map(|(_, h)| h.value)
    });
    let turn = if stand_in.turn.is_finite() { stand_in.turn } else { 0.0 };
    of_block.unwrap_or(0.0) + turn.to_radians()
}

/// Where a stand-in stands. Pure and deterministic: the same seed deals the same crowd.
///
/// # Errors
/// Where nothing gives its level a scale, or its foot or what it reaches to is on the wrong side of the
/// horizon.
pub fn place_stand_in(
    scene: &Scene,
    assessment: &Assessment,
    stand_in: &StandIn,
) -> Result<Placement, Unplaced> {
    let heading = stand_in_heading(assessment, stand_in);
    let on = |at| point_on_level(scene, assessment, stand_in.level, at);
    let from = on(stand_in.foot)?;
    let lifted = |foot: DVec3| foot + stand_in.lift * DVec3::Y;
    let alone = Placed { foot: lifted(from), heading, shape: stand_in.shape };
    match stand_in.arranged {
        Arranged::Alone => Ok(Placement { each: vec![alone], patch: Vec::new() }),
        Arranged::Row { to, count } => {
            let to = on(to)?;
            let mut dice = Dice::new(u64::from(stand_in.id.0));
            let last = f64::from(count.max(2) - 1);
            let at = |i: u32| lifted(from.lerp(to, f64::from(i) / last));
            let each = (0..count.max(1)).map(|i| dice.natural(Placed { foot: at(i), ..alone }));
            Ok(Placement { each: each.collect(), patch: Vec::new() })
        }
        Arranged::Crowd { to, count, seed } => {
            let patch = Patch::new(from, on(to)?, heading);
            let spread = patch.deal(stand_in.shape, count, seed);
            let each = spread
                .into_iter()
                .map(|(foot, mut dice)| dice.natural(Placed { foot: lifted(foot), ..alone }));
            let mut each: Vec<Placed> = each.collect();
            if each.is_empty() {
                each.push(alone);
            }
            Ok(Placement { each, patch: patch.corners().to_vec() })
        }
    }
}

/// A rectangle of a level.
#[derive(Clone, Copy, Debug)]
struct Patch {
    corner: DVec3,
    /// Its sides.
    across: DVec3,
    along: DVec3,
}

impl Patch {
    /// With these opposite corners, and sides along and square to the heading.
    fn new(from: DVec3, to: DVec3, heading: f64) -> Self {
        let (sin, cos) = heading.sin_cos();
        let (right, ahead) = (DVec3::new(cos, 0.0, sin), DVec3::new(sin, 0.0, -cos));
        let diagonal = to - from;
        Self {
            corner: from,
            across: right * diagonal.dot(right),
            along: ahead * diagonal.dot(ahead),
        }
    }

    fn corners(&self) -> [DVec3; 4] {
        let Self { corner, across, along } = *self;
        [corner, corner + across, corner + across + along, corner + along]
    }

    /// So many places, evenly likely everywhere and no two closer than the thing is wide; fewer if no more
    /// fit. Each comes with dice of its own, so that whoever stands there stays the same when a
    /// neighbour does not fit any more.
    fn deal(&self, shape: Shape, count: u32, seed: u64) -> Vec<(DVec3, Dice)> {
        let apart = match shape {
            Shape::Figure { .. } | Shape::Cylinder { .. } => shape.footprint().x,
            Shape::Panel { .. } | Shape::Box { .. } | Shape::Ramp { .. } => {
                shape.footprint().length()
            }
        };
        let mut dice = Dice::new(seed);
        let (mut dealt, mut taken) = (Vec::new(), Taken::new(apart));
        let mut misses = 0;
        while dealt.len() < count as usize && misses < MOST_MISSES {
            let (across, along, own) = (dice.even(), dice.even(), dice.next());
            let place = across * self.across + along * self.along;
            if taken.take(DVec2::new(place.x, place.z)) {
                dealt.push((self.corner + place, Dice::new(own)));
                misses = 0;
            } else {
                misses += 1;
            }
        }
        dealt
    }
}

/// Places that are taken, in cells as wide as the things are apart.
struct Taken {
    apart: f64,
    cells: HashMap<(i64, i64), Vec<DVec2>>,
}

impl Taken {
    fn new(apart: f64) -> Self {
        Self { apart, cells: HashMap::new() }
    }

    /// Takes a place if nothing is too near.
    fn take(&mut self, place: DVec2) -> bool {
        let cell = |v: f64| (v / self.apart).floor() as i64;
        let (x, y) = (cell(place.x), cell(place.y));
        let around = (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| (dx, dy)));
        let mut near = around
            .filter_map(|(dx, dy)| self.cells.get(&(x.saturating_add(dx), y.saturating_add(dy))));
        if near.any(|places| places.iter().any(|p| p.distance(place) < self.apart)) {
            return false;
        }
        self.cells.entry((x, y)).or_default().push(place);
        true
    }
}

/// Numbers at random that are the same for the same seed, everywhere: SplitMix64 of Steele, Lea &
/// Flood, "Fast Splittable Pseudorandom Number Generators", OOPSLA 2014 (constants from memory).
#[derive(Clone, Copy, Debug)]
struct Dice(u64);

impl Dice {
    fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From 0 up to 1, evenly.
    fn even(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Normal with standard deviation 1, cut off (Box & Muller 1958).
    fn normal(&mut self) -> f64 {
        let (far, turn) = (1.0 - self.even(), self.even());
        let value = (-2.0 * far.ln()).sqrt() * (std::f64::consts::TAU * turn).cos();
        value.clamp(-MOST_SPREADS, MOST_SPREADS)
    }

    /// A figure as people differ; a thing as it is.
    fn natural(&mut self, usual: Placed) -> Placed {
        let Shape::Figure { height } = usual.shape else { return usual };
        let height = height * (1.0 + HEIGHT_SPREAD * self.normal());
        let heading = usual.heading + FACING_SPREAD * self.normal();
        Placed { heading, shape: Shape::Figure { height }, ..usual }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{EyeByHand, Known, StandInId, assess};

    const GROUND: LevelId = LevelId(1);

    /// An eye 3 m up that looks 8° down with 5° of cant.
    fn quay() -> Scene {
        let mut scene = Scene::default();
        let (angle_of_view, pitch, cant) = (Some(50.0), Some(-8.0), Some(5.0));
        scene.eye = EyeByHand { angle_of_view, pitch, cant, ..EyeByHand::default() };
        scene.levels[0].clearance = Some(Known { metres: 3.0, spread: 0.01 });
        scene
    }

    fn adult(arranged: Arranged) -> StandIn {
        StandIn {
            id: StandInId(1),
            name: "adult".into(),
            shape: Shape::Figure { height: 1.7 },
            level: GROUND,
            foot: DVec2::new(-0.2, 0.15),
            turn: 0.0,
            along: None,
            lift: 0.0,
            arranged,
        }
    }

    fn placed(stand_in: &StandIn) -> Placement {
        let scene = quay();
        place_stand_in(&scene, &assess(&scene), stand_in).expect("it can stand there")
    }

    #[test]
    fn a_stand_in_is_seen_where_it_was_put() {
        let scene = quay();
        let assessment = assess(&scene);
        let eye = assessment.eye.eye;
        let adult = adult(Arranged::Alone);
        let placed = placed(&adult).each[0];
        assert!((placed.foot.y + 3.0).abs() < 1e-9);
        let seen = eye.project(placed.foot).expect("before the eye");
        assert!(seen.distance(adult.foot) < 1e-12);
        let lifted = StandIn { lift: 2.5, ..adult };
        let lifted =
            place_stand_in(&scene, &assessment, &lifted).expect("it can stand there").each[0];
        assert!((lifted.foot - placed.foot - DVec3::new(0.0, 2.5, 0.0)).length() < 1e-12);
    }

    #[test]
    fn a_row_is_stepped_evenly_on_the_level_and_not_in_the_picture() {
        let to = DVec2::new(0.1, -0.08);
        let row = placed(&adult(Arranged::Row { to, count: 5 }));
        let feet: Vec<DVec3> = row.each.iter().map(|p| p.foot).collect();
        let step = feet[1] - feet[0];
        for pair in feet.windows(2) {
            assert!((pair[1] - pair[0] - step).length() < 1e-9);
        }
        let eye = assess(&quay()).eye.eye;
        let seen: Vec<DVec2> = feet.iter().filter_map(|&foot| eye.project(foot)).collect();
        assert!(seen[4].distance(to) < 1e-9);
        assert!(seen[0].distance(seen[1]) > 2.0 * seen[3].distance(seen[4]));
    }

    #[test]
    fn a_crowd_is_the_same_for_the_same_seed_and_keeps_its_elbows_to_itself() {
        let to = DVec2::new(0.2, -0.06);
        let crowd = |seed| placed(&adult(Arranged::Crowd { to, count: 200, seed })).each;
        let dealt = crowd(3);
        assert_eq!(dealt, crowd(3));
        assert_ne!(dealt, crowd(4));
        assert_eq!(dealt.len(), 200);
        let shoulders = Shape::Figure { height: 1.7 }.footprint().x;
        for (i, a) in dealt.iter().enumerate() {
            assert!(dealt[..i].iter().all(|b| a.foot.distance(b.foot) >= shoulders));
        }
        let heights: Vec<f64> = dealt.iter().map(|p| p.shape.height()).collect();
        let mean = heights.iter().sum::<f64>() / 200.0;
        let spread = (heights.iter().map(|h| (h - mean).powi(2)).sum::<f64>() / 199.0).sqrt();
        assert!((mean - 1.7).abs() < 0.03, "{mean}");
        assert!((0.07..0.12).contains(&spread), "{spread}");
    }

    #[test]
    fn a_crowd_stays_in_its_patch_and_is_as_many_as_fit() {
        let mut crowd =
            adult(Arranged::Crowd { to: DVec2::new(-0.15, 0.14), count: 2000, seed: 1 });
        crowd.turn = 20.0;
        let placed = placed(&crowd);
        assert!(placed.each.len() < 2000, "{} fit", placed.each.len());
        let [a, b, _, d] = placed.patch[..] else { panic!("{:?}", placed.patch) };
        for one in &placed.each {
            let off = one.foot - a;
            for side in [b - a, d - a] {
                let along = off.dot(side) / side.length_squared();
                assert!((0.0..=1.0).contains(&along));
            }
        }
    }

    #[test]
    fn what_cannot_stand_there_is_told_why() {
        let mut scene = quay();
        let why = |scene: &Scene, foot: DVec2| {
            let stand_in = StandIn { foot, ..adult(Arranged::Alone) };
            place_stand_in(scene, &assess(scene), &stand_in).unwrap_err()
        };
        assert_eq!(why(&scene, DVec2::new(0.0, -0.2)), Unplaced::AboveHorizon);
        let unscaled = Scene { levels: Scene::default().levels, ..scene.clone() };
        assert_eq!(why(&unscaled, DVec2::new(0.0, 0.1)), Unplaced::NoScale);
        scene.levels[0].side = Side::Above;
        assert_eq!(why(&scene, DVec2::new(0.0, 0.1)), Unplaced::BelowHorizon);
        let horizon = assess(&scene).eye.eye.horizon();
        let at = -horizon.z * horizon.truncate();
        assert_eq!(why(&scene, at), Unplaced::AtHorizon);
    }

    #[test]
    fn a_stand_in_turned_with_a_block_follows_its_walls() {
        let mut scene = quay();
        scene.blocks[0].heading = Some(40.0);
        let mut hull = adult(Arranged::Alone);
        (hull.turn, hull.along) = (5.0, Some(scene.blocks[0].id));
        let heading = stand_in_heading(&assess(&scene), &hull);
        assert!((heading.to_degrees() - 45.0).abs() < 1e-9);
    }
}
