//! The set: the dam and its face, buildings, the landing stage, the bank, boats and lorries.

use super::{BERM, BERM_SPAN, CREST, FLOOR, PONTOON, TOE, WATER};
use crate::chance::Chance;
use crate::colour::paint;
use crate::mesh::Axes;
use crate::set::Set;
use crate::surface::{Grain, Pattern, Surface};
use glam::{DVec3, Vec3};
use std::ops::Range;

pub(super) struct Skins {
    pub(super) road: usize,
    pub(super) kerb: usize,
    pub(super) concrete: usize,
    pub(super) roof: usize,
    pub(super) wall: usize,
    pub(super) rock: usize,
    pub(super) yard: usize,
    pub(super) lamps: usize,
    pub(super) water: usize,
    pub(super) planks: usize,
    pub(super) steel: usize,
    pub(super) glass: usize,
    pub(super) hull: usize,
    pub(super) cabin: usize,
    pub(super) lorry: usize,
    pub(super) container: usize,
    pub(super) tree: usize,
}

impl Skins {
    pub(super) fn new(set: &mut Set, dam: &Axes, landing: &Axes) -> Self {
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
            hull: m.surface(Surface::new(paint(224, 216, 198), Pattern::Plain, along)),
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

pub(super) struct Stage {
    pub(super) dam: Axes,
    pub(super) landing: Axes,
    pub(super) skins: Skins,
}

pub(super) const GATE_HOUSE: (f64, f64) = (124.0, 9.0);
pub(super) const INTAKE: (f64, f64, f64) = (102.0, 76.0, 15.0);

/// Feet of the lamps that burn in the dam's shadow: along the berm, and in the yard.
pub(super) fn lamps(dam: &Axes) -> Vec<DVec3> {
    let berm = (0..7).map(|k| dam.at(50.0 + 16.0 * f64::from(k), BERM_SPAN.end - 1.0, BERM));
    let yard = [(124.0, 11.0), (133.0, 10.0), (143.0, 8.0)].map(|(r, l)| dam.at(r, l, FLOOR));
    berm.chain(yard).collect()
}

/// Where the pipes come down the face, along the dam.
pub(super) const PIPES: [f64; 3] = [150.0, 156.0, 162.0];
/// Height of a lamp over its foot.
pub(super) const LAMP: f64 = 4.5;
/// Plan of the power house at the toe.
pub(super) const POWER_HOUSE: (Range<f64>, Range<f64>) = (146.0..202.0, -10.0..5.0);

impl Stage {
    pub(super) fn dam(&self, set: &mut Set) {
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
    pub(super) fn downstream(&self, set: &mut Set) {
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
        for foot in lamps(dam) {
            set.wire(foot, foot + DVec3::Y * LAMP, 0.16, paint(60, 60, 60));
            set.mesh.cone(foot + DVec3::Y * LAMP, 0.35, 0.2, 0.45, skins.lamps);
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

    pub(super) fn buildings(&self, set: &mut Set) {
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

    pub(super) fn pontoon(&self, set: &mut Set) {
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
    pub(super) fn shore(&self, set: &mut Set) {
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
    pub(super) fn boat(&self, set: &mut Set, axes: &Axes, length: f64, beam: f64, skin: usize) {
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
    pub(super) fn lorry(&self, set: &mut Set, axes: &Axes, size: f64) {
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
