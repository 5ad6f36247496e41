//! Where a scene says other sizes than its production's size book.

use crate::size_book::{BookEntry, key};
use crate::wording::dimension;
use crate::{Edit, Known, Marker, MarkerId, Scene, SizeBook, Statement, Units};
use std::collections::HashMap;

/// A size in the scene that was picked as an entry of the book and is not what the book says.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeDifference {
    /// The marker whose size is said.
    pub marker: MarkerId,
    /// Which of the marker's statements says it, from 0.
    pub statement: usize,
    /// The entry's name, as the book has it.
    pub entry: String,
    /// What the scene says.
    pub scene: Known,
    /// What the book says.
    pub book: Known,
    name: String,
    how: &'static str,
}

impl SizeDifference {
    /// The difference in plain words.
    #[must_use]
    pub fn sentence(&self, units: Units) -> String {
        let Self { name, how, entry, .. } = self;
        let [scene, book] = [self.scene, self.book].map(|size| agreed(units, size));
        format!("{name} is said to be {scene} {how} as “{entry}”; the size book says {book}.")
    }
}

impl SizeBook {
    /// The known sizes of the scene that were picked as an entry of this book and differ from it, in
    /// the order of the markers.
    #[must_use]
    pub fn differences(&self, scene: &Scene) -> Vec<SizeDifference> {
        let entries: HashMap<_, _> = self.entries.iter().map(|e| (key(&e.name), e)).collect();
        let of_marker = |marker| {
            said(marker).filter_map(|(statement, size, as_)| {
                let entry = *entries.get(&key(as_))?;
                differs(size, entry.size).then(|| difference(marker, statement, size, entry))
            })
        };
        scene.markers.iter().flat_map(of_marker).collect()
    }

    /// The edit that takes the book's sizes for all that differ, if any do.
    #[must_use]
    pub fn adopt(&self, scene: &Scene) -> Option<Edit> {
        let mut changed: Vec<Marker> = Vec::new();
        for difference in self.differences(scene) {
            if changed.last().is_none_or(|marker| marker.id != difference.marker) {
                changed.push(scene.marker(difference.marker)?.clone());
            }
            let said = changed.last_mut()?.statements.get_mut(difference.statement);
            if let Some(Statement::KnownSize { size, .. }) = said {
                *size = difference.book;
            }
        }
        let label = match &changed[..] {
            [] => return None,
            [marker] => format!("Take the size book's size of {}", marker.name),
            _ => "Take the size book's sizes".into(),
        };
        Some(Edit::Several { label, edits: changed.into_iter().map(Edit::PutMarker).collect() })
    }
}

/// The known sizes of a marker: which statement, the size, and what it was picked as.
fn said(marker: &Marker) -> impl Iterator<Item = (usize, Known, &str)> {
    marker.statements.iter().enumerate().filter_map(|(place, said)| match said {
        Statement::KnownSize { size, as_ } => Some((place, *size, as_.as_str())),
        _ => None,
    })
}

/// Beyond what typing a length in another unit rounds away.
fn differs(a: Known, b: Known) -> bool {
    let apart = |a: f64, b: f64| (a - b).abs() > 1e-6 * b;
    apart(a.metres, b.metres) || apart(a.spread, b.spread)
}

fn difference(marker: &Marker, statement: usize, size: Known, entry: &BookEntry) -> SizeDifference {
    SizeDifference {
        marker: marker.id,
        statement,
        entry: entry.name.clone(),
        scene: size,
        book: entry.size,
        name: marker.name.clone(),
        how: dimension(marker.span),
    }
}

/// A size as it was typed: fewer figures could hide the difference.
fn agreed(units: Units, size: Known) -> String {
    let percent = (1e5 * size.spread).round() / 1e3;
    format!("{} ± {percent} %", units.exactly(size.metres))
}
