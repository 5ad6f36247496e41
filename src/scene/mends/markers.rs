//! Mends of markers: scaled, moved, set on another level, or taken as they are drawn.

use super::drawn::{Points, Ruler};
use super::slide::nearest_root;
use super::{Candidate, in_words};
use crate::wording::{dimension, small, subject_name};
use crate::{
    Assessment, Edit, Entry, Known, LevelId, Marker, MarkerId, Scene, Segment, Span, Standing,
    Stands, Statement, Subject, Unit, apply, assess,
};
use glam::DVec2;

/// Everything that might mend a marker. A shadow that lies off its ray is moved there first, and what may
/// still be wrong after that is mended as well.
pub(super) fn candidates(scene: &Scene, assessment: &Assessment, id: MarkerId) -> Vec<Candidate> {
    let Some(first) = shadow_on_ray(scene, assessment, id) else {
        return plain_candidates(scene, assessment, id);
    };
    let Ok(after) = apply(scene, &first.edit) else { return Vec::new() };
    let again = assess(&after);
    let is_mended = again.entry(id).is_some_and(|entry| entry.standing > Standing::Contradicts);
    if is_mended {
        return vec![first];
    }
    let then = plain_candidates(&after, &again, id).into_iter().map(|second| Candidate {
        sentence: format!("{} Then {}", first.sentence, small(&second.sentence)),
        moves: first.moves.iter().chain(&second.moves).copied().collect(),
        edit: second.edit,
    });
    then.collect()
}

/// The shadow of a thing moved across the picture onto the ray of the light.
fn shadow_on_ray(scene: &Scene, assessment: &Assessment, id: MarkerId) -> Option<Candidate> {
    let (marker, ray) = (scene.marker(id)?, assessment.entry(id)?.astray?.ray);
    let tip = marker.stands.tie()?;
    let by = in_words(scene, ray - tip);
    let stands = marker.stands.tied_at(ray);
    Some(Candidate {
        edit: Edit::PutMarker(Marker { stands, ..marker.clone() }),
        sentence: format!("Move its shadow {by}, onto the ray of the light."),
        moves: vec![Segment(tip, ray)],
    })
}

fn plain_candidates(scene: &Scene, assessment: &Assessment, id: MarkerId) -> Vec<Candidate> {
    let (Some(marker), Some(entry)) = (scene.marker(id), assessment.entry(id)) else {
        return Vec::new();
    };
    let ruler = Ruler::new(scene, assessment, marker, entry.unit);
    let studio = Studio { scene, assessment, marker, entry, ruler };
    let sizes = studio.fitting_sizes();
    let distances = studio.fitting_distances();
    let mut candidates = Vec::new();
    for &size in &sizes {
        candidates.extend(studio.scaled(size));
        candidates.extend(studio.moved_to_size(size));
        candidates.extend(studio.pulled(|ruler, at| Some(ruler.size(at)? / size)));
    }
    for &distance in &distances {
        candidates.extend(studio.moved_to_distance(distance));
        candidates.extend(studio.pulled(|ruler, at| Some(ruler.distance(at)? / distance)));
    }
    candidates.push(studio.turned_over());
    candidates.extend(studio.other_levels());
    candidates.extend(studio.another_height(&sizes, &distances));
    candidates.extend(studio.taken_as_drawn());
    candidates
}

/// A marker with all that is needed to repaint it.
struct Studio<'a> {
    scene: &'a Scene,
    assessment: &'a Assessment,
    marker: &'a Marker,
    entry: &'a Entry,
    ruler: Ruler<'a>,
}

/// One of a marker's points that can be moved by itself.
#[derive(Clone, Copy, PartialEq)]
enum Handle {
    Foot,
    Head,
    Tie,
    /// A shadow, along the ray of the light that passes the thing.
    Shadow,
}

impl Studio<'_> {
    /// Whether its span runs from one outline to the other.
    fn is_round(&self) -> bool {
        matches!(self.marker.span, Span::Cylinder | Span::Ball)
    }

    fn drawn(&self) -> Points {
        Points::of(self.marker)
    }

    /// How far off it is as drawn: by where it stands, or else by the ledger.
    fn drawn_distance(&self) -> Option<f64> {
        self.ruler.distance(self.drawn()).or(self.entry.distance.map(|d| d.value))
    }

    /// How large it is as drawn.
    fn drawn_size(&self) -> Option<f64> {
        Some(self.drawn_distance()? * self.ruler.span(self.drawn())?)
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
        let head = self.ruler.head_at(size / self.drawn_distance()?)?;
        let by = in_words(self.scene, head - marker.head);
        // What is drawn impossibly has no size to be scaled.
        let drawn = self.drawn_size().map(|size| self.entry.size.map_or(size, |s| s.value));
        let what = match drawn {
            Some(drawn) => format!("Scale it to {:.0} %", 100.0 * size / drawn),
            None => {
                let size = self.assessment.units.length(size, self.entry.unit);
                format!("Draw it {size} {}", dimension(marker.span))
            }
        };
        let end = if self.is_round() { "other side" } else { "head" };
        Some(Candidate {
            edit: Edit::PutMarker(Marker { head, ..marker.clone() }),
            sentence: format!("{what}: its {end} goes {by}."),
            moves: vec![Segment(marker.head, head)],
        })
    }

    /// The marker moved as it is, up or down the picture, to where it has this size.
    fn moved_to_size(&self, size: f64) -> Option<Candidate> {
        let by = self.shift(|at| Some(self.ruler.size(at)? / size))?;
        let to = in_words(self.scene, by);
        Some(self.shifted(by, format!("Move the whole of it {to}, to where its size fits.")))
    }

    /// The marker moved as it is, up or down the picture, to where it is this far off.
    fn moved_to_distance(&self, distance: f64) -> Option<Candidate> {
        let by = self.shift(|at| Some(self.ruler.distance(at)? / distance))?;
        let (to, far) =
            (in_words(self.scene, by), self.assessment.units.length(distance, self.entry.unit));
        Some(self.shifted(by, format!("Move the whole of it {to}, to where it is {far} off.")))
    }

    /// The smallest shift up or down the picture that makes a ratio one.
    fn shift(&self, ratio: impl Fn(Points) -> Option<f64>) -> Option<DVec2> {
        let drawn = self.drawn();
        let along = self.ruler.plumb(drawn.tie)?;
        Some(nearest_root(|t| Some(ratio(drawn.shifted(t * along))?.ln()))? * along)
    }

    fn shifted(&self, by: DVec2, sentence: String) -> Candidate {
        let (from, to) = (self.drawn(), self.drawn().shifted(by));
        let mut moves = vec![Segment(from.foot, to.foot), Segment(from.head, to.head)];
        if self.marker.stands.tie().is_some() {
            moves.push(Segment(from.tie, to.tie));
        }
        Candidate { edit: Edit::PutMarker(to.put(self.marker)), sentence, moves }
    }

    /// The point that says how far off the marker is, moved by itself until a ratio is one.
    fn pulled<'b>(
        &'b self,
        ratio: impl Fn(&Ruler<'_>, Points) -> Option<f64> + 'b,
    ) -> impl Iterator<Item = Candidate> + 'b {
        self.handles().into_iter().filter_map(move |(handle, along)| {
            let along = along?;
            let drawn = self.drawn();
            let at = |t: f64| {
                let mut points = drawn;
                match handle {
                    Handle::Foot => points.foot += t * along,
                    Handle::Head => points.head += t * along,
                    Handle::Tie | Handle::Shadow => points.tie += t * along,
                }
                points
            };
            let t = nearest_root(|t| Some(ratio(&self.ruler, at(t))?.ln()))?;
            Some(self.pulled_to(handle, at(t)))
        })
    }

    /// Points that can be moved by themselves, with the picture directions in which they can.
    fn handles(&self) -> Vec<(Handle, Option<DVec2>)> {
        let Points { foot, head, tie } = self.drawn();
        match self.marker.stands {
            Stands::On(_) | Stands::OnTop(_) => vec![(Handle::Foot, (foot - head).try_normalize())],
            Stands::Over { .. } => vec![(Handle::Tie, (tie - foot).try_normalize())],
            // Wherever the thing is, its shadow lies on the ray that passes it in the picture.
            Stands::Shadow { .. } => {
                vec![(Handle::Shadow, (tie - self.marker.hangs_from()).try_normalize())]
            }
            Stands::Hidden { .. } => vec![(Handle::Head, (head - foot).try_normalize())],
            Stands::Unsaid => Vec::new(),
        }
    }

    fn pulled_to(&self, handle: Handle, to: Points) -> Candidate {
        let drawn = self.drawn();
        let Segment(before, after) = match handle {
            Handle::Foot => Segment(drawn.foot, to.foot),
            Handle::Head => Segment(drawn.head, to.head),
            Handle::Tie | Handle::Shadow => Segment(drawn.tie, to.tie),
        };
        let by = in_words(self.scene, after - before);
        let sentence = match (handle, self.marker.stands) {
            (Handle::Foot, _) if self.is_round() => {
                format!("Move one side of it {by}, the other staying where it is.")
            }
            (Handle::Foot, _) => format!("Move its foot {by}, its head staying where it is."),
            (Handle::Head, _) => format!("Move its head {by}, the rest staying where it is."),
            (Handle::Shadow, _) => format!("Move its shadow {by}, on the ray of the light."),
            (Handle::Tie, _) => format!("Move its plumb point {by}."),
        };
        Candidate {
            edit: Edit::PutMarker(to.put(self.marker)),
            sentence,
            moves: vec![Segment(before, after)],
        }
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
        let (own, said) = (self.marker.stands.level(), self.marker.stands != Stands::Unsaid);
        let others = self.scene.levels.iter().filter(move |l| said && Some(l.id) != own);
        others.map(|level| {
            let stands = on_level(self.marker.stands, level.id);
            let verb = match stands {
                Stands::Over { .. } => "Hang it over",
                Stands::Shadow { .. } => "Let its shadow fall on",
                Stands::Hidden { .. } => "Let it stand out of sight on",
                Stands::On(_) | Stands::OnTop(_) | Stands::Unsaid => "Set it on",
            };
            Candidate::said(
                Edit::PutMarker(Marker { stands, ..self.marker.clone() }),
                format!("{verb} {} instead.", level.name),
            )
        })
    }

    /// For a hidden foot: the height of its head that fits one of these sizes or distances, or what
    /// everything else makes of its distance.
    fn another_height(&self, sizes: &[f64], distances: &[f64]) -> Vec<Candidate> {
        let Stands::Hidden { level, height } = self.marker.stands else { return Vec::new() };
        let by_size = self.ruler.span(self.drawn()).into_iter();
        let by_size = by_size.flat_map(|span| sizes.iter().map(move |size| size / span));
        let adjusted = self.entry.distance.map(|d| d.value);
        let distances = adjusted.into_iter().chain(by_size).chain(distances.iter().copied());
        let heights = distinct(distances.filter_map(|d| self.ruler.head_over_level(d)));
        let on = subject_name(self.scene, Subject::Level(level));
        heights
            .into_iter()
            .map(|metres| {
                let stands = Stands::Hidden { level, height: Known { metres, ..height } };
                Candidate::said(
                    Edit::PutMarker(Marker { stands, ..self.marker.clone() }),
                    format!(
                        "Say that its head is {} over {on}.",
                        self.assessment.units.metres(metres)
                    ),
                )
            })
            .collect()
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
                let said = self.assessment.units.metres(metres);
                let sentence = format!("Take it as drawn, {said} {}.", dimension(self.marker.span));
                let size = Known { metres, ..size };
                Some((Some(Statement::KnownSize { size, as_: String::new() }), sentence))
            }
            Statement::SameMake { of, spread } | Statement::Times { of, spread, .. } => {
                ratio(of, spread)
            }
            Statement::Distance(distance) => {
                let metres = self.drawn_distance().filter(|_| in_metres)?;
                let sentence =
                    format!("Take it as drawn, {} off.", self.assessment.units.metres(metres));
                Some((Some(Statement::Distance(Known { metres, ..distance })), sentence))
            }
            Statement::SameDistance { of, .. } => {
                Some((None, format!("No longer say that it is as far off as {}.", name(of))))
            }
        }
    }
}

fn on_level(stands: Stands, level: LevelId) -> Stands {
    match stands {
        Stands::Over { plumb, .. } => Stands::Over { level, plumb },
        Stands::Shadow { tip, light, .. } => Stands::Shadow { level, tip, light },
        Stands::Hidden { height, .. } => Stands::Hidden { level, height },
        Stands::On(_) | Stands::OnTop(_) | Stands::Unsaid => Stands::On(level),
    }
}

/// Positive lengths without those that are the same to a hundredth.
fn distinct(lengths: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut kept: Vec<f64> = Vec::new();
    for length in lengths.filter(|l| l.is_finite() && *l > 0.0) {
        if kept.iter().all(|k| (k / length - 1.0).abs() > 1e-2) {
            kept.push(length);
        }
    }
    kept
}
