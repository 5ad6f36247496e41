use crate::bounds::Bounds;
use crate::label::{Label, Rank};
use crate::palette::{DARK, WHITE};
use crate::pen::Pen;
use crate::pointer::pointer;
use crate::stage::{Stage, Whereabouts};
use glam::{DVec2, DVec3};
use staffage_scene::{LevelId, Subject, VisibleHorizon};
use staffage_solver::Source;

/// The horizon across everything that is seen, or a pointer to where it lies, and its label. Dashed
/// while nothing says how the eye looks up or is canted.
pub(crate) fn horizon(pen: &mut Pen, stage: &Stage<'_>, labels: &mut Vec<Label>) {
    let line = stage.assessment.eye.eye.horizon();
    let (normal, offset) = (line.truncate(), line.z);
    match pen.visible_line(normal, offset) {
        Some((left, right)) if stage.view.clip(left, right).is_some() => {
            if assumed(stage).contains(&true) {
                pen.line(left, right, 2.5, DARK.faded(0.3));
                pen.dashes(left, right, 1.0, WHITE.faded(0.85), (7.0, 6.0));
            } else {
                pen.edged_line(left, right, 1.5, WHITE);
            }
            labels.push(name(stage, left, right));
        }
        _ => {
            let nearest = -offset * normal;
            let place = stage.view.place(nearest.extend(1.0));
            if let (true, Some(place @ Whereabouts::At(_))) = (nearest.length() < 1e3, place) {
                pointer(pen, stage, place, WHITE, words(stage), labels);
            }
        }
    }
}

/// Where the lowest level below the eye is last seen, if the world curves so much that it can be told from
/// the eye's own level: a curve through directions that sink by the dip.
pub(crate) fn visible_horizon(pen: &mut Pen, stage: &Stage<'_>, labels: &mut Vec<Label>) {
    /// Half of the directions that are looked in, degrees, in steps of one.
    const AROUND: i32 = 80;
    let Some((level, horizon)) = lowest_visible(stage) else { return };
    let eye = &stage.assessment.eye.eye;
    let (sunk, level_part) = horizon.dip.sin_cos();
    let at = |degrees: i32| {
        let (right, ahead) = f64::from(degrees).to_radians().sin_cos();
        eye.project(DVec3::new(right * level_part, -sunk, -ahead * level_part))
    };
    let mut last = None;
    for degrees in -AROUND..AROUND {
        let (Some(from), Some(to)) = (at(degrees), at(degrees + 1)) else { continue };
        if let Some((from, to)) = stage.view.clip(from, to) {
            pen.edged_line(from, to, 1.0, WHITE.faded(0.85));
            last = Some(to);
        }
    }
    let name = stage.scene.level(level).map_or("the ground", |level| level.name.as_str());
    labels.extend(last.map(|at| Label {
        at,
        clearance: 2.0,
        lines: vec![(format!("edge of {}", crate::words::name(name)), WHITE)],
        rank: Rank::Guide,
        about: Some(Subject::Level(level)),
        sides: Label::AT_RIGHT_EDGE,
    }));
}

/// A dip that can be seen, radians (a quarter of a degree; 70 m over the earth's sea).
const LEAST_DIP: f64 = 0.25 * std::f64::consts::PI / 180.0;

/// The stretch of horizon that was traced in the painting.
pub(crate) fn traced_horizon(pen: &mut Pen, stage: &Stage<'_>) {
    let Some(segment) = stage.scene.horizon else { return };
    pen.edged_line(segment.0, segment.1, 2.5, WHITE);
    for end in [segment.0, segment.1] {
        pen.disc(end, 3.0, WHITE, Some((1.0, DARK)));
    }
}

/// Whether its height, and whether its tilt, rests on nothing that was traced or said.
fn assumed(stage: &Stage<'_>) -> [bool; 2] {
    let eye = &stage.assessment.eye;
    [eye.pitch, eye.cant].map(|quantity| quantity.source == Source::Assumed)
}

/// Over a world that curves, the eye's own level is not where the ground ends.
fn words(stage: &Stage<'_>) -> &'static str {
    match assumed(stage) {
        [true, true] => "horizon, assumed",
        [true, false] => "horizon, height assumed",
        [false, true] => "horizon, cant assumed",
        [false, false] if lowest_visible(stage).is_some() => "eye level",
        [false, false] => "horizon",
    }
}

/// The level whose visible horizon lies lowest, where that can be told from the eye's own level.
fn lowest_visible(stage: &Stage<'_>) -> Option<(LevelId, VisibleHorizon)> {
    let seen = stage.assessment.levels.iter().filter_map(|l| Some((l.id, l.horizon?)));
    let lowest = seen.max_by(|a, b| a.1.dip.total_cmp(&b.1.dip));
    lowest.filter(|(_, horizon)| horizon.dip > LEAST_DIP)
}

/// The name sits at the right end, just over the line.
fn name(stage: &Stage<'_>, left: DVec2, right: DVec2) -> Label {
    let (page, view) =
        (Bounds { min: DVec2::ZERO, max: stage.view.size() }.grown(-6.0), stage.view);
    let (left, right) = view.clip(left, right).unwrap_or((left, right));
    let ends = page.clip_segment(view.on_page(left), view.on_page(right));
    let end = ends.map(|(a, b)| if a.x > b.x { a } else { b });
    Label {
        at: end.map_or(right, |end| view.in_picture(end)),
        clearance: 2.0,
        lines: vec![(words(stage).into(), WHITE)],
        rank: Rank::Guide,
        about: None,
        sides: Label::AT_RIGHT_EDGE,
    }
}
