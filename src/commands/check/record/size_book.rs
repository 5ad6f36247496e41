//! What the production's size book says otherwise.

use super::SubjectRecord;
use crate::commands::check::answer::{Book, Read};
use serde::Serialize;
use staffage_scene::{Known, Scene, SizeDifference, Subject, Units};

#[derive(Serialize)]
pub(super) struct BookRecord<'a> {
    path: String,
    readable: bool,
    remark: Option<&'a str>,
    differences: Vec<DifferenceRecord<'a>>,
}

impl<'a> BookRecord<'a> {
    pub(super) fn of(read: &'a Read) -> Option<Self> {
        let path = read.scene.size_book.as_ref()?.display().to_string();
        let (remark, differences) = match &read.size_book {
            Book::None => return None,
            Book::Read(differences) => (None, differences.as_slice()),
            Book::Unreadable(why) => (Some(why.as_str()), &[][..]),
        };
        let record =
            |difference| DifferenceRecord::of(&read.scene, read.assessment.units, difference);
        let differences = differences.iter().map(record).collect();
        Some(Self { path, readable: remark.is_none(), remark, differences })
    }
}

/// A known size of a marker that is not what the size book says.
#[derive(Serialize)]
struct DifferenceRecord<'a> {
    sentence: String,
    about: SubjectRecord,
    /// Which of the marker's statements, from 0.
    statement: usize,
    entry: &'a str,
    scene: KnownRecord,
    book: KnownRecord,
}

impl<'a> DifferenceRecord<'a> {
    fn of(scene: &Scene, units: Units, difference: &'a SizeDifference) -> Self {
        Self {
            sentence: difference.sentence(units),
            about: SubjectRecord::of(scene, Subject::Marker(difference.marker)),
            statement: difference.statement,
            entry: &difference.entry,
            scene: difference.scene.into(),
            book: difference.book.into(),
        }
    }
}

#[derive(Serialize)]
struct KnownRecord {
    metres: f64,
    spread: f64,
}

impl From<Known> for KnownRecord {
    fn from(known: Known) -> Self {
        Self { metres: known.metres, spread: known.spread }
    }
}
