//! An answer as a page of plain text.

use super::answer::{Answer, Book, Found, Painting, Read};
use crate::commands::alternative;
use staffage_scene::{
    Above, Entry, Finding, Measure, Placed, Scene, Side, Standing, Subject, Unit, Units,
    VisibleHorizon, cant_side, family_name, guide_words, mends, pitch_side, place_stand_in,
    region_words, stand_in_stance, stand_in_words, standing_word, subject_name, suggestion,
};
use staffage_solver::{Quantity, Source};
use std::io::{self, Write};
use std::path::Path;

/// Standard deviations in half of a 95 % interval.
const HALF_INTERVAL: f64 = 1.96;

pub(super) fn write(out: &mut impl Write, answer: &Answer) -> io::Result<()> {
    match &answer.found {
        Found::Scene(read) => {
            heading(out, &answer.path, &read.scene.title)?;
            alternative(out, &read.scene)?;
            scene(out, read)?;
        }
        Found::SizeBook(book) => {
            heading(out, &answer.path, &book.title)?;
            writeln!(out, "  a size book of {} entries", book.entries.len())?;
        }
        Found::Nothing(_) => return Ok(()),
    }
    writeln!(out)
}

fn heading(out: &mut impl Write, path: &Path, title: &str) -> io::Result<()> {
    let gap = if title.is_empty() { "" } else { "  " };
    writeln!(out, "{}{gap}{title}", path.display())
}

/// Which alternative this is, where there are any.
fn alternative(out: &mut impl Write, scene: &Scene) -> io::Result<()> {
    let Some(shown) = scene.alternative_shown() else { return Ok(()) };
    let names = alternative::names(scene);
    writeln!(out, "  alternative {}, of {}: {}", shown.name, names.len(), names.join(", "))
}

fn scene(out: &mut impl Write, read: &Read) -> io::Result<()> {
    eye(out, read)?;
    levels(out, read)?;
    ledger(out, read)?;
    stand_ins(out, read)?;
    guides(out, read)?;
    findings(out, read)?;
    size_book(out, read.assessment.units, &read.size_book)
}

fn eye(out: &mut impl Write, read: &Read) -> io::Result<()> {
    let eye = &read.assessment.eye;
    let (view, pitch, cant) = (eye.angle_of_view, eye.pitch, eye.cant);
    writeln!(out, "  eye")?;
    writeln!(out, "    angle of view {}{}", degrees(view), source(view))?;
    writeln!(out, "    pitch         {}{}", upwards(pitch), source(pitch))?;
    let end = cant_side(cant.value, 1).map_or(String::new(), |end| format!(" {end}"));
    writeln!(out, "    cant          {}{end}{}", degrees(cant), source(cant))?;
    headings(out, read)?;
    principal_point(out, eye.principal)?;
    vanishing_points(out, read)
}

/// "up 14.0° ± 0.3°".
fn upwards(angle: Quantity) -> String {
    match pitch_side(angle.value, 1) {
        Some(side) => format!("{side} {}", degrees(angle)),
        None => degrees(angle),
    }
}

/// Which way blocks and inclines are turned, and how steeply the latter run.
fn headings(out: &mut impl Write, read: &Read) -> io::Result<()> {
    let eye = &read.assessment.eye;
    let turned =
        |q: Quantity| format!("{}{}", degrees(q), side(q, " to the right", " to the left"));
    for (id, heading) in &eye.headings {
        let name = read.scene.block(*id).map_or("", |block| &block.name);
        writeln!(out, "    {name} is turned {}{}", turned(*heading), source(*heading))?;
    }
    for (id, heading, slope) in &eye.inclines {
        let name = read.scene.incline(*id).map_or("", |incline| &incline.name);
        let steep = upwards(*slope);
        writeln!(
            out,
            "    {name} is turned {}{}, runs {steep}{}",
            turned(*heading),
            source(*heading),
            source(*slope)
        )?;
    }
    Ok(())
}

/// Where the optical axis meets the picture, unless that is the middle of the frame.
fn principal_point(out: &mut impl Write, [u, v]: [Quantity; 2]) -> io::Result<()> {
    if u.source == Source::ByHand && u.value == 0.0 && v.value == 0.0 {
        return Ok(());
    }
    let coordinate = |of: Quantity, positive: &str, negative: &str| {
        let side = if of.value < 0.0 { negative } else { positive };
        let part = format!("{:.1} %", 100.0 * of.value.abs());
        match of.source {
            Source::ByHand => format!("{part} {side}"),
            Source::Read | Source::Assumed => {
                format!("{part} ± {:.1} % {side}", 100.0 * HALF_INTERVAL * of.sd)
            }
        }
    };
    let (across, down) = (coordinate(u, "right", "left"), coordinate(v, "down", "up"));
    writeln!(out, "    optical axis  {across}, {down} of the middle, in frame widths{}", source(u))
}

/// How far the vanishing points of families with lines can be trusted.
fn vanishing_points(out: &mut impl Write, read: &Read) -> io::Result<()> {
    let families = read.assessment.eye.families.iter().filter(|f| f.lines > 0);
    for family in families {
        let name = family_name(&read.scene, family.family);
        writeln!(out, "    {name} vanishes {}", region_words(family.region))?;
    }
    Ok(())
}

/// Which way an angle goes, unless it is printed as zero.
fn side(angle: Quantity, positive: &'static str, negative: &'static str) -> &'static str {
    match angle.value.to_degrees() {
        degrees if degrees.abs() < 0.05 => "",
        degrees if degrees > 0.0 => positive,
        _ => negative,
    }
}

/// The size of an angle with half of its 95 % interval; what is set by hand has none to speak of.
fn degrees(angle: Quantity) -> String {
    let value = angle.value.abs().to_degrees();
    match angle.source {
        Source::ByHand => format!("{value:.1}°"),
        Source::Read | Source::Assumed => {
            format!("{value:.1}° ± {:.1}°", HALF_INTERVAL * angle.sd.to_degrees())
        }
    }
}

fn source(angle: Quantity) -> &'static str {
    match angle.source {
        Source::Read => " (read from the lines)",
        Source::ByHand => " (set by hand)",
        Source::Assumed => " (assumed)",
    }
}

fn levels(out: &mut impl Write, read: &Read) -> io::Result<()> {
    let units = read.assessment.units;
    writeln!(out, "  levels")?;
    for (level, reading) in read.scene.levels.iter().zip(&read.assessment.levels) {
        let side = match level.side {
            Side::Below => "below the eye",
            Side::Above => "above the eye",
        };
        let step = level.above.map_or(String::new(), |above| step(read, above));
        match reading.clearance {
            Some(clearance) => {
                let horizon = reading.horizon.map_or(String::new(), |seen| horizon(units, seen));
                let height = size(units, clearance, reading.unit);
                writeln!(out, "    {}: {height} {side}{step}{horizon}", level.name)?;
            }
            None => writeln!(out, "    {}: nothing fixes its height yet{step}", level.name)?,
        }
    }
    Ok(())
}

/// How far a level is said to lie above another.
fn step(read: &Read, above: Above) -> String {
    let lower = subject_name(&read.scene, Subject::Level(above.level));
    format!("; said to lie {} above {lower}", read.assessment.units.metres(above.by.metres))
}

/// Where a curved level is last seen.
fn horizon(units: Units, seen: VisibleHorizon) -> String {
    let dip = seen.dip.to_degrees();
    format!("; its horizon {} off, {dip:.2}° below the eye's level", units.metres(seen.distance))
}

/// A value with its interval: `1.7 m (1.6 m to 1.9 m)`.
fn size(units: Units, value: Measure, unit: Unit) -> String {
    format!("{} ({})", units.measure(value, unit), units.interval(value, unit))
}

fn ledger(out: &mut impl Write, read: &Read) -> io::Result<()> {
    if read.assessment.ledger.is_empty() {
        return writeln!(out, "  ledger: no markers yet");
    }
    let head = ["near to far", "how far", "how large", "standing", "a lie passes unseen under"];
    let head = head.map(str::to_owned);
    let rows: Vec<[String; 5]> = std::iter::once(head)
        .chain(read.assessment.ledger.iter().map(|entry| row(read, entry)))
        .collect();
    let width = |column: usize| rows.iter().map(|r| r[column].chars().count()).max().unwrap_or(0);
    let (name, far, large, standing) = (width(0), width(1), width(2), width(3));
    writeln!(out, "  ledger")?;
    for [a, b, c, d, e] in &rows {
        let row = format!("    {a:name$}  {b:far$}  {c:large$}  {d:standing$}  {e}");
        writeln!(out, "{}", row.trim_end())?;
    }
    Ok(())
}

/// The ghosts to be painted over, each with how high it is at the working width.
fn stand_ins(out: &mut impl Write, read: &Read) -> io::Result<()> {
    let scene = &read.scene;
    if scene.stand_ins.is_empty() {
        return Ok(());
    }
    writeln!(out, "  stand-ins")?;
    for stand_in in &scene.stand_ins {
        let said = stand_in_words(stand_in, scene, &read.assessment);
        let stance = stand_in_stance(stand_in, scene, read.assessment.units);
        let pixels = place_stand_in(scene, &read.assessment, stand_in).ok();
        let pixels = pixels.as_ref().and_then(|placed| pixel_height(read, placed.nearest()?));
        let pixels = pixels.map_or(String::new(), |px| format!("; {px:.0} px high"));
        writeln!(out, "    {}: {said}, {stance}{pixels}", stand_in.name)?;
    }
    Ok(())
}

/// How high one is seen at the working width, pixels.
fn pixel_height(read: &Read, one: &Placed) -> Option<f64> {
    let width = f64::from(read.scene.frame.working_width);
    Some(width * one.seen_height(&read.assessment.eye.eye)?)
}

fn guides(out: &mut impl Write, read: &Read) -> io::Result<()> {
    if read.scene.guides.is_empty() {
        return Ok(());
    }
    writeln!(out, "  guides")?;
    for guide in &read.scene.guides {
        let name = subject_name(&read.scene, Subject::Guide(guide.id));
        let said = guide_words(guide, &read.scene, &read.assessment);
        writeln!(out, "    {name}: {said}")?;
    }
    Ok(())
}

fn row(read: &Read, entry: &Entry) -> [String; 5] {
    let units = read.assessment.units;
    let name = read.scene.marker(entry.id).map(|m| m.name.clone()).unwrap_or_default();
    let words = |value: Option<Measure>| {
        value.map_or_else(|| "not fixed yet".to_owned(), |value| size(units, value, entry.unit))
    };
    let kept = read.scene.intended_reason(Subject::Marker(entry.id)).is_some();
    let standing = match standing_word(entry.standing) {
        word if kept => format!("{word}, intended"),
        word => word.to_owned(),
    };
    let unseen = entry.detectable.map_or(String::new(), |ratio| format!("×{ratio:.1}"));
    let standing = match entry.hidden {
        Some(hidden) => format!("{standing}, its lowest {} below the curve", units.metres(hidden)),
        None => standing,
    };
    [name, words(entry.distance), words(entry.size), standing, unseen]
}

fn findings(out: &mut impl Write, read: &Read) -> io::Result<()> {
    let all = &read.assessment.findings;
    writeln!(out, "  findings: {}", count(all))?;
    if let Painting::Reshaped(why) | Painting::Unreadable(why) = &read.painting {
        writeln!(out, "    painting     {why}")?;
    }
    for finding in all {
        let standing = standing_word(finding.standing);
        match &finding.intended {
            None => writeln!(out, "    {standing:<11}  {}", finding.sentence)?,
            Some(reason) => {
                writeln!(out, "    intended     {} ({standing}; {reason})", finding.sentence)?;
            }
        }
        if finding.intended.is_none() {
            reasons(out, read, finding)?;
        }
    }
    if let Some(suggestion) = suggestion(&read.scene) {
        writeln!(out, "  what would help most")?;
        writeln!(out, "    {}", suggestion.sentence)?;
    }
    Ok(())
}

/// What the scene's size book has to say, if the scene names one.
fn size_book(out: &mut impl Write, units: Units, book: &Book) -> io::Result<()> {
    match book {
        Book::None => Ok(()),
        Book::Unreadable(why) => {
            writeln!(out, "  size book: cannot be used")?;
            writeln!(out, "    {why}")
        }
        Book::Read(differences) => {
            let count = match differences.len() {
                0 => "nothing differs".to_owned(),
                1 => "1 differs".to_owned(),
                many => format!("{many} differ"),
            };
            writeln!(out, "  size book: {count}")?;
            differences.iter().try_for_each(|difference| {
                writeln!(out, "    differs      {}", difference.sentence(units))
            })
        }
    }
}

/// Why a finding contradicts, and the mends that were tried and clear it.
fn reasons(out: &mut impl Write, read: &Read, finding: &Finding) -> io::Result<()> {
    for step in &finding.because {
        writeln!(out, "                   {}", step.sentence)?;
    }
    for mend in mends(&read.scene, &read.assessment, finding) {
        writeln!(out, "      mend         {}", mend.sentence)?;
    }
    Ok(())
}

/// How many findings there are of each standing: "2 contradict, 1 open".
fn count(findings: &[Finding]) -> String {
    let of = |standing: Standing| {
        findings.iter().filter(|f| f.standing == standing && f.intended.is_none()).count()
    };
    let contradicting = of(Standing::Contradicts);
    let verb = if contradicting == 1 { "contradicts" } else { "contradict" };
    let counts = [
        (of(Standing::Impossible), "impossible"),
        (contradicting, verb),
        (of(Standing::Strained), "strained"),
        (of(Standing::Open), "open"),
        (findings.iter().filter(|f| f.intended.is_some()).count(), "intended"),
    ];
    let said: Vec<String> = counts
        .iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, word)| format!("{count} {word}"))
        .collect();
    if said.is_empty() { "nothing contradicts".to_owned() } else { said.join(", ") }
}
