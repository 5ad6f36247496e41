//! `staffage sheet`: what scenes say, as pages for those who review them.

use super::alternative::Which;
use super::check::{Book, Painting, Read, write_json};
use super::product::{Asked, Matter, Product};
use crate::arguments;
use staffage_handover::{Card, FilmBack, HandoverError, Sheet, is_sheet, write_ledger_csv};
use staffage_scene::replace_with;
use std::fs::File;
use std::io::{self, Read as _};
use std::path::Path;
use std::process::ExitCode;

/// Widest that a painting is on a sheet, pixels: 200 to the inch on A4 across.
const ACROSS: u32 = 2200;

/// What a sheet is among files.
pub(crate) const SHEET: Product = Product {
    one: "a sheet",
    infix: "sheet",
    endings: &["html", "json", "csv"],
    option: "--as",
    is_one: |path| Ok(is_sheet(path)? || is_answer(path)?),
};

/// Whether a file holds answers as JSON.
fn is_answer(path: &Path) -> io::Result<bool> {
    const BEGINNING: &[u8] = b"{\"scene\":\"";
    let mut beginning = Vec::new();
    File::open(path)?.take(BEGINNING.len() as u64).read_to_end(&mut beginning)?;
    Ok(beginning == BEGINNING)
}

/// Writes the sheets one after the other.
///
/// # Errors
/// When standard output or standard error cannot be written to.
pub(crate) fn run(asked: &arguments::Sheet) -> io::Result<ExitCode> {
    let arguments::Sheet { scenes, out, format, alternative, alternatives, units, force } = asked;
    let asked = Asked {
        scenes,
        out: out.as_deref(),
        format: format.as_deref(),
        which: Which { name: alternative.as_deref(), every: *alternatives },
        units: *units,
        film_back: FilmBack::default(),
        force: *force,
    };
    SHEET.make(asked, |matter, target| put(matter, target).map(|()| Vec::new()))
}

/// Writes it to its file, which gets its name when it is whole.
pub(crate) fn put(matter: &Matter<'_>, target: &Path) -> Result<(), HandoverError> {
    let Matter { answer, read, pixels, .. } = *matter;
    let file = matter.file();
    match SHEET.ending(target) {
        Some("json") => replace_with(target, |mut out| {
            write_json(&mut out, answer)?;
            matter.go_on()
        }),
        Some("csv") => replace_with(target, |out| {
            write_ledger_csv(&read.scene, &read.assessment, &file, out)?;
            matter.go_on()
        }),
        _ => {
            let card = pixels.map(|pixels| Card::of(pixels, ACROSS)).transpose()?;
            let (scene, assessment, painting) = (&read.scene, &read.assessment, card.as_ref());
            let remarks = &remarks(read);
            let page = Sheet { scene, assessment, file: &file, painting, remarks }.to_html();
            replace_with(target, |out| {
                out.write_all(page.as_bytes())?;
                matter.go_on()
            })
        }
    }
}

/// What whoever reads the sheet should know of the painting and the size book.
fn remarks(read: &Read) -> Vec<String> {
    let mut remarks = Vec::new();
    if let Painting::Reshaped(why) = &read.painting {
        remarks.push(why.clone());
    }
    match &read.size_book {
        Book::None => {}
        Book::Unreadable(why) => remarks.push(why.clone()),
        Book::Read(differences) => {
            let units = read.assessment.units;
            remarks.extend(differences.iter().map(|difference| difference.sentence(units)));
        }
    }
    remarks
}
