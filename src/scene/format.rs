//! The text of a scene file: `(format: 2, scene: (...))` in RON, one line for each thing.

use crate::tidy::tidy;
use crate::validate::Flaw;
use crate::{Scene, size_book};
use ron::extensions::Extensions;
use ron::ser::PrettyConfig;
use serde::de::{DeserializeSeed, Deserializer, MapAccess, Visitor};
use serde::{Deserialize, Serialize};
use std::cell::Cell;
use std::fmt;

/// The format that this program writes, and the newest that it reads.
pub const FORMAT: u32 = 3;

/// How deep the text is broken into lines: file, scene, list; below that one line for each thing.
const LINES_TO_DEPTH: usize = 3;

/// Deepest nesting that is read. A scene needs 11; far deeper text would overflow the stack.
const DEEPEST: usize = 64;

/// Why a text is not a scene. Each reads as the predicate of a sentence about the file.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ParseError {
    /// The text does not begin with a format.
    #[error("is not a scene: it does not begin with (format: {FORMAT}, scene: ...)")]
    NoFormat,
    /// The text is a size book.
    #[error("is not a scene but a size book; a scene names it in its size_book")]
    SizeBook,
    /// Written by a later version of the program.
    #[error(
        "was made by a newer Staffage (format {0}; this one reads up to {FORMAT}); update to open it"
    )]
    Newer(u32),
    /// A format that never left the workshop.
    #[error("has format {0}, which no release of Staffage has written")]
    Unknown(u32),
    /// The text is not well formed, or holds something that no scene has.
    #[error("is damaged at line {line}, column {column}: {what}")]
    Damaged {
        /// Line, from 1.
        line: usize,
        /// Column, characters from 1.
        column: usize,
        /// What is wrong there.
        what: String,
    },
    /// The text is well formed, but what it says cannot be.
    #[error("cannot be used: {0}")]
    Unsound(#[from] Flaw),
}

/// Longest complaint about a damaged text, characters: it may quote the text.
const LONGEST_COMPLAINT: usize = 300;

#[derive(Serialize)]
struct Written<'a> {
    format: u32,
    scene: &'a Scene,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Read {
    #[serde(rename = "format")]
    _format: u32,
    scene: Scene,
}

/// Reads a scene from the text of a scene file.
///
/// # Errors
/// When the text is damaged, made by a newer version, or says what cannot be.
pub fn parse(text: &str) -> Result<Scene, ParseError> {
    // Some editors put a byte order mark at the start.
    let text = text.trim_start_matches('\u{feff}');
    of_text(text)
        .map_err(|why| if size_book::of_text(text).is_ok() { ParseError::SizeBook } else { why })
}

/// Reads a scene, and does not ask what else the text may be.
pub(crate) fn of_text(text: &str) -> Result<Scene, ParseError> {
    let scene = match format_of(text).ok_or(ParseError::NoFormat)? {
        // Formats 1 and 2 knew fewer things; whatever they could say reads the same. A format that changes
        // what was said gets an arm of its own here, which reads its types and migrates them.
        1 | 2 | FORMAT => read::<Read>(text)?.scene,
        newer if newer > FORMAT => return Err(ParseError::Newer(newer)),
        unknown => return Err(ParseError::Unknown(unknown)),
    };
    let scene = scene.tidied();
    scene.validate()?;
    Ok(scene)
}

/// The text of a scene file.
///
/// # Errors
/// When the scene is not sound: what is written can always be read.
pub fn write(scene: &Scene) -> Result<String, Flaw> {
    scene.validate()?;
    let layout = PrettyConfig::new().depth_limit(LINES_TO_DEPTH).new_line("\n").indentor("  ");
    let text = options()
        .to_string_pretty(&Written { format: FORMAT, scene }, layout)
        .map_err(|e| Flaw::Unwritable(e.to_string()))?;
    Ok(text + "\n")
}

/// `Some` and the brackets of one-field wrappers are left out: `clearance: (metres: 3.2, ...)` and
/// `stands: On(1)` read better by hand.
fn options() -> ron::Options {
    ron::Options::default()
        .with_recursion_limit(DEEPEST)
        .with_default_extension(Extensions::IMPLICIT_SOME)
        .with_default_extension(Extensions::UNWRAP_NEWTYPES)
        .with_default_extension(Extensions::UNWRAP_VARIANT_NEWTYPES)
}

/// Reads the text of a file as a whole.
pub(crate) fn read<'a, T: Deserialize<'a>>(text: &'a str) -> Result<T, ParseError> {
    options().from_str(text).map_err(|error| {
        let at = error.span.end;
        let what = match error.code {
            ron::Error::ExceededRecursionLimit => "brackets are nested too deeply".to_owned(),
            _ if at == end_of(text) => "the file ends too early".to_owned(),
            code => begin_small(&tidy(&code.to_string(), LONGEST_COMPLAINT)),
        };
        ParseError::Damaged { line: at.line, column: at.col, what }
    })
}

fn end_of(text: &str) -> ron::error::Position {
    let last_line = text.rsplit('\n').next().unwrap_or_default();
    let line = text.matches('\n').count() + 1;
    ron::error::Position { line, col: last_line.chars().count() + 1 }
}

fn begin_small(words: &str) -> String {
    let mut rest = words.chars();
    rest.next().map(|first| first.to_lowercase().chain(rest).collect()).unwrap_or_default()
}

/// The format that a text begins with. What follows is not looked at, so that a file of a newer
/// version is known as such whatever it holds.
pub(crate) fn format_of(text: &str) -> Option<u32> {
    let found = Cell::new(None);
    // Always an error, as the visitor stops after the first field.
    let _ = options().from_str_seed(text, FormatOnly(&found));
    found.get()
}

struct FormatOnly<'a>(&'a Cell<Option<u32>>);

impl<'de> DeserializeSeed<'de> for FormatOnly<'_> {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<(), D::Error> {
        deserializer.deserialize_struct("", &["format", "scene"], self)
    }
}

impl<'de> Visitor<'de> for FormatOnly<'_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a scene file")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<(), A::Error> {
        if map.next_key::<String>()?.as_deref() == Some("format") {
            self.0.set(Some(map.next_value()?));
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Known, LevelId, Marker, MarkerId, Span, Stands, Statement};
    use glam::DVec2;

    const QUAY: &str = r#"
        // A hand may write a scene, and leave out what it has nothing to say of.
        (format: 1, scene: (
          title: "Quay",
          frame: (ratio: 2, working_width: 5000),
          levels: [(id: 1, name: "ground", side: Below, clearance: (metres: 3.2, spread: 0.05))],
          markers: [(id: 1, name: "Foreman", foot: (0.1, 0.1), head: (0.1, 0.05), span: Upright,
            stands: On(1), statements: [KnownSize(size: (metres: 1.7, spread: 0.06), as: "adult")])],
        ))
    "#;

    fn quay() -> Scene {
        let mut scene = Scene { title: "Quay".into(), ..Scene::default() };
        scene.frame = crate::Frame { ratio: 2.0, working_width: 5000 };
        scene.levels[0].clearance = Some(Known { metres: 3.2, spread: 0.05 });
        scene.markers.push(Marker {
            id: MarkerId(1),
            name: "Foreman".into(),
            foot: DVec2::new(0.1, 0.1),
            head: DVec2::new(0.1, 0.05),
            span: Span::Upright,
            stands: Stands::On(LevelId(1)),
            statements: vec![Statement::KnownSize {
                size: Known { metres: 1.7, spread: 0.06 },
                as_: "adult".into(),
            }],
        });
        scene
    }

    fn why(text: &str) -> String {
        parse(text).unwrap_err().to_string()
    }

    #[test]
    fn a_scene_written_by_hand_is_read() {
        assert_eq!(parse(QUAY), Ok(quay()));
        assert_eq!(parse(&format!("\u{feff}{QUAY}")), Ok(quay()));
    }

    #[test]
    fn a_scene_is_written_with_one_line_for_each_thing() {
        let text = write(&quay()).unwrap();
        assert!(text.starts_with("(\n  format: 3,\n  scene: (\n    title: \"Quay\",\n"), "{text}");
        let marker = text.lines().find(|line| line.contains("Foreman")).unwrap();
        assert_eq!(
            marker.trim(),
            "(id: 1, name: \"Foreman\", foot: (0.1, 0.1), head: (0.1, 0.05), span: Upright, stands: On(1), \
             statements: [KnownSize(size: (metres: 1.7, spread: 0.06), as: \"adult\")]),"
        );
        assert_eq!(parse(&text), Ok(quay()));
    }

    #[test]
    fn what_has_no_format_is_no_scene() {
        for text in ["", "()", "hello", "(scene: (), format: 1)", "(format: -1)", "(format: \"1\")"]
        {
            assert_eq!(parse(text), Err(ParseError::NoFormat), "{text:?}");
        }
    }

    #[test]
    fn a_newer_format_is_refused_whatever_it_holds() {
        assert_eq!(
            why("(format: 7, room: {{{ #"),
            "was made by a newer Staffage (format 7; this one reads up to 3); update to open it"
        );
        assert_eq!(parse("(format: 0, scene: ())"), Err(ParseError::Unknown(0)));
    }

    #[test]
    fn a_size_book_is_called_one() {
        let book = "(format: 1, title: \"Works\", entries: [])";
        assert_eq!(parse(book), Err(ParseError::SizeBook));
    }

    #[test]
    fn damage_is_said_with_its_line_and_column() {
        assert_eq!(
            why("(format: 1,\n scene: (title: 5))"),
            "is damaged at line 2, column 17: expected string"
        );
        assert!(why("(format: 1, scene: (title: \"Quay\"").ends_with("the file ends too early"));
        assert!(why("(format: 1, scene: (colour: 3))").contains("`colour`"));
    }

    #[test]
    fn a_truncated_scene_is_never_read_as_a_smaller_one() {
        let text = write(&quay()).unwrap();
        for end in 0..text.trim_end().len() {
            assert!(parse(&text[..end]).is_err(), "cut after {end} bytes");
        }
    }

    #[test]
    fn deep_nesting_is_refused_and_does_not_overflow_the_stack() {
        for bracket in ["(", "[", "{", "Some("] {
            let deep = bracket.repeat(1_000_000);
            assert!(parse(&format!("(format: 1, scene: {deep}")).is_err());
            assert!(parse(&format!("(format: 1, scene: (title: {deep}")).is_err());
            assert!(parse(&format!("(format: {deep}")).is_err());
            assert!(parse(&deep).is_err());
        }
    }

    #[test]
    fn numbers_that_cannot_be_are_refused_by_the_name_of_the_thing() {
        for number in ["NaN", "inf", "-inf", "1e400", "1e40"] {
            let text = QUAY.replace("foot: (0.1,", &format!("foot: ({number},"));
            assert!(why(&text).contains("marker 1 (“Foreman”)"), "{}", why(&text));
        }
    }

    #[test]
    fn an_unsound_scene_is_not_written() {
        assert!(write(&Scene { pointing: f64::NAN, ..Scene::default() }).is_err());
    }
}
