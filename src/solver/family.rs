use crate::eye_parameters::Parameter;
use glam::DVec3;

/// Lines that are parallel in the scene. Blocks and inclines are numbered from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Family {
    /// Plumb lines.
    Upright,
    /// Level lines along a block's heading.
    RecedingRight(usize),
    /// Level lines square to a block's heading, to its left.
    RecedingLeft(usize),
    /// Lines along an incline's heading that rise with its slope.
    Incline(usize),
    /// Level lines straight below or above an incline's lines: the foot of a ramp's wall, or on the
    /// ground the shadow of an upright where the incline is the sun's rays.
    Run(usize),
}

/// Where blocks and inclines are turned, relative to straight ahead.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Headings {
    /// Heading of each block's receding-right family, radians, clockwise from straight ahead.
    pub blocks: Vec<f64>,
    /// Heading and slope of each incline, radians; a positive slope rises along the heading.
    pub inclines: Vec<[f64; 2]>,
}

impl Headings {
    /// Unit scene direction of a family (world axes: X right, Y up, -Z ahead).
    ///
    /// # Panics
    /// If the family's block or incline does not exist.
    #[must_use]
    pub fn direction(&self, family: Family) -> DVec3 {
        match family {
            Family::Upright => DVec3::Y,
            Family::RecedingRight(block) => level_direction(self.blocks[block]),
            Family::RecedingLeft(block) => {
                level_direction(self.blocks[block] - std::f64::consts::FRAC_PI_2)
            }
            Family::Incline(incline) => {
                let [heading, slope] = self.inclines[incline];
                level_direction(heading) * slope.cos() + DVec3::Y * slope.sin()
            }
            Family::Run(incline) => level_direction(self.inclines[incline][0]),
        }
    }

    /// Derivatives of a family's direction, each with the index of its parameter in the order of
    /// [`EyeFit::covariance`](crate::EyeFit): three of the eye, the blocks, the inclines.
    pub(crate) fn direction_derivatives(&self, family: Family) -> [Option<(usize, DVec3)>; 2] {
        let quarter = std::f64::consts::FRAC_PI_2;
        match family {
            Family::Upright => [None, None],
            Family::RecedingRight(b) => {
                let turned = level_direction(self.blocks[b] + quarter);
                [Some((self.block_parameter(b), turned)), None]
            }
            Family::RecedingLeft(b) => {
                [Some((self.block_parameter(b), level_direction(self.blocks[b]))), None]
            }
            Family::Incline(i) => {
                let [heading, slope] = self.inclines[i];
                let at = self.incline_parameter(i);
                let turned = level_direction(heading + quarter) * slope.cos();
                let raised = level_direction(heading) * -slope.sin() + DVec3::Y * slope.cos();
                [Some((at, turned)), Some((at + 1, raised))]
            }
            Family::Run(i) => {
                let turned = level_direction(self.inclines[i][0] + quarter);
                [Some((self.incline_parameter(i), turned)), None]
            }
        }
    }

    /// Index of a block's heading among the parameters of the eye.
    pub(crate) fn block_parameter(&self, block: usize) -> usize {
        Parameter::EYE + block
    }

    /// Index of an incline's heading among the parameters of the eye; its slope follows.
    pub(crate) fn incline_parameter(&self, incline: usize) -> usize {
        Parameter::EYE + self.blocks.len() + 2 * incline
    }

    /// Whether all lie within half a turn and all slopes within a quarter.
    pub(crate) fn are_folded(&self) -> bool {
        use std::f64::consts::FRAC_PI_2;
        let within = |angle: &f64| -FRAC_PI_2 < *angle && *angle <= FRAC_PI_2;
        self.blocks.iter().all(within) && self.inclines.iter().flatten().all(within)
    }

    /// How many parameters the eye and these headings have together, without the principal point.
    pub(crate) fn parameters(&self) -> usize {
        Parameter::EYE + self.blocks.len() + 2 * self.inclines.len()
    }
}

/// The level direction of a heading: (sin h, 0, -cos h).
fn level_direction(heading: f64) -> DVec3 {
    DVec3::new(heading.sin(), 0.0, -heading.cos())
}

/// Heading of a direction, clockwise from straight ahead, folded into (-90, 90] degrees because a
/// line has no front and back. A plumb direction has heading 0.
pub(crate) fn heading_of(direction: DVec3) -> f64 {
    fold_half_turn(direction.x.atan2(-direction.z))
}

/// Heading and slope of a line's direction, the line taken from near to far.
pub(crate) fn heading_and_slope(direction: DVec3) -> [f64; 2] {
    let ahead = if direction.z > 0.0 { -direction } else { direction };
    [heading_of(ahead), ahead.y.clamp(-1.0, 1.0).asin()]
}

/// An angle brought into (-90, 90] degrees by half turns, radians.
pub(crate) fn fold_half_turn(angle: f64) -> f64 {
    use std::f64::consts::{FRAC_PI_2, PI};
    let folded = (angle + FRAC_PI_2).rem_euclid(PI) - FRAC_PI_2;
    if folded <= -FRAC_PI_2 { FRAC_PI_2 } else { folded }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn receding_families_of_a_block_are_square_to_each_other() {
        let headings = Headings { blocks: vec![0.6], inclines: vec![] };
        let right = headings.direction(Family::RecedingRight(0));
        let left = headings.direction(Family::RecedingLeft(0));
        assert!(right.dot(left).abs() < 1e-15);
        assert!(right.x > 0.0 && left.x < 0.0 && right.z < 0.0 && left.z < 0.0);
    }

    #[test]
    fn a_run_is_level_and_straight_below_its_incline() {
        let headings = Headings { blocks: vec![], inclines: vec![[0.7, 0.5]] };
        let run = headings.direction(Family::Run(0));
        let incline = headings.direction(Family::Incline(0));
        assert_eq!(run.y, 0.0);
        assert!((run.length() - 1.0).abs() < 1e-15);
        assert!((run.dot(incline) - 0.5_f64.cos()).abs() < 1e-15);
        assert!((heading_of(run) - 0.7).abs() < 1e-15);
    }

    #[test]
    fn derivatives_of_directions_match_numerical_ones() {
        let at = Headings { blocks: vec![0.6], inclines: vec![[0.3, -0.2]] };
        for family in
            [Family::RecedingRight(0), Family::RecedingLeft(0), Family::Incline(0), Family::Run(0)]
        {
            for (parameter, derivative) in at.direction_derivatives(family).into_iter().flatten() {
                let step = 1e-6;
                let moved = |by: f64| {
                    let mut h = at.clone();
                    match parameter {
                        3 => h.blocks[0] += by,
                        4 => h.inclines[0][0] += by,
                        _ => h.inclines[0][1] += by,
                    }
                    h.direction(family)
                };
                let numerical = (moved(step) - moved(-step)) / (2.0 * step);
                assert!((numerical - derivative).length() < 1e-9, "{family:?} {parameter}");
            }
        }
    }

    #[test]
    fn headings_fold_into_half_a_turn() {
        assert!((fold_half_turn(3.0) - (3.0 - std::f64::consts::PI)).abs() < 1e-12);
        assert!((heading_of(DVec3::new(1.0, 0.0, 0.0)).to_degrees() - 90.0).abs() < 1e-9);
        assert!((heading_of(DVec3::new(-1.0, 0.0, 0.0)).to_degrees() - 90.0).abs() < 1e-9);
    }
}
