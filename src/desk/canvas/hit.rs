//! What lies under the pointer.

use crate::canvas::view::View;
use crate::thing::Thing;
use egui::{Pos2, Rect};
use glam::DVec2;
use staffage_drawing::{Drawing, Ink};
use staffage_scene::{MarkerId, Scene, Segment, Subject};

/// Radius of a handle as it is painted, points.
pub(crate) const HANDLE: f32 = 5.0;
/// How near it must come to the handle of what is selected where a drag elsewhere draws something
/// new, points: hardly further than can be seen.
const DRAWING_REACH: f32 = HANDLE + 2.0;
/// How near the pointer must come to the handle of what is selected, points.
const OWN_HANDLE_REACH: f32 = 14.0;
/// How near it must come to any other handle, points.
const HANDLE_REACH: f32 = 9.0;
/// How near it must come to a line between two handles, points.
const LINE_REACH: f32 = 7.0;

/// A part of a thing that can be dragged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Part {
    /// All of it.
    Whole,
    /// Its foot, or the first end of a line.
    Foot,
    /// Its head, or the second end of a line.
    Head,
    /// The plumb point or the shadow of a floating marker; what stands on a guide.
    Tie,
}

/// What was taken hold of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Grip {
    /// The thing.
    pub(crate) thing: Thing,
    /// Which part of it.
    pub(crate) part: Part,
}

/// The picture as the pointer sees it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pointing<'a> {
    /// What is there.
    pub(crate) scene: &'a Scene,
    /// Where it is on the screen.
    pub(crate) view: View,
    /// The canvas on the screen.
    pub(crate) canvas: Rect,
    /// What alone is selected: its handles come first.
    pub(crate) selected: Option<Thing>,
    /// What is selected and was not drawn just now: its handles can be dragged where things are drawn.
    pub(crate) in_hand: Option<Thing>,
    /// What was last drawn over it: a guide is taken hold of by its ink.
    pub(crate) ink: Option<&'a Drawing>,
}

impl Pointing<'_> {
    /// What lies under the pointer: a handle of the selected thing, else the nearest handle, else
    /// the nearest line.
    #[must_use]
    pub(crate) fn grip(&self, pointer: Pos2) -> Option<Grip> {
        let handles = |thing| self.handles(thing, pointer);
        self.own_handle(self.selected, pointer, OWN_HANDLE_REACH)
            .or_else(|| near(self.things().flat_map(handles), HANDLE_REACH))
            .or_else(|| near(self.things().filter_map(|t| self.whole(t, pointer)), LINE_REACH))
    }

    /// The handle of the thing in hand that the pointer is on, where lines and markers are drawn.
    #[must_use]
    pub(crate) fn handle_while_drawing(&self, pointer: Pos2) -> Option<Grip> {
        self.own_handle(self.in_hand, pointer, DRAWING_REACH)
    }

    fn own_handle(&self, of: Option<Thing>, pointer: Pos2, reach: f32) -> Option<Grip> {
        near(of.into_iter().flat_map(|thing| self.handles(thing, pointer)), reach)
    }

    /// The marker under the pointer, anywhere on it.
    #[must_use]
    pub(crate) fn marker(&self, pointer: Pos2) -> Option<MarkerId> {
        let distance = |id: MarkerId| self.whole(Thing::marker(id), pointer).map(|(_, d)| (id, d));
        let near = self.scene.markers.iter().filter_map(|m| distance(m.id));
        near.filter(|(_, d)| *d <= OWN_HANDLE_REACH)
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(id, _)| id)
    }

    fn things(&self) -> impl Iterator<Item = Thing> {
        let markers = self.scene.markers.iter().map(|m| Thing::marker(m.id));
        let lines = self.scene.lines.iter().map(|l| Thing::line(l.id));
        let horizon = self.scene.horizon.iter().map(|_| Thing::Horizon);
        let overlaps = self.scene.overlaps.iter().map(|o| Thing::Of(Subject::Overlap(o.id)));
        let guides = self.scene.guides.iter().map(|g| Thing::guide(g.id));
        markers.chain(lines).chain(horizon).chain(overlaps).chain(guides)
    }

    fn handles(&self, thing: Thing, pointer: Pos2) -> impl Iterator<Item = (Grip, f32)> {
        let has_any = !matches!(thing, Thing::Of(Subject::Overlap(_)));
        let ends = segment(self.scene, thing).filter(|_| has_any);
        let tie = tie(self.scene, thing).filter(|_| ends.is_some());
        let parts = [
            ends.map(|Segment(_, head)| (Part::Head, head)),
            ends.map(|Segment(foot, _)| (Part::Foot, foot)),
            tie.map(|at| (Part::Tie, at)),
        ];
        let distance = move |at| self.view.to_screen(self.canvas, at).distance(pointer);
        // Behind the eye as which the picture is seen, nothing can be taken hold of.
        let faces = move |(_, at): &(Part, DVec2)| self.view.faces(self.canvas, *at);
        let parts = parts.into_iter().flatten().filter(faces);
        parts.map(move |(part, at)| (Grip { thing, part }, distance(at)))
    }

    fn whole(&self, thing: Thing, pointer: Pos2) -> Option<(Grip, f32)> {
        if let Thing::Of(subject @ Subject::Guide(_)) = thing {
            let distance = self.distance_to_ink(subject, pointer)?;
            return Some((Grip { thing, part: Part::Whole }, distance));
        }
        let Segment(a, b) = segment(self.scene, thing)?;
        let [a, b] = self.view.segment(self.canvas, a, b)?;
        let distance = distance_to_segment(pointer, a, b);
        Some((Grip { thing, part: Part::Whole }, distance))
    }
}

impl Pointing<'_> {
    /// How far the pointer is from the lines that show a thing, points.
    fn distance_to_ink(&self, subject: Subject, pointer: Pos2) -> Option<f32> {
        let groups = self.ink?.groups.iter();
        let ink = groups.filter(|g| g.about == Some(subject)).flat_map(|group| &group.ink);
        let strokes = ink.filter_map(|ink| match ink {
            Ink::Stroke { points, .. } => Some(points),
            _ => None,
        });
        let place = |at| self.view.to_screen(self.canvas, at);
        let distances = strokes
            .flat_map(|points| points.windows(2))
            .map(|pair| distance_to_segment(pointer, place(pair[0]), place(pair[1])));
        distances.min_by(f32::total_cmp)
    }
}

/// The picture positions a thing stretches between; `None` when it has none.
#[must_use]
pub(crate) fn segment(scene: &Scene, thing: Thing) -> Option<Segment> {
    match thing {
        Thing::Horizon => scene.horizon,
        Thing::Of(Subject::Line(id)) => scene.line(id).map(|l| l.segment),
        Thing::Of(Subject::Marker(id)) => scene.marker(id).map(|m| Segment(m.foot, m.head)),
        Thing::Of(Subject::Overlap(id)) => {
            let overlap = scene.overlap(id)?;
            let middle = |id| scene.marker(id).map(|m| (m.foot + m.head) / 2.0);
            Some(Segment(middle(overlap.front)?, middle(overlap.behind)?))
        }
        Thing::Of(Subject::Guide(id)) => {
            let [from, to, _] = scene.guide(id)?.shape.handles();
            Some(Segment(from?, to.or(from)?))
        }
        Thing::Of(Subject::StandIn(id)) => {
            scene.stand_in(id).map(|s| Segment(s.foot, s.arranged.to().unwrap_or(s.foot)))
        }
        Thing::Of(Subject::Level(_)) | Thing::EyeLevel | Thing::VanishingPoint(_) => None,
    }
}

/// Where a part of a thing lies in the picture.
#[must_use]
pub(crate) fn position(scene: &Scene, grip: Grip) -> Option<DVec2> {
    let Segment(foot, head) = segment(scene, grip.thing)?;
    match grip.part {
        Part::Head => Some(head),
        Part::Foot | Part::Whole => Some(foot),
        Part::Tie => tie(scene, grip.thing),
    }
}

fn tie(scene: &Scene, thing: Thing) -> Option<DVec2> {
    match thing {
        Thing::Of(Subject::Marker(id)) => scene.marker(id)?.stands.tie(),
        Thing::Of(Subject::Guide(id)) => scene.guide(id)?.shape.handles()[2],
        _ => None,
    }
}

/// The nearest within reach.
fn near(grips: impl Iterator<Item = (Grip, f32)>, reach: f32) -> Option<Grip> {
    let within = grips.filter(|(_, distance)| *distance <= reach);
    within.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(grip, _)| grip)
}

fn distance_to_segment(p: Pos2, a: Pos2, b: Pos2) -> f32 {
    let along = b - a;
    let length_sq = along.length_sq();
    let t = if length_sq > 0.0 { ((p - a).dot(along) / length_sq).clamp(0.0, 1.0) } else { 0.0 };
    p.distance(a + along * t)
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::{pos2, vec2};
    use staffage_scene::Stands;
    use staffage_scene::{Family, Line, LineId, Marker, Span};

    const CANVAS: Rect = Rect { min: Pos2::ZERO, max: pos2(1000.0, 600.0) };

    fn scene() -> Scene {
        Scene {
            lines: vec![Line {
                id: LineId(1),
                family: Family::Upright,
                segment: Segment(DVec2::new(-0.2, 0.1), DVec2::new(-0.2, -0.1)),
            }],
            markers: vec![Marker {
                id: MarkerId(1),
                name: "Foreman".into(),
                foot: DVec2::new(0.1, 0.1),
                head: DVec2::new(0.1, 0.0),
                span: Span::Upright,
                stands: Stands::Unsaid,
                statements: vec![],
            }],
            ..Scene::default()
        }
    }

    fn grip_at(scene: &Scene, at: DVec2, off: egui::Vec2, selected: Option<Thing>) -> Option<Grip> {
        let view = View::plain(DVec2::ZERO, 1000.0);
        let pointing =
            Pointing { scene, view, canvas: CANVAS, selected, in_hand: selected, ink: None };
        pointing.grip(view.to_screen(CANVAS, at) + off)
    }

    #[test]
    fn an_end_is_taken_before_the_line_it_ends() {
        let head = DVec2::new(0.1, 0.0);
        let grip = grip_at(&scene(), head, vec2(3.0, 4.0), None);
        assert_eq!(grip, Some(Grip { thing: Thing::marker(MarkerId(1)), part: Part::Head }));
    }

    #[test]
    fn the_middle_of_a_line_takes_the_whole_line() {
        let grip = grip_at(&scene(), DVec2::new(-0.2, 0.0), vec2(5.0, 0.0), None);
        assert_eq!(grip, Some(Grip { thing: Thing::line(LineId(1)), part: Part::Whole }));
    }

    #[test]
    fn nothing_is_taken_far_from_everything() {
        assert_eq!(grip_at(&scene(), DVec2::new(0.4, -0.2), vec2(0.0, 0.0), None), None);
    }

    #[test]
    fn handles_of_the_selected_thing_reach_further() {
        let (foot, off) = (DVec2::new(0.1, 0.1), vec2(0.0, 12.0));
        assert_eq!(grip_at(&scene(), foot, off, None), None);
        let grip = grip_at(&scene(), foot, off, Some(Thing::marker(MarkerId(1))));
        assert_eq!(grip.map(|g| g.part), Some(Part::Foot));
    }

    #[test]
    fn while_drawing_only_a_press_on_the_handle_itself_takes_it() {
        let (scene, head) = (scene(), DVec2::new(0.1, 0.0));
        let view = View::plain(DVec2::ZERO, 1000.0);
        let selected = Some(Thing::marker(MarkerId(1)));
        let part = |selected, off| {
            let scene = &scene;
            let pointing =
                Pointing { scene, view, canvas: CANVAS, selected, in_hand: selected, ink: None };
            let at = view.to_screen(CANVAS, head) + off;
            pointing.handle_while_drawing(at).map(|g| g.part)
        };
        assert_eq!(part(selected, vec2(4.0, 4.0)), Some(Part::Head));
        assert_eq!(part(selected, vec2(12.0, 0.0)), None);
        assert_eq!(part(None, vec2(0.0, 0.0)), None);
    }

    #[test]
    fn a_floating_marker_can_be_held_by_its_plumb_point() {
        let mut scene = scene();
        let plumb = DVec2::new(0.1, 0.25);
        scene.markers[0].stands = Stands::Over { level: scene.levels[0].id, plumb };
        let grip = grip_at(&scene, plumb, vec2(0.0, 0.0), None);
        assert_eq!(grip.map(|g| g.part), Some(Part::Tie));
    }
}
