//! `staffage check`: what the scenes say, in words or as JSON.

mod answer;
mod record;
mod words;

pub(crate) use answer::{Answer, Book, Found, Painting, Read};
pub(crate) use record::write as write_json;

use super::alternative::Which;
use super::gathered::gathered;
use crate::arguments::Check;
use indicatif::{ProgressBar, ProgressStyle};
use rayon::prelude::*;
use staffage_picture::Progress;
use staffage_scene::{Finding, Standing};
use std::collections::BTreeMap;
use std::io::{self, IsTerminal, Write};
use std::path::Path;
use std::process::ExitCode;
use std::sync::mpsc::{Receiver, channel};
use std::thread;

/// Nothing contradicts.
const SOUND: u8 = 0;
/// Something contradicts.
const CONTRADICTS: u8 = 1;
/// Something could not be read.
const UNREADABLE: u8 = 2;

/// Checks the scenes side by side and prints the answers in the order asked for, each as soon as those
/// before it are there.
///
/// # Errors
/// When standard output or standard error cannot be written to.
pub(crate) fn run(check: &Check) -> io::Result<ExitCode> {
    let scenes = gathered(&check.scenes);
    let progress = progress(scenes.len());
    let (sender, answers) = channel();
    let status = thread::scope(|scope| {
        // In the order asked for, so that little has to be held back.
        scope.spawn(|| {
            let numbered = scenes.iter().enumerate().par_bridge();
            numbered.for_each_with(sender, |sender, (place, path)| {
                // Nobody listens any more where the reader has seen enough.
                let _ = sender.send((place, said(path, check)));
            });
        });
        tell(answers, &progress)
    });
    progress.finish_and_clear();
    Ok(ExitCode::from(status?))
}

/// All that there is to say of a file, made where it was checked: the mends are most of the work.
struct Said {
    out: Vec<u8>,
    trouble: Option<String>,
    status: u8,
}

fn said(path: &Path, check: &Check) -> io::Result<Said> {
    let which = Which { name: check.alternative.as_deref(), every: check.alternatives };
    let (answers, _) = Answer::all_of(path, which, check.units, &Progress::default());
    let mut out = Vec::new();
    for answer in &answers {
        if check.json {
            record::write(&mut out, answer)?;
        } else {
            words::write(&mut out, answer)?;
        }
    }
    // The alternatives of a scene share its painting's trouble.
    let trouble = answers.iter().find_map(Answer::trouble).map(str::to_owned);
    Ok(Said { out, trouble, status: answers.iter().map(status).max().unwrap_or(SOUND) })
}

/// Prints the answers in their order, and returns the exit status.
fn tell(answers: Receiver<(usize, io::Result<Said>)>, progress: &ProgressBar) -> io::Result<u8> {
    let (mut waiting, mut next, mut worst) = (BTreeMap::new(), 0, SOUND);
    let mut stdout = io::stdout().lock();
    for (place, said) in answers {
        waiting.insert(place, said?);
        progress.inc(1);
        while let Some(said) = waiting.remove(&next) {
            next += 1;
            worst = worst.max(said.status);
            if let Some(why) = said.trouble {
                progress.suspend(|| writeln!(io::stderr(), "{why}"))?;
            }
            match progress.suspend(|| stdout.write_all(&said.out).and_then(|()| stdout.flush())) {
                // A reader that has seen enough (`| head`) is no failure to speak of.
                Err(error) if error.kind() == io::ErrorKind::BrokenPipe => return Ok(worst),
                printed => printed?,
            }
        }
    }
    Ok(worst)
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
