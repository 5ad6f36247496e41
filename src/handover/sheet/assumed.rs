//! What was taken as given, and what else is in the scene.

use super::{Sheet, unbroken};
use maud::{Markup, html};
use staffage_scene::{
    Curvature, Standing, Statement, Units, World, guide_words, percent, stand_in_stance,
    stand_in_words,
};
use staffage_solver::Source;
use std::collections::BTreeMap;

/// Most names that are listed one by one.
const NAMES: usize = 12;

pub(super) fn assumed(sheet: &Sheet<'_>) -> Markup {
    let scene = sheet.scene;
    html! {
        section {
            h2 { "What was taken as given" }
            div.two {
                div {
                    h3 { "Sizes and distances that everything is compared with" }
                    ul.plain { @for given in given(sheet) { li { (unbroken(&given)) } } }
                }
                div {
                    h3 { "Assumed" }
                    ul.plain { @for assumption in assumptions(sheet) { li { (unbroken(&assumption)) } } }
                }
            }
        }
        @if !scene.guides.is_empty() || !scene.stand_ins.is_empty() {
            section {
                h2 { "Guides and stand-ins in the scene" }
                p.quiet { "They are drawn to paint by. Nothing was measured with them." }
                div.two {
                    @if !scene.stand_ins.is_empty() { div { ul.plain { @for one in &scene.stand_ins {
                        li {
                            bdi { (one.name) } ": " (unbroken(&stand_in_words(one, scene, sheet.assessment))) ", "
                            (unbroken(&stand_in_stance(one, scene, sheet.units())))
                        }
                    } } } }
                    @if !scene.guides.is_empty() { div { ul.plain { @for guide in &scene.guides {
                        li { bdi { (guide.name) } ": " (unbroken(&guide_words(guide, scene, sheet.assessment))) }
                    } } } }
                }
            }
        }
    }
}

/// The benchmarks, each with what it was said of.
fn given(sheet: &Sheet<'_>) -> Vec<String> {
    let (scene, units) = (sheet.scene, sheet.units());
    let mut sizes: BTreeMap<String, Vec<&str>> = BTreeMap::new();
    let mut others = Vec::new();
    for marker in &scene.markers {
        for said in &marker.statements {
            match said {
                Statement::KnownSize { size, as_ } => {
                    let what = if as_.is_empty() { "a size that was typed" } else { as_.as_str() };
                    let (size, spread) = (units.metres(size.metres), percent(size.spread));
                    let size = format!("{what}, {size} ± {spread}");
                    sizes.entry(size).or_default().push(&marker.name);
                }
                Statement::Distance(far) => {
                    others.push(format!("{} is {} off", marker.name, units.metres(far.metres)));
                }
                Statement::SameMake { .. }
                | Statement::Times { .. }
                | Statement::SameDistance { .. } => {}
            }
        }
    }
    let stated = scene.levels.iter().filter_map(|level| {
        let clearance = units.metres(level.clearance?.metres);
        Some(format!("the eye is {clearance} from {}", level.name))
    });
    let sizes = sizes.into_iter().map(|(size, names)| format!("{size}: {}", listed(&names)));
    let all: Vec<String> = sizes.chain(stated).chain(others).collect();
    if all.is_empty() {
        return vec!["Nothing: all lengths are told in heights of the eye.".into()];
    }
    all
}

/// "a, b and 4 more".
fn listed(names: &[&str]) -> String {
    match names.len().checked_sub(NAMES) {
        Some(more @ 1..) => format!("{} and {more} more", names[..NAMES].join(", ")),
        _ => names.join(", "),
    }
}

fn assumptions(sheet: &Sheet<'_>) -> Vec<String> {
    let (scene, assessment) = (sheet.scene, sheet.assessment);
    let eye = &assessment.eye;
    let mut said = Vec::new();
    for (quantity, name) in
        [(eye.angle_of_view, "the angle of view"), (eye.pitch, "the pitch"), (eye.cant, "the cant")]
    {
        if quantity.source == Source::Assumed {
            said.push(format!("Nothing in the painting tells {name}: a usual one was taken, and the intervals are wide."));
        }
    }
    said.push("The picture is in straight perspective, as a lens without distortion draws.".into());
    let pointing = 2300.0 * scene.pointing;
    said.push(format!(
        "Points were placed on the painting to within {pointing:.1} px at 2,300 px wide (one standard deviation)."
    ));
    said.push(
        "Two sizes contradict when chance would set them so far apart less than once in a thousand times, and by more than the 8 % that an eye overlooks.".into(),
    );
    said.push(world(scene.world, sheet.units()));
    for (standing, words) in
        [(Standing::Unchecked, "Nothing else tests"), (Standing::Open, "Nothing fixes the size of")]
    {
        let entries = assessment.ledger.iter().filter(|entry| entry.standing == standing);
        let names: Vec<&str> =
            entries.filter_map(|e| scene.marker(e.id)).map(|m| m.name.as_str()).collect();
        if !names.is_empty() {
            said.push(format!("{words}: {}.", listed(&names)));
        }
    }
    said
}

fn world(world: World, units: Units) -> String {
    let earth = world.radius == World::default().radius;
    let radius = if earth {
        "the earth's radius".to_owned()
    } else {
        format!("a radius of {}", units.metres(world.radius))
    };
    match world.curvature {
        Curvature::Nowhere => "The world is flat.".into(),
        Curvature::Everywhere => format!("The world curves with {radius}."),
        Curvature::WhereFelt => {
            format!("The world curves with {radius} where things are so far off that it is felt.")
        }
    }
}
