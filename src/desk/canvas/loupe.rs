//! An enlarged patch of the painting under the pointer, while something is placed exactly. Nothing is
//! drawn over it but a cross-hair.

use crate::canvas::gesture::Gesture;
use crate::canvas::hit::Part;
use crate::canvas::view::View;
use crate::desk::Desk;
use crate::painting::Painted;
use crate::theme;
use egui::{Color32, Painter, Pos2, Rect, Stroke, StrokeKind, Vec2, vec2};

/// Side of the loupe, points.
const SIDE: f32 = 132.0;
/// From the pointer to the middle of the loupe, points.
const AWAY: f32 = 104.0;
/// How much larger things are in it.
const ENLARGED: f64 = 5.0;
/// Screen points to a painting's pixel at which the view itself is large enough.
const LARGE_ENOUGH: f64 = 2.0;

/// Shows the loupe while an end is dragged over a painting that is not enlarged already.
pub(crate) fn paint(desk: &mut Desk, painter: &Painter) {
    let pointer = painter.ctx().input(|i| i.pointer.latest_pos());
    let Some(at) = desk.crosshair_at().or(pointer) else { return };
    let width = f64::from(desk.scene().frame.working_width);
    let under = desk.view.to_picture(desk.canvas, at);
    let large = desk.view.points_per_unit_at(under) / width >= LARGE_ENOUGH;
    if !desk.remembered.loupe || !is_placing(&desk.gesture) || large {
        return;
    }
    let Painted::There(tiles) = &mut desk.painting else { return };
    let rect = Rect::from_center_size(middle(at, desk.canvas), Vec2::splat(SIDE));
    let points_per_unit = desk.view.points_per_unit_at(under) * ENLARGED;
    let view = View { centre: under, points_per_unit, ..desk.view };
    let inside = painter.with_clip_rect(rect);
    inside.rect_filled(rect, 0, theme::surround(true));
    tiles.paint(&inside, view, rect);
    cross_hair(&inside, rect);
    painter.rect_stroke(
        rect,
        3,
        Stroke::new(3.0, Color32::from_black_alpha(170)),
        StrokeKind::Outside,
    );
    painter.rect_stroke(rect, 3, Stroke::new(1.0, Color32::WHITE), StrokeKind::Inside);
}

fn is_placing(gesture: &Gesture) -> bool {
    match gesture {
        Gesture::Trace { .. }
        | Gesture::Raise { .. }
        | Gesture::Guide { .. }
        | Gesture::Tie { .. } => true,
        Gesture::Move { grip, .. } => grip.part != Part::Whole,
        Gesture::Idle
        | Gesture::Pan
        | Gesture::Band { .. }
        | Gesture::Turn
        | Gesture::Pull(_)
        | Gesture::Carry(_)
        | Gesture::SetIn { .. }
        | Gesture::Pose { .. }
        | Gesture::Lens { .. }
        | Gesture::Link { .. } => false,
    }
}

/// Over the pointer and to its left, or where there is room.
fn middle(at: Pos2, canvas: Rect) -> Pos2 {
    let left = at.x - AWAY - SIDE / 2.0 >= canvas.left();
    let over = at.y - AWAY - SIDE / 2.0 >= canvas.top();
    let toward = |back: bool| if back { -AWAY } else { AWAY };
    at + vec2(toward(left), toward(over))
}

/// Lines through the middle that leave the very point open.
fn cross_hair(painter: &Painter, rect: Rect) {
    let (middle, gap) = (rect.center(), 7.0);
    for direction in [vec2(1.0, 0.0), vec2(-1.0, 0.0), vec2(0.0, 1.0), vec2(0.0, -1.0)] {
        let ends = [middle + direction * gap, middle + direction * SIDE];
        painter.line_segment(ends, Stroke::new(2.5, Color32::from_black_alpha(110)));
        painter.line_segment(ends, Stroke::new(1.0, Color32::from_white_alpha(200)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::pos2;

    #[test]
    fn the_loupe_stays_on_the_canvas_and_off_the_pointer() {
        let canvas = Rect::from_min_max(pos2(0.0, 60.0), pos2(800.0, 600.0));
        for at in [pos2(10.0, 70.0), pos2(790.0, 590.0), pos2(400.0, 300.0), pos2(10.0, 590.0)] {
            let loupe = Rect::from_center_size(middle(at, canvas), Vec2::splat(SIDE));
            assert!(canvas.contains_rect(loupe), "{at} {loupe}");
            assert!(!loupe.contains(at), "{at} {loupe}");
        }
    }
}
