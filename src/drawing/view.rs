use crate::Aids;
use glam::DVec2;
use staffage_scene::{Family, Frame, Subject};
use std::collections::BTreeSet;

/// The part of the picture that is seen, and how large.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// Upper left corner of the visible rectangle, picture units.
    pub min: DVec2,
    /// Lower right corner of the visible rectangle, picture units.
    pub max: DVec2,
    /// Points of the screen (or pixels of the output) that one frame width takes.
    pub points_per_unit: f64,
}

impl View {
    /// The whole frame and nothing else, drawn this many points wide.
    #[must_use]
    pub fn of_frame(frame: Frame, width: f64) -> Self {
        let corner = DVec2::new(0.5, frame.half_height());
        Self { min: -corner, max: corner, points_per_unit: width }
    }

    /// Width and height, points.
    #[must_use]
    pub fn size(&self) -> DVec2 {
        (self.max - self.min) * self.points_per_unit
    }

    /// A length in points as a length in units.
    #[must_use]
    pub fn units(&self, points: f64) -> f64 {
        points / self.points_per_unit
    }
}

/// How much a thing is attended to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Attention {
    /// Not at all.
    #[default]
    Plain,
    /// It plays a part in the finding that is being looked at.
    Involved,
    /// The pointer is over it.
    Hovered,
    /// It is selected.
    Selected,
}

/// What is being attended to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Emphasis {
    /// What is selected.
    pub selected: BTreeSet<Subject>,
    /// What the pointer is over.
    pub hovered: Option<Subject>,
    /// What plays a part in the finding that is being looked at.
    pub involved: BTreeSet<Subject>,
    /// The guides that are only shown.
    pub aids: Aids,
    /// Families whose vanishing point is shown with how far it can be trusted.
    pub spreads: Vec<Family>,
}

impl Emphasis {
    /// How much this is attended to.
    #[must_use]
    pub fn on(&self, subject: Subject) -> Attention {
        if self.selected.contains(&subject) {
            Attention::Selected
        } else if self.hovered == Some(subject) {
            Attention::Hovered
        } else if self.involved.contains(&subject) {
            Attention::Involved
        } else {
            Attention::Plain
        }
    }
}
