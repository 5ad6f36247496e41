//! The scene from the side.

use crate::act::Act;
use crate::desk::Desk;
use crate::ink::{self, Placing};
use crate::theme;
use crate::thing::Thing;
use egui::{CursorIcon, Pos2, Role, Sense, Ui, WidgetInfo};
use glam::DVec2;
use staffage_drawing::{Colour, Drawing, Ink, section};
use staffage_scene::{Scene, Subject};
use std::sync::Arc;

/// How near the pointer must come to what stands for a thing, points.
const REACH: f64 = 12.0;

/// A section and what it was made from.
pub(crate) struct Cut {
    scene: Arc<Scene>,
    size: DVec2,
    dark: bool,
    drawing: Drawing,
}

pub(crate) fn show(desk: &mut Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let rect = ui.available_rect_before_wrap();
    ui.advance_cursor_after_rect(rect);
    // The wall's edge is taken hold of from this side, too.
    let grip = ui.style().interaction.resize_grab_radius_side;
    let free = rect.with_max_x(rect.right() - grip);
    let response = ui.interact(free, egui::Id::unique("section canvas"), Sense::CLICK);
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "Section"));
    let size = DVec2::new(f64::from(rect.width()), f64::from(rect.height()));
    let dark = ui.visuals().dark_mode;
    redraw(desk, size, dark);
    let Some(Cut { drawing, .. }) = &desk.cut else { return };
    let painter = ui.painter().with_clip_rect(rect);
    painter.rect_filled(rect, 0, theme::slate(dark));
    ink::paint(&painter, drawing, Placing::Points(rect.min));
    let under = response.hover_pos().and_then(|at| thing_under(drawing, at, rect.min));
    if let Some(thing) = under {
        ui.set_cursor_icon(CursorIcon::PointingHand);
        desk.lit.extend(thing.subject());
        if response.clicked() {
            acts.push(Act::Select(Some(thing)));
        }
        if response.double_clicked() {
            acts.push(Act::Centre(thing));
        }
    }
}

/// Makes the section again if the scene, its size or the theme has changed.
fn redraw(desk: &mut Desk, size: DVec2, dark: bool) {
    let scene = desk.history.present();
    let same = |cut: &Cut| Arc::ptr_eq(&cut.scene, scene) && cut.size == size && cut.dark == dark;
    if !desk.cut.as_ref().is_some_and(same) {
        let mut drawing = section(scene, desk.assessment(), size);
        if !dark {
            // Marks are edged in dark and read on any ground.
            let others = drawing.groups.iter_mut().filter(|group| group.name != "mark");
            others.flat_map(|group| &mut group.ink).for_each(put_on_light);
        }
        desk.cut = Some(Cut { scene: Arc::clone(scene), size, dark, drawing });
    }
}

/// Changes ink that is meant for a dark ground into ink for a light one.
fn put_on_light(ink: &mut Ink) {
    match ink {
        Ink::Stroke { colour, .. } | Ink::Fill { colour, .. } => *colour = on_light(*colour),
        Ink::Disc { colour, outline, .. } => {
            *colour = on_light(*colour);
            *outline = outline.map(|(width, colour)| (width, on_light(colour)));
        }
        Ink::Words { colour, plate, .. } => {
            *colour = on_light(*colour);
            *plate = plate.map(on_light);
        }
    }
}

/// Greys change places, light for dark; hues keep what they mean and become deeper.
fn on_light(colour: Colour) -> Colour {
    let [r, g, b, opacity] = colour.0;
    let is_grey = r.max(g).max(b) - r.min(g).min(b) < 24;
    let change = |c: u8| if is_grey { 255 - c } else { (f32::from(c) * 0.72) as u8 };
    Colour([change(r), change(g), change(b), opacity])
}

/// The thing whose ink is nearest to a point of the screen, if any is near.
fn thing_under(drawing: &Drawing, at: Pos2, corner: Pos2) -> Option<Thing> {
    let at = DVec2::new(f64::from(at.x - corner.x), f64::from(at.y - corner.y));
    let near = |subject: Subject, ink: &Ink| (Thing::Of(subject), distance(ink, at));
    drawing
        .groups
        .iter()
        .filter_map(|group| Some((group.about?, &group.ink)))
        .flat_map(|(subject, ink)| ink.iter().map(move |i| near(subject, i)))
        .filter(|(_, distance)| *distance <= REACH)
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(thing, _)| thing)
}

fn distance(ink: &Ink, at: DVec2) -> f64 {
    match ink {
        Ink::Stroke { points, .. } => points
            .windows(2)
            .map(|ends| distance_to_segment(at, ends[0], ends[1]))
            .fold(f64::INFINITY, f64::min),
        Ink::Disc { centre, .. } => centre.distance(at),
        Ink::Words { at: place, offset, .. } => (*place + *offset).distance(at),
        Ink::Fill { points, .. } => {
            let sum: DVec2 = points.iter().copied().sum();
            (sum / points.len().max(1) as f64).distance(at)
        }
    }
}

fn distance_to_segment(p: DVec2, a: DVec2, b: DVec2) -> f64 {
    let along = b - a;
    let length_sq = along.length_squared();
    let t = if length_sq > 0.0 { ((p - a).dot(along) / length_sq).clamp(0.0, 1.0) } else { 0.0 };
    p.distance(a + along * t)
}

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_drawing::Group;
    use staffage_scene::MarkerId;

    #[test]
    fn the_nearest_ink_tells_which_thing_is_meant() {
        let stroke = |x: f64| Ink::Stroke {
            points: vec![DVec2::new(x, 0.0), DVec2::new(x, 50.0)],
            width: 1.0,
            colour: Colour([0, 0, 0, 255]),
            dash: None,
        };
        let group = |id, x| {
            let about = Some(Subject::Marker(MarkerId(id)));
            Group { name: "staff", about, ink: vec![stroke(x)] }
        };
        let drawing = Drawing { groups: vec![group(1, 20.0), group(2, 35.0)] };
        let under = |x| thing_under(&drawing, Pos2::new(x, 125.0), Pos2::new(0.0, 100.0));
        assert_eq!(under(24.0), Some(Thing::marker(MarkerId(1))));
        assert_eq!(under(33.0), Some(Thing::marker(MarkerId(2))));
        assert_eq!(under(80.0), None);
    }

    #[test]
    fn on_a_light_ground_white_ink_turns_dark_and_hues_stay_hues() {
        let white = Colour([255, 255, 255, 128]);
        assert_eq!(on_light(white), Colour([0, 0, 0, 128]));
        let Colour([r, g, b, _]) = on_light(Colour([213, 94, 0, 255]));
        assert!(r > g && g > b && r < 213);
    }
}
