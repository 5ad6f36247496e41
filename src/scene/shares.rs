//! What a result rests on: the share that each statement has in how sure it is.

use crate::assess::Groundwork;
use crate::entries::Snooping;
use crate::wording::subject_name;
use crate::{MarkerId, Scene, Side, Stands, Statement, Subject, Units};
use staffage_solver::{Claim, Shares, VarianceShares};

/// Shares smaller than this are not worth a line.
const LEAST: f64 = 0.01;

/// So many of the largest are told.
const MOST: usize = 6;

/// One thing that a result rests on.
#[derive(Clone, Debug, PartialEq)]
pub struct Share {
    /// What to highlight; none for the eye.
    pub subject: Option<Subject>,
    /// What was said, in words: "the known size of the foreman".
    pub what: String,
    /// Its part of the result's variance, 0 to 1.
    pub share: f64,
}

/// What a marker's distance and size rest on, the largest shares first; empty where nothing fixes the
/// quantity.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Evidence {
    /// Of the distance.
    pub distance: Vec<Share>,
    /// Of the size.
    pub size: Vec<Share>,
}

/// What a marker's distance and size rest on: the part that each statement, and the eye, has in the
/// variance of the result. Worked out for one marker at a time, as it is asked for.
#[must_use]
pub fn evidence(scene: &Scene, marker: MarkerId) -> Evidence {
    let places = scene.markers.iter().position(|m| m.id == marker);
    evidence_of(scene, places.into_iter()).pop().unwrap_or_default()
}

/// What each marker's distance and size rest on, in the scene's order.
#[must_use]
pub fn all_evidence(scene: &Scene) -> Vec<Evidence> {
    evidence_of(scene, 0..scene.markers.len())
}

fn evidence_of(scene: &Scene, places: impl Iterator<Item = usize>) -> Vec<Evidence> {
    let mut groundwork = Groundwork::of(scene);
    let snooping = groundwork.snooping(scene, Units::default());
    let splitter = snooping.snooped.as_ref().and_then(|snooped| {
        let failed = |error: &_| tracing::warn!(%error, "what results rest on was not worked out");
        Shares::of(snooped).inspect_err(failed).ok()
    });
    let Some(mut splitter) = splitter else { return places.map(|_| Evidence::default()).collect() };
    let mut of_node = |node| {
        let fixed = snooping.measure(node).is_some();
        let split = fixed.then(|| splitter.variance_of(node)).flatten();
        split.map_or(Vec::new(), |split| largest(&snooping, &split))
    };
    places
        .map(|place| Evidence {
            distance: of_node(snooping.ledger.distance_node(place)),
            size: of_node(snooping.ledger.size_node(place)),
        })
        .collect()
}

/// The largest shares, in words.
fn largest(of: &Snooping<'_>, split: &VarianceShares) -> Vec<Share> {
    let mut shares: Vec<(Option<&[Claim]>, f64)> =
        split.groups.iter().map(|(claims, share)| (Some(claims.as_slice()), *share)).collect();
    shares.push((None, split.eye));
    shares.retain(|(_, share)| *share >= LEAST);
    shares.sort_by(|a, b| b.1.total_cmp(&a.1));
    shares.truncate(MOST);
    shares
        .into_iter()
        .map(|(claims, share)| {
            let eye = || (None, "the eye, as it is known".to_owned());
            let (subject, what) = claims.map_or_else(eye, |claims| said(of, claims));
            Share { subject, what, share }
        })
        .collect()
}

/// A group of statements in words.
fn said(of: &Snooping<'_>, claims: &[Claim]) -> (Option<Subject>, String) {
    let marker = |place: usize| {
        let subject = Subject::Marker(of.scene.markers[place].id);
        (Some(subject), subject_name(of.scene, subject))
    };
    match claims {
        [Claim::Clearance(place)] => {
            let level = &of.scene.levels[*place];
            (
                Some(Subject::Level(level.id)),
                match level.side {
                    Side::Below => format!("the stated height of the eye over {}", level.name),
                    Side::Above => format!("the stated height of {} over the eye", level.name),
                },
            )
        }
        [Claim::Above(place)] => {
            let level = &of.scene.levels[*place];
            let lower =
                level.above.map(|above| subject_name(of.scene, Subject::Level(above.level)));
            let over = lower.map_or(String::new(), |lower| format!(" over {lower}"));
            (Some(Subject::Level(level.id)), format!("the stated height of {}{over}", level.name))
        }
        [Claim::Known { marker: place, .. }] => {
            let (subject, name) = marker(*place);
            (subject, known(of, claims[0], &name))
        }
        [Claim::Stands(place)] => {
            let (subject, name) = marker(*place);
            (subject, where_it_stands(of, *place, &name))
        }
        [Claim::Spans(place)] => {
            let (subject, name) = marker(*place);
            (subject, format!("how large {name} is drawn"))
        }
        [Claim::Stands(place), ..] => {
            let (subject, name) = marker(*place);
            let stands = where_it_stands(of, *place, &name);
            (subject, format!("{stands}, and how large it is drawn"))
        }
        _ => (None, "several statements".to_owned()),
    }
}

/// What ties a marker to its level, in words.
fn where_it_stands(of: &Snooping<'_>, place: usize, name: &str) -> String {
    match of.scene.markers[place].stands {
        Stands::Shadow { .. } => format!("where {name} and its shadow are"),
        Stands::Hidden { .. } => format!("the stated height of the head of {name}, where it is"),
        Stands::OnTop(base) => {
            format!("where {name} stands on {}", subject_name(of.scene, Subject::Marker(base)))
        }
        Stands::Over { .. } => format!("where {name} floats"),
        Stands::On(_) | Stands::Unsaid => format!("where {name} stands"),
    }
}

fn known(of: &Snooping<'_>, claim: Claim, name: &str) -> String {
    let other = |id| subject_name(of.scene, Subject::Marker(id));
    match of.statement(claim).map(|(_, statement)| statement) {
        Some(Statement::KnownSize { .. }) => format!("the known size of {name}"),
        Some(Statement::Distance(_)) => format!("the stated distance of {name}"),
        Some(Statement::SameMake { of: twin, .. }) => {
            format!("{name} being of the same make as {}", other(*twin))
        }
        Some(Statement::Times { of: twin, .. }) => {
            format!("how many times as large as {} {name} is", other(*twin))
        }
        Some(Statement::SameDistance { of: twin, .. }) => {
            format!("{name} being as far off as {}", other(*twin))
        }
        None => format!("what is known of {name}"),
    }
}
