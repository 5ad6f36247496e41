//! Who and what is put on the levels, and what a painter would trace.

use super::build::{
    GATE_HOUSE, GATE_HOUSES, GONDOLA, LOAD, MAST, MAST_HEIGHT, TOWER_SIDE, TOWERS, tower_axes,
};
use super::{
    CRANE_DECK, CRANE_EDGE, CREST, CREST_EDGE, FACE, GALLERY, GALLERY_EDGE, LEFT, POOL, RIGHT,
    STAIR_HEAD, TOWER_LEFT, TOWER_RIGHT, UPRIGHT,
};
use crate::chance::Chance;
use crate::colour::paint;
use crate::figure::Figure;
use crate::mesh::Axes;
use crate::set::Set;
use crate::tracing::{Tracing, painted_stature, stature};
use glam::DVec3;
use staffage_scene::{LevelId, MarkerId, Span, Stands, Statement, Subject};

pub(super) fn lines(t: &mut Tracing, set: &mut Set, dam: &Axes) {
    // Buttress edges, the trestle's leg, a far tower's corner.
    for r in [48.0, 61.0, 96.0, 144.0] {
        t.line(
            UPRIGHT,
            dam.at(r, FACE - 15.0, GALLERY + 8.0),
            dam.at(r, FACE - 15.0, GALLERY + 52.0),
        );
    }
    t.line(UPRIGHT, dam.at(8.3, 19.0, 9.0), dam.at(8.3, 19.0, 18.5));
    t.line(RIGHT, dam.at(24.0, GALLERY_EDGE, GALLERY), dam.at(190.0, GALLERY_EDGE, GALLERY));
    t.line(
        RIGHT,
        dam.at(26.0, GALLERY_EDGE, GALLERY - 1.4),
        dam.at(150.0, GALLERY_EDGE, GALLERY - 1.4),
    );
    t.line(RIGHT, dam.at(330.0, CREST_EDGE, CREST - 9.0), dam.at(640.0, CREST_EDGE, CREST - 9.0));
    t.line(RIGHT, dam.at(92.0, CRANE_EDGE, CRANE_DECK), dam.at(150.0, CRANE_EDGE, CRANE_DECK));
    t.line(
        RIGHT,
        dam.at(92.0, CRANE_EDGE, CRANE_DECK - 2.5),
        dam.at(150.0, CRANE_EDGE, CRANE_DECK - 2.5),
    );
    t.line(LEFT, dam.at(92.0, CRANE_EDGE, CRANE_DECK - 2.5), dam.at(92.0, 52.0, CRANE_DECK - 2.5));
    t.line(LEFT, dam.at(12.0, 1.0, STAIR_HEAD), dam.at(12.0, 7.5, STAIR_HEAD));
    t.line(LEFT, dam.at(12.0, 1.0, STAIR_HEAD + 1.05), dam.at(12.0, 7.5, STAIR_HEAD + 1.05));
    let top = CRANE_DECK + MAST_HEIGHT;
    t.line(LEFT, dam.at(MAST.0, MAST.1 + 10.0, top), dam.at(MAST.0, MAST.1 - 30.0, top));
    t.line(
        LEFT,
        dam.at(GONDOLA.0 - 1.9, GONDOLA.1, GONDOLA.3),
        dam.at(GONDOLA.0 - 1.9, GONDOLA.2, GONDOLA.3),
    );
    let towers = tower_axes();
    let (r, l, height) = TOWERS[0];
    let roof = POOL + height + 9.0;
    t.line(
        UPRIGHT,
        towers.at(r, l + TOWER_SIDE, POOL + 20.0),
        towers.at(r, l + TOWER_SIDE, POOL + height),
    );
    t.line(
        TOWER_LEFT,
        towers.at(r - 3.0, l - 3.0, roof),
        towers.at(r - 3.0, l + TOWER_SIDE + 3.0, roof),
    );
    t.line(
        TOWER_RIGHT,
        towers.at(r - 3.0, l + TOWER_SIDE + 3.0, roof),
        towers.at(r + TOWER_SIDE + 3.0, l + TOWER_SIDE + 3.0, roof),
    );

    // A conduit on the buttresses that was painted by eye and misses the vanishing point.
    let conduit =
        [dam.at(30.0, FACE - 15.2, GALLERY + 11.0), dam.at(104.0, FACE - 15.2, GALLERY + 18.5)];
    set.wire(conduit[0], conduit[1], 0.8, paint(58, 50, 46));
    let stray = t.line(RIGHT, conduit[0], conduit[1]);
    t.planted(Subject::Line(stray), "a conduit that climbs where it should recede level");
}

/// Puts people and goods on the levels and marks them; `container` is the surface of a container.
pub(super) fn markers(t: &mut Tracing, set: &mut Set, dam: &Axes, container: usize) {
    let mut cast = Cast { chance: Chance::new(5), dam: *dam };
    let deck = t.level("service deck", 0.0);
    let stair = t.level("stair head", STAIR_HEAD);
    let gallery = t.level("gallery", GALLERY);
    let crane_deck = t.level("crane deck", CRANE_DECK);
    let crest = t.level("crest", CREST);

    for (name, r, l) in
        [("engineer", 12.2, 5.6), ("surveyor", 12.25, 3.9), ("clerk of works", 12.3, 2.1)]
    {
        let height = stature(&mut cast.chance);
        cast.adult(t, set, name, (r, l, STAIR_HEAD), height, stair);
    }
    gallery_hands(t, set, &mut cast, gallery);
    crane_deck_hands(t, set, &mut cast, crane_deck);
    crane_deck_stores(t, set, dam, crane_deck, container);
    service_deck(t, set, &mut cast, deck);
    in_the_air(t, dam, deck);
    on_the_crest(t, dam, crest);
    far_towers(t);
}

/// Who is put on stage, and where.
struct Cast {
    chance: Chance,
    dam: Axes,
}

impl Cast {
    fn adult(
        &mut self,
        t: &mut Tracing,
        set: &mut Set,
        name: &str,
        at: (f64, f64, f64),
        height: f64,
        level: LevelId,
    ) -> MarkerId {
        let coats = [
            paint(222, 112, 30),
            paint(70, 78, 88),
            paint(228, 186, 70),
            paint(150, 138, 116),
            paint(44, 58, 74),
        ];
        let foot = self.dam.at(at.0, at.1, at.2);
        set.figures.push(Figure::any(foot, height, &mut self.chance, &coats, 0.1));
        t.adult(name, foot, height, level)
    }
}

fn gallery_hands(t: &mut Tracing, set: &mut Set, cast: &mut Cast, level: LevelId) {
    let names = [
        ("gallery hand 1", 23.0),
        ("gallery hand 2", 26.3),
        ("gallery hand 3", 37.5),
        ("gallery hand 4", 49.0),
        ("gallery hand 5", 66.0),
    ];
    for (name, r) in names {
        let giant = name == "gallery hand 3";
        let height = painted_stature(&mut cast.chance, if giant { 1.6 } else { 1.0 });
        let id = cast.adult(t, set, name, (r, GALLERY_EDGE + 0.2, GALLERY), height, level);
        if giant {
            t.planted(Subject::Marker(id), "a worker painted 1.6 times too large");
        }
    }
    let dam = cast.dam;
    let bay = [dam.at(32.0, GALLERY_EDGE, GALLERY), dam.at(44.0, GALLERY_EDGE, GALLERY)];
    t.mark("gallery bay", Span::Along(RIGHT), bay[0], bay[1], Stands::On(level));
}

fn crane_deck_hands(t: &mut Tracing, set: &mut Set, cast: &mut Cast, level: LevelId) {
    for (name, r) in [
        ("crane hand 1", 96.0),
        ("crane hand 2", 101.0),
        ("crane hand 3", 124.5),
        ("crane hand 4", 141.0),
    ] {
        let height = stature(&mut cast.chance);
        cast.adult(t, set, name, (r, CRANE_EDGE + 0.2, CRANE_DECK), height, level);
    }
}

/// Two containers, and the crane.
fn crane_deck_stores(t: &mut Tracing, set: &mut Set, dam: &Axes, level: LevelId, container: usize) {
    let mut store = |name: &str, r: f64, scale: f64| {
        let (long, wide, high) = (6.06 * scale, 2.44 * scale, 2.59 * scale);
        dam.slab(
            &mut set.mesh,
            r..r + long,
            CRANE_EDGE + 0.3..CRANE_EDGE + 0.3 + wide,
            CRANE_DECK..CRANE_DECK + high,
            container,
        );
        t.upright(name, dam.at(r, CRANE_EDGE + 0.3, CRANE_DECK), high, level)
    };
    let first = store("store container", 104.5, 1.0);
    let second = store("second store container", 127.0, 1.5);
    t.known(first, 2.59, 0.01, "20 ft container, height");
    t.say(second, Statement::SameMake { of: first, spread: 0.01 });
    t.planted(Subject::Marker(second), "a container of the same make painted 1.5 times too large");
    let mast = dam.at(MAST.0, MAST.1 - 1.1, CRANE_DECK);
    let mast = t.upright("crane mast", mast, MAST_HEIGHT, level);
    let cab = dam.at(MAST.0 + 1.2, MAST.1 - 2.8, CRANE_DECK + MAST_HEIGHT - 3.4);
    let cab = t.mark("crane cab", Span::Upright, cab, cab + DVec3::Y * 2.8, Stands::Unsaid);
    t.say(cab, Statement::SameDistance { of: mast, spread: 0.01 });
}

fn service_deck(t: &mut Tracing, set: &mut Set, cast: &mut Cast, level: LevelId) {
    let mut stand = |t: &mut Tracing, name: &str, r: f64, l: f64, height: Option<f64>| {
        let drawn = stature(&mut cast.chance);
        let id = cast.adult(t, set, name, (r, l, 0.0), height.unwrap_or(drawn), level);
        if let Some(figure) = set.figures.last_mut() {
            figure.mirrored = 0.3;
            if name == "foreman" {
                figure.careless = true;
                figure.dress.coat = paint(232, 112, 28);
            }
        }
        id
    };
    stand(t, "rigger", 56.0, -2.2, None);
    stand(t, "foreman", 92.0, -3.9, None);
    stand(t, "signaller", 70.0, 1.0, None);
    stand(t, "walker", 118.0, -9.0, None);
    stand(t, "far walker", 100.0, 3.0, None);
    let statue = stand(t, "stone guardian", 172.0, -2.0, Some(7.0));
    t.intended(
        Subject::Marker(statue),
        "a guardian of stone seven metres high, meant to be read as a man at first glance",
    );

    let wrong = t.overlap("foreman", "rigger");
    t.planted(Subject::Overlap(wrong), "the farther man was painted over the nearer one");
}

fn in_the_air(t: &mut Tracing, dam: &Axes, deck: LevelId) {
    let (r, near, far, floor) = GONDOLA;
    let ends = [dam.at(r - 1.9, near, floor), dam.at(r - 1.9, far, floor)];
    t.floating("gondola", Span::Along(LEFT), ends, deck, 0.0);
    let load =
        [dam.at(MAST.0 - 1.2, LOAD.0 - 3.03, LOAD.1), dam.at(MAST.0 - 1.2, LOAD.0 + 3.03, LOAD.1)];
    let load = t.floating("container on the hook", Span::Along(LEFT), load, deck, 0.0);
    t.known(load, 6.06, 0.01, "20 ft container, length");
}

fn on_the_crest(t: &mut Tracing, dam: &Axes, level: LevelId) {
    let mut first = None;
    for (i, r) in GATE_HOUSES.into_iter().enumerate() {
        let name = format!("gate house {}", i + 1);
        let id = t.upright(&name, dam.at(r, CREST_EDGE, CREST), GATE_HOUSE, level);
        match first {
            None => {
                t.known(id, GATE_HOUSE, 0.04, "gate house, standard drawing");
                first = Some(id);
            }
            Some(of) => t.say(id, Statement::SameMake { of, spread: 0.01 }),
        }
    }
}

/// The far towers, whose feet the deck hides: known by the width of their crowns.
fn far_towers(t: &mut Tracing) {
    let towers = tower_axes();
    let crown = |(r, l, height): (f64, f64, f64)| {
        let at = |l: f64| towers.at(r - 3.0, l, POOL + height + 9.0);
        [at(l - 3.0), at(l + TOWER_SIDE + 3.0)]
    };
    let [near, far] = TOWERS.map(crown);
    let span = Span::Along(TOWER_LEFT);
    let first = t.mark("near tower crown", span, near[0], near[1], Stands::Unsaid);
    let second = t.mark("far tower crown", span, far[0], far[1], Stands::Unsaid);
    t.known(first, TOWER_SIDE + 6.0, 0.05, "intake tower, crown");
    t.say(second, Statement::SameMake { of: first, spread: 0.02 });
    t.overlap("gondola", "near tower crown");
}
