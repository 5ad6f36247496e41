//! Carrying a marker over its level: where its foot and head are seen once it stands elsewhere. Own
//! derivation. Everything is reckoned in its own distance, so that nothing else about the scene has to
//! be known: what was read from the marker before is read from it afterwards, times the same factor.

use crate::Eye;
use crate::ray::level_run;
use crate::sight::PlaneCut;
use glam::{DVec2, DVec3};

/// How a marker that is carried about runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// Plumb; one that leans goes on leaning, to the same side as seen from the eye.
    Upright,
    /// Along this direction of the world (unit length), which stays.
    Along(DVec3),
    /// Square to the line of sight.
    Facing,
    /// Across an upright round thing, from one of its outlines to the other.
    Cylinder,
    /// Across a ball.
    Ball,
}

/// What becomes of a marker.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Carry {
    /// By how much it is turned about the eye, radians, clockwise from above.
    pub turn: f64,
    /// How many times as far off it is.
    pub times: f64,
    /// How much lower the surface of its level lies there, in parts of its distance before; 0 in a flat
    /// world.
    pub fall: f64,
    /// How many times as high it is, for an upright; 1 keeps its height.
    pub height: f64,
}

impl Carry {
    /// Left where it is.
    pub const STAY: Self = Self { turn: 0.0, times: 1.0, fall: 0.0, height: 1.0 };

    /// A place (relative to the eye) as far about and up as this sight line, at its new distance.
    fn place(&self, sight: DVec3) -> Option<DVec3> {
        let run = level_run(sight).ok()?;
        let there = DVec3::new(sight.x, 0.0, sight.z) / run * self.times;
        Some(turned(there, self.turn) + DVec3::Y * (sight.y / run - self.fall))
    }
}

/// Foot and head, picture units, of a marker that was carried elsewhere and kept its true span; `None`
/// if any of that would be behind the eye, or is nothing that can be seen.
#[must_use]
pub fn carried(
    eye: &Eye,
    shape: Shape,
    foot: DVec2,
    head: DVec2,
    carry: &Carry,
) -> Option<[DVec2; 2]> {
    let (a, b) = (eye.ray(foot), eye.ray(head));
    let seen = |place: DVec3| eye.project(place).filter(|at| at.is_finite());
    match shape {
        Shape::Upright | Shape::Along(_) => {
            let d = if let Shape::Along(d) = shape { d } else { DVec3::Y };
            let cut = PlaneCut::new(a, b, d).ok()?;
            let span = (b * (cut.foot_depth / cut.head_depth) - a) / level_run(a).ok()?;
            let span = match shape {
                Shape::Upright => turned(span, carry.turn) * DVec3::new(1.0, carry.height, 1.0),
                _ => span,
            };
            let place = carry.place(a)?;
            Some([seen(place)?, seen(place + span)?])
        }
        Shape::Facing => {
            let slant = 1.0 / level_run(a).ok()?;
            let place = carry.place(a)?;
            let half = a.angle_between(b) / 2.0;
            let half = nearer(slant * half.sin(), place.length())?;
            // Seen the same way up and round as before.
            let (axis, towards) = (place.normalize(), carry.place(b)?);
            let across = (towards - axis * axis.dot(towards)).try_normalize()?;
            let end = axis * (2.0 * half).cos() + across * (2.0 * half).sin();
            Some([seen(place)?, seen(end)?])
        }
        Shape::Cylinder => {
            let [first, second] = outlines(a, b, carry)?;
            Some([seen(first)?, seen(second)?])
        }
        Shape::Ball => {
            let middle = (a + b).normalize();
            let radius = (a.angle_between(b) / 2.0).sin() / level_run(middle).ok()?;
            let place = carry.place(middle)?;
            let half = nearer(radius, place.length())?;
            let axis = place.normalize();
            let towards = turned(b - a, carry.turn);
            let across = (towards - axis * axis.dot(towards)).try_normalize()?;
            let side = |sign: f64| axis * half.cos() + across * (sign * half.sin());
            Some([seen(side(-1.0))?, seen(side(1.0))?])
        }
    }
}

/// The points of a round thing's outlines, relative to the eye, that are seen along two sight lines before
/// it is carried off.
fn outlines(a: DVec3, b: DVec3, carry: &Carry) -> Option<[DVec3; 2]> {
    let bearing = |ray: DVec3| ray.x.atan2(-ray.z);
    // The short way round, also behind the eye.
    let between = DVec2::from_angle(bearing(b) - bearing(a)).to_angle();
    let axis = bearing(a) + 0.5 * between + carry.turn;
    let touches = (0.5 * between).cos();
    let half = nearer((0.5 * between).sin().abs(), carry.times)?;
    let point = |ray: DVec3, side: f64| {
        let height = ray.y / level_run(ray).ok()? * touches - carry.fall;
        let (sine, cosine) = (axis + side * half.copysign(between)).sin_cos();
        let run = carry.times * half.cos();
        Some(DVec3::new(run * sine, height, -run * cosine))
    };
    Some([point(a, -1.0)?, point(b, 1.0)?])
}

/// Where the point that ties a floating marker to its level goes with it, picture units.
#[must_use]
pub fn tie_carried(eye: &Eye, tie: DVec2, carry: &Carry) -> Option<DVec2> {
    eye.project(carry.place(eye.ray(tie))?).filter(|at| at.is_finite())
}

/// Bearing from the eye of a marker's foot, or of the axis or middle of a round thing: radians, clockwise
/// from straight ahead; `None` straight above or below the eye.
#[must_use]
pub fn bearing(eye: &Eye, shape: Shape, foot: DVec2, head: DVec2) -> Option<f64> {
    let (a, b) = (eye.ray(foot), eye.ray(head));
    let sight = match shape {
        Shape::Upright | Shape::Along(_) | Shape::Facing => a,
        Shape::Cylinder => {
            let level = |ray: DVec3| DVec3::new(ray.x, 0.0, ray.z).normalize_or_zero();
            level(a) + level(b)
        }
        Shape::Ball => a + b,
    };
    level_run(sight).ok()?;
    Some(sight.x.atan2(-sight.z)).filter(|bearing| bearing.is_finite())
}

/// Half the angle under which something of this radius is seen from so far off.
fn nearer(radius: f64, distance: f64) -> Option<f64> {
    (radius < distance).then(|| (radius / distance).asin())
}

/// A world direction turned about plumb, clockwise from above.
pub(crate) fn turned(direction: DVec3, angle: f64) -> DVec3 {
    let (sine, cosine) = angle.sin_cos();
    let DVec3 { x, y, z } = direction;
    // Straight ahead is -Z, to the right of it +X.
    DVec3::new(x * cosine - z * sine, y, x * sine + z * cosine)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn eye() -> Eye {
        Eye { focal: 0.8, pitch: -0.15, cant: 0.1, principal: DVec2::new(0.02, -0.01) }
    }

    fn at(distance: f64, bearing: f64, height: f64) -> DVec3 {
        DVec3::new(distance * bearing.sin(), height, -distance * bearing.cos())
    }

    fn seen(place: DVec3) -> DVec2 {
        eye().project(place).unwrap()
    }

    fn assert_near(found: DVec2, expected: DVec2) {
        assert!(found.distance(expected) < 1e-12, "{found} is not {expected}");
    }

    const FARTHER: Carry = Carry { turn: 0.2, times: 2.5, fall: 0.0, height: 1.0 };

    #[test]
    fn a_figure_carried_over_the_ground_is_seen_where_it_then_stands() {
        let (foot, tall) = (at(12.0, -0.1, -3.2), DVec3::Y * 1.7);
        let [new_foot, new_head] =
            carried(&eye(), Shape::Upright, seen(foot), seen(foot + tall), &FARTHER).unwrap();
        let there = at(30.0, 0.1, -3.2);
        assert_near(new_foot, seen(there));
        assert_near(new_head, seen(there + tall));
    }

    #[test]
    fn a_hull_keeps_its_course_and_its_length() {
        let course = DVec3::new(0.6, 0.0, -0.8);
        let hull = course * 20.0;
        let foot = at(40.0, -0.2, -9.0);
        let [stern, bow] =
            carried(&eye(), Shape::Along(course), seen(foot), seen(foot + hull), &FARTHER).unwrap();
        let there = at(100.0, 0.0, -9.0);
        assert_near(stern, seen(there));
        assert_near(bow, seen(there + hull));
    }

    #[test]
    fn a_gate_that_faces_the_viewer_keeps_its_width() {
        let (left, right) = (at(30.0, -0.1, -4.0), at(30.0, 0.05, -4.0));
        let [a, b] = carried(&eye(), Shape::Facing, seen(left), seen(right), &FARTHER).unwrap();
        let (a, b) = (eye().ray(a), eye().ray(b));
        let slant = at(75.0, 0.1, -4.0).length();
        assert!(
            (2.0 * slant * (a.angle_between(b) / 2.0).sin() - left.distance(right)).abs() < 1e-9
        );
    }

    #[test]
    fn a_tower_keeps_its_girth_and_its_foot() {
        let (distance, bearing, radius, base): (f64, f64, f64, f64) = (40.0, -0.15, 4.0, -5.0);
        let outline = |distance: f64, bearing: f64, sign: f64| {
            let half = (radius / distance).asin();
            seen(at(distance * half.cos(), bearing + sign * half, base))
        };
        let pair = |distance, bearing| [-1.0, 1.0].map(|sign| outline(distance, bearing, sign));
        let [a, b] = pair(distance, bearing);
        assert!((super::bearing(&eye(), Shape::Cylinder, a, b).unwrap() - bearing).abs() < 1e-12);
        let found = carried(&eye(), Shape::Cylinder, a, b, &FARTHER).unwrap();
        std::iter::zip(found, pair(100.0, 0.05)).for_each(|(f, e)| assert_near(f, e));
    }

    #[test]
    fn a_ball_keeps_its_girth_and_height() {
        let middle = at(20.0, 0.1, -2.0);
        let outline = |middle: DVec3, across: DVec3| {
            let axis = middle.normalize();
            let across = (across - axis * axis.dot(across)).normalize();
            let half = (1.5 / middle.length()).asin();
            [-1.0, 1.0].map(|s| seen(axis * half.cos() + across * (s * half.sin())))
        };
        let [a, b] = outline(middle, DVec3::Y);
        let [c, d] = carried(&eye(), Shape::Ball, a, b, &FARTHER).unwrap();
        let (c, d) = (eye().ray(c), eye().ray(d));
        let there = at(50.0, 0.3, -2.0);
        assert!((c + d).normalize().distance(there.normalize()) < 1e-12);
        assert!((there.length() * (c.angle_between(d) / 2.0).sin() - 1.5).abs() < 1e-9);
    }

    #[test]
    fn what_stands_on_a_level_overhead_stays_on_it() {
        let (foot, tall) = (at(25.0, 0.1, 6.0), DVec3::Y * 2.0);
        let [new_foot, _] =
            carried(&eye(), Shape::Upright, seen(foot), seen(foot + tall), &FARTHER).unwrap();
        assert_near(new_foot, seen(at(62.5, 0.3, 6.0)));
    }

    #[test]
    fn a_height_is_changed_along_plumb() {
        let foot = at(12.0, 0.2, -3.2);
        let higher = Carry { height: 2.0, ..Carry::STAY };
        let [_, head] =
            carried(&eye(), Shape::Upright, seen(foot), seen(foot + DVec3::Y * 1.7), &higher)
                .unwrap();
        assert_near(head, seen(foot + DVec3::Y * 3.4));
    }

    #[test]
    fn what_cannot_be_seen_is_carried_nowhere() {
        let foot = at(12.0, 0.2, -3.2);
        let behind = Carry { turn: 3.0, ..Carry::STAY };
        let go = |carry| carried(&eye(), Shape::Upright, seen(foot), seen(foot + DVec3::Y), &carry);
        assert_eq!(go(behind), None);
        assert_eq!(go(Carry { times: f64::NAN, ..Carry::STAY }), None);
        let nowhere = carried(&eye(), Shape::Ball, DVec2::NAN, seen(foot), &FARTHER);
        assert_eq!(nowhere, None);
    }
}
