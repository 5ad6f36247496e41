//! What is on the paper of a plan before anything stands there: rings, scale, headings.

use super::Ground;
use crate::graduation::{Scale, spaced};
use crate::palette::{WHITE, family_colour};
use crate::pen::Pen;
use crate::section::number;
use crate::{Anchor, Axis, words};
use glam::DVec2;
use staffage_scene::{Assessment, Family, Scene, Unit};

/// Least room between two rings, points.
const ROOM: f64 = 44.0;

/// Points between the corners of a ring as it is drawn.
const PIECE: f64 = 14.0;

/// Length of the bar of a scale, at most, points.
const BAR: f64 = 140.0;

/// Length of each arm of the rose of headings, points.
const ARM: f64 = 17.0;

/// Rings of equal distance about the eye, none farther than said, with their numbers along the way
/// straight ahead.
pub(super) fn rings(pen: &mut Pen, ground: &Ground, scale: Scale, farthest: f64, size: DVec2) {
    let corners = [DVec2::ZERO, DVec2::new(size.x, 0.0), DVec2::new(0.0, size.y), size];
    let reach = corners.map(|corner| corner.distance(ground.eye)).into_iter().fold(0.0, f64::max);
    let near = ground.eye.distance(ground.eye.clamp(DVec2::ZERO, size));
    let reach = reach.min(ground.radius(farthest));
    let at = |radius: f64| ground.place(ground.eye + DVec2::new(radius, 0.0)).0;
    let values = match ground.axis {
        Axis::Logarithmic => {
            let (low, high) = (at(near.max(12.0)), at(reach));
            if high > 8.0 * low {
                scale.round_values(low, high)
            } else {
                scale.even_values(low, high, (reach - near) / ROOM)
            }
        }
        Axis::Linear => scale.even_values(at(near), at(reach), (reach - near) / ROOM),
    };
    let row = (ground.eye.y).clamp(18.0, size.y - 18.0);
    for (radius, value) in spaced(values, ROOM, |value| ground.radius(value)) {
        if radius < 8.0 {
            continue;
        }
        ring(pen, ground.eye, radius, size);
        let ahead = (radius * radius - (row - ground.eye.y).powi(2)).max(0.0).sqrt();
        let at = DVec2::new(ground.eye.x + ahead, row + 9.0);
        number(pen, at + DVec2::new(-3.0, 0.0), Anchor::Right, &scale.round(value));
    }
    if let Unit::EyeHeights(_) = scale.unit {
        number(pen, DVec2::new(10.0, size.y - 26.0), Anchor::Left, "eye heights");
    }
}

/// The part of a ring that can be on the paper.
fn ring(pen: &mut Pen, eye: DVec2, radius: f64, size: DVec2) {
    // A wide ring is only looked at where the paper is.
    let centre = 0.5 * size - eye;
    let half = 0.5 * size.length();
    let apart = centre.length();
    let (from, to) = if apart > half {
        let (middle, reach) = (centre.to_angle(), (half / apart).asin());
        (middle - reach, middle + reach)
    } else {
        (-std::f64::consts::PI, std::f64::consts::PI)
    };
    let pieces = ((to - from) * radius / PIECE).clamp(8.0, 256.0).ceil();
    let points = (0..=pieces as u32)
        .map(|i| eye + radius * DVec2::from_angle(from + (to - from) * f64::from(i) / pieces));
    pen.polyline(points, 1.0, WHITE.faded(0.13), None);
}

/// The bar of a map's scale, at the lower left.
pub(super) fn scale_bar(pen: &mut Pen, ground: &Ground, scale: Scale, size: DVec2) {
    if ground.axis != Axis::Linear {
        return;
    }
    let value = scale.round_down(BAR / ground.scale);
    let (left, right) = (DVec2::new(10.0, size.y - 9.0), ground.scale * value);
    let right = left + DVec2::new(right, 0.0);
    pen.edged_line(left, right, 1.5, WHITE);
    for at in [left, 0.5 * (left + right), right] {
        pen.edged_line(at, at - DVec2::new(0.0, 5.0), 1.5, WHITE);
    }
    number(pen, right + DVec2::new(7.0, -3.0), Anchor::Left, &scale.round(value));
}

/// The two ways of each block's lines, and the way the light goes, in a row at the upper right.
pub(super) fn headings(pen: &mut Pen, scene: &Scene, assessment: &Assessment, size: DVec2) {
    let mut at = DVec2::new(size.x - ARM - 14.0, ARM + 14.0);
    let reading = |family: Family| {
        let mut families = assessment.eye.families.iter();
        families.find(|f| f.family == family && f.is_said(scene))
    };
    let way = |family: Family| {
        let direction = reading(family)?.direction;
        DVec2::new(-direction.z, direction.x).try_normalize()
    };
    let mut stepped = |width: f64| {
        let here = at;
        at.x -= width;
        (here.x > 0.5 * size.x).then_some(here)
    };
    for block in &scene.blocks {
        let families = [Family::RecedingLeft(block.id), Family::RecedingRight(block.id)];
        let ways = families.map(|family| way(family).map(|way| (family, way)));
        if ways.iter().all(Option::is_none) {
            continue;
        }
        let name = words::name(&block.name);
        let width = words::width(&name, 10.0).max(2.0 * ARM) + 14.0;
        let Some(middle) = stepped(width) else { return };
        let middle = middle - DVec2::new(0.5 * (width - 2.0 * ARM - 14.0), 0.0);
        for (family, way) in ways.into_iter().flatten() {
            pen.edged_line(middle - ARM * way, middle + ARM * way, 2.0, family_colour(family));
        }
        number(pen, middle + DVec2::new(0.0, ARM + 9.0), Anchor::Centre, &name);
    }
    for incline in scene.inclines.iter().filter(|incline| scene.is_light(incline.id)) {
        let family = Family::Incline(incline.id);
        let Some(way) = way(family) else { continue };
        let Some(middle) = stepped(2.0 * ARM + 20.0) else { return };
        // Rays go down: from the light to what it falls on.
        let falls = reading(family).map_or(0.0, |f| f.direction.y);
        let way = if falls > 0.0 { -way } else { way };
        let (tail, tip) = (middle - ARM * way, middle + ARM * way);
        pen.edged_line(tail, tip, 2.0, family_colour(family));
        for side in [way.perp(), -way.perp()] {
            pen.edged_line(tip, tip - 7.0 * way + 4.0 * side, 2.0, family_colour(family));
        }
        number(
            pen,
            middle + DVec2::new(0.0, ARM + 9.0),
            Anchor::Centre,
            &words::name(&incline.name),
        );
    }
}
