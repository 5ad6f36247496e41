//! Who and what is put on the levels, and what a painter would trace.

use super::build::{GATE_HOUSE, INTAKE, POWER_HOUSE, Stage};
use super::{
    BERM, BERM_SPAN, CREST, FLOOR, LANDING_LEFT, LANDING_RIGHT, LEFT, PONTOON, RIGHT, UPRIGHT,
    WATER,
};
use crate::chance::Chance;
use crate::colour::paint;
use crate::figure::Figure;
use crate::mesh::Axes;
use crate::set::Set;
use crate::tracing::{Tracing, painted_stature};
use glam::DVec3;
use staffage_scene::{Family, LevelId, MarkerId, Span, Stands, Statement, Subject};

pub(super) fn lines(t: &mut Tracing, set: &mut Set, stage: &Stage) {
    let (dam, landing) = (&stage.dam, &stage.landing);
    for (l, y) in [(CREST.start, 0.0), (CREST.end, 1.0), (CREST.end - 2.4, 0.12)] {
        t.line(RIGHT, dam.at(54.0, l, y), dam.at(104.0, l, y));
    }
    t.line(RIGHT, dam.at(70.0, BERM_SPAN.start, BERM), dam.at(190.0, BERM_SPAN.start, BERM));
    t.line(UPRIGHT, dam.at(45.0, CREST.end, 0.0), dam.at(45.0, CREST.end, 4.5));
    t.line(UPRIGHT, dam.at(34.0, CREST.end, 0.0), dam.at(34.0, CREST.end, 4.5));
    let (house, depth) = POWER_HOUSE;
    let eave = |r: f64, l: f64| dam.at(r, l, FLOOR + 13.0);
    t.line(RIGHT, eave(house.start - 1.5, depth.end + 1.5), eave(house.end + 1.5, depth.end + 1.5));
    let (r, height) = GATE_HOUSE;
    t.line(UPRIGHT, dam.at(r, CREST.end - 2.4, 0.3), dam.at(r, CREST.end - 2.4, height));
    t.line(UPRIGHT, dam.at(r, CREST.end + 8.0, WATER), dam.at(r, CREST.end + 8.0, height));
    let (r, l, height) = INTAKE;
    for (r, l) in [(r, l), (r, l + 11.0), (r + 11.0, l)] {
        t.line(UPRIGHT, dam.at(r, l, WATER), dam.at(r, l, WATER + height - 0.3));
    }
    t.line(
        UPRIGHT,
        dam.at(house.start, depth.end, FLOOR),
        dam.at(house.start, depth.end, FLOOR + 13.0),
    );
    t.line(LEFT, dam.at(r + 4.0, CREST.end + 8.0, 0.9), dam.at(r + 4.0, l, 0.9));
    t.line(
        LEFT,
        dam.at(r - 1.0, l - 1.0, WATER + height + 0.9),
        dam.at(r - 1.0, l + 12.0, WATER + height + 0.9),
    );
    t.line(
        LEFT,
        eave(house.start - 1.5, depth.start - 1.5),
        eave(house.start - 1.5, depth.end + 1.5),
    );
    t.line(LEFT, dam.at(123.0, CREST.end - 3.4, 9.0), dam.at(123.0, CREST.end + 9.0, 9.0));
    t.line(LANDING_RIGHT, landing.at(-18.0, 0.0, PONTOON), landing.at(34.0, 0.0, PONTOON));
    t.line(LANDING_RIGHT, landing.at(-18.0, 7.0, PONTOON), landing.at(10.0, 7.0, PONTOON));
    t.line(LANDING_LEFT, landing.at(10.0, 7.0, PONTOON), landing.at(10.0, 26.0, PONTOON));
    t.line(LANDING_LEFT, landing.at(-10.0, 7.0, PONTOON), landing.at(-10.0, 20.0, PONTOON));

    let boom = [dam.at(50.0, 112.0, WATER + 0.3), dam.at(104.0, 122.5, WATER + 0.3)];
    set.wire(boom[0], boom[1], 0.45, paint(196, 84, 30));
    let stray = t.line(RIGHT, boom[0], boom[1]);
    t.planted(
        Subject::Line(stray),
        "a floating boom taken for a line of the dam; it misses by degrees",
    );
}

pub(super) fn markers(t: &mut Tracing, set: &mut Set, stage: &Stage) {
    let mut cast = Chance::new(41);
    let crest = t.level("crest road", 0.0);
    let water = t.level("water", WATER);
    let pontoon = t.level("pontoon", PONTOON);
    let berm = t.level("berm", BERM);
    let floor = t.level("valley floor", FLOOR);
    on_the_crest(t, set, stage, &mut cast, crest);
    on_the_pontoon(t, set, stage, &mut cast, pontoon);
    on_the_berm(t, set, stage, &mut cast, berm);
    on_the_floor(t, set, stage, floor);
    on_the_water(t, set, stage, water);
    t.overlap("store container", "boat shed");
}

fn adult(
    t: &mut Tracing,
    set: &mut Set,
    cast: &mut Chance,
    name: &str,
    foot: DVec3,
    scale: f64,
    level: LevelId,
) -> MarkerId {
    let coats = [
        paint(222, 90, 44),
        paint(240, 226, 196),
        paint(128, 156, 182),
        paint(226, 176, 84),
        paint(206, 196, 176),
    ];
    let height = painted_stature(cast, scale);
    set.figures.push(Figure::any(foot, height, cast, &coats, 0.3));
    t.adult(name, foot, height, level)
}

fn on_the_crest(t: &mut Tracing, set: &mut Set, stage: &Stage, cast: &mut Chance, level: LevelId) {
    let dam = &stage.dam;
    let people = [
        ("walker 1", 46.0, 37.4),
        ("walker 2", 55.0, 45.0),
        ("walker 3", 64.0, 37.6),
        ("walker 4", 60.0, 47.4),
        ("walker 5", 104.0, 37.2),
    ];
    for (name, r, l) in people {
        let tall = name == "walker 3";
        let id = adult(t, set, cast, name, dam.at(r, l, 0.0), if tall { 1.6 } else { 1.0 }, level);
        if tall {
            t.planted(Subject::Marker(id), "a walker painted 1.6 times too large");
        }
    }
    let mut lorry = |t: &mut Tracing, name: &str, r: f64, l: f64, size: f64| {
        let at = dam.at(r, l, 0.0);
        stage.lorry(set, &Axes { origin: at, ..*dam }, size);
        let near = dam.at(r, l - 1.25 * size, 0.0);
        t.mark(name, Span::Along(RIGHT), near, near + dam.right * 9.5 * size, Stands::On(level))
    };
    let first = lorry(t, "lorry 1", 68.0, 44.4, 1.0);
    let second = lorry(t, "lorry 2", 88.0, 40.4, 1.0);
    let third = lorry(t, "lorry 3", 128.0, 44.0, 1.5);
    t.known(first, 9.5, 0.02, "three-axle lorry, length");
    for of_make in [second, third] {
        t.say(of_make, Statement::SameMake { of: first, spread: 0.01 });
    }
    t.planted(Subject::Marker(third), "a lorry of the same make painted 1.5 times too large");
    let statue =
        adult(t, set, cast, "river spirit", dam.at(98.0, CREST.end - 1.2, 0.0), 3.0, level);
    t.intended(
        Subject::Marker(statue),
        "a giant's statue on the parapet walk, meant to be read as a man at first glance",
    );
    let (r, height) = GATE_HOUSE;
    t.upright("gate house", dam.at(r, CREST.end - 2.4, 0.0), height, level);
    adult(t, set, cast, "latecomer", dam.at(80.8, 44.6, 0.0), 1.0, level);
    if let Some(figure) = set.figures.last_mut() {
        figure.careless = true;
    }
    t.upright("control house", dam.at(45.0, CREST.end, 0.0), 4.5, level);
    let wrong = t.overlap("latecomer", "lorry 1");
    t.planted(Subject::Overlap(wrong), "a man behind the lorry was painted in front of it");
}

fn on_the_pontoon(
    t: &mut Tracing,
    set: &mut Set,
    stage: &Stage,
    cast: &mut Chance,
    level: LevelId,
) {
    let landing = &stage.landing;
    for (name, r, l) in [
        ("boatman", -14.0, 3.0),
        ("passenger 1", -2.0, 4.6),
        ("passenger 2", 5.0, 2.4),
        ("angler", 12.0, 22.0),
    ] {
        adult(t, set, cast, name, landing.at(r, l, PONTOON), 1.0, level);
    }
    let m = &mut set.mesh;
    landing.slab(m, 14.6..20.66, 3.0..5.44, PONTOON..PONTOON + 2.59, stage.skins.container);
    let near = landing.at(14.6, 3.0, PONTOON);
    let store = t.mark(
        "store container",
        Span::Along(LANDING_RIGHT),
        near,
        near + landing.right * 6.06,
        Stands::On(level),
    );
    t.known(store, 6.06, 0.01, "20 ft container, length");
    t.upright("boat shed", landing.at(24.0, 1.6, PONTOON), 3.2, level);
}

fn on_the_berm(t: &mut Tracing, set: &mut Set, stage: &Stage, cast: &mut Chance, level: LevelId) {
    let dam = &stage.dam;
    for (name, r, l) in [
        ("inspector 1", 62.0, 26.0),
        ("inspector 2", 78.0, 22.5),
        ("inspector 3", 88.0, 27.0),
        ("inspector 4", 104.0, 23.0),
    ] {
        adult(t, set, cast, name, dam.at(r, l, BERM), 1.0, level);
    }
    let at = dam.at(116.0, 25.0, BERM);
    stage.lorry(set, &Axes { origin: at, ..*dam }, 1.0);
    let near = dam.at(116.0, 23.75, BERM);
    let lorry = t.mark(
        "lorry on the berm",
        Span::Along(RIGHT),
        near,
        near + dam.right * 9.5,
        Stands::On(level),
    );
    t.known(lorry, 9.5, 0.02, "three-axle lorry, length");
}

fn on_the_floor(t: &mut Tracing, set: &mut Set, stage: &Stage, level: LevelId) {
    let dam = &stage.dam;
    for (name, r, l) in
        [("lorry in the yard", 128.0, 8.0), ("second lorry in the yard", 131.0, 2.0)]
    {
        stage.lorry(set, &Axes { origin: dam.at(r, l, FLOOR), ..*dam }, 1.0);
        let near = dam.at(r, l - 1.25, FLOOR);
        let id = t.mark(name, Span::Along(RIGHT), near, near + dam.right * 9.5, Stands::On(level));
        t.known(id, 9.5, 0.02, "three-axle lorry, length");
    }
    t.upright("power house", dam.at(POWER_HOUSE.0.start, POWER_HOUSE.1.end, FLOOR), 13.0, level);
}

fn on_the_water(t: &mut Tracing, set: &mut Set, stage: &Stage, level: LevelId) {
    let (dam, landing) = (&stage.dam, &stage.landing);
    let mut boat = |t: &mut Tracing, name: &str, axes: Axes, family: Family, length: f64| {
        stage.boat(set, &axes, length, length * 0.27, stage.skins.hull);
        t.mark(name, Span::Along(family), axes.origin, axes.at(length, 0.0, 0.0), Stands::On(level))
    };
    let moored = Axes { origin: landing.at(-1.5, -3.4, WATER), ..*landing };
    let launch = boat(t, "launch", moored, LANDING_RIGHT, 12.0);
    let second = boat(
        t,
        "second launch",
        Axes { origin: landing.at(11.6, -3.4, WATER), ..*landing },
        LANDING_RIGHT,
        12.0,
    );
    let ferry = boat(t, "ferry", Axes { origin: dam.at(66.0, 130.0, WATER), ..*dam }, RIGHT, 26.0);
    t.known(launch, 12.0, 0.03, "harbour launch");
    t.say(second, Statement::SameMake { of: launch, spread: 0.01 });
    t.say(ferry, Statement::Times { of: launch, factor: 26.0 / 12.0, spread: 0.04 });
    let stern = landing.at(-1.0, 14.0, WATER);
    let bow = t.turned(stern, 5.0);
    let across = (bow - stern).normalize();
    let skiff = Axes { origin: stern, right: across, left: DVec3::Y.cross(across) };
    stage.boat(set, &skiff, 5.0, 1.7, stage.skins.hull);
    let skiff = t.facing("skiff", stern, 5.0, Stands::On(level));
    t.known(skiff, 5.0, 0.04, "rowing skiff");
    let (r, l, height) = INTAKE;
    t.upright("intake tower", dam.at(r, l, WATER), height, level);
    wake(set, dam);
}

/// Foam behind the ferry.
fn wake(set: &mut Set, dam: &Axes) {
    let foam = paint(206, 216, 214);
    let mut chance = Chance::new(8);
    for _ in 0..150 {
        let back = 34.0 * chance.unit().powf(1.4);
        let side = if chance.unit() < 0.5 { -1.0 } else { 1.0 };
        let off = side * (1.2 + 0.20 * back + chance.between(-0.7, 0.7));
        let at = |b: f64| dam.at(78.0 - b, 130.0 + off, WATER + 0.05);
        set.wire(at(back), at(back + chance.between(0.8, 3.4)), chance.between(0.12, 0.34), foam);
    }
}
