//! The order of the eye's parameters.

use crate::figures::SeenFigure;
use crate::{Eye, EyeEvidence, Headings, PrincipalPoint};
use glam::DVec2;

/// Places of the eye's own quantities among its parameters.
pub(crate) struct Parameter;

impl Parameter {
    pub(crate) const LN_FOCAL: usize = 0;
    pub(crate) const PITCH: usize = 1;
    pub(crate) const CANT: usize = 2;
    /// How many there are before the headings.
    pub(crate) const EYE: usize = 3;
}

/// What the parameters of a fit stand for: ln focal length, pitch, cant, the blocks' headings,
/// heading and slope of each incline, the principal point where it is free, and, told to nobody, ln
/// clearance of each level on which figures stand.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Layout {
    blocks: usize,
    inclines: usize,
    principal: PrincipalPoint,
    levels: usize,
}

impl Layout {
    pub(crate) fn of(evidence: &EyeEvidence, figures: &[SeenFigure]) -> Self {
        let levels = if figures.is_empty() { 0 } else { evidence.levels.len() };
        Self {
            blocks: evidence.blocks.len(),
            inclines: evidence.inclines.len(),
            principal: evidence.principal,
            levels,
        }
    }

    fn headings(&self) -> usize {
        Parameter::EYE + self.blocks + 2 * self.inclines
    }

    /// Place of the principal point's u, v following, where it is free.
    pub(crate) fn principal(&self) -> Option<usize> {
        (self.principal == PrincipalPoint::Free).then(|| self.headings())
    }

    /// How many parameters are told: all but the clearances.
    pub(crate) fn told(&self) -> usize {
        self.headings() + 2 * usize::from(self.principal().is_some())
    }

    /// Place of a level's ln clearance.
    pub(crate) fn clearance(&self, level: usize) -> usize {
        self.told() + level
    }

    /// How many parameters there are.
    pub(crate) fn len(&self) -> usize {
        self.told() + self.levels
    }

    /// The parameters of an eye, followed by its levels' ln clearances.
    pub(crate) fn pack(
        &self,
        eye: &Eye,
        headings: &Headings,
        clearances: impl IntoIterator<Item = f64>,
    ) -> Vec<f64> {
        let mut p = Vec::with_capacity(self.len());
        p.extend([eye.focal.ln(), eye.pitch, eye.cant]);
        p.extend(&headings.blocks);
        p.extend(headings.inclines.iter().flatten());
        if self.principal().is_some() {
            p.extend(eye.principal.to_array());
        }
        p.extend(clearances);
        p
    }

    /// The eye of a parameter vector.
    pub(crate) fn unpack(&self, p: &[f64]) -> (Eye, Headings) {
        let principal = self.principal().map(|at| DVec2::new(p[at], p[at + 1]));
        let eye = Eye {
            focal: p[Parameter::LN_FOCAL].clamp(-12.0, 12.0).exp(),
            pitch: p[Parameter::PITCH],
            cant: p[Parameter::CANT],
            principal: principal.unwrap_or(self.principal.assumed()),
        };
        let (blocks, inclines) = p[Parameter::EYE..self.headings()].split_at(self.blocks);
        let inclines = inclines.chunks_exact(2).map(|c| [c[0], c[1]]).collect();
        (eye, Headings { blocks: blocks.to_vec(), inclines })
    }
}
