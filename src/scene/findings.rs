//! What is worth saying about a scene, in sentences.

use crate::entries::{Snooping, falls, owner};
use crate::overlaps::within;
use crate::why::{because, kept_paths};
use crate::wording::{capital, dimension, factor, percent, subject_name, too_large};
use crate::{
    Entry, Family, Finding, LevelId, LineReading, Marker, MarkerId, Measure, Scene, Side, Standing,
    Stands, Statement, Subject, Unit, Units, family_name, line_name,
};
use staffage_solver::{Claim, Fault, Rejection, SIGNIFICANT, rise_per_run};

/// All findings, worst first; within a standing, lines, then markers, levels and overlaps.
pub(crate) fn findings(
    of: &Snooping<'_>,
    lines: &[LineReading],
    ledger: &[Entry],
    overlaps: Vec<Finding>,
) -> Vec<Finding> {
    let mut findings = Vec::new();
    findings.extend(lines.iter().filter_map(|line| line_finding(of.scene, line)));
    if of.all_rejections().next().is_some()
        && let Some(paths) = kept_paths(of)
    {
        findings.extend(of.all_rejections().map(|rejection| {
            let because = because(of, &paths, rejection);
            Finding { because, ..contradiction(of, rejection) }
        }));
    }
    findings.extend(ledger.iter().filter_map(|entry| entry_finding(of, entry)));
    findings.extend(ledger.iter().filter_map(|entry| lean_finding(of.scene, entry)));
    findings.extend(ledger.iter().filter_map(|entry| shadow_finding(of.scene, entry)));
    findings.extend(impossible_steps(of));
    findings.extend(overlaps);
    for finding in &mut findings {
        finding.intended = of.scene.intended_reason(finding.about).map(str::to_owned);
    }
    findings.sort_by_key(|f| (f.intended.is_some(), f.standing, f.about));
    findings
}

/// A finding that nobody has said is intended.
pub(crate) fn finding(
    about: Subject,
    with: Vec<Subject>,
    standing: Standing,
    sentence: String,
) -> Finding {
    Finding { about, with, standing, sentence, intended: None, because: Vec::new() }
}

fn line_finding(scene: &Scene, line: &LineReading) -> Option<Finding> {
    let rivals: Vec<Subject> = line.rivals.iter().map(|id| Subject::Line(*id)).collect();
    let name = capital(&line_name(scene, line.id));
    let degrees = line.miss.abs().to_degrees();
    let sentence = match line.standing {
        Standing::Contradicts => format!(
            "{name} misses its vanishing point by {degrees:.1}°: turn it, or give it to another family.{}",
            or_one_of(scene, &rivals)
        ),
        Standing::Strained => {
            format!(
                "{name} misses its vanishing point by {degrees:.1}°, the edge of what tracing allows."
            )
        }
        Standing::Open => {
            format!("{name} is too short to say anything: draw it longer or delete it.")
        }
        Standing::Impossible | Standing::Unchecked | Standing::Holds => return None,
    };
    Some(finding(Subject::Line(line.id), rivals, line.standing, sentence))
}

/// A rejected statement in a sentence.
fn contradiction(of: &Snooping<'_>, rejection: &Rejection) -> Finding {
    let scene = of.scene;
    let mut with: Vec<Subject> =
        rejection.tied.iter().filter_map(|claim| subject_of(scene, *claim)).collect();
    let (about, sentence) = match rejection.claim {
        Claim::Clearance(level) => clearance_sentence(of, rejection, level),
        Claim::Above(level) => step_sentence(of, rejection, level),
        Claim::Stands(place) => stands_sentence(of, rejection, &scene.markers[place]),
        Claim::Spans(place) => {
            let marker = &scene.markers[place];
            let off = too_large((rejection.row.gross_error).exp());
            let sentence = format!(
                "{} is drawn {off} for where it stands and what is known of its size.",
                marker.name
            );
            (Subject::Marker(marker.id), sentence)
        }
        Claim::Known { marker, .. } => known_sentence(of, rejection, marker, &mut with),
    };
    with.retain(|subject| *subject != about);
    with.sort_unstable();
    with.dedup();
    let sentence = format!("{sentence}{}", doubt(scene, rejection, about));
    finding(about, with, Standing::Contradicts, sentence)
}

fn subject_of(scene: &Scene, claim: Claim) -> Option<Subject> {
    match claim {
        Claim::Clearance(level) | Claim::Above(level) => {
            scene.levels.get(level).map(|l| Subject::Level(l.id))
        }
        _ => owner(claim).and_then(|m| scene.markers.get(m)).map(|m| Subject::Marker(m.id)),
    }
}

/// What to add when other things would explain a contradiction just as well.
fn doubt(scene: &Scene, rejection: &Rejection, about: Subject) -> String {
    let mut others: Vec<Subject> = rejection
        .tied
        .iter()
        .filter_map(|c| subject_of(scene, *c))
        .filter(|s| *s != about)
        .collect();
    others.sort_unstable();
    others.dedup();
    or_one_of(scene, &others)
}

/// That others may be wrong instead.
fn or_one_of(scene: &Scene, others: &[Subject]) -> String {
    let names: Vec<String> = others.iter().take(3).map(|s| subject_name(scene, *s)).collect();
    match names.as_slice() {
        [] => String::new(),
        [one] => format!(" Nothing tells whether this or {one} is wrong."),
        several => {
            format!(" Nothing tells whether this or one of {} is wrong.", several.join(", "))
        }
    }
}

fn clearance_sentence(of: &Snooping<'_>, rejection: &Rejection, place: usize) -> (Subject, String) {
    let level = &of.scene.levels[place];
    let stated = level.clearance.map_or(f64::NAN, |c| c.metres);
    let says = stated / rejection.row.gross_error.exp();
    let side = match level.side {
        Side::Below => "eye height over",
        Side::Above => "height over the eye of",
    };
    let sentence = format!(
        "The {side} {} is stated as {}, but what stands there makes it {}.",
        level.name,
        of.units.metres(stated),
        of.units.metres(says),
    );
    (Subject::Level(level.id), sentence)
}

/// A stated step from one level up to another that does not fit what stands on them.
fn step_sentence(of: &Snooping<'_>, rejection: &Rejection, place: usize) -> (Subject, String) {
    let level = &of.scene.levels[place];
    let (lower, stated) = level.above.map_or((String::new(), f64::NAN), |above| {
        (level_name(of.scene, above.level), above.by.metres)
    });
    let [upper, foot] =
        [Some(level.id), level.above.map(|above| above.level)].map(|id| height_over_eye(of, id?));
    let says = upper.zip(foot).map(|(upper, foot)| upper - foot);
    let really =
        height_in_words(of.units, says.unwrap_or(stated * (1.0 - rejection.row.gross_error)));
    let sentence = format!(
        "{} is said to lie {} above {lower}, but what stands there {really}.",
        capital(&level.name),
        of.units.metres(stated),
    );
    (Subject::Level(level.id), sentence)
}

/// What makes a height another than was said: "makes it 3.00 m", "puts it 2.00 m below".
fn height_in_words(units: Units, says: f64) -> String {
    if says > 0.0 {
        format!("makes it {}", units.metres(says))
    } else {
        format!("puts it {} below", units.metres(-says))
    }
}

/// Metres from the eye up to a level, as everything that was kept has it.
fn height_over_eye(of: &Snooping<'_>, id: LevelId) -> Option<f64> {
    let place = of.scene.levels.iter().position(|l| l.id == id)?;
    let (clearance, unit) = of.measure(of.ledger.clearance_node(place))?;
    let up = if of.scene.levels[place].side == Side::Below { -1.0 } else { 1.0 };
    (unit == Unit::Metres).then_some(up * clearance.value)
}

/// Metres from a level up to the head of a marker, as everything that was kept has it.
fn head_over(of: &Snooping<'_>, marker: &Marker, level: LevelId) -> Option<f64> {
    let place = of.scene.markers.iter().position(|m| m.id == marker.id)?;
    let (distance, unit) = of.measure(of.ledger.distance_node(place))?;
    let rise = rise_per_run(&of.fit.eye, &of.fit.headings, marker.head).ok()?.value;
    let head = rise * distance.value + falls(of, marker, distance.value);
    let over = head - height_over_eye(of, level)?;
    (unit == Unit::Metres && over.is_finite()).then_some(over)
}

/// Steps between levels that no lengths could make.
fn impossible_steps(of: &Snooping<'_>) -> Vec<Finding> {
    let impossible = of.snooped.iter().flat_map(|s| &s.impossible);
    let steps = impossible.filter_map(|claim| match claim {
        Claim::Above(place) => of.scene.levels.get(*place),
        _ => None,
    });
    let findings = steps.filter_map(|level| {
        let above = level.above?;
        let lower = level_name(of.scene, above.level);
        let sentence = format!(
            "{} cannot lie {} above {lower} with what is drawn on them. Say another height, or turn the two round.",
            capital(&level.name),
            of.units.metres(above.by.metres),
        );
        let with = vec![Subject::Level(above.level)];
        Some(finding(Subject::Level(level.id), with, Standing::Impossible, sentence))
    });
    findings.collect()
}

fn stands_sentence(of: &Snooping<'_>, rejection: &Rejection, marker: &Marker) -> (Subject, String) {
    if let Stands::Hidden { level, height } = marker.stands {
        let says = head_over(of, marker, level)
            .unwrap_or(height.metres * (1.0 - rejection.row.gross_error));
        let really = height_in_words(of.units, says);
        let sentence = format!(
            "{}: its head is said to be {} over {}, but everything else {really}.",
            marker.name,
            of.units.metres(height.metres),
            level_name(of.scene, level),
        );
        return (Subject::Marker(marker.id), sentence);
    }
    let ratio = rejection.row.gross_error.exp();
    let (near, times) =
        if ratio > 1.0 { ("far", factor(ratio)) } else { ("near", factor(1.0 / ratio)) };
    let what = match marker.stands {
        Stands::Over { .. } => "its plumb point on",
        Stands::Shadow { .. } => "its shadow on",
        Stands::Hidden { .. } => "the height of its head over",
        Stands::OnTop(_) => "its foot on top of",
        Stands::On(_) | Stands::Unsaid => "its foot on",
    };
    let level = support_name(of.scene, marker);
    let other = if marker.stands.level().is_some() { "another" } else { "a" };
    let sentence = format!(
        "{}: {what} {level} puts it {times} times too {near} for what else is known of it. Move it, or set it on {other} level.",
        marker.name
    );
    (Subject::Marker(marker.id), sentence)
}

fn known_sentence(
    of: &Snooping<'_>,
    rejection: &Rejection,
    place: usize,
    with: &mut Vec<Subject>,
) -> (Subject, String) {
    let marker = &of.scene.markers[place];
    let about = Subject::Marker(marker.id);
    let Some((_, statement)) = of.statement(rejection.claim) else {
        return (about, format!("{} contradicts the rest.", marker.name));
    };
    let distance =
        of.measure(of.ledger.distance_node(place)).map(|(d, unit)| of.units.measure(d, unit));
    let at = distance.as_ref().map_or(String::new(), |d| format!(" at {d}"));
    let off = distance.map(|d| format!("{d} off"));
    let drawn = of.measure(of.ledger.size_node(place));
    let expected = of.expected_size(rejection);
    // Observed minus what it should have been: a stated size too small for the drawing is negative.
    let ratio = match (drawn, expected) {
        (Some((d, a)), Some((e, b))) if a == b => d.value / e.value,
        _ => (-rejection.row.gross_error).exp(),
    };
    let drawn = drawn.map_or("as it is".to_owned(), |(size, unit)| {
        format!("{} {}", of.units.measure(size, unit), dimension(marker.span))
    });
    let name = &marker.name;
    let other = |of_marker: &MarkerId, with: &mut Vec<Subject>| {
        with.push(Subject::Marker(*of_marker));
        subject_name(of.scene, Subject::Marker(*of_marker))
    };
    let scale = format!("{}. Scale it to {:.0} %.", too_large(ratio), 100.0 / ratio);
    let sentence = match statement {
        Statement::KnownSize { size, as_ } => {
            let what = if as_.is_empty() { String::new() } else { format!(" ({as_})") };
            format!(
                "{name} is drawn {drawn}{at}, but is known to be {} ± {}{what}: {scale}",
                of.units.metres(size.metres),
                percent(size.spread),
            )
        }
        Statement::SameMake { of: twin, .. } => {
            let twin = other(twin, with);
            let size = said(of.units, expected);
            format!("{name} is drawn {drawn}{at}, but {twin} of the same make is {size}: {scale}")
        }
        Statement::Times { of: twin, factor: times, .. } => {
            let twin = other(twin, with);
            let times = factor(*times);
            format!(
                "{name} is drawn {drawn}{at}, but {times} times {twin} is {}: {scale}",
                said(of.units, expected)
            )
        }
        Statement::SameDistance { of: twin, .. } => {
            let twin = other(twin, with);
            let off = off.unwrap_or_else(|| times_as_far(ratio));
            format!("{name} is said to be as far off as {twin}, but the drawing puts it {off}.")
        }
        Statement::Distance(distance) => format!(
            "{name} is said to be {} off, but the drawing puts it {}.",
            of.units.metres(distance.metres),
            off.unwrap_or_else(|| times_as_far(ratio)),
        ),
    };
    (about, sentence)
}

/// "1.50 times as far off", "2.0 times nearer".
fn times_as_far(ratio: f64) -> String {
    if ratio >= 1.0 {
        format!("{} times as far off", factor(ratio))
    } else {
        format!("{} times nearer", factor(1.0 / ratio))
    }
}

fn said(units: Units, expected: Option<(Measure, Unit)>) -> String {
    expected.map_or("another size".to_owned(), |(size, unit)| units.measure(size, unit))
}

/// What a marker stands on, by name.
fn support_name(scene: &Scene, marker: &Marker) -> String {
    match marker.stands {
        Stands::OnTop(base) => subject_name(scene, Subject::Marker(base)),
        stands => stands.level().map_or("its level".to_owned(), |id| level_name(scene, id)),
    }
}

fn level_name(scene: &Scene, id: LevelId) -> String {
    subject_name(scene, Subject::Level(id))
}

/// Markers that are impossible, strained or open.
fn entry_finding(of: &Snooping<'_>, entry: &Entry) -> Option<Finding> {
    let place = of.scene.markers.iter().position(|m| m.id == entry.id)?;
    let marker = &of.scene.markers[place];
    let sentence = match entry.standing {
        Standing::Impossible | Standing::Open => open_sentence(of, place, entry),
        Standing::Strained => format!(
            "{} is at the edge of what chance allows (standardized residual {:.1}).",
            marker.name, entry.standardized
        ),
        Standing::Contradicts | Standing::Unchecked | Standing::Holds => return None,
    };
    Some(finding(Subject::Marker(entry.id), Vec::new(), entry.standing, sentence))
}

fn open_sentence(of: &Snooping<'_>, place: usize, entry: &Entry) -> String {
    let marker = &of.scene.markers[place];
    let name = &marker.name;
    let faults = &of.ledger.faults[place];
    if of.cannot_stand(place) {
        return format!("{name}: {}", cannot_stand_sentence(of, marker));
    }
    if of.is_at_horizon(place) {
        return format!("{name}: {}", fault_sentence(of.scene, marker, Fault::OnHorizon));
    }
    let impossible = faults.iter().find(|f| crate::entries::is_impossible(**f));
    if let Some(fault) = impossible.or(faults.first()) {
        return format!("{name}: {}", fault_sentence(of.scene, marker, *fault));
    }
    if let Stands::Hidden { level, .. } = marker.stands {
        let on = level_name(of.scene, level);
        return format!(
            "{name}: the height of its head tells how far off it is once it is known how high the eye is over {on}, in metres. Say that, or the size of something on {on}."
        );
    }
    let missing = match (entry.distance, entry.size) {
        (None, None) => "nothing fixes its distance or its size yet",
        (None, Some(_)) => "nothing fixes its distance yet",
        _ => "nothing fixes its size yet",
    };
    let bounds = entry
        .bounds
        .map_or(String::new(), |b| format!(", but {}", within(of.units, b, marker.span)));
    format!("{name}: {missing}{bounds}. Set it on a level, or say its size or distance.")
}

/// What a marker stands on can be true of no lengths.
fn cannot_stand_sentence(of: &Snooping<'_>, marker: &Marker) -> String {
    let on = support_name(of.scene, marker);
    match marker.stands {
        Stands::Hidden { height, .. } => format!(
            "its head cannot be {} over {on} where it is drawn. Move it, or say another height.",
            of.units.metres(height.metres)
        ),
        _ => format!(
            "{on} curves away out of sight before it gets so far. Move its foot down, or let the world be flat."
        ),
    }
}

fn fault_sentence(scene: &Scene, marker: &Marker, fault: Fault) -> String {
    let level = marker.stands.level();
    let on = support_name(scene, marker);
    let above = level.and_then(|id| scene.level(id)).is_some_and(|l| l.side == Side::Above);
    let foot = match marker.stands {
        Stands::Over { .. } => "plumb point",
        Stands::Shadow { .. } => "shadow",
        Stands::Hidden { .. } => "head",
        Stands::On(_) | Stands::OnTop(_) | Stands::Unsaid => "foot",
    };
    let stacked = matches!(marker.stands, Stands::OnTop(_));
    match fault {
        Fault::BeyondHorizon if stacked => format!(
            "its foot and the top of {on} lie on different sides of the horizon, so that it cannot stand there."
        ),
        Fault::OnHorizon if stacked => format!(
            "its foot and the top of {on} are too near the horizon to tell how far off they are. Say that it is as far off as {on}."
        ),
        Fault::BeyondHorizon if above => format!(
            "its {foot} is said to be on {on}, above the eye, but lies below the horizon. Move it up, or set it on another level."
        ),
        Fault::BeyondHorizon => format!(
            "its {foot} is said to be on {on}, but lies above the horizon. Move it down, or set it on another level."
        ),
        Fault::OnHorizon => format!(
            "its {foot} on {on} is too near the horizon to tell how far off it is."
        ),
        Fault::NoLength => {
            "foot and head are on one spot. Draw it from foot to head, or delete it.".to_owned()
        }
        Fault::HeadBelowFoot => {
            "its head is drawn lower than its foot. Turn it over, or say that its span is not upright."
                .to_owned()
        }
        Fault::OutOfReach => {
            "no thing of any length running that way could be seen to end there. Check how its span runs."
                .to_owned()
        }
        Fault::BehindShadow => {
            let beyond = if above { "over" } else { "under" };
            format!(
                "with its shadow there it would lie {beyond} {on}. Move one of them, or check the light."
            )
        }
        Fault::NoTop => format!(
            "it is said to be on top of {on}, but only an upright thing has a top. Set it on a level."
        ),
        Fault::EndOn => "it is seen end on, so that the picture does not tell its length.".to_owned(),
        Fault::Plumb => {
            format!("its {foot} is straight below or above the eye, where distance along the ground means nothing.")
        }
        Fault::NotFinite => "its place in the picture is not a number. Draw it again.".to_owned(),
    }
}

/// A shadow that does not lie where the light sends it.
fn shadow_finding(scene: &Scene, entry: &Entry) -> Option<Finding> {
    let astray = entry.astray.filter(|_| entry.standing != Standing::Impossible)?;
    let marker = scene.marker(entry.id)?;
    let Stands::Shadow { tip, light, .. } = marker.stands else { return None };
    let light = family_name(scene, Family::Incline(light));
    let pixels = (astray.ray - tip).length() * f64::from(scene.frame.working_width);
    let sentence = format!(
        "{}: its shadow lies {:.0}° off the way {light} runs. Move it {pixels:.0} px, or trace the light again.",
        marker.name,
        astray.angle.abs().to_degrees(),
    );
    Some(finding(Subject::Marker(entry.id), Vec::new(), Standing::Contradicts, sentence))
}

/// Angle by which an upright may lean before an eye notices, radians (three degrees, common practice;
/// people lean as they walk).
const NOTICEABLE_LEAN: f64 = 3.0 * std::f64::consts::PI / 180.0;

/// An upright that leans out of plumb, beyond chance and beyond what an eye overlooks.
fn lean_finding(scene: &Scene, entry: &Entry) -> Option<Finding> {
    let lean = entry.lean.filter(|_| entry.standing != Standing::Impossible)?;
    if lean.angle.abs() <= (SIGNIFICANT * lean.sd).max(NOTICEABLE_LEAN) {
        return None;
    }
    let marker = scene.marker(entry.id)?;
    let side = |angle: f64| if angle > 0.0 { "right" } else { "left" };
    let degrees = |angle: f64| angle.abs().to_degrees();
    let mut sentence = format!(
        "{} leans {:.1}° to the {} out of plumb.",
        marker.name,
        degrees(lean.angle),
        side(lean.angle)
    );
    // With a canted eye a correct upright may look vertical, or lean the other way.
    if lean.plumb.abs() > NOTICEABLE_LEAN {
        sentence += &format!(
            " A plumb line there leans {:.1}° to the {} in the picture.",
            degrees(lean.plumb),
            side(lean.plumb)
        );
    }
    if let Some(head) = entry.true_head {
        let pixels = (head.x - marker.head.x) * f64::from(scene.frame.working_width);
        sentence += &format!(" Move its head {:.0} px to the {}.", pixels.abs(), side(pixels));
    }
    Some(finding(Subject::Marker(entry.id), Vec::new(), Standing::Strained, sentence))
}
