//! The scene from above, as an architect would draw it.

mod ground;
mod lie;
mod paper;
mod seen;

use crate::bounds::Bounds;
use crate::crowd::Crowd;
use crate::ghosts;
use crate::label::{Label, place_labels};
use crate::mark::{MARK_RADIUS, mark};
use crate::palette::{DARK, WHITE, standing_colour};
use crate::pen::Pen;
use crate::section::{
    Named, Place, arrow, eye_label, eye_symbol, handle, label_things, tick, words_on_top,
};
use crate::shown::{Item, Shown};
use crate::{Attention, Axis, Colour, Drawing, Emphasis, View};
use glam::DVec2;
pub use ground::Ground;
use lie::Lie;
use staffage_scene::{Assessment, Scene, Subject, Unit, bearing};

/// Smallest paper that a plan is drawn on, points.
const SMALLEST: DVec2 = DVec2::new(120.0, 60.0);

/// Room that is kept free around what is fitted to the paper, points: left and top, right and bottom.
const MARGINS: (DVec2, DVec2) = (DVec2::new(26.0, 24.0), DVec2::new(70.0, 24.0));

/// The scene from above.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Plan {
    /// The ink, points: origin at the upper left corner, x right, y down.
    pub drawing: Drawing,
    /// Where the ground lies; none where nothing has a distance or there is no room.
    pub ground: Option<Ground>,
    /// What it measures in.
    pub unit: Option<Unit>,
    /// Where each stand-in and each marker is, points.
    pub places: Vec<Place>,
}

/// A marker with its bearing from the eye.
struct Standing<'a> {
    item: &'a Item<'a>,
    bearing: f64,
}

/// The scene from above, `size` points wide and high.
///
/// The eye looks to the right; bearings are true. Distances run along `axis`: as on a map, or as their
/// logarithms, with a ring for round ones. `ground` says what is shown; all there is if it says nothing.
/// What the frame sees is outlined on the level of what is selected, else on the one that carries most. Only
/// what is measured in one unit is drawn, as in [`section`](crate::section()). Empty when there is no
/// room.
#[must_use]
pub fn plan(
    scene: &Scene,
    assessment: &Assessment,
    emphasis: &Emphasis,
    axis: Axis,
    ground: Option<Ground>,
    size: DVec2,
) -> Plan {
    let mut plan = Plan::default();
    let view = View::of_part(DVec2::ZERO, size, 1.0);
    let Some(mut pen) = Pen::of_view(&view).filter(|_| size.cmpge(SMALLEST).all()) else {
        return plan;
    };
    let shown = Shown::of(scene, assessment, None);
    let standing: Vec<_> = shown
        .items
        .iter()
        .filter_map(|item| Some(Standing { item, bearing: bearing(assessment, item.marker)? }))
        .collect();
    words_on_top(&mut pen, &shown.left_out.join("; "), shown.is_empty(), size);
    plan.drawing.push("left-out", None, pen.take());
    let ghosts = shown.ghosts.iter().map(|ghost| (ghost.distance, ghost.bearing));
    let markers = standing.iter().map(|s| (s.item.distance.value, s.bearing));
    let places: Vec<_> = markers.chain(ghosts).collect();
    let custom = ground.filter(|ground| ground.axis == axis && ground.is_sound());
    let mut reached = places.clone();
    reached.extend(ghosts::reach(scene, assessment, shown.unit));
    let ground = custom.or_else(|| Ground::fitted(axis, &reached, MARGINS, size));
    let Some(ground) = ground.filter(|_| !places.is_empty()) else { return plan };
    (plan.ground, plan.unit) = (Some(ground), Some(shown.unit));

    let drawing = &mut plan.drawing;
    let farthest = places.iter().map(|(distance, _)| *distance).fold(0.0, f64::max);
    paper::rings(&mut pen, &ground, shown.scale, 10.0 * farthest, size);
    drawing.push("axes", None, pen.take());
    let mut labels = seen::frame(&mut pen, &ground, scene, assessment, &shown, emphasis, size);
    drawing.push("field-of-view", None, pen.take());
    paper::headings(&mut pen, scene, assessment, size);
    drawing.push("headings", None, pen.take());
    paper::scale_bar(&mut pen, &ground, shown.scale, size);
    drawing.push("scale-bar", None, pen.take());
    eye_symbol(&mut pen, ground.eye);
    labels.push(eye_label(ground.eye, "eye".into()));
    drawing.push("eye", None, pen.take());

    let said = (scene, assessment);
    let ghosts = ghosts::from_above(said, emphasis, (&ground, shown.unit, size), &mut pen, drawing);
    let on_ghosts = ghosts.iter().map(|(place, _)| *place).collect();
    let lie = Lie { assessment, ground: &ground };
    let mut crowd = Crowd::new(size);
    let mut named: Vec<_> = ghosts.into_iter().map(|(_, named)| named).collect();
    let mut sheet = Sheet { pen, ground, size, emphasis, labels, places: on_ghosts };
    for standing in standing.iter().rev() {
        let about = Some(standing.item.about());
        sheet.marker(standing, &lie, &mut crowd);
        drawing.push("marker", about, sheet.pen.take());
        named.push(Named::marker(standing.item, emphasis, sheet.mark(standing)));
        drawing.push("mark", about, sheet.pen.take());
    }
    let Sheet { mut pen, mut labels, places, .. } = sheet;
    plan.places = places;
    label_things(named, &mut labels, &mut crowd);
    place_labels(labels, &view, &mut crowd, &mut pen, &mut plan.drawing);
    plan
}

/// A plan in the making.
struct Sheet<'a> {
    pen: Pen,
    ground: Ground,
    size: DVec2,
    emphasis: &'a Emphasis,
    labels: Vec<Label>,
    places: Vec<Place>,
}

impl Sheet<'_> {
    /// A marker's interval along its sight line and its width to scale.
    fn marker(&mut self, standing: &Standing<'_>, lie: &Lie<'_>, crowd: &mut Crowd) {
        let (item, about) = (standing.item, standing.item.about());
        let colour = standing_colour(item.standing, item.intended);
        let at = self.ground.point(item.distance.value, standing.bearing);
        let attention = self.emphasis.on(about);
        // Of many that are selected sight lines would hide everything.
        if self.emphasis.naming(about) >= Attention::Hovered {
            self.pen.line(self.ground.eye, at, 1.0, WHITE.faded(0.8));
        }
        self.interval(standing, colour);
        let width = lie.of(item.marker, item.distance.value, standing.bearing, item.size);
        if let Some(outline) = &width {
            if attention > Attention::Plain {
                self.pen.polyline(outline.clone(), 8.0, WHITE.faded(0.7), None);
            }
            self.pen.polyline(outline.clone(), 6.0, DARK.faded(0.7), None);
            self.pen.polyline(outline.clone(), 3.5, colour, None);
        }
        if attention == Attention::Selected {
            handle(&mut self.pen, at);
        }
        crowd.take(Bounds::around(at, DVec2::splat(5.0)));
        let head = width.and_then(|outline| outline.last().copied());
        let head = head.filter(|head| head.is_finite()).unwrap_or(at);
        self.places.push(Place::straight(about, at, head));
    }

    fn interval(&mut self, standing: &Standing<'_>, colour: Colour) {
        let (measure, towards) = (standing.item.distance, DVec2::from_angle(standing.bearing));
        let page = Bounds { min: DVec2::splat(4.0), max: self.size - 4.0 };
        let ends = [measure.low, measure.high].map(|d| self.ground.point(d, standing.bearing));
        let Some((low, high)) = page.clip_segment(ends[0], ends[1]) else { return };
        self.pen.edged_line(low, high, 1.0, colour.faded(0.9));
        if low == ends[0] {
            tick(&mut self.pen, low, towards.perp(), colour);
        }
        if high == ends[1] && measure.high.is_finite() {
            tick(&mut self.pen, high, towards.perp(), colour);
        } else {
            arrow(&mut self.pen, high, towards, colour);
        }
    }

    /// The standing's mark where the marker stands; where that is.
    fn mark(&mut self, standing: &Standing<'_>) -> DVec2 {
        let item = standing.item;
        let at = self.ground.point(item.distance.value, standing.bearing);
        if self.emphasis.on(item.about()) == Attention::Hovered {
            self.pen.disc(at, MARK_RADIUS + 2.0, WHITE.faded(0.6), None);
        }
        mark(&mut self.pen, item.standing, item.intended, at, 0.8);
        at
    }
}

/// The level of what is selected, else the one that carries most: its id and its height over the eye.
fn chosen_level(
    scene: &Scene,
    shown: &Shown<'_>,
    emphasis: &Emphasis,
) -> Option<(staffage_scene::LevelId, f64)> {
    let of = |subject: &Subject| match *subject {
        Subject::Level(id) => Some(id),
        Subject::Marker(id) => scene.marker(id)?.stands.level(),
        Subject::StandIn(id) => scene.stand_in(id).map(|s| s.level),
        Subject::Guide(id) => scene.guide(id)?.shape.level(),
        Subject::Line(_) | Subject::Overlap(_) => None,
    };
    let chosen = emphasis.selected.iter().find_map(of);
    let level = shown.levels.iter().find(|level| Some(level.id) == chosen);
    let level = level.or_else(|| shown.levels.iter().find(|level| level.height == 0.0))?;
    Some((level.id, level.height - shown.eye_height))
}

#[cfg(test)]
mod tests;
