//! Finding how far a thing must be moved for a quantity to come out right.

/// How far a search goes to either side: one frame width.
const REACH: f64 = 1.0;

/// Steps of the search within its reach: roots closer together than a five-hundredth of the frame are
/// taken for one.
const STEPS: i32 = 500;

/// The root of a function that lies nearest to zero within [`REACH`]; the function may be undefined in
/// places. `None` if it has none.
pub(super) fn nearest_root(of: impl Fn(f64) -> Option<f64>) -> Option<f64> {
    let side = |sign: f64| {
        let at = |k: i32| sign * REACH * f64::from(k) / f64::from(STEPS);
        let ends = (0..STEPS).map(|k| (at(k), at(k + 1)));
        ends.into_iter().find_map(|(a, b)| {
            let (low, high) = (of(a)?, of(b)?);
            if high == 0.0 {
                return Some(b);
            }
            (low * high < 0.0).then(|| bisected(&of, a, b))
        })
    };
    let roots = [side(1.0), side(-1.0)].into_iter().flatten();
    roots.min_by(|a, b| a.abs().total_cmp(&b.abs()))
}

fn bisected(of: &impl Fn(f64) -> Option<f64>, mut a: f64, mut b: f64) -> f64 {
    let sign = |t: f64| of(t).map(f64::signum);
    let at_a = sign(a);
    // Halving a step of the search 50 times reaches the last digit.
    for _ in 0..50 {
        let middle = 0.5 * (a + b);
        if sign(middle) == at_a { a = middle } else { b = middle }
    }
    0.5 * (a + b)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_root_nearest_to_zero_is_found_on_either_side() {
        let root = nearest_root(|t| Some((t - 0.3) * (t + 0.2))).unwrap();
        assert!((root + 0.2).abs() < 1e-12);
        assert_eq!(nearest_root(|_| Some(1.0)), None);
    }

    #[test]
    fn a_gap_in_the_function_is_stepped_over() {
        let root = nearest_root(|t| (t.abs() > 0.1).then_some(t - 0.4)).unwrap();
        assert!((root - 0.4).abs() < 1e-12);
    }
}
