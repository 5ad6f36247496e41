//! The eye and the levels: each quantity, how sure it is, and where it comes from.

use super::Sheet;
use crate::film_backs::{FILM_BACKS, millimetres};
use maud::{Markup, html};
use staffage_scene::{
    Level, LevelReading, PrincipalPoint, Side, Subject, cant_side, pitch_side, subject_name,
};
use staffage_solver::{Quantity, Source};

/// Standard deviations in half of a 95 % interval.
const HALF_INTERVAL: f64 = 1.96;

pub(super) fn eye(sheet: &Sheet<'_>) -> Markup {
    html! {
        section.eye {
            h2 { "The eye: how the picture is looked at" }
            div.two {
                div { (quantities(sheet)) (levels(sheet)) }
                div { (lenses(sheet)) }
            }
        }
    }
}

/// Neither up nor down.
const LEVEL: &str = "level";

/// One quantity: its name, its value, what it is known to, and where it comes from.
struct Row {
    name: String,
    value: String,
    sure: String,
    from: &'static str,
}

impl Row {
    fn angle(name: impl Into<String>, angle: Quantity, side: Option<&str>) -> Self {
        let degrees = format!("{:.1}°", angle.value.to_degrees().abs());
        let value = match side {
            None => degrees,
            Some(LEVEL) => LEVEL.into(),
            Some(side) => format!("{degrees} {side}"),
        };
        let sure = match angle.source {
            Source::ByHand => String::new(),
            _ => format!("± {:.1}°", HALF_INTERVAL * angle.sd.to_degrees()),
        };
        Self { name: name.into(), value, sure, from: source(angle.source) }
    }
}

fn source(source: Source) -> &'static str {
    match source {
        Source::Read => "read from the lines",
        Source::ByHand => "set by hand",
        Source::Assumed => "assumed",
    }
}

fn quantities(sheet: &Sheet<'_>) -> Markup {
    html! {
        div.block { table {
            thead { tr { th { "Quantity" } th { "Value" } th { "95 %" } th { "Where it comes from" } } }
            tbody { @for row in rows(sheet) {
                tr { td { (row.name) } td { (row.value) } td.nowrap { (row.sure) } td { (row.from) } }
            } }
        } }
    }
}

fn rows(sheet: &Sheet<'_>) -> Vec<Row> {
    let (scene, eye) = (sheet.scene, &sheet.assessment.eye);
    let mut rows = vec![Row::angle("angle of view, across", eye.angle_of_view, None)];
    let upright = 2.0 * (scene.frame.half_height() / eye.eye.focal).atan();
    rows.push(Row {
        name: "angle of view, upright".into(),
        value: format!("{:.1}°", upright.to_degrees()),
        sure: String::new(),
        from: "follows from it and the frame",
    });
    let looking = pitch_side(eye.pitch.value, 1);
    rows.push(Row::angle("pitch: it looks", eye.pitch, looking.or(Some(LEVEL))));
    let end = cant_side(eye.cant.value, 1);
    rows.push(Row::angle("cant: the horizon lies", eye.cant, end.or(Some(LEVEL))));
    rows.push(axis(sheet));
    let turned = |q: Quantity| Some(if q.value < 0.0 { "to the left" } else { "to the right" });
    for (id, heading) in &eye.headings {
        let name = scene.block(*id).map_or("", |block| block.name.as_str());
        rows.push(Row::angle(format!("{name}: turned"), *heading, turned(*heading)));
    }
    for (id, heading, slope) in &eye.inclines {
        let name = scene.incline(*id).map_or("", |incline| incline.name.as_str());
        rows.push(Row::angle(format!("{name}: turned"), *heading, turned(*heading)));
        rows.push(Row::angle(format!("{name}: runs"), *slope, pitch_side(slope.value, 1)));
    }
    rows
}

/// Where the optical axis meets the picture.
fn axis(sheet: &Sheet<'_>) -> Row {
    let [u, v] = sheet.assessment.eye.principal;
    let name = "optical axis".to_owned();
    if sheet.scene.eye.principal == PrincipalPoint::Centre {
        let value = "middle of the frame".into();
        return Row { name, value, sure: String::new(), from: "assumed: the painting is no crop" };
    }
    let side = |q: Quantity, positive: &str, negative: &str| {
        let side = if q.value < 0.0 { negative } else { positive };
        format!("{:.1} % {side}", 100.0 * q.value.abs())
    };
    let value =
        format!("{}, {} of the middle", side(u, "right", "left"), side(v, "below", "above"));
    let sure = match u.source {
        Source::ByHand => String::new(),
        _ => format!("± {:.1} %", 100.0 * HALF_INTERVAL * u.sd.max(v.sd)),
    };
    Row { name, value, sure, from: source(u.source) }
}

fn levels(sheet: &Sheet<'_>) -> Markup {
    let (scene, units) = (sheet.scene, sheet.units());
    let readings = &sheet.assessment.levels;
    let rows: Vec<(&Level, &LevelReading)> =
        readings.iter().filter_map(|reading| Some((scene.level(reading.id)?, reading))).collect();
    // A column in which nothing stands would only be asked about.
    let anything_said = rows.iter().any(|(level, reading)| {
        level.clearance.is_some() || level.above.is_some() || reading.horizon.is_some()
    });
    html! {
        div.block { table {
            thead { tr {
                th { "Level" } th { "Eye height" } th { "95 %" }
                @if anything_said { th { "Said of it" } }
            } }
            tbody { @for (level, reading) in rows { tr {
                td { bdi { (level.name) } }
                @match reading.clearance {
                    Some(clearance) => {
                        td { (units.measure(clearance, reading.unit)) " "
                            @match level.side { Side::Below => { "over it" } Side::Above => { "under it" } } }
                        td.nowrap { (units.interval(clearance, reading.unit)) }
                    }
                    None => { td { span.quiet { "nothing fixes it yet" } } td {} }
                }
                @if anything_said { td { (said_of(sheet, level, reading)) } }
            } } }
        } }
    }
}

/// What is stated of a level, and how far off its horizon is where that is nearer than infinity.
fn said_of(sheet: &Sheet<'_>, level: &Level, reading: &LevelReading) -> Markup {
    let (scene, units) = (sheet.scene, sheet.units());
    let stated = level.clearance.map(|stated| html! { "stated: " (units.metres(stated.metres)) });
    let above = level.above.map(|above| {
        let base = subject_name(scene, Subject::Level(above.level));
        html! { (units.metres(above.by.metres)) " above " bdi { (base) } }
    });
    let horizon = reading
        .horizon
        .map(|horizon| html! { "its visible horizon is " (units.metres(horizon.distance)) " off" });
    let said = [stated, above, horizon].into_iter().flatten();
    html! { @for (at, said) in said.enumerate() { @if at > 0 { ", " } (said) } }
}

/// The lens in the words of a camera crew.
fn lenses(sheet: &Sheet<'_>) -> Markup {
    let eye = sheet.assessment.eye.eye;
    html! {
        div.block {
            table {
                thead { tr { th { "Film back, used across its whole width" } th { "Width" } th { "Focal length" } } }
                tbody { @for back in FILM_BACKS { tr {
                    td { (back.name) br; span.quiet { (back.source) } }
                    td.nowrap { (format!("{:.2} mm", back.width)) }
                    td.nowrap { strong { (millimetres(back.focal_length(&eye))) } }
                } } }
            }
            p.quiet {
                "Focal lengths are those of a rectilinear lens that sees as much across as the frame does. "
                "Where a width is nominal, ask the camera house."
            }
        }
    }
}
