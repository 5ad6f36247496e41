//! The order of the ledger: markers and stand-ins, near to far.

use staffage_scene::{Assessment, Scene, StandIn, StandInId, Unit};

/// What a row of the ledger is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Row {
    /// A marker, by its place among the assessment's entries.
    Marker(usize),
    /// A stand-in.
    StandIn(StandInId),
}

/// All rows, near to far; `reach`: how far off the nearest point of a stand-in is, metres, where it stands
/// anywhere. Markers keep their order: one that is measured in eye heights follows the one before it, and what
/// has no distance comes last, stand-ins after markers.
pub(crate) fn rows(
    scene: &Scene,
    assessment: &Assessment,
    reach: impl Fn(&StandIn) -> Option<f64>,
) -> Vec<Row> {
    let far = |stand_in| reach(stand_in).filter(|far| far.is_finite()).unwrap_or(f64::INFINITY);
    let mut left: Vec<(f64, StandInId)> = scene.stand_ins.iter().map(|s| (far(s), s.id)).collect();
    left.sort_by(|(a, _), (b, _)| a.total_cmp(b));
    let mut left = left.into_iter().peekable();
    let mut rows = Vec::with_capacity(assessment.ledger.len() + left.len());
    for (place, entry) in assessment.ledger.iter().enumerate() {
        let before = match (entry.distance, entry.unit) {
            (Some(distance), Unit::Metres) => distance.value,
            (Some(_), Unit::EyeHeights(_)) => f64::NEG_INFINITY,
            (None, _) => f64::MAX,
        };
        while let Some((_, id)) = left.next_if(|(far, _)| *far < before) {
            rows.push(Row::StandIn(id));
        }
        rows.push(Row::Marker(place));
    }
    rows.extend(left.map(|(_, id)| Row::StandIn(id)));
    rows
}

#[cfg(test)]
mod tests {
    use super::*;
    use glam::DVec2;
    use staffage_scene::{Arranged, LevelId, Marker, MarkerId, Shape, Span, Stands, assess};

    #[test]
    fn stand_ins_are_dealt_in_among_the_markers_and_what_is_nowhere_comes_last() {
        let mut scene = Scene::default();
        let level = scene.levels[0].id;
        let size = staffage_scene::Known { metres: 1.7, spread: 0.06 };
        let marker = |id: u32, foot: f64| Marker {
            id: MarkerId(id),
            name: String::new(),
            foot: DVec2::new(0.0, foot),
            head: DVec2::new(0.0, foot - 0.1 * foot),
            span: Span::Upright,
            stands: Stands::On(level),
            statements: vec![staffage_scene::Statement::KnownSize { size, as_: "adult".into() }],
        };
        scene.markers = vec![marker(1, 0.1), marker(2, 0.2)];
        let stand_in = |id| StandIn {
            id: StandInId(id),
            name: String::new(),
            shape: Shape::Figure { height: 1.7 },
            level: LevelId(1),
            foot: DVec2::ZERO,
            turn: 0.0,
            along: None,
            lift: 0.0,
            arranged: Arranged::Alone,
        };
        scene.stand_ins = (1..=4).map(stand_in).collect();
        let assessment = assess(&scene);
        let far = |place: usize| assessment.ledger[place].distance.expect("a distance").value;
        let between = 0.5 * (far(0) + far(1));
        let reach = |s: &StandIn| [Some(between), None, Some(0.5), Some(1e6)][s.id.0 as usize - 1];
        let ghost = |id| Row::StandIn(StandInId(id));
        assert_eq!(
            rows(&scene, &assessment, reach),
            [ghost(3), Row::Marker(0), ghost(1), Row::Marker(1), ghost(4), ghost(2)]
        );
    }
}
