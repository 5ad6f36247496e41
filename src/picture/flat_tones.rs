//! The few flat tones that a picture's values group into.
//!
//! A painter who makes a study in two to five values asks: into which masses of light and dark does
//! this picture fall, and how much of it does each take? So the tones are the masses that are there,
//! not a fixed scale: even steps of L* from black to white would leave a picture in a low key in one
//! tone, and quantiles would give every tone the same area and hide that one mass carries the rest.
//! The picture is cut where that loses least: every mass is shown in its mean L*, and the sum of the
//! squares of what is lost by that, over all the picture, is the least that so many tones allow. For
//! two tones that is the threshold of N. Otsu, "A Threshold Selection Method from Gray-Level
//! Histograms", IEEE Transactions on Systems, Man, and Cybernetics 9 (1979); for more the exact
//! grouping of W. D. Fisher, "On Grouping for Maximum Homogeneity", Journal of the American
//! Statistical Association 53 (1958).

use crate::luminance::{WHITE, lightness};

/// Bins to one L*. Half a step cannot be told apart by eye; finer bins only cost time.
const BINS_PER_STEP: f64 = 2.0;
/// L* 0 to 100, both included.
const BINS: usize = 201;

/// How much of a picture has which L*.
pub(crate) struct Histogram([u64; BINS]);

impl Histogram {
    pub(crate) fn new() -> Self {
        Self([0; BINS])
    }

    /// Counts `weight` pixels of this luminance.
    pub(crate) fn add(&mut self, luminance: u16, weight: u64) {
        self.0[bin(luminance)] += weight;
    }

    /// The counts of two parts of a picture.
    pub(crate) fn merged(mut self, other: &Self) -> Self {
        self.0.iter_mut().zip(&other.0).for_each(|(count, more)| *count += more);
        self
    }
}

fn bin(luminance: u16) -> usize {
    let relative = f64::from(luminance) / f64::from(WHITE);
    ((lightness(relative) * BINS_PER_STEP).round() as usize).min(BINS - 1)
}

/// The tones of a picture, from dark to light.
pub(crate) struct FlatTones {
    /// Which tone each bin is shown in.
    tone_of_bin: [usize; BINS],
    /// L* of every tone.
    tones: Vec<f64>,
}

impl FlatTones {
    /// The `count` tones of a picture, or as many as it has different values. None for a picture in
    /// which nothing can be seen.
    pub(crate) fn of(histogram: &Histogram, count: usize) -> Option<Self> {
        let bins: Vec<(usize, f64)> = (0..BINS)
            .filter(|bin| histogram.0[*bin] > 0)
            .map(|bin| (bin, histogram.0[bin] as f64))
            .collect();
        let count = count.min(bins.len());
        if count == 0 {
            return None;
        }
        let sums = Sums::of(&bins);
        let starts = starts_of_groups(&sums, count);
        let tones = (0..count).map(|tone| {
            let end = starts.get(tone + 1).copied().unwrap_or(bins.len());
            sums.mean(starts[tone], end) / BINS_PER_STEP
        });
        let first_bins: Vec<usize> = starts.iter().map(|start| bins[*start].0).collect();
        // A bin that no pixel of the histogram is in goes with the tone below it.
        let tone_of_bin = std::array::from_fn(|bin| {
            first_bins.iter().rposition(|first| *first <= bin).unwrap_or(0)
        });
        Some(Self { tone_of_bin, tones: tones.collect() })
    }

    /// L* of each tone, from dark to light, and the share of the picture that is shown in it.
    pub(crate) fn shares(&self, histogram: &Histogram) -> Vec<(f64, f64)> {
        let all: u64 = histogram.0.iter().sum();
        let mut counts = vec![0; self.tones.len()];
        for (tone, count) in self.tone_of_bin.into_iter().zip(histogram.0) {
            counts[tone] += count;
        }
        let share = |count: u64| count as f64 / all.max(1) as f64;
        self.tones.iter().copied().zip(counts.into_iter().map(share)).collect()
    }

    /// L* of the tone that this luminance is shown in.
    pub(crate) fn tone(&self, luminance: u16) -> f64 {
        self.tones[self.tone_of_bin[bin(luminance)]]
    }
}

/// Running sums over the bins, so that what a group loses is known at once.
struct Sums {
    weight: Vec<f64>,
    first: Vec<f64>,
    second: Vec<f64>,
}

impl Sums {
    fn of(bins: &[(usize, f64)]) -> Self {
        let running = |term: &dyn Fn(f64, f64) -> f64| {
            let mut sum = 0.0;
            let sums = bins.iter().map(|(bin, weight)| {
                sum += term(*bin as f64, *weight);
                sum
            });
            std::iter::once(0.0).chain(sums).collect()
        };
        Self {
            weight: running(&|_, weight| weight),
            first: running(&|at, weight| weight * at),
            second: running(&|at, weight| weight * at * at),
        }
    }

    fn mean(&self, start: usize, end: usize) -> f64 {
        (self.first[end] - self.first[start]) / (self.weight[end] - self.weight[start])
    }

    /// Sum of the squares of the distances to the mean.
    fn lost(&self, start: usize, end: usize) -> f64 {
        let first = self.first[end] - self.first[start];
        self.second[end] - self.second[start] - first * self.mean(start, end)
    }
}

/// Where the groups start that together lose least, by dynamic programming over their ends.
fn starts_of_groups(sums: &Sums, count: usize) -> Vec<usize> {
    let bins = sums.weight.len() - 1;
    // least[end]: what the bins before `end` lose in the groups so far.
    let mut least: Vec<f64> =
        (0..=bins).map(|end| if end == 0 { 0.0 } else { sums.lost(0, end) }).collect();
    let mut start_of_last = vec![vec![0; bins + 1]];
    for groups in 2..=count {
        let mut starts = vec![0; bins + 1];
        let mut next = vec![f64::INFINITY; bins + 1];
        for end in groups..=bins {
            let cuts = (groups - 1..end).map(|start| (least[start] + sums.lost(start, end), start));
            if let Some((lost, start)) = cuts.min_by(|a, b| a.0.total_cmp(&b.0)) {
                (next[end], starts[end]) = (lost, start);
            }
        }
        least = next;
        start_of_last.push(starts);
    }
    let mut end = bins;
    let mut starts: Vec<usize> = start_of_last
        .iter()
        .rev()
        .map(|starts| {
            end = starts[end];
            end
        })
        .collect();
    starts.reverse();
    starts
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::luminance::luminance_of;

    fn luminance_at(lightness: f64) -> u16 {
        (luminance_of(lightness) * f64::from(WHITE)).round() as u16
    }

    fn histogram(masses: &[(f64, u64)]) -> Histogram {
        let mut histogram = Histogram::new();
        for (lightness, weight) in masses {
            histogram.add(luminance_at(*lightness), *weight);
        }
        histogram
    }

    fn tones(masses: &[(f64, u64)], count: usize) -> Vec<f64> {
        FlatTones::of(&histogram(masses), count).unwrap().tones
    }

    #[test]
    fn as_many_tones_as_masses_are_the_masses_whatever_their_size() {
        assert_eq!(tones(&[(20.0, 70), (50.0, 20), (90.0, 10)], 3), [20.0, 50.0, 90.0]);
    }

    #[test]
    fn two_tones_part_where_least_is_lost() {
        // By hand: {20} {50, 90} loses 20·13.3² + 10·26.7² = 10,667; {20, 50} {90} loses 14,000.
        let two = tones(&[(20.0, 70), (50.0, 20), (90.0, 10)], 2);
        assert_eq!(two[0], 20.0);
        assert!((two[1] - 190.0 / 3.0).abs() < 1e-9, "{two:?}");
    }

    #[test]
    fn a_low_key_still_parts_into_tones() {
        assert_eq!(tones(&[(4.0, 50), (6.0, 50), (18.0, 9)], 2), [5.0, 18.0]);
    }

    #[test]
    fn what_lies_between_two_tones_goes_with_its_mass() {
        let masses = [(10.0, 5), (12.0, 5), (60.0, 5), (64.0, 5)];
        let two = FlatTones::of(&histogram(&masses), 2).unwrap();
        let shown = [0.0, 12.0, 60.0, 100.0].map(|at| two.tone(luminance_at(at)));
        assert_eq!(shown, [11.0, 11.0, 62.0, 62.0]);
    }

    #[test]
    fn a_picture_of_fewer_values_has_fewer_tones() {
        assert_eq!(tones(&[(40.0, 1)], 5), [40.0]);
        assert!(FlatTones::of(&Histogram::new(), 3).is_none());
    }

    #[test]
    fn no_other_grouping_loses_less() {
        let masses: Vec<(f64, u64)> =
            (0..14u32).map(|i| (f64::from(i * i * 37 % 100), u64::from(1 + i * 7 % 11))).collect();
        let filled = histogram(&masses);
        let bins: Vec<(usize, f64)> = (0..BINS)
            .filter(|bin| filled.0[*bin] > 0)
            .map(|bin| (bin, filled.0[bin] as f64))
            .collect();
        let (sums, all) = (Sums::of(&bins), bins.len());
        let lost = |a: usize, b: usize| sums.lost(0, a) + sums.lost(a, b) + sums.lost(b, all);
        let best = starts_of_groups(&sums, 3);
        for a in 1..all - 1 {
            for b in a + 1..all {
                assert!(lost(best[1], best[2]) <= lost(a, b) + 1e-6, "{a} {b} {best:?}");
            }
        }
    }
}
