//! What commands that write files say of each one, and how they end.

use super::complaint::sentence;
use super::interrupt::cancelled_by_hand;
use super::say::say;
use std::fmt::Display;
use std::io::{self, Write};
use std::process::ExitCode;
use std::sync::atomic::{AtomicBool, Ordering};

/// Everything was written, or told.
const WRITTEN: u8 = 0;
/// Something was not.
const NOT_WRITTEN: u8 = 2;

/// Writes what is asked for, one after the other, until Ctrl-C is pressed: says on standard output what
/// came of each, and on standard error why not. What fails does not stop the rest.
///
/// # Errors
/// When standard output or standard error cannot be written to.
pub(super) fn each<T, E: Display>(
    asked: impl IntoIterator<Item = T>,
    mut write: impl FnMut(T, &AtomicBool) -> Result<Vec<String>, E>,
) -> io::Result<ExitCode> {
    each_several(asked, |one, cancelled| vec![write(one, cancelled)])
}

/// The same where several files may come of one.
///
/// # Errors
/// When standard output or standard error cannot be written to.
pub(super) fn each_several<T, E: Display>(
    asked: impl IntoIterator<Item = T>,
    mut write: impl FnMut(T, &AtomicBool) -> Vec<Result<Vec<String>, E>>,
) -> io::Result<ExitCode> {
    let cancelled = cancelled_by_hand();
    let mut status = WRITTEN;
    for one in asked {
        for written in write(one, &cancelled) {
            match written {
                Ok(said) => said.iter().try_for_each(|said| say(said))?,
                Err(why) => {
                    writeln!(io::stderr(), "{}", sentence(&why.to_string()))?;
                    status = NOT_WRITTEN;
                }
            }
        }
        if cancelled.load(Ordering::Relaxed) {
            status = NOT_WRITTEN;
            break;
        }
    }
    Ok(ExitCode::from(status))
}
