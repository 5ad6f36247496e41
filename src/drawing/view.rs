use crate::Aids;
use crate::Page;
use crate::bounds::Bounds;
use crate::stage::{Whereabouts, place};
use glam::{DVec2, DVec3};
use staffage_scene::{Family, Frame, Subject};
use std::collections::BTreeSet;

/// The part of the picture that is seen, and how large.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// Upper left corner of the visible rectangle, picture units.
    pub min: DVec2,
    /// Lower right corner of the visible rectangle, picture units.
    pub max: DVec2,
    /// Points of the screen (or pixels of the output) that one frame width takes; in the middle of the
    /// page, where it is not the same everywhere.
    pub points_per_unit: f64,
    /// How the picture lies on the page, if that is not simply this rectangle, enlarged.
    pub page: Option<Page>,
}

impl View {
    /// A rectangle of the picture and nothing else, enlarged.
    #[must_use]
    pub fn of_part(min: DVec2, max: DVec2, points_per_unit: f64) -> Self {
        Self { min, max, points_per_unit, page: None }
    }

    /// What a page shows, so large in its middle.
    #[must_use]
    pub fn of_page(page: Page, points_per_unit: f64) -> Self {
        let (min, max) = page.seen();
        Self { min, max, points_per_unit, page: Some(page) }
    }

    /// The whole frame and nothing else, drawn this many points wide.
    #[must_use]
    pub fn of_frame(frame: Frame, width: f64) -> Self {
        let corner = DVec2::new(0.5, frame.half_height());
        Self::of_part(-corner, corner, width)
    }

    /// Width and height of the page, points.
    #[must_use]
    pub fn size(&self) -> DVec2 {
        match self.page {
            Some(page) => page.size,
            None => (self.max - self.min) * self.points_per_unit,
        }
    }

    /// A point of the picture in points from the page's upper left corner.
    #[must_use]
    pub fn on_page(&self, at: DVec2) -> DVec2 {
        match self.page {
            Some(page) => page.map.place(at),
            None => (at - self.min) * self.points_per_unit,
        }
    }

    /// The point of the picture at a point of the page, picture units.
    #[must_use]
    pub fn in_picture(&self, at: DVec2) -> DVec2 {
        match self.page {
            Some(page) => page.map.inverse().place(at),
            None => self.min + at / self.points_per_unit,
        }
    }

    /// The homogeneous point of the picture at a homogeneous point of the page.
    #[must_use]
    pub fn homogeneous_in_picture(&self, point: DVec3) -> DVec3 {
        match self.page {
            Some(page) => page.map.inverse().image(point),
            None => (self.min * point.z + point.truncate() / self.points_per_unit).extend(point.z),
        }
    }

    /// The part of a segment of the picture that is seen, picture units.
    #[must_use]
    pub fn clip(&self, a: DVec2, b: DVec2) -> Option<(DVec2, DVec2)> {
        match self.page {
            Some(page) => page.clip(a, b, 0.0),
            None => Bounds { min: self.min, max: self.max }.clip_segment(a, b),
        }
    }

    /// Where a homogeneous picture point lies on the page, or nowhere if it is not a point. Points
    /// more than a thousand frame widths off count as infinitely far.
    #[must_use]
    pub fn place(&self, point: DVec3) -> Option<Whereabouts> {
        let Some(page) = self.page else {
            return Some(match place(point)? {
                Whereabouts::At(at) => Whereabouts::At(self.on_page(at)),
                towards => towards,
            });
        };
        let widths = DVec3::new(self.points_per_unit, self.points_per_unit, 1.0);
        Some(match place(page.image(point) / widths)? {
            Whereabouts::At(at) => Whereabouts::At(at * self.points_per_unit),
            towards => towards,
        })
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
    /// Whether only what is pointed at or selected is named: in a small picture names would cover it.
    pub quiet: bool,
}

/// Of more things than so many that are selected not each has to be named, whatever it covers.
const MOST_NAMED: usize = 6;

impl Emphasis {
    /// How urgently this is named: one of many that are selected, as if it were not.
    #[must_use]
    pub(crate) fn naming(&self, subject: Subject) -> Attention {
        match self.on(subject) {
            Attention::Selected if self.selected.len() > MOST_NAMED => {
                if self.hovered == Some(subject) { Attention::Hovered } else { Attention::Plain }
            }
            attention => attention,
        }
    }

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
