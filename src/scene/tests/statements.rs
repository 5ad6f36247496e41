//! Worked cases of every statement about where a thing stands, drawn with a pinhole of their own.

mod pinhole;

use glam::{DVec2, DVec3};
use pinhole::*;
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use staffage_scene::{
    Above, Assessment, Family, Incline, InclineId, Level, LevelId, Marker, MarkerId, Scene, Side,
    Span, Standing, Stands, Statement, Subject, Unit, apply, assess, mends, suggestion,
};

const EYE: Pinhole = Pinhole::new(0.9, -8.0, 5.0);
const DECK: LevelId = LevelId(2);
const SUN: InclineId = InclineId(1);

/// Figures of one make on a ground 5 m below the eye and on a deck 3 m above it.
fn two_levels(step: f64, sizes_known: bool) -> Scene {
    let mut scene = EYE.scene();
    scene.levels.push(Level {
        above: Some(Above { level: GROUND, by: known(step, 0.01) }),
        ..level(DECK, "deck", None)
    });
    let places = [(1, GROUND, place(-2.0, -5.0, 12.0)), (2, DECK, place(1.5, -2.0, 9.0))];
    let more = [(3, GROUND, place(3.0, -5.0, 15.0)), (4, DECK, place(-2.5, -2.0, 8.0))];
    for (id, on, foot) in places {
        scene.markers.push(EYE.standing(id, &format!("figure {id}"), on, foot, 1.72));
    }
    scene.markers[1].statements.push(same_make(1));
    if sizes_known {
        let standing = |(id, on, foot)| EYE.standing(id, &format!("figure {id}"), on, foot, 1.72);
        scene.markers.extend(more.map(standing));
        scene.markers.iter_mut().for_each(|figure| figure.statements.push(size(1.72, 0.02)));
    }
    scene
}

fn clearance(of: &Assessment, id: LevelId) -> f64 {
    let level = of.levels.iter().find(|l| l.id == id).expect("the level is there");
    assert_eq!(level.unit, Unit::Metres, "{level:?}");
    level.clearance.expect("it is known").value
}

#[test]
fn a_step_between_two_levels_gives_everything_on_them_its_size_in_metres() {
    let assessment = assess(&two_levels(3.0, false));
    assert_near(clearance(&assessment, GROUND), 5.0, 1e-6);
    assert_near(clearance(&assessment, DECK), 2.0, 1e-6);
    assert_measured(&assessment, 1, run(place(-2.0, 0.0, 12.0)), 1.72);
    assert_measured(&assessment, 2, run(place(1.5, 0.0, 9.0)), 1.72);
}

#[test]
fn a_wrong_step_is_told_by_the_level_that_is_said_to_lie_there() {
    let assessment = assess(&two_levels(4.5, true));
    let finding = finding(&assessment, Subject::Level(DECK));
    assert_eq!(finding.standing, Standing::Contradicts);
    assert_eq!(
        finding.sentence,
        "Deck is said to lie 4.50 m above ground, but what stands there makes it 3.00 m."
    );
    assert_eq!(assessment.contradictions(), 1);
    assert_near(clearance(&assessment, DECK), 2.0, 1e-3);
}

#[test]
fn a_level_said_to_lie_above_one_that_it_lies_under_is_impossible() {
    let mut scene = two_levels(3.0, false);
    scene.levels[0].above = Some(Above { level: DECK, by: known(3.0, 0.01) });
    scene.levels[1].above = None;
    let assessment = assess(&scene);
    let finding = finding(&assessment, Subject::Level(GROUND));
    assert_eq!(finding.standing, Standing::Impossible);
    assert!(finding.sentence.starts_with("Ground cannot lie 3.00 m above deck"), "{finding:?}");
    // The rest is in eye heights, as if nothing had been said.
    assert!(matches!(entry(&assessment, 1).unit, Unit::EyeHeights(_)));
}

#[test]
fn a_level_seen_from_beneath_is_tied_to_the_ground_by_its_height() {
    let mut scene = EYE.scene();
    scene.levels.push(Level {
        side: Side::Above,
        above: Some(Above { level: GROUND, by: known(5.5, 0.01) }),
        ..level(DECK, "gallery", None)
    });
    let eye = Pinhole::new(0.9, 12.0, -4.0);
    scene.eye = eye.by_hand();
    let places = [(1, GROUND, place(-2.0, -1.6, 9.0)), (2, DECK, place(1.5, 3.9, 14.0))];
    for (id, on, foot) in places {
        scene.markers.push(eye.standing(id, &format!("post {id}"), on, foot, 0.95));
    }
    scene.markers[1].statements.push(same_make(1));
    let assessment = assess(&scene);
    assert_near(clearance(&assessment, GROUND), 1.6, 1e-6);
    assert_near(clearance(&assessment, DECK), 3.9, 1e-6);
    assert_measured(&assessment, 2, run(place(1.5, 0.0, 14.0)), 0.95);
}

/// A porter behind a wall, drawn from chin to crown.
fn behind_a_wall(head_size: f64) -> Scene {
    let mut scene = EYE.scene();
    scene.levels[0].clearance = Some(known(4.0, 0.001));
    let crown = place(1.0, 1.70 - 4.0, 12.0);
    let mut porter = EYE.drawn(1, "porter", crown - DVec3::Y * 0.23, crown);
    porter.stands = Stands::Hidden { level: GROUND, height: known(1.70, 0.06) };
    porter.statements.push(size(head_size, 0.06));
    scene.markers.push(porter);
    scene
}

#[test]
fn a_head_over_a_wall_tells_how_far_off_the_hidden_feet_are() {
    let assessment = assess(&behind_a_wall(0.23));
    assert_measured(&assessment, 1, run(place(1.0, 0.0, 12.0)), 0.23);
    assert_eq!(entry(&assessment, 1).standing, Standing::Holds);
}

#[test]
fn a_head_too_large_for_where_the_hidden_feet_are_is_told_of() {
    let assessment = assess(&behind_a_wall(0.23 / 1.5));
    let finding = finding(&assessment, Subject::Marker(MarkerId(1)));
    assert_eq!(finding.standing, Standing::Contradicts);
    assert!(finding.sentence.contains("1.50 times too large"), "{}", finding.sentence);
}

#[test]
fn a_figure_is_suggested_that_would_tie_down_what_is_hidden_as_well() {
    let mut scene = behind_a_wall(0.23);
    scene.levels[0].clearance = None;
    scene.markers[0].statements.clear();
    scene.markers.push(EYE.standing(2, "post", GROUND, place(-2.0, -4.0, 15.0), 1.2));
    let suggestion = suggestion(&scene).expect("a figure would help");
    assert_eq!(suggestion.at, Subject::Level(GROUND));
    assert_eq!(suggestion.helps, [MarkerId(1), MarkerId(2)]);
    let open = finding(&assess(&scene), Subject::Marker(MarkerId(1))).sentence.clone();
    assert!(open.contains("once it is known how high the eye is over ground"), "{open}");
}

#[test]
fn a_kite_under_the_ground_is_told_by_its_shadow() {
    let mut scene = sunlit();
    let low = place(1.0, -4.5, 12.0);
    let mut kite = EYE.upright(1, "kite", low, 0.4);
    let tip = EYE.sees(shadow(place(1.0, -3.0, 15.0)));
    kite.stands = Stands::Shadow { level: GROUND, tip, light: SUN };
    scene.markers.push(kite);
    let assessment = assess(&scene);
    let finding = finding(&assessment, Subject::Marker(MarkerId(1)));
    assert_eq!(finding.standing, Standing::Impossible);
    assert!(finding.sentence.contains("it would lie under ground"), "{}", finding.sentence);
}

/// Poles with their shadows, light falling ahead and to the right.
fn sunlit() -> Scene {
    let mut scene = EYE.scene();
    scene.levels[0].clearance = Some(known(4.0, 0.001));
    scene.inclines.push(Incline::new(SUN, "sun"));
    let poles = [(-3.0, 9.0), (0.5, 11.0), (2.5, 8.0), (-1.0, 16.0)];
    for (k, (right, ahead)) in (0..).zip(poles) {
        let foot = place(right, -4.0, ahead);
        let top = foot + DVec3::Y * 2.0;
        let ray = EYE.line(1 + 2 * k, Family::Incline(SUN), top, shadow(top));
        let fallen = EYE.line(2 + 2 * k, Family::Run(SUN), foot, shadow(top));
        scene.lines.extend([ray, fallen]);
    }
    scene
}

/// Where the light takes a point down to the ground.
fn shadow(of: DVec3) -> DVec3 {
    let light = place(0.5, -0.8, 0.6);
    of + light * ((-4.0 - of.y) / light.y)
}

#[test]
fn a_balloon_is_where_its_shadow_says_and_as_large_as_it_looks_from_there() {
    let mut scene = sunlit();
    let (centre, radius) = (place(-2.0, 1.0, 22.0), 1.5);
    let [foot, head] = EYE.ball_outline(centre, radius, 0.4);
    scene.markers.push(Marker {
        span: Span::Ball,
        stands: Stands::Shadow { level: GROUND, tip: EYE.sees(shadow(centre)), light: SUN },
        ..EYE.drawn(1, "balloon", centre, centre + DVec3::Y)
    });
    (scene.markers[0].foot, scene.markers[0].head) = (foot, head);
    let assessment = assess(&scene);
    assert_measured(&assessment, 1, run(centre), 2.0 * radius);
    // The lowest point of the ball, over the eye.
    assert_near(entry(&assessment, 1).elevation.unwrap(), centre.y - radius, 1e-5);
}

#[test]
fn a_kite_hangs_where_the_shadow_of_its_lowest_point_falls() {
    let mut scene = sunlit();
    let low = place(1.0, 2.5, 15.0);
    let mut kite = EYE.upright(1, "kite", low, 1.2);
    kite.stands = Stands::Shadow { level: GROUND, tip: EYE.sees(shadow(low)), light: SUN };
    scene.markers.push(kite);
    let assessment = assess(&scene);
    assert_measured(&assessment, 1, run(low), 1.2);
    assert_near(entry(&assessment, 1).elevation.unwrap(), 2.5, 1e-5);
}

#[test]
fn a_shadow_off_the_way_the_light_runs_contradicts_and_is_moved_onto_its_ray() {
    let mut scene = sunlit();
    let low = place(1.0, 2.5, 15.0);
    let mut kite = EYE.upright(1, "kite", low, 1.2);
    let tip = EYE.sees(shadow(low));
    let aside = kite.foot + glam::DVec2::from_angle(0.2).rotate(tip - kite.foot);
    kite.stands = Stands::Shadow { level: GROUND, tip: aside, light: SUN };
    scene.markers.push(kite);
    let assessment = assess(&scene);
    assert_eq!(entry(&assessment, 1).standing, Standing::Contradicts);
    let found = finding(&assessment, Subject::Marker(MarkerId(1)));
    assert!(found.sentence.contains("lies 11° off the way sun runs"), "{}", found.sentence);
    let mends = mends(&scene, &assessment, found);
    let [mend] = &mends[..] else { panic!("{mends:?}") };
    assert!(mend.sentence.contains("onto the ray of the light"), "{mend:?}");
    let mended = assess(&apply(&scene, &mend.edit).unwrap());
    assert_eq!(mended.contradictions(), 0, "{:?}", mended.findings);
}

#[test]
fn a_span_along_the_shadows_on_the_ground_has_its_length() {
    let mut scene = sunlit();
    let from = place(-1.0, -4.0, 10.0);
    let mut plank = EYE.drawn(1, "plank", from, from + place(0.5, 0.0, 0.6).normalize() * 3.2);
    (plank.span, plank.stands) = (Span::Along(Family::Run(SUN)), Stands::On(GROUND));
    scene.markers.push(plank);
    assert_measured(&assess(&scene), 1, run(from), 3.2);
}

#[test]
fn a_stack_of_three_carries_its_sizes_upwards() {
    let mut scene = EYE.scene();
    let (tower, crate_, box_) =
        (place(0.5, -8.0, 20.0), place(0.9, -5.0, 20.6), place(0.7, -3.9, 20.3));
    scene.markers = vec![
        EYE.standing(1, "tower", GROUND, tower, 3.0),
        EYE.upright(2, "crate", crate_, 1.1),
        EYE.upright(3, "box", box_, 0.4),
    ];
    scene.markers[0].statements.push(size(3.0, 0.01));
    scene.markers[1].stands = Stands::OnTop(MarkerId(1));
    scene.markers[2].stands = Stands::OnTop(MarkerId(2));
    let assessment = assess(&scene);
    assert_measured(&assessment, 1, run(tower), 3.0);
    assert_measured(&assessment, 2, run(crate_), 1.1);
    assert_measured(&assessment, 3, run(box_), 0.4);
}

#[test]
fn a_round_tank_has_its_diameter_and_its_axis_its_distance() {
    let mut scene = EYE.scene();
    scene.levels[0].clearance = Some(known(4.0, 0.001));
    let (axis, radius) = (place(3.0, -4.0, 25.0), 2.5);
    // The outlines touch at right angles to the radius, in plan.
    let half = (radius / run(axis)).asin();
    let touch = |sign: f64, up: f64| {
        let (s, c) = (sign * half).sin_cos();
        let (x, z) = (axis.x * c + axis.z * s, axis.z * c - axis.x * s);
        EYE.sees(place(x * half.cos(), axis.y + up, z * half.cos()))
    };
    scene.markers.push(Marker {
        foot: touch(-1.0, 0.0),
        head: touch(1.0, 1.8),
        span: Span::Cylinder,
        stands: Stands::On(GROUND),
        ..EYE.upright(1, "tank", axis, 1.0)
    });
    let assessment = assess(&scene);
    assert_measured(&assessment, 1, run(axis), 2.0 * radius);
    assert_near(entry(&assessment, 1).elevation.unwrap(), -4.0, 1e-5);
}

#[test]
fn a_ball_lying_on_the_ground_has_its_diameter() {
    let mut scene = EYE.scene();
    scene.levels[0].clearance = Some(known(4.0, 0.001));
    let (centre, radius) = (place(-1.0, -3.0, 14.0), 1.0);
    let [foot, head] = EYE.ball_outline(centre, radius, 1.1);
    scene.markers.push(Marker {
        foot,
        head,
        span: Span::Ball,
        stands: Stands::On(GROUND),
        ..EYE.upright(1, "buoy", centre, 1.0)
    });
    let assessment = assess(&scene);
    assert_measured(&assessment, 1, run(centre), 2.0);
    assert_near(entry(&assessment, 1).elevation.unwrap(), -4.0, 1e-5);
}

#[test]
fn two_steps_tie_two_parts_that_neither_would_tie_alone() {
    // A courtyard and a terrace share one make of figure, a quay and a barge another; only heights
    // between levels join the two.
    let mut scene = EYE.scene();
    let heights =
        [(1, "courtyard", -6.0), (2, "terrace", -3.5), (3, "quay", -7.5), (4, "barge", -9.0)];
    scene.levels = heights.map(|(id, name, _)| level(LevelId(id), name, None)).to_vec();
    for (k, (id, name, up)) in heights.into_iter().enumerate() {
        let foot = place(f64::from(id) - 2.5, up, 14.0 + f64::from(id));
        let height = if id <= 2 { 1.8 } else { 1.2 };
        let mut figure = EYE.standing(id, &format!("figure on {name}"), LevelId(id), foot, height);
        if k % 2 == 1 {
            figure.statements.push(same_make(id - 1));
        }
        scene.markers.push(figure);
    }
    let above = |level, by| Some(Above { level: LevelId(level), by: known(by, 0.01) });
    scene.levels[0].above = above(3, 1.5);
    let one = assess(&scene);
    assert!(one.ledger.iter().all(|e| matches!(e.unit, Unit::EyeHeights(_))));
    scene.levels[1].above = above(4, 5.5);
    let both = assess(&scene);
    for (id, _, up) in heights {
        assert_near(clearance(&both, LevelId(id)), -up, 1e-6);
    }
    // A third that closes the circle tests the others.
    scene.levels[2].above = above(4, 1.5);
    let circle = assess(&scene);
    assert_eq!(circle.contradictions(), 0);
    assert_near(clearance(&circle, LevelId(1)), 6.0, 1e-6);
}

#[test]
fn steps_said_in_a_circle_cannot_all_be() {
    let mut scene = two_levels(3.0, true);
    scene.levels[0].above = Some(Above { level: DECK, by: known(2.0, 0.01) });
    let assessment = assess(&scene);
    assert_eq!(assessment.contradictions(), 1, "{:#?}", assessment.findings);
    assert_eq!(assessment.findings[0].about, Subject::Level(GROUND));
    assert_near(clearance(&assessment, DECK), 2.0, 1e-2);
}

#[test]
fn absurd_steps_spoil_nothing_else() {
    for step in [1e-3, 0.1, 40.0, 1e5] {
        let assessment = assess(&two_levels(step, true));
        let finding = finding(&assessment, Subject::Level(DECK));
        assert!(finding.standing <= Standing::Contradicts, "{step}: {finding:?}");
        assert_eq!(assessment.contradictions(), 1, "{step}: {:#?}", assessment.findings);
        assert_near(clearance(&assessment, GROUND), 5.0, 1e-2);
        assert_near(clearance(&assessment, DECK), 2.0, 1e-2);
    }
}

/// Where a foot is seen so far below the horizon of a level eye, the first below another.
fn near_the_horizon(below: f64, pointing: f64) -> Scene {
    let eye = Pinhole::new(1.0, 0.0, 0.0);
    let mut scene = eye.scene();
    scene.pointing = pointing;
    scene.world.curvature = staffage_scene::Curvature::Nowhere;
    scene.levels[0].clearance = Some(known(2.0, 1e-4));
    let mut mast = eye.standing(1, "mast", GROUND, place(0.0, -2.0, 20.0), 3.0);
    mast.foot = DVec2::new(0.0, below);
    mast.head = DVec2::new(0.0, below - 0.1);
    scene.markers.push(mast);
    scene
}

#[test]
fn a_foot_that_may_be_as_far_as_the_horizon_has_a_least_distance_and_no_largest() {
    let pointing = 0.5 / 1920.0;
    let assessment = assess(&near_the_horizon(pointing, pointing));
    let distance = entry(&assessment, 1).distance.unwrap();
    assert_eq!(distance.high, f64::INFINITY);
    // The foot may be lower by 1.96 standard deviations.
    assert_near(distance.low, 2.0 / (pointing * 2.959_964), 1e-3);
}

/// Feet near the horizon of a level eye, pointed at again and again: the true distance is inside the
/// 95 % interval as often as that says.
#[test]
fn intervals_of_feet_near_the_horizon_hold_what_they_promise() {
    let pointing = 0.5 / 1920.0;
    let mut dice = StdRng::seed_from_u64(5);
    for below in [0.5, 1.0, 2.0, 4.0, 10.0] {
        const TRIES: u32 = 1000;
        let (mut told, mut inside) = (0, 0);
        for _ in 0..TRIES {
            // The sum of twelve is normal enough.
            let slip = (0..12).map(|_| dice.random_range(0.0..1.0)).sum::<f64>() - 6.0;
            let assessment = assess(&near_the_horizon((below + slip) * pointing, pointing));
            let Some(distance) = entry(&assessment, 1).distance else { continue };
            told += 1;
            let truth = 2.0 / (below * pointing);
            inside += u32::from((distance.low..=distance.high).contains(&truth));
        }
        // What is too near the horizon is left open, and says nothing wrong.
        let covered = f64::from(inside + TRIES - told) / f64::from(TRIES);
        assert!((0.935..0.995).contains(&covered), "{below}: {covered}, {told} told");
    }
}

#[test]
fn a_known_distance_is_not_contradicted_by_a_foot_near_the_horizon() {
    let pointing = 0.5 / 1920.0;
    // Seen two standard deviations below the horizon where it belongs a tenth of one below it.
    let mut scene = near_the_horizon(2.0 * pointing, pointing);
    let far = known(2.0 / (0.1 * pointing), 0.05);
    scene.markers[0].statements.push(Statement::Distance(far));
    let assessment = assess(&scene);
    assert_eq!(assessment.contradictions(), 0, "{:#?}", assessment.findings);
    assert_near(entry(&assessment, 1).distance.unwrap().value, far.metres, 0.05);
}
