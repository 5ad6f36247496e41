//! Blocking in: strokes from large to small over what the eye sees, each pass correcting what
//! the one before left too far off.

use crate::canvas::{Canvas, Stroke};
use crate::chance::{Chance, noise};
use crate::sight::Sight;
use glam::{Vec2, Vec3};

/// One pass of the brush over the whole canvas.
struct Pass {
    /// Half width of the brush, pixels.
    radius: f32,
    /// Longest stroke, in brush radii.
    length: f32,
    /// Strokes are laid where the canvas is further off than this (display values).
    slack: f32,
    /// How far colour may change along a stroke before it is lifted.
    hold: f32,
    opacity: f32,
    dry: f32,
    /// Cover that spills over the edge of a face: lost edges.
    spill: f32,
    /// Spread of value and of hue from stroke to stroke.
    wander: f32,
}

const PASSES: [Pass; 6] = [
    Pass {
        radius: 52.0,
        length: 5.0,
        slack: 0.0,
        hold: 0.20,
        opacity: 0.95,
        dry: 0.10,
        spill: 0.55,
        wander: 0.030,
    },
    Pass {
        radius: 27.0,
        length: 6.0,
        slack: 0.022,
        hold: 0.12,
        opacity: 0.92,
        dry: 0.28,
        spill: 0.22,
        wander: 0.026,
    },
    Pass {
        radius: 13.0,
        length: 7.0,
        slack: 0.030,
        hold: 0.09,
        opacity: 0.90,
        dry: 0.34,
        spill: 0.12,
        wander: 0.022,
    },
    Pass {
        radius: 6.5,
        length: 7.0,
        slack: 0.034,
        hold: 0.08,
        opacity: 0.92,
        dry: 0.30,
        spill: 0.08,
        wander: 0.018,
    },
    Pass {
        radius: 3.2,
        length: 7.0,
        slack: 0.040,
        hold: 0.08,
        opacity: 0.92,
        dry: 0.22,
        spill: 0.06,
        wander: 0.014,
    },
    Pass {
        radius: 1.6,
        length: 7.0,
        slack: 0.050,
        hold: 0.09,
        opacity: 0.92,
        dry: 0.0,
        spill: 0.05,
        wander: 0.010,
    },
];

/// Paints a sight on a toned ground.
pub(crate) fn block_in(sight: &Sight, ground: Vec3, seed: u64) -> Canvas {
    let mut canvas = Canvas::toned(sight.width, sight.height, ground);
    let mut chance = Chance::new(seed);
    for pass in &PASSES {
        lay(&mut canvas, sight, pass, &mut chance);
    }
    soften_edges(&mut canvas, sight);
    canvas
}

fn lay(canvas: &mut Canvas, sight: &Sight, pass: &Pass, chance: &mut Chance) {
    let pitch = pass.radius * 0.8;
    let (across, down) =
        ((sight.width as f32 / pitch) as usize + 1, (sight.height as f32 / pitch) as usize + 1);
    let mut places: Vec<(u32, u32)> =
        (0..down as u32).flat_map(|j| (0..across as u32).map(move |i| (i, j))).collect();
    chance.shuffle(&mut places);
    for (i, j) in places {
        let jog = Vec2::new(chance.unit() as f32, chance.unit() as f32);
        let at = (Vec2::new(i as f32, j as f32) + jog) * pitch;
        if let Some(stroke) = plan(canvas, sight, pass, at, chance) {
            let face = sight.at(at.x, at.y).map_or(0, |spot| spot.face);
            let spill = pass.spill * chance.unit() as f32;
            canvas
                .stroke(&stroke, |index| if sight.spots[index].face == face { 1.0 } else { spill });
        }
    }
}

/// Decides on a stroke at a place, or that none is needed.
fn plan(
    canvas: &Canvas,
    sight: &Sight,
    pass: &Pass,
    at: Vec2,
    chance: &mut Chance,
) -> Option<Stroke> {
    let spot = *sight.at(at.x, at.y)?;
    let sway = 0.35 * (noise(f64::from(at.x) / 170.0, f64::from(at.y) / 130.0, 77) - 0.5)
        + 0.10 * chance.normal() as f32;
    let along = spot.flow.rotate(Vec2::from_angle(sway));
    let reach = pass.radius * pass.length * chance.between(0.55, 1.0) as f32;
    let ahead = run(sight, pass, at, along, reach);
    let back = run(sight, pass, at, -along, reach);
    let (colour, off) = footprint(canvas, sight, spot.face, at, along, back, ahead)?;
    if off < pass.slack {
        return None;
    }
    let value = 1.0 + pass.wander * chance.normal() as f32;
    let warmth = pass.wander * 0.55 * chance.normal() as f32;
    let colour = colour * value + colour * Vec3::new(warmth, 0.0, -warmth);
    Some(Stroke {
        centre: at,
        along,
        back,
        ahead,
        radius: pass.radius * chance.between(0.7, 1.1) as f32,
        bend: 0.06 * chance.normal() as f32,
        colour,
        opacity: pass.opacity,
        dry: pass.dry * chance.unit() as f32 * 1.6,
        seed: (chance.unit() * 1e9) as u64,
    })
}

/// How far a stroke may run before it leaves its face or its colour.
fn run(sight: &Sight, pass: &Pass, at: Vec2, along: Vec2, reach: f32) -> f32 {
    let Some(from) = sight.at(at.x, at.y) else { return 0.0 };
    let pace = (pass.radius * 0.5).max(1.0);
    let mut gone = 0.0;
    while gone < reach {
        let next = at + along * (gone + pace);
        match sight.at(next.x, next.y) {
            Some(spot)
                if spot.face == from.face && off_by(spot.colour, from.colour) < pass.hold =>
            {
                gone += pace;
            }
            _ => break,
        }
    }
    gone.max(pass.radius * 0.5)
}

/// Mean colour under a stroke, on its own face, and how far the canvas is from it.
fn footprint(
    canvas: &Canvas,
    sight: &Sight,
    face: u32,
    at: Vec2,
    along: Vec2,
    back: f32,
    ahead: f32,
) -> Option<(Vec3, f32)> {
    const SAMPLES: i32 = 6;
    let (mut colour, mut off, mut count) = (Vec3::ZERO, 0.0, 0.0);
    for i in 0..=SAMPLES {
        let place = at + along * (-back + (back + ahead) * i as f32 / SAMPLES as f32);
        let (Some(spot), Some(index)) =
            (sight.at(place.x, place.y), canvas.index(place.x, place.y))
        else {
            continue;
        };
        if spot.face == face {
            colour += spot.colour;
            off += off_by(spot.colour, canvas.paint[index]);
            count += 1.0;
        }
    }
    (count > 0.0).then(|| (colour / count, off / count))
}

fn off_by(a: Vec3, b: Vec3) -> f32 {
    (a - b).abs().dot(Vec3::new(0.3, 0.5, 0.2))
}

/// Takes the stair steps off the edges between faces.
fn soften_edges(canvas: &mut Canvas, sight: &Sight) {
    let (w, h) = (canvas.width, canvas.height);
    for _ in 0..2 {
        let before = canvas.paint.clone();
        for y in 1..h - 1 {
            for x in 1..w - 1 {
                let i = y * w + x;
                let around = [i - 1, i + 1, i - w, i + w];
                if around.iter().any(|&n| sight.spots[n].face != sight.spots[i].face) {
                    let corners = [i - w - 1, i - w + 1, i + w - 1, i + w + 1];
                    let sum = |places: [usize; 4]| places.iter().map(|&n| before[n]).sum::<Vec3>();
                    canvas.paint[i] = (before[i] * 4.0 + sum(around) * 2.0 + sum(corners)) / 16.0;
                }
            }
        }
    }
}
