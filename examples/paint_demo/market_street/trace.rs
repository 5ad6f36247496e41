//! Who and what is put in the street, and what a painter would trace.

use super::build::{GATE_ARCH, GATE_AT, House, LAMP, LAMP_LINE, LAMPS, LARGE_LAMP};
use super::{
    ACROSS, BALCONY, BRIDGE, BRIDGE_AT, DOWN, KERB, LEFT_FRONT, PAVEMENT, RIGHT_FRONT, UPRIGHT,
};
use crate::chance::Chance;
use crate::colour::paint;
use crate::figure::Figure;
use crate::mesh::Axes;
use crate::set::Set;
use crate::tracing::{Tracing, painted_stature, stature};
use glam::Vec3;
use staffage_scene::{LevelId, MarkerId, Span, Stands, Statement, Subject};

pub(super) fn lines(t: &mut Tracing, set: &mut Set, street: &Axes, houses: &[House], stone: usize) {
    for house in &houses[4..6] {
        let cornice = |l: f64| street.at(RIGHT_FRONT - 0.5, l, house.height);
        t.line(DOWN, cornice(house.from), cornice(house.to));
    }
    for house in &houses[..3] {
        let corner = |y: f64| street.at(RIGHT_FRONT, house.to, y);
        t.line(UPRIGHT, corner(3.9), corner(8.6));
    }
    let sill = |l: f64| street.at(RIGHT_FRONT - 0.14, l, 4.36);
    t.line(DOWN, sill(8.6), sill(13.4));
    let eaves = |l: f64| street.at(LEFT_FRONT + 0.5, l, 10.4);
    t.line(DOWN, eaves(33.0), eaves(44.0));
    t.line(DOWN, street.at(KERB, 9.0, PAVEMENT), street.at(KERB, 60.0, PAVEMENT));
    t.line(
        DOWN,
        street.at(RIGHT_FRONT - 0.18, 10.0, 3.8),
        street.at(RIGHT_FRONT - 0.18, 62.0, 3.8),
    );
    t.line(
        DOWN,
        street.at(RIGHT_FRONT - 1.3, 15.0, BALCONY),
        street.at(RIGHT_FRONT - 1.3, 22.5, BALCONY),
    );
    t.line(UPRIGHT, street.at(LEFT_FRONT, 33.0, 1.0), street.at(LEFT_FRONT, 33.0, 8.0));
    t.line(UPRIGHT, street.at(5.0, GATE_AT, 1.8), street.at(5.0, GATE_AT, 8.0));
    for y in [BRIDGE, BRIDGE - 0.5, BRIDGE + 1.0] {
        t.line(
            ACROSS,
            street.at(LEFT_FRONT + 0.2, BRIDGE_AT, y),
            street.at(RIGHT_FRONT - 0.6, BRIDGE_AT, y),
        );
    }
    t.line(ACROSS, street.at(-6.4, 9.0, 0.0), street.at(2.4, 9.0, 0.0));
    t.line(ACROSS, street.at(LEFT_FRONT, 33.0, 8.2), street.at(LEFT_FRONT - 8.0, 33.0, 8.2));
    // A gutter of worn stone crosses the street where the line above was traced.

    street.slab(&mut set.mesh, -6.6..2.6, 9.0..9.25, 0.0..0.004, stone);

    let sign = [street.at(RIGHT_FRONT - 0.2, 24.2, 4.3), street.at(RIGHT_FRONT - 0.2, 30.6, 4.62)];
    set.wire(sign[0], sign[1], 0.3, paint(120, 40, 34));
    let stray = t.line(DOWN, sign[0], sign[1]);
    t.planted(
        Subject::Line(stray),
        "a painted fascia board that climbs where it should recede level",
    );
}

/// Puts people on the levels and marks them and the fixed things.
pub(super) fn markers(t: &mut Tracing, set: &mut Set, street: &Axes) {
    let mut cast = Cast { chance: Chance::new(31), street: *street };
    let ground = t.level("street", 0.0);
    let pavement = t.level("raised pavement", PAVEMENT);
    let balcony = t.level("balcony", BALCONY);
    let bridge = t.level("footbridge", BRIDGE);

    on_the_street(t, set, &mut cast, ground);
    on_the_pavement(t, set, &mut cast, pavement);
    for (name, l) in [("woman at the rail", 16.6), ("man at the rail", 19.4), ("boarder", 21.6)] {
        let height = stature(&mut cast.chance);
        cast.adult(t, set, name, (RIGHT_FRONT - 1.15, l, BALCONY), height, balcony);
    }

    for (name, r) in [("crossing 1", -4.6), ("crossing 2", -0.6), ("crossing 3", 3.4)] {
        let height = stature(&mut cast.chance);
        cast.adult(t, set, name, (r, BRIDGE_AT + 0.15, BRIDGE), height, bridge);
    }
    let clear =
        [street.at(LEFT_FRONT, BRIDGE_AT, BRIDGE), street.at(RIGHT_FRONT - 0.5, BRIDGE_AT, BRIDGE)];
    t.mark("footbridge span", Span::Along(ACROSS), clear[0], clear[1], Stands::On(bridge));
    lamps(t, street, ground);
    t.overlap("lamp post 2", "crossing 1");
    let arch = t.upright("gate arch", street.at(GATE_ARCH.0, GATE_AT, 0.0), GATE_ARCH.1, ground);
    t.say(arch, Statement::Distance(staffage_scene::Known { metres: 98.0, spread: 0.05 }));
}

struct Cast {
    chance: Chance,
    street: Axes,
}

fn coats() -> [Vec3; 7] {
    [
        paint(150, 62, 44),
        paint(60, 84, 92),
        paint(196, 170, 128),
        paint(92, 70, 54),
        paint(168, 120, 60),
        paint(70, 60, 68),
        paint(214, 202, 180),
    ]
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
        let foot = self.street.at(at.0, at.1, at.2);
        let mut figure = Figure::any(foot, height, &mut self.chance, &coats(), 0.4);
        figure.mirrored = if at.2 == 0.0 { 0.18 } else { 0.0 };
        set.figures.push(figure);
        t.adult(name, foot, height, level)
    }
}

fn on_the_street(t: &mut Tracing, set: &mut Set, cast: &mut Cast, level: LevelId) {
    let people = [
        ("near shopper", 1.9, 7.2, 1.0),
        ("basket carrier", -0.7, 9.6, 1.0),
        ("porter", 0.9, 17.5, 1.6),
        ("errand man", -1.6, 12.6, 0.5),
        ("stroller", 2.2, 12.0, 1.0),
        ("water seller", -1.2, 22.0, 1.0),
        ("fish wife", 2.6, 26.0, 1.0),
        ("far couple", 0.1, 41.0, 1.0),
        ("carter", -2.0, 56.0, 1.0),
    ];
    for (name, r, l, scale) in people {
        let height = painted_stature(&mut cast.chance, scale);
        let id = cast.adult(t, set, name, (r, l, 0.0), height, level);
        match name {
            "porter" => t.planted(Subject::Marker(id), "an adult painted 1.6 times too large"),
            "errand man" => t.planted(Subject::Marker(id), "claimed an adult, painted half size"),
            _ => {}
        }
    }
    let statue = cast.adult(t, set, "bronze carter", (-2.6, 34.0, 0.0), 3.5, level);
    if let Some(figure) = set.figures.last_mut() {
        let bronze = paint(74, 84, 66);
        figure.dress = crate::figure::Dress {
            coat: bronze,
            legs: bronze,
            head: bronze,
            long: true,
            apron: None,
            brim: true,
            bundle: None,
        };
    }
    t.intended(
        Subject::Marker(statue),
        "a giant's statue, meant to be read as a man at first glance",
    );
    t.overlap("basket carrier", "bronze carter");
}

fn on_the_pavement(t: &mut Tracing, set: &mut Set, cast: &mut Cast, level: LevelId) {
    let jamb = cast.street.at(RIGHT_FRONT - 0.05, 9.5, PAVEMENT);
    let door = t.upright("house door", jamb, 2.1, level);
    t.known(door, 2.1, 0.03, "house door");
    for (name, l) in [("idler", 19.4), ("clerk", 21.2), ("shopkeeper", 23.2), ("customer", 25.6)] {
        let height = stature(&mut cast.chance);
        cast.adult(t, set, name, (KERB + 0.25, l, PAVEMENT), height, level);
    }
}

fn lamps(t: &mut Tracing, street: &Axes, level: LevelId) {
    let mut first = None;
    for (i, l) in LAMPS.into_iter().enumerate() {
        let height = if i == LARGE_LAMP { LAMP * 1.5 } else { LAMP };
        let id =
            t.upright(&format!("lamp post {}", i + 1), street.at(LAMP_LINE, l, 0.0), height, level);
        match first {
            None => {
                t.known(id, LAMP, 0.02, "lamp post, town pattern");
                first = Some(id);
            }
            Some(of) => t.say(id, Statement::SameMake { of, spread: 0.01 }),
        }
        if i == LARGE_LAMP {
            t.planted(
                Subject::Marker(id),
                "a lamp post of the same make painted 1.5 times too large",
            );
        }
    }
}

/// People without markers, to fill the street.
pub(super) fn crowd(set: &mut Set, street: &Axes) {
    let mut chance = Chance::new(77);
    for _ in 0..46 {
        let l = 30.0 + 62.0 * chance.unit();
        let r = -4.4 + 8.0 * chance.unit();
        let height = stature(&mut chance);
        let mut figure = Figure::any(street.at(r, l, 0.0), height, &mut chance, &coats(), 0.4);
        figure.mirrored = 0.12;
        set.figures.push(figure);
    }
    for l in [9.2, 25.0, 29.4, 34.6] {
        let height = stature(&mut chance);
        set.figures.push(Figure::any(street.at(5.75, l, 0.0), height, &mut chance, &coats(), 0.4));
    }
}
