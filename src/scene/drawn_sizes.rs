//! How large a painting's invented things are drawn, told by everything in it but their own agreed
//! sizes: what a scene contributes to the continuity of a production.

use crate::assess::Groundwork;
use crate::size_book::key;
use crate::wording::dimension;
use crate::{BookEntry, Marker, MarkerId, Scene, SizeBook, Statement, shelf};
use staffage_solver::{Datum, adjust};
use std::collections::{HashMap, HashSet};
use std::sync::LazyLock;

/// A marker that may be the same invented thing as one in another painting.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Identity {
    /// The marker.
    pub marker: MarkerId,
    /// Equal for what is the same: an entry of the size book, or a name and what of it is measured,
    /// whatever its capitals and spaces.
    pub key: String,
    /// That entry or name as it is written.
    pub name: String,
    /// Whether it is an entry of the size book.
    pub in_book: bool,
}

/// The invented things of a scene. A marker is one by its known size, if that was picked from the size
/// book, or else by its name.
///
/// What was picked from the size shelf, or is said of several markers of the scene, is a kind of which there
/// are many, and no two need be equally large: such markers are passed over, unless the book has an entry
/// of their name.
#[must_use]
pub fn identities(scene: &Scene, book: Option<&SizeBook>) -> Vec<Identity> {
    let mut times: HashMap<String, usize> = HashMap::new();
    for words in scene.markers.iter().flat_map(picked_as) {
        *times.entry(key(words)).or_default() += 1;
    }
    let is_kind = |words: &str| SHELF.contains(&key(words)) || times[&key(words)] > 1;
    let entry = |words: &str| book.and_then(|book| book.entry(words));
    let identity = |marker: &Marker| {
        let of_name = || entry(&marker.name).filter(|entry| is_measured_so(entry, marker));
        if let Some(entry) = picked_as(marker).find_map(entry).or_else(of_name) {
            let (key, name) = (key(&entry.name), entry.name.clone());
            return Some(Identity { marker: marker.id, key, name, in_book: true });
        }
        if picked_as(marker).any(is_kind) {
            return None;
        }
        // No name holds a line break.
        let key = format!("{}\n{}", key(&marker.name), dimension(marker.span));
        Some(Identity { marker: marker.id, key, name: marker.name.clone(), in_book: false })
    };
    scene.markers.iter().filter_map(identity).collect()
}

/// Whether a marker measures of a thing what its entry in the book is the size of, as far as that is said
/// in words that tell.
fn is_measured_so(entry: &BookEntry, marker: &Marker) -> bool {
    let telling = ["tall", "long", "across", "in diameter"];
    let what = entry.what.as_deref().filter(|what| telling.contains(what));
    what.is_none_or(|what| what == dimension(marker.span))
}

/// What the known sizes of a marker were picked as.
fn picked_as(marker: &Marker) -> impl Iterator<Item = &str> {
    marker.statements.iter().filter_map(|said| match said {
        Statement::KnownSize { as_, .. } => Some(as_.as_str()),
        _ => None,
    })
}

/// What known sizes from the shelf are called.
static SHELF: LazyLock<HashSet<String>> =
    LazyLock::new(|| shelf::sizes().iter().map(|size| key(&size.label())).collect());

/// The size of a marker as it is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drawn {
    /// The marker.
    pub marker: MarkerId,
    /// Natural logarithm of its size, in metres where `scale` is none.
    pub ln: f64,
    /// Where nothing ties it to metres: by this number those with it are measured in one unknown unit.
    pub scale: Option<usize>,
}

/// Sizes as they are drawn, with the covariance of their logarithms.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DrawnSizes {
    /// The sizes.
    pub sizes: Vec<Drawn>,
    /// Covariance of their logarithms, what is unsure of the eye included, row by row; none between
    /// those of different scales.
    pub covariance: Vec<f64>,
}

impl DrawnSizes {
    /// Covariance of two of the sizes by their places.
    #[must_use]
    pub fn covariance(&self, a: usize, b: usize) -> f64 {
        self.covariance.get(a * self.sizes.len() + b).copied().unwrap_or(0.0)
    }
}

/// How large these markers of a scene are drawn, with nothing said of their own sizes. Those whose size
/// nothing tells, or that cannot be as drawn, are left out.
#[must_use]
pub fn drawn_sizes(scene: &Scene, of: &[Identity]) -> DrawnSizes {
    let scene = without_their_sizes(scene, of);
    let mut groundwork = Groundwork::of(&scene);
    let snooping = groundwork.snooping(&scene, crate::Units::default());
    let Some(snooped) = &snooping.snooped else { return DrawnSizes::default() };
    let mut network = snooped.network.clone();
    let node_of = |identity: &Identity| {
        let place = scene.markers.iter().position(|m| m.id == identity.marker)?;
        let known = !snooping.is_impossible(place);
        known.then(|| (identity.marker, snooping.ledger.size_node(place)))
    };
    let known = |(_, node): &(MarkerId, usize)| snooped.adjustment.datum[*node] != Datum::None;
    let nodes: Vec<(MarkerId, usize)> = of.iter().filter_map(node_of).filter(known).collect();
    let pairs = |count: usize| (0..count).flat_map(move |a| (a + 1..count).map(move |b| (a, b)));
    network.ratios = pairs(nodes.len()).map(|(a, b)| (nodes[a].1, nodes[b].1)).collect();
    let Ok(adjusted) = adjust(&network) else { return DrawnSizes::default() };

    let mut scales: HashMap<usize, usize> = HashMap::new();
    let sizes: Vec<Drawn> = nodes
        .iter()
        .map(|&(marker, node)| {
            let count = scales.len();
            let is_tied = adjusted.datum[node] == Datum::Benchmark;
            let scale =
                (!is_tied).then(|| *scales.entry(adjusted.component[node]).or_insert(count));
            Drawn { marker, ln: adjusted.values[node], scale }
        })
        .collect();
    let count = sizes.len();
    let variance = |place: usize| adjusted.sd_with_consider[nodes[place].1].powi(2);
    let mut covariance = vec![0.0; count * count];
    for place in 0..count {
        covariance[place * count + place] = variance(place);
    }
    for ((a, b), difference) in pairs(count).zip(&adjusted.ratios) {
        // Var(a - b) = Var a + Var b - 2 Cov(a, b).
        if let Some(difference) = difference {
            let shared = 0.5 * (variance(a) + variance(b) - difference.sd.powi(2));
            covariance[a * count + b] = shared;
            covariance[b * count + a] = shared;
        }
    }
    DrawnSizes { sizes, covariance }
}

/// The scene without the known sizes of these markers that come from the size book: the book is heard
/// once for the whole production. What is said of a marker that has the name of an entry is left out
/// too, as it is the entry that it is held against.
fn without_their_sizes(scene: &Scene, of: &[Identity]) -> Scene {
    let in_book: HashSet<MarkerId> =
        of.iter().filter(|identity| identity.in_book).map(|identity| identity.marker).collect();
    let mut scene = scene.clone();
    for marker in scene.markers.iter_mut().filter(|marker| in_book.contains(&marker.id)) {
        marker.statements.retain(|said| !matches!(said, Statement::KnownSize { .. }));
    }
    scene
}
