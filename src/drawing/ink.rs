use glam::DVec2;
use smallvec::SmallVec;
use staffage_scene::Subject;

/// The corners of a polyline or a polygon: a few of them lie in the ink itself, as there are thousands of
/// strokes in a crowded scene.
pub type Corners = SmallVec<[DVec2; 4]>;

/// Straight (not premultiplied) sRGB with alpha.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Colour(
    /// Red, green, blue, alpha.
    pub [u8; 4],
);

impl Colour {
    /// The same colour, `opacity` (0 to 1) times as opaque.
    #[must_use]
    pub fn faded(self, opacity: f64) -> Self {
        let [r, g, b, a] = self.0;
        Self([r, g, b, (f64::from(a) * opacity.clamp(0.0, 1.0)).round() as u8])
    }
}

/// Which part of a text sits on its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Anchor {
    /// The text begins at the point and runs to the right.
    Left,
    /// The text is centred on the point.
    Centre,
    /// The text ends at the point.
    Right,
}

/// Space between a text and the edge of its plate, points: across, and up and down.
pub const PLATE_PADDING: DVec2 = DVec2::new(4.0, 2.0);

/// One thing to put on the paper. Positions are in the drawing's units (picture units for
/// [`draw`](crate::draw()), points for [`section`](crate::section()) and
/// [`plan`](crate::plan())); widths, radii, offsets and text
/// sizes are in points, so that they look the same at every zoom. Every number is finite.
#[derive(Clone, Debug, PartialEq)]
pub enum Ink {
    /// A polyline of at least two points; closed when it ends where it began.
    Stroke {
        /// Its corners.
        points: Corners,
        /// Width of the pen, points.
        width: f64,
        /// Colour of the pen.
        colour: Colour,
        /// Length of a dash and of the gap after it, points.
        dash: Option<(f64, f64)>,
    },
    /// A filled convex polygon of at least three corners.
    Fill {
        /// Its corners, in order.
        points: Corners,
        /// Colour of the inside.
        colour: Colour,
    },
    /// A round spot.
    Disc {
        /// Its centre.
        centre: DVec2,
        /// Its radius, points.
        radius: f64,
        /// Colour of the inside; transparent for a ring.
        colour: Colour,
        /// Width (points) and colour of the line around it.
        outline: Option<(f64, Colour)>,
    },
    /// One line of text. The point lies halfway up the text.
    Words {
        /// What the text belongs to.
        at: DVec2,
        /// From there to the text's anchor, points, right and down.
        offset: DVec2,
        /// What it says; never has a line break.
        text: String,
        /// Height of the type, points.
        size: f64,
        /// Colour of the letters.
        colour: Colour,
        /// Colour of the plate behind the letters, [`PLATE_PADDING`] larger than they are.
        plate: Option<Colour>,
        /// Which part of the text sits on the anchor.
        anchor: Anchor,
    },
}

/// Ink that belongs together.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// What it shows: `"frame"`, `"horizon"`, `"traced-horizon"`, `"line"`,
    /// `"ground-grid"`, `"fans"`, `"guide"`, `"measuring-points"`, `"rays"`,
    /// `"vanishing-points"`, `"vanishing-spreads"`, `"stand-in"`, `"overlap"`, `"staff"`, `"mark"`, `"preview"`, `"grid-words"` or `"label"`; in a section
    /// `"left-out"`, `"axes"`, `"level"`, `"eye"`, `"sight-lines"`, `"stand-in"`, `"marker"`, `"mark"` or `"label"`;
    /// in a plan `"left-out"`, `"axes"`, `"field-of-view"`, `"headings"`, `"scale-bar"`, `"eye"`, `"stand-in"`,
    /// `"marker"`, `"mark"` or `"label"`.
    pub name: &'static str,
    /// The thing of the scene that it shows.
    pub about: Option<Subject>,
    /// The ink, to be put down in this order.
    pub ink: Vec<Ink>,
}

/// Everything to put on the paper, first group undermost.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawing {
    /// Its groups.
    pub groups: Vec<Group>,
}

impl Drawing {
    /// Adds a group, unless it is empty.
    pub(crate) fn push(&mut self, name: &'static str, about: Option<Subject>, ink: Vec<Ink>) {
        if !ink.is_empty() {
            self.groups.push(Group { name, about, ink });
        }
    }

    /// All ink, undermost first.
    pub fn ink(&self) -> impl Iterator<Item = &Ink> {
        self.groups.iter().flat_map(|group| &group.ink)
    }
}
