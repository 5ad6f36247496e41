//! Where an end that is being placed catches: plumb, its family's direction, other ends, the same
//! height. All is measured on the screen, for the view may turn and stretch the picture.

use crate::canvas::Pointer;
use crate::canvas::gesture::Gesture;
use crate::canvas::hit::{Grip, Part};
use crate::desk::Desk;
use crate::properties::several::placed;
use crate::thing::Thing;
use egui::{Align2, Color32, FontId, Painter, Pos2, Shape, Stroke, vec2};
use glam::{DVec2, DVec3};
use staffage_scene::{
    Family, Marker, MarkerId, Segment, Span, Stands, Statement, Subject, family_name, family_of,
    run_at,
};
use staffage_solver::Eye;

/// How near an end must come to be caught, points: as far as a hand is sure of.
const REACH: f32 = 6.0;
/// How near it must come for what would catch it to be shown, points.
const SHOWN: f32 = 18.0;
/// A step along a line in the picture, picture units, to see how it runs on the screen.
const ALONG: f64 = 0.05;

/// What an end is caught by, or would be if it came nearer.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Snap {
    /// Where the end belongs, picture units.
    pub(crate) at: DVec2,
    /// What it lines up with, picture units: the guide runs from there.
    from: DVec2,
    /// What it is, in a word or two.
    word: String,
    /// Whether the end is there already.
    pub(crate) caught: bool,
}

/// An end that is being placed.
pub(crate) enum End<'a> {
    /// Of a line, or the foot of a marker: it catches at other ends, that of a line at the frame, too.
    Free { own: Option<Thing>, frame: bool },
    /// The head of this marker.
    Head(&'a Marker),
}

impl<'a> End<'a> {
    /// The end that is held, if it is one that catches.
    pub(crate) fn held(grip: Grip, marker: Option<&'a Marker>) -> Option<Self> {
        match (grip.part, grip.thing, marker) {
            (Part::Head, Thing::Of(Subject::Marker(_)), Some(marker)) => Some(Self::Head(marker)),
            (Part::Foot, Thing::Of(Subject::Marker(_)), _) => {
                Some(Self::Free { own: Some(grip.thing), frame: false })
            }
            (Part::Foot | Part::Head, Thing::Of(Subject::Line(_)) | Thing::Horizon, _) => {
                Some(Self::Free { own: Some(grip.thing), frame: true })
            }
            _ => None,
        }
    }
}

/// Something that could catch an end.
#[derive(Clone, Copy)]
struct Lure {
    /// Where the end would belong, picture units.
    at: DVec2,
    from: DVec2,
    kind: Kind,
}

/// What it is; the words are found for the one that is shown.
#[derive(Clone, Copy)]
enum Kind {
    /// An end of this thing, called so.
    End(&'static str, Thing),
    /// An edge of the frame.
    Edge,
    /// A line of this family.
    Run(Family),
    /// As tall as this marker.
    Tall(MarkerId),
}

impl Kind {
    fn words(self, desk: &Desk) -> String {
        let scene = desk.scene();
        match self {
            Self::End(word, thing) => format!("{word} {}", thing.name(scene)),
            Self::Edge => "edge of the frame".into(),
            Self::Run(Family::Upright) => "plumb".into(),
            Self::Run(family) => family_name(scene, family),
            Self::Tall(id) => format!("as tall as {}", crate::thing::marker_name(id, scene)),
        }
    }
}

/// Shows what would catch an end that is begun here by a press, where one is drawn.
pub(crate) fn before_a_press(desk: &mut Desk, pointer: &Pointer, frame: bool) {
    let at = pointer.at.filter(|_| desk.gesture == Gesture::Idle && desk.naming.is_none());
    let Some(at) = at else { return };
    if desk.pointing().handle_while_drawing(at).is_some() {
        return;
    }
    placed_at(desk, pointer, &End::Free { own: None, frame }, at);
    desk.snap = desk.snap.take().filter(|snap| snap.caught);
}

/// Where an end at this place on the screen belongs, picture units; shows what catches it. Ctrl, and the
/// switch in the View menu, let it lie where it is.
pub(crate) fn placed_at(desk: &mut Desk, pointer: &Pointer, end: &End<'_>, at: Pos2) -> DVec2 {
    let snap = if pointer.free || !desk.remembered.snap { None } else { find(desk, end, at) };
    let place = snap.as_ref().filter(|snap| snap.caught).map(|snap| snap.at);
    desk.snap = snap;
    place.unwrap_or_else(|| desk.picture_point(at))
}

/// The nearest that catches; a point before a line, for it is rarer.
fn find(desk: &Desk, end: &End<'_>, at: Pos2) -> Option<Snap> {
    let (points, lines) = match end {
        End::Free { own, frame } => {
            (ends(desk, *own), if *frame { edges(desk) } else { Vec::new() })
        }
        End::Head(marker) => {
            let mut points = ends(desk, Some(Thing::marker(marker.id)));
            points.retain(|snap| snap.at != marker.foot);
            points.extend(same_heights(desk, marker));
            (points, runs(desk, marker))
        }
    };
    let lines = lines.into_iter().filter_map(|(from, along, kind)| {
        Some(Lure { at: on_line(desk, from, along, at)?, from, kind })
    });
    nearest(desk, points.into_iter(), at, REACH)
        .or_else(|| nearest(desk, lines.clone(), at, REACH))
        .or_else(|| nearest(desk, lines, at, SHOWN))
}

/// The nearest within reach, of what is not behind the eye as which the picture is seen.
fn nearest(desk: &Desk, lures: impl Iterator<Item = Lure>, at: Pos2, reach: f32) -> Option<Snap> {
    let is_seen = |lure: &Lure| lure.at.is_finite() && desk.view.faces(desk.canvas, lure.at);
    let measured = lures.filter(is_seen).map(|lure| {
        let apart = desk.view.to_screen(desk.canvas, lure.at).distance(at);
        (lure, apart)
    });
    let within = measured.filter(|(_, apart)| *apart <= reach);
    let (Lure { at, from, kind }, apart) = within.min_by(|a, b| a.1.total_cmp(&b.1))?;
    Some(Snap { at, from, word: kind.words(desk), caught: apart <= REACH })
}

/// The ends of everything else.
fn ends(desk: &Desk, own: Option<Thing>) -> Vec<Lure> {
    let scene = desk.scene();
    let mut found = Vec::new();
    for thing in placed(scene).filter(|thing| Some(*thing) != own) {
        let Some(Segment(a, b)) = crate::canvas::hit::segment(scene, thing) else { continue };
        let words = match thing {
            Thing::Of(Subject::Marker(_)) => ["foot of", "head of"],
            _ => ["end of", "end of"],
        };
        for (at, word) in [a, b].into_iter().zip(words) {
            found.push(Lure { at, from: at, kind: Kind::End(word, thing) });
        }
    }
    found
}

/// The edges of the painting: a point, a direction and a word each.
fn edges(desk: &Desk) -> Vec<(DVec2, DVec2, Kind)> {
    let corner = DVec2::new(0.5, desk.scene().frame.half_height());
    let edge = |at: DVec2, along: DVec2| (at, along, Kind::Edge);
    vec![
        edge(-corner, DVec2::X),
        edge(-corner, DVec2::Y),
        edge(corner, -DVec2::X),
        edge(corner, -DVec2::Y),
    ]
}

/// How the span of a marker runs from its foot.
fn runs(desk: &Desk, marker: &Marker) -> Vec<(DVec2, DVec2, Kind)> {
    let run = family_of(marker.span).and_then(|family| {
        Some((marker.foot, run_at(desk.assessment(), family, marker.foot)?, Kind::Run(family)))
    });
    run.into_iter().collect()
}

/// Where the head of an upright is as high as that of a figure on the same level.
fn same_heights(desk: &Desk, marker: &Marker) -> Vec<Lure> {
    let Stands::On(level) = marker.stands else { return Vec::new() };
    if marker.span != Span::Upright {
        return Vec::new();
    }
    let eye = desk.assessment().eye.eye;
    let is_figure = |m: &&Marker| {
        let known =
            |s: &Statement| matches!(s, Statement::KnownSize { .. } | Statement::SameMake { .. });
        m.id != marker.id
            && m.span == Span::Upright
            && m.stands == Stands::On(level)
            && m.statements.iter().any(known)
    };
    let figures = desk.scene().markers.iter().filter(is_figure);
    let snap = |m: &Marker| {
        let at = as_tall(&eye, m.foot, m.head, marker.foot)?;
        Some(Lure { at, from: m.head, kind: Kind::Tall(m.id) })
    };
    figures.filter_map(snap).collect()
}

/// Where the head of an upright on this foot is seen that is as tall as another on the same level, whose
/// foot and head are given; all picture units. Own derivation: with the level one unit below the eye, an
/// upright at the horizontal distance r whose head is seen under the slope t is 1 + r t tall.
fn as_tall(eye: &Eye, foot: DVec2, head: DVec2, on: DVec2) -> Option<DVec2> {
    let stood = |foot: DVec2| {
        let ray = eye.ray(foot);
        let side = -ray.y.signum();
        (ray.y.abs() > 1e-6).then(|| (ray / ray.y.abs(), side))
    };
    let flat = |at: DVec3| at.x.hypot(at.z);
    let ((pattern, side), (here, other)) = (stood(foot)?, stood(on)?);
    let ray = eye.ray(head);
    let up = flat(pattern) * ray.y / flat(ray).max(1e-12) + side;
    let head = eye.project(here + up * DVec3::Y)?;
    (side == other && head.is_finite()).then_some(head)
}

/// The point of a line in the picture that is nearest on the screen.
fn on_line(desk: &Desk, from: DVec2, along: DVec2, at: Pos2) -> Option<DVec2> {
    let place = |at| desk.view.to_screen(desk.canvas, at);
    let (start, next) = (place(from), place(from + ALONG * along));
    let way = (next - start).normalized();
    let on = start + way * way.dot(at - start);
    let found = desk.picture_point(on);
    (way.length() > 0.5 && found.is_finite()).then_some(found)
}

/// The guide to what catches the end, with its word.
pub(crate) fn paint(desk: &Desk, painter: &Painter) {
    let Some(snap) = &desk.snap else { return };
    let place = |at| desk.view.to_screen(desk.canvas, at);
    let (from, at) = (place(snap.from), place(snap.at));
    if !desk.view.faces(desk.canvas, snap.at) {
        return;
    }
    let strong = if snap.caught { 1.0 } else { 0.55 };
    let (dark, light) = (Color32::from_black_alpha(150), Color32::WHITE.gamma_multiply(strong));
    // Of what it lines up with, as much as is before the eye.
    if from != at
        && let Some([start, _]) = desk.view.segment(desk.canvas, snap.from, snap.at)
    {
        let ends = [start, at + (at - start).normalized() * 40.0];
        painter.line_segment(ends, Stroke::new(2.5, dark.gamma_multiply(strong)));
        painter.extend(Shape::dashed_line(&ends, Stroke::new(1.0, light), 3.0, 3.0));
    }
    if snap.caught {
        painter.circle_stroke(at, REACH, Stroke::new(3.0, dark));
        painter.circle_stroke(at, REACH, Stroke::new(1.2, light));
    }
    let (font, corner) = (FontId::proportional(12.0), at + vec2(12.0, 14.0));
    let galley = painter.layout_no_wrap(snap.word.clone(), font.clone(), light);
    let plate = egui::Rect::from_min_size(corner, galley.size()).expand2(vec2(4.0, 2.0));
    painter.rect_filled(plate, 3, dark);
    painter.text(corner, Align2::LEFT_TOP, &snap.word, font, light);
}

/// A marker as it would be with this id, run and foot.
pub(crate) fn drawn(desk: &Desk, id: MarkerId, foot: DVec2) -> Marker {
    Marker {
        id,
        name: String::new(),
        foot,
        head: foot,
        span: desk.tools.span,
        stands: desk.tools.level.map_or(Stands::Unsaid, Stands::On),
        statements: Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heads_on_one_level_are_cut_alike_by_the_horizon() {
        // A level eye: a head at half of the eye's height stays so, near or far (the horizon ratio).
        let eye = Eye::default();
        let (foot, head, on) = (DVec2::new(-0.1, 0.2), DVec2::new(-0.1, 0.1), DVec2::new(0.3, 0.1));
        let found = as_tall(&eye, foot, head, on).expect("in sight");
        assert!((found - DVec2::new(0.3, 0.05)).length() < 1e-9, "{found}");
    }

    #[test]
    fn a_figure_is_nothing_to_go_by_on_the_other_side_of_the_horizon_or_on_it() {
        let eye = Eye::default();
        let (foot, head) = (DVec2::new(-0.1, 0.2), DVec2::new(-0.1, 0.1));
        for v in [0.0, -0.1] {
            assert_eq!(as_tall(&eye, foot, head, DVec2::new(0.3, v)), None);
        }
    }
}
