//! Equal steps: a line with its posts, or with ticks where nothing stands at them.

use super::{Hand, edge};
use crate::palette::{DARK, family_colour};
use crate::pen::Pen;
use crate::stage::Stage;
use glam::DVec2;
use staffage_scene::{Guide, GuideShape, SteppedForm};
use staffage_solver::{seen, seen_edge};

/// Half the length of a tick, points.
const TICK: f64 = 6.0;
/// Steps nearer together than this are not drawn, points: they would make a grey patch.
const NEAREST: f64 = 1.5;

pub(super) fn steps(
    pen: &mut Pen,
    stage: &Stage<'_>,
    guide: &Guide,
    form: &SteppedForm,
    hand: Hand,
) {
    let GuideShape::Steps(steps) = guide.shape else { return };
    let colour = family_colour(steps.family);
    let (Some((first, _)), Some((last, _))) = (form.places.first(), form.places.last()) else {
        return;
    };
    edge(pen, *first, *last, hand, colour);
    if let Some(post) = form.post {
        edge(pen, *first + post, *last + post, hand, colour);
    }
    let post_colour = steps.post.map_or(colour, |post| family_colour(post.family));
    let mut before: Option<DVec2> = None;
    for (place, rank) in &form.places {
        let weaker = Hand {
            width: hand.width * if *rank > 1 { 0.75 } else { 1.0 },
            strength: hand.strength * 0.82_f64.powi(*rank as i32),
        };
        let at = seen(*place);
        if let (Some(at), Some(was)) = (at, before)
            && pen.points(at.distance(was)) < NEAREST
        {
            continue;
        }
        before = at.or(before);
        match form.post {
            Some(post) => edge(pen, *place, *place + post, weaker, post_colour),
            None => tick(pen, stage, form, at, weaker, colour),
        }
        if let Some(at) = at {
            pen.disc(at, 2.0, colour.faded(weaker.strength), Some((1.0, DARK.faded(0.7))));
        }
    }
}

/// A mark square to the line in the picture, of one size: nothing says how far it would reach.
fn tick(
    pen: &mut Pen,
    stage: &Stage<'_>,
    form: &SteppedForm,
    at: Option<DVec2>,
    hand: Hand,
    colour: crate::Colour,
) {
    let ends = form.places.first().zip(form.places.last());
    let line = ends.and_then(|((a, _), (b, _))| seen_edge(*a, *b));
    if let (Some(at), Some([a, b])) = (at, line) {
        let across = (b - a).normalize_or_zero().perp() * stage.view.units(TICK);
        pen.edged_line(at - across, at + across, hand.width, colour.faded(hand.strength));
    }
}
