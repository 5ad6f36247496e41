use super::*;
use crate::{Ink, samples};
use glam::DVec3;
use staffage_scene::{Arranged, MarkerId, Shape, Span, StandIn, StandInId};

const SIZE: DVec2 = DVec2::new(900.0, 320.0);

fn drawn(axis: Axis, emphasis: &Emphasis) -> Plan {
    let (scene, assessment) = samples::quay();
    plan(&scene, &assessment, emphasis, axis, None, SIZE)
}

fn texts(plan: &Plan) -> Vec<&str> {
    let texts = plan.drawing.ink().filter_map(|ink| match ink {
        Ink::Words { text, .. } => Some(text.as_str()),
        _ => None,
    });
    texts.collect()
}

fn place(plan: &Plan, id: u32) -> Place {
    let about = Subject::Marker(MarkerId(id));
    *plan.places.iter().find(|place| place.about == about).expect("placed")
}

#[test]
fn a_map_is_true_to_scale_in_both_directions() {
    let plan = drawn(Axis::Linear, &Emphasis::default());
    let ground = plan.ground.unwrap();
    // The foreman stands 2.4 m to the left and 11 m ahead, the crane 9 m to the right and 60 m ahead.
    for (id, right, ahead) in [(1, -2.4, 11.0), (5, 9.0, 60.0), (6, -40.0, 420.0)] {
        let expected = ground.eye + ground.scale * DVec2::new(ahead, right);
        assert!(place(&plan, id).foot.distance(expected) < 1e-6, "{id}");
    }
}

#[test]
fn bearings_are_true_where_distances_are_logarithms() {
    let plan = drawn(Axis::Logarithmic, &Emphasis::default());
    let ground = plan.ground.unwrap();
    for (id, right, ahead) in [(1, -2.4, 11.0_f64), (5, 9.0, 60.0), (6, -40.0, 420.0)] {
        let bearing = f64::atan2(right, ahead);
        let from_eye = place(&plan, id).foot - ground.eye;
        assert!((from_eye.to_angle() - bearing).abs() < 1e-9, "{id}");
    }
    let radius = |id| (place(&plan, id).foot - ground.eye).length();
    let steps = (radius(6) - radius(5)) / (radius(5) - radius(1));
    let (near, middle, far): (f64, f64, f64) =
        (2.4_f64.hypot(11.0), 9.0_f64.hypot(60.0), 40.0_f64.hypot(420.0));
    assert!((steps - (far / middle).ln() / (middle / near).ln()).abs() < 1e-9);
}

#[test]
fn a_span_is_drawn_from_end_to_end_at_its_true_length_and_heading() {
    let plan = drawn(Axis::Linear, &Emphasis::default());
    let ground = plan.ground.unwrap();
    let gondola = place(&plan, 10);
    let hull = (gondola.head - gondola.foot) / ground.scale;
    // 24 m at half a radian to the right of straight ahead.
    assert!(hull.distance(24.0 * DVec2::from_angle(0.5)) < 1e-6, "{hull}");
    let gate = place(&plan, 11);
    let across = (gate.head - gate.foot) / ground.scale;
    assert!((across.length() - 9.0).abs() < 0.6, "it faces the viewer: {across}");
}

#[test]
fn what_lies_on_a_level_overhead_is_where_it_is() {
    let (mut scene, mut assessment) = samples::quay();
    let eye = assessment.eye.eye;
    let foot = DVec3::new(5.0, 12.0, -40.0);
    let marker = scene.markers.iter_mut().find(|m| m.id == MarkerId(1)).unwrap();
    (marker.foot, marker.head) =
        (eye.project(foot).unwrap(), eye.project(foot + DVec3::Y * 1.7).unwrap());
    assert_eq!(marker.span, Span::Upright);
    let entry = assessment.ledger.iter_mut().find(|e| e.id == MarkerId(1)).unwrap();
    let distance = foot.x.hypot(foot.z);
    entry.distance = Some(staffage_scene::Measure { value: distance, low: 35.0, high: 45.0 });
    entry.elevation = Some(12.0);
    let plan = plan(&scene, &assessment, &Emphasis::default(), Axis::Linear, None, SIZE);
    let ground = plan.ground.unwrap();
    let expected = ground.eye + ground.scale * DVec2::new(40.0, 5.0);
    assert!(place(&plan, 1).foot.distance(expected) < 1e-6);
}

#[test]
fn a_map_has_the_bar_of_its_scale_and_its_block_has_its_name() {
    let map = drawn(Axis::Linear, &Emphasis::default());
    let bar = map.drawing.groups.iter().find(|group| group.name == "scale-bar");
    assert!(bar.is_some());
    assert!(texts(&map).contains(&"main block"), "{:?}", texts(&map));
    let rings = drawn(Axis::Logarithmic, &Emphasis::default());
    assert!(texts(&rings).contains(&"100 m"), "{:?}", texts(&rings));
    assert!(!rings.drawing.groups.iter().any(|group| group.name == "scale-bar"));
}

#[test]
fn the_edges_of_the_frame_on_the_ground_lead_away_from_the_eye_on_both_sides() {
    let plan = drawn(Axis::Linear, &Emphasis::default());
    let ground = plan.ground.unwrap();
    let view = plan.drawing.groups.iter().find(|g| g.name == "field-of-view").unwrap();
    let strokes = view.ink.iter().filter_map(|ink| match ink {
        Ink::Stroke { points, dash: None, .. } => Some(points),
        _ => None,
    });
    let ends: Vec<DVec2> = strokes.flatten().copied().collect();
    assert!(ends.iter().any(|p| p.y < ground.eye.y - 20.0));
    assert!(ends.iter().any(|p| p.y > ground.eye.y + 20.0));
}

#[test]
fn an_empty_scene_says_that_nothing_has_a_distance() {
    let (scene, assessment) =
        (Scene::default(), samples::empty_assessment(staffage_solver::Eye::default()));
    let plan = plan(&scene, &assessment, &Emphasis::default(), Axis::Linear, None, SIZE);
    assert_eq!(texts(&plan), ["Nothing has a distance yet"]);
    assert_eq!(plan.ground, None);
}

#[test]
fn the_whole_of_a_hull_is_on_the_paper_and_a_tower_is_round() {
    let (mut scene, assessment) = samples::quay();
    let level = scene.levels[0].id;
    let foot = scene.markers[4].foot;
    let at = |id, shape| StandIn {
        id: StandInId(id),
        name: "hull".into(),
        shape,
        level,
        foot,
        turn: 80.0,
        along: None,
        lift: 0.0,
        arranged: Arranged::Alone,
    };
    let hull = Shape::Box { width: 40.0, depth: 3000.0, height: 30.0 };
    scene.stand_ins = vec![at(1, hull), at(2, Shape::Cylinder { diameter: 20.0, height: 120.0 })];
    for axis in [Axis::Linear, Axis::Logarithmic] {
        let plan = plan(&scene, &assessment, &Emphasis::default(), axis, None, SIZE);
        let outline = |id| {
            let about = Some(Subject::StandIn(StandInId(id)));
            let group = plan.drawing.groups.iter().find(|group| group.about == about).unwrap();
            let strokes = group.ink.iter().filter_map(|ink| match ink {
                Ink::Stroke { points, .. } => Some(points.to_vec()),
                _ => None,
            });
            strokes.flatten().collect::<Vec<DVec2>>()
        };
        let on_paper = |p: &DVec2| p.cmpge(DVec2::ZERO).all() && p.cmple(SIZE).all();
        assert!(outline(1).len() > 4 && outline(1).iter().all(on_paper), "{axis:?}");
        let ground = plan.ground.unwrap();
        if axis == Axis::Linear {
            let mut tower = outline(2);
            // It ends where it began.
            tower.pop();
            let middle = tower.iter().sum::<DVec2>() / tower.len() as f64;
            let off = |p: &DVec2| (p.distance(middle) / ground.scale - 10.0).abs();
            assert!(tower.iter().all(|p| off(p) < 0.2), "{tower:?}");
        }
    }
}

#[test]
fn a_stand_in_that_is_near_is_named_before_far_figures_are() {
    let (mut scene, mut assessment) = samples::crowd(60);
    let level = scene.levels[0].id;
    assessment.levels.iter_mut().for_each(|l| l.unit = Unit::Metres);
    let foot = assessment.eye.eye.project(DVec3::new(0.0, -3.2, -8.0)).expect("in sight");
    scene.stand_ins = vec![StandIn {
        id: StandInId(1),
        name: "hull".into(),
        shape: Shape::Box { width: 3.0, depth: 3.0, height: 2.0 },
        level,
        foot,
        turn: 0.0,
        along: None,
        lift: 0.0,
        arranged: Arranged::Alone,
    }];
    let drawn = plan(&scene, &assessment, &Emphasis::default(), Axis::Logarithmic, None, SIZE);
    let texts = texts(&drawn);
    assert!(texts.contains(&"hull"), "{texts:?}");
    assert!(texts.iter().filter(|text| text.starts_with("Figure")).count() < 60);
}
