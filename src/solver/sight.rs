//! The geometry of a marker: what its picture points say about its distance and size.

use crate::ray::{Ray, by_eye, by_level_run, level_run};
use crate::{Eye, Family, Headings, round_things};
use glam::{DVec2, DVec3};

/// Whether a level is seen from above or from beneath.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Side {
    /// The level lies lower than the eye.
    Below,
    /// The level lies higher than the eye.
    Above,
}

/// How a marker's span runs in the scene.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Span {
    /// Plumb, from foot up to head.
    Upright,
    /// Along a family, either way.
    Along(Family),
    /// Square to the line of sight through its middle: both ends equally far from the eye.
    Facing,
    /// The diameter of an upright round thing (a tower, a tank, a trunk) from one of its outlines to
    /// the other, at any heights. Its distance is that of its axis.
    Cylinder,
    /// The diameter of a ball between two opposite points of its outline. Its distance is that of its
    /// centre.
    Ball,
}

/// Why a marker's picture points cannot be what they are said to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Fault {
    /// Foot and head are on the same spot.
    NoLength,
    /// The sight line to the foot never meets its level: it is on the wrong side of the horizon.
    BeyondHorizon,
    /// The foot is so near to the horizon that pointing alone decides how far it is.
    OnHorizon,
    /// The foot is straight below or above the eye, where horizontal distance means nothing.
    Plumb,
    /// The head of an upright lies lower than its foot.
    HeadBelowFoot,
    /// What casts a shadow would lie beyond the level that the shadow falls on: under a ground, over a
    /// ceiling.
    BehindShadow,
    /// No point of the span's line is seen at its head, however long the span is.
    OutOfReach,
    /// The span points straight at the eye and has no length in the picture.
    EndOn,
    /// It is said to be on top of a thing that is not upright, which has no top.
    NoTop,
    /// A picture position is not a finite number.
    NotFinite,
}

/// The natural logarithm of a ratio of lengths read from the picture, with its derivatives.
#[derive(Clone, Debug, PartialEq)]
pub struct LogRatio {
    /// ln of the ratio.
    pub value: f64,
    /// Derivative by the foot (or plumb point), per frame width.
    pub by_foot: DVec2,
    /// Derivative by the head, per frame width; zero where the head plays no part.
    pub by_head: DVec2,
    /// Derivatives by the parameters of the eye, in the order of
    /// [`EyeFit::covariance`](crate::EyeFit::covariance), always ending with the two by the principal
    /// point, which that covariance leaves out where it is fixed.
    pub by_eye: Vec<f64>,
}

/// ln (horizontal run / drop) of the sight line to a foot: the distance of a foot on a level, in
/// clearances of that level.
///
/// # Errors
/// [`Fault::BeyondHorizon`], [`Fault::Plumb`] or [`Fault::NotFinite`].
pub fn run_per_clearance(
    eye: &Eye,
    headings: &Headings,
    foot: DVec2,
    side: Side,
) -> Result<LogRatio, Fault> {
    let ray = Ray::through(eye, foot);
    let a = ray.finite()?;
    let run = level_run(a)?;
    let towards_level = match side {
        Side::Below => -a.y,
        Side::Above => a.y,
    };
    if towards_level <= 0.0 {
        return Err(Fault::BeyondHorizon);
    }
    let value = (run / towards_level).ln();
    let gradient = DVec3::new(a.x / (run * run), -1.0 / a.y, a.z / (run * run));
    let slopes = ray.chain(gradient);
    let by_eye = by_eye([&slopes], headings);
    Ok(LogRatio { value, by_foot: slopes.by_point, by_head: DVec2::ZERO, by_eye })
}

/// ln (length of the span / horizontal distance of its foot, or of the axis or centre of a round
/// thing).
///
/// For an upright or a span along a family the head's sight line is cut with the plane through the
/// foot that holds the span's direction and otherwise faces the eye; for an upright that is the
/// vertical plane square to the foot's heading. A span facing the viewer has both ends equally far
/// off: S = 2 t sin(a / 2), t the slant distance and a the angle between the sight lines. So has a
/// ball, whose centre is t off along their bisector, and in plan an upright round thing.
///
/// # Errors
/// See [`Fault`].
pub fn span_per_run(
    eye: &Eye,
    headings: &Headings,
    foot: DVec2,
    head: DVec2,
    span: Span,
) -> Result<LogRatio, Fault> {
    let (to_foot, to_head) = (Ray::through(eye, foot), Ray::through(eye, head));
    let (a, b) = (to_foot.finite()?, to_head.finite()?);
    let run = level_run(a)?;
    if foot.distance(head) < 1e-9 {
        return Err(Fault::NoLength);
    }
    let family = match span {
        Span::Upright => Family::Upright,
        Span::Along(family) => family,
        Span::Facing => return Ok(facing(&to_foot, &to_head, run, headings)),
        Span::Cylinder => return round_things::cylinder(eye, headings, foot, head),
        Span::Ball => return round_things::ball(eye, headings, foot, head),
    };
    let d = headings.direction(family);
    let cut = PlaneCut::new(a, b, d)?;
    if span == Span::Upright && cut.length < 0.0 {
        return Err(Fault::HeadBelowFoot);
    }
    let (by_a, by_b, by_d) = cut.gradients();
    let scale = 1.0 / cut.length;
    let of_foot = to_foot.chain(by_a * scale - by_level_run(a));
    let of_head = to_head.chain(by_b * scale);
    let mut by_eye = by_eye([&of_foot, &of_head], headings);
    for (parameter, turned) in headings.direction_derivatives(family).into_iter().flatten() {
        by_eye[parameter] += scale * by_d.dot(turned);
    }
    let value = (cut.length.abs() / run).ln();
    Ok(LogRatio { value, by_foot: of_foot.by_point, by_head: of_head.by_point, by_eye })
}

/// Where the head of a marker would be seen if its span ran exactly as said with the length that is
/// `per_run` times the horizontal distance of [`span_per_run`]; picture units. `towards` is where it
/// was drawn and picks the end of a span that may run either way. `None` if that point is behind the
/// eye, or if a round thing would hold the eye.
#[must_use]
pub fn head_at(
    eye: &Eye,
    headings: &Headings,
    foot: DVec2,
    towards: DVec2,
    span: Span,
    per_run: f64,
) -> Option<DVec2> {
    let a = Ray::through(eye, foot).at;
    let from = a / level_run(a).ok()?;
    let direction = match span {
        Span::Upright => DVec3::Y,
        Span::Along(family) => {
            let d = headings.direction(family);
            let seen = |s: f64| eye.project(from + d * s);
            let (near, far) = (seen(1e-3 * per_run)?, seen(-1e-3 * per_run)?);
            if near.distance(towards) <= far.distance(towards) { d } else { -d }
        }
        Span::Facing => {
            let b = Ray::through(eye, towards).at.normalize();
            let a = a.normalize();
            let half = 0.5 * per_run / from.length();
            let turn = 2.0 * (half < 1.0).then(|| half.asin())?;
            let across = (b - a * a.dot(b)).try_normalize()?;
            return eye.project(a * turn.cos() + across * turn.sin());
        }
        Span::Cylinder => return round_things::cylinder_head(eye, foot, towards, per_run),
        Span::Ball => return round_things::ball_head(eye, foot, towards, per_run),
    };
    eye.project(from + direction * per_run)
}

/// Elevation of the sight line through a picture point, radians, up positive, with the standard
/// deviation that pointing alone (of standard deviation `pointing`, frame widths) gives it.
#[must_use]
pub fn elevation(eye: &Eye, point: DVec2, pointing: f64) -> (f64, f64) {
    let ray = Ray::through(eye, point);
    let a = ray.at;
    let run = a.x.hypot(a.z);
    let squared = a.length_squared();
    let gradient = DVec3::new(-a.y * a.x / run, run, -a.y * a.z / run) / squared;
    (a.y.atan2(run), ray.chain(gradient).by_point.length() * pointing)
}

/// Picture direction in which a plumb line runs up through a picture point: towards the zenith
/// point, or away from the nadir point. `None` where plumb points at the eye.
#[must_use]
pub fn plumb_direction(eye: &Eye, at: DVec2) -> Option<DVec2> {
    let zenith = eye.image(DVec3::Y);
    (zenith.truncate() - zenith.z * at).try_normalize()
}

/// Angle by which an upright drawn from foot to head leans out of plumb in the picture, radians,
/// clockwise positive, with the standard deviation that pointing alone gives it. `None` for an
/// upright without length or where plumb points at the eye.
#[must_use]
pub fn lean(eye: &Eye, foot: DVec2, head: DVec2, pointing: f64) -> Option<(f64, f64)> {
    let drawn = head - foot;
    let length = drawn.length();
    let plumb = plumb_direction(eye, foot)?;
    let sd = std::f64::consts::SQRT_2 * pointing / length;
    // v grows downward, so that a positive angle turns clockwise on the screen.
    let angle = plumb.angle_to(drawn);
    (length > pointing && angle.is_finite()).then_some((angle, sd))
}

/// Cut of the head's sight line b with the plane through the foot a that holds the direction d.
pub(crate) struct PlaneCut {
    a: DVec3,
    b: DVec3,
    d: DVec3,
    /// a.n and b.n, n the plane's normal a - (a.d) d.
    pub(crate) foot_depth: f64,
    pub(crate) head_depth: f64,
    /// Signed length of the span along d, in units of |a|.
    pub(crate) length: f64,
}

impl PlaneCut {
    pub(crate) fn new(a: DVec3, b: DVec3, d: DVec3) -> Result<Self, Fault> {
        let foot_depth = a.length_squared() - a.dot(d).powi(2);
        let head_depth = a.dot(b) - a.dot(d) * b.dot(d);
        if foot_depth < 1e-9 * a.length_squared() {
            return Err(Fault::EndOn);
        }
        if head_depth < 1e-9 * a.length() * b.length() {
            return Err(Fault::OutOfReach);
        }
        let length = foot_depth / head_depth * b.dot(d) - a.dot(d);
        if length.abs() < 1e-12 * a.length() {
            return Err(Fault::NoLength);
        }
        Ok(Self { a, b, d, foot_depth, head_depth, length })
    }

    /// Gradients of the length by a, b and d.
    fn gradients(&self) -> (DVec3, DVec3, DVec3) {
        let Self { a, b, d, foot_depth, head_depth, .. } = *self;
        let (ad, bd) = (a.dot(d), b.dot(d));
        let by_foot_depth = bd / head_depth;
        let by_head_depth = -foot_depth * bd / (head_depth * head_depth);
        let by_a = by_foot_depth * 2.0 * (a - ad * d) + by_head_depth * (b - bd * d) - d;
        let by_b = foot_depth / head_depth * d + by_head_depth * (a - ad * d);
        let by_d = by_foot_depth * -2.0 * ad * a
            + foot_depth / head_depth * b
            + by_head_depth * -(bd * a + ad * b)
            - a;
        (by_a, by_b, by_d)
    }

    /// Gradients by a, b and d of the logarithm of how many times b reaches to the cut.
    pub(crate) fn ln_reach_gradients(&self) -> (DVec3, DVec3, DVec3) {
        let Self { a, b, d, foot_depth, head_depth, .. } = *self;
        let (ad, bd) = (a.dot(d), b.dot(d));
        let by_a = 2.0 / foot_depth * (a - ad * d) - (b - bd * d) / head_depth;
        let by_b = -(a - ad * d) / head_depth;
        let by_d = -2.0 * ad / foot_depth * a + (bd * a + ad * b) / head_depth;
        (by_a, by_b, by_d)
    }
}

fn facing(to_foot: &Ray, to_head: &Ray, run: f64, headings: &Headings) -> LogRatio {
    let (a, b) = (to_foot.at, to_head.at);
    let (unit_a, unit_b) = (a.normalize(), b.normalize());
    let chord = unit_a - unit_b;
    let length = chord.length();
    let value = (length * a.length() / run).ln();
    let across =
        |unit: DVec3, norm: f64| (chord - unit * unit.dot(chord)) / (norm * length * length);
    let of_foot =
        to_foot.chain(across(unit_a, a.length()) + a / a.length_squared() - by_level_run(a));
    let of_head = to_head.chain(-across(unit_b, b.length()));
    let by_eye = by_eye([&of_foot, &of_head], headings);
    LogRatio { value, by_foot: of_foot.by_point, by_head: of_head.by_point, by_eye }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::derivative_check::{check, eye, headings};

    const FOOT: DVec2 = DVec2::new(0.21, 0.45);
    const HEAD: DVec2 = DVec2::new(0.19, 0.2);

    #[test]
    fn derivatives_of_the_run_match_numerical_ones() {
        for (side, foot) in [(Side::Below, FOOT), (Side::Above, FOOT - DVec2::Y)] {
            check("run", foot, HEAD, |e, h, f, _| run_per_clearance(e, h, f, side));
        }
    }

    #[test]
    fn derivatives_of_every_span_match_numerical_ones() {
        for span in [
            Span::Upright,
            Span::Facing,
            Span::Along(Family::RecedingRight(0)),
            Span::Along(Family::RecedingLeft(0)),
            Span::Along(Family::Incline(0)),
        ] {
            check(&format!("{span:?}"), FOOT, HEAD, |e, h, f, p| span_per_run(e, h, f, p, span));
        }
        // A level line as far off as the foot is not seen at a head above the horizon.
        let run = Span::Along(Family::Run(0));
        check("run", FOOT, FOOT + DVec2::new(0.1, 0.0), |e, h, f, p| span_per_run(e, h, f, p, run));
    }

    #[test]
    fn a_span_of_the_size_read_from_the_picture_ends_where_it_was_drawn() {
        let (eye, headings) = (eye(), headings());
        for span in [Span::Upright, Span::Facing, Span::Along(Family::RecedingRight(0))] {
            let size = span_per_run(&eye, &headings, FOOT, HEAD, span).unwrap().value.exp();
            let head = head_at(&eye, &headings, FOOT, HEAD, span, size).unwrap();
            let again = span_per_run(&eye, &headings, FOOT, head, span).unwrap().value.exp();
            assert!((again / size - 1.0).abs() < 1e-9, "{span:?}");
        }
    }

    #[test]
    fn an_upright_of_any_height_points_at_the_zenith() {
        let (eye, headings) = (eye(), headings());
        for per_run in [0.01, 0.1, 0.5] {
            let head = head_at(&eye, &headings, FOOT, HEAD, Span::Upright, per_run).unwrap();
            let (angle, _) = lean(&eye, FOOT, head, 1e-6).unwrap();
            assert!(angle.abs() < 1e-9, "{angle}");
            let turned = FOOT + DVec2::from_angle(0.05).rotate(head - FOOT);
            let (angle, sd) = lean(&eye, FOOT, turned, 1e-4).unwrap();
            assert!((angle - 0.05).abs() < 1e-9);
            assert!((sd * head.distance(FOOT) - 1e-4 * 2_f64.sqrt()).abs() < 1e-9);
        }
    }

    #[test]
    fn impossible_markers_say_why() {
        let (eye, headings) = (Eye::default(), Headings { blocks: vec![0.0], inclines: vec![] });
        let above = DVec2::new(0.0, -0.1);
        let below = DVec2::new(0.0, 0.1);
        let run = |p, side| run_per_clearance(&eye, &headings, p, side).unwrap_err();
        assert_eq!(run(above, Side::Below), Fault::BeyondHorizon);
        assert_eq!(run(below, Side::Above), Fault::BeyondHorizon);
        assert_eq!(run(DVec2::new(0.3, 0.0), Side::Below), Fault::BeyondHorizon);
        assert_eq!(run(DVec2::new(f64::NAN, 0.0), Side::Below), Fault::NotFinite);
        let span = |f, h, s| span_per_run(&eye, &headings, f, h, s).unwrap_err();
        assert_eq!(span(below, below, Span::Upright), Fault::NoLength);
        assert_eq!(span(above, below, Span::Upright), Fault::HeadBelowFoot);
        let ahead = Span::Along(Family::RecedingRight(0));
        assert_eq!(span(DVec2::ZERO, below, ahead), Fault::EndOn);
        let down = Eye { pitch: -std::f64::consts::FRAC_PI_2, ..eye };
        let plumb = run_per_clearance(&down, &headings, DVec2::ZERO, Side::Below).unwrap_err();
        assert_eq!(plumb, Fault::Plumb);
    }
}
