use crate::crowd::Crowd;
use crate::guides::{fans, ground_grid, guides, measuring};
use crate::horizon::{horizon, traced_horizon, visible_horizon};
use crate::label::{Rank, place_labels};
use crate::lines::{line_marks, lines};
use crate::markers::markers;
use crate::overlaps::overlaps;
use crate::palette::{DARK, WHITE};
use crate::pen::Pen;
use crate::spread::spreads;
use crate::stage::Stage;
use crate::stand_ins::stand_ins;
use crate::vanishing::vanishing_points;
use crate::{Drawing, Emphasis, View};
use glam::DVec2;
use staffage_scene::{Assessment, Frame, Scene};

/// Everything that is drawn over the painting, in picture units and cut to the view. Empty when
/// the view is empty or not finite.
#[must_use]
pub fn draw(scene: &Scene, assessment: &Assessment, view: &View, emphasis: &Emphasis) -> Drawing {
    let mut drawing = Drawing::default();
    let Some(mut pen) = Pen::of_view(view) else { return drawing };
    let stage = Stage::new(scene, assessment, view, emphasis);
    let mut crowd = Crowd::new(view.size());
    let mut labels = Vec::new();

    border(&mut pen, scene.frame);
    drawing.push("frame", None, pen.take());
    let grid_words = ground_grid(&mut pen, &stage);
    drawing.push("ground-grid", None, pen.take());
    if emphasis.aids.fans {
        fans(&mut pen, &stage);
        drawing.push("fans", None, pen.take());
    }
    spreads(&mut pen, &stage);
    drawing.push("vanishing-spreads", None, pen.take());
    horizon(&mut pen, &stage, &mut labels);
    visible_horizon(&mut pen, &stage, &mut labels);
    drawing.push("horizon", None, pen.take());
    traced_horizon(&mut pen, &stage);
    drawing.push("traced-horizon", None, pen.take());
    lines(&mut pen, &stage, &mut drawing);
    guides(&mut pen, &stage, &mut drawing, &mut labels);
    if emphasis.aids.measuring_points {
        measuring(&mut pen, &stage, &mut labels);
        drawing.push("measuring-points", None, pen.take());
    }
    vanishing_points(&mut pen, &stage, &mut labels);
    drawing.push("vanishing-points", None, pen.take());
    stand_ins(&mut pen, &stage, &mut drawing, &mut labels);
    overlaps(&mut pen, &stage, &mut drawing, &mut labels);
    markers(&mut pen, &stage, &mut drawing, &mut labels, &mut crowd);
    line_marks(&mut pen, &stage, &mut drawing, &mut labels);
    if emphasis.quiet {
        labels.retain(|label| label.rank <= Rank::Hovered);
    }
    place_labels(labels, view, &mut crowd, &mut pen, &mut drawing);
    grid_words.write(&mut pen, &stage, &mut crowd, &mut drawing);
    drawing
}

fn border(pen: &mut Pen, frame: Frame) {
    let c = DVec2::new(0.5, frame.half_height());
    let corners = [-c, DVec2::new(c.x, -c.y), c, DVec2::new(-c.x, c.y)];
    pen.outline(&corners, 3.0, DARK.faded(0.5), None);
    pen.outline(&corners, 1.0, WHITE.faded(0.8), None);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples;
    use crate::{Axis, Group, Ink, SectionView, plan, section};
    use glam::DVec3;
    use proptest::prelude::*;
    use staffage_scene::{
        BlockId, Entry, EyeByHand, Family, Line, LineId, Marker, MarkerId, Measure, Segment, Span,
        Standing, Stands, Subject, Unit, VisibleHorizon, assess, standing_word,
    };
    use staffage_solver::{Eye, Source};

    fn quay() -> (Drawing, View) {
        let (scene, assessment) = samples::quay();
        let view = View::of_frame(scene.frame, 1400.0);
        (draw(&scene, &assessment, &view, &Emphasis::default()), view)
    }

    fn group<'a>(drawing: &'a Drawing, name: &str, marker: u32) -> Option<&'a Group> {
        let about = Some(Subject::Marker(MarkerId(marker)));
        drawing.groups.iter().find(|group| group.name == name && group.about == about)
    }

    fn texts(drawing: &Drawing) -> Vec<&str> {
        let texts = drawing.ink().filter_map(|ink| match ink {
            Ink::Words { text, .. } => Some(text.as_str()),
            _ => None,
        });
        texts.collect()
    }

    #[test]
    fn every_part_of_the_scene_has_its_group() {
        let (drawing, _) = quay();
        for name in
            ["frame", "horizon", "line", "vanishing-points", "overlap", "staff", "mark", "label"]
        {
            assert!(drawing.groups.iter().any(|group| group.name == name), "{name}");
        }
    }

    #[test]
    fn in_a_quiet_picture_only_what_is_attended_to_is_named() {
        let (scene, assessment) = samples::quay();
        let view = View::of_frame(scene.frame, 400.0);
        let selected = [Subject::Marker(MarkerId(5))].into();
        let quiet = Emphasis { quiet: true, selected, ..Emphasis::default() };
        let drawing = draw(&scene, &assessment, &view, &quiet);
        let labels = drawing.groups.iter().filter(|group| group.name == "label");
        let about: Vec<_> = labels.map(|group| group.about).collect();
        assert_eq!(about, [Some(Subject::Marker(MarkerId(5)))]);
        assert!(drawing.groups.iter().any(|group| group.name == "mark"), "marks stay");
    }

    #[test]
    fn contradictions_are_named_and_say_what_is_expected() {
        let (drawing, _) = quay();
        let texts = texts(&drawing);
        assert!(texts.contains(&"contradicts: 1.75 m expected"), "{texts:?}");
        assert!(texts.contains(&standing_word(Standing::Impossible)), "{texts:?}");
        assert!(texts.contains(&"contradicts, kept on purpose"), "{texts:?}");
    }

    #[test]
    fn on_a_small_world_the_ground_ends_below_the_eyes_level() {
        let (scene, mut assessment) = samples::quay();
        let view = View::of_frame(scene.frame, 1400.0);
        let dip = 4_f64.to_radians();
        assessment.levels[0].horizon = Some(VisibleHorizon { distance: 81.0, dip });
        let curved = draw(&scene, &assessment, &view, &Emphasis::default());
        assert!(texts(&curved).iter().any(|text| text.starts_with("edge of ")));
        assert!(texts(&curved).contains(&"eye level"));
        let (flat, _) = quay();
        assert!(texts(&flat).contains(&"horizon"));
    }

    #[test]
    fn a_horizon_that_rests_on_nothing_is_dashed_and_says_so() {
        let (scene, mut assessment) = samples::quay();
        let view = View::of_frame(scene.frame, 1400.0);
        let dashed = |drawing: &Drawing| {
            let horizon = drawing.groups.iter().find(|group| group.name == "horizon").unwrap();
            horizon.ink.iter().any(|ink| matches!(ink, Ink::Stroke { dash: Some(_), .. }))
        };
        let read = draw(&scene, &assessment, &view, &Emphasis::default());
        assert!(texts(&read).contains(&"horizon") && !dashed(&read));
        assessment.eye.pitch.source = Source::Assumed;
        let by_hand = draw(&scene, &assessment, &view, &Emphasis::default());
        assert!(texts(&by_hand).contains(&"horizon, height assumed") && dashed(&by_hand));
        assessment.eye.cant.source = Source::Assumed;
        let assumed = draw(&scene, &assessment, &view, &Emphasis::default());
        assert!(texts(&assumed).contains(&"horizon, assumed") && dashed(&assumed));
    }

    #[test]
    fn points_outside_the_view_are_pointed_at_with_their_distance() {
        let (drawing, _) = quay();
        let texts = texts(&drawing);
        assert!(texts.iter().any(|t| t.starts_with("zenith point · ")), "{texts:?}");
        assert!(texts.iter().any(|t| t.starts_with("receding left · ")), "{texts:?}");
    }

    #[test]
    fn a_family_at_infinity_is_called_parallel() {
        let (scene, mut assessment) = samples::quay();
        assessment.eye.families[0].vanishing_point = DVec3::new(1.0, 0.0, 0.0);
        let view = View::of_frame(scene.frame, 1400.0);
        let drawing = draw(&scene, &assessment, &view, &Emphasis::default());
        assert!(texts(&drawing).contains(&"receding right · parallel"));
    }

    #[test]
    fn what_is_selected_lies_on_top_and_is_always_named() {
        let (scene, assessment) = samples::crowd(300);
        let view = View::of_frame(scene.frame, 300.0);
        let mut emphasis = Emphasis::default();
        let plain = draw(&scene, &assessment, &view, &emphasis);
        assert!(group(&plain, "label", 290).is_none(), "too small and crowded to be named");
        emphasis.selected.insert(Subject::Marker(MarkerId(290)));
        let drawing = draw(&scene, &assessment, &view, &emphasis);
        assert!(group(&drawing, "label", 290).is_some());
        let mut staffs = drawing.groups.iter().filter(|group| group.name == "staff");
        assert_eq!(staffs.next_back().and_then(|g| g.about), Some(Subject::Marker(MarkerId(290))));
    }

    #[test]
    fn an_unusable_view_gets_no_ink() {
        let (scene, assessment) = samples::quay();
        let nowhere = View::of_part(DVec2::NAN, DVec2::ONE, 100.0);
        let flat = View::of_part(DVec2::ZERO, DVec2::ZERO, 100.0);
        for view in [nowhere, flat] {
            assert_eq!(draw(&scene, &assessment, &view, &Emphasis::default()), Drawing::default());
        }
    }

    /// The same of the section and the plan, whole and in part.
    fn check_cuts(
        scene: &Scene,
        assessment: &Assessment,
        emphasis: &Emphasis,
    ) -> Result<(), TestCaseError> {
        let size = DVec2::new(800.0, 200.0);
        for axis in [Axis::Logarithmic, Axis::Linear] {
            for distances in [None, Some((3.0, 50.0))] {
                let view = SectionView { axis, distances, ..SectionView::default() };
                let section = section(scene, assessment, emphasis, &view, size);
                check(&section.drawing)?;
                let finite =
                    |place: &crate::Place| place.foot.is_finite() && place.head.is_finite();
                prop_assert!(section.places.iter().all(finite));
            }
            let whole = plan(scene, assessment, emphasis, axis, None, size);
            check(&whole.drawing)?;
            let near = whole.ground.map(|ground| ground.zoomed(0.3 * size, 40.0));
            let part = plan(scene, assessment, emphasis, axis, near, size);
            check(&part.drawing)?;
            let places = whole.places.iter().chain(&part.places);
            prop_assert!(places.into_iter().all(|p| p.foot.is_finite() && p.head.is_finite()));
        }
        Ok(())
    }

    /// What every drawing promises: finite numbers, nothing far away, no shape without an extent.
    fn check(drawing: &Drawing) -> Result<(), TestCaseError> {
        for ink in drawing.ink() {
            let (points, least, lengths) = match ink {
                Ink::Stroke { points, width, .. } => (points.to_vec(), 2, vec![*width]),
                Ink::Fill { points, .. } => (points.to_vec(), 3, vec![]),
                Ink::Disc { centre, radius, .. } => (vec![*centre], 1, vec![*radius]),
                Ink::Words { at, offset, size, .. } => {
                    (vec![*at], 1, vec![offset.x, offset.y, *size])
                }
            };
            prop_assert!(points.len() >= least, "{ink:?}");
            prop_assert!(
                points.iter().all(|p| p.is_finite() && p.abs().max_element() < 1.1e4),
                "{ink:?}"
            );
            prop_assert!(lengths.iter().all(|length| length.is_finite()), "{ink:?}");
        }
        Ok(())
    }

    fn ugly() -> impl Strategy<Value = f64> {
        prop_oneof![
            6 => -1.0..1.0_f64,
            1 => prop::sample::select(vec![0.0, 1e-300, 1e300, -1e300, f64::NAN, f64::INFINITY]),
            1 => -1e7..1e7_f64,
        ]
    }

    prop_compose! {
        fn point()(x in ugly(), y in ugly()) -> DVec2 { DVec2::new(x, y) }
    }

    fn span() -> impl Strategy<Value = Span> {
        prop::sample::select(vec![
            Span::Upright,
            Span::Facing,
            Span::Cylinder,
            Span::Ball,
            Span::Along(Family::RecedingLeft(BlockId(1))),
            Span::Along(Family::RecedingRight(BlockId(9))),
        ])
    }

    fn measures() -> impl Strategy<Value = Option<Measure>> {
        prop::option::of((ugly(), ugly(), ugly()).prop_map(|(value, low, high)| Measure {
            value,
            low,
            high,
        }))
    }

    fn standing() -> impl Strategy<Value = Standing> {
        prop::sample::select(vec![
            Standing::Impossible,
            Standing::Contradicts,
            Standing::Strained,
            Standing::Open,
            Standing::Unchecked,
            Standing::Holds,
        ])
    }

    prop_compose! {
        fn marker()(
            foot in point(), head in point(), span in span(), plumb in prop::option::of(point()),
            measures in [measures(), measures(), measures()], elevation in prop::option::of(ugly()),
            true_head in prop::option::of(point()), standing in standing(), name in ".{0,60}",
        ) -> (Marker, Entry) {
            let id = MarkerId(0);
            let level = staffage_scene::LevelId(1);
            let stands = plumb.map_or(Stands::Unsaid, |plumb| Stands::Over { level, plumb });
            let [distance, size, expected_size] = measures;
            (
                Marker { id, name, foot, head, span, stands, statements: Vec::new() },
                Entry {
                    id, distance, size, elevation, unit: Unit::Metres, standing, standardized: 0.0,
                    redundancy: 0.0, expected_size, lean: None, true_head, detectable: None,
                    bounds: None, hidden: None, astray: None, },
            )
        }
    }

    fn number_markers(markers: Vec<(Marker, Entry)>) -> (Vec<Marker>, Vec<Entry>) {
        let numbered = markers.into_iter().zip(1..).map(|((marker, entry), i)| {
            (Marker { id: MarkerId(i), ..marker }, Entry { id: MarkerId(i), ..entry })
        });
        numbered.unzip()
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..Default::default() })]

        #[test]
        fn ink_is_finite_whatever_the_scene_and_assessment(
            markers in prop::collection::vec(marker(), 0..8),
            lines in prop::collection::vec((point(), point()), 0..4),
            horizon in prop::option::of((point(), point())),
            vanishing in prop::collection::vec((point(), ugly()), 3),
            (focal, pitch, cant) in (ugly(), ugly(), ugly()),
            (at, extent, zoom) in (point(), point(), 1.0..1e5_f64),
            selected in 0_u32..8,
        ) {
            let (mut scene, mut assessment) = samples::quay();
            scene.horizon = horizon.map(|(a, b)| Segment(a, b));
            scene.lines = (1..).zip(lines).map(|(i, (a, b))| Line {
                id: LineId(i), family: Family::Upright, segment: Segment(a, b),
            }).collect();
            (scene.markers, assessment.ledger) = number_markers(markers);
            assessment.eye.eye = Eye { focal, pitch: 3.0 * pitch, cant, principal: DVec2::ZERO };
            for (family, (at, w)) in assessment.eye.families.iter_mut().zip(vanishing) {
                family.vanishing_point = at.extend(w);
            }
            let mut emphasis = Emphasis::default();
            emphasis.selected.insert(Subject::Marker(MarkerId(selected)));
            emphasis.selected.insert(Subject::Line(LineId(selected)));
            let view = View::of_part(at, at + extent.abs(), zoom);
            check(&draw(&scene, &assessment, &view, &emphasis))?;
            let frame = View::of_frame(scene.frame, 1000.0);
            check(&draw(&scene, &assessment, &frame, &emphasis))?;
            check_cuts(&scene, &assessment, &emphasis)?;
        }

        #[test]
        fn ink_is_finite_for_what_a_painter_may_draw(
            ends in prop::collection::vec((-0.5..0.5_f64, -0.2..0.2_f64, -0.3..0.3_f64), 1..8),
            pitch in prop::option::of(-89.0..89.0_f64),
            cant in prop::option::of(-90.0..90.0_f64),
        ) {
            let mut scene = Scene { eye: EyeByHand { angle_of_view: None, pitch, cant, ..EyeByHand::default() }, ..Scene::default() };
            for (i, (u, v, height)) in (1..).zip(ends) {
                let foot = DVec2::new(u, v);
                scene.markers.push(Marker {
                    id: MarkerId(i), name: format!("figure {i}"), foot, head: foot - DVec2::new(0.0, height),
                    span: Span::Upright, stands: Stands::On(staffage_scene::LevelId(1)), statements: Vec::new(),
                });
            }
            let assessment = assess(&scene);
            let view = View::of_frame(scene.frame, 1000.0);
            check(&draw(&scene, &assessment, &view, &Emphasis::default()))?;
            check_cuts(&scene, &assessment, &Emphasis::default())?;
        }
    }
}
