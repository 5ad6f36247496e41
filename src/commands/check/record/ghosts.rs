//! Stand-ins and guides: what is only to be painted by.

use serde::Serialize;
use staffage_scene::{
    Assessment, Guide, Placed, Scene, Shape, StandIn, Subject, guide_form, guide_words,
    place_stand_in, subject_name,
};
use std::collections::BTreeMap;

/// A stand-in; sizes, distances and the lift in metres.
#[derive(Serialize)]
pub(super) struct StandInRecord<'a> {
    id: u32,
    name: &'a str,
    shape: &'static str,
    sizes: BTreeMap<&'static str, f64>,
    level: u32,
    level_name: &'a str,
    lift: f64,
    /// Degrees from straight ahead, or from where the block recedes right.
    turn: f64,
    turned_with_block: Option<u32>,
    foot: [f64; 2],
    /// How many there are to be, and how many stand there.
    count: u32,
    placed: usize,
    nearest: Option<f64>,
    farthest: Option<f64>,
    /// Of the nearest one at the working width.
    pixel_height: Option<f64>,
    /// Why it cannot stand there, if it cannot.
    cannot: Option<String>,
}

impl<'a> StandInRecord<'a> {
    pub(super) fn of(scene: &'a Scene, assessment: &Assessment, stand_in: &'a StandIn) -> Self {
        let placed = place_stand_in(scene, assessment, stand_in);
        let placement = placed.as_ref().ok();
        let nearest = placement.and_then(|placement| placement.nearest());
        let farthest = placement.and_then(|placement| placement.farthest());
        let seen = nearest.and_then(|one| one.seen_height(&assessment.eye.eye));
        Self {
            id: stand_in.id.0,
            name: &stand_in.name,
            shape: Shape::word(stand_in.shape),
            sizes: stand_in.shape.sizes().into_iter().collect(),
            level: stand_in.level.0,
            level_name: scene.level(stand_in.level).map_or("", |level| &level.name),
            lift: stand_in.lift,
            turn: stand_in.turn,
            turned_with_block: stand_in.along.map(|block| block.0),
            foot: stand_in.foot.to_array(),
            count: stand_in.arranged.count(),
            placed: placement.map_or(0, |placement| placement.each.len()),
            nearest: nearest.map(Placed::distance),
            farthest: farthest.map(Placed::distance),
            pixel_height: seen.map(|height| height * f64::from(scene.frame.working_width)),
            cannot: placed.as_ref().err().map(ToString::to_string),
        }
    }
}

/// A guide that is kept.
#[derive(Serialize)]
pub(super) struct GuideRecord {
    id: u32,
    name: String,
    shape: &'static str,
    level: Option<u32>,
    /// What it comes to, in words.
    said: String,
    /// Whether it can be seen where it was put.
    seen: bool,
}

impl GuideRecord {
    pub(super) fn of(scene: &Scene, assessment: &Assessment, guide: &Guide) -> Self {
        Self {
            id: guide.id.0,
            name: subject_name(scene, Subject::Guide(guide.id)),
            shape: guide.shape.word(),
            level: guide.shape.level().map(|level| level.0),
            said: guide_words(guide, scene, assessment),
            seen: guide_form(scene, assessment, guide).is_some(),
        }
    }
}
