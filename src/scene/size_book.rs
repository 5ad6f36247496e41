//! A size book: a production's own list of invented things with agreed sizes, one RON file shared by
//! several scenes: `(format: 1, title: "...", entries: [(name: "...", size: (...)), ...])`.

use crate::file::{plain, read_capped};
use crate::format::{self, format_of, read};
use crate::shelf::{has_all, words_of};
use crate::tidy::{LONGEST_NAME, LONGEST_REASON, raise, tidy};
use crate::validate::known_is_sound;
use crate::{Flaw, Known, MOST_THINGS, ParseError};
use serde::Deserialize;
use std::collections::HashSet;
use std::io;
use std::path::{Path, PathBuf};

/// The newest format of a size book that is read.
const FORMAT: u32 = 1;

/// Largest size book that is read, bytes. [`MOST_THINGS`] entries with a line of notes each are two
/// megabytes.
const LARGEST: u64 = 16 * 1024 * 1024;

/// A production's list of invented things. No two entries have the same name.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeBook {
    /// What the production calls it.
    pub title: String,
    /// The things, in the order of the file.
    pub entries: Vec<BookEntry>,
}

/// An invented thing with its agreed size.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BookEntry {
    /// The thing: "gate house". What a marker's statement calls it that was picked as this.
    pub name: String,
    /// What of it is measured: "tall", "long", "across", or in the production's own words.
    #[serde(default)]
    pub what: Option<String>,
    /// The size that was agreed on.
    pub size: Known,
    /// Who drew it, where it is to be seen, why it is so large.
    #[serde(default)]
    pub note: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    #[serde(rename = "format")]
    _format: u32,
    #[serde(default)]
    title: String,
    entries: Vec<BookEntry>,
}

/// Why a size book could not be read. Each reads as one sentence that names the file.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum BookFileError {
    /// The system would not give the file.
    #[error("the size book “{path}” could not be read: {why}", path = .path.display(), why = plain(.source))]
    Unreadable {
        /// Which file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// It is far larger than any size book.
    #[error("“{path}” is not a size book: it is larger than {} MiB", LARGEST / (1024 * 1024), path = .path.display())]
    TooLarge {
        /// Which file.
        path: PathBuf,
    },
    /// Its bytes are not UTF-8 text.
    #[error("“{path}” is not a size book: it is not text (byte {valid_up_to})", path = .path.display())]
    NotText {
        /// Which file.
        path: PathBuf,
        /// How many of its bytes could be text.
        valid_up_to: usize,
    },
    /// Its text is no size book that can be used.
    #[error("the size book “{path}” {source}", path = .path.display())]
    Parse {
        /// Which file.
        path: PathBuf,
        /// What is wrong with the text.
        source: BookError,
    },
}

/// Why a text is not a size book. Each reads as the predicate of a sentence about the file.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum BookError {
    /// The text does not begin with a format.
    #[error(
        "is not one: it does not begin with (format: {FORMAT}, title: ..., entries: [...]); choose another file"
    )]
    NoFormat,
    /// The text is a scene.
    #[error("is not one but a scene; choose another file")]
    Scene,
    /// Written for a later version of the program.
    #[error(
        "was made for a newer Staffage (format {0}; this one reads up to {FORMAT}); update to use it"
    )]
    Newer(u32),
    /// A format that never left the workshop.
    #[error("has format {0}, which no release of Staffage has read")]
    Unknown(u32),
    /// The text is not well formed, or holds something that no size book has.
    #[error(transparent)]
    Damaged(ParseError),
    /// An entry has no name to be picked by.
    #[error("cannot be used: entry {0} has no name; give it one")]
    Nameless(usize),
    /// Two entries have one name, but for capitals and spaces.
    #[error("cannot be used: it has two entries called “{0}”; rename one of them")]
    Twice(String),
    /// A size that no thing can have.
    #[error("cannot be used: {0}")]
    Unsound(#[from] Flaw),
    /// More entries than anyone picks from.
    #[error("cannot be used: it has {0} entries; the most it can have is {MOST_THINGS}")]
    TooMany(usize),
}

impl SizeBook {
    /// Reads a size book from a file.
    ///
    /// # Errors
    /// When the file cannot be read, or what it holds is not a size book that can be used.
    pub fn read(path: &Path) -> Result<Self, BookFileError> {
        let path = || path.to_owned();
        let bytes = read_capped(&path(), LARGEST)
            .map_err(|source| BookFileError::Unreadable { path: path(), source })?
            .ok_or_else(|| BookFileError::TooLarge { path: path() })?;
        let text = String::from_utf8(bytes).map_err(|e| BookFileError::NotText {
            path: path(),
            valid_up_to: e.utf8_error().valid_up_to(),
        })?;
        Self::parse(&text).map_err(|source| BookFileError::Parse { path: path(), source })
    }

    /// Reads a size book from the text of its file. Words are made safe to show and spreads raised to
    /// their floor, as in a scene.
    ///
    /// # Errors
    /// When the text is damaged, made for a newer version, or says what cannot be.
    pub fn parse(text: &str) -> Result<Self, BookError> {
        // Some editors put a byte order mark at the start.
        let text = text.trim_start_matches('\u{feff}');
        of_text(text)
            .map_err(|why| if format::of_text(text).is_ok() { BookError::Scene } else { why })
    }

    /// The entry with this name, whatever its capitals and the spaces around it.
    #[must_use]
    pub fn entry(&self, name: &str) -> Option<&BookEntry> {
        let name = key(name);
        self.entries.iter().find(|entry| key(&entry.name) == name)
    }

    /// The entries in whose label, or else in the book's title, every one of the words begins a word, in
    /// any order and case; all of them when there are no words.
    #[must_use]
    pub fn find(&self, words: &str) -> Vec<&BookEntry> {
        let wanted = words_of(words);
        let text = |entry: &BookEntry| format!("{} {}", entry.label(), self.title);
        self.entries.iter().filter(|entry| has_all(&text(entry), &wanted)).collect()
    }
}

/// Reads a size book, and does not ask what else the text may be.
pub(crate) fn of_text(text: &str) -> Result<SizeBook, BookError> {
    let written: Written = match format_of(text).ok_or(BookError::NoFormat)? {
        FORMAT => read(text).map_err(BookError::Damaged)?,
        newer if newer > FORMAT => return Err(BookError::Newer(newer)),
        unknown => return Err(BookError::Unknown(unknown)),
    };
    let entries: Vec<_> = written.entries.into_iter().map(BookEntry::tidied).collect();
    entries_are_sound(&entries)?;
    Ok(SizeBook { title: tidy(&written.title, LONGEST_NAME), entries })
}

impl BookEntry {
    fn tidied(mut self) -> Self {
        let some = |words: Option<String>, longest| {
            words.map(|words| tidy(&words, longest)).filter(|words| !words.is_empty())
        };
        self.name = tidy(&self.name, LONGEST_NAME);
        self.what = some(self.what, LONGEST_NAME);
        self.note = some(self.note, LONGEST_REASON);
        raise(&mut self.size.spread);
        self
    }

    /// The thing and what of it is measured: "gate house, tall".
    #[must_use]
    pub fn label(&self) -> String {
        match &self.what {
            Some(what) => format!("{}, {what}", self.name),
            None => self.name.clone(),
        }
    }
}

/// What names are compared by.
pub(crate) fn key(name: &str) -> String {
    tidy(name, LONGEST_NAME).to_lowercase()
}

fn entries_are_sound(entries: &[BookEntry]) -> Result<(), BookError> {
    if entries.len() > MOST_THINGS {
        return Err(BookError::TooMany(entries.len()));
    }
    let mut names = HashSet::new();
    for (number, entry) in (1..).zip(entries) {
        if entry.name.is_empty() {
            return Err(BookError::Nameless(number));
        }
        if !names.insert(key(&entry.name)) {
            return Err(BookError::Twice(entry.name.clone()));
        }
        known_is_sound(|| format!("“{}”", entry.name), "size", entry.size)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    const WORKS: &str = r#"
        // Agreed with the model shop.
        (format: 1, title: "Works", entries: [
          (name: "gate house", what: "tall", size: (metres: 30, spread: 0.04), note: "standard drawing"),
          (name: "hauler", size: (metres: 96.0, spread: 0)),
        ])
    "#;

    fn why(text: &str) -> String {
        SizeBook::parse(text).unwrap_err().to_string()
    }

    #[test]
    fn a_size_book_written_by_hand_is_read() {
        let book = SizeBook::parse(&format!("\u{feff}{WORKS}")).unwrap();
        assert_eq!(book.title, "Works");
        let [gate_house, hauler] = &book.entries[..] else { panic!("{book:?}") };
        assert_eq!(gate_house.label(), "gate house, tall");
        assert_eq!(gate_house.note.as_deref(), Some("standard drawing"));
        assert_eq!(gate_house.size, Known { metres: 30.0, spread: 0.04 });
        assert_eq!(hauler.label(), "hauler");
        assert_eq!(hauler.size.spread, 0.001, "raised to the floor");
    }

    #[test]
    fn an_entry_is_found_whatever_its_capitals_and_spaces() {
        let book = SizeBook::parse(WORKS).unwrap();
        assert_eq!(book.entry("  Gate\tHOUSE ").unwrap().size.metres, 30.0);
        assert_eq!(book.entry("gate"), None);
        let found =
            |words| book.find(words).into_iter().map(|e| e.name.as_str()).collect::<Vec<_>>();
        assert_eq!(found("tall GATE"), ["gate house"]);
        assert_eq!(found(""), ["gate house", "hauler"]);
        assert_eq!(found("works"), ["gate house", "hauler"]);
        assert_eq!(found("house long"), [""; 0]);
    }

    #[test]
    fn what_is_no_size_book_is_refused() {
        for text in ["", "()", "hello", "(title: \"Works\", format: 1, entries: [])"] {
            assert_eq!(SizeBook::parse(text), Err(BookError::NoFormat), "{text:?}");
        }
        let scene = crate::write(&crate::Scene::default()).unwrap();
        assert_eq!(SizeBook::parse(&scene), Err(BookError::Scene));
        assert_eq!(SizeBook::parse("(format: 0, entries: [])"), Err(BookError::Unknown(0)));
        assert_eq!(
            why("(format: 7, chapters: {{{ #"),
            "was made for a newer Staffage (format 7; this one reads up to 1); update to use it"
        );
    }

    #[test]
    fn damage_is_said_with_its_line_and_column() {
        assert!(
            why("(format: 1,\n title: 5, entries: [])").starts_with("is damaged at line 2, column")
        );
        assert!(
            why("(format: 1, entries: [(name: \"hauler\"").ends_with("the file ends too early")
        );
        assert!(why(&WORKS.replace("note", "colour")).contains("`colour`"));
        let deep = "[".repeat(1_000_000);
        assert!(why(&format!("(format: 1, entries: {deep}")).contains("damaged"));
        let text = WORKS.trim_end();
        for end in (0..text.len()).filter(|end| text.is_char_boundary(*end)) {
            assert!(SizeBook::parse(&text[..end]).is_err(), "cut after {end} bytes");
        }
    }

    #[test]
    fn sizes_that_cannot_be_are_refused_by_the_name_of_the_thing() {
        for size in ["NaN", "inf", "-inf", "-3", "0", "1e300"] {
            let said = why(&WORKS.replace("metres: 30", &format!("metres: {size}")));
            assert!(said.starts_with("cannot be used: size of “gate house” is "), "{said}");
            assert!(said.ends_with("it must lie between 0.001 and 10000000 m"), "{said}");
        }
        for spread in ["NaN", "-0.1", "7"] {
            let said = why(&WORKS.replace("spread: 0.04", &format!("spread: {spread}")));
            assert!(said.contains("“gate house”"), "{said}");
        }
    }

    #[test]
    fn names_are_needed_and_each_is_there_once() {
        assert_eq!(
            why(&WORKS.replace("\"hauler\"", "\" Gate  House\"")),
            "cannot be used: it has two entries called “Gate House”; rename one of them"
        );
        assert_eq!(
            why(&WORKS.replace("\"hauler\"", "\" \u{202e}\"")),
            "cannot be used: entry 2 has no name; give it one"
        );
    }

    #[test]
    fn a_book_of_more_things_than_anyone_picks_from_is_refused() {
        let entry = |n: usize| format!("(name: \"{n}\", size: (metres: 1, spread: 0.1)),");
        let book = |n: usize| {
            let entries: String = (0..n).map(entry).collect();
            SizeBook::parse(&format!("(format: 1, entries: [{entries}])"))
        };
        assert_eq!(book(MOST_THINGS).unwrap().entries.len(), MOST_THINGS);
        assert_eq!(book(MOST_THINGS + 1), Err(BookError::TooMany(MOST_THINGS + 1)));
    }
}
