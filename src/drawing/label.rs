use crate::bounds::Bounds;
use crate::crowd::Crowd;
use crate::palette::{PLATE, WHITE, on_plate};
use crate::pen::{Pen, SMALL, Type};
use crate::stage::is_alarming;
use crate::words;
use crate::{Anchor, Attention, Colour, Drawing, PLATE_PADDING, View};
use glam::DVec2;
use staffage_scene::{Standing, Subject};

/// Height of one line of a label, points.
const LINE: f64 = SMALL + 4.0;

/// Which labels find a place first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Rank {
    /// Selected: always shown.
    Selected,
    /// Under the pointer: always shown.
    Hovered,
    /// Contradicts or is impossible: always shown.
    Alarm,
    /// Plays a part in the finding that is looked at, or contradicts on purpose: always shown.
    Involved,
    /// The horizon, the vanishing points, the levels: always shown.
    Guide,
    /// Everything else, where there is room.
    Ordinary,
}

impl Rank {
    /// How urgently the label of a thing needs its place.
    pub(crate) fn of(attention: Attention, standing: Standing, intended: bool) -> Self {
        match attention {
            Attention::Selected => Self::Selected,
            Attention::Hovered => Self::Hovered,
            _ if is_alarming(standing, intended) => Self::Alarm,
            // What is kept on purpose stays listed, after what is not.
            _ if is_alarming(standing, false) => Self::Involved,
            Attention::Involved => Self::Involved,
            Attention::Plain => Self::Ordinary,
        }
    }
}

/// On which side of its point a text may sit: right and down positive, in units of half the
/// text's own size.
type Sides = &'static [(f64, f64)];

/// A text beside a point, not yet placed.
#[derive(Clone, Debug)]
pub(crate) struct Label {
    /// The point, in the drawing's units.
    pub(crate) at: DVec2,
    /// Room that is kept free around the point for its mark, points.
    pub(crate) clearance: f64,
    /// What it says, line by line.
    pub(crate) lines: Vec<(String, Colour)>,
    /// How urgent it is.
    pub(crate) rank: Rank,
    /// What it belongs to.
    pub(crate) about: Option<Subject>,
    /// Where it may sit, best first.
    pub(crate) sides: Sides,
}

impl Label {
    /// All around, the right side first.
    pub(crate) const AROUND: Sides = &[
        (1.0, 0.0),
        (1.0, -1.0),
        (1.0, 1.0),
        (-1.0, 0.0),
        (-1.0, -1.0),
        (-1.0, 1.0),
        (0.0, -1.0),
        (0.0, 1.0),
        (1.0, -2.5),
        (1.0, 2.5),
        (-1.0, -2.5),
        (-1.0, 2.5),
        (1.0, -4.0),
        (-1.0, -4.0),
        (1.0, 4.0),
        (-1.0, 4.0),
    ];

    /// Over or under something that runs to the right edge.
    pub(crate) const AT_RIGHT_EDGE: Sides = &[(-1.0, -1.5), (-1.0, 1.5), (-1.0, -3.0)];

    /// Width and height with the plate, points.
    fn size(&self) -> DVec2 {
        let width = self.lines.iter().map(|(text, _)| words::width(text, SMALL));
        DVec2::new(width.fold(0.0, f64::max), LINE * self.lines.len() as f64) + 2.0 * PLATE_PADDING
    }
}

/// The place that a text takes on a side of a point, its half width and height given, points.
fn place(half: DVec2, clearance: f64, at: DVec2, (right, down): (f64, f64)) -> Bounds {
    let gap = clearance + 2.0;
    // Beside a mark the text may slide past its middle; over or under it, it may not.
    let towards = DVec2::new(right, if right == 0.0 { down } else { 0.0 });
    Bounds::around(at + DVec2::new(right, down) * half + towards * gap, half)
}

/// Places labels where they cover nothing, the most urgent first; those that must be shown are put
/// where they cover least, the others are left out when there is no room.
pub(crate) fn place_labels(
    labels: Vec<Label>,
    view: &View,
    crowd: &mut Crowd,
    pen: &mut Pen,
    drawing: &mut Drawing,
) {
    let mut labels = labels;
    labels.sort_by_key(|label| label.rank);
    for label in &labels {
        crowd.take(Bounds::around(view.on_page(label.at), DVec2::splat(label.clearance)));
    }
    for label in &labels {
        let at = view.on_page(label.at);
        if let Some((side, place)) = best_place(label, at, crowd) {
            crowd.take(place);
            write(label, at, side, place, (view, pen));
            drawing.push("label", label.about, pen.take());
        }
    }
}

fn best_place(label: &Label, at: DVec2, crowd: &Crowd) -> Option<((f64, f64), Bounds)> {
    if !crowd.page().contains(at) {
        return None;
    }
    // Pushed back from the edge a label may cover its own mark, which is taken too.
    let half = 0.5 * label.size();
    let place = |side| pushed_inside(place(half, label.clearance, at, side), crowd.page());
    let mut places = label.sides.iter().map(|&side| (side, place(side)));
    if let Some(free) = places.find(|(_, place)| crowd.is_free(*place)) {
        return Some(free);
    }
    let must_be_shown = label.rank < Rank::Ordinary;
    let places = label.sides.iter().map(|&side| (side, place(side)));
    places.filter(|_| must_be_shown).min_by_key(|(_, place)| crowd.taken(*place))
}

/// Whether a text of so many lines finds no room beside a point of the page, although it were no wider
/// than said, points: what is longer takes the same place and more.
pub(crate) fn is_hopeless(
    crowd: &Crowd,
    at: DVec2,
    clearance: f64,
    (least_width, lines): (f64, usize),
) -> bool {
    let half = 0.5 * (DVec2::new(least_width, LINE * lines as f64) + 2.0 * PLATE_PADDING);
    let page = crowd.page();
    Label::AROUND.iter().all(|&side| {
        let place = place(half, clearance, at, side);
        let inside = pushed_inside(place, page);
        // At the edges a longer text is pushed back from where this one is.
        inside.min.x == place.min.x && !crowd.is_free(inside)
    })
}

fn pushed_inside(place: Bounds, page: Bounds) -> Bounds {
    let push = (page.min - place.min).max(DVec2::ZERO) - (place.max - page.max).max(DVec2::ZERO);
    Bounds { min: place.min + push, max: place.max + push }
}

/// Writes a label so that it stays beside its point even if the letters turn out wider.
fn write(
    label: &Label,
    at: DVec2,
    side: (f64, f64),
    place: Bounds,
    (view, pen): (&View, &mut Pen),
) {
    let (anchor, x) = if side.0 > 0.0 {
        (Anchor::Left, place.min.x + PLATE_PADDING.x)
    } else if side.0 < 0.0 {
        (Anchor::Right, place.max.x - PLATE_PADDING.x)
    } else {
        (Anchor::Centre, place.centre().x)
    };
    if side.1.abs() > 2.0 {
        leader(label, at, place, (view, pen));
    }
    let first = place.min.y + PLATE_PADDING.y + 0.5 * LINE;
    for (i, (text, colour)) in label.lines.iter().enumerate() {
        let offset = DVec2::new(x, first + LINE * i as f64) - at;
        let style = Type { text, size: SMALL, colour: on_plate(*colour), plate: Some(PLATE) };
        pen.words(label.at, offset, anchor, style);
    }
}

/// A thin line from a label that had to move away back to its point.
fn leader(label: &Label, at: DVec2, place: Bounds, (view, pen): (&View, &mut Pen)) {
    let nearest = at.clamp(place.min, place.max);
    let reach = nearest - at;
    let from = view.in_picture(at + reach.normalize_or_zero() * label.clearance);
    pen.edged_line(from, view.in_picture(nearest), 1.0, WHITE.faded(0.8));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Ink;

    fn page() -> View {
        View::of_part(DVec2::ZERO, DVec2::new(400.0, 100.0), 1.0)
    }

    fn label(at: DVec2, rank: Rank) -> Label {
        let lines = vec![("Foreman 1.74 m".into(), WHITE)];
        Label { at, clearance: 4.0, lines, rank, about: None, sides: Label::AROUND }
    }

    fn placed(labels: Vec<Label>) -> Vec<(DVec2, Anchor)> {
        let mut drawing = Drawing::default();
        let mut pen = Pen::of_view(&page()).unwrap();
        place_labels(labels, &page(), &mut Crowd::new(page().size()), &mut pen, &mut drawing);
        let words = drawing.ink().filter_map(|ink| match ink {
            Ink::Words { at, offset, anchor, .. } => Some((*at + *offset, *anchor)),
            _ => None,
        });
        words.collect()
    }

    #[test]
    fn a_label_sits_to_the_right_where_there_is_room() {
        let (at, anchor) = placed(vec![label(DVec2::new(50.0, 50.0), Rank::Ordinary)])[0];
        assert_eq!(anchor, Anchor::Left);
        assert!(at.distance(DVec2::new(60.0, 50.0)) < 1e-9, "{at}");
    }

    #[test]
    fn a_label_at_the_right_edge_sits_to_the_left() {
        let (at, anchor) = placed(vec![label(DVec2::new(390.0, 50.0), Rank::Ordinary)])[0];
        assert_eq!(anchor, Anchor::Right);
        assert!(at.distance(DVec2::new(380.0, 50.0)) < 1e-9, "{at}");
    }

    #[test]
    fn in_a_crowd_ordinary_labels_are_left_out_and_alarms_are_not() {
        let crowded = |rank| placed(vec![label(DVec2::new(200.0, 50.0), rank); 40]).len();
        assert!(crowded(Rank::Ordinary) < 12);
        assert_eq!(crowded(Rank::Alarm), 40);
    }

    #[test]
    fn the_selected_label_takes_the_best_place() {
        let at = DVec2::new(200.0, 50.0);
        let places = placed(vec![label(at, Rank::Ordinary), label(at, Rank::Selected)]);
        assert!(places[0].0.distance(at + DVec2::new(10.0, 0.0)) < 1e-9, "{places:?}");
        assert_ne!(places[1], places[0]);
    }

    #[test]
    fn what_is_outside_the_page_gets_no_label() {
        assert!(placed(vec![label(DVec2::new(-5.0, 50.0), Rank::Selected)]).is_empty());
        assert!(placed(vec![label(DVec2::NAN, Rank::Selected)]).is_empty());
    }
}
