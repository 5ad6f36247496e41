//! Stand-ins: ghosts of true size over the painting.

mod figure;
pub use figure::figure_parts;
mod solid;

use crate::bounds::Bounds;
use crate::crowd::Crowd;
use crate::label::{Label, Rank, place_labels};
use crate::mark::{MARK_RADIUS, mark};
use crate::palette::{BLUE, CLEAR, DARK, GHOST, WHITE};
use crate::pen::Pen;
use crate::stage::Stage;
use crate::{Attention, Colour, Drawing, View, words};
use glam::{DVec2, DVec3};
use staffage_scene::{
    Assessment, Placed, Placement, Scene, Shape, StandIn, Standing, Subject, Units, Unplaced,
    place_stand_in, reach_words,
};
use staffage_solver::{Eye, seen_segment};

/// Inside of a ghost.
const BODY: Colour = BLUE;

/// What a ghost is drawn with.
struct Ghost<'a> {
    pen: &'a mut Pen,
    eye: &'a Eye,
    /// Selected, pointed at, or about to be set in.
    bold: bool,
}

/// Every stand-in, the far ones undermost, the attended ones on top.
pub(crate) fn stand_ins(
    pen: &mut Pen,
    stage: &Stage<'_>,
    drawing: &mut Drawing,
    labels: &mut Vec<Label>,
) {
    let place = |stand_in| place_stand_in(stage.scene, stage.assessment, stand_in);
    let mut order: Vec<_> = stage.scene.stand_ins.iter().map(|s| (s, place(s))).collect();
    let key = |stand_in: &StandIn, placed: &Result<Placement, Unplaced>| {
        let far = placed.as_ref().map_or(0.0, farthest);
        (stage.emphasis.on(Subject::StandIn(stand_in.id)), far)
    };
    order.sort_by(|(a, at), (b, bt)| {
        let ((a, far_a), (b, far_b)) = (key(a, at), key(b, bt));
        a.cmp(&b).then(far_b.total_cmp(&far_a))
    });
    for (stand_in, placed) in &order {
        let about = Subject::StandIn(stand_in.id);
        let attention = stage.emphasis.on(about);
        let attention = (attention, stage.emphasis.naming(about));
        draw_stand_in(pen, (stage.assessment, stage.view), stand_in, placed, attention, labels);
        drawing.push("stand-in", Some(about), pen.take());
    }
}

/// A stand-in that is not in the scene (yet), with its size and distance beside it, in picture units and
/// cut to the view. Empty when the view is empty or not finite.
#[must_use]
pub fn ghost(scene: &Scene, assessment: &Assessment, stand_in: &StandIn, view: &View) -> Drawing {
    let mut drawing = Drawing::default();
    let Some(mut pen) = Pen::of_view(view) else { return drawing };
    let placed = place_stand_in(scene, assessment, stand_in);
    let mut labels = Vec::new();
    let attention = (Attention::Hovered, Attention::Hovered);
    draw_stand_in(&mut pen, (assessment, view), stand_in, &placed, attention, &mut labels);
    drawing.push("stand-in", None, pen.take());
    place_labels(labels, view, &mut Crowd::new(view.size()), &mut pen, &mut drawing);
    drawing
}

fn farthest(placement: &Placement) -> f64 {
    placement.each.iter().map(Placed::distance).fold(0.0, f64::max)
}

fn draw_stand_in(
    pen: &mut Pen,
    (assessment, view): (&Assessment, &View),
    stand_in: &StandIn,
    placed: &Result<Placement, Unplaced>,
    (attention, naming): (Attention, Attention),
    labels: &mut Vec<Label>,
) {
    let (bold, eye) = (attention > Attention::Plain, &assessment.eye.eye);
    let (at, lines) = match placed {
        Ok(placement) => {
            let ghost = &mut Ghost { pen, eye, bold };
            ghost.patch(&placement.patch);
            ghost.tie(stand_in, placement);
            ghost.each(placement);
            let Some(at) = place_of_name(view, eye, placement) else { return };
            (at, caption(assessment.units, stand_in, placement))
        }
        Err(why) => {
            let standing = match why {
                Unplaced::NoScale | Unplaced::NoLevel => Standing::Open,
                _ => Standing::Impossible,
            };
            mark(pen, standing, false, stand_in.foot, 1.0);
            (stand_in.foot, format!("{}: {why}", words::name(&stand_in.name)))
        }
    };
    let rank = match naming {
        Attention::Selected => Rank::Selected,
        Attention::Hovered => Rank::Hovered,
        _ if placed.is_err() => Rank::Involved,
        Attention::Involved => Rank::Involved,
        Attention::Plain => Rank::Ordinary,
    };
    labels.push(Label {
        at,
        clearance: MARK_RADIUS,
        lines: vec![(lines, WHITE)],
        rank,
        about: Some(Subject::StandIn(stand_in.id)),
        sides: Label::AROUND,
    });
}

/// Where a stand-in is named: at the head of the nearest one whose head is seen; where none is, at the end of what is
/// seen of its upright middle, else in the middle of the longest edge that is seen.
fn place_of_name(view: &View, eye: &Eye, placement: &Placement) -> Option<DVec2> {
    let room = Bounds { min: DVec2::ZERO, max: view.size() }.grown(-MARK_RADIUS);
    let inside =
        |at: DVec2| view.in_picture(view.on_page(at).clamp(room.min, room.max.max(room.min)));
    let seen = |ends: [DVec3; 2]| {
        let [a, b] = seen_segment(eye, ends)?;
        view.clip(a, b)
    };
    let each = nearest_first(placement);
    let heads = each.iter().filter_map(|one| eye.project(one.head()));
    let head = heads.clone().find(|head| room.contains(view.on_page(*head)));
    let middle = || each.iter().find_map(|one| seen([one.foot, one.head()])).map(|(_, end)| end);
    let edge = || {
        let edges = each.first()?.edges().into_iter().filter_map(seen);
        let length = |(a, b): &(DVec2, DVec2)| a.distance_squared(*b);
        edges.max_by(|a, b| length(a).total_cmp(&length(b))).map(|(a, b)| a.midpoint(b))
    };
    head.or_else(|| middle().or_else(edge).map(inside))
}

fn nearest_first(placement: &Placement) -> Vec<&Placed> {
    let mut each: Vec<&Placed> = placement.each.iter().collect();
    each.sort_by(|a, b| a.distance().total_cmp(&b.distance()));
    each
}

/// `"hull, 12.0 m × 96.0 m × 9.00 m, from 292 m to 388 m off"`, `"people, 143 of 200 fit, from 12.0 m to 40.0 m off"`.
fn caption(units: Units, stand_in: &StandIn, placement: &Placement) -> String {
    let name = words::name(&stand_in.name);
    let reach = reach_words(units, placement.reach());
    let (wanted, count) = (stand_in.arranged.count() as usize, placement.each.len());
    if wanted == 1 {
        let sizes = stand_in.shape.sizes().into_iter().map(|(_, size)| units.metres(size));
        let sizes = sizes.collect::<Vec<_>>().join(" × ");
        return format!("{name}, {sizes}, {reach}");
    }
    let many = match count < wanted {
        true => format!("{count} of {wanted} fit"),
        false => format!("{count} of them"),
    };
    format!("{name}, {many}, {reach}")
}

impl Ghost<'_> {
    /// All of them, the far ones first.
    fn each(&mut self, placement: &Placement) {
        for one in nearest_first(placement).into_iter().rev() {
            match one.shape {
                Shape::Figure { height } => self.figure(one, height),
                Shape::Panel { .. } | Shape::Box { .. } | Shape::Ramp { .. } => self.solid(one),
                Shape::Cylinder { diameter, height } => self.cylinder(one, 0.5 * diameter, height),
            }
        }
        if let [one] = placement.each[..]
            && self.bold
        {
            self.steps(&one);
        }
    }

    /// The edge of the ground that a crowd is spread over.
    fn patch(&mut self, corners: &[DVec3]) {
        if !self.bold || corners.is_empty() {
            return;
        }
        for (i, &a) in corners.iter().enumerate() {
            if let Some([a, b]) = seen_segment(self.eye, [a, corners[(i + 1) % corners.len()]]) {
                self.pen.line(a, b, 2.5, DARK.faded(0.4));
                self.pen.dashes(a, b, 1.25, GHOST, (5.0, 4.0));
            }
        }
    }

    /// From what is lifted plumb down (or up) to the level.
    fn tie(&mut self, stand_in: &StandIn, placement: &Placement) {
        if stand_in.lift == 0.0 {
            return;
        }
        let Some(first) = placement.each.first() else { return };
        let ground = first.foot - stand_in.lift * DVec3::Y;
        if let Some([a, b]) = seen_segment(self.eye, [ground, first.foot]) {
            self.pen.line(a, b, 3.0, DARK.faded(0.45));
            self.pen.dashes(a, b, 1.5, GHOST, (1.5, 4.0));
            self.pen.disc(a, 3.5, CLEAR, Some((1.5, GHOST)));
        }
    }

    /// Ticks at equal heights beside the middle of its footprint: the faint steps of a staff.
    fn steps(&mut self, one: &Placed) {
        let height = one.shape.height();
        let Some([foot, head]) = seen_segment(self.eye, [one.foot, one.head()]) else { return };
        let points = self.pen.points(foot.distance(head));
        let side = (head - foot).try_normalize().unwrap_or(-DVec2::Y).perp();
        let least = height * LEAST_STEP / points;
        let Some(step) = STEPS.into_iter().find(|step| *step >= least && *step < height) else {
            return;
        };
        let many = (height / step).floor().min(200.0) as u32;
        for i in 1..=many {
            let at = one.foot + f64::from(i) * step * DVec3::Y;
            let Some(at) = self.eye.project(at) else { continue };
            let reach = side * self.pen.units(if i % 2 == 0 { 5.0 } else { 3.0 });
            self.pen.edged_line(at - reach, at + reach, 1.0, WHITE.faded(0.7));
        }
    }
}

/// Least distance between two ticks, points.
const LEAST_STEP: f64 = 7.0;
/// Distances between ticks that can be counted, metres.
const STEPS: [f64; 9] = [0.1, 0.5, 1.0, 5.0, 10.0, 50.0, 100.0, 500.0, 1000.0];

#[cfg(test)]
mod tests;
