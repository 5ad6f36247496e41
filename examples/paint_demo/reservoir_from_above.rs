//! A bird's-eye view of a reservoir and its dam, in three points.

use crate::Demo;
use crate::air::{Mist, Weather, direction};
use crate::chance::Chance;
use crate::colour::paint;
use crate::figure::Figure;
use crate::finish::Finish;
use crate::mesh::Axes;
use crate::set::Set;
use crate::surface::{Grain, Pattern, Surface};
use crate::tracing::{Tracing, stature};
use crate::view::View;
use glam::{DVec3, Vec2, Vec3};
use staffage_scene::{BlockId, Family, LevelId, MarkerId, Span, Stands, Statement, Subject};
use std::ops::Range;

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

/// Mist over the valley floor, and a halo round each lamp on the berm.
fn halos() -> Vec<Mist> {
    let mist = paint(206, 200, 188);
    let dam = Axes::new(DVec3::ZERO, HEADING);
    let lamp = |r: f64| Mist {
        centre: dam.at(r, BERM_SPAN.end - 1.6, BERM + 4.0),
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
    BERM_LAMPS.into_iter().map(lamp).chain(banks).collect()
}

struct Skins {
    road: usize,
    kerb: usize,
    concrete: usize,
    roof: usize,
    wall: usize,
    rock: usize,
    yard: usize,
    lamps: usize,
    water: usize,
    planks: usize,
    steel: usize,
    glass: usize,
    hull: usize,
    cabin: usize,
    lorry: usize,
    container: usize,
    tree: usize,
}

impl Skins {
    fn new(set: &mut Set, dam: &Axes, landing: &Axes) -> Self {
        let m = &mut set.mesh;
        let along = Grain::Along(dam.right);
        let down = Grain::Along((dam.left + DVec3::Y).normalize());
        Self {
            road: m.surface(
                Surface::new(
                    paint(124, 118, 108),
                    Pattern::Slabs { size: 6.0, along: dam.right },
                    along,
                )
                .wet(0.12),
            ),
            kerb: m.surface(Surface::new(paint(186, 176, 156), Pattern::Plain, along)),
            concrete: m.surface(Surface::new(
                paint(150, 142, 128),
                Pattern::Concrete { lift: 4.0 },
                down,
            )),
            roof: m.surface(Surface::new(
                paint(116, 66, 50),
                Pattern::Stripes { width: 0.6, across: dam.right, other: paint(98, 56, 44) },
                down,
            )),
            wall: m.surface(Surface::new(paint(198, 180, 148), Pattern::Plaster, Grain::Plumb)),
            rock: m.surface(Surface::new(paint(62, 66, 46), Pattern::Rough { size: 9.0 }, down)),
            yard: m.surface(Surface::new(paint(74, 72, 64), Pattern::Rough { size: 14.0 }, along)),
            lamps: m.surface(
                Surface::new(paint(255, 210, 140), Pattern::Plain, Grain::Plumb)
                    .glowing(Vec3::new(1.6, 0.95, 0.40)),
            ),
            water: m.surface(
                Surface::new(
                    paint(22, 52, 56),
                    Pattern::Water { ripple: 2.4 },
                    Grain::Along(DVec3::X),
                )
                .wet(0.85),
            ),
            planks: m.surface(Surface::new(
                paint(160, 126, 86),
                Pattern::Stripes { width: 0.35, across: landing.right, other: paint(138, 106, 72) },
                Grain::Along(landing.left),
            )),
            steel: m.surface(Surface::new(paint(84, 92, 92), Pattern::Plain, along)),
            glass: m.surface(Surface::new(paint(40, 52, 58), Pattern::Plain, along).wet(0.4)),
            hull: m.surface(Surface::new(paint(196, 188, 170), Pattern::Plain, along)),
            cabin: m.surface(Surface::new(paint(170, 66, 40), Pattern::Plain, along)),
            lorry: m.surface(Surface::new(paint(196, 130, 36), Pattern::Plain, along)),
            container: m.surface(Surface::new(
                paint(44, 96, 108),
                Pattern::Stripes { width: 0.3, across: landing.right, other: paint(38, 82, 92) },
                Grain::Plumb,
            )),
            tree: m.surface(Surface::new(
                paint(44, 58, 36),
                Pattern::Rough { size: 1.6 },
                Grain::Plumb,
            )),
        }
    }
}

struct Stage {
    dam: Axes,
    landing: Axes,
    skins: Skins,
}

const GATE_HOUSE: (f64, f64) = (124.0, 9.0);
const INTAKE: (f64, f64, f64) = (102.0, 76.0, 15.0);

/// Where lamps burn along the berm.
const BERM_LAMPS: [f64; 7] = [50.0, 66.0, 82.0, 98.0, 114.0, 130.0, 146.0];
/// Where the pipes come down the face, along the dam.
const PIPES: [f64; 3] = [150.0, 156.0, 162.0];
/// Plan of the power house at the toe.
const POWER_HOUSE: (Range<f64>, Range<f64>) = (146.0..202.0, -10.0..5.0);

impl Stage {
    fn dam(&self, set: &mut Set) {
        let (dam, skins) = (&self.dam, &self.skins);
        let m = &mut set.mesh;
        let far = 1500.0;
        let corners = [(-far, 100.0), (far, 100.0), (far, -far), (-far, -far)];
        m.polygon(
            &[
                dam.at(-200.0, 42.0, WATER),
                dam.at(far, 42.0, WATER),
                dam.at(far, far, WATER),
                dam.at(-200.0, far, WATER),
            ],
            skins.water,
        );
        m.polygon(&corners.map(|(x, z)| DVec3::new(x, FLOOR, z)), skins.yard);
        dam.slab(m, -40.0..460.0, CREST.start..CREST.end, WATER - 8.0..0.0, skins.road);
        dam.slab(m, -40.0..460.0, CREST.start..CREST.start + 2.4, 0.0..0.12, skins.kerb);
        dam.slab(m, -40.0..460.0, CREST.end - 2.4..CREST.end, 0.0..0.12, skins.kerb);
        dam.slab(m, -40.0..460.0, CREST.end - 0.35..CREST.end, 0.0..1.0, skins.kerb);
        let rail = paint(70, 70, 68);
        set.railing(
            dam.at(20.0, CREST.start, 0.12),
            dam.at(330.0, CREST.start, 0.12),
            1.05,
            2.5,
            rail,
        );
        for k in 0..22 {
            let foot = dam.at(44.0 + 14.0 * f64::from(k), CREST.start + 0.6, 0.12);
            set.wire(foot, foot + DVec3::Y * 6.5, 0.16, rail);
            set.wire(foot + DVec3::Y * 6.5, foot + DVec3::Y * 6.9 + dam.left * 2.0, 0.13, rail);
        }
        for k in 0..60 {
            let from = 30.0 + 6.0 * f64::from(k);
            let middle = 0.5 * (CREST.start + CREST.end);
            dam.slab(
                &mut set.mesh,
                from..from + 3.0,
                middle - 0.1..middle + 0.1,
                0.0..0.01,
                skins.kerb,
            );
        }
    }

    /// The face down to the valley floor, with its berm, pipes and power house.
    fn downstream(&self, set: &mut Set) {
        let (dam, skins) = (&self.dam, &self.skins);
        let m = &mut set.mesh;
        let slope =
            |m: &mut crate::mesh::Mesh, r: Range<f64>, top: (f64, f64), foot: (f64, f64), skin| {
                m.polygon(
                    &[
                        dam.at(r.start, top.0, top.1),
                        dam.at(r.end, top.0, top.1),
                        dam.at(r.end, foot.0, foot.1),
                        dam.at(r.start, foot.0, foot.1),
                    ],
                    skin,
                );
            };
        slope(m, -40.0..460.0, (CREST.start, 0.0), (BERM_SPAN.end, BERM), skins.concrete);
        slope(m, -40.0..460.0, (BERM_SPAN.start, BERM), (TOE, FLOOR), skins.concrete);
        dam.slab(m, -40.0..460.0, BERM_SPAN, BERM - 2.0..BERM, skins.road);
        for k in 0..20 {
            let r = -20.0 + 16.0 * f64::from(k);
            slope(
                m,
                r..r + 1.6,
                (CREST.start + 0.1, 0.4),
                (BERM_SPAN.end - 0.4, BERM + 0.9),
                skins.kerb,
            );
            slope(
                m,
                r..r + 1.6,
                (BERM_SPAN.start + 0.1, BERM + 0.4),
                (TOE - 0.6, FLOOR + 0.9),
                skins.kerb,
            );
        }
        for r in PIPES {
            let elbow = dam.at(r, BERM_SPAN.start - 1.0, BERM + 2.0);
            m.pipe(elbow, dam.at(r, TOE - 2.0, FLOOR + 2.4), 1.7, skins.steel);
            m.pipe(dam.at(r, BERM_SPAN.end, BERM + 2.0), elbow, 1.7, skins.steel);
        }
        let (r, l) = POWER_HOUSE;
        dam.slab(m, r.clone(), l.clone(), FLOOR..FLOOR + 13.0, skins.wall);
        dam.gable(
            m,
            r.start - 1.5..r.end + 1.5,
            l.start - 1.5..l.end + 1.5,
            FLOOR + 13.0..FLOOR + 17.0,
            skins.roof,
        );
        for k in 0..9 {
            let at = r.start + 2.5 + 6.0 * f64::from(k);
            dam.slab(
                m,
                at..at + 3.0,
                l.end - 0.1..l.end + 0.1,
                FLOOR + 4.0..FLOOR + 11.0,
                skins.lamps,
            );
            dam.slab(
                m,
                r.start - 0.1..r.start,
                l.end - 3.0..l.end - 1.5,
                FLOOR + 4.0..FLOOR + 9.0,
                skins.lamps,
            );
        }
        for r in BERM_LAMPS {
            let foot = dam.at(r, BERM_SPAN.end - 1.0, BERM);
            set.wire(foot, foot + DVec3::Y * 4.5, 0.16, paint(60, 60, 60));
            dam.slab(
                &mut set.mesh,
                r - 0.3..r + 0.3,
                BERM_SPAN.end - 1.3..BERM_SPAN.end - 0.7,
                BERM + 4.5..BERM + 5.0,
                skins.lamps,
            );
        }
        set.mesh.pipe(
            dam.at(-20.0, BERM_SPAN.end - 2.6, BERM + 0.9),
            dam.at(300.0, BERM_SPAN.end - 2.6, BERM + 0.9),
            0.7,
            skins.steel,
        );
        set.railing(
            dam.at(10.0, BERM_SPAN.start, BERM),
            dam.at(300.0, BERM_SPAN.start, BERM),
            1.05,
            3.0,
            paint(70, 70, 68),
        );
    }

    fn buildings(&self, set: &mut Set) {
        let (dam, skins) = (&self.dam, &self.skins);
        let m = &mut set.mesh;
        // The control house close to the eye, and the gate house farther along.
        dam.slab(m, 34.0..45.0, CREST.end..CREST.end + 11.0, WATER - 4.0..4.5, skins.wall);
        dam.gable(m, 33.0..46.0, CREST.end - 1.0..CREST.end + 12.0, 4.5..8.5, skins.roof);
        let (r, height) = GATE_HOUSE;
        dam.slab(m, r..r + 14.0, CREST.end - 2.4..CREST.end + 8.0, WATER - 4.0..height, skins.wall);
        dam.gable(
            m,
            r - 1.0..r + 15.0,
            CREST.end - 3.4..CREST.end + 9.0,
            height..height + 4.5,
            skins.roof,
        );
        for k in 0..4 {
            let at = r + 1.4 + 3.2 * f64::from(k);
            dam.slab(m, at..at + 1.6, CREST.end - 2.5..CREST.end - 2.4, 3.6..6.6, skins.glass);
        }
        let (r, l, height) = INTAKE;
        dam.slab(m, r..r + 11.0, l..l + 11.0, WATER - 4.0..WATER + height, skins.concrete);
        dam.slab(
            m,
            r - 1.0..r + 12.0,
            l - 1.0..l + 12.0,
            WATER + height..WATER + height + 0.9,
            skins.kerb,
        );
        dam.slab(
            m,
            r + 3.0..r + 8.0,
            l + 3.0..l + 8.0,
            WATER + height + 0.9..WATER + height + 5.0,
            skins.wall,
        );
        dam.gable(
            m,
            r + 2.4..r + 8.6,
            l + 2.4..l + 8.6,
            WATER + height + 5.0..WATER + height + 7.5,
            skins.roof,
        );
        dam.slab(m, r + 4.0..r + 7.0, CREST.end + 8.0..l, 0.2..0.9, skins.steel);
        let rail = paint(70, 70, 68);
        for side in [r + 4.0, r + 7.0] {
            set.railing(dam.at(side, CREST.end + 8.0, 0.9), dam.at(side, l, 0.9), 1.05, 2.0, rail);
        }
    }

    fn pontoon(&self, set: &mut Set) {
        let (landing, skins) = (&self.landing, &self.skins);
        let m = &mut set.mesh;
        landing.slab(m, -18.0..34.0, 0.0..7.0, WATER - 0.5..PONTOON, skins.planks);
        landing.slab(m, 10.0..14.0, 7.0..26.0, WATER - 0.5..PONTOON, skins.planks);
        landing.slab(m, -10.0..-6.0, 7.0..20.0, WATER - 0.5..PONTOON, skins.planks);
        landing.slab(m, 24.0..31.0, 1.6..6.4, PONTOON..PONTOON + 3.2, skins.wall);
        landing.gable(m, 23.4..31.6, 1.0..7.0, PONTOON + 3.2..PONTOON + 5.0, skins.roof);
        for k in 0..9 {
            landing.slab(
                m,
                -18.0 + 6.0 * f64::from(k)..-17.5 + 6.0 * f64::from(k),
                -0.3..0.2,
                WATER - 1.0..PONTOON + 1.3,
                skins.steel,
            );
        }
    }

    /// Woods on the near bank, and gulls.
    fn shore(&self, set: &mut Set) {
        let bank = |share: f64, up: f64| {
            let (r, l) = (33.0 - 52.0 * share * share, CREST.end + 78.0 * share);
            self.dam.at(r - 34.0 * up, l - 6.0 * up, WATER + 20.0 * up)
        };
        let lower: Vec<_> = (0..=20).map(|i| bank(f64::from(i) / 20.0, -0.05)).collect();
        let upper: Vec<_> = (0..=20).map(|i| bank(f64::from(i) / 20.0, 1.0)).collect();
        set.mesh.strip(&lower, &upper, self.skins.rock);
        let mut chance = Chance::new(3);
        for _ in 0..150 {
            let foot = bank(chance.unit(), chance.between(0.06, 0.9)) - DVec3::Y * 0.4;
            let height = chance.between(4.0, 9.0);
            for tier in 0..3 {
                let up = 0.22 * height * f64::from(tier);
                let width = height * (0.24 - 0.06 * f64::from(tier));
                set.mesh.cone(foot + DVec3::Y * up, width, 0.05, height * 0.56, self.skins.tree);
            }
        }
        for i in 0..18 {
            let i = f64::from(i);
            let place =
                self.dam.at(62.0 + 4.0 * i, 96.0 + 9.0 * (i * 1.3).sin(), 3.0 + (i * 0.7).sin());
            set.birds.push((place, 1.6));
        }
    }

    /// A boat with its bow at the end of its length along the given axes.
    fn boat(&self, set: &mut Set, axes: &Axes, length: f64, beam: f64, skin: usize) {
        let m = &mut set.mesh;
        let side = beam / 2.0;
        let outline = [
            (0.0, -side * 0.8),
            (length * 0.7, -side),
            (length, 0.0),
            (length * 0.7, side),
            (0.0, side * 0.8),
        ];
        let freeboard = beam * 0.34;
        let deck: Vec<_> = outline.iter().map(|&(r, l)| axes.at(r, l, freeboard)).collect();
        let keel: Vec<_> =
            outline.iter().map(|&(r, l)| axes.at(r * 0.97, l * 0.85, -0.3)).collect();
        let ring =
            |points: &[DVec3]| points.iter().chain(points.first()).copied().collect::<Vec<_>>();
        m.strip(&ring(&keel), &ring(&deck), skin);
        m.polygon(&deck, self.skins.planks);
        for (low, high, skin) in [
            (0.0, 0.22, self.skins.hull),
            (0.22, 0.40, self.skins.glass),
            (0.40, 0.55, self.skins.hull),
        ] {
            axes.slab(
                m,
                length * 0.18..length * 0.55,
                -side * 0.6..side * 0.6,
                freeboard + beam * low..freeboard + beam * high,
                skin,
            );
        }
        axes.slab(
            m,
            length * 0.15..length * 0.58,
            -side * 0.7..side * 0.7,
            freeboard + beam * 0.55..freeboard + beam * 0.62,
            self.skins.cabin,
        );
    }

    /// A lorry whose rear stands at the axes' origin; size 1 is 9.5 m long.
    fn lorry(&self, set: &mut Set, axes: &Axes, size: f64) {
        let m = &mut set.mesh;
        let span = |a: f64, b: f64| a * size..b * size;
        axes.slab(m, span(0.0, 7.2), span(-1.25, 1.25), span(1.0, 3.6), self.skins.hull);
        axes.slab(m, span(7.4, 9.5), span(-1.2, 1.2), span(0.7, 3.0), self.skins.lorry);
        axes.slab(m, span(9.3, 9.52), span(-1.0, 1.0), span(1.7, 2.6), self.skins.glass);
        axes.slab(m, span(0.1, 9.3), span(-0.9, 0.9), span(0.5, 1.0), self.skins.steel);
        for wheel in [1.2, 2.4, 8.0] {
            axes.slab(
                m,
                span(wheel, wheel + 0.9),
                span(-1.2, 1.2),
                span(0.0, 0.9),
                self.skins.glass,
            );
        }
    }
}

fn lines(t: &mut Tracing, set: &mut Set, stage: &Stage) {
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

fn markers(t: &mut Tracing, set: &mut Set, stage: &Stage) {
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
    t.overlap("control house", "launch");
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
        paint(196, 70, 40),
        paint(230, 214, 180),
        paint(50, 70, 90),
        paint(190, 140, 60),
        paint(80, 60, 52),
    ];
    let height = stature(cast) * scale;
    set.figures.push(Figure::any(foot, height, cast, &coats, 0.3));
    t.adult(name, foot, height, level)
}

fn on_the_crest(t: &mut Tracing, set: &mut Set, stage: &Stage, cast: &mut Chance, level: LevelId) {
    let dam = &stage.dam;
    let people = [
        ("walker 1", 46.0, 37.4),
        ("walker 2", 55.0, 45.0),
        ("walker 3", 64.0, 37.6),
        ("walker 4", 80.0, 47.6),
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
    let moored = Axes { origin: landing.at(-16.0, -3.2, WATER), ..*landing };
    let launch = boat(t, "launch", moored, LANDING_RIGHT, 12.0);
    let second = boat(
        t,
        "second launch",
        Axes { origin: landing.at(2.0, -3.4, WATER), ..*landing },
        LANDING_RIGHT,
        12.0,
    );
    let ferry = boat(t, "ferry", Axes { origin: dam.at(66.0, 130.0, WATER), ..*dam }, RIGHT, 26.0);
    t.known(launch, 12.0, 0.03, "harbour launch");
    t.say(second, Statement::SameMake { of: launch, spread: 0.01 });
    t.say(ferry, Statement::Times { of: launch, factor: 26.0 / 12.0, spread: 0.04 });
    let stern = landing.at(-30.0, 6.0, WATER);
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
