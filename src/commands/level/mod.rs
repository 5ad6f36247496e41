//! `staffage level`: the painting turned level, and brought back.

mod back;
mod copy;
mod reading;
mod refusal;
mod words;

pub(crate) use back::{Wanted, bring_back, way_back};
pub(super) use copy::target;
pub(crate) use copy::{plan, write_copy};
pub(crate) use reading::Watch;
pub(super) use reading::{read, rest};
pub(crate) use refusal::Refusal;
pub(crate) use words::{came_back, measured};

use super::complaint::unreadable;
use super::writing::each;
use crate::arguments::Level;
use indicatif::{ProgressBar, ProgressStyle};
use staffage_handover::Aim;
use staffage_scene::{FileError, ParseError, load};
use std::io::{self, IsTerminal};
use std::ops::ControlFlow;
use std::path::Path;
use std::process::ExitCode;
use std::sync::atomic::{AtomicBool, Ordering};

/// Writes a turned copy, or brings one back.
///
/// # Errors
/// When standard output or standard error cannot be written to.
pub(crate) fn run(asked: &Level) -> io::Result<ExitCode> {
    each([asked], |asked, cancelled| {
        let done = if asked.back { brought_back } else { copied };
        done(asked, cancelled).map(|said| vec![said])
    })
}

fn copied(asked: &Level, cancelled: &AtomicBool) -> Result<String, Refusal> {
    let path = &asked.file;
    let scene = load(path).map_err(|why| match why {
        FileError::Parse { source: ParseError::SizeBook, .. } => Refusal::Unreadable(format!(
            "“{}” is a size book, which has no painting",
            path.display()
        )),
        why => Refusal::Unreadable(unreadable(path, &why.to_string())),
    })?;
    let copy = plan(path, &scene, aim(asked), asked.out.as_deref())?;
    let measured = measured(&copy.levelling, &copy.eye);
    if asked.dry_run {
        return Ok(format!("{}  would have {measured}", copy.target.display()));
    }
    copy.may_be_written(asked.force)?;
    with_bar(&copy.target, cancelled, |watch| write_copy(&copy, watch))?;
    Ok(format!("{}  {measured}", copy.target.display()))
}

fn aim(asked: &Level) -> Aim {
    match (asked.pitch, asked.heading, asked.cant) {
        _ if asked.plumb => Aim::Plumb,
        (None, None, None) => Aim::Level,
        (pitch, heading, cant) => {
            let [pitch, heading, cant] = [pitch, heading, cant].map(Option::unwrap_or_default);
            Aim::By { pitch, heading, cant }
        }
    }
}

fn brought_back(asked: &Level, cancelled: &AtomicBool) -> Result<String, Refusal> {
    let wanted = Wanted {
        width: asked.width,
        out: asked.out.as_deref(),
        whole: asked.whole,
        painting: asked.painting.as_deref(),
    };
    let way = way_back(&asked.file, wanted)?;
    let target = way.target.display();
    if asked.dry_run {
        return Ok(format!("{target}  would have {} px", way.way.size));
    }
    way.may_be_written(asked.force)?;
    let returned = with_bar(&way.target, cancelled, |watch| bring_back(&way, watch))?;
    Ok(format!("{target}  {}", came_back(&way, &returned)))
}

/// Does it with a bar on a terminal's standard error, until Ctrl-C is pressed.
pub(super) fn with_bar<T>(
    target: &Path,
    cancelled: &AtomicBool,
    work: impl FnOnce(Watch<'_>) -> Result<T, Refusal>,
) -> Result<T, Refusal> {
    const STEPS: u64 = 1000;
    let bar = if io::stderr().is_terminal() {
        let bar = ProgressBar::new(STEPS).with_message(target.display().to_string());
        match ProgressStyle::with_template("writing {msg} {wide_bar} {percent} %") {
            Ok(style) => bar.with_style(style),
            Err(_) => bar,
        }
    } else {
        ProgressBar::hidden()
    };
    let done = work(&mut |share| {
        bar.set_position((share * STEPS as f32) as u64);
        match cancelled.load(Ordering::Relaxed) {
            true => ControlFlow::Break(()),
            false => ControlFlow::Continue(()),
        }
    });
    bar.finish_and_clear();
    done
}
