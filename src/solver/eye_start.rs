//! Where to start looking for the eye: closed forms where they exist, a few guesses otherwise.

use crate::eye_problem::Problem;
use crate::family::{heading_and_slope, heading_of};
use crate::figures::horizon_of_figures;
use crate::{Eye, EyeEvidence, Family, Headings, PrincipalPoint, TracedLine};
use glam::{DMat2, DMat3, DVec2, DVec3};

/// Focal lengths tried when the vanishing points do not give one, frame widths.
const GUESSES: [f64; 4] = [1.0, 0.6, 1.8, 3.5];

/// Farthest from the frame's centre that a crop is believed to have left the principal point, frame
/// widths.
const FARTHEST_CROP: f64 = 0.75;

/// Starting points for the fit, the most promising first; never empty.
pub(crate) fn starts<'a>(problem: &Problem<'a>) -> impl Iterator<Item = (Eye, Headings)> + use<'a> {
    let evidence = problem.evidence;
    let points = Landmarks::of(evidence, horizon_of_figures(&problem.figures));
    let about_crop = points.orthocentre(evidence.principal).map(|p| points.about(p));
    let closed = about_crop.as_ref().unwrap_or(&points);
    let focal = evidence.focal.or_else(|| closed.focal());
    let closed = focal
        .filter(|f| (0.05..100.0).contains(f))
        .map(|focal| start_with(evidence, closed, focal));
    // Figures in one row leave it open how far off the horizon is.
    let level = points.figures.map(|_| Landmarks { figures: None, ..points.clone() });
    let level =
        level.map(|points| start_with(evidence, &points, focal.unwrap_or(evidence.assumed_focal)));
    let guesses = GUESSES
        .into_iter()
        .map(move |focal| start_with(evidence, &points, focal * evidence.assumed_focal));
    closed.into_iter().chain(level).chain(guesses)
}

/// Vanishing points of the families that have at least two lines and the horizon of the figures,
/// homogeneous, relative to the principal point.
#[derive(Clone)]
struct Landmarks {
    principal: DVec2,
    upright: Option<DVec3>,
    right: Vec<Option<DVec3>>,
    left: Vec<Option<DVec3>>,
    inclines: Vec<Option<DVec3>>,
    runs: Vec<Option<DVec3>>,
    /// (a, b, c) with a u + b v + c = 0.
    figures: Option<DVec3>,
}

impl Landmarks {
    /// As seen from where the principal point is taken to be.
    fn of(evidence: &EyeEvidence, figures: Option<DVec3>) -> Self {
        let of = |family| vanishing_point(evidence, family);
        let blocks = 0..evidence.blocks.len();
        let about_centre = Self {
            principal: DVec2::ZERO,
            upright: of(Family::Upright),
            right: blocks.clone().map(|b| of(Family::RecedingRight(b))).collect(),
            left: blocks.map(|b| of(Family::RecedingLeft(b))).collect(),
            inclines: (0..evidence.inclines.len()).map(|i| of(Family::Incline(i))).collect(),
            runs: (0..evidence.inclines.len()).map(|i| of(Family::Run(i))).collect(),
            figures,
        };
        match evidence.principal {
            PrincipalPoint::Free => about_centre,
            PrincipalPoint::Fixed(at) => about_centre.about(at),
        }
    }

    /// The same relative to another principal point.
    fn about(&self, principal: DVec2) -> Self {
        let by = principal - self.principal;
        let point = |v: &Option<DVec3>| v.map(|v| (v.truncate() - v.z * by).extend(v.z));
        let points = |all: &[Option<DVec3>]| all.iter().map(point).collect();
        Self {
            principal,
            upright: point(&self.upright),
            right: points(&self.right),
            left: points(&self.left),
            inclines: points(&self.inclines),
            runs: points(&self.runs),
            figures: self.figures.map(|l| l.truncate().extend(l.z + l.truncate().dot(by))),
        }
    }

    /// Those that lie on the horizon.
    fn level(&self) -> impl Iterator<Item = DVec3> + '_ {
        self.right.iter().chain(&self.left).chain(&self.runs).flatten().copied()
    }

    /// Pairs of vanishing points whose scene directions are square to each other.
    fn square_pairs(&self) -> impl Iterator<Item = (DVec3, DVec3)> + '_ {
        std::iter::zip(&self.right, &self.left)
            .flat_map(|(right, left)| {
                [right.zip(*left), right.zip(self.upright), left.zip(self.upright)]
            })
            .flatten()
    }

    /// A free principal point from the first block of which all three vanishing points are near: the
    /// orthocentre of their triangle (Caprile & Torre, IJCV 4 (1990) 127-140).
    fn orthocentre(&self, principal: PrincipalPoint) -> Option<DVec2> {
        if principal != PrincipalPoint::Free {
            return None;
        }
        let near = |v: Option<DVec3>| v.filter(|v| v.z.abs() > 1e-9).map(|v| v.truncate() / v.z);
        let c = near(self.upright)?;
        let (a, b) = std::iter::zip(&self.right, &self.left)
            .find_map(|(right, left)| near(*right).zip(near(*left)))?;
        // (p - a).(b - c) = 0 and (p - b).(a - c) = 0.
        let rows = DMat2::from_cols(b - c, a - c).transpose();
        let p = self.principal + rows.inverse() * DVec2::new(a.dot(b - c), b.dot(a - c));
        (p.length() < FARTHEST_CROP).then_some(p)
    }

    /// Focal length from the square pairs: f² = -(v1 - p).(v2 - p), Caprile & Torre, IJCV 4 (1990)
    /// 127-140; with several pairs the least-squares solution of v1.v2 + f² w1 w2 = 0.
    fn focal(&self) -> Option<f64> {
        let (mut top, mut bottom) = (0.0, 0.0);
        for (a, b) in self.square_pairs() {
            let depth = a.z * b.z;
            top -= depth * a.truncate().dot(b.truncate());
            bottom += depth * depth;
        }
        let squared = top / bottom;
        (bottom > 1e-12 && squared > 1e-6).then(|| squared.sqrt())
    }
}

/// The point that comes nearest to all lines of a family, weighting each line by its length.
fn vanishing_point(evidence: &EyeEvidence, family: Family) -> Option<DVec3> {
    let mut scatter = DMat3::ZERO;
    let mut count = 0;
    for line in &evidence.lines {
        if line.family != family || !line.says_something(evidence.pointing) {
            continue;
        }
        let n = line.from.extend(1.0).cross(line.to.extend(1.0));
        let n = n / n.truncate().length() * line.length();
        scatter += DMat3::from_cols(n * n.x, n * n.y, n * n.z);
        count += 1;
    }
    if count < 2 {
        return None;
    }
    // The eigenvector of the least eigenvalue, by power iteration on the adjugate, whose largest
    // eigenvalue is that of the same vector; two lines leave nothing but that vector.
    let DMat3 { x_axis, y_axis, z_axis } = scatter;
    let adjugate =
        DMat3::from_cols(y_axis.cross(z_axis), z_axis.cross(x_axis), x_axis.cross(y_axis));
    let columns = [adjugate.x_axis, adjugate.y_axis, adjugate.z_axis];
    let mut v = columns.into_iter().max_by(|a, b| a.length().total_cmp(&b.length()))?;
    for _ in 0..4 {
        v = (adjugate * v.try_normalize()?).try_normalize()?;
    }
    Some(v)
}

/// Orients an eye of a given focal length by whatever vanishing points there are.
fn start_with(evidence: &EyeEvidence, points: &Landmarks, focal: f64) -> (Eye, Headings) {
    let direction = |v: DVec3| DVec3::new(v.x, v.y, v.z * focal).normalize();
    let up = up_in_camera(evidence, points, focal, direction);
    let eye = Eye {
        focal,
        pitch: evidence.pitch.unwrap_or_else(|| up.z.clamp(-1.0, 1.0).asin()),
        cant: evidence.cant.unwrap_or_else(|| (-up.x).atan2(-up.y)),
        principal: points.principal,
    };
    let to_world = eye.rotation().transpose();
    let in_world = |v: DVec3| to_world * direction(v);
    let blocks = evidence.blocks.iter().enumerate().map(|(b, by_hand)| {
        by_hand.unwrap_or_else(|| {
            let right = points.right[b].map(|v| heading_of(in_world(v)));
            let left = points.left[b].map(|v| heading_to_the_right_of(in_world(v)));
            right.or(left).unwrap_or_else(|| single_line_heading(evidence, &eye, b))
        })
    });
    let inclines = std::iter::zip(&points.inclines, &points.runs).enumerate();
    let inclines = inclines.map(|(i, (incline, run))| {
        if let Some(v) = incline {
            return heading_and_slope(in_world(*v));
        }
        let run = run.map(|v| heading_of(in_world(v)));
        let heading = run.or_else(|| single_run_heading(evidence, &eye, i));
        heading.map_or([0.0, 0.0], |h| [h, single_line_slope(evidence, &eye, i, h)])
    });
    (eye, Headings { blocks: blocks.collect(), inclines: inclines.collect() })
}

/// Heading of a block by the direction of its receding-left family.
fn heading_to_the_right_of(left: DVec3) -> f64 {
    heading_of(DVec3::new(-left.z, left.y, left.x))
}

/// The scene's up direction in camera axes: from a traced horizon, from the zenith or nadir point,
/// from two level vanishing points, from figures, or from one level vanishing point with no cant.
fn up_in_camera(
    evidence: &EyeEvidence,
    points: &Landmarks,
    focal: f64,
    direction: impl Fn(DVec3) -> DVec3,
) -> DVec3 {
    let horizon = evidence.traced_horizon().and_then(|[a, b]| {
        let ray = |p: DVec2| (p - points.principal).extend(focal);
        (a.distance(b) > evidence.pointing).then(|| ray(a).cross(ray(b)))
    });
    let level: Vec<DVec3> = points.level().map(&direction).collect();
    let from_figures = points.figures.map(|l| l.truncate().extend(l.z / focal));
    let up = horizon
        .or_else(|| points.upright.map(&direction))
        .or_else(|| square_to_both(&level))
        .or(from_figures)
        // The horizon passes through the one level vanishing point, without cant.
        .or_else(|| Some(level.first()?.cross(DVec3::X)))
        .filter(|up| up.length() > 1e-9)
        .unwrap_or(DVec3::NEG_Y)
        .normalize();
    if up.y > 0.0 { -up } else { up }
}

/// The direction square to those two of the given ones that are farthest from parallel, unless all run
/// about the same way, like the lines of a street and those along the foot of a ramp in it.
fn square_to_both(directions: &[DVec3]) -> Option<DVec3> {
    /// About three degrees.
    const PARALLEL: f64 = 0.05;
    let others = |k: usize| &directions[k + 1..];
    let pairs =
        directions.iter().enumerate().flat_map(|(k, a)| others(k).iter().map(|b| a.cross(*b)));
    let widest = pairs.max_by(|a, b| a.length().total_cmp(&b.length()));
    widest.filter(|up| up.length() > PARALLEL)
}

/// Heading of a block that has a single line in a receding family.
fn single_line_heading(evidence: &EyeEvidence, eye: &Eye, block: usize) -> f64 {
    let met = |family| meets_horizon(evidence, eye, family);
    met(Family::RecedingRight(block))
        .map(heading_of)
        .or_else(|| met(Family::RecedingLeft(block)).map(heading_to_the_right_of))
        .unwrap_or(std::f64::consts::FRAC_PI_4)
}

/// Heading of an incline whose run has a single line.
fn single_run_heading(evidence: &EyeEvidence, eye: &Eye, incline: usize) -> Option<f64> {
    meets_horizon(evidence, eye, Family::Run(incline)).map(heading_of)
}

/// Slope of an incline of known heading whose single line lies in a plane through the eye: the
/// slope at which its direction lies in that plane too; 0 without a line.
fn single_line_slope(evidence: &EyeEvidence, eye: &Eye, incline: usize, heading: f64) -> f64 {
    let Some(line) = first_line(evidence, Family::Incline(incline)) else { return 0.0 };
    let plane = eye.ray(line.from).cross(eye.ray(line.to));
    let level = plane.x * heading.sin() - plane.z * heading.cos();
    if plane.y.abs() < 1e-12 { 0.0 } else { (-level / plane.y).atan() }
}

/// The scene direction of a level family from its first line: where that line meets the horizon.
fn meets_horizon(evidence: &EyeEvidence, eye: &Eye, family: Family) -> Option<DVec3> {
    let line = first_line(evidence, family)?;
    let meeting = line.from.extend(1.0).cross(line.to.extend(1.0)).cross(eye.horizon());
    let p = DVec3::new(
        meeting.x - eye.principal.x * meeting.z,
        meeting.y - eye.principal.y * meeting.z,
        meeting.z * eye.focal,
    );
    (p.length() > 1e-12).then(|| eye.rotation().transpose() * p)
}

fn first_line(evidence: &EyeEvidence, family: Family) -> Option<&TracedLine> {
    evidence.lines.iter().find(|l| l.family == family && l.says_something(evidence.pointing))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{TracedLine, fit_eye};

    /// Lines of a family through mid-points, as seen by an eye.
    fn traced(
        eye: &Eye,
        headings: &Headings,
        family: Family,
        places: &[(f64, f64)],
    ) -> Vec<TracedLine> {
        let v = eye.image(headings.direction(family));
        let line = |&(x, y): &(f64, f64)| {
            let middle = DVec2::new(x, y);
            let half = 0.1 * (v.truncate() - v.z * middle).normalize();
            TracedLine { family, from: middle - half, to: middle + half }
        };
        places.iter().map(line).collect()
    }

    #[test]
    fn a_ramp_along_its_street_leaves_no_cant_to_start_with() {
        let eye = Eye { focal: 0.9, pitch: 0.2, cant: 0.0, principal: DVec2::ZERO };
        let headings = Headings { blocks: vec![0.4], inclines: vec![[0.4, 0.3]] };
        let mut evidence = EyeEvidence::none(1.0 / 2300.0);
        evidence.inclines = vec![[None; 2]];
        for (family, off) in [(Family::RecedingRight(0), 0.0), (Family::Run(0), 1e-4)] {
            let places = [(-0.3, -0.1 + off), (0.25, 0.15), (0.05, -0.2)];
            evidence.lines.extend(traced(&eye, &headings, family, &places));
        }
        let (started, _) = starts(&Problem::new(&evidence)).next().unwrap();
        assert!(started.cant.abs() < 1e-6, "{started:?}");
        assert!(fit_eye(&evidence).eye.cant.abs() < 0.1);
    }

    #[test]
    fn one_line_down_a_ramp_and_one_along_its_foot_give_its_heading_and_slope() {
        let eye = Eye { focal: 0.9, pitch: 0.2, cant: -0.1, principal: DVec2::ZERO };
        let headings = Headings { blocks: vec![0.7], inclines: vec![[-0.4, 0.3]] };
        let mut evidence = EyeEvidence::none(1.0 / 2300.0);
        evidence.inclines = vec![[None; 2]];
        let places = [(-0.3, -0.1), (0.25, 0.15), (0.05, -0.2)];
        for family in [Family::Upright, Family::RecedingRight(0), Family::RecedingLeft(0)] {
            evidence.lines.extend(traced(&eye, &headings, family, &places));
        }
        for family in [Family::Incline(0), Family::Run(0)] {
            evidence.lines.extend(traced(&eye, &headings, family, &places[..1]));
        }
        let (_, started) = starts(&Problem::new(&evidence)).next().unwrap();
        let fit = fit_eye(&evidence);
        for k in 0..2 {
            assert!((started.inclines[0][k] - headings.inclines[0][k]).abs() < 1e-6);
            assert!((fit.headings.inclines[0][k] - headings.inclines[0][k]).abs() < 1e-6);
        }
        assert!(fit.is_known(Family::Run(0)) && fit.is_known(Family::Incline(0)));
    }
}
