//! The Norris data set of the NIST Statistical Reference Datasets (public domain): a straight line
//! through 36 calibrations of an ozone monitor, <https://www.itl.nist.gov/div898/strd/lls/data/Norris.shtml>.
//! Intercept and slope are the two nodes of a network whose observations have the coefficients 1 and x.

use staffage_solver::{Group, Network, Row, adjust};

const X: [f64; 36] = [
    0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5,
    666.9, 338.0, 447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2,
    999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5,
];
const Y: [f64; 36] = [
    0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1,
    668.8, 339.3, 448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0,
    998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2,
];

/// The network, every observation with this standard deviation.
fn norris(sd: f64) -> Network {
    let group = |(x, y)| Group::single(Row::sum([(0, 1.0), (1, x)], y), sd);
    Network { nodes: 2, groups: X.into_iter().zip(Y).map(group).collect(), ..Network::default() }
}

fn digits(value: f64, certified: f64, what: &str) {
    let relative = (value / certified - 1.0).abs();
    assert!(relative < 1e-10, "{what}: {value} is not {certified} ({relative:.1e})");
}

#[test]
fn the_certified_line_comes_out_to_ten_digits() {
    let adjusted = adjust(&norris(1.0)).unwrap();
    let scale = adjusted.variance_factor().unwrap().sqrt();
    assert_eq!(adjusted.degrees_of_freedom, 34);
    digits(adjusted.values[0], -0.262323073774029, "intercept");
    digits(adjusted.values[1], 1.00211681802045, "slope");
    digits(scale, 0.884796396144373, "residual standard deviation");
    digits(scale * adjusted.sd[0], 0.232818234301152, "its standard deviation");
    digits(scale * adjusted.sd[1], 0.429796848199937e-3, "the slope's standard deviation");
}

#[test]
fn the_residual_spread_stated_beforehand_gives_the_certified_standard_deviations() {
    let adjusted = adjust(&norris(0.884796396144373)).unwrap();
    digits(adjusted.variance_factor().unwrap(), 1.0, "variance factor");
    digits(adjusted.sd[0], 0.232818234301152, "the intercept's standard deviation");
    digits(adjusted.sd[1], 0.429796848199937e-3, "the slope's standard deviation");
}
