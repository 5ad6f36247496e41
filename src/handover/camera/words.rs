//! The camera sheet: the same camera in plain words, for whoever sets it up by hand.

use super::CameraScene;
use super::scenery::Ground;
use crate::film_backs::{FILM_BACKS, millimetres};
use crate::sheet::contents::count;
use glam::DVec2;
use staffage_scene::{Side, Subject, cant_side, metres_over, pitch_side, subject_name};
use staffage_solver::{Quantity, Source};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// By this a camera sheet is known among other texts.
pub(super) const TEXT_SIGNATURE: &str = "Staffage camera sheet";

/// Standard deviations in half of a 95 % interval.
const HALF_INTERVAL: f64 = 1.96;

pub(super) fn words(of: &CameraScene<'_>, ground: &Ground, remarks: &[String]) -> String {
    let mut text = String::new();
    // Writing to a string cannot fail.
    let _ = write(&mut text, of, ground, remarks);
    text
}

fn write(
    out: &mut String,
    of: &CameraScene<'_>,
    ground: &Ground,
    remarks: &[String],
) -> std::fmt::Result {
    let (scene, reading) = (of.scene, &of.assessment.eye);
    let eye = reading.eye;
    writeln!(out, "{TEXT_SIGNATURE}")?;
    writeln!(out, "{}{}{}", scene.title, if scene.title.is_empty() { "" } else { " · " }, of.file)?;
    writeln!(out)?;
    writeln!(
        out,
        "Axes: X right, Y up, -Z straight ahead, metres. The origin is plumb below the eye"
    )?;
    match ground.level {
        Some(level) => writeln!(out, "on {}.", subject_name(scene, Subject::Level(level)))?,
        None => writeln!(out, "at the eye itself, as no level is known in metres.")?,
    }
    writeln!(out)?;
    writeln!(out, "EYE")?;
    let row = |out: &mut String, name: &str, value: String| writeln!(out, "  {name:<26}{value}");
    row(out, "position", format!("0, {:.3}, 0", ground.eye_height))?;
    row(out, "heading", "0° (straight ahead is -Z)".into())?;
    row(out, "pitch", angle(reading.pitch, pitch_side(reading.pitch.value, 1)))?;
    row(out, "cant", angle(reading.cant, cant_side(reading.cant.value, 1)))?;
    let turns = format!(
        "about Y 0°, then X {:.3}°, then Z {:.3}°",
        eye.pitch.to_degrees(),
        0.0 - eye.cant.to_degrees()
    );
    row(out, "rotation", turns)?;
    row(out, "focal length", focal_length(of))?;
    row(out, "angle of view, across", angle(reading.angle_of_view, None))?;
    let upright = 2.0 * (scene.frame.half_height() / eye.focal).atan();
    row(out, "angle of view, upright", format!("{:.2}°", upright.to_degrees()))?;
    row(
        out,
        "frame",
        format!("{:.4} : 1, {} px wide", scene.frame.ratio, scene.frame.working_width),
    )?;
    if eye.principal != DVec2::ZERO {
        row(out, "lens shift", shift(eye.principal))?;
    }
    writeln!(out)?;
    writeln!(out, "LENS (focal length that sees the frame's width across the whole film back)")?;
    for back in FILM_BACKS {
        let length = millimetres(back.focal_length(&eye));
        writeln!(out, "  {length:>8}  on {:.2} mm  {} ({})", back.width, back.name, back.source)?;
    }
    writeln!(out)?;
    writeln!(out, "LEVELS")?;
    for (level, reading) in scene.levels.iter().zip(&of.assessment.levels) {
        let side = if level.side == Side::Below { "below the eye" } else { "above the eye" };
        match (metres_over(of.assessment, level.id), reading.clearance) {
            (Some(exactly), Some(clearance)) => {
                let signed = if level.side == Side::Below { -exactly } else { exactly };
                let height = format!("Y = {:.3}", ground.eye_height + signed);
                let units = of.assessment.units;
                let words = units.measure(clearance, reading.unit);
                let ends = units.interval(clearance, reading.unit);
                writeln!(out, "  {height:<16}{}: {words} ({ends}) {side}", level.name)?;
            }
            _ => writeln!(
                out,
                "  {:<16}{}: nothing says in metres how high it lies",
                "", level.name
            )?,
        }
    }
    if !remarks.is_empty() {
        writeln!(out)?;
        writeln!(out, "NOTE")?;
        remarks.iter().try_for_each(|remark| writeln!(out, "  {remark}"))?;
    }
    writeln!(out)?;
    writeln!(
        out,
        "Intervals hold the true value with a probability of 95 %. This guides a picture: it is no"
    )?;
    writeln!(out, "survey and no structural check.")
}

/// "21.5 mm on 36.00 mm (Still camera, 36 × 24 mm)".
fn focal_length(of: &CameraScene<'_>) -> String {
    let length = millimetres(of.back.focal_length(&of.assessment.eye.eye));
    format!("{length} on {:.2} mm ({})", of.back.width, of.back.name)
}

/// What the camera is, each with what it is called, before anything is written.
pub(super) fn facts(of: &CameraScene<'_>, ground: &Ground) -> Vec<(String, String)> {
    let (scene, reading) = (of.scene, &of.assessment.eye);
    let units = of.assessment.units;
    let length = millimetres(of.back.focal_length(&reading.eye));
    let height = ground.level.and_then(|id| {
        let level = of.assessment.levels.iter().find(|level| level.id == id)?;
        let side = if ground.eye_height < 0.0 { "under" } else { "over" };
        let name = subject_name(scene, Subject::Level(id));
        Some(format!("{} {side} {name}", units.measure(level.clearance?, level.unit)))
    });
    let mut facts = vec![
        ("focal length", format!("{length} on {:.2} mm", of.back.width)),
        ("angle of view", shortly(reading.angle_of_view, Some("across"))),
        ("eye height", height.unwrap_or_else(|| "no level is known in metres".into())),
        ("pitch", shortly(reading.pitch, pitch_side(reading.pitch.value, 1))),
        ("cant", shortly(reading.cant, cant_side(reading.cant.value, 1))),
    ];
    if reading.eye.principal != DVec2::ZERO {
        facts.push(("lens shift", shift(reading.eye.principal)));
    }
    facts.into_iter().map(|(name, value)| (name.to_owned(), value)).collect()
}

/// "22.1° ± 0.2° up"; "0.0° up, set by hand". That it was read from the lines goes without saying.
fn shortly(angle: Quantity, side: Option<&str>) -> String {
    let degrees = angle.value.to_degrees().abs();
    let side = side.map_or(String::new(), |side| format!(" {side}"));
    let within = HALF_INTERVAL * angle.sd.to_degrees();
    match angle.source {
        Source::Read => format!("{degrees:.1}° ± {within:.1}°{side}"),
        Source::Assumed => format!("{degrees:.1}° ± {within:.1}°{side}, assumed"),
        Source::ByHand => format!("{degrees:.1}°{side}, set by hand"),
    }
}

fn shift(principal: DVec2) -> String {
    let (right, up) = (0.0 - 100.0 * principal.x, 100.0 * principal.y);
    format!("{right:.2} % right, {up:.2} % up, of the frame's width")
}

/// What goes along, a line each.
pub(super) fn contents(counts: &BTreeMap<&'static str, usize>) -> Vec<String> {
    let kinds = [
        ("level", "levels"),
        ("marker staff", "marker staffs"),
        ("round marker", "round markers"),
        ("figure", "figures"),
        ("panel", "panels"),
        ("box", "boxes"),
        ("cylinder", "cylinders"),
        ("ramp", "ramps"),
    ];
    let line = |(one, many): (&str, &str)| count(*counts.get(one)?, one, many);
    kinds.into_iter().filter_map(line).collect()
}

/// "22.08° ± 0.19° up (read from the lines)".
fn angle(angle: Quantity, side: Option<&str>) -> String {
    let mut words = format!("{:.2}°", angle.value.to_degrees().abs());
    if angle.source != Source::ByHand {
        let _ = write!(words, " ± {:.2}°", HALF_INTERVAL * angle.sd.to_degrees());
    }
    if let Some(side) = side {
        let _ = write!(words, " {side}");
    }
    let from = match angle.source {
        Source::Read => "read from the lines",
        Source::ByHand => "set by hand",
        Source::Assumed => "assumed",
    };
    let _ = write!(words, " ({from})");
    words
}
