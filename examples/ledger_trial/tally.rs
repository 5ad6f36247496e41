//! What came of the trials.

use std::ops::{Add, AddAssign};

/// How many of how many.
#[derive(Clone, Copy, Default)]
pub(crate) struct Share {
    pub(crate) part: usize,
    pub(crate) whole: usize,
}

impl Add for Share {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self { part: self.part + other.part, whole: self.whole + other.whole }
    }
}

impl AddAssign for Share {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Share {
    fn print(self, what: &str, bar: &str) {
        let Self { part, whole } = self;
        let percent = 100.0 * part as f64 / whole.max(1) as f64;
        println!("| {what} | {part} of {whole} | {percent:.2} % | {bar} |");
    }
}

#[derive(Clone, Copy, Default)]
pub(crate) struct Tally {
    /// Lies found, of those planted.
    pub(crate) found: Share,
    /// Of the lies found, those whose marker was named as the culprit.
    pub(crate) named: Share,
    /// Markers without a lie that were accused.
    pub(crate) accused: Share,
    /// True lengths inside their 95 % intervals.
    pub(crate) covered: Share,
    /// The same of markers whose foot is near the horizon.
    pub(crate) covered_near_horizon: Share,
    /// Findings for which a mend was offered.
    pub(crate) mendable: Share,
    /// Mends that, once made, left their finding gone and fewer findings than before.
    pub(crate) mended: Share,
}

impl Add for Tally {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self {
            found: self.found + other.found,
            named: self.named + other.named,
            accused: self.accused + other.accused,
            covered: self.covered + other.covered,
            covered_near_horizon: self.covered_near_horizon + other.covered_near_horizon,
            mendable: self.mendable + other.mendable,
            mended: self.mended + other.mended,
        }
    }
}

impl Tally {
    pub(crate) fn print(&self, scenes: u64) {
        println!("| {scenes} scenes | | | bar |");
        println!("| --- | --- | --- | --- |");
        self.found.print("lies found", "at least 95 %");
        self.named.print("of these, the right culprit named", "at least 90 %");
        self.accused.print("honest markers accused", "at most 0.5 %");
        let intervals = self.covered + self.covered_near_horizon;
        intervals.print("true lengths inside their 95 % intervals", "93 to 97 %");
        self.covered.print("of these, feet clear of the horizon", "93 to 97 %");
        self.covered_near_horizon
            .print("feet within five standard deviations of the horizon", "at least 93 %");
        self.mendable.print("findings for which a mend is offered", "");
        self.mended.print("mends that, when made, clear their finding", "at least 99 %");
    }
}
