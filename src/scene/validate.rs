//! What makes a scene sound: numbers in range, ids unique, every reference to something that is
//! there. Edits and loaded files pass the same test.

use crate::guide::is_level;
use crate::tidy::{LONGEST_NAME, tidy};
use crate::{
    Climb, EyeByHand, Family, Flight, Frame, Guide, GuideShape, Known, Level, Marker, Painting,
    Plane, PrincipalPoint, Reach, STEPS, Scene, Segment, Span, StandIn, Stands, Statement, Subject,
    World,
};
use glam::DVec2;
use std::collections::HashSet;
use std::hash::Hash;
use std::ops::RangeInclusive;
use std::path::Path;

/// A stated length, metres.
pub const LENGTH: RangeInclusive<f64> = 1e-3..=1e7;
/// One standard deviation of a stated length or ratio, as a fraction. Below a tenth of a percent a
/// statement would outweigh everything that is drawn; smaller spreads are raised to it.
pub const SPREAD: RangeInclusive<f64> = 1e-3..=1.0;
/// How many times as large one thing is as another.
pub const FACTOR: RangeInclusive<f64> = 1e-6..=1e6;
/// Width over height of the frame.
pub const RATIO: RangeInclusive<f64> = 0.1..=20.0;
/// Working width, pixels.
pub const WORKING_WIDTH: RangeInclusive<u32> = 16..=100_000;
/// Distance of a picture coordinate from the frame's centre, frame widths.
pub const PICTURE_COORDINATE: RangeInclusive<f64> = -100.0..=100.0;
/// Pointing precision, frame widths.
pub const POINTING_RANGE: RangeInclusive<f64> = 1e-6..=0.1;
/// Angle of view across the frame, degrees.
pub const ANGLE_OF_VIEW: RangeInclusive<f64> = 1.0..=170.0;
/// Pitch, degrees.
pub const PITCH: RangeInclusive<f64> = -89.9..=89.9;
/// Cant, degrees.
pub const CANT: RangeInclusive<f64> = -90.0..=90.0;
/// Heading of a block, degrees.
pub const HEADING: RangeInclusive<f64> = -360.0..=360.0;
/// Radius of the world, metres: from a village on an asteroid to a ring around a star.
pub const WORLD_RADIUS: RangeInclusive<f64> = 10.0..=1e12;
/// Coefficient of refraction: beyond one, sight lines would run round the world.
pub const REFRACTION: RangeInclusive<f64> = -1.0..=0.9;
/// Turn of a stand-in, degrees.
pub const TURN: RangeInclusive<f64> = -360.0..=360.0;
/// How far a stand-in is lifted off its level, metres.
pub const LIFT: RangeInclusive<f64> = -1e7..=1e7;
/// How many of a stand-in there are in a row or a crowd.
pub const COUNT: RangeInclusive<u32> = 1..=2_000;
/// Slope of an incline, degrees.
pub const SLOPE: RangeInclusive<f64> = -89.9..=89.9;
/// Width of the frame that a painting was cropped out of, widths of its own.
pub(crate) const WHOLE_FRAME: RangeInclusive<f64> = 1e-3..=1e3;
/// Most things of one kind in a scene: far more than anyone draws, and few enough to answer.
pub const MOST_THINGS: usize = 10_000;
/// Most alternatives in a scene.
pub const MOST_ALTERNATIVES: usize = 100;
const PAINTING_SIDE: RangeInclusive<u32> = 1..=1_000_000;

/// Why a scene is not sound. Each reads as a sentence that names the thing.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Flaw {
    /// A number is outside what is possible, or is no number at all.
    #[error("{quantity} of {thing} is {value}{unit}; it must lie between {low} and {high}{unit}")]
    OutOfRange {
        /// What carries the number.
        thing: String,
        /// What the number is.
        quantity: &'static str,
        /// The number; may be infinite or not a number.
        value: f64,
        /// Least that is accepted.
        low: f64,
        /// Most that is accepted.
        high: f64,
        /// Unit with its leading space, or nothing.
        unit: &'static str,
    },
    /// Something refers to a thing that is not in the scene.
    #[error("{thing} refers to {missing}, which is not in the scene")]
    Dangling {
        /// What refers.
        thing: String,
        /// What is missing.
        missing: String,
    },
    /// A guide that needs level lines runs along others.
    #[error("{thing} does not run along a level family")]
    NotLevel {
        /// Which guide.
        thing: String,
    },
    /// A marker is compared with itself, or hides itself.
    #[error("{thing} refers to itself")]
    Itself {
        /// Which thing.
        thing: String,
    },
    /// Two things have one id, or one thing is said twice.
    #[error("{thing} is in the scene twice")]
    Twice {
        /// Which thing.
        thing: String,
    },
    /// None of the alternatives is on show, or several are.
    #[error("of the scene’s alternatives one must be on show (have nothing aside), and only one")]
    NoneShown,
    /// Something is wrong in an alternative that is put aside.
    #[error("in the alternative {name}: {flaw}")]
    Aside {
        /// What the alternative is called.
        name: String,
        /// What is wrong.
        flaw: Box<Flaw>,
    },
    /// More things of one kind than can be handled.
    #[error("the scene has {count} {kind}; the most it can have is {most}")]
    TooMany {
        /// What there is too much of.
        kind: &'static str,
        /// How many there are.
        count: usize,
        /// The most there can be.
        most: usize,
    },
    /// The painting's path cannot be written into a text file.
    #[error(
        "the painting's path “{0}” is empty or not Unicode text; rename the file or its folder"
    )]
    Path(String),
    /// The size book's path cannot be written into a text file.
    #[error(
        "the size book's path “{0}” is empty or not Unicode text; rename the file or its folder"
    )]
    SizeBookPath(String),
    /// The scene cannot be turned into text.
    #[error("the scene cannot be written as text: {0}")]
    Unwritable(String),
}

impl Scene {
    /// Whether everything in the scene is sound.
    ///
    /// # Errors
    /// The first flaw found, in the order of the scene's fields.
    pub fn validate(&self) -> Result<(), Flaw> {
        self.validate_shown()?;
        alternatives_are_sound(self)
    }

    /// Whether everything is sound but what is put aside.
    fn validate_shown(&self) -> Result<(), Flaw> {
        if let Some(painting) = &self.painting {
            painting_is_sound(painting)?;
        }
        size_book_is_sound(self.size_book.as_deref())?;
        frame_is_sound(self.frame)?;
        in_range(|| "the scene".into(), "pointing precision", self.pointing, &POINTING_RANGE, "")?;
        eye_is_sound(self.eye)?;
        world_is_sound(self.world)?;
        counts_are_sound(self)?;
        ids_are_unique(self)?;
        families_are_sound(self)?;
        if let Some(Segment(a, b)) = self.horizon {
            on_picture(|| "the horizon".into(), &[a, b])?;
        }
        self.levels.iter().try_for_each(|level| level_is_sound(self, level))?;
        for marker in &self.markers {
            marker_is_sound(self, marker)?;
        }
        overlaps_are_sound(self)?;
        self.stand_ins.iter().try_for_each(|stand_in| stand_in_is_sound(self, stand_in))?;
        self.guides.iter().try_for_each(|guide| guide_is_sound(self, guide))?;
        self.intended.iter().try_for_each(|kept| {
            subject_exists(self, || "an intended contradiction".into(), kept.about)
        })
    }
}

fn alternatives_are_sound(scene: &Scene) -> Result<(), Flaw> {
    let alternatives = &scene.alternatives;
    let (count, most) = (alternatives.len(), MOST_ALTERNATIVES);
    if count > most {
        return Err(Flaw::TooMany { kind: "alternatives", count, most });
    }
    unique("alternative", alternatives.iter().map(|a| a.id))?;
    let shown = alternatives.iter().filter(|a| a.aside.is_none()).count();
    if count > 0 && shown != 1 {
        return Err(Flaw::NoneShown);
    }
    for alternative in alternatives.iter().filter(|a| a.aside.is_some()) {
        let sound = scene.showing(alternative.id).map_or(Ok(()), |scene| scene.validate_shown());
        sound.map_err(|flaw| {
            let name = format!("“{}”", tidy(&alternative.name, LONGEST_NAME));
            Flaw::Aside { name, flaw: Box::new(flaw) }
        })?;
    }
    Ok(())
}

fn painting_is_sound(painting: &Painting) -> Result<(), Flaw> {
    if cannot_be_written(&painting.path) {
        return Err(Flaw::Path(painting.path.display().to_string()));
    }
    whole_in_range("width", painting.size.0, &PAINTING_SIDE)?;
    whole_in_range("height", painting.size.1, &PAINTING_SIDE)
}

fn size_book_is_sound(book: Option<&Path>) -> Result<(), Flaw> {
    match book {
        Some(path) if cannot_be_written(path) => {
            Err(Flaw::SizeBookPath(path.display().to_string()))
        }
        _ => Ok(()),
    }
}

fn cannot_be_written(path: &Path) -> bool {
    path.to_str().is_none_or(str::is_empty)
}

fn whole_in_range(
    quantity: &'static str,
    pixels: u32,
    range: &RangeInclusive<u32>,
) -> Result<(), Flaw> {
    let range = f64::from(*range.start())..=f64::from(*range.end());
    in_range(|| "the painting".into(), quantity, f64::from(pixels), &range, " px")
}

fn frame_is_sound(frame: Frame) -> Result<(), Flaw> {
    in_range(|| "the frame".into(), "width over height", frame.ratio, &RATIO, "")?;
    let widths = f64::from(*WORKING_WIDTH.start())..=f64::from(*WORKING_WIDTH.end());
    let width = f64::from(frame.working_width);
    in_range(|| "the frame".into(), "working width", width, &widths, " px")
}

fn eye_is_sound(eye: EyeByHand) -> Result<(), Flaw> {
    let set = [
        ("angle of view", eye.angle_of_view, ANGLE_OF_VIEW),
        ("pitch", eye.pitch, PITCH),
        ("cant", eye.cant, CANT),
    ];
    set.into_iter().try_for_each(|(quantity, angle, range)| {
        angle.map_or(Ok(()), |a| in_range(|| "the eye".into(), quantity, a, &range, "°"))
    })?;
    if let Some(width) = eye.whole_frame {
        let quantity = "width of the whole frame";
        in_range(|| "the eye".into(), quantity, width, &WHOLE_FRAME, " frames")?;
    }
    match eye.principal {
        PrincipalPoint::At(at) => on_picture(|| "the principal point".into(), &[at]),
        PrincipalPoint::Centre | PrincipalPoint::Free => Ok(()),
    }
}

fn world_is_sound(world: World) -> Result<(), Flaw> {
    in_range(|| "the world".into(), "radius", world.radius, &WORLD_RADIUS, " m")?;
    in_range(|| "the world".into(), "refraction", world.refraction, &REFRACTION, "")
}

fn level_is_sound(scene: &Scene, level: &Level) -> Result<(), Flaw> {
    let thing = || named("level", level.id.0, &level.name);
    if let Some(clearance) = level.clearance {
        known_is_sound(thing, "clearance", clearance)?;
    }
    if let Some(above) = level.above {
        if above.level == level.id {
            return Err(Flaw::Itself { thing: thing() });
        }
        subject_exists(scene, thing, Subject::Level(above.level))?;
        known_is_sound(thing, "height over another level", above.by)?;
    }
    Ok(())
}

fn counts_are_sound(scene: &Scene) -> Result<(), Flaw> {
    let counts = [
        ("blocks", scene.blocks.len()),
        ("inclines", scene.inclines.len()),
        ("lines", scene.lines.len()),
        ("levels", scene.levels.len()),
        ("markers", scene.markers.len()),
        ("overlaps", scene.overlaps.len()),
        ("stand-ins, counting each in rows and crowds", stand_ins(scene)),
        ("guides", scene.guides.len()),
        ("intended contradictions", scene.intended.len()),
        ("statements", scene.markers.iter().map(|m| m.statements.len()).sum()),
    ];
    match counts.into_iter().find(|&(_, count)| count > MOST_THINGS) {
        Some((kind, count)) => Err(Flaw::TooMany { kind, count, most: MOST_THINGS }),
        None => Ok(()),
    }
}

fn stand_ins(scene: &Scene) -> usize {
    let counts = scene.stand_ins.iter().map(|s| s.arranged.count() as usize);
    counts.fold(0, usize::saturating_add)
}

fn ids_are_unique(scene: &Scene) -> Result<(), Flaw> {
    unique("block", scene.blocks.iter().map(|b| b.id))?;
    unique("incline", scene.inclines.iter().map(|i| i.id))?;
    unique("line", scene.lines.iter().map(|l| l.id))?;
    unique("level", scene.levels.iter().map(|l| l.id))?;
    unique("marker", scene.markers.iter().map(|m| m.id))?;
    unique("overlap", scene.overlaps.iter().map(|o| o.id))?;
    unique("stand-in", scene.stand_ins.iter().map(|s| s.id))?;
    unique("guide", scene.guides.iter().map(|g| g.id))?;
    let mut kept = HashSet::new();
    match scene.intended.iter().find(|i| !kept.insert(i.about)) {
        Some(i) => Err(Flaw::Twice {
            thing: format!("the intended contradiction of {}", subject_words(i.about)),
        }),
        None => Ok(()),
    }
}

fn unique<I: Copy + Eq + Hash + std::fmt::Display>(
    kind: &str,
    ids: impl Iterator<Item = I>,
) -> Result<(), Flaw> {
    let mut seen = HashSet::new();
    for id in ids {
        if !seen.insert(id) {
            return Err(Flaw::Twice { thing: format!("{kind} {id}") });
        }
    }
    Ok(())
}

fn families_are_sound(scene: &Scene) -> Result<(), Flaw> {
    for block in &scene.blocks {
        if let Some(heading) = block.heading {
            let thing = || named("block", block.id.0, &block.name);
            in_range(thing, "heading", heading, &HEADING, "°")?;
        }
    }
    for incline in &scene.inclines {
        let thing = || named("incline", incline.id.0, &incline.name);
        if let Some(heading) = incline.heading {
            in_range(thing, "heading", heading, &HEADING, "°")?;
        }
        if let Some(slope) = incline.slope {
            in_range(thing, "slope", slope, &SLOPE, "°")?;
        }
    }
    for line in &scene.lines {
        let thing = || format!("line {}", line.id);
        family_exists(scene, thing, line.family)?;
        on_picture(thing, &[line.segment.0, line.segment.1])?;
    }
    Ok(())
}

fn marker_is_sound(scene: &Scene, marker: &Marker) -> Result<(), Flaw> {
    let thing = || named("marker", marker.id.0, &marker.name);
    on_picture(thing, &[marker.foot, marker.head])?;
    if let Span::Along(family) = marker.span {
        family_exists(scene, thing, family)?;
    }
    match marker.stands {
        Stands::Unsaid => {}
        Stands::On(level) => subject_exists(scene, thing, Subject::Level(level))?,
        Stands::Over { level, plumb } => {
            subject_exists(scene, thing, Subject::Level(level))?;
            on_picture(thing, &[plumb])?;
        }
        Stands::Shadow { level, tip, light } => {
            subject_exists(scene, thing, Subject::Level(level))?;
            on_picture(thing, &[tip])?;
            family_exists(scene, thing, Family::Incline(light))?;
        }
        Stands::Hidden { level, height } => {
            subject_exists(scene, thing, Subject::Level(level))?;
            known_is_sound(thing, "height of the head", height)?;
        }
        Stands::OnTop(base) if base == marker.id => return Err(Flaw::Itself { thing: thing() }),
        Stands::OnTop(base) => subject_exists(scene, thing, Subject::Marker(base))?,
    }
    marker.statements.iter().try_for_each(|said| statement_is_sound(scene, marker, said))
}

fn statement_is_sound(scene: &Scene, marker: &Marker, said: &Statement) -> Result<(), Flaw> {
    let thing = || named("marker", marker.id.0, &marker.name);
    let (other, spread, factor) = match *said {
        Statement::KnownSize { size, .. } => return known_is_sound(thing, "size", size),
        Statement::Distance(known) => return known_is_sound(thing, "distance", known),
        Statement::SameMake { of, spread } | Statement::SameDistance { of, spread } => {
            (of, spread, 1.0)
        }
        Statement::Times { of, factor, spread } => (of, spread, factor),
    };
    if other == marker.id {
        return Err(Flaw::Itself { thing: thing() });
    }
    subject_exists(scene, thing, Subject::Marker(other))?;
    in_range(thing, "spread of a comparison", spread, &SPREAD, "")?;
    in_range(thing, "factor of a comparison", factor, &FACTOR, "")
}

fn overlaps_are_sound(scene: &Scene) -> Result<(), Flaw> {
    let mut said = HashSet::new();
    for overlap in &scene.overlaps {
        let thing = || format!("overlap {}", overlap.id);
        if overlap.front == overlap.behind {
            return Err(Flaw::Itself { thing: thing() });
        }
        subject_exists(scene, thing, Subject::Marker(overlap.front))?;
        subject_exists(scene, thing, Subject::Marker(overlap.behind))?;
        if !said.insert((overlap.front, overlap.behind)) {
            let (front, behind) = (overlap.front, overlap.behind);
            let thing = format!("the overlap of marker {front} in front of marker {behind}");
            return Err(Flaw::Twice { thing });
        }
    }
    Ok(())
}

fn guide_is_sound(scene: &Scene, guide: &Guide) -> Result<(), Flaw> {
    let thing = || named("guide", guide.id.0, &guide.name);
    let points: Vec<DVec2> = guide.shape.handles().into_iter().flatten().collect();
    on_picture(thing, &points)?;
    guide.shape.families().try_for_each(|family| family_exists(scene, thing, family))?;
    if let Some(level) = guide.shape.level() {
        subject_exists(scene, thing, Subject::Level(level))?;
    }
    match guide.shape {
        GuideShape::Steps(steps) => {
            let range = steps.division.range();
            let range = f64::from(*range.start())..=f64::from(*range.end());
            in_range(thing, "number of steps", f64::from(steps.division.number()), &range, "")
        }
        GuideShape::Flight(flight) => flight_is_sound(thing, flight),
        GuideShape::Round(round) => {
            if let Plane::Upright(family) = round.plane
                && !is_level(family)
            {
                return Err(Flaw::NotLevel { thing: thing() });
            }
            [Some(round.radius), round.carried].into_iter().flatten().try_for_each(|reach| {
                match reach {
                    Reach::To(_) => Ok(()),
                    Reach::Metres(metres) => in_range(thing, "size", metres.abs(), &LENGTH, " m"),
                }
            })
        }
    }
}

fn flight_is_sound(thing: impl Fn() -> String, flight: Flight) -> Result<(), Flaw> {
    if !is_level(flight.along) {
        return Err(Flaw::NotLevel { thing: thing() });
    }
    in_range(&thing, "width", flight.width, &LENGTH, " m")?;
    match flight.climb {
        Climb::Stairs { riser, tread, count } => {
            let counts = f64::from(*STEPS.start())..=f64::from(*STEPS.end());
            in_range(&thing, "riser", riser, &LENGTH, " m")?;
            in_range(&thing, "tread", tread, &LENGTH, " m")?;
            in_range(thing, "number of steps", f64::from(count), &counts, "")
        }
        Climb::Ramp { slope, run } => {
            in_range(&thing, "slope", slope, &SLOPE, "°")?;
            in_range(thing, "run", run, &LENGTH, " m")
        }
    }
}

fn stand_in_is_sound(scene: &Scene, stand_in: &StandIn) -> Result<(), Flaw> {
    let thing = || named("stand-in", stand_in.id.0, &stand_in.name);
    for (quantity, metres) in stand_in.shape.sizes() {
        in_range(thing, quantity, metres, &LENGTH, " m")?;
    }
    subject_exists(scene, thing, Subject::Level(stand_in.level))?;
    if let Some(block) = stand_in.along {
        family_exists(scene, thing, Family::RecedingRight(block))?;
    }
    in_range(thing, "turn", stand_in.turn, &TURN, "°")?;
    in_range(thing, "lift", stand_in.lift, &LIFT, " m")?;
    let counts = f64::from(*COUNT.start())..=f64::from(*COUNT.end());
    in_range(thing, "count", f64::from(stand_in.arranged.count()), &counts, "")?;
    let to = stand_in.arranged.to().unwrap_or(stand_in.foot);
    on_picture(thing, &[stand_in.foot, to])
}

pub(crate) fn known_is_sound(
    thing: impl Fn() -> String,
    quantity: &'static str,
    known: Known,
) -> Result<(), Flaw> {
    in_range(&thing, quantity, known.metres, &LENGTH, " m")?;
    in_range(thing, "spread of a stated length", known.spread, &SPREAD, "")
}

fn on_picture(thing: impl Fn() -> String, points: &[DVec2]) -> Result<(), Flaw> {
    points.iter().flat_map(|p| [p.x, p.y]).try_for_each(|coordinate| {
        in_range(&thing, "picture coordinate", coordinate, &PICTURE_COORDINATE, "")
    })
}

fn in_range(
    thing: impl FnOnce() -> String,
    quantity: &'static str,
    value: f64,
    range: &RangeInclusive<f64>,
    unit: &'static str,
) -> Result<(), Flaw> {
    if range.contains(&value) {
        return Ok(());
    }
    let (low, high) = (*range.start(), *range.end());
    Err(Flaw::OutOfRange { thing: thing(), quantity, value, low, high, unit })
}

fn family_exists(
    scene: &Scene,
    thing: impl FnOnce() -> String,
    family: Family,
) -> Result<(), Flaw> {
    let missing = match family {
        Family::Upright => return Ok(()),
        Family::RecedingRight(id) | Family::RecedingLeft(id) => {
            scene.block(id).is_none().then(|| format!("block {id}"))
        }
        Family::Incline(id) | Family::Run(id) => {
            scene.incline(id).is_none().then(|| format!("incline {id}"))
        }
    };
    missing.map_or(Ok(()), |missing| Err(Flaw::Dangling { thing: thing(), missing }))
}

fn subject_exists(
    scene: &Scene,
    thing: impl FnOnce() -> String,
    subject: Subject,
) -> Result<(), Flaw> {
    if scene.has(subject) {
        return Ok(());
    }
    Err(Flaw::Dangling { thing: thing(), missing: subject_words(subject) })
}

fn named(kind: &str, id: u32, name: &str) -> String {
    if name.is_empty() { format!("{kind} {id}") } else { format!("{kind} {id} (“{name}”)") }
}

fn subject_words(subject: Subject) -> String {
    match subject {
        Subject::Line(id) => format!("line {id}"),
        Subject::Marker(id) => format!("marker {id}"),
        Subject::Level(id) => format!("level {id}"),
        Subject::Overlap(id) => format!("overlap {id}"),
        Subject::StandIn(id) => format!("stand-in {id}"),
        Subject::Guide(id) => format!("guide {id}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Intended, LevelId, Line, LineId, MarkerId, Overlap, OverlapId};

    fn figure(id: u32) -> Marker {
        Marker {
            id: MarkerId(id),
            name: "Foreman".into(),
            foot: DVec2::new(0.1, 0.1),
            head: DVec2::new(0.1, 0.05),
            span: Span::Upright,
            stands: Stands::On(LevelId(1)),
            statements: vec![],
        }
    }

    fn with(change: impl FnOnce(&mut Scene)) -> Result<(), String> {
        let mut scene = Scene { markers: vec![figure(1), figure(2)], ..Scene::default() };
        change(&mut scene);
        scene.validate().map_err(|flaw| flaw.to_string())
    }

    fn said(statement: Statement) -> Result<(), String> {
        with(|s| s.markers[0].statements.push(statement))
    }

    #[test]
    fn a_plain_scene_is_sound() {
        assert_eq!(with(|_| ()), Ok(()));
    }

    #[test]
    fn every_number_must_be_finite_and_in_range() {
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300, -1e300] {
            assert!(with(|s| s.pointing = bad).is_err());
            assert!(with(|s| s.frame.ratio = bad).is_err());
            assert!(with(|s| s.eye.angle_of_view = Some(bad)).is_err());
            assert!(with(|s| s.eye.pitch = Some(bad)).is_err());
            assert!(with(|s| s.eye.cant = Some(bad)).is_err());
            assert!(with(|s| s.blocks[0].heading = Some(bad)).is_err());
            assert!(
                with(|s| s.horizon = Some(Segment(DVec2::ZERO, DVec2::new(0.0, bad)))).is_err()
            );
            assert!(with(|s| s.markers[1].head.x = bad).is_err());
            let plumb = DVec2::new(bad, 0.0);
            let over = Stands::Over { level: LevelId(1), plumb };
            assert!(with(|s| s.markers[1].stands = over).is_err());
            let known = Known { metres: bad, spread: 0.1 };
            assert!(with(|s| s.levels[0].clearance = Some(known)).is_err());
            assert!(said(Statement::Distance(known)).is_err());
            let size = Known { metres: 1.7, spread: bad };
            assert!(said(Statement::KnownSize { size, as_: "adult".into() }).is_err());
            assert!(said(Statement::SameMake { of: MarkerId(2), spread: bad }).is_err());
            let times = Statement::Times { of: MarkerId(2), factor: bad, spread: 0.1 };
            assert!(said(times).is_err());
        }
        assert!(with(|s| s.frame.working_width = 0).is_err());
        let painting = |size| Some(Painting { path: "quay.png".into(), size });
        assert!(with(|s| s.painting = painting((0, 100))).is_err());
        assert_eq!(with(|s| s.painting = painting((2300, 979))), Ok(()));
    }

    #[test]
    fn a_size_book_must_have_a_path_that_can_be_written() {
        assert_eq!(with(|s| s.size_book = Some("works.ron".into())), Ok(()));
        let refused = with(|s| s.size_book = Some("".into())).unwrap_err();
        assert!(refused.starts_with("the size book's path “” is empty"), "{refused}");
    }

    #[test]
    fn a_flaw_names_the_thing_the_number_and_what_would_do() {
        let known = Known { metres: -3.0, spread: 0.1 };
        assert_eq!(
            said(Statement::Distance(known)).unwrap_err(),
            "distance of marker 1 (“Foreman”) is -3 m; it must lie between 0.001 and 10000000 m"
        );
    }

    #[test]
    fn every_reference_must_be_to_something_in_the_scene() {
        let away = MarkerId(9);
        assert_eq!(
            said(Statement::SameMake { of: away, spread: 0.1 }).unwrap_err(),
            "marker 1 (“Foreman”) refers to marker 9, which is not in the scene"
        );
        assert!(with(|s| s.markers[0].stands = Stands::On(LevelId(4))).is_err());
        let family = Family::RecedingLeft(crate::BlockId(7));
        assert!(with(|s| s.markers[0].span = Span::Along(family)).is_err());
        let segment = Segment(DVec2::ZERO, DVec2::X);
        let line = |family| Line { id: LineId(1), family, segment };
        assert!(with(|s| s.lines.push(line(family))).is_err());
        assert!(with(|s| s.lines.push(line(Family::Incline(crate::InclineId(1))))).is_err());
        assert_eq!(with(|s| s.lines.push(line(Family::Upright))), Ok(()));
        let kept =
            Intended { about: Subject::Line(LineId(1)), reason: "dream".into(), by: "me".into() };
        assert!(with(|s| s.intended.push(kept)).is_err());
        let overlap = Overlap { id: OverlapId(1), front: away, behind: MarkerId(1) };
        assert!(with(|s| s.overlaps.push(overlap)).is_err());
    }

    #[test]
    fn nothing_refers_to_itself() {
        let itself = MarkerId(1);
        assert!(said(Statement::SameDistance { of: itself, spread: 0.1 }).is_err());
        let overlap = Overlap { id: OverlapId(1), front: itself, behind: itself };
        assert!(with(|s| s.overlaps.push(overlap)).is_err());
    }

    #[test]
    fn nothing_is_in_the_scene_twice() {
        assert_eq!(
            with(|s| s.markers.push(figure(2))).unwrap_err(),
            "marker 2 is in the scene twice"
        );
        let overlap = |id| Overlap { id: OverlapId(id), front: MarkerId(1), behind: MarkerId(2) };
        assert!(with(|s| s.overlaps.extend([overlap(1), overlap(2)])).is_err());
        let kept = Intended {
            about: Subject::Marker(MarkerId(1)),
            reason: "dream".into(),
            by: "me".into(),
        };
        assert!(with(|s| s.intended.extend([kept.clone(), kept])).is_err());
    }

    #[test]
    fn a_scene_with_endless_things_is_refused() {
        let crowd = (0..=10_000).map(figure).collect();
        assert_eq!(
            with(|s| s.markers = crowd).unwrap_err(),
            "the scene has 10001 markers; the most it can have is 10000"
        );
    }
}
