//! The handles of the horizon and the vanishing points, and those that are only assumed while the eye
//! is attended to.

use crate::canvas::hit::HANDLE;
use crate::canvas::ink::colour;
use crate::desk::Desk;
use crate::eye::eye_hit::{self, Spot};
use crate::modes::mode::Mode;
use crate::thing::Thing;
use egui::{Align2, Color32, FontId, Painter, Pos2, Shape, Stroke, Vec2, pos2};
use staffage_drawing::family_colour;
use staffage_scene::{Family, Segment, family_name};

const SHADE: Color32 = Color32::from_black_alpha(150);
/// Radius of the ring round a vanishing point, points.
const RING: f32 = 11.0;
/// Where along the horizon the grips near its ends are.
const ENDS: [f64; 2] = [0.08, 0.92];
/// Half the length of a grip on the horizon, points.
const GRIP: f32 = 9.0;

pub(crate) fn paint(desk: &Desk, painter: &Painter) {
    if !desk.remembered.ink {
        return;
    }
    assumed(desk, painter);
    let hovered = desk.hovered.filter(|_| desk.mode == Mode::Look);
    for thing in desk.selected().into_iter().chain(hovered.filter(|h| !desk.selection.has(*h))) {
        match thing {
            Thing::EyeLevel => horizon(desk, painter),
            Thing::VanishingPoint(family) => ring(desk, painter, family),
            Thing::Of(_) | Thing::Horizon => {}
        }
    }
}

/// A grip in the middle that lifts, and one near each end that turns.
fn horizon(desk: &Desk, painter: &Painter) {
    let Some(Segment(left, right)) = eye_hit::horizon(desk) else { return };
    let place = |share: f64| desk.view.to_screen(desk.canvas, left.lerp(right, share));
    let along = (place(1.0) - place(0.0)).normalized();
    edged(painter, place(0.0), place(1.0), 2.0);
    let (plumb, middle) = (along.rot90(), place(0.5));
    edged(painter, middle - GRIP * plumb, middle + GRIP * plumb, 1.5);
    for way in [1.0, -1.0] {
        head(painter, middle + way * (GRIP + 4.0) * plumb, way * plumb, Color32::WHITE);
    }
    for share in ENDS {
        painter.circle_stroke(place(share), HANDLE, Stroke::new(3.5, SHADE));
        painter.circle_stroke(place(share), HANDLE, Stroke::new(1.5, Color32::WHITE));
    }
}

fn ring(desk: &Desk, painter: &Painter, family: Family) {
    let found = eye_hit::vanishing_points(desk).find(|(of, _)| *of == family);
    let Some((_, spot)) = found else { return };
    let at = desk.view.to_screen(desk.canvas, spot.at());
    painter.circle_stroke(at, RING, Stroke::new(3.5, SHADE));
    painter.circle_stroke(at, RING, Stroke::new(1.5, Color32::WHITE));
}

/// Vanishing points that nothing was said of, faint and named.
fn assumed(desk: &Desk, painter: &Painter) {
    if !eye_hit::in_hand(desk) {
        return;
    }
    for (family, spot) in eye_hit::vanishing_points(desk) {
        let readings = &desk.assessment().eye.families;
        if readings.iter().any(|r| r.family == family && r.is_said(desk.scene())) {
            continue;
        }
        let ink = colour(family_colour(family)).gamma_multiply(0.8);
        let at = desk.view.to_screen(desk.canvas, spot.at());
        let inward = (desk.canvas.center() - at).normalized();
        match spot {
            Spot::Here(_) => dashed_ring(painter, at, ink),
            Spot::Outside(..) => head(painter, at, -inward, ink),
        }
        let name = format!("{}, assumed", family_name(desk.scene(), family));
        label(painter, at, inward, &name, ink);
    }
}

fn dashed_ring(painter: &Painter, at: Pos2, ink: Color32) {
    let turn = |k: u8| Vec2::angled(f32::from(k) * std::f32::consts::TAU / 24.0);
    let points: Vec<Pos2> = (0..=24).map(|k| at + 6.0 * turn(k)).collect();
    painter.extend(Shape::dashed_line(&points, Stroke::new(3.5, SHADE), 4.0, 3.0));
    painter.extend(Shape::dashed_line(&points, Stroke::new(1.5, ink), 4.0, 3.0));
}

/// Words on the inner side of a point.
fn label(painter: &Painter, at: Pos2, inward: Vec2, words: &str, ink: Color32) {
    let galley = painter.layout_no_wrap(words.to_owned(), FontId::proportional(12.0), ink);
    let half = galley.size() / 2.0;
    // As far in as the box of the words reaches, so that they lie beside the point.
    let middle = at + inward * 14.0 + inward * half;
    let rect = Align2::CENTER_CENTER.anchor_size(middle, galley.size() + Vec2::new(8.0, 4.0));
    painter.rect_filled(rect, 3, SHADE);
    painter.galley(pos2(rect.left() + 4.0, rect.top() + 2.0), galley, ink);
}

/// A light line with a dark edge.
fn edged(painter: &Painter, from: Pos2, to: Pos2, width: f32) {
    painter.line_segment([from, to], Stroke::new(width + 2.0, SHADE));
    painter.line_segment([from, to], Stroke::new(width, Color32::WHITE));
}

/// The head of an arrow whose tip is here.
fn head(painter: &Painter, tip: Pos2, towards: Vec2, ink: Color32) {
    let (back, side) = (tip - 8.0 * towards, 4.5 * towards.rot90());
    let corners = vec![tip, back + side, back - side];
    painter.add(Shape::convex_polygon(corners, ink, Stroke::new(1.0, SHADE)));
}
