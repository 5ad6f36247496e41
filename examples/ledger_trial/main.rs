//! Tries the ledger on random scenes whose truth is known, and prints how often it was right.
//!
//! ```text
//! cargo run --release --example ledger_trial
//! ```
//!
//! The world is flat. Each scene is seen by a random eye (focal length 0.5 to 2 frame widths, uniform in its logarithm; pitch
//! ± 35°; cant ± 15°), which is read from five lines traced in each of three families. It has one to three
//! levels, 1.5 to 40 m below or above the eye, one in four with its height stated to 5 %, and 5 to 60
//! markers wherever they are seen: of ten, six are figures of 1.70 m ± 6 %, two are of the same make as
//! another to 2 %, two are 1 to 30 m tall and of unknown size. Besides, one in eight is a tower far off,
//! its foot near the horizon, of unknown size or known to 3 to 15 %. All spreads and slips are normally
//! distributed; every traced coordinate is off by 1.5 px of 2,300.
//!
//! Up to three lies are planted in it: a lie scales one marker's drawing by 1.5 to 4 times the minimal
//! detectable bias of what is known of its size, at least by what an eye notices, and on each level the
//! honest outnumber the liars two to one. A lie counts as found
//! when a finding that contradicts is about its marker or involves it; its marker is the culprit named
//! when the finding is about it. Every mend of every finding that contradicts is then made, and the scene
//! assessed again.

mod dice;
mod judge;
mod lies;
mod place;
mod tally;

use dice::Dice;
use rayon::prelude::*;
use tally::Tally;

const SCENES: u64 = 2000;

fn main() {
    let trials = (0..SCENES).into_par_iter().map(trial);
    trials.reduce(Tally::default, |a, b| a + b).print(SCENES);
}

fn trial(seed: u64) -> Tally {
    let mut dice = Dice::new(seed);
    let place::Place { mut scene, truth } = place::place(&mut dice);
    let fit = lies::read(&scene);
    let liars = lies::plant(&mut dice, &mut scene, &fit);
    judge::judge(&scene, &truth, &fit, &liars)
}
