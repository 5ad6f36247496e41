use crate::Colour;
use crate::palette::{DARK, WHITE};
use crate::pen::Pen;
use crate::ruler::Ruler;
use glam::DVec2;

/// Shortest band that is still seen as a band, points.
const SHORTEST_BAND: f64 = 4.0;

/// The painted thing shows through its staff, so that foot and head can be judged.
const BAND_OPACITY: f64 = 0.6;

/// A staff shorter than this is a plain stroke, points.
const SHORTEST_STAFF: f64 = 10.0;

/// A marker's span on the paper.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Rod {
    pub(crate) foot: DVec2,
    pub(crate) head: DVec2,
    /// Unit direction from foot to head; up where they coincide.
    pub(crate) along: DVec2,
    /// Length, points.
    pub(crate) length: f64,
}

impl Rod {
    pub(crate) fn new(foot: DVec2, head: DVec2, pen: &Pen) -> Self {
        let along = (head - foot).try_normalize().unwrap_or(-DVec2::Y);
        Self { foot, head, along, length: pen.points(foot.distance(head)) }
    }

    /// Width of a staff, points: slender, but never a hair nor a wall.
    pub(crate) fn width(&self) -> f64 {
        (0.045 * self.length).clamp(3.0, 8.0)
    }

    /// The four corners of the stretch between two points of the rod, `width` points wide.
    fn corners(&self, from: DVec2, to: DVec2, width: f64, pen: &Pen) -> [DVec2; 4] {
        let side = self.along.perp() * pen.units(0.5 * width);
        [from + side, to + side, to - side, from - side]
    }
}

/// A surveyor's staff with bands of equal length in the scene, dark first, light next.
pub(crate) fn staff(
    pen: &mut Pen,
    rod: &Rod,
    ruler: &Ruler,
    size: Option<f64>,
    accent: Colour,
    bold: bool,
) {
    if rod.length < SHORTEST_STAFF {
        pen.edged_line(rod.foot, rod.head, if bold { 3.0 } else { 2.0 }, accent);
        return;
    }
    let width = rod.width();
    let edge = if bold { 2.0 } else { 1.5 };
    let (inner, outer) = (0.5 * width, 0.5 * width + edge);
    rails(pen, rod, (inner, outer), accent);
    if bold {
        rails(pen, rod, (outer, outer + 1.5), WHITE);
    } else {
        rails(pen, rod, (outer, outer + 0.75), DARK.faded(0.6));
    }
    let smallest = pen.units(SHORTEST_BAND);
    let ends = size.map_or_else(Vec::new, |size| ruler.bands(size, smallest));
    let mut from = rod.foot;
    for (i, end) in ends.into_iter().enumerate() {
        let to = ruler.at(end).unwrap_or(rod.head);
        let band = if i % 2 == 0 { DARK } else { WHITE };
        fill(pen, rod, (from, to), width, band.faded(BAND_OPACITY));
        from = to;
    }
    if from == rod.foot {
        fill(pen, rod, (rod.foot, rod.head), width, WHITE.faded(BAND_OPACITY));
    }
    cap(pen, rod, rod.head, width + (0.15 * rod.length).clamp(2.0, 8.0), accent);
}

/// A measured bar with a tick at each end and small ticks at equal lengths in the scene.
pub(crate) fn bar(
    pen: &mut Pen,
    rod: &Rod,
    ruler: &Ruler,
    size: Option<f64>,
    colour: Colour,
    bold: bool,
) {
    pen.edged_line(rod.foot, rod.head, if bold { 3.5 } else { 2.0 }, colour);
    let smallest = pen.units(1.5 * SHORTEST_BAND);
    let mut ends = size.map_or_else(Vec::new, |size| ruler.bands(size, smallest));
    ends.pop();
    for at in ends.into_iter().filter_map(|end| ruler.at(end)) {
        cap(pen, rod, at, 6.0, colour);
    }
    for end in [rod.foot, rod.head] {
        cap(pen, rod, end, 13.0, colour);
    }
}

/// The dashed outline of the staff as it ought to be, from the foot to `head`.
pub(crate) fn ghost(pen: &mut Pen, rod: &Rod, head: DVec2) {
    let corners = rod.corners(rod.foot, head, rod.width() + 12.0, pen);
    pen.outline(&corners, 3.0, DARK.faded(0.6), None);
    pen.outline(&corners, 1.5, WHITE, Some((4.0, 3.0)));
}

/// A staff that is not there yet: its outline dashed, its bands as light steps.
pub(crate) fn ghost_staff(
    pen: &mut Pen,
    rod: &Rod,
    ruler: &Ruler,
    size: Option<f64>,
    colour: Colour,
) {
    let width = rod.width() + 2.0;
    fill(pen, rod, (rod.foot, rod.head), width, colour.faded(0.35));
    let corners = rod.corners(rod.foot, rod.head, width, pen);
    pen.outline(&corners, 3.0, DARK.faded(0.6), None);
    pen.outline(&corners, 1.5, colour, Some((4.0, 3.0)));
    let mut ends = size.map_or_else(Vec::new, |size| ruler.bands(size, pen.units(SHORTEST_BAND)));
    ends.pop();
    for at in ends.into_iter().filter_map(|end| ruler.at(end)) {
        let side = rod.along.perp() * pen.units(0.5 * width);
        pen.line(at + side, at - side, 1.0, colour);
    }
    for end in [rod.foot, rod.head] {
        cap(pen, rod, end, width + 8.0, colour);
    }
}

/// A tick across the rod, `length` points long.
pub(crate) fn cap(pen: &mut Pen, rod: &Rod, at: DVec2, length: f64, colour: Colour) {
    let side = rod.along.perp() * pen.units(0.5 * length);
    pen.edged_line(at + side, at - side, 2.0, colour);
}

/// The two long edges of a staff, from `inner` to `outer` points off its axis.
fn rails(pen: &mut Pen, rod: &Rod, (inner, outer): (f64, f64), colour: Colour) {
    for side in [rod.along.perp(), -rod.along.perp()] {
        let (near, far) = (side * pen.units(inner), side * pen.units(outer));
        pen.fill([rod.foot + near, rod.head + near, rod.head + far, rod.foot + far], colour);
    }
}

fn fill(pen: &mut Pen, rod: &Rod, (from, to): (DVec2, DVec2), width: f64, colour: Colour) {
    let corners = rod.corners(from, to, width, pen);
    pen.fill(corners, colour);
}
