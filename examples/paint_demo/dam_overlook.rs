//! A worm's-eye view up a colossal dam from its service deck, canted, in three points.

use crate::Demo;
use crate::air::{Mist, Weather, direction};
use crate::chance::{Chance, cell, clouded};
use crate::colour::paint;
use crate::figure::Figure;
use crate::finish::Finish;
use crate::mesh::Axes;
use crate::set::{Girder, Set, hanging};
use crate::surface::{Grain, Pattern, Surface};
use crate::tracing::{Tracing, stature};
use crate::view::View;
use glam::{DVec3, Vec2, Vec3};
use staffage_scene::{BlockId, Family, LevelId, MarkerId, Span, Stands, Statement, Subject};

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
const CREST_EDGE: f64 = FACE - 5.0;

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
    lines(&mut tracing, &mut set, &dam);
    markers(&mut tracing, &mut set, &dam);
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
        beta: 0.0016,
        airlight: paint(178, 190, 190),
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
        Mist { centre: dam.at(250.0, 40.0, 150.0), radius: 34.0, density: 0.014, colour: cloud },
        Mist { centre: dam.at(360.0, 36.0, 190.0), radius: 52.0, density: 0.010, colour: cloud },
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

struct Skins {
    concrete: usize,
    dark: usize,
    steel: usize,
    gate: usize,
    deck: usize,
    lamps: usize,
    towers: usize,
    rock: usize,
    water: usize,
    gondola: usize,
    container: usize,
}

impl Skins {
    fn new(set: &mut Set, dam: &Axes) -> Self {
        let m = &mut set.mesh;
        let along = Grain::Along(dam.right);
        Self {
            concrete: m.surface(Surface::new(
                paint(172, 162, 146),
                Pattern::Concrete { lift: 8.0 },
                Grain::Plumb,
            )),
            dark: m.surface(Surface::new(
                paint(104, 98, 92),
                Pattern::Concrete { lift: 3.0 },
                Grain::Level,
            )),
            steel: m.surface(Surface::new(paint(40, 40, 42), Pattern::Plain, Grain::Plumb)),
            gate: m.surface(Surface::new(
                paint(92, 66, 52),
                Pattern::Concrete { lift: 7.0 },
                Grain::Level,
            )),
            deck: m.surface(
                Surface::new(
                    paint(104, 98, 92),
                    Pattern::Slabs { size: 4.0, along: dam.right },
                    along,
                )
                .wet(0.6),
            ),
            lamps: m.surface(
                Surface::new(paint(255, 214, 150), Pattern::Plain, Grain::Plumb)
                    .glowing(Vec3::new(1.5, 0.95, 0.45)),
            ),
            towers: m.surface(Surface::new(
                paint(128, 122, 114),
                Pattern::Panes { bay: 9.0, storey: 14.0 },
                Grain::Plumb,
            )),
            rock: m.surface(Surface::new(
                paint(74, 78, 66),
                Pattern::Rough { size: 220.0 },
                Grain::Along(DVec3::new(0.6, -0.8, 0.0)),
            )),
            water: m.surface(
                Surface::new(
                    paint(46, 60, 60),
                    Pattern::Water { ripple: 3.0 },
                    Grain::Along(DVec3::X),
                )
                .wet(0.8),
            ),
            gondola: m.surface(Surface::new(paint(150, 44, 30), Pattern::Plain, Grain::Level)),
            container: m.surface(Surface::new(
                paint(38, 84, 96),
                Pattern::Stripes { width: 0.3, across: dam.right, other: paint(30, 68, 78) },
                Grain::Plumb,
            )),
        }
    }
}

/// The face with its buttresses, gates and galleries.
fn wall(set: &mut Set, dam: &Axes, skins: &Skins) {
    dam.slab(&mut set.mesh, -80.0..1700.0, FACE..FACE + 40.0, POOL..CREST, skins.concrete);
    for k in -1..32 {
        let r = f64::from(k) * 48.0;
        dam.slab(&mut set.mesh, r..r + 13.0, FACE - 15.0..FACE, POOL..206.0, skins.concrete);
        dam.slab(&mut set.mesh, r - 1.5..r + 14.5, FACE - 17.0..FACE, 200.0..210.0, skins.dark);
        gate(set, dam, skins, r + 13.0, 48.0);
        gate(set, dam, skins, r + 13.0, 124.0);
        dam.slab(&mut set.mesh, r + 13.0..r + 48.0, FACE - 6.0..FACE, 108.0..112.0, skins.dark);
        for window in 0..6i32 {
            let at = r + 15.5 + 5.4 * f64::from(window);
            for (sill, skin) in [(19.0, skins.lamps), (26.0, skins.steel), (33.0, skins.lamps)] {
                let lit = if cell((k * 7 + window).into(), sill as i64, 4) > 0.45 {
                    skin
                } else {
                    skins.steel
                };
                dam.slab(&mut set.mesh, at..at + 1.3, FACE - 0.2..FACE, sill..sill + 2.4, lit);
            }
        }
        for lamp in 0..5 {
            let at = r + 17.0 + 6.5 * f64::from(lamp);
            dam.slab(&mut set.mesh, at..at + 1.6, FACE - 0.3..FACE, 114.0..117.0, skins.lamps);
        }
    }
}

/// A sluice gate recessed between two buttresses: ribs, a lintel and a shadowed head.
fn gate(set: &mut Set, dam: &Axes, skins: &Skins, r: f64, y: f64) {
    let m = &mut set.mesh;
    dam.slab(m, r + 5.0..r + 30.0, FACE - 1.0..FACE, y..y + 44.0, skins.gate);
    for rib in 0..6 {
        let at = y + 3.0 + 7.0 * f64::from(rib);
        dam.slab(m, r + 5.0..r + 30.0, FACE - 3.0..FACE - 1.0, at..at + 1.6, skins.gate);
    }
    for post in [3.0, 29.5] {
        dam.slab(m, r + post..r + post + 2.5, FACE - 4.5..FACE, y - 2.0..y + 48.0, skins.dark);
    }
    dam.slab(m, r + 2.0..r + 33.0, FACE - 6.5..FACE, y + 44.0..y + 50.0, skins.dark);
}

/// Where the gate houses stand along the crest, and their height.
const GATE_HOUSES: [f64; 4] = [372.0, 468.0, 612.0, 852.0];
const GATE_HOUSE: f64 = 30.0;

fn crest(set: &mut Set, dam: &Axes, skins: &Skins) {
    let m = &mut set.mesh;
    dam.slab(m, -80.0..1700.0, CREST_EDGE..FACE, CREST - 9.0..CREST, skins.dark);
    for r in GATE_HOUSES {
        dam.slab(
            m,
            r..r + 16.0,
            CREST_EDGE..FACE + 12.0,
            CREST..CREST + GATE_HOUSE,
            skins.concrete,
        );
        dam.slab(
            m,
            r - 2.0..r + 18.0,
            CREST_EDGE - 2.0..FACE + 14.0,
            CREST + GATE_HOUSE..CREST + GATE_HOUSE + 3.0,
            skins.dark,
        );
    }
}

fn decks(set: &mut Set, dam: &Axes, skins: &Skins) {
    dam.slab(&mut set.mesh, -10.0..190.0, -14.0..9.0, -1.2..0.0, skins.deck);
    dam.slab(&mut set.mesh, -20.0..520.0, GALLERY_EDGE..51.5, GALLERY - 1.4..GALLERY, skins.dark);
    for k in 0..44 {
        let r = -16.0 + 12.0 * f64::from(k);
        dam.slab(
            &mut set.mesh,
            r..r + 1.2,
            GALLERY_EDGE + 1.0..51.0,
            GALLERY - 4.0..GALLERY - 1.4,
            skins.steel,
        );
    }
    dam.slab(
        &mut set.mesh,
        92.0..150.0,
        CRANE_EDGE..52.0,
        CRANE_DECK - 2.5..CRANE_DECK,
        skins.dark,
    );
    for r in [94.0, 112.0, 130.0, 147.0] {
        dam.slab(
            &mut set.mesh,
            r..r + 1.6,
            CRANE_EDGE + 1.0..52.0,
            CRANE_DECK - 7.0..CRANE_DECK - 2.5,
            skins.steel,
        );
        set.wire(
            dam.at(r, CRANE_EDGE + 2.0, CRANE_DECK - 5.0),
            dam.at(r, 51.0, CRANE_DECK - 24.0),
            1.3,
            paint(60, 54, 50),
        );
    }
    let rail = paint(46, 42, 40);
    set.railing(
        dam.at(0.0, GALLERY_EDGE, GALLERY),
        dam.at(260.0, GALLERY_EDGE, GALLERY),
        1.1,
        3.0,
        rail,
    );
    set.railing(
        dam.at(92.0, CRANE_EDGE, CRANE_DECK),
        dam.at(150.0, CRANE_EDGE, CRANE_DECK),
        1.1,
        3.0,
        rail,
    );
    set.railing(
        dam.at(92.0, CRANE_EDGE, CRANE_DECK),
        dam.at(92.0, 52.0, CRANE_DECK),
        1.1,
        3.0,
        rail,
    );
    set.railing(dam.at(20.0, -14.0, 0.0), dam.at(190.0, -14.0, 0.0), 1.1, 2.5, rail);
}

/// Dark things close by: a trestle on the left, the stair head in front of the eye.
fn foreground(set: &mut Set, dam: &Axes, skins: &Skins) {
    let m = &mut set.mesh;
    for (r, l) in [(7.0, 19.0), (13.5, 19.0)] {
        dam.slab(m, r..r + 1.3, l..l + 1.3, -1.0..60.0, skins.steel);
    }
    dam.slab(m, 12.0..17.0, 1.0..7.5, STAIR_HEAD - 0.35..STAIR_HEAD, skins.steel);
    for (r, l) in [(12.1, 1.1), (12.1, 7.0), (16.6, 1.1), (16.6, 7.0)] {
        dam.slab(m, r..r + 0.3, l..l + 0.3, -1.0..STAIR_HEAD, skins.steel);
    }
    let bar = paint(30, 30, 32);
    for k in 0..6 {
        let y = 4.0 + 7.0 * f64::from(k);
        set.wire(dam.at(8.3, 19.5, y), dam.at(13.5, 19.5, y + 7.0), 0.26, bar);
        set.wire(dam.at(13.5, 19.5, y), dam.at(8.3, 19.5, y + 7.0), 0.26, bar);
        set.wire(dam.at(8.3, 19.5, y), dam.at(13.5, 19.5, y), 0.32, bar);
    }
    set.railing(dam.at(12.0, 1.0, STAIR_HEAD), dam.at(12.0, 7.5, STAIR_HEAD), 1.05, 1.3, bar);
    set.railing(dam.at(12.0, 1.0, STAIR_HEAD), dam.at(17.0, 1.0, STAIR_HEAD), 1.05, 1.3, bar);
}

const MAST: (f64, f64) = (118.0, 33.0);
const MAST_HEIGHT: f64 = 23.0;

fn crane(set: &mut Set, dam: &Axes, skins: &Skins) {
    let paint = paint(150, 88, 30);
    let (r, l) = MAST;
    let top = CRANE_DECK + MAST_HEIGHT;
    let (back, tip) = (dam.at(r, l + 14.0, top), dam.at(r, l - 42.0, top));
    let (head, peak) = (dam.at(r, l, top), dam.at(r, l, top + 9.0));
    let mast = Girder {
        from: dam.at(r, l, CRANE_DECK),
        to: head,
        side: dam.right * 1.1,
        up: dam.left * 1.1,
        bays: 12,
        bar: 0.36,
        albedo: paint,
    };
    set.lattice(&mast);
    set.lattice(&Girder {
        from: back,
        to: tip,
        side: dam.right * 0.9,
        up: DVec3::Y * 0.9,
        bays: 22,
        ..mast
    });
    set.lattice(&Girder {
        from: head,
        to: peak,
        side: dam.right * 0.7,
        up: dam.left * 0.7,
        bays: 3,
        ..mast
    });
    for hold in [dam.at(r, l - 34.0, top + 0.9), back + DVec3::Y * 0.9] {
        set.wire(peak, hold, 0.22, paint);
    }
    let m = &mut set.mesh;
    dam.slab(m, r - 1.6..r + 1.6, l + 9.0..l + 13.5, top - 4.0..top - 0.8, skins.dark);
    dam.slab(m, r + 1.2..r + 3.4, l - 2.8..l - 0.6, top - 3.4..top - 0.6, skins.steel);
    let hook = dam.at(r, LOAD.0, top - 1.0);
    for corner in [-3.0, 3.0] {
        set.wire(hook - DVec3::Y * 22.0, dam.at(r, LOAD.0 + corner, LOAD.1 + 2.6), 0.16, paint);
    }
    set.wire(hook, hook - DVec3::Y * 22.0, 0.2, paint);
    dam.slab(
        &mut set.mesh,
        r - 1.2..r + 1.2,
        LOAD.0 - 3.03..LOAD.0 + 3.03,
        LOAD.1..LOAD.1 + 2.59,
        skins.container,
    );
}

/// The container on the hook: along left, and height of its floor.
const LOAD: (f64, f64) = (-4.0, 44.0);

/// The gondola: along right, near and far end along left, height of its floor.
const GONDOLA: (f64, f64, f64, f64) = (78.0, -5.0, 7.0, 24.0);

fn cableway(set: &mut Set, dam: &Axes, skins: &Skins) {
    let (r, near, far, floor) = GONDOLA;
    let black = paint(30, 28, 28);
    let ends = [dam.at(r, 51.0, 50.0), dam.at(r, -120.0, 46.0)];
    let bogie = hanging(ends[0], ends[1], 14.0, (51.0 - 0.5 * (near + far)) / 171.0);
    for side in [-0.8, 0.8] {
        let off = dam.right * side;
        set.cable(ends[0] + off, ends[1] + off, 14.0, 0.22, black);
    }
    for l in [near + 2.0, far - 2.0] {
        for side in [-1.5, 1.5] {
            set.wire(dam.at(r + side, l, floor + 4.2), bogie, 0.2, black);
        }
    }
    let m = &mut set.mesh;
    dam.slab(m, r - 1.9..r + 1.9, near..far, floor..floor + 1.5, skins.gondola);
    dam.slab(m, r - 1.7..r + 1.7, near + 0.2..far - 0.2, floor + 1.5..floor + 3.3, skins.steel);
    dam.slab(m, r - 2.0..r + 2.0, near - 0.1..far + 0.1, floor + 3.3..floor + 4.2, skins.gondola);
    let panes = 6;
    for pane in 0..panes {
        let l = near + 0.6 + f64::from(pane) * (far - near - 1.0) / f64::from(panes);
        dam.slab(m, r - 1.78..r - 1.7, l..l + 1.3, floor + 1.7..floor + 3.1, skins.lamps);
    }
}

/// The intake towers: place along the block's axes and height over the pool.
const TOWERS: [(f64, f64, f64); 2] = [(330.0, -152.0, 165.0), (1150.0, -420.0, 190.0)];
const TOWER_SIDE: f64 = 46.0;

fn tower_axes() -> Axes {
    Axes::new(direction(30.0, 0.0) * 330.0, TOWERS_HEADING)
}

fn valley(set: &mut Set, skins: &Skins) {
    let m = &mut set.mesh;
    let far = 9000.0;
    let corners = [(-far, 300.0), (far, 300.0), (far, -far), (-far, -far)];
    m.polygon(&corners.map(|(x, z)| DVec3::new(x, POOL, z)), skins.water);
    for (distance, height, seed) in [(2100.0, 260.0, 1u64), (3400.0, 520.0, 2), (5600.0, 1000.0, 3)]
    {
        let place =
            |i: i32, y: f64| direction(-10.0 + 0.5 * f64::from(i), 0.0) * distance + DVec3::Y * y;
        let ridge = |i: i32| {
            height * (0.15 + f64::from(clouded(f64::from(i) / 17.0, distance / 800.0, 5, seed)))
        };
        let lower: Vec<_> = (0..160).map(|i| place(i, POOL)).collect();
        let upper: Vec<_> = (0..160).map(|i| place(i, ridge(i))).collect();
        m.strip(&lower, &upper, skins.rock);
    }
    let axes = tower_axes();
    for (r, l, height) in TOWERS {
        let s = TOWER_SIDE;
        axes.slab(m, r..r + s, l..l + s, POOL..POOL + height, skins.towers);
        axes.slab(
            m,
            r - 3.0..r + s + 3.0,
            l - 3.0..l + s + 3.0,
            POOL + height..POOL + height + 9.0,
            skins.towers,
        );
        axes.slab(
            m,
            r + 12.0..r + 34.0,
            l + 12.0..l + 34.0,
            POOL + height + 9.0..POOL + height + 30.0,
            skins.towers,
        );
    }
    for i in 0..14 {
        let i = f64::from(i);
        set.birds.push((
            direction(28.0 + 1.1 * i, 14.0 + 3.0 * (i * 1.7).sin()) * (150.0 + 9.0 * i),
            1.6,
        ));
    }
}

fn lines(t: &mut Tracing, set: &mut Set, dam: &Axes) {
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
    t.line(RIGHT, dam.at(330.0, CREST_EDGE, CREST - 9.0), dam.at(980.0, CREST_EDGE, CREST - 9.0));
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

/// Puts people and goods on the levels and marks them.
fn markers(t: &mut Tracing, set: &mut Set, dam: &Axes) {
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
            paint(176, 120, 40),
            paint(60, 66, 74),
            paint(92, 60, 44),
            paint(120, 112, 96),
            paint(40, 52, 64),
        ];
        let foot = self.dam.at(at.0, at.1, at.2);
        set.figures.push(Figure::any(foot, height, &mut self.chance, &coats, 0.1));
        t.adult(name, foot, height, level)
    }
}

fn gallery_hands(t: &mut Tracing, set: &mut Set, cast: &mut Cast, level: LevelId) {
    let names = [
        ("gallery hand 1", 23.0),
        ("gallery hand 2", 29.0),
        ("gallery hand 3", 37.5),
        ("gallery hand 4", 49.0),
        ("gallery hand 5", 66.0),
    ];
    for (name, r) in names {
        let giant = name == "gallery hand 3";
        let height = stature(&mut cast.chance) * if giant { 1.6 } else { 1.0 };
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
    let dam = cast.dam;
    for (name, r) in [
        ("crane hand 1", 96.0),
        ("crane hand 2", 101.0),
        ("crane hand 3", 124.5),
        ("crane hand 4", 141.0),
    ] {
        let height = stature(&mut cast.chance);
        cast.adult(t, set, name, (r, CRANE_EDGE + 0.2, CRANE_DECK), height, level);
    }
    let mut store = |name: &str, r: f64, scale: f64| {
        let skin = set.mesh.surfaces.len() - 1;
        let (long, wide, high) = (6.06 * scale, 2.44 * scale, 2.59 * scale);
        dam.slab(
            &mut set.mesh,
            r..r + long,
            CRANE_EDGE + 0.3..CRANE_EDGE + 0.3 + wide,
            CRANE_DECK..CRANE_DECK + high,
            skin,
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
    let over = set.figures.len() - 5;
    set.figures[over].careless = true;
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
    t.known(first, TOWER_SIDE + 6.0, 0.05, "intake tower, size book");
    t.say(second, Statement::SameMake { of: first, spread: 0.02 });
    t.overlap("gondola", "near tower crown");
}
