//! The scene from the side, as an architect would draw it.

mod axes;
mod paper;
mod sight_lines;

use crate::bounds::Bounds;
use crate::crowd::Crowd;
use crate::ghosts;
use crate::label::{Label, Rank, is_hopeless, place_labels};
use crate::mark::{MARK_RADIUS, mark};
use crate::palette::{CLEAR, DARK, WHITE, standing_colour};
use crate::pen::{Pen, SMALL, Type};
use crate::shown::{self, Item, Shown};
use crate::{Anchor, Attention, Axis, Colour, Drawing, Emphasis, View, words};
pub(crate) use axes::number;
use glam::DVec2;
pub use paper::Paper;
use staffage_scene::{Assessment, Scene, Span, Subject, Unit};

/// Smallest paper that a section is drawn on, points.
const SMALLEST: DVec2 = DVec2::new(120.0, 60.0);

/// What of the scene a section shows.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SectionView {
    /// How distances run, and heights.
    pub axis: Axis,
    /// Nearest and farthest distance; all there is if not said.
    pub distances: Option<(f64, f64)>,
    /// Lowest and highest height; all there is if not said.
    pub heights: Option<(f64, f64)>,
    /// Height of the eye over height zero; counted from the level that carries most if not said.
    pub eye_height: Option<f64>,
}

/// The scene from the side.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Section {
    /// The ink, points: origin at the upper left corner, x right, y down.
    pub drawing: Drawing,
    /// Where distances and heights lie; none where nothing has a distance or there is no room.
    pub paper: Option<Paper>,
    /// What it measures in.
    pub unit: Option<Unit>,
    /// Where each level, each stand-in and each marker is, points.
    pub places: Vec<Place>,
}

/// Where a thing is on a section or a plan.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Which thing.
    pub about: Subject,
    /// Its foot, or the left end of a level's line, points.
    pub foot: DVec2,
    /// Its head, or the right end of a level's line or the far end of a span, points; the foot if it
    /// has none.
    pub head: DVec2,
    /// The least and the greatest corner of all that it covers, points.
    pub extent: [DVec2; 2],
}

impl Place {
    /// Of a thing that is its foot, its head and what lies straight between.
    pub(crate) fn straight(about: Subject, foot: DVec2, head: DVec2) -> Self {
        Self { about, foot, head, extent: [foot.min(head), foot.max(head)] }
    }
}

/// The scene from the side, `size` points wide and high.
///
/// Distance from the eye runs to the right. On a logarithmic axis the eye stands at the left edge,
/// which is not zero; height runs up from the level that carries most markers: evenly up to about
/// one metre (half an eye height), logarithmically beyond, so that a figure and a dam three hundred
/// times as high can both be read. On a linear axis both run evenly, each to its own scale. Only what
/// is measured in one unit is drawn, metres before eye heights; what is left out is said in words.
/// Empty when there is no room.
#[must_use]
pub fn section(
    scene: &Scene,
    assessment: &Assessment,
    emphasis: &Emphasis,
    outlook: &SectionView,
    size: DVec2,
) -> Section {
    let mut section = Section::default();
    let view = View::of_part(DVec2::ZERO, size, 1.0);
    let Some(mut pen) = Pen::of_view(&view).filter(|_| size.cmpge(SMALLEST).all()) else {
        return section;
    };
    let shown = Shown::of(scene, assessment, outlook.eye_height.filter(|h| h.is_finite()));
    let paper = Paper::for_shown(&shown, outlook, size);
    left_out(&mut pen, &shown, paper.and_then(|paper| paper.exaggeration()), size);
    section.drawing.push("left-out", None, pen.take());
    let Some(paper) = paper else { return section };
    (section.paper, section.unit) = (Some(paper), Some(shown.unit));
    let mut sheet = Sheet { pen, paper, emphasis, labels: Vec::new(), places: Vec::new() };
    let drawing = &mut section.drawing;

    axes::axes(&mut sheet.pen, &paper, shown.scale);
    drawing.push("axes", None, sheet.pen.take());
    sight_lines::frame(&mut sheet, assessment.eye.eye, scene.frame);
    drawing.push("sight-lines", None, sheet.pen.take());
    for level in &shown.levels {
        sheet.level_line(level);
        drawing.push("level", Some(Subject::Level(level.id)), sheet.pen.take());
    }
    sheet.eye(&shown);
    drawing.push("eye", None, sheet.pen.take());
    let said = (scene, assessment);
    let sheet_of = (&paper, shown.unit);
    let ghosts = ghosts::from_the_side(said, emphasis, sheet_of, &mut sheet.pen, drawing);
    sheet.places.extend(ghosts.iter().map(|(place, _)| *place));
    let mut crowd = Crowd::new(size);
    // Names leave the distances under the axis to be read.
    crowd.take(Bounds { min: DVec2::new(0.0, paper.bottom() + 4.0), max: size });
    let mut named: Vec<_> = ghosts.into_iter().map(|(_, named)| named).collect();
    for item in shown.items.iter().rev().filter(|item| paper.reaches(item.distance.value)) {
        let about = Some(item.about());
        // Of many that are selected they would hide everything.
        if emphasis.naming(item.about()) >= Attention::Hovered {
            sight_lines::to_marker(&mut sheet, item);
            drawing.push("sight-lines", about, sheet.pen.take());
        }
        let head = sheet.upright(item, &mut crowd);
        drawing.push("marker", about, sheet.pen.take());
        named.push(Named::marker(item, emphasis, sheet.standing(item, head)));
        drawing.push("mark", about, sheet.pen.take());
    }
    let Sheet { mut pen, mut labels, places, .. } = sheet;
    section.places = places;
    label_things(named, &mut labels, &mut crowd);
    place_labels(labels, &view, &mut crowd, &mut pen, &mut section.drawing);
    section
}

/// A section in the making.
struct Sheet<'a> {
    pen: Pen,
    paper: Paper,
    emphasis: &'a Emphasis,
    labels: Vec<Label>,
    places: Vec<Place>,
}

/// What cannot be drawn, in words along the top, and how much heights are drawn out; in the middle if
/// nothing can be drawn.
fn left_out(pen: &mut Pen, shown: &Shown<'_>, exaggeration: Option<f64>, size: DVec2) {
    let drawn_out = exaggeration.filter(|times| !(0.95..1.05).contains(times));
    let drawn_out = drawn_out.map(|times| match times {
        times if times >= 9.95 => format!("heights drawn {times:.0} times as large as distances"),
        times => format!("heights drawn {times:.1} times as large as distances"),
    });
    let said: Vec<_> = shown.left_out.iter().cloned().chain(drawn_out).collect();
    words_on_top(pen, &said.join("; "), shown.is_empty(), size);
}

/// Words along the top, or in the middle of an empty sheet.
pub(crate) fn words_on_top(pen: &mut Pen, text: &str, is_empty: bool, size: DVec2) {
    if text.is_empty() {
        return;
    }
    let style = Type { text, size: SMALL, colour: WHITE.faded(0.75), plate: None };
    if is_empty {
        pen.words(0.5 * size, DVec2::ZERO, Anchor::Centre, style);
    } else {
        pen.words(DVec2::splat(10.0), DVec2::ZERO, Anchor::Left, style);
    }
}

/// Over a line, at its right end or some way back along it.
const OVER_FROM_THE_RIGHT: &[(f64, f64)] =
    &[(-1.0, -1.2), (-3.1, -1.2), (-5.2, -1.2), (-7.3, -1.2)];

/// Over or under a line, at its right end or some way back along it.
const ALONG_FROM_THE_RIGHT: &[(f64, f64)] =
    &[(-1.0, -1.2), (-1.0, 1.2), (-3.1, -1.2), (-3.1, 1.2), (-5.2, -1.2), (-5.2, 1.2)];

/// Height of the distances written under the axis, points.
const NUMBERS: f64 = 20.0;

impl Sheet<'_> {
    fn level_line(&mut self, level: &shown::Level<'_>) {
        let y = self.paper.y(level.height);
        let about = Subject::Level(level.id);
        let noticed = self.emphasis.on(about) > Attention::Plain;
        let (width, colour) = match (noticed, level.height == 0.0) {
            (true, _) => (2.5, 1.0),
            (false, true) => (1.5, 0.8),
            (false, false) => (1.0, 0.5),
        };
        let ends = [self.paper.left(), self.paper.right()].map(|x| DVec2::new(x, y));
        self.pen.line(ends[0], ends[1], width, WHITE.faded(colour));
        self.places.push(Place::straight(about, ends[0], ends[1]));
        let number = if self.paper.bottom() - y < NUMBERS {
            OVER_FROM_THE_RIGHT
        } else {
            ALONG_FROM_THE_RIGHT
        };
        self.labels.push(Label {
            at: ends[1],
            clearance: 1.0,
            lines: vec![(words::name(level.name), WHITE)],
            rank: Rank::Ordinary,
            about: Some(about),
            sides: number,
        });
    }

    /// The eye at the left edge and the horizon's level from there to the right.
    fn eye(&mut self, shown: &Shown<'_>) {
        let Self { pen, paper, .. } = self;
        let at = DVec2::new(paper.left(), paper.y(shown.eye_height));
        pen.edged_line(at, DVec2::new(paper.right(), at.y), 1.5, WHITE);
        eye_symbol(pen, at);
        let words = match shown.levels.iter().find(|level| level.height == 0.0) {
            Some(level) if shown.eye_height != 0.0 => {
                let height = shown.scale.units.length(shown.eye_height.abs(), shown.unit);
                let side = side(shown);
                format!("eye, {height} {side} {}", words::name(level.name))
            }
            _ => "eye".into(),
        };
        self.labels.push(eye_label(at, words));
    }

    /// A marker at its distance and height, with a whisker along the 95 % interval of its distance;
    /// where its head is.
    fn upright(&mut self, item: &Item<'_>, crowd: &mut Crowd) -> DVec2 {
        let colour = standing_colour(item.standing, item.intended);
        let attention = self.emphasis.on(item.about());
        let x = self.paper.x(item.distance.value);
        let foot = DVec2::new(x, self.paper.y(item.foot));
        self.whisker(item, foot.y, colour);
        let head = match (item.marker.span, item.size) {
            (Span::Upright, Some(size)) => DVec2::new(x, self.paper.y(item.foot + size)),
            _ => foot,
        };
        let pen = &mut self.pen;
        if head == foot {
            let reach = DVec2::new(5.0, 0.0);
            halo(pen, foot - reach, foot + reach, attention);
            pen.edged_line(foot - reach, foot + reach, 3.0, colour);
        } else {
            halo(pen, foot, head, attention);
            pen.line(foot, head, 6.0, DARK.faded(0.7));
            pen.line(foot, head, 3.5, colour);
        }
        if attention == Attention::Selected {
            handle(pen, foot);
            handle(pen, head);
        }
        crowd.take(Bounds { min: head - 3.0, max: foot + 3.0 });
        self.places.push(Place::straight(item.about(), foot, head));
        head
    }

    /// The standing's mark over a head; where it is.
    fn standing(&mut self, item: &Item<'_>, head: DVec2) -> DVec2 {
        let at = head - DVec2::new(0.0, MARK_RADIUS + 3.0);
        mark(&mut self.pen, item.standing, item.intended, at, 0.8);
        at
    }

    fn whisker(&mut self, item: &Item<'_>, y: f64, colour: Colour) {
        let (pen, paper) = (&mut self.pen, &self.paper);
        let ends = [item.distance.low, item.distance.high].map(|d| DVec2::new(paper.x(d), y));
        pen.edged_line(ends[0], ends[1], 1.0, colour.faded(0.9));
        let (near, far) = paper.distances();
        if item.distance.low >= near {
            tick(pen, ends[0], DVec2::Y, colour);
        }
        if item.distance.high <= far {
            tick(pen, ends[1], DVec2::Y, colour);
        } else {
            arrow(pen, ends[1], DVec2::X, colour);
        }
    }
}

/// The end of an interval: a short line along `across`, of unit length.
pub(crate) fn tick(pen: &mut Pen, at: DVec2, across: DVec2, colour: Colour) {
    pen.edged_line(at - 3.0 * across, at + 3.0 * across, 1.0, colour);
}

/// The end of an interval that goes on beyond the sheet, or has no end.
pub(crate) fn arrow(pen: &mut Pen, at: DVec2, towards: DVec2, colour: Colour) {
    for side in [towards.perp(), -towards.perp()] {
        pen.edged_line(at, at - 6.0 * towards + 3.5 * side, 1.0, colour);
    }
}

/// What is attended to is edged in white.
pub(crate) fn halo(pen: &mut Pen, a: DVec2, b: DVec2, attention: Attention) {
    match attention {
        Attention::Selected => pen.line(a, b, 9.0, WHITE),
        Attention::Hovered | Attention::Involved => pen.line(a, b, 8.0, WHITE.faded(0.6)),
        Attention::Plain => {}
    }
}

/// A ring to take hold of.
pub(crate) fn handle(pen: &mut Pen, at: DVec2) {
    pen.disc(at, 5.0, CLEAR, Some((3.5, DARK.faded(0.6))));
    pen.disc(at, 5.0, CLEAR, Some((1.5, WHITE)));
}

/// The eye from the side or from above, looking to the right.
pub(crate) fn eye_symbol(pen: &mut Pen, at: DVec2) {
    let lid = DVec2::new(14.0, 6.0);
    for corner in [at + lid, at + DVec2::new(lid.x, -lid.y)] {
        pen.edged_line(at, corner, 1.5, WHITE);
    }
    pen.disc(at + DVec2::new(9.0, 0.0), 3.0, WHITE, Some((1.0, DARK)));
}

/// What is said beside the eye.
pub(crate) fn eye_label(eye: DVec2, words: String) -> Label {
    Label {
        at: eye + DVec2::new(8.0, 0.0),
        clearance: 8.0,
        lines: vec![(words, WHITE)],
        rank: Rank::Involved,
        about: None,
        sides: &[(1.0, -1.2), (1.0, 1.2), (1.0, 0.0), (1.0, -2.4), (1.0, 2.4)],
    }
}

/// A thing on a sheet whose name is to be written beside it.
pub(crate) struct Named<'a> {
    pub(crate) about: Subject,
    pub(crate) name: &'a str,
    pub(crate) rank: Rank,
    /// How far off its nearest point is.
    pub(crate) distance: f64,
    /// The place that the name is of, points, and the room that is kept free around it.
    pub(crate) at: DVec2,
    pub(crate) clearance: f64,
}

impl<'a> Named<'a> {
    /// A marker whose mark stands there.
    pub(crate) fn marker(item: &Item<'a>, emphasis: &Emphasis, at: DVec2) -> Self {
        let about = item.about();
        Self {
            about,
            name: &item.marker.name,
            rank: Rank::of(emphasis.naming(about), item.standing, item.intended),
            distance: item.distance.value,
            at,
            clearance: 0.8 * MARK_RADIUS,
        }
    }

    fn label(&self) -> Label {
        Label {
            at: self.at,
            clearance: self.clearance,
            lines: vec![(words::name(self.name), WHITE)],
            rank: self.rank,
            about: Some(self.about),
            sides: Label::AROUND,
        }
    }
}

/// Names beside things, where there is room: the near ones find a place first.
pub(crate) fn label_things(mut named: Vec<Named<'_>>, labels: &mut Vec<Label>, crowd: &mut Crowd) {
    named.sort_by(|a, b| a.distance.total_cmp(&b.distance));
    for thing in &named {
        crowd.take(Bounds::around(thing.at, DVec2::splat(thing.clearance)));
    }
    let label = |thing: &Named<'_>| {
        let hopeless =
            thing.rank == Rank::Ordinary && is_hopeless(crowd, thing.at, thing.clearance, (0.0, 1));
        (!hopeless).then(|| thing.label())
    };
    // What was there before has its turn after them.
    let before = std::mem::take(labels);
    labels.extend(named.iter().filter_map(label));
    labels.extend(before.into_iter().rev());
}

fn side(shown: &Shown<'_>) -> &'static str {
    if shown.eye_height > 0.0 { "over" } else { "under" }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Ink, samples};
    use staffage_scene::{LevelId, MarkerId, Unit};

    fn drawn(scene: &Scene, assessment: &Assessment) -> Drawing {
        let size = DVec2::new(800.0, 200.0);
        let view = SectionView::default();
        section(scene, assessment, &Emphasis::default(), &view, size).drawing
    }

    fn texts(drawing: &Drawing) -> Vec<&str> {
        let texts = drawing.ink().filter_map(|ink| match ink {
            Ink::Words { text, .. } => Some(text.as_str()),
            _ => None,
        });
        texts.collect()
    }

    #[test]
    fn what_is_measured_in_eye_heights_says_so_under_its_axes() {
        let (scene, mut assessment) = samples::quay();
        assert!(!texts(&drawn(&scene, &assessment)).contains(&"eye heights"));
        for entry in &mut assessment.ledger {
            entry.unit = Unit::EyeHeights(LevelId(1));
        }
        let drawing = drawn(&scene, &assessment);
        assert!(texts(&drawing).contains(&"eye heights"), "{:?}", texts(&drawing));
    }

    #[test]
    fn marks_can_be_told_from_what_they_stand_over() {
        let (scene, assessment) = samples::quay();
        let drawing = drawn(&scene, &assessment);
        let count = |name| drawing.groups.iter().filter(|group| group.name == name).count();
        assert!(count("mark") > 5);
        assert_eq!(count("mark"), count("marker"));
    }

    #[test]
    fn an_interval_without_an_upper_end_ends_in_an_arrow() {
        let (scene, mut assessment) = samples::quay();
        let strokes = |assessment: &Assessment| {
            let drawing = drawn(&scene, assessment);
            let group = drawing.groups.iter().rfind(|group| group.name == "marker");
            group.expect("the nearest").ink.len()
        };
        let ended = strokes(&assessment);
        let distance = assessment.ledger[0].distance.as_mut().expect("measured");
        distance.high = f64::INFINITY;
        // An arrow has two edged barbs where a closed end has one edged tick.
        assert_eq!(strokes(&assessment), ended + 2);
    }

    #[test]
    fn what_is_selected_shows_its_sight_lines_and_its_handles() {
        let (scene, assessment) = samples::quay();
        let about = Subject::Marker(assessment.ledger[0].id);
        let selected = Emphasis { selected: [about].into(), ..Emphasis::default() };
        let size = DVec2::new(800.0, 200.0);
        let section = section(&scene, &assessment, &selected, &SectionView::default(), size);
        let lines = section.drawing.groups.iter().filter(|g| g.name == "sight-lines");
        assert!(lines.clone().any(|g| g.about == Some(about)));
        let place = section.places.iter().find(|place| place.about == about).expect("placed");
        let rings = section.drawing.ink().filter_map(|ink| match ink {
            Ink::Disc { centre, radius: 5.0, .. } => Some(*centre),
            _ => None,
        });
        let rings: Vec<_> = rings.collect();
        assert!(rings.contains(&place.foot) && rings.contains(&place.head));
    }

    #[test]
    fn names_leave_the_distances_under_the_axis_to_be_read() {
        let (scene, assessment) = samples::crowd(40);
        let (view, size) = (SectionView::default(), DVec2::new(500.0, 90.0));
        let section = section(&scene, &assessment, &Emphasis::default(), &view, size);
        let under = section.paper.expect("there are distances").bottom() + 4.0;
        let words = |name: &'static str| {
            let groups = section.drawing.groups.iter().filter(move |group| group.name == name);
            groups.flat_map(|group| &group.ink).filter_map(|ink| match ink {
                Ink::Words { at, offset, .. } => Some(at.y + offset.y),
                _ => None,
            })
        };
        assert!(words("axes").any(|y| y > under));
        assert!(words("label").count() > 5 && words("label").all(|y| y < under));
    }

    #[test]
    fn sight_lines_lead_to_what_is_selected_unless_that_is_too_much() {
        let (scene, assessment) = samples::crowd(40);
        let lines = |count: u32| {
            let selected = (1..=count).map(|id| Subject::Marker(MarkerId(id))).collect();
            let emphasis = Emphasis { selected, ..Emphasis::default() };
            let (view, size) = (SectionView::default(), DVec2::new(800.0, 200.0));
            let drawing = section(&scene, &assessment, &emphasis, &view, size).drawing;
            let to_markers =
                |group: &&crate::Group| group.name == "sight-lines" && group.about.is_some();
            drawing.groups.iter().filter(to_markers).count()
        };
        assert_eq!((lines(2), lines(40)), (2, 0));
    }
}
