//! What stand-ins and guides come to, in words.

use crate::{
    Assessment, Climb, Division, Form, Guide, GuideShape, Scene, StandIn, family_name, guide_form,
    place_stand_in, reach_words,
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
