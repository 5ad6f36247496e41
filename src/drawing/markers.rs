use crate::bounds::Bounds;
use crate::caption;
use crate::crowd::Crowd;
use crate::foot::{foot_mark, tie_line};
use crate::label::{Label, Rank, is_hopeless};
use crate::mark::{MARK_RADIUS, mark};
use crate::palette::{CLEAR, DARK, WHITE, family_colour, standing_colour};
use crate::pen::Pen;
use crate::round::ball;
use crate::ruler::Ruler;
use crate::staff::{Rod, bar, ghost, staff};
use crate::stage::Stage;
use crate::{Attention, Drawing};
use glam::DVec2;
use staffage_scene::{Entry, Marker, Span, Standing, Subject, Unit};

/// A marker shorter than this gets neither mark nor label unless it is news, points.
const TOO_SMALL_TO_NAME: f64 = 7.0;

/// Every marker, the far ones undermost, the attended ones on top.
pub(crate) fn markers(
    pen: &mut Pen,
    stage: &Stage<'_>,
    drawing: &mut Drawing,
    labels: &mut Vec<Label>,
    crowd: &mut Crowd,
) {
    let order = far_to_near(stage);
    for marker in &order {
        draw_marker(pen, stage, marker);
        drawing.push("staff", Some(Subject::Marker(marker.id)), pen.take());
    }
    // The near ones find a place for their label first.
    let mut named = Vec::new();
    for marker in order.iter().rev() {
        named.extend(draw_standing(pen, stage, marker, crowd));
        drawing.push("mark", Some(Subject::Marker(marker.id)), pen.take());
    }
    labels.extend(named.iter().filter_map(|named| named.label(stage, crowd)));
}

/// A marker that has a mark, and a name beside it where there is room.
struct Named<'a> {
    marker: &'a Marker,
    /// Where its mark is.
    at: DVec2,
    clearance: f64,
    rank: Rank,
    attention: Attention,
}

impl Named<'_> {
    /// Its label, unless there is no room for it: in a crowd hardly one in twenty is worth its words.
    fn label(&self, stage: &Stage<'_>, crowd: &Crowd) -> Option<Label> {
        let Self { marker, at, clearance, rank, attention } = *self;
        let lines = caption::lines(stage.standing(marker.id), attention);
        let least = (caption::least_width(stage.assessment.units, stage.entry(marker.id)), lines);
        let place = stage.view.on_page(at);
        if rank == Rank::Ordinary && is_hopeless(crowd, place, clearance, least) {
            return None;
        }
        Some(Label {
            at,
            clearance,
            lines: caption::caption(stage, marker, attention),
            rank,
            about: Some(Subject::Marker(marker.id)),
            sides: Label::AROUND,
        })
    }
}

fn far_to_near<'a>(stage: &Stage<'a>) -> Vec<&'a Marker> {
    let distance =
        |m: &Marker| stage.entry(m.id).and_then(|e| e.distance).map_or(f64::INFINITY, |d| d.value);
    let mut order: Vec<_> =
        stage.scene.markers.iter().map(|m| (stage.attention(m), distance(m), m)).collect();
    order.sort_by(|a, b| a.0.cmp(&b.0).then(b.1.total_cmp(&a.1)));
    order.into_iter().map(|(.., marker)| marker).collect()
}

fn draw_marker(pen: &mut Pen, stage: &Stage<'_>, marker: &Marker) {
    tie_line(pen, marker);
    if pen.visible(marker.foot, marker.head).is_none() {
        return;
    }
    let rod = Rod::new(marker.foot, marker.head, pen);
    let entry = stage.entry(marker.id);
    let ruler = Ruler::of(marker, stage.assessment, entry.map_or(Unit::Metres, |e| e.unit));
    let size = entry.and_then(|e| e.size).map(|size| size.value);
    let standing = stage.standing(marker.id);
    let accent = standing_colour(standing, stage.is_intended(Subject::Marker(marker.id)));
    let bold = stage.attention(marker) > Attention::Plain;
    foot_mark(pen, stage, marker, &rod, accent);
    match marker.span {
        Span::Upright => staff(pen, &rod, &ruler, size, accent, bold),
        Span::Along(family) => bar(pen, &rod, &ruler, size, family_colour(family), bold),
        Span::Facing | Span::Cylinder => bar(pen, &rod, &ruler, size, WHITE, bold),
        Span::Ball => {
            ball(pen, &stage.assessment.eye.eye, [marker.foot, marker.head]);
            bar(pen, &rod, &ruler, size, WHITE, bold);
        }
    }
    match entry {
        Some(entry) if entry.standing == Standing::Contradicts && entry.expected_size.is_some() => {
            if let Some(head) = expected_head(entry, &ruler) {
                ghost(pen, &rod, head);
            }
        }
        Some(Entry { true_head: Some(true_head), .. })
            if bold || standing == Standing::Contradicts =>
        {
            lean(pen, &rod, *true_head);
        }
        _ => {}
    }
}

/// Where the head would be if the span were as long as everything else asks for.
fn expected_head(entry: &Entry, ruler: &Ruler) -> Option<DVec2> {
    entry.true_head.or_else(|| ruler.at(entry.expected_size?.value / entry.size?.value))
}

/// A dashed line to where the head would be if the span ran as it is said to.
fn lean(pen: &mut Pen, rod: &Rod, true_head: DVec2) {
    if pen.points(true_head.distance(rod.head)) > 2.0 {
        pen.line(rod.foot, true_head, 3.0, DARK.faded(0.45));
        pen.dashes(rod.foot, true_head, 1.25, WHITE, (3.0, 3.0));
        pen.disc(true_head, 3.0, CLEAR, Some((1.5, WHITE)));
    }
}

/// The standing's mark beyond the head; what is to be named of it.
fn draw_standing<'a>(
    pen: &mut Pen,
    stage: &Stage<'_>,
    marker: &'a Marker,
    crowd: &mut Crowd,
) -> Option<Named<'a>> {
    let rod = Rod::new(marker.foot, marker.head, pen);
    let end = visible_end(stage, &rod)?;
    let about = Subject::Marker(marker.id);
    let (attention, intended) = (stage.naming(marker), stage.is_intended(about));
    let standing = stage.standing(marker.id);
    let rank = Rank::of(attention, standing, intended);
    occupy(crowd, stage, &rod, pen);
    if rod.length < TOO_SMALL_TO_NAME && rank == Rank::Ordinary {
        return None;
    }
    // In a crowd of small figures the marks must not hide the figures.
    let scale = if rank == Rank::Ordinary { (rod.length / 40.0).clamp(0.5, 1.0) } else { 1.0 };
    let at = beyond_head(stage, &rod, end, scale, pen);
    mark(pen, standing, intended, at, scale);
    let clearance = scale * MARK_RADIUS;
    crowd.take(Bounds::around(stage.view.on_page(at), DVec2::splat(clearance)));
    Some(Named { marker, at, clearance, rank, attention })
}

/// The end of the visible part that is nearer to the head.
fn visible_end(stage: &Stage<'_>, rod: &Rod) -> Option<DVec2> {
    stage.view.clip(rod.foot, rod.head).map(|(_, end)| end)
}

/// Where the mark goes: beyond the head, or over the end of what is seen of the staff.
fn beyond_head(stage: &Stage<'_>, rod: &Rod, end: DVec2, scale: f64, pen: &Pen) -> DVec2 {
    let at = end + rod.along * pen.units(scale * MARK_RADIUS + 4.0);
    let room = Bounds { min: DVec2::ZERO, max: stage.view.size() }.grown(-MARK_RADIUS - 2.0);
    if !room.size().cmpgt(DVec2::ZERO).all() {
        return end;
    }
    let on_page = stage.view.on_page(at);
    if room.contains(on_page) {
        return at;
    }
    stage.view.in_picture(on_page.clamp(room.min, room.max))
}

/// Keeps labels off the staff.
pub(crate) fn occupy(crowd: &mut Crowd, stage: &Stage<'_>, rod: &Rod, pen: &Pen) {
    /// Longest stretch that one box covers, points.
    const STRETCH: f64 = 12.0;
    let Some((from, to)) = stage.view.clip(rod.foot, rod.head) else { return };
    let stretches = (pen.points(from.distance(to)) / STRETCH).ceil().clamp(1.0, 64.0);
    let half = DVec2::splat(0.5 * rod.width() + 1.0);
    for i in 0..=stretches as usize {
        let at = from.lerp(to, i as f64 / stretches);
        crowd.take(Bounds::around(stage.view.on_page(at), half));
    }
}
