use crate::label::{Label, Rank};
use crate::mark::{MARK_RADIUS, mark};
use crate::palette::{DARK, WHITE, standing_colour};
use crate::pen::Pen;
use crate::pointer::arrow_head;
use crate::stage::{Stage, is_alarming};
use crate::{Attention, Drawing};
use glam::DVec2;
use staffage_scene::{Marker, Overlap, Standing, Subject, standing_word};

/// An arrow from each front thing to the one behind it, subtle until it is attended to.
pub(crate) fn overlaps(
    pen: &mut Pen,
    stage: &Stage<'_>,
    drawing: &mut Drawing,
    labels: &mut Vec<Label>,
) {
    for overlap in &stage.scene.overlaps {
        let ends = (stage.marker(overlap.front), stage.marker(overlap.behind));
        if let (Some(front), Some(behind)) = ends {
            link(pen, stage, overlap, (front, behind), labels);
            drawing.push("overlap", Some(Subject::Overlap(overlap.id)), pen.take());
        }
    }
}

fn link(
    pen: &mut Pen,
    stage: &Stage<'_>,
    overlap: &Overlap,
    (front, behind): (&Marker, &Marker),
    labels: &mut Vec<Label>,
) {
    let about = Subject::Overlap(overlap.id);
    let of_ends = stage.attention(front).max(stage.attention(behind)).min(Attention::Involved);
    let attention = stage.emphasis.on(about).max(of_ends);
    let standing = stage.finding(about).map(|finding| finding.standing);
    let intended = stage.is_intended(about);
    let alarming = standing.is_some_and(|standing| is_alarming(standing, intended));
    let colour = standing.map_or(WHITE, |standing| standing_colour(standing, intended));
    let noticed = attention > Attention::Plain || alarming;
    let (colour, width) = if noticed { (colour, 1.75) } else { (colour.faded(0.45), 1.0) };

    let (from, to) = (middle(front), middle(behind));
    if pen.points(from.distance(to)) < 24.0 {
        return;
    }
    let (tail, tip) = link_ends(front, behind, pen);
    arrow(pen, tail, tip, width, colour);
    // Told apart from the horizon and other lines, and which end is in front, at a glance.
    pen.disc(tail, if noticed { 4.0 } else { 2.5 }, colour, Some((1.0, DARK.faded(0.7))));
    let Some((a, b)) = stage.view.clip(from, to) else { return };
    if noticed {
        let at = a.midpoint(b);
        if let Some(standing) = standing {
            mark(pen, standing, intended, at, 1.0);
        }
        let words = match standing {
            Some(standing) => format!("in front of: {}", standing_word(standing)),
            None => "in front of".into(),
        };
        labels.push(Label {
            at,
            clearance: MARK_RADIUS,
            lines: vec![(words, colour)],
            rank: Rank::of(attention, standing.unwrap_or(Standing::Unchecked), intended),
            about: Some(about),
            sides: Label::AROUND,
        });
    }
}

/// Where the arrow from the front thing to the one behind it begins and ends.
pub(crate) fn link_ends(front: &Marker, behind: &Marker, pen: &Pen) -> (DVec2, DVec2) {
    let (from, to) = (middle(front), middle(behind));
    let gap = pen.units(6.0) * (to - from).normalize_or_zero();
    (from + gap, to - gap)
}

fn arrow(pen: &mut Pen, from: DVec2, to: DVec2, width: f64, colour: crate::Colour) {
    pen.edged_line(from, to, width, colour);
    arrow_head(pen, to, (to - from).normalize_or_zero(), 5.0 + 2.0 * width, colour);
}

fn middle(marker: &Marker) -> DVec2 {
    marker.foot.midpoint(marker.head)
}
