//! Which lines a grid on a level has, and how far each is drawn: it thins with distance, so that its
//! lines stay apart in the picture, and fades before they would run together.

use glam::DVec3;
use staffage_solver::Eye;

/// Lines nearer together in the picture than this are left out, points.
const CLOSEST: f64 = 12.0;
/// So many times as far apart they are as strong as they get, turn pale, and nearly vanish.
const SHADES: [(f64, f64); 4] = [(7.0, 0.85), (2.2, 0.5), (1.45, 0.3), (1.0, 0.14)];
/// Most lines to either side of the eye at one spacing.
const MOST: i64 = 400;

/// A level before the eye, with the two directions of its grid.
#[derive(Clone, Copy, Debug)]
pub(super) struct Floor {
    /// Height over the eye's own, up positive, in the unit of the grid; not 0.
    pub(super) up: f64,
    /// Two unit level directions that are square to each other.
    pub(super) directions: [DVec3; 2],
    /// Focal length, points.
    pub(super) focal: f64,
}

/// A line of the grid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct GridLine {
    /// Which of the two directions it runs in.
    pub(super) along: usize,
    /// How far to the side of the eye it passes, positive along the other direction.
    pub(super) aside: f64,
    /// The widest spacing that it belongs to.
    pub(super) spacing: f64,
}

/// A stretch of a line that is equally strong all along.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stretch {
    /// Its ends along the line, from the foot of the eye's plumb.
    pub(super) ends: [f64; 2],
    /// How strong its ink is, 0 to 1.
    pub(super) strength: f64,
}

impl Floor {
    /// How far from below the eye lines of this spacing are at least so far apart in the picture, points.
    /// Across the sight they are f s c / (D² + c²) apart, less than they are beside each other.
    pub(super) fn reach(&self, spacing: f64, apart: f64) -> Option<f64> {
        let clearance = self.up.abs();
        let squared = self.focal * clearance * spacing / apart - clearance * clearance;
        (squared > 0.0).then(|| squared.sqrt())
    }

    /// How far lines of this spacing are drawn.
    pub(super) fn drawn_to(&self, spacing: f64) -> Option<f64> {
        self.reach(spacing, CLOSEST)
    }

    /// The spacings in use, the narrowest first: 1, 5, 10, 50 …, of which each holds the next, so that no
    /// line ends and begins again.
    pub(super) fn spacings(&self) -> Vec<f64> {
        let clearance = self.up.abs();
        let first = (clearance / 20.0).log10().floor() as i32;
        let all = (2 * first..2 * first + 20)
            .map(|n| 10_f64.powi(n.div_euclid(2)) * if n.rem_euclid(2) == 1 { 5.0 } else { 1.0 });
        all.filter(|s| *s >= clearance / 20.0)
            .filter(|s| self.drawn_to(*s).is_some_and(|reach| reach >= *s))
            .collect()
    }

    /// Every line, the widest spacing last.
    pub(super) fn lines(&self) -> Vec<GridLine> {
        let spacings = self.spacings();
        let mut lines = Vec::new();
        for (rank, &spacing) in spacings.iter().enumerate() {
            let Some(reach) = self.drawn_to(spacing) else { continue };
            let wider = spacings.get(rank + 1).map(|wider| (wider / spacing).round() as i64);
            let last = ((reach / spacing).floor() as i64).min(MOST);
            let own = (-last..=last).filter(|n| wider.is_none_or(|wider| n % wider != 0));
            for n in own {
                let aside = n as f64 * spacing;
                lines.extend([0, 1].map(|along| GridLine { along, aside, spacing }));
            }
        }
        lines
    }

    /// The stretches of a line, from its far end on the one side to that on the other.
    pub(super) fn stretches(&self, line: &GridLine) -> Vec<Stretch> {
        let mut within = 0.0;
        let mut stretches = Vec::with_capacity(7);
        for (times, strength) in SHADES {
            let Some(reach) = self.reach(line.spacing, times * CLOSEST) else { continue };
            let squared = reach * reach - line.aside * line.aside;
            if squared <= within * within {
                continue;
            }
            let end = squared.sqrt();
            if within == 0.0 {
                stretches.push(Stretch { ends: [-end, end], strength });
            } else {
                stretches.push(Stretch { ends: [-end, -within], strength });
                stretches.push(Stretch { ends: [within, end], strength });
            }
            within = end;
        }
        stretches
    }

    /// A place of a line, homogeneous picture coordinates.
    pub(super) fn place(&self, eye: &Eye, line: &GridLine, along: f64) -> DVec3 {
        let across = self.directions[1 - line.along];
        eye.image(along * self.directions[line.along] + line.aside * across + self.up * DVec3::Y)
    }
}

/// Whether a stretch is as strong as lines get.
pub(super) fn is_strong(stretch: &Stretch) -> bool {
    stretch.strength == SHADES[0].1
}

#[cfg(test)]
mod tests {
    use super::*;

    fn floor(up: f64, focal: f64) -> Floor {
        Floor { up, directions: [-DVec3::Z, DVec3::X], focal }
    }

    #[test]
    fn spacings_hold_each_other_and_suit_the_eyes_height() {
        assert_eq!(floor(-1.6, 1200.0).spacings()[..4], [0.1, 0.5, 1.0, 5.0]);
        assert_eq!(floor(-160.0, 1200.0).spacings()[0], 10.0);
        for pair in floor(40.0, 1200.0).spacings().windows(2) {
            let times = pair[1] / pair[0];
            assert!((times - times.round()).abs() < 1e-9);
        }
    }

    #[test]
    fn crosswise_lines_stay_as_far_apart_as_they_must() {
        let (floor, eye) = (floor(-1.6, 1200.0), Eye::default());
        let lines: Vec<GridLine> = floor.lines().into_iter().filter(|l| l.along == 1).collect();
        // Where they pass straight ahead of a level eye.
        let mut rows: Vec<f64> = lines
            .iter()
            .filter(|line| line.aside > 0.5)
            .map(|line| {
                let at = floor.place(&eye, line, 0.0);
                1200.0 * at.y / at.z
            })
            .collect();
        rows.sort_by(f64::total_cmp);
        assert!(rows.len() > 12);
        // Just inside of where a spacing ends its lines are as near as they get.
        let nearest = rows.windows(2).map(|w| w[1] - w[0]).fold(f64::INFINITY, f64::min);
        assert!(nearest > 0.9 * CLOSEST, "{nearest}");
    }

    #[test]
    fn no_line_is_there_twice() {
        let mut lines: Vec<(usize, i64)> = floor(-1.6, 1500.0)
            .lines()
            .iter()
            .map(|line| (line.along, (line.aside * 100.0).round() as i64))
            .collect();
        let all = lines.len();
        lines.sort_unstable();
        lines.dedup();
        assert_eq!(lines.len(), all);
    }

    #[test]
    fn a_line_fades_on_both_sides_and_has_no_gaps() {
        let floor = floor(-1.6, 1200.0);
        let line = GridLine { along: 0, aside: 2.0, spacing: 1.0 };
        let mut stretches = floor.stretches(&line);
        stretches.sort_by(|a, b| a.ends[0].total_cmp(&b.ends[0]));
        assert!(stretches.windows(2).all(|w| (w[0].ends[1] - w[1].ends[0]).abs() < 1e-12));
        let strongest = stretches.iter().map(|s| s.strength).fold(0.0, f64::max);
        assert!(stretches[0].strength < strongest);
    }
}
