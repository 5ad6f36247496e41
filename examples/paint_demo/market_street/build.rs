//! The set: paving, houses, stalls, the footbridge, the town gate.

use super::{BALCONY, BRIDGE, BRIDGE_AT, KERB, LEFT_FRONT, PAVEMENT, RIGHT_FRONT};
use crate::air::direction;
use crate::chance::cell;
use crate::colour::paint;
use crate::mesh::Axes;
use crate::set::Set;
use crate::surface::{Grain, Pattern, Surface};
use glam::{DVec3, Vec3};

pub(super) struct Skins {
    pub(super) setts: usize,
    pub(super) kerb: usize,
    pub(super) walls: [usize; 5],
    pub(super) trim: usize,
    pub(super) roof: usize,
    pub(super) wood: usize,
    pub(super) dark: usize,
    pub(super) pane: usize,
    pub(super) awnings: [usize; 4],
    pub(super) goods: [usize; 5],
    pub(super) far: usize,
    pub(super) flags: [usize; 3],
    pub(super) lantern: usize,
}

impl Skins {
    pub(super) fn new(set: &mut Set, street: &Axes) -> Self {
        let m = &mut set.mesh;
        let along = Grain::Along(street.left);
        let mut wall =
            |r, g, b| m.surface(Surface::new(paint(r, g, b), Pattern::Plaster, Grain::Plumb));
        let walls = [
            wall(206, 168, 118),
            wall(188, 128, 88),
            wall(216, 192, 150),
            wall(164, 148, 122),
            wall(196, 150, 112),
        ];
        let mut awning = |r, g, b, width| {
            let other = paint(224, 208, 176);
            m.surface(Surface::new(
                paint(r, g, b),
                Pattern::Stripes { width, across: street.left, other },
                Grain::Along(street.right),
            ))
        };
        let awnings = [
            awning(168, 56, 40, 0.35),
            awning(40, 104, 108, 0.4),
            awning(196, 140, 48, 0.3),
            awning(112, 60, 52, 9.0),
        ];
        let mut good = |r, g, b| {
            m.surface(Surface::new(paint(r, g, b), Pattern::Rough { size: 0.3 }, Grain::Level))
        };
        let goods = [
            good(190, 92, 30),
            good(112, 130, 52),
            good(150, 40, 34),
            good(196, 170, 110),
            good(90, 60, 44),
        ];
        Self {
            setts: m.surface(
                Surface::new(
                    paint(128, 112, 96),
                    Pattern::Slabs { size: 0.5, along: street.left },
                    along,
                )
                .wet(0.45),
            ),
            kerb: m.surface(Surface::new(
                paint(150, 134, 112),
                Pattern::Slabs { size: 1.2, along: street.left },
                along,
            )),
            walls,
            trim: m.surface(Surface::new(paint(190, 172, 142), Pattern::Plain, Grain::Level)),
            roof: m.surface(Surface::new(
                paint(132, 76, 54),
                Pattern::Stripes { width: 0.25, across: street.left, other: paint(112, 62, 46) },
                Grain::Level,
            )),
            wood: m.surface(Surface::new(paint(92, 62, 42), Pattern::Plain, Grain::Plumb)),
            dark: m.surface(Surface::new(paint(44, 38, 36), Pattern::Plain, Grain::Plumb)),
            pane: m.surface(Surface::new(paint(58, 66, 70), Pattern::Plain, Grain::Plumb).wet(0.3)),
            awnings,
            goods,
            flags: [(190, 70, 44), (226, 196, 130), (60, 120, 124)].map(|(r, g, b)| {
                m.surface(Surface::new(paint(r, g, b), Pattern::Plain, Grain::Plumb))
            }),
            lantern: m.surface(
                Surface::new(paint(236, 206, 150), Pattern::Plain, Grain::Plumb)
                    .glowing(Vec3::new(0.5, 0.36, 0.17)),
            ),
            far: m.surface(Surface::new(paint(176, 156, 128), Pattern::Plain, Grain::Plumb)),
        }
    }
}

pub(super) fn ground(set: &mut Set, street: &Axes, skins: &Skins) {
    let m = &mut set.mesh;
    m.polygon(
        &[
            street.at(-60.0, -8.0, 0.0),
            street.at(60.0, -8.0, 0.0),
            street.at(60.0, 400.0, 0.0),
            street.at(-60.0, 400.0, 0.0),
        ],
        skins.setts,
    );
    street.slab(m, KERB..RIGHT_FRONT, 6.0..74.0, 0.0..PAVEMENT, skins.kerb);
    for step in [0.0, 1.0] {
        street.slab(
            m,
            KERB - 0.35 * (2.0 - step)..KERB,
            14.0..17.0,
            0.0..PAVEMENT * (step + 1.0) / 3.0,
            skins.kerb,
        );
    }
}

/// One house front: its span down the street and its height.
pub(super) struct House {
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) height: f64,
}

pub(super) fn houses(set: &mut Set, street: &Axes, skins: &Skins) -> Vec<House> {
    let right = [
        (4.0, 14.0, 12.4),
        (14.0, 23.5, 14.6),
        (23.5, 31.0, 11.4),
        (31.0, 42.0, 15.6),
        (42.0, 53.0, 12.0),
        (53.0, 66.0, 14.2),
        (66.0, 84.0, 12.6),
    ];
    let left = [
        (-6.0, 9.0, 8.0),
        (9.0, 19.0, 9.6),
        (22.5, 33.0, 8.2),
        (33.0, 44.0, 10.4),
        (48.0, 60.0, 8.8),
        (60.0, 72.0, 11.0),
        (72.0, 86.0, 9.4),
    ];
    for (i, &(from, to, height)) in right.iter().enumerate() {
        house(set, street, skins, i, 1.0, &House { from, to, height });
    }
    for (i, &(from, to, height)) in left.iter().enumerate() {
        house(set, street, skins, i + 2, -1.0, &House { from, to, height });
    }
    right.iter().map(|&(from, to, height)| House { from, to, height }).collect()
}

/// A house with windows, a cornice and a roof; `side` is 1 on the right, -1 on the left.
pub(super) fn house(
    set: &mut Set,
    street: &Axes,
    skins: &Skins,
    number: usize,
    side: f64,
    house: &House,
) {
    let front = if side > 0.0 { RIGHT_FRONT } else { LEFT_FRONT };
    let wall = skins.walls[number % skins.walls.len()];
    let (r, back) = (front, front + side * 11.0);
    let span = |a: f64, b: f64| a.min(b)..a.max(b);
    let (from, to, top) = (house.from, house.to, house.height);
    let m = &mut set.mesh;
    street.slab(m, span(r, back), from..to, 0.0..top, wall);
    street.slab(m, span(r - side * 0.5, back), from - 0.1..to + 0.1, top..top + 0.35, skins.trim);
    street.slab(m, span(r - side * 0.18, r), from..to, 3.55..3.8, skins.trim);
    let middle = 0.5 * (r + back);
    let eave =
        [street.at(r - side * 0.7, from, top + 0.35), street.at(r - side * 0.7, to, top + 0.35)];
    let ridge = [street.at(middle, from, top + 3.2), street.at(middle, to, top + 3.2)];
    m.polygon(&[eave[0], eave[1], ridge[1], ridge[0]], skins.roof);
    m.polygon(&[street.at(r, from, top), street.at(back, from, top), ridge[0]], wall);
    let drain = street.at(r - side * 0.12, to - 0.3, 0.0);
    set.wire(drain, drain + DVec3::Y * top, 0.11, paint(92, 84, 76));
    let bays = ((to - from) / 2.6).floor().max(1.0);
    let pitch = (to - from) / bays;
    for bay in 0..bays as usize {
        let centre = from + pitch * (bay as f64 + 0.5);
        for storey in 1..((top - 0.6) / 3.2) as usize {
            window(set, street, skins, r, side, centre, 3.4 * storey as f64 + 1.1);
        }
        ground_floor(set, street, skins, r, side, centre, number + bay);
    }
}

pub(super) fn window(
    set: &mut Set,
    street: &Axes,
    skins: &Skins,
    r: f64,
    side: f64,
    centre: f64,
    sill: f64,
) {
    let m = &mut set.mesh;
    let out = |d: f64| if side > 0.0 { r - d..r } else { r..r + d };
    street.slab(m, out(0.03), centre - 0.5..centre + 0.5, sill..sill + 1.6, skins.pane);
    street.slab(m, out(0.14), centre - 0.65..centre + 0.65, sill - 0.14..sill, skins.trim);
    street.slab(m, out(0.10), centre - 0.65..centre + 0.65, sill + 1.6..sill + 1.78, skins.trim);
    street.slab(m, out(0.30), centre - 0.5..centre + 0.5, sill - 0.02..sill + 0.16, skins.wood);
    if cell((centre * 7.0) as i64, (sill * 3.0) as i64, 41) > 0.5 {
        street.slab(
            m,
            out(0.36),
            centre - 0.46..centre + 0.46,
            sill + 0.16..sill + 0.42,
            skins.goods[1],
        );
    }
    let open = cell((centre * 10.0) as i64, (sill * 10.0) as i64, 40);
    if open > 0.35 {
        for edge in [centre - 1.05, centre + 0.55] {
            street.slab(m, out(0.09), edge..edge + 0.5, sill..sill + 1.6, skins.wood);
        }
    }
}

/// A shop opening or a door at street height.
pub(super) fn ground_floor(
    set: &mut Set,
    street: &Axes,
    skins: &Skins,
    r: f64,
    side: f64,
    centre: f64,
    number: usize,
) {
    let base = if side > 0.0 { PAVEMENT } else { 0.0 };
    let out = |d: f64| if side > 0.0 { r - d..r } else { r..r + d };
    let m = &mut set.mesh;
    if number % 3 == 1 {
        street.slab(m, out(0.05), centre - 0.5..centre + 0.5, base..base + 2.1, skins.wood);
        street.slab(
            m,
            out(0.12),
            centre - 0.65..centre + 0.65,
            base + 2.1..base + 2.28,
            skins.trim,
        );
    } else {
        street.slab(
            m,
            out(0.04),
            centre - 0.95..centre + 0.95,
            base + 0.1..base + 2.35,
            skins.dark,
        );
        street.slab(
            m,
            out(0.14),
            centre - 1.05..centre + 1.05,
            base + 2.35..base + 2.55,
            skins.wood,
        );
    }
}

pub(super) fn stalls(set: &mut Set, street: &Axes, skins: &Skins) {
    // A gap leaves the steps to the raised pavement free.
    let right = [6.7, 23.4, 28.0, 33.0, 40.0, 46.0, 52.0];
    for (i, l) in right.into_iter().enumerate() {
        stall(set, street, skins, 3.9, 5.9, l, i);
    }
    for (i, l) in [12.5, 17.0, 25.5, 31.0, 41.0, 50.0, 57.0].into_iter().enumerate() {
        stall(set, street, skins, -6.6, -4.6, l, i + 1);
    }
}

/// A market stall from `near` to `far` across the street, three metres long from `l` on.
pub(super) fn stall(
    set: &mut Set,
    street: &Axes,
    skins: &Skins,
    near: f64,
    far: f64,
    l: f64,
    number: usize,
) {
    let wood = paint(86, 58, 40);
    let (front, back) = if near > 0.0 { (near, far) } else { (far, near) };
    let lip = if near > 0.0 { -0.5 } else { 0.5 };
    for end in [l, l + 3.0] {
        set.wire(street.at(front, end, 0.0), street.at(front, end, 2.25), 0.07, wood);
    }
    let m = &mut set.mesh;
    let cloth = skins.awnings[number % skins.awnings.len()];
    let eave = [street.at(front + lip, l - 0.2, 2.12), street.at(front + lip, l + 3.2, 2.12)];
    let head = [street.at(back, l - 0.2, 2.85), street.at(back, l + 3.2, 2.85)];
    m.polygon(&[eave[0], eave[1], head[1], head[0]], cloth);
    m.polygon(&[eave[0], eave[1], eave[1] - DVec3::Y * 0.25, eave[0] - DVec3::Y * 0.25], cloth);
    street.slab(m, near + 0.2..far - 0.5, l..l + 3.0, 0.72..0.82, skins.wood);
    street.slab(m, near + 0.3..far - 0.6, l + 0.1..l + 2.9, 0.0..0.72, skins.goods[4]);
    for heap in 0..5 {
        let at = l + 0.15 + 0.56 * f64::from(heap);
        let good = skins.goods[(number + heap as usize * 2) % 4];
        let high = 0.14 + 0.22 * f64::from(cell(heap.into(), number as i64, 12));
        street.slab(m, near + 0.3..far - 0.7, at..at + 0.48, 0.82..0.82 + high, good);
    }
}

/// The footbridge across the street, on an arch.
pub(super) fn bridge(set: &mut Set, street: &Axes, skins: &Skins) {
    let m = &mut set.mesh;
    street.slab(
        m,
        LEFT_FRONT..RIGHT_FRONT,
        BRIDGE_AT..BRIDGE_AT + 2.6,
        BRIDGE - 0.5..BRIDGE,
        skins.trim,
    );
    // Spandrels: stepped slices under an elliptic soffit.
    let (middle, half) = (0.5 * (LEFT_FRONT + RIGHT_FRONT), 0.5 * (RIGHT_FRONT - LEFT_FRONT));
    const SLICES: i32 = 40;
    let soffit = |x: f64| (BRIDGE - 0.5) - 2.2 * (1.0 - (1.0 - (x / half).powi(2)).max(0.0).sqrt());
    for face in [BRIDGE_AT + 0.1, BRIDGE_AT + 2.5] {
        let at = |i: i32| -half + 2.0 * half * f64::from(i) / f64::from(SLICES);
        let low: Vec<_> =
            (0..=SLICES).map(|i| street.at(middle + at(i), face, soffit(at(i)))).collect();
        let high: Vec<_> =
            (0..=SLICES).map(|i| street.at(middle + at(i), face, BRIDGE - 0.5)).collect();
        m.strip(&low, &high, skins.walls[3]);
    }
    set.railing(
        street.at(LEFT_FRONT, BRIDGE_AT, BRIDGE),
        street.at(RIGHT_FRONT, BRIDGE_AT, BRIDGE),
        1.0,
        1.2,
        paint(60, 48, 40),
    );
    // A balcony on the second house on the right.
    let m = &mut set.mesh;
    street.slab(m, RIGHT_FRONT - 1.3..RIGHT_FRONT, 15.0..22.5, BALCONY - 0.25..BALCONY, skins.trim);
    for at in [15.4, 18.7, 22.0] {
        street.slab(
            m,
            RIGHT_FRONT - 1.0..RIGHT_FRONT,
            at..at + 0.2,
            BALCONY - 0.7..BALCONY - 0.25,
            skins.trim,
        );
    }
    set.railing(
        street.at(RIGHT_FRONT - 1.3, 15.0, BALCONY),
        street.at(RIGHT_FRONT - 1.3, 22.5, BALCONY),
        1.0,
        0.5,
        paint(44, 38, 36),
    );
}

/// The town gate that closes the street, with its tower.
pub(super) const GATE_AT: f64 = 98.0;
/// Left jamb and height of the gate's opening.
pub(super) const GATE_ARCH: (f64, f64) = (-3.0, 8.0);
const TOWER: (f64, f64, f64) = (-1.0, 7.0, 23.0);

pub(super) fn far_gate(set: &mut Set, street: &Axes, skins: &Skins) {
    let m = &mut set.mesh;
    for r in [-14.0..-3.0, 5.0..16.0] {
        street.slab(m, r, GATE_AT..GATE_AT + 6.0, 0.0..14.0, skins.far);
    }
    street.slab(m, GATE_ARCH.0..5.0, GATE_AT..GATE_AT + 6.0, GATE_ARCH.1..14.0, skins.far);
    let (from, to, height) = TOWER;
    street.slab(m, from + 7.0..to + 7.0, GATE_AT - 4.0..GATE_AT + 4.0, 0.0..height, skins.far);
    street.slab(
        m,
        from + 6.4..to + 7.6,
        GATE_AT - 4.6..GATE_AT + 4.6,
        height..height + 1.2,
        skins.far,
    );
    m.cone(street.at(from + 11.0, GATE_AT, height + 1.2), 4.4, 0.2, 7.0, skins.roof);
    for (r, l, height) in [(-16.0, 150.0, 26.0), (22.0, 170.0, 30.0), (-30.0, 210.0, 38.0)] {
        street.slab(m, r..r + 9.0, l..l + 9.0, 0.0..height, skins.far);
        m.cone(street.at(r + 4.5, l + 4.5, height), 5.0, 0.4, 9.0, skins.far);
    }
}

/// Lamp posts, lines of washing, cables, birds.
pub(super) const LAMPS: [f64; 4] = [17.0, 22.6, 31.5, 47.0];
pub(super) const LAMP_LINE: f64 = -3.7;
pub(super) const LAMP: f64 = 4.2;
pub(super) const LARGE_LAMP: usize = 2;

pub(super) fn overhead(set: &mut Set, street: &Axes, skins: &Skins) {
    let iron = paint(40, 36, 36);
    for (i, l) in LAMPS.into_iter().enumerate() {
        let scale = if i == LARGE_LAMP { 1.5 } else { 1.0 };
        let foot = street.at(LAMP_LINE, l, 0.0);
        let at = |y: f64| foot + DVec3::Y * y * scale;
        set.wire(at(0.0), at(0.9), 0.20 * scale, iron);
        set.wire(at(0.9), at(3.5), 0.10 * scale, iron);
        let m = &mut set.mesh;
        m.cone(at(3.46), 0.09 * scale, 0.16 * scale, 0.08 * scale, skins.dark);
        m.cone(at(3.54), 0.12 * scale, 0.21 * scale, 0.42 * scale, skins.lantern);
        m.cone(at(3.96), 0.26 * scale, 0.03 * scale, 0.24 * scale, skins.dark);
    }
    for (l, y, sag) in [(13.0, 7.4, 0.5), (21.0, 7.8, 0.6), (27.0, 7.2, 0.6), (44.0, 8.6, 0.7)] {
        set.cable(
            street.at(LEFT_FRONT, l, y),
            street.at(RIGHT_FRONT, l + 1.0, y + 0.8),
            sag,
            0.03,
            iron,
        );
        for flag in 0..9 {
            let share = 0.1 + 0.09 * f64::from(flag);
            let at = crate::set::hanging(
                street.at(LEFT_FRONT, l, y),
                street.at(RIGHT_FRONT, l + 1.0, y + 0.8),
                sag,
                share,
            );
            let sway =
                street.left * (0.16 * (f64::from(flag) * 2.3 + l).sin()) + street.right * 0.05;
            let half = street.right * 0.26;
            set.mesh.polygon(
                &[at - half, at + half, at - DVec3::Y * 0.8 + sway],
                skins.flags[flag as usize % 3],
            );
        }
    }
    for i in 0..9 {
        let i = f64::from(i);
        set.birds.push((
            direction(-16.0 + 1.7 * i, 13.0 + 1.6 * (i * 2.1).sin()) * (60.0 + 6.0 * i),
            0.7,
        ));
    }
}
