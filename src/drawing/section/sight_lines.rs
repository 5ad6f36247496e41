//! Sight lines from the side: straight where both axes are even, curved where they are not.

use super::Sheet;
use crate::Axis;
use crate::palette::WHITE;
use crate::shown::Item;
use glam::DVec2;
use staffage_scene::{Frame, Span};
use staffage_solver::Eye;

/// Into how many pieces a curved one is cut.
const PIECES: u32 = 24;

/// The lowest and the highest sight line of the frame's middle.
pub(super) fn frame(sheet: &mut Sheet<'_>, eye: Eye, frame: Frame) {
    for v in [-1.0, 1.0].map(|side| side * frame.half_height()) {
        let ray = eye.ray(DVec2::new(0.0, v));
        let run = ray.x.hypot(ray.z);
        // Looking over the top of the head it sees what is behind.
        if ray.z < 0.0 && run > 1e-3 {
            let far = sheet.paper.distances().1;
            let colour = WHITE.faded(0.35);
            line(sheet, ray.y / run, far, |sheet, points| {
                sheet.pen.polyline(points, 1.0, colour, Some((2.0, 4.0)));
            });
        }
    }
}

/// The sight lines to the foot and the head of a marker.
pub(super) fn to_marker(sheet: &mut Sheet<'_>, item: &Item<'_>) {
    let distance = item.distance.value;
    let height = item.size.filter(|_| item.marker.span == Span::Upright);
    for end in [Some(item.foot), height.map(|height| item.foot + height)].into_iter().flatten() {
        let rise = (end - sheet.paper.eye_height()) / distance;
        line(sheet, rise, distance, |sheet, points| {
            sheet.pen.polyline(points, 1.0, WHITE.faded(0.8), None);
        });
    }
}

/// A sight line from the eye to a distance, as far as it is on the paper.
fn line(
    sheet: &mut Sheet<'_>,
    rise: f64,
    distance: f64,
    put: impl FnOnce(&mut Sheet<'_>, Vec<DVec2>),
) {
    let paper = sheet.paper;
    let (near, far) = paper.distances();
    let far = distance.min(far);
    let (low, high) = paper.heights();
    let pieces = if paper.axis() == Axis::Linear { 60 } else { PIECES };
    let points: Vec<_> = (0..=pieces)
        .map(|i| {
            let part = f64::from(i) / f64::from(pieces);
            match paper.axis() {
                Axis::Logarithmic => near * (far / near).powf(part),
                Axis::Linear => near + part * (far - near),
            }
        })
        .map(|d| (d, paper.eye_height() + rise * d))
        .take_while(|(_, height)| (low..=high).contains(height))
        .map(|(d, height)| DVec2::new(paper.x(d), paper.y(height)))
        .collect();
    if points.len() > 1 {
        put(sheet, points);
    }
}
