//! How commands say on standard output what they did.

use std::io::{self, Write};

/// Says what was done. A reader that has seen enough (`| head`) is no failure.
pub(super) fn say(what: &str) -> io::Result<()> {
    match writeln!(io::stdout(), "{what}") {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        said => said,
    }
}
