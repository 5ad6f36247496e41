//! Staffage: arguments in, the window or a command out.
#![deny(missing_docs)]

mod arguments;
mod commands;
mod handovers;
mod window;

use arguments::{Arguments, Command};
use clap::Parser;
use std::io;
use std::process::ExitCode;
use tracing_subscriber::EnvFilter;

fn main() -> ExitCode {
    log();
    let arguments = Arguments::parse();
    match arguments.command {
        None => window::open(arguments.file),
        Some(Command::Check(check)) => ended(commands::check::run(&check)),
        Some(Command::Compare(compare)) => ended(commands::compare::run(&compare)),
        Some(Command::Continuity(production)) => ended(commands::continuity::run(&production)),
        Some(Command::Overlay(overlay)) => ended(commands::overlay::run(&overlay)),
        Some(Command::Layers(layers)) => ended(commands::layers::run(&layers)),
        Some(Command::Level(level)) => ended(commands::level::run(&level)),
        Some(Command::Camera(camera)) => ended(commands::camera::run(&camera)),
        Some(Command::Sheet(sheet)) => ended(commands::sheet::run(&sheet)),
    }
}

/// The exit status of a command, or of a command whose answer could not be written.
fn ended(command: io::Result<ExitCode>) -> ExitCode {
    command.unwrap_or_else(|error| {
        eprintln!("The answer could not be written: {error}.");
        ExitCode::from(2)
    })
}

/// Sends what goes on inside to standard error: errors only, unless `STAFFAGE_LOG` asks for more.
fn log() {
    let filter =
        EnvFilter::try_from_env("STAFFAGE_LOG").unwrap_or_else(|_| EnvFilter::new("error"));
    tracing_subscriber::fmt().with_env_filter(filter).with_writer(io::stderr).init();
}
