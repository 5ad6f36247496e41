//! A scale chain worked step by step, then by the solver: figure → door → gate → far tower.
//!
//! ```text
//! cargo run --example ledger_by_hand
//! ```
//!
//! Every statement about scale is linear in logarithms, so that a chain of comparisons is a levelling
//! line: each ratio is a height difference, each known size a benchmark, and a contradiction is a loop
//! that does not close.

use staffage_solver::{AdjustError, Group, Network, Row, adjust, interval};

/// Things of the chain, as nodes of the network.
const NAMES: [&str; 4] = ["figure", "door", "gate", "far tower"];
const FIGURE: usize = 0;
const DOOR: usize = 1;
const GATE: usize = 2;
const TOWER: usize = 3;

/// What is seen in the painting: the first is so many times as large as the second, give or take.
const COMPARISONS: [(usize, usize, f64, f64); 4] = [
    (DOOR, FIGURE, 1.25, 0.03),
    (GATE, DOOR, 6.0, 0.04),
    (TOWER, GATE, 4.5, 0.05),
    // And straight across the chain, as a check.
    (TOWER, FIGURE, 32.0, 0.06),
];

/// The one benchmark: an adult.
const ADULT: (f64, f64) = (1.70, 0.06);

fn main() -> Result<(), AdjustError> {
    by_hand();
    println!("\nBy least squares, with the check across the chain:");
    by_solver(1.0)?;
    println!("\nThe same with the tower painted twice as large for the figure:");
    by_solver(2.0)
}

/// Along the chain alone: logarithms add, and so do variances.
fn by_hand() {
    let (mut ln, mut variance) = (ADULT.0.ln(), ADULT.1.powi(2));
    println!("Along the chain, by hand:");
    show(NAMES[FIGURE], ln, variance.sqrt());
    for (thing, _, ratio, spread) in &COMPARISONS[..3] {
        ln += ratio.ln();
        variance += spread * spread;
        println!("  × {ratio} (ln {:+.4}), spread √(…² + {spread}²)", ratio.ln());
        show(NAMES[*thing], ln, variance.sqrt());
    }
    let across = ADULT.0.ln() + COMPARISONS[3].2.ln();
    println!(
        "  the check across the chain misses it by {:+.1} %",
        100.0 * ((across - ln).exp() - 1.0)
    );
}

fn by_solver(lie: f64) -> Result<(), AdjustError> {
    let mut groups = vec![Group::single(Row::absolute(FIGURE, ADULT.0.ln()), ADULT.1)];
    for (k, (thing, than, ratio, spread)) in COMPARISONS.into_iter().enumerate() {
        let seen = if k == 3 { ratio * lie } else { ratio };
        groups.push(Group::single(Row::difference(thing, than, f64::ln(seen)), spread));
    }
    let adjusted = adjust(&Network { nodes: NAMES.len(), groups, ..Network::default() })?;
    for (node, name) in NAMES.into_iter().enumerate() {
        show(name, adjusted.values[node], adjusted.sd[node]);
    }
    for ((thing, than, ..), rows) in COMPARISONS.into_iter().zip(&adjusted.rows[1..]) {
        let row = rows[0];
        println!(
            "  {:>9} to {:<7} redundancy {:.2}, standardized residual {:+.2}, a lie smaller than ×{:.2} would pass unseen",
            NAMES[thing],
            NAMES[than],
            row.redundancy,
            row.standardized,
            row.detectable.exp(),
        );
    }
    Ok(())
}

fn show(name: &str, ln: f64, sd: f64) {
    let [low, value, high] = interval(ln, sd);
    println!("  {name:<9} {value:>7.2} m   95 % between {low:.2} and {high:.2} m");
}
