//! `staffage check`: what the scenes say, in words or as JSON.

mod answer;
mod record;
mod words;

use crate::arguments::Check;
use answer::{Answer, Found};
use indicatif::{ProgressBar, ProgressStyle};
use rayon::prelude::*;
use staffage_scene::{Finding, Standing};
use std::io::{self, IsTerminal, Write};
use std::process::ExitCode;

/// Nothing contradicts.
const SOUND: u8 = 0;
/// Something contradicts.
const CONTRADICTS: u8 = 1;
/// Something could not be read.
const UNREADABLE: u8 = 2;

/// Checks the scenes side by side and prints the answers in the order asked for.
///
/// # Errors
/// When standard output or standard error cannot be written to.
pub(crate) fn run(check: &Check) -> io::Result<ExitCode> {
    let progress = progress(check.scenes.len());
    let answers: Vec<Vec<Answer>> = check
        .scenes
        .par_iter()
        .map(|path| Answer::all_of(path, check))
        .inspect(|_| progress.inc(1))
        .collect();
    let answers: Vec<Answer> = answers.into_iter().flatten().collect();
    progress.finish_and_clear();

    complain(&answers)?;
    match print(&answers, check.json) {
        // A reader that has seen enough (`| head`) is no failure to speak of.
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => {}
        printed => printed?,
    }
    Ok(ExitCode::from(answers.iter().map(status).max().unwrap_or(SOUND)))
}

fn print(answers: &[Answer], json: bool) -> io::Result<()> {
    let mut out = io::BufWriter::new(io::stdout().lock());
    for answer in answers {
        if json { record::write(&mut out, answer)? } else { words::write(&mut out, answer)? }
    }
    out.flush()
}

/// A bar on a terminal's standard error; a single scene is answered at once and needs none.
fn progress(scenes: usize) -> ProgressBar {
    if scenes < 2 || !io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(scenes as u64);
    match ProgressStyle::with_template("checking {wide_bar} {pos} of {len}") {
        Ok(style) => bar.with_style(style),
        Err(_) => bar,
    }
}

fn complain(answers: &[Answer]) -> io::Result<()> {
    let mut complaints = io::stderr().lock();
    let mut said: Vec<&str> = answers.iter().filter_map(Answer::trouble).collect();
    // The alternatives of a scene share its painting's trouble.
    said.dedup();
    said.into_iter().try_for_each(|why| writeln!(complaints, "{why}"))
}

fn status(answer: &Answer) -> u8 {
    match &answer.found {
        _ if answer.trouble().is_some() => UNREADABLE,
        Found::Scene(read) if read.assessment.findings.iter().any(cannot_stay) => CONTRADICTS,
        _ => SOUND,
    }
}

/// Whether a finding asks for a repaint: what is impossible contradicts the picture itself.
fn cannot_stay(finding: &Finding) -> bool {
    let wrong = matches!(finding.standing, Standing::Contradicts | Standing::Impossible);
    wrong && finding.intended.is_none()
}
