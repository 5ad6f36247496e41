//! The review sheet: one page of HTML that holds everything, prints on A4 and Letter, and is understood
//! by someone who never saw the program.
//!
//! Everything in it that a painter typed is escaped where it is put down ([`maud`] escapes whatever it is
//! not told to leave), there is no script, and a content security policy forbids what might slip in.

mod assumed;
pub(crate) mod contents;
mod eye;
mod findings;
mod first_page;
mod key;
mod ledger;
mod page;
mod views;

pub use first_page::FirstPage;

use crate::Card;
use crate::ledger_csv::CSV_SIGNATURE;
use crate::overlay::begins_with_any;
use maud::{Markup, PreEscaped, html};
use staffage_scene::{Assessment, Scene, Units};
use std::io;
use std::path::Path;

/// By this a sheet is known among other pages.
pub(crate) const SHEET_SIGNATURE: &str = "Staffage sheet";

/// What goes into a sheet.
#[derive(Clone, Copy, Debug)]
pub struct Sheet<'a> {
    /// The scene.
    pub scene: &'a Scene,
    /// What follows from it.
    pub assessment: &'a Assessment,
    /// What the file of the scene is called.
    pub file: &'a str,
    /// The painting, unless the frame is blank.
    pub painting: Option<&'a Card>,
    /// Whole sentences that whoever reads it should know: that the painting was cropped, that the size
    /// book says other sizes.
    pub remarks: &'a [String],
}

impl Sheet<'_> {
    /// The sheet as one file of HTML.
    #[must_use]
    pub fn to_html(&self) -> String {
        let body = html! {
            header {
                h1 dir="auto" { (self.title()) }
                p.file { bdi { (self.file) } " · " (self.frame()) }
                (findings::verdict(self))
            }
            (views::painting(self))
            (key::key())
            (self.how_to_read())
            (findings::findings(self))
            (ledger::ledger(self))
            (views::section_and_plan(self))
            (eye::eye(self))
            (assumed::assumed(self))
            footer { p { (CAUTION) } }
        };
        printable(&page::document(&self.title(), &body))
    }

    /// The scene's title, or what its file is called.
    fn title(&self) -> String {
        let title = self.scene.title.trim();
        let stem = Path::new(self.file).file_stem().map(|stem| stem.to_string_lossy());
        match stem.filter(|stem| !stem.trim().is_empty()) {
            _ if !title.is_empty() => title.into(),
            Some(stem) => stem.into_owned(),
            None => "Untitled scene".into(),
        }
    }

    /// What lengths are told in.
    fn units(&self) -> Units {
        self.assessment.units
    }

    fn frame(&self) -> String {
        let frame = self.scene.frame;
        let (ratio, width) = (frame.ratio, frame.working_width);
        let blank = if self.scene.painting.is_some() { "" } else { ", a blank frame" };
        let idea = match self.scene.alternative_shown() {
            Some(idea) => format!(" · alternative “{}”", idea.name),
            None => String::new(),
        };
        format!("frame {ratio:.2} : 1, worked at {width} px{blank}{idea}")
    }

    fn how_to_read(&self) -> Markup {
        html! {
            section.reading {
                h2 { "How to read this sheet" }
                p {
                    "The painting is measured as if it were a photograph of a real place. Edges that run the "
                    "same way in the place, a " strong { "family" } " of lines, tell how the picture is looked "
                    "at: that viewpoint is called the " strong { "eye" } ". Things whose real size is known, people above all, then tell how far "
                    "off and how large everything else is painted. Where two ways of telling lead to "
                    "different answers, the painting " strong { "contradicts" } " itself, and the smallest "
                    "repaint that mends it is listed. Nothing is known exactly: after each value stands the "
                    "interval that holds the true one with a probability of 95 %."
                }
            }
        }
    }
}

const CAUTION: &str = "This sheet guides a picture. It is no survey and no structural check: nothing in it \
     may be used to build, to load or to measure anything real.";

/// The page without what could turn or break its text: controls and marks that reverse the direction of
/// reading, which XML and HTML do not escape.
fn printable(page: &str) -> String {
    let harmless = |c: &char| {
        *c == '\n'
            || !(c.is_control()
                || matches!(*c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}'
                    | '\u{2066}'..='\u{2069}' | '\u{fffe}' | '\u{ffff}'))
    };
    page.chars().filter(harmless).collect()
}

/// A sentence whose numbers stay on one line with their units and spreads: "1.70 m ± 6 %".
fn unbroken(sentence: &str) -> String {
    const UNITS: [&str; 11] = ["m", "km", "cm", "mm", "in", "ft", "mi", "px", "%", "eye", "times"];
    let bare = |word: &str| word.trim_end_matches(['.', ',', ':', ';', ')']).to_owned();
    let mut whole = String::with_capacity(sentence.len());
    let mut before = "";
    for word in sentence.split(' ') {
        let number =
            before.trim_end_matches(['″', '′', '°']).ends_with(|c: char| c.is_ascii_digit());
        let unit = number && UNITS.contains(&bare(word).as_str());
        let spread = word == "±" || before == "±";
        if !whole.is_empty() {
            whole.push(if unit || spread { '\u{a0}' } else { ' ' });
        }
        whole.push_str(word);
        before = word;
    }
    whole
}

/// Markup that the drawing crate has made and escaped.
fn drawn(svg: String) -> Markup {
    PreEscaped(svg)
}

/// Whether a file is a sheet or a table of one that was written before, so that nothing is lost when it is
/// replaced.
///
/// # Errors
/// When it cannot be read.
pub fn is_sheet(path: &Path) -> io::Result<bool> {
    begins_with_any(path, &[SHEET_SIGNATURE, CSV_SIGNATURE])
}

#[cfg(test)]
mod tests;
