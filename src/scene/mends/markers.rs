//! Mends of markers: scaled, moved, set on another level, or taken as they are drawn.

use super::slide::nearest_root;
use super::{Candidate, in_words};
use crate::evidence::solver_span;
use crate::wording::{dimension, subject_name};
use crate::{
    Assessment, Edit, Entry, Known, Level, LevelId, Marker, MarkerId, Scene, Segment, Side, Stands,
    Statement, Subject, Unit, length,
};
use glam::{DVec2, DVec3};
use staffage_solver as solver;
use staffage_solver::{Eye, Headings, head_at, run_per_clearance, span_per_run};

/// Everything that might mend a marker.
pub(super) fn candidates(scene: &Scene, assessment: &Assessment, id: MarkerId) -> Vec<Candidate> {
    let (Some(marker), Some(entry)) = (scene.marker(id), assessment.entry(id)) else {
        return Vec::new();
    };
    let studio = Studio::new(scene, assessment, marker, entry);
    let sizes = studio.fitting_sizes();
    let mut candidates = Vec::new();
    for &size in &sizes {
        candidates.extend(studio.scaled(size));
        candidates.extend(studio.moved_to_size(size));
        candidates.extend(studio.foot_moved(size));
    }
    for distance in studio.fitting_distances() {
        candidates.extend(studio.moved_to_distance(distance));
    }
    candidates.push(studio.turned_over());
    candidates.extend(studio.other_levels());
    candidates.extend(studio.taken_as_drawn());
    candidates
}

/// A marker with all that is needed to repaint it.
struct Studio<'a> {
    scene: &'a Scene,
    assessment: &'a Assessment,
    marker: &'a Marker,
    entry: &'a Entry,
    eye: Eye,
    headings: Headings,
    /// Side and clearance of the marker's level, in the entry's unit.
    level: Option<(solver::Side, f64)>,
}

impl<'a> Studio<'a> {
    fn new(
        scene: &'a Scene,
        assessment: &'a Assessment,
        marker: &'a Marker,
        entry: &'a Entry,
    ) -> Self {
        let reading = &assessment.eye;
        let headings = Headings {
            blocks: reading.headings.iter().map(|(_, heading)| heading.value).collect(),
            inclines: reading.inclines.iter().map(|(_, h, slope)| [h.value, slope.value]).collect(),
        };
        // Where a shadow, a hidden foot or a stack says how far off it is, the ledger tells.
        let level = match marker.stands {
            Stands::On(id) | Stands::Over { level: id, .. } => scene.level(id),
            _ => None,
        };
        let level = level.and_then(|level| clearance(assessment, level, entry.unit));
        Self { scene, assessment, marker, entry, eye: reading.eye, headings, level }
    }

    /// Distance of a foot (or plumb point) on the marker's level.
    fn distance_at(&self, point: DVec2) -> Option<f64> {
        let (side, clearance) = self.level?;
        let ratio = run_per_clearance(&self.eye, &self.headings, point, side).ok()?;
        Some(clearance * ratio.value.exp())
    }

    /// Size of the marker over its distance, drawn from here to there.
    fn span_at(&self, foot: DVec2, head: DVec2) -> Option<f64> {
        let span = solver_span(self.scene, self.marker.span);
        Some(span_per_run(&self.eye, &self.headings, foot, head, span).ok()?.value.exp())
    }

    /// The point that says how far off the marker is.
    fn grounded(&self) -> DVec2 {
        self.marker.stands.tie().unwrap_or(self.marker.foot)
    }

    /// How far off it is as drawn: by where it stands, or else by the ledger.
    fn drawn_distance(&self) -> Option<f64> {
        self.distance_at(self.grounded()).or(self.entry.distance.map(|d| d.value))
    }

    /// How large it is as drawn.
    fn drawn_size(&self) -> Option<f64> {
        Some(self.drawn_distance()? * self.span_at(self.marker.foot, self.marker.head)?)
    }

    /// Sizes that would fit: what everything else asks for, and each statement by itself.
    fn fitting_sizes(&self) -> Vec<f64> {
        let in_metres = self.entry.unit == Unit::Metres;
        let said = self.marker.statements.iter().filter_map(|statement| match *statement {
            Statement::KnownSize { size, .. } => in_metres.then_some(size.metres),
            Statement::SameMake { of, .. } => self.other_size(of),
            Statement::Times { of, factor, .. } => Some(self.other_size(of)? * factor),
            Statement::SameDistance { .. } | Statement::Distance(_) => None,
        });
        let adjusted = self.entry.expected_size.or(self.entry.size).map(|s| s.value);
        distinct(adjusted.into_iter().chain(said))
    }

    /// Distances that were said of it.
    fn fitting_distances(&self) -> Vec<f64> {
        let in_metres = self.entry.unit == Unit::Metres;
        distinct(self.marker.statements.iter().filter_map(|statement| match *statement {
            Statement::Distance(distance) => in_metres.then_some(distance.metres),
            Statement::SameDistance { of, .. } => {
                let other = self.assessment.entry(of).filter(|e| e.unit == self.entry.unit)?;
                other.distance.map(|d| d.value)
            }
            _ => None,
        }))
    }

    fn other_size(&self, id: MarkerId) -> Option<f64> {
        let other = self.assessment.entry(id).filter(|e| e.unit == self.entry.unit)?;
        other.size.map(|s| s.value)
    }

    /// The marker with its head where a size puts it.
    fn scaled(&self, size: f64) -> Option<Candidate> {
        let marker = self.marker;
        let per_run = size / self.drawn_distance()?;
        let span = solver_span(self.scene, marker.span);
        let head = head_at(&self.eye, &self.headings, marker.foot, marker.head, span, per_run)?;
        let by = in_words(self.scene, head - marker.head);
        // What is drawn impossibly has no size to be scaled.
        let drawn = self.drawn_size().map(|size| self.entry.size.map_or(size, |s| s.value));
        let what = match drawn {
            Some(drawn) => format!("Scale it to {:.0} %", 100.0 * size / drawn),
            None => {
                let size = length(size, self.entry.unit);
                format!("Draw it {size} {}", dimension(marker.span))
            }
        };
        Some(Candidate {
            edit: Edit::PutMarker(Marker { head, ..marker.clone() }),
            sentence: format!("{what}: its head goes {by}."),
            moves: vec![Segment(marker.head, head)],
        })
    }

    /// The marker moved as it is, up or down the picture, to where it has this size.
    fn moved_to_size(&self, size: f64) -> Option<Candidate> {
        let Marker { foot, head, .. } = *self.marker;
        let by = self.shift(|by| {
            let distance = self.distance_at(self.grounded() + by)?;
            Some((distance * self.span_at(foot + by, head + by)? / size).ln())
        })?;
        let to = in_words(self.scene, by);
        Some(self.shifted(by, format!("Move the whole of it {to}, to where its size fits.")))
    }

    /// The marker moved as it is, up or down the picture, to where it is this far off.
    fn moved_to_distance(&self, distance: f64) -> Option<Candidate> {
        let by =
            self.shift(|by| Some((self.distance_at(self.grounded() + by)? / distance).ln()))?;
        let (to, far) = (in_words(self.scene, by), length(distance, self.entry.unit));
        Some(self.shifted(by, format!("Move the whole of it {to}, to where it is {far} off.")))
    }

    /// The smallest shift up or down the picture that makes a quantity zero.
    fn shift(&self, of: impl Fn(DVec2) -> Option<f64>) -> Option<DVec2> {
        let plumb = self.eye.image(DVec3::Y);
        let along = (plumb.truncate() - plumb.z * self.grounded()).try_normalize()?;
        Some(nearest_root(|t| of(t * along))? * along)
    }

    fn shifted(&self, by: DVec2, sentence: String) -> Candidate {
        let mut marker = self.marker.clone();
        let mut moves = Vec::new();
        let mut shift = |point: &mut DVec2| {
            moves.push(Segment(*point, *point + by));
            *point += by;
        };
        shift(&mut marker.foot);
        shift(&mut marker.head);
        if let Some(mut tie) = marker.stands.tie() {
            shift(&mut tie);
            marker.stands = marker.stands.tied_at(tie);
        }
        Candidate { edit: Edit::PutMarker(marker), sentence, moves }
    }

    /// The marker with its foot (or its plumb point) moved along its span's line until it has this
    /// size, its head staying where it is.
    fn foot_moved(&self, size: f64) -> Option<Candidate> {
        let Marker { foot, head, stands, .. } = *self.marker;
        let floats = matches!(stands, Stands::Over { .. });
        let towards = if floats { self.grounded() - foot } else { foot - head };
        let along = towards.try_normalize()?;
        let foot_after = |t: f64| if floats { foot } else { foot + t * along };
        let t = nearest_root(|t| {
            let distance = self.distance_at(self.grounded() + t * along)?;
            Some((distance * self.span_at(foot_after(t), head)? / size).ln())
        })?;
        let from = self.grounded();
        let to = from + t * along;
        let marker =
            Marker { foot: foot_after(t), stands: stands.tied_at(to), ..self.marker.clone() };
        let what = if floats { "plumb point" } else { "foot" };
        let by = in_words(self.scene, to - from);
        let rest = if floats { "" } else { ", its head staying where it is" };
        Some(Candidate {
            edit: Edit::PutMarker(marker),
            sentence: format!("Move its {what} {by}{rest}."),
            moves: vec![Segment(from, to)],
        })
    }

    /// Foot and head taken for each other.
    fn turned_over(&self) -> Candidate {
        let Marker { foot, head, .. } = *self.marker;
        Candidate::said(
            Edit::PutMarker(Marker { foot: head, head: foot, ..self.marker.clone() }),
            "Take its foot for its head.".to_owned(),
        )
    }

    fn other_levels(&self) -> impl Iterator<Item = Candidate> + '_ {
        let own = self.marker.stands.level();
        let others = self.scene.levels.iter().filter(move |l| own.is_some() && Some(l.id) != own);
        others.map(|level| {
            let stands = on_level(self.marker.stands, level.id);
            let verb = match stands {
                Stands::Over { .. } => "Hang it over",
                Stands::Shadow { .. } => "Let its shadow fall on",
                _ => "Set it on",
            };
            Candidate::said(
                Edit::PutMarker(Marker { stands, ..self.marker.clone() }),
                format!("{verb} {} instead.", level.name),
            )
        })
    }

    /// Each statement changed to what the drawing says.
    fn taken_as_drawn(&self) -> impl Iterator<Item = Candidate> + '_ {
        let statements = self.marker.statements.iter().enumerate();
        statements.filter_map(|(k, statement)| {
            let (said, sentence) = self.as_drawn(statement)?;
            let mut marker = self.marker.clone();
            match said {
                Some(said) => marker.statements[k] = said,
                None => drop(marker.statements.remove(k)),
            }
            Some(Candidate::said(Edit::PutMarker(marker), sentence))
        })
    }

    /// What to say instead of a statement, or nothing, and how to put it.
    fn as_drawn(&self, statement: &Statement) -> Option<(Option<Statement>, String)> {
        let in_metres = self.entry.unit == Unit::Metres;
        let name = |id| subject_name(self.scene, Subject::Marker(id));
        let ratio = |of: MarkerId, spread: f64| {
            let factor = self.drawn_size()? / self.other_size(of)?;
            let sentence = format!("Take it as drawn, {factor:.2} times as large as {}.", name(of));
            Some((Some(Statement::Times { of, factor, spread }), sentence))
        };
        match *statement {
            Statement::KnownSize { size, .. } => {
                let metres = self.drawn_size().filter(|_| in_metres)?;
                let said = length(metres, Unit::Metres);
                let sentence = format!("Take it as drawn, {said} {}.", dimension(self.marker.span));
                let size = Known { metres, ..size };
                Some((Some(Statement::KnownSize { size, as_: String::new() }), sentence))
            }
            Statement::SameMake { of, spread } | Statement::Times { of, spread, .. } => {
                ratio(of, spread)
            }
            Statement::Distance(distance) => {
                let metres = self.drawn_distance().filter(|_| in_metres)?;
                let sentence = format!("Take it as drawn, {} off.", length(metres, Unit::Metres));
                Some((Some(Statement::Distance(Known { metres, ..distance })), sentence))
            }
            Statement::SameDistance { of, .. } => {
                Some((None, format!("No longer say that it is as far off as {}.", name(of))))
            }
        }
    }
}

/// Side and clearance of a level in a unit, if it is known in that unit.
fn clearance(assessment: &Assessment, level: &Level, unit: Unit) -> Option<(solver::Side, f64)> {
    let reading = assessment.levels.iter().find(|l| l.id == level.id && l.unit == unit)?;
    let own = unit == Unit::EyeHeights(level.id);
    let value = reading.clearance.map(|c| c.value).or(own.then_some(1.0))?;
    let side = match level.side {
        Side::Below => solver::Side::Below,
        Side::Above => solver::Side::Above,
    };
    Some((side, value))
}

fn on_level(stands: Stands, level: LevelId) -> Stands {
    match stands {
        Stands::Over { plumb, .. } => Stands::Over { level, plumb },
        Stands::Shadow { tip, light, .. } => Stands::Shadow { level, tip, light },
        Stands::Hidden { height, .. } => Stands::Hidden { level, height },
        Stands::On(_) | Stands::OnTop(_) | Stands::Unsaid => Stands::On(level),
    }
}

/// Positive lengths without those that are the same to a thousandth.
fn distinct(lengths: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut kept: Vec<f64> = Vec::new();
    for length in lengths.filter(|l| l.is_finite() && *l > 0.0) {
        if kept.iter().all(|k| (k / length - 1.0).abs() > 1e-3) {
            kept.push(length);
        }
    }
    kept
}
