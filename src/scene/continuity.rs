//! The same invented things in all paintings of a production, adjusted as one network.
//!
//! Each scene is reduced to the sizes of the things that it shares, with their covariance, and the
//! reduced scenes are adjusted together: Helmert's blocking of 1880, by which continents were levelled
//! (from memory). A thing has one size; the size book is its benchmark; a scene in which nothing is known
//! in metres has an unknown scale of its own.

use crate::wording::{dimension, percent, too_large};
use crate::{
    BookEntry, DrawnSizes, Identity, Measure, Scene, SizeBook, Standing, Subject, Unit, Units,
};
use staffage_solver::{
    Datum, Group, NOTICEABLE, Network, Rejection, Row, RowResult, STRAINED, SnoopedNetwork,
    interval, snoop_network,
};
use std::collections::BTreeMap;

/// One painting of a production.
#[derive(Clone, Copy, Debug)]
pub struct Member<'a> {
    /// What it is called.
    pub name: &'a str,
    /// The scene.
    pub scene: &'a Scene,
    /// Its invented things.
    pub identities: &'a [Identity],
    /// How large they are drawn.
    pub drawn: &'a DrawnSizes,
}

/// What all scenes of a production say of the same things.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Continuity {
    /// The things that are in several paintings or in the size book, by name.
    pub things: Vec<SharedThing>,
    /// What does not agree, worst first; what is kept on purpose last.
    pub findings: Vec<Discrepancy>,
}

/// An invented thing and where it is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct SharedThing {
    /// Its entry in the size book or its name.
    pub name: String,
    /// Its size in the size book.
    pub book: Option<crate::Known>,
    /// Its size by all that agrees, metres; none where nothing is known in metres.
    pub size: Option<Measure>,
    /// Each time that it is drawn.
    pub drawn: Vec<DrawnThing>,
}

/// A thing as it is drawn in one painting.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DrawnThing {
    /// Which painting, by its place.
    pub member: usize,
    /// The marker there.
    pub marker: crate::MarkerId,
    /// Its size as drawn, metres; none where nothing is known in metres there.
    pub size: Option<Measure>,
    /// Its size as drawn over the thing's size.
    pub ratio: f64,
    /// How it stands against the other paintings.
    pub standing: Standing,
}

/// A thing that is drawn in one size here and in another there.
#[derive(Clone, Debug, PartialEq)]
pub struct Discrepancy {
    /// The thing.
    pub name: String,
    /// The painting that is named as culprit, by its place, and the marker in it; none where it is the
    /// size book.
    pub culprit: Option<(usize, crate::MarkerId)>,
    /// As drawn or said over what everything else asks for.
    pub ratio: f64,
    /// Standardized residual.
    pub standardized: f64,
    /// Others that may be wrong instead, for all that tells them apart.
    pub rivals: Vec<(usize, crate::MarkerId)>,
    /// The whole thing in plain sentences.
    pub sentence: String,
    /// Why it is kept, if it is intended in its scene.
    pub intended: Option<String>,
}

/// Spread of the size of one and the same thing from painting to painting, as a fraction: what a
/// painter who copies it carefully is off by (common practice).
const SAME: f64 = 0.01;

/// Redundancy from which something else tests a statement.
const TESTED: f64 = 0.01;

/// What a row of the network stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Claim {
    /// A thing as drawn: member and place among its sizes.
    Drawn(usize, usize),
    /// The size book's size of a thing.
    Book(usize),
}

/// Holds the paintings of a production against each other and against its size book; sentences tell
/// lengths in these units. Pure: the same scenes in the same order give the same answer.
#[must_use]
pub fn continuity(members: &[Member<'_>], book: Option<&SizeBook>, units: Units) -> Continuity {
    let things = Things { units, ..Things::of(members, book) };
    let (network, claims) = things.network();
    let blame = |claim| match claim {
        Claim::Drawn(..) => 0,
        Claim::Book(_) => 1,
    };
    match snoop_network(&network, &claims, NOTICEABLE, blame) {
        Ok(snooped) => things.answer(&snooped),
        Err(error) => {
            tracing::warn!(%error, "the continuity was not adjusted");
            Continuity::default()
        }
    }
}

/// Everything that is shared, by its place.
struct Things<'a> {
    members: &'a [Member<'a>],
    units: Units,
    names: Vec<&'a str>,
    entries: Vec<Option<&'a BookEntry>>,
    /// For each member and each of its drawn sizes, which thing it is of.
    things: Vec<Vec<Option<usize>>>,
    /// The first node of each member's scales, after those of the things.
    scales: Vec<usize>,
    nodes: usize,
}

impl<'a> Things<'a> {
    fn of(members: &'a [Member<'a>], book: Option<&'a SizeBook>) -> Self {
        let identity = |member: &'a Member<'a>, marker| {
            member.identities.iter().find(|identity| identity.marker == marker)
        };
        // Where each thing is drawn; by key, so that they come in the order of their names.
        let mut by_key: BTreeMap<&str, (&Identity, Vec<usize>)> = BTreeMap::new();
        for (place, member) in members.iter().enumerate() {
            for drawn in &member.drawn.sizes {
                if let Some(identity) = identity(member, drawn.marker) {
                    by_key.entry(&identity.key).or_insert((identity, Vec::new())).1.push(place);
                }
            }
        }
        by_key.retain(|_, (identity, places)| {
            identity.in_book || places.iter().any(|place| *place != places[0])
        });
        let numbers: BTreeMap<&str, usize> = by_key.keys().copied().zip(0..).collect();
        let entry = |name: &str| book.and_then(|book| book.entry(name));
        let shared = by_key.values().map(|(identity, _)| *identity);
        let (names, entries): (Vec<&str>, Vec<_>) =
            shared.map(|identity| (identity.name.as_str(), entry(&identity.name))).unzip();
        let of_member = |member: &'a Member<'a>| {
            let thing = |marker| numbers.get(identity(member, marker)?.key.as_str()).copied();
            member.drawn.sizes.iter().map(|drawn| thing(drawn.marker)).collect()
        };
        let mut nodes = names.len();
        let scales = members.iter().map(|member| {
            let first = nodes;
            nodes += member.drawn.sizes.iter().filter_map(|d| d.scale).max().map_or(0, |s| s + 1);
            first
        });
        let scales = scales.collect();
        let things = members.iter().map(of_member).collect();
        let units = Units::default();
        Self { members, units, names, entries, things, scales, nodes }
    }

    /// ln S of each thing and ln k of each unknown scale; each scene's sizes as one group.
    fn network(&self) -> (Network, Vec<Vec<Claim>>) {
        let (mut groups, mut claims) = (Vec::new(), Vec::new());
        for (thing, entry) in self.entries.iter().enumerate() {
            if let Some(entry) = entry {
                let row = Row::absolute(thing, entry.size.metres.ln());
                groups.push(Group::single(row, entry.size.spread));
                claims.push(vec![Claim::Book(thing)]);
            }
        }
        for (member, things) in self.things.iter().enumerate() {
            let shared: Vec<(usize, usize)> =
                things.iter().enumerate().filter_map(|(place, t)| Some((place, (*t)?))).collect();
            if shared.is_empty() {
                continue;
            }
            let drawn = self.members[member].drawn;
            let row = |&(place, thing): &(usize, usize)| {
                let Some(scale) = drawn.sizes[place].scale else {
                    return Row::absolute(thing, drawn.sizes[place].ln);
                };
                Row::difference(thing, self.scales[member] + scale, drawn.sizes[place].ln)
            };
            let covariance = |a: usize, b: usize| {
                let own = if a == b { SAME * SAME } else { 0.0 };
                drawn.covariance(shared[a].0, shared[b].0) + own
            };
            groups.push(Group::correlated(shared.iter().map(row).collect(), covariance));
            claims.push(shared.iter().map(|(place, _)| Claim::Drawn(member, *place)).collect());
        }
        (Network { nodes: self.nodes, groups, ..Network::default() }, claims)
    }

    fn answer(&self, snooped: &SnoopedNetwork<Claim>) -> Continuity {
        let things = (0..self.names.len()).map(|thing| self.thing(snooped, thing)).collect();
        let mut findings: Vec<Discrepancy> =
            snooped.rejected.iter().map(|rejection| self.finding(snooped, rejection)).collect();
        findings.sort_by(|a, b| {
            let kept = a.intended.is_some().cmp(&b.intended.is_some());
            kept.then(b.standardized.abs().total_cmp(&a.standardized.abs()))
        });
        Continuity { things, findings }
    }

    fn thing(&self, snooped: &SnoopedNetwork<Claim>, thing: usize) -> SharedThing {
        let adjusted = &snooped.adjustment;
        let in_metres = adjusted.datum[thing] == Datum::Benchmark;
        let size = in_metres.then(|| around(adjusted.values[thing], adjusted.sd[thing]));
        let mut drawn = Vec::new();
        for (member, things) in self.things.iter().enumerate() {
            for place in (0..things.len()).filter(|place| things[*place] == Some(thing)) {
                drawn.push(self.drawn(snooped, member, place));
            }
        }
        let book = self.entries[thing].map(|entry| entry.size);
        SharedThing { name: self.names[thing].to_owned(), book, size, drawn }
    }

    fn drawn(&self, snooped: &SnoopedNetwork<Claim>, member: usize, place: usize) -> DrawnThing {
        let sizes = self.members[member].drawn;
        let one = sizes.sizes[place];
        let claim = Claim::Drawn(member, place);
        let kept = snooped.kept.iter().find(|(of, _)| *of == claim).map(|(_, row)| row);
        let sd = sizes.covariance(place, place).max(0.0).sqrt();
        DrawnThing {
            member,
            marker: one.marker,
            size: one.scale.is_none().then(|| around(one.ln, sd)),
            ratio: self.off(snooped, member, place).exp(),
            standing: kept.map_or(Standing::Contradicts, standing),
        }
    }

    /// Logarithm of a size as drawn over the thing's size.
    fn off(&self, snooped: &SnoopedNetwork<Claim>, member: usize, place: usize) -> f64 {
        let values = &snooped.adjustment.values;
        let one = self.members[member].drawn.sizes[place];
        let scale = one.scale.map_or(0.0, |scale| values[self.scales[member] + scale]);
        self.things[member][place].map_or(0.0, |thing| one.ln + scale - values[thing])
    }

    fn finding(
        &self,
        snooped: &SnoopedNetwork<Claim>,
        rejection: &Rejection<Claim>,
    ) -> Discrepancy {
        let rivals: Vec<(usize, crate::MarkerId)> = rejection
            .tied
            .iter()
            .filter_map(|claim| match *claim {
                Claim::Drawn(member, place) => Some(self.marker(member, place)),
                Claim::Book(_) => None,
            })
            .collect();
        let (thing, culprit, ratio, said) = match rejection.claim {
            Claim::Drawn(member, place) => {
                let thing = self.things[member][place].unwrap_or_default();
                let off = self.off(snooped, member, place).exp();
                let said = self.drawn_words(snooped, thing, (member, place), off);
                (thing, Some(self.marker(member, place)), off, said)
            }
            Claim::Book(thing) => {
                let entry = self.entries[thing].map_or(f64::NAN, |entry| entry.size.metres);
                let off = entry / snooped.adjustment.values[thing].exp();
                (thing, None, off, self.book_words(snooped, thing, off))
            }
        };
        let or = match &rivals[..] {
            [] => String::new(),
            all => {
                let names: Vec<String> = all.iter().map(|rival| self.where_it_is(*rival)).collect();
                format!(" Nothing tells whether this or {} is wrong.", names.join(" or "))
            }
        };
        let kept = culprit.and_then(|(member, marker)| {
            self.members[member].scene.kept_on_purpose(Subject::Marker(marker))
        });
        Discrepancy {
            name: self.names[thing].to_owned(),
            culprit,
            ratio,
            standardized: rejection.row.standardized,
            rivals,
            sentence: format!("{said}{or}"),
            intended: kept.map(|kept| kept.reason.clone()),
        }
    }

    fn marker(&self, member: usize, place: usize) -> (usize, crate::MarkerId) {
        (member, self.members[member].drawn.sizes[place].marker)
    }

    /// "gate house 1 in dam.ron".
    fn where_it_is(&self, (member, marker): (usize, crate::MarkerId)) -> String {
        let Member { scene, name, .. } = self.members[member];
        format!("{} in {name}", scene.marker(marker).map_or("", |marker| &marker.name))
    }

    fn drawn_words(
        &self,
        snooped: &SnoopedNetwork<Claim>,
        thing: usize,
        (member, place): (usize, usize),
        off: f64,
    ) -> String {
        let drawn = self.drawn(snooped, member, place);
        let here = self.where_it_is((member, drawn.marker));
        let span = self.members[member].scene.marker(drawn.marker).map(|marker| marker.span);
        let how = span.map_or("", dimension);
        let says = self.others(snooped, thing, (member, place));
        let size = match drawn.size {
            Some(size) => format!("is drawn {} {how}", self.units.measure(size, Unit::Metres)),
            None => "is drawn at a size that only its own painting tells".into(),
        };
        format!("{here} {size}, but {says}: {}. Scale it to {:.0} %.", too_large(off), 100.0 / off)
    }

    /// What the size book and the other paintings say of a thing.
    fn others(&self, snooped: &SnoopedNetwork<Claim>, thing: usize, but: (usize, usize)) -> String {
        let name = self.names[thing];
        let mut says = Vec::new();
        let book = snooped.kept.iter().any(|(claim, _)| *claim == Claim::Book(thing));
        if let Some(entry) = self.entries[thing].filter(|_| book) {
            let size = self.units.metres(entry.size.metres);
            let spread = percent(entry.size.spread);
            says.push(format!("the size book says {size} ± {spread} for {name}"));
        }
        let agreeing = snooped.kept.iter().filter_map(|(claim, _)| match *claim {
            Claim::Drawn(member, place) if (member, place) != but => {
                (self.things[member][place] == Some(thing)).then_some((member, place))
            }
            _ => None,
        });
        /// Most paintings that are told by name.
        const TOLD: usize = 3;
        for (member, place) in agreeing.take(TOLD) {
            let there = self.where_it_is(self.marker(member, place));
            says.push(match self.drawn(snooped, member, place).size {
                Some(size) => format!("{there} is {}", self.units.measure(size, Unit::Metres)),
                None => format!("{there} is another size against what they share"),
            });
        }
        if says.is_empty() { "everything else says otherwise".into() } else { says.join(" and ") }
    }

    fn book_words(&self, snooped: &SnoopedNetwork<Claim>, thing: usize, off: f64) -> String {
        let stated = self.entries[thing].map_or(f64::NAN, |entry| entry.size.metres);
        let adjusted = &snooped.adjustment;
        let size = around(adjusted.values[thing], adjusted.sd[thing]);
        format!(
            "The size book says {} for {}, but the paintings make it {}: {}. Change the book, or repaint.",
            self.units.metres(stated),
            self.names[thing],
            self.units.measure(size, Unit::Metres),
            too_large(off),
        )
    }
}

fn around(ln: f64, sd: f64) -> Measure {
    let [low, value, high] = interval(ln, sd);
    Measure { value, low, high }
}

fn standing(row: &RowResult) -> Standing {
    if row.standardized.abs() > STRAINED {
        Standing::Strained
    } else if row.redundancy > TESTED {
        Standing::Holds
    } else {
        Standing::Unchecked
    }
}
