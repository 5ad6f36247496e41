//! What stand-ins and guides come to, in words.

use crate::{
    Assessment, Climb, Division, Form, Guide, GuideShape, Scene, Shape, StandIn, Subject, Units,
    family_name, guide_form, place_stand_in, reach_words, subject_name,
};

/// What a guide comes to: "12 steps, 3.48 m long in plan, 2.04 m high".
#[must_use]
pub fn guide_words(guide: &Guide, scene: &Scene, assessment: &Assessment) -> String {
    let units = assessment.units;
    let form = guide_form(scene, assessment, guide);
    match (&guide.shape, form) {
        (_, None) => "cannot be seen there".into(),
        (GuideShape::Steps(steps), Some(_)) => {
            let family = family_name(scene, steps.family);
            match steps.division {
                Division::Repeat(1) => format!("1 step along {family}"),
                Division::Repeat(count) => format!("{count} equal steps along {family}"),
                Division::Parts(count) => format!("{count} equal parts along {family}"),
                Division::Halve(times) => {
                    format!("halved {times} times along {family}: {} parts", steps.division.parts())
                }
            }
        }
        (_, Some(Form::Flight(form))) => {
            let (run, rise) = form.extent();
            let size = format!("{} long in plan, {} high", units.metres(run), units.metres(rise));
            match form.climb {
                Climb::Stairs { count, .. } => format!("{count} steps, {size}"),
                Climb::Ramp { slope, .. } => format!("slope {slope:.1}°, {size}"),
            }
        }
        (_, Some(Form::Round(form))) => match (form.radius(), form.carried()) {
            (Some(radius), Some(by)) => {
                format!("radius {}, carried {}", units.metres(radius), units.metres(by))
            }
            (Some(radius), None) => format!("radius {}", units.metres(radius)),
            (None, _) => guide.shape.word().into(),
        },
        (_, Some(Form::Steps(_))) => guide.shape.word().into(),
    }
}

/// What a stand-in is, how large and how far off: "figure, height 1.70 m, 23.0 m off", "box, width 10.0 m, depth
/// 252 m, height 30.0 m, from 120 m to 372 m off".
#[must_use]
pub fn stand_in_words(stand_in: &StandIn, scene: &Scene, assessment: &Assessment) -> String {
    let units = assessment.units;
    let sizes = stand_in.shape.sizes();
    let sizes = sizes.into_iter().map(|(name, size)| format!("{name} {}", units.metres(size)));
    let sizes = sizes.collect::<Vec<_>>().join(", ");
    let what = format!("{}, {sizes}", stand_in.shape.word());
    match place_stand_in(scene, assessment, stand_in) {
        Err(why) => format!("{what}: {why}"),
        Ok(placement) => {
            let reach = reach_words(units, placement.reach());
            match placement.each.len() {
                1 => format!("{what}, {reach}"),
                many => format!("{many} times a {what}, {reach}"),
            }
        }
    }
}

/// What a stand-in stands on and how it is turned: "on quay, lifted 3.00 m, turned 30° to the right from
/// straight ahead". Nothing is said of a turn where it makes no difference.
#[must_use]
pub fn stand_in_stance(stand_in: &StandIn, scene: &Scene, units: Units) -> String {
    let mut said = format!("on {}", subject_name(scene, Subject::Level(stand_in.level)));
    if stand_in.lift != 0.0 {
        said += &match stand_in.lift {
            lift if lift < 0.0 => format!(", sunk {}", units.metres(-lift)),
            lift => format!(", lifted {}", units.metres(lift)),
        };
    }
    // What is round looks the same however it is turned.
    if matches!(stand_in.shape, Shape::Cylinder { .. }) {
        return said;
    }
    let degrees = (10.0 * stand_in.turn).round() / 10.0;
    let side = if degrees < 0.0 { "left" } else { "right" };
    let size = degrees.abs();
    match stand_in.along.and_then(|id| scene.block(id)) {
        Some(block) if degrees == 0.0 => said += &format!(", in line with {}", block.name),
        Some(block) => said += &format!(", turned {size}° to the {side} from {}", block.name),
        None if degrees == 0.0 => {}
        None => said += &format!(", turned {size}° to the {side} from straight ahead"),
    }
    said
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Arranged, BlockId, LevelId, StandInId};
    use glam::DVec2;

    #[test]
    fn it_is_told_how_a_stand_in_is_lifted_and_turned() {
        let scene = Scene::default();
        let (ground, block) = (&scene.levels[0].name, &scene.blocks[0].name);
        let hull = StandIn {
            id: StandInId(1),
            name: "hull".into(),
            shape: Shape::Box { width: 12.0, depth: 96.0, height: 9.0 },
            level: LevelId(1),
            foot: DVec2::new(0.1, 0.1),
            turn: 0.0,
            along: None,
            lift: 0.0,
            arranged: Arranged::Alone,
        };
        let said = |of: &StandIn| stand_in_stance(of, &scene, Units::Metric);
        assert_eq!(said(&hull), format!("on {ground}"));
        let turned = StandIn { turn: -30.04, lift: 3.0, ..hull.clone() };
        let words =
            format!("on {ground}, lifted 3.00 m, turned 30° to the left from straight ahead");
        assert_eq!(said(&turned), words);
        let along = StandIn { along: Some(BlockId(1)), lift: -0.5, ..hull };
        assert_eq!(said(&along), format!("on {ground}, sunk 0.500 m, in line with {block}"));
        let feet = stand_in_stance(&along, &scene, Units::Imperial);
        assert_eq!(feet, format!("on {ground}, sunk 1′7.7″, in line with {block}"));
        let tank = Shape::Cylinder { diameter: 8.0, height: 9.0 };
        assert_eq!(said(&StandIn { shape: tank, ..turned }), format!("on {ground}, lifted 3.00 m"));
    }
}
