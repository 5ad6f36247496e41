//! The set: the dam, what stands on it, the valley beyond.

use super::{
    CRANE_DECK, CRANE_EDGE, CREST, CREST_EDGE, FACE, GALLERY, GALLERY_EDGE, POOL, STAIR_HEAD,
    TOWERS_HEADING,
};
use crate::air::direction;
use crate::chance::{cell, clouded};
use crate::colour::paint;
use crate::mesh::Axes;
use crate::set::{Girder, Set, hanging};
use crate::surface::{Grain, Pattern, Surface};
use glam::{DVec3, Vec3};

pub(super) struct Skins {
    pub(super) concrete: usize,
    pub(super) dark: usize,
    pub(super) steel: usize,
    pub(super) gate: usize,
    pub(super) deck: usize,
    pub(super) lamps: usize,
    pub(super) house: usize,
    pub(super) towers: usize,
    pub(super) rock: usize,
    pub(super) water: usize,
    pub(super) gondola: usize,
    pub(super) container: usize,
}

impl Skins {
    pub(super) fn new(set: &mut Set, dam: &Axes) -> Self {
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
            house: m.surface(Surface::new(
                paint(84, 62, 50),
                Pattern::Panes { bay: 4.0, storey: 7.5 },
                Grain::Plumb,
            )),
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
pub(super) fn wall(set: &mut Set, dam: &Axes, skins: &Skins) {
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
pub(super) fn gate(set: &mut Set, dam: &Axes, skins: &Skins, r: f64, y: f64) {
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
pub(super) const GATE_HOUSES: [f64; 4] = [400.0, 460.0, 540.0, 650.0];
pub(super) const GATE_HOUSE: f64 = 30.0;

pub(super) fn crest(set: &mut Set, dam: &Axes, skins: &Skins) {
    let m = &mut set.mesh;
    dam.slab(m, -80.0..1700.0, CREST_EDGE..FACE, CREST - 9.0..CREST, skins.dark);
    for r in GATE_HOUSES {
        dam.slab(m, r..r + 16.0, CREST_EDGE..FACE + 12.0, CREST..CREST + GATE_HOUSE, skins.house);
        dam.slab(
            m,
            r - 2.0..r + 18.0,
            CREST_EDGE - 2.0..FACE + 14.0,
            CREST + GATE_HOUSE..CREST + GATE_HOUSE + 3.0,
            skins.steel,
        );
    }
}

pub(super) fn decks(set: &mut Set, dam: &Axes, skins: &Skins) {
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
pub(super) fn foreground(set: &mut Set, dam: &Axes, skins: &Skins) {
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

pub(super) const MAST: (f64, f64) = (118.0, 31.2);
pub(super) const MAST_HEIGHT: f64 = 23.0;

pub(super) fn crane(set: &mut Set, dam: &Axes, skins: &Skins) {
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
pub(super) const LOAD: (f64, f64) = (-4.0, 44.0);

/// The gondola: along right, near and far end along left, height of its floor.
pub(super) const GONDOLA: (f64, f64, f64, f64) = (78.0, -5.0, 7.0, 24.0);

pub(super) fn cableway(set: &mut Set, dam: &Axes, skins: &Skins) {
    let (r, near, far, floor) = GONDOLA;
    let black = paint(30, 28, 28);
    let ends = [dam.at(r, 51.0, 40.0), dam.at(r, -120.0, 60.0)];
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
pub(super) const TOWERS: [(f64, f64, f64); 2] = [(330.0, -152.0, 165.0), (1150.0, -532.0, 190.0)];
pub(super) const TOWER_SIDE: f64 = 46.0;

pub(super) fn tower_axes() -> Axes {
    Axes::new(direction(30.0, 0.0) * 330.0, TOWERS_HEADING)
}

pub(super) fn valley(set: &mut Set, skins: &Skins) {
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
