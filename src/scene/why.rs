//! Why something contradicts: the shortest loop of statements that disagrees with it, one after the
//! other, in a painter's words.

use crate::entries::{Snooping, owner};
use crate::wording::{capital, dimension, factor, percent, subject_name};
use crate::{Level, MarkerId, Side, Stands, Statement, Step, Subject, Unit};
use staffage_solver::{Claim, Leg, Paths, Rejection};

/// The ways through what was kept.
pub(crate) fn kept_paths(of: &Snooping<'_>) -> Option<Paths> {
    let snooped = of.snooped.as_ref()?;
    Some(Paths::new(&snooped.network, &snooped.claims, &snooped.adjustment.values))
}

/// The statements that lead to another answer than a rejected one, and that one last.
pub(crate) fn because(of: &Snooping<'_>, paths: &Paths, rejection: &Rejection) -> Vec<Step> {
    let Some(culprit) = leg(of, rejection.claim) else { return Vec::new() };
    let way = paths.between(culprit.from, culprit.to, None).or_else(|| {
        let values = &of.snooped.as_ref()?.adjustment.values;
        let all = Paths::new(&of.ledger.network, &of.ledger.claims, values);
        all.between(culprit.from, culprit.to, Some(culprit.claim))
    });
    let Some(way) = way else { return Vec::new() };
    let chain = Chain::along(of, culprit.from, &way);
    let mut steps = chain.steps;
    let value = chain.at_start.map(|v| v + culprit.difference);
    let mut last = step(of, culprit, value, chain.unit);
    last.sentence = format!("But {}", last.sentence);
    steps.push(last);
    steps
}

/// The statements that put the thing in front behind the other.
pub(crate) fn because_of_distances(
    of: &Snooping<'_>,
    paths: &Paths,
    front: usize,
    behind: usize,
) -> Vec<Step> {
    let (near, far) = (of.ledger.distance_node(behind), of.ledger.distance_node(front));
    let way = paths.between(Some(near), Some(far), None);
    way.map_or(Vec::new(), |way| Chain::along(of, Some(near), &way).steps)
}

/// A rejected statement as a leg of its loop.
fn leg(of: &Snooping<'_>, claim: Claim) -> Option<Leg> {
    let values = &of.snooped.as_ref()?.adjustment.values;
    Leg::of(claim, &of.ledger.row(claim, values)?, values)
}

/// Statements in the order in which one follows from the other.
struct Chain {
    steps: Vec<Step>,
    /// ln of what the chain makes of the node that the loop starts from.
    at_start: Option<f64>,
    unit: Unit,
}

impl Chain {
    /// Follows a way from `start`. Where it passes a benchmark, the story is told from there, once to
    /// each end; where it passes none, from the adjusted value of `start`, or without figures if
    /// nothing fixes that.
    fn along(of: &Snooping<'_>, start: Option<usize>, way: &[Leg]) -> Self {
        let benchmark = way.iter().position(|leg| leg.to.is_none());
        let mut steps = Vec::new();
        if let Some(last) = benchmark {
            let back: Vec<Leg> = way[..=last].iter().rev().map(|leg| leg.reversed()).collect();
            let at_start = follow(of, &back, Some(0.0), Unit::Metres, &mut steps);
            follow(of, &way[last + 1..], Some(0.0), Unit::Metres, &mut steps);
            return Self { steps, at_start, unit: Unit::Metres };
        }
        let (at_start, unit) = match start {
            None => (Some(0.0), Unit::Metres),
            Some(node) => match of.measure(node) {
                Some((value, unit)) => (Some(value.value.ln()), unit),
                None => (None, Unit::Metres),
            },
        };
        follow(of, way, at_start, unit, &mut steps);
        Self { steps, at_start, unit }
    }
}

/// Says each leg and returns the value that it ends with.
fn follow(
    of: &Snooping<'_>,
    legs: &[Leg],
    from: Option<f64>,
    unit: Unit,
    steps: &mut Vec<Step>,
) -> Option<f64> {
    legs.iter().fold(from, |value, leg| {
        let value = value.map(|v| v + leg.difference);
        let Step { subjects, sentence } = step(of, *leg, value, unit);
        steps.push(Step { subjects, sentence: capital(&sentence) });
        value
    })
}

/// The length that a statement leads to, in words, if there are figures at all.
struct LeadsTo(Option<String>);

impl LeadsTo {
    /// What follows, or nothing without a figure.
    fn so(&self, words: impl Fn(&str) -> String) -> String {
        self.0.as_deref().map_or(String::new(), words)
    }
}

/// A statement with what follows from it, `value` being ln of the length it leads to.
fn step(of: &Snooping<'_>, leg: Leg, value: Option<f64>, unit: Unit) -> Step {
    let leads_to = LeadsTo(value.map(|ln| of.units.length(ln.clamp(-60.0, 60.0).exp(), unit)));
    let scene = of.scene;
    let mut subjects = Vec::new();
    let sentence = match leg.claim {
        Claim::Clearance(place) => {
            let level = &scene.levels[place];
            subjects.push(Subject::Level(level.id));
            let stated = of.units.metres(level.clearance.map_or(f64::NAN, |c| c.metres));
            match level.side {
                Side::Below => format!("the eye is said to be {stated} over {}.", level.name),
                Side::Above => format!("{} is said to be {stated} over the eye.", level.name),
            }
        }
        Claim::Above(place) => above(of, place, leg, &leads_to, &mut subjects),
        Claim::Stands(place) => stands(of, place, leg, &leads_to, &mut subjects),
        Claim::Spans(place) => {
            let marker = &scene.markers[place];
            let (name, how) = (&marker.name, dimension(marker.span));
            if leg.to == Some(of.ledger.size_node(place)) {
                let off = leads_to.so(|s| format!("{s} {how}"));
                if off.is_empty() {
                    format!("how large {name} is drawn tells its size from its distance.")
                } else {
                    format!("seen from there, {name} is drawn {off}.")
                }
            } else {
                let off = leads_to.so(|s| format!(": it is {s} off"));
                format!("how large {name} is drawn tells its distance from its size{off}.")
            }
        }
        Claim::Known { .. } => known(of, leg, &leads_to, &mut subjects),
    };
    if let Some(marker) = owner(leg.claim).and_then(|place| scene.markers.get(place)) {
        subjects.insert(0, Subject::Marker(marker.id));
    }
    Step { subjects, sentence }
}

fn above(
    of: &Snooping<'_>,
    place: usize,
    leg: Leg,
    leads_to: &LeadsTo,
    subjects: &mut Vec<Subject>,
) -> String {
    let upper = &of.scene.levels[place];
    let lower = upper.above.and_then(|above| of.scene.level(above.level));
    subjects.push(Subject::Level(upper.id));
    subjects.extend(lower.map(|l| Subject::Level(l.id)));
    let step = of.units.metres(upper.above.map_or(f64::NAN, |a| a.by.metres));
    let reached = if leg.to == Some(of.ledger.clearance_node(place)) { Some(upper) } else { lower };
    let follows = reached.map_or(String::new(), |level| leads_to.so(|s| so_high(level, s)));
    let lower = lower.map_or("another level", |l| l.name.as_str());
    format!("{} is said to lie {step} above {lower}{follows}.", upper.name)
}

/// What is known of a level: "so the eye is 3.2 m over the deck".
fn so_high(level: &Level, clearance: &str) -> String {
    match level.side {
        Side::Below => format!(", so the eye is {clearance} over {}", level.name),
        Side::Above => format!(", so {} is {clearance} over the eye", level.name),
    }
}

fn stands(
    of: &Snooping<'_>,
    place: usize,
    leg: Leg,
    leads_to: &LeadsTo,
    subjects: &mut Vec<Subject>,
) -> String {
    let marker = &of.scene.markers[place];
    let name = &marker.name;
    let level = marker.stands.level().and_then(|id| of.scene.level(id));
    subjects.extend(level.map(|l| Subject::Level(l.id)));
    let on = level.map_or("its level", |l| l.name.as_str());
    if let Stands::OnTop(base) = marker.stands {
        subjects.push(Subject::Marker(base));
        let base = subject_name(of.scene, Subject::Marker(base));
        let it = if leg.to == Some(of.ledger.distance_node(place)) { name } else { &base };
        let follows = leads_to.so(|s| format!(", which puts {it} {s} off"));
        return format!("{name} is stacked on {base}{follows}.");
    }
    let is = match marker.stands {
        Stands::Over { .. } => "floats over".to_owned(),
        Stands::Shadow { .. } => "casts its shadow on".to_owned(),
        Stands::Hidden { height, .. } => {
            format!("is said to have its head {} over", of.units.metres(height.metres))
        }
        Stands::On(_) | Stands::OnTop(_) | Stands::Unsaid => "stands on".to_owned(),
    };
    let follows = if leg.to == Some(of.ledger.distance_node(place)) {
        leads_to.so(|s| format!(", which puts it {s} off"))
    } else {
        level.map_or(String::new(), |level| leads_to.so(|s| so_high(level, s)))
    };
    format!("{name} {is} {on}{follows}.")
}

fn known(of: &Snooping<'_>, leg: Leg, leads_to: &LeadsTo, subjects: &mut Vec<Subject>) -> String {
    let Some((marker, statement)) = of.statement(leg.claim) else {
        return "something is known of it.".to_owned();
    };
    let name = &marker.name;
    let how = dimension(marker.span);
    let mut other = |id: MarkerId| {
        subjects.push(Subject::Marker(id));
        subject_name(of.scene, Subject::Marker(id))
    };
    let own_size = of.scene.markers.iter().position(|m| m.id == marker.id);
    let is_own = own_size.is_some_and(|place| {
        leg.to == Some(of.ledger.size_node(place)) || leg.to == Some(of.ledger.distance_node(place))
    });
    match statement {
        Statement::KnownSize { size, as_ } => {
            let what = if as_.is_empty() { String::new() } else { format!(" ({as_})") };
            let spread = percent(size.spread);
            let metres = of.units.metres(size.metres);
            format!("{name} is known to be {metres} ± {spread} {how}{what}.")
        }
        Statement::Distance(distance) => {
            format!("{name} is said to be {} off.", of.units.metres(distance.metres))
        }
        Statement::SameMake { of: twin, .. } => {
            let twin = other(*twin);
            let it = if is_own { name } else { &twin };
            let follows = leads_to.so(|s| format!(", so {it} is {s} {how}"));
            format!("{name} is of the same make as {twin}{follows}.")
        }
        Statement::Times { of: twin, factor: times, .. } => {
            let twin = other(*twin);
            let it = if is_own { name } else { &twin };
            let follows = leads_to.so(|s| format!(", so {it} is {s} {how}"));
            format!("{name} is {} times as large as {twin}{follows}.", factor(*times))
        }
        Statement::SameDistance { of: twin, .. } => {
            let twin = other(*twin);
            let it = if is_own { name } else { &twin };
            let follows = leads_to.so(|s| format!(", so {it} is {s} off"));
            format!("{name} is as far off as {twin}{follows}.")
        }
    }
}
