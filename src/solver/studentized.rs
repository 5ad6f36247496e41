//! Studentized residuals: residuals measured against the scatter that the network itself shows.

use crate::{Adjustment, RowResult};

/// A residual in units of its standard deviation, the variance of unit weight estimated from the
/// adjustment instead of taken as stated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Studentized {
    /// Internally studentized, Pope's tau: w / s0, s0 estimated from all observations. Never beyond the
    /// square root of the degrees of freedom (Pope, *The Statistics of Residuals and the Detection of
    /// Outliers*, NOAA Technical Report NOS 65 NGS 1, 1976).
    pub internal: f64,
    /// Externally studentized: w / s0, s0 estimated from all other observations, so that a gross error
    /// does not hide behind itself; Student's t with one degree of freedom less than the adjustment
    /// (Cook & Weisberg, *Residuals and Influence in Regression*, 1982, section 2.2.1). Infinite where
    /// all others agree exactly; `None` with a single degree of freedom, where nothing is left to
    /// estimate s0 from.
    pub external: Option<f64>,
}

impl Adjustment {
    /// Variance factor s0^2 = v'Pv / f, about 1 where the stated spreads are those of the network, f the
    /// degrees of freedom. `None` without any.
    #[must_use]
    pub fn variance_factor(&self) -> Option<f64> {
        let freedom = self.degrees_of_freedom as f64;
        (freedom > 0.0).then(|| self.weighted_squares / freedom)
    }

    /// Studentized residual of one of this adjustment's rows, from its standardized residual w (for a
    /// row of a correlated group as well). `None` where nothing tests the row, or where everything
    /// agrees so exactly that there is no scatter to measure by. Consider parameters widen w's standard
    /// deviation and are no part of this theory: where they do, both come out smaller.
    #[must_use]
    pub fn studentized(&self, row: &RowResult) -> Option<Studentized> {
        let factor = self.variance_factor().filter(|factor| *factor > 0.0)?;
        if row.detectable.is_infinite() {
            return None;
        }
        let internal = row.standardized / factor.sqrt();
        let freedom = self.degrees_of_freedom as f64;
        // Rounding may carry tau over its bound.
        let rest = (freedom - internal * internal).max(0.0);
        let external = internal * ((freedom - 1.0) / rest).sqrt();
        let external = (self.degrees_of_freedom > 1 && !external.is_nan()).then_some(external);
        Some(Studentized { internal, external })
    }
}

#[cfg(test)]
mod tests {
    use crate::{Group, Network, Row, adjust};

    fn measured_thrice(values: [f64; 3]) -> Network {
        let group = |value| Group::single(Row::absolute(0, value), 0.1);
        Network { nodes: 1, groups: values.map(group).into(), ..Network::default() }
    }

    #[test]
    fn one_value_against_two_that_agree_is_as_far_out_as_tau_can_be() {
        let adjusted = adjust(&measured_thrice([0.0, 0.0, 0.3])).unwrap();
        let studentized = adjusted.studentized(&adjusted.rows[2][0]).unwrap();
        assert!((studentized.internal + 2_f64.sqrt()).abs() < 1e-7, "{studentized:?}");
        assert!(studentized.external.unwrap() < -1e6, "{studentized:?}");
    }

    #[test]
    fn the_stated_spread_does_not_matter() {
        let mut network = measured_thrice([0.0, 0.1, 0.3]);
        let tau = |network: &Network| {
            let adjusted = adjust(network).unwrap();
            adjusted.studentized(&adjusted.rows[2][0]).unwrap().internal
        };
        let before = tau(&network);
        network.groups.iter_mut().for_each(|g| g.covariance *= 9.0);
        assert!((tau(&network) - before).abs() < 1e-12);
    }

    #[test]
    fn where_nothing_is_tested_or_nothing_scatters_there_is_no_answer() {
        let mut network = measured_thrice([0.2; 3]);
        let adjusted = adjust(&network).unwrap();
        let squares = adjusted.weighted_squares;
        assert!(squares < 1e-20, "{squares}");
        network.groups.truncate(1);
        let adjusted = adjust(&network).unwrap();
        assert_eq!(adjusted.variance_factor(), None);
        assert_eq!(adjusted.studentized(&adjusted.rows[0][0]), None);
    }
}
