//! The same invented things in several paintings, drawn by a pinhole that knows the truth.

mod pinhole;

use pinhole::{GROUND, Pinhole, assert_near, place};
use staffage_scene::{
    BookEntry, Continuity, DrawnSizes, Identity, Intended, Known, MarkerId, Member, Scene,
    SizeBook, Standing, Statement, Subject, Units, continuity, drawn_sizes, identities,
};

const EYE: Pinhole = Pinhole::new(0.9, -6.0, 3.0);

/// A painting with three adults, and things of these names and heights.
fn painting(things: &[(&str, f64)]) -> Scene {
    let mut scene = EYE.scene();
    let mut put = |id: u32, name: &str, at: f64, height: f64, said: Vec<Statement>| {
        let foot = place(-4.0 + 3.0 * f64::from(id), -1.6, at);
        let mut marker = EYE.standing(id, name, GROUND, foot, height);
        marker.statements = said;
        scene.markers.push(marker);
    };
    let adult = Statement::KnownSize {
        size: Known { metres: 1.7, spread: 0.06 },
        as_: "adult, mixed, in boots".into(),
    };
    for (id, at) in [(1, 12.0), (2, 15.0), (3, 20.0)] {
        put(id, "walker", at, 1.7, vec![adult.clone()]);
    }
    for (id, (name, height)) in (4..).zip(things) {
        put(id, name, 60.0 + 10.0 * f64::from(id), *height, Vec::new());
    }
    scene
}

/// The same painting with nothing known in metres.
fn without_scale(mut scene: Scene) -> Scene {
    scene.markers.iter_mut().for_each(|marker| marker.statements.clear());
    scene
}

fn book(entries: &[(&str, f64)]) -> SizeBook {
    let entry = |(name, metres): &(&str, f64)| BookEntry {
        name: (*name).into(),
        what: None,
        size: Known { metres: *metres, spread: 0.04 },
        note: None,
    };
    SizeBook { title: "works".into(), entries: entries.iter().map(entry).collect() }
}

fn held(scenes: &[Scene], book: Option<&SizeBook>) -> Continuity {
    let named: Vec<Vec<Identity>> = scenes.iter().map(|scene| identities(scene, book)).collect();
    let drawn: Vec<DrawnSizes> =
        scenes.iter().zip(&named).map(|(scene, of)| drawn_sizes(scene, of)).collect();
    let names = ["a.ron", "b.ron", "c.ron", "d.ron"];
    let members: Vec<Member<'_>> = (0..scenes.len())
        .map(|k| Member {
            name: names[k],
            scene: &scenes[k],
            identities: &named[k],
            drawn: &drawn[k],
        })
        .collect();
    continuity(&members, book, Units::Metric)
}

#[test]
fn a_thing_of_one_size_everywhere_holds() {
    let found = held(
        &[painting(&[("gate", 30.0)]), painting(&[("Gate ", 30.0)])],
        Some(&book(&[("gate", 30.0)])),
    );
    assert_eq!(found.findings, []);
    let [gate] = &found.things[..] else { panic!("{found:?}") };
    assert_eq!(gate.drawn.len(), 2);
    assert_near(gate.size.unwrap().value, 30.0, 1e-6);
    assert!(gate.drawn.iter().all(|drawn| drawn.standing == Standing::Holds));
}

#[test]
fn the_painting_that_draws_it_larger_than_book_and_others_is_named() {
    let scenes = [painting(&[("gate", 30.0)]), painting(&[("gate", 45.0)])];
    let found = held(&scenes, Some(&book(&[("gate", 30.0)])));
    let [finding] = &found.findings[..] else { panic!("{found:?}") };
    assert_eq!(finding.culprit, Some((1, MarkerId(4))));
    assert_near(finding.ratio, 1.5, 0.03);
    assert!(finding.sentence.starts_with("gate in b.ron is drawn 4"), "{}", finding.sentence);
    assert!(finding.sentence.contains("the size book says 30.0 m ± 4 % for gate"));
    assert!(finding.sentence.contains("Scale it to 6"), "{}", finding.sentence);
}

#[test]
fn between_two_paintings_and_no_book_nothing_tells_which_is_wrong() {
    let found = held(&[painting(&[("gate", 30.0)]), painting(&[("gate", 45.0)])], None);
    let [finding] = &found.findings[..] else { panic!("{found:?}") };
    assert_eq!(finding.culprit, Some((0, MarkerId(4))));
    assert_eq!(finding.rivals, [(1, MarkerId(4))]);
    assert!(finding.sentence.contains("gate in b.ron is wrong"), "{}", finding.sentence);
    let three = [30.0, 45.0, 30.0].map(|height| painting(&[("gate", height)]));
    let found = held(&three, None);
    assert_eq!(found.findings.len(), 1);
    assert_eq!(found.findings[0].culprit, Some((1, MarkerId(4))));
}

#[test]
fn a_size_book_that_all_paintings_gainsay_is_named_itself() {
    let scenes = [45.0, 45.0, 45.0].map(|height| painting(&[("gate", height)]));
    let found = held(&scenes, Some(&book(&[("gate", 30.0)])));
    let [finding] = &found.findings[..] else { panic!("{found:?}") };
    assert_eq!(finding.culprit, None);
    assert!(finding.sentence.starts_with("The size book says 30.0 m for gate"));
}

#[test]
fn a_painting_without_metres_is_held_by_what_it_shares() {
    let all = [("gate", 30.0), ("mill", 12.0)];
    let odd = [("gate", 30.0), ("mill", 20.0)];
    let agreeing = [painting(&all), without_scale(painting(&all))];
    let found = held(&agreeing, None);
    assert_eq!(found.findings, []);
    assert_eq!(found.things[0].drawn[1].size, None);
    assert_near(found.things[0].drawn[1].ratio, 1.0, 1e-6);
    let against = [painting(&all), painting(&all), without_scale(painting(&odd))];
    let found = held(&against, None);
    assert_eq!(found.findings.len(), 1, "{found:?}");
    assert_eq!(found.findings[0].culprit.unwrap().0, 2);
}

#[test]
fn what_is_known_of_an_entry_in_a_scene_is_not_heard_twice() {
    let mut scene = painting(&[("gate", 45.0)]);
    scene.markers[3].statements = vec![Statement::KnownSize {
        size: Known { metres: 30.0, spread: 0.001 },
        as_: "gate".into(),
    }];
    let found = held(&[scene], Some(&book(&[("gate", 30.0)])));
    // Drawn 45 m by all that stands around it, whatever was said of it.
    assert_near(found.things[0].drawn[0].size.unwrap().value, 45.0, 1e-6);
    assert_eq!(found.findings.len(), 1);
}

#[test]
fn real_things_from_the_shelf_are_many_and_not_compared() {
    let found = held(&[painting(&[]), painting(&[])], None);
    assert_eq!(found.things, []);
    let named = identities(&painting(&[]), Some(&book(&[("walker", 1.8)])));
    assert_eq!(named.len(), 3, "unless the book has them");
}

#[test]
fn what_is_kept_on_purpose_is_listed_as_such() {
    let mut giant = painting(&[("gate", 45.0)]);
    let about = Subject::Marker(MarkerId(4));
    giant.intended = vec![Intended { about, reason: "a dream".into(), by: String::new() }];
    let found = held(&[painting(&[("gate", 30.0)]), giant], Some(&book(&[("gate", 30.0)])));
    assert_eq!(found.findings[0].intended.as_deref(), Some("a dream"));
}

/// Three independent tellings of one size: the mean of their logarithms, weighted by one over their
/// variances, each painting's with the 1 % that a copy is off by.
#[test]
fn the_common_size_is_the_weighted_mean_of_the_logarithms() {
    let scenes = [painting(&[("gate", 30.0)]), painting(&[("gate", 31.0)])];
    let book = book(&[("gate", 29.5)]);
    let found = held(&scenes, Some(&book));
    let (mut sum, mut weights) = (29.5_f64.ln() / 0.04_f64.powi(2), 1.0 / 0.04_f64.powi(2));
    for scene in &scenes {
        let drawn = drawn_sizes(scene, &identities(scene, Some(&book)));
        let weight = 1.0 / (drawn.covariance(0, 0) + 0.01 * 0.01);
        sum += weight * drawn.sizes[0].ln;
        weights += weight;
    }
    assert_near(found.things[0].size.unwrap().value, (sum / weights).exp(), 1e-9);
}

/// Things that share their painting's scale move together: a scene whose figures are all drawn a
/// fifth too small makes both of its things a fifth too large, and that is no wrong ratio between them.
#[test]
fn sizes_of_one_painting_are_correlated_through_its_scale() {
    let scene = painting(&[("gate", 30.0), ("mill", 12.0)]);
    let drawn =
        drawn_sizes(&scene, &identities(&scene, Some(&book(&[("gate", 1.0), ("mill", 1.0)]))));
    let correlation =
        drawn.covariance(0, 1) / (drawn.covariance(0, 0) * drawn.covariance(1, 1)).sqrt();
    assert!((0.5..1.0).contains(&correlation), "{correlation}");
}
