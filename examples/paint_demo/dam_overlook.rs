//! A worm's-eye view up a colossal dam from its service deck, canted, in three points.

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
use build::{Skins, cableway, crane, crest, decks, foreground, valley, wall};
use glam::{DVec3, Vec2, Vec3};
use staffage_scene::{BlockId, Family};
use trace::{lines, markers};

const HEADING: f64 = 30.0;
const TOWERS_HEADING: f64 = 14.0;

/// Heights of the levels, metres over the service deck.
const STAIR_HEAD: f64 = 3.3;
const GALLERY: f64 = 15.0;
const CRANE_DECK: f64 = 50.0;
const CREST: f64 = 250.0;
const POOL: f64 = -16.0;

/// The dam's face, metres to the left of the eye along the receding-left family.
const FACE: f64 = 66.0;
/// Front edges of the gallery, of the crane deck and of the crest.
const GALLERY_EDGE: f64 = 41.0;
const CRANE_EDGE: f64 = 30.0;
const CREST_EDGE: f64 = FACE - 20.0;

const UPRIGHT: Family = Family::Upright;
const RIGHT: Family = Family::RecedingRight(BlockId(1));
const LEFT: Family = Family::RecedingLeft(BlockId(1));
const TOWER_RIGHT: Family = Family::RecedingRight(BlockId(2));
const TOWER_LEFT: Family = Family::RecedingLeft(BlockId(2));

pub(crate) fn demo() -> Demo {
    let view = View::new(0.6, 22.0, 9.0, 2.2, (2350, 1000));
    let dam = Axes::new(DVec3::ZERO, HEADING);
    let mut set = Set::new(weather());
    let skins = Skins::new(&mut set, &dam);
    wall(&mut set, &dam, &skins);
    crest(&mut set, &dam, &skins);
    decks(&mut set, &dam, &skins);
    foreground(&mut set, &dam, &skins);
    crane(&mut set, &dam, &skins);
    cableway(&mut set, &dam, &skins);
    valley(&mut set, &skins);
    let blocks = [("dam", HEADING), ("intake towers", TOWERS_HEADING)];
    let mut tracing = Tracing::new("dam_overlook", "Overlook under the dam", view, &blocks, 11);
    tracing.scene.size_book = Some(SIZE_BOOK.into());
    lines(&mut tracing, &mut set, &dam);
    markers(&mut tracing, &mut set, &dam, skins.container);
    let finish = Finish {
        light: Vec2::new(2200.0, 420.0),
        bloom: Vec3::new(0.24, 0.18, 0.10),
        reach: 760.0,
        vignette: 0.34,
    };
    Demo { name: "dam_overlook", view, set, tracing, ground: Vec3::new(0.36, 0.31, 0.27), finish }
}

fn weather() -> Weather {
    Weather {
        to_sun: direction(62.0, 32.0),
        sun: Vec3::new(3.9, 2.9, 1.75),
        sky: Vec3::new(0.21, 0.28, 0.36),
        bounce: Vec3::new(0.15, 0.14, 0.12),
        beta: 0.0012,
        airlight: paint(186, 196, 194),
        glow: paint(255, 210, 142) * 0.70,
        zenith: paint(78, 126, 156),
        cloud: paint(188, 186, 178),
        cover: 0.36,
        mist: spray(),
    }
}

/// Water thrown from an outlet far along the face, and what drifts up from its foot.
fn spray() -> Vec<Mist> {
    let (colour, cloud) = (paint(236, 226, 206), paint(196, 194, 188));
    let dam = Axes::new(DVec3::ZERO, HEADING);
    let mut banks = vec![
        Mist { centre: dam.at(330.0, 30.0, 0.0), radius: 70.0, density: 0.014, colour },
        Mist { centre: dam.at(190.0, 44.0, 112.0), radius: 26.0, density: 0.012, colour: cloud },
        Mist { centre: dam.at(470.0, 26.0, 40.0), radius: 90.0, density: 0.009, colour },
    ];
    for jet in [265.0, 313.0] {
        for step in 0..9 {
            let t = f64::from(step) / 8.0;
            let centre = dam.at(jet + 6.0 * t, FACE - 16.0 - 30.0 * t, 60.0 - 70.0 * t * t);
            banks.push(Mist { centre, radius: 3.0 + 8.0 * t, density: 0.10 - 0.06 * t, colour });
        }
    }
    banks
}
