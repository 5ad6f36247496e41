//! A level view down a market street, in two points.

mod build;
mod trace;

use crate::Demo;
use crate::air::{Weather, direction};
use crate::colour::paint;
use crate::finish::Finish;
use crate::mesh::Axes;
use crate::set::Set;
use crate::tracing::Tracing;
use crate::view::View;
use build::{Skins, bridge, far_gate, ground, houses, overhead, stalls};
use glam::{DVec3, Vec2, Vec3};
use staffage_scene::{BlockId, Family};
use trace::{crowd, lines, markers};

const HEADING: f64 = 75.0;

/// The house fronts: right and left of the eye, metres along the cross street.
const RIGHT_FRONT: f64 = 8.5;
const LEFT_FRONT: f64 = -7.0;

/// Heights of the levels, metres over the street.
const PAVEMENT: f64 = 0.8;
const BALCONY: f64 = 4.4;
const BRIDGE: f64 = 6.4;

/// Edge of the raised pavement, and how far the footbridge is down the street.
const KERB: f64 = 6.4;
const BRIDGE_AT: f64 = 36.0;

const UPRIGHT: Family = Family::Upright;
const ACROSS: Family = Family::RecedingRight(BlockId(1));
const DOWN: Family = Family::RecedingLeft(BlockId(1));

pub(crate) fn demo() -> Demo {
    let view = View::new(0.9, 1.2, 0.0, 1.64, (2220, 1200));
    let street = Axes::new(DVec3::ZERO, HEADING);
    let mut set = Set::new(weather());
    let skins = Skins::new(&mut set, &street);
    ground(&mut set, &street, &skins);
    let houses = houses(&mut set, &street, &skins);
    stalls(&mut set, &street, &skins);
    bridge(&mut set, &street, &skins);
    far_gate(&mut set, &street, &skins);
    overhead(&mut set, &street, &skins);
    let mut tracing = Tracing::new(
        "market_street",
        "Market street in the morning",
        view,
        &[("street", HEADING)],
        23,
    );
    lines(&mut tracing, &mut set, &street, &houses, skins.kerb);
    markers(&mut tracing, &mut set, &street);
    crowd(&mut set, &street);
    let finish = Finish {
        light: Vec2::new(420.0, 330.0),
        bloom: Vec3::new(0.24, 0.17, 0.08),
        reach: 520.0,
        vignette: 0.36,
    };
    Demo { name: "market_street", view, set, tracing, ground: Vec3::new(0.46, 0.34, 0.24), finish }
}

fn weather() -> Weather {
    Weather {
        to_sun: direction(-62.0, 36.0),
        sun: Vec3::new(3.0, 2.3, 1.4),
        sky: Vec3::new(0.17, 0.25, 0.37),
        bounce: Vec3::new(0.24, 0.18, 0.12),
        beta: 0.0058,
        airlight: paint(188, 182, 164),
        glow: paint(255, 212, 144) * 0.34,
        zenith: paint(92, 138, 158),
        cloud: paint(236, 222, 196),
        cover: 0.30,
        mist: vec![],
    }
}
