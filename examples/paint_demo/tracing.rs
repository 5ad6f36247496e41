//! Traces a painted set the way a painter would: lines and markers with a hand that is off by
//! about one pixel, and what is claimed of each thing. The truth is noted alongside.

use crate::chance::Chance;
use crate::truth::{Plant, TrueEye, TrueMarker, Truth};
use crate::view::View;
use glam::{DVec2, DVec3};
use staffage_scene::{
    Block, BlockId, Family, Frame, Intended, Known, Level, LevelId, Line, LineId, Marker, MarkerId,
    Overlap, OverlapId, Painting, Scene, Segment, Side, Span, Stands, Statement, Subject,
};

pub(crate) struct Tracing {
    view: View,
    hand: Chance,
    pub(crate) scene: Scene,
    pub(crate) truth: Truth,
}

/// Standard deviation of the hand, pixels.
const UNSTEADY: f64 = 1.0;

/// The size book of the dam and its reservoir, beside the scenes. It is written by hand.
pub(crate) const SIZE_BOOK: &str = "size_book.ron";

/// An adult of either sex in work clothes and boots, metres and spread (common practice).
pub(crate) const ADULT: (f64, f64) = (1.70, 0.06);

impl Tracing {
    pub(crate) fn new(
        name: &str,
        title: &str,
        view: View,
        blocks: &[(&str, f64)],
        seed: u64,
    ) -> Self {
        let (width, height) = (view.width as u32, view.height as u32);
        let named = |(i, &(name, _)): (usize, &(&str, f64))| Block {
            id: BlockId(i as u32 + 1),
            name: name.into(),
            heading: None,
        };
        let scene = Scene {
            title: title.into(),
            painting: Some(Painting { path: format!("{name}.jpg").into(), size: (width, height) }),
            frame: Frame { ratio: f64::from(width) / f64::from(height), working_width: width },
            blocks: blocks.iter().enumerate().map(named).collect(),
            levels: vec![],
            ..Scene::default()
        };
        let eye = TrueEye {
            focal: view.eye.focal,
            pitch: view.eye.pitch.to_degrees(),
            cant: view.eye.cant.to_degrees(),
            headings: blocks.iter().map(|&(name, heading)| (name.to_owned(), heading)).collect(),
        };
        let truth = Truth { scene: format!("{name}.ron"), eye, ..Truth::default() };
        Self { view, hand: Chance::new(seed), scene, truth }
    }

    /// Where a world point is seen, picture units. Everything traced lies ahead of the eye.
    fn seen(&self, at: DVec3) -> DVec2 {
        self.view.picture(at).unwrap_or_else(|| panic!("{at} lies behind the eye"))
    }

    /// Half the frame, picture units, less a margin that no hand draws in.
    fn half_frame(&self) -> DVec2 {
        let (w, h) = (self.view.width as f64, self.view.height as f64);
        DVec2::new(0.5, 0.5 * h / w) - 6.0 / w
    }

    fn slip(&mut self) -> DVec2 {
        DVec2::new(self.hand.normal(), self.hand.normal()) * UNSTEADY / self.view.width as f64
    }

    /// The picture point where the hand puts a world point.
    fn point(&mut self, at: DVec3) -> DVec2 {
        let seen = self.seen(at);
        assert!(seen.abs().cmple(self.half_frame()).all(), "{at} is off the frame");
        seen + self.slip()
    }

    pub(crate) fn level(&mut self, name: &str, height: f64) -> LevelId {
        let id = LevelId(self.scene.levels.len() as u32 + 1);
        let over = self.view.eye_height - height;
        let side = if over > 0.0 { Side::Below } else { Side::Above };
        self.scene.levels.push(Level { id, name: name.into(), side, clearance: None, above: None });
        self.truth.clearances.insert(name.into(), over.abs());
        id
    }

    /// Traces an edge between two world points.
    pub(crate) fn line(&mut self, family: Family, from: DVec3, to: DVec3) -> LineId {
        let (a, b) = within(self.half_frame(), self.seen(from), self.seen(to));
        let segment = Segment(a + self.slip(), b + self.slip());
        let id = LineId(self.scene.lines.len() as u32 + 1);
        self.scene.lines.push(Line { id, family, segment });
        id
    }

    /// Marks a thing from its foot to its head.
    pub(crate) fn mark(
        &mut self,
        name: &str,
        span: Span,
        foot: DVec3,
        head: DVec3,
        stands: Stands,
    ) -> MarkerId {
        let id = MarkerId(self.scene.markers.len() as u32 + 1);
        let (seen_foot, seen_head) = (self.point(foot), self.point(head));
        self.scene.markers.push(Marker {
            id,
            name: name.into(),
            foot: seen_foot,
            head: seen_head,
            span,
            stands,
            statements: vec![],
        });
        let away = foot - self.view.place();
        let marker = TrueMarker { distance: away.x.hypot(away.z), size: (head - foot).length() };
        let taken = self.truth.markers.insert(name.into(), marker);
        assert!(taken.is_none(), "two markers are called {name}");
        id
    }

    /// Marks an upright thing standing on a level.
    pub(crate) fn upright(
        &mut self,
        name: &str,
        foot: DVec3,
        height: f64,
        level: LevelId,
    ) -> MarkerId {
        self.mark(name, Span::Upright, foot, foot + DVec3::Y * height, Stands::On(level))
    }

    /// Marks a width square to the line of sight, starting at `from`, to the right.
    pub(crate) fn facing(
        &mut self,
        name: &str,
        from: DVec3,
        width: f64,
        stands: Stands,
    ) -> MarkerId {
        let to = self.turned(from, width);
        self.mark(name, Span::Facing, from, to, stands)
    }

    /// The point as far and as high as `from`, `width` metres to its right.
    pub(crate) fn turned(&self, from: DVec3, width: f64) -> DVec3 {
        let away = from - self.view.place();
        let run = away.x.hypot(away.z);
        let (s, c) = (2.0 * (0.5 * width / run).asin()).sin_cos();
        self.view.place() + DVec3::new(away.x * c - away.z * s, away.y, away.x * s + away.z * c)
    }

    /// Marks a thing in the air with the point plumb under it on a level at height `ground`.
    pub(crate) fn floating(
        &mut self,
        name: &str,
        span: Span,
        ends: [DVec3; 2],
        level: LevelId,
        ground: f64,
    ) -> MarkerId {
        let plumb = self.point(DVec3::new(ends[0].x, ground, ends[0].z));
        self.mark(name, span, ends[0], ends[1], Stands::Over { level, plumb })
    }

    pub(crate) fn adult(
        &mut self,
        name: &str,
        foot: DVec3,
        height: f64,
        level: LevelId,
    ) -> MarkerId {
        let id = self.upright(name, foot, height, level);
        self.known(id, ADULT.0, ADULT.1, "adult, mixed, in boots");
        id
    }

    pub(crate) fn known(&mut self, id: MarkerId, metres: f64, spread: f64, word: &str) {
        let size = Known { metres, spread };
        self.say(id, Statement::KnownSize { size, as_: word.into() });
    }

    pub(crate) fn say(&mut self, id: MarkerId, statement: Statement) {
        if let Some(marker) = self.scene.markers.iter_mut().find(|m| m.id == id) {
            marker.statements.push(statement);
        }
    }

    /// Says that one marked thing hides part of another.
    pub(crate) fn overlap(&mut self, front: &str, behind: &str) -> OverlapId {
        let called = |name: &str| {
            let marker = self.scene.markers.iter().find(|m| m.name == name);
            marker.unwrap_or_else(|| panic!("nothing is called {name}")).id
        };
        let (front, behind) = (called(front), called(behind));
        let id = OverlapId(self.scene.overlaps.len() as u32 + 1);
        self.scene.overlaps.push(Overlap { id, front, behind });
        id
    }

    /// Notes a contradiction that was put in to be found.
    pub(crate) fn planted(&mut self, about: Subject, what: &str) {
        let plant = self.plant(about, what);
        self.truth.planted.push(plant);
    }

    /// Notes a contradiction that the painter keeps.
    pub(crate) fn intended(&mut self, about: Subject, reason: &str) {
        self.scene.intended.push(Intended { about, reason: reason.into(), by: String::new() });
        let plant = self.plant(about, reason);
        self.truth.intended.push(plant);
    }

    fn plant(&self, about: Subject, what: &str) -> Plant {
        let (kind, name) = match about {
            Subject::Marker(id) => {
                ("marker", self.scene.marker(id).map_or_else(|| id.to_string(), |m| m.name.clone()))
            }
            Subject::Line(id) => ("line", id.to_string()),
            Subject::Level(id) => ("level", id.to_string()),
            Subject::Overlap(id) => ("overlap", id.to_string()),
            Subject::StandIn(id) => ("stand-in", id.to_string()),
            Subject::Guide(id) => ("guide", id.to_string()),
        };
        Plant { about: kind, name, what: what.into() }
    }
}

/// A natural height for an adult: the stated mean and spread, without freaks.
pub(crate) fn stature(chance: &mut Chance) -> f64 {
    ADULT.0 * (ADULT.1 * chance.normal().clamp(-1.6, 1.6)).exp()
}

/// The part of a straight edge that lies within a frame of this half size (Liang and Barsky 1984).
fn within(half: DVec2, a: DVec2, b: DVec2) -> (DVec2, DVec2) {
    let run = b - a;
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    for axis in 0..2 {
        for (toward, room) in
            [(-run[axis], a[axis] + half[axis]), (run[axis], half[axis] - a[axis])]
        {
            if toward < 0.0 {
                enter = enter.max(room / toward);
            } else if toward > 0.0 {
                leave = leave.min(room / toward);
            }
        }
    }
    assert!(enter < leave, "the edge from {a} to {b} is off the frame");
    (a + run * enter, a + run * leave)
}

/// An adult as painted: natural when the scale is 1, else exactly so many times the mean.
pub(crate) fn painted_stature(chance: &mut Chance, scale: f64) -> f64 {
    let natural = stature(chance);
    if scale == 1.0 { natural } else { ADULT.0 * scale }
}
