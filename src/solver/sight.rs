//! The geometry of a marker: what its picture points say about its distance and size.

use crate::family::Parameter;
use crate::{Eye, Family, Headings};
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
    /// No point of the span's line is seen at its head, however long the span is.
    OutOfReach,
    /// The span points straight at the eye and has no length in the picture.
    EndOn,
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
    /// [`EyeFit::covariance`](crate::EyeFit::covariance).
    pub by_eye: Vec<f64>,
}

/// A sight line (not of unit length) with its derivatives.
struct Ray {
    at: DVec3,
    by_u: DVec3,
    by_v: DVec3,
    by_eye: [DVec3; Parameter::EYE],
}

impl Ray {
    fn through(eye: &Eye, point: DVec2) -> Self {
        let [right, down, ahead] = {
            let r = eye.rotation().transpose();
            [r.x_axis, r.y_axis, r.z_axis]
        };
        let p = point - eye.principal;
        let at = right * p.x + down * p.y + ahead * eye.focal;
        // Turning by pitch moves a direction about the level axis right0 = X; by cant, about ahead.
        let by_pitch = DVec3::X.cross(at);
        let by_cant = down * p.x - right * p.y;
        Self { at, by_u: right, by_v: down, by_eye: [ahead * eye.focal, by_pitch, by_cant] }
    }

    /// Chain rule: derivatives of a quantity whose gradient by the sight line is given.
    fn chain(&self, gradient: DVec3) -> (DVec2, [f64; Parameter::EYE]) {
        let by_point = DVec2::new(gradient.dot(self.by_u), gradient.dot(self.by_v));
        (by_point, self.by_eye.map(|d| gradient.dot(d)))
    }
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
    let a = finite(ray.at)?;
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
    let (by_foot, by_eye) = ray.chain(gradient);
    Ok(LogRatio { value, by_foot, by_head: DVec2::ZERO, by_eye: padded(&by_eye, headings) })
}

/// ln (length of the span / horizontal distance of its foot).
///
/// For an upright or a span along a family the head's sight line is cut with the plane through the
/// foot that holds the span's direction and otherwise faces the eye; for an upright that is the
/// vertical plane square to the foot's heading. A span facing the viewer has both ends equally far
/// off: S = 2 t sin(a / 2), t the slant distance and a the angle between the sight lines.
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
    let (a, b) = (finite(to_foot.at)?, finite(to_head.at)?);
    let run = level_run(a)?;
    if foot.distance(head) < 1e-9 {
        return Err(Fault::NoLength);
    }
    let family = match span {
        Span::Upright => Family::Upright,
        Span::Along(family) => family,
        Span::Facing => return Ok(facing(&to_foot, &to_head, run, headings)),
    };
    let d = headings.direction(family);
    let cut = PlaneCut::new(a, b, d)?;
    if span == Span::Upright && cut.length < 0.0 {
        return Err(Fault::HeadBelowFoot);
    }
    let (by_a, by_b, by_d) = cut.gradients();
    let scale = 1.0 / cut.length;
    let by_run = DVec3::new(a.x, 0.0, a.z) / (run * run);
    let (by_foot, eye_a) = to_foot.chain(by_a * scale - by_run);
    let (by_head, eye_b) = to_head.chain(by_b * scale);
    let mut by_eye = padded(&std::array::from_fn(|i| eye_a[i] + eye_b[i]), headings);
    for (parameter, turned) in headings.direction_derivatives(family).into_iter().flatten() {
        by_eye[parameter] += scale * by_d.dot(turned);
    }
    Ok(LogRatio { value: (cut.length.abs() / run).ln(), by_foot, by_head, by_eye })
}

/// Where the head of a marker would be seen if its span ran exactly as said with the length that is
/// `per_run` times the foot's horizontal distance; picture units. `towards` is where it was drawn and
/// picks the end of a span that may run either way. `None` if that point is behind the eye.
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
    let (by_point, _) = ray.chain(gradient);
    (a.y.atan2(run), by_point.length() * pointing)
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
struct PlaneCut {
    a: DVec3,
    b: DVec3,
    d: DVec3,
    /// a.n and b.n, n the plane's normal a - (a.d) d.
    foot_depth: f64,
    head_depth: f64,
    /// Signed length of the span along d, in units of |a|.
    length: f64,
}

impl PlaneCut {
    fn new(a: DVec3, b: DVec3, d: DVec3) -> Result<Self, Fault> {
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
}

fn facing(to_foot: &Ray, to_head: &Ray, run: f64, headings: &Headings) -> LogRatio {
    let (a, b) = (to_foot.at, to_head.at);
    let (unit_a, unit_b) = (a.normalize(), b.normalize());
    let chord = unit_a - unit_b;
    let length = chord.length();
    let value = (length * a.length() / run).ln();
    let across =
        |unit: DVec3, norm: f64| (chord - unit * unit.dot(chord)) / (norm * length * length);
    let by_run = DVec3::new(a.x, 0.0, a.z) / (run * run);
    let (by_foot, eye_a) =
        to_foot.chain(across(unit_a, a.length()) + a / a.length_squared() - by_run);
    let (by_head, eye_b) = to_head.chain(-across(unit_b, b.length()));
    let by_eye = padded(&std::array::from_fn(|i| eye_a[i] + eye_b[i]), headings);
    LogRatio { value, by_foot, by_head, by_eye }
}

fn finite(ray: DVec3) -> Result<DVec3, Fault> {
    if ray.is_finite() { Ok(ray) } else { Err(Fault::NotFinite) }
}

/// Horizontal part of a sight line.
fn level_run(a: DVec3) -> Result<f64, Fault> {
    let run = a.x.hypot(a.z);
    if run > 1e-3 * a.length() { Ok(run) } else { Err(Fault::Plumb) }
}

/// Derivatives by the eye's own quantities, with zeros for the headings after them.
fn padded(by_eye: &[f64; Parameter::EYE], headings: &Headings) -> Vec<f64> {
    let mut all = by_eye.to_vec();
    all.resize(headings.parameters(), 0.0);
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    fn eye() -> Eye {
        Eye { focal: 0.8, pitch: 0.3, cant: -0.15, principal: DVec2::new(0.02, -0.03) }
    }

    fn headings() -> Headings {
        Headings { blocks: vec![0.5], inclines: vec![[0.2, 0.4]] }
    }

    fn moved(parameter: usize, by: f64) -> (Eye, Headings) {
        let (mut eye, mut headings) = (eye(), headings());
        match parameter {
            0 => eye.focal *= by.exp(),
            1 => eye.pitch += by,
            2 => eye.cant += by,
            3 => headings.blocks[0] += by,
            n => headings.inclines[0][n - 4] += by,
        }
        (eye, headings)
    }

    const FOOT: DVec2 = DVec2::new(0.21, 0.45);
    const HEAD: DVec2 = DVec2::new(0.19, 0.2);
    const STEP: f64 = 1e-6;

    fn check(read: impl Fn(&Eye, &Headings, DVec2, DVec2) -> f64, ratio: &LogRatio, what: &str) {
        let (eye, headings) = (eye(), headings());
        let central = |plus: f64, minus: f64| (plus - minus) / (2.0 * STEP);
        for axis in [DVec2::X, DVec2::Y] {
            let s = axis * STEP;
            let foot = central(
                read(&eye, &headings, FOOT + s, HEAD),
                read(&eye, &headings, FOOT - s, HEAD),
            );
            let head = central(
                read(&eye, &headings, FOOT, HEAD + s),
                read(&eye, &headings, FOOT, HEAD - s),
            );
            assert!((ratio.by_foot.dot(axis) - foot).abs() < 1e-6, "{what} foot {axis}");
            assert!((ratio.by_head.dot(axis) - head).abs() < 1e-6, "{what} head {axis}");
        }
        for (parameter, derivative) in ratio.by_eye.iter().enumerate() {
            let at = |by: f64| {
                let (eye, headings) = moved(parameter, by);
                read(&eye, &headings, FOOT, HEAD)
            };
            let numerical = central(at(STEP), at(-STEP));
            assert!((derivative - numerical).abs() < 1e-6, "{what} parameter {parameter}");
        }
    }

    #[test]
    fn derivatives_of_the_run_match_numerical_ones() {
        for side in [Side::Below, Side::Above] {
            let foot = if side == Side::Below { FOOT } else { FOOT - DVec2::Y };
            let ratio = run_per_clearance(&eye(), &headings(), foot, side).unwrap();
            check(
                |e, h, f, _| run_per_clearance(e, h, f + foot - FOOT, side).unwrap().value,
                &ratio,
                "run",
            );
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
            let ratio = span_per_run(&eye(), &headings(), FOOT, HEAD, span).unwrap();
            check(
                |e, h, f, p| span_per_run(e, h, f, p, span).unwrap().value,
                &ratio,
                &format!("{span:?}"),
            );
        }
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
