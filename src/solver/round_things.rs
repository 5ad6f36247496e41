//! Round things: towers, tanks and trunks by their two outlines, balls by two opposite points of
//! their outline. Own derivations; each is exact.

use crate::ray::{Ray, Slopes, by_eye, by_level_run, level_run};
use crate::shadow::Cast;
use crate::{Eye, Family, Fault, Headings, LogRatio, Side};
use glam::{DVec2, DVec3};

/// Two sight lines that touch a round thing on opposite sides, each as a unit vector.
struct Tangents {
    first: DVec3,
    second: DVec3,
}

/// Gradients of a quantity by two unit vectors.
type Gradients = (DVec3, DVec3);

impl Tangents {
    /// ln |first - second|, that is ln (2 sin of half the angle between them).
    fn ln_chord(&self) -> (f64, Gradients) {
        let chord = self.first - self.second;
        let slope = chord / chord.length_squared();
        (chord.length().ln(), (slope, -slope))
    }

    /// ln |first + second|, that is ln (2 cos of half the angle between them).
    fn ln_sum(&self) -> (f64, Gradients) {
        let sum = self.first + self.second;
        let slope = sum / sum.length_squared();
        (sum.length().ln(), (slope, slope))
    }

    /// ln of the horizontal part of first + second.
    fn ln_level_sum(&self) -> (f64, Gradients) {
        let sum = self.first + self.second;
        let slope = by_level_run(sum);
        (sum.x.hypot(sum.z).ln(), (slope, slope))
    }

    /// ln (|first x second| + rise of first + second, counted towards the level).
    fn ln_clearing(&self, towards: f64) -> Option<(f64, Gradients)> {
        let across = self.first.cross(self.second);
        let clearing = across.length() + towards * (self.first.y + self.second.y);
        let axis = across.try_normalize()?;
        let level = DVec3::Y * towards;
        let by_first = (self.second.cross(axis) + level) / clearing;
        let by_second = (axis.cross(self.first) + level) / clearing;
        (clearing > 0.0).then(|| (clearing.ln(), (by_first, by_second)))
    }

    fn touch_apart(&self) -> Result<(), Fault> {
        let apart = self.first.distance(self.second) > 1e-9;
        apart.then_some(()).ok_or(Fault::NoLength)
    }
}

/// The sight lines to the two ends of a round thing's span.
struct Outline {
    to_foot: Ray,
    to_head: Ray,
}

impl Outline {
    fn new(eye: &Eye, foot: DVec2, head: DVec2) -> Self {
        Self { to_foot: Ray::through(eye, foot), to_head: Ray::through(eye, head) }
    }

    /// The sight lines themselves.
    fn tangents(&self) -> Result<Tangents, Fault> {
        let (a, b) = (self.to_foot.finite()?, self.to_head.finite()?);
        let tangents = Tangents { first: a.normalize(), second: b.normalize() };
        tangents.touch_apart()?;
        Ok(tangents)
    }

    /// Their horizontal parts, each of unit length.
    fn level_tangents(&self) -> Result<Tangents, Fault> {
        let level = |ray: &Ray| {
            let a = ray.finite()?;
            Ok(DVec3::new(a.x, 0.0, a.z) / level_run(a)?)
        };
        let tangents = Tangents { first: level(&self.to_foot)?, second: level(&self.to_head)? };
        tangents.touch_apart()?;
        Ok(tangents)
    }

    /// A sum of quantities of the tangents as a ratio. `plane` takes the vertical part away from what
    /// was made of horizontal tangents.
    fn ratio(
        &self,
        tangents: &Tangents,
        plane: DVec3,
        parts: &[(f64, (f64, Gradients))],
        headings: &Headings,
    ) -> LogRatio {
        let value = parts.iter().map(|(sign, (value, _))| sign * value).sum();
        let by_first = parts.iter().map(|(sign, (_, (first, _)))| *sign * *first).sum();
        let by_second = parts.iter().map(|(sign, (_, (_, second)))| *sign * *second).sum();
        let foot = through_unit(&self.to_foot, tangents.first, plane, by_first);
        let head = through_unit(&self.to_head, tangents.second, plane, by_second);
        let by_eye = by_eye([&foot, &head], headings);
        LogRatio { value, by_foot: foot.by_point, by_head: head.by_point, by_eye }
    }
}

/// Chain rule from the unit vector along a sight line's part in `plane` to its picture point.
fn through_unit(ray: &Ray, unit: DVec3, plane: DVec3, gradient: DVec3) -> Slopes {
    let norm = (ray.at * plane).length();
    ray.chain((gradient - unit * unit.dot(gradient)) * plane / norm)
}

const LEVEL: DVec3 = DVec3::new(1.0, 0.0, 1.0);

/// ln (diameter / horizontal distance of the axis) of an upright round thing whose outlines are seen
/// at `foot` and `head`, at any heights: the outlines are vertical planes through the eye, and with
/// the angle a between them in plan S = 2 D sin(a / 2).
pub(crate) fn cylinder(
    eye: &Eye,
    headings: &Headings,
    foot: DVec2,
    head: DVec2,
) -> Result<LogRatio, Fault> {
    let outline = Outline::new(eye, foot, head);
    let tangents = outline.level_tangents()?;
    Ok(outline.ratio(&tangents, LEVEL, &[(1.0, tangents.ln_chord())], headings))
}

/// ln (diameter / horizontal distance of the centre) of a ball of whose outline two opposite points
/// are seen at `foot` and `head`: the centre lies along the bisector at the slant distance t with
/// S = 2 t sin(a / 2), a the angle between the sight lines.
pub(crate) fn ball(
    eye: &Eye,
    headings: &Headings,
    foot: DVec2,
    head: DVec2,
) -> Result<LogRatio, Fault> {
    let outline = Outline::new(eye, foot, head);
    let tangents = outline.tangents()?;
    let sum = tangents.first + tangents.second;
    level_run(sum)?;
    let parts =
        [(1.0, tangents.ln_chord()), (1.0, tangents.ln_sum()), (-1.0, tangents.ln_level_sum())];
    Ok(outline.ratio(&tangents, DVec3::ONE, &parts, headings))
}

/// ln (horizontal distance of the axis / that of a point on the outline) of an upright round thing
/// whose outlines are seen at `foot` and `head`: the sight line touches it before the axis, by the
/// cosine of half the angle between the outlines in plan. Added to
/// [`run_per_clearance`](crate::run_per_clearance) of a foot where an outline meets the level, it
/// gives the distance of the axis.
///
/// # Errors
/// [`Fault::Plumb`], [`Fault::NoLength`] where both points lie on one outline, or
/// [`Fault::NotFinite`].
pub fn axis_per_outline(
    eye: &Eye,
    headings: &Headings,
    foot: DVec2,
    head: DVec2,
) -> Result<LogRatio, Fault> {
    let outline = Outline::new(eye, foot, head);
    let tangents = outline.level_tangents()?;
    let mut ratio = outline.ratio(&tangents, LEVEL, &[(-1.0, tangents.ln_sum())], headings);
    ratio.value += std::f64::consts::LN_2;
    Ok(ratio)
}

/// ln (horizontal distance of the centre / clearance of the level) of a ball that lies on a level, or
/// hangs under one above the eye, with two opposite points of its outline at `foot` and `head`. The
/// ball touches the level one radius under its centre, where no outline is seen: with the unit sight
/// lines p and q the ratio is the horizontal part of p + q over |p x q| - (p + q).Y.
///
/// # Errors
/// [`Fault::BeyondHorizon`], [`Fault::Plumb`], [`Fault::NoLength`] or [`Fault::NotFinite`].
pub fn ball_run_per_clearance(
    eye: &Eye,
    headings: &Headings,
    foot: DVec2,
    head: DVec2,
    side: Side,
) -> Result<LogRatio, Fault> {
    let outline = Outline::new(eye, foot, head);
    let tangents = outline.tangents()?;
    level_run(tangents.first + tangents.second)?;
    let towards = match side {
        Side::Below => -1.0,
        Side::Above => 1.0,
    };
    let clearing = tangents.ln_clearing(towards).ok_or(Fault::BeyondHorizon)?;
    let parts = [(1.0, tangents.ln_level_sum()), (-1.0, clearing)];
    Ok(outline.ratio(&tangents, DVec3::ONE, &parts, headings))
}

/// ln (horizontal distance of the centre / clearance of a level) of a ball of whose outline two opposite
/// points are seen at `foot` and `head` and the middle of whose shadow falls on the level at `tip`: see
/// [`run_by_shadow`](crate::run_by_shadow). The last of the derivatives is that by the tip.
///
/// # Errors
/// As in [`run_by_shadow`](crate::run_by_shadow).
pub fn ball_run_by_shadow(
    eye: &Eye,
    headings: &Headings,
    [foot, head]: [DVec2; 2],
    tip: DVec2,
    light: Family,
    side: Side,
) -> Result<(LogRatio, DVec2), Fault> {
    let outline = Outline::new(eye, foot, head);
    let Tangents { first, second } = outline.tangents()?;
    let to_tip = Ray::through(eye, tip);
    let cast = Cast::new(headings, to_tip.finite()?, first + second, light, side)?;
    let of_tip = to_tip.chain(cast.by_tip);
    let of_foot = through_unit(&outline.to_foot, first, DVec3::ONE, cast.by_point);
    let of_head = through_unit(&outline.to_head, second, DVec3::ONE, cast.by_point);
    let by_eye = by_eye([&of_tip, &of_foot, &of_head], headings);
    let by_eye = cast.turned(by_eye, headings, light);
    let (by_foot, by_head) = (of_foot.by_point, of_head.by_point);
    Ok((LogRatio { value: cast.value, by_foot, by_head, by_eye }, of_tip.by_point))
}

/// The point nearest to `towards` on the other outline of an upright round thing whose diameter is
/// `per_run` times the distance of its axis.
pub(crate) fn cylinder_head(eye: &Eye, foot: DVec2, towards: DVec2, per_run: f64) -> Option<DVec2> {
    let half = 0.5 * per_run;
    let turn = 2.0 * (half < 1.0).then(|| half.asin())?;
    let a = Ray::through(eye, foot).at;
    let b = Ray::through(eye, towards).at;
    let side = a.cross(b).y.signum();
    // Turning about Y takes -Z to -X, so that a positive turn goes to the left.
    let outline = glam::DQuat::from_rotation_y(side * turn) * DVec3::new(a.x, 0.0, a.z);
    let across = eye.rotation() * outline.cross(DVec3::Y);
    let normal = across.truncate();
    let off = normal.dot(towards - eye.principal) + across.z * eye.focal;
    let head = towards - normal * (off / normal.length_squared());
    (head.is_finite() && eye.ray(head).dot(outline) > 0.0).then_some(head)
}

/// The opposite point of the outline of a ball whose diameter is `per_run` times the horizontal
/// distance of its centre, on the side of `towards`. With h half the angle between the sight lines,
/// a to the foot and x square to it, 2 sin h = k |horizontal part of (a cos h + x sin h)| is a
/// quadratic equation for tan h.
pub(crate) fn ball_head(eye: &Eye, foot: DVec2, towards: DVec2, per_run: f64) -> Option<DVec2> {
    let a = Ray::through(eye, foot).at.normalize();
    let b = Ray::through(eye, towards).at.normalize();
    let x = (b - a * a.dot(b)).try_normalize()?;
    let (level_a, level_x) = (a * LEVEL, x * LEVEL);
    let squared = per_run * per_run;
    let square = 4.0 - squared * level_x.length_squared();
    let linear = squared * level_a.dot(level_x);
    let constant = squared * level_a.length_squared();
    let root = (linear * linear + square * constant).sqrt();
    let half = (square > 0.0).then(|| ((linear + root) / square).atan())?;
    eye.project(a * (2.0 * half).cos() + x * (2.0 * half).sin())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::derivative_check::{check, eye, headings};
    use crate::{Span, head_at, run_per_clearance, span_per_run};

    const FOOT: DVec2 = DVec2::new(0.21, 0.45);
    const HEAD: DVec2 = DVec2::new(0.33, 0.2);

    #[test]
    fn derivatives_of_round_spans_match_numerical_ones() {
        for span in [Span::Cylinder, Span::Ball] {
            check(&format!("{span:?}"), FOOT, HEAD, |e, h, f, p| span_per_run(e, h, f, p, span));
        }
        check("axis", FOOT, HEAD, axis_per_outline);
        for (side, up) in [(Side::Below, 0.0), (Side::Above, 1.2)] {
            let (foot, head) = (FOOT - DVec2::Y * up, HEAD - DVec2::Y * up);
            check("ball", foot, head, |e, h, f, p| ball_run_per_clearance(e, h, f, p, side));
        }
    }

    /// Points where sight lines touch a tower of radius 3 whose axis stands 20 off, the first on the
    /// ground 5 below the eye, the other at some height.
    #[test]
    fn a_tower_has_its_diameter_and_its_axis_its_distance() {
        let (eye, headings) = (eye(), headings());
        let (axis, radius, ground) = (DVec3::new(6.0, 0.0, -19.0), 3.0, -5.0);
        let distance = axis.length();
        let half = (radius / distance).asin();
        let touch = |turn: f64, height: f64| {
            let along = glam::DQuat::from_rotation_y(turn) * axis * half.cos().powi(2);
            let along = along / half.cos();
            eye.project(along + DVec3::Y * height).unwrap()
        };
        for height in [ground, 2.0, 9.0] {
            for side in [1.0, -1.0] {
                let (foot, head) = (touch(side * half, ground), touch(-side * half, height));
                let per_run = span_per_run(&eye, &headings, foot, head, Span::Cylinder).unwrap();
                assert!((per_run.value.exp() * distance - 2.0 * radius).abs() < 1e-9);
                let tangent = run_per_clearance(&eye, &headings, foot, Side::Below).unwrap();
                let correction = axis_per_outline(&eye, &headings, foot, head).unwrap();
                let axis_run = (tangent.value + correction.value).exp() * -ground;
                assert!((axis_run - distance).abs() < 1e-9, "{axis_run}");
            }
        }
    }

    /// Sight lines that touch a ball of radius 2 on opposite sides, turned about the line to its
    /// centre by any angle.
    #[test]
    fn a_ball_has_its_diameter_and_touches_its_level() {
        let (eye, headings) = (eye(), headings());
        let radius = 2.0;
        for (centre, side) in [
            (DVec3::new(-3.0, -4.0, -15.0), Side::Below),
            (DVec3::new(3.0, 9.0, -15.0), Side::Above),
        ] {
            let run = centre.x.hypot(centre.z);
            let clearance = centre.y.abs() + radius;
            let half = (radius / centre.length()).asin();
            for turn in [0.0, 0.7, 2.0, 3.5] {
                let across = glam::DQuat::from_axis_angle(centre.normalize(), turn)
                    * centre.normalize().any_orthonormal_vector();
                let ray =
                    |sign: f64| centre.normalize() * half.cos() + across * (sign * half.sin());
                let (foot, head) =
                    (eye.project(ray(1.0)).unwrap(), eye.project(ray(-1.0)).unwrap());
                let per_run = span_per_run(&eye, &headings, foot, head, Span::Ball).unwrap();
                assert!((per_run.value.exp() * run - 2.0 * radius).abs() < 1e-9);
                let stands = ball_run_per_clearance(&eye, &headings, foot, head, side).unwrap();
                assert!((stands.value.exp() * clearance - run).abs() < 1e-9, "{side:?} {turn}");
            }
        }
    }

    #[test]
    fn a_floating_ball_is_where_the_middle_of_its_shadow_says() {
        let (eye, headings, light) = (eye(), headings(), Family::Incline(0));
        let tip = DVec3::new(2.0, -3.0, -12.0);
        let centre = tip + headings.direction(light) * 3.0;
        let half = (0.8 / centre.length()).asin();
        let towards = centre.normalize();
        let across = towards.any_orthonormal_vector();
        let outline = [1.0, -1.0]
            .map(|sign| eye.project(towards * half.cos() + across * (sign * half.sin())).unwrap());
        let tip = eye.project(tip).unwrap();
        let read = |e: &Eye, h: &Headings, outline, tip| {
            ball_run_by_shadow(e, h, outline, tip, light, Side::Below)
        };
        let (ratio, by_tip) = read(&eye, &headings, outline, tip).unwrap();
        assert!((ratio.value.exp() * 3.0 - centre.x.hypot(centre.z)).abs() < 1e-9);
        let [foot, head] = outline;
        check("ball's shadow", foot, head, |e, h, foot, head| Ok(read(e, h, [foot, head], tip)?.0));
        let [step, value] = [1e-6, ratio.value];
        let by_v = read(&eye, &headings, outline, tip + DVec2::Y * step).unwrap().0.value - value;
        assert!((by_v / step - by_tip.y).abs() < 1e-3 * by_tip.y.abs());
    }

    #[test]
    fn a_round_thing_of_the_size_read_from_the_picture_ends_where_it_was_drawn() {
        let (eye, headings) = (eye(), headings());
        for span in [Span::Cylinder, Span::Ball] {
            for (foot, head) in [(FOOT, HEAD), (HEAD, FOOT)] {
                let size = span_per_run(&eye, &headings, foot, head, span).unwrap().value.exp();
                let drawn = head_at(&eye, &headings, foot, head, span, size).unwrap();
                assert!(drawn.distance(head) < 1e-12, "{span:?} {drawn}");
                let larger = head_at(&eye, &headings, foot, head, span, 1.3 * size).unwrap();
                let again = span_per_run(&eye, &headings, foot, larger, span).unwrap().value.exp();
                assert!((again / (1.3 * size) - 1.0).abs() < 1e-9, "{span:?}");
                assert!(head_at(&eye, &headings, foot, head, span, 40.0).is_none());
            }
        }
    }

    #[test]
    fn two_points_of_one_outline_have_no_diameter_between_them() {
        let (eye, headings) = (Eye::default(), headings());
        let (foot, head) = (DVec2::new(0.1, 0.2), DVec2::new(0.1, -0.1));
        let span = |span| span_per_run(&eye, &headings, foot, head, span);
        assert_eq!(span(Span::Cylinder).unwrap_err(), Fault::NoLength);
        assert!(span(Span::Ball).is_ok());
        let ball = |side| ball_run_per_clearance(&eye, &headings, head, head * 0.99, side);
        assert_eq!(ball(Side::Below).unwrap_err(), Fault::BeyondHorizon);
    }
}
