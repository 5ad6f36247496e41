use crate::graduation::Scale;
use staffage_scene::{
    Assessment, LevelId, Marker, Measure, Scene, Side, Standing, Subject, Unit, place_stand_in,
};
use std::collections::HashMap;

/// What a section or a plan shows: everything that is measured in one unit, heights counted from the level
/// that carries most markers, or from the eye if no level is fixed.
#[derive(Debug)]
pub(crate) struct Shown<'a> {
    pub(crate) unit: Unit,
    /// What its lengths are told in.
    pub(crate) scale: Scale,
    /// Height of the eye over height zero.
    pub(crate) eye_height: f64,
    pub(crate) levels: Vec<Level<'a>>,
    /// Near to far.
    pub(crate) items: Vec<Item<'a>>,
    /// Where stand-ins stand.
    pub(crate) ghosts: Vec<GhostAt>,
    /// What is not shown, one sentence each.
    pub(crate) left_out: Vec<String>,
}

/// What reaches nearer than this is drawn from here on, in the section's unit.
const NEAREST: f64 = 0.1;

/// One of a stand-in.
#[derive(Clone, Copy, Debug)]
pub(crate) struct GhostAt {
    /// Of its middle from the eye, and clockwise from straight ahead, radians.
    pub(crate) distance: f64,
    pub(crate) bearing: f64,
    /// Its nearest and its farthest point.
    pub(crate) reach: [f64; 2],
    /// Of its foot and its top.
    pub(crate) heights: [f64; 2],
}

/// A level at its height.
#[derive(Debug)]
pub(crate) struct Level<'a> {
    pub(crate) id: LevelId,
    pub(crate) name: &'a str,
    pub(crate) height: f64,
}

/// A marker at its distance and height.
#[derive(Debug)]
pub(crate) struct Item<'a> {
    pub(crate) marker: &'a Marker,
    pub(crate) standing: Standing,
    pub(crate) intended: bool,
    pub(crate) distance: Measure,
    /// Length of its span, if known.
    pub(crate) size: Option<f64>,
    /// Height of its foot.
    pub(crate) foot: f64,
}

impl Item<'_> {
    pub(crate) fn about(&self) -> Subject {
        Subject::Marker(self.marker.id)
    }
}

impl<'a> Shown<'a> {
    /// With heights counted so far from the eye, if that is said, rather than from a level.
    pub(crate) fn of(
        scene: &'a Scene,
        assessment: &'a Assessment,
        eye_height: Option<f64>,
    ) -> Self {
        let unit = unit(assessment);
        // Elevation of each level over the eye.
        let elevations: Vec<_> = assessment
            .levels
            .iter()
            .filter(|level| level.unit == unit)
            .filter_map(|reading| {
                let (level, clearance) = (scene.level(reading.id)?, reading.clearance?.value);
                let sign = if level.side == Side::Below { -1.0 } else { 1.0 };
                clearance.is_finite().then_some((level, sign * clearance))
            })
            .collect();
        // A level under markers before one under stand-ins.
        let carried = |id| {
            let stand_ins = scene.stand_ins.iter().filter(|s| s.level == id).count();
            (scene.markers.iter().filter(|m| stands_on(m, id)).count(), stand_ins)
        };
        // The first of those that carry most.
        let zero = elevations.iter().rev().max_by_key(|(level, _)| carried(level.id));
        let eye_height = eye_height.unwrap_or(zero.map_or(0.0, |(_, elevation)| -elevation));
        let levels = elevations.iter().map(|(level, elevation)| Level {
            id: level.id,
            name: &level.name,
            height: elevation + eye_height,
        });
        let items = items(scene, assessment, unit, eye_height);
        let ghosts = ghosts(scene, assessment, unit, eye_height);
        let left_out = left_out(assessment, unit, items.len() + ghosts.len());
        let scale = Scale { unit, units: assessment.units };
        Self { unit, scale, eye_height, levels: levels.collect(), items, ghosts, left_out }
    }
}

impl Shown<'_> {
    /// How far off everything is.
    pub(crate) fn distances(&self) -> impl Iterator<Item = f64> {
        let markers = self.items.iter().map(|item| item.distance.value);
        // What begins at the eye would have a logarithmic axis begin there.
        let ghosts =
            self.ghosts.iter().flat_map(|ghost| [ghost.distance].into_iter().chain(ghost.reach));
        markers.chain(ghosts.filter(|distance| *distance > NEAREST))
    }

    /// Whether nothing has a place.
    pub(crate) fn is_empty(&self) -> bool {
        self.items.is_empty() && self.ghosts.is_empty()
    }
}

/// Metres if anything is measured in metres, else the unit of the nearest thing.
fn unit(assessment: &Assessment) -> Unit {
    let units = || assessment.ledger.iter().filter(|e| e.distance.is_some()).map(|e| e.unit);
    units().find(|&unit| unit == Unit::Metres).or_else(|| units().next()).unwrap_or(Unit::Metres)
}

fn stands_on(marker: &Marker, id: LevelId) -> bool {
    marker.stands.level() == Some(id)
}

/// Everyone of every stand-in, where it is measured in metres.
fn ghosts(scene: &Scene, assessment: &Assessment, unit: Unit, eye_height: f64) -> Vec<GhostAt> {
    if unit != Unit::Metres {
        return Vec::new();
    }
    let placed = scene.stand_ins.iter().filter_map(|s| place_stand_in(scene, assessment, s).ok());
    let each = placed.flat_map(|placement| placement.each);
    let seen = each.map(|one| GhostAt {
        distance: one.distance(),
        bearing: one.foot.x.atan2(-one.foot.z),
        reach: one.reach().into(),
        heights: [one.foot, one.head()].map(|at| at.y + eye_height),
    });
    seen.filter(|one| one.distance > 0.0 && one.distance.is_finite()).collect()
}

fn items<'a>(
    scene: &'a Scene,
    assessment: &Assessment,
    unit: Unit,
    eye_height: f64,
) -> Vec<Item<'a>> {
    let markers: HashMap<_, _> = scene.markers.iter().map(|m| (m.id, m)).collect();
    let entries = assessment.ledger.iter().filter(|entry| entry.unit == unit);
    let items = entries.filter_map(|entry| {
        let (marker, distance) = (*markers.get(&entry.id)?, entry.distance?);
        let elevation = entry.elevation.filter(|elevation| elevation.is_finite())?;
        let usable = distance.value.is_finite() && distance.value > 0.0;
        usable.then(|| Item {
            marker,
            standing: entry.standing,
            intended: scene.intended_reason(Subject::Marker(marker.id)).is_some(),
            distance,
            size: entry.size.map(|size| size.value).filter(|size| size.is_finite()),
            foot: elevation + eye_height,
        })
    });
    items.collect()
}

/// Sentences for what is not shown.
fn left_out(assessment: &Assessment, unit: Unit, shown: usize) -> Vec<String> {
    let measured = assessment.ledger.iter().filter(|e| e.distance.is_some()).count();
    let other_unit =
        assessment.ledger.iter().filter(|e| e.distance.is_some() && e.unit != unit).count();
    let open = assessment.ledger.len() - measured;
    let count = |n: usize| if n == 1 { "1 marker".into() } else { format!("{n} markers") };
    let (has, is) =
        (|n| if n == 1 { "has" } else { "have" }, |n| if n == 1 { "is" } else { "are" });
    let mut sentences = Vec::new();
    if shown == 0 {
        sentences.push("Nothing has a distance yet".into());
        return sentences;
    }
    if other_unit > 0 {
        let words = "measured only in eye heights and left out";
        sentences.push(format!("{} {} {words}", count(other_unit), is(other_unit)));
    }
    if open > 0 {
        sentences.push(format!("{} {} no distance yet", count(open), has(open)));
    }
    sentences
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples;

    #[test]
    fn heights_are_counted_from_the_level_that_carries_most() {
        let (scene, assessment) = samples::quay();
        let shown = Shown::of(&scene, &assessment, None);
        let heights: Vec<_> = shown.levels.iter().map(|level| level.height).collect();
        assert_eq!(heights, [0.0, 15.2]);
        assert_eq!(shown.eye_height, 3.2);
        assert_eq!(shown.items[0].marker.name, "Foreman");
        assert_eq!(shown.items[0].foot, 0.0);
    }

    #[test]
    fn what_has_another_unit_or_no_distance_is_said_to_be_left_out() {
        let (scene, mut assessment) = samples::quay();
        assessment.ledger[0].unit = Unit::EyeHeights(LevelId(2));
        let shown = Shown::of(&scene, &assessment, None);
        assert!(shown.items.iter().all(|item| item.marker.name != "Foreman"));
        assert_eq!(
            shown.left_out,
            [
                "1 marker is measured only in eye heights and left out",
                "2 markers have no distance yet"
            ]
        );
    }

    #[test]
    fn eye_heights_serve_when_nothing_is_in_metres() {
        let (scene, mut assessment) = samples::quay();
        let unit = Unit::EyeHeights(LevelId(1));
        assessment.ledger.iter_mut().for_each(|entry| entry.unit = unit);
        let shown = Shown::of(&scene, &assessment, None);
        assert_eq!(shown.unit, unit);
        // No level is measured in this unit here: heights are counted from the eye.
        assert_eq!(shown.eye_height, 0.0);
        assert!(!shown.items.is_empty());
    }

    #[test]
    fn an_empty_scene_says_that_nothing_has_a_distance() {
        let (scene, assessment) = (Scene::default(), samples::empty_assessment(Default::default()));
        assert_eq!(Shown::of(&scene, &assessment, None).left_out, ["Nothing has a distance yet"]);
    }
}
