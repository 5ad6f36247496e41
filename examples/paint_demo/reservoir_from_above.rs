//! A bird's-eye view of a reservoir and its dam, in three points.

mod build;
mod trace;

use crate::Demo;
use crate::air::{Mist, Weather, direction};
use crate::colour::paint;
use crate::finish::Finish;
use crate::mesh::Axes;
use crate::set::Set;
use crate::tracing::{SIZE_BOOK, Tracing};
use crate::view::View;
use build::{LAMP, Skins, Stage, lamps};
use glam::{DVec3, Vec2, Vec3};
use staffage_scene::{BlockId, Family};
use std::ops::Range;
use trace::{lines, markers};

const HEADING: f64 = 34.0;
const LANDING_HEADING: f64 = 8.0;

/// Heights of the levels, metres over the crest road.
const WATER: f64 = -7.0;
const PONTOON: f64 = WATER + 0.9;
const BERM: f64 = -12.0;
const FLOOR: f64 = -40.0;

/// The crest road lies between these along the receding-left family.
const CREST: Range<f64> = 36.0..49.0;
/// The berm half-way down the downstream face.
const BERM_SPAN: Range<f64> = 19.0..30.0;
/// Foot of the downstream face.
const TOE: f64 = 12.0;

const UPRIGHT: Family = Family::Upright;
const RIGHT: Family = Family::RecedingRight(BlockId(1));
const LEFT: Family = Family::RecedingLeft(BlockId(1));
const LANDING_RIGHT: Family = Family::RecedingRight(BlockId(2));
const LANDING_LEFT: Family = Family::RecedingLeft(BlockId(2));

pub(crate) fn demo() -> Demo {
    let view = View::new(0.72, -30.0, -5.0, 46.0, (2390, 1000));
    let dam = Axes::new(DVec3::ZERO, HEADING);
    let landing = Axes::new(dam.at(58.0, 82.0, 0.0), LANDING_HEADING);
    let mut set = Set::new(weather());
    let skins = Skins::new(&mut set, &dam, &landing);
    let stage = Stage { dam, landing, skins };
    stage.dam(&mut set);
    stage.downstream(&mut set);
    stage.buildings(&mut set);
    stage.pontoon(&mut set);
    stage.shore(&mut set);
    let blocks = [("dam", HEADING), ("landing stage", LANDING_HEADING)];
    let mut tracing =
        Tracing::new("reservoir_from_above", "Reservoir from above", view, &blocks, 37);
    tracing.scene.size_book = Some(SIZE_BOOK.into());
    lines(&mut tracing, &mut set, &stage);
    markers(&mut tracing, &mut set, &stage);
    let finish = Finish {
        light: Vec2::new(500.0, -60.0),
        bloom: Vec3::new(0.22, 0.16, 0.08),
        reach: 820.0,
        vignette: 0.34,
    };
    Demo {
        name: "reservoir_from_above",
        view,
        set,
        tracing,
        ground: Vec3::new(0.34, 0.30, 0.29),
        finish,
    }
}

fn weather() -> Weather {
    Weather {
        to_sun: direction(-31.0, 22.0),
        sun: Vec3::new(4.4, 3.1, 1.75),
        sky: Vec3::new(0.13, 0.20, 0.30),
        bounce: Vec3::new(0.12, 0.11, 0.10),
        beta: 0.0016,
        airlight: paint(150, 166, 174),
        glow: paint(255, 200, 130) * 0.42,
        zenith: paint(112, 146, 164),
        cloud: paint(220, 210, 196),
        cover: 0.4,
        mist: halos(),
    }
}

/// Mist over the valley floor, and a halo round each lamp.
fn halos() -> Vec<Mist> {
    let mist = paint(206, 200, 188);
    let dam = Axes::new(DVec3::ZERO, HEADING);
    let halo = |foot: DVec3| Mist {
        centre: foot + DVec3::Y * (LAMP - 0.6),
        radius: 2.6,
        density: 0.10,
        colour: paint(255, 196, 110),
    };
    let banks = [
        Mist {
            centre: DVec3::new(118.0, -36.0, -130.0),
            radius: 26.0,
            density: 0.03,
            colour: mist,
        },
        Mist { centre: DVec3::new(86.0, -40.0, -84.0), radius: 20.0, density: 0.03, colour: mist },
    ];
    lamps(&dam).into_iter().map(halo).chain(banks).collect()
}
