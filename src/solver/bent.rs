//! Statements that logarithms do not make linear: heights that add up, and levels that curve.

use crate::network::Row;
use crate::{Side, Stated, World};

/// How the row of a statement follows from the values of its nodes.
///
/// The row that the ledger keeps for it says what was read from the picture: its value is the reading,
/// its drift the reading's derivatives by the eye.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Bend {
    /// A foot on a level that curves: ln D = ln d(c, t). The reading is ln k = -ln |t|, t the tangent of
    /// the sight line's depression; over a flat level the row holds as it is, but for a foot `near` the
    /// horizon: there the error of t is normal and that of ln t is not.
    Curve { distance: usize, clearance: usize, side: Side, world: World, near: bool },
    /// One height lies so far over another, h - h' = s. The reading, if there is one, is the rise of the
    /// sight line to the upper one.
    Step { upper: Height, lower: Height, by: Stated },
}

/// A height over the eye: so many times the length that a node is the logarithm of, and what a curved
/// world falls away over that length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Height {
    pub(crate) node: usize,
    pub(crate) per: f64,
    pub(crate) falls: World,
}

impl Height {
    /// Of a level, by its ln clearance.
    pub(crate) fn of_level(node: usize, side: Side) -> Self {
        let per = match side {
            Side::Below => -1.0,
            Side::Above => 1.0,
        };
        Self { node, per, falls: World::FLAT }
    }

    fn at(self, values: &[f64]) -> f64 {
        let length = values[self.node].exp();
        self.per * length + self.falls.drop(length)
    }

    /// Derivative by the node.
    fn slope(self, values: &[f64]) -> f64 {
        let length = values[self.node].exp();
        length * (self.per + (length / self.falls.effective_radius()).sin())
    }
}

/// A statement as a linear row, good near the values that it was made for.
pub(crate) struct Straightened {
    pub(crate) row: Row,
    /// Derivative of the row's value by the reading.
    pub(crate) by_reading: f64,
    /// Variance that does not come from the reading.
    pub(crate) variance: f64,
}

impl Bend {
    /// How far a sight line runs above the visible horizon of a level that curves: the logarithm of the
    /// tangent of the dip over that of the reading. `None` for other statements, and for a level above
    /// the eye, which curves down into sight.
    pub(crate) fn above_horizon(&self, reading: &Row, values: &[f64]) -> Option<f64> {
        match *self {
            Self::Curve { clearance, side: Side::Below, world, .. } => {
                let dip = world.dip(values[clearance].exp());
                Some(dip.tan().ln() + reading.value)
            }
            Self::Curve { side: Side::Above, .. } | Self::Step { .. } => None,
        }
    }

    /// The row of a curved level where the eye is lower over it, low enough for its visible horizon to be
    /// beyond the point that was read: where to go on from values that put it out of sight.
    pub(crate) fn seen_from_below(&self, reading: &Row, values: &[f64]) -> Option<Straightened> {
        let Self::Curve { clearance, side: Side::Below, world, .. } = *self else { return None };
        // The dip of the horizon is to be nine tenths of the depression.
        let depression = (0.9 * (-reading.value).exp()).atan();
        let height = world.effective_radius() * (1.0 / depression.cos() - 1.0);
        let mut values = values.to_vec();
        values[clearance] = height.ln();
        self.straightened(reading, &values)
    }

    /// The row at these values of the nodes; `None` where the statement cannot be true of them.
    pub(crate) fn straightened(&self, reading: &Row, values: &[f64]) -> Option<Straightened> {
        let (terms, value, by_reading, variance) = match *self {
            Self::Curve { distance, clearance, world, .. } if world.is_flat() => {
                // t - c / D = 0, over what c / D is there.
                let difference = values[distance] - values[clearance];
                let by_reading = (difference - reading.value).exp();
                let terms = [(distance, 1.0), (clearance, -1.0)];
                (terms, difference + 1.0 - by_reading, by_reading, 0.0)
            }
            Self::Curve { distance, clearance, side, world, .. } => {
                let sign = match side {
                    Side::Below => 1.0,
                    Side::Above => -1.0,
                };
                let tangent = sign * (-reading.value).exp();
                let ln_clearance = values[clearance];
                let found = world.distance_of(sign * ln_clearance.exp(), tangent)?;
                let slope = found.by_ln_clearance;
                let terms = [(distance, 1.0), (clearance, -slope)];
                let value = found.distance.ln() - slope * ln_clearance;
                (terms, value, -tangent * found.by_tangent, 0.0)
            }
            Self::Step { upper, lower, by } => {
                let step = by.value;
                let terms = [
                    (upper.node, upper.slope(values) / step),
                    (lower.node, -lower.slope(values) / step),
                ];
                let there: f64 = terms.iter().map(|(node, c)| c * values[*node]).sum();
                let missing = 1.0 - (upper.at(values) - lower.at(values)) / step;
                let by_rise = -values[upper.node].exp() / step;
                (terms, there + missing, by_rise, by.spread * by.spread)
            }
        };
        let drift = reading.drift.iter().map(|d| by_reading * d).collect();
        let row = Row { drift, ..Row::sum(terms, value) };
        let sound = row.value.is_finite() && by_reading.is_finite();
        let sound = sound && row.terms.iter().all(|(_, c)| c.is_finite());
        sound.then_some(Straightened { row, by_reading, variance })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The value that a straightened row asks of its first node, the others being what they are.
    fn asked(row: &Row, values: &[f64]) -> f64 {
        let rest: f64 = row.terms[1..].iter().map(|(n, c)| c * values[*n]).sum();
        (row.value - rest) / row.terms[0].1
    }

    #[test]
    fn a_step_is_kept_where_the_heights_make_it() {
        // A terrace 4 m below the eye, 6 m over a ground 10 m below it.
        let by = Stated { value: 6.0, spread: 0.01 };
        let [upper, lower] = [0, 1].map(|node| Height::of_level(node, Side::Below));
        let bend = Bend::Step { upper, lower, by };
        let values = [4_f64.ln(), 10_f64.ln()];
        let row = bend.straightened(&Row::sum([], 0.0), &values).unwrap().row;
        assert!((asked(&row, &values) - values[0]).abs() < 1e-12);
    }

    #[test]
    fn a_foot_near_the_horizon_is_weighed_by_the_tangent_that_is_to_be_seen() {
        let (distance, clearance, side) = (0, 1, Side::Below);
        let bend = Bend::Curve { distance, clearance, side, world: World::FLAT, near: true };
        // Seen at a tangent of 0.01, but 400 off from a height of 2: it should be seen at 0.005.
        let values = [400_f64.ln(), 2_f64.ln()];
        let found = bend.straightened(&Row::sum([], -(0.01_f64.ln())), &values).unwrap();
        let misfit = values[0] - values[1] - found.row.value;
        assert!((misfit - (0.01 - 0.005) / 0.005).abs() < 1e-12);
        // An error of 1 % of what was read is one of 2 % of what should be.
        assert!((found.by_reading - 2.0).abs() < 1e-12);
    }

    #[test]
    fn a_curved_level_out_of_sight_is_seen_from_below() {
        let world = World { radius: 6e6, refraction: 0.0 };
        let (distance, clearance, side) = (0, 1, Side::Below);
        let bend = Bend::Curve { distance, clearance, side, world, near: false };
        let reading = Row::sum([], -(0.003_f64.ln()));
        let too_high = [9e3_f64.ln(), 40_f64.ln()];
        assert!(bend.straightened(&reading, &too_high).is_none());
        assert!(bend.above_horizon(&reading, &too_high).unwrap() > 0.0);
        assert!(bend.seen_from_below(&reading, &too_high).is_some());
    }

    #[test]
    fn derivatives_of_bent_rows_match_numerical_ones() {
        let by = Stated { value: 1.7, spread: 0.06 };
        let world = World { radius: 3000.0, refraction: 0.1 };
        let upper = Height { node: 0, per: -0.02, falls: world };
        let lower = Height::of_level(1, Side::Below);
        let bends = [
            Bend::Step { upper, lower, by },
            Bend::Curve { distance: 0, clearance: 1, side: Side::Below, world, near: false },
            Bend::Curve { distance: 0, clearance: 1, side: Side::Above, world, near: false },
        ];
        let values = [80_f64.ln(), 4_f64.ln()];
        let misfit = |bend: &Bend, reading: f64, values: &[f64]| {
            // The row at its own point tells the misfit there.
            let row = bend.straightened(&Row::sum([], reading), values).unwrap().row;
            row.terms.iter().map(|(n, c)| c * values[*n]).sum::<f64>() - row.value
        };
        const STEP: f64 = 1e-6;
        for bend in bends {
            let reading = if matches!(bend, Bend::Step { .. }) { -0.02 } else { 2.6 };
            let bend_at = |r: f64| match bend {
                Bend::Step { upper, lower, by } => {
                    Bend::Step { upper: Height { per: r, ..upper }, lower, by }
                }
                curve @ Bend::Curve { .. } => curve,
            };
            let there = bend.straightened(&Row::sum([], reading), &values).unwrap();
            for (node, coefficient) in there.row.terms.iter().copied() {
                let moved = |by: f64| {
                    let mut values = values;
                    values[node] += by;
                    misfit(&bend, reading, &values)
                };
                let numerical = (moved(STEP) - moved(-STEP)) / (2.0 * STEP);
                assert!((numerical - coefficient).abs() < 1e-6, "{bend:?} {node}");
            }
            let moved = |by: f64| misfit(&bend_at(reading + by), reading + by, &values);
            let numerical = (moved(STEP) - moved(-STEP)) / (2.0 * STEP);
            assert!((numerical + there.by_reading).abs() < 1e-5, "{bend:?}");
        }
    }
}
