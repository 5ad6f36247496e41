//! The grid on a level, with numbers.

use super::GroundGrid;
use super::grid_lines::{Floor, Stretch, is_strong};
use crate::bounds::Bounds;
use crate::crowd::Crowd;
use crate::graduation::Scale;
use crate::palette::{PLATE, WHITE, family_colour, on_plate};
use crate::pen::{Pen, Type};
use crate::stage::Stage;
use crate::{Anchor, Colour, Drawing, PLATE_PADDING};
use glam::{DVec2, DVec3};
use staffage_scene::{FOOT, Family, LevelId, Side, Unit};
use staffage_solver::seen_edge;

/// Height of the numbers, points.
const NUMBER: f64 = 10.0;
/// How far the numbers keep from the edge, points.
const MARGIN: f64 = 16.0;

/// The words of a grid, which find their places last.
#[derive(Default)]
pub(crate) struct GridWords {
    numbers: Vec<(DVec2, String, Colour)>,
    legend: Option<String>,
}

/// Draws the lines of the grid; returns its words.
pub(crate) fn ground_grid(pen: &mut Pen, stage: &Stage<'_>) -> GridWords {
    let mut words = GridWords::default();
    let Some(grid) = stage.emphasis.aids.grid else { return words };
    let Some((floor, scale)) = floor(stage, grid) else { return words };
    let eye = &stage.assessment.eye.eye;
    let colours = families(grid).map(family_colour);
    let corner = DVec2::new(0.5, stage.scene.frame.half_height());
    let page = stage.visible();
    let page = Bounds { min: page.min.max(-corner), max: page.max.min(corner) };
    let page = page.grown(-stage.view.units(MARGIN));
    let mut drawn: Vec<f64> = Vec::new();
    for line in floor.lines() {
        let stretches = floor.stretches(&line);
        let whole = stretches.iter().map(|s| s.ends[1]).fold(0.0, f64::max);
        let place = |along: f64| floor.place(eye, &line, along);
        let Some([a, b]) = seen_edge(place(-whole), place(whole)) else { continue };
        if pen.visible(a, b).is_none() {
            continue;
        }
        let colour = colours[line.along];
        for stretch in &stretches {
            let [from, to] = stretch.ends.map(place);
            put(pen, from, to, stretch, colour);
            let strong = is_strong(stretch) && line.aside != 0.0;
            if let Some(at) = strong.then(|| number_at(eye.horizon(), page, from, to)).flatten() {
                words.numbers.push((at, number(line.aside.abs(), scale), colour));
            }
        }
        if drawn.last() != Some(&line.spacing) {
            drawn.push(line.spacing);
        }
    }
    words.legend = legend(stage, grid.level, &drawn, scale);
    words
}

/// Where the level lies, in metres or feet where they are known, else with the eye one eye height over
/// it.
fn floor(stage: &Stage<'_>, grid: GroundGrid) -> Option<(Floor, Scale)> {
    let level = stage.scene.level(grid.level)?;
    let readings = &stage.assessment.levels;
    let reading = readings.iter().find(|reading| reading.id == grid.level);
    let known = reading.filter(|r| r.unit == Unit::Metres).and_then(|r| r.clearance);
    let (clearance, unit) = match known {
        Some(measure) => (measure.value, Unit::Metres),
        None => (1.0, Unit::EyeHeights(grid.level)),
    };
    let scale = Scale { unit, units: stage.assessment.units };
    let clearance = if scale.is_in_feet() { clearance / FOOT } else { clearance };
    let up = match level.side {
        Side::Below => -clearance,
        Side::Above => clearance,
    };
    let direction = |family| Some(stage.family(family)?.direction);
    let [left, right] = families(grid);
    let directions = [direction(left)?, direction(right)?];
    let focal = stage.assessment.eye.eye.focal * stage.view.points_per_unit;
    let sound = up != 0.0 && up.is_finite() && focal.is_finite() && focal > 0.0;
    sound.then_some((Floor { up, directions, focal }, scale))
}

fn families(grid: GroundGrid) -> [Family; 2] {
    [Family::RecedingLeft(grid.block), Family::RecedingRight(grid.block)]
}

fn put(pen: &mut Pen, from: DVec3, to: DVec3, stretch: &Stretch, colour: Colour) {
    let Some([a, b]) = seen_edge(from, to) else { return };
    let colour = colour.faded(stretch.strength);
    if is_strong(stretch) {
        pen.edged_line(a, b, 1.0, colour);
    } else {
        pen.line(a, b, 1.0, colour);
    }
}

/// The nearer end of what is seen of a stretch on the page.
fn number_at(horizon: DVec3, page: Bounds, from: DVec3, to: DVec3) -> Option<DVec2> {
    let [a, b] = seen_edge(from, to)?;
    let (a, b) = page.clip_segment(a, b)?;
    let off = |p: DVec2| horizon.dot(p.extend(1.0)).abs();
    Some(if off(a) > off(b) { a } else { b })
}

/// A length of the floor as short as it can be written: "20 m", "1.5 km", "50 ft"; bare in eye heights.
fn number(value: f64, scale: Scale) -> String {
    let plain = |value: f64| {
        let digits = format!("{value:.2}");
        digits.trim_end_matches('0').trim_end_matches('.').to_owned()
    };
    match scale.unit {
        Unit::EyeHeights(_) => plain(value),
        Unit::Metres if scale.is_in_feet() => format!("{} ft", plain(value)),
        Unit::Metres if value >= 1000.0 => format!("{} km", plain(value / 1000.0)),
        Unit::Metres => format!("{} m", plain(value)),
    }
}

/// "grid on ground: 1 m, 5 m, 10 m apart; numbers: from the eye".
fn legend(stage: &Stage<'_>, level: LevelId, drawn: &[f64], scale: Scale) -> Option<String> {
    let spacings: Vec<String> = drawn.iter().map(|spacing| number(*spacing, scale)).collect();
    let name = crate::words::name(&stage.scene.level(level)?.name);
    let measured = match scale.unit {
        Unit::Metres => "",
        Unit::EyeHeights(_) => " in eye heights",
    };
    let apart = spacings.join(", ");
    (!spacings.is_empty())
        .then(|| format!("grid on {name}{measured}: {apart} apart; numbers: from the eye"))
}

impl GridWords {
    /// Writes the words where they cover nothing.
    pub(crate) fn write(
        self,
        pen: &mut Pen,
        stage: &Stage<'_>,
        crowd: &mut Crowd,
        drawing: &mut Drawing,
    ) {
        if let Some(legend) = &self.legend {
            write_legend(pen, stage, crowd, legend);
        }
        for (at, number, colour) in &self.numbers {
            write_number(pen, stage, crowd, (*at, number, *colour));
        }
        drawing.push("grid-words", None, pen.take());
    }
}

/// The legend keeps to the lower edge of the frame, or to the upper one where that is free; it is always
/// shown, for without it the numbers say nothing.
fn write_legend(pen: &mut Pen, stage: &Stage<'_>, crowd: &mut Crowd, legend: &str) {
    let frame = DVec2::new(0.5, stage.scene.frame.half_height());
    let (min, max) = (stage.view.min.max(-frame), stage.view.max.min(frame));
    let inset = stage.view.units(8.0);
    let left = min.x + inset;
    let rows = [1.6, 4.0, 6.4].map(|row| row * inset);
    let places = rows.map(|row| max.y - row).into_iter().chain(rows.map(|row| min.y + row));
    let places: Vec<DVec2> = places.map(|y| DVec2::new(left, y)).collect();
    let free = places.iter().find(|at| crowd.is_free(extent(stage, **at, legend, Anchor::Left)));
    let Some(at) = free.or(places.first()) else { return };
    crowd.take(extent(stage, *at, legend, Anchor::Left));
    put_word(pen, *at, legend, WHITE, Anchor::Left);
}

/// A number, where it covers nothing.
fn write_number(
    pen: &mut Pen,
    stage: &Stage<'_>,
    crowd: &mut Crowd,
    (at, text, colour): (DVec2, &str, Colour),
) {
    let place = extent(stage, at, text, Anchor::Centre);
    if crowd.page().contains(place.centre()) && crowd.is_free(place) {
        crowd.take(place);
        put_word(pen, at, text, colour, Anchor::Centre);
    }
}

/// The room that a word takes on the page, points.
fn extent(stage: &Stage<'_>, at: DVec2, text: &str, anchor: Anchor) -> Bounds {
    let size = DVec2::new(crate::words::width(text, NUMBER), NUMBER + 2.0) + 2.0 * PLATE_PADDING;
    let aside = if anchor == Anchor::Left { 0.5 * size.x } else { 0.0 };
    Bounds::around(stage.view.on_page(at) + DVec2::new(aside, 0.0), 0.5 * size)
}

fn put_word(pen: &mut Pen, at: DVec2, text: &str, colour: Colour, anchor: Anchor) {
    let plate = Some(PLATE.faded(0.8));
    pen.words(
        at,
        DVec2::ZERO,
        anchor,
        Type { text, size: NUMBER, colour: on_plate(colour), plate },
    );
}

#[cfg(test)]
mod tests {
    use super::super::grid_lines::GridLine;
    use super::*;
    use staffage_scene::Units;

    #[test]
    fn numbers_are_as_short_as_they_can_be() {
        let metric = Scale { unit: Unit::Metres, units: Units::Metric };
        assert_eq!(number(20.0, metric), "20 m");
        assert_eq!(number(0.5, metric), "0.5 m");
        assert_eq!(number(1500.0, metric), "1.5 km");
        assert_eq!(number(50.0, Scale { units: Units::Imperial, ..metric }), "50 ft");
        assert_eq!(number(5.0, Scale { unit: Unit::EyeHeights(LevelId(1)), ..metric }), "5");
    }

    #[test]
    fn lines_of_the_grid_know_which_way_they_run() {
        let line = GridLine { along: 0, aside: 3.0, spacing: 1.0 };
        let floor = Floor { up: -1.6, directions: [-DVec3::Z, DVec3::X], focal: 1000.0 };
        let at = floor.place(&staffage_solver::Eye::default(), &line, 6.0);
        assert!((at / at.z - DVec3::new(0.5, 1.6 / 6.0, 1.0)).length() < 1e-12);
    }
}
