//! Stray lines, and figures out of step: those that contradict the eye which the others make out.

use crate::EyeEvidence;
use crate::eye_fit::{EyeFit, LineFit, fit_eye, line_fit_without};
use crate::snooping::{NOTICEABLE, SIGNIFICANT};

/// Angle by which a line may miss its vanishing point before an eye notices, radians (one degree,
/// common practice).
pub const NOTICEABLE_MISS: f64 = std::f64::consts::PI / 180.0;

/// A line that contradicts the others.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stray {
    /// Which line.
    pub line: usize,
    /// Lines of which hardly anything tells it apart: without one of them instead, the rest would agree
    /// about as well.
    pub rivals: Vec<usize>,
}

/// Two standardized residuals of which the smaller is at least this share of the larger do not tell which
/// line is wrong.
const ALIKE: f64 = 0.95;

/// An eye read from lines of which some may have been strays.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadEye {
    /// The eye that the other lines make out. A stray's [`LineFit`] tells how it misses that eye's
    /// vanishing point; its standardized residual is the one it was rejected for.
    pub fit: EyeFit,
    /// The strays, in the order of rejection.
    pub strays: Vec<Stray>,
    /// Indices of the figures that the horizon of the others does not fit, in the order of rejection.
    pub misfits: Vec<usize>,
}

/// Fits the eye, rejects the line with the largest standardized residual if it is significant and
/// the line misses by more than `tolerance` (radians), and begins again: data snooping (Baarda
/// 1968), one line at a time. Then the same for the figures, if their drawn length is off by more than
/// what an eye notices.
#[must_use]
pub fn read_eye(evidence: &EyeEvidence, tolerance: f64) -> ReadEye {
    let mut kept: Vec<usize> = (0..evidence.lines.len()).collect();
    let mut strays: Vec<(Stray, LineFit)> = Vec::new();
    let mut figures: Vec<usize> = (0..evidence.figures.len()).collect();
    let mut misfits = Vec::new();
    loop {
        let rest = EyeEvidence {
            lines: kept.iter().map(|&k| evidence.lines[k]).collect(),
            figures: figures.iter().map(|&k| evidence.figures[k]).collect(),
            ..evidence.clone()
        };
        let fit = fit_eye(&rest);
        let worst = std::iter::zip(&kept, &fit.lines)
            .filter_map(|(&k, line)| line.map(|line| (k, line)))
            .filter(|(_, l)| l.standardized.abs() > SIGNIFICANT && l.miss.abs() > tolerance)
            .max_by(|a, b| a.1.standardized.abs().total_cmp(&b.1.standardized.abs()));
        let Some((stray, line)) = worst else {
            if let Some(misfit) = worst_figure(&fit, &figures) {
                figures.retain(|&k| k != misfit);
                misfits.push(misfit);
                continue;
            }
            return ReadEye { misfits, ..assemble(evidence, &kept, &strays, fit) };
        };
        // Each pass takes one line away, so that there are no more passes than lines.
        let rivals = rivals(&kept, &fit, stray, line.standardized);
        kept.retain(|&k| k != stray);
        strays.push((Stray { line: stray, rivals }, line));
    }
}

/// Lines that contradict the others nearly as much as the worst one.
fn rivals(kept: &[usize], fit: &EyeFit, worst: usize, standardized: f64) -> Vec<usize> {
    let least = ALIKE * standardized.abs();
    let lines = std::iter::zip(kept, &fit.lines).filter(|(k, _)| **k != worst);
    let alike = lines.filter(|(_, line)| line.is_some_and(|l| l.standardized.abs() >= least));
    alike.map(|(k, _)| *k).collect()
}

/// The figure, by its place among all, that contradicts the horizon most.
fn worst_figure(fit: &EyeFit, figures: &[usize]) -> Option<usize> {
    std::iter::zip(figures, &fit.figures)
        .filter_map(|(&k, figure)| figure.map(|figure| (k, figure)))
        .filter(|(_, f)| {
            f.standardized.abs() > SIGNIFICANT && f.gross_error.abs() > NOTICEABLE - 1.0
        })
        .max_by(|a, b| a.1.standardized.abs().total_cmp(&b.1.standardized.abs()))
        .map(|(k, _)| k)
}

/// Puts the fits of the kept lines and of the strays back into the order of the evidence.
fn assemble(
    evidence: &EyeEvidence,
    kept: &[usize],
    strays: &[(Stray, LineFit)],
    mut fit: EyeFit,
) -> ReadEye {
    let mut lines = vec![None; evidence.lines.len()];
    for (&k, line) in kept.iter().zip(&fit.lines) {
        lines[k] = *line;
    }
    for (stray, rejected) in strays {
        let without = line_fit_without(&fit, &evidence.lines[stray.line]);
        lines[stray.line] = Some(LineFit { standardized: rejected.standardized, ..without });
    }
    fit.lines = lines;
    let strays = strays.iter().map(|(stray, _)| stray.clone()).collect();
    ReadEye { fit, strays, misfits: Vec::new() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Eye, Family, Headings, TracedLine};
    use glam::DVec2;

    /// Lines of all three families through given mid-points, as seen by an eye.
    fn traced(eye: &Eye, headings: &Headings) -> Vec<TracedLine> {
        let families = [Family::Upright, Family::RecedingRight(0), Family::RecedingLeft(0)];
        let places = [(-0.4, -0.15), (0.35, 0.1), (0.1, -0.2), (-0.2, 0.18), (0.05, 0.2)];
        let mut lines = Vec::new();
        for family in families {
            let v = eye.image(headings.direction(family));
            for (x, y) in places {
                let middle = DVec2::new(x, y);
                let half = 0.08 * (v.truncate() - v.z * middle).normalize();
                lines.push(TracedLine { family, from: middle - half, to: middle + half });
            }
        }
        lines
    }

    #[test]
    fn of_two_lines_that_do_not_vanish_together_nothing_tells_which_is_wrong() {
        let mut evidence = EyeEvidence::none(1.5 / 2300.0);
        (evidence.focal, evidence.pitch, evidence.cant) = (Some(1.0), Some(0.0), Some(0.0));
        // To the horizon straight ahead, and half a frame to the right of that.
        for (from, towards) in [(DVec2::new(-0.3, 0.2), 0.0), (DVec2::new(0.3, 0.2), 0.5)] {
            let to = from + 0.5 * (DVec2::new(towards, 0.0) - from);
            evidence.lines.push(TracedLine { family: Family::RecedingRight(0), from, to });
        }
        let read = read_eye(&evidence, NOTICEABLE_MISS);
        let [stray] = &read.strays[..] else { panic!("{:?}", read.strays) };
        assert_eq!(stray.rivals, [1 - stray.line]);
    }

    #[test]
    fn a_line_turned_by_four_degrees_is_the_one_named() {
        let eye = Eye { focal: 1.0, pitch: 0.4, cant: 0.12, principal: DVec2::ZERO };
        let headings = Headings { blocks: vec![0.8], inclines: vec![] };
        for turned in 0..15 {
            let mut evidence = EyeEvidence::none(1.5 / 2300.0);
            evidence.lines = traced(&eye, &headings);
            let line = &mut evidence.lines[turned];
            let half = DVec2::from_angle(4_f64.to_radians()).rotate(0.5 * (line.to - line.from));
            let middle = 0.5 * (line.from + line.to);
            (line.from, line.to) = (middle - half, middle + half);
            let read = read_eye(&evidence, NOTICEABLE_MISS);
            let strays: Vec<usize> = read.strays.iter().map(|stray| stray.line).collect();
            assert_eq!(strays, [turned]);
            assert!((read.fit.eye.pitch - eye.pitch).abs() < 1e-6);
            let miss = read.fit.lines[turned].unwrap().miss;
            assert!((miss.abs().to_degrees() - 4.0).abs() < 1e-3, "{miss}");
        }
    }
}
